package store_test

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/review"
	"boardlore/store"
)

// TestEveryActIsOneEvent does every act that there is, and refused ones and
// repetitions: each act that changes something is one event, in order, with
// who, when and what, and nothing else is any.
func TestEveryActIsOneEvent(t *testing.T) {
	d := newDesk(t)
	type done struct {
		who, what string // what "": no event
		act       func() error
	}
	proposal := map[string]int64{}
	submit := func(name string, base int, id string) func() error {
		return func() error {
			in := d.submission(t, base, newMap(id, note("C1", name)))
			in.Once = store.Once{Key: name}
			r, err := d.Submit(ctx, d.ann, in)
			proposal[name] = r.Proposal
			return err
		}
	}
	verdict := func(who store.Actor, name, v string) func() error {
		return func() error {
			_, err := d.Review(ctx, who, store.Verdict{Proposal: proposal[name], Verdict: v, Summary: "looked at"})
			return err
		}
	}
	amend := func() error {
		_, err := d.Amend(ctx, d.ann, store.Amendment{Proposal: proposal["b"],
			Map: text(t, newMap("tarn-a", note("C1", "amended"))), IfMatch: "*"})
		return err
	}
	kit := func() error {
		_, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "full-set",
			Document: []byte(`{"kit":"full-set","title":"t","lines":[{"line":1,"quantity":2,"text":"47uF 16V"}]}`)})
		return err
	}
	photograph := func() error { _, _, err := d.PutPhotograph(ctx, d.ann, picture(t, 7)); return err }
	refuse := func(act func() error) func() error {
		return func() error {
			if act() == nil {
				t.Error("an act that should be refused was not")
			}
			return nil
		}
	}
	grounds := store.Withdrawal{Kind: "mistaken", Reason: "It is of another board."}
	withdraw := func() error {
		_, err := d.WithdrawRevision(ctx, d.stew, "tarn-z", 1, grounds, store.Once{})
		return err
	}
	withdrawPhotograph := func() error {
		p, _, err := d.PutPhotograph(ctx, d.ann, picture(t, 7))
		if err == nil {
			_, err = d.WithdrawPhotograph(ctx, d.stew, p.SHA256, grounds, store.Once{})
		}
		return err
	}
	role := func(r review.Role) func() error {
		return func() error { _, err := d.SetRole(ctx, store.Operator, d.abe.ID, r, ""); return err }
	}
	disable := func() error { _, err := d.Disable(ctx, store.Operator, d.abe.ID, "gone away"); return err }
	enable := func() error { _, err := d.Enable(ctx, d.stew, d.abe.ID, "back"); return err }
	erase := func() error { _, err := d.EraseName(ctx, d.stew, d.abe.ID, "asked for"); return err }
	erasePhotograph := func() error {
		sum := sha256.Sum256(picture(t, 7))
		_, err := d.ErasePhotograph(ctx, d.stew, hex.EncodeToString(sum[:]), "A face.")
		return err
	}
	move := func() error { _, err := d.Move(ctx, d.stew, "tarn-a", "tarn-z", "", store.Once{}); return err }
	newToken := func() error { _, err := d.NewToken(ctx, "abe"); return err }
	add := func() error { _, err := d.AddAccount(ctx, "new", review.Contributor); return err }

	all := []done{
		{"ann", "submitted", submit("a", 0, "tarn-a")},
		{"", "", submit("a", 0, "tarn-a")}, // the same key once more
		{"", "", refuse(verdict(d.ann, "a", review.Endorse))},
		{"rob", "reviewed", verdict(d.rob, "a", review.Endorse)},
		{"rita", "reviewed", verdict(d.rita, "a", review.Endorse)},
		{"stew", "released",
			func() error { _, err := d.Release(ctx, d.stew, store.Decision{Proposal: proposal["a"]}); return err }},
		{"", "",
			refuse(func() error {
				_, err := d.Release(ctx, d.stew,
					store.Decision{Proposal: proposal["a"]})
				return err
			})},
		{"ann", "submitted", submit("b", 1, "tarn-a")},
		{"rob", "reviewed", verdict(d.rob, "b", review.Query)},
		{"ann", "amended", amend},
		{"", "", amend}, // the same map again
		{"rob", "reviewed", verdict(d.rob, "b", review.Object)},
		{"", "",
			refuse(func() error {
				_, err := d.Withdraw(ctx, d.abe,
					store.Decision{Proposal: proposal["b"]})
				return err
			})},
		{"ann", "withdrawn",
			func() error { _, err := d.Withdraw(ctx, d.ann, store.Decision{Proposal: proposal["b"]}); return err }},
		{"ann", "submitted", submit("c", 1, "tarn-a")},
		{"rita", "declined", func() error {
			_, err := d.Decline(ctx, d.rita, store.Decision{Proposal: proposal["c"], Reason: "no"})
			return err
		}},
		{"ann", "kit-kept", kit},
		{"", "", kit},
		{"ann", "photograph-kept", photograph},
		{"", "", photograph},
		{"stew", "board-moved", move},
		{"", "", refuse(move)},
		{"stew", "photograph-withdrawn", withdrawPhotograph},
		{"", "", refuse(withdrawPhotograph)},
		{"stew", "revision-withdrawn", withdraw},
		{"", "", refuse(withdraw)},
		{"", "account-added", add},
		{"", "", refuse(add)},
		{"", "token-made", newToken},
		{"", "role-changed", role(review.Reviewer)},
		{"", "", role(review.Reviewer)},
		{"", "account-disabled", disable},
		{"", "", disable},
		{"", "", refuse(newToken)},
		{"", "", refuse(role(review.Steward))},
		{"stew", "account-enabled", enable},
		{"", "", enable},
		{"stew", "name-erased", erase},
		{"", "", refuse(erase)},
		{"stew", "photograph-erased", erasePhotograph},
		{"", "", refuse(erasePhotograph)},
		{"stew", "reason-erased", func() error { _, err := d.EraseReason(ctx, d.stew, 20); return err }},
	}
	seen := d.events(t)
	did := map[string]bool{}
	for i, a := range all {
		if err := a.act(); err != nil {
			t.Fatalf("act %d (%s): %v", i, a.what, err)
		}
		now := d.events(t)
		if a.what == "" {
			if len(now) != len(seen) {
				t.Errorf("act %d changed nothing and is an event: %+v", i, now[len(seen):])
			}
			seen = now
			continue
		}
		if len(now) != len(seen)+1 {
			t.Fatalf("act %d (%s) is %d events", i, a.what, len(now)-len(seen))
		}
		e, before := now[len(now)-1], seen[len(seen)-1]
		if e.What != a.what || e.Who != a.who || e.ID != before.ID+1 || e.At.Before(before.At) ||
			!strings.HasPrefix(e.Sentence.Key, "event.") || strings.ContainsAny(e.Sentence.String(), "{}") {
			t.Errorf("act %d, %s by %q: event %+v after %+v", i, a.what, a.who, e, before)
		}
		did[a.what], seen = true, now
	}
	for _, what := range d.kindsOfEvent(t) {
		elsewhere := slices.Contains([]string{"token-ended", "invitation-made", "invitation-ended", "sign-up-changed",
			"account-joined", "passkey-made", "passkey-ended", "objection-set-aside", "review-answered"}, what) ||
			strings.HasPrefix(what, "doubt-")
		if !did[what] && !elsewhere && !strings.HasPrefix(what, "record-") { // held by tests of their own
			t.Errorf("no act here is a %q", what)
		}
	}
}

