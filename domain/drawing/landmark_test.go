package drawing_test

import (
	"fmt"
	"slices"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/part"
)

// edged is a board of 100 by 60 mm with a row C1 to C8 along its lower edge and
// a part in the middle, C20, on the side asked for.
func edged(side board.Side, more ...board.Position) *board.Map {
	m := &board.Map{Frame: board.Frame{Width: 100, Height: 60}}
	for i := range 8 {
		m.Positions = append(m.Positions, board.Position{Designator: fmt.Sprint("C", i+1), Side: board.Top, X: 10 +
			10*float64(i), Y: 5.2, Part: part.Part{Class: part.Capacitor}})
	}
	m.Positions = append(m.Positions, board.Position{Designator: "C20", Side: side, X: 50, Y: 30,
		Part: part.Part{Class: part.Capacitor}})
	m.Positions = append(m.Positions, more...)
	return m
}

func connector(d string, x, y float64) board.Position {
	return board.Position{Designator: d, Side: board.Top, X: x, Y: y, Part: part.Part{Class: part.Connector}}
}

// Landmarks worked out by looking at the boards described.
func TestLandmarks(t *testing.T) {
	notched := [][2]float64{{0, 0}, {100, 0}, {100, 60}, {60, 60}, {60, 55}, {50, 55}, {50, 60}, {0, 60}}
	cut := [][2]float64{{0, 0}, {100, 0}, {100, 50}, {90, 60}, {0, 60}}
	for _, c := range []struct {
		name  string
		m     *board.Map
		shape [][2]float64
		deg   float64
		want  drawing.Mark
		names []string
	}{
		{"the row below", edged(board.Top), nil, 270, drawing.Row, []string{"C1", "C2", "C3", "C4", "C5", "C6", "C7",
			"C8"}},
		{"nothing above", edged(board.Top), nil, 90, drawing.Unmarked, nil},
		{"between two edges", edged(board.Top), nil, 315, drawing.Unmarked, nil},
		{"a row that the other side does not show", edged(board.Bottom), nil, 270, drawing.Unmarked, nil},
		{"the only connector", edged(board.Top, connector("J1", 97, 30)), nil, 0, drawing.Connector, []string{"J1"}},
		{"two on one edge", edged(board.Top, connector("J2", 97, 20), connector("J1", 97, 40)), nil, 0,
			drawing.Connector, []string{"J1", "J2"}},
		{"connectors at two edges", edged(board.Top, connector("J1", 97, 30), connector("J2", 3, 30)), nil, 0,
			drawing.Unmarked, nil},
		{"a connector in a corner", edged(board.Top, connector("J1", 97, 57)), nil, 0, drawing.Unmarked, nil},
		{"a connector in the middle", edged(board.Top, connector("J1", 70, 30)), nil, 0, drawing.Unmarked, nil},
		{"a notch", edged(board.Top), notched, 90, drawing.Notch, nil},
		{"a notch, from below", edged(board.Bottom), notched, 90, drawing.Notch, nil},
		{"a cut corner is of two edges", edged(board.Top), cut, 90, drawing.Unmarked, nil},
		{"a row that is not one range", edged(board.Top, board.Position{Designator: "R1", Side: board.Top, X: 95,
			Y: 5}), nil, 270, drawing.Unmarked, nil},
	} {
		c.m.Frame.Outline = c.shape
		p := &c.m.Positions[8]
		p.Negative = &c.deg
		got := drawing.LandmarksOf(c.m).Towards(p)
		if got.Mark != c.want || !slices.Equal(got.Names, c.names) {
			t.Errorf("%s: %v, want %v %v", c.name, got, c.want, c.names)
		}
	}
}

// A zone is a place of the board: the same from both sides. The board of 100
// by 60 has five columns and three rows.
func TestZone(t *testing.T) {
	f := &board.Frame{Width: 100, Height: 60}
	for _, c := range []struct {
		x, y float64
		want string
	}{{1, 59, "1A"}, {99, 59, "1E"}, {1, 1, "3A"}, {50, 30, "2C"}, {-5, 70, "1A"}} {
		for _, side := range board.Sides {
			if got := drawing.Zone(f, &board.Position{Side: side, X: c.x, Y: c.y}); got != c.want {
				t.Errorf("(%v, %v) on the %s: %s, want %s", c.x, c.y, side, got, c.want)
			}
		}
	}
}

// TestWorkingOrder reads each side as it is seen: the bottom, turned over, from
// the higher letters to the lower ones.
func TestWorkingOrder(t *testing.T) {
	m := &board.Map{Frame: board.Frame{Width: 100, Height: 60}}
	for i, x := range []float64{5, 95, 50} {
		m.Positions = append(m.Positions, board.Position{Designator: fmt.Sprint("C", i), Side: board.Top, X: x, Y: 50},
			board.Position{Designator: fmt.Sprint("R", i), Side: board.Bottom, X: x, Y: 50})
	}
	var got []string
	for _, a := range drawing.WorkingOrder(m, func(*board.Position) bool { return true }) {
		got = append(got, string(a.Side)+" "+a.Zone)
	}
	if want := []string{"top 1A", "top 1C", "top 1E", "bottom 1E", "bottom 1C", "bottom 1A"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
