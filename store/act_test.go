package store_test

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5/pgconn"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

func constraint(err error) string {
	var pe *pgconn.PgError
	if errors.As(err, &pe) {
		return pe.ConstraintName
	}
	return err.Error()
}

var ctx = context.Background()

func TestSubmit(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	in := func(edit func(*store.Submission)) store.Submission {
		s := d.submission(t, 1, newMap("tarn-a", note("C1", "new")))
		edit(&s)
		return s
	}
	t.Run("OK", func(t *testing.T) {
		r, err := d.Submit(ctx, d.ann, in(func(*store.Submission) {}))
		if err != nil {
			t.Fatal(err)
		}
		p, err := d.Proposal(ctx, r.Proposal)
		if err != nil {
			t.Fatal(err)
		}
		if r.State != review.Submitted || r.Version != 1 || r.Event == 0 || p.Author != "ann" || p.Base != 1 ||
			p.Digest != r.Digest ||
			board.Digest(p.Canonical) != r.Digest || p.Evidence[0].Text != "read on the can" ||
			len(p.FromBase.Changes) != 1 || p.Standing.Ready {
			t.Errorf("receipt %+v, proposal %+v", r, p)
		}
	})
	tests := []struct {
		name string
		who  store.Actor
		edit func(*store.Submission)
		kind fault.Kind
		code string
		at   string // pointer of the finding
	}{
		{"no account", store.Actor{}, func(*store.Submission) {}, fault.Unauthenticated, "token-needed", ""},
		{"no such account", store.Actor{ID: 999, Role: review.Steward}, func(*store.Submission) {},
			fault.Unauthenticated, "token-invalid", ""},
		{"not JSON", d.ann, func(s *store.Submission) { s.Map = []byte(`{"board":"tarn-a"`) }, fault.Malformed,
			"json-malformed", ""},
		{"not a map", d.ann, func(s *store.Submission) { s.Map = []byte(`{"board":"tarn-a"}`) }, fault.Invalid,
			"map-refused", ""},
		{"too large", d.ann, func(s *store.Submission) { s.Map = []byte(strings.Repeat(" ", board.MaxBytes+1)) },
			fault.TooLarge, "document-too-large", ""},
		{"another board", d.ann, func(s *store.Submission) { s.Board = "tarn-b" }, fault.Invalid, "submission-invalid",
			"/board"},
		{"no summary", d.ann, func(s *store.Submission) { s.Summary = " " }, fault.Invalid, "submission-invalid",
			"/summary"},
		{"negative base", d.ann, func(s *store.Submission) { s.Base = -1 }, fault.Invalid, "submission-invalid",
			"/base_revision"},
		{"evidence of no shape", d.ann, func(s *store.Submission) { s.Evidence = jsontext.Value(`[7]`) }, fault.Invalid,
			"submission-invalid", "/evidence/0"},
		{"evidence for no position", d.ann,
			func(s *store.Submission) { s.Evidence = jsontext.Value(`[{"text":"x","designators":["C99"]}]`) },
			fault.Invalid, "submission-invalid", "/evidence/0/designators/0"},
		{"no such photograph", d.ann, func(s *store.Submission) {
			s.Evidence = jsontext.Value(`[{"text":"x","photographs":["` + strings.Repeat("ab", 32) + `"]}]`)
		}, fault.Invalid, "submission-invalid", "/evidence/0/photographs/0"},
		{"the board is there", d.ann, func(s *store.Submission) { s.Base = 0 }, fault.Conflict, "board-exists", ""},
		{"a base to come", d.ann, func(s *store.Submission) { s.Base = 2 }, fault.Conflict, "base-ahead", ""},
		{"no such board", d.ann, func(s *store.Submission) { s.Board, s.Map = "tarn-z", text(t, newMap("tarn-z")) },
			fault.NotFound, "board-unknown", ""},
		{"nothing to propose", d.ann, func(s *store.Submission) { s.Map = text(t, newMap("tarn-a")) }, fault.Invalid,
			"no-difference", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			before := count(t, d)
			_, err := d.Submit(ctx, tt.who, in(tt.edit))
			f := refused(t, err, tt.kind, tt.code)
			if tt.at != "" && (len(f.Findings) == 0 || f.Findings[0].Pointer != tt.at) {
				t.Errorf("findings %+v, want one at %s", f.Findings, tt.at)
			}
			if tt.code == "map-refused" && len(f.Findings) == 0 {
				t.Error("refused without a finding")
			}
			if after := count(t, d); after != before {
				t.Errorf("%d proposals and events, were %d: something was stored", after, before)
			}
		})
	}
}

