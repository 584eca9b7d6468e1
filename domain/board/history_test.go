package board

import (
	"fmt"
	"slices"
	"testing"
)

// A history that is too long to be judged is told as a hazard, never passed over.
func TestForgottenHistory(t *testing.T) {
	of := func(r int) *Map {
		m := &Map{Board: "fen-a", Frame: Frame{Width: 100, Height: 100}}
		for i := range 4 {
			m.Positions = append(m.Positions, Position{Designator: fmt.Sprintf("C%d", i+1), Side: Top,
				X: 10 * float64(i+1), Y: 10, Notes: fmt.Sprintf("Seen %d times.", r)})
		}
		return m
	}
	var v SafetyView
	var before *Map
	for r := range 6 {
		m := of(r)
		v.Fold(r+1, before, m)
		before = m
	}
	if len(v.Positions) != 24 || v.Forgotten != 0 {
		t.Fatalf("%d statements, forgotten %d", len(v.Positions), v.Forgotten)
	}
	v.forget(10)
	if v.Forgotten != 3 || len(v.Positions) != 12 { // the newest four, and those of revisions 4 and 5 alone
		t.Fatalf("%d statements, forgotten %d", len(v.Positions), v.Forgotten)
	}
	if slices.ContainsFunc(v.Positions, func(p ToldPosition) bool { return p.Last <= 3 }) {
		t.Error("what is forgotten is still there")
	}
	after := of(7)
	d := Diff(before, after)
	forgets := func(h JudgedHazard) bool { return h.Why.Key == "hazard.history-too-long" }
	if !slices.ContainsFunc(Judge(&v, before, after, &d), forgets) {
		t.Error("a correction is not told that older revisions are not held against it")
	}
	same := Diff(before, before)
	if slices.ContainsFunc(Judge(&v, before, before, &same), forgets) {
		t.Error("told where nothing changes")
	}
}
