package kit

import (
	"strings"
	"unicode"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// asides are words with which a row of a list speaks of the order, not of a
// part: its head, its sums, its carriage and tax, a greeting; fillers are what may
// stand before them. Both are in reading's lexicon.
var asides, fillers = orderWords("word"), orderWords("filler")

func orderWords(of string) map[string]bool {
	out := map[string]bool{}
	for _, w := range reading.ListWords("order") {
		if w.Of == of {
			out[w.Word] = true
		}
	}
	return out
}

// aside reports whether a text plainly speaks of no part: the order's own words
// come first in it, or it has no figure and names no part, or a class alone as a
// heading does.
func aside(text string) bool {
	w := first(text)
	if asides[w] {
		return true
	}
	if strings.ContainsFunc(text, unicode.IsDigit) {
		return false
	}
	if w == "" {
		return false
	}
	read, err := part.Read(text, quantity.Context{Found: "list"})
	return err != nil || len(read.LeftOver) == 0
}

// first is the first word of a text that matters, without "your" or "plus"
// before it.
func first(text string) string {
	for w := range strings.FieldsFuncSeq(strings.ToLower(text), func(r rune) bool {
		return !unicode.IsLetter(r) &&
			!unicode.IsDigit(r)
	}) {
		if !fillers[w] {
			return w
		}
	}
	return ""
}
