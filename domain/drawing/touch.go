package drawing

import (
	"math"

	"boardlore/domain/board"
)

// What a phone asks of a drawing that is enlarged, in pixels.
const (
	phoneWide = 336.0 // of the drawing at its whole width
	minText   = 11.0
	minReach  = 24.0 // of what a finger hits (WCAG 2.2, 2.5.8)
	zoneShare = 0.8  // of the phone's width that a zone takes
	maxNear   = 12
)

// fitFinger settles how many times as large a phone shows the drawing once a
// zone of it is chosen: a zone fills the width, and the smallest letters can be
// read. What is smaller than a finger then gets room around it.
func (l *layout) fitFinger() {
	if l.o.Zone == nil {
		return
	}
	least := l.em
	for i := range l.parts {
		if !l.parts[i].quiet {
			least = math.Min(least, l.em*grades[l.parts[i].label.grade])
		}
	}
	pixel := l.s.Width / phoneWide
	cols, _ := zones(l.size.X, l.size.Y)
	near := math.Max(l.s.Width*zoneShare/(l.size.X/float64(cols)), minText*pixel/least)
	l.s.Near = int(math.Max(2, math.Min(maxNear, math.Ceil(near))))
	l.finger = minReach * pixel / float64(l.s.Near) / 2
}

// drawTouch lays the zones over the drawing, unseen, each a link to itself.
func (l *layout) drawTouch() {
	if l.o.Zone == nil {
		return
	}
	cols, rows := zones(l.size.X, l.size.Y)
	w, h := l.size.X/float64(cols), l.size.Y/float64(rows)
	l.s.add(Item{Kind: Open, Class: "zones", Ink: InkTouch})
	for r := range rows {
		for c := range cols {
			name := zoneName(r, c)
			x := l.origin.X + float64(l.seen(c, cols))*w
			l.s.add(Item{Kind: Open, Name: "zone-" + name, Title: l.say("drawing.zone", name),
				Href: l.o.Zone(name, l.s.Near), Ink: InkTouch})
			l.s.rect(InkTouch, x, l.origin.Y-l.size.Y+float64(r)*h, w, h)
			l.s.add(Item{Kind: Close})
		}
	}
	l.s.add(Item{Kind: Close})
}

// seen is where a column stands in the view, from the left.
func (l *layout) seen(column, columns int) int {
	if l.o.Side == board.Bottom {
		return columns - 1 - column
	}
	return column
}
