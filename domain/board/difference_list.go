package board

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
)

// series is a list of the map whose items have a key of their own.
type series[T any] struct {
	kind    Kind
	list    string // member of the map
	plural  string
	from    []T
	to      []T
	match   matching
	key     func(*T) string
	same    func(a, b *T) bool
	removed func(*T) (Severity, string)
	added   func(*T) (Severity, string)
	changed func(a, b *T) (Severity, string)
}

// compare reports on each item that is new, gone or not the same, then on
// another order and on a list that came or went empty.
func compare[T any](d *differ, s series[T]) {
	for i := range s.from {
		if s.match.now[i] < 0 {
			sev, text := s.removed(&s.from[i])
			d.add(DifferenceEntry{Kind: s.kind, Severity: sev, Sentence: text, Pointer: "/" + s.list + "/" + strconv.Itoa(i), From: raw(&s.from[i]), To: null})
		}
	}
	for k := range s.to {
		e := DifferenceEntry{Kind: s.kind, Pointer: "/" + s.list + "/" + strconv.Itoa(k), From: null, To: null}
		switch i := s.match.was[k]; {
		case i < 0:
			e.To = raw(&s.to[k])
			e.Severity, e.Sentence = s.added(&s.to[k])
		case !s.same(&s.from[i], &s.to[k]):
			e.From, e.To = raw(&s.from[i]), raw(&s.to[k])
			e.Severity, e.Sentence = s.changed(&s.from[i], &s.to[k])
			if onlyExtra(e.From, e.To) {
				e.Severity = Editorial
			}
		default:
			continue
		}
		d.add(e)
	}
	if !s.match.inOrder() {
		d.add(DifferenceEntry{Kind: s.kind, Severity: Editorial, Pointer: "/" + s.list, From: keyList(s.from, s.key), To: keyList(s.to, s.key),
			Sentence: fmt.Sprintf("The %s stand in another order; that alone changes nothing.", s.plural)})
	}
	if (s.to == nil) != (s.from == nil && len(s.to) == 0) {
		text := fmt.Sprintf("An empty list of %s is written now.", s.plural)
		if s.to == nil {
			text = fmt.Sprintf("The list of %s itself is no longer written.", s.plural)
		}
		d.add(DifferenceEntry{Kind: s.kind, Severity: Editorial, Pointer: "/" + s.list, From: emptyOrNull(s.from == nil), To: emptyOrNull(s.to == nil), Sentence: text})
	}
}

func emptyOrNull(absent bool) jsontext.Value {
	if absent {
		return null
	}
	return jsontext.Value("[]")
}

func (d *differ) variants() {
	s := series[Variant]{kind: VariantChanged, list: "variants", plural: "variants", from: d.from.Variants, to: d.to.Variants, key: variantID, same: sameVariant}
	s.match = byKey(s.from, s.to, variantID)
	byContent(&s.match, s.from, s.to, sameVariantContent)
	s.removed = func(v *Variant) (Severity, string) {
		sev, why := graded(d.variantHazards(v, nil))
		return sev, fmt.Sprintf("Variant %s, %s, is no longer in the map%s.", v.Variant, quoted(v.Title), why)
	}
	s.added = func(v *Variant) (Severity, string) {
		sev, why := graded(d.variantHazards(nil, v))
		return sev, fmt.Sprintf("Variant %s, %s, is new; it changes %s%s.", v.Variant, quoted(v.Title), targets(v), why)
	}
	s.changed = func(a, b *Variant) (Severity, string) {
		sev, why := graded(d.variantHazards(a, b))
		if follows := *a; sev != Hazard {
			if follows.Changes = newTargets(a.Changes, d.renamed()); sameVariant(&follows, b) {
				return Editorial, fmt.Sprintf("Variant %s calls renamed positions by their new names.", b.Variant)
			}
		}
		return sev, fmt.Sprintf("Variant %s: %s%s", b.Variant, strings.TrimSuffix(variantSentence(a, b), "."), why) + "."
	}
	compare(d, s)
}

