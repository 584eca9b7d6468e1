package photograph_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"boardlore/domain/photograph"
)

// camera is a pinhole over a board, seen from the top or the bottom side.
type camera struct {
	h      [9]float64 // millimetres to pixels
	bottom bool
}

// over is a camera that looks at a board of 160 mm × 90 mm, tilted and turned.
func over(tilt, pan, turn float64, bottom bool) camera {
	ct, st, cp, sp, cr, sr := math.Cos(tilt), math.Sin(tilt), math.Cos(pan), math.Sin(pan), math.Cos(turn),
		math.Sin(turn)
	mirror := 1.0
	if bottom {
		mirror = -1
	}
	// columns of the rotation for the board's x and y, y up turned into v down
	x := [3]float64{cr * cp, sr*ct + cr*sp*st, sr*st - cr*sp*ct}
	y := [3]float64{-sr * cp, cr*ct - sr*sp*st, cr*st + sr*sp*ct}
	const focal, distance, u0, v0 = 2400.0, 260.0, 1500.0, 1000.0
	c := camera{bottom: bottom}
	for i, m := range [3][3]float64{{focal, 0, u0}, {0, -focal, v0}, {0, 0, 1}} {
		for k, col := range [3][3]float64{
			{mirror * x[0], mirror * x[1], mirror * x[2]}, y,
			{-mirror*80*x[0] - 45*y[0], -mirror*80*x[1] - 45*y[1], -mirror*80*x[2] - 45*y[2] + distance},
		} {
			c.h[3*i+k] = m[0]*col[0] + m[1]*col[1] + m[2]*col[2]
		}
	}
	return c
}

func (c camera) pixel(x, y float64) [2]float64 {
	w := c.h[6]*x + c.h[7]*y + c.h[8]
	return [2]float64{(c.h[0]*x + c.h[1]*y + c.h[2]) / w, (c.h[3]*x + c.h[4]*y + c.h[5]) / w}
}

func (c camera) points(mm ...[2]float64) (out []photograph.Point) {
	for _, q := range mm {
		out = append(out, photograph.Point{Pixel: c.pixel(q[0], q[1]), MM: q})
	}
	return out
}

var corners = [][2]float64{{0, 0}, {160, 0}, {160, 90}, {0, 90}}

var places = append(slices.Clone(corners), [2]float64{66, 31}, [2]float64{38, 74}, [2]float64{118, 62},
	[2]float64{14, 33})

func apart(a, b [2]float64) float64 { return math.Hypot(a[0]-b[0], a[1]-b[1]) }

// A board without noise is found exactly, from four corners or from more.
func TestFitExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := func(name string, most float64) float64 { return rapid.Float64Range(-most, most).Draw(t, name) }
		bottom := rapid.Bool().Draw(t, "bottom")
		c := over(angle("tilt", 0.5), angle("pan", 0.5), angle("turn", math.Pi), bottom)
		points := c.points(places[:rapid.IntRange(4, len(places)).Draw(t, "points")]...)
		p, misfits, err := photograph.Lie(points, bottom)
		if err != nil || len(misfits) > 0 {
			t.Fatalf("misfits %v, %v", misfits, err)
		}
		at := [2]float64{angle("x", 80) + 80, angle("y", 45) + 45}
		if d := apart(p.To(c.pixel(at[0], at[1])), at); d > 1e-6 {
			t.Errorf("off by %g mm at %v", d, at)
		}
		back, ok := p.From(at)
		if d := apart(back, c.pixel(at[0], at[1])); !ok || d > 1e-5 {
			t.Errorf("off by %g pixels at %v", d, at)
		}
		if p.RMS > 1e-6 || p.Max > 1e-6 {
			t.Errorf("RMS %g, greatest %g", p.RMS, p.Max)
		}
		if _, err := photograph.Fit(points, !bottom); !errors.Is(err, photograph.ErrOtherSide) {
			t.Errorf("taken for the other side: %v", err)
		}
	})
}

