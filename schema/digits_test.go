package schema

import (
	"regexp"
	"testing"

	"pgregory.net/rapid"
)

// TestManyDigits holds the look-out for long numbers to the expression that says
// what it looks for.
func TestManyDigits(t *testing.T) {
	says := regexp.MustCompile(`[0-9.]{16,}|[eE][-+]?[0-9]{2,}`)
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`([0-9.]{0,17}|[eE][-+]?[0-9]{0,3}|[a-f" ,+-]){0,8}`).Draw(t, "text")
		if got, want := manyDigits([]byte(s)), says.MatchString(s); got != want {
			t.Fatalf("%q: %v, want %v", s, got, want)
		}
	})
}
