package part

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"boardlore/domain/quantity"
)

// line is a row of the corpus: what was written, and what a technician makes of
// it.
type line struct {
	text, want string
	context    quantity.Context
}

func corpus(t testing.TB) []line { return corpusOf(t, "lines.txt") }

func corpusOf(t testing.TB, file string) (all []line) {
	data, err := os.ReadFile(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	for row := range strings.Lines(string(data)) {
		row = strings.TrimRight(row, "\n")
		if row == "" || row[0] == '#' {
			continue
		}
		text, want, ok := strings.Cut(row, " => ")
		if !ok {
			t.Fatalf("%q has no reading", row)
		}
		l := line{text: text, want: want}
		if class, rest, ok := strings.Cut(text, "] "); ok && text[0] == '[' {
			l.context.Class, l.text = class[1:], rest
		}
		all = append(all, l)
	}
	return all
}

// TestLines goes over lines as people write them.
func TestLines(t *testing.T) {
	all := corpus(t)
	for _, l := range all {
		if got := describe(l.text, l.context); got != l.want {
			t.Errorf("%s\n got  %s\n want %s", l.text, got, l.want)
		}
	}
	if len(all) < 300 {
		t.Errorf("%d lines are few", len(all))
	}
}
