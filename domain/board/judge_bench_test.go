package board_test

import (
	"fmt"
	"runtime"
	"runtime/metrics"
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

// BenchmarkJudgeLongHistory holds a correction of every one of 5,000 positions
// to 64 revisions of which each changed every position: the most that a board
// can have told. told is how many statements the view holds, peak-MB the most
// memory in use while judging beyond what the view takes.
func BenchmarkJudgeLongHistory(b *testing.B) {
	var view board.SafetyView
	var before *board.Map
	current := boardtest.Big(5000)
	for r := range 64 {
		view.Fold(r+1, before, current)
		before, current = current, rewritten(current, r+1)
	}
	b.ReportAllocs()
	var peak uint64
	for b.Loop() {
		peak = max(peak, peakOf(func() {
			d := board.Diff(before, current)
			if len(board.Judge(&view, before, current, &d)) == 0 {
				b.Fatal("nothing judged")
			}
		}))
	}
	b.ReportMetric(float64(peak)/(1<<20), "peak-MB")
	b.ReportMetric(float64(len(view.Positions)), "told")
}

// peakOf is the most memory in use at a time by what is done, bytes beyond what
// was in use before.
func peakOf(do func()) uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	began, peak := m.HeapAlloc, m.HeapAlloc
	done, stopped := make(chan bool), make(chan bool)
	go func() {
		defer close(stopped)
		sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		for {
			select {
			case <-done:
				return
			default:
				metrics.Read(sample)
				peak = max(peak, sample[0].Value.Uint64())
				runtime.Gosched()
			}
		}
	}()
	do()
	close(done)
	<-stopped
	return peak - began
}