// The unit square seen as a quadrilateral, from Heckbert, Fundamentals of
// Texture Mapping and Image Warping (1989), section 2.2.3: with corners
// (0,0) (1,0) (1,1) (0,1) going to given ones, g = |Σx Δx2; Σy Δy2| / |Δx1 Δx2;
// Δy1 Δy2| and so on. The quadrilateral is ours, worked by those formulas.
func TestFitAgainstSquareToQuadrilateral(t *testing.T) {
	quad := [4][2]float64{{10, 20}, {90, 30}, {80, 100}, {5, 80}} // x, y of the four corners
	dx1, dy1 := quad[1][0]-quad[2][0], quad[1][1]-quad[2][1]
	dx2, dy2 := quad[3][0]-quad[2][0], quad[3][1]-quad[2][1]
	sx, sy := quad[0][0]-quad[1][0]+quad[2][0]-quad[3][0], quad[0][1]-quad[1][1]+quad[2][1]-quad[3][1]
	d := dx1*dy2 - dx2*dy1
	g, h := (sx*dy2-dx2*sy)/d, (dx1*sy-sx*dy1)/d
	a, b, c := quad[1][0]-quad[0][0]+g*quad[1][0], quad[3][0]-quad[0][0]+h*quad[3][0], quad[0][0]
	e, f, i := quad[1][1]-quad[0][1]+g*quad[1][1], quad[3][1]-quad[0][1]+h*quad[3][1], quad[0][1]
	square := [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	var points []photograph.Point
	for k := range square {
		points = append(points, photograph.Point{Pixel: [2]float64{1000 * square[k][0], 1000 * (1 - square[k][1])},
			MM: quad[k]})
	}
	p, err := photograph.Fit(points, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range [][2]float64{{0.5, 0.5}, {0.25, 0.8}, {0.9, 0.1}} {
		w := g*s[0] + h*s[1] + 1
		want := [2]float64{(a*s[0] + b*s[1] + c) / w, (e*s[0] + f*s[1] + i) / w}
		if got := p.To([2]float64{1000 * s[0], 1000 * (1 - s[1])}); apart(got, want) > 1e-8 {
			t.Errorf("%v: %v, want %v", s, got, want)
		}
	}
}

// Where points are noisy the fit has less left over than the algebraic one,
// which gonum's singular values give, and lies beside it.
func TestFitAgainstSingularValues(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 7))
	for range 50 {
		c := over(r.NormFloat64()*0.2, r.NormFloat64()*0.2, r.Float64()*6, false)
		points := c.points(places...)
		for i := range points {
			points[i].Pixel[0] += r.NormFloat64() * 3
			points[i].Pixel[1] += r.NormFloat64() * 3
		}
		p, err := photograph.Fit(points, false)
		if err != nil {
			t.Fatal(err)
		}
		h := algebraic(t, points)
		sum := 0.0
		for _, q := range points {
			d := apart(through(h, q.Pixel), q.MM)
			sum += d * d
		}
		if rms := math.Sqrt(sum / float64(len(points))); p.RMS > rms+1e-9 {
			t.Errorf("RMS %g, the algebraic fit has %g", p.RMS, rms)
		}
		if d := apart(p.To(points[4].Pixel), through(h, points[4].Pixel)); d > 0.5 {
			t.Errorf("%g mm from the algebraic fit", d)
		}
	}
}

// algebraic is the direct linear transformation of scaled coordinates.
func algebraic(t *testing.T, points []photograph.Point) (h [9]float64) {
	m := mat.NewDense(2*len(points), 9, nil)
	for i, q := range points {
		u, v, x, y := q.Pixel[0]/1000, q.Pixel[1]/1000, q.MM[0]/100, q.MM[1]/100
		m.SetRow(2*i, []float64{u, v, 1, 0, 0, 0, -x * u, -x * v, -x})
		m.SetRow(2*i+1, []float64{0, 0, 0, u, v, 1, -y * u, -y * v, -y})
	}
	var svd mat.SVD
	if !svd.Factorize(m, mat.SVDFull) {
		t.Fatal("no singular values")
	}
	var v mat.Dense
	svd.VTo(&v)
	for i := range h {
		h[i] = v.At(i, 8)
	}
	return h
}

func through(h [9]float64, pixel [2]float64) [2]float64 {
	u, v := pixel[0]/1000, pixel[1]/1000
	w := h[6]*u + h[7]*v + h[8]
	return [2]float64{100 * (h[0]*u + h[1]*v + h[2]) / w, 100 * (h[3]*u + h[4]*v + h[5]) / w}
}

