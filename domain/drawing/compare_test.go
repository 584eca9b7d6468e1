package drawing

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/part"
)

// corrected is the preamplifier after a round of corrections of every kind
// that a drawing shows.
func corrected(t testing.TB) *board.Map {
	m := preamp(t)
	at := func(d string) *board.Position {
		return &m.Positions[slices.IndexFunc(m.Positions, func(p board.Position) bool { return p.Designator == d })]
	}
	at("C1").Negative = ptr(0.0)
	at("C2").X += 6
	at("C6").Rotation = 90
	at("C5").Part.Voltage = qty(t, "25 V")
	at("D1").Side = board.Bottom
	at("U1").Notes = "Socketed."
	at("R7").Designator = "R70"
	m.Positions = slices.DeleteFunc(m.Positions, func(p board.Position) bool { return p.Designator == "F1" })
	m.Positions = append(m.Positions, board.Position{Designator: "C9", Side: board.Top, X: 20, Y: 15, Body: radial(5),
		Negative: ptr(90.0), Service: "replace",
		Part: part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Value: qty(t, "22 µF"),
			Voltage: qty(t, "25 V")}})
	return m
}

func TestCompareGolden(t *testing.T) {
	from, to := preamp(t), corrected(t)
	d := board.Diff(from, to)
	o := Options{Revision: 4, Digest: strings.Repeat("60303ae2", 8), Date: "2025-12-01"}
	top := Compare(from, to, d, o)
	golden(t, "compare-top.svg", top)
	o.Side = board.Bottom
	golden(t, "compare-bottom.svg", Compare(from, to, d, o))
	if from.Positions[0].Negative == to.Positions[0].Negative {
		t.Error("the maps share a member")
	}
	p := read(t, top)
	for _, want := range []string{"C1", "C2", "C9", "F1", "R70", "D1"} {
		if len(p.labels[want]) != 1 {
			t.Errorf("%s is written %d times", want, len(p.labels[want]))
		}
	}
	if len(p.labels["R7"]) != 0 {
		t.Error("a renamed position is drawn under its old name")
	}
	if again := Compare(from, to, d, o); !bytes.Equal(again, Compare(from, to, d, o)) {
		t.Error("drawn again, the bytes differ")
	}
}

// TestCompareAny holds that whatever changes between two maps, the drawing is
// well-formed, labels keep apart, and every position of the newer map's side
// stands there once.
func TestCompareAny(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		from := boardtest.Random(t)
		to := boardtest.Random(t)
		d := board.Diff(from, to)
		for _, side := range board.Sides {
			p := read(t, Compare(from, to, d, Options{Side: side}))
			var all []rectangle
			for _, bs := range p.labels {
				all = append(all, bs...)
			}
			for i, a := range all {
				for _, b := range all[:i] {
					if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
						t.Fatalf("labels overlap: %v and %v", a, b)
					}
				}
			}
			for i := range to.Positions {
				if q := &to.Positions[i]; q.Side == side && len(p.labels[q.Designator]) == 0 {
					t.Fatalf("%s is not written", q.Designator)
				}
			}
		}
	})
}

func BenchmarkCompare2000(b *testing.B) {
	from, to := boardtest.Big(2000), boardtest.Big(2000)
	for i := range to.Positions {
		if i%10 == 0 {
			to.Positions[i].X++
		}
	}
	d := board.Diff(from, to)
	for b.Loop() {
		Compare(from, to, d, Options{})
	}
}
