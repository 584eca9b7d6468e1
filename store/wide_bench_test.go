package store_test

import (
	"fmt"
	"testing"

	"boardlore/domain/board"
)

// shifted is a map whose every position stands elsewhere and says another
// round.
func shifted(m *board.Map, round int) *board.Map {
	out := *m
	out.Positions = append([]board.Position(nil), m.Positions...)
	for i := range out.Positions {
		p := &out.Positions[i]
		p.X += 0.1 * float64(round)
		p.Notes = fmt.Sprintf("Seen on board %d of round %d.", i, round)
		turned := *p.Negative + 90
		if round == 4 {
			p.Negative = &turned
		}
	}
	return &out
}

// BenchmarkWideProposal reads a proposal that changes each of 5,000 positions,
// after three revisions that did so too.
func BenchmarkWideProposal(b *testing.B) {
	d := newDesk(b)
	m := large("tarn-a", board.MaxPositions)
	for i := range m.Positions {
		m.Positions[i].X = 3 + float64(i%100)*9.9
		m.Positions[i].Y = 3 + float64(i/100)*19
	}
	d.released(b, 0, m)
	for r := 1; r < 4; r++ {
		d.released(b, r, shifted(m, r))
	}
	r := d.submit(b, d.ann, 4, shifted(m, 4))
	b.ReportAllocs()
	b.ResetTimer()
	for b.Loop() {
		p, err := d.Proposal(ctx, r.Proposal)
		if err != nil || len(p.Judged) < board.MaxPositions || len(p.Claims) == 0 {
			b.Fatal(len(p.Judged), err)
		}
	}
}
