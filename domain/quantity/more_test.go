package quantity

import (
	"slices"
	"strings"
	"testing"
)

// Texts of the same sorts as the reference's, and unlike ones, with what was made of them by hand: readings in order,
// "" for a refusal.
var moreTexts = []struct {
	kind    Kind
	context string // words of described
	text    string
	want    string
}{
	{Capacitance, "cap", "10m", "10000 µF | 10 µF"},
	{Capacitance, "cap", "100nJ", "100 nF ±5 %"},
	{Capacitance, "film mark", "22nK100", "22 nF ±10 %"},
	{Voltage, "film mark", "22nK100", "100 V"},
	{ToleranceKind, "film mark", "22nK100", "±10 %"},
	{Capacitance, "film mark", "µ1K63", "100 nF ±10 %"},
	{Voltage, "film mark", "µ1K63", "63 V"},
	{Capacitance, "film mark", ".1K100", "100 nF ±10 %"},
	{Voltage, "film mark", ".1K100", "100 V"},
	{Capacitance, "film mark", "2A104J", "100 nF ±5 %"},
	{Voltage, "film mark", "2A104J", "100 V"},
	{Capacitance, "film mark", "104J100", "100 nF ±5 %"},
	{Voltage, "cap", "100n50V", "50 V"},
	{Capacitance, "cap", "100n50V", "100 nF"},
	{Voltage, "cap", "10uF25V", "25 V"},
	{Voltage, "cap", "250VAC 630VDC", "250 V | 630 V"},
	{Capacitance, "cap", "1,000uF (1000uF)", "1000 µF"},
	{Capacitance, "cap", "10 220uF", "10220 µF | 220 µF"},
	{Capacitance, "alu", "47 100V", "47 µF"},
	{Voltage, "", "1 600 V", "1.6 kV | 600 V"},
	{Voltage, "", "1 000 V", "1 kV"},
	{Capacitance, "cap", "2 x 470uF", ""},
	{Capacitance, "cap", "470uF x2", ""},
	{Capacitance, "cap", "2*470uF", ""},
	{Voltage, "cap", "2x470uF 25V", "25 V"},
	{Capacitance, "alu", "40+20+20uF 450V", "40 µF | 20 µF | 20 µF"},
	{Voltage, "alu", "50+50µF 350V", "350 V"},
	{Capacitance, "alu hist", "8-16 MFD 450 V", ""},
	{Capacitance, "cap", "10..22uF", ""},
	{Capacitance, "cap", "10 to 22uF", ""},
	{Capacitance, "cap", "100uF-16V", "100 µF"},
	{Capacitance, "cap", "~100uF", ""},
	{Capacitance, "cap", "ca. 100uF", ""},
	{Capacitance, "cap", "C.1uF", ""},
	{Capacitance, "cap", "10²pF", ""},
	{Capacitance, "cap", "1e-6", "1 µF"},
	{Capacitance, "cap", "1000", "1000 µF | 100 pF | 1 nF"},
	{Capacitance, "cer mark", "1000", "1 nF | 100 pF"},
	{Capacitance, "cer mark", "1002", "10 nF"},
	{Capacitance, "cer mark", "R5", "430 nF | 0.5 pF"},
	{Capacitance, "cer mark", "47K", "47 nF | 47 pF ±10 %"},
	{Capacitance, "cer mark", "4R7C", "4.7 pF ±0.25 pF"},
	{Capacitance, "cap", "100F 2.7V", "100 F"},
	{Capacitance, "super mark", "104", "0.1 F"},
	{Capacitance, "cap", "104", "100 nF"},
	{Capacitance, "cap", "100", "10 pF | 100 µF | 10 µF"},
	{Capacitance, "alu order", "104", "0.1 F | 100 nF"},
	{Capacitance, "alu mark", "101", "100 µF | 101 µF"},
	{Capacitance, "alu mark", "47V", "47 µF"},
	{Voltage, "alu mark", "47V", "35 V | 47 V"},
	{Capacitance, "alu mark", "100V", ""},
	{Voltage, "alu mark", "47J", "6.3 V | 63 V"},
	{Capacitance, "alu mark", "47 6.3V UD", "47 µF"},
	{Capacitance, "tant mark", "106K 16V", "10 µF ±10 %"},
	{Voltage, "tant mark", "476V", "35 V"},
	{Capacitance, "cap list", "C106", ""},
	{Capacitance, "alu", "25/100", "25 µF | 100 µF"},
	{Voltage, "cap", "1V", "35 V | 1 V"},
	{Voltage, "", "1H", "50 V | 1 H"},
	{Capacitance, "cap cont", "M1", "100 nF"},
	{Capacitance, "cap", "47 apples", ""},
	{Capacitance, "cap", "uF 47", ""},
	{Capacitance, "cap", "0.1µF X2 275VAC", "100 nF"},
	{Capacitance, "res", "104", ""},
	{Capacitance, "res", "10uF", "10 µF"},
	{Capacitance, "cap", "99999999999999999999uF", ""},
	{Resistance, "res", "4K7J", "4.7 kΩ ±5 %"},
	{Resistance, "res", "10KF", "10 kΩ ±1 %"},
	{Resistance, "res", "104K", "104 kΩ | 100 kΩ ±10 %"},
	{Resistance, "res", "100", "10 Ω | 100 Ω"},
	{Resistance, "res list", "102", "102 Ω | 1 kΩ"},
	{Resistance, "res mark", "47E", "47 Ω | 3.01 MΩ"},
	{Resistance, "res", "R10 4k7", "4.7 kΩ"},
	{Resistance, "res", "R10 100", ""},
	{Resistance, "", "100", "10 Ω | 100 Ω | 10 pF | 10 µH"},
	{Resistance, "res", "10k 1/4W 5%", "10 kΩ"},
	{Power, "res", "10k 1/4W 5%", "250 mW"},
	{Power, "", "1½ W", "1.5 W"},
	{Power, "", "250 MW", "250 mW | 250000 kW"},
	{Resistance, "res", "10kW", ""},
	{Resistance, "res", "1,000", "1 kΩ | 1 Ω"},
	{Resistance, "pot", "B10K", "10 kΩ"},
	{Inductance, "ind mark", "220M", "22 µH ±20 %"},
	{Inductance, "ind", "10M", "10 mH | 10 µH ±20 %"},
	{Voltage, "varistor", "14D471K", "470 V"},
	{Current, "fuse", "T3.15AL250V", "3.15 A"},
	{Voltage, "fuse", "T3.15AL250V", "250 V"},
	{Current, "fuse", "T630mA 250V 5x20", "630 mA"},
	{Length, "", "5x11", ""},
	{Length, "", "RM5", "5 mm"},
	{Length, "", "0.1\"", "2.54 mm"},
	{Length, "", "5", ""},
	{Duration, "", "5,000 hours", "5000 h | 5 h"},
	{Duration, "", "2000 h @ 105°C", "2000 h"},
	{Duration, "", "1 s", ""},
	{Frequency, "", "32.768 kHz", "32.768 kHz"},
	{Frequency, "", "455 kc", "455 kHz"},
	{Temperature, "", "-55/+125°C", "-55 °C | 125 °C"},
	{Temperature, "", "220°F", ""},
	{ToleranceKind, "", "+50%", ""},
	{ToleranceKind, "cap", "100uF -10/+50%", "-10 %/+50 %"},
	{ToleranceKind, "cap", "4n7 J 63V", "±5 %"},
	{ToleranceKind, "", "C", "±0.25 pF | ±0.25 %"},
	{Energy, "", "0.35J", "350 mJ"},
}

