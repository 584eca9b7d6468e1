package board

import (
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/message"
)

// series is a list of the map whose items have a key of their own.
type series[T any] struct {
	kind    Kind
	list    string // member of the map
	from    []T
	to      []T
	match   matching
	key     func(*T) string
	same    func(a, b *T) bool
	removed func(*T) (Severity, message.Message)
	added   func(*T) (Severity, message.Message)
	changed func(a, b *T) (Severity, message.Message)
}

// compare reports on each item that is new, gone or not the same, then on
// another order and on a list that came or went empty.
func compare[T any](d *differ, s series[T]) {
	for i := range s.from {
		if s.match.now[i] < 0 {
			sev, text := s.removed(&s.from[i])
			d.add(DifferenceEntry{Kind: s.kind, Severity: sev, Sentence: text, Pointer: "/" + s.list + "/" +
				strconv.Itoa(i), From: raw(&s.from[i]), To: null})
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
		d.add(DifferenceEntry{Kind: s.kind, Severity: Editorial, Pointer: "/" + s.list, From: keyList(s.from, s.key),
			To:       keyList(s.to, s.key),
			Sentence: message.Of("difference.order", message.Word("difference.list", s.list))})
	}
	if (s.to == nil) != (s.from == nil && len(s.to) == 0) {
		text := message.Of("difference.list-empty", message.Word("difference.of", s.list))
		if s.to == nil {
			text = message.Of("difference.list-gone", message.Word("difference.of", s.list))
		}
		d.add(DifferenceEntry{Kind: s.kind, Severity: Editorial, Pointer: "/" + s.list,
			From: emptyOrNull(s.from == nil), To: emptyOrNull(s.to == nil), Sentence: text})
	}
}

func emptyOrNull(absent bool) jsontext.Value {
	if absent {
		return null
	}
	return jsontext.Value("[]")
}

func (d *differ) variants() {
	s := series[Variant]{kind: VariantChanged, list: "variants", from: d.from.Variants, to: d.to.Variants,
		key: variantID, same: sameVariant}
	s.match = byKey(s.from, s.to, variantID)
	byContent(&s.match, s.from, s.to, sameVariantContent)
	s.removed = func(v *Variant) (Severity, message.Message) {
		why := d.variantHazards(v, nil)
		if len(why) == 0 {
			why = []message.Message{message.Of("hazard.gone-not-shown")}
		}
		return weighed(message.Of("difference.variant-gone", v.Variant, quoted(v.Title)), why)
	}
	s.added = func(v *Variant) (Severity, message.Message) {
		why := d.variantHazards(nil, v)
		if len(why) == 0 {
			why = newVariantNotShown(v)
		}
		return weighed(message.Of("difference.variant-new", v.Variant, quoted(v.Title), targets(v)), why)
	}
	s.changed = func(a, b *Variant) (Severity, message.Message) {
		why := d.variantHazards(a, b)
		if follows := *a; len(why) == 0 {
			if follows.Changes = newTargets(a.Changes, d.renamed()); sameVariant(&follows, b) {
				return Editorial, message.Of("difference.variant-renames", b.Variant)
			}
		}
		return weighed(message.Of("difference.variant", b.Variant, variantSentence(a, b)),
			orNotShown(why, d, variantMembers, a, b))
	}
	compare(d, s)
}

func targets(v *Variant) message.Message {
	if len(v.Changes) == 0 {
		return message.Of("map.nothing")
	}
	names := make([]string, len(v.Changes))
	for i := range v.Changes {
		names[i] = target(&v.Changes[i])
	}
	slices.SortFunc(names, CompareDesignators)
	return list(slices.Compact(names))
}

func variantSentence(a, b *Variant) message.Message {
	x, y := *a, *b
	x.Changes, y.Changes = nil, nil
	var parts []message.Message
	if !sameVariant(&x, &y) {
		parts = append(parts, message.Of("text.open", memberSentence(raw(&x), raw(&y))))
	}
	if names := changedTargets(a, b); len(names) > 0 {
		parts = append(parts, message.Of("difference.variant-changes", list(names)))
	} else if !slices.EqualFunc(a.Changes, b.Changes, sameChange) || (a.Changes == nil) != (b.Changes == nil) {
		parts = append(parts, message.Of("difference.variant-rewritten"))
	}
	return message.Of("difference.sentence", message.Semicolons(parts))
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
	s := series[FailurePoint]{kind: FailurePointKind, list: "failure_points", from: d.from.FailurePoints,
		to: d.to.FailurePoints, key: failurePointID, same: sameFailurePoint}
	s.match = byKey(s.from, s.to, failurePointID)
	byContent(&s.match, s.from, s.to, sameFailurePointContent)
	s.removed = func(f *FailurePoint) (Severity, message.Message) {
		return Hazard, message.Of("difference.point-gone", f.ID, quoted(f.Title))
	}
	s.added = func(f *FailurePoint) (Severity, message.Message) {
		says := message.Of("difference.point-new", f.ID, quoted(f.Title))
		if bars(f) {
			says = message.Of("difference.point-new-barring", f.ID, quoted(f.Title))
		}
		if d.bearsOn(f) {
			return weighed(says, []message.Message{message.Of("hazard.words-of-safety")})
		}
		return weighed(says, notShown(d, failurePointMembers,
			&FailurePoint{ID: f.ID, Positions: f.Positions, Severity: f.Severity}, f))
	}
	s.changed = func(a, b *FailurePoint) (Severity, message.Message) {
		follows := *a
		if follows.Positions = newNames(a.Positions, d.renamed()); sameFailurePoint(&follows, b) {
			return Editorial, message.Of("difference.point-renames", b.ID)
		}
		return weighed(message.Of("difference.point", b.ID, memberSentence(raw(a), raw(b))),
			orNotShown(phrases(d.failurePointHazards(&follows, b, d.bearsOn(a, b))), d, failurePointMembers, &follows, b))
	}
	compare(d, s)
}

func (d *differ) measurements() {
	s := series[Measurement]{kind: FailurePointKind, list: "checks", from: d.from.Checks, to: d.to.Checks,
		key: measurementID, same: sameMeasurement}
	s.match = byKey(s.from, s.to, measurementID)
	byContent(&s.match, s.from, s.to, sameMeasurementContent)
	s.removed = func(c *Measurement) (Severity, message.Message) {
		why := phrases(d.checkHazards(c, nil))
		if len(why) == 0 {
			why = []message.Message{message.Of("hazard.gone-not-shown")}
		}
		return weighed(message.Of("difference.check-gone", c.ID, quoted(c.Title)), why)
	}
	s.added = func(c *Measurement) (Severity, message.Message) {
		why := phrases(d.newCheckHazards(c))
		if len(why) == 0 {
			why = d.newCheckNotShown(c)
		}
		return weighed(message.Of("difference.check-new", c.ID, quoted(c.Title)), why)
	}
	s.changed = func(a, b *Measurement) (Severity, message.Message) {
		follows := *a
		if follows.Between = newPoints(a.Between, d.renamed()); sameMeasurement(&follows, b) {
			return Editorial, message.Of("difference.check-renames", b.ID)
		}
		return weighed(message.Of("difference.check", b.ID, memberSentence(raw(a), raw(b))),
			orNotShown(phrases(d.checkHazards(a, b)), d, measurementMembers, a, b))
	}
	compare(d, s)
}

// cautions have no ID: they are known by their text, and what is left over is
// taken as rewritten, in order. To rewrite a caution is a hazard, since only a
// person can tell that the new text warns of the same; case, blanks and the
// stop at the end don't matter.
func (d *differ) cautions() {
	s := series[Caution]{kind: CautionKind, list: "cautions", from: d.from.Cautions, to: d.to.Cautions,
		key: cautionText, same: sameCaution}
	s.match = byKey(s.from, s.to, cautionText)
	byContent(&s.match, s.from, s.to, func(a, b *Caution) bool { return unstyled(a.Text) == unstyled(b.Text) })
	byContent(&s.match, s.from, s.to, func(*Caution, *Caution) bool { return true })
	s.removed = func(c *Caution) (Severity, message.Message) {
		return Hazard, message.Of("difference.caution-gone", quoted(c.Text))
	}
	s.added = func(c *Caution) (Severity, message.Message) {
		says := message.Of("difference.caution-new", quoted(c.Text))
		if d.speaksOfRelevant(c.Text) || !plainCaution(c.Text) {
			return weighed(says, []message.Message{message.Of("hazard.words-of-safety")})
		}
		return Material, says
	}
	s.changed = func(a, b *Caution) (Severity, message.Message) {
		switch {
		case a.Text == b.Text && later(a, b):
			return Hazard, because(message.Of("difference.caution", quoted(b.Text), memberSentence(raw(a), raw(b))),
				[]message.Message{message.Of("hazard.comes-later")})
		case a.Text == b.Text:
			return Material, message.Of("difference.caution", quoted(b.Text), memberSentence(raw(a), raw(b)))
		case unstyled(a.Text) == unstyled(b.Text) && a.When == b.When:
			return Editorial, message.Of("difference.caution-rewritten", quoted(a.Text), quoted(b.Text))
		}
		return Hazard, message.Of("difference.caution-says", quoted(a.Text), quoted(b.Text))
	}
	compare(d, s)
}

// unstyled is a text without regard to blanks, the look of its punctuation, the
// stop at its end, and the case of words that have no figure in or before
// them: milliohms and megohms are not the same.
func unstyled(s string) string {
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
