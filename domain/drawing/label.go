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
	led      bool    // a leader line joins it to its part
	tied     bool    // a short line does, since another part stands about as near
	from, to Point   // of the line: at the label, at the part
}

// Letters and room, in ems where not said otherwise.
const (
	emMost    = 19.0 // sheet units
	emLeast   = 2.4
	emShare   = 0.37 // of the mean distance between parts
	emCrowded = 0.30 // the same from many parts on
	many      = 1500
	emShrink  = 0.8 // from one try to the next
	tries     = 5
	lineTall  = 1.12 // height of a label's box
	capTall   = 0.72 // height of a capital
	boldWider = 1.07
	signWide  = 1.3
	padX      = 5.0 // room beside the board for labels on leaders
	padY      = 3.0
	beside    = 0.22 // gap between a body and its label
	doubtful  = 0.75 // a label this near to another body is tied to its own
)

// grades are the sizes of letters that a label may have, of the drawing's
// largest: smaller ones where there is less room.
var grades = [...]float64{1, 0.78, 0.6}

// label gives every part's designator a place of its own. Parts that servicing
// replaces choose first. Where letters of the first size leave too many
// designators without a place near their part, smaller ones are tried.
func (l *layout) label(signs map[string]Sign, marks map[string]bool) {
	for i := range l.parts {
		p := &l.parts[i]
		p.sign, p.marked = signs[p.pos.Designator], marks[p.pos.Designator]
	}
	order := l.turns()
	mean := math.Sqrt(l.size.X * l.size.Y / float64(max(1, len(order))))
	share := emShare
	if len(order) > many {
		share = emCrowded
	}
	l.em = math.Max(emLeast, math.Min(emMost, share*mean))
	for try := 1; ; try++ {
		left, led := l.tryLabels(order)
		if len(left) == 0 && led*2 <= len(order) || try == tries || l.em*emShrink < emLeast {
			l.column(left)
			return
		}
		l.em *= emShrink
	}
}

// turns is the order in which parts choose a place.
func (l *layout) turns() []int {
	order := make([]int, 0, len(l.parts))
	for i := range l.parts {
		if !l.parts[i].quiet {
			order = append(order, i)
		}
	}
	first := func(i int) int {
		p := &l.parts[i]
		n := -int(p.duty)
		if p.marked || p.sign != 0 {
			n -= int(duties)
		}
		return n
	}
	slices.SortStableFunc(order, func(a, b int) int { return first(a) - first(b) })
	return order
}

func (l *layout) tryLabels(order []int) (left []int, led int) {
	l.area = rectangle{0, 0, l.size.X, l.size.Y}
	for _, p := range l.outl {
		l.area = l.area.with(around(p, 0, 0))
	}
	for i := range l.parts {
		b := &l.parts[i].body
		hx, hy := b.extent()
		if l.parts[i].marked {
			hx = l.markReach(b)
			hy = hx
		}
		l.area = l.area.with(around(b.c, hx, hy))
	}
	a := l.area
	l.area = rectangle{a.x0 - padX*l.em, a.y0 - padY*l.em, a.x1 + padX*l.em, a.y1 + padY*l.em}
	r := newRaster(l.area, l.em/4)
	for i := range l.parts {
		b := &l.parts[i].body
		hx, hy := b.extent()
		r.cover(around(b.c, hx, hy))
	}
	r.settle()
	for _, i := range order {
		p := &l.parts[i]
		if !l.seat(r, p) {
			left = append(left, i)
			continue
		}
		if p.label.led {
			led++
		}
	}
	return left, led
}

// measure is the width and height of a part's label at a grade.
func (l *layout) measure(p *piece, grade int) (w, h float64) {
	em := l.em * grades[grade]
	w = textWidth(p.pos.Designator, em)
	if p.duty == replace {
		w *= boldWider
	}
	p.label = label{width: w, grade: grade}
	if p.sign != 0 {
		w += signWide * em
	}
	h = lineTall * em
	if p.marked {
		w, h = w+0.5*em, h+0.3*em
	}
	return w + 0.16*em, h
}

// What a place costs, in bodies lying under the label.
const (
	gradeCost = 0.10 // for each grade down
	crowdCost = 3.0  // beside a body, where a label on another body misleads
	ledCost   = 0.75 // for a leader
	goodCost  = 0.15 // good enough to look no further
)

