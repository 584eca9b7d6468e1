package api

import (
	"context"
	"math"
	"strings"

	"boardlore/domain/board"
	"boardlore/store"
)

// Look is what a board looks like to somebody who has nothing but the board in
// hand. A zero member was not looked at.
type Look struct {
	Width, Height float64 // mm, whichever way round the board was held
	Replaced      int     // about how many positions are to be replaced
	Sides         string  // "one" or "both": sides that carry parts
	Class         string  // class of a part that stands on it
	Printed       string  // something printed on one of its parts
}

// mostLooked bounds how many boards one search by look goes through; the
// cursor goes on from there.
const mostLooked = 600

// Find finds boards by what is known of them and by their look.
func Find(ctx context.Context, s *store.Store, f store.BoardFilter, l Look) (store.List[store.Board], error) {
	if l == (Look{}) {
		return s.Boards(ctx, f)
	}
	var found store.List[store.Board]
	f.Page.Limit = 200
	for seen := 0; seen < mostLooked; {
		bs, err := s.Boards(ctx, f)
		if err != nil {
			return found, err
		}
		for i := range bs.Items {
			r, err := s.Revision(ctx, bs.Items[i].ID, 0, "")
			if err != nil {
				return found, err
			}
			if l.fits(r.Map, bs.Items[i].Counts.Replace) {
				found.Items = append(found.Items, bs.Items[i])
			}
		}
		seen += len(bs.Items)
		found.Next, f.Page.After = bs.Next, bs.Next
		if bs.Next == "" {
			break
		}
	}
	return found, nil
}

// fits allows for a ruler held by hand, 5 mm or 5 %, and for a hasty count, a
// quarter.
func (l Look) fits(m *board.Map, replaced int) bool {
	near := func(seen, is float64) bool { return seen == 0 || math.Abs(seen-is) <= max(5, 0.05*is) }
	w, h := m.Frame.Width, m.Frame.Height
	switch {
	case !(near(l.Width, w) && near(l.Height, h) || near(l.Width, h) && near(l.Height, w)):
		return false
	case l.Replaced != 0 && math.Abs(float64(l.Replaced-replaced)) > max(2, 0.25*float64(replaced)):
		return false
	case l.Sides != "" && (l.Sides == "both") != bothSides(m):
		return false
	}
	return l.Class == "" && l.Printed == "" || l.borne(m)
}

func bothSides(m *board.Map) bool {
	on := map[string]bool{}
	for i := range m.Positions {
		on[m.Positions[i].Side] = true
	}
	return len(on) > 1
}

// borne reports whether some part is of the class and bears the words, whatever
// their case.
func (l Look) borne(m *board.Map) bool {
	words := strings.ToLower(strings.TrimSpace(l.Printed))
	for i := range m.Positions {
		p := &m.Positions[i].Part
		if (l.Class == "" || p.Class == l.Class) && strings.Contains(strings.ToLower(p.Text), words) {
			return true
		}
	}
	return false
}
