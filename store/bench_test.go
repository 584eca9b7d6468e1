package store_test

import (
	"fmt"
	"strings"
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

// The checklist of a proposal of 300 positions with 100 kept kits of 40 lines.
func BenchmarkChecklist(b *testing.B) {
	d := newDesk(b)
	m := large("tarn-a", 300)
	for i := range m.Positions {
		m.Positions[i].Part.Value = q([]string{"10 µF", "22 µF", "47 µF", "100 µF", "220 µF"}[i%5])
		m.Positions[i].Part.Voltage = q([]string{"16 V", "25 V", "35 V", "50 V"}[i/5%4])
	}
	d.released(b, 0, m)
	for i := range 100 {
		var lines []string
		for l := range 40 {
			p := m.Positions[l%20].Part
			lines = append(lines,
				fmt.Sprintf(`{"line":%d,"quantity":%d,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":%q,"voltage":%q,"polarised":true}}`,
					l+1, 6+i%3, p.Value, p.Voltage))
		}
		doc := fmt.Sprintf(`{"kit":"set-%d","title":"t","for":["tarn-a"],"lines":[%s]}`, i, strings.Join(lines, ","))
		if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: fmt.Sprintf("set-%d", i),
			Document: []byte(doc)}); err != nil {
			b.Fatal(err)
		}
	}
	m.Positions[0].Part.Value, m.Positions[7].Part.Voltage = q("100 µF"), q("50 V")
	r := d.submit(b, d.ann, 1, m)
	b.ResetTimer()
	for b.Loop() {
		if c, err := d.Checklist(ctx, r.Proposal); err != nil || len(c.Positions) != 2 {
			b.Fatal(c, err)
		}
	}
}
