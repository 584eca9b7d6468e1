package board_test

import (
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/quantity"
)

func digestOf(t interface{ Fatal(...any) }, m *board.Map) string {
	b, err := m.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	return board.Digest(b)
}

func TestCarryOntoOwnBaseIsTheProposal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base, proposed := boardtest.Random(t), boardtest.Random(t)
		m, conflicts := board.CarryForward(base, base, proposed)
		if len(conflicts) > 0 || digestOf(t, m) != digestOf(t, proposed) {
			t.Fatalf("carried onto its own base it changed; conflicts %+v", conflicts)
		}
	})
}

func TestCarryBothSides(t *testing.T) {
	base := boardtest.Big(10)
	current, proposed := boardtest.Clone(base), boardtest.Clone(base)
	current.Positions[0].Designator = "C901" // a renamed designator on one side …
	proposed.Positions[0].Notes = "a changed member on the other"
	current.Positions[1].Notes = "current"
	proposed.Positions[2].X += 0.5
	current.Positions = append(current.Positions[:5], current.Positions[6:]...)
	added := boardtest.Clone(base).Positions[3]
	added.Designator, added.X = "C999", 1.5
	proposed.Positions = append(proposed.Positions, added)
	m, conflicts := board.CarryForward(base, current, proposed)
	if len(conflicts) > 0 {
		t.Fatalf("conflicts %+v", conflicts)
	}
	at := map[string]board.Position{}
	for _, p := range m.Positions {
		at[p.Designator] = p
	}
	if len(m.Positions) != 10 || at["C901"].Notes != "a changed member on the other" || at["C999"].X != 1.5 ||
		at[base.Positions[1].Designator].Notes != "current" || at[base.Positions[2].Designator].X != base.Positions[2].X+0.5 {
		t.Errorf("not both sides in %+v", m.Positions)
	}
	other, conflicts := board.CarryForward(base, proposed, current)
	if len(conflicts) > 0 || digestOf(t, other) != digestOf(t, m) {
		t.Errorf("the other order gives another map; conflicts %+v", conflicts)
	}
}

func TestCarryConflicts(t *testing.T) {
	base := boardtest.Big(3)
	current, proposed := boardtest.Clone(base), boardtest.Clone(base)
	current.Positions[0].Part.Value = boardtest.Q("33 µF")
	proposed.Positions[0].Part.Value = boardtest.Q("68 µF")
	current.Positions = current.Positions[:2] // the third removed …
	proposed.Positions[2].Notes = "and changed"
	current.Positions[1].Part.Voltage = boardtest.Q("35 V") // both alike: no conflict
	proposed.Positions[1].Part.Voltage = boardtest.Q("35 V")
	_, conflicts := board.CarryForward(base, current, proposed)
	if len(conflicts) != 2 {
		t.Fatalf("%d conflicts, want 2: %+v", len(conflicts), conflicts)
	}
	c := conflicts[0]
	if c.Designator != base.Positions[0].Designator || c.Member != "part.value" || string(c.Current) != `"33 µF"` || string(c.Proposed) != `"68 µF"` {
		t.Errorf("conflict %+v", c)
	}
	var q quantity.Quantity
	if err := q.UnmarshalText([]byte("33 µF")); err != nil || q != current.Positions[0].Part.Value {
		t.Errorf("the current side was touched: %v", current.Positions[0].Part.Value)
	}
	if c := conflicts[1]; c.Member != "position" || c.Current != nil || c.Proposed == nil {
		t.Errorf("conflict of a removed position %+v", c)
	}
}

func BenchmarkCarryForward2000(b *testing.B) {
	base := boardtest.Big(2000)
	current, proposed := boardtest.Clone(base), boardtest.Clone(base)
	current.Positions[7].Notes, proposed.Positions[9].Notes = "x", "y"
	for b.Loop() {
		if _, conflicts := board.CarryForward(base, current, proposed); len(conflicts) > 0 {
			b.Fatal(conflicts)
		}
	}
}
