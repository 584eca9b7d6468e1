package bench_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/kit"
	"boardlore/domain/part"
)

// freeAngle is the definition, written the plain way: the widest gap between
// the blocked intervals, unrolled and sorted. It shares nothing with the
// package but the definition.
func freeAngle(at board.Position, present []board.Position, t bench.Tool) float64 {
	type interval struct{ from, to float64 }
	var is []interval
	for _, o := range present {
		d := math.Hypot(o.X-at.X, o.Y-at.Y)
		if o.Designator == at.Designator || o.Side != at.Side || o.Body == nil || d > t.Reach || o.Body.Height != 0 &&
			o.Body.Height <= t.Clearance {
			continue
		}
		r := o.Body.Diameter / 2
		if o.Body.Shape == "box" {
			r = math.Sqrt(o.Body.Length*o.Body.Length+o.Body.Width*o.Body.Width) / 2
		}
		if d == 0 {
			return 0
		}
		half := math.Asin(math.Min(1, (r+t.HalfWidth)/d)) * 180 / math.Pi
		mid := math.Mod(math.Atan2(o.Y-at.Y, o.X-at.X)*180/math.Pi+360, 360)
		for _, whole := range []float64{-360, 0, 360, 720} {
			is = append(is, interval{mid - half + whole, mid + half + whole})
		}
	}
	if is == nil {
		return 360
	}
	slices.SortFunc(is, func(a, b interval) int {
		if a.from < b.from {
			return -1
		}
		return 1
	})
	widest, end := 0.0, is[0].to
	for _, i := range is[1:] {
		if end >= 0 && end < 360 { // further out, copies are missing
			widest = max(widest, i.from-end)
		}
		end = max(end, i.to)
	}
	return widest
}

func cluster(t *rapid.T, n int) []board.Position {
	ps := make([]board.Position, n)
	for i := range ps {
		p := board.Position{Designator: fmt.Sprintf("C%d", i+1), Side: rapid.SampledFrom([]board.Side{"top", "top",
			"bottom"}).Draw(t, "side"), Service: "replace",
			X: float64(rapid.IntRange(0, 24).Draw(t, "x")), Y: float64(rapid.IntRange(0, 24).Draw(t, "y")),
			Part: part.Part{Class: part.Capacitor}}
		switch rapid.IntRange(0, 3).Draw(t, "body") {
		case 0:
			p.Body = &part.Body{Shape: "box", Length: float64(rapid.IntRange(1, 12).Draw(t, "l")),
				Width: float64(rapid.IntRange(1, 6).Draw(t, "w")), Height: 4}
		case 1, 2:
			p.Body = &part.Body{Shape: "can", Diameter: float64(rapid.IntRange(2, 10).Draw(t, "d")),
				Height: float64(rapid.IntRange(0, 12).Draw(t, "h"))}
		}
		ps[i] = p
	}
	return ps
}

func drawTool(t *rapid.T) bench.Tool {
	return bench.Tool{HalfWidth: float64(rapid.IntRange(0, 4).Draw(t, "half")) / 2,
		Reach:     float64(rapid.IntRange(0, 30).Draw(t, "reach")),
		Clearance: float64(rapid.IntRange(0, 6).Draw(t, "clear"))}
}

func plan(t rapid.TB, ps []board.Position, tool bench.Tool, scope kit.Scope) *bench.Plan {
	t.Helper()
	p, err := bench.Make(bench.Request{Map: &board.Map{Board: "b", Positions: ps}, Scope: scope, Tool: tool,
		ToVolts: 5})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestOrderIsBest: on small clusters no order of fitting has a larger smallest
// free angle, by trying them all.
func TestOrderIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps, tool := cluster(t, rapid.IntRange(1, 6).Draw(t, "n")), drawTool(t)
		for i := range ps {
			ps[i].Side = "top"
		}
		got := plan(t, ps, tool, kit.Scope{Name: "all"}).Stages[0].Smallest
		best := -1.0
		var try func(done int, smallest float64)
		try = func(done int, smallest float64) {
			if done == len(ps) {
				best = max(best, smallest)
				return
			}
			for i := done; i < len(ps); i++ {
				ps[done], ps[i] = ps[i], ps[done]
				try(done+1, min(smallest, freeAngle(ps[done], ps[:done], tool)))
				ps[done], ps[i] = ps[i], ps[done]
			}
		}
		try(0, 360)
		if math.Abs(got-best) > 1e-6 {
			t.Fatalf("smallest angle %v, and some order has %v", got, best)
		}
	})
}

