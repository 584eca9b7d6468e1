package store_test

import (
	"context"
	"errors"
	"os"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

func migrate(ctx context.Context, dsn string) error { return store.Migrate(ctx, dsn, nil) }

// desk is a store with one account of each kind that tests need.
type desk struct {
	*store.Store
	dsn                       string
	ann, abe, rob, rita, stew store.Actor // two contributors, two reviewers, a steward
}

func newDesk(t testing.TB) *desk {
	t.Helper()
	if t, ok := t.(*testing.T); ok {
		t.Parallel() // each has a database of its own
	}
	return anotherDesk(t)
}

// anotherDesk is a second registry beside that of newDesk.
func anotherDesk(t testing.TB) *desk {
	t.Helper()
	d := &desk{dsn: storetest.DSN(t, migrate)}
	d.Store = openStore(t, d.dsn)
	for name, a := range map[string]struct {
		to   *store.Actor
		role review.Role
	}{"ann": {&d.ann, review.Contributor}, "abe": {&d.abe, review.Contributor}, "rob": {&d.rob, review.Reviewer},
		"rita": {&d.rita, review.Reviewer}, "stew": {&d.stew, review.Steward}} {
		*a.to = account(t, d.Store, name, a.role)
	}
	return d
}

func openStore(t testing.TB, dsn string) *store.Store {
	t.Helper()
	s, err := store.Open(context.Background(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

func account(t testing.TB, s *store.Store, name string, role review.Role) store.Actor {
	t.Helper()
	token, err := s.AddAccount(context.Background(), name, role)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Authenticate(context.Background(), token)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func q(s string) quantity.Quantity {
	v, err := quantity.Parse(s)
	if err != nil {
		panic(err)
	}
	return v
}

func of[T any](v T) *T { return &v }

// newMap is a sound map of four positions; edits change it.
func newMap(id string, edits ...func(*board.Map)) *board.Map {
	m := &board.Map{Board: id, Name: "Main board of " + id, Equipment: board.Equipment{Maker: "Tarnwright",
		Model: "MX-12", Kind: "portable recorder"},
		Markings: []string{"TW-7120-B"}, Frame: board.Frame{Width: 100, Height: 80, Basis: "measured"}}
	for i, d := range []string{"C1", "C2", "C3", "C4"} {
		m.Positions = append(m.Positions, board.Position{Designator: d, Side: "top", X: 10 + 20*float64(i), Y: 20,
			Negative: of(90.0),
			Part: part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Value: q("47 µF"),
				Voltage: q("25 V"), Polarised: of(true)}, Service: "replace"})
	}
	for _, e := range edits {
		e(m)
	}
	return m
}

// note puts a note on a position: a change that is not hazardous.
func note(designator, text string) func(*board.Map) {
	return func(m *board.Map) {
		for i := range m.Positions {
			if m.Positions[i].Designator == designator {
				m.Positions[i].Notes = text
			}
		}
	}
}

// turn turns the polarity of a position round: a hazardous change.
func turn(designator string) func(*board.Map) {
	return func(m *board.Map) {
		for i := range m.Positions {
			if m.Positions[i].Designator == designator {
				m.Positions[i].Negative = of(270.0)
			}
		}
	}
}

func text(t testing.TB, m *board.Map) []byte {
	t.Helper()
	b, err := json.Marshal(m)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func (d *desk) submission(t testing.TB, base int, m *board.Map) store.Submission {
	return store.Submission{Board: m.Board, Base: base, Map: text(t, m), Summary: "what the board says",
		Evidence: jsontext.Value(`["read on the can"]`)}
}

func (d *desk) submit(t testing.TB, who store.Actor, base int, m *board.Map) store.Receipt {
	t.Helper()
	r, err := d.Submit(context.Background(), who, d.submission(t, base, m))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Review and Release are the store's, about the map as it is where the caller
// names none; tests of the condition call the store itself.
func (d *desk) Review(ctx context.Context, who store.Actor, in store.Verdict) (store.Receipt, error) {
	in.IfMatch = d.present(ctx, in.Proposal, in.IfMatch)
	return d.Store.Review(ctx, who, in)
}

func (d *desk) Release(ctx context.Context, who store.Actor, in store.Decision) (store.Receipt, error) {
	in.IfMatch = d.present(ctx, in.Proposal, in.IfMatch)
	return d.Store.Release(ctx, who, in)
}

func (d *desk) present(ctx context.Context, id int64, ifMatch string) string {
	if v, err := d.ProposalMap(ctx, id, 0); ifMatch == "" && err == nil {
		return v.Digest
	}
	return ifMatch
}

func (d *desk) endorse(t testing.TB, who store.Actor, id int64) store.Receipt {
	t.Helper()
	r, err := d.Review(context.Background(), who, store.Verdict{Proposal: id, Verdict: review.Endorse})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// released takes a map the whole way.
func (d *desk) released(t testing.TB, base int, m *board.Map) store.Receipt {
	t.Helper()
	r := d.submit(t, d.ann, base, m)
	d.endorse(t, d.rob, r.Proposal)
	d.endorse(t, d.rita, r.Proposal)
	out, err := d.Release(context.Background(), d.stew, store.Decision{Proposal: r.Proposal})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// refused fails unless err is a fault of this kind and code with a sentence for the person.
func refused(t testing.TB, err error, kind fault.Kind, code string) *fault.Error {
	t.Helper()
	f, ok := fault.As(err)
	if !ok || f.Kind != kind || f.Code != code || f.Detail.IsZero() {
		t.Fatalf("got %v (%+v), want %s", err, f, code)
	}
	return f
}

// raw runs SQL past the store, and gives the constraint by whose name it was refused.
func raw(t testing.TB, dsn, sql string, args ...any) string {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	_, err = conn.Exec(context.Background(), sql, args...)
	var named interface{ SQLState() string }
	if errors.As(err, &named) {
		return constraint(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	return ""
}

// answered is what SQL past the store answers: one column of one row.
func answered(t testing.TB, dsn, sql string) (out string) {
	t.Helper()
	conn, err := pgx.Connect(context.Background(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.Background())
	if err := conn.QueryRow(context.Background(), "SELECT ("+sql+")::text").Scan(&out); err != nil {
		t.Fatal(err)
	}
	return out
}

// awaited waits until something has come about.
func awaited(t testing.TB, what string, come func() bool) {
	t.Helper()
	for deadline := time.Now().Add(time.Minute); !come(); {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain: %s", what)
		}
		time.Sleep(20 * time.Millisecond)
	}
}