// Over many noisy photographs the places are off, in the root mean square, by
// what Uncertainty says.
func TestUncertainty(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const rounds = 4000
	for _, noise := range []float64{1, 4} { // pixels in each direction
		c := over(0.3, -0.2, 0.4, true)
		at := [2]float64{120, 70}
		var off, told float64
		for range rounds {
			points := c.points(places...)
			for i := range points {
				points[i].Pixel[0] += r.NormFloat64() * noise
				points[i].Pixel[1] += r.NormFloat64() * noise
			}
			p, err := photograph.Fit(points, true)
			if err != nil {
				t.Fatal(err)
			}
			pixel := c.pixel(at[0], at[1])
			pixel[0] += r.NormFloat64() * noise
			pixel[1] += r.NormFloat64() * noise
			d := apart(p.To(pixel), at)
			off += d * d / rounds
			u := p.Uncertainty(pixel)
			told += u * u / rounds
		}
		if ratio := math.Sqrt(told / off); ratio < 0.9 || ratio > 1.25 {
			t.Errorf("noise of %g pixels: %.4f mm off, told %.4f", noise, math.Sqrt(off), math.Sqrt(told))
		}
	}
}

// One point far from where it should be is named, among points as noisy as a hand.
func TestMisfits(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 9))
	c := over(0.2, 0.1, -0.3, false)
	for round := range 200 {
		n := 6 + round%3
		points := c.points(places[:n]...)
		for i := range points {
			points[i].Pixel[0] += r.NormFloat64()
			points[i].Pixel[1] += r.NormFloat64()
		}
		if _, misfits, err := photograph.Lie(points, false); err != nil || len(misfits) > 0 {
			t.Fatalf("%d good points: misfits %v, %v", n, misfits, err)
		}
		wrong := round % n
		points[wrong].MM[round%2] += []float64{12, -25, 70}[round%3]
		_, misfits, err := photograph.Lie(points, false)
		if err != nil || !slices.Equal(misfits, []int{wrong}) {
			t.Errorf("point %d of %d is wrong: misfits %v, %v", wrong, n, misfits, err)
		}
	}
}

func TestUndetermined(t *testing.T) {
	c := over(0.1, 0.2, 0, false)
	at := func(mm ...[2]float64) []photograph.Point { return c.points(mm...) }
	for _, tt := range []struct {
		name   string
		points []photograph.Point
		point  int
		reason error
	}{
		{"none", nil, -1, photograph.ErrFew},
		{"three", at(corners[:3]...), -1, photograph.ErrFew},
		{"two in one place", at(corners[0], corners[1], corners[2], corners[1]), 3, photograph.ErrOnePlace},
		{"all but one in a line", at([2]float64{0, 0}, [2]float64{40, 20}, [2]float64{80, 40}, [2]float64{160, 0}), 2,
			photograph.ErrLine},
		{"five, all but one in a line", at([2]float64{0, 0}, [2]float64{40, 0}, [2]float64{90, 0}, [2]float64{10, 70},
			[2]float64{160, 0}), 4, photograph.ErrLine},
		{"two exchanged", []photograph.Point{
			{Pixel: c.pixel(0, 0), MM: corners[1]}, {Pixel: c.pixel(160, 0), MM: corners[0]},
			{Pixel: c.pixel(160, 90), MM: corners[3]}, {Pixel: c.pixel(0, 90), MM: corners[2]}}, 0,
			photograph.ErrOtherSide},
	} {
		_, err := photograph.Fit(tt.points, false)
		var u *photograph.Undetermined
		if !errors.As(err, &u) || u.Reason != tt.reason || u.Point != tt.point {
			t.Errorf("%s: %v of point %+v, want %v of point %d", tt.name, err, u, tt.reason, tt.point)
		}
	}
}

// Whatever the points, a fit is a fit or a reason, and no number that is none.
func TestFitHostile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		coordinate := rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.SampledFrom([]float64{0, 1, 1e-9, 1e6, 2, 3}))
		points := make([]photograph.Point, rapid.IntRange(0, 9).Draw(t, "n"))
		for i := range points {
			for k := range 2 {
				points[i].Pixel[k], points[i].MM[k] = coordinate.Draw(t, "pixel"), coordinate.Draw(t, "mm")
			}
		}
		p, _, err := photograph.Lie(points, rapid.Bool().Draw(t, "bottom"))
		if err != nil {
			return
		}
		for _, q := range points {
			if v := p.Uncertainty(q.Pixel); p.Sees(q.Pixel) && (math.IsNaN(v) || v < 0) {
				t.Errorf("uncertainty %v of %v", v, points)
			}
		}
		if math.IsNaN(p.RMS) || math.IsNaN(p.Max) || !(p.Pixel > 0) {
			t.Errorf("%v, %v, %v", p.RMS, p.Max, p.Pixel)
		}
	})
}

func BenchmarkLie(b *testing.B) {
	points := over(0.2, 0.1, 0.3, false).points(places...)
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := photograph.Lie(points, false); err != nil {
			b.Fatal(err)
		}
	}
}
