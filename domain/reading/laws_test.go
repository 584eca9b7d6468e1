package reading

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"boardlore/domain/quantity"
)

// texts are the lines of the corpora, without what is expected of them.
func texts(t testing.TB) (all []string) {
	for _, file := range []string{"lines.txt", "part-lines.txt", "bench-lines.txt", "hostile-lines.txt",
		"trust-lines.txt", "fresh-lines.txt", "odd-lines.txt"} {
		data, err := os.ReadFile("../part/testdata/" + file)
		if err != nil {
			t.Fatal(err)
		}
		for row := range strings.Lines(string(data)) {
			if text, _, ok := strings.Cut(row, " => "); ok && row[0] != '#' {
				if _, rest, ok := strings.Cut(text, "] "); ok && text[0] == '[' {
					text = rest
				}
				all = append(all, text)
			}
		}
	}
	return all
}

// measured are the members that a part and a kind of quantity both have.
var measured = map[string]quantity.Kind{"voltage": quantity.Voltage, "current": quantity.Current,
	"power":     quantity.Power,
	"endurance": quantity.Duration, "temperature_max": quantity.Temperature}

// disagreement tells what the two entries make of one text where that is not the same: what is sure of a part is among
// what its kind of quantity says, and what is sure of a kind is what a part that is sure has. Either may refuse.
func disagreement(text string) (told string, compared int) {
	got, err := Part(text, quantity.Context{Found: "list"})
	if err != nil || !got.Sure {
		return "", 0
	}
	x := got.Readings[0]
	for _, f := range x.Fields {
		kind := measured[f.Member]
		if f.Member == "value" {
			kind = setOf(x.Class).valueKind()
		}
		if kind == 0 || x.Class == "varistor" {
			continue // whose value and rating are both voltages
		}
		one, err := Quantity(text, kind, quantity.Context{Found: "list", Class: x.Class, Construction: fieldOf(&x,
			"construction")})
		if err != nil {
			continue
		}
		compared++
		if !slices.ContainsFunc(one.Amounts, func(a Amount) bool { return a.Quantity == f.Quantity }) {
			return fmt.Sprintf("%q: the part's %s is %s, the quantity %v", text, f.Member, f.Value, one.Amounts),
				compared
		}
	}
	return "", compared
}

func fieldOf(x *Reading, member string) string {
	for _, f := range x.Fields {
		if f.Member == member {
			return f.Value
		}
	}
	return ""
}

// TestEntriesAgree holds that over every line.
func TestEntriesAgree(t *testing.T) {
	compared := 0
	for _, text := range texts(t) {
		told, n := disagreement(text)
		if told != "" {
			t.Error(told)
		}
		compared += n
	}
	if compared < 700 {
		t.Errorf("only %d compared", compared)
	}
}

// TestEntriesAgreeOnRandomTexts holds it over words of the lines in any company and order, the same ones each time.
func TestEntriesAgreeOnRandomTexts(t *testing.T) {
	var words []string
	for _, text := range texts(t) {
		words = append(words, strings.Fields(text)...)
	}
	random, compared := rand.New(rand.NewPCG(11, 12)), 0
	for range 10_000 {
		pick := make([]string, 1+random.IntN(6))
		for i := range pick {
			pick[i] = words[random.IntN(len(words))]
		}
		told, n := disagreement(strings.Join(pick, []string{" ", ", ", "/", ""}[random.IntN(4)]))
		if compared += n; told != "" {
			t.Error(told)
		}
	}
	if compared < 500 {
		t.Errorf("only %d compared", compared)
	}
}

