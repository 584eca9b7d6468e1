package board

import (
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/message"
	"boardlore/domain/part"
)

// The harmless ways of lists and of what stands above the positions, as those of
// positions in harmless.go. Each is asked where nothing was found that makes the
// change a hazard.

// pair is an item of a list as it was told and as it would be told, with all
// that both maps tell.
type pair[T any] struct {
	d    *differ
	a, b *T
}

// itemMember is a member of an item of a list.
type itemMember[T any] struct {
	name string
	same func(a, b *T) bool
	ways []way[pair[T]]
}

// notShown gives the reasons for the members of an item that changed in a way that
// is not known to be harmless.
func notShown[T any](d *differ, members []itemMember[T], a, b *T) []message.Message {
	var why []message.Message
	of := pair[T]{d, a, b}
	for i := range members {
		if m := &members[i]; !m.same(a, b) && !covered(m.ways, of) {
			why = append(why, message.Of("hazard.not-shown-harmless", memberName(m.name)))
		}
	}
	return why
}

// orNotShown is what was found, else what is not shown to be harmless.
func orNotShown[T any](found []message.Message, d *differ, members []itemMember[T], a, b *T) []message.Message {
	if len(found) > 0 {
		return found
	}
	return notShown(d, members, a, b)
}

func texted[T any](name string, at func(*T) string, says func(a, b string) bool) itemMember[T] {
	return itemMember[T]{name, func(a, b *T) bool { return at(a) == at(b) }, []way[pair[T]]{
		{"words-of-looks-age-and-access", func(p pair[T]) bool { return says(at(p.a), at(p.b)) }}}}
}

var failurePointMembers = []itemMember[FailurePoint]{
	{"id", func(a, b *FailurePoint) bool { return a.ID == b.ID }, []way[pair[FailurePoint]]{
		{"a-name-that-nobody-goes-by", func(pair[FailurePoint]) bool { return true }}}},
	texted("title", func(f *FailurePoint) string { return f.Title }, quietWording),
	texted("mechanism", func(f *FailurePoint) string { return f.Mechanism }, quietWording),
	{"positions", func(a, b *FailurePoint) bool { return slices.Equal(a.Positions, b.Positions) },
		[]way[pair[FailurePoint]]{{"one-more-of-nothing-that-protects-or-hurts", func(p pair[FailurePoint]) bool {
			return len(without(p.a.Positions, p.b.Positions)) == 0 &&
				len(p.d.warded(without(p.b.Positions, p.a.Positions))) == 0
		}}}},
	{"symptoms", func(a, b *FailurePoint) bool { return slices.Equal(a.Symptoms, b.Symptoms) },
		[]way[pair[FailurePoint]]{{"one-more-or-one-told-more-fully", func(p pair[FailurePoint]) bool {
			return !soothed(p.a.Symptoms, p.b.Symptoms) &&
				!slices.ContainsFunc(without(p.b.Symptoms, p.a.Symptoms), func(s string) bool { return !seemly(s) })
		}}, {"in-words-of-looks-age-and-access", func(p pair[FailurePoint]) bool {
			return len(p.b.Symptoms) >= len(p.a.Symptoms) && quietWording(strings.Join(p.a.Symptoms, ". "),
				strings.Join(p.b.Symptoms, ". "))
		}}}},
	texted("consequence", func(f *FailurePoint) string { return f.Consequence }, quietWording),
	{"severity", func(a, b *FailurePoint) bool { return a.Severity == b.Severity }, []way[pair[FailurePoint]]{
		{"taken-more-seriously", func(p pair[FailurePoint]) bool {
			return severityRank[p.b.Severity] > severityRank[p.a.Severity]
		}}}},
	{"bars_power_up", func(a, b *FailurePoint) bool { return bars(a) == bars(b) }, []way[pair[FailurePoint]]{
		{"bars", func(p pair[FailurePoint]) bool { return bars(p.b) }}}},
	texted("remedy", func(f *FailurePoint) string { return f.Remedy }, quietWording),
}

