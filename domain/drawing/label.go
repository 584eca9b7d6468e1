package drawing

import (
	"math"
	"slices"
)

// label is a designator in its place on the sheet.
type label struct {
	box      rectangle
	width    float64 // of the text alone
	grade    int     // index into grades: the size of its letters
	on       bool    // it lies on its body
	led      bool    // a leader line joins it to its part
	from, to Point   // of the line: at the label, in the part
}

// Letters and room, in ems where not said otherwise.
const (
	emMax      = 19.0 // sheet units
	emClose    = 34.0 // the same of a piece seen closer: 12 px where a phone shows it
	emMin      = 2.4
	emShare    = 0.37 // of the mean distance between parts
	emCrowded  = 0.30 // the same from many parts on
	many       = 1500
	several    = 600  // parts from which the first good size is taken
	emShrink   = 0.85 // from one try to the next
	tries      = 7
	hopeless   = 1.1  // times the least strain: smaller letters will not better it
	ledStrain  = 1.6  // of a label on a leader, of one beside its part
	leftStrain = 5.0  // of one that found no place near its part
	lineTall   = 0.98 // height of a label's box
	capTall    = 0.72 // height of a capital
	boldWider  = 1.07
	padX       = 5.0 // room beside the board for labels on leaders
	padY       = 3.0
	beside     = 0.16 // gap between a body and its label
	clearance  = 1.6  // how many times further than its own any other body must be
	least      = 0.12 // and how far at least
)

// grades are the sizes of letters that a label may have, of the drawing's
// largest: smaller ones where there is less room.
var grades = [...]float64{1, 0.78, 0.6}

// label gives every part's designator a place of its own, the same in every
// drawing of the map: neither marks nor signs nor what has changed move it. A
// label stands nearer to its own body than to any other's, or a leader line
// joins the two. Parts that servicing replaces choose first. Where letters of
// the first size leave too many designators without a place near their part,
// smaller ones are tried. What is no part of the map chooses last.
func (l *layout) label(signs map[string]Sign, marks map[string]bool) {
	for i := range l.parts {
		p := &l.parts[i]
		p.sign, p.marked = signs[p.pos.Designator], marks[p.pos.Designator]
	}
	order := l.turns(false)
	mean := math.Sqrt(l.size.X * l.size.Y / float64(max(1, len(order))))
	share := emShare
	if len(order) > many {
		share = emCrowded
	}
	most := emMax
	if l.o.Close {
		most = emClose
	}
	l.em = math.Max(emMin, math.Min(most, share*mean))
	l.settle(order)
	if extra := l.turns(true); len(extra) > 0 {
		l.area = l.area.with(l.around(anyPiece))
		s := l.seats(anyPiece)
		for _, i := range order {
			s.take(&l.parts[i])
		}
		left, _ := s.seatAll(extra)
		l.column(left)
	}
}

// settle seats all labels at the size of letters that serves best: the one at
// which they, taken together, are the easiest to read and to assign. On large
// boards the first one that is good enough.
func (l *layout) settle(order []int) {
	best, em := math.Inf(1), l.em
	var left []int
	for range tries {
		l.area = l.around(proper)
		var led int
		left, led = l.seats(proper).seatAll(order)
		strain, perfect := l.strain(order, left)
		if strain < best {
			best, em = strain, l.em
		}
		next := l.em * emShrink
		if perfect || strain > best*hopeless || next < emMin || len(order) > several && len(left) == 0 &&
			led*2 <= len(order) {
			break
		}
		l.em = next
	}
	if l.em != em {
		l.em = em
		l.area = l.around(proper)
		left, _ = l.seats(proper).seatAll(order)
	}
	l.column(left)
}

// strain is what reading all labels takes: small letters cost, and leaders
// more; perfect are labels that are all of the largest letters and beside
// their parts.
func (l *layout) strain(order, left []int) (sum float64, perfect bool) {
	for _, i := range order {
		at := &l.parts[i].label
		cost := 1 / (l.em * grades[at.grade])
		if at.led {
			cost *= ledStrain
		}
		sum += cost
		perfect = perfect || at.grade > 0 || at.led
	}
	return sum + float64(len(left))*leftStrain/l.em, !perfect && len(left) == 0
}

// turns is the order in which parts choose a place: those of the map, or those
// that are drawn besides.
func (l *layout) turns(extra bool) []int {
	order := make([]int, 0, len(l.parts))
	for i := range l.parts {
		if p := &l.parts[i]; !p.quiet && p.extra == extra {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(l.parts[b].serve) - int(l.parts[a].serve) })
	return order
}

