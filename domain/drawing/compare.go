package drawing

import (
	"math"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/message"
)

// Compare draws one side of the newer map with what changed since the older
// one: changed parts are hatched and bear a sign before their designator,
// former places are dashed, with an arrow to the new one. d is what board.Diff
// says of the two maps; its places are in the newer map's frame, and so is the
// drawing. Options describe the newer map.
func Compare(from, to *board.Map, d board.Difference, o Options) []byte {
	return LayoutCompare(from, to, d, o).SVG()
}

// LayoutCompare is Compare as a scene.
func LayoutCompare(from, to *board.Map, d board.Difference, o Options) *Scene {
	o = o.tidy()
	l := newLayout(to, o)
	ts := trackChanges(d)
	signs := o.signs()
	for i := range to.Positions {
		p := &to.Positions[i]
		if t := ts[p.Designator]; t != nil {
			l.placeChanged(p, t, signs)
		} else if p.Side == o.Side {
			l.place(p, leave).ink = InkSame
		}
	}
	for i := range d.Changes {
		if c := &d.Changes[i]; c.Kind == board.Removed {
			l.placeRemoved(c, signs)
		}
	}
	l.label(signs, o.marked())
	l.drawBoard()
	l.drawParts()
	l.drawArrows()
	l.drawLabels()
	if o.Bare {
		l.finishBare(compareWords(from, to, d, o))
	} else {
		l.finish(to, compareWords(from, to, d, o), l.compareLegend())
	}
	return l.s
}

// track is what happened to one position.
type track struct {
	worst   board.Severity
	added   bool
	entries []*board.DifferenceEntry
}

func trackChanges(d board.Difference) map[string]*track {
	ts := map[string]*track{}
	for i := range d.Changes {
		c := &d.Changes[i]
		if c.Designator == "" || c.Kind == board.Removed {
			continue
		}
		t := ts[c.Designator]
		if t == nil {
			t = &track{worst: board.Editorial}
			ts[c.Designator] = t
		}
		if rank(c.Severity) > rank(t.worst) {
			t.worst = c.Severity
		}
		t.added = t.added || c.Kind == board.Added
		t.entries = append(t.entries, c)
	}
	return ts
}

func rank(s board.Severity) int {
	switch s {
	case board.Hazard:
		return 2
	case board.Material:
		return 1
	}
	return 0
}

func (t *track) sign() Sign {
	switch {
	case t.worst == board.Hazard:
		return Hazard
	case t.added:
		return Gained
	case t.worst == board.Material:
		return Altered
	}
	return Minor
}

// before is the position as it was, as far as the drawing shows it; false
// where it looks the same.
func (t *track) before(now *board.Position) (old board.Position, differs bool) {
	old = *now
	for _, c := range t.entries {
		var into any
		switch c.Kind {
		case board.Moved:
			into = &old // x_mm and y_mm
		case board.Turned:
			into = &old.Rotation
		case board.SideChanged:
			into = &old.Side
		case board.BodyChanged:
			old.Body = nil
			into = &old.Body
		case board.PolarityChanged:
			old.Negative = nil
			into = &old.Negative
		default:
			continue
		}
		if json.Unmarshal(c.From, into) != nil {
			continue
		}
		differs = true
	}
	return old, differs && !t.added
}

func (l *layout) placeChanged(p *board.Position, t *track, signs map[string]Sign) {
	old, differs := t.before(p)
	switch {
	case p.Side == l.o.Side:
		if differs && old.Side == p.Side {
			l.placeOld(old)
		}
		signs[p.Designator] = t.sign()
		c := l.place(p, replace)
		if c.ink = InkNew; t.worst == board.Editorial {
			c.duty, c.ink = inspect, InkSame
		}
		if differs && old.Side == p.Side {
			c.came, c.origin = true, l.toSheet(old.X, old.Y)
			c.was = shape{pole: l.turn(negative(&old)), polar: old.Negative != nil}
		}
	case old.Side == l.o.Side: // went to the other side
		signs[p.Designator] = Lost
		c := l.place(&old, inspect)
		c.ink, c.extra, c.body.guessed = InkOld, true, true
	}
}