// seat finds the best free place for a part's label; false if there is none
// near it.
func (l *layout) seat(r *raster, p *piece) bool {
	best, seated := math.Inf(1), label{}
	for g := range grades {
		cost := float64(g) * gradeCost
		if cost >= best || best < goodCost {
			break
		}
		w, h := l.measure(p, g)
		if c, b, found := l.near(r, p, w, h, best-cost); found {
			best, p.label.box = c+cost, b
			seated = p.label
		}
	}
	if best > ledCost {
		w, h := l.measure(p, 1)
		if l.lead(r, p, w, h, best-ledCost) {
			best, seated = 0, p.label
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	p.label = seated
	l.tie(r, p)
	r.take(p.label.box)
	if p.label.led {
		r.takeLine(p.label.from, p.label.to)
	}
	return true
}

// near finds the cheapest free box on or beside a body that costs less than
// bound.
func (l *layout) near(r *raster, p *piece, w, h, bound float64) (best float64, box rectangle, found bool) {
	hx, hy := p.body.extent()
	own := around(p.body.c, hx, hy)
	best = bound
	try := func(b rectangle, cost float64) {
		if cost < best && r.free(b) {
			if cost += crowdCost * r.crowd(b, own); cost < best {
				best, box, found = cost, b, true
			}
		}
	}
	if p.body.holds(w, h) && !unsure(p.pos) {
		try(around(p.body.c, w/2, h/2), 0)
	}
	gap := beside * l.em
	for i, o := range besides(hx+gap, hy+gap, w, h) {
		try(around(Point{p.body.c.X + o.X, p.body.c.Y + o.Y}, w/2, h/2), 0.02+0.005*float64(i))
	}
	return best, box, found
}

// tie joins a label beside its body to it where another body is near enough
// for the label to be taken for that one's.
func (l *layout) tie(r *raster, p *piece) {
	hx, hy := p.body.extent()
	c, b := p.body.c, p.label.box
	own := around(c, hx, hy)
	if p.label.led || len(l.parts) > many || nearest(b, c) == c {
		return
	}
	room := doubtful * l.em
	if r.crowd(rectangle{b.x0 - room, b.y0 - room, b.x1 + room, b.y1 + room}, own) == 0 {
		return
	}
	at := nearest(b, c)
	d := Point{at.X - c.X, at.Y - c.Y}
	far := math.Hypot(d.X, d.Y)
	edge := math.Min(hx/math.Max(math.Abs(d.X/far), 1e-9), hy/math.Max(math.Abs(d.Y/far), 1e-9))
	if p.body.form == round {
		edge = math.Min(edge, hx)
	}
	p.label.tied, p.label.from, p.label.to = true, at, Point{c.X + d.X/far*edge, c.Y + d.Y/far*edge}
}

// besides are the middles of labels that touch a body's surrounding
// rectangle of the given half sizes, from the body's middle, likeable ones first.
func besides(hx, hy, w, h float64) [16]Point {
	x, y := hx+w/2, hy+h/2
	tx, ty := math.Abs(hx-w/2), math.Max(0, hy-h/2)
	return [16]Point{
		{x, 0}, {0, -y}, {-x, 0}, {0, y},
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

// lead seats a label away from its part, with a leader line, if that costs
// less than bound.
func (l *layout) lead(r *raster, p *piece, w, h, bound float64) (found bool) {
	hx, hy := p.body.extent()
	c := p.body.c
	best := bound
	for _, ring := range rings {
		far := 0.08 * ring
		if far >= best {
			break
		}
		for _, d := range headings {
			edge := math.Min(hx/math.Max(math.Abs(d.X), 1e-9), hy/math.Max(math.Abs(d.Y), 1e-9))
			reach := edge + ring*l.em
			m := Point{c.X + d.X*(reach+w/2), c.Y + d.Y*(reach+h/2)}
			b := around(m, w/2, h/2)
			if !r.free(b) {
				continue
			}
			cost := far + r.crowd(b, rectangle{})
			if cost >= best {
				continue
			}
			from := nearest(b, c)
			to := Point{c.X + d.X*edge*0.7, c.Y + d.Y*edge*0.7}
			if r.clearLine(from, Point{c.X + d.X*edge, c.Y + d.Y*edge}) {
				best, found = cost, true
				p.label.box, p.label.led, p.label.from, p.label.to = b, true, from, to
			}
		}
	}
	return found
}

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
	if room >= plusLeast {
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
