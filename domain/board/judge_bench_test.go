package board_test

import (
	"fmt"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
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
