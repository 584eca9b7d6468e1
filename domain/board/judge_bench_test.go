package board_test

import (
	"fmt"
	"runtime"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/heldtest"
)

// rewritten changes every position of a map: its place, its words, its part,
// its lead direction.
func rewritten(m *board.Map, round int) *board.Map {
	out := *m
	out.Positions = append([]board.Position(nil), m.Positions...)
	for i := range out.Positions {
		p := &out.Positions[i]
		p.X += 0.3 * float64(round)
		p.Notes = fmt.Sprintf("Fit with the stripe to plus, %d V, round %d.", i, round)
		p.Rotation += 90
	}
	return &out
}

// BenchmarkJudge holds a correction of every position to six revisions of
// which each changed every position.
func BenchmarkJudge(b *testing.B) {
	for _, n := range []int{300, 5000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			var view board.SafetyView
			var before *board.Map
			current := boardtest.Big(n)
			for r := range 6 {
				view.Fold(r+1, before, current)
				before, current = current, rewritten(current, r+1)
			}
			b.ReportAllocs()
			for b.Loop() {
				d := board.Diff(before, current)
				if len(board.Judge(&view, before, current, &d)) == 0 {
					b.Fatal("nothing judged")
				}
			}
		})
	}
}

// BenchmarkJudgeLongHistory holds a correction of every one of 5,000 positions
// to 64 revisions of which each changed every position: the most that a board
// can have told. told is how many statements the view holds; view-MiB is what it
// takes, held-MiB the most that is reachable at a time while judging, beyond it.
// The design allows a request 64 MiB.
func BenchmarkJudgeLongHistory(b *testing.B) {
	var view board.SafetyView
	var before *board.Map
	current := boardtest.Big(5000)
	empty := heldtest.Reachable()
	for r := range 64 {
		view.Fold(r+1, before, current)
		before, current = current, rewritten(current, r+1)
	}
	takes := heldtest.Reachable() - empty
	var d board.Difference
	var found []board.JudgedHazard
	b.ReportAllocs()
	for b.Loop() {
		d = board.Diff(before, current)
		if found = board.Judge(&view, before, current, &d); len(found) == 0 {
			b.Fatal("nothing judged")
		}
	}
	held := heldtest.Held(func() {
		d = board.Diff(before, current)
		found = board.Judge(&view, before, current, &d)
	})
	runtime.KeepAlive(found)
	b.ReportMetric(float64(takes)/(1<<20), "view-MiB")
	b.ReportMetric(float64(held)/(1<<20), "held-MiB")
	b.ReportMetric(float64(len(view.Positions)), "told")
}
