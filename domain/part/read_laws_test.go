package part

import (
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
	"pgregory.net/rapid"

	"boardlore/domain/quantity"
)

// drawPart draws a part of any class with the members that such parts have, and
// some that they should not.
func drawPart(t *rapid.T) Part {
	p := drawOfClass(t, pick(t, "class", Names(Classes)...)).Part
	if kind, valued := ValueKind(p.Class); p.Value.Unit() != kind.Unit() || !valued {
		p.Value = quantity.Quantity{}
	}
	switch p.Class {
	case Resistor:
		p.Construction = Construction(pick(t, "resistor", "", "metal-film", "carbon-film", "wirewound", "fusible",
			"unheard-of"))
	case Thermistor, Potentiometer:
		p.Text = pick(t, "kind", "", "NTC", "PTC", "trimmer", "linear", "logarithmic", "linear low ESR")
	case Diode, Transistor, IntegratedCircuit:
		p.Text = pick(t, "type", "", "1N4148", "BC547B", "2SC1815", "LM317", "74HC00", "Zener", "4011 B")
	case Cell:
		p.Text = pick(t, "cell", "", "CR2032", "CR2032 tabbed", "LR44", "60 mAh", "CR1/3N")
	}
	p.Text = pick(t, "words", p.Text, p.Text, p.Text, `printed "x" 5`, "10 µF", "low ESR long life", "AC", "tabbed",
		"T", "9")
	if !p.Value.IsZero() && rapid.Bool().Draw(t, "other value") {
		p.Value = drawValue(t, p.Value.Unit())
	}
	return p
}

func drawValue(t *rapid.T, u quantity.Unit) quantity.Quantity {
	coef := rapid.Int64Range(1, 9999).Draw(t, "figures")
	exp := rapid.IntRange(-3, 3).Draw(t, "power")
	if u == quantity.Farad {
		exp -= 9
	}
	v, ok := quantity.New(coef, exp, u)
	if !ok {
		t.Fatal("out of range")
	}
	return v
}

// TestSpelledPartReadsBack holds that what String spells reads back as the same
// part, of every class and with every member.
func TestSpelledPartReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPart(t)
		text := p.String()
		got, err := Read(text, quantity.Context{})
		if err != nil || len(got.Readings) != 1 || len(got.LeftOver) > 0 {
			t.Fatalf("%s: %+v, %v", text, got, err)
		}
		if x := got.Readings[0].Part; !reflect.DeepEqual(x, p) {
			t.Fatalf("%s reads as\n%+v, want\n%+v", text, x, p)
		}
		if c := got.Readings[0].Canonical; c != text {
			t.Fatalf("%s is spelled %s", text, c)
		}
	})
}

// TestLinesReadBack holds the same of every line of the corpus that reads one
// way.
func TestLinesReadBack(t *testing.T) {
	for _, l := range corpus(t) {
		got, err := Read(l.text, l.context)
		if err != nil {
			continue
		}
		for i := range got.Readings {
			x := &got.Readings[i]
			again, err := Read(x.Canonical, quantity.Context{})
			if err != nil || len(again.Readings) != 1 || !reflect.DeepEqual(again.Readings[0].Part, x.Part) ||
				len(again.LeftOver) > 0 {
				t.Errorf("%s: %s reads as %+v, %v", l.text, x.Canonical, again, err)
			}
		}
	}
}

