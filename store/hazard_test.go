package store_test

import (
	"context"
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/store"
)

// without leaves a position out.
func without(designator string) func(*board.Map) {
	return func(m *board.Map) {
		for i := range m.Positions {
			if m.Positions[i].Designator == designator {
				m.Positions = append(m.Positions[:i:i], m.Positions[i+1:]...)
				return
			}
		}
	}
}

// What was taken out in one revision and comes back reversed in the next is
// held to the revision before, and told with it.
func TestComesBackReversed(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 1, newMap("tarn-a", without("C2")))
	r := d.submit(t, d.ann, 2, newMap("tarn-a", turn("C2")))
	p, err := d.Proposal(ctx, r.Proposal)
	if err != nil {
		t.Fatal(err)
	}
	if !p.Standing.Hazardous || p.Standing.Needed != 2 || len(p.Judged) != 1 || p.Judged[0].Revision != 1 ||
		p.Judged[0].Designator != "C2" {
		t.Errorf("standing %+v, hazards %+v", p.Standing, p.Judged)
	}
	d.endorse(t, d.rob, r.Proposal)
	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	refused(t, err, fault.Conflict, "endorsement-needed")
	d.endorse(t, d.rita, r.Proposal)
	if _, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal}); err != nil {
		t.Fatal(err)
	}
	if p, err := d.Proposal(ctx, r.Proposal); err != nil || len(p.Judged) != 1 || !p.Standing.Hazardous {
		t.Errorf("once released: %+v, %v", p.Judged, err)
	}
	// The view is made anew where it is lost.
	raw(t, d.dsn, `DELETE FROM safety_views`)
	back := d.submit(t, d.ann, 3, newMap("tarn-a"))
	if p, err := d.Proposal(ctx, back.Proposal); err != nil || !p.Standing.Hazardous {
		t.Errorf("without a kept view: %+v, %v", p.Judged, err)
	}
}

// An endorsement counts while its account is a reviewer's and enabled.
func TestReviewersOnly(t *testing.T) {
	d := newDesk(t)
	r := d.submit(t, d.ann, 0, newMap("tarn-a"))
	d.endorse(t, d.rob, r.Proposal)
	raw(t, d.dsn, `UPDATE accounts SET role = 'contributor' WHERE name = 'rob'`)
	p, err := d.Proposal(ctx, r.Proposal)
	if err != nil || p.Standing.Endorsements != 0 || len(p.Standing.SuspendedBy) != 1 {
		t.Fatalf("demoted: %+v, %v", p.Standing, err)
	}
	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	refused(t, err, fault.Conflict, "endorsement-needed")
	raw(t, d.dsn, `UPDATE accounts SET role = 'reviewer', disabled_at = now() WHERE name = 'rob'`)
	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	refused(t, err, fault.Conflict, "endorsement-needed")
	raw(t, d.dsn, `UPDATE accounts SET disabled_at = NULL WHERE name = 'rob'`)
	if _, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal}); err != nil {
		t.Error(err)
	}
}

// A merge that is hazardous is endorsed anew once there is something to merge
// with.
func TestHazardousMergeIsEndorsedAnew(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	r := d.submit(t, d.ann, 1, newMap("tarn-a", turn("C2")))
	d.endorse(t, d.rob, r.Proposal)
	d.endorse(t, d.rita, r.Proposal)
	d.released(t, 1, newMap("tarn-a", note("C1", "dusty")))
	_, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	f := refused(t, err, fault.Conflict, "endorsement-needed")
	if st, _ := f.Data.(review.Standing); len(st.OutdatedBy) != 2 {
		t.Errorf("%+v", f.Data)
	}
	d.endorse(t, d.rob, r.Proposal)
	d.endorse(t, d.rita, r.Proposal)
	if _, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal}); err != nil {
		t.Error(err)
	}
}

