package board_test

import (
	"fmt"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/part/parttest"
)

func withPart(p part.Part) *board.Map {
	return &board.Map{Board: "b", Name: "n", Frame: board.Frame{Width: 100, Height: 100, Basis: "measured"},
		Positions: []board.Position{{Designator: "P1", Side: board.Top, X: 10, Y: 10, Part: p}}}
}

// TestEveryMemberIsSeen: a change of any member of a part is told, carried
// forward, in conflict with another change of it, and done by a variant.
func TestEveryMemberIsSeen(t *testing.T) {
	for i := range part.Members {
		m := &part.Members[i]
		a, b, _, to := parttest.Pair(m)
		from, changed := withPart(a), withPart(b)
		d := board.Diff(from, changed)
		if len(d.Changes) != 1 || d.Changes[0].Kind != board.PartChanged ||
			!strings.Contains(strings.ReplaceAll(d.Changes[0].Sentence.String(), "-", " "),
				strings.ReplaceAll(m.Printed(&b), "-", " ")) {
			t.Errorf("%s: %+v", m.Name, d.Changes)
		}
		carriedOver(t, m, from, changed)
		from.Variants = []board.Variant{{Variant: "v", Title: "V", IdentifiedBy: "It.", Changes: []board.Change{
			{Designator: "P1", Set: []byte(fmt.Sprintf(`{"part":{%q:%s}}`, m.Name, to))}}}}
		if v, err := from.Effective("v"); err != nil || !v.Positions[0].Part.Same(&b) {
			t.Errorf("%s: a variant does not change it: %v", m.Name, err)
		}
	}
}

func carriedOver(t *testing.T, m *part.Member, base, changed *board.Map) {
	t.Helper()
	renamed := *base
	renamed.Name = "other"
	out, conflicts := board.CarryForward(base, &renamed, changed)
	if len(conflicts) > 0 || !out.Positions[0].Part.Same(&changed.Positions[0].Part) {
		t.Errorf("%s is not carried forward: %+v", m.Name, conflicts)
	}
	without := withPart(part.Part{Class: changed.Positions[0].Part.Class})
	if m.Name == "class" {
		without = withPart(part.Part{Class: part.Fuse})
	}
	if _, conflicts = board.CarryForward(base, without, changed); len(conflicts) != 1 || conflicts[0].Member != "part."+
		m.Name {
		t.Errorf("%s: %+v is no conflict of its own", m.Name, conflicts)
	}
}