func targets(v *Variant) string {
	if len(v.Changes) == 0 {
		return "nothing"
	}
	names := make([]string, len(v.Changes))
	for i := range v.Changes {
		names[i] = target(&v.Changes[i])
	}
	slices.SortFunc(names, CompareDesignators)
	return list(slices.Compact(names))
}

func variantSentence(a, b *Variant) string {
	x, y := *a, *b
	x.Changes, y.Changes = nil, nil
	var parts []string
	if !sameVariant(&x, &y) {
		parts = append(parts, strings.TrimSuffix(memberSentence(raw(&x), raw(&y)), "."))
	}
	if names := changedTargets(a, b); len(names) > 0 {
		parts = append(parts, "its changes to "+list(names)+" are not the same")
	} else if !slices.EqualFunc(a.Changes, b.Changes, sameChange) || (a.Changes == nil) != (b.Changes == nil) {
		parts = append(parts, "its changes are written otherwise")
	}
	return strings.Join(parts, "; ") + "."
}

// changedTargets lists the designators that two forms of a variant treat
// differently.
func changedTargets(a, b *Variant) []string {
	m := byKey(a.Changes, b.Changes, target)
	var names []string
	for i, k := range m.now {
		if k < 0 || !sameChange(a.Changes[i], b.Changes[k]) {
			names = append(names, target(&a.Changes[i]))
		}
	}
	for k, i := range m.was {
		if i < 0 {
			names = append(names, target(&b.Changes[k]))
		}
	}
	slices.SortFunc(names, CompareDesignators)
	return slices.Compact(names)
}

func (d *differ) failurePoints() {
	s := series[FailurePoint]{kind: FailurePointKind, list: "failure_points", plural: "failure points", from: d.from.FailurePoints, to: d.to.FailurePoints, key: failurePointID, same: sameFailurePoint}
	s.match = byKey(s.from, s.to, failurePointID)
	byContent(&s.match, s.from, s.to, sameFailurePointContent)
	s.removed = func(f *FailurePoint) (Severity, string) {
		return Hazard, fmt.Sprintf("Failure point %s, %s, is no longer in the map.", f.ID, quoted(f.Title))
	}
	s.added = func(f *FailurePoint) (Severity, string) {
		says := fmt.Sprintf("Failure point %s, %s, is new%s.", f.ID, quoted(f.Title), barring(f))
		if d.bearsOn(f) {
			return weighed(says, []string{"its words bear on safety, and no rule can judge them"})
		}
		return Material, says
	}
	s.changed = func(a, b *FailurePoint) (Severity, string) {
		follows := *a
		if follows.Positions = newNames(a.Positions, d.renamed()); sameFailurePoint(&follows, b) {
			return Editorial, fmt.Sprintf("Failure point %s calls renamed positions by their new names.", b.ID)
		}
		sev, why := graded(phrases(failurePointHazards(&follows, b, d.bearsOn(a, b))))
		return sev, fmt.Sprintf("Failure point %s: %s%s.", b.ID, strings.TrimSuffix(memberSentence(raw(a), raw(b)), "."), why)
	}
	compare(d, s)
}

func barring(f *FailurePoint) string {
	if bars(f) {
		return " and bars power-up"
	}
	return ""
}

func (d *differ) measurements() {
	s := series[Measurement]{kind: FailurePointKind, list: "checks", plural: "checks", from: d.from.Checks, to: d.to.Checks, key: measurementID, same: sameMeasurement}
	s.match = byKey(s.from, s.to, measurementID)
	byContent(&s.match, s.from, s.to, sameMeasurementContent)
	s.removed = func(c *Measurement) (Severity, string) {
		return weighed(fmt.Sprintf("Check %s, %s, is no longer in the map.", c.ID, quoted(c.Title)), phrases(d.checkHazards(c, nil)))
	}
	s.added = func(c *Measurement) (Severity, string) {
		return weighed(fmt.Sprintf("Check %s, %s, is new.", c.ID, quoted(c.Title)), phrases(d.newCheckHazards(c)))
	}
	s.changed = func(a, b *Measurement) (Severity, string) {
		follows := *a
		if follows.Between = newPoints(a.Between, d.renamed()); sameMeasurement(&follows, b) {
			return Editorial, fmt.Sprintf("Check %s calls renamed positions by their new names.", b.ID)
		}
		return weighed(fmt.Sprintf("Check %s: %s", b.ID, memberSentence(raw(a), raw(b))), phrases(d.checkHazards(a, b)))
	}
	compare(d, s)
}

