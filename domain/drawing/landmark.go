package drawing

import (
	"math"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/part"
)

// Mark is what tells one edge of a board from the others.
type Mark uint8

// Marks of edges.
const (
	Unmarked  Mark = iota
	Notch          // the only edge that the outline is cut into
	Connector      // the only edge with connectors, of Names
	Row            // the edge along which the row of Names stands
)

// Landmark is something at an edge that cannot be taken for anything else on
// the board in the hand, however it lies.
type Landmark struct {
	Mark  Mark
	Names []string // designators
}

// Landmarks are those of a board's edges as seen from either side: a part on
// the top says nothing to whoever looks at the bottom.
type Landmarks struct{ top, bottom [4]Landmark }

// The edges, in the order of quarter turns from the right, seen from the top.
const (
	rightEdge = iota
	topEdge
	leftEdge
	bottomEdge
)

// Towards is the landmark of the edge that a position's negative lead points
// to; none where it points between two edges.
func (ls *Landmarks) Towards(p *board.Position) Landmark {
	if p.Negative == nil {
		return Landmark{}
	}
	const slack = 20 // degrees off the square
	deg := math.Mod(math.Mod(sound(*p.Negative), 360)+360, 360)
	quarter := math.Round(deg / 90)
	if math.Abs(deg-quarter*90) > slack {
		return Landmark{}
	}
	if p.Side == board.Bottom {
		return ls.bottom[int(quarter)%4]
	}
	return ls.top[int(quarter)%4]
}

// LandmarksOf finds the landmarks of a board's edges: a notch before a
// connector, a connector before a row of parts.
func LandmarksOf(m *board.Map) *Landmarks {
	return &Landmarks{top: edgesOf(m, board.Top), bottom: edgesOf(m, board.Bottom)}
}

func edgesOf(m *board.Map, side board.Side) (out [4]Landmark) {
	for e := range out {
		out[e] = rowAt(m, e, side)
	}
	if at, names, ok := connectorsAt(m, side); ok {
		out[at] = Landmark{Mark: Connector, Names: names}
	}
	if at, ok := notchAt(&m.Frame); ok {
		out[at] = Landmark{Mark: Notch}
	}
	return out
}

// fromEdges is how far a point lies from each edge of the frame.
func fromEdges(f *board.Frame, x, y float64) [4]float64 {
	w, h := frame(f)
	return [4]float64{rightEdge: w - x, topEdge: h - y, leftEdge: x, bottomEdge: y}
}

// notchAt is the only edge that the outline leaves and comes back to. A cut
// corner belongs to two edges and is no landmark of either.
func notchAt(f *board.Frame) (edge int, ok bool) {
	n := len(f.Outline)
	found := 0
	for e := range 4 {
		on := func(i int) bool {
			p := f.Outline[(i+n)%n]
			return fromEdges(f, sound(p[0]), sound(p[1]))[e] < 0.05
		}
		stretches := 0
		for i := range n {
			if on(i) && on(i+1) && !(on(i-1) && on(i)) {
				stretches++
			}
		}
		if stretches > 1 {
			edge = e
			found++
		}
	}
	return edge, found == 1
}

// Where a connector counts as standing at an edge.
const (
	edgeNear  = 0.12 // of the board's shorter side, from the edge to its middle
	edgeOther = 2.0  // times further from any other edge
	fewNames  = 3    // more connectors than that are no landmark one finds at a glance
)

// connectorsAt is the edge at which all connectors of a side that stand at edges
// stand.
func connectorsAt(m *board.Map, side board.Side) (edge int, names []string, ok bool) {
	w, h := frame(&m.Frame)
	edge = -1
	for i := range m.Positions {
		p := &m.Positions[i]
		if p.Part.Class != part.Connector || p.Side != side {
			continue
		}
		far := fromEdges(&m.Frame, p.X, p.Y)
		e := nearestEdge(far)
		if far[e] > edgeNear*math.Min(w, h) {
			continue
		}
		sorted := slices.Sorted(slices.Values(far[:]))
		if sorted[1] < edgeOther*sorted[0] || edge >= 0 && edge != e {
			return 0, nil, false
		}
		edge, names = e, append(names, p.Designator)
	}
	slices.SortFunc(names, board.CompareDesignators)
	return edge, names, edge >= 0 && len(names) <= fewNames
}

func nearestEdge(far [4]float64) int {
	e := 0
	for i := range far {
		if far[i] < far[e] {
			e = i
		}
	}
	return e
}

// What makes parts a row that is seen at once.
const (
	rowMin   = 5   // parts
	rowLine  = 1.0 // millimetres off the line
	rowShare = 0.6 // of the edge that it runs along
)

// rowAt is the row of parts that stands nearest to an edge, if it is one row
// that a name of two ends tells.
func rowAt(m *board.Map, edge int, side board.Side) Landmark {
	nearest := math.Inf(1)
	for i := range m.Positions {
		if p := &m.Positions[i]; p.Side == side {
			nearest = math.Min(nearest, fromEdges(&m.Frame, p.X, p.Y)[edge])
		}
	}
	var names []string
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range m.Positions {
		p := &m.Positions[i]
		if p.Side != side || fromEdges(&m.Frame, p.X, p.Y)[edge] > nearest+rowLine {
			continue
		}
		along := p.X
		if edge == rightEdge || edge == leftEdge {
			along = p.Y
		}
		names = append(names, p.Designator)
		lo, hi = math.Min(lo, along), math.Max(hi, along)
	}
	w, h := frame(&m.Frame)
	long := w
	if edge == rightEdge || edge == leftEdge {
		long = h
	}
	slices.SortFunc(names, board.CompareDesignators)
	if len(names) < rowMin || hi-lo < rowShare*long || strings.Contains(list.Ranges(names), ",") {
		return Landmark{}
	}
	return Landmark{Mark: Row, Names: names}
}
