package store_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/png"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/photograph"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

func TestRevision(t *testing.T) {
	d := newDesk(t)
	variant := func(m *board.Map) {
		m.Variants = []board.Variant{{Variant: "export", Title: "Export build", IdentifiedBy: "a green dot",
			Changes: []board.Change{{Omit: "C4"}}}}
	}
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 1, newMap("tarn-a", variant))
	for _, s := range []*store.Store{d.Store, openStore(t, d.dsn)} { // with what is in the cache, and without
		for n, number := range map[int]int{0: 2, 1: 1, 2: 2} {
			r, err := s.Revision(ctx, "tarn-a", n, "")
			if err != nil || r.Number != number || board.Digest(r.Canonical) != r.Digest || r.Author != "ann" ||
				r.ReleasedBy != "stew" ||
				r.ReleasedAt.IsZero() || r.ReleasedAt.Location().String() != "UTC" || r.Summary == "" ||
				len(r.Evidence) != 1 {
				t.Errorf("revision %d: %+v, %v", n, r, err)
			}
		}
		base, err := s.Revision(ctx, "tarn-a", 2, "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Revision(ctx, "tarn-a", 0, "export")
		if err != nil || len(r.Map.Positions) != 3 || r.Digest == base.Digest ||
			board.Digest(r.Canonical) != r.Digest || r.Variant != "export" || r.Number != 2 {
			t.Errorf("variant: %+v, %v", r, err)
		}
		_, err = s.Revision(ctx, "tarn-a", 3, "")
		refused(t, err, fault.NotFound, "revision-unknown")
		_, err = s.Revision(ctx, "tarn-a", -1, "")
		refused(t, err, fault.NotFound, "revision-unknown")
		_, err = s.Revision(ctx, "tarn-z", 0, "")
		refused(t, err, fault.NotFound, "board-unknown")
		_, err = s.Revision(ctx, "tarn-z", 1, "")
		refused(t, err, fault.NotFound, "board-unknown")
		if _, err := s.Revision(ctx, "tarn-a", 0, "import"); !fault.Is(err, fault.NotFound) {
			t.Errorf("unknown variant: %v", err)
		}
	}
	l, err := d.Revisions(ctx, "tarn-a", store.Page{Limit: 1})
	if err != nil || len(l.Items) != 1 || l.Items[0].Number != 2 || l.Next == "" {
		t.Fatalf("%+v, %v", l, err)
	}
	l, err = d.Revisions(ctx, "tarn-a", store.Page{Limit: 1, After: l.Next})
	if err != nil || len(l.Items) != 1 || l.Items[0].Number != 1 || l.Next != "" || l.Items[0].Canonical != nil {
		t.Errorf("%+v, %v", l, err)
	}
	_, err = d.Revisions(ctx, "tarn-z", store.Page{})
	refused(t, err, fault.NotFound, "board-unknown")
	_, err = d.Revisions(ctx, "tarn-a", store.Page{After: "?"})
	refused(t, err, fault.Malformed, "cursor-malformed")
}

