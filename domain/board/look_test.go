package board_test

import (
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

func TestLookFits(t *testing.T) {
	one := &board.Map{Frame: board.Frame{Width: 158, Height: 84}, Positions: []board.Position{
		{Side: "top", Service: "replace", Part: part.Part{Class: "capacitor"}},
		{Side: "top", Part: part.Part{Class: "integrated-circuit", Text: "TX-4051"}}}}
	for range 41 {
		one.Positions = append(one.Positions, one.Positions[0])
	}
	relay := board.Position{Side: "bottom", Part: part.Part{Class: "relay"}}
	both := &board.Map{Frame: one.Frame, Positions: append([]board.Position{relay}, one.Positions...)}
	for _, c := range []struct {
		look             board.Look
		oneSide, twoSide bool
	}{
		{board.Look{Width: 160, Height: 82}, true, true},
		{board.Look{Width: 82, Height: 160}, true, true},
		{board.Look{Width: 158}, true, true},
		{board.Look{Height: 158}, true, true},
		{board.Look{Width: 120}, false, false},
		{board.Look{Width: 158, Height: 120}, false, false},
		{board.Look{Replaced: 40}, true, true},
		{board.Look{Replaced: 20}, false, false},
		{board.Look{Sides: "one"}, true, false},
		{board.Look{Sides: "both"}, false, true},
		{board.Look{Class: "relay"}, false, true},
		{board.Look{Class: "capacitor"}, true, true},
		{board.Look{Printed: " tx-40 "}, true, true},
		{board.Look{Printed: "TX-9"}, false, false},
		{board.Look{Class: "relay", Printed: "TX-40"}, false, false},
	} {
		if a, b := c.look.Fits(one), c.look.Fits(both); a != c.oneSide || b != c.twoSide {
			t.Errorf("%+v: %v and %v, want %v and %v", c.look, a, b, c.oneSide, c.twoSide)
		}
	}
}

// The allowances at their edges: 100 mm is within 5 mm of 95 to 105; 200 mm
// within 5 % of what is there is 190.5 to 210.5.
func TestMeasured(t *testing.T) {
	for _, c := range []struct{ seen, least, most float64 }{{100, 95, 105.27}, {200, 190.47, 210.53}, {20, 15, 25}} {
		r := board.Measured(c.seen)
		if r.Least < c.least-0.01 || r.Least > c.least+0.01 || r.Most < c.most-0.01 || r.Most > c.most+0.01 {
			t.Errorf("Measured(%v) = %v, want %v to %v", c.seen, r, c.least, c.most)
		}
	}
}