// TestNegationTurns holds that a negation before a yes-or-no term never leaves a reading sure and as it was, in every
// language that we read.
func TestNegationTurns(t *testing.T) {
	lines := []struct{ before, term, behind string }{
		{"47 µF 63 V", "bipolar", ""}, {"100 nF 275 V film", "X2", ""}, {"10 Ω 1 W resistor", "flameproof", ""},
		{"CR2032", "tabs", ""}, {"470 µF 16 V", "low ESR", "105 °C"}, {"3.6 V Ni-MH", "rechargeable", ""},
		{"fuse 2 A", "slow", "250 V"}, {"fuse 2 A", "T", "250 V"}, {"47 µF 16 V", "SMD", ""},
		{"potentiometer 10 kΩ", "log", ""},
		{"resistor 10 Ω 1 W", "fusible", ""}, {"100 nF 50 V", "X7R", ""}, {"1 µF 63 V", "film", ""},
		{"47 µF", "16 V", ""},
	}
	for _, not := range []string{"not", "no", "non", "without", "nicht", "kein", "keine", "ohne", "pas", "sans",
		"senza", "sin", "niet", "geen", "zonder", "nie", "bez", "не", "без", "never"} {
		for _, l := range lines {
			plain, err1 := Part(strings.TrimSpace(l.before+" "+l.term+" "+l.behind), quantity.Context{})
			turned, err2 := Part(strings.TrimSpace(l.before+" "+not+" "+l.term+" "+l.behind), quantity.Context{})
			if err1 != nil {
				t.Fatalf("%v: %v", l, err1)
			}
			if err2 == nil && turned.Sure && members(&turned.Readings[0]) == members(&plain.Readings[0]) {
				t.Errorf("%s %s %s is sure and as without its negation: %s", l.before, not, l.term,
					members(&turned.Readings[0]))
			}
		}
	}
}

// members writes what a reading says, but for what it says that the part is not.
func members(x *Reading) string {
	w := []string{x.Class, x.Text}
	for _, f := range x.Fields {
		if f.Member != "not" && f.Member != "text" {
			w = append(w, f.Member+" "+f.Value)
		}
	}
	slices.Sort(w)
	return strings.Join(w, ", ")
}

// TestUnknownWordNeverMakesSurer holds that a word that nobody knows, put anywhere, never makes a reading surer.
func TestUnknownWordNeverMakesSurer(t *testing.T) {
	all := texts(t)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(all).Draw(t, "line")
		words := strings.Fields(text)
		at := rapid.IntRange(0, len(words)).Draw(t, "at")
		word := rapid.SampledFrom([]string{"zorbly", "Quenk", "XQZ", "qwxyz", "вжух", "ぬぬ"}).Draw(t, "word")
		more := strings.Join(slices.Insert(slices.Clone(words), at, word), " ")
		plain, err := Part(text, quantity.Context{})
		got, err2 := Part(more, quantity.Context{})
		if err2 == nil && got.Sure && (err != nil || !plain.Sure) {
			t.Fatalf("%q is sure and %q is not: %s", more, text, members(&got.Readings[0]))
		}
	})
}

// numberForms are the forms of numbers as people write them, and what they stand for.
var numberForms = []struct {
	text string
	coef int64
	exp  int
}{
	{"47", 47, 0}, {"4.7", 47, -1}, {"4,7", 47, -1}, {"0.47", 47, -2}, {",47", 47, -2}, {".47", 47, -2}, {"1/2", 5, -1},
	{"3/4", 75, -2}, {"½", 5, -1},
	{"1 1/2", 15, -1}, {"1-1/2", 15, -1}, {"1½", 15, -1}, {"1'000", 1, 3}, {"1 000", 1, 3}, {"10 000", 1, 4},
	{"1,000,000", 1, 6}, {"1.000.000", 1, 6}, {"4.7e-3", 47, -4}, {"1E+3", 1, 3},
	{"1,234.5", 12345, -1}, {"1.234,5", 12345, -1}, {"４７", 47, 0},
}

