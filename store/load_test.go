package store_test

import (
	"fmt"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/store"
)

// exportAll reads a whole export.
func exportAll(t testing.TB, s *store.Store, f store.ExportFilter) (out []store.Exported) {
	t.Helper()
	for x, err := range s.Export(ctx, f) {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, x)
	}
	return out
}

// load brings entries into a registry.
func load(t testing.TB, s *store.Store, entries []store.Exported) (store.Loaded, error) {
	t.Helper()
	l, err := s.NewLoader(ctx, "https://maps.example.org")
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range entries {
		if err := l.Add(ctx, x); err != nil {
			return l.Count(), err
		}
	}
	err = l.Flush(ctx)
	return l.Count(), err
}

// A registry that was exported and loaded has the same revisions under the same
// digests, the same withdrawn, and the same history of a position.
func TestExportAndLoad(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 0, newMap("tarn-b"))
	d.released(t, 1, newMap("tarn-a", note("C2", "Glued.")))
	d.released(t, 2, newMap("tarn-a", note("C2", "Glued with resin.")))
	if _, err := d.WithdrawRevision(ctx, d.stew, "tarn-a", 3, store.Withdrawal{Kind: "mistaken",
		Reason: "No resin there."}, store.Once{}); err != nil {
		t.Fatal(err)
	}
	all := exportAll(t, d.Store, store.ExportFilter{After: -1})
	if len(all) != 5 || all[4].Act != "withdrawal" || all[3].Map != nil || all[2].Map == nil {
		t.Fatalf("%d entries: %+v", len(all), all)
	}
	if rest := exportAll(t, d.Store, store.ExportFilter{After: all[2].Index}); len(rest) != 2 || rest[0].Index != 3 {
		t.Errorf("after the third: %+v", rest)
	}
	if only := exportAll(t, d.Store, store.ExportFilter{After: -1, Boards: []string{"tarn-b"}}); len(only) != 1 ||
		only[0].Board != "tarn-b" {
		t.Errorf("of one board: %+v", only)
	}
	other := anotherDesk(t)
	n, err := load(t, other.Store, all)
	if err != nil || n != (store.Loaded{Released: 3}) {
		t.Fatalf("%+v, %v", n, err)
	}
	for _, of := range []struct {
		board string
		n     int
	}{{"tarn-a", 0}, {"tarn-a", 1}, {"tarn-a", 2}, {"tarn-b", 0}} {
		a, err := d.Revision(ctx, of.board, of.n, "")
		if err != nil {
			t.Fatal(err)
		}
		b, err := other.Revision(ctx, of.board, of.n, "")
		if err != nil || a.Digest != b.Digest || a.Number != b.Number || !a.ReleasedAt.Equal(b.ReleasedAt) {
			t.Errorf("%+v: %v, %+v, %v", of, a.Digest, b, err)
		}
	}
	h, err := other.PositionHistory(ctx, "tarn-a", "C2")
	if err != nil || len(h) != 2 || h[1].Revision != 2 {
		t.Errorf("%+v, %v", h, err)
	}
	if got := found(t, other.Store, store.BoardFilter{Query: "tarn"}); strings.Join(got, " ") != "tarn-a tarn-b" {
		t.Errorf("found %v", got)
	}
	if n, err := load(t, other.Store, all); err != nil || n != (store.Loaded{Had: 3}) {
		t.Errorf("again: %+v, %v", n, err)
	}
	if n, err := other.LogSize(ctx); err != nil || n != 3 {
		t.Errorf("a log of %d, %v", n, err)
	}
}

// A withdrawal that comes after its revision was loaded takes it out of use here too.
func TestLoadWithdrawsLater(t *testing.T) {
	d, other := anotherDesk(t), anotherDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 1, newMap("tarn-a", note("C2", "Glued.")))
	first := exportAll(t, d.Store, store.ExportFilter{After: -1})
	if _, err := load(t, other.Store, first); err != nil {
		t.Fatal(err)
	}
	if _, err := d.WithdrawRevision(ctx, d.stew, "tarn-a", 2, store.Withdrawal{Kind: "dangerous", Reason: "Reversed."},
		store.Once{}); err != nil {
		t.Fatal(err)
	}
	n, err := load(t, other.Store, exportAll(t, d.Store, store.ExportFilter{After: 1}))
	if err != nil || n.Withdrawn != 1 {
		t.Fatalf("%+v, %v", n, err)
	}
	r, err := other.Revision(ctx, "tarn-a", 0, "")
	if err != nil || r.Number != 1 {
		t.Errorf("%+v, %v", r, err)
	}
	_, err = other.Revision(ctx, "tarn-a", 2, "")
	if !fault.Is(err, fault.Gone) {
		t.Errorf("%v", err)
	}
}

