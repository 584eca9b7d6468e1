package board

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"boardlore/domain/message"
)

// failurePointHazards says how a failure point was weakened. bearing tells
// that it bears on the safety view, so that its words do.
func (d *differ) failurePointHazards(a, b *FailurePoint, bearing bool) []weak {
	var why []weak
	barred, hazard := bars(a), a.Severity == "hazard"
	if barred && !bars(b) {
		why = append(why, weakness("no-longer-bars"))
	}
	switch {
	case hazard && b.Severity != "hazard":
		why = append(why, weaker("no-longer-hazard", message.Word("failure-severity", a.Severity),
			message.Word("failure-severity", b.Severity)))
	case severityRank[b.Severity] < severityRank[a.Severity]:
		why = append(why, weaker("severity-lowered", message.Word("failure-severity", a.Severity),
			message.Word("failure-severity", b.Severity)))
	}
	why = append(why, wordingHazards(a, b, bearing)...)
	if more := d.warded(without(b.Positions, a.Positions)); len(more) > 0 {
		why = append(why, weak{why: message.Of("hazard.names-too", list(more))})
	}
	if !barred && !hazard && !bearing {
		return why
	}
	if gone := without(a.Positions, b.Positions); len(gone) > 0 {
		why = append(why, weak{why: message.Of("hazard.no-longer-names", list(gone))})
	}
	if soothed(a.Symptoms, b.Symptoms) {
		why = append(why, weaker("symptom-out", list(a.Symptoms), list(b.Symptoms)))
	}
	return why
}

// warded gives of some names those of positions that protect or can hurt.
func (d *differ) warded(names []string) []string {
	return slices.DeleteFunc(names, func(name string) bool { return !d.wardedName(name) })
}

// soothed tells symptoms of which one is no longer told, nor told more fully.
func soothed(a, b []string) bool {
	more := without(b, a)
	return len(b) < len(a) || slices.ContainsFunc(without(a, b), func(gone string) bool {
		return !slices.ContainsFunc(more, func(s string) bool {
			return holdsWords(s, gone) &&
				denials(s) == denials(gone)
		})
	})
}

// wordingHazards compares the texts of a failure point. Symptoms instruct
// nobody, so they count only where they are of a grave topic.
func wordingHazards(a, b *FailurePoint, bearing bool) []weak {
	of := topical
	if bearing {
		of = whatever
	}
	why := slices.Concat(
		rewordHazards("title", a.Title, b.Title, of), rewordHazards("mechanism", a.Mechanism, b.Mechanism, of),
		rewordHazards("consequence", a.Consequence, b.Consequence, of), rewordHazards("remedy", a.Remedy, b.Remedy, of))
	gone, more := strings.Join(without(a.Symptoms, b.Symptoms), ", "), strings.Join(without(b.Symptoms, a.Symptoms),
		", ")
	of = aboutPolarity | aboutSubstitute | aboutEase | unread
	if topicsOf(more)&aboutSafety != 0 {
		of |= leads // of fuses, cells and the mains only what compares or advises
	}
	return append(why, wordHazards("symptom", gone, more, of)...)
}

// denials counts the words of a text that deny.
func denials(text string) (n int) {
	for _, w := range wordsOf(text) {
		if denying[w] {
			n++
		}
	}
	return n
}

// bearsOn tells that a failure point bears on the safety view: so does one that
// names no position and so speaks of the whole board, where its words are not
// known to be harmless.
func (d *differ) bearsOn(fs ...*FailurePoint) bool {
	for _, f := range fs {
		if bars(f) || f.Severity == "hazard" || d.speaksOfRelevant(f.Title, f.Mechanism, f.Consequence, f.Remedy) ||
			slices.ContainsFunc(f.Positions, d.bearingName) || len(f.Positions) == 0 && d.guarded() &&
			!plainTexts(f.Title, f.Mechanism, f.Consequence, f.Remedy) {
			return true
		}
	}
	return false
}

// speaksOfRelevant tells texts that are of a grave topic or name a position
// that the safety view is about.
func (d *differ) speaksOfRelevant(texts ...string) bool {
	if speaks(anyTopic, texts...) {
		return true
	}
	for _, s := range texts {
		if speaksOfPart(s, d.relevantName) {
			return true
		}
	}
	return false
}

