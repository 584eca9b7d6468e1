package photograph

import (
	"math"

	"boardlore/domain/message"
)

// Point is a place whose pixel and whose place on the board are both known.
// Pixels count from the upper left, u right and v down; millimetres lie in the
// map's frame, x right and y up, seen from the top side.
type Point struct {
	Pixel [2]float64
	MM    [2]float64
}

// Plane is how a flat board lies in a photograph: the homography of pixels to
// millimetres, the least squares fit over its points, and how far off it may be.
//
// A pinhole camera without distortion is what it stands for; the bend of a
// lens shows up as residuals, and so as uncertainty.
type Plane struct {
	h      [9]float64 // row by row, acting on normalised pixels, giving normalised millimetres
	from   scaling    // of pixels
	to     scaling    // of millimetres
	cov    [8][8]float64
	sigma  float64 // mm, standard deviation of one coordinate of a point, its pointing included
	points []Point

	RMS   float64 // mm, root mean square of the points' distances from the fit
	Max   float64 // mm, the greatest of them
	Pixel float64 // mm, how much of the board one pixel shows, at the points' centre
}

// pointing is how well a person hits a place in a photograph, at best: one
// pixel in each direction, common practice.
const pointing = 1.0

// Undetermined says that points leave the fit open, and which of them to mend.
type Undetermined struct {
	Point  int    // number of a point, -1 for all of them
	Reason reason // one of those below
}

// Why points may leave a fit open.
const (
	ErrFew        = reason("photograph.few")
	ErrOnePlace   = reason("photograph.one-place")
	ErrLine       = reason("photograph.in-line")
	ErrOtherSide  = reason("photograph.other-side")
	ErrImpossible = reason("photograph.impossible")
)

// Say is the reason as a clause.
func (e *Undetermined) Say() message.Message { return e.Reason.Say() }

func (e *Undetermined) Error() string { return e.Reason.Error() }
func (e *Undetermined) Unwrap() error { return e.Reason }

// Fit finds how the board lies in a photograph of one side of it. bottom says
// that the photograph shows the bottom side, and so the board mirrored. An
// error is an *Undetermined.
func Fit(points []Point, bottom bool) (*Plane, error) {
	if err := determined(points); err != nil {
		return nil, err
	}
	p := &Plane{points: points}
	p.from = scalingOf(points, func(q Point) [2]float64 { return q.Pixel })
	p.to = scalingOf(points, func(q Point) [2]float64 { return q.MM })
	if !p.start() {
		return nil, &Undetermined{-1, ErrImpossible}
	}
	p.refine()
	if i := p.horizon(); i >= 0 {
		return nil, &Undetermined{i, ErrImpossible}
	}
	if i := p.turned(bottom); i >= 0 {
		return nil, &Undetermined{i, ErrOtherSide}
	}
	if !p.spread() {
		return nil, &Undetermined{-1, ErrLine}
	}
	return p, nil
}

// determined finds points that leave the fit open whatever they measure.
func determined(points []Point) error {
	const least = 4
	apart := 0
	for i := range points {
		if again(points, i) < 0 {
			apart++
		}
	}
	if apart < least {
		for i := range points {
			if again(points, i) >= 0 && len(points) >= least {
				return &Undetermined{i, ErrOnePlace}
			}
		}
		return &Undetermined{-1, ErrFew}
	}
	for _, of := range []func(Point) [2]float64{func(q Point) [2]float64 { return q.Pixel },
		func(q Point) [2]float64 { return q.MM }} {
		if i := lined(points, of); i >= 0 {
			return &Undetermined{i, ErrLine}
		}
	}
	return nil
}

// again is an earlier point at the pixel or the place of point i, -1 for none.
func again(points []Point, i int) int {
	for k := range i {
		if points[k].Pixel == points[i].Pixel || points[k].MM == points[i].MM {
			return k
		}
	}
	return -1
}

// straight is how far out of a line three points may be, as a share of their
// distance, and still count as in it: a hundredth is about half a degree.
const straight = 0.01

// lined is the number of a point that stands in a line with all others but one,
// -1 where no such line is.
func lined(points []Point, of func(Point) [2]float64) int {
	n := len(points)
	for a := range n {
		for b := a + 1; b < n; b++ {
			pa, pb := of(points[a]), of(points[b])
			dx, dy := pb[0]-pa[0], pb[1]-pa[1]
			length := math.Hypot(dx, dy)
			on, last := 0, -1
			for i := range n {
				q := of(points[i])
				off := math.Abs(dx*(q[1]-pa[1]) - dy*(q[0]-pa[0]))
				if off <= straight*length*length {
					on, last = on+1, i
				}
			}
			if on >= n-1 {
				return last
			}
		}
	}
	return -1
}

// scaling brings points to a centre of 0 and a mean distance of √2, without
// which the normal equations lose half their digits (Hartley, In defense of
// the eight-point algorithm, IEEE Transactions on Pattern Analysis and Machine
// Intelligence 19, 1997).
type scaling struct{ x, y, by float64 }

