package board

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"boardlore/domain/message"
)

// landmarkOff is how far a corner of the outline may be measured anew, mm,
// before directions that are told by edges and notches point elsewhere. Common
// practice: what an eye takes for the same corner.
const landmarkOff = 10

// outlineMoved tells that a corner by which directions are told is gone from its
// place. An outline where there was none is no other.
func (d *differ) outlineMoved() bool {
	a, b := d.from.Frame, d.to.Frame
	if len(a.Outline) == 0 && len(b.Outline) > 0 || !slices.ContainsFunc(d.from.Positions,
		func(p Position) bool { return hasDirection(&p.Part) }) {
		return false
	}
	news := cornersOf(&b)
	return slices.ContainsFunc(cornersOf(&a), func(c [2]float64) bool {
		if d.transform != nil {
			c[0], c[1] = d.transform.point(c[0], c[1])
		}
		return !slices.ContainsFunc(news, func(n [2]float64) bool {
			return math.Hypot(c[0]-n[0],
				c[1]-n[1]) <= landmarkOff
		})
	})
}

func cornersOf(f *Frame) [][2]float64 {
	if len(f.Outline) > 0 {
		return f.Outline
	}
	return [][2]float64{{0, 0}, {f.Width, 0}, {f.Width, f.Height}, {0, f.Height}}
}

// laid is how a photograph lies on the board, as far as straight lines go:
// x = a·u + b·v + c, and so for y.
type laid [2][3]float64

func (l *laid) onBoard(pixel [2]float64) [2]float64 {
	return [2]float64{l[0][0]*pixel[0] + l[0][1]*pixel[1] + l[0][2], l[1][0]*pixel[0] + l[1][1]*pixel[1] + l[1][2]}
}

// lay fits a photograph to its points by least squares; false where they leave
// it undetermined. off is how far its points lie from it at most, mm: that much
// is perspective.
func (p *Photograph) lay() (l laid, off float64, ok bool) {
	var m [3][3]float64
	var r [2][3]float64
	for i := range p.Points {
		q := &p.Points[i]
		row := [3]float64{q.Pixel[0], q.Pixel[1], 1}
		for j := range row {
			for k := range row {
				m[j][k] += row[j] * row[k]
			}
			r[0][j] += row[j] * q.MM[0]
			r[1][j] += row[j] * q.MM[1]
		}
	}
	det := determinant(m)
	if math.Abs(det) < 1 {
		return l, 0, false
	}
	for axis := range r {
		for k := range 3 { // Cramer's rule
			n := m
			for j := range 3 {
				n[j][k] = r[axis][j]
			}
			l[axis][k] = determinant(n) / det
		}
	}
	for i := range p.Points {
		at := l.onBoard(p.Points[i].Pixel)
		off = max(off, math.Hypot(at[0]-p.Points[i].MM[0], at[1]-p.Points[i].MM[1]))
	}
	return l, off, true
}

func determinant(m [3][3]float64) float64 {
	return m[0][0]*(m[1][1]*m[2][2]-m[1][2]*m[2][1]) - m[0][1]*(m[1][0]*m[2][2]-m[1][2]*m[2][0]) +
		m[0][2]*(m[1][0]*m[2][1]-m[1][1]*m[2][0])
}

// laidElsewhere tells that the same picture lies elsewhere by its points taken
// together, whichever of them were exchanged.
func laidElsewhere(a, b *Photograph) bool {
	was, off, ok := a.lay()
	is, _, too := b.lay()
	if !ok || !too {
		return ok != too
	}
	return slices.ContainsFunc(a.Points, func(p PhotographPoint) bool {
		x, y := was.onBoard(p.Pixel), is.onBoard(p.Pixel)
		return math.Hypot(x[0]-y[0], x[1]-y[1]) > misplacedBy+off
	})
}

// sameMarking compares markings as whoever reads them off a board does.
func sameMarking(a, b string) bool {
	signs := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(bare(s)), betweenNames), "")
	}
	return signs(a) == signs(b)
}

// toldMoreFully tells a marking in which another stands as a whole.
func toldMoreFully(mark, more string) bool {
	i := strings.Index(more, mark)
	if i < 0 || mark == "" {
		return false
	}
	before, _ := utf8.DecodeLastRuneInString(more[:i])
	first, _ := utf8.DecodeRuneInString(mark)
	last, _ := utf8.DecodeLastRuneInString(mark)
	after, _ := utf8.DecodeRuneInString(more[i+len(mark):])
	return !joined(before, first) && !joined(last, after)
}

// joined tells two figures, or two letters: a number that goes on is another
// number, one with a letter behind it a later state of the same.
func joined(a, b rune) bool {
	return unicode.IsDigit(a) && unicode.IsDigit(b) || unicode.IsLetter(a) && unicode.IsLetter(b)
}

// takesMarkings tells that the board claims a marking by which one of its builds
// is found.
func (d *differ) takesMarkings(more []string) []message.Message {
	for _, mark := range more {
		for i := range d.from.Variants {
			if slices.ContainsFunc(d.from.Variants[i].Markings, func(m string) bool { return sameMarking(m, mark) }) {
				return []message.Message{message.Of("hazard.marking-of-another")}
			}
		}
	}
	return nil
}
