package part

import (
	"os"
	"strings"
	"testing"

	"boardlore/domain/quantity"
)

// TestLines goes over lines as people write them, with what a technician makes
// of them.
func TestLines(t *testing.T) {
	data, err := os.ReadFile("testdata/lines.txt")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for line := range strings.Lines(string(data)) {
		line = strings.TrimRight(line, "\n")
		if line == "" || line[0] == '#' {
			continue
		}
		text, want, ok := strings.Cut(line, " => ")
		if !ok {
			t.Fatalf("%q has no reading", line)
		}
		var c quantity.Context
		if class, rest, ok := strings.Cut(text, "] "); ok && text[0] == '[' {
			c.Class, text = class[1:], rest
		}
		n++
		if got := describe(text, c); got != want {
			t.Errorf("%s\n got  %s\n want %s", text, got, want)
		}
	}
	if n < 300 {
		t.Errorf("%d lines are few", n)
	}
}
