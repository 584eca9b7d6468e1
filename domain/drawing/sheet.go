package drawing

import (
	"math"

	"boardlore/domain/board"
)

// The strip below the board, in sheet units.
const (
	minWide = 860.0 // of the sheet, so that the title block is readable
	letter  = 15.0  // size of the legend's letters
	caption = 12.5  // size of the small words over the title block's cells
	rowTall = 40.0  // of the title block
	keyTall = 30.0  // of a row of the legend
	swatch  = 26.0  // of a sign in the legend
)

// drawBoard settles where everything stands on the sheet and draws the board.
func (l *layout) drawBoard() {
	l.trim()
	l.area.x0 -= zoneStrip
	l.area.y0 -= zoneStrip
	wide := l.area.x1 - l.area.x0
	if !l.o.Bare {
		wide = math.Max(wide, minWide)
	}
	dx := border + (wide-(l.area.x1-l.area.x0))/2 - l.area.x0
	dy := border - l.area.y0
	l.shift(dx, dy)
	l.s.Width = wide + 2*border
	l.s.Unit = math.Max(0.25, math.Min(1.3, l.em/13))
	l.fitFinger()
	l.s.add(Item{Kind: Open, Class: "sheet"})
	l.s.polygon(InkBoard, l.outl...)
	if l.o.Photo != "" {
		l.s.add(Item{Kind: Picture, Href: l.o.Photo, Points: l.s.keep([]Point{{l.origin.X, l.origin.Y - l.size.Y},
			{l.origin.X + l.size.X, l.origin.Y}})})
	}
	l.drawOrigin()
	l.drawZones()
	l.s.add(Item{Kind: Close})
}

// trim takes away the room that no label took, but what marks and lines need.
func (l *layout) trim() {
	a := rectangle{0, 0, l.size.X, l.size.Y}
	for _, p := range l.outl {
		a = a.with(around(p, 0, 0))
	}
	for i := range l.parts {
		p := &l.parts[i]
		hx, hy := p.body.extent()
		a = a.with(around(p.body.c, hx, hy))
		if !p.quiet {
			a = a.with(p.label.box)
		}
	}
	l.area = rectangle{a.x0 - margin, a.y0 - margin, a.x1 + margin, a.y1 + margin}
}

func (l *layout) shift(dx, dy float64) {
	move := func(p *Point) { p.X, p.Y = p.X+dx, p.Y+dy }
	move(&l.origin)
	for i := range l.outl {
		move(&l.outl[i])
	}
	for i := range l.parts {
		p := &l.parts[i]
		move(&p.body.c)
		move(&p.origin)
		move(&p.label.from)
		move(&p.label.to)
		p.label.box = p.label.box.shifted(dx, dy)
	}
	l.area = l.area.shifted(dx, dy)
}

// drawOrigin marks the corner that coordinates are measured from, which shows
// at once whether a side is mirrored.
func (l *layout) drawOrigin() {
	o, r := l.origin, 7*l.s.Unit
	if l.o.Side == board.Bottom {
		o.X += l.size.X
	}
	l.s.lines(InkRule, Point{o.X - r, o.Y}, Point{o.X + r, o.Y}, Point{o.X, o.Y - r}, Point{o.X, o.Y + r})
	l.s.add(Item{Kind: Ellipse, Ink: InkRule, Center: o, RX: r * 0.55, RY: r * 0.55})
}

var dutyNames = [duties]string{"leave", "inspect", "replace"}

// drawParts draws the bodies, what servicing replaces last; the glow of
// highlighted ones lies below them all, their rings above.
func (l *layout) drawParts() {
	l.drawMarks(InkGlow)
	defer l.drawMarks(InkRing)
	for d := range duties {
		l.s.add(Item{Kind: Open, Class: dutyNames[d], Ink: [...]Ink{InkLeave, InkInspect, InkReplace}[d]})
		for i := range l.parts {
			if p := &l.parts[i]; p.duty == d {
				l.drawPart(p)
			}
		}
		l.s.add(Item{Kind: Close})
	}
}

func (l *layout) drawPart(p *piece) {
	if p.quiet {
		p.body.draw(l.s, p.ink, false)
		return
	}
	d := p.pos.Designator
	l.s.add(Item{Kind: Open, Name: "pos-" + name(d), Designator: d, Title: l.o.In.Speak(positionText(p.pos)),
		Href: l.href(d), Ink: p.ink})
	if hx, hy := p.body.extent(); l.finger > 0 && math.Min(hx, hy) < l.finger {
		hx, hy = math.Max(hx, l.finger), math.Max(hy, l.finger)
		l.s.rect(InkTouch, p.body.c.X-hx, p.body.c.Y-hy, 2*hx, 2*hy)
	}
	p.body.draw(l.s, p.ink, Unsure(p.pos))
	l.s.add(Item{Kind: Close})
}

