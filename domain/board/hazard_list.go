package board

import (
	"cmp"
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
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
		why = append(why, weaker("no-longer-hazard", message.Word("failure-severity", a.Severity), message.Word("failure-severity", b.Severity)))
	case severityRank[b.Severity] < severityRank[a.Severity]:
		why = append(why, weaker("severity-lowered", message.Word("failure-severity", a.Severity), message.Word("failure-severity", b.Severity)))
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
		return !slices.ContainsFunc(more, func(s string) bool { return holdsWords(s, gone) && denials(s) == denials(gone) })
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
	gone, more := strings.Join(without(a.Symptoms, b.Symptoms), ", "), strings.Join(without(b.Symptoms, a.Symptoms), ", ")
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
			slices.ContainsFunc(f.Positions, d.bearingName) || len(f.Positions) == 0 && d.guarded() && !plainTexts(f.Title, f.Mechanism, f.Consequence, f.Remedy) {
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

// bearingCheck tells a check on which safety hangs: it comes before power-up,
// or measures at a position that the safety view is about.
func (d *differ) bearingCheck(c *Measurement) bool {
	return c.When == BeforePowerUp || d.bearingPoint(c)
}

// bearingPoint tells a check that measures at a position that the safety view
// is about.
func (d *differ) bearingPoint(c *Measurement) bool {
	return slices.ContainsFunc(c.Between, d.speaksOfName)
}

func (d *differ) speaksOfName(point string) bool {
	return speaksOfPart(point, d.bearingName)
}

// checkHazards says how a check was weakened; b is nil for one that was taken
// out.
func (d *differ) checkHazards(a, b *Measurement) []weak {
	switch {
	case d.bearingCheck(a):
	case b == nil:
		return nil
	default:
		return append(append(d.probeHazards(b), laxerHazards(a, b)...), wordHazards("its note", a.Note, b.Note, topical|aboutEase)...)
	}
	if b == nil {
		if a.When == BeforePowerUp {
			return []weak{weakness("check-before-out")}
		}
		return []weak{weakness("check-out")}
	}
	var why []weak
	if b.When != a.When && a.When == BeforePowerUp {
		why = append(why, weaker("after-power-up", a.When, b.When))
	}
	if a.Measure != b.Measure {
		why = append(why, weaker("measures-else", message.Word("measure", a.Measure), message.Word("measure", b.Measure)))
	}
	if !slices.Equal(a.Between, b.Between) && !slices.Equal(newPoints(a.Between, d.renamed()), b.Between) {
		why = append(why, weak{message.Of("hazard.measures-elsewhere"), list(a.Between), list(b.Between)})
	}
	why = append(why, laxerHazards(a, b)...)
	if len(d.probeHazards(a)) == 0 {
		why = append(why, d.probeHazards(b)...)
	}
	why = append(why, rewordHazards("its note", a.Note, b.Note, anyTopic)...)
	of := instructive
	if !holdsWords(b.Title, a.Title) {
		of = whatever // whoever reads it takes it for a check of something else
	}
	return append(why, rewordHazards("title", a.Title, b.Title, of)...)
}

// laxerHazards compares what two forms of a check let pass.
func laxerHazards(a, b *Measurement) []weak {
	if a.Expect == nil || b.Expect != nil && !laxerThan(a.Expect, b.Expect, a.When == BeforePowerUp) {
		return nil
	}
	return []weak{weaker("lets-more-pass", rangeWords(a.Expect), rangeWords(b.Expect))}
}

// probeHazards says what a measurement does to the board or to whoever takes it.
func (d *differ) probeHazards(c *Measurement) []weak {
	switch {
	case c.Measure == "current" && d.shorts(c):
		return []weak{weakness("current-meter-shorts")}
	case c.When != BeforePowerUp && (c.Measure == "resistance" || c.Measure == "continuity"):
		return []weak{weakness("resistance-under-power")}
	}
	return nil
}

// shorts tells a check whose points are at a part that a current meter must not
// be held across. Across a fuse, a link or a switch it stands in for it.
func (d *differ) shorts(c *Measurement) bool {
	d.index()
	return slices.ContainsFunc(d.relevantPoints(c), func(name string) bool {
		p := cmp.Or(d.new[name], d.old[name])
		return p == nil || p.Part.Class != part.Fuse && p.Part.Class != part.Switch && p.Part.Class != part.Resistor
	})
}

// instructive is what makes a check's title more than the name of a check.
const instructive = aboutPolarity | aboutPower | aboutSubstitute | aboutEase | unread

// newCheckHazards judges a check that is new: its words tell people what to do
// with the power.
func (d *differ) newCheckHazards(c *Measurement) []weak {
	why := d.probeHazards(c)
	if c.When == BeforePowerUp && c.Measure == "voltage" && d.bearingPoint(c) {
		why = append(why, weakness("says-when-safe"))
	}
	why = append(why, wordHazards("its note", "", c.Note, topical|aboutEase)...)
	return append(why, wordHazards("its title", "", c.Title, instructive)...)
}

// samePoints tells two checks that measure the same before or after power-up
// at the same positions that the safety view is about, whatever the words.
func (d *differ) samePoints(a, b *Measurement) bool {
	names := d.relevantPoints(a)
	return a.Measure == b.Measure && a.When == b.When && len(names) > 0 && slices.Equal(names, d.relevantPoints(b))
}

func (d *differ) relevantPoints(c *Measurement) []string {
	var names []string
	for _, point := range c.Between {
		for _, word := range strings.FieldsFunc(point, betweenNames) {
			if d.bearingName(word) && !slices.Contains(names, word) {
				names = append(names, word)
			}
		}
	}
	slices.Sort(names)
	return names
}

func rangeWords(r *Range) message.Message {
	if r == nil {
		return message.Of("map.no-limits")
	}
	var says []message.Message
	if !r.Min.IsZero() {
		says = append(says, message.Of("map.at-least", r.Min))
	}
	if !r.Max.IsZero() {
		says = append(says, message.Of("map.at-most", r.Max))
	}
	return orNothing(message.All(says).Say())
}

// laxerThan is laxer, but that after power-up a tenth of the limit more is
// none: meters and supplies differ by that. Common practice.
func laxerThan(a, b *Range, exact bool) bool {
	if exact {
		return laxer(a, b)
	}
	less := func(x, y quantity.Quantity) bool {
		return !x.IsZero() && (y.IsZero() || x.Unit() == y.Unit() && beyondTenth(x, y, -1))
	}
	more := func(x, y quantity.Quantity) bool {
		return !x.IsZero() && (y.IsZero() || x.Unit() == y.Unit() && beyondTenth(x, y, 1))
	}
	return less(a.Min, b.Min) || more(a.Max, b.Max)
}

// beyondTenth tells whether y lies more than a tenth of x beyond it, upwards
// or downwards.
func beyondTenth(x, y quantity.Quantity, way int) bool {
	if x.Sign() < 0 {
		x, y, way = x.Neg(), y.Neg(), -way
	}
	if way > 0 {
		return y.CompareScaled(x, 11, 10) > 0
	}
	return y.CompareScaled(x, 9, 10) < 0
}

// laxer reports whether a range lets something pass that another did not.
func laxer(a, b *Range) bool {
	less := func(x, y quantity.Quantity) bool {
		return !x.IsZero() && (y.IsZero() || x.Unit() == y.Unit() && y.Compare(x) < 0)
	}
	more := func(x, y quantity.Quantity) bool {
		return !x.IsZero() && (y.IsZero() || x.Unit() == y.Unit() && y.Compare(x) > 0)
	}
	return less(a.Min, b.Min) || more(a.Max, b.Max)
}

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
				found = slices.DeleteFunc(found, func(w message.Message) bool { return slices.ContainsFunc(base, w.Equal) })
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
		return allWord[word] || !isPlain(word) && !colourWord[word] && !slices.ContainsFunc([]rune(word), unicode.IsDigit)
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
			return []weak{weaker("told-by-another", message.Of("text.colon", v.Variant, quoted(v.IdentifiedBy)), quoted(b.IdentifiedBy))}
		}
	}
	if a == nil {
		return append(softened("title", "", b.Title), d.markingHazards(&Variant{}, b)...)
	}
	if !holdsWords(b.Title, a.Title) && !holdsWords(a.Title, b.Title) || widened(a.Title, b.Title) {
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
	x, y := plain(strings.ToLower(text)), plain(strings.ToLower(other))
	return x == y || y != "" && strings.Contains(x, y)
}

// markingHazards compares the markings by which a build is found.
func (d *differ) markingHazards(a, b *Variant) []weak {
	var why []weak
	if gone := without(a.Markings, b.Markings); len(gone) > 0 {
		why = append(why, weaker("marking-gone", list(gone), list(b.Markings)))
	}
	for _, mark := range without(b.Markings, a.Markings) {
		if own := func(m string) bool { return sameMarking(m, mark) }; slices.ContainsFunc(d.from.Markings, own) || slices.ContainsFunc(d.to.Markings, own) {
			why = append(why, weaker("marking-of-board", mark, b.Variant+": "+mark))
		}
		for i := range d.from.Variants {
			if v := &d.from.Variants[i]; v.Variant != b.Variant && slices.ContainsFunc(v.Markings, func(m string) bool { return sameMarking(m, mark) }) {
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
