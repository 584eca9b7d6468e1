package placement_test

import (
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/placement"
)

// A list for a known board is merged into its map: by hand, a board of twelve
// parts whose list has another origin, one part elsewhere, one new, one left
// out and one on the other side.
func TestMerge(t *testing.T) {
	have := boardtest.Big(12)
	listed := *have
	listed.Positions = nil
	for i, p := range have.Positions {
		p.X, p.Y, p.Notes, p.Replacement = p.X+10, p.Y-5, "", nil
		switch i {
		case 2:
			p.X += 3
		case 4:
			continue
		case 6:
			if p.Side == board.Top {
				p.Side = board.Bottom
			} else {
				p.Side = board.Top
			}
		}
		listed.Positions = append(listed.Positions, p)
	}
	fresh := listed.Positions[0]
	fresh.Designator = "Z9"
	listed.Positions = append(listed.Positions, fresh)

	out, m := placement.Merge(have, &listed)
	name := func(i int) string { return have.Positions[i].Designator }
	if m.Shift != [2]float64{10, -5} {
		t.Errorf("shift %v", m.Shift)
	}
	if len(m.Moved) != 1 || m.Moved[0].Designator != name(2) || m.Moved[0].Distance != 3 {
		t.Errorf("moved %+v", m.Moved)
	}
	if len(m.Added) != 1 || m.Added[0] != "Z9" || len(m.Missing) != 1 || m.Missing[0] != name(4) {
		t.Errorf("added %v, missing %v", m.Added, m.Missing)
	}
	if len(m.Differs) != 1 || m.Differs[0].Designator != name(6) || m.Differs[0].Member != "side" {
		t.Errorf("differs %+v", m.Differs)
	}
	if len(out.Positions) != 13 || len(have.Positions) != 12 || out.Positions[0].Notes != have.Positions[0].Notes {
		t.Error("the map was replaced")
	}
	if d := board.Diff(have, out); len(d.Changes) != 2 {
		t.Errorf("%d changes: %+v", len(d.Changes), d.Changes)
	}
}
