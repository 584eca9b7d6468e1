package board

import (
	"cmp"
	"math"
	"slices"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

const (
	// overlapSlack is how deep two bodies may stand in one another without a
	// word, mm, on top of the frame's uncertainty: body sizes are often given
	// with a margin. Common practice.
	overlapSlack = 0.1
	// overlapNames is how many other bodies one finding names at most.
	overlapNames = 3
	// overlapTries bounds the exact comparisons for one body, so that a map
	// of bodies all in one heap is checked in time.
	overlapTries = 64
)

// overlap is a body that stands in others on its side of the board.
type overlap struct {
	i      int   // position
	others []int // positions that it stands in, at most overlapNames
	depth  float64
}

func (o *overlap) finding(ps []Position, w where) finding.Finding {
	names := make([]string, len(o.others))
	for k, j := range o.others {
		names[k] = ps[j].Designator
	}
	p := &ps[o.i]
	return finding.Finding{Code: "bodies-overlap", Severity: finding.Caution, Pointer: w.pointer(""),
		Sentence: message.Of("check.bodies-overlap", p.Designator, message.All(names), p.Side, mm(o.depth)),
		Found:    mm(o.depth), Basis: common}
}

// footprint is a body seen from above.
type footprint struct {
	i             int
	side          Side
	x, y          float64
	round         bool
	along, across float64 // half sizes, mm; along is the radius of a round body
	cos, sin      float64
	left, right   float64 // bounding box
	bottom, top   float64
}

// footprintOf gives the body's rectangle or circle; false where its size is
// not known.
func footprintOf(i int, p *Position) (footprint, bool) {
	b := p.Body
	if b == nil {
		return footprint{}, false
	}
	f := footprint{i: i, side: p.Side, x: p.X, y: p.Y, cos: 1}
	across := cmp.Or(b.Width, b.Diameter)
	switch {
	case b.Length > 0 && across > 0 && b.Shape != "can" && b.Shape != "coin", b.Length > 0 && b.Width > 0:
		f.along, f.across = b.Length/2, across/2
		f.sin, f.cos = math.Sincos(p.Rotation * math.Pi / 180)
	case b.Diameter > 0:
		f.round, f.along, f.across = true, b.Diameter/2, b.Diameter/2
	default:
		return footprint{}, false
	}
	w, h := f.along, f.across
	if !f.round {
		w, h = math.Abs(f.cos)*f.along+math.Abs(f.sin)*f.across, math.Abs(f.sin)*f.along+math.Abs(f.cos)*f.across
	}
	f.left, f.right, f.bottom, f.top = f.x-w, f.x+w, f.y-h, f.y+h
	return f, true
}

// overlaps finds bodies that stand in one another, by a sweep from left to
// right. With b given only positions that the variant changed are reported.
// The result is in the order of the positions.
func overlaps(ps []Position, uncertainty float64, b *built, steps *int) []overlap {
	fs := make([]footprint, 0, len(ps))
	for i := range ps {
		if b != nil && b.omitted[i] {
			continue
		}
		if f, ok := footprintOf(i, &ps[i]); ok {
			fs = append(fs, f)
		}
	}
	slices.SortFunc(fs, func(a, b footprint) int { return cmp.Or(cmp.Compare(a.left, b.left), a.i-b.i) })
	found := map[int]*overlap{}
	for k := range fs {
		sweep(fs, k, uncertainty+overlapSlack, b, found, steps)
	}
	out := make([]overlap, 0, len(found))
	for _, o := range found {
		slices.SortFunc(o.others, func(x, y int) int { return CompareDesignators(ps[x].Designator, ps[y].Designator) })
		out = append(out, *o)
	}
	slices.SortFunc(out, func(x, y overlap) int { return x.i - y.i })
	return out
}

// sweep compares footprint k with those that begin to the right of its left
// edge and notes each overlap at the later position, or at the changed one.
func sweep(fs []footprint, k int, slack float64, b *built, found map[int]*overlap, steps *int) {
	f := &fs[k]
	tries := 0
	for n := k + 1; n < len(fs) && fs[n].left < f.right-slack && tries < overlapTries && *steps >= 0; n++ {
		*steps--
		g := &fs[n]
		if f.side != g.side || f.bottom > g.top-slack || g.bottom > f.top-slack {
			continue
		}
		i, j := max(f.i, g.i), min(f.i, g.i)
		if b != nil {
			if b.origin[i] < 0 && b.origin[j] < 0 {
				continue
			}
			if b.origin[i] < 0 {
				i, j = j, i
			}
		}
		tries++
		if depth := penetration(f, g); depth > slack {
			note(found, i, j, depth)
		}
	}
}

func note(found map[int]*overlap, i, j int, depth float64) {
	o := found[i]
	if o == nil {
		o = &overlap{i: i}
		found[i] = o
	}
	o.depth = max(o.depth, depth)
	if len(o.others) < overlapNames {
		o.others = append(o.others, j)
	}
}

// penetration is how far two bodies stand in one another, mm: the least shift
// that parts them along an axis of either; nought or less if they don't touch.
func penetration(f, g *footprint) float64 {
	dx, dy := g.x-f.x, g.y-f.y
	if f.round && g.round {
		return f.along + g.along - math.Hypot(dx, dy)
	}
	if f.round {
		f, g, dx, dy = g, f, -dx, -dy
	}
	if g.round {
		return roundIn(f, g.along, dx, dy)
	}
	least := math.Inf(1)
	for _, axis := range [4][2]float64{{f.cos, f.sin}, {-f.sin, f.cos}, {g.cos, g.sin}, {-g.sin, g.cos}} {
		reach := f.reach(axis) + g.reach(axis)
		least = min(least, reach-math.Abs(dx*axis[0]+dy*axis[1]))
	}
	return least
}

// reach is half the extent of a rectangle along an axis.
func (f *footprint) reach(axis [2]float64) float64 {
	return f.along*math.Abs(f.cos*axis[0]+f.sin*axis[1]) + f.across*math.Abs(-f.sin*axis[0]+f.cos*axis[1])
}

// roundIn is the penetration of a circle of radius r, whose centre is (dx, dy)
// from the rectangle's, into the rectangle.
func roundIn(f *footprint, r, dx, dy float64) float64 {
	u, v := math.Abs(dx*f.cos+dy*f.sin)-f.along, math.Abs(-dx*f.sin+dy*f.cos)-f.across
	if u > 0 && v > 0 {
		return r - math.Hypot(u, v)
	}
	return r - max(u, v)
}
