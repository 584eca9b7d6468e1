package kit

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/quantity"
)

// TestWrittenLines holds that each line of a list as people write them gives the count, the positions and the part that
// a careful reader of it would.
func TestWrittenLines(t *testing.T) {
	data, err := os.ReadFile("testdata/lists/lines.txt")
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for row := range strings.Lines(string(data)) {
		text, want, ok := strings.Cut(strings.TrimSpace(row), " => ")
		if !ok || row[0] == '#' {
			continue
		}
		n++
		cols := strings.Split(want, "|")
		if got := wrongLine(text, strings.TrimSpace(cols[0]), strings.Fields(cols[1]), pieces(cols[2])); got != "" {
			t.Errorf("%s\n got  %s\n want %s", text, got, want)
		}
	}
	if n < 100 {
		t.Errorf("%d lines are few", n)
	}
}

func pieces(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ';' })
}

// wrongLine says what a line gives where that is not what is wanted.
func wrongLine(text, count string, labels, says []string) string {
	k, problems := ReadList([]byte(text + "\n"))
	if count == "-" || len(k.Lines) != 1 {
		if count == "-" && len(k.Lines) == 0 {
			return ""
		}
		return strconv.Itoa(len(k.Lines)) + " lines of the kit"
	}
	r := reader{m: &board.Map{}, names: newNames(&board.Map{}), context: quantity.Context{Found: "list"}}
	l := r.lines(k)[0]
	got, names := "nothing read", l.named
	if l.offer != nil {
		got = l.offer.Part.String()
	}
	all := strconv.Itoa(l.Quantity) + " | " + strings.Join(names, " ") + " | " + got
	if count == "?" && len(problems) == 0 && l.sure || count != "?" && strconv.Itoa(l.Quantity) != count ||
		len(labels) > 0 && !slices.Equal(names, labels) {
		return all
	}
	for _, piece := range says {
		if !strings.Contains(got, strings.TrimSpace(piece)) {
			return all
		}
	}
	return ""
}
