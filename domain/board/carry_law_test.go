package board_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
)

// Carrying onto its own base is the identity, carrying nothing gives the
// current map, and what both sides changed alike is no conflict.
func TestCarryForwardIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := boardtest.Random(t)
		other := boardtest.Edit(t, base)
		for name, sides := range map[string][2]*board.Map{"onto its base": {base, other}, "of nothing": {other, base}, "of the same": {other, other}} {
			m, conflicts := board.CarryForward(base, sides[0], sides[1])
			if len(conflicts) > 0 {
				t.Fatalf("%s: %+v", name, conflicts)
			}
			if diff := cmp.Diff(bytesOf(t, other), bytesOf(t, m)); diff != "" {
				t.Fatalf("%s (-want +got):\n%s", name, diff)
			}
		}
	})
}

// A designator renamed on one side and a value changed on the other both
// survive, in either order.
func TestCarryForwardRenameAndValue(t *testing.T) {
	base := boardtest.Big(40)
	renamed, changed := boardtest.Clone(base), boardtest.Clone(base)
	renamed.Positions[4].Designator = "C99"
	changed.Positions[4].Part.Voltage = boardtest.Q("25 V")
	one, c1 := board.CarryForward(base, renamed, changed)
	two, c2 := board.CarryForward(base, changed, renamed)
	if len(c1)+len(c2) > 0 {
		t.Fatalf("conflicts: %v %v", c1, c2)
	}
	if diff := cmp.Diff(bytesOf(t, one), bytesOf(t, two)); diff != "" {
		t.Errorf("the order matters (-renamed first +changed first):\n%s", diff)
	}
	if p := one.Positions[4]; p.Designator != "C99" || p.Part.Voltage != boardtest.Q("25 V") {
		t.Errorf("got %s at %s, want C99 at 25 V", p.Designator, p.Part.Voltage)
	}
}

// A frame shifted on one side takes the other side's places along.
func TestCarryForwardIntoShiftedFrame(t *testing.T) {
	base := boardtest.Big(40)
	moved := boardtest.Clone(base)
	moved.Positions[4].X += 3
	for name, sides := range map[string][2]*board.Map{"current shifted": {shifted(40), moved}, "proposal shifted": {moved, shifted(40)}} {
		m, conflicts := board.CarryForward(base, sides[0], sides[1])
		if len(conflicts) > 0 {
			t.Fatalf("%s: conflicts %+v", name, conflicts)
		}
		want := shifted(40)
		want.Positions[4].X += 3
		if diff := cmp.Diff(bytesOf(t, want), bytesOf(t, m)); diff != "" {
			t.Errorf("%s (-want +got):\n%s", name, diff)
		}
	}
}

func BenchmarkCarryForward(b *testing.B) {
	base, current := boardtest.Big(2000), boardtest.Scatter(2000)
	proposed := boardtest.Big(2000)
	for i := 5; i < 2000; i += 100 {
		proposed.Positions[i].Notes = "Seen."
	}
	for b.Loop() {
		board.CarryForward(base, current, proposed)
	}
}