// A registry with one reviewer beside the author may do with one endorsement,
// by a steward and after seven days, and its event says so.
func TestSmallRegistry(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-a"))
	r := d.submit(t, d.ann, 1, newMap("tarn-a", turn("C2")))
	raw(t, d.dsn, `UPDATE accounts SET disabled_at = now() WHERE name IN ('rob', 'rita')`)
	d.endorse(t, d.stew, r.Proposal)
	_, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	refused(t, err, fault.Conflict, "endorsement-needed")
	age := func(days int) {
		conn, err := pgx.Connect(ctx, d.dsn)
		if err != nil {
			t.Fatal(err)
		}
		defer conn.Close(ctx)
		if _, err := conn.Exec(ctx, fmt.Sprintf(`ALTER TABLE proposal_maps DISABLE TRIGGER proposal_maps_immutable;
			UPDATE proposal_maps SET at = now() - interval '%d hours' WHERE proposal = %d`, days*24+1,
			r.Proposal)); err != nil {
			t.Fatal(err)
		}
	}
	age(6)
	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	refused(t, err, fault.Conflict, "endorsement-needed")
	age(7)
	raw(t, d.dsn, `UPDATE accounts SET disabled_at = NULL WHERE name IN ('rob', 'rita')`)
	_, err = d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	refused(t, err, fault.Conflict, "endorsement-needed") // there are reviewers enough
	raw(t, d.dsn, `UPDATE accounts SET disabled_at = now() WHERE name IN ('rob', 'rita')`)
	out, err := d.Release(ctx, d.stew, store.Decision{Proposal: r.Proposal})
	if err != nil {
		t.Fatal(err)
	}
	log, err := d.Events(ctx, store.EventFilter{Board: "tarn-a", Newest: true, Page: store.Page{Limit: 1}})
	if err != nil || len(log.Items) != 1 || log.Items[0].ID != out.Event ||
		!strings.Contains(log.Items[0].Sentence.String(), "endorsed once") {
		t.Errorf("%+v, %v", log.Items, err)
	}
}

// Endorsing, amending, releasing and disabling at once over two servers: what
// is released is a map that a reviewer who is one still had read and endorsed.
func TestRaceOfVerdicts(t *testing.T) {
	d := newDesk(t)
	servers := [2]*store.Store{d.Store, openStore(t, d.dsn)}
	released := 0
	for round := range 12 {
		id := fmt.Sprintf("tarn-race-%d", round)
		r := d.submit(t, d.ann, 0, newMap(id))
		second := text(t, newMap(id, note("C1", "amended")))
		var wg sync.WaitGroup
		run := func(do func() error) {
			wg.Go(func() {
				if err := do(); err != nil {
					if _, ok := fault.As(err); !ok {
						t.Error(err)
					}
				}
			})
		}
		var out store.Receipt
		run(func() error {
			_, err := servers[0].Review(ctx, d.rob, store.Verdict{Proposal: r.Proposal, Verdict: review.Endorse,
				IfMatch: r.Digest})
			return err
		})
		run(func() error {
			_, err := servers[1].Amend(ctx, d.ann, store.Amendment{Proposal: r.Proposal, Map: second,
				IfMatch: r.Digest})
			return err
		})
		run(func() error { return disable(t, d.dsn, "rob", round%2 == 0) })
		run(func() error {
			for range 4 {
				var err error
				if out, err = servers[round%2].Release(ctx, d.stew, store.Decision{Proposal: r.Proposal,
					IfMatch: r.Digest}); err == nil {
					return nil
				}
			}
			return nil
		})
		wg.Wait()
		p, err := d.Proposal(ctx, r.Proposal)
		if err != nil {
			t.Fatal(err)
		}
		if p.State == review.Released {
			released++
			if p.Digest != r.Digest || p.Version != 1 || out.Digest != r.Digest || out.Standing.Endorsements != 1 {
				t.Errorf("%s: released version %d with %+v", id, p.Version, out.Standing)
			}
		}
		if err := disable(t, d.dsn, "rob", false); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d of 12 were released", released)
}

func disable(t *testing.T, dsn, name string, off bool) error {
	conn, err := pgx.Connect(context.Background(), dsn)
	if err != nil {
		t.Error(err)
		return nil
	}
	defer conn.Close(context.Background())
	_, err = conn.Exec(context.Background(),
		`UPDATE accounts SET disabled_at = CASE WHEN $2 THEN now() END WHERE name = $1`, name, off)
	return err
}
