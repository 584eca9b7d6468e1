package board_test

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/finding"
)

// Carrying onto its own base is the identity, carrying nothing gives the
// current map, and what both sides changed alike is no conflict.
func TestCarryForwardIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := boardtest.Random(t)
		other := boardtest.Edit(t, base)
		for name, sides := range map[string][2]*board.Map{"onto its base": {base, other}, "of nothing": {other, base},
			"of the same": {other, other}} {
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
	for name, sides := range map[string][2]*board.Map{"current shifted": {shifted(40), moved},
		"proposal shifted": {moved, shifted(40)}} {
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

// keysApart keeps of each side the steps that touch nothing that the other
// side touches: neither the same thing nor a part of it, nor what is about a
// position that the other takes out.
func keysApart(a, b []boardtest.Step) ([]boardtest.Step, []boardtest.Step) {
	clash := func(x, y string) bool {
		if x == y || strings.HasPrefix(x, y+"/") || strings.HasPrefix(y, x+"/") {
			return true
		}
		for _, pair := range [][2]string{{x, y}, {y, x}} {
			id, is := strings.CutPrefix(pair[0], "positions/")
			if is && !strings.Contains(id, "/") && strings.HasSuffix(strings.TrimSuffix(pair[1], "/set/rail"), "/"+id) {
				return true
			}
			if is && !strings.Contains(id, "/") && (id == "0" || id == "1") && strings.HasPrefix(pair[1],
				"variants/eu/changes") {
				return true
			}
		}
		return false
	}
	var outA, outB []boardtest.Step
	seen := map[string]bool{}
	for _, s := range a {
		if !seen[s.Key] && !slices.ContainsFunc(outA, func(o boardtest.Step) bool { return clash(s.Key, o.Key) }) {
			outA = append(outA, s)
		}
		seen[s.Key] = true
	}
	for _, s := range b {
		if !slices.ContainsFunc(outA, func(o boardtest.Step) bool { return clash(s.Key, o.Key) }) &&
			!slices.ContainsFunc(outB, func(o boardtest.Step) bool { return clash(s.Key, o.Key) }) {
			outB = append(outB, s)
		}
	}
	return outA, outB
}

// sorted puts every list of a map into an order, since the order of entries
// that only one side has is not what this is about.
func sorted(m *board.Map) *board.Map {
	out := boardtest.Clone(m)
	slices.SortFunc(out.Positions, func(a, b board.Position) int {
		return board.CompareDesignators(a.Designator,
			b.Designator)
	})
	slices.Sort(out.Markings)
	slices.SortFunc(out.Cautions, func(a, b board.Caution) int { return strings.Compare(a.Text, b.Text) })
	slices.SortFunc(out.Checks, func(a, b board.Measurement) int { return strings.Compare(a.ID, b.ID) })
	slices.SortFunc(out.Variants, func(a, b board.Variant) int { return strings.Compare(a.Variant, b.Variant) })
	for i := range out.FailurePoints {
		slices.Sort(out.FailurePoints[i].Positions)
	}
	for i := range out.Variants {
		slices.SortFunc(out.Variants[i].Changes, func(a, b board.Change) int {
			return strings.Compare(a.Designator+a.Omit, b.Designator+b.Omit)
		})
	}
	return out
}

// Two proposals that touch different things give the same result whichever is
// released first, and that is what one proposal of both would have been. One
// of them may have changed the frame.
func TestCarryApart(t *testing.T) {
	base := boardtest.Numbered(24)
	rapid.Check(t, func(t *rapid.T) {
		a, b := keysApart(boardtest.Steps(t, base, "a", 5), boardtest.Steps(t, base, "b", 5))
		one, two, both := boardtest.Do(base, a...), boardtest.Do(base, b...),
			boardtest.Do(base, append(slices.Clone(a), b...)...)
		first, conflicts := board.CarryForward(base, one, two)
		second, others := board.CarryForward(base, two, one)
		if len(conflicts)+len(others) > 0 {
			t.Fatalf("steps %v and %v conflict: %+v %+v", keys(a), keys(b), conflicts, others)
		}
		if diff := cmp.Diff(bytesOf(t, first), bytesOf(t, second)); diff != "" {
			t.Fatalf("steps %v and %v: the order matters (-one first +two first):\n%s", keys(a), keys(b), diff)
		}
		if diff := cmp.Diff(bytesOf(t, sorted(both)), bytesOf(t, sorted(first))); diff != "" {
			t.Fatalf("steps %v and %v (-want +got):\n%s", keys(a), keys(b), diff)
		}
		if fs := board.Check(first); len(board.Diff(base, one).Changes) > 0 && finding.Worst(fs) == finding.Stop &&
			finding.Worst(board.Check(both)) != finding.Stop {
			t.Fatalf("unsound: %+v", fs[0])
		}
	})
}

func keys(steps []boardtest.Step) []string {
	var out []string
	for _, s := range steps {
		out = append(out, s.Key)
	}
	return out
}

// facts writes a map as facts, each under a path that does not depend on what
// positions are called or on the order of lists. known are the numbers of
// positions that the map may have no more.
func facts(t interface{ Fatal(...any) }, m *board.Map, known map[string]string) map[string]string {
	named := map[string]string{}
	for i := range m.Positions {
		named[m.Positions[i].Designator] = strconv.Itoa(boardtest.Number(&m.Positions[i]))
	}
	for d, n := range known {
		if named[d] == "" {
			named[d] = n
		}
	}
	id := func(s string) string {
		if n, ok := named[s]; ok {
			return n
		}
		return s
	}
	out := map[string]string{}
	var walk func(path string, v any)
	walk = func(path string, v any) {
		switch v := v.(type) {
		case map[string]any:
			for k, w := range v {
				walk(path+"/"+k, w)
			}
		case []any:
			for i, w := range v {
				key := strconv.Itoa(i)
				switch e := w.(type) {
				case string:
					if !strings.HasSuffix(path, "/between") {
						key = id(e)
						w = true
					}
				case map[string]any:
					for _, k := range []string{"x-id", "variant", "id", "sha256", "text"} {
						if e[k] != nil {
							key = fmt.Sprint(e[k])
							break
						}
					}
					for _, k := range []string{"designator", "omit"} {
						if s, is := e[k].(string); is && strings.HasSuffix(path, "/changes") {
							key = id(s)
							delete(e, k)
							e["act"] = k
						}
					}
				}
				walk(path+"/"+key, w)
			}
		case string:
			if d, rest, ok := strings.Cut(v, " "); ok && named[d] != "" {
				v = id(d) + " " + rest
			}
			out[path] = v
		default:
			out[path] = fmt.Sprint(v)
		}
	}
	var tree map[string]any
	if err := json.Unmarshal([]byte(bytesOf(t, m)), &tree); err != nil {
		t.Fatal(err)
	}
	walk("", tree)
	return out
}

// Nothing that either side changed is missing from both the result and the
// conflicts, whatever the two sides did.
func TestCarryLosesNothing(t *testing.T) {
	base := boardtest.Numbered(12)
	ids := map[string]string{}
	for i := range base.Positions {
		n := strconv.Itoa(i)
		ids[base.Positions[i].Designator], ids["Z"+n+"A"], ids["Z"+n+"B"] = n, n, n
	}
	was := facts(t, base, ids)
	unframed := func(steps []boardtest.Step) []boardtest.Step {
		steps, _ = keysApart(steps, nil)
		return slices.DeleteFunc(steps, func(s boardtest.Step) bool { return s.Key == "frame" })
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := unframed(boardtest.Steps(t, base, "a", 8)), unframed(boardtest.Steps(t, base, "b", 8))
		one, two := boardtest.Do(base, a...), boardtest.Do(base, b...)
		m, conflicts := board.CarryForward(base, one, two)
		got := facts(t, m, ids)
		told := func(path string) bool {
			return slices.ContainsFunc(conflicts, func(c board.Conflict) bool {
				at := "/" + strings.ReplaceAll(c.Member, ".", "/")
				if n, old := ids[c.Designator]; old && strings.HasPrefix(at, "/variants") {
					at = strings.Replace(at, "/changes/"+c.Designator, "/changes/"+n, 1)
				} else if old && c.Member == "position" {
					at = "/positions/" + n
				} else if old && !strings.HasPrefix(at, "/failure_points") {
					at = "/positions/" + n + at
				}
				return path == at || strings.HasPrefix(path, at+"/")
			})
		}
		for name, side := range map[string]map[string]string{"current": facts(t, one, ids), "proposed": facts(t, two,
			ids)} {
			for path := range union(was, side) {
				if was[path] != side[path] && got[path] != side[path] && !told(path) {
					t.Fatalf("steps %v and %v: %s was %q, the %s side has %q, the result %q; conflicts %+v", keys(a),
						keys(b), path, was[path], name, side[path], got[path], conflicts)
				}
			}
		}
	})
}

func union(a, b map[string]string) map[string]bool {
	out := map[string]bool{}
	for k := range a {
		out[k] = true
	}
	for k := range b {
		out[k] = true
	}
	return out
}