// seemly tells a symptom that is nothing but one: it compares with nothing and
// advises nothing.
func seemly(s string) bool {
	return !speaks(aboutPolarity|aboutSubstitute|aboutEase|unread, s) && (denials(s) == 0 || quiet(s))
}

var measurementMembers = []itemMember[Measurement]{
	{"id", func(a, b *Measurement) bool { return a.ID == b.ID }, []way[pair[Measurement]]{
		{"a-name-that-nobody-goes-by", func(pair[Measurement]) bool { return true }}}},
	texted("title", func(c *Measurement) string { return c.Title }, checkWording),
	{"when", func(a, b *Measurement) bool { return a.When == b.When }, nil},
	{"measure", func(a, b *Measurement) bool { return a.Measure == b.Measure }, nil},
	{"between", func(a, b *Measurement) bool { return slices.Equal(a.Between, b.Between) }, []way[pair[Measurement]]{
		{"the-same-under-its-new-name", func(p pair[Measurement]) bool {
			return slices.Equal(newPoints(p.a.Between, p.d.renamed()), p.b.Between)
		}}}},
	{"expect", func(a, b *Measurement) bool { return sameBounds(a.Expect, b.Expect) }, []way[pair[Measurement]]{
		{"lets-no-more-pass", func(p pair[Measurement]) bool {
			return p.b.Expect != nil && (p.a.Expect == nil && !p.d.bearingCheck(p.a) || p.a.Expect != nil &&
				!laxer(p.a.Expect, p.b.Expect))
		}}}},
	texted("note", func(c *Measurement) string { return c.Note }, quietWording),
}

func sameBounds(a, b *Range) bool {
	if a == nil || b == nil {
		return a == b
	}
	return a.Min == b.Min && a.Max == b.Max
}

// checkWording is quietWording with the names of checks.
func checkWording(a, b string) bool {
	named := func(s string) bool { return saidWith(withoutVolts(s), checkedWord, instructive) }
	return quietWording(a, b) || !turnedRound(a, b) && named(a) && named(b)
}

// withoutVolts takes figures and their units out of the name of a check, which is
// often that of a rail.
func withoutVolts(s string) string {
	words := strings.Fields(s)
	words = slices.DeleteFunc(words, func(w string) bool {
		return strings.ContainsFunc(w, unicode.IsDigit) || isUnit(w)
	})
	return strings.Join(words, " ")
}

// newCheckNotShown says what is not known to be harmless of a check that is new:
// what it has people do under power, and what it calls right.
func (d *differ) newCheckNotShown(c *Measurement) []message.Message {
	unknown := func(member string) []message.Message {
		return []message.Message{message.Of("hazard.not-shown-harmless", memberName(member))}
	}
	switch {
	case !checkWording("", c.Title):
		return unknown("title")
	case !quietWording("", c.Note):
		return unknown("note")
	case c.Measure == "current", c.When != BeforePowerUp && d.bearingPoint(c):
		return unknown("measure")
	case d.bearingPoint(c) && c.Expect != nil && c.Measure != "continuity":
		return unknown("expect")
	}
	return nil
}

var variantMembers = []itemMember[Variant]{
	{"variant", func(a, b *Variant) bool { return a.Variant == b.Variant }, nil},
	texted("title", func(v *Variant) string { return v.Title }, func(a, b string) bool {
		return sameWords(a, b) || a != "" && buildTitle(a, b)
	}),
	texted("identified_by", func(v *Variant) string { return v.IdentifiedBy }, sameWords),
	{"markings", func(a, b *Variant) bool {
		return len(without(a.Markings, b.Markings)) == 0 &&
			len(without(b.Markings, a.Markings)) == 0
	}, []way[pair[Variant]]{
		{"one-more-by-which-no-other-is-found", func(p pair[Variant]) bool {
			return len(without(p.a.Markings, p.b.Markings)) == 0 && !speaks(instructive, p.b.Markings...)
		}}}},
	// What a build changes is judged position by position.
	{"changes", func(a, b *Variant) bool { return true }, nil},
}