func TestBoards(t *testing.T) {
	d := newDesk(t)
	for i, e := range []struct{ id, maker, kind, marking string }{
		{"okeby-fm6-sum", "Økeby & Söner", "mixer", "OK 44.10/2"}, {"tarn-mx12-main", "Tarnwright", "portable recorder",
			"TW-7120-B"}, {"tarn-mx12-power", "Tarnwright", "portable recorder", "TW-7121-A"},
	} {
		d.released(t, 0, newMap(e.id, func(m *board.Map) {
			m.Equipment = board.Equipment{Maker: e.maker, Model: fmt.Sprintf("MX-%d", 12+i), Kind: e.kind,
				Years: []int{1987, 1991}}
			m.Markings = []string{e.marking}
			m.FailurePoints = []board.FailurePoint{{ID: "leak", Title: "Leak", Mechanism: "The cell leaks.",
				Severity: "hazard", BarsPowerUp: of(i == 0)}}
		}))
	}
	d.submit(t, d.ann, 0, newMap("tarn-unborn"))
	tests := []struct {
		name string
		f    store.BoardFilter
		want []string
	}{
		{"all", store.BoardFilter{}, []string{"okeby-fm6-sum", "tarn-mx12-main", "tarn-mx12-power"}},
		{"words that begin", store.BoardFilter{Query: "tarn 712"}, []string{"tarn-mx12-main", "tarn-mx12-power"}},
		{"without the hyphen", store.BoardFilter{Query: "MX13"}, []string{"tarn-mx12-main"}},
		{"accents", store.BoardFilter{Query: "soner"}, []string{"okeby-fm6-sum"}},
		{"nothing found", store.BoardFilter{Query: "tarn mixer"}, nil},
		{"query syntax is text", store.BoardFilter{Query: "tarn' | !(power) & :*"}, []string{"tarn-mx12-power"}},
		{"only punctuation", store.BoardFilter{Query: "!!"}, nil},
		{"marking", store.BoardFilter{Markings: []string{"tw 7120 b"}}, []string{"tarn-mx12-main"}},
		{"part of a marking", store.BoardFilter{Markings: []string{"TW-7120"}}, []string{"tarn-mx12-main"}},
		{"maker", store.BoardFilter{Maker: "TARNWRIGHT"}, []string{"tarn-mx12-main", "tarn-mx12-power"}},
		{"kind", store.BoardFilter{Kind: "Mixer"}, []string{"okeby-fm6-sum"}},
		{"both", store.BoardFilter{Kind: "Mixer", Maker: "Tarnwright"}, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for tt.f.Page.Limit = 1; ; {
				l, err := d.Boards(ctx, tt.f)
				if err != nil {
					t.Fatal(err)
				}
				for _, b := range l.Items {
					got = append(got, b.ID)
				}
				if tt.f.Page.After = l.Next; l.Next == "" {
					break
				}
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
	open := d.submit(t, d.ann, 1, newMap("okeby-fm6-sum"))
	b, err := d.Board(ctx, "okeby-fm6-sum")
	if err != nil {
		t.Fatal(err)
	}
	want := store.Counts{Positions: 4, Replace: 4, FailurePoints: 1, OpenProposals: 1}
	if b.Revision != 1 || b.Counts != want || !b.BarsPowerUp || !cmp.Equal(b.Open, []int64{open.Proposal}) ||
		b.Equipment.Years[1] != 1991 || b.Name == "" {
		t.Errorf("%+v", b)
	}
	_, err = d.Board(ctx, "tarn-z")
	refused(t, err, fault.NotFound, "board-unknown")
	_, err = d.Board(ctx, "tarn-unborn")
	if f := refused(t, err, fault.NotFound, "board-unknown"); !strings.Contains(f.Detail.String(),
		"waiting for review: proposal 4") {
		t.Error(f.Detail)
	}
}

func TestProposals(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	one, two := d.submit(t, d.ann, 1, newMap("tarn-a", note("C1", "x"))), d.submit(t, d.abe, 0, newMap("tarn-b"))
	if _, err := d.Review(ctx, d.rob, store.Verdict{Proposal: two.Proposal, Verdict: review.Query,
		Summary: "?"}); err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name string
		f    store.ProposalFilter
		want []int64
	}{
		{"all", store.ProposalFilter{}, []int64{two.Proposal, one.Proposal, 1}},
		{"open", store.ProposalFilter{State: store.AnyOpen}, []int64{two.Proposal, one.Proposal}},
		{"returned", store.ProposalFilter{State: review.Returned}, []int64{two.Proposal}},
		{"of a board", store.ProposalFilter{Board: "tarn-a"}, []int64{one.Proposal, 1}},
		{"by an author", store.ProposalFilter{Author: "abe"}, []int64{two.Proposal}},
		{"none", store.ProposalFilter{Author: "abe", Board: "tarn-a"}, nil},
		{"the next page", store.ProposalFilter{Page: store.Page{Limit: 1}}, []int64{two.Proposal}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			l, err := d.Proposals(ctx, tt.f)
			if err != nil {
				t.Fatal(err)
			}
			var got []int64
			for _, p := range l.Items {
				got = append(got, p.ID)
			}
			if !slices.Equal(got, tt.want) {
				t.Errorf("got %v, want %v", got, tt.want)
			}
		})
	}
	_, err := d.Proposal(ctx, 999)
	refused(t, err, fault.NotFound, "proposal-unknown")
}

func TestHistory(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 1, newMap("tarn-a", note("C1", "x")))
	evidence := jsontext.Value(`["of all",{"text":"of C2","designators":["C2"]},{"text":"of C1","designators":["C1"]}]`)
	in := d.submission(t, 2, newMap("tarn-a", note("C1", "x"), note("C2", "y")))
	in.Evidence = evidence
	r, err := d.Submit(ctx, d.abe, in)
	if err != nil {
		t.Fatal(err)
	}
	d.endorse(t, d.rob, r.Proposal)
	if _, err := d.Release(ctx, d.rita, store.Decision{Proposal: r.Proposal}); err != nil {
		t.Fatal(err)
	}
	h, err := d.PositionHistory(ctx, "tarn-a", "C2")
	if err != nil || len(h) != 2 {
		t.Fatalf("%+v, %v", h, err)
	}
	if h[0].Revision != 1 || h[0].Author != "ann" || len(h[0].Changes) != 0 || h[1].Revision != 3 ||
		h[1].Author != "abe" ||
		h[1].ReleasedBy != "rita" || len(h[1].Changes) != 1 || len(h[1].Evidence) != 2 ||
		h[1].Evidence[1].Text != "of C2" {
		t.Errorf("%+v", h)
	}
	_, err = d.PositionHistory(ctx, "tarn-a", "R9")
	refused(t, err, fault.NotFound, "designator-unknown")
	_, err = d.PositionHistory(ctx, "tarn-z", "C1")
	refused(t, err, fault.NotFound, "board-unknown")
}

