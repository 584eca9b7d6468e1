package store_test

import (
	"context"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

// TestDisabledAuthor holds that a disabled account's open proposals are on no
// list and take no act, and that enabling brings them back as they were.
func TestDisabledAuthor(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	in := d.submit(t, d.ann, 1, newMap("tarn-a", note("C1", "seen")))
	p, seen := in.Proposal, in.Digest
	d.endorse(t, d.rob, p)
	d.endorse(t, d.rita, p)
	if r, err := d.Disable(ctx, d.stew, d.ann.ID, "Floods the desk."); err != nil || r.Event == 0 {
		t.Fatal(r, err)
	}
	open := func() (n int) {
		t.Helper()
		l, err := d.Proposals(ctx, store.ProposalFilter{State: store.AnyOpen})
		if err != nil {
			t.Fatal(err)
		}
		b, err := d.Board(ctx, "tarn-a")
		if err != nil || len(b.Open) != len(l.Items) || b.Counts.OpenProposals != len(l.Items) {
			t.Errorf("the board counts %v and the list %d: %v", b.Open, len(l.Items), err)
		}
		return len(l.Items)
	}
	if n := open(); n != 0 {
		t.Errorf("%d are on the desk", n)
	}
	if all, err := d.Proposals(ctx, store.ProposalFilter{Author: "ann"}); err != nil || len(all.Items) != 1 {
		t.Errorf("her list has %+v, %v", all.Items, err)
	}
	one, err := d.Proposal(ctx, p)
	if err != nil || !one.Suspended {
		t.Errorf("not told to be suspended: %v", err)
	}
	for name, act := range map[string]func() error{
		"review": func() error {
			_, err := d.Review(ctx, d.rob, store.Verdict{Proposal: p, Verdict: review.Endorse, IfMatch: seen})
			return err
		},
		"release": func() error {
			_, err := d.Release(ctx, d.stew, store.Decision{Proposal: p,
				IfMatch: seen})
			return err
		},
		"decline": func() error {
			_, err := d.Decline(ctx, d.rob, store.Decision{Proposal: p, Reason: "no", IfMatch: seen})
			return err
		},
	} {
		t.Log(name)
		refused(t, act(), fault.Conflict, "proposal-suspended")
	}
	if _, err := d.Enable(ctx, d.stew, d.ann.ID, ""); err != nil || open() != 1 {
		t.Errorf("enabling did not bring it back: %v", err)
	}
	if _, err := d.Release(ctx, d.stew, store.Decision{Proposal: p, IfMatch: seen}); err != nil {
		t.Error(err)
	}
}

// TestLastSteward holds that somebody is left to act as steward, whichever way
// the last one would go, also where two go at once.
func TestLastSteward(t *testing.T) {
	d := newDesk(t)
	for name, act := range map[string]func() error{
		"disable": func() error { _, err := d.Disable(ctx, store.Operator, d.stew.ID, ""); return err },
		"demote":  func() error { _, err := d.SetRole(ctx, d.stew, d.stew.ID, review.Reviewer, ""); return err },
		"erase":   func() error { _, err := d.EraseName(ctx, d.stew, d.stew.ID, ""); return err },
	} {
		t.Log(name)
		refused(t, act(), fault.Conflict, "last-steward")
	}
	second := account(t, d.Store, "second", review.Steward)
	done := make(chan error, 2)
	for _, who := range []store.Actor{d.stew, second} {
		go func() { _, err := d.Disable(context.Background(), store.Operator, who.ID, ""); done <- err }()
	}
	if a, b := <-done, <-done; (a == nil) == (b == nil) {
		t.Errorf("of two stewards disabled at once: %v, %v", a, b)
	}
}

// TestActs holds that stewards read who did what to whom and why, that the
// public log tells of the same acts nothing but that they were, and that no row
// of an event holds a name or a text that somebody wrote.
func TestActs(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	if _, err := d.Disable(ctx, d.stew, d.abe.ID, "Floods the desk."); err != nil {
		t.Fatal(err)
	}
	if _, err := d.SetRole(ctx, store.Operator, d.rita.ID, review.Steward, "elected"); err != nil {
		t.Fatal(err)
	}
	d.withdraw(t, "tarn-a", 1, "mistaken")
	acts, err := d.Events(ctx, store.EventFilter{Acts: true, Newest: true})
	if err != nil || len(acts.Items) != 8 { // five accounts joined
		t.Fatalf("%d acts, %v", len(acts.Items), err)
	}
	withdrawn, role, disabled := acts.Items[0], acts.Items[1], acts.Items[2]
	if disabled.Who != "stew" || disabled.Account != "abe" || disabled.Why != "Floods the desk." ||
		disabled.Sentence.String() != "The account of abe was disabled." {
		t.Errorf("disabled: %+v", disabled)
	}
	if role.Who != "" || role.Account != "rita" || role.Why != "elected" || withdrawn.Why == "" {
		t.Errorf("role: %+v, withdrawn: %+v", role, withdrawn)
	}
	public, err := d.Events(ctx, store.EventFilter{})
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range public.Items {
		if e.ID != int64(i+1) {
			t.Fatalf("event %d is number %d: a hole", i+1, e.ID)
		}
		if strings.Contains(e.Sentence.String(), "{") || e.Why != "" || e.Account != "" ||
			strings.Contains(e.Sentence.String(), "abe") {
			t.Errorf("public: %+v", e)
		}
	}
	if rows := d.events(t); len(rows) != len(public.Items) {
		t.Errorf("%d events, %d public ones", len(rows), len(public.Items))
	}
	d.namesNobody(t)

	if _, err := d.EraseName(ctx, d.stew, d.ann.ID, ""); err != nil {
		t.Fatal(err)
	}
	if _, err := d.EraseReason(ctx, d.stew, disabled.ID); err != nil {
		t.Fatal(err)
	}
	for _, e := range d.events(t) {
		if strings.Contains(e.Sentence.String()+e.Who+e.Account, "ann") || strings.Contains(e.Why, "Floods") {
			t.Errorf("still there: %+v", e)
		}
	}
	p, _, err := d.PutPhotograph(ctx, d.rob, picture(t, 9))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.ErasePhotograph(ctx, d.stew, p.SHA256, "A face."); err != nil {
		t.Fatal(err)
	}
	if got := raw(t,
		d.dsn, `DO $$ BEGIN IF EXISTS (SELECT FROM photographs WHERE erased_at IS NOT NULL AND data <> '') THEN
		RAISE check_violation USING CONSTRAINT = 'bytes'; END IF; END $$`); got != "" {
		t.Error("an erased photograph has bytes")
	}
	if c, err := d.CheckData(ctx, nil); err != nil || len(c.Faults) > 0 { // the chain is whole without them
		t.Errorf("check-data: %+v, %v", c, err)
	}
	_, err = d.Enable(ctx, d.stew, d.ann.ID, "")
	refused(t, err, fault.Conflict, "already-erased")
	_, err = d.EraseReason(ctx, d.rob, 1)
	refused(t, err, fault.NotAllowed, "role-needed")
}

// namesNobody looks at what events are stored as.
func (d *desk) namesNobody(t *testing.T) {
	t.Helper()
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	var free string
	err = conn.QueryRow(ctx, `SELECT coalesce(string_agg(DISTINCT e.sentence, '; '), '') FROM events e
		JOIN accounts a ON e.sentence ~ ('\m' || a.name || '\M') OR strpos(e.sentence, 'what the board says') > 0`).Scan(&free)
	if err != nil || free != "" {
		t.Errorf("events that name somebody or hold a text: %s, %v", free, err)
	}
}