// around is the room that the board and some of its parts take with their
// labels.
func (l *layout) around(which func(*piece) bool) rectangle {
	a := rectangle{0, 0, l.size.X, l.size.Y}
	for _, p := range l.outl {
		a = a.with(around(p, 0, 0))
	}
	for i := range l.parts {
		if p := &l.parts[i]; which(p) {
			hx, hy := p.body.extent()
			a = a.with(around(p.body.c, hx, hy))
		}
	}
	return rectangle{a.x0 - padX*l.em, a.y0 - padY*l.em, a.x1 + padX*l.em, a.y1 + padY*l.em}
}

// proper tells the parts of the map from what is drawn besides.
func proper(p *piece) bool { return !p.quiet && !p.extra }

func anyPiece(*piece) bool { return true }

// seats is the room for labels while it is given away.
type seats struct {
	*layout
	r    *raster
	near *neighbours
}

func (l *layout) seats(which func(*piece) bool) *seats {
	s := &seats{l, newRaster(l.area, l.em/4), newNeighbours(l.area, l.parts, which)}
	for i := range l.parts {
		if which(&l.parts[i]) {
			s.r.cover(s.near.hulls[i].box)
		}
	}
	s.r.settle()
	return s
}

// seatAll seats labels one after the other; left are those without a place.
func (s *seats) seatAll(order []int) (left []int, led int) {
	for _, i := range order {
		if !s.seat(i) {
			left = append(left, i)
		} else if s.parts[i].label.led {
			led++
		}
	}
	return left, led
}

func (s *seats) take(p *piece) {
	s.r.take(p.label.box)
	if p.label.led {
		s.r.takeLine(p.label.from, p.label.to)
	}
}

// measure is the width and height of a part's label at a grade.
func (l *layout) measure(p *piece, grade int) (w, h float64) {
	em := l.em * grades[grade]
	w = textWidth(p.pos.Designator, em)
	if p.serve == replace {
		w *= boldWider
	}
	p.label = label{width: w, grade: grade}
	return w + 0.16*em, lineTall * em
}

// What a place costs, in bodies lying under the label.
const (
	gradeCost = 0.10 // for each grade down
	ledCost   = 0.75 // for a leader
	overCost  = 1.5  // for lying over bodies, of a label on a leader
	passCost  = 0.30 // for a leader that passes a body, for each em of it
	goodCost  = 0.15 // good enough to look no further
	edgeCost  = 0.06 // for lying across the board's edge, or beyond it
)

// insideCost is what a label on its own body costs: it hides what servicing
// does to the part.
var insideCost = [duties]float64{leave: 0, inspect: 0.095, replace: 0.105}

func (l *layout) edges(b rectangle) float64 {
	if b.x0 < 0 || b.y0 < 0 || b.x1 > l.size.X || b.y1 > l.size.Y {
		return edgeCost
	}
	return 0
}

