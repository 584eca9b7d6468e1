package store_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/record"
	"boardlore/store"
)

var today = time.Date(2026, 6, 1, 12, 0, 0, 0, time.UTC)

// serviced is one record, as the plain reckoning below reads it.
type serviced struct {
	who, unit, on, build string
	found                map[string]string
	symptoms             []string
	withdrawn            bool
}

func (r *serviced) document(id string) string {
	var positions []string
	for _, d := range slices.Sorted(mapKeys(r.found)) {
		positions = append(positions, fmt.Sprintf(`{"designator":%q,"found":%q,"done":"left"}`, d, r.found[d]))
	}
	variant := ""
	if r.build != record.Base {
		variant = fmt.Sprintf(`,"variant":%q`, r.build)
	}
	symptoms := ""
	if len(r.symptoms) > 0 {
		symptoms = `,"symptoms":["` + strings.Join(r.symptoms, `","`) + `"]`
	}
	return fmt.Sprintf(`{"board":%q,"revision":1,"unit":%q,"serviced_on":%q,"outcome":"working","positions":[%s]%s%s}`,
		id, r.unit, r.on, strings.Join(positions, ","), variant, symptoms)
}

func mapKeys[V any](m map[string]V) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// reckon counts the records in the plainest way that the definition allows.
func reckon(m *board.Map, rs []*serviced, build string) *record.Experience {
	latest, last, tallies := map[[2]string]map[string][2]string{}, map[[2]string]*serviced{},
		map[[2]string]*record.Tally{}
	var units [][2]string
	for _, r := range rs {
		if r.withdrawn || build != "" && r.build != build {
			continue
		}
		u := [2]string{r.who, r.unit}
		if latest[u] == nil {
			latest[u], units = map[string][2]string{}, append(units, u)
		}
		for d, f := range r.found {
			if r.on >= latest[u][d][0] {
				latest[u][d] = [2]string{r.on, f}
			}
		}
		if last[u] == nil || r.on >= last[u].on {
			last[u] = r
		}
	}
	noticed := map[string]int{}
	for _, u := range units {
		for d, f := range latest[u] {
			k := [2]string{d, f[1]}
			if tallies[k] == nil {
				tallies[k] = &record.Tally{Designator: d, Found: f[1]}
			}
			tallies[k].Units++
		}
		for _, s := range last[u].symptoms {
			noticed[s]++
		}
	}
	var ts []record.Tally
	for _, k := range tallies {
		ts = append(ts, *k)
	}
	var points []record.PointTally
	for _, f := range m.FailurePoints {
		p := record.PointTally{ID: f.ID}
		for _, u := range units {
			told, failed := false, false
			for _, d := range f.Positions {
				w, ok := latest[u][d]
				told = told || ok && w[1] != record.Missing
				failed = failed || ok && record.Failed(w[1])
			}
			if told {
				p.Units++
			}
			if failed {
				p.Seen++
			}
		}
		points = append(points, p)
	}
	var symptoms []record.Noticed
	for s, n := range noticed {
		symptoms = append(symptoms, record.Noticed{Text: s, Units: n})
	}
	slices.SortFunc(symptoms, func(a, b record.Noticed) int {
		if a.Units != b.Units {
			return b.Units - a.Units
		}
		return strings.Compare(a.Text, b.Text)
	})
	e := record.Amount(m, len(units), ts, points, symptoms, nil)
	e.Revision, e.Variant = 1, build
	return e
}

func workshop() *board.Map {
	return newMap("shop", func(m *board.Map) {
		m.FailurePoints = []board.FailurePoint{{ID: "a", Title: "A", Mechanism: "m", Severity: "minor",
			Positions: []string{"C1", "C2"}, Symptoms: []string{"Clock lost"}},
			{ID: "b", Title: "B", Mechanism: "m", Severity: "minor", Positions: []string{"C3"}},
			{ID: "none", Title: "N", Mechanism: "m", Severity: "minor"}}
		m.Variants = []board.Variant{{Variant: "late", Title: "Late", IdentifiedBy: "ink"}}
	})
}