func negative(p *board.Position) float64 {
	if p.Negative == nil {
		return 0
	}
	return *p.Negative
}

// placeOld puts a former body under the present one.
func (l *layout) placeOld(old board.Position) {
	c := l.place(&old, leave)
	c.ink, c.quiet, c.body.guessed = InkOld, true, true
}

func (l *layout) placeRemoved(e *board.DifferenceEntry, signs map[string]Sign) {
	var p board.Position
	if json.Unmarshal(e.From, &p) != nil || p.Side != l.o.Side {
		return
	}
	if signs[p.Designator] = Lost; e.Severity == board.Hazard {
		signs[p.Designator] = Hazard
	}
	c := l.place(&p, inspect)
	c.ink, c.extra, c.body.guessed = InkOld, true, true
}

// drawArrows joins former places to present ones, where they lie apart.
func (l *layout) drawArrows() {
	l.s.add(Item{Kind: Open, Class: "arrows", Ink: InkArrow})
	for i := range l.parts {
		p := &l.parts[i]
		dx, dy := p.body.c.X-p.origin.X, p.body.c.Y-p.origin.Y
		far := math.Hypot(dx, dy)
		head := 0.5 * l.em
		if !p.came {
			continue
		}
		if far < head {
			l.drawOldPole(p)
			continue
		}
		ux, uy := dx/far, dy/far
		tip := p.body.c
		wing := func(side float64) Point {
			return Point{tip.X - head*ux - side*head*0.5*uy, tip.Y - head*uy + side*head*0.5*ux}
		}
		l.s.lines(InkArrow, p.origin, tip, wing(1), tip, wing(-1), tip)
	}
	l.s.add(Item{Kind: Close})
}

// drawOldPole dashes the end that was the negative one, on a body that stays
// where it was.
func (l *layout) drawOldPole(p *piece) {
	if p.was.polar && math.Cos(p.was.pole-p.body.pole) < 0.99 {
		l.s.add(Item{Kind: Segment, Ink: InkOld, Dashed: true, Center: p.body.c,
			RX: math.Min(p.body.rx, p.body.ry) * 0.97, Angle: p.was.pole, Half: poleHalf})
	}
}

func (l *layout) compareLegend() []key {
	box := func(k Ink, dashed bool) func(*Scene, Point) {
		return func(s *Scene, c Point) {
			w, h := swatch/2, swatch*.35
			s.add(Item{Kind: Polygon, Ink: k, Dashed: dashed, Points: []Point{{c.X - w, c.Y - h}, {c.X + w, c.Y - h},
				{c.X + w, c.Y + h}, {c.X - w, c.Y + h}}})
		}
	}
	pole := func(s *Scene, c Point) {
		b := shape{form: round, c: c, rx: swatch / 2, ry: swatch / 2, polar: true, pole: math.Pi}
		b.draw(s, InkSame, false)
	}
	keys := []key{
		{box(InkSame, false), l.say("drawing.same")}, {box(InkOld, true), l.say("drawing.old")},
		{box(InkNew, false), l.say("drawing.new")}, {pole, l.say("drawing.negative")},
	}
	return append(keys, l.signs()...)
}

func compareWords(from, to *board.Map, d board.Difference, o Options) title {
	t := boardWords(to, o, len(to.Positions))
	t.title = o.In.Say("drawing.title-changes", to.Name, to.Board, message.Word("drawing.side", o.Side))
	desc := message.Of("drawing.desc-changes", len(d.Changes))
	if from.Name != to.Name {
		desc = desc.And(message.Of("drawing.desc-older", from.Name))
	}
	t.desc = o.In.Speak(desc)
	changes := cell{share: .25, caption: o.In.Say("drawing.cell.changes"), text: o.In.Say("drawing.changes",
		len(d.Changes), hazards(d))}
	t.rows[2] = append([]cell{changes}, t.rows[2]...)
	for i := range t.rows[2][1:] {
		t.rows[2][1+i].share *= .75
	}
	return t
}

func hazards(d board.Difference) (n int) {
	for i := range d.Changes {
		if d.Changes[i].Severity == board.Hazard {
			n++
		}
	}
	return n
}