func betweenNames(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' }

var severityRank = map[string]int{"minor": 1, "major": 2, "hazard": 3}

// cautionTimes orders when a caution is for; one without a time is always.
var cautionTimes = map[Moment]int{BeforeOpening: 1, BeforePowerUp: 2, WhileWorking: 3, Afterwards: 4}

// later reports whether a caution comes later than it did, or only at a time
// where it was for always.
func later(a, b *Caution) bool { return b.When != "" && cautionTimes[b.When] > cautionTimes[a.When] }

// mirrors reports whether left and right are exchanged on both sides of the
// board: a board seen from its other side keeps them.
func (t *Transform) mirrors() bool { return t != nil && t.Mirrored != t.Sides }

// frameHazards says what makes a change of the frame a hazard.
func (d *differ) frameHazards() []message.Message {
	t := d.transform
	switch {
	case t.mirrors():
		return []message.Message{message.Of("hazard.left-right")}
	case t != nil && t.Kept && (t.Turned != 0 || t.Mirrored) && slices.ContainsFunc(d.from.Positions, rotationTells):
		return []message.Message{message.Of("hazard.rotation-kept")}
	case d.outlineMoved():
		return []message.Message{message.Of("hazard.outline-moved")}
	}
	return nil
}

// rotationTells tells a part of which the rotation alone says which way round
// it is, and which hurts the other way round.
func rotationTells(p Position) bool {
	return turnsPolarity(&p) || regulator(&p) || pinned(&p.Part) && !critical(&p).IsZero()
}

// variantHazards compares the positions that either form of a variant is
// about, as the builds have them; nil stands for a variant that is not there,
// whose build is the base map.
func (d *differ) variantHazards(a, b *Variant) []message.Message {
	d.index()
	why := phrases(buildHazards(d, a, b))
	before, after := changesOf(a), changesOf(b)
	for _, name := range d.mentioned(a, b) {
		p, q := effectivePosition(d.old, before, name.old), effectivePosition(d.new, after, name.new)
		var found []message.Message
		switch {
		case p != nil && q != nil:
			found = phrases(d.positionHazards(p, q))
			if x, y := d.old[name.old], d.new[name.new]; x != nil && y != nil {
				base := phrases(d.positionHazards(x, y))
				found = slices.DeleteFunc(found, func(w message.Message) bool {
					return slices.ContainsFunc(base,
						w.Equal)
				})
			}
		case p != nil && !guards(p).IsZero() && d.new[name.new] != nil:
			found = []message.Message{message.Of("hazard.is-out", guards(p))}
		case q != nil && !critical(q).IsZero() && d.old[name.old] != nil:
			found = []message.Message{message.Of("hazard.is-in", critical(q))}
		case p != nil && !critical(p).IsZero(), q != nil && !critical(q).IsZero():
			found = []message.Message{message.Of("hazard.only-this-build")}
		}
		for _, w := range found {
			why = append(why, message.Of("text.colon", name.new, w))
		}
	}
	return why
}

// widened tells a title that says more than which build it is: that it holds for
// others too, or what no list knows.
func widened(a, b string) bool {
	return slices.ContainsFunc(without(wordsOf(b), wordsOf(a)), func(word string) bool {
		return allWord[word] || !isPlain(word) && !colourWord[word] && !buildWord[word] && !slices.ContainsFunc([]rune(word),
			unicode.IsDigit)
	})
}

// buildHazards compares how a build is told from the others.
func buildHazards(d *differ, a, b *Variant) []weak {
	if b == nil {
		return nil
	}
	if a != nil && !sameWords(a.IdentifiedBy, b.IdentifiedBy) {
		return []weak{weaker("build-reworded", quotedOrNothing(a.IdentifiedBy), quotedOrNothing(b.IdentifiedBy))}
	}
	if a != nil && otherFigures(a.Title, b.Title) {
		return []weak{weaker("title-figure", quoted(a.Title), quoted(b.Title))}
	}
	for i := range d.to.Variants {
		if v := &d.to.Variants[i]; a == nil && v.Variant != b.Variant && holdsWords(b.IdentifiedBy, v.IdentifiedBy) {
			return []weak{weaker("told-by-another", message.Of("text.colon", v.Variant, quoted(v.IdentifiedBy)),
				quoted(b.IdentifiedBy))}
		}
	}
	if a == nil {
		return append(softened("title", "", b.Title), d.markingHazards(&Variant{}, b)...)
	}
	if !withWordsMore(a.Title, b.Title) && !holdsWords(a.Title, b.Title) || widened(a.Title, b.Title) {
		return []weak{weaker("title-reworded", quoted(a.Title), quoted(b.Title))}
	}
	return append(softened("title", a.Title, b.Title), d.markingHazards(a, b)...)
}

// otherFigures tells a title that lost a figure, or gained one beside a voltage.
func otherFigures(a, b string) bool {
	x, y := figures(a), figures(b)
	return len(without(x, y)) > 0 || len(without(y, x)) > 0 && speaks(aboutVoltage, b)
}

// holdsWords tells that a text has all the words of another, one after the other.
func holdsWords(text, other string) bool {
	x, y := unstyled(strings.ToLower(text)), unstyled(strings.ToLower(other))
	if x == y || y == "" {
		return x == y
	}
	for from := 0; ; {
		i := strings.Index(x[from:], y)
		if i < 0 {
			return false
		}
		start, end := from+i, from+i+len(y)
		before, _ := utf8.DecodeLastRuneInString(x[:start])
		after, _ := utf8.DecodeRuneInString(x[end:])
		if betweenNames(before) && betweenNames(after) {
			return true
		}
		from = start + 1
	}
}

// markingHazards compares the markings by which a build is found.
func (d *differ) markingHazards(a, b *Variant) []weak {
	var why []weak
	if gone := without(a.Markings, b.Markings); len(gone) > 0 {
		why = append(why, weaker("marking-gone", list(gone), list(b.Markings)))
	}
	for _, mark := range without(b.Markings, a.Markings) {
		if own := func(m string) bool { return sameMarking(m, mark) }; slices.ContainsFunc(d.from.Markings, own) ||
			slices.ContainsFunc(d.to.Markings, own) {
			why = append(why, weaker("marking-of-board", mark, b.Variant+": "+mark))
		}
		for i := range d.from.Variants {
			if v := &d.from.Variants[i]; v.Variant != b.Variant && slices.ContainsFunc(v.Markings,
				func(m string) bool { return sameMarking(m, mark) }) {
				why = append(why, weaker("marking-of-another", v.Variant+": "+mark, b.Variant+": "+mark))
			}
		}
	}
	return why
}

// figures gives the numbers in a text.
func figures(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsDigit(r) })
}