// TestAngles: every angle of a plan is the free angle at its moment, fitting
// is removal turned round, and each removal takes the widest, ties by natural
// order.
func TestAngles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps, tool := cluster(t, rapid.IntRange(1, 14).Draw(t, "n")), drawTool(t)
		scope := kit.Scope{Name: "all"}
		if rapid.Bool().Draw(t, "some") {
			scope = kit.Scope{Designators: []string{"C1"}}
		}
		at := map[string]board.Position{}
		for _, p := range ps {
			at[p.Designator] = p
		}
		present := slices.Clone(ps)
		for _, s := range plan(t, ps, tool, scope).Stages {
			smallest := 360.0
			for k, r := range s.Removal {
				want := freeAngle(at[r.Designator], present, tool)
				if math.Abs(want-r.Angle) > 1e-6 {
					t.Fatalf("%s has %v free, want %v", r.Designator, r.Angle, want)
				}
				for _, later := range s.Removal[k+1:] {
					other := freeAngle(at[later.Designator], present, tool)
					if other > r.Angle+1e-6 || math.Abs(other-r.Angle) < 1e-12 &&
						board.CompareDesignators(later.Designator, r.Designator) < 0 {
						t.Fatalf("%s (%v) leaves before %s (%v)", r.Designator, r.Angle, later.Designator, other)
					}
				}
				f := s.Fitting[len(s.Fitting)-1-k]
				if f.Designator != r.Designator || f.Angle != r.Angle {
					t.Fatalf("fitted as %v, removed as %v", f, r)
				}
				smallest = min(smallest, r.Angle)
				present = slices.DeleteFunc(present,
					func(p board.Position) bool { return p.Designator == r.Designator })
			}
			if s.Smallest != smallest || s.Side != nil && *s.Side != at[s.Removal[0].Designator].Side {
				t.Fatalf("%v: smallest %v, want %v", s.Side, s.Smallest, smallest)
			}
		}
	})
}

// TestAngleByHand: figures worked out on paper.
func TestAngleByHand(t *testing.T) {
	can := func(d string, side board.Side, x, y, diameter, height float64) board.Position {
		return board.Position{Designator: d, Side: side, X: x, Y: y, Service: "replace",
			Part: part.Part{Class: part.Capacitor},
			Body: &part.Body{Shape: "can", Diameter: diameter, Height: height}}
	}
	body := func(p board.Position, b part.Body) board.Position { p.Body = &b; return p }
	a := can("C1", "top", 50, 50, 5, 10)
	for _, c := range []struct {
		name   string
		others []board.Position
		tool   bench.Tool
		want   float64
	}{
		{"alone", nil, bench.StandardTool, 360},
		{"sin 30° = (4+1)/10: 2 × 30° taken", []board.Position{can("C9", "top", 60, 50, 8, 10)}, bench.StandardTool,
			300},
		{"at the reach still counts", []board.Position{can("C9", "top", 65, 50, 13, 10)}, bench.StandardTool, 300},
		{"beyond the reach", []board.Position{can("C9", "top", 65.01, 50, 13, 10)}, bench.StandardTool, 360},
		{"the other side", []board.Position{can("C9", "bottom", 60, 50, 8, 10)}, bench.StandardTool, 360},
		{"as low as the clearance", []board.Position{can("C9", "top", 60, 50, 8, 3)}, bench.Tool{HalfWidth: 1,
			Reach: 15, Clearance: 3}, 360},
		{"height unknown counts", []board.Position{can("C9", "top", 60, 50, 8, 0)}, bench.Tool{HalfWidth: 1, Reach: 15,
			Clearance: 3}, 300},
		{"overhanging: a half circle", []board.Position{can("C9", "top", 52, 50, 20, 10)}, bench.StandardTool, 180},
		{"in one place", []board.Position{can("C9", "top", 50, 50, 5, 10)}, bench.StandardTool, 0},
		{"no size is no obstacle", []board.Position{body(can("C9", "top", 60, 50, 0, 0), part.Body{Mount: "surface"})},
			bench.StandardTool, 360},
		{"axial by length and diameter: 6 × 8 has 10 across", []board.Position{body(can("C9", "top", 62, 50, 0, 0),
			part.Body{Shape: "axial", Length: 8, Diameter: 6})}, bench.StandardTool, 300},
		{"box by its diagonal", []board.Position{body(can("C9", "top", 62, 50, 0, 0), part.Body{Shape: "box", Length: 8,
			Width: 6, Height: 5})}, bench.StandardTool, 300},
		{"a standing disc by its diameter", []board.Position{body(can("C9", "top", 60, 50, 0, 0),
			part.Body{Shape: "disc", Diameter: 8, Width: 3})}, bench.StandardTool, 300},
		{"two, opposite: two gaps of 120°", []board.Position{can("C8", "top", 40, 50, 8, 10), can("C9", "top", 60, 50,
			8, 10)}, bench.StandardTool, 120},
		{"three to the right and above: 360 − 90 − 60", []board.Position{can("C8", "top", 60, 50, 8, 10),
			can("C9", "top", 50, 60, 8, 10)}, bench.StandardTool, 210},
	} {
		p := plan(t, append([]board.Position{a}, c.others...), c.tool, kit.Scope{Designators: []string{"C1"}})
		if got := p.Stages[0].Removal[0].Angle; math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v free, want %v", c.name, got, c.want)
		}
	}
}

