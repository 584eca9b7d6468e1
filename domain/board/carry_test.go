package board_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/finding"
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
		at[base.Positions[1].Designator].Notes != "current" ||
		at[base.Positions[2].Designator].X != base.Positions[2].X+0.5 {
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
	if c.Designator != base.Positions[0].Designator || c.Member != "part.value" || string(c.Current) != `"33 µF"` ||
		string(c.Proposed) != `"68 µF"` {
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

// What one side renames and the other speaks of goes by its new name.
func TestCarryFollowsRenames(t *testing.T) {
	base := boardtest.Numbered(12)
	renamed, other := boardtest.Clone(base), boardtest.Clone(base)
	was := base.Positions[8].Designator
	renamed.Positions[8].Designator = "C800"
	other.FailurePoints[1].Positions = append(other.FailurePoints[1].Positions, was)
	other.Variants[1].Changes = []board.Change{{Omit: was}}
	other.Checks[0].Between[1] = was + " minus"
	for name, sides := range map[string][2]*board.Map{"renamed first": {renamed, other},
		"renamed last": {other, renamed}} {
		m, conflicts := board.CarryForward(base, sides[0], sides[1])
		if len(conflicts) > 0 {
			t.Fatalf("%s: %+v", name, conflicts)
		}
		if fp := m.FailurePoints[1].Positions; fp[len(fp)-1] != "C800" || m.Variants[1].Changes[0].Omit != "C800" ||
			m.Checks[0].Between[1] != "C800 minus" {
			t.Errorf("%s: %v %v %v", name, fp, m.Variants[1].Changes, m.Checks[0].Between)
		}
		if fs := board.Check(m); finding.Worst(fs) == finding.Stop {
			t.Errorf("%s: %+v", name, fs[0])
		}
	}
}

// Each of these is a conflict, and nothing else is.
func TestCarryConflictsNamed(t *testing.T) {
	base := boardtest.Numbered(12)
	taken := func(m *board.Map) { m.Positions = slices.Delete(m.Positions, 8, 9) }
	for _, c := range []struct {
		name              string
		current, proposed func(*board.Map)
		want              []string // designator, member and pointer
	}{
		{"one member", func(m *board.Map) { m.Positions[8].Part.Value = boardtest.Q("33 µF") },
			func(m *board.Map) { m.Positions[8].Part.Value = boardtest.Q("68 µF") },
			[]string{"C3 part.value /positions/8/part/value"}},
		{"taken out there, changed here", taken, func(m *board.Map) { m.Positions[8].Notes = "Seen." },
			[]string{"C3 position /positions/8"}},
		{"changed there, taken out here", func(m *board.Map) { m.Positions[8].Notes = "Seen." }, taken,
			[]string{"C3 position /positions/8"}},
		{"taken out there, spoken of here", taken,
			func(m *board.Map) { m.FailurePoints[1].Positions = append(m.FailurePoints[1].Positions, "C3") },
			[]string{"C3 failure_points/leak.positions /failure_points/1/positions/2"}},
		{"taken out here, varied there", func(m *board.Map) { m.Variants[1].Changes = []board.Change{{Omit: "C3"}} },
			taken,
			[]string{"C3 variants/us.changes/C3 /variants/1/changes/0"}},
		{"one name for two", func(m *board.Map) { m.Positions[8].Designator = "C50" },
			func(m *board.Map) { m.Positions[4].Designator = "C50" },
			[]string{"C50 designator /positions/4/designator"}},
		{"one name twice new", func(m *board.Map) { m.Positions[8].Designator = "C50" },
			func(m *board.Map) { m.Positions[8].Designator = "C51" },
			[]string{"C3 designator /positions/8/designator"}},
		{"one frame two ways", func(m *board.Map) { boardtest.Reframe(m, false, 1, 20, 0, false) },
			func(m *board.Map) { boardtest.Reframe(m, true, 0, 30, 0, true) },
			[]string{" frame /frame"}},
		{"a failure point", func(m *board.Map) { m.FailurePoints[1].Severity = "major" },
			func(m *board.Map) { m.FailurePoints[1].Severity = "minor" },
			[]string{" failure_points/leak.severity /failure_points/1/severity"}},
		{"a variant", func(m *board.Map) { m.Variants[0].Changes[0].Set = jsontext.Value(`{"x_mm":9}`) },
			func(m *board.Map) { m.Variants[0].Changes[0].Set = jsontext.Value(`{"x_mm":10,"notes":"Other make."}`) },
			[]string{"C1 variants/eu.changes/C1.set.x_mm /variants/0/changes/0/set/x_mm"}},
		{"a caution twice", func(m *board.Map) { m.Cautions[0].When = "after" },
			func(m *board.Map) { m.Cautions[0].When = "while-working" },
			[]string{" cautions/Unplug and let the rails fall before touching the board..when /cautions/0/when"}},
		{"own members", func(m *board.Map) { m.Extra = jsontext.Value(`{"x-a":1,"x-b":{"c":1}}`) },
			func(m *board.Map) { m.Extra = jsontext.Value(`{"x-b":{"c":2,"d":3}}`) },
			[]string{" x-b.c /x-b/c"}},
		{"equipment", func(m *board.Map) { m.Equipment.Years = []int{1987, 1990} },
			func(m *board.Map) { m.Equipment.Years = []int{1987, 1991} },
			[]string{" equipment.years /equipment/years"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			current, proposed := boardtest.Clone(base), boardtest.Clone(base)
			c.current(current)
			c.proposed(proposed)
			_, conflicts := board.CarryForward(base, current, proposed)
			var got []string
			for _, x := range conflicts {
				got = append(got, x.Designator+" "+x.Member+" "+x.Pointer)
				if !strings.HasSuffix(x.Sentence.String(), ".") || strings.ContainsRune(x.Sentence.String(), 0) {
					t.Errorf("%q is no sentence", x.Sentence)
				}
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("conflicts (-want +got):\n%s", diff)
			}
		})
	}
}

// Every member of a position, alone changed on one side, comes through beside
// another one changed on the other side.
func TestCarryEveryMember(t *testing.T) {
	for name, path := range map[string]func(*board.Map) any{
		"position": func(m *board.Map) any { return &m.Positions[0] },
		"part":     func(m *board.Map) any { return &m.Positions[0].Part },
		"body":     func(m *board.Map) any { return m.Positions[0].Body },
		"failure":  func(m *board.Map) any { return &m.FailurePoints[0] },
		"check":    func(m *board.Map) any { return &m.Checks[0] },
		"caution":  func(m *board.Map) any { return &m.Cautions[0] },
		"variant":  func(m *board.Map) any { return &m.Variants[0] },
		"maker":    func(m *board.Map) any { return &m.Equipment },
		"frame":    func(m *board.Map) any { return &m.Frame },
	} {
		base := read(t, document())
		v := reflect.ValueOf(path(base)).Elem()
		for i := range v.NumField() {
			a, b := read(t, document()), read(t, document())
			if !alter(reflect.ValueOf(path(a)).Elem().Field(i)) {
				continue
			}
			b.Name = "Another name"
			m, conflicts := board.CarryForward(base, a, b)
			want := boardtest.Clone(a)
			want.Name = b.Name
			if diff := cmp.Diff(bytesOf(t, want), bytesOf(t, m)); diff != "" || len(conflicts) > 0 {
				t.Errorf("%s.%s: conflicts %v (-want +got):\n%s", name, v.Type().Field(i).Name, conflicts, diff)
			}
			alterOther(t, reflect.ValueOf(path(b)).Elem(), i)
			if _, conflicts = board.CarryForward(base, a, b); len(conflicts) > 1 {
				t.Errorf("%s.%s and another: %+v", name, v.Type().Field(i).Name, conflicts)
			}
		}
	}
}

// alterOther gives the next plain field another value.
func alterOther(t *testing.T, v reflect.Value, i int) {
	t.Helper()
	for k := range v.NumField() {
		if n := (i + 1 + k) % v.NumField(); n != i && alter(v.Field(n)) {
			return
		}
	}
}
