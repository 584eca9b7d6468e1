package reading

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Texts of the same sorts as the reference's, and unlike ones, with what was made of them by hand: readings in order,
// "" for a refusal.
var moreTexts = []struct {
	kind    quantity.Kind
	context string // words of described
	text    string
	want    string
}{
	{quantity.Capacitance, "cap", "10m", "10000 µF | 10 µF"},
	{quantity.Capacitance, "cap", "100nJ", "100 nF ±5 %"},
	{quantity.Capacitance, "film mark", "22nK100", "22 nF ±10 %"},
	{quantity.Voltage, "film mark", "22nK100", "100 V"},
	{quantity.ToleranceKind, "film mark", "22nK100", "±10 %"},
	{quantity.Capacitance, "film mark", "µ1K63", "100 nF ±10 %"},
	{quantity.Voltage, "film mark", "µ1K63", "63 V"},
	{quantity.Capacitance, "film mark", ".1K100", "100 nF ±10 %"},
	{quantity.Voltage, "film mark", ".1K100", "100 V"},
	{quantity.Capacitance, "film mark", "2A104J", "100 nF ±5 %"},
	{quantity.Voltage, "film mark", "2A104J", "100 V"},
	{quantity.Capacitance, "film mark", "104J100", "100 nF ±5 %"},
	{quantity.Voltage, "cap", "100n50V", "50 V"},
	{quantity.Capacitance, "cap", "100n50V", "100 nF"},
	{quantity.Voltage, "cap", "10uF25V", "25 V"},
	{quantity.Voltage, "cap", "250VAC 630VDC", "250 V | 630 V"},
	{quantity.Capacitance, "cap", "1,000uF (1000uF)", "1000 µF"},
	{quantity.Capacitance, "cap", "10 220uF", "10220 µF | 220 µF"},
	{quantity.Capacitance, "alu", "47 100V", "47 µF"},
	{quantity.Voltage, "", "1 600 V", "1.6 kV | 600 V"},
	{quantity.Voltage, "", "1 000 V", "1 kV"},
	{quantity.Capacitance, "cap", "2 x 470uF", ""},
	{quantity.Capacitance, "cap", "470uF x2", ""},
	{quantity.Capacitance, "cap", "2*470uF", ""},
	{quantity.Voltage, "cap", "2x470uF 25V", "25 V"},
	{quantity.Capacitance, "alu", "40+20+20uF 450V", "40 µF | 20 µF | 20 µF"},
	{quantity.Voltage, "alu", "50+50µF 350V", "350 V"},
	{quantity.Capacitance, "alu hist", "8-16 MFD 450 V", ""},
	{quantity.Capacitance, "cap", "10..22uF", ""},
	{quantity.Capacitance, "cap", "10 to 22uF", ""},
	{quantity.Capacitance, "cap", "100uF-16V", "100 µF"},
	{quantity.Capacitance, "cap", "~100uF", ""},
	{quantity.Capacitance, "cap", "ca. 100uF", ""},
	{quantity.Capacitance, "cap", "C.1uF", ""},
	{quantity.Capacitance, "cap", "10²pF", ""},
	{quantity.Capacitance, "cap", "1e-6", "1 µF"},
	{quantity.Capacitance, "cap", "1000", "1000 µF | 100 pF | 1 nF"},
	{quantity.Capacitance, "cer mark", "1000", "1 nF | 100 pF"},
	{quantity.Capacitance, "cer mark", "1002", "10 nF"},
	{quantity.Capacitance, "cer mark", "R5", "430 nF | 0.5 pF"},
	{quantity.Capacitance, "cer mark", "47K", "47 nF | 47 pF ±10 %"},
	{quantity.Capacitance, "cer mark", "4R7C", "4.7 pF ±0.25 pF"},
	{quantity.Capacitance, "cap", "100F 2.7V", "100 F"},
	{quantity.Capacitance, "super mark", "104", "0.1 F"},
	{quantity.Capacitance, "cap", "104", "100 nF"},
	{quantity.Capacitance, "cap", "100", "10 pF | 100 µF | 10 µF"},
	{quantity.Capacitance, "alu order", "104", "0.1 F | 100 nF"},
	{quantity.Capacitance, "alu mark", "101", "100 µF | 101 µF"},
	{quantity.Capacitance, "alu mark", "47V", "47 µF"},
	{quantity.Voltage, "alu mark", "47V", "35 V | 47 V"},
	{quantity.Capacitance, "alu mark", "100V", ""},
	{quantity.Voltage, "alu mark", "47J", "6.3 V | 63 V"},
	{quantity.Capacitance, "alu mark", "47 6.3V UD", "47 µF"},
	{quantity.Capacitance, "tant mark", "106K 16V", "10 µF ±10 %"},
	{quantity.Voltage, "tant mark", "476V", "35 V"},
	{quantity.Capacitance, "cap list", "C106", ""},
	{quantity.Capacitance, "alu", "25/100", "25 µF | 100 µF"},
	{quantity.Voltage, "cap", "1V", "35 V | 1 V"},
	{quantity.Voltage, "", "1H", "50 V | 1 H"},
	{quantity.Capacitance, "cap cont", "M1", "100 nF"},
	{quantity.Capacitance, "cap", "47 apples", ""},
	{quantity.Capacitance, "cap", "uF 47", ""},
	{quantity.Capacitance, "cap", "0.1µF X2 275VAC", "100 nF"},
	{quantity.Capacitance, "res", "104", ""},
	{quantity.Capacitance, "res", "10uF", "10 µF"},
	{quantity.Capacitance, "cap", "99999999999999999999uF", ""},
	{quantity.Resistance, "res", "4K7J", "4.7 kΩ ±5 %"},
	{quantity.Resistance, "res", "10KF", "10 kΩ ±1 %"},
	{quantity.Resistance, "res", "104K", "104 kΩ | 100 kΩ ±10 %"},
	{quantity.Resistance, "res", "100", "10 Ω | 100 Ω"},
	{quantity.Resistance, "res list", "102", "102 Ω | 1 kΩ"},
	{quantity.Resistance, "res mark", "47E", "47 Ω | 3.01 MΩ"},
	{quantity.Resistance, "res", "R10 4k7", "4.7 kΩ"},
	{quantity.Resistance, "res", "R10 100", ""},
	{quantity.Resistance, "", "100", "10 Ω | 100 Ω | 10 pF | 10 µH"},
	{quantity.Resistance, "res", "10k 1/4W 5%", "10 kΩ"},
	{quantity.Power, "res", "10k 1/4W 5%", "250 mW"},
	{quantity.Power, "", "1½ W", "1.5 W"},
	{quantity.Power, "", "250 MW", "250 mW | 250000 kW"},
	{quantity.Resistance, "res", "10kW", ""},
	{quantity.Resistance, "res", "1,000", "1 kΩ | 1 Ω"},
	{quantity.Resistance, "pot", "B10K", "10 kΩ"},
	{quantity.Inductance, "ind mark", "220M", "22 µH ±20 %"},
	{quantity.Inductance, "ind", "10M", "10 mH | 10 µH ±20 %"},
	{quantity.Voltage, "varistor", "14D471K", "470 V"},
	{quantity.Current, "fuse", "T3.15AL250V", "3.15 A"},
	{quantity.Voltage, "fuse", "T3.15AL250V", "250 V"},
	{quantity.Current, "fuse", "T630mA 250V 5x20", "630 mA"},
	{quantity.Length, "", "5x11", ""},
	{quantity.Length, "", "RM5", "5 mm"},
	{quantity.Length, "", "0.1\"", "2.54 mm"},
	{quantity.Length, "", "5", ""},
	{quantity.Duration, "", "5,000 hours", "5000 h | 5 h"},
	{quantity.Duration, "", "2000 h @ 105°C", "2000 h"},
	{quantity.Duration, "", "1 s", ""},
	{quantity.Frequency, "", "32.768 kHz", "32.768 kHz"},
	{quantity.Frequency, "", "455 kc", "455 kHz"},
	{quantity.Temperature, "", "-55/+125°C", "-55 °C | 125 °C"},
	{quantity.Temperature, "", "220°F", ""},
	{quantity.ToleranceKind, "", "+50%", ""},
	{quantity.ToleranceKind, "cap", "100uF -10/+50%", "-10 %/+50 %"},
	{quantity.ToleranceKind, "cap", "4n7 J 63V", "±5 %"},
	{quantity.ToleranceKind, "", "C", "±0.25 pF | ±0.25 %"},
	{quantity.Energy, "", "0.35J", "350 mJ"},
}