// buildTitle tells titles of which one has all words of the other and whose other
// words only tell builds apart.
func buildTitle(a, b string) bool {
	return (holdsWords(a, b) || withWordsMore(a, b)) && toldApart(b)
}

// withWordsMore tells a title that has all words of another in their order and
// denies nothing more; what stands between them is no figure and no bound.
func withWordsMore(a, b string) bool {
	if holdsWords(b, a) {
		return true
	}
	more, ok := inserted(a, b)
	return ok && denials(a) == denials(b) && !slices.ContainsFunc(more, func(w string) bool {
		return boundWord[w] || strings.ContainsFunc(w, unicode.IsDigit)
	})
}

// boundWord is for where a run of serial numbers begins and ends.
var boundWord = wordSet(boundWords)

// toldApart tells a text of words that tell builds apart, and figures.
func toldApart(s string) bool {
	return saidWith(withoutVolts(strings.Trim(s, ".")), buildWord, aboutPower|aboutSubstitute|aboutEase|unread) ||
		plainWording("", withoutVolts(s))
}

// newVariantNotShown says what is not known to be harmless of how a new build is
// told apart.
func newVariantNotShown(v *Variant) []message.Message {
	for _, m := range []struct{ name, text string }{{"title", v.Title}, {"identified_by", v.IdentifiedBy}} {
		if !toldApart(m.text) {
			return []message.Message{message.Of("hazard.not-shown-harmless", memberName(m.name))}
		}
	}
	return nil
}

// maxVague is how uncertain places may be said to be in passing, mm: what comes
// next is held to it. Common practice: a part's own width.
const maxVague = 2

// frameNotShown says what is not known to be harmless of a frame: places follow
// it, so only how exact it is is left.
func (d *differ) frameNotShown() []message.Message {
	a, b := &d.from.Frame, &d.to.Frame
	if uncertainty(b) > max(uncertainty(a), maxVague) {
		return []message.Message{message.Of("hazard.not-shown-harmless", memberName("uncertainty_mm"))}
	}
	return nil
}

// equipmentNotShown says what is not known to be harmless of the product that the
// board is said to be in.
func equipmentNotShown(a, b *Equipment) []message.Message {
	var why []message.Message
	for _, m := range []struct{ name, was, is string }{
		{"maker", a.Maker, b.Maker}, {"model", a.Model, b.Model}, {"kind", a.Kind, b.Kind}} {
		if !fuller(m.was, m.is) && !(m.name != "kind" && respelled(m.was, m.is)) {
			why = append(why, message.Of("hazard.not-shown-harmless", memberName(m.name)))
		}
	}
	return why
}

// fuller tells a name that is the same, or the same and more, in words that bear
// on nothing.
func fuller(a, b string) bool {
	if sameWords(a, b) {
		return true
	}
	more := strings.Join(without(wordsOf(b), wordsOf(a)), " ")
	return (holdsWords(b, a) || len(without(wordsOf(a), wordsOf(b))) == 0) &&
		!speaks(aboutPolarity|aboutPower|aboutSubstitute|aboutEase|aboutSafety|unread, more)
}

// respelled tells a name in which a letter or two are mended: its figures and its
// first letter are what they were.
func respelled(a, b string) bool {
	x, y := []rune(strings.ToLower(bare(a))), []rune(strings.ToLower(bare(b)))
	if len(x) < 5 || len(y) < 5 || x[0] != y[0] || !slices.Equal(figures(a), figures(b)) {
		return sameKind(a, b)
	}
	for len(x) > 0 && len(y) > 0 && x[0] == y[0] {
		x, y = x[1:], y[1:]
	}
	for len(x) > 0 && len(y) > 0 && x[len(x)-1] == y[len(y)-1] {
		x, y = x[:len(x)-1], y[:len(y)-1]
	}
	return len(x) <= 2 && len(y) <= 2
}

