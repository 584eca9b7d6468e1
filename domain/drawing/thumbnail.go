package drawing

import (
	"math"
	"slices"
	"strconv"

	"boardlore/domain/board"
)

// Silhouette is a closed shape and what it is drawn in.
type Silhouette struct {
	Ink    Ink
	Points []Point
	Circle bool // Points are the middle and a point of the rim
}

// Silhouettes are a board's outline and its parts alone, what a person knows a
// board by; the longer side of the board is a thousand long. What servicing
// replaces comes last. The side is the one that bears more parts.
func Silhouettes(m *board.Map) (shapes []Silhouette, width, height float64) {
	count := map[board.Side]int{}
	for i := range m.Positions {
		count[m.Positions[i].Side]++
	}
	o := Options{Side: board.Top}
	if count[board.Bottom] > count[board.Top] {
		o.Side = board.Bottom
	}
	l := newLayout(m, o)
	l.origin.Y = l.size.Y
	shapes = append(shapes, Silhouette{Ink: InkBoard, Points: l.outl})
	for d := range duties {
		for i := range m.Positions {
			if p := &m.Positions[i]; p.Side == o.Side && service(p.Service) == d {
				shapes = append(shapes, silhouette(l, p, d))
			}
		}
	}
	return shapes, l.size.X, l.size.Y
}

func silhouette(l *layout, p *board.Position, d duty) Silhouette {
	b := outlineOf(p, l.scale)
	b.c, b.angle = l.toSheet(p.X, p.Y), l.turn(p.Rotation)
	h := b.hull()
	s := Silhouette{Ink: [...]Ink{InkLeave, InkInspect, InkReplace}[d]}
	if h.r > 0 {
		s.Circle, s.Points = true, []Point{h.c, {h.c.X + h.r, h.c.Y}}
		return s
	}
	s.Points = append(s.Points, h.corner[:h.n]...)
	return s
}

// Outline is the shape's border as points, however it is told.
func (s *Silhouette) Outline() []Point {
	if !s.Circle {
		return slices.Clone(s.Points)
	}
	const corners = 32
	ps := make([]Point, corners)
	c, r := s.Points[0], s.Points[1].X-s.Points[0].X
	for i := range ps {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
		ps[i] = Point{c.X + r*cos, c.Y + r*sin}
	}
	return ps
}

const margin = 12.0 // around what is drawn

// Thumbnail is a small picture of a board: outline and parts, no letter, three
// plain colours, whole units.
func Thumbnail(m *board.Map) []byte {
	shapes, width, height := Silhouettes(m)
	b := make([]byte, 0, 256+24*len(shapes))
	size := func(x float64) { b = strconv.AppendInt(b, int64(math.Ceil(x+2*margin)), 10) }
	b = append(b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 `...)
	size(width)
	b = append(b, ' ')
	size(height)
	b = append(b, "\" stroke-linejoin=\"round\">"...)
	for i := 0; i < len(shapes); {
		k := shapes[i].Ink
		look := k.Look()
		fill := look.Stroke
		if k == InkBoard || k == InkLeave {
			fill = look.Fill
		}
		b = append(b, `<path fill="`+colour(fill)+`" stroke="`+colour(look.Stroke)+`" stroke-width="`...)
		b = strconv.AppendInt(b, int64(math.Ceil(3*look.Weight)), 10)
		b = append(b, `" d="`...)
		for ; i < len(shapes) && shapes[i].Ink == k; i++ {
			b = shapes[i].path(b)
		}
		b = append(b, "\"/>"...)
	}
	return append(b, "</svg>\n"...)
}

// path adds the shape to a path's data.
func (s *Silhouette) path(b []byte) []byte {
	whole := func(x float64) { b = strconv.AppendInt(b, int64(math.Round(x)), 10) }
	pair := func(x, y float64) {
		whole(x)
		if math.Round(y) >= 0 {
			b = append(b, ' ')
		}
		whole(y)
	}
	if s.Circle {
		c, r := s.Points[0], math.Max(1, math.Round(s.Points[1].X-s.Points[0].X))
		b = append(b, 'M')
		pair(c.X-r+margin, c.Y+margin)
		for _, d := range []float64{2 * r, -2 * r} {
			b = append(b, 'a')
			pair(r, r)
			b = append(b, " 0 0 0 "...)
			pair(d, 0)
		}
		return append(b, 'z')
	}
	b = append(b, 'M')
	for _, p := range s.Points {
		pair(p.X+margin, p.Y+margin)
		b = append(b, ' ')
	}
	b[len(b)-1] = 'z'
	return b
}