func scalingOf(points []Point, of func(Point) [2]float64) scaling {
	var s scaling
	n := float64(len(points))
	for _, q := range points {
		v := of(q)
		s.x, s.y = s.x+v[0]/n, s.y+v[1]/n
	}
	mean := 0.0
	for _, q := range points {
		v := of(q)
		mean += math.Hypot(v[0]-s.x, v[1]-s.y) / n
	}
	s.by = math.Sqrt2 / mean
	return s
}

func (s scaling) there(v [2]float64) [2]float64 {
	return [2]float64{(v[0] - s.x) * s.by, (v[1] - s.y) * s.by}
}
func (s scaling) back(v [2]float64) [2]float64 { return [2]float64{v[0]/s.by + s.x, v[1]/s.by + s.y} }

// start solves the linear form, in which the last entry of h is 1: the centre
// of the points lies between them and so never on the horizon.
func (p *Plane) start() bool {
	var n [8][8]float64
	var r [8]float64
	for _, q := range p.points {
		a, b := p.from.there(q.Pixel), p.to.there(q.MM)
		for k := range 2 {
			row := [8]float64{6: -a[0] * b[k], 7: -a[1] * b[k]}
			row[3*k], row[3*k+1], row[3*k+2] = a[0], a[1], 1
			accumulate(&n, &r, row, b[k])
		}
	}
	h, ok := solve(n, r)
	copy(p.h[:], h[:])
	p.h[8] = 1
	return ok
}

func accumulate(n *[8][8]float64, r *[8]float64, row [8]float64, value float64) {
	for i := range row {
		r[i] += row[i] * value
		for k := range row {
			n[i][k] += row[i] * row[k]
		}
	}
}

// refine brings the sum of the squared distances in millimetres to its least,
// by Gauss and Newton's steps, shortened where one overshoots (Levenberg).
func (p *Plane) refine() {
	const steps, enough = 60, 1e-14
	damping, cost := 1e-4, p.cost()
	for range steps {
		n, r := p.normal()
		for i := range n {
			n[i][i] *= 1 + damping
		}
		d, ok := solve(n, r)
		if !ok {
			return
		}
		was := p.h
		for i := range d {
			p.h[i] += d[i]
		}
		now := p.cost()
		if !(now <= cost) {
			p.h, damping = was, damping*10
			continue
		}
		done := cost-now <= enough*(cost+enough)
		cost, damping = now, damping/10
		if done {
			return
		}
	}
}

// cost is the sum of squared distances, in normalised millimetres.
func (p *Plane) cost() (sum float64) {
	for _, q := range p.points {
		got, want := p.map1(p.from.there(q.Pixel)), p.to.there(q.MM)
		dx, dy := got[0]-want[0], got[1]-want[1]
		sum += dx*dx + dy*dy
	}
	return sum
}

// normal are the normal equations of the distances at the present h.
func (p *Plane) normal() (n [8][8]float64, r [8]float64) {
	for _, q := range p.points {
		a := p.from.there(q.Pixel)
		got, want := p.map1(a), p.to.there(q.MM)
		for k, row := range p.rows(a) {
			accumulate(&n, &r, row, want[k]-got[k])
		}
	}
	return n, r
}

// map1 maps a normalised pixel.
func (p *Plane) map1(a [2]float64) [2]float64 {
	h := &p.h
	w := h[6]*a[0] + h[7]*a[1] + h[8]
	return [2]float64{(h[0]*a[0] + h[1]*a[1] + h[2]) / w, (h[3]*a[0] + h[4]*a[1] + h[5]) / w}
}

// rows are the derivatives of map1's two coordinates by the entries of h.
func (p *Plane) rows(a [2]float64) (rows [2][8]float64) {
	w := p.h[6]*a[0] + p.h[7]*a[1] + p.h[8]
	got := p.map1(a)
	for k := range rows {
		rows[k][3*k], rows[k][3*k+1], rows[k][3*k+2] = a[0]/w, a[1]/w, 1/w
		rows[k][6], rows[k][7] = -a[0]*got[k]/w, -a[1]*got[k]/w
	}
	return rows
}

// slope is the derivative of millimetres by pixels at a pixel.
func (p *Plane) slope(pixel [2]float64) (j [2][2]float64) {
	a := p.from.there(pixel)
	h := &p.h
	w := h[6]*a[0] + h[7]*a[1] + h[8]
	got := p.map1(a)
	by := p.from.by / p.to.by / w
	for k := range j {
		j[k][0] = (h[3*k] - h[6]*got[k]) * by
		j[k][1] = (h[3*k+1] - h[7]*got[k]) * by
	}
	return j
}

func det(j [2][2]float64) float64 { return j[0][0]*j[1][1] - j[0][1]*j[1][0] }

// horizon is the number of a point that would lie behind the camera, -1 for
// none.
func (p *Plane) horizon() int {
	for i, q := range p.points {
		a := p.from.there(q.Pixel)
		w := p.h[6]*a[0] + p.h[7]*a[1] + p.h[8]
		if !(w > 1e-6) || math.IsInf(w, 0) {
			return i
		}
	}
	return -1
}

