// Package messagetest makes a language of which tests see at once what was said
// in it: every sentence stands in brackets, so that what stands outside them is
// either somebody's own text, a name or a figure, or a sentence that no language
// file has.
package messagetest

import (
	"strings"
	"testing"

	"boardlore/domain/message"
)

// The brackets. No sentence and no test's data has them.
const (
	left  = "⟦"
	right = "⟧"
)

// Bracketed is English with its sentences in brackets; en is the text of its
// file. Its tag is that of English with the accents that such made-up languages
// usually have.
func Bracketed(t testing.TB, en string) *message.Language {
	t.Helper()
	var b strings.Builder
	for line := range strings.Lines(en) {
		key, sentence, ok := strings.Cut(strings.TrimSuffix(line, "\n"), " = ")
		if !ok || strings.HasPrefix(line, "#") {
			continue
		}
		b.WriteString(key + " = " + left + sentence + right + "\n")
	}
	l, err := message.Parse("en-XA", b.String())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Outside is what of a text stands in no brackets.
func Outside(text string) string {
	var b strings.Builder
	depth := 0
	for _, r := range text {
		switch string(r) {
		case left:
			depth++
			b.WriteByte(' ')
		case right:
			depth--
		default:
			if depth == 0 {
				b.WriteRune(r)
			}
		}
	}
	return b.String()
}