// TestEventsOfBefore: events that were stored in English alone say what they
// said.
func TestEventsOfBefore(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	want := d.events(t)
	raw(t, d.dsn,
		`ALTER TABLE events DISABLE TRIGGER USER; UPDATE events SET said = NULL; ALTER TABLE events ENABLE TRIGGER USER`)
	for i, e := range d.events(t) {
		if e.Sentence.String() != want[i].Sentence.String() {
			t.Errorf("%q, want %q", e.Sentence, want[i].Sentence)
		}
	}
}

// events reads the whole log.
func (d *desk) events(t *testing.T) []store.Event {
	t.Helper()
	var out []store.Event
	f := store.EventFilter{Accounts: true, Page: store.Page{Limit: 7}}
	for {
		l, err := d.Events(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, l.Items...)
		if f.Page.After = l.Next; l.Next == "" {
			return out
		}
	}
}

// kindsOfEvent is what the database takes as an event.
func (d *desk) kindsOfEvent(t *testing.T) []string {
	t.Helper()
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	rows, err := conn.Query(ctx, `SELECT what FROM event_kinds ORDER BY what`)
	if err != nil {
		t.Fatal(err)
	}
	kinds, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(kinds) < 11 {
		t.Fatalf("kinds of event: %v, %v", kinds, err)
	}
	if !slices.Equal(kinds, store.EventKinds) {
		t.Errorf("the database takes the events %q, and store.EventKinds has %q", kinds, store.EventKinds)
	}
	return kinds
}
