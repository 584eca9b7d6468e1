package kit

import "boardlore/domain/board"

// Positions picks the positions in scope: indexes into the map's, in natural
// order of designators. Refusals: Invalid scope-unknown and
// scope-unknown-designator, with a finding for each designator.
func (s Scope) Positions(m *board.Map) ([]int, error) { return s.positions(m, newNames(m)) }

// Cautions warns of what a board, and the work at some of its positions, can
// do to a person; with the map's own.
func Cautions(m *board.Map, at []int) []Caution {
	p := &plan{m: m, index: make(map[int]int, len(at))}
	for i, x := range at {
		p.index[x] = i
	}
	return p.cautions()
}
