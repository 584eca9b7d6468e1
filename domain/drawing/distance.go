package drawing

import (
	"math"
	"slices"
)

// hull is what a body covers, ready to be measured from: a circle or a convex
// polygon, and the line of an axial part's leads.
type hull struct {
	box    rectangle
	c      Point
	r      float64 // of a circle; 0 where corners say it
	n      int
	corner [roundCorners]Point
	wire   [2]Point
	wired  bool
}

// roundCorners is how many corners stand for the ellipse of a disc on edge.
const roundCorners = 12

func (s *shape) hull() hull {
	hx, hy := s.extent()
	h := hull{box: around(s.c, hx, hy), c: s.c}
	switch {
	case s.form == round && !s.base:
		h.r = s.rx
	case s.form == lens:
		h.n = roundCorners
		for i := range h.corner {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / roundCorners)
			h.corner[i] = s.local(s.rx*cos, s.ry*sin)
		}
	default:
		u, v := s.rx, s.ry
		if s.base {
			u, v = u*baseWider, v*baseWider
		}
		q := s.quad(-u, -v, u, v)
		h.n = copy(h.corner[:], q[:])
		if h.wired = s.form == tube; h.wired {
			h.wire = [2]Point{s.local(-s.leads, 0), s.local(s.leads, 0)}
		}
	}
	return h
}

// distance is how far an upright rectangle lies from a body that it does not
// overlap.
func (h *hull) distance(b rectangle) float64 {
	if h.r > 0 {
		return math.Max(0, length(nearest(b, h.c), h.c)-h.r)
	}
	d := polygonDistance(h.corner[:h.n], b)
	if h.wired {
		d = min(d, polygonDistance(h.wire[:], b))
	}
	return math.Sqrt(d)
}

// within reports whether a rectangle lies nearer to a body than room, or over it.
func (h *hull) within(b rectangle, room float64) bool {
	if h.r > 0 {
		return length(nearest(b, h.c), h.c) < h.r+room
	}
	ps := h.corner[:h.n]
	return polygonDistance(ps, b) < room*room || overlap(ps, b) ||
		h.wired && (polygonDistance(h.wire[:], b) < room*room || overlap(h.wire[:], b))
}

// polygonDistance is the square of the distance between the borders of a
// rectangle and a polygon that do not cross: a corner of one is nearest to a
// side of the other.
func polygonDistance(ps []Point, b rectangle) float64 {
	d := math.Inf(1)
	q := ps[len(ps)-1]
	for _, p := range ps {
		dx, dy := max(b.x0-p.X, p.X-b.x1, 0), max(b.y0-p.Y, p.Y-b.y1, 0)
		d = min(d, dx*dx+dy*dy)
		sx, sy := p.X-q.X, p.Y-q.Y
		if l := sx*sx + sy*sy; l > 0 {
			d = min(d, toSide(b.x0-q.X, b.y0-q.Y, sx, sy, l), toSide(b.x1-q.X, b.y0-q.Y, sx, sy, l),
				toSide(b.x0-q.X, b.y1-q.Y, sx, sy, l), toSide(b.x1-q.X, b.y1-q.Y, sx, sy, l))
		}
		q = p
	}
	return d
}

// toSide is the square of the distance of (x, y) from the line that goes from
// the origin to (sx, sy); l is the square of its length.
func toSide(x, y, sx, sy, l float64) float64 {
	t := max(0, min(1, (x*sx+y*sy)/l))
	x, y = x-t*sx, y-t*sy
	return x*x + y*y
}

// overlap reports whether no line parallel to a side of either keeps a polygon
// and a rectangle apart.
func overlap(ps []Point, b rectangle) bool {
	corners := [4]Point{{b.x0, b.y0}, {b.x1, b.y0}, {b.x1, b.y1}, {b.x0, b.y1}}
	if gap(ps, corners[:], Point{1, 0}) || gap(ps, corners[:], Point{0, 1}) {
		return false
	}
	for i, p := range ps {
		q := ps[(i+1)%len(ps)]
		if gap(ps, corners[:], Point{q.Y - p.Y, p.X - q.X}) {
			return false
		}
	}
	return true
}