func described(t *testing.T, words string) quantity.Context {
	var c quantity.Context
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
		all, err := Quantity(tt.text, tt.kind, described(t, tt.context))
		got := all.Amounts
		if joined := strings.Join(withTolerance(got), " | "); joined != tt.want || (err != nil) != (tt.want == "") {
			t.Errorf("%q (%v, %s) reads %q, %v; want %q", tt.text, tt.kind, tt.context, joined, err, tt.want)
		}
	}
}

// withTolerance spells readings with the tolerance that stood beside the value.
func withTolerance(rs []Amount) (s []string) {
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

// TestSpokenInGerman: what is doubted, and why a text is refused, is said in the reader's language.
func TestSpokenInGerman(t *testing.T) {
	german := message.Named("de")
	x, err := Part("100 µF 16 V or 25 V", quantity.Context{})
	if err != nil || len(x.Readings[0].Doubts) == 0 {
		t.Fatal(x, err)
	}
	if got := german.Speak(x.Readings[0].Doubts[0]); got != "„or“ lässt die Wahl; eines festlegen." {
		t.Error(got)
	}
	_, err = Quantity("10 k", quantity.Voltage, quantity.Context{})
	var r *Refusal
	if !errors.As(err, &r) {
		t.Fatal(err)
	}
	if got := german.Speak(r.Say()); !strings.Contains(got, "es steht kein solcher Wert darin (Spannung)") {
		t.Error(got)
	}
}
