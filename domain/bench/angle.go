package bench

import (
	"math"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// disc is a part as the tool meets it: a circle about its centre, seen from
// above.
type disc struct {
	x, y  float64
	r     float64 // half the diagonal of the body's outline, mm; 0 where its size is not known
	side  board.Side
	bars  bool // present, it stands in a tool's way: its size is known and it is not too low
	known bool // the size is known
}

// halfDiagonal is half the diagonal of a body's outline as seen from above,
// mm: half the diameter of a round one, also of a disc that stands on its
// edge. It is false where the map does not give the size.
func halfDiagonal(b *part.Body) (float64, bool) {
	if b == nil {
		return 0, false
	}
	across := b.Width
	if b.Shape == "axial" && b.Diameter > 0 {
		across = b.Diameter
	}
	round := b.Shape != "axial" && b.Diameter > 0 && (b.Shape == "can" || b.Shape == "coin" || b.Shape == "disc" ||
		b.Length == 0 || b.Width == 0)
	switch {
	case round:
		return b.Diameter / 2, true
	case b.Length > 0 && across > 0:
		return math.Hypot(b.Length, across) / 2, true
	}
	return 0, false
}

// discOf is the disc of a position for a tool.
func discOf(p *board.Position, t Tool) disc {
	d := disc{x: p.X, y: p.Y, side: p.Side}
	d.r, d.known = halfDiagonal(p.Body)
	d.bars = d.known && (p.Body.Height == 0 || p.Body.Height > t.Clearance)
	return d
}

// blocks gives the directions, in degrees, that obstacle o takes from a tool
// at d: its middle and the half angle to both sides; ok is false where it is
// out of reach. A half angle of 180 takes them all.
func (t Tool) blocks(d, o *disc) (middle, half float64, ok bool) {
	if !o.bars || o.side != d.side {
		return 0, 0, false
	}
	dx, dy := o.x-d.x, o.y-d.y
	away := math.Hypot(dx, dy)
	if away > t.Reach {
		return 0, 0, false
	}
	if away == 0 {
		return 0, 180, true
	}
	half = math.Asin(math.Min(1, (o.r+t.HalfWidth)/away)) * 180 / math.Pi
	return turned(math.Atan2(dy, dx) * 180 / math.Pi), half, true
}

// turned brings an angle into 0 to under 360 degrees.
func turned(deg float64) float64 {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	if deg == 360 {
		return 0
	}
	return deg
}

// horizon is the circle of directions around one part, cut into arcs where an
// obstacle's blocked directions begin or end. Obstacles only ever leave, so
// arcs only ever open, and the widest gap is kept up to date without looking
// at the circle again: each opened arc joins the open runs beside it.
type horizon struct {
	cuts      []float64 // degrees, rising
	over      []int32   // how many present obstacles block each arc
	far       []int32   // at each end of an open run: its other end
	open      int       // arcs that nothing blocks
	obstacles int       // present
	whole     int       // present obstacles that block every direction
	widest    float64
}

// span is what one obstacle blocks of one horizon: arcs from, from+1 … up to
// and without to, around the circle.
type span struct {
	of       int32 // the horizon
	from, to int32 // -1: every direction
}

// blocked is an obstacle on the way into a horizon.
type blocked struct {
	by       int32
	from, to float64 // degrees; from = -1: every direction
}

// newHorizon cuts the circle; spans come back in the order of bs.
func newHorizon(bs []blocked) (*horizon, []span) {
	h := &horizon{obstacles: len(bs), cuts: make([]float64, 0, 2*len(bs))}
	for _, b := range bs {
		if b.from < 0 {
			h.whole++
			continue
		}
		h.cuts = append(h.cuts, b.from, b.to)
	}
	slices.Sort(h.cuts)
	h.cuts = slices.Compact(h.cuts)
	n := len(h.cuts)
	arcs := make([]int32, 2*n)
	h.over, h.far = arcs[:n], arcs[n:]
	spans := make([]span, len(bs))
	for i, b := range bs {
		spans[i] = span{from: -1, to: -1}
		if b.from < 0 {
			continue
		}
		from, _ := slices.BinarySearch(h.cuts, b.from)
		to, _ := slices.BinarySearch(h.cuts, b.to)
		spans[i] = span{from: int32(from), to: int32(to)}
		for k := from; k != to; k = h.next(k) {
			h.over[k]++
		}
	}
	for k := range h.over { // arcs that nothing blocks open one after another, as they will later
		h.over[k]++
	}
	for k := range h.over {
		h.lift(k)
	}
	return h, spans
}

func (h *horizon) next(k int) int {
	if k++; k == len(h.cuts) {
		return 0
	}
	return k
}

func (h *horizon) before(k int) int {
	if k == 0 {
		return len(h.cuts) - 1
	}
	return k - 1
}

// lift takes one obstacle off an arc.
func (h *horizon) lift(k int) {
	if h.over[k]--; h.over[k] > 0 {
		return
	}
	h.open++
	first, last := k, k
	if b := h.before(k); b != k && h.over[b] == 0 {
		first = int(h.far[b])
	}
	if a := h.next(k); a != k && h.over[a] == 0 {
		last = int(h.far[a])
	}
	h.far[first], h.far[last] = int32(last), int32(first)
	if h.open == len(h.cuts) {
		h.widest = 360
		return
	}
	gap := h.cuts[h.next(last)] - h.cuts[first]
	if gap <= 0 {
		gap += 360
	}
	h.widest = max(h.widest, gap)
}

// leave takes an obstacle away.
func (h *horizon) leave(s span) {
	h.obstacles--
	if s.from < 0 {
		h.whole--
		return
	}
	for k := int(s.from); k != int(s.to); k = h.next(k) {
		h.lift(k)
	}
}

// angle is the free angle now: the widest gap, degrees.
func (h *horizon) angle() float64 {
	switch {
	case h.whole > 0:
		return 0
	case h.obstacles == 0 || len(h.cuts) == 0:
		return 360
	}
	return h.widest
}
