package reading

import (
	"errors"
	"slices"
	"testing"
	"unicode"

	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

// FuzzQuantity holds that no text makes a panic, that what is read is spelt so that it reads back as itself, and that a
// refusal says why.
func FuzzQuantity(f *testing.F) {
	for _, row := range tabletest.Rows(f, "testdata/value-texts.csv") {
		k, err := quantity.ParseKind(row["kind"])
		if err != nil {
			f.Fatal(err)
		}
		f.Add(row["text"], uint8(k), uint16(len(row["context"])))
	}
	for _, s := range []string{"22nK100", "T3.15AL250V", "1½ W", "-40~+105°C", "40+20+20µF 450V", "14D471K",
		"1 234,5 pF", "S3"} {
		f.Add(s, uint8(quantity.Capacitance), uint16(77))
	}
	f.Fuzz(func(t *testing.T, text string, kind uint8, bits uint16) {
		k := quantity.Kind(kind%uint8(quantity.Energy)) + 1
		got, err := Quantity(text, k, contextOf(bits))
		if err != nil {
			var refused *Refusal
			if !errors.As(err, &refused) || refused.Reason.IsZero() || len(got.Amounts) > 0 {
				t.Fatalf("%q is refused without a reason: %v, %v", text, err, got)
			}
			return
		}
		if len(got.Amounts) == 0 || len(got.Amounts) > maxReadings || got.Sure && len(got.Amounts) != 1 {
			t.Fatalf("%q has %d readings", text, len(got.Amounts))
		}
		for _, a := range got.Amounts {
			readsBack(t, text, a)
		}
	})
}

// FuzzLexer holds that atoms lie in the text in order, that what is between them is blank, and that every letter and
// figure is in one.
func FuzzLexer(f *testing.F) {
	for _, s := range []string{"47µF 16V", "１０㏀ ½W", "\"a \"\"b\"\" c\" d", "электролит 470 мкФ", "電解コンデンサ10μF",
		"a\u0308ö ﬁ ㎌ 1e-6F", "-40…+105 °C", "10²pF"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 2000 {
			return
		}
		var l lexer
		l.reset(text)
		l.run()
		at, point := uint16(0), uint16(0)
		for k := range l.atoms {
			a := &l.atoms[k]
			together := k > 0 && a.at < at && a.at == l.atoms[k-1].at && a.end == at // of one sign, as in ½
			if a.at < at && !together || a.end <= a.at || a.from < point && !together || a.hi < a.lo || a.lhi < a.llo {
				t.Fatalf("%q: atom %d stands at %d to %d behind %d", text, k, a.at, a.end, at)
			}
			for _, c := range text[min(at, a.at):a.at] {
				if isLetter(c) || isDigit(c) {
					t.Fatalf("%q: %q before atom %d is in none", text, c, k)
				}
			}
			at, point = a.end, a.upto
		}
	})
}

// maxSpans is how many spans an atom begins at most, so that the work on a text is bounded by its length.
const maxSpans = 40

// FuzzSolver holds that no text makes a panic; that every letter and figure is in a field, in a word that is understood,
// or left over; that a sure reading is one, and undoubted; that the entry for parts and the one for quantities say the
// same; and that the work is bounded.
func FuzzSolver(f *testing.F) {
	for _, text := range texts(f) {
		f.Add(text, uint16(len(text)))
	}
	for _, text := range []string{"not not X2 or X2", "1-1/2-1/4 A", "12V 12V/12V+12V", "x2 2x X2",
		"\"10k\" or \"10R\"", "GRM188R71H104KA93D/TAJB106K"} {
		f.Add(text, uint16(0))
	}
	f.Fuzz(func(t *testing.T, text string, bits uint16) {
		c := contextOf(bits)
		if bits%3 == 0 {
			c = quantity.Context{Found: "list"}
		}
		got, err := Explain(text, c)
		plain, err2 := Part(text, c)
		if (err == nil) != (err2 == nil) || plain.Sure != got.Sure || !slices.Equal(plain.LeftOver, got.LeftOver) {
			t.Fatalf("%q is read as %+v, %v, and explained as %+v, %v", text, plain, err2, got, err)
		}
		if told, _ := disagreement(text); told != "" {
			t.Fatal(told)
		}
		if err != nil {
			return
		}
		if len(got.Readings) == 0 || got.Sure && (len(got.Readings) != 1 || len(got.Readings[0].Doubts) > 0) {
			t.Fatalf("%q: %+v", text, got)
		}
		checkCovered(t, text, &got)
	})
}

// checkCovered holds that spans lie in the text, that there are not too many, and that nothing is lost.
func checkCovered(t *testing.T, text string, got *Text) {
	t.Helper()
	points := []rune(text)
	if most := maxSpans * (len(points) + 1); len(got.Spans) > most {
		t.Fatalf("%q has %d spans", text, len(got.Spans))
	}
	covered := make([]bool, len(points))
	cover := func(span [2]int, what string) {
		if span[0] < 0 || span[1] > len(points) || span[0] >= span[1] {
			t.Fatalf("%q: span %v of %s", text, span, what)
		}
		for k := span[0]; k < span[1]; k++ {
			covered[k] = true
		}
	}
	var left []string
	for _, s := range got.Spans {
		if s.State != "runner-up" {
			cover(s.Span, s.What)
		}
		if s.State == "left over" && s.What == "" {
			left = append(left, s.Text)
		}
	}
	for _, x := range got.Readings {
		for _, f := range x.Fields {
			cover(f.Span, f.Member)
		}
	}
	if !slices.Equal(left, got.LeftOver) {
		t.Fatalf("%q: %q is explained as left over, %q told", text, left, got.LeftOver)
	}
	for k, c := range points {
		if !covered[k] && (unicode.IsLetter(c) && !isSign(c) || unicode.IsDigit(c)) { // º is the sign of a degree
			t.Fatalf("%q: %q at %d is neither understood nor left over", text, c, k)
		}
	}
}

func contextOf(bits uint16) quantity.Context {
	pick := func(of ...string) string {
		s := of[int(bits)%len(of)]
		bits /= uint16(len(of))
		return s
	}
	return quantity.Context{
		Class:        pick("", "capacitor", "resistor", "inductor", "fuse", "varistor", "potentiometer", "crystal"),
		Construction: pick("", "ceramic", "film", "tantalum", "aluminium-electrolytic", "supercapacitor"),
		Found:        pick("", "marking", "order-code", "list"),
		Language:     pick("", "en", "de", "fr"),
		Historic:     pick("", "y") != "",
		Continental:  pick("", "y") != "",
	}
}

func readsBack(t *testing.T, text string, a Amount) {
	t.Helper()
	if a.Quantity.IsZero() {
		if back, err := quantity.ParseTolerance(a.Canonical()); err != nil || back != a.Tolerance {
			t.Fatalf("%q reads %s, which parses as %v, %v", text, a.Canonical(), back, err)
		}
		return
	}
	for k := quantity.Capacitance; k <= quantity.Energy; k++ {
		if k == quantity.ToleranceKind || k.Unit() != a.Quantity.Unit() {
			continue
		}
		back, err := Quantity(a.Canonical(), k, quantity.Context{})
		if err != nil || len(back.Amounts) != 1 || back.Amounts[0].Quantity != a.Quantity || !back.Sure {
			t.Fatalf("%q reads %s, which reads %v, %v", text, a.Canonical(), back, err)
		}
	}
}
