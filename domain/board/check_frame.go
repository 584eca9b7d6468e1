package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// edgeSlack is how far an outline may pass its own bounding box without a
// word, mm: the rounding of drawn lines. Common practice.
const edgeSlack = 0.05

// frame checks that the outline agrees with itself and with width and height.
func (c *checker) frame() {
	f := &c.m.Frame
	if f.Outline == nil {
		return
	}
	if len(f.Outline) < 3 {
		c.add(finding.Finding{Code: "outline-open", Severity: finding.Stop, Pointer: "/frame/outline",
			Sentence: message.Of("check.outline-open"), Expected: "≥ 3",
			Found: fmt.Sprint(len(f.Outline)), Basis: document})
		return
	}
	lo, hi := bounds(f.Outline)
	slack := max(c.uncertainty, edgeSlack)
	if lo[0] < -slack || lo[1] < -slack || hi[0] > f.Width+slack || hi[1] > f.Height+slack ||
		hi[0]-lo[0] < f.Width-2*slack || hi[1]-lo[1] < f.Height-2*slack {
		c.add(finding.Finding{Code: "outline-size", Severity: finding.Caution, Pointer: "/frame/outline",
			Sentence: message.Of("check.outline-size", number(lo[0]), number(lo[1]), number(hi[0]), number(hi[1]),
				number(f.Width), number(f.Height)),
			Expected: fmt.Sprintf("(0, 0) … (%s, %s)", number(f.Width), number(f.Height)),
			Found:    fmt.Sprintf("(%s, %s) … (%s, %s)", number(lo[0]), number(lo[1]), number(hi[0]), number(hi[1])),
			Basis:    document})
	}
	if i, j, ok := crossing(f.Outline); ok {
		c.add(finding.Finding{Code: "outline-crosses", Severity: finding.Caution,
			Pointer:  fmt.Sprintf("/frame/outline/%d", i),
			Sentence: message.Of("check.outline-crosses", i, j), Basis: document})
	} else if area(f.Outline) < 0 {
		c.add(finding.Finding{Code: "outline-clockwise", Severity: finding.Note, Pointer: "/frame/outline",
			Sentence: message.Of("check.outline-clockwise"), Basis: document})
	}
}

// place finds a position off the board. Connectors overhang an edge, so only
// a position that is off by more than the board's own size is refused: its
// unit or its origin must be wrong.
func (c *checker) place(p *Position, w where) {
	f := &c.m.Frame
	size := max(f.Width, f.Height)
	if p.X < -size || p.Y < -size || p.X > f.Width+size || p.Y > f.Height+size {
		c.add(finding.Finding{Code: "position-far-outside", Severity: finding.Stop, Pointer: w.pointer(""),
			Sentence: message.Of("check.position-far-outside", p.Designator, number(p.X), number(p.Y)),
			Expected: fmt.Sprintf("%s × %s mm", number(f.Width), number(f.Height)), Found: fmt.Sprintf("(%s, %s)",
				number(p.X), number(p.Y)), Basis: document})
		return
	}
	if c.onBoard(p.X, p.Y) {
		return
	}
	c.add(finding.Finding{Code: "position-outside", Severity: finding.Caution, Pointer: w.pointer(""),
		Sentence: message.Of("check.position-outside", p.Designator, number(p.X), number(p.Y)),
		Found:    fmt.Sprintf("(%s, %s)", number(p.X), number(p.Y)), Basis: document})
}

func (c *checker) onBoard(x, y float64) bool {
	f := &c.m.Frame
	u := c.uncertainty
	if x < -u || y < -u || x > f.Width+u || y > f.Height+u {
		return false
	}
	if len(f.Outline) < 3 {
		return true
	}
	return inside(f.Outline, x, y) || u > 0 && edgeWithin(f.Outline, x, y, u) || onEdge(f.Outline, x, y)
}

// inside is the even-odd rule.
func inside(outline [][2]float64, x, y float64) bool {
	in := false
	for i, j := 0, len(outline)-1; i < len(outline); j, i = i, i+1 {
		a, b := outline[i], outline[j]
		if (a[1] > y) != (b[1] > y) && x < (b[0]-a[0])*(y-a[1])/(b[1]-a[1])+a[0] {
			in = !in
		}
	}
	return in
}

func onEdge(outline [][2]float64, x, y float64) bool { return edgeWithin(outline, x, y, 1e-9) }

func edgeWithin(outline [][2]float64, x, y, d float64) bool {
	for i, j := 0, len(outline)-1; i < len(outline); j, i = i, i+1 {
		if segmentDistance(outline[j], outline[i], x, y) <= d {
			return true
		}
	}
	return false
}

func segmentDistance(a, b [2]float64, x, y float64) float64 {
	dx, dy := b[0]-a[0], b[1]-a[1]
	t := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		t = min(1, max(0, ((x-a[0])*dx+(y-a[1])*dy)/l))
	}
	return math.Hypot(x-a[0]-t*dx, y-a[1]-t*dy)
}

func bounds(points [][2]float64) (lo, hi [2]float64) {
	lo, hi = points[0], points[0]
	for _, p := range points[1:] {
		for k := range p {
			lo[k], hi[k] = min(lo[k], p[k]), max(hi[k], p[k])
		}
	}
	return lo, hi
}

// area is the signed area, positive for a counter-clockwise outline.
func area(points [][2]float64) float64 {
	sum := 0.0
	for i, j := 0, len(points)-1; i < len(points); j, i = i, i+1 {
		sum += points[j][0]*points[i][1] - points[i][0]*points[j][1]
	}
	return sum / 2
}

// crossing finds two edges of the outline that cross each other properly.
// Edges are looked at from left to right, so that only those that lie above
// one another are compared.
func crossing(points [][2]float64) (int, int, bool) {
	n := len(points)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	left := func(i int) float64 { return min(points[i][0], points[(i+1)%n][0]) }
	right := func(i int) float64 { return max(points[i][0], points[(i+1)%n][0]) }
	slices.SortFunc(order, func(a, b int) int { return cmp.Or(cmp.Compare(left(a), left(b)), a-b) })
	for a, i := range order {
		for _, j := range order[a+1:] {
			if left(j) > right(i) {
				break
			}
			if cross(points[i], points[(i+1)%n], points[j], points[(j+1)%n]) {
				return min(i, j), max(i, j), true
			}
		}
	}
	return 0, 0, false
}

// cross reports whether two segments cross at a point inside both.
func cross(a, b, c, d [2]float64) bool {
	return turn(a, b, c)*turn(a, b, d) < 0 && turn(c, d, a)*turn(c, d, b) < 0
}

func turn(a, b, c [2]float64) float64 {
	v := (b[0]-a[0])*(c[1]-a[1]) - (b[1]-a[1])*(c[0]-a[0])
	switch {
	case v > 1e-9:
		return 1
	case v < -1e-9:
		return -1
	}
	return 0
}
