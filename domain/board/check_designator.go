package board

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// names holds designators to what people can tell apart on paper: printable,
// without anything invisible, in one form and one script, and no two alike.
func (c *checker) names() {
	seen := map[string]string{} // by look
	name := func(designator, pointer string) {
		if why := misnamed(designator); !why.IsZero() {
			c.add(finding.Finding{Code: "designator-form", Severity: finding.Stop, Pointer: pointer,
				Found: strconv.QuoteToASCII(designator), Basis: unicodeSecurity,
				Sentence: message.Of("check.designator-form", strconv.QuoteToASCII(designator), why)})
			return
		}
		look := lookOf(designator)
		if other, there := seen[look]; there && other != designator {
			c.add(finding.Finding{Code: "designator-alike", Severity: finding.Stop, Pointer: pointer,
				Found: strconv.QuoteToASCII(designator), Basis: unicodeSecurity,
				Sentence: message.Of("check.designator-alike", strconv.QuoteToASCII(other),
					strconv.QuoteToASCII(designator))})
			return
		}
		seen[look] = designator
		if look != designator && isASCII(look) {
			c.add(finding.Finding{Code: "designator-letters", Severity: finding.Caution, Pointer: pointer,
				Found: strconv.QuoteToASCII(designator), Expected: look, Basis: unicodeSecurity,
				Sentence: message.Of("check.designator-letters", strconv.QuoteToASCII(designator), look)})
		}
	}
	for i := range c.m.Positions {
		name(c.m.Positions[i].Designator, fmt.Sprintf("/positions/%d/designator", i))
	}
	for i := range c.m.Variants {
		for j := range c.m.Variants[i].Changes {
			if p := c.m.Variants[i].Changes[j].Fit; p != nil {
				name(p.Designator, fmt.Sprintf("/variants/%d/changes/%d/fit/designator", i, j))
			}
		}
	}
}

var unicodeSecurity = message.Of("basis.unicode-security")

// misnamed says what is wrong with a designator by itself.
func misnamed(s string) message.Message {
	if isASCII(s) && strings.IndexFunc(s, unicode.IsControl) < 0 {
		return message.Message{}
	}
	if !norm.NFC.IsNormalString(s) {
		return message.Of("check.name-form")
	}
	var scripts []string // names of the Unicode standard
	for _, r := range s {
		if !unicode.IsPrint(r) || unseen(r) {
			return message.Of("check.name-unseen", fmt.Sprintf("%U", r))
		}
		if script := scriptOf(r); script != "" && !slices.Contains(scripts, script) {
			scripts = append(scripts, script)
		}
	}
	if len(scripts) > 1 {
		return message.Of("check.name-scripts", list(scripts))
	}
	return message.Message{}
}

// unseen tells characters that count as printable and show nothing.
func unseen(r rune) bool {
	return unicode.In(r, unicode.Variation_Selector, unicode.Other_Default_Ignorable_Code_Point) || r == '\u2800' ||
		r == '\u3164' || r == '\uffa0'
}

// unknownScript stands for a script that the tables do not have yet.
const unknownScript = "Zzzz"

// scriptOf names the script of a letter; those that are written together in
// one language count as one, and signs as none.
func scriptOf(r rune) string {
	if !unicode.IsLetter(r) || unicode.In(r, unicode.Common, unicode.Inherited) {
		return ""
	}
	switch {
	case unicode.Is(unicode.Latin, r):
		return "Latin"
	case unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul, unicode.Bopomofo):
		return "East Asia"
	}
	for name, table := range unicode.Scripts {
		if unicode.Is(table, r) {
			return name
		}
	}
	return unknownScript
}

func isASCII(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r > unicode.MaxASCII }) < 0
}

// lookalikes are the capital and small letters of Cyrillic and Greek that look
// like Latin ones, by the confusables of Unicode Technical Standard #39 (from
// memory; the letters of designators only).
var lookalikes = strings.NewReplacer(
	"А", "A", "В", "B", "Е", "E", "З", "3", "Ѕ", "S", "І", "I", "Ј", "J", "К", "K", "М", "M", "Н", "H", "О", "O", "Р",
	"P", "С", "C", "Т", "T", "У", "Y", "Х", "X",
	"а", "a", "е", "e", "ѕ", "s", "і", "i", "ј", "j", "о", "o", "р", "p", "с", "c", "у", "y", "х", "x", "ԁ", "d", "һ",
	"h", "ԛ", "q", "ԝ", "w",
	"Α", "A", "Β", "B", "Ε", "E", "Ζ", "Z", "Η", "H", "Ι", "I", "Κ", "K", "Μ", "M", "Ν", "N", "Ο", "O", "Ρ", "P", "Τ",
	"T", "Υ", "Y", "Χ", "X",
	"ο", "o", "ν", "v", "ι", "i", "‐", "-", "‑", "-", "–", "-", "−", "-")

// lookOf is what a designator looks like: forms of width and the like folded,
// look-alikes in Latin.
func lookOf(s string) string {
	if isASCII(s) {
		return s
	}
	return lookalikes.Replace(norm.NFKC.String(s))
}
