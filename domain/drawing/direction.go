package drawing

import (
	"math"

	"boardlore/domain/board"
)

// Direction is where something points in a drawing as it is seen.
type Direction string

// Directions as drawn, by eighths of a turn.
const (
	Right      Direction = "right"
	UpperRight Direction = "upper-right"
	Up         Direction = "up"
	UpperLeft  Direction = "upper-left"
	Left       Direction = "left"
	LowerLeft  Direction = "lower-left"
	Down       Direction = "down"
	LowerRight Direction = "lower-right"
)

// Directions are all of them, counter-clockwise from the right.
var Directions = []Direction{Right, UpperRight, Up, UpperLeft, Left, LowerLeft, Down, LowerRight}

// Minus is where the negative lead of a position points in the drawing of its
// own side, which for the bottom is seen from the bottom; "" where the map does
// not say. Nobody at a bench has a protractor: an eighth of a turn is as much as
// an eye tells.
func Minus(p *board.Position) Direction {
	if p.Negative == nil {
		return ""
	}
	deg := *p.Negative
	if p.Side == board.Bottom {
		deg = 180 - deg
	}
	n := len(Directions)
	return Directions[((int(math.Round(deg/45))%n)+n)%n]
}