// TestExperienceIsReckoned: whatever is filed and withdrawn in whatever order,
// the counts are those of a plain reckoning.
func TestExperienceIsReckoned(t *testing.T) {
	d, ctx := newDesk(t), context.Background()
	m := workshop()
	d.released(t, 0, m)
	random := rand.New(rand.NewPCG(16, 4))
	pick := func(from ...string) string { return from[random.IntN(len(from))] }
	var rs []*serviced
	ids := map[*serviced]int64{}
	actors := map[string]store.Actor{"ann": d.ann, "abe": d.abe}
	for range 150 {
		if live := slices.DeleteFunc(slices.Clone(rs), func(r *serviced) bool { return r.withdrawn }); len(live) > 0 &&
			random.IntN(5) == 0 {
			r := live[random.IntN(len(live))]
			if _, err := d.WithdrawRecord(ctx, d.stew, ids[r], store.Withdrawal{Reason: "a slip"},
				store.Once{}); err != nil {
				t.Fatal(err)
			}
			r.withdrawn = true
		} else {
			r := &serviced{who: pick("ann", "abe"), unit: pick("1", "2", "3", "4"), on: pick("2024-01-01", "2024-01-02",
				"2024-01-03"), build: pick(record.Base, record.Base, "late"),
				found: map[string]string{}}
			for _, p := range []string{"C1", "C2", "C3", "C4"} {
				if random.IntN(2) == 0 {
					r.found[p] = pick("good", "leaking", "open", "missing", "differs")
				}
			}
			for _, s := range []string{"Clock lost", "Hum"} {
				if random.IntN(2) == 0 {
					r.symptoms = append(r.symptoms, s)
				}
			}
			k, err := d.KeepRecord(ctx, actors[r.who], "shop", []byte(r.document("shop")), today, store.Once{})
			if err != nil {
				t.Fatal(err)
			}
			rs, ids[r] = append(rs, r), k.ID
		}
		for _, build := range []string{"", record.Base, "late"} {
			got, err := d.Experience(ctx, "shop", build)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(reckon(m, rs, build), got,
				cmp.Exporter(func(reflect.Type) bool { return true })); diff != "" {
				t.Fatalf("after %d records, build %q (-want +got):\n%s", len(rs), build, diff)
			}
		}
	}
}