// TestWritingDoesNotMatter holds that a line reads the same in other blanks,
// full width, composed otherwise, and in all capitals or none where no unit
// lives by its case.
func TestWritingDoesNotMatter(t *testing.T) {
	for _, l := range corpus(t) {
		want := describe(l.text, l.context)
		for name, f := range map[string]func(string) string{
			"more blanks": func(s string) string { return "  " + strings.ReplaceAll(s, " ", "   ") + "\t" },
			"no-break":    func(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") },
			"narrow":      func(s string) string { return strings.ReplaceAll(s, " ", "\u202f") },
			"full width":  fullWidth,
			"decomposed":  decompose,
		} {
			if got := describe(f(l.text), l.context); plainLeft(got) != plainLeft(want) {
				t.Errorf("%s, %s:\n got  %s\n want %s", l.text, name, got, want)
			}
		}
		if caseMatters(l.text) {
			continue
		}
		for name, f := range map[string]func(string) string{"capitals": strings.ToUpper, "small": strings.ToLower} {
			if got := describe(f(l.text), l.context); !strings.EqualFold(got, want) {
				t.Errorf("%s, %s:\n got  %s\n want %s", l.text, name, got, want)
			}
		}
	}
}

// plainLeft leaves out the words left over, which stand as they were written.
func plainLeft(s string) string {
	before, _, _ := strings.Cut(s, " / ")
	return before
}

// caseMatters reports whether a line has a unit or letter that its case gives
// its meaning: mΩ and MΩ, mH, n of nano and of a type number, a tolerance.
func caseMatters(text string) bool {
	for w := range strings.FieldsFuncSeq(text, func(r rune) bool { return unicode.IsSpace(r) || r == '/' }) {
		if len(w) == 1 || slices.Contains([]string{"TT2A", "1N60"}, w) {
			return true
		}
		for _, s := range []string{"mΩ", "mOhm", "MMF", "MFD", "mH", "1M5", "X1", "X2", "X3", "x2", "4u7u", "N750", "ß",
			"104K", "104J", "103K", "473K", "103M", "472M", "222K", "107C", "mR", "0+", "12K4", "100nK", "1m", "2.2k",
			"12M", "1M", "1N34A", "4N25", "2M2", "10k", "4k7", "22n", "ABX"} {
			if strings.Contains(w, s) {
				return true
			}
		}
	}
	return false
}

func fullWidth(s string) string {
	return strings.Map(func(r rune) rune {
		if r > ' ' && r <= '~' && r != '"' {
			return r - '!' + '！'
		}
		return r
	}, s)
}

func decompose(s string) string { return norm.NFD.String(s) }

// TestOrderDoesNotMatter holds that the words of a rating may stand in any
// order.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := pick(t, "line",
			[]string{"Elko", "47 µF", "16 V", "105 °C", "5x11", "RM2", "low ESR", "±20 %", "2000 h", "bipolar"},
			[]string{"100n", "50V", "X7R", "0805", "10%", "SMD"},
			[]string{"0,1µF", "MKP", "275V~", "X2", "RM15", "5%"},
			[]string{"10k", "1%", "1/4W", "metal film", "axial"},
			[]string{"T630mA", "250V", "5x20", "glass"},
			[]string{"1 A", "träge", "250 V", "Sicherung", "5x20"},
			[]string{"CR2032", "3V", "tabbed"},
			[]string{"470 µF", "ESR 0.05 Ω", "ripple 1.2 A", "25 V", "-20/+80 %", "8 mm x 12 mm"})
		shuffled := rapid.Permutation(words).Draw(t, "order")
		want, err := Read(strings.Join(words, " "), quantity.Context{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := Read(strings.Join(shuffled, " "), quantity.Context{})
		if err != nil || len(got.Readings) != len(want.Readings) || len(got.LeftOver) > 0 {
			t.Fatalf("%q: %+v, %v", shuffled, got, err)
		}
		a, b := got.Readings[0], want.Readings[0]
		a.Part.Text, b.Part.Text = "", ""
		if !reflect.DeepEqual(a.Part, b.Part) || !reflect.DeepEqual(a.Body, b.Body) || a.Quantity != b.Quantity {
			t.Fatalf("%q reads as %s %+v; want %s %+v", shuffled, a.Canonical, a.Body, b.Canonical, b.Body)
		}
	})
}

// fataler is what *testing.T and *rapid.T have alike.
type fataler interface {
	Fatalf(format string, args ...any)
}