// count is how many proposals and events there are.
func count(t *testing.T, d *desk) int {
	t.Helper()
	p, err := d.Proposals(ctx, store.ProposalFilter{Page: store.Page{Limit: 200}})
	if err != nil {
		t.Fatal(err)
	}
	e, err := d.Events(ctx, store.EventFilter{Page: store.Page{Limit: 200}})
	if err != nil {
		t.Fatal(err)
	}
	return len(p.Items) + len(e.Items)
}

func TestAmend(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	r := d.submit(t, d.ann, 1, newMap("tarn-a", note("C1", "first")))
	d.endorse(t, d.rob, r.Proposal)
	if _, err := d.Review(ctx, d.rita, store.Verdict{Proposal: r.Proposal, Verdict: review.Query,
		Summary: "measured?"}); err != nil {
		t.Fatal(err)
	}
	better := text(t, newMap("tarn-a", note("C1", "second")))
	amend := func(who store.Actor, m []byte, ifMatch string) (store.Receipt, error) {
		return d.Amend(ctx, who, store.Amendment{Proposal: r.Proposal, Map: m, IfMatch: ifMatch})
	}
	refusals := []struct {
		name    string
		who     store.Actor
		m       []byte
		ifMatch string
		kind    fault.Kind
		code    string
	}{
		{"no account", store.Actor{}, better, "*", fault.Unauthenticated, "token-needed"},
		{"another contributor", d.abe, better, "*", fault.NotAllowed, "not-the-author"},
		{"a steward", d.stew, better, "*", fault.NotAllowed, "not-the-author"},
		{"no If-Match", d.ann, better, "", fault.Unconditional, "if-match-needed"},
		{"an older map", d.ann, better, strings.Repeat("0", 64), fault.Stale, "proposal-changed"},
		{"not a map", d.ann, []byte(`[]`), "*", fault.Invalid, "map-refused"},
		{"another board", d.ann, text(t, newMap("tarn-b")), "*", fault.Invalid, "submission-invalid"},
		{"back to the base", d.ann, text(t, newMap("tarn-a")), "*", fault.Invalid, "no-difference"},
	}
	for _, tt := range refusals {
		t.Run(tt.name, func(t *testing.T) {
			_, err := amend(tt.who, tt.m, tt.ifMatch)
			refused(t, err, tt.kind, tt.code)
		})
	}
	t.Run("the same again", func(t *testing.T) {
		same, err := amend(d.ann, text(t, newMap("tarn-a", note("C1", "first"))), r.Digest)
		if err != nil || same.Event != 0 || same.Version != 1 || same.State != review.Returned ||
			same.Standing.Endorsements != 1 {
			t.Errorf("%+v, %v", same, err)
		}
	})
	t.Run("OK", func(t *testing.T) {
		got, err := amend(d.ann, better, r.Digest)
		if err != nil {
			t.Fatal(err)
		}
		if got.Version != 2 || got.State != review.Submitted || !cmp.Equal(got.Lapsed, []string{"rob"}) ||
			!cmp.Equal(got.Standing.LapsedBy, []string{"rob"}) {
			t.Errorf("%+v", got)
		}
		p, err := d.Proposal(ctx, r.Proposal)
		if err != nil {
			t.Fatal(err)
		}
		if !p.Reviews[0].Lapsed || p.Reviews[0].Standing || !p.Reviews[1].Standing ||
			p.Map.Positions[0].Notes != "second" {
			t.Errorf("%+v", p.Reviews)
		}
		for version, want := range map[int]string{1: "first", 2: "second", 0: "second"} {
			v, err := d.ProposalMap(ctx, r.Proposal, version)
			if err != nil || v.Map.Positions[0].Notes != want {
				t.Errorf("version %d: %+v, %v", version, v, err)
			}
		}
	})
	_, err := d.Amend(ctx, d.ann, store.Amendment{Proposal: 999, Map: better, IfMatch: "*"})
	refused(t, err, fault.NotFound, "proposal-unknown")
	_, err = d.ProposalMap(ctx, r.Proposal, 9)
	refused(t, err, fault.NotFound, "proposal-unknown")
}