// Several batches, of boards that take turns, with withdrawals between and with
// what is here already, come to what the other registry has.
func TestLoadOfSeveralBatches(t *testing.T) {
	d, other := newDesk(t), anotherDesk(t)
	const revisions, withdrawn = 90, 41
	boards := []string{"tarn-a", "tarn-b", "tarn-c"}
	for n := range revisions {
		for _, id := range boards {
			base := n
			if id == "tarn-b" && n == withdrawn {
				base--
			}
			d.released(t, base, newMap(id, note("C2", fmt.Sprintf("Seen on %d units.", n))))
		}
		if n == withdrawn-1 {
			_, err := d.WithdrawRevision(ctx, d.stew, "tarn-b", withdrawn, store.Withdrawal{Kind: "mistaken",
				Reason: "Counted twice."}, store.Once{})
			if err != nil {
				t.Fatal(err)
			}
		}
	}
	all := exportAll(t, d.Store, store.ExportFilter{After: -1})
	if n, err := load(t, other.Store, all[:30]); err != nil || n.Released != 30 {
		t.Fatalf("%+v, %v", n, err)
	}
	want := store.Loaded{Released: len(boards)*revisions - 30 - 1, Had: 30} // a withdrawn map is not exported
	if n, err := load(t, other.Store, all); err != nil || n != want {
		t.Fatalf("%+v, %v; want %+v", n, err, want)
	}
	for _, id := range boards {
		here, err := d.PositionHistory(ctx, id, "C2")
		if err != nil {
			t.Fatal(err)
		}
		there, err := other.PositionHistory(ctx, id, "C2")
		if err != nil || len(there) != len(here) && id != "tarn-b" {
			t.Errorf("%s: %d changes there, %d here, %v", id, len(there), len(here), err)
		}
		a, _ := d.Revision(ctx, id, 0, "")
		b, err := other.Revision(ctx, id, 0, "")
		if err != nil || a.Digest != b.Digest || a.Number != b.Number {
			t.Errorf("%s: %+v, %v", id, b, err)
		}
	}
	if c, err := other.CheckData(ctx, nil); err != nil || len(c.Faults) > 0 {
		t.Errorf("%+v, %v", c, err)
	}
}

func TestLoadRefuses(t *testing.T) {
	d, other := anotherDesk(t), anotherDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	all := exportAll(t, d.Store, store.ExportFilter{After: -1})
	altered := all[0]
	altered.Map = []byte(strings.Replace(string(altered.Map), "47 µF", "4.7 µF", 1))
	_, err := load(t, other.Store, []store.Exported{altered})
	refused(t, err, fault.Invalid, "load-refused")
	other.released(t, 0, newMap("tarn-a", func(m *board.Map) { m.Name = "Another" }))
	_, err = load(t, other.Store, all)
	refused(t, err, fault.Conflict, "load-forked")
}

// Maps of 60 positions, each of a board of its own, loaded with every check.
func BenchmarkLoad(b *testing.B) {
	d := newDesk(b)
	d.released(b, 0, large("tarn-a", 60))
	one := exportAll(b, d.Store, store.ExportFilter{After: -1})[0]
	l, err := d.NewLoader(ctx, "here")
	if err != nil {
		b.Fatal(err)
	}
	for i := 0; b.Loop(); i++ {
		x := one
		x.Board = fmt.Sprintf("load-%d", i)
		x.Map = []byte(strings.Replace(string(one.Map), `"tarn-a"`, `"`+x.Board+`"`, 1))
		x.Digest = board.Digest(x.Map)
		if err := l.Add(ctx, x); err != nil {
			b.Fatal(err)
		}
	}
	if err := l.Flush(ctx); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "maps/s")
}
