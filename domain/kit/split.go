package kit

import (
	"regexp"
	"slices"
	"strings"

	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
)

// Designators in a text beside a part: C1, C3-C5; C1 bis C4; C55/56; c53+c54.
const (
	oneDesignator = `[A-Za-z]{1,4}\d{1,4}[A-Za-z]?`
	joined        = `(?:\s*(?:[-–—…,;/+&~～〜、]|\.\.\.?)\s*|\s+(?:to|thru|through|bis|and|und|et|à|a|al|y|e|en|tot|t/m|do|i|oraz|и|до|по)\s+|\s+)`
	designators   = oneDesignator + `(?:` + joined + `(?:[A-Za-z]{1,4})?\d{1,4}[A-Za-z]?\b)*`
	// places are the words with which a list says where a part goes; common practice.
	places = `for|at|fits|goes to|position|positions|pos\.?|ref\.?|für|fuer|auf|pour|repère|per|para|en|voor|op|dla|na|для|на|用`
)

var (
	before    = regexp.MustCompile(`^(` + designators + `)\s*[:=]\s*(.+)$`)
	bracketed = regexp.MustCompile(`^(.*?)\s*[(\[{]\s*(?:(?i:` + places + `)\s+)?(` + designators + `)\s*[)\]}](.*)$`)
	placed    = regexp.MustCompile(`^(.+?)[\s,;]+(?i:` + places + `)\s+(` + designators + `)(?:[\s,;.)]+(.*))?$`)
	pointed   = regexp.MustCompile(`^(.+?)\s*(?:->|→|=>|⇒|»|>>|\s[-–—])\s*(` + designators + `)\s*\.?$`)
	bareLabel = regexp.MustCompile(`^(?:[A-Za-z]{1,3}\d{1,4}(?:[-–…,;/+]|\.\.\.?)?)+(?:[,-]?\d{1,4})*[,;]?$`)
	joiner    = regexp.MustCompile(`^(?i:[-–—…&+]|to|thru|through|bis|and|und|et|à|tot|t/m|oraz|до)$`)
)

// splitLabels takes the designators off a line of text: "C1-C4: 47uF 16V",
// "47uF 16V (for C1 and C2)", "47uF 16V -> C1", "47uF 16V C1 C2".
func splitLabels(text string) (rest, labels string) {
	if len(text) > 4*part.MaxText || !named(text) {
		return text, ""
	}
	if strings.ContainsAny(text, ":=") {
		if m := before.FindStringSubmatch(text); m != nil {
			return m[2], m[1]
		}
	}
	for _, way := range ways {
		if !way.tokens.in(text) {
			continue
		}
		m := way.pattern.FindStringSubmatch(text)
		if m == nil {
			continue
		}
		if rest = strings.TrimSpace(strings.Join(m[1:2], "") + " " + strings.Join(m[3:], " ")); rest != "" && !classed(text, rest, m[2]) {
			return rest, m[2]
		}
	}
	return bareLabels(text)
}

// named reports whether a figure follows a letter somewhere, as in every
// designator: what spares most lines the patterns.
func named(text string) bool {
	for i := 1; i < len(text); i++ {
		if c, d := text[i-1]|0x20, text[i]; c >= 'a' && c <= 'z' && d >= '0' && d <= '9' {
			return true
		}
	}
	return false
}

// tokens are what has to stand in a text for a pattern to match it.
type tokens []string

func (s tokens) in(text string) bool {
	low := strings.ToLower(text)
	return slices.ContainsFunc(s, func(sign string) bool { return strings.Contains(low, sign) })
}

// ways are the patterns of labels behind or within a text.
var ways = []struct {
	pattern *regexp.Regexp
	tokens  tokens
}{
	{bracketed, tokens{"(", "[", "{"}},
	{pointed, tokens{"->", "→", "=>", "⇒", "»", ">>", " -", " –", " —"}},
	{placed, placeSigns()},
}

func placeSigns() tokens {
	var out tokens
	for _, w := range strings.Split(strings.ReplaceAll(places, `\.?`, ""), "|") {
		out = append(out, w)
	}
	return out
}

var safetyName = regexp.MustCompile(`^[XYxy][1-4]$`)

// classed reports whether what looks like a designator is rather the safety
// class of the part: (X2) beside a film capacitor, but not beside a crystal.
func classed(text, rest, label string) bool {
	return safetyName.MatchString(label) && !sameWithout(text, strings.Fields(rest), label)
}

// bareLabels takes off the designators that stand before or behind the part
// with nothing between: "C1 10uF", "47uF 16V C1, C3-C5". They are designators
// where their letters are those of the part's class and the part reads the same
// without them, which D8 and L12 of a can are not.
func bareLabels(text string) (rest, labels string) {
	words := strings.Fields(text)
	if len(words) > mostWords {
		return text, ""
	}
	front := run(words, +1)
	for i := front; i > max(0, front-tries); i-- {
		if !joiner.MatchString(words[i-1]) && sameWithout(text, words[i:], words[0]) {
			return strings.Join(words[i:], " "), strings.Join(words[:i], " ")
		}
	}
	back := len(words) - run(words, -1)
	for i := back; i < min(len(words), back+tries); i++ {
		if !joiner.MatchString(words[i]) && sameWithout(text, words[:i], words[i]) {
			return strings.Join(words[:i], " "), strings.Join(words[i:], " ")
		}
	}
	return text, ""
}

// tries is how many words may look like designators and be none: D8 L12 H11. Each
// costs three readings, and a long row of designators has nothing else in it.
const tries = 3

// mostWords is how many words a line may have whose designators stand bare.
const mostWords = 60

// run is how many words from the beginning, or with step -1 from the end, may be
// designators and what joins them; one word is left at least.
func run(words []string, step int) int {
	n := 0
	for n < len(words)-1 {
		w := words[n]
		if step < 0 {
			w = words[len(words)-1-n]
		}
		if !bareLabel.MatchString(w) && (n == 0 || !joiner.MatchString(w)) {
			break
		}
		n++
	}
	return n
}

// sameWithout reports whether the words kept say the same part as the text, of
// the class that a designator says.
func sameWithout(text string, kept []string, designator string) bool {
	class := placement.ClassOf(designator)
	if class == part.Other || len(kept) == 0 {
		return false
	}
	short := strings.Join(kept, " ")
	free, err := readPart(short, quantity.Context{Found: "list"})
	if err != nil || len(ofClass(free.Readings, class)) == 0 {
		return false
	}
	c := quantity.Context{Found: "list", Class: string(class)}
	whole, err := readPart(text, c)
	if err != nil {
		return false
	}
	alone, err := readPart(short, c)
	return err == nil && slices.EqualFunc(whole.Readings, alone.Readings, func(a, b part.Reading) bool { return slices.Equal(said(&a), said(&b)) })
}

// said lists what a reading says, but for type numbers and counts, for which the
// reader takes a designator too: C55/56 is not 56 pieces.
func said(x *part.Reading) []string {
	var all []string
	for _, f := range x.Fields {
		if f.Member != "text" && f.Member != "quantity" {
			all = append(all, f.Member+" "+f.Value)
		}
	}
	return all
}
