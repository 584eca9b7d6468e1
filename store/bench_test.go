package store_test

import (
	"fmt"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/review"
	"boardlore/store"
)

// large is a map of n positions.
func large(id string, n int) *board.Map {
	m := newMap(id)
	one := m.Positions[0]
	m.Positions = nil
	m.Frame.Width, m.Frame.Height = 1000, 1000
	for i := range n {
		p := one
		p.Designator, p.X, p.Y = fmt.Sprintf("C%d", i+1), 5+float64(i%45)*22, 5+float64(i/45)*20
		m.Positions = append(m.Positions, p)
	}
	return m
}

// The current map of 300 positions, as a GET asks for it: which revision is
// current is asked of the database, the map comes out of the cache.
func BenchmarkCurrentRevision(b *testing.B) {
	d := newDesk(b)
	d.released(b, 0, large("tarn-a", 300))
	b.ReportAllocs()
	b.SetParallelism(16)
	b.ResetTimer() // the database started within it
	b.RunParallel(func(pb *testing.PB) {
		for pb.Next() {
			if _, err := d.Revision(ctx, "tarn-a", 0, ""); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// A revision of 300 positions that is not in the cache.
func BenchmarkLoadRevision(b *testing.B) {
	d := newDesk(b)
	d.released(b, 0, large("tarn-a", 300))
	s, err := store.Open(ctx, d.dsn, store.Options{CacheBytes: 1})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for b.Loop() {
		if _, err := s.Revision(ctx, "tarn-a", 1, ""); err != nil {
			b.Fatal(err)
		}
	}
}

// A proposal of 300 positions, its endorsement and its release.
func BenchmarkRelease(b *testing.B) {
	d := newDesk(b)
	m := large("tarn-a", 300)
	d.released(b, 0, m)
	n := 1
	for b.Loop() {
		m.Positions[0].Notes = fmt.Sprintf("seen %d times", n)
		r := d.submit(b, d.ann, n, m)
		d.endorse(b, d.rob, r.Proposal)
		out, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
		if err != nil {
			b.Fatal(err)
		}
		n = out.Revision
	}
}

// The whole of a proposal of 300 positions, with its differences.
func BenchmarkProposal(b *testing.B) {
	d := newDesk(b)
	m := large("tarn-a", 300)
	d.released(b, 0, m)
	m.Positions[0].Notes = "seen"
	r := d.submit(b, d.ann, 1, m)
	if _, err := d.Review(ctx, d.rob, store.Verdict{Proposal: r.Proposal, Verdict: review.Endorse}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := d.Proposal(ctx, r.Proposal); err != nil {
			b.Fatal(err)
		}
	}
}
