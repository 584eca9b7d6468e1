package bench

import (
	"cmp"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// What one plan may cost: under a second of a processor, measured with 5,000
// chips spread so that they come just below. A board of 1,500 parts on 250 mm ×
// 200 mm has some 30,000 pairs within the usual reach.
const (
	maxPairs = 500_000     // of a part in scope and an obstacle within reach of it
	maxSteps = 150_000_000 // the squares of each part's obstacles, added up
)

// even is the difference, in degrees, below which two free angles count as the
// same, so that rounding does not decide between parts that stand alike.
const even = 1e-9

// order is the board while parts leave it.
type order struct {
	m        *board.Map
	tool     Tool
	discs    []disc
	at       []int      // scope, natural order: indexes of positions
	horizons []*horizon // of each in at
	angles   []float64  // of each in at, now
	spans    [][]span   // by position: what it blocks, of which horizon
	east     []int      // positions from left to right, to find those in reach
}

// newOrder looks around every part of the scope.
func newOrder(m *board.Map, at []int, t Tool) (*order, error) {
	o := &order{m: m, tool: t, at: at, discs: make([]disc, len(m.Positions)), horizons: make([]*horizon, len(at)),
		angles: make([]float64, len(at)), spans: make([][]span, len(m.Positions)), east: make([]int, len(m.Positions))}
	for i := range m.Positions {
		o.discs[i], o.east[i] = discOf(&m.Positions[i], t), i
	}
	slices.SortFunc(o.east, func(a, b int) int { return cmp.Or(cmp.Compare(o.discs[a].x, o.discs[b].x), a-b) })
	pairs, steps := 0, 0
	for _, i := range at { // counted before anything is worked out
		n := o.near(i)
		if pairs, steps = pairs+n, steps+n*n; pairs > maxPairs || steps > maxSteps {
			return nil, tooDense(t)
		}
	}
	var bs []blocked
	for k, i := range at {
		bs = o.around(bs[:0], i)
		h, spans := newHorizon(bs)
		o.horizons[k], o.angles[k] = h, h.angle()
		for n, s := range spans {
			s.of = int32(k)
			o.spans[bs[n].by] = append(o.spans[bs[n].by], s)
		}
	}
	return o, nil
}

// near counts what stands in the way at position i while every part is there.
func (o *order) near(i int) (n int) {
	d := &o.discs[i]
	from, _ := slices.BinarySearchFunc(o.east, d.x-o.tool.Reach,
		func(j int, left float64) int { return cmp.Compare(o.discs[j].x, left) })
	for _, j := range o.east[from:] {
		e := &o.discs[j]
		dx, dy := e.x-d.x, e.y-d.y
		if dx > o.tool.Reach {
			break
		}
		if j != i && e.bars && e.side == d.side && dx*dx+dy*dy <= o.tool.Reach*o.tool.Reach {
			n++
		}
	}
	return n
}

// around adds to bs what stands in the way at position i while every part is there.
func (o *order) around(bs []blocked, i int) []blocked {
	x := o.discs[i].x
	from, _ := slices.BinarySearchFunc(o.east, x-o.tool.Reach,
		func(j int, left float64) int { return cmp.Compare(o.discs[j].x, left) })
	for _, j := range o.east[from:] {
		if o.discs[j].x > x+o.tool.Reach {
			break
		}
		if j == i {
			continue
		}
		middle, half, ok := o.tool.blocks(&o.discs[i], &o.discs[j])
		switch {
		case !ok:
		case half >= 180:
			bs = append(bs, blocked{by: int32(j), from: -1})
		default:
			bs = append(bs, blocked{by: int32(j), from: turned(middle - half), to: turned(middle + half)})
		}
	}
	return bs
}

func tooDense(t Tool) error {
	return fault.New(fault.Invalid, "plan-too-large", "bench.too-dense", t.Reach, maxPairs)
}

// remove takes the parts at these places of the scope off, always the one with
// the widest free angle next. Since parts that leave only widen the angles of
// the others, no other order has a larger smallest angle.
func (o *order) remove(places []int) []Removal {
	out := make([]Removal, 0, len(places))
	places = slices.Clone(places)
	for len(places) > 0 {
		n := o.widest(places)
		k := places[n]
		places = slices.Delete(places, n, n+1)
		for _, s := range o.spans[o.at[k]] {
			o.horizons[s.of].leave(s)
			o.angles[s.of] = o.horizons[s.of].angle()
		}
		out = append(out, Removal{Designator: o.m.Positions[o.at[k]].Designator, Angle: o.angles[k]})
	}
	return out
}

// widest finds the part with the widest free angle now, the first in natural
// order of those that have it: its index among the places.
func (o *order) widest(places []int) int {
	most := -1.0
	for _, k := range places {
		most = max(most, o.angles[k])
	}
	return slices.IndexFunc(places, func(k int) bool { return o.angles[k] >= most-even })
}

// stages sorts the scope into stages and works each out, in the order of
// removal.
func (o *order) stages() []Stage {
	first := firstOut(o.m)
	groups := map[board.Side][]int{}
	for k, i := range o.at {
		g := o.m.Positions[i].Side
		if first[o.m.Positions[i].Designator] {
			g = ""
		}
		groups[g] = append(groups[g], k)
	}
	stages := []Stage{}
	for _, g := range []board.Side{"", board.Top, board.Bottom} {
		if len(groups[g]) > 0 {
			stages = append(stages, o.stage(g, groups[g]))
		}
	}
	return stages
}

var stageWords = map[board.Side][2]message.Message{
	"":           {message.Of("stage.first"), message.Of("stage.first-why")},
	board.Top:    {message.Of("stage.top"), message.Of("stage.side-why")},
	board.Bottom: {message.Of("stage.bottom"), message.Of("stage.side-why")},
}

func (o *order) stage(side board.Side, places []int) Stage {
	s := Stage{Title: stageWords[side][0], Reason: stageWords[side][1], Removal: o.remove(places), Smallest: 360}
	if side != "" {
		s.Side = &side
	}
	for _, r := range s.Removal {
		s.Smallest = min(s.Smallest, r.Angle)
		s.Fitting = append(s.Fitting, Fitting{Designator: r.Designator, Angle: r.Angle})
	}
	slices.Reverse(s.Fitting)
	return s
}

// firstOut tells the positions that make a stage of their own: cells, and
// those of a failure point that bars power-up.
func firstOut(m *board.Map) map[string]bool {
	first := map[string]bool{}
	for i := range m.Positions {
		if m.Positions[i].Part.Class == part.Cell {
			first[m.Positions[i].Designator] = true
		}
	}
	for i := range m.FailurePoints {
		f := &m.FailurePoints[i]
		if f.BarsPowerUp == nil || !*f.BarsPowerUp {
			continue
		}
		for _, d := range f.Positions {
			first[d] = true
		}
	}
	return first
}