// TestRecordsMove: a board's records go along to its new ID, and what they
// amount to with them.
func TestRecordsMove(t *testing.T) {
	d, ctx := newDesk(t), context.Background()
	d.released(t, 0, workshop())
	r := serviced{unit: "1", on: "2024-01-01", build: record.Base, found: map[string]string{"C1": "open"},
		symptoms: []string{"Hum"}}
	k, err := d.KeepRecord(ctx, d.ann, "shop", []byte(r.document("shop")), today, store.Once{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Move(ctx, d.stew, "shop", "workshop", "a better name", store.Once{}); err != nil {
		t.Fatal(err)
	}
	e, err := d.Experience(ctx, "workshop", "")
	if err != nil || e.Units != 1 || e.Position("C1").Failed != 1 {
		t.Errorf("%+v %v", e, err)
	}
	if s, err := d.Suspects(ctx, "clock", "workshop"); err != nil || len(s) != 1 || s[0].ID != "a" {
		t.Errorf("%+v %v", s, err)
	}
	for unit, found := range map[string]map[string]string{"2": {"C1": "open", "C3": "leaking"}, "3": {"C1": "good", "C4": "burnt"}} {
		r.unit, r.found, r.symptoms = unit, found, nil
		doc := strings.Replace(r.document("shop"), `"shop"`, `"workshop"`, 1)
		if _, err := d.KeepRecord(ctx, d.ann, "workshop", []byte(doc), today, store.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	// Of two units with C1 open one had C3 leaking too: the failure point that is C3 goes before it. C4 failed in another.
	s, err := d.SuspectsBeside(ctx, []string{"C1"}, "workshop")
	if err != nil || len(s) != 3 || s[0].ID != "b" || s[1].Designator != "C3" || s[2].Designator != "C4" ||
		s[1].Why[0].String() != "In 1 of 2 units in which C1 had failed." {
		t.Errorf("%+v %v", s, err)
	}
	_, err = d.SuspectsBeside(ctx, nil, "workshop")
	refused(t, err, fault.Malformed, "question-empty")
	if _, err := d.WithdrawRecord(ctx, d.ann, k.ID, store.Withdrawal{Reason: "a slip"}, store.Once{}); err != nil {
		t.Error(err)
	}
	if e, err := d.Experience(ctx, "workshop", ""); err != nil || e.Units != 2 {
		t.Errorf("%+v %v", e, err)
	}
}

// TestRecordsFollowNames: what was told of a position under an older name, or
// under a name that another position bears now, counts where it belongs; as
// told again by a revision that falls away.
func TestRecordsFollowNames(t *testing.T) {
	d, ctx := newDesk(t), context.Background()
	rename := func(names ...string) func(*board.Map) {
		return func(m *board.Map) {
			for i, n := range names {
				m.Positions[i].Designator = n
			}
		}
	}
	told := func(revision int, unit, on, designator, found string) {
		t.Helper()
		r := serviced{unit: unit, on: on, build: record.Base, found: map[string]string{designator: found}}
		doc := strings.Replace(r.document("tarn-a"), `"revision":1`, fmt.Sprintf(`"revision":%d`, revision), 1)
		if _, err := d.KeepRecord(ctx, d.ann, "tarn-a", []byte(doc), today, store.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	failed := func(designator string) string {
		t.Helper()
		e, err := d.Experience(ctx, "tarn-a", "")
		if err != nil {
			t.Fatal(err)
		}
		p := e.Position(designator)
		if p == nil {
			return "none"
		}
		return fmt.Sprintf("%d of %d", p.Failed, p.Units)
	}
	holds := func(when string, want map[string]string) {
		t.Helper()
		for designator, n := range want {
			if got := failed(designator); got != n {
				t.Errorf("%s: %s failed at %s, want %s", when, designator, got, n)
			}
		}
	}
	d.released(t, 0, newMap("tarn-a"))
	told(1, "1", "2024-01-01", "C1", "leaking")
	told(1, "2", "2024-01-01", "C2", "open")
	d.released(t, 1, newMap("tarn-a", rename("C101")))
	holds("C1 is C101", map[string]string{"C1": "none", "C101": "1 of 1", "C2": "1 of 1"})
	told(2, "1", "2024-02-01", "C101", "good") // the same unit later
	told(1, "3", "2024-02-01", "C1", "open")   // by the old name still
	holds("told again", map[string]string{"C1": "none", "C101": "1 of 2", "C2": "1 of 1"})
	d.released(t, 2, newMap("tarn-a", rename("C101", "C3", "C2")))
	holds("C2 and C3 exchange their names", map[string]string{"C101": "1 of 2", "C2": "none", "C3": "1 of 1"})
	if _, err := d.WithdrawRevision(ctx, d.stew, "tarn-a", 3, store.Withdrawal{Kind: "mistaken",
		Reason: "C2 is C2."}, store.Once{}); err != nil {
		t.Fatal(err)
	}
	holds("revision 3 is withdrawn", map[string]string{"C101": "1 of 2", "C2": "1 of 1", "C3": "none"})
}

// TestRecordsMerge: the units of a board that was made one with another count
// there, at the positions that both maps know as the same.
func TestRecordsMerge(t *testing.T) {
	d, ctx := newDesk(t), context.Background()
	d.released(t, 0, newMap("tarn-a"))
	d.released(t, 0, newMap("tarn-b", func(m *board.Map) { m.Positions[1].Part.Value = q("100 µF") }))
	for _, id := range []string{"tarn-a", "tarn-b"} {
		r := serviced{unit: "1", on: "2024-01-01", build: record.Base, found: map[string]string{"C1": "open", "C2": "leaking"},
			symptoms: []string{"Hum"}}
		if _, err := d.KeepRecord(ctx, d.ann, id, []byte(r.document(id)), today, store.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := d.Move(ctx, d.stew, "tarn-a", "tarn-b", "One board.", store.Once{}); err != nil {
		t.Fatal(err)
	}
	holds := func(build string, units, c1, c2 int) {
		t.Helper()
		e, err := d.Experience(ctx, "tarn-b", build)
		if err != nil || e.Units != units || e.Position("C1").Failed != c1 || e.Position("C2").Failed != c2 {
			t.Errorf("of build %q: %+v, %v; want %d units, %d and %d failed", build, e, err, units, c1, c2)
		}
	}
	holds("", 2, 2, 1)
	holds(record.Base, 1, 1, 1)
	if s, err := d.Suspects(ctx, "hum", "tarn-b"); err != nil || len(s) == 0 || s[0].Units != 2 {
		t.Errorf("%+v, %v", s, err)
	}
	l, err := d.Records(ctx, store.RecordFilter{Board: "tarn-b"})
	if err != nil || len(l.Items) != 2 {
		t.Fatalf("%+v, %v", l.Items, err)
	}
	if _, err := d.WithdrawRecord(ctx, d.ann, l.Items[1].ID, store.Withdrawal{Reason: "a slip"}, store.Once{}); err != nil {
		t.Fatal(err)
	}
	holds("", 1, 1, 1)
}

// TestRecordsStay: nobody alters or deletes a record, not even past the store.
func TestRecordsStay(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, workshop())
	r := serviced{unit: "1", on: "2024-01-01", build: record.Base, found: map[string]string{"C1": "open"}}
	if _, err := d.KeepRecord(context.Background(), d.ann, "shop", []byte(r.document("shop")), today,
		store.Once{}); err != nil {
		t.Fatal(err)
	}
	for _, sql := range []string{`UPDATE records SET outcome = 'x'`, `DELETE FROM records`,
		`TRUNCATE records CASCADE`} {
		conn, err := pgx.Connect(context.Background(), d.dsn)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := conn.Exec(context.Background(), sql); err == nil {
			t.Errorf("%s went through", sql)
		}
		_ = conn.Close(context.Background())
	}
	_, err := d.KeepRecord(context.Background(), store.Actor{}, "shop", []byte(r.document("shop")), today, store.Once{})
	refused(t, err, fault.Unauthenticated, "token-needed")
	r.on = "2026-06-02"
	_, err = d.KeepRecord(context.Background(), d.ann, "shop", []byte(r.document("shop")), today, store.Once{})
	if f := refused(t, err, fault.Invalid, "record-refused"); len(f.Findings) != 1 ||
		f.Findings[0].Pointer != "/serviced_on" {
		t.Errorf("%+v", f.Findings)
	}
}

// BenchmarkExperience works out what 10,000 records of 40 positions amount to,
// as after a new record, and ranks what is behind a symptom.
func BenchmarkExperience(b *testing.B) {
	d, ctx := newDesk(b), context.Background()
	m := newMap("shop", func(m *board.Map) {
		one := m.Positions[0]
		m.Positions = nil
		for i := range 40 {
			p := one
			p.Designator, p.X, p.Y = fmt.Sprintf("C%d", i+1), float64(10*(i%10)), float64(10*(i/10))
			m.Positions = append(m.Positions, p)
		}
		for i := range 12 {
			m.FailurePoints = append(m.FailurePoints, board.FailurePoint{ID: fmt.Sprintf("f%d", i), Title: "F",
				Mechanism: "m", Severity: "minor",
				Positions: []string{fmt.Sprintf("C%d", 3*i+1), fmt.Sprintf("C%d", 3*i+2), fmt.Sprintf("C%d", 3*i+3)}})
		}
	})
	d.released(b, 0, m)
	fillRecords(b, d)
	b.Run("count", func(b *testing.B) {
		for b.Loop() {
			b.StopTimer()
			raw(b, d.dsn, `UPDATE record_acts SET acts = acts + 1`)
			b.StartTimer()
			if e, err := d.Experience(ctx, "shop", ""); err != nil || e.Units != 10_000 {
				b.Fatal(e, err)
			}
		}
	})
	b.Run("symptom", func(b *testing.B) {
		for b.Loop() {
			if s, err := d.Suspects(ctx, "no clock", ""); err != nil || len(s) == 0 {
				b.Fatal(s, err)
			}
		}
	})
}

// fillRecords puts 10,000 records into the tables, which KeepRecord would take minutes for.
func fillRecords(b *testing.B, d *desk) {
	b.Helper()
	for _, sql := range []string{
		`INSERT INTO units (board, account, mark) SELECT 'shop', (SELECT min(id) FROM accounts), 'u' || g FROM generate_series(1, 10000) g`,
		`INSERT INTO records (board, revision, build, unit, account, serviced_on, outcome, positions, failed, digest, document, kept_at)
			SELECT 'shop', 1, 'base', id, account, '2024-01-01', 'working', 40, 8, decode(repeat('00', 32), 'hex'), '{}', now() FROM units`,
		`INSERT INTO record_positions SELECT r.id, 'C' || c, CASE WHEN (r.id * 7 + c * 13) % 5 = 0 THEN 'leaking' ELSE 'good' END, (r.id * 7 + c * 13) % 5 = 0, false
			FROM records r, generate_series(1, 40) c`,
		`INSERT INTO latest_positions SELECT 'shop', '', p.designator, r.unit, p.found, p.failed, p.mapped, r.serviced_on, r.id FROM records r JOIN record_positions p ON p.record = r.id`,
		`INSERT INTO latest_records SELECT 'shop', '', unit, serviced_on, id FROM records`,
		`INSERT INTO symptoms (key, text, words) SELECT 'symptom ' || g, 'symptom ' || g, 'symptom' FROM generate_series(1, 500) g`,
		`INSERT INTO symptoms (key, text, words) VALUES ('clock lost', 'Clock lost', array_to_tsvector('{clock,lost}'::text[]))`,
		`INSERT INTO record_symptoms SELECT r.id, (SELECT min(id) FROM symptoms) + r.id % 500 FROM records r`,
		`INSERT INTO record_symptoms SELECT r.id, (SELECT max(id) FROM symptoms) FROM records r WHERE r.id % 4 = 0`,
		`INSERT INTO record_acts VALUES ('shop', 1)`, `VACUUM ANALYZE`,
	} {
		raw(b, d.dsn, sql)
	}
}

// A steward who withdraws a record is told of with the reason, among the acts;
// its author is not. The reason can be erased.
func TestRecordWithdrawnBySteward(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, workshop())
	r := serviced{unit: "1", on: "2024-01-01", build: record.Base, found: map[string]string{"C1": "open"}}
	for by, why := range map[*store.Actor]string{&d.ann: "A slip.", &d.stew: "It names somebody."} {
		k, err := d.KeepRecord(ctx, d.ann, "shop", []byte(r.document("shop")), today, store.Once{})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := d.WithdrawRecord(ctx, *by, k.ID, store.Withdrawal{Reason: why}, store.Once{}); err != nil {
			t.Fatal(err)
		}
	}
	acts, err := d.Events(ctx, store.EventFilter{Acts: true, What: []string{"record-withdrawn"}})
	if err != nil || len(acts.Items) != 1 || acts.Items[0].Why != "It names somebody." {
		t.Fatalf("%+v, %v", acts.Items, err)
	}
	if _, err := d.EraseReason(ctx, d.stew, acts.Items[0].ID); err != nil {
		t.Fatal(err)
	}
	if n := answered(t, d.dsn,
		`SELECT count(*) FROM record_withdrawals WHERE reason = 'It names somebody.'`); n != "0" {
		t.Errorf("%s reasons are still there", n)
	}
}