// turned is the number of a point where the photograph is mirrored and should
// not be, or the other way round; -1 for none. Pixels run down and millimetres
// up, so that a photograph of the top side has a negative determinant.
func (p *Plane) turned(bottom bool) int {
	for i, q := range p.points {
		if d := det(p.slope(q.Pixel)); (d > 0) != bottom || d == 0 {
			return i
		}
	}
	return -1
}

// spread works out how far off the fit may be; false where the points do not
// tell.
func (p *Plane) spread() bool {
	n, _ := p.normal()
	inverse, ok := invert(n)
	if !ok {
		return false
	}
	var sum, pixels float64
	for _, q := range p.points {
		got := p.To(q.Pixel)
		d := math.Hypot(got[0]-q.MM[0], got[1]-q.MM[1])
		sum += d * d
		p.Max = max(p.Max, d)
		pixels += math.Abs(det(p.slope(q.Pixel))) / float64(len(p.points))
	}
	p.RMS = math.Sqrt(sum / float64(len(p.points)))
	p.Pixel = math.Sqrt(math.Abs(det(p.slope(p.from.back([2]float64{})))))
	p.sigma = pointing * math.Sqrt(pixels)
	if free := 2*len(p.points) - 8; free > 0 {
		p.sigma = max(p.sigma, math.Sqrt(sum/float64(free)))
	}
	for i := range inverse {
		for k := range inverse {
			p.cov[i][k] = inverse[i][k] * p.sigma * p.sigma * p.to.by * p.to.by
		}
	}
	return true
}

// To is the place on the board, in mm, that a pixel shows.
func (p *Plane) To(pixel [2]float64) [2]float64 { return p.to.back(p.map1(p.from.there(pixel))) }

// Sees reports whether a pixel shows a place of the board's plane at all, and
// none beyond the horizon.
func (p *Plane) Sees(pixel [2]float64) bool {
	a := p.from.there(pixel)
	return p.h[6]*a[0]+p.h[7]*a[1]+p.h[8] > 1e-6
}

// From is the pixel that shows a place of the board; false where none does.
func (p *Plane) From(mm [2]float64) ([2]float64, bool) {
	h, b := &p.h, p.to.there(mm)
	m := [2][2]float64{{h[0] - h[6]*b[0], h[1] - h[7]*b[0]}, {h[3] - h[6]*b[1], h[4] - h[7]*b[1]}}
	r := [2]float64{h[8]*b[0] - h[2], h[8]*b[1] - h[5]}
	d := det(m)
	if d == 0 {
		return [2]float64{}, false
	}
	pixel := p.from.back([2]float64{(r[0]*m[1][1] - r[1]*m[0][1]) / d, (m[0][0]*r[1] - m[1][0]*r[0]) / d})
	return pixel, p.Sees(pixel)
}

// Uncertainty is one standard deviation, in mm, of the distance between the
// true place and the mean of the places that these pixels show: what the fit
// leaves open there, and how well each pixel was hit.
func (p *Plane) Uncertainty(pixels ...[2]float64) float64 {
	var rows [2][8]float64
	hit, n := 0.0, float64(len(pixels))
	at := max(pointing, p.sigma/p.Pixel) // pixels
	for _, pixel := range pixels {
		for k, row := range p.rows(p.from.there(pixel)) {
			for i := range row {
				rows[k][i] += row[i] / n / p.to.by
			}
		}
		for _, r := range p.slope(pixel) {
			hit += (r[0]*r[0] + r[1]*r[1]) * at * at / n / n
		}
	}
	for _, row := range rows {
		for i := range row {
			for k := range row {
				hit += row[i] * p.cov[i][k] * row[k]
			}
		}
	}
	return math.Sqrt(max(hit, 0))
}

// solve solves n x = r by Gauss's elimination with pivots.
func solve(n [8][8]float64, r [8]float64) (x [8]float64, ok bool) {
	for i := range n {
		at := i
		for k := i + 1; k < len(n); k++ {
			if math.Abs(n[k][i]) > math.Abs(n[at][i]) {
				at = k
			}
		}
		if !(math.Abs(n[at][i]) > 1e-12) {
			return x, false
		}
		n[i], n[at], r[i], r[at] = n[at], n[i], r[at], r[i]
		for k := i + 1; k < len(n); k++ {
			f := n[k][i] / n[i][i]
			for c := i; c < len(n); c++ {
				n[k][c] -= f * n[i][c]
			}
			r[k] -= f * r[i]
		}
	}
	for i := len(n) - 1; i >= 0; i-- {
		x[i] = r[i]
		for k := i + 1; k < len(n); k++ {
			x[i] -= n[i][k] * x[k]
		}
		x[i] /= n[i][i]
	}
	return x, true
}

// invert inverts a matrix, column by column.
func invert(n [8][8]float64) (inverse [8][8]float64, ok bool) {
	for c := range n {
		var unit [8]float64
		unit[c] = 1
		x, ok := solve(n, unit)
		if !ok {
			return inverse, false
		}
		for i := range x {
			inverse[i][c] = x[i]
		}
	}
	return inverse, true
}
