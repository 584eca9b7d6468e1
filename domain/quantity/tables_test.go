package quantity

import (
	"slices"
	"strings"
	"testing"

	"boardlore/domain/tabletest"
)

func TestReferenceSeries(t *testing.T) {
	lists := map[string][]int64{}
	for _, row := range tabletest.Rows(t, "testdata/e-series.csv") {
		coef, exp, ok := decimal(row["value"])
		if !ok {
			t.Fatalf("%q is no number", row["value"])
		}
		for ; exp > -2; exp-- {
			coef *= 10
		}
		lists[row["series"]] = append(lists[row["series"]], coef)
	}
	for s := E3; s <= E192; s++ {
		if got := s.Values(); !slices.Equal(got, lists[s.String()]) {
			t.Errorf("%v is %v; want %v", s, got, lists[s.String()])
		}
		for _, v := range lists[s.String()] {
			for _, exp := range []int{-12, -5, 0, 4} {
				q, _ := New(v, exp, Farad)
				near, ok := Nearest(q, s)
				if !InSeries(q, s) || !ok || near != q {
					t.Errorf("%v is not found in %v: nearest %v", q, s, near)
				}
			}
		}
	}
}

func TestNearest(t *testing.T) {
	for _, tt := range []struct {
		in     string
		series Series
		want   string
	}{
		{"50 µF", E12, "47 µF"}, {"500 µF", E6, "470 µF"}, {"99 Ω", E12, "100 Ω"}, {"32 µF", E12, "33 µF"},
		{"20 nF", E12, "22 nF"}, {"9.5 kΩ", E3, "10 kΩ"}, {"3.16 kΩ", E6, "3.3 kΩ"},
		{"490 Ω", E96, "487 Ω"},
	} {
		q, err := Parse(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := Nearest(q, tt.series); !ok || got.String() != tt.want {
			t.Errorf("nearest of %v to %s is %v; want %s", tt.series, tt.in, got, tt.want)
		}
	}
	for _, q := range []Quantity{{}, must(0, 0, Ohm), must(-47, 0, Celsius)} {
		if got, ok := Nearest(q, E12); ok {
			t.Errorf("%#v has a nearest: %v", q, got)
		}
	}
}

func must(coef int64, exp int, u Unit) Quantity {
	q, ok := New(coef, exp, u)
	if !ok {
		panic("no such quantity")
	}
	return q
}

func TestPreferred(t *testing.T) {
	for _, tt := range []struct {
		in     string
		want   bool
		likely string
	}{
		{"47 µF", true, ""}, {"4.75 kΩ", true, ""}, {"49.9 Ω", true, ""},
		{"50 µF", false, "47 µF"}, {"8 µF", false, "10 µF"}, {"250 µF", false, "220 µF, 270 µF"}, // rule TOL-4
		{"50 nF", false, "47 nF"}, {"25 µF", false, "22 µF, 27 µF, 33 µF"}, {"5000 µF", false, "4700 µF"},
		{"4 µF", false, "3.9 µF, 4.7 µF"},
		{"476 µF", false, "470 µF, 560 µF"}, {"103 Ω", false, "100 Ω, 120 Ω"}, {"990 Ω", false, "1 kΩ, 820 Ω"},
	} {
		q, err := Parse(tt.in)
		if err != nil {
			t.Fatal(err)
		}
		in, likely := Preferred(q)
		var s []string
		for _, l := range likely {
			s = append(s, l.String())
		}
		if got := strings.Join(s, ", "); in != tt.want || got != tt.likely {
			t.Errorf("%s: %v, likely %q; want %v, %q", tt.in, in, got, tt.want, tt.likely)
		}
	}
}