// drawMarks draws a glow, or a heavy ring, around highlighted bodies: seen at
// once, in grey as well. The page's script draws the same.
func (l *layout) drawMarks(k Ink) {
	l.s.add(Item{Kind: Open, Class: "marks", Ink: k})
	for i := range l.parts {
		if p := &l.parts[i]; p.marked && !p.quiet {
			l.drawMark(&p.body, k)
		}
	}
	l.s.add(Item{Kind: Close})
}

// markRoom is between a body and the ring around it, in line weights.
const markRoom = 5.0

func (l *layout) drawMark(b *shape, k Ink) {
	room := markRoom * l.s.Unit
	if b.form == round && !b.base {
		l.s.circle(k, b.c, b.rx+room)
		return
	}
	hx, hy := b.extent()
	l.s.rect(k, b.c.X-hx-room, b.c.Y-hy-room, 2*(hx+room), 2*(hy+room))
}

// href is the link of a designator, "" for none.
func (l *layout) href(designator string) string {
	if l.o.Link == nil {
		return ""
	}
	return l.o.Link(designator)
}

func isUnescaped(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.'
}

// name makes a designator fit for an id: anything but letters, digits and
// three signs becomes ~ and two hex digits.
func name(s string) string {
	const hex = "0123456789ABCDEF"
	b := make([]byte, 0, len(s))
	for i := range len(s) {
		if c := s[i]; isUnescaped(c) {
			b = append(b, c)
		} else {
			b = append(b, '~', hex[c>>4], hex[c&15])
		}
	}
	return string(b)
}

// drawLabels draws leaders, signs and designators above everything else, in
// this order.
func (l *layout) drawLabels() {
	var leaders []Point
	for i := range l.parts {
		if p := &l.parts[i]; p.label.led && !p.quiet {
			leaders = append(leaders, p.label.from, p.label.to)
		}
	}
	l.s.add(Item{Kind: Open, Class: "leaders", Ink: InkLeader})
	if leaders != nil {
		l.s.lines(InkLeaderRim, leaders...)
		l.s.lines(InkLeader, leaders...)
	}
	for i := 1; i < len(leaders); i += 2 {
		l.s.circle(InkDot, leaders[i], 1.6*l.s.Unit)
	}
	l.s.add(Item{Kind: Close})
	l.drawSigns()
	for d := range duties {
		k := [...]Ink{InkLabelLeave, InkLabelInspect, InkLabelReplace}[d]
		for n := range grades {
			l.drawGrade(d, n, k, "labels")
			l.drawGrade(d, n, k, "labels on")
		}
	}
}

// drawSigns puts signs on their parts, at the end away from the negative lead,
// so that no label has to make room for one.
func (l *layout) drawSigns() {
	l.s.add(Item{Kind: Open, Class: "signs"})
	for i := range l.parts {
		p := &l.parts[i]
		if p.sign == 0 || p.quiet {
			continue
		}
		hx, hy := p.body.extent()
		r := math.Max(0.34*l.em, math.Min(0.55*l.em, math.Min(hx, hy)*0.6))
		d := Point{0, -1}
		if p.body.polar {
			sin, cos := math.Sincos(p.body.pole)
			d = Point{-cos, sin}
		}
		far := math.Max(0, p.body.reach(d)-1.1*r)
		drawSign(l.s, p.sign, Point{p.body.c.X + d.X*far, p.body.c.Y + d.Y*far}, r)
	}
	l.s.add(Item{Kind: Close})
}

// drawGrade draws the designators of one duty in one size, on their bodies or
// beside them, in a group that says so once for them all.
func (l *layout) drawGrade(d duty, grade int, k Ink, class string) {
	begun := false
	for i := range l.parts {
		p := &l.parts[i]
		if p.quiet || p.duty != d || p.label.grade != grade || p.label.on != (class == "labels on") {
			continue
		}
		if !begun {
			l.s.add(Item{Kind: Open, Class: class, Ink: k, Size: l.em * grades[grade]})
			begun = true
		}
		l.drawLabel(p, k)
	}
	if begun {
		l.s.add(Item{Kind: Close})
	}
}

