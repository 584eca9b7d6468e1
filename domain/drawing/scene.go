package drawing

// Point is a place on the sheet, in sheet units, x right, y down.
type Point struct{ X, Y float64 }

// Kind says what an item of a scene is.
type Kind uint8

// Kinds of items.
const (
	Open    Kind = iota // begins a group: Name, Designator, Class, Title, Href; Ink and Size are what its members take
	Close               // ends the group
	Polygon             // closed, through Points
	Lines               // separate strokes: Points taken in pairs
	Ellipse             // Center, RX, RY, turned by Angle
	Segment             // of the circle at Center with radius RX, cut off by a chord; Angle is the middle, Half the half width
	Picture             // Href, stretched over the rectangle from Points[0] to Points[1]
	Text                // at Center: the middle of its base line, or its start where Start is set
)

// Item is one primitive of a scene.
type Item struct {
	Kind   Kind
	Ink    Ink
	Dashed bool
	Start  bool // Text begins at Center instead of being centred on it
	Points []Point
	Center Point
	RX, RY float64
	Angle  float64 // radians counter-clockwise as the reader sees it
	Half   float64 // radians
	Text   string
	Size   float64 // height of the letters' em, sheet units
	Width  float64 // of the text; emitters stretch the text to it, so that no font makes labels overlap

	Name, Designator, Class, Title, Href string
}

// Scene is a drawing as primitives, made once and written as SVG by SVG or on
// paper by whoever walks Items in order.
type Scene struct {
	Width, Height float64 // sheet units; everything lies within
	Unit          float64 // line weight and hatching: the sheet units in one Weight
	Prefix        string  // put before the names of patterns, so that two drawings can share a page
	Title, Desc   string
	Near          int  // how many times as large a phone shows it for a finger
	Linked        bool // groups carry links, so the drawing is not one picture to a screen reader
	Items         []Item
	points        []Point // what the items' Points are cut from
}

// Ink is a way of drawing; Look tells what it looks like.
type Ink uint8

// Inks. Services differ by hatching and line weight first, by colour last.
const (
	InkNone Ink = iota
	InkSheet
	InkBoard
	InkLeave
	InkInspect
	InkReplace
	InkLead
	InkPole
	InkSign
	InkPlain
	InkHalo
	InkQuery
	InkGlow
	InkRing
	InkFlag
	InkLeader
	InkLeaderRim
	InkDot
	InkTouch
	InkRule
	InkZone
	InkText
	InkBold
	InkLabelLeave
	InkLabelInspect
	InkLabelReplace
	InkGood
	InkDoubt
	InkBad
	InkEmpty
	InkOld
	InkSame
	InkNew
	InkArrow
	inkCount
)

// Hatch is how an area is filled.
type Hatch uint8

// Hatchings.
const (
	Clear   Hatch = iota // nothing
	Solid                // Fill
	Strokes              // slanting strokes over Fill
	Dots                 // a raster of dots over Fill
	Unseen               // nothing, and yet a finger finds it
)

// Look is what an ink looks like on paper. Colours are 0xRRGGBB.
type Look struct {
	Hatch  Hatch
	Fill   uint32
	Stroke uint32
	Weight float64 // width of the line in Scene.Unit; 0: no line
	Bold   bool
	Italic bool
	Halo   bool // text with a rim of paper, so that it reads over lines
}

// Colours: ink on paper, one warm and one cold accent that stay apart in
// greyscale and for every kind of colour vision.
const (
	paper = 0xfdfcf8
	stock = 0xf3eee0 // the board itself
	ink   = 0x1c1a17
	soft  = 0x5f5a52
	faint = 0xa39c8f
	rust  = 0x9a2f0e
	slate = 0x164f7a
	amber = 0xffcf3a
	moss  = 0x2c5c2e
)

