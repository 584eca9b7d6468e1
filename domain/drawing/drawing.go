// Package drawing turns a map into a picture: the board's outline, each part
// as its body, to scale and turned as it stands, with its designator, its
// negative end and what servicing does to it.
//
// The obvious way, a picture with a fixed letter beside each part, fails on a
// crowded board: letters run into each other. Here labels are placed one after
// the other on a raster of what is taken, and drawn away from their part with a
// leader line where there is no room beside it.
//
// Maps are in millimetres from the lower left corner, seen from the top side, x
// right, y up, angles counter-clockwise. The sheet is in sheet units, x right, y
// down; the bottom side is drawn as seen from the bottom, x mirrored. The same
// map and options give the same bytes. Nothing here panics on any map.
//
// Not modelled: tracks, holes, heights, pins.
package drawing

import (
	"math"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Options say what to draw of a map and what to write beside it.
type Options struct {
	Side     board.Side // top or bottom; anything else means top
	Marks    []string   // designators to highlight
	Badges   []Badge    // signs before designators, such as the outcome of a kit check
	Revision int        // 0: not released
	Variant  string     // "" for the base map
	Digest   string     // of the map drawn, lower-case hex
	Date     string     // of the revision, as it is to be written
	Prefix   string     // before the names of patterns and titles; letters only

	In *message.Language // what the drawing speaks; English where nil

	Close bool // a piece of a board, seen closer: its letters may be larger
	Bare  bool // without legend, title block and a sheet below: for pages that say these themselves

	Link  func(designator string) string     // where a part links to; nil or "": nowhere
	Zone  func(zone string, near int) string // where a zone links to, near times as large; nil: zones are no links
	Photo string                             // address of the photograph of this side, exactly the frame's rectangle; "" for none
}

// Sign is what a badge says.
type Sign uint8

// Signs. Each has its own shape; the colour only repeats it.
const (
	Good    Sign = iota + 1 // a tick: suits
	Doubt                   // a question mark in a diamond: look before fitting
	Bad                     // a cross in an octagon: do not fit
	Empty                   // an empty ring: nothing there for it
	Hazard                  // an exclamation mark in a triangle: hazardous change
	Altered                 // a filled square: changed
	Minor                   // a small dot: editorial change
	Gained                  // plus: added
	Lost                    // minus in a box: removed
)

// Badge puts a sign before a designator.
type Badge struct {
	Designator string
	Sign       Sign
}

// Board draws one side of a map as SVG. Pass the effective map of a variant to
// draw that build.
func Board(m *board.Map, o Options) []byte { return Layout(m, o).SVG() }

// Layout draws one side of a map as a scene, for paper or for SVG.
func Layout(m *board.Map, o Options) *Scene {
	o = o.tidy()
	l := newLayout(m, o)
	for i := range m.Positions {
		if p := &m.Positions[i]; p.Side == o.Side || (p.Side != board.Bottom && o.Side == board.Top) {
			l.place(p, service(p.Service))
		}
	}
	l.label(o.signs(), o.marked())
	l.drawBoard()
	l.drawParts()
	l.drawLabels()
	l.drawTouch()
	if o.Bare {
		l.finishBare(boardWords(m, o, len(l.parts)))
	} else {
		l.finish(m, boardWords(m, o, len(l.parts)), l.legend(o))
	}
	return l.s
}

func (o Options) tidy() Options {
	if o.Side != board.Bottom {
		o.Side = board.Top
	}
	if o.In == nil {
		o.In = message.English
	}
	return o
}

func (o Options) marked() map[string]bool {
	ms := make(map[string]bool, len(o.Marks))
	for _, d := range o.Marks {
		ms[d] = true
	}
	return ms
}

func (o Options) signs() map[string]Sign {
	ss := make(map[string]Sign, len(o.Badges))
	for _, b := range o.Badges {
		ss[b.Designator] = b.Sign
	}
	return ss
}

// duty is what servicing does to a position, in drawing order: what matters
// more is drawn later, so that it lies on top.
type duty uint8

const (
	leave duty = iota
	inspect
	replace
	duties
)

func service(s board.Service) duty {
	switch s {
	case board.Replace:
		return replace
	case board.Inspect:
		return inspect
	}
	return leave
}

// piece is one part on the sheet.
type piece struct {
	pos    *board.Position
	duty   duty // as drawn
	serve  duty // as the map says
	ink    Ink
	body   shape
	label  label
	marked bool
	sign   Sign
	quiet  bool // no group of its own and no label: the former place of a part
	extra  bool // of no part of the map: removed, or gone to the other side
	came   bool // from origin, which an arrow shows
	origin Point
	was    shape // what it looked like there
}

// layout is a drawing in the making.
type layout struct {
	s      *Scene
	o      Options
	scale  float64 // sheet units in a millimetre
	origin Point   // where the frame's lower left corner stands on the sheet, seen from the top
	size   Point   // width and height of the board on the sheet
	outl   []Point
	area   rectangle // that the board with its labels may take
	parts  []piece
	em     float64 // size of the largest labels' letters
	finger float64 // half of what a finger needs, where zones are links
}

const (
	span   = 1000.0 // sheet units of the board's longer side
	border = 14.0   // between the sheet's edge and anything
)

// frame is the board's extent in millimetres, made sound where a map is not.
func frame(f *board.Frame) (w, h float64) {
	w, h = f.Width, f.Height
	for _, p := range f.Outline {
		w, h = math.Max(w, sound(p[0])), math.Max(h, sound(p[1]))
	}
	return extent(w), extent(h)
}

// extent is a length that a board can have, 1 mm where it cannot be right.
func extent(x float64) float64 {
	const least = 0.01
	if x = sound(x); x < least {
		return 1
	}
	return x
}

// sound makes any number one that can be drawn with.
func sound(x float64) float64 {
	const most = 1e5
	if math.IsNaN(x) {
		return 0
	}
	return math.Max(-most, math.Min(most, x))
}

func newLayout(m *board.Map, o Options) *layout {
	w, h := frame(&m.Frame)
	l := &layout{s: &Scene{Prefix: o.Prefix, Linked: o.Link != nil}, o: o}
	l.s.Items = make([]Item, 1, 64+7*len(m.Positions)) // the first is the sheet itself
	l.s.points = make([]Point, 0, 64+12*len(m.Positions))
	l.scale = span / math.Max(w, h)
	l.size = Point{w * l.scale, h * l.scale}
	l.origin = Point{0, l.size.Y}
	for _, p := range m.Frame.Outline {
		l.outl = append(l.outl, l.toSheet(p[0], p[1]))
	}
	if len(l.outl) < 3 {
		l.outl = []Point{l.toSheet(0, 0), l.toSheet(w, 0), l.toSheet(w, h), l.toSheet(0, h)}
	}
	l.parts = make([]piece, 0, len(m.Positions))
	return l
}

// toSheet is the sheet's point for a point of the frame, mirrored for the bottom.
// What lies further out than the board is long is drawn toSheet that distance.
func (l *layout) toSheet(x, y float64) Point {
	px, py := sound(x)*l.scale, sound(y)*l.scale
	px = math.Max(-l.size.X, math.Min(2*l.size.X, px))
	py = math.Max(-l.size.Y, math.Min(2*l.size.Y, py))
	if l.o.Side == board.Bottom {
		px = l.size.X - px
	}
	return Point{px, l.size.Y - py}
}

// turn is the reader's angle in radians for an angle of the frame in degrees.
func (l *layout) turn(deg float64) float64 {
	a := math.Mod(sound(deg), 360)
	if l.o.Side == board.Bottom {
		a = 180 - a
	}
	return a * math.Pi / 180
}

// say speaks the reader's language.
func (l *layout) say(key string, values ...any) string { return l.o.In.Say(key, values...) }

func (l *layout) place(p *board.Position, d duty) *piece {
	l.parts = append(l.parts, piece{pos: p, duty: d, serve: service(p.Service), ink: [...]Ink{InkLeave, InkInspect,
		InkReplace}[d]})
	c := &l.parts[len(l.parts)-1]
	c.body = outlineOf(p, l.scale)
	c.body.c = l.toSheet(p.X, p.Y)
	c.body.angle = l.turn(p.Rotation)
	if p.Negative != nil {
		c.body.pole, c.body.polar = l.turn(*p.Negative), true
	}
	return c
}

// Unsure reports whether a part has a polarity whose direction the map does
// not tell.
func Unsure(p *board.Position) bool {
	return p.Negative == nil && hasPolarity(&p.Part)
}

func hasPolarity(p *part.Part) bool {
	if p.Polarised != nil {
		return *p.Polarised
	}
	switch p.Construction {
	case "aluminium-electrolytic", "aluminium-polymer", "tantalum", "tantalum-polymer", "supercapacitor":
		return true
	}
	return p.Class == part.Cell
}