// known is a designator in the older and in the newer map.
type known struct{ old, new string }

func (d *differ) mentioned(a, b *Variant) []known {
	renamed, before := d.renamed(), map[string]string{}
	for x, y := range renamed {
		before[y] = x
	}
	var names []known
	there := map[known]bool{}
	add := func(n known) {
		if !there[n] {
			there[n], names = true, append(names, n)
		}
	}
	for _, v := range []*Variant{a, b} {
		if v == nil {
			continue
		}
		for i := range v.Changes {
			n := known{target(&v.Changes[i]), target(&v.Changes[i])}
			if v == a && renamed[n.old] != "" {
				n.new = renamed[n.old]
			}
			if v == b && before[n.new] != "" {
				n.old = before[n.new]
			}
			add(n)
		}
	}
	slices.SortFunc(names, func(x, y known) int { return CompareDesignators(x.new, y.new) })
	return names
}

// renamed gives the new designators of the positions that were renamed.
func (d *differ) renamed() map[string]string {
	if d.names == nil {
		d.names = map[string]string{}
		for i, k := range d.match.now {
			if k >= 0 && d.from.Positions[i].Designator != d.to.Positions[k].Designator {
				d.names[d.from.Positions[i].Designator] = d.to.Positions[k].Designator
			}
		}
	}
	return d.names
}

// target is the designator that a variant's change is about.
func target(c *Change) string {
	switch {
	case c.Omit != "":
		return c.Omit
	case c.Fit != nil:
		return c.Fit.Designator
	}
	return c.Designator
}

func (d *differ) index() {
	if d.old != nil {
		return
	}
	d.old, d.new = make(map[string]*Position, len(d.from.Positions)), make(map[string]*Position, len(d.to.Positions))
	for i := range d.from.Positions {
		d.old[d.from.Positions[i].Designator] = &d.from.Positions[i]
	}
	for k := range d.to.Positions {
		d.new[d.to.Positions[k].Designator] = &d.to.Positions[k]
	}
}

// changesOf gives a variant's changes by the position that they are about.
func changesOf(v *Variant) map[string][]*Change {
	if v == nil {
		return nil
	}
	by := make(map[string][]*Change, len(v.Changes))
	for i := range v.Changes {
		c := &v.Changes[i]
		by[target(c)] = append(by[target(c)], c)
	}
	return by
}

// effectivePosition is a position as a build has it, nil where it lacks it.
func effectivePosition(base map[string]*Position, changes map[string][]*Change, name string) *Position {
	p := base[name]
	for _, c := range changes[name] {
		switch {
		case c.Omit != "":
			p = nil
		case c.Fit != nil:
			p = c.Fit
		case p != nil:
			if q, err := patched(p, c.Set); err == nil {
				p = &q
			}
		}
	}
	return p
}