var looks = [inkCount]Look{
	InkNone:         {},
	InkSheet:        {Hatch: Solid, Fill: paper},
	InkBoard:        {Hatch: Solid, Fill: stock, Stroke: ink, Weight: 1.6},
	InkLeave:        {Hatch: Solid, Fill: paper, Stroke: soft, Weight: 0.8},
	InkInspect:      {Hatch: Dots, Fill: paper, Stroke: slate, Weight: 1.5},
	InkReplace:      {Hatch: Strokes, Fill: paper, Stroke: rust, Weight: 2.4},
	InkLead:         {Stroke: soft, Weight: 1},
	InkPole:         {Hatch: Solid, Fill: ink},
	InkSign:         {Stroke: paper, Weight: 1.8},
	InkPlain:        {Stroke: ink, Weight: 1.4},
	InkHalo:         {Stroke: paper, Weight: 5},
	InkQuery:        {Stroke: ink, Weight: 2.6},
	InkGlow:         {Hatch: Solid, Fill: amber},
	InkRing:         {Stroke: ink, Weight: 2.8},
	InkFlag:         {Hatch: Solid, Fill: amber, Stroke: ink, Weight: 1.2},
	InkLeader:       {Stroke: ink, Weight: 0.9},
	InkLeaderRim:    {Stroke: paper, Weight: 3},
	InkTouch:        {Hatch: Unseen},
	InkDot:          {Hatch: Solid, Fill: ink, Stroke: paper, Weight: 0.8},
	InkRule:         {Stroke: ink, Weight: 1},
	InkZone:         {Hatch: Solid, Fill: soft, Stroke: soft, Weight: 0.6},
	InkText:         {Hatch: Solid, Fill: ink},
	InkBold:         {Hatch: Solid, Fill: ink, Bold: true},
	InkLabelLeave:   {Hatch: Solid, Fill: 0x47433d, Halo: true},
	InkLabelInspect: {Hatch: Solid, Fill: 0x0e3f64, Halo: true, Italic: true},
	InkLabelReplace: {Hatch: Solid, Fill: ink, Halo: true, Bold: true},
	InkGood:         {Hatch: Solid, Fill: paper, Stroke: moss, Weight: 2},
	InkDoubt:        {Hatch: Solid, Fill: amber, Stroke: ink, Weight: 1.4},
	InkBad:          {Hatch: Solid, Fill: rust, Stroke: rust, Weight: 1.4},
	InkEmpty:        {Hatch: Solid, Fill: paper, Stroke: ink, Weight: 1.4},
	InkOld:          {Stroke: soft, Weight: 1.2},
	InkSame:         {Hatch: Solid, Fill: paper, Stroke: faint, Weight: 0.7},
	InkNew:          {Hatch: Strokes, Fill: paper, Stroke: slate, Weight: 2},
	InkArrow:        {Stroke: ink, Weight: 1.6},
}

// Look returns what the ink looks like; the zero Look for an unknown ink.
func (i Ink) Look() Look {
	if i < inkCount {
		return looks[i]
	}
	return Look{}
}

func (s *Scene) add(it Item) { s.Items = append(s.Items, it) }

func (s *Scene) polygon(k Ink, pts ...Point) {
	s.add(Item{Kind: Polygon, Ink: k, Points: s.keep(pts)})
}

func (s *Scene) lines(k Ink, pts ...Point) {
	s.add(Item{Kind: Lines, Ink: k, Points: s.keep(pts)})
}

// keep copies points into one store, so that callers' stay off the heap.
func (s *Scene) keep(pts []Point) []Point {
	n := len(s.points)
	s.points = append(s.points, pts...)
	return s.points[n:len(s.points):len(s.points)]
}

func (s *Scene) rect(k Ink, x, y, w, h float64) {
	s.polygon(k, Point{x, y}, Point{x + w, y}, Point{x + w, y + h}, Point{x, y + h})
}

func (s *Scene) circle(k Ink, c Point, r float64) {
	s.add(Item{Kind: Ellipse, Ink: k, Center: c, RX: r, RY: r})
}