func gap(a, b []Point, n Point) bool {
	a0, a1 := shadow(a, n)
	b0, b1 := shadow(b, n)
	return a1 < b0 || b1 < a0
}

func shadow(ps []Point, n Point) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range ps {
		x := p.X*n.X + p.Y*n.Y
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi
}

func length(a, b Point) float64 {
	dx, dy := b.X-a.X, b.Y-a.Y
	return math.Sqrt(dx*dx + dy*dy)
}

// reach is how far the body goes from its middle in a direction, an axial
// part's leads left out.
func (s *shape) reach(d Point) float64 {
	if s.form == round {
		return s.rx
	}
	sin, cos := math.Sincos(s.angle)
	u, v := math.Abs(d.X*cos-d.Y*sin), math.Abs(d.X*sin+d.Y*cos)
	if s.form == lens {
		return 1 / math.Hypot(u/s.rx, v/s.ry)
	}
	return math.Min(s.rx/math.Max(u, 1e-9), s.ry/math.Max(v, 1e-9))
}

// neighbours finds the bodies about a place: bodies by the cells of a grid that
// their surrounding rectangles touch.
type neighbours struct {
	area       rectangle
	cell       float64
	cols, rows int
	start      []int32 // of each cell's bodies in list
	list       []int32
	hulls      []hull
}

// maxLooked is how many bodies are measured before a place counts as too
// crowded to be told.
const maxLooked = 64

func newNeighbours(area rectangle, parts []piece, which func(*piece) bool) *neighbours {
	w, h := area.x1-area.x0, area.y1-area.y0
	n := &neighbours{area: area, hulls: make([]hull, len(parts))}
	n.cell = math.Sqrt(w * h / float64(len(parts)+1))
	n.cols, n.rows = int(w/n.cell)+1, int(h/n.cell)+1
	n.start = make([]int32, n.cols*n.rows+1)
	for i := range parts {
		n.hulls[i] = parts[i].body.hull()
		if which(&parts[i]) {
			n.cells(n.hulls[i].box, func(c int) bool { n.start[c+1]++; return true })
		}
	}
	for c := range n.cols * n.rows {
		n.start[c+1] += n.start[c]
	}
	n.list = make([]int32, n.start[len(n.start)-1])
	next := slices.Clone(n.start)
	for i := range parts {
		if which(&parts[i]) {
			n.cells(n.hulls[i].box, func(c int) bool {
				n.list[next[c]] = int32(i)
				next[c]++
				return true
			})
		}
	}
	return n
}

// cells calls f with each cell that a rectangle touches until f returns false;
// it reports whether f never did.
func (n *neighbours) cells(b rectangle, f func(cell int) bool) bool {
	at := func(x float64, most int) int { return min(max(int(x/n.cell), 0), most-1) }
	x0, x1 := at(b.x0-n.area.x0, n.cols), at(b.x1-n.area.x0, n.cols)
	y0, y1 := at(b.y0-n.area.y0, n.rows), at(b.y1-n.area.y0, n.rows)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			if !f(y*n.cols + x) {
				return false
			}
		}
	}
	return true
}

// clear reports whether no body but own lies nearer to a rectangle than room.
func (n *neighbours) clear(b rectangle, own int, room float64) bool {
	wide := rectangle{b.x0 - room, b.y0 - room, b.x1 + room, b.y1 + room}
	looked := 0
	return n.cells(wide, func(c int) bool {
		for _, i := range n.list[n.start[c]:n.start[c+1]] {
			h := &n.hulls[i]
			if looked++; looked > maxLooked {
				return false
			}
			if int(i) == own || h.box.x0 > wide.x1 || h.box.x1 < wide.x0 || h.box.y0 > wide.y1 || h.box.y1 < wide.y0 {
				continue
			}
			if h.within(b, room) {
				return false
			}
		}
		return true
	})
}
