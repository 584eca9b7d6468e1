package board_test

import (
	"slices"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// TestWants: what a good map needs fills as the map says it, and what no
// position asks for is not asked. Expected by hand.
func TestWants(t *testing.T) {
	m := &board.Map{Frame: board.Frame{Width: 10, Height: 10}, Positions: []board.Position{
		{Designator: "C1", Side: board.Top, X: 1, Y: 1, Service: board.Replace, Part: part.Part{Class: part.Capacitor,
			Construction: part.AluminiumElectrolytic}},
		{Designator: "R1", Side: board.Top, Service: board.Leave, Part: part.Part{Class: part.Resistor}},
	}}
	got := func(code string) *board.Want {
		ws := board.Wants(m)
		if i := slices.IndexFunc(ws, func(w board.Want) bool { return w.Code == code }); i >= 0 {
			return &ws[i]
		}
		return nil
	}
	for code, missing := range map[string][]string{"place": {"R1"}, "minus": {"C1"}, "rating": {"C1"},
		"height": {"C1"}} {
		if w := got(code); w == nil || w.Done() || !slices.Equal(w.Missing, missing) {
			t.Errorf("%s: %+v, want %v missing", code, w, missing)
		}
	}
	for _, code := range []string{"fuse", "cell", "circuit", "photograph-bottom"} {
		if w := got(code); w != nil {
			t.Errorf("%s is asked for: %+v", code, w)
		}
	}
	for _, code := range []string{"size", "caution", "check", "licence", "photograph-top", "failure"} {
		if w := got(code); w == nil || w.Done() {
			t.Errorf("%s: %+v", code, w)
		}
	}
	minus, off := 90.0, 0.5
	m.Positions[0].Negative, m.Positions[1].Y, m.Frame.Uncertainty = &minus, 3, &off
	m.Cautions = []board.Caution{{Text: "Unplug.", When: board.BeforeOpening}}
	m.Photographs = []board.Photograph{{Side: board.Top}}
	for _, code := range []string{"place", "minus", "size", "caution", "photograph-top"} {
		if w := got(code); w == nil || !w.Done() {
			t.Errorf("%s is said and not counted: %+v", code, w)
		}
	}
}
