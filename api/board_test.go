package api

import (
	"encoding/csv"
	"strings"
	"testing"
)

func TestFindBoards(t *testing.T) {
	f := serve(t)
	f.release1(t)
	for query, want := range map[string]int{
		"":                             1,
		"?q=fen":                       1,
		"?q=nothing+such":              0,
		"?marking=zzz&marking=FEN":     0,
		"?marking=zzz&marking=yyy":     0,
		"?width_mm=102.5":              1,
		"?width_mm=900.5":              0,
		"?class=relay":                 0,
		"?printed=nothing+such":        0,
		"?sides=both&width_mm=102.5":   0,
		"?maker=nobody&q=fen":          0,
		"?q=fen&class=capacitor":       1,
		"?marking=%22%27%5C&q=fen":     0,
		"?q=%27%3A%2A+%26+%7C+fen":     1,
		"?height_mm=77&width_mm=102.5": 1,
	} {
		a := f.ask(t, "", "GET", "/v1/boards"+query, "").want(t, 200, "")
		if n := len(a.doc["boards"].([]any)); n != want || a.doc["total"] != float64(want) ||
			a.doc["total_exact"] != true {
			t.Errorf("%s: %d found, a total of %v, want %d", query, n, a.doc["total"], want)
		}
	}
	for _, query := range []string{"?width_mm=wide", "?width_mm=0", "?width_mm=NaN", "?printed=ab", "?sides=three",
		"?q=a&q=b"} {
		f.ask(t, "", "GET", "/v1/boards"+query, "").want(t, 400, "parameter-invalid")
	}
	f.ask(t, "", "GET", "/v1/boards", "", "Accept", "application/pdf").want(t, 406, "not-acceptable")
	a := f.ask(t, "", "GET", "/v1/boards", "", "Accept", "text/csv", "Accept-Encoding", "identity").want(t, 200, "")
	rows, err := csv.NewReader(strings.NewReader(string(a.body))).ReadAll()
	if err != nil || len(rows) != 2 || rows[0][0] != "board" || rows[1][0] != "fen-rx2-main" {
		t.Errorf("%q, %v", rows, err)
	}
}
