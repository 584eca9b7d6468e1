package board

import "strings"

// Look is what a board looks like to somebody who has nothing but the board in
// hand. A zero member was not looked at.
type Look struct {
	Width, Height float64 // mm, whichever way round the board was held
	Replaced      int     // about how many positions are to be replaced
	Sides         string  // "one" or "both": sides that carry parts
	Class         string  // class of a part that stands on it
	Printed       string  // something printed on one of its parts, of that class where one is given
}

// Allowances of a look, common practice: a ruler held by hand is within 5 mm or
// 5 %, a hasty count within 2 or a quarter, of what is there.
const (
	rulerOff, rulerShare = 5.0, 0.05
	countOff, countShare = 2.0, 0.25
)

// Between is the least and the most that something may be, both included.
type Between struct{ Least, Most float64 }

func (r Between) holds(x float64) bool { return r.Least <= x && x <= r.Most }

// allowed is what may be there when seen was seen: those x with
// |seen - x| at most off, or at most share of x.
func allowed(seen, off, share float64) Between {
	return Between{min(seen-off, seen/(1+share)), max(seen+off, seen/(1-share))}
}

// Measured is what a side may be that was measured to be seen millimetres long by hand.
func Measured(seen float64) Between { return allowed(seen, rulerOff, rulerShare) }

// Counted is what a count may be that came to about seen.
func Counted(seen int) Between { return allowed(float64(seen), countOff, countShare) }

// Fits reports whether a board of this map may look so. It is the plain
// statement of the search by look, to which the search of the database is held.
func (l Look) Fits(m *Map) bool {
	near := func(seen, is float64) bool { return seen == 0 || Measured(seen).holds(is) }
	w, h := m.Frame.Width, m.Frame.Height
	switch {
	case !(near(l.Width, w) && near(l.Height, h) || near(l.Width, h) && near(l.Height, w)):
		return false
	case l.Replaced != 0 && !Counted(l.Replaced).holds(float64(m.replaced())):
		return false
	case l.Sides != "" && (l.Sides == "both") != (m.PopulatedSides() > 1):
		return false
	}
	return l.Class == "" && l.Printed == "" || l.borne(m)
}

func (m *Map) replaced() (n int) {
	for i := range m.Positions {
		if m.Positions[i].Service == "replace" {
			n++
		}
	}
	return n
}

// PopulatedSides counts the sides that carry parts.
func (m *Map) PopulatedSides() int {
	on := map[string]bool{}
	for i := range m.Positions {
		on[string(m.Positions[i].Side)] = true
	}
	return len(on)
}

// borne reports whether some part is of the class and bears the words, whatever
// their case.
func (l Look) borne(m *Map) bool {
	words := strings.ToLower(strings.TrimSpace(l.Printed))
	for i := range m.Positions {
		p := &m.Positions[i].Part
		if (l.Class == "" || string(p.Class) == l.Class) && strings.Contains(strings.ToLower(p.Text), words) {
			return true
		}
	}
	return false
}