func TestReview(t *testing.T) {
	d := newDesk(t)
	r := d.submit(t, d.rob, 0, newMap("tarn-a")) // a reviewer may author, too
	tests := []struct {
		name string
		who  store.Actor
		in   store.Verdict
		kind fault.Kind
		code string
	}{
		{"no account", store.Actor{}, store.Verdict{Verdict: review.Endorse}, fault.Unauthenticated, "token-needed"},
		{"a contributor", d.ann, store.Verdict{Verdict: review.Endorse}, fault.NotAllowed, "role-needed"},
		{"the author", d.rob, store.Verdict{Verdict: review.Endorse}, fault.NotAllowed, "own-proposal"},
		{"no verdict", d.rita, store.Verdict{Verdict: "fine"}, fault.Invalid, "review-invalid"},
		{"no such position", d.rita, store.Verdict{Verdict: review.Endorse,
			Remarks: []review.Remark{{Designator: "Q1", Text: "?"}}}, fault.Invalid, "review-invalid"},
		{"an older map", d.rita, store.Verdict{Verdict: review.Endorse, IfMatch: strings.Repeat("0", 64)}, fault.Stale,
			"proposal-changed"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.in.Proposal = r.Proposal
			_, err := d.Review(ctx, tt.who, tt.in)
			refused(t, err, tt.kind, tt.code)
		})
	}
	_, err := d.Review(ctx, d.rita, store.Verdict{Proposal: 999, Verdict: review.Endorse})
	refused(t, err, fault.NotFound, "proposal-unknown")

	object := store.Verdict{Proposal: r.Proposal, Verdict: review.Object, Summary: "C2 is bipolar",
		Remarks: []review.Remark{{Designator: "C2", Text: "no stripe"}}, IfMatch: r.Digest}
	got, err := d.Review(ctx, d.rita, object)
	if err != nil || got.State != review.Returned || got.Review == 0 || !cmp.Equal(got.Standing.ObjectedBy,
		[]string{"rita"}) {
		t.Fatalf("%+v, %v", got, err)
	}
	if got := d.endorse(t, d.rita, r.Proposal); got.State != review.Submitted || !got.Standing.Ready {
		t.Errorf("a newer verdict: %+v", got)
	}
	p, err := d.Proposal(ctx, r.Proposal)
	if err != nil || len(p.Reviews) != 2 || p.Reviews[0].Standing || !p.Reviews[1].Standing ||
		!cmp.Equal(p.Reviews[0].Remarks, object.Remarks) {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestRelease(t *testing.T) {
	d := newDesk(t)
	first := d.released(t, 0, newMap("tarn-a"))
	if first.Revision != 1 || first.State != review.Released || first.CarriedForward {
		t.Fatalf("%+v", first)
	}
	decide := func(id int64) store.Decision { return store.Decision{Proposal: id} }
	release := func(t *testing.T, who store.Actor, id int64) store.Receipt {
		t.Helper()
		r, err := d.Release(ctx, who, decide(id))
		if err != nil {
			t.Fatal(err)
		}
		return r
	}

	t.Run("who", func(t *testing.T) {
		r := d.submit(t, d.ann, 0, newMap("tarn-who"))
		for code, tt := range map[string]struct {
			who  store.Actor
			kind fault.Kind
		}{"token-needed": {store.Actor{}, fault.Unauthenticated}, "role-needed": {d.ann, fault.NotAllowed}} {
			_, err := d.Release(ctx, tt.who, decide(r.Proposal))
			refused(t, err, tt.kind, code)
		}
		_, err := d.Release(ctx, d.rob, decide(999))
		refused(t, err, fault.NotFound, "proposal-unknown")
		_, err = d.Release(ctx, d.rob, store.Decision{Proposal: r.Proposal, IfMatch: strings.Repeat("0", 64)})
		refused(t, err, fault.Stale, "proposal-changed")
		_, err = d.Release(ctx, d.rob, store.Decision{Proposal: r.Proposal, Reason: "a\x00"})
		refused(t, err, fault.Invalid, "decision-invalid")
	})
	t.Run("endorsement", func(t *testing.T) {
		r := d.submit(t, d.ann, 0, newMap("tarn-plain"))
		_, err := d.Release(ctx, d.rob, decide(r.Proposal))
		f := refused(t, err, fault.Conflict, "endorsement-needed")
		if !strings.Contains(f.Detail.String(), "needs one more endorsement: ") ||
			f.Data.(review.Standing).Needed != 1 {
			t.Errorf("%+v", f)
		}
		d.endorse(t, d.rob, r.Proposal)
		release(t, d.rob, r.Proposal)
		_, err = d.Release(ctx, d.rob, decide(r.Proposal))
		refused(t, err, fault.Conflict, "proposal-closed")
	})
	t.Run("objection", func(t *testing.T) {
		r := d.submit(t, d.ann, 0, newMap("tarn-objected"))
		d.endorse(t, d.rob, r.Proposal)
		if _, err := d.Review(ctx, d.rita, store.Verdict{Proposal: r.Proposal, Verdict: review.Object,
			Summary: "no"}); err != nil {
			t.Fatal(err)
		}
		_, err := d.Release(ctx, d.stew, decide(r.Proposal))
		refused(t, err, fault.Conflict, "objection-standing")
	})
	t.Run("hazard", func(t *testing.T) {
		r := d.submit(t, d.ann, 1, newMap("tarn-a", turn("C4")))
		if !r.Standing.Hazardous || r.Standing.Needed != 2 {
			t.Errorf("%+v", r.Standing)
		}
		d.endorse(t, d.rob, r.Proposal)
		_, err := d.Release(ctx, d.stew, decide(r.Proposal))
		refused(t, err, fault.Conflict, "endorsement-needed")
		d.endorse(t, d.rita, r.Proposal)
		if got := release(t, d.stew, r.Proposal); got.Revision != 2 {
			t.Errorf("%+v", got)
		}
	})
	t.Run("lapsed", func(t *testing.T) {
		r := d.submit(t, d.ann, 0, newMap("tarn-lapsed"))
		d.endorse(t, d.rob, r.Proposal)
		if _, err := d.Amend(ctx, d.ann, store.Amendment{Proposal: r.Proposal,
			Map: text(t, newMap("tarn-lapsed", note("C1", "x"))), IfMatch: "*"}); err != nil {
			t.Fatal(err)
		}
		_, err := d.Release(ctx, d.stew, decide(r.Proposal))
		f := refused(t, err, fault.Conflict, "endorsement-needed")
		if !strings.Contains(f.Detail.String(), "rob") {
			t.Errorf("does not say whose lapsed: %s", f.Detail)
		}
	})
	t.Run("second of two new boards", func(t *testing.T) {
		one, two := d.submit(t, d.ann, 0, newMap("tarn-two")),
			d.submit(t, d.abe, 0, newMap("tarn-two", note("C1", "mine")))
		d.endorse(t, d.rob, one.Proposal)
		d.endorse(t, d.rob, two.Proposal)
		release(t, d.stew, one.Proposal)
		_, err := d.Release(ctx, d.stew, decide(two.Proposal))
		refused(t, err, fault.Conflict, "board-exists")
	})
}

func TestCarryForward(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	open := func(edits ...func(*board.Map)) int64 {
		r := d.submit(t, d.ann, 1, newMap("tarn-a", edits...))
		d.endorse(t, d.rob, r.Proposal)
		return r.Proposal
	}
	one, other, against := open(note("C1", "seen here")), open(note("C2", "clean")), open(note("C1", "dusty"),
		note("C3", "fine"))
	same := d.submit(t, d.abe, 1, newMap("tarn-a", note("C1", "seen here"))).Proposal
	d.endorse(t, d.rob, same)
	for i, id := range []int64{one, other} {
		r, err := d.Release(ctx, d.stew, store.Decision{Proposal: id})
		if err != nil || r.Revision != 2+i || r.CarriedForward != (i == 1) {
			t.Fatalf("release %d: %+v, %v", id, r, err)
		}
	}
	r, err := d.Revision(ctx, "tarn-a", 0, "")
	if err != nil || r.Map.Positions[0].Notes != "seen here" || r.Map.Positions[1].Notes != "clean" || r.Number != 3 {
		t.Fatalf("%+v, %v", r, err)
	}

	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: same})
	refused(t, err, fault.Conflict, "release-empty")

	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: against})
	f := refused(t, err, fault.Conflict, "carry-forward-conflict")
	cs := f.Data.([]store.Conflict)
	if len(cs) != 1 || cs[0].Designator != "C1" || cs[0].Revision != 2 || cs[0].ReleasedBy != "stew" ||
		cs[0].ReleasedAt.IsZero() {
		t.Errorf("%+v", cs)
	}
	p, err := d.Proposal(ctx, against)
	if err != nil || p.State != review.Submitted || len(p.Conflicts) != 1 || p.FromCurrent != nil || p.FromBase == nil {
		t.Errorf("%+v, %v", p, err)
	}
	p, err = d.Proposal(ctx, other)
	if err != nil || p.Revision != 3 || p.ClosedBy != "stew" {
		t.Errorf("%+v, %v", p, err)
	}
}

