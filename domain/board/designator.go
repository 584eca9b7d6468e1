package board

import (
	"cmp"
	"strings"
)

// CompareDesignators orders designators as people do: letters as letters,
// numbers as numbers, so that C2 comes before C10. The order is total:
// designators that differ never compare as equal.
func CompareDesignators(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		var p, q string
		p, x = cutRun(x)
		q, y = cutRun(y)
		if c := compareRuns(p, q); c != 0 {
			return c
		}
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), cmp.Compare(len(a), len(b)), strings.Compare(a, b))
}

// cutRun takes the leading run of digits, or of anything else, from s.
func cutRun(s string) (run, rest string) {
	n := 1
	for n < len(s) && isDigit(s[n]) == isDigit(s[0]) {
		n++
	}
	return s[:n], s[n:]
}

func compareRuns(p, q string) int {
	if !isDigit(p[0]) || !isDigit(q[0]) {
		return strings.Compare(p, q)
	}
	p, q = strings.TrimLeft(p, "0"), strings.TrimLeft(q, "0")
	return cmp.Or(cmp.Compare(len(p), len(q)), strings.Compare(p, q))
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// letters is the class letter part of a designator: "C" of "C12", "TP" of
// "TP3".
func letters(designator string) string {
	for i := range len(designator) {
		if isDigit(designator[i]) {
			return designator[:i]
		}
	}
	return designator
}