// seat finds the best free place for a part's label; false if there is none
// near it.
func (s *seats) seat(i int) bool {
	p := &s.parts[i]
	best, seated := math.Inf(1), label{}
	for g := range grades {
		cost := float64(g) * gradeCost
		if cost >= best || best < goodCost {
			break
		}
		w, h := s.measure(p, g)
		if c, b, found := s.beside(i, w, h, best-cost); found {
			best, p.label.box = c+cost, b
			p.label.on = b == around(p.body.c, w/2, h/2)
			seated = p.label
		}
	}
	if best > ledCost {
		w, h := s.measure(p, 1)
		if s.lead(p, w, h, best-ledCost) {
			best, seated = 0, p.label
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	p.label = seated
	s.take(p)
	return true
}

// beside finds the cheapest free box on or beside a body that costs less than
// bound and is not nearer to another body.
func (s *seats) beside(i int, w, h, bound float64) (best float64, box rectangle, found bool) {
	p, hull := &s.parts[i], &s.near.hulls[i]
	best = bound
	try := func(b rectangle, cost, far float64) {
		if s.near.clear(b, i, max(clearance*far, least*s.em)) {
			best, box, found = cost, b, true
		}
	}
	c := p.body.c
	if b := around(c, w/2, h/2); insideCost[p.serve] < best && p.body.holds(w, h) && !Unsure(p.pos) && s.r.free(b) {
		try(b, insideCost[p.serve], 0)
	}
	hx, hy := p.body.extent()
	gap := beside * s.em
	for n, o := range besides(hx+gap, hy+gap, w, h) {
		b := around(Point{c.X + o.X, c.Y + o.Y}, w/2, h/2)
		if cost := 0.02 + 0.005*float64(n) + s.edges(b); cost < best && s.r.free(b) {
			try(b, cost, hull.distance(b))
		}
	}
	return best, box, found
}

// besides are the middles of labels that touch a body's surrounding
// rectangle of the given half sizes, from the body's middle, likeable ones first.
func besides(hx, hy, w, h float64) [16]Point {
	x, y := hx+w/2, hy+h/2
	tx, ty := math.Abs(hx-w/2), math.Max(0, hy-h/2)
	return [16]Point{
		{0, y}, {0, -y}, {x, 0}, {-x, 0},
		{x, -ty}, {x, ty}, {-x, -ty}, {-x, ty},
		{tx, -y}, {-tx, -y}, {tx, y}, {-tx, y},
		{x, -y}, {-x, -y}, {x, y}, {-x, y},
	}
}

// Distances of labels on leaders from their body, and in how many directions
// they are tried.
var rings = [...]float64{1, 1.9, 3, 4.4, 6.2, 8.5}

const compass = 16

var headings = func() (hs [compass]Point) {
	for i := range hs {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / compass)
		hs[i] = Point{cos, -sin}
	}
	return hs
}()

// lead seats a label away from its part, with a leader line that ends in the
// part, if that costs less than bound.
func (s *seats) lead(p *piece, w, h, bound float64) (found bool) {
	c := p.body.c
	best := bound
	for _, ring := range rings {
		far := 0.08 * ring
		if far >= best {
			break
		}
		for _, d := range headings {
			edge := p.body.reach(d)
			reach := edge + ring*s.em
			b := around(Point{c.X + d.X*(reach+w/2), c.Y + d.Y*(reach+h/2)}, w/2, h/2)
			if !s.r.free(b) {
				continue
			}
			cost := far + overCost*s.r.crowd(b, rectangle{})
			if cost >= best {
				continue
			}
			from, rim := nearest(b, c), Point{c.X + d.X*edge, c.Y + d.Y*edge}
			passed, clear := s.r.passes(from, rim)
			if cost += passCost * passed / s.em; !clear || cost >= best {
				continue
			}
			best, found = cost, true
			p.label.box, p.label.led, p.label.from = b, true, from
			p.label.to = Point{c.X + d.X*edge*into, c.Y + d.Y*edge*into}
		}
	}
	return found
}

// into is how much of the way from a body's middle to its edge is left where a
// leader ends.
const into = 0.6

// nearest is the point of a rectangle that is nearest to p.
func nearest(b rectangle, p Point) Point {
	return Point{math.Max(b.x0, math.Min(b.x1, p.X)), math.Max(b.y0, math.Min(b.y1, p.Y))}
}

// holds reports whether a label finds room on the body, beside the filled
// negative end.
func (s *shape) holds(w, h float64) bool {
	w, h = w/2, h/2
	if s.form == round {
		if math.Hypot(w, h) > s.rx*0.95 {
			return false
		}
	} else {
		sin, cos := math.Sincos(s.angle)
		sin, cos = math.Abs(sin), math.Abs(cos)
		if w*cos+h*sin > s.rx || w*sin+h*cos > s.ry || s.form == lens {
			return false
		}
	}
	if !s.polar {
		return true
	}
	sin, cos := math.Sincos(s.pole)
	room := s.rx
	if s.form != round && math.Abs(math.Sin(s.pole-s.angle)) > math.Abs(math.Cos(s.pole-s.angle)) {
		room = s.ry
	}
	share := 0.58
	if room >= plusMin {
		share = 0.5 // the plus sign stands there too
	}
	return math.Abs(w*cos)+math.Abs(h*sin) <= room*share
}

// column sets the labels that found no place near their part in columns beside
// the board, top to bottom in the order of their parts.
func (l *layout) column(left []int) {
	if len(left) == 0 {
		return
	}
	slices.SortStableFunc(left, func(a, b int) int {
		switch ya, yb := l.parts[a].body.c.Y, l.parts[b].body.c.Y; {
		case ya < yb:
			return -1
		case ya > yb:
			return 1
		}
		return 0
	})
	tall := 1.6 * l.em
	rows := max(1, int((l.area.y1-l.area.y0)/tall))
	x, wide := l.area.x1+l.em, 0.0
	for n, i := range left {
		p := &l.parts[i]
		w, h := l.measure(p, 1)
		if n > 0 && n%rows == 0 {
			x, wide = x+wide+l.em, 0
		}
		y := l.area.y0 + (float64(n%rows)+0.5)*tall
		p.label.box = rectangle{x, y - h/2, x + w, y + h/2}
		p.label.led, p.label.from, p.label.to = true, Point{x, y}, p.body.c
		wide = math.Max(wide, w)
	}
	l.area.x1 = x + wide + l.em
}
