package board

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/message"
	"boardlore/domain/part"
)

// longest is how many characters of a text a sentence quotes.
const longest = 120

// placed names a position and where it is.
func placed(p *Position) message.Message {
	return message.Of("map.placed", p.Designator, number(p.X), number(p.Y))
}

// kindOf is what sort of part it is: how it is made, and its class.
func kindOf(p *part.Part) message.Message {
	class, made := message.Word("class", p.Class), message.Word("construction", p.Construction)
	switch {
	case made.IsZero():
		return class
	case class.IsZero():
		return made
	}
	return message.Of("map.kind", made, class)
}

// describe spells a part: value and ratings, and whatever it has otherwise
// than the part it is compared with. Alone, its kind leads.
func describe(p, other *part.Part) message.Message {
	var words []message.Message
	if other == nil || p.Class != other.Class || p.Construction != other.Construction {
		words = append(words, kindOf(p))
	}
	for i := range part.Members {
		if m := &part.Members[i]; m.Name != "class" && m.Name != "construction" {
			words = tell(words, m, p, other)
		}
	}
	if len(words) == 0 {
		return kindOf(p)
	}
	return message.Words(words).Say()
}

// factOf is what a part says of a member; what is printed stands in
// quotation marks.
func factOf(m *part.Member, p *part.Part) message.Message {
	if m.Name == "text" && p.Text != "" {
		return quoted(p.Text)
	}
	return m.Said(p)
}

// tell adds what a part says of a member.
func tell(words []message.Message, m *part.Member, p, other *part.Part) []message.Message {
	fact := factOf(m, p)
	alike := other == nil || m.Same(p, other)
	switch {
	case !fact.IsZero() && (m.Told || !alike):
		return append(words, fact)
	case fact.IsZero() && !alike:
		return append(words, message.Of("map.bracketed", m.Absent()))
	}
	return words
}

// partSentence tells the change of a part and how grave it is.
func partSentence(where message.Message, p, q *Position) (Severity, message.Message) {
	a, b := &p.Part, &q.Part
	if sameButExtra(a, b) {
		return Editorial, message.Of("difference.own-members-of-part", where)
	}
	return weighed(message.Of("difference.was-is-now", where, describe(a, b), describe(b, a)),
		append(phrases(partHazards(a, b)), phrases(placeHazards(p, q))...))
}

// because ends a sentence with reasons.
func because(sentence message.Message, why []message.Message) message.Message {
	if len(why) == 0 {
		return sentence
	}
	return message.Of("difference.because", sentence, message.Commas(why))
}

// weighed is a sentence with its reasons, and how grave they make it.
func weighed(sentence message.Message, why []message.Message) (Severity, message.Message) {
	if len(why) == 0 {
		return Material, sentence
	}
	return Hazard, because(sentence, why)
}

func polaritySentence(where message.Message, a, b *float64) (Severity, message.Message) {
	switch {
	case a == nil:
		return Material, message.Of("difference.negative-known", where, degrees(b))
	case b == nil:
		return Hazard, message.Of("difference.negative-lost", where, degrees(a))
	case sameAngle(*a, *b):
		return Editorial, message.Of("difference.negative-rewritten", where, degrees(b), degrees(a))
	case polarityTurned(a, b):
		return Hazard, message.Of("difference.negative-turned", where, degrees(a), degrees(b))
	}
	return Material, message.Of("difference.negative-moved", where, degrees(a), degrees(b))
}

// replacementSentence tells what is to be fitted now; it is a hazard if that
// bears less than what was to be fitted before.
func replacementSentence(a, b *Position) (Severity, message.Message) {
	x, y := a.Replacement, b.Replacement
	where := placed(b)
	if x != nil && y != nil && samePart(&x.Part, &y.Part) {
		if x.Reason == y.Reason {
			return Editorial, message.Of("difference.own-members-of-replacement", where)
		}
		return weighed(message.Of("difference.reason-was", where, quoted(x.Reason), quoted(y.Reason)),
			phrases(wordHazards("reason", x.Reason, y.Reason, noted(a, b))))
	}
	was, is := a.Wanted(), b.Wanted()
	why := append(phrases(wantedHazards(a, b)), phrases(wordHazards("reason", reasonOf(a), reasonOf(b),
		noted(a, b)))...)
	switch {
	case x == nil:
		s, text := weighed(message.Of("difference.replacement-new", where, describe(is, was)), why)
		return s, text.And(message.Of("difference.reason", sentence(y.Reason)))
	case y == nil:
		return weighed(message.Of("difference.replacement-gone", where, describe(was, is), describe(is, was)), why)
	case sameButExtra(&x.Part, &y.Part):
		return Editorial, message.Of("difference.own-members-of-replacement", where)
	}
	return weighed(message.Of("difference.replacement-other", where, describe(was, is), describe(is, was)), why)
}

// sentence ends a text with a full stop.
func sentence(s string) string {
	if s = strings.TrimSpace(clip(s)); s == "" || strings.ContainsRune(".!?…", last(s)) {
		return s
	}
	return s + "."
}

