package drawing

import (
	"cmp"
	"slices"

	"boardlore/domain/board"
)

// Area is the positions of one zone of one side.
type Area struct {
	Side      board.Side
	Zone      string
	Positions []*board.Position
}

// WorkingOrder puts positions in the order of work: one side after the other,
// zone by zone as one reads a page, from the left as that side is seen, within a
// zone by designator.
func WorkingOrder(m *board.Map, keep func(*board.Position) bool) []Area {
	byZone := map[[2]string]*Area{}
	var as []*Area
	for i := range m.Positions {
		p := &m.Positions[i]
		if !keep(p) {
			continue
		}
		z := Zone(&m.Frame, p)
		k := [2]string{string(p.Side), z}
		if byZone[k] == nil {
			byZone[k] = &Area{Side: p.Side, Zone: z}
			as = append(as, byZone[k])
		}
		byZone[k].Positions = append(byZone[k].Positions, p)
	}
	slices.SortFunc(as, func(a, b *Area) int {
		along := cmp.Compare(a.Zone, b.Zone)
		if a.Side == board.Bottom && a.Zone[0] == b.Zone[0] {
			along = -along
		}
		return cmp.Or(-cmp.Compare(a.Side, b.Side), along)
	})
	out := make([]Area, len(as))
	for i, a := range as {
		slices.SortFunc(a.Positions, func(x, y *board.Position) int {
			return board.CompareDesignators(x.Designator,
				y.Designator)
		})
		out[i] = *a
	}
	return out
}
