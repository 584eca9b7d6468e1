package kit

import (
	"regexp"
	"slices"
	"strings"

	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
)

// Designators in a text beside a part.
const (
	designators = list.Pattern
	// places are the words with which a list says where a part goes; common practice.
	places = `for|at|fits|goes to|position|positions|pos\.?|ref\.?|für|fuer|auf|pour|repère|per|para|en|voor|op|dla|na|для|на|用`
)

var (
	before    = regexp.MustCompile(`^(` + designators + `)\s*[:=]\s*(.+)$`)
	bracketed = regexp.MustCompile(`^(.*?)\s*[(\[{]\s*(?:(?i:` + places + `)\s+)?(` + designators + `)\s*[)\]}](.*)$`)
	placed    = regexp.MustCompile(`^(.+?)[\s,;]+(?i:` + places + `)\s+(` + designators + `)(?:[\s,;.)]+(.*))?$`)
	pointed   = regexp.MustCompile(`^(.+?)\s*(?:->|→|=>|⇒|»|>>|\s[-–—])\s*(` + designators + `)\s*\.?$`)
	leads     = regexp.MustCompile(`^(\d{1,6}\s*(?:[x×*]|pcs|st|stk)\.?\s+)?(?:(?i:from|von|da|de|du|od|van|с|от)\s+)?(` + designators + `)\s*[,;]?\s+(.+)$`)
	trails    = regexp.MustCompile(`^(.+?)[\s,;]+(` + designators + `)\s*[.,;]?$`)
	lastOf    = regexp.MustCompile(`^(.*?)([\s,;/&+-]+\S+)$`)
)

// splitLabels takes the designators off a line of text: "C1-C4: 47uF 16V",
// "47uF 16V (for C1 and C2)", "47uF 16V -> C1", "47uF 16V C1 C2".
func splitLabels(text string) (rest, labels string) { return memory(nil).splitLabels(text) }

func (known memory) splitLabels(text string) (rest, labels string) {
	if len(text) > 4*part.MaxText || !named(text) {
		return text, ""
	}
	if strings.ContainsAny(text, ":=") {
		if m := before.FindStringSubmatch(text); m != nil {
			return m[2], m[1]
		}
	}
	if rest, labels = known.labelsAhead(text); labels != "" {
		return rest, labels
	}
	for _, way := range ways {
		if !way.tokens.in(text) {
			continue
		}
		m := way.pattern.FindStringSubmatch(text)
		if m == nil {
			continue
		}
		if rest = strings.TrimSpace(strings.Join(m[1:2], "") + " " + strings.Join(m[3:], " ")); rest != "" &&
			!known.classed(text, rest, m[2]) {
			return rest, m[2]
		}
	}
	return known.labelsBehind(text)
}

// named reports whether letters and figures stand by themselves somewhere, as every designator does: what spares most
// lines the patterns.
func named(text string) bool {
	for i := 0; i < len(text); i++ {
		from := i
		for i < len(text) && isLetter(text[i]) {
			i++
		}
		figures := i
		for i < len(text) && text[i] >= '0' && text[i] <= '9' {
			i++
		}
		shaped := figures > from && i > figures
		if shaped && i < len(text) && isLetter(text[i]) {
			i++
		}
		if shaped && (i == len(text) || !isLetter(text[i]) && (text[i] < '0' || text[i] > '9')) {
			return true
		}
		for i < len(text) && (isLetter(text[i]) || text[i] >= '0' && text[i] <= '9') {
			i++
		}
	}
	return false
}

func isLetter(c byte) bool { return (c|0x20) >= 'a' && (c|0x20) <= 'z' }

// tokens are what has to stand in a text for a pattern to match it, by their first bytes.
type tokens [256][]string

func tokensOf(all ...string) *tokens {
	s := new(tokens)
	for _, t := range all {
		s[t[0]] = append(s[t[0]], t)
	}
	return s
}

func (s *tokens) in(text string) bool {
	low := strings.ToLower(text)
	for i := range len(low) {
		for _, t := range s[low[i]] {
			if strings.HasPrefix(low[i:], t) {
				return true
			}
		}
	}
	return false
}

// ways are the patterns of labels behind or within a text.
var ways = []struct {
	pattern *regexp.Regexp
	tokens  *tokens
}{
	{bracketed, tokensOf("(", "[", "{")},
	{pointed, tokensOf("->", "→", "=>", "⇒", "»", ">>", " -", " –", " —")},
	{placed, tokensOf(strings.Split(strings.ReplaceAll(places, `\.?`, ""), "|")...)},
}