// sameBoard tells names of a board of which all words that came or went are of
// boards.
func sameBoard(a, b string) bool {
	x, y := wordsOf(a), wordsOf(b)
	return fuller(a, b) || !slices.ContainsFunc(slices.Concat(without(x, y), without(y, x)), func(word string) bool {
		return !boardWord[word] && !signalWord[word] && !plainWord[word]
	})
}

// laidRightly tells a new photograph whose places go round as those of its side
// do: seen from the top they run against the picture's, whose second axis runs
// down.
func laidRightly(p *Photograph) bool {
	h := p.handed()
	return p.Side == Top && h < 0 || p.Side == Bottom && h > 0
}

// unshownRemoval tells why a position that is told no more has to be missed by
// two: one with a direction, or of which more is told than where it is.
func (d *differ) unshownRemoval(p *Position) bool {
	if relevant(p) || !guards(p).IsZero() || p.Part.Class == part.Other || serviceRank[p.Service] > 1 {
		return true
	}
	return d.namedAnywhere(p.Designator)
}

// namedAnywhere tells a designator that a failure point, a check or a caution of
// the older map names.
func (d *differ) namedAnywhere(designator string) bool {
	is := func(name string) bool { return name == designator }
	return slices.ContainsFunc(d.from.FailurePoints, func(f FailurePoint) bool {
		return slices.Contains(f.Positions, designator)
	}) || slices.ContainsFunc(d.from.Checks, func(c Measurement) bool {
		return slices.ContainsFunc(c.Between, func(s string) bool { return speaksOfPart(s, is) })
	}) || slices.ContainsFunc(d.from.Cautions, func(c Caution) bool { return speaksOfPart(c.Text, is) })
}

// addedKinds are the classes of which a position may be added in passing.
var addedKinds = []part.Class{part.Capacitor, part.Resistor, part.Potentiometer, part.Inductor, part.Diode,
	part.Transistor, part.IntegratedCircuit, part.Crystal, part.Lamp, part.Connector}

// unshownAddition says what is not known to be harmless of a position of which
// nothing was ever told.
func unshownAddition(q *Position) []weak {
	var why []weak
	safeSwitch := q.Part.Class == part.Switch && q.Circuit == part.Secondary && !highVoltage(q)
	if !slices.Contains(addedKinds, q.Part.Class) && !safeSwitch || !guards(q).IsZero() && !clampKind(&q.Part) || regulator(q) {
		why = append(why, unknownly("class", message.Of("map.nothing"), kindOf(&q.Part)))
	}
	if !ofSignal(q.Function) {
		why = append(why, unknownly("function", message.Of("map.nothing"), quoted(q.Function)))
	}
	bare := Position{Part: part.Part{Class: q.Part.Class}}
	if !saidQuietly(shift{q, q}, "", q.Notes) {
		why = append(why, unknownly("notes", message.Of("map.nothing"), quoted(q.Notes)))
	}
	if q.Part.Text != "" && !typedHarmlessly(partShift{shift{q, q}, &bare.Part, &q.Part}) {
		why = append(why, unknownly("text", message.Of("map.nothing"), quoted(q.Part.Text)))
	}
	if q.Rail != "" && !isRail(q.Rail) {
		why = append(why, unknownly("rail", message.Of("map.nothing"), quoted(q.Rail)))
	}
	if !overRail(q, q.Part.Voltage) || !overRail(q, q.Wanted().Voltage) {
		why = append(why, unknownly("voltage", message.Of("map.nothing"), message.Text(q.Wanted().Voltage.String())))
	}
	if q.Replacement != nil {
		original := *q
		original.Replacement = nil
		why = append(why, unshown(&original, q, nil)...)
		why = append(why, partHazards(&q.Part, &q.Replacement.Part)...)
	}
	return why
}

// added gives the items of a newer list that the older one lacks.
func added[T any](m *matching, news []T) []*T {
	var out []*T
	for k, i := range m.was {
		if i < 0 {
			out = append(out, &news[k])
		}
	}
	return out
}
