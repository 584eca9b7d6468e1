package store_test

import (
	"testing"
	"time"

	"boardlore/domain/fault"
	"boardlore/domain/kit"
	"boardlore/store"
)

func (d *desk) withdraw(t *testing.T, board string, number int, kind string) store.Receipt {
	t.Helper()
	r, err := d.WithdrawRevision(ctx, d.stew, board, number, store.Withdrawal{Kind: kind,
		Reason: "C2 is drawn the wrong way round."}, store.Once{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestWithdrawnRevision holds that a withdrawn revision is out of use wherever
// it can be named, that the newest remaining one takes its place everywhere,
// and that numbers go on after it.
func TestWithdrawnRevision(t *testing.T) {
	d := newDesk(t)
	other := openStore(t, d.dsn) // a second server, which has read all there is
	for i, text := range []string{"one", "two", "three"} {
		d.released(t, i, newMap("tarn-a", note("C1", text)))
	}
	third := d.submit(t, d.abe, 3, newMap("tarn-a", note("C1", "three"), note("C2", "mine")))
	for n := range 4 {
		if _, err := other.Revision(ctx, "tarn-a", n, ""); err != nil {
			t.Fatal(err)
		}
	}

	if r := d.withdraw(t, "tarn-a", 3, "dangerous"); r.Current != 2 || r.Event == 0 {
		t.Errorf("receipt %+v", r)
	}
	for name, s := range map[string]*store.Store{"here": d.Store, "there": other} {
		_, err := s.Revision(ctx, "tarn-a", 3, "")
		for i := 0; err == nil && i < 500; i++ { // the word takes a moment to the other server
			time.Sleep(10 * time.Millisecond)
			_, err = s.Revision(ctx, "tarn-a", 3, "")
		}
		f := refused(t, err, fault.Gone, "")
		if w, ok := f.Data.(store.Withdrawn); !ok || w.Current != 2 || w.Reason != "C2 is drawn the wrong way round." ||
			w.Links["revision"] != "/v1/boards/tarn-a/revisions/2" {
			t.Errorf("%s: the way on is %+v", name, f.Data)
		}
		r, err := s.Revision(ctx, "tarn-a", 0, "")
		if err != nil || r.Number != 2 {
			t.Errorf("%s: current is %v, %v", name, r, err)
		}
		b, err := s.Board(ctx, "tarn-a")
		if err != nil || b.Revision != 2 || b.Digest != r.Digest || len(b.Withdrawn) != 1 ||
			b.Withdrawn[0].Revision != 3 {
			t.Errorf("%s: board %+v, %v", name, b, err)
		}
	}
	l, err := d.Revisions(ctx, "tarn-a", store.Page{})
	if err != nil || len(l.Items) != 3 || l.Items[0].Withdrawn == nil || l.Items[1].Withdrawn != nil {
		t.Errorf("revisions %+v, %v", l.Items, err)
	}
	_, err = d.ProposalMap(ctx, 3, 0)
	refused(t, err, fault.Gone, "")

	// A proposal made from it is carried onto what is current; a new one is not
	// taken on it.
	_, err = d.Submit(ctx, d.abe, d.submission(t, 3, newMap("tarn-a", note("C3", "x"))))
	refused(t, err, fault.Conflict, "base-withdrawn")
	d.endorse(t, d.rob, third.Proposal)
	d.endorse(t, d.rita, third.Proposal)
	out, err := d.Release(ctx, d.stew, store.Decision{Proposal: third.Proposal})
	if err != nil || out.Revision != 4 || !out.CarriedForward {
		t.Fatalf("released %+v, %v", out, err)
	}
	r, err := d.Revision(ctx, "tarn-a", 0, "")
	if err != nil || r.Map.Positions[0].Notes != "two" || r.Map.Positions[1].Notes != "mine" {
		t.Errorf("revision 4 says %q, %q: %v", r.Map.Positions[0].Notes, r.Map.Positions[1].Notes, err)
	}
	past, err := d.PositionHistory(ctx, "tarn-a", "C1")
	if err != nil || len(past) != 2 || past[1].Revision != 2 {
		t.Errorf("what was withdrawn before it could be followed is in the history: %+v, %v", past, err)
	}
	if n, err := d.Before(ctx, "tarn-a", 4); n != 2 || err != nil {
		t.Errorf("before 4 comes %d, %v", n, err)
	}
}

// TestNothingLeftInUse holds what a board is whose every revision was withdrawn,
// and that a corrected map brings it back.
func TestNothingLeftInUse(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.withdraw(t, "tarn-a", 1, "mistaken")
	_, err := d.Revision(ctx, "tarn-a", 0, "")
	refused(t, err, fault.Gone, "")
	_, err = d.Board(ctx, "tarn-a")
	refused(t, err, fault.Gone, "")
	if l, err := d.Boards(ctx, store.BoardFilter{Query: "Tarnwright"}); err != nil || len(l.Items) != 0 {
		t.Errorf("it is found: %+v, %v", l.Items, err)
	}
	if l, err := d.KitBoards(ctx, &kit.Kit{ID: "k", Title: "t", For: []string{"tarn-a"},
		Lines: []kit.Line{{Number: 1, Quantity: 4, Text: "47 µF 25 V"}}}, 5); err != nil || len(l) != 0 {
		t.Errorf("a kit finds it: %+v, %v", l, err)
	}
	if name, err := d.BoardName(ctx, "tarn-a"); err != nil || name == "" {
		t.Errorf("its log can't be read: %v", err)
	}
	_, err = d.WithdrawRevision(ctx, d.stew, "tarn-a", 1, store.Withdrawal{Kind: "dangerous", Reason: "x"},
		store.Once{})
	refused(t, err, fault.Conflict, "already-withdrawn")
	d.withdraw(t, "tarn-a", 1, "illegal") // what the law demands comes on top
	_, err = d.Revision(ctx, "tarn-a", 1, "")
	refused(t, err, fault.Unlawful, "")
	_, err = d.Proposal(ctx, 1)
	refused(t, err, fault.Unlawful, "")

	if r := d.released(t, 0, newMap("tarn-a", note("C1", "right now"))); r.Revision != 2 {
		t.Errorf("the corrected map is revision %d", r.Revision)
	}
	if l, err := d.Boards(ctx, store.BoardFilter{Query: "Tarnwright"}); err != nil || len(l.Items) != 1 ||
		l.Items[0].Revision != 2 {
		t.Errorf("found: %+v, %v", l.Items, err)
	}
}

// TestWithdrawalRefused names who may not and what will not do; nothing of it
// changes anything.
func TestWithdrawalRefused(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	sound := store.Withdrawal{Kind: "dangerous", Reason: "x"}
	for _, c := range []struct {
		name   string
		who    store.Actor
		number int
		w      store.Withdrawal
		kind   fault.Kind
		code   string
	}{
		{"nobody", store.Actor{}, 1, sound, fault.Unauthenticated, "token-needed"},
		{"a reviewer", d.rob, 1, sound, fault.NotAllowed, "role-needed"},
		{"no such revision", d.stew, 2, sound, fault.NotFound, "revision-unknown"},
		{"no kind", d.stew, 1, store.Withdrawal{Reason: "x"}, fault.Invalid, "withdrawal-invalid"},
		{"no reason", d.stew, 1, store.Withdrawal{Kind: "dangerous", Reason: " "}, fault.Invalid, "withdrawal-invalid"},
	} {
		_, err := d.WithdrawRevision(ctx, c.who, "tarn-a", c.number, c.w, store.Once{})
		t.Log(c.name)
		refused(t, err, c.kind, c.code)
	}
	if _, err := d.Revision(ctx, "tarn-a", 1, ""); err != nil {
		t.Error(err)
	}
}

func TestWithdrawnPhotograph(t *testing.T) {
	d := newDesk(t)
	p, _, err := d.PutPhotograph(ctx, d.ann, picture(t, 3))
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.WithdrawPhotograph(ctx, d.rob, p.SHA256, store.Withdrawal{Kind: "illegal", Reason: "A face."},
		store.Once{})
	refused(t, err, fault.NotAllowed, "role-needed")
	if _, err = d.WithdrawPhotograph(ctx, d.stew, p.SHA256, store.Withdrawal{Kind: "illegal", Reason: "A face."},
		store.Once{}); err != nil {
		t.Fatal(err)
	}
	_, err = d.Photograph(ctx, p.SHA256)
	refused(t, err, fault.Unlawful, "")
	_, _, err = d.PutPhotograph(ctx, d.abe, picture(t, 3))
	refused(t, err, fault.Unlawful, "")
	in := d.submission(t, 0, newMap("tarn-a"))
	in.Evidence = []byte(`[{"text":"seen","photographs":["` + p.SHA256 + `"]}]`)
	_, err = d.Submit(ctx, d.ann, in)
	refused(t, err, fault.Invalid, "submission-invalid")
	_, err = d.WithdrawPhotograph(ctx, d.stew, "00", store.Withdrawal{Kind: "mistaken", Reason: "x"}, store.Once{})
	refused(t, err, fault.NotFound, "photograph-unknown")
}