var safetyName = regexp.MustCompile(`^[XYxy][1-4]$`)

// classed reports whether what looks like a designator is rather the safety
// class of the part: (X2) beside a film capacitor, but not beside a crystal.
func (known memory) classed(text, rest, label string) bool {
	return safetyName.MatchString(label) && !known.sameWithout(text, rest, label)
}

// labelsAhead takes off the designators that stand before the part with nothing between: "C1 10uF", "2x C1, C2 10uF".
// They are designators where their letters are those of the part's class and the part reads the same without them,
// which D8 and L12 of a can are not.
func (known memory) labelsAhead(text string) (rest, labels string) {
	m := leads.FindStringSubmatch(text)
	if m == nil {
		return text, ""
	}
	rest, labels = m[3], m[2]
	for range tries {
		if known.sameWithout(text, rest, labels) {
			return m[1] + rest, labels
		}
		shorter := lastOf.FindStringSubmatch(labels)
		if shorter == nil {
			break
		}
		labels, rest = shorter[1], strings.TrimLeft(shorter[2], " ,;")+" "+rest
	}
	return text, ""
}

// labelsBehind takes off those that stand behind it: "47uF 16V C1, C3-C5".
func (known memory) labelsBehind(text string) (rest, labels string) {
	m := trails.FindStringSubmatch(text)
	if m == nil {
		return text, ""
	}
	words := strings.Fields(m[2])
	rest = m[1]
	for i := range min(len(words), tries) {
		if letters(words[i]) && known.sameWithout(text, rest, words[i]) {
			return rest, strings.Join(words[i:], " ")
		}
		rest += " " + words[i]
	}
	return text, ""
}

// letters reports whether a word begins with a letter, as a designator does.
func letters(word string) bool { return word != "" && isLetter(word[0]) }

// tries is how many words may look like designators and be none: D8 L12 H11. Each
// costs three readings, and a long row of designators has nothing else in it.
const tries = 3

// moreClasses are those that a designator's letters stand for besides what
// placement lists take them for, after ASME Y14.44 and the habits of schematics
// (common practice).
var moreClasses = map[string][]part.Class{
	"RV": {part.Varistor}, "VR": {part.Varistor, part.IntegratedCircuit}, "RP": {part.Potentiometer, part.Resistor},
	"POT": {part.Potentiometer},
	"PR":  {part.Potentiometer}, "PTC": {part.Thermistor}, "OK": {part.IntegratedCircuit},
	"OC": {part.IntegratedCircuit}, "GB": {part.Cell},
	"LP": {part.Lamp}, "H": {part.Lamp}, "V": {part.Diode, part.Transistor}, "BR": {part.Diode}, "Z": {part.Diode},
	"TF": {part.Fuse, part.Transformer},
}

// sameWithout reports whether the words kept say the same part as the text, of
// a class that a designator says.
func (known memory) sameWithout(text, short, designator string) bool {
	if short == "" {
		return false
	}
	if class := placement.ClassOf(designator); class != part.Other && known.sameOf(class, text, short) {
		return true
	}
	prefix := strings.ToUpper(designator[:len(designator)-len(strings.TrimLeft(designator, asciiLetters))])
	return slices.ContainsFunc(moreClasses[prefix], func(class part.Class) bool { return known.sameOf(class, text, short) })
}

const asciiLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"

// sameOf reports whether the words kept say the same part as the text, of a class.
func (known memory) sameOf(class part.Class, text, short string) bool {
	free, err := known.readPart(short, quantity.Context{Found: "list"})
	if err != nil || len(ofClass(free.Readings, class)) == 0 {
		return false
	}
	c := quantity.Context{Found: "list", Class: string(class)}
	whole, err := known.readPart(text, c)
	if err != nil {
		return false
	}
	alone, err := known.readPart(short, c)
	return err == nil && slices.EqualFunc(whole.Readings, alone.Readings,
		func(a, b part.Reading) bool { return slices.Equal(membersRead(&a), membersRead(&b)) })
}

// membersRead lists what a reading says, but for type numbers and counts, for which the
// reader takes a designator too: C55/56 is not 56 pieces.
func membersRead(x *part.Reading) []string {
	var all []string
	for _, f := range x.Fields {
		if f.Member != "text" && f.Member != "quantity" {
			all = append(all, f.Member+" "+f.Value)
		}
	}
	return all
}