// cautions have no ID: they are known by their text, and what is left over is
// taken as rewritten, in order. To rewrite a caution is a hazard, since only a
// person can tell that the new text warns of the same; case, blanks and the
// stop at the end don't matter.
func (d *differ) cautions() {
	s := series[Caution]{kind: CautionKind, list: "cautions", plural: "cautions", from: d.from.Cautions, to: d.to.Cautions, key: cautionText, same: sameCaution}
	s.match = byKey(s.from, s.to, cautionText)
	byContent(&s.match, s.from, s.to, func(a, b *Caution) bool { return plain(a.Text) == plain(b.Text) })
	byContent(&s.match, s.from, s.to, func(*Caution, *Caution) bool { return true })
	s.removed = func(c *Caution) (Severity, string) {
		return Hazard, fmt.Sprintf("The caution %s is no longer in the map.", quoted(c.Text))
	}
	s.added = func(c *Caution) (Severity, string) {
		says := fmt.Sprintf("A caution is new: %s.", quoted(c.Text))
		if d.speaksOfRelevant(c.Text) {
			return weighed(says, []string{"its words bear on safety, and no rule can judge them"})
		}
		return Material, says
	}
	s.changed = func(a, b *Caution) (Severity, string) {
		switch {
		case a.Text == b.Text && later(a, b):
			return Hazard, because(fmt.Sprintf("The caution %s: %s", quoted(b.Text), memberSentence(raw(a), raw(b))), []string{"it comes later"})
		case a.Text == b.Text:
			return Material, fmt.Sprintf("The caution %s: %s", quoted(b.Text), memberSentence(raw(a), raw(b)))
		case plain(a.Text) == plain(b.Text) && a.When == b.When:
			return Editorial, fmt.Sprintf("The caution %s is written %s.", quoted(a.Text), quoted(b.Text))
		}
		return Hazard, fmt.Sprintf("The caution %s now says %s.", quoted(a.Text), quoted(b.Text))
	}
	compare(d, s)
}

// plain is a text without regard to blanks, the look of its punctuation, the
// stop at its end, and the case of words that have no figure in or before
// them: milliohms and megohms are not the same.
func plain(s string) string {
	words := strings.Fields(typographic.Replace(s))
	figured := false
	for i, w := range words {
		before := figured
		if figured = strings.ContainsFunc(w, unicode.IsDigit); !figured && !before {
			words[i] = strings.ToLower(w)
		}
	}
	var b strings.Builder
	for i, w := range words {
		if i > 0 && !(endsInFigure(words[i-1]) && isUnit(w)) {
			b.WriteByte(' ')
		}
		b.WriteString(w)
	}
	return strings.TrimRight(b.String(), ".!")
}

func endsInFigure(word string) bool { return word[len(word)-1] >= '0' && word[len(word)-1] <= '9' }

// isUnit tells a word that is the sign of a unit, of which a space before it
// says nothing.
func isUnit(word string) bool {
	for _, prefix := range [...]string{"", "k", "M", "G", "m", "µ", "n", "p"} {
		rest, there := strings.CutPrefix(word, prefix)
		for _, unit := range [...]string{"V", "Ah", "A", "W", "F", "Hz", "H", "Ω", "°C", "%"} {
			if after, is := strings.CutPrefix(rest, unit); there && is {
				next, _ := utf8.DecodeRuneInString(after)
				return after == "" || !unicode.IsLetter(next)
			}
		}
	}
	return false
}
