package store_test

import (
	"testing"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/store"
)

// TestMove gives a board another ID and goes on with it: what was released
// keeps its bytes, what is open comes along, and the next revision names the
// new ID.
func TestMove(t *testing.T) {
	d := newDesk(t)
	other := openStore(t, d.dsn)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 1, newMap("tarn-a", note("C1", "two")))
	in := d.submit(t, d.abe, 2, newMap("tarn-a", note("C1", "two"), note("C2", "mine")))
	p := in.Proposal
	if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	before, err := d.Revision(ctx, "tarn-a", 2, "")
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Move(ctx, d.rob, "tarn-a", "tarn-b", "", store.Once{})
	refused(t, err, fault.NotAllowed, "role-needed")
	_, err = d.Move(ctx, d.stew, "tarn-x", "tarn-b", "", store.Once{})
	refused(t, err, fault.NotFound, "board-unknown")
	for _, to := range []string{"", "Tarn B", "tarn-a"} {
		_, err = d.Move(ctx, d.stew, "tarn-a", to, "", store.Once{})
		refused(t, err, fault.Invalid, "move-invalid")
	}
	if r, err := d.Move(ctx, d.stew, "tarn-a", "tarn-b", "The marking says B.", store.Once{}); err != nil ||
		r.Current != 2 || r.Board != "tarn-b" {
		t.Fatalf("%+v, %v", r, err)
	}
	for _, s := range []*store.Store{d.Store, other} {
		if to, merged, err := s.Moved(ctx, "tarn-a"); err != nil || to != "tarn-b" || merged {
			t.Errorf("leads to %q, %v, %v", to, merged, err)
		}
	}
	after, err := d.Revision(ctx, "tarn-b", 2, "")
	if err != nil || after.Digest != before.Digest || string(after.Canonical) != string(before.Canonical) ||
		after.Map.Board != "tarn-a" {
		t.Fatalf("the revision changed: %+v, %v", after, err)
	}
	if past, err := d.PositionHistory(ctx, "tarn-b", "C1"); err != nil || len(past) != 2 {
		t.Errorf("history: %+v, %v", past, err)
	}
	if l, err := d.Boards(ctx, store.BoardFilter{Query: "Tarnwright"}); err != nil || len(l.Items) != 1 ||
		l.Items[0].ID != "tarn-b" {
		t.Errorf("found: %+v, %v", l.Items, err)
	}
	if e, err := d.Events(ctx, store.EventFilter{Board: "tarn-b"}); err != nil || len(e.Items) != 10 {
		t.Errorf("%d events, %v", len(e.Items), err)
	}

	d.endorse(t, d.rob, p)
	d.endorse(t, d.rita, p)
	out, err := d.Release(ctx, d.stew, store.Decision{Proposal: p, IfMatch: in.Digest})
	if err != nil || out.Board != "tarn-b" || out.Revision != 3 {
		t.Fatalf("%+v, %v", out, err)
	}
	r, err := d.Revision(ctx, "tarn-b", 0, "")
	if err != nil || r.Map.Board != "tarn-b" || r.Map.Positions[1].Notes != "mine" {
		t.Errorf("the next one names %q: %v", r.Map.Board, err)
	}
	// Who still says the old ID is understood.
	if r := d.submit(t, d.ann, 3, newMap("tarn-a", note("C3", "late"))); r.Board != "tarn-b" {
		t.Errorf("submitted for %q", r.Board)
	}
	_, err = d.Move(ctx, d.stew, "tarn-a", "tarn-c", "", store.Once{})
	refused(t, err, fault.Conflict, "board-moved")
	_, err = d.Move(ctx, d.stew, "tarn-b", "tarn-a", "", store.Once{})
	refused(t, err, fault.Conflict, "board-moved")
	if _, err := d.Move(ctx, d.stew, "tarn-b", "tarn-c", "", store.Once{}); err != nil {
		t.Fatal(err)
	}
	if to, _, err := d.Moved(ctx, "tarn-a"); err != nil || to != "tarn-c" {
		t.Errorf("an old ID leads to %q, %v", to, err)
	}
}

// TestMerge makes two boards one: the second one's revisions stay, the first
// one's are found under the old ID.
func TestMerge(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a", note("C1", "a")))
	d.released(t, 0, newMap("tarn-b", note("C1", "b")))
	p := d.submit(t, d.abe, 1, newMap("tarn-a", note("C2", "open"))).Proposal
	_, err := d.Move(ctx, d.stew, "tarn-a", "tarn-b", "", store.Once{})
	refused(t, err, fault.Conflict, "proposals-open")
	if _, err := d.Withdraw(ctx, d.abe, store.Decision{Proposal: p, IfMatch: "*", Reason: "merged"}); err != nil {
		t.Fatal(err)
	}
	if r, err := d.Move(ctx, d.stew, "tarn-a", "tarn-b", "", store.Once{}); err != nil || r.Current != 1 {
		t.Fatalf("%+v, %v", r, err)
	}
	if to, merged, err := d.Moved(ctx, "tarn-a"); to != "tarn-b" || !merged || err != nil {
		t.Errorf("%q, %v, %v", to, merged, err)
	}
	for id, want := range map[string]string{"tarn-a": "a", "tarn-b": "b"} {
		r, err := d.Revision(ctx, id, 1, "")
		if err != nil || r.Map.Positions[0].Notes != want || board.Digest(r.Canonical) != r.Digest {
			t.Errorf("%s: %+v, %v", id, r, err)
		}
	}
	_, err = d.Submit(ctx, d.abe, d.submission(t, 1, newMap("tarn-a", note("C2", "x"))))
	refused(t, err, fault.Conflict, "board-moved")
	if l, err := d.Boards(ctx, store.BoardFilter{Query: "Tarnwright"}); err != nil || len(l.Items) != 1 {
		t.Errorf("found: %+v, %v", l.Items, err)
	}
}

// TestReferencesMove holds that whatever refers to a board or a revision can be
// filed under another ID.
func TestReferencesMove(t *testing.T) {
	d := newDesk(t)
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	var bad string
	err = conn.QueryRow(ctx, `SELECT coalesce(string_agg(conname, ', '), '') FROM pg_constraint
		WHERE contype = 'f' AND confrelid = 'revisions'::regclass AND confupdtype <> 'c'`).Scan(&bad)
	if err != nil || bad != "" {
		t.Errorf("write ON UPDATE CASCADE on %s: a board's revisions may get another ID (%v)", bad, err)
	}
}
