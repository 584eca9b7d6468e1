package store

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

// fold makes texts that people take for the same the same: lower case, without
// accents.
func fold(s string) string {
	s = column(s)
	t := transform.Chain(norm.NFKD, runes.Remove(runes.In(unicode.Mn)), norm.NFC)
	out, _, err := transform.String(t, strings.ToLower(s))
	if err != nil { // not UTF-8, which no document is
		return strings.ToLower(s)
	}
	return out
}

func notWord(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// column makes a text fit for a column of its own: PostgreSQL's text has no
// U+0000, which JSON has.
func column(s string) string { return strings.ReplaceAll(s, "\x00", "\ufffd") }

// words are the folded words of a text.
func words(s string) []string { return strings.FieldsFunc(fold(s), notWord) }

// squash folds a marking down to its letters and digits, since nobody can tell
// a space from a dash in old etching.
func squash(s string) string { return strings.Join(words(s), "") }

// squashAll folds several, each once.
func squashAll(texts []string) []string {
	out := []string{} // none, which an array column tells from not known
	for _, t := range texts {
		out = append(out, squash(t))
	}
	return unique(out)
}

// unique sorts what can stand in an index, each once.
func unique(s []string) []string {
	slices.Sort(s)
	s = slices.Compact(s)
	return slices.DeleteFunc(s, func(w string) bool { return w == "" || len(w) > 1000 })
}

// gramLength is how many characters in a row a text is indexed by, and so the
// least of it that can be searched for.
const gramLength = 3

// grams are every gramLength characters in a row of the texts, each once.
func grams(texts ...string) []string {
	out := []string{}
	for _, t := range texts {
		r := []rune(t)
		for i := 0; i+gramLength <= len(r); i++ {
			out = append(out, string(r[i:i+gramLength]))
		}
	}
	return unique(out)
}
