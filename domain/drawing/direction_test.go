package drawing_test

import (
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
)

// Directions worked out by hand: degrees count counter-clockwise as seen from
// the top; whoever turns the board over left to right sees left and right
// exchanged.
func TestMinus(t *testing.T) {
	for _, c := range []struct {
		side board.Side
		deg  float64
		want drawing.Direction
	}{
		{board.Top, 0, drawing.Right}, {board.Top, 90, drawing.Up}, {board.Top, 180, drawing.Left},
		{board.Top, 270, drawing.Down},
		{board.Top, 360, drawing.Right}, {board.Top, -90, drawing.Down}, {board.Top, 45, drawing.UpperRight},
		{board.Top, 200, drawing.Left},
		{board.Top, 359, drawing.Right}, {board.Bottom, 0, drawing.Left}, {board.Bottom, 90, drawing.Up},
		{board.Bottom, 180, drawing.Right},
		{board.Bottom, 270, drawing.Down}, {board.Bottom, 45, drawing.UpperLeft},
		{board.Bottom, 315, drawing.LowerLeft},
	} {
		if got := drawing.Minus(&board.Position{Side: c.side, Negative: &c.deg}); got != c.want {
			t.Errorf("%s %v°: %s, want %s", c.side, c.deg, got, c.want)
		}
	}
	if got := drawing.Minus(&board.Position{Side: board.Top}); got != "" {
		t.Errorf("an unknown direction is %q", got)
	}
}
