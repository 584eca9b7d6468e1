package board

import (
	"cmp"
	"math"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

const (
	// rounding is how far two coordinates of the same place may lie apart when
	// both were rounded to three decimals, mm.
	rounding = 0.0015
	// fewestPairs is how many positions two maps must have in common before a
	// change of the frame can be told from moved parts.
	fewestPairs = 3
	// nearlyAll is the share of common positions that must follow a change of
	// the frame: 3 of 4. The others were moved as well.
	nearlyAll = 0.75
)

// Transform is a change of the frame that all places follow: mirrored at the
// vertical axis first, then turned, then shifted.
type Transform struct {
	Mirrored bool         `json:"mirrored,omitzero"`      // x → -x; directions θ → 180° - θ
	Turned   float64      `json:"turned_deg,omitzero"`    // 90, 180 or 270 counter-clockwise
	Shift    [2]float64   `json:"shift_mm"`               // x, y
	Sides    bool         `json:"sides_swapped,omitzero"` // top became bottom
	Kept     bool         `json:"rotation_kept,omitzero"` // rotation_deg did not follow; negative_deg always does
	Adjusted []Adjustment `json:"adjusted,omitzero"`      // places that rounding left elsewhere
}

// Adjustment is the exact place of a position in the new frame, where the
// transform's figures, rounded, miss it.
type Adjustment struct {
	Designator string   `json:"designator"` // in the old map
	X          float64  `json:"x_mm"`
	Y          float64  `json:"y_mm"`
	Rotation   float64  `json:"rotation_deg"`
	Negative   *float64 `json:"negative_deg,omitzero"`
}

func (t *Transform) point(x, y float64) (float64, float64) {
	if t.Mirrored {
		x = -x
	}
	switch t.Turned {
	case 90:
		x, y = -y, x
	case 180:
		x, y = -x, -y
	case 270:
		x, y = y, -x
	}
	return tidy(x + t.Shift[0]), tidy(y + t.Shift[1])
}

// angle is a direction after the transform, 0 ≤ angle < 360 unless directions
// don't change at all.
func (t *Transform) angle(deg float64) float64 {
	if !t.Mirrored && t.Turned == 0 {
		return deg
	}
	if t.Mirrored {
		deg = 180 - deg
	}
	return tidy(normal(deg + t.Turned))
}

func (t *Transform) side(s Side) Side {
	if !t.Sides {
		return s
	}
	return s.Opposite()
}

// position gives a position in the new frame.
func (t *Transform) position(p Position) Position {
	p.X, p.Y = t.point(p.X, p.Y)
	p.Side = t.side(p.Side)
	if !t.Kept {
		p.Rotation = t.angle(p.Rotation)
	}
	if p.Negative != nil {
		n := t.angle(*p.Negative)
		p.Negative = &n
	}
	return p
}

// apply gives the map in the new frame. The frame's own members stay as they
// are. What the maps share is never written to.
func (t *Transform) apply(m *Map) *Map {
	if t == nil {
		return m
	}
	out := *m
	out.Positions = make([]Position, len(m.Positions))
	adjusted := make(map[string]*Adjustment, len(t.Adjusted))
	for i := range t.Adjusted {
		adjusted[t.Adjusted[i].Designator] = &t.Adjusted[i]
	}
	for i := range m.Positions {
		p := t.position(m.Positions[i])
		if a := adjusted[p.Designator]; a != nil {
			p.X, p.Y, p.Rotation, p.Negative = a.X, a.Y, a.Rotation, a.Negative
			delete(adjusted, p.Designator)
		}
		out.Positions[i] = p
	}
	out.Variants = t.variants(m.Variants)
	out.Photographs = t.photographs(m.Photographs)
	return &out
}

func (t *Transform) photographs(ps []Photograph) []Photograph {
	if ps == nil {
		return nil
	}
	out := make([]Photograph, len(ps))
	for i, p := range ps {
		p.Side = t.side(p.Side)
		p.Points = slices.Clone(p.Points)
		for k := range p.Points {
			mm := &p.Points[k].MM
			mm[0], mm[1] = t.point(mm[0], mm[1])
		}
		out[i] = p
	}
	return out
}

func (t *Transform) variants(vs []Variant) []Variant {
	if vs == nil {
		return nil
	}
	out := make([]Variant, len(vs))
	for i, v := range vs {
		if v.Changes != nil {
			changes := make([]Change, len(v.Changes))
			for j, c := range v.Changes {
				changes[j] = t.change(c)
			}
			v.Changes = changes
		}
		out[i] = v
	}
	return out
}

func (t *Transform) change(c Change) Change {
	if c.Fit != nil {
		p := t.position(*c.Fit)
		c.Fit = &p
	}
	if c.Set == nil {
		return c
	}
	o, err := members(c.Set)
	if err != nil {
		return c
	}
	t.patch(o)
	if b, err := json.Marshal(o, json.Deterministic(true)); err == nil {
		c.Set = b
	}
	return c
}

// patch moves the places in a merge patch. A quarter turn makes an x of a y,
// so one coordinate alone becomes the other one.
func (t *Transform) patch(o object) {
	x, hasX := figure(o["x_mm"])
	y, hasY := figure(o["y_mm"])
	delete(o, "x_mm")
	delete(o, "y_mm")
	nx, ny := t.point(x, y)
	if t.Turned == 90 || t.Turned == 270 {
		hasX, hasY = hasY, hasX
	}
	if hasX {
		o["x_mm"] = raw(nx)
	}
	if hasY {
		o["y_mm"] = raw(ny)
	}
	if r, ok := figure(o["rotation_deg"]); ok && !t.Kept {
		o["rotation_deg"] = raw(t.angle(r))
	}
	if n, ok := figure(o["negative_deg"]); ok {
		o["negative_deg"] = raw(t.angle(n))
	}
	var side Side
	if v := o["side"]; v != nil && json.Unmarshal(v, &side) == nil {
		o["side"] = raw(t.side(side))
	}
}

func figure(v jsontext.Value) (float64, bool) {
	var f float64
	if v.Kind() != '0' || json.Unmarshal(v, &f) != nil {
		return 0, false
	}
	return f, true
}

// twin is a position that two maps have under the same designator.
type twin struct{ from, to *Position }

// reframed finds the change of the frame between two maps, nil for none. It
// looks only at positions that have kept their designator, and takes the
// transform that most of them follow; three of four must.
func reframed(from, to *Map) *Transform {
	twins := twinsOf(from, to)
	still := 0
	for _, w := range twins {
		if near(w.from.X, w.from.Y, w.to.X, w.to.Y) && w.from.Side == w.to.Side {
			still++
		}
	}
	if len(twins) < fewestPairs || 2*still >= len(twins) {
		return nil
	}
	var best *Transform
	most := 0
	sampled := sample(twins)
	for _, t := range motions() {
		shift, ok := modalShift(&t, sampled)
		if !ok {
			continue
		}
		t.Shift = shift
		if n := followers(&t, twins); n > most {
			most, best = n, &t
		}
		if most == 3*len(twins) {
			break // all of them in every respect
		}
	}
	if best == nil || best.isNothing() {
		return nil
	}
	best.adjust(twins)
	return best
}

func (t *Transform) isNothing() bool {
	return !t.Mirrored && t.Turned == 0 && t.Shift == [2]float64{} && !t.Sides
}

// sampleSize is how many twins vote on the shift; with three of four agreeing
// that many are plenty, and all of them are counted afterwards.
const sampleSize = 128

// sample takes twins at even distances.
func sample(twins []twin) []twin {
	if len(twins) <= sampleSize {
		return twins
	}
	out := make([]twin, sampleSize)
	for i := range out {
		out[i] = twins[i*len(twins)/sampleSize]
	}
	return out
}

// motions are the candidates, plainest first.
func motions() []Transform {
	var ts []Transform
	for _, turned := range []float64{0, 180, 90, 270} {
		ts = append(ts, Transform{Turned: turned}, Transform{Turned: turned, Mirrored: true})
	}
	return ts
}

func twinsOf(from, to *Map) []twin {
	at := make(map[string]*Position, len(from.Positions))
	for i := range from.Positions {
		if p := &from.Positions[i]; at[p.Designator] == nil {
			at[p.Designator] = p
		}
	}
	twins := make([]twin, 0, len(to.Positions))
	for i := range to.Positions {
		if p := at[to.Positions[i].Designator]; p != nil {
			twins = append(twins, twin{p, &to.Positions[i]})
			delete(at, p.Designator)
		}
	}
	return twins
}

// modalShift is the shift that most twins agree on to a micrometre.
func modalShift(t *Transform, twins []twin) ([2]float64, bool) {
	type bucket struct{ x, y int64 }
	type share struct {
		n     int
		shift [2]float64
	}
	shares := make(map[bucket]share, len(twins))
	var most share
	var where bucket
	for _, w := range twins {
		x, y := t.point(w.from.X, w.from.Y)
		dx, dy := w.to.X-x, w.to.Y-y
		if math.Abs(dx) > 1e6 || math.Abs(dy) > 1e6 || math.IsNaN(dx+dy) {
			continue
		}
		k := bucket{int64(math.Round(dx * 1000)), int64(math.Round(dy * 1000))}
		s := shares[k]
		if s.n++; s.n == 1 {
			s.shift = [2]float64{tidy(dx), tidy(dy)}
		}
		shares[k] = s
		if s.n > most.n || s.n == most.n && cmp.Or(cmp.Compare(k.x, where.x), cmp.Compare(k.y, where.y)) < 0 {
			most, where = s, k
		}
	}
	return most.shift, most.n > 0
}

// followers counts the twins whose places follow t, and, to tell apart
// motions that a symmetrical board can't, those whose directions do; 0 where
// too few follow. It settles whether sides were swapped and rotations kept.
func followers(t *Transform, twins []twin) int {
	places, swapped, kept, turned := 0, 0, 0, 0
	for _, w := range twins {
		x, y := t.point(w.from.X, w.from.Y)
		if !near(x, y, w.to.X, w.to.Y) {
			continue
		}
		places++
		if w.from.Side != w.to.Side {
			swapped++
		}
		if sameAngle(w.from.Rotation, w.to.Rotation) {
			kept++
		}
		if sameAngle(t.angle(w.from.Rotation), w.to.Rotation) {
			turned++
		}
	}
	if float64(places) < nearlyAll*float64(len(twins)) {
		return 0
	}
	t.Sides = float64(swapped) > nearlyAll*float64(places)
	t.Kept = kept > turned
	return 2*places + turned
}

// adjust notes the exact places that the rounded transform misses.
func (t *Transform) adjust(twins []twin) {
	for _, w := range twins {
		p := t.position(*w.from)
		if p.X == w.to.X && p.Y == w.to.Y && p.Rotation == w.to.Rotation && sameFlag(p.Negative, w.to.Negative) {
			continue
		}
		if !near(p.X, p.Y, w.to.X, w.to.Y) {
			continue
		}
		a := Adjustment{p.Designator, w.to.X, w.to.Y, p.Rotation, p.Negative}
		if sameAngle(p.Rotation, w.to.Rotation) {
			a.Rotation = w.to.Rotation
		}
		if p.Negative != nil && w.to.Negative != nil && sameAngle(*p.Negative, *w.to.Negative) {
			a.Negative = w.to.Negative
		}
		if a.X != p.X || a.Y != p.Y || a.Rotation != p.Rotation || !sameFlag(a.Negative, p.Negative) {
			t.Adjusted = append(t.Adjusted, a)
		}
	}
}

// near reports whether two coordinates are the same place but for rounding.
func near(ax, ay, bx, by float64) bool {
	return math.Abs(ax-bx) <= rounding && math.Abs(ay-by) <= rounding
}

// sameAngle compares directions, whole turns aside.
func sameAngle(a, b float64) bool { return math.Abs(apart(a, b)) < 1e-6 }

// apart is the turn from one direction to another, -180 < turn ≤ 180 degrees.
func apart(a, b float64) float64 {
	d := normal(b - a)
	if d > 180 {
		d -= 360
	}
	return d
}

// normal brings an angle to 0 ≤ angle < 360 degrees.
func normal(deg float64) float64 {
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	return d
}

// tidy rounds to a nanometre, so that binary arithmetic leaves no tail.
func tidy(v float64) float64 {
	if r := math.Round(v*1e6) / 1e6; r != 0 {
		return r
	}
	return 0
}
