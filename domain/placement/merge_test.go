package placement_test

import (
	"slices"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/part"
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

// TestMergePhotographs: marks that lie within what marking is unsure of move
// nothing, a turned part is told and not taken, what the map lacks is filled in,
// and nothing of the map is lost.
func TestMergePhotographs(t *testing.T) {
	at := func(d string, x float64, negative *float64) board.Position {
		return board.Position{Designator: d, Side: board.Top, X: x, Y: 10, Negative: negative, Part: part.Part{Class: part.Capacitor}}
	}
	deg := func(a float64) *float64 { return &a }
	points := func(u float64) []board.PhotographPoint { return []board.PhotographPoint{{Pixel: [2]float64{u, 0}}} }
	into := &board.Map{Board: "b", Positions: []board.Position{at("C1", 10, deg(90)), at("C2", 20, deg(350)), at("C3", 30, nil),
		at("C4", 40, deg(0)), at("C5", 50, deg(0))}, Photographs: []board.Photograph{{SHA256: "a", Side: board.Top, Points: points(1)}}}
	r := &placement.PhotographResult{Map: &board.Map{Board: "b", Positions: []board.Position{at("C1", 10.5, deg(95)), at("C2", 20, deg(5)),
		at("C3", 30, deg(180)), at("C4", 41, deg(180)), at("C9", 90, deg(0))},
		Photographs: []board.Photograph{{SHA256: "a", Side: board.Top, Points: points(2)}, {SHA256: "b", Side: board.Bottom}}},
		Marks: []placement.MarkFit{{Designator: "C1", Uncertainty: 0.2}, {Designator: "C4", Uncertainty: 0.2}}}
	out, m := placement.MergePhotographs(into, r)
	if len(m.Moved) != 1 || m.Moved[0].Designator != "C4" || out.Positions[0].X != 10 || out.Positions[3].X != 41 {
		t.Errorf("moved %+v", m.Moved)
	}
	if len(m.Differs) != 1 || m.Differs[0] != (placement.Differs{Designator: "C4", Member: "negative_deg", Map: "0", List: "180"}) ||
		*out.Positions[3].Negative != 0 {
		t.Errorf("differs %+v", m.Differs)
	}
	if !slices.Equal(m.Filled, []string{"C3"}) || *out.Positions[2].Negative != 180 || !slices.Equal(m.Added, []string{"C9"}) ||
		!slices.Equal(m.Missing, []string{"C5"}) || len(out.Positions) != 6 {
		t.Errorf("%+v", m)
	}
	if len(out.Photographs) != 2 || out.Photographs[0].Points[0].Pixel[0] != 2 || into.Photographs[0].Points[0].Pixel[0] != 1 {
		t.Errorf("photographs %+v", out.Photographs)
	}
}
