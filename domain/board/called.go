package board

import "unicode"

// Called is what a board is called wherever its name stands alone: the
// equipment with the board in it.
func Called(e *Equipment, name string) string {
	return e.Maker + " " + e.Model + ", " + lowerFirst(name)
}

// lowerFirst writes a name as it stands within a sentence, unless it begins with
// more than one capital or figure, as an abbreviation does.
func lowerFirst(s string) string {
	r := []rune(s)
	if len(r) < 2 || !unicode.IsUpper(r[0]) || !unicode.IsLower(r[1]) {
		return s
	}
	r[0] = unicode.ToLower(r[0])
	return string(r)
}
