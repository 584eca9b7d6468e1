package drawing

import "math"

// rectangle is upright, with its corners in sheet units.
type rectangle struct{ x0, y0, x1, y1 float64 }

func (r rectangle) with(o rectangle) rectangle {
	return rectangle{math.Min(r.x0, o.x0), math.Min(r.y0, o.y0), math.Max(r.x1, o.x1), math.Max(r.y1, o.y1)}
}

func (r rectangle) shifted(dx, dy float64) rectangle {
	return rectangle{r.x0 + dx, r.y0 + dy, r.x1 + dx, r.y1 + dy}
}

func around(c Point, hx, hy float64) rectangle {
	return rectangle{c.X - hx, c.Y - hy, c.X + hx, c.Y + hy}
}

// raster tells what of the sheet is taken. A label takes every cell that it
// touches, so two labels on separate cells cannot overlap. Bodies are counted
// in a summed-area table: how many lie under a label costs four look-ups,
// however many there are.
type raster struct {
	area       rectangle
	cell       float64
	cols, rows int
	taken      []bool
	sums       []int32 // (cols+1) × (rows+1)
}

const maxCells = 1_000_000

func newRaster(area rectangle, cell float64) *raster {
	w, h := area.x1-area.x0, area.y1-area.y0
	cell = math.Max(cell, math.Sqrt(w*h/maxCells))
	r := &raster{area: area, cell: cell, cols: int(w/cell) + 1, rows: int(h/cell) + 1}
	r.taken = make([]bool, r.cols*r.rows)
	r.sums = make([]int32, (r.cols+1)*(r.rows+1))
	return r
}

// span is the cells that a rectangle touches, ends not included; clipped to
// the raster.
func (r *raster) span(b rectangle) (c0, r0, c1, r1 int) {
	inv := 1 / r.cell
	c0 = min(max(int((b.x0-r.area.x0)*inv), 0), r.cols)
	r0 = min(max(int((b.y0-r.area.y0)*inv), 0), r.rows)
	c1 = min(max(int((b.x1-r.area.x0)*inv)+1, 0), r.cols)
	r1 = min(max(int((b.y1-r.area.y0)*inv)+1, 0), r.rows)
	return c0, r0, c1, r1
}

// cover counts a body; settle must follow the last one.
func (r *raster) cover(b rectangle) {
	c0, r0, c1, r1 := r.span(b)
	if c0 >= c1 || r0 >= r1 {
		return
	}
	w := r.cols + 1
	r.sums[r0*w+c0]++
	r.sums[r0*w+c1]--
	r.sums[r1*w+c0]--
	r.sums[r1*w+c1]++
}

// settle turns the marks of cover into the summed-area table.
func (r *raster) settle() {
	w, h := r.cols+1, r.rows+1
	r.accumulate()
	r.accumulate()
	// The table holds sums up to and with each cell; shift it so that the
	// first row and column are empty.
	for y := h - 1; y > 0; y-- {
		copy(r.sums[y*w+1:(y+1)*w], r.sums[(y-1)*w:y*w-1])
		r.sums[y*w] = 0
	}
	clear(r.sums[:w])
}

func (r *raster) accumulate() {
	w, h := r.cols+1, r.rows+1
	for y := range h {
		row := r.sums[y*w : (y+1)*w]
		var sum int32
		for x := range row {
			sum += row[x]
			row[x] = sum
			if y > 0 {
				row[x] += r.sums[(y-1)*w+x]
			}
		}
	}
}

// crowd is the mean number of bodies under a rectangle, without the body own.
func (r *raster) crowd(b, own rectangle) float64 {
	c0, r0, c1, r1 := r.span(b)
	if c0 >= c1 || r0 >= r1 {
		return 0
	}
	w := r.cols + 1
	n := r.sums[r1*w+c1] - r.sums[r0*w+c1] - r.sums[r1*w+c0] + r.sums[r0*w+c0]
	a0, b0, a1, b1 := r.span(own)
	n -= int32(max(0, min(c1, a1)-max(c0, a0)) * max(0, min(r1, b1)-max(r0, b0)))
	return float64(n) / float64((c1-c0)*(r1-r0))
}

// free reports whether a rectangle lies within the area on untaken cells.
func (r *raster) free(b rectangle) bool {
	if b.x0 < r.area.x0 || b.y0 < r.area.y0 || b.x1 > r.area.x1 || b.y1 > r.area.y1 {
		return false
	}
	c0, r0, c1, r1 := r.span(b)
	for y := r0; y < r1; y++ {
		for _, t := range r.taken[y*r.cols+c0 : y*r.cols+c1] {
			if t {
				return false
			}
		}
	}
	return true
}

func (r *raster) take(b rectangle) {
	c0, r0, c1, r1 := r.span(b)
	for y := r0; y < r1; y++ {
		row := r.taken[y*r.cols+c0 : y*r.cols+c1]
		for x := range row {
			row[x] = true
		}
	}
}

// along calls f with the index of each cell that a line passes, until f
// returns false; it reports whether it got to the end.
func (r *raster) along(a, b Point, f func(i int) bool) bool {
	n := int(math.Hypot(b.X-a.X, b.Y-a.Y)/r.cell*2) + 1
	for i := range n + 1 {
		t := float64(i) / float64(n)
		x := int((a.X + (b.X-a.X)*t - r.area.x0) / r.cell)
		y := int((a.Y + (b.Y-a.Y)*t - r.area.y0) / r.cell)
		if x < 0 || y < 0 || x >= r.cols || y >= r.rows {
			continue
		}
		if !f(y*r.cols + x) {
			return false
		}
	}
	return true
}

// passes is how much of a line lies over bodies, and whether it keeps clear of
// labels and other lines.
func (r *raster) passes(a, b Point) (over float64, clear bool) {
	steps, w := 0, r.cols+1
	clear = r.along(a, b, func(i int) bool {
		if r.taken[i] {
			return false
		}
		c := i/r.cols*w + i%r.cols
		if r.sums[c+w+1]-r.sums[c+w]-r.sums[c+1]+r.sums[c] > 0 {
			steps++
		}
		return true
	})
	return float64(steps) * r.cell / 2, clear
}

func (r *raster) takeLine(a, b Point) {
	r.along(a, b, func(i int) bool { r.taken[i] = true; return true })
}