// checkCover holds what is true of every answer: spans lie in the text, and
// every letter and figure is in a field of some reading or left over.
func checkCover(t fataler, text string, got Text) {
	n := utf8.RuneCountInString(text)
	covered := make([]bool, n)
	for _, s := range got.Spans {
		for k := s.Span[0]; k < s.Span[1] && s.State == "understood"; k++ {
			covered[k] = true // a word that says nothing is understood and in no field
		}
	}
	for i := range got.Readings {
		for _, f := range got.Readings[i].Fields {
			if f.Span[0] < 0 || f.Span[1] > n || f.Span[0] >= f.Span[1] {
				t.Fatalf("%q: span %v of %s", text, f.Span, f.Member)
			}
			for k := f.Span[0]; k < f.Span[1]; k++ {
				covered[k] = true
			}
		}
		checkOverlap(t, text, got.Readings[i].Fields)
	}
	left := strings.Join(got.LeftOver, " ")
	k := 0
	for _, c := range text {
		written := (unicode.IsLetter(c) || unicode.IsDigit(c)) && c != 'º' // which is read as the sign of a degree
		if written && !covered[k] && !strings.ContainsRune(left, c) {
			t.Fatalf("%q: %q at %d is in no field and not left over (%q)", text, c, k, got.LeftOver)
		}
		k++
	}
}

// checkOverlap holds that two spans are the same, or one holds the other, or
// they are apart: a word is not torn.
func checkOverlap(t fataler, text string, fields []Field) {
	for i, a := range fields {
		for _, b := range fields[i+1:] {
			if a.Span[0] < b.Span[0] && b.Span[0] < a.Span[1] && a.Span[1] < b.Span[1] {
				t.Fatalf("%q: spans %v of %s and %v of %s overlap", text, a.Span, a.Member, b.Span, b.Member)
			}
		}
	}
}

// TestScrambledLines holds the same of the corpus' words put together anyhow,
// joined and torn by the signs that people use.
func TestScrambledLines(t *testing.T) {
	var words []string
	for _, l := range corpus(t) {
		words = append(words, strings.Fields(l.text)...)
	}
	rapid.Check(t, func(t *rapid.T) {
		picked := rapid.SliceOfN(rapid.SampledFrom(words), 1, 10).Draw(t, "words")
		if sign := pick(t, "sign", append(strings.Split("x / - + , . = : ( ) ~ \" ' µ Ω ° % _ @", " "), "", "", "",
			"")...); sign != "" {
			w := picked[rapid.IntRange(0, len(picked)-1).Draw(t, "torn")]
			k := rapid.IntRange(0, len(w)).Draw(t, "at")
			picked = append(picked, strings.ToValidUTF8(w[:k]+sign+w[k:], ""))
		}
		text := strings.Join(picked, pick(t, "between", " ", " ", " ", "/", "-", ", ", "_", "  "))
		c := quantity.Context{Class: pick(t, "class", append([]string{"", "", "", "capacitor"}, Names(Classes)...)...),
			Found: pick(t, "found", "", "", "list", "marking", "order-code")}
		if got, err := Explain(text, c); err == nil {
			checkCover(t, text, got)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, l := range corpus(f) {
		f.Add(l.text, l.context.Class, l.context.Found)
	}
	f.Add("476J", "capacitor", "marking")
	f.Add("Menge ½F16V", "", "")
	f.Add("Folieskondensator", "", "")
	f.Add("01C", "resistor", "marking")
	f.Fuzz(func(t *testing.T, text, class, found string) {
		c := quantity.Context{Class: class, Found: found}
		if class != "" && !slices.Contains(Classes, Class(class)) {
			return
		}
		got, err := Read(text, c)
		if again, e := Read(text, c); !reflect.DeepEqual(got, again) || (err == nil) != (e == nil) {
			t.Fatalf("%q reads two ways: %+v, %+v", text, got, again)
		}
		if err != nil {
			return
		}
		if len(got.Readings) == 0 {
			t.Fatalf("%q has neither a reading nor an error", text)
		}
		told, _ := Explain(text, c)
		checkCover(t, text, told)
		for i := range got.Readings {
			x := &got.Readings[i]
			if x.Fields == nil || x.Doubts == nil || x.Part.Class == "" || !slices.Contains(Classes, x.Part.Class) {
				t.Fatalf("%q: %+v", text, x)
			}
		}
	})
}

func BenchmarkReadLine(b *testing.B) {
	for _, text := range []string{"47 µF 16 V 105 °C low ESR 5x11 RM2", "22µ/16V 105° low ESR 5x11 RM2",
		"100n 50V X7R 0805",
		"T630mA 250V 5x20", "2x CR2032", "résistance 4k7 1/4W 1%", "Kondensator MKP 0,1µF 275V~ X2"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(text, quantity.Context{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