func described(t *testing.T, words string) Context {
	var c Context
	for _, w := range strings.Fields(words) {
		switch w {
		case "cap":
			c.Class = "capacitor"
		case "res":
			c.Class = "resistor"
		case "ind":
			c.Class = "inductor"
		case "pot":
			c.Class = "potentiometer"
		case "fuse", "varistor":
			c.Class = w
		case "cer":
			c.Class, c.Construction = "capacitor", "ceramic"
		case "film":
			c.Class, c.Construction = "capacitor", "film"
		case "tant":
			c.Class, c.Construction = "capacitor", "tantalum"
		case "alu":
			c.Class, c.Construction = "capacitor", "aluminium-electrolytic"
		case "super":
			c.Class, c.Construction = "capacitor", "supercapacitor"
		case "mark":
			c.Found = "marking"
		case "order":
			c.Found = "order-code"
		case "list":
			c.Found = "list"
		case "en", "de", "fr":
			c.Language = w
		case "hist":
			c.Historic = true
		case "cont":
			c.Continental = true
		default:
			t.Fatalf("what is %q?", w)
		}
	}
	return c
}

func TestMoreTexts(t *testing.T) {
	for _, tt := range moreTexts {
		got, err := Read(tt.text, tt.kind, described(t, tt.context))
		if joined := strings.Join(withTolerance(got), " | "); joined != tt.want || (err != nil) != (tt.want == "") {
			t.Errorf("%q (%v, %s) reads %q, %v; want %q", tt.text, tt.kind, tt.context, joined, err, tt.want)
		}
	}
}

// withTolerance spells readings with the tolerance that stood beside the value.
func withTolerance(rs []Reading) (s []string) {
	for _, r := range rs {
		c := r.Canonical()
		if !r.Tolerance.IsZero() && !r.Quantity.IsZero() {
			c += " " + r.Tolerance.String()
		}
		s = append(s, c)
	}
	return s
}

func sorted(s []string) string {
	slices.Sort(s)
	return strings.Join(s, " | ")
}

func TestParseIsStrict(t *testing.T) {
	for _, s := range []string{"", "4.7kΩ", "4.70 kΩ", "4700 Ω", "4.7 uF", "4.7 μF", "1 mF", "0.47 µF", "1000 nF", "47", " 47 µF", "47 µF ", "1e3 Ω", "-0 Ω", "0 kΩ"} {
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
		{"±10 %", "±20 %", true}, {"±20 %", "±10 %", false}, {"±20 %", "-20 %/+80 %", true}, {"-20 %/+80 %", "±20 %", false},
		{"±0.25 pF", "±10 %", true}, {"±0.5 pF", "±10 %", false}, {"±5 %", "±0.25 pF", true}, {"±0.47 pF", "±10 %", true},
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