func (l *layout) drawLabel(p *piece, k Ink) {
	b, em := p.label.box, l.em*grades[p.label.grade]
	if p.marked {
		l.s.add(Item{Kind: Open, Class: "flag", Ink: k, Size: em})
		defer l.s.add(Item{Kind: Close})
		l.s.rect(InkFlag, b.x0, b.y0, b.x1-b.x0, b.y1-b.y0)
	}
	t := Item{Kind: Text, Ink: k, Center: Point{(b.x0 + b.x1) / 2, (b.y0+b.y1)/2 + capTall*em/2}, Size: em,
		Text: p.pos.Designator, Width: p.label.width}
	if h := l.href(p.pos.Designator); h != "" {
		l.s.add(Item{Kind: Open, Href: h, Ink: k, Size: em})
		l.s.add(t)
		l.s.add(Item{Kind: Close})
		return
	}
	l.s.add(t)
}

// drawSign draws a badge of half size r. Shapes, not letters, so that every
// font and every reader of PDF has them.
func drawSign(s *Scene, g Sign, c Point, r float64) {
	at := func(x, y float64) Point { return Point{c.X + x*r, c.Y + y*r} }
	switch g {
	case Good:
		s.circle(InkGood, c, r)
		s.lines(InkGood, at(-.5, 0), at(-.1, .45), at(-.1, .45), at(.5, -.45))
	case Doubt:
		s.polygon(InkDoubt, at(0, -1.15), at(1.15, 0), at(0, 1.15), at(-1.15, 0))
		drawQuestion(s, InkPlain, c, r*.6)
	case Bad:
		s.polygon(InkBad, at(-.42, -1), at(.42, -1), at(1, -.42), at(1, .42), at(.42, 1), at(-.42, 1), at(-1, .42),
			at(-1, -.42))
		s.lines(InkSign, at(-.5, -.5), at(.5, .5), at(-.5, .5), at(.5, -.5))
	case Empty:
		s.circle(InkEmpty, c, r*.85)
	case Hazard:
		s.polygon(InkDoubt, at(0, -1.1), at(1.1, .9), at(-1.1, .9))
		s.lines(InkPlain, at(0, -.45), at(0, .25), at(0, .5), at(0, .68))
	case Altered:
		s.rect(InkPole, c.X-r*.75, c.Y-r*.75, r*1.5, r*1.5)
	case Minor:
		s.circle(InkPole, c, r*.45)
	case Gained:
		s.circle(InkPole, c, r)
		s.lines(InkSign, at(-.6, 0), at(.6, 0), at(0, -.6), at(0, .6))
	case Lost:
		s.rect(InkEmpty, c.X-r*.85, c.Y-r*.85, r*1.7, r*1.7)
		s.lines(InkPlain, at(-.55, 0), at(.55, 0))
	}
}

// key is one entry of the legend.
type key struct {
	draw func(s *Scene, c Point)
	text string
}

// legend explains what is on this drawing.
func (l *layout) legend(o Options) []key {
	body := func(d duty) func(*Scene, Point) {
		k := [...]Ink{InkLeave, InkInspect, InkReplace}[d]
		return func(s *Scene, c Point) { s.rect(k, c.X-swatch/2, c.Y-swatch*.35, swatch, swatch*.7) }
	}
	can := func(f func(b *shape)) func(*Scene, Point) {
		return func(s *Scene, c Point) {
			b := shape{form: round, c: c, rx: swatch / 2, ry: swatch / 2}
			f(&b)
			b.draw(s, InkLeave, !b.polar && !b.guessed)
		}
	}
	keys := []key{
		{body(replace), l.say("service.replace")}, {body(inspect), l.say("service.inspect")},
		{body(leave), l.say("service.leave")},
		{can(func(b *shape) { b.polar, b.pole = true, math.Pi }), l.say("drawing.negative")},
		{can(func(*shape) {}), l.say("drawing.unsure")},
		{can(func(b *shape) { b.guessed = true }), l.say("drawing.guessed")},
	}
	if len(o.Marks) > 0 {
		keys = append(keys, key{func(s *Scene, c Point) {
			s.circle(InkGlow, c, swatch*.4)
			s.circle(InkRing, c, swatch*.4)
		}, l.say("drawing.marked")})
	}
	return append(keys, l.signs()...)
}

// signKeys are the keys of what signs say.
var signKeys = [...]string{Good: "drawing.sign.good", Doubt: "drawing.sign.doubt", Bad: "drawing.sign.bad",
	Empty:  "drawing.sign.empty",
	Hazard: "drawing.sign.hazard", Altered: "drawing.sign.altered", Minor: "drawing.sign.minor",
	Gained: "drawing.sign.gained",
	Lost:   "drawing.sign.lost"}

