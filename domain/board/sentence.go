package board

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/part"
)

// longest is how many characters of a text a sentence quotes.
const longest = 120

// placed names a position and where it is.
func placed(p *Position) string {
	return fmt.Sprintf("%s at (%s, %s)", p.Designator, number(p.X), number(p.Y))
}

func prefixed(prefix, s string) string {
	if s == "" {
		return ""
	}
	return prefix + s
}

func choice(b *bool, yes, no string) string {
	switch {
	case b == nil:
		return ""
	case *b:
		return yes
	}
	return no
}

func kindOf(p *part.Part) string {
	return strings.TrimSpace(string(p.Construction) + " " + string(p.Class))
}

// describe spells a part: value and ratings, and whatever it has otherwise
// than the part it is compared with. Alone, its kind leads.
func describe(p, other *part.Part) string {
	var words []string
	if other == nil || kindOf(p) != kindOf(other) {
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
	return strings.Join(words, " ")
}

// factOf is what a part says of a member; what is printed stands in
// quotation marks.
func factOf(m *part.Member, p *part.Part) string {
	if m.Name == "text" && p.Text != "" {
		return quoted(p.Text)
	}
	return m.Said(p)
}

// tell adds what a part says of a member.
func tell(words []string, m *part.Member, p, other *part.Part) []string {
	said := factOf(m, p)
	alike := other == nil || m.Same(p, other)
	switch {
	case said != "" && (m.Told || !alike):
		return append(words, said)
	case said == "" && !alike:
		return append(words, "("+m.Absent+")")
	}
	return words
}

// partSentence tells the change of a part and how grave it is.
func partSentence(where string, p, q *Position) (Severity, string) {
	a, b := &p.Part, &q.Part
	if sameButExtra(a, b) {
		return Editorial, fmt.Sprintf("Only own members (x-…) of the part of %s have changed.", where)
	}
	s, why := graded(append(phrases(partHazards(a, b)), phrases(placeHazards(p, q))...))
	return s, fmt.Sprintf("%s was %s, is now %s%s.", where, describe(a, b), describe(b, a), why)
}

// graded turns reasons into a severity and the tail of a sentence.
func graded(why []string) (Severity, string) {
	if len(why) == 0 {
		return Material, ""
	}
	return Hazard, ": " + strings.Join(why, ", ")
}

// because ends a sentence with reasons.
func because(sentence string, why []string) string {
	_, tail := graded(why)
	return strings.TrimSuffix(sentence, ".") + tail + "."
}

// weighed is a sentence with its reasons, and how grave they make it.
func weighed(sentence string, why []string) (Severity, string) {
	s, _ := graded(why)
	return s, because(sentence, why)
}

func polaritySentence(where string, a, b *float64) (Severity, string) {
	switch {
	case a == nil:
		return Material, fmt.Sprintf("The negative lead of %s is now known to point to %s°.", where, number(*b))
	case b == nil:
		return Hazard, fmt.Sprintf("The negative lead of %s pointed to %s°, now nothing says where: polarity lost.", where, number(*a))
	case sameAngle(*a, *b):
		return Editorial, fmt.Sprintf("The direction of the negative lead of %s is written %s° instead of %s°, which is the same.", where, number(*b), number(*a))
	case polarityTurned(a, b):
		return Hazard, fmt.Sprintf("The negative lead of %s pointed to %s°, points now to %s°: polarity turned.", where, number(*a), number(*b))
	}
	return Material, fmt.Sprintf("The negative lead of %s pointed to %s°, points now to %s°.", where, number(*a), number(*b))
}

// replacementSentence tells what is to be fitted now; it is a hazard if that
// bears less than what was to be fitted before.
func replacementSentence(a, b *Position) (Severity, string) {
	x, y := a.Replacement, b.Replacement
	where := placed(b)
	if x != nil && y != nil && samePart(&x.Part, &y.Part) {
		if x.Reason == y.Reason {
			return Editorial, fmt.Sprintf("Only own members (x-…) of the replacement for %s have changed.", where)
		}
		return weighed(fmt.Sprintf("The reason for the replacement of %s was %s, is now %s.", where, quoted(x.Reason), quoted(y.Reason)),
			phrases(wordHazards("the reason", x.Reason, y.Reason, noted(a, b))))
	}
	was, is := a.Wanted(), b.Wanted()
	s, why := graded(append(phrases(wantedHazards(a, b)), phrases(wordHazards("the reason", reasonOf(a), reasonOf(b), noted(a, b)))...))
	switch {
	case x == nil:
		return s, fmt.Sprintf("%s is now to be replaced by %s%s. Reason: %s", where, describe(is, was), why, sentence(y.Reason))
	case y == nil:
		return s, fmt.Sprintf("%s was to be replaced by %s, is now to be replaced by its like, %s%s.", where, describe(was, is), describe(is, was), why)
	case sameButExtra(&x.Part, &y.Part):
		return Editorial, fmt.Sprintf("Only own members (x-…) of the replacement for %s have changed.", where)
	}
	return s, fmt.Sprintf("%s was to be replaced by %s, is now to be replaced by %s%s.", where, describe(was, is), describe(is, was), why)
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

func frameSentence(t *Transform, from, to jsontext.Value) string {
	var parts []string
	if t != nil {
		parts = append(parts, t.sentence())
	}
	if !sameValue(from, to) {
		parts = append(parts, "The frame: "+memberSentence(from, to))
	}
	return strings.Join(parts, " ")
}

// sentence names the transform.
func (t *Transform) sentence() string {
	var did []string
	if t.Mirrored {
		did = append(did, "mirrored left to right")
	}
	if t.Turned != 0 {
		did = append(did, fmt.Sprintf("turned by %s° counter-clockwise", number(t.Turned)))
	}
	if t.Shift != [2]float64{} {
		did = append(did, fmt.Sprintf("shifted by (%s, %s) mm", number(t.Shift[0]), number(t.Shift[1])))
	}
	if t.Sides {
		did = append(did, "given with top and bottom exchanged")
	}
	s := fmt.Sprintf("The whole board is %s in its frame; all places follow.", joined(did))
	if t.Kept {
		s += " Rotations are written as before."
	}
	return s
}

func joined(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

// list quotes nothing and joins names as in prose.
func list(names []string) string {
	if len(names) > 8 {
		return strings.Join(names[:8], ", ") + fmt.Sprintf(" and %d more", len(names)-8)
	}
	return joined(names)
}

// memberSentence tells the members of two objects that are not the same.
func memberSentence(from, to jsontext.Value) string {
	a, errA := members(from)
	b, errB := members(to)
	if errA != nil || errB != nil {
		return "it has changed."
	}
	dropSame(a, b)
	return changeSentence(a, b)
}

// changeSentence says what two objects that share no value have otherwise.
func changeSentence(a, b object) string {
	names := sortedKeys(a)
	for _, n := range sortedKeys(b) {
		if _, both := a[n]; !both {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	parts := make([]string, len(names))
	for i, n := range names {
		was, is := "was", "is"
		if several(n) {
			was, is = "were", "are"
		}
		parts[i] = fmt.Sprintf("%s %s %s, %s now %s", words(n), was, shown(n, a), is, shown(n, b))
	}
	if len(parts) == 0 {
		return "it is there now or no longer, without saying anything."
	}
	return strings.Join(parts, "; ") + "."
}

// words is a member's name as people say it.
func words(member string) string {
	if strings.HasPrefix(member, "x-") {
		return member
	}
	member = strings.TrimSuffix(strings.TrimSuffix(member, "_mm"), "_deg")
	return strings.ReplaceAll(member, "_", " ")
}

// several tells that a member's name is a plural, such as notes.
func several(member string) bool {
	return strings.HasSuffix(member, "s") && !strings.HasSuffix(member, "ss") && !strings.HasSuffix(member, "is")
}

// shown is a member's value in words.
func shown(name string, o object) string {
	v, there := o[name]
	if !there {
		return "not given"
	}
	switch v.Kind() {
	case '"':
		var s string
		if json.Unmarshal(v, &s) == nil {
			return quoted(s)
		}
	case '0':
		return figureWords(name, v)
	case 't':
		return "yes"
	case 'f':
		return "no"
	case '[':
		var names []string
		if json.Unmarshal(v, &names) == nil && len(names) > 0 {
			return clip(list(names))
		}
	}
	return clip(string(v))
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
func quoted(s string) string {
	if s == "" {
		return "not given"
	}
	return "“" + clip(s) + "”"
}

// clip shortens a text at a character's boundary.
func clip(s string) string {
	if utf8.RuneCountInString(s) <= longest {
		return s
	}
	return string([]rune(s)[:longest-1]) + "…"
}
