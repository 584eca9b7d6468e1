package quantity

import (
	"slices"
	"strings"
	"testing"
)

func TestParseIsStrict(t *testing.T) {
	for _, s := range []string{"", "4.7kΩ", "4.70 kΩ", "4700 Ω", "4.7 uF", "4.7 μF", "1 mF", "0.47 µF", "1000 nF", "47",
		" 47 µF", "47 µF ", "1e3 Ω", "-0 Ω", "0 kΩ"} {
		if q, err := Parse(s); err == nil {
			t.Errorf("Parse(%q) takes it as %v", s, q)
		}
	}
	if _, err := Parse("0.47 µF"); err == nil || !strings.Contains(err.Error(), "470 nF") {
		t.Errorf("the refusal does not name the canonical form: %v", err)
	}
}

func TestNoWiderThan(t *testing.T) {
	five := must(47, -13, Farad) // 4.7 pF
	for _, tt := range []struct {
		a, b string
		want bool
	}{
		{"±10 %", "±20 %", true}, {"±20 %", "±10 %", false}, {"±20 %", "-20 %/+80 %", true}, {"-20 %/+80 %", "±20 %",
			false},
		{"±0.25 pF", "±10 %", true}, {"±0.5 pF", "±10 %", false}, {"±5 %", "±0.25 pF", true},
		{"±0.47 pF", "±10 %", true},
	} {
		a, err1 := ParseTolerance(tt.a)
		b, err2 := ParseTolerance(tt.b)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if got := a.NoWiderThan(b, five); got != tt.want {
			t.Errorf("%s no wider than %s at 4.7 pF: %v", tt.a, tt.b, got)
		}
	}
}

func TestKinds(t *testing.T) {
	var names []string
	for k := Capacitance; k <= Energy; k++ {
		back, err := ParseKind(k.String())
		if err != nil || back != k || k.Unit() == None {
			t.Errorf("%v parses as %v, %v, in %v", k, back, err, k.Unit())
		}
		if slices.Contains(names, k.String()) {
			t.Errorf("%v twice", k)
		}
		names = append(names, k.String())
	}
	if _, err := ParseKind("weight"); err == nil {
		t.Error("weight is taken as a kind")
	}
}
