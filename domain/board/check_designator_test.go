package board_test

import (
	"slices"
	"strings"
	"testing"

	"boardlore/domain/board"
)

// Expectations from Unicode Standard Annex #15 (normal forms) and Unicode
// Technical Standard #39 (mixed scripts, confusables).
func TestDesignatorsAsSeen(t *testing.T) {
	for _, c := range []struct {
		name, designator, code string
		stop                   bool
	}{
		{"Latin", "C1", "", false},
		{"a space inside", "C 1", "", false},
		{"an accent, composed", "É1", "", false},
		{"an accent, decomposed", "E\u03011", "designator-form", true},
		{"zero width space", "C1\u200b", "designator-form", true},
		{"soft hyphen", "C\u00ad1", "designator-form", true},
		{"variation selector", "C1\ufe0f", "designator-form", true},
		{"Hangul filler", "C\u31641", "designator-form", true},
		{"no-break space", "C\u00a01", "designator-form", true},
		{"Cyrillic beside Latin in one", "CС1", "designator-form", true},
		{"Cyrillic that looks Latin", "С9", "designator-letters", false},
		{"Greek that looks Latin", "Κ9", "designator-letters", false},
		{"Cyrillic that does not", "Д9", "", false},
		{"Japanese", "抵抗カ1", "", false},
		{"alike: Cyrillic С1 beside Latin C1", "С1\x00C1", "designator-alike", true},
		{"alike: full width", "Ｃ１\x00C1", "designator-alike", true},
	} {
		names := strings.Split(c.designator, "\x00")
		var ps []string
		for i, n := range names {
			ps = append(ps, strings.Replace(at("Z1", 5+10*float64(i), 5, `"part":{"class":"resistor","value":"10 Ω"}`),
				"Z1", n, 1))
		}
		m := read(t, "{"+frame50+`,"positions":[`+strings.Join(ps, ",")+`]}`)
		var codes []string
		for _, f := range board.Check(m) {
			if strings.HasPrefix(f.Code, "designator-") && f.Code != "designator-class" {
				codes = append(codes, f.Code)
				if f.Code == c.code && (f.Severity == "stop") != c.stop {
					t.Errorf("%s: %+v", c.name, f)
				}
			}
		}
		want := []string{}
		if c.code != "" {
			want = []string{c.code}
		}
		if c.name == "alike: Cyrillic С1 beside Latin C1" || c.name == "alike: full width" {
			if !slices.Contains(codes, c.code) {
				t.Errorf("%s: %v", c.name, codes)
			}
			continue
		}
		if !slices.Equal(codes, want) && len(codes)+len(want) > 0 {
			t.Errorf("%s: %v, want %v", c.name, codes, want)
		}
	}
}