// TestCentreFirst: of a dense cluster the middle is fitted before its ring
// (common practice: from the centre outwards).
func TestCentreFirst(t *testing.T) {
	var ps []board.Position
	for i, at := range [][2]float64{{10, 10}, {4, 10}, {16, 10}, {10, 4}, {10, 16}, {4, 4}, {16, 16}, {4, 16},
		{16, 4}} {
		ps = append(ps, board.Position{Designator: fmt.Sprintf("C%d", i+1), Side: "top", X: at[0], Y: at[1],
			Service: "replace",
			Part:    part.Part{Class: part.Capacitor}, Body: &part.Body{Shape: "can", Diameter: 5, Height: 8}})
	}
	fitting := plan(t, ps, bench.StandardTool, kit.Scope{}).Stages[0].Fitting
	at := slices.IndexFunc(fitting, func(f bench.Fitting) bool { return f.Designator == "C1" })
	if at > 4 || fitting[at].Angle == 0 {
		t.Errorf("the middle is fitted as number %d with %v free: %v", at+1, fitting[at].Angle, fitting)
	}
}

// TestStages: cells and what bars power-up leave first, both sides together,
// and come back last.
func TestStages(t *testing.T) {
	yes := true
	m := &board.Map{Board: "b", FailurePoints: []board.FailurePoint{{ID: "x", Title: "X burns", BarsPowerUp: &yes,
		Positions: []string{"C2", "R9"}},
		{ID: "y", Title: "Y dries", Positions: []string{"C1"}}}}
	for _, p := range []board.Position{{Designator: "C1", Side: "bottom"}, {Designator: "C2", Side: "bottom"},
		{Designator: "C3", Side: "top"},
		{Designator: "BT1", Side: "top", Part: part.Part{Class: part.Cell}}, {Designator: "R9", Side: "top",
			Part: part.Part{Class: part.Resistor}}} {
		if p.Part.Class == "" {
			p.Part.Class = "capacitor"
		}
		if p.Designator != "R9" {
			p.Service = "replace"
		}
		m.Positions = append(m.Positions, p)
	}
	p, err := bench.Make(bench.Request{Map: m, Tool: bench.StandardTool, ToVolts: 5})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, s := range p.Stages {
		side := "both"
		if s.Side != nil {
			side = string(*s.Side)
		}
		for _, r := range s.Removal {
			side += " " + r.Designator
		}
		got = append(got, side)
	}
	if want := []string{"both BT1 C2", "top C3", "bottom C1"}; !slices.Equal(got, want) {
		t.Errorf("stages %q, want %q", got, want)
	}
}

// TestTooDense: what can't be weighed in time is refused before it is begun.
func TestTooDense(t *testing.T) {
	m := boardtest.Big(5000)
	if _, err := bench.Make(bench.Request{Map: m, Scope: kit.Scope{Name: "all"}, Tool: bench.Tool{HalfWidth: 1,
		Reach: 1000}, ToVolts: 5}); err == nil {
		t.Error("25 million pairs were weighed")
	}
}

func BenchmarkPlan(b *testing.B) {
	for _, c := range []struct {
		name  string
		m     *board.Map
		reach float64
	}{{"300", boardtest.Big(300), 15}, {"300-reach-1000", boardtest.Big(300), 1000}, {"5000", boardtest.Big(5000), 15}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := bench.Make(bench.Request{Map: c.m, Scope: kit.Scope{Name: "all"},
					Tool: bench.Tool{HalfWidth: 1, Reach: c.reach}, ToVolts: 5}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
