package kit

import "boardlore/domain/board"

// Positions picks the positions in scope: indexes into the map's, in natural
// order of designators. Refusals: Invalid scope-unknown and
// scope-unknown-designator, with a finding for each designator.
func (s Scope) Positions(m *board.Map) ([]int, error) { return s.positions(m, newNames(m)) }
