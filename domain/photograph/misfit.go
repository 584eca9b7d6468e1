package photograph

import (
	"errors"
	"math"
	"slices"
)

// misfit is by how many standard deviations a point may miss the fit of the
// others: five, since four of a hundred thousand good ones would miss by that
// in one direction alone, and a slip of the hand misses by far more.
const misfit = 5.0

// redundant is how many points it takes before one of them can be told to be
// wrong: without it, the others still check each other.
const redundant = 6

// Lie finds how the board lies in a photograph, as Fit does, and the points
// that do not fit the others. The fit is over all points; only where all of
// them together show no board is it over those that fit. An error is an
// *Undetermined.
func Lie(points []Point, bottom bool) (p *Plane, misfits []int, err error) {
	p, err = Fit(points, bottom)
	var u *Undetermined
	if errors.As(err, &u) && u.Reason != ErrImpossible && u.Reason != ErrOtherSide {
		return nil, nil, err
	}
	left := make([]int, len(points))
	for i := range left {
		left[i] = i
	}
	var others *Plane
	for len(left) >= redundant {
		worst, fit := worstOf(points, left, bottom)
		if worst < 0 {
			break
		}
		misfits, others = append(misfits, left[worst]), fit
		left = slices.Delete(left, worst, worst+1)
	}
	slices.Sort(misfits)
	if p == nil && others != nil {
		return others, misfits, nil
	}
	return p, misfits, err
}

// worstOf is the place in left of the point without which the others agree
// best, and their fit; -1 where even that one does not miss them by too much.
func worstOf(points []Point, left []int, bottom bool) (worst int, fit *Plane) {
	worst = -1
	for i := range left {
		var rest []Point
		for k, at := range left {
			if k != i {
				rest = append(rest, points[at])
			}
		}
		if p, err := Fit(rest, bottom); err == nil && (fit == nil || p.RMS < fit.RMS) {
			worst, fit = i, p
		}
	}
	if worst < 0 || fit.misses(points[left[worst]]) <= misfit {
		return -1, nil
	}
	return worst, fit
}

// misses is by how many standard deviations a point misses the fit.
func (p *Plane) misses(q Point) float64 {
	if !p.Sees(q.Pixel) {
		return math.Inf(1)
	}
	got := p.To(q.Pixel)
	return math.Hypot(got[0]-q.MM[0], got[1]-q.MM[1]) / p.Uncertainty(q.Pixel)
}

// Disagree reports whether the points, too few to say which of them is wrong,
// miss their common fit by more than a hand does.
func (p *Plane) Disagree() bool {
	return len(p.points) < redundant && p.Max > misfit*p.Pixel
}
