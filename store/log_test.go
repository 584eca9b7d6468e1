package store_test

import (
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"
	signed "golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/transparency"
	"boardlore/store"
)

// entriesOf reads the log's entries, which are one tile at most here.
func entriesOf(t *testing.T, s *store.Store) (out []transparency.Entry) {
	t.Helper()
	n, err := s.LogSize(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if n == 0 {
		return nil
	}
	data, err := s.Tile(ctx, tlog.Tile{H: transparency.TileHeight, L: -1, W: int(n)})
	if err != nil {
		t.Fatal(err)
	}
	bundle, err := transparency.ReadBundle(data, int(n))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range bundle {
		e, err := transparency.ReadEntry(b)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, e)
	}
	return out
}

// verifier checks what a log signs.
func verifier(t *testing.T, l *store.LogIdentity) signed.Verifier {
	t.Helper()
	v, err := signed.NewVerifier(l.Key)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// Two servers that release at once write one log: every release once, in the
// order of the events, and every proof holds.
func TestLogOfTwoServers(t *testing.T) {
	d := newDesk(t)
	other := openStore(t, d.dsn)
	var done sync.WaitGroup
	for i, s := range []*store.Store{d.Store, other} {
		done.Go(func() {
			on := &desk{Store: s, dsn: d.dsn, ann: d.ann, abe: d.abe, rob: d.rob, rita: d.rita, stew: d.stew}
			for k := range 4 {
				on.released(t, 0, newMap("tarn-"+string(rune('a'+i))+string(rune('a'+k))))
			}
		})
	}
	done.Wait()
	events, err := d.Events(ctx, store.EventFilter{Page: store.Page{Limit: 200}})
	if err != nil {
		t.Fatal(err)
	}
	var order []string
	for _, e := range events.Items {
		if e.What == "released" {
			order = append(order, e.Board)
		}
	}
	entries := entriesOf(t, d.Store)
	if len(entries) != 8 || len(order) != 8 {
		t.Fatalf("%d entries, %d releases", len(entries), len(order))
	}
	l, err := d.Log(ctx)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range entries {
		if e.Board != order[i] || e.Act != transparency.Release {
			t.Errorf("entry %d is of %s, event of %s", i, e.Board, order[i])
		}
		p, err := other.Proof(ctx, e.Board, 1)
		if err != nil {
			t.Fatal(err)
		}
		b, err := e.Canonical()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Check(b, verifier(t, l)); err != nil {
			t.Error(err)
		}
	}
}

// A database from before the log gets the entries of what was released before,
// first and in order.
func TestLogCatchesUp(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 0, newMap("tarn-b"))
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, `ALTER TABLE log_entries DISABLE TRIGGER USER; ALTER TABLE log_hashes DISABLE TRIGGER USER;
		DELETE FROM log_entries; DELETE FROM log_hashes`); err != nil {
		t.Fatal(err)
	}
	d.released(t, 0, newMap("tarn-c"))
	var boards []string
	for _, e := range entriesOf(t, d.Store) {
		boards = append(boards, e.Board)
	}
	if got := strings.Join(boards, " "); got != "tarn-a tarn-b tarn-c" {
		t.Errorf("%s", got)
	}
}

// A rotated key and a new name each come with a word that the key before signed.
func TestLogGoesOn(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	first, err := d.Log(ctx)
	if err != nil {
		t.Fatal(err)
	}
	rotated, err := d.RotateKey(ctx)
	if err != nil {
		t.Fatal(err)
	}
	left, err := d.Depart(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if rotated.Origin != first.Origin || rotated.Key == first.Key || left.Origin == first.Origin {
		t.Errorf("%+v, %+v, %+v", first, rotated, left)
	}
	for _, c := range []struct{ before, after *store.LogIdentity }{{first, rotated}, {rotated, left}} {
		n, err := signed.Open([]byte(c.after.Note), signed.VerifierList(verifier(t, c.before)))
		if err != nil || !strings.Contains(n.Text, "left at 1 entries") || !strings.Contains(n.Text, c.after.Origin) {
			t.Errorf("%+v, %v", n, err)
		}
	}
	checkpoint, _, err := d.Checkpoint(ctx)
	if err != nil {
		t.Fatal(err)
	}
	if c, err := transparency.OpenCheckpoint(checkpoint, verifier(t, left)); err != nil || c.Tree.N != 1 {
		t.Errorf("%+v, %v", c, err)
	}
}

// A server that runs signs by a new key as soon as another program made it, also
// where it was not listening at that moment.
func TestLogOfAnotherKey(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	other := openStore(t, d.dsn)
	signs := func(l *store.LogIdentity) bool {
		t.Helper()
		text, _, err := d.Checkpoint(ctx)
		if err != nil {
			t.Fatal(err)
		}
		_, err = transparency.OpenCheckpoint(text, verifier(t, l))
		return err == nil
	}
	first, err := d.Log(ctx)
	if err != nil || !signs(first) {
		t.Fatal(first, err)
	}
	for _, deaf := range []bool{false, true} {
		if deaf {
			raw(t, d.dsn, `SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE query ILIKE 'LISTEN%'`)
		}
		rotated, err := other.RotateKey(ctx)
		if err != nil {
			t.Fatal(err)
		}
		awaited(t, "the new key", func() bool {
			l, err := d.Log(ctx)
			if err != nil {
				t.Fatal(err)
			}
			return l.Key == rotated.Key && l.Note == rotated.Note && signs(rotated)
		})
	}
}
