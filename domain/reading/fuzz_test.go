package reading

import (
	"errors"
	"testing"

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
	for _, s := range []string{"22nK100", "T3.15AL250V", "1½ W", "-40~+105°C", "40+20+20µF 450V", "14D471K", "1 234,5 pF", "S3"} {
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
	for _, s := range []string{"47µF 16V", "１０㏀ ½W", "\"a \"\"b\"\" c\" d", "электролит 470 мкФ", "電解コンデンサ10μF", "a\u0308ö ﬁ ㎌ 1e-6F", "-40…+105 °C", "10²pF"} {
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