func (l *layout) signs() (keys []key) {
	var used [Lost + 1]bool
	for i := range l.parts {
		if g := l.parts[i].sign; g <= Lost {
			used[g] = true
		}
	}
	for g := Good; g <= Lost; g++ {
		if used[g] {
			keys = append(keys, key{func(s *Scene, c Point) { drawSign(s, g, c, swatch*.4) }, l.say(signKeys[g])})
		}
	}
	return keys
}

// finish draws the legend and the title block below the board, and the sheet
// below everything.
func (l *layout) finish(m *board.Map, t title, keys []key) {
	s := l.s
	s.Title, s.Desc = t.title, t.desc
	s.add(Item{Kind: Open, Class: "legend"})
	thick := s.Unit
	s.Unit = 1
	y := l.drawKeys(keys, l.area.y1+8)
	s.add(Item{Kind: Close})
	s.add(Item{Kind: Open, Class: "title-block"})
	y = l.drawTitle(t, y+6)
	s.Height = y + border
	s.add(Item{Kind: Close})
	s.Unit = thick
	s.Items[0] = Item{Kind: Polygon, Ink: InkSheet, Points: []Point{{0, 0}, {s.Width, 0}, {s.Width, s.Height},
		{0, s.Height}}}
}

// finishBare leaves out what a page around the drawing says.
func (l *layout) finishBare(t title) {
	s := l.s
	s.Title, s.Desc = t.title, t.desc
	s.Height = l.area.y1 + border
	s.Items = s.Items[1:]
}

func (l *layout) drawKeys(keys []key, y float64) float64 {
	x := border
	for _, k := range keys {
		wide := swatch + 8 + textWidth(k.text, letter)
		if x > border && x+wide > l.s.Width-border {
			x, y = border, y+keyTall
		}
		k.draw(l.s, Point{x + swatch/2, y + keyTall/2})
		l.s.add(Item{Kind: Text, Ink: InkText, Start: true, Center: Point{x + swatch + 8, y + keyTall/2 + letter*.36},
			Size: letter, Text: k.text, Width: textWidth(k.text, letter)})
		x += wide + 22
	}
	return y + keyTall
}

// cell is a field of the title block; share is its part of the width.
type cell struct {
	share   float64
	caption string
	text    string
	big     bool
	bar     bool // the scale bar stands here
}

func (l *layout) drawTitle(t title, y float64) float64 {
	s := l.s
	x0, wide := border, s.Width-2*border
	top := y
	for _, row := range t.rows {
		x := x0
		for i, c := range row {
			w := c.share * wide
			if i > 0 {
				s.lines(InkRule, Point{x, y}, Point{x, y + rowTall})
			}
			l.drawCell(c, x+7, y, w-14)
			x += w
		}
		y += rowTall
		if y < top+float64(len(t.rows))*rowTall {
			s.lines(InkRule, Point{x0, y}, Point{x0 + wide, y})
		}
	}
	s.rect(InkPlain, x0, top, wide, y-top)
	return y
}

func (l *layout) drawCell(c cell, x, y, w float64) {
	put := func(k Ink, text string, size, dy float64) {
		wider := 1.0
		if k.Look().Bold {
			wider = boldWider
		}
		text, size = fit(text, size, w/wider)
		if text != "" {
			l.s.add(Item{Kind: Text, Ink: k, Start: true, Center: Point{x, y + dy}, Size: size, Text: text,
				Width: textWidth(text, size) * wider})
		}
	}
	put(InkText, c.caption, caption, 14)
	switch {
	case c.bar:
		l.drawScale(x, y, w)
	case c.big:
		put(InkBold, c.text, 18, 34)
	default:
		put(InkText, c.text, letter, 33)
	}
}

// drawScale draws a bar of a round length in millimetres.
func (l *layout) drawScale(x, y, w float64) {
	room := w - 60
	mm := 0.0
	for step := range 30 {
		next := [...]float64{1, 2, 5}[step%3] * math.Pow10(step/3-3)
		if next*l.scale > room {
			break
		}
		mm = next
	}
	const parts = 5
	u := mm * l.scale / parts
	for i := range parts {
		k := InkPole
		if i%2 == 1 {
			k = InkSheet
		}
		l.s.rect(k, x+float64(i)*u, y+20, u, 8)
	}
	l.s.rect(InkRule, x, y+20, parts*u, 8)
	text := millimetres(mm)
	l.s.add(Item{Kind: Text, Ink: InkText, Start: true, Center: Point{x + parts*u + 8, y + 29}, Size: letter,
		Text: text, Width: textWidth(text, letter)})
}
