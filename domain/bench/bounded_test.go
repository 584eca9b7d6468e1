package bench_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/kit"
	"boardlore/domain/part"
)

// spread is a board of 5,000 chips strewn over so many mm each way.
func spread(side float64) bench.Request {
	r := rand.New(rand.NewPCG(1, 2))
	m := &board.Map{Board: "b", Name: "n", Frame: board.Frame{Width: side, Height: side}}
	for i := range 5000 {
		m.Positions = append(m.Positions, board.Position{Designator: fmt.Sprint("C", i+1), Side: board.Top,
			X: r.Float64() * side, Y: r.Float64() * side,
			Service: board.Replace, Part: part.Part{Class: part.Capacitor}, Body: &part.Body{Length: 1, Width: 0.5,
				Height: 1}})
	}
	return bench.Request{Map: m, Scope: kit.ParseScope("all"), Tool: bench.StandardTool, ToVolts: 5}
}

// TestPlanIsBounded: 5,000 positions are planned where they are spread, and
// refused before any work, with the way on, where they stand too close.
func TestPlanIsBounded(t *testing.T) {
	if p, err := bench.Make(spread(250)); err != nil || len(p.Stages) != 1 || len(p.Stages[0].Removal) != 5000 {
		t.Errorf("spread over 250 mm: %v", err)
	}
	_, err := bench.Make(spread(80))
	if f, ok := fault.As(err); !ok || f.Code != "plan-too-large" {
		t.Errorf("within 80 mm: %v", err)
	}
}

// BenchmarkPlanAtTheLimit is the dearest plan that is not refused.
func BenchmarkPlanAtTheLimit(b *testing.B) {
	in := spread(185)
	for b.Loop() {
		if _, err := bench.Make(in); err != nil {
			b.Fatal(err)
		}
	}
}