func last(s string) rune {
	r, _ := utf8.DecodeLastRuneInString(s)
	return r
}

func frameSentence(t *Transform, from, to jsontext.Value) message.Message {
	var moved, other message.Message
	if t != nil {
		moved = t.sentence()
	}
	if !sameValue(from, to) {
		other = message.Of("difference.frame", memberSentence(from, to))
	}
	return moved.And(other)
}

// sentence names the transform.
func (t *Transform) sentence() message.Message {
	var did []message.Message
	if t.Mirrored {
		did = append(did, message.Of("difference.mirrored"))
	}
	if t.Turned != 0 {
		did = append(did, message.Of("difference.turned-by", degrees(&t.Turned)))
	}
	if t.Shift != [2]float64{} {
		did = append(did, message.Of("difference.shifted-by", number(t.Shift[0]), number(t.Shift[1])))
	}
	if t.Sides {
		did = append(did, message.Of("difference.sides-exchanged"))
	}
	s := message.Of("difference.board-is", message.All(did))
	if t.Kept {
		s = s.And(message.Of("difference.rotations-kept"))
	}
	return s
}

// maxNamed is how many names a sentence lists before it counts the rest.
const maxNamed = 8

// list joins names as in prose.
func list(names []string) message.Message {
	if len(names) > maxNamed {
		return message.Some(names, maxNamed)
	}
	return message.All(names).Say()
}

// memberSentence tells the members of two objects that are not the same.
func memberSentence(from, to jsontext.Value) message.Message {
	a, errA := members(from)
	b, errB := members(to)
	if errA != nil || errB != nil {
		return message.Of("difference.changed")
	}
	dropSame(a, b)
	return changeSentence(a, b)
}

// changeSentence says what two objects that share no value have otherwise.
func changeSentence(a, b object) message.Message {
	names := sortedKeys(a)
	for _, n := range sortedKeys(b) {
		if _, both := a[n]; !both {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	parts := make([]message.Message, len(names))
	for i, n := range names {
		if several(n) {
			parts[i] = message.Of("difference.members-were", memberName(n), shown(n, a), shown(n, b))
		} else {
			parts[i] = message.Of("difference.member-was", memberName(n), shown(n, a), shown(n, b))
		}
	}
	if len(parts) == 0 {
		return message.Of("difference.without-saying")
	}
	return message.Of("difference.sentence", message.Semicolons(parts))
}

// memberName is a member's name as people say it.
func memberName(member string) message.Message {
	if key := "member." + member; message.English.Has(key) {
		return message.Of(key)
	}
	if strings.HasPrefix(member, "x-") {
		return message.Text(member)
	}
	return message.Text(strings.ReplaceAll(member, "_", " "))
}

// several tells that a member's name is a plural, such as notes.
func several(member string) bool {
	return strings.HasSuffix(member, "s") && !strings.HasSuffix(member, "ss") && !strings.HasSuffix(member, "is")
}

// shown is a member's value in words.
func shown(name string, o object) message.Message {
	v, there := o[name]
	if !there {
		return message.Of("map.not-given")
	}
	switch v.Kind() {
	case '"':
		var s string
		if json.Unmarshal(v, &s) == nil {
			return quoted(s)
		}
	case '0':
		return message.Text(figureWords(name, v))
	case 't':
		return message.Of("page.yes")
	case 'f':
		return message.Of("page.no")
	case '{':
		var limits Range
		if name == "expect" && json.Unmarshal(v, &limits) == nil {
			return rangeWords(&limits)
		}
		if inner, err := members(v); err == nil {
			return memberWords(inner)
		}
	case '[':
		var names []string
		if json.Unmarshal(v, &names) == nil && len(names) > 0 {
			return briefList(names)
		}
	}
	return message.Text(clip(string(v)))
}

// briefList is list, or its beginning where that is long.
func briefList(names []string) message.Message {
	whole := list(names)
	if s := whole.String(); utf8.RuneCountInString(s) > longest {
		return message.Text(clip(s))
	}
	return whole
}

func figureWords(name string, v jsontext.Value) string {
	f, ok := figure(v)
	if !ok || math.Abs(f) >= 1e9 {
		return string(v)
	}
	s := strconv.FormatFloat(f, 'f', -1, 64)
	switch {
	case strings.HasSuffix(name, "_mm"):
		return s + " mm"
	case strings.HasSuffix(name, "_deg"):
		return s + "°"
	}
	return s
}

// quoted sets a text in quotation marks, shortened if it is long.
func quoted(s string) message.Message {
	if s == "" {
		return message.Of("map.not-given")
	}
	return message.Of("map.quoted", clip(s))
}

// clip shortens a text at a character's boundary.
func clip(s string) string {
	if utf8.RuneCountInString(s) <= longest {
		return s
	}
	return string([]rune(s)[:longest-1]) + "…"
}
