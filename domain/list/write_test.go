package list_test

import (
	"encoding/csv"
	"strings"
	"testing"

	"boardlore/domain/list"
)

// What spreadsheets take for a formula, after OWASP's page on CSV injection,
// with the white space that is trimmed before they look.
func TestCSVWithoutFormulas(t *testing.T) {
	for _, c := range []struct{ cell, want string }{
		{"47 µF", "47 µF"}, {"", ""}, {"C1, C2", "C1, C2"}, {"-0.5", "-0.5"}, {"-12", "-12"}, {"3.3", "3.3"},
		{"=1+1", "'=1+1"}, {"+1", "'+1"}, {"-1+2", "'-1+2"}, {"@SUM(A1)", "'@SUM(A1)"}, {"-.", "'-."},
		{" =1", "' =1"}, {"\u00a0=1", "'\u00a0=1"}, {"\u3000＝1", "'\u3000＝1"}, {"＝1", "'＝1"}, {"－1", "'－1"},
		{"＠a", "'＠a"},
		{"\t=1", "'\t=1"}, {"\t1", "'\t1"}, {"\r1", "'\r1"}, {"\u200b=1", "'\u200b=1"}, {"\ufeff=1", "'\ufeff=1"},
	} {
		rows, err := csv.NewReader(strings.NewReader(string(list.CSV([][]string{{c.cell, "x"}})))).ReadAll()
		if err != nil || len(rows) != 1 || rows[0][0] != strings.ReplaceAll(c.want, "\r", "\r") || rows[0][1] != "x" {
			t.Errorf("%q: %q, %v, want %q", c.cell, rows, err, c.want)
		}
	}
}
