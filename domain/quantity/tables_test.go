package quantity

import (
	"slices"
	"strings"
	"testing"

	"boardlore/domain/tabletest"
)

// Each letter of the published tables is read in the contexts that it applies to.
func TestReferenceLetters(t *testing.T) {
	for _, row := range tabletest.Rows(t, "testdata/letter-codes.csv") {
		name := row["family"] + " " + row["letter"] + " " + row["applies_to"]
		text, kind, contexts, want := letterCase(t, row)
		for _, c := range contexts {
			got, err := Read(text, kind, c)
			if err != nil || !slices.Contains(spelt(got), want) {
				t.Errorf("%s: %q reads %q, %v; want %q", name, text, spelt(got), err, want)
			}
		}
	}
}

func letterCase(t *testing.T, row map[string]string) (text string, kind Kind, contexts []Context, want string) {
	capacitor, resistor := Context{Class: "capacitor"}, Context{Class: "resistor"}
	chip := Context{Class: "capacitor", Construction: "ceramic", Found: "marking"}
	l := row["letter"]
	switch row["family"] {
	case "tolerance-percent":
		contexts = []Context{resistor}
		if strings.HasPrefix(row["applies_to"], "inductors") {
			contexts = []Context{{Class: "inductor"}}
		}
		return l, ToleranceKind, contexts, "±" + row["high"] + " %"
	case "tolerance-asymmetric":
		return l, ToleranceKind, []Context{capacitor, chip}, "-" + strings.TrimPrefix(row["low"], "-") + " %/+" + row["high"] + " %"
	case "tolerance-absolute":
		return "4R7" + l, ToleranceKind, []Context{chip}, "±" + row["high"] + " pF"
	case "voltage-tantalum-letter":
		return l, Voltage, []Context{{Class: "capacitor", Construction: "tantalum"}, {Construction: "tantalum-polymer", Found: "marking"}}, volts(t, row["low"])
	case "voltage-can-letter":
		return l, Voltage, []Context{{Class: "capacitor", Construction: "aluminium-electrolytic", Found: "marking"}}, volts(t, row["low"])
	case "voltage-two-character":
		return l, Voltage, []Context{{Class: "capacitor", Found: "order-code"}, {Class: "capacitor", Found: "marking"}, capacitor}, volts(t, row["low"])
	case "eia96-multiplier":
		return "01" + l, Resistance, []Context{{Class: "resistor", Found: "marking"}, resistor}, product(t, "100", row["low"], Ohm).String()
	case "value-letter-capacitor":
		return "4" + l + "7", Capacitance, []Context{capacitor, chip}, product(t, "4.7", row["low"], Farad).String()
	case "value-letter-resistor":
		return "4" + l + "7", Resistance, []Context{resistor, {Class: "resistor", Found: "marking"}}, product(t, "4.7", row["low"], Ohm).String()
	case "multiplier-digit-capacitor":
		return "47" + l, Capacitance, []Context{chip}, product(t, "0.000000000047", row["low"], Farad).String()
	case "eia198-chip-figure":
		return l + "3", Capacitance, []Context{chip}, product(t, row["low"], "0.000000001", Farad).String()
	}
	t.Fatalf("no test for the family %q", row["family"])
	return
}

func volts(t *testing.T, s string) string {
	t.Helper()
	return product(t, s, "1", Volt).String()
}

// product multiplies two decimals of which the second is a power of ten.
func product(t *testing.T, a, power string, u Unit) Quantity {
	t.Helper()
	coef, exp, ok1 := decimal(a)
	one, shift, ok2 := decimal(power)
	q, ok := New(coef*one, exp+shift, u)
	if !ok1 || !ok2 || !ok {
		t.Fatalf("%s × %s is no quantity", a, power)
	}
	return q
}

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
		{"50 nF", false, "47 nF"}, {"25 µF", false, "22 µF, 27 µF, 33 µF"}, {"5000 µF", false, "4700 µF"}, {"4 µF", false, "3.9 µF, 4.7 µF"},
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
