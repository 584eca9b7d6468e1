package quantity

import (
	"strings"
	"unicode/utf8"
)

// cyrillicWords are the units of GOST 8.417 in Cyrillic letters, with the prefixes that parts use, and what they are in
// Latin ones. М and м are told apart as M and m are.
var cyrillicWords = func() map[string]string {
	words := map[string]string{"В": "V", "А": "A", "Вт": "W", "Ф": "F", "Ом": "ohm", "Гн": "Hy", "Гц": "Hz", "Дж": "J"}
	prefixes := map[string]string{"п": "p", "н": "n", "мк": "u", "м": "m", "к": "k", "К": "k", "М": "M", "Г": "G"}
	all := map[string]string{"ч": "h", "час": "h", "часов": "h", "мм": "mm", "см": "cm", "С": "C"}
	for u, latin := range words {
		all[u], all[strings.ToLower(u)] = latin, latin
		for p, l := range prefixes {
			all[p+u], all[p+strings.ToLower(u)] = l+latin, l+latin
		}
	}
	for p, l := range prefixes {
		all[p] = l // the letters of a code such as 4К7
	}
	return all
}()

func cyrillic(r rune) bool { return r >= 0x0400 && r <= 0x04ff }

// cyrillicRun is the length of the Cyrillic letters that text begins with, in bytes.
func cyrillicRun(text string) (n int) {
	for n < len(text) {
		r, size := utf8.DecodeRuneInString(text[n:])
		if !cyrillic(r) {
			break
		}
		n += size
	}
	return n
}

// foldCyrillic writes a word of Cyrillic letters: a unit in Latin letters, of anything else one sign a letter.
func foldCyrillic(dst []byte, word string) []byte {
	if latin, ok := cyrillicWords[word]; ok {
		return append(dst, latin...)
	}
	for range utf8.RuneCountInString(word) {
		dst = append(dst, signLetter)
	}
	return dst
}