func TestDeclineAndWithdraw(t *testing.T) {
	d := newDesk(t)
	type do func(context.Context, store.Actor, store.Decision) (store.Receipt, error)
	tests := []struct {
		name string
		do   do
		who  store.Actor
		kind fault.Kind // Unknown for success
		code string
		end  review.State
	}{
		{"decline by a reviewer", d.Decline, d.rob, 0, "", review.Declined},
		{"decline by a steward", d.Decline, d.stew, 0, "", review.Declined},
		{"decline by a contributor", d.Decline, d.abe, fault.NotAllowed, "role-needed", ""},
		{"decline by nobody", d.Decline, store.Actor{}, fault.Unauthenticated, "token-needed", ""},
		{"withdraw by the author", d.Withdraw, d.ann, 0, "", review.Withdrawn},
		{"withdraw by another", d.Withdraw, d.abe, fault.NotAllowed, "not-the-author", ""},
		{"withdraw by a steward", d.Withdraw, d.stew, fault.NotAllowed, "not-the-author", ""},
	}
	for i, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			id := d.submit(t, d.ann, 0, newMap(fmt.Sprintf("tarn-%d", i))).Proposal
			r, err := tt.do(ctx, tt.who, store.Decision{Proposal: id, Reason: "superseded"})
			if tt.code != "" {
				refused(t, err, tt.kind, tt.code)
				return
			}
			if err != nil || r.State != tt.end {
				t.Fatalf("%+v, %v", r, err)
			}
			p, err := d.Proposal(ctx, id)
			if err != nil || p.State != tt.end || p.ClosedBy != tt.who.Name || p.Reason != "superseded" {
				t.Errorf("%+v, %v", p, err)
			}
			_, err = tt.do(ctx, tt.who, store.Decision{Proposal: id})
			refused(t, err, fault.Conflict, "proposal-closed")
		})
	}
	id := d.submit(t, d.rob, 0, newMap("tarn-own")).Proposal
	_, err := d.Decline(ctx, d.rob, store.Decision{Proposal: id})
	refused(t, err, fault.NotAllowed, "own-proposal")
}

