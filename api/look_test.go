package api

import (
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

func TestLook(t *testing.T) {
	m := &board.Map{Frame: board.Frame{Width: 158, Height: 84}, Positions: []board.Position{
		{Side: "top", Part: part.Part{Class: "capacitor"}}, {Side: "top", Part: part.Part{Class: "integrated-circuit", Text: "TX-4051"}}}}
	both := &board.Map{Frame: m.Frame, Positions: append([]board.Position{{Side: "bottom", Part: part.Part{Class: "relay"}}}, m.Positions...)}
	for _, c := range []struct {
		l          Look
		want, also bool // for the board with parts on one side, on both
	}{
		{Look{Width: 160, Height: 82}, true, true}, {Look{Width: 82, Height: 160}, true, true}, {Look{Width: 158}, true, true}, {Look{Height: 158}, true, true},
		{Look{Width: 120}, false, false}, {Look{Width: 158, Height: 120}, false, false}, {Look{Replaced: 40}, true, true}, {Look{Replaced: 20}, false, false},
		{Look{Sides: "one"}, true, false}, {Look{Sides: "both"}, false, true}, {Look{Class: "relay"}, false, true}, {Look{Class: "capacitor"}, true, true},
		{Look{Printed: " tx-40 "}, true, true}, {Look{Printed: "TX-9"}, false, false}, {Look{Class: "relay", Printed: "TX-40"}, false, false},
	} {
		if got, also := c.l.fits(m, 42), c.l.fits(both, 42); got != c.want || also != c.also {
			t.Errorf("%+v: %v and %v, want %v and %v", c.l, got, also, c.want, c.also)
		}
	}
}