// TestHistoryIsCompact: what large revisions changed takes less room than one of
// the maps does, each time.
func TestHistoryIsCompact(t *testing.T) {
	d := newDesk(t)
	m := large("tarn-a", 300)
	d.released(t, 0, m)
	const revisions = 6
	for n := 1; n < revisions; n++ {
		for i := range m.Positions {
			m.Positions[i].Notes = fmt.Sprintf("Note %d.", n)
		}
		d.released(t, n, m)
	}
	var changes, maps int64
	for sql, to := range map[string]*int64{
		`SELECT pg_total_relation_size('position_changes')`:         &changes,
		`SELECT sum(octet_length(document))::bigint FROM revisions`: &maps,
	} {
		if _, err := fmt.Sscan(answered(t, d.dsn, sql), to); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d bytes a revision for what changed, %d for a map of 300 positions", changes/(revisions-1), maps/revisions)
	if changes/(revisions-1) > maps/revisions {
		t.Errorf("changes take %d bytes a revision", changes/(revisions-1))
	}
	h, err := d.PositionHistory(ctx, "tarn-a", "C300")
	if err != nil || len(h) != revisions || len(h[revisions-1].Changes) != 1 {
		t.Errorf("%d steps, %v", len(h), err)
	}
}

const kitText = `{"kit":"full-set","title":"Full set","for":["tarn-a"],"lines":[{"line":1,"quantity":4,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"25 V"}}]}`

func TestKits(t *testing.T) {
	d := newDesk(t)
	put := func(who store.Actor, doc string, edit ...func(*store.KitPut)) (*store.Kit, bool, error) {
		in := store.KitPut{Kit: "full-set", Document: []byte(doc)}
		for _, e := range edit {
			e(&in)
		}
		return d.PutKit(ctx, who, in)
	}
	_, _, err := put(store.Actor{}, kitText)
	refused(t, err, fault.Unauthenticated, "token-needed")
	_, _, err = put(d.ann, `{"kit":"full-set"}`)
	refused(t, err, fault.Invalid, "kit-refused")
	_, _, err = put(d.ann, strings.Replace(kitText, "full-set", "half-set", 1))
	refused(t, err, fault.Invalid, "kit-refused")
	_, _, err = put(d.ann, kitText+strings.Repeat(" ", board.MaxBytes))
	refused(t, err, fault.TooLarge, "document-too-large")
	_, _, err = put(d.ann, kitText, func(p *store.KitPut) { p.IfMatch = "*" })
	refused(t, err, fault.Stale, "kit-changed")

	first, created, err := put(d.ann, kitText, func(p *store.KitPut) { p.IfNoneMatch = true })
	if err != nil || !created || first.Version != 1 || first.Owner != "ann" ||
		board.Digest(first.Canonical) != first.Digest {
		t.Fatalf("%+v, %v, %v", first, created, err)
	}
	same, created, err := put(d.ann, kitText)
	if err != nil || created || same.Version != 1 || same.KeptBy != "ann" || !same.KeptAt.Equal(first.KeptAt) {
		t.Errorf("%+v, %v, %v", same, created, err)
	}
	better := strings.Replace(kitText, `"quantity":4`, `"quantity":5`, 1)
	_, _, err = put(d.abe, better)
	refused(t, err, fault.NotAllowed, "kit-not-yours")
	_, _, err = put(d.ann, better, func(p *store.KitPut) { p.IfMatch = strings.Repeat("0", 64) })
	refused(t, err, fault.Stale, "kit-changed")
	_, _, err = put(d.ann, better, func(p *store.KitPut) { p.IfNoneMatch = true })
	refused(t, err, fault.Stale, "kit-changed")
	second, created, err := put(d.rob, better, func(p *store.KitPut) { p.IfMatch = first.Digest })
	if err != nil || created || second.Version != 2 || second.Owner != "ann" || second.KeptBy != "rob" {
		t.Errorf("%+v, %v, %v", second, created, err)
	}
	for version, quantity := range map[int]int{0: 5, 1: 4, 2: 5} {
		k, err := d.Kit(ctx, "full-set", version)
		if err != nil || k.Kit.Lines[0].Quantity != quantity {
			t.Errorf("version %d: %+v, %v", version, k, err)
		}
	}
	_, err = d.Kit(ctx, "full-set", 3)
	refused(t, err, fault.NotFound, "kit-unknown")
	_, err = d.KitVersions(ctx, "half-set", store.Page{})
	refused(t, err, fault.NotFound, "kit-unknown")
	for id, n := range map[string]int{"": 1, "tarn-a": 1, "tarn-b": 0} {
		if l, err := d.Kits(ctx, store.KitFilter{Board: id}); err != nil || len(l.Items) != n {
			t.Errorf("for board %q: %+v, %v", id, l, err)
		}
	}
	if l, err := d.KitVersions(ctx, "full-set", store.Page{}); err != nil || len(l.Items) != 2 ||
		l.Items[0].Version != 2 {
		t.Errorf("%+v, %v", l, err)
	}
}

func TestPhotographs(t *testing.T) {
	d := newDesk(t)
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 8, 4))); err != nil {
		t.Fatal(err)
	}
	_, _, err := d.PutPhotograph(ctx, store.Actor{}, b.Bytes())
	refused(t, err, fault.Unauthenticated, "token-needed")
	_, _, err = d.PutPhotograph(ctx, d.ann, []byte("<svg/>"))
	refused(t, err, fault.Invalid, "photograph-unreadable")
	_, _, err = d.PutPhotograph(ctx, d.ann, make([]byte, photograph.MaxBytes+1))
	refused(t, err, fault.TooLarge, "photograph-too-large")

	p, created, err := d.PutPhotograph(ctx, d.ann, append(b.Bytes(), "53.5511 N 9.9937 E"...))
	if err != nil || !created || p.Type != "image/png" || p.Width != 8 || p.Height != 4 || p.By != "ann" ||
		!bytes.Equal(p.Data, b.Bytes()) || p.Bytes != b.Len() {
		t.Fatalf("%+v, %v, %v", p, created, err)
	}
	again, created, err := d.PutPhotograph(ctx, d.abe, b.Bytes())
	if err != nil || created || again.SHA256 != p.SHA256 || again.By != "ann" {
		t.Errorf("%+v, %v, %v", again, created, err)
	}
	in := d.submission(t, 0, newMap("tarn-a"))
	in.Evidence = jsontext.Value(`[{"text":"seen","photographs":["` + p.SHA256 + `"]}]`)
	if _, err := d.Submit(ctx, d.ann, in); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"", strings.Repeat("0", 64), strings.ToUpper(p.SHA256)} {
		_, err = d.Photograph(ctx, name)
		refused(t, err, fault.NotFound, "photograph-unknown")
	}
}

