package quantity

import (
	"errors"
	"testing"

	"boardlore/domain/tabletest"
)

// FuzzRead holds that no text makes a panic, that what is read is spelt so that it reads back as itself, and that a
// refusal says why.
func FuzzRead(f *testing.F) {
	for _, row := range tabletest.Rows(f, "testdata/value-texts.csv") {
		k, err := ParseKind(row["kind"])
		if err != nil {
			f.Fatal(err)
		}
		f.Add(row["text"], uint8(k), uint16(len(row["context"])))
	}
	for _, s := range []string{"22nK100", "T3.15AL250V", "1½ W", "-40~+105°C", "40+20+20µF 450V", "14D471K", "1 234,5 pF", "S3"} {
		f.Add(s, uint8(Capacitance), uint16(77))
	}
	f.Fuzz(func(t *testing.T, text string, kind uint8, bits uint16) {
		k := Kind(kind%uint8(Energy)) + 1
		got, err := Read(text, k, contextOf(bits))
		if err != nil {
			var refused *ReadError
			if !errors.As(err, &refused) || refused.Reason == "" || len(got) > 0 {
				t.Fatalf("%q is refused without a reason: %v, %v", text, err, got)
			}
			return
		}
		if len(got) == 0 || len(got) > maxReadings {
			t.Fatalf("%q has %d readings", text, len(got))
		}
		for _, r := range got {
			readsBack(t, text, r)
		}
	})
}

func contextOf(bits uint16) Context {
	pick := func(of ...string) string {
		s := of[int(bits)%len(of)]
		bits /= uint16(len(of))
		return s
	}
	return Context{
		Class:        pick("", "capacitor", "resistor", "inductor", "fuse", "varistor", "potentiometer", "crystal"),
		Construction: pick("", "ceramic", "film", "tantalum", "aluminium-electrolytic", "supercapacitor"),
		Found:        pick("", "marking", "order-code", "list"),
		Language:     pick("", "en", "de", "fr"),
		Historic:     pick("", "y") != "",
		Continental:  pick("", "y") != "",
	}
}

func readsBack(t *testing.T, text string, r Reading) {
	t.Helper()
	if r.Quantity.IsZero() {
		if back, err := ParseTolerance(r.Canonical()); err != nil || back != r.Tolerance {
			t.Fatalf("%q reads %s, which parses as %v, %v", text, r.Canonical(), back, err)
		}
		return
	}
	k := kindOf(r.Quantity.Unit())
	if k == 0 {
		t.Fatalf("%q reads %s, which is of no kind", text, r.Quantity)
	}
	back, err := Read(r.Canonical(), k, Context{})
	if err != nil || len(back) != 1 || back[0].Quantity != r.Quantity {
		t.Fatalf("%q reads %s, which reads %v, %v", text, r.Canonical(), back, err)
	}
}

func kindOf(u Unit) Kind {
	for k := Capacitance; k <= Energy; k++ {
		if k != ToleranceKind && k.Unit() == u {
			return k
		}
	}
	return 0
}
