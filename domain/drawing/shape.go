package drawing

import (
	"math"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// form is the outline that a body has from above.
type form uint8

const (
	oblong form = iota // chip, box, other
	round              // can, coin
	lens               // disc on edge
	tube               // axial, with its leads
)

// shape is a body on the sheet, in sheet units and reader's angles.
type shape struct {
	form    form
	c       Point
	rx, ry  float64 // half the length along the own axis, half the width across
	leads   float64 // half the distance between the ends of an axial part's leads
	angle   float64
	pole    float64 // direction of the negative lead
	polar   bool
	base    bool // a surface can on its square base
	coin    bool
	guessed bool // the map has no size for it
}

// Sizes in millimetres where a map tells none: middling ones of the trade, and
// drawn dashed so that nobody takes them for measured.
var usual = map[part.Class][2]float64{
	part.Capacitor: {5, 5}, part.Resistor: {6.3, 2.3}, part.Potentiometer: {9.5, 9.5}, part.Thermistor: {5, 5},
	part.Varistor: {9, 4.5},
	part.Inductor: {7, 7}, part.Transformer: {25, 20}, part.Fuse: {20, 5.2}, part.Cell: {20, 20}, part.Diode: {4.2, 2},
	part.Transistor: {4.8, 3.8}, part.IntegratedCircuit: {19, 6.4}, part.Crystal: {11, 4.7}, part.Relay: {20, 10},
	part.Switch: {12, 8}, part.Connector: {15, 6}, part.Lamp: {5, 5}, part.Other: {5, 5},
}

// canByPitch gives the usual diameter of a radial can for its lead pitch, both
// in millimetres (IEC 60384-4 makers' catalogues agree on these).
var canByPitch = [...][2]float64{{1.5, 4}, {2, 5}, {2.5, 6.3}, {3.5, 8}, {5, 10}, {7.5, 16}, {10, 22}}

// Bounds of a body's size: it stays visible, and on the sheet.
const (
	minSize = 0.3 // millimetres
	largest = 1.2 // of the board's longer side
)

// outlineOf is the body of a position before it is put in its place.
func outlineOf(p *board.Position, scale float64) shape {
	var b part.Body
	if p.Body != nil {
		b = *p.Body
	}
	var s shape
	switch b.Shape {
	case "can", "coin":
		s = roundOf(p, &b)
	case "disc":
		d := first(b.Diameter, b.Length)
		s = shape{form: lens, rx: d, ry: first(b.Width, d*0.35), guessed: d == 0}
	case "axial":
		s = shape{form: tube, rx: b.Length, ry: first(b.Diameter, b.Width), leads: b.LeadPitch}
		s.guessed = s.rx == 0 || s.ry == 0
	case "chip", "box", "other":
		s = shape{rx: first(b.Length, b.Diameter), ry: first(b.Width, b.Diameter, b.Length)}
		s.guessed = b.Length == 0 && b.Diameter == 0
	default:
		s = bareShape(p, &b)
	}
	return s.scaled(p.Part.Class, scale)
}

// bareShape is for a body whose shape the map does not tell.
func bareShape(p *board.Position, b *part.Body) shape {
	switch {
	case b.Diameter > 0:
		return roundOf(p, b)
	case b.Length > 0:
		return shape{rx: b.Length, ry: first(b.Width, b.Length)}
	case p.Part.Class == part.Capacitor && hasPolarity(&p.Part), p.Part.Class == part.Cell, p.Part.Class == part.Lamp:
		return roundOf(p, b)
	}
	return shape{guessed: true}
}

func roundOf(p *board.Position, b *part.Body) shape {
	s := shape{form: round, rx: first(b.Diameter, b.Width), base: b.Shape == "can" && b.Mount == "surface",
		coin: b.Shape == "coin"}
	if s.rx == 0 {
		s.guessed = true
		if p.Part.Class == part.Capacitor {
			s.rx = pitchCan(b.LeadPitch)
		}
	}
	s.ry = s.rx
	return s
}

func pitchCan(pitch float64) float64 {
	if pitch <= 0 {
		return 0
	}
	for _, row := range canByPitch {
		if pitch <= row[0]+0.2 {
			return row[1]
		}
	}
	return canByPitch[len(canByPitch)-1][1]
}

// scaled fills in what is missing and turns full millimetres into half sheet units.
func (s shape) scaled(class part.Class, scale float64) shape {
	u, ok := usual[class]
	if !ok {
		u = usual[part.Other]
	}
	half := func(x, instead float64) float64 {
		if !(x > 0) {
			x = instead
		}
		return math.Max(math.Min(sound(x)*scale, largest*span), minSize*scale) / 2
	}
	s.rx = half(s.rx, u[0])
	s.ry = half(s.ry, u[1])
	if s.form == round {
		s.ry = s.rx
	}
	if s.form == tube {
		s.leads = half(s.leads, 0)
		s.leads = math.Max(s.leads, s.rx*1.3)
	}
	return s
}

func first(xs ...float64) float64 {
	for _, x := range xs {
		if x > 0 {
			return x
		}
	}
	return 0
}

// local is the sheet's point for a point in the body's own axes.
func (s *shape) local(u, v float64) Point {
	sin, cos := math.Sincos(s.angle)
	return Point{s.c.X + u*cos - v*sin, s.c.Y - u*sin - v*cos}
}

func (s *shape) quad(u0, v0, u1, v1 float64) [4]Point {
	return [4]Point{s.local(u0, v0), s.local(u1, v0), s.local(u1, v1), s.local(u0, v1)}
}

// extent is half the width and height of the upright rectangle around the body.
func (s *shape) extent() (hx, hy float64) {
	if s.form == round && !s.base {
		return s.rx, s.rx
	}
	sin, cos := math.Sincos(s.angle)
	sin, cos = math.Abs(sin), math.Abs(cos)
	if s.form == round {
		r := s.rx * baseWider * (sin + cos)
		return r, r
	}
	u := math.Max(s.rx, s.leads)
	hx = math.Max(s.rx*cos+s.ry*sin, u*cos)
	hy = math.Max(s.rx*sin+s.ry*cos, u*sin)
	return hx, hy
}

// draw adds the body and its negative end to the scene; ink is what the group
// around it has.
func (s *shape) draw(sc *Scene, k Ink, unsure bool) {
	switch s.form {
	case round:
		s.drawRound(sc, k)
	case lens:
		sc.add(Item{Kind: Ellipse, Ink: k, Dashed: s.guessed, Center: s.c, RX: s.rx, RY: s.ry, Angle: s.angle})
	case tube:
		sc.lines(InkLead, s.local(-s.leads, 0), s.local(-s.rx, 0), s.local(s.rx, 0), s.local(s.leads, 0))
		fallthrough
	default:
		q := s.quad(-s.rx, -s.ry, s.rx, s.ry)
		sc.add(Item{Kind: Polygon, Ink: k, Dashed: s.guessed, Points: sc.keep(q[:])})
	}
	if s.polar {
		s.drawPole(sc)
	} else if unsure {
		s.drawUnsure(sc)
	}
}

// baseWider is how much wider than its can the base of a surface one is.
const baseWider = 1.03

func (s *shape) drawRound(sc *Scene, k Ink) {
	if s.base {
		r := s.rx * baseWider
		q := s.quad(-r, -r, r, r)
		sc.add(Item{Kind: Polygon, Ink: k, Dashed: s.guessed, Points: sc.keep(q[:])})
		sc.circle(InkPlain, s.c, s.rx*0.97)
		return
	}
	sc.add(Item{Kind: Ellipse, Ink: k, Dashed: s.guessed, Center: s.c, RX: s.rx, RY: s.rx})
	if s.coin {
		sc.circle(InkLead, s.c, s.rx*0.8)
	}
}

// Shape of the negative end: how much of the body is filled.
const (
	poleDepth = 0.34   // of the half length
	poleHalf  = 0.9273 // radians: a chord at 0.6 of the radius
	plusMin   = 15.0   // sheet units: half a body's length from which a plus can be told
)

// drawPole fills the negative end and writes a minus sign into it. The sign
// lies across the direction of the lead, as it is printed on sleeves.
func (s *shape) drawPole(sc *Scene) {
	if s.form == round {
		sc.add(Item{Kind: Segment, Ink: InkPole, Center: s.c, RX: s.rx * 0.97, Angle: s.pole, Half: poleHalf})
		s.sign(sc, s.pole, s.rx*0.79, s.rx*0.26)
		return
	}
	along := math.Cos(s.pole - s.angle)
	across := math.Sin(s.pole - s.angle)
	if math.Abs(along) >= math.Abs(across) {
		e := math.Copysign(s.rx, along)
		q := s.quad(e*(1-poleDepth), -s.ry, e, s.ry)
		sc.polygon(InkPole, q[:]...)
		s.sign(sc, s.angle+flip(along), s.rx*(1-poleDepth/2), math.Min(s.ry*0.5, s.rx*0.3))
		return
	}
	e := math.Copysign(s.ry, across)
	q := s.quad(-s.rx, e*(1-poleDepth), s.rx, e)
	sc.polygon(InkPole, q[:]...)
	s.sign(sc, s.angle+math.Pi/2+flip(across), s.ry*(1-poleDepth/2), math.Min(s.rx*0.5, s.ry*0.3))
}

func flip(x float64) float64 {
	if x < 0 {
		return math.Pi
	}
	return 0
}

// sign draws the minus in the filled end and a plus at the other end.
func (s *shape) sign(sc *Scene, dir, dist, half float64) {
	sin, cos := math.Sincos(dir)
	at := func(d, side float64) Point {
		return Point{s.c.X + d*cos - side*sin, s.c.Y - d*sin - side*cos}
	}
	sc.lines(InkSign, at(dist, -half), at(dist, half))
	if math.Min(s.rx, s.ry) >= plusMin {
		b := half * 0.55
		sc.lines(InkPlain, at(-dist*0.86, -b), at(-dist*0.86, b), at(-dist*0.86-b, 0), at(-dist*0.86+b, 0))
	}
}

// drawUnsure writes a question mark where a part has a polarity that the map
// does not tell.
func (s *shape) drawUnsure(sc *Scene) {
	drawQuestion(sc, InkHalo, s.c, math.Min(math.Min(s.rx, s.ry)*0.75, 14))
	drawQuestion(sc, InkQuery, s.c, math.Min(math.Min(s.rx, s.ry)*0.75, 14))
}

// drawQuestion draws a question mark of half height r as strokes, so that
// every font and every reader has it.
func drawQuestion(s *Scene, k Ink, c Point, r float64) {
	at := func(x, y float64) Point { return Point{c.X + x*r, c.Y + y*r} }
	hook := [...]Point{{-.5, -.45}, {-.38, -.8}, {0, -.95}, {.38, -.8}, {.5, -.45}, {.32, -.08}, {0, .15}, {0, .4}}
	pts := make([]Point, 0, 2*len(hook))
	for i := 1; i < len(hook); i++ {
		pts = append(pts, at(hook[i-1].X, hook[i-1].Y), at(hook[i].X, hook[i].Y))
	}
	s.lines(k, append(pts, at(0, .75), at(0, .95))...)
}