func TestEvents(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	r := d.submit(t, d.ann, 1, newMap("tarn-a", note("C1", "x")))
	if _, err := d.Amend(ctx, d.ann, store.Amendment{Proposal: r.Proposal,
		Map: text(t, newMap("tarn-a", note("C1", "y"))), IfMatch: "*"}); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Decline(ctx, d.rob, store.Decision{Proposal: r.Proposal, Reason: "superseded"}); err != nil {
		t.Fatal(err)
	}
	d.submit(t, d.abe, 0, newMap("tarn-b"))
	if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	did := func(f store.EventFilter) (out []string) {
		t.Helper()
		l, err := d.Events(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range l.Items {
			if e.At.IsZero() || e.Sentence.IsZero() {
				t.Errorf("%+v", e)
			}
			out = append(out, e.Who+" "+e.What)
		}
		return out
	}
	all := []string{"ann submitted", "rob reviewed", "rita reviewed", "stew released", "ann submitted", "ann amended",
		"rob declined", "abe submitted", "ann kit-kept"}
	joined := slices.Repeat([]string{" account-added"}, 5) // told without a name
	if diff := cmp.Diff(append(joined, all...), did(store.EventFilter{})); diff != "" {
		t.Errorf("all (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(all[:7], did(store.EventFilter{Board: "tarn-a"})); diff != "" {
		t.Errorf("of a board (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(all[4:7], did(store.EventFilter{Proposal: r.Proposal})); diff != "" {
		t.Errorf("of a proposal (-want +got):\n%s", diff)
	}
	if got := did(store.EventFilter{Newest: true, Page: store.Page{Limit: 1}}); !slices.Equal(got, all[8:]) {
		t.Errorf("newest: %v", got)
	}
	l, err := d.Events(ctx, store.EventFilter{Accounts: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range l.Items {
		if e.ID != int64(i+1) {
			t.Fatalf("event %d has number %d", i+1, e.ID)
		}
	}
}

func TestAccounts(t *testing.T) {
	d := newDesk(t)
	_, err := d.AddAccount(ctx, "ann", review.Steward)
	refused(t, err, fault.Conflict, "account-exists")
	for _, name := range []string{"", " ann", "a\nb", strings.Repeat("x", 65), "\xff"} {
		_, err := d.AddAccount(ctx, name, review.Steward)
		refused(t, err, fault.Invalid, "account-invalid")
	}
	_, err = d.AddAccount(ctx, "zed", "root")
	refused(t, err, fault.Invalid, "account-invalid")
	for _, token := range []string{"", "x", strings.Repeat("x", 1<<16)} {
		_, err := d.Authenticate(ctx, token)
		refused(t, err, fault.Unauthenticated, "token-invalid")
	}
	token, err := d.AddAccount(ctx, "zed", review.Reviewer)
	if err != nil || len(token) < 40 {
		t.Fatalf("%q, %v", token, err)
	}
	other := openStore(t, d.dsn)
	for _, s := range []*store.Store{d.Store, other, other} {
		if a, err := s.Authenticate(ctx, token); err != nil || a.Name != "zed" || a.Role != review.Reviewer {
			t.Errorf("%+v, %v", a, err)
		}
	}
	newer, err := d.NewToken(ctx, "zed")
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Authenticate(ctx, token)
	refused(t, err, fault.Unauthenticated, "token-invalid")
	zed, err := d.Authenticate(ctx, newer)
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		if _, err := d.Disable(ctx, store.Operator, zed.ID, ""); err != nil {
			t.Fatal(err)
		}
	}
	_, err = d.Authenticate(ctx, newer)
	refused(t, err, fault.Unauthenticated, "token-invalid")
	_, err = other.Submit(ctx, zed, d.submission(t, 0, newMap("tarn-a"))) // by what another server still believes
	refused(t, err, fault.Unauthenticated, "token-invalid")
	_, err = d.NewToken(ctx, "zed")
	refused(t, err, fault.Conflict, "account-disabled")
	_, err = d.NewToken(ctx, "nobody")
	refused(t, err, fault.NotFound, "account-unknown")
	_, err = d.Disable(ctx, store.Operator, 1<<40, "")
	refused(t, err, fault.NotFound, "account-unknown")
	_, err = d.AccountNumber(ctx, "nobody")
	refused(t, err, fault.NotFound, "account-unknown")
	l, err := d.Accounts(ctx)
	if err != nil || len(l) != 6 || l[5].Name != "zed" || !l[5].Disabled || l[5].Tokens != 1 || l[0].Name != "abe" ||
		l[0].Tokens != 1 {
		t.Errorf("%+v, %v", l, err)
	}
}

// What the database itself refuses, to whoever comes past the store.
func TestImmutable(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 1, newMap("tarn-a", note("C1", "x")))
	if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	for table, column := range map[string]string{"revisions": "document", "events": "sentence",
		"proposal_maps": "document", "reviews": "verdict",
		"kit_versions": "document", "position_changes": "changes"} {
		for _, sql := range []string{fmt.Sprintf("UPDATE %s SET %s = %s", table, column, column), "DELETE FROM " +
			table, "TRUNCATE " + table + " CASCADE"} {
			if got := raw(t, d.dsn, sql); got != table+"_immutable" {
				t.Errorf("%s: refused by %q", sql, got)
			}
		}
	}
	const insert = `INSERT INTO revisions (board, number, digest, document, proposal, released_by, released_at)
		SELECT board, %s, digest, document, %s, released_by, released_at FROM revisions WHERE number = 1`
	if got := raw(t, d.dsn, fmt.Sprintf(insert, "4", "proposal")); got != "revisions_no_gap" {
		t.Errorf("a gap: refused by %q", got)
	}
	if got := raw(t, d.dsn, fmt.Sprintf(insert, "3", "proposal")); got != "revisions_proposal_key" {
		t.Errorf("one proposal twice: refused by %q", got)
	}
}

// A document that was changed behind the store's back is found out.
func TestDamage(t *testing.T) {
	d := newDesk(t)
	r := d.released(t, 0, newMap("tarn-a"))
	if _, _, err := d.PutKit(ctx, d.ann, store.KitPut{Kit: "full-set", Document: []byte(kitText)}); err != nil {
		t.Fatal(err)
	}
	for _, sql := range []string{
		`ALTER TABLE revisions DISABLE TRIGGER ALL; UPDATE revisions SET document = convert_to(replace(convert_from(document, 'UTF8'), '25 V', '16 V'), 'UTF8')`,
		`ALTER TABLE proposal_maps DISABLE TRIGGER ALL; UPDATE proposal_maps SET document = document || ' '::bytea`,
		`ALTER TABLE kit_versions DISABLE TRIGGER ALL; UPDATE kit_versions SET document = '{}'::bytea`,
	} {
		for _, part := range strings.Split(sql, "; ") {
			if by := raw(t, d.dsn, part); by != "" {
				t.Fatalf("%s: refused by %s", part, by)
			}
		}
	}
	s := openStore(t, d.dsn) // with nothing in its cache
	reads := map[string]func() error{
		"revision": func() error { _, err := s.Revision(ctx, "tarn-a", 0, ""); return err },
		"proposal": func() error { _, err := s.Proposal(ctx, r.Proposal); return err },
		"version":  func() error { _, err := s.ProposalMap(ctx, r.Proposal, 1); return err },
		"kit":      func() error { _, err := s.Kit(ctx, "full-set", 0); return err },
	}
	for name, read := range reads {
		if err := read(); !errors.Is(err, store.ErrDamaged) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestMigrate(t *testing.T) {
	dsn := storetest.DSN(t, nil)
	if _, err := store.Open(ctx, dsn, store.Options{}); err == nil || !strings.Contains(err.Error(),
		"boardlore migrate") {
		t.Errorf("an empty database: %v", err)
	}
	var mu sync.Mutex
	steps := map[string]int{}
	var wg sync.WaitGroup
	errs := make([]error, 4)
	for i := range errs {
		wg.Go(func() {
			errs[i] = store.Migrate(ctx, dsn, func(s string) { mu.Lock(); steps[s]++; mu.Unlock() })
		})
	}
	wg.Wait()
	if err := errors.Join(errs...); err != nil {
		t.Fatal(err)
	}
	if len(steps) < 6 {
		t.Errorf("steps told: %v", steps)
	}
	for s, n := range steps {
		if n != 1 && !strings.HasPrefix(s, "waiting for ") {
			t.Errorf("%s was done %d times", s, n)
		}
	}
	s := openStore(t, dsn)
	if err := s.Ready(ctx); err != nil {
		t.Error(err)
	}
	if by := raw(t, dsn, `INSERT INTO migrations (version_id, is_applied) VALUES (99999, true)`); by != "" {
		t.Fatal(by)
	}
	if _, err := store.Open(ctx, dsn, store.Options{}); err == nil || !strings.Contains(err.Error(), "ahead") {
		t.Errorf("a database from the future: %v", err)
	}
	if err := store.Migrate(ctx, dsn, nil); err == nil || !strings.Contains(err.Error(), "ahead") {
		t.Errorf("migrating a database from the future: %v", err)
	}
}

func TestClosedDatabase(t *testing.T) {
	d := newDesk(t)
	s, err := store.Open(ctx, d.dsn, store.Options{Replica: d.dsn})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	refused(t, s.Ready(ctx), fault.Unavailable, "database-unavailable")
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	if _, err := d.Revision(cancelled, "tarn-a", 0, ""); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}
