package seeds

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/kit"
	"boardlore/domain/record"
	"boardlore/store"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

func open(t *testing.T) *store.Store {
	t.Helper()
	url := storetest.DSN(t, func(ctx context.Context, url string) error {
		return store.Migrate(ctx, url,
			func(string) {})
	})
	s, err := store.Open(t.Context(), url, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

// TestLoadTwice: the scenario is whole after one loading, and a second one
// adds no board, revision, proposal or kit.
func TestLoadTwice(t *testing.T) {
	s := open(t)
	for range 2 {
		accounts, err := Load(t.Context(), s, func(string) {})
		if err != nil {
			t.Fatal(err)
		}
		if len(accounts) != 5 {
			t.Errorf("%d accounts", len(accounts))
		}
		boards, err := s.Boards(t.Context(), store.BoardFilter{})
		if err != nil || len(boards.Items) != 3 {
			t.Errorf("%d boards, %v", len(boards.Items), err)
		}
		main, err := s.Board(t.Context(), "tarn-mx12-main")
		if err != nil || main.Revision != 3 || len(main.Open) != 2 {
			t.Errorf("main board %+v, %v", main, err)
		}
		var records int
		for _, id := range []string{"tarn-mx12-main", "tarn-ps4-mains", "okeby-fm6-sum"} {
			l, err := s.Records(t.Context(), store.RecordFilter{Board: id})
			if err != nil {
				t.Fatal(err)
			}
			records += len(l.Items)
		}
		if records != 40 {
			t.Errorf("%d records", records)
		}
		all, err := s.Proposals(t.Context(), store.ProposalFilter{})
		if err != nil || len(all.Items) != 8 {
			t.Errorf("%d proposals, %v", len(all.Items), err)
		}
	}
}

// TestKits: each of the four kits is what its name says.
func TestKits(t *testing.T) {
	s := open(t)
	if _, err := Load(t.Context(), s, func(string) {}); err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"mx12-main-right": kit.Complete, "mx12-main-short": kit.Short,
		"mx12-main-swapped": kit.Conflict, "ps4-mains-dangerous": kit.Conflict} {
		k, err := s.Kit(t.Context(), id, 0)
		if err != nil {
			t.Fatal(err)
		}
		r, err := s.Revision(t.Context(), k.Kit.For[0], 0, "")
		if err != nil {
			t.Fatal(err)
		}
		report, err := kit.Reconcile(kit.Request{Map: r.Map, Kit: k.Kit, Revision: r.Number, Digest: r.Digest})
		if err != nil {
			t.Fatal(err)
		}
		if report.Outcome != want {
			t.Errorf("%s is %s, want %s: %+v", id, report.Outcome, want, report.Summary)
		}
		if len(report.Cautions) == 0 {
			t.Errorf("%s has no cautions", id)
		}
	}
}

// TestStory: what the figures of the scenario's records tell.
func TestStory(t *testing.T) {
	s := open(t)
	if _, err := Load(t.Context(), s, func(string) {}); err != nil {
		t.Fatal(err)
	}
	e, err := s.Experience(t.Context(), "tarn-mx12-main", "")
	if err != nil {
		t.Fatal(err)
	}
	if c := e.Position("C48"); c.Failed <= c.Units/2 || !strings.Contains(c.Words().String(), "C48 leaking (") {
		t.Errorf("C48: %s", c.Words())
	}
	if c := e.Position("C13"); c.Differs != 1 || c.AsMapped != 6 {
		t.Errorf("C13: %s", c.Evidence())
	}
	for question, want := range map[string]string{"smell of fish": "reservoir-leak", "no clock": "backup-cell-leak",
		"won't start": "start-capacitor-dries", "crackling fader": "coupling-leak"} {
		points, err := s.Suspects(t.Context(), question, "")
		if err != nil {
			t.Fatal(err)
		}
		first := slices.IndexFunc(points, func(p record.Ranked) bool { return p.ID != "" })
		if first < 0 || points[first].ID != want || points[first].Score <= 0 {
			t.Errorf("%s: %+v, want %s first", question, points, want)
		}
	}
}
