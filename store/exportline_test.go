package store_test

import (
	"strings"
	"testing"

	"boardlore/domain/fault"
	"boardlore/store"
)

// What is no line of an export is told as it begins, in letters.
func TestReadLineTellsWhatItRead(t *testing.T) {
	for line, says := range map[string]string{
		`{'act':'release'}`:            `{'act':'release'}`,
		"hello \xff":                   "hello ?",
		"":                             "no line",
		strings.Repeat("long ", 1_000): strings.Repeat("long ", 12),
	} {
		_, _, err := store.ReadLine([]byte(line))
		f, ok := fault.As(err)
		if !ok || f.Code != "load-refused" || !strings.Contains(f.Detail.String(), says) ||
			len(f.Detail.String()) > 200 {
			t.Errorf("%.20q: %v", line, err)
		}
	}
}