func TestOnce(t *testing.T) {
	d := newDesk(t)
	in := d.submission(t, 0, newMap("tarn-a"))
	in.Once = store.Once{Key: "k1", BodySHA256: [32]byte{1}}
	first, err := d.Submit(ctx, d.ann, in)
	if err != nil {
		t.Fatal(err)
	}
	again, err := d.Submit(ctx, d.ann, in)
	if err != nil || !again.Repeated {
		t.Fatalf("%+v, %v", again, err)
	}
	again.Repeated = false
	if diff := cmp.Diff(first, again); diff != "" {
		t.Errorf("not the first answer (-first +again):\n%s", diff)
	}
	in.Once.BodySHA256[0] = 2
	_, err = d.Submit(ctx, d.ann, in)
	refused(t, err, fault.Invalid, "idempotency-key-reused")
	if r, err := d.Submit(ctx, d.abe, in); err != nil || r.Repeated || r.Proposal == first.Proposal {
		t.Errorf("another account's key: %+v, %v", r, err)
	}
	in.Once.Key = strings.Repeat("x", 201)
	_, err = d.Submit(ctx, d.ann, in)
	refused(t, err, fault.Malformed, "idempotency-key-long")

	// A refusal keeps no key: the act may be asked for again.
	release := store.Decision{Proposal: first.Proposal, Once: store.Once{Key: "k2"}}
	_, err = d.Release(ctx, d.rob, release)
	refused(t, err, fault.Conflict, "endorsement-needed")
	d.endorse(t, d.rob, first.Proposal)
	for i := range 2 {
		if r, err := d.Release(ctx, d.rob, release); err != nil || r.Revision != 1 || r.Repeated != (i == 1) {
			t.Errorf("release %d: %+v, %v", i, r, err)
		}
	}
}

func TestOnceAtTheSameTime(t *testing.T) {
	d := newDesk(t)
	in := d.submission(t, 0, newMap("tarn-a"))
	in.Once = store.Once{Key: "k1"}
	const n = 12
	ids, errs := make([]int64, n), make([]error, n)
	var wg sync.WaitGroup
	for i := range n {
		wg.Go(func() {
			r, err := d.Submit(ctx, d.ann, in)
			ids[i], errs[i] = r.Proposal, err
		})
	}
	wg.Wait()
	for i := range n {
		if errs[i] != nil || ids[i] != ids[0] {
			t.Errorf("%d: proposal %d, %v", i, ids[i], errs[i])
		}
	}
	if l, err := d.Proposals(ctx, store.ProposalFilter{}); err != nil || len(l.Items) != 1 {
		t.Errorf("%d proposals, %v", len(l.Items), err)
	}
}