// TestNumberFormsWithUnits holds that every form of number works with every unit, against it and apart, or is refused:
// never is it another number.
func TestNumberFormsWithUnits(t *testing.T) {
	units := map[quantity.Kind]map[string]int{
		quantity.Capacitance: {"pF": -12, "nF": -9, "µF": -6, "uF": -6, "F": 0}, quantity.Resistance: {"Ω": 0, "kΩ": 3,
			"MΩ": 6, "ohm": 0, "mΩ": -3},
		quantity.Inductance: {"nH": -9, "µH": -6, "mH": -3, "H": 0}, quantity.Voltage: {"V": 0, "kV": 3, "mV": -3,
			"VDC": 0}, quantity.Current: {"A": 0, "mA": -3, "µA": -6},
		quantity.Power: {"W": 0, "mW": -3, "kW": 3}, quantity.Frequency: {"Hz": 0, "kHz": 3, "MHz": 6},
		quantity.Duration:    {"hours": 0, "hrs": 0},
		quantity.Temperature: {"°C": 0},
	}
	classes := map[quantity.Kind]string{quantity.Capacitance: "capacitor", quantity.Resistance: "resistor",
		quantity.Inductance: "inductor", quantity.Voltage: "relay",
		quantity.Current: "fuse", quantity.Power: "resistor", quantity.Frequency: "crystal",
		quantity.Duration: "capacitor", quantity.Temperature: "capacitor"}
	member := map[quantity.Kind]string{quantity.Voltage: "voltage", quantity.Current: "current",
		quantity.Power: "power", quantity.Duration: "endurance", quantity.Temperature: "temperature_max"}
	refused, read := 0, 0
	for kind, all := range units {
		for unit, power := range all {
			for _, n := range numberForms {
				want, ok := quantity.New(n.coef, n.exp+power, kind.Unit())
				for _, text := range []string{n.text + unit, n.text + " " + unit} {
					got, err := Quantity(text, kind, quantity.Context{Class: classes[kind], Found: "list"})
					part, err2 := Part(text, quantity.Context{Class: classes[kind], Found: "list"})
					if err != nil {
						refused++
					} else if read++; got.Sure && (!ok || got.Amounts[0].Quantity != want) {
						t.Errorf("%q is read as %v; want %v", text, got.Amounts[0].Quantity, want)
					}
					if err2 != nil || !part.Sure {
						continue
					}
					name := member[kind]
					if name == "" {
						name = "value"
					}
					for _, f := range part.Readings[0].Fields {
						if f.Member == name && f.Quantity != want {
							t.Errorf("a part's %q is read as %v; want %v", text, f.Quantity, want)
						}
					}
				}
			}
		}
	}
	if read < 9*refused {
		t.Errorf("%d read, %d refused", read, refused)
	}
}

// TestHostileTextsEndSoon holds that the longest text that is read, and texts far longer, cost little.
func TestHostileTextsEndSoon(t *testing.T) {
	for _, unit := range []string{"C1 ", "1/", "5x", "X2", "not ", "1+", "1-", "10 ", "47µF ", "((((", "\"\" ", "1.1.",
		"not not ", "電", "rouge ", "A1-", "²", "µ", "12V/"} {
		for _, size := range []int{MaxText, 4 << 20} {
			text := strings.Repeat(unit, size/len(unit))
			if size == MaxText {
				text = string([]rune(text)[:min(len([]rune(text)), MaxText)])
			}
			start := time.Now()
			_, _ = Part(text, quantity.Context{})
			_, _ = Explain(text, quantity.Context{})
			for k := quantity.Capacitance; k <= quantity.Energy; k++ {
				_, _ = Quantity(text, k, quantity.Context{})
			}
			if d := time.Since(start); d > time.Second {
				t.Errorf("%d bytes of %q took %v", len(text), unit, d)
			}
		}
	}
}

// TestScrambledTextsEnd holds that lines torn and joined at random, with signs and letters of other scripts among them,
// never make a panic. The first ones once did.
func TestScrambledTextsEnd(t *testing.T) {
	for _, text := range []string{"0,1мкФ 275 нH", "1 к20p J", " 1,6 кA E 250 V", "100 Кohm 1206 1%", "\u0327 47µF",
		"2А\u0301 5", "00000000\u0341", "10´k", "\"x\" ~5 V", "\"x\",5 V", "\"\"\"\" .5", "1゛0k"} {
		_, _ = Explain(text, quantity.Context{})
	}
	for _, found := range []string{"marking", "order-code"} {
		_, _ = Part("CE", quantity.Context{Class: "varistor", Found: found})
	}
	all := texts(t)
	signs := []string{"\u0327", "½", "²", "\u200b", "º", "Ω", "µ", "\"", "-", "/", "+", "×", "…", "電", "к", "К", "㎌",
		"\xff", "(", "=", ".", "°", "E", "not ", " ", "１"}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom(all).Draw(t, "line")
		for range rapid.IntRange(1, 4).Draw(t, "signs") {
			at := rapid.IntRange(0, len(text)).Draw(t, "at")
			text = text[:at] + rapid.SampledFrom(signs).Draw(t, "sign") + text[at:]
		}
		c := quantity.Context{Class: rapid.SampledFrom(append([]string{""}, Classes...)).Draw(t, "class"),
			Found: rapid.SampledFrom([]string{"", "list", "marking", "order-code"}).Draw(t, "found")}
		_, _ = Explain(text, c)
		for k := quantity.Capacitance; k <= quantity.Energy; k++ {
			_, _ = Quantity(text, k, c)
		}
	})
}
