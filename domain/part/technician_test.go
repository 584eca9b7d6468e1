package part

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestTechnician holds the reader to lines that a technician read first: a
// reading that is sure must hold every piece that is expected; of all lines
// nine tenths are read right or told.
func TestTechnician(t *testing.T) {
	for _, file := range []string{"part-lines.txt", "bench-lines.txt", "hostile-lines.txt", "trust-lines.txt",
		"fresh-lines.txt", "odd-lines.txt", "shop-lines.txt", "drawer-lines.txt"} {
		rows, right, told := 0, 0, 0
		for _, l := range corpusOf(t, file) {
			rows++
			got, err := Read(l.text, l.context)
			fits := err == nil && slices.ContainsFunc(got.Readings,
				func(x Reading) bool { return holds(x.Canonical, l.want) })
			open := strings.Contains("|"+l.want+"|", "|?|")
			switch {
			case fits && !open, open && (err != nil || !got.Sure):
				right++
			case err != nil || !got.Sure:
				told++
				t.Logf("told, not read: %s\n got  %s\n want %s", l.text, describe(l.text, l.context), l.want)
			}
			if err == nil && got.Sure && (!fits || open) {
				t.Errorf("sure, and wrong: %s\n got  %s\n want %s", l.text, describe(l.text, l.context), l.want)
			}
		}
		t.Logf("%s: of %d lines %d are right and %d told", file, rows, right, told)
		if (right+told)*10 < rows*9 || right*20 < rows*17 {
			t.Errorf("%s: of %d lines only %d are right and %d told", file, rows, right, told)
		}
	}
}

// holds reports whether a spelled part has all the pieces that are expected, and
// none of those that must not be there.
func holds(canonical, want string) bool {
	said := denials.ReplaceAllString(canonical, "")
	for piece := range strings.SplitSeq(want, "|") {
		bare, not := strings.CutPrefix(piece, "-")
		if piece != "?" && strings.Contains(blanks(said), blanks(bare)) == not {
			return false
		}
	}
	return true
}

// denials are what a text says that the part is not, which it then does not say of it.
var denials = regexp.MustCompile(`not [^ "]+`)

// blanks writes names of the vocabulary as they are spelled.
func blanks(s string) string { return strings.ReplaceAll(s, "-", " ") }
