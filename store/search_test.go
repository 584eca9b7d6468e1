package store_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/store"
)

// found are the IDs of a whole search, page by page.
func found(t *testing.T, s *store.Store, f store.BoardFilter) (ids []string) {
	t.Helper()
	for f.Page.Limit = 2; ; {
		l, err := s.Boards(ctx, f)
		if err != nil {
			t.Fatal(err)
		}
		if !l.AtHand || len(ids) > l.Total {
			t.Fatalf("%+v: %d found, a total of %d, %v", f, len(ids), l.Total, l.AtHand)
		}
		for _, b := range l.Items {
			ids = append(ids, b.ID)
		}
		if f.Page.After = l.Next; l.Next == "" {
			return ids
		}
	}
}

// lookalikes are boards whose words, names and markings are parts of each other.
func lookalikes(t *testing.T) *desk {
	d := newDesk(t)
	add := func(id, model, name string, markings []string, edits ...func(*board.Map)) {
		d.released(t, 0, newMap(id, append(edits, func(m *board.Map) {
			m.Name, m.Markings, m.Equipment = name, markings, board.Equipment{Maker: "Tarnwright", Model: model,
				Kind: "recorder"}
		})...))
	}
	add("aa-later", "MX-120", "Meter board", []string{"TW-71200"})
	add("ab-main", "MX-12", "Main board", []string{"TW-7120"}, func(m *board.Map) {
		m.Variants = []board.Variant{{Variant: "eu", Title: "European", IdentifiedBy: "Marked 7120-E.",
			Markings: []string{"TW-7120-EU"}}}
	})
	add("ac-power", "MX-12", "Power supply", []string{"QX-88"})
	add("mx12", "MX-9", "Other", []string{"ZZ-1"})
	return d
}

func TestSearchPutsTheBestFirst(t *testing.T) {
	d := lookalikes(t)
	for _, c := range []struct {
		name string
		f    store.BoardFilter
		want []string
	}{
		{"a model that is an ID and begins another", store.BoardFilter{Query: "mx12"}, []string{"ab-main", "ac-power",
			"mx12", "aa-later"}},
		{"a whole marking before a longer one", store.BoardFilter{Query: "TW-7120"}, []string{"ab-main", "aa-later"}},
		{"a build's marking", store.BoardFilter{Markings: []string{"tw7120eu"}}, []string{"ab-main"}},
		{"a part of a marking", store.BoardFilter{Query: "7120"}, []string{"ab-main", "aa-later"}},
		{"the middle of a marking", store.BoardFilter{Markings: []string{"120"}}, []string{"aa-later", "ab-main"}},
		{"too little of one", store.BoardFilter{Markings: []string{"12"}}, nil},
		{"several", store.BoardFilter{Markings: []string{"QX88", "TW 7120", "nothing"}}, []string{"ab-main", "ac-power",
			"aa-later"}},
		{"the full name", store.BoardFilter{Query: "Tarnwright MX-12, main board"}, []string{"ab-main"}},
		{"maker and a marking", store.BoardFilter{Maker: "tarnwright", Markings: []string{"zz1"}}, []string{"mx12"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, found(t, d.Store, c.f)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// The search by look, which is SQL, finds what board.Look.Fits says.
func TestSearchByLook(t *testing.T) {
	d := newDesk(t)
	var maps []*board.Map
	for i := range 12 {
		m := newMap(fmt.Sprintf("tarn-%02d", i), func(m *board.Map) {
			m.Frame.Width, m.Frame.Height = 70+float64(i*9), 60+float64(i%3*40)
			m.Positions = m.Positions[:1+i%4]
			for k := range m.Positions {
				m.Positions[k].X, m.Positions[k].Y = 5+float64(k*12), 20
				m.Positions[k].Part.Text = []string{"TX-4051", "tx 40", "", "ÄÖ=\\%_'x"}[(i+k)%4]
				if i%5 == 0 && k == 1 {
					m.Positions[k].Side = "bottom"
				}
			}
		})
		d.released(t, 0, m)
		maps = append(maps, m)
	}
	for _, l := range []board.Look{
		{Width: 72}, {Height: 100}, {Width: 100, Height: 88}, {Width: 88, Height: 100}, {Width: 500}, {Replaced: 1},
		{Replaced: 3}, {Replaced: 9},
		{Sides: "one"}, {Sides: "both"}, {Class: "capacitor"}, {Class: "relay"}, {Printed: " tx-40 "},
		{Printed: "4051"}, {Printed: "x 4"},
		{Printed: "=\\%_'"}, {Class: "capacitor", Printed: "TX-4051"}, {Class: "relay", Printed: "TX-4051"},
		{Printed: "cap"}, {Printed: "x"},
		{Width: 90, Sides: "both", Class: "capacitor"},
	} {
		var want []string
		for _, m := range maps {
			if l.Fits(m) {
				want = append(want, m.Board)
			}
		}
		if diff := cmp.Diff(want, found(t, d.Store, store.BoardFilter{Look: l})); diff != "" {
			t.Errorf("%+v (-want +got):\n%s", l, diff)
		}
	}
}

// A row that another version of the server left behind is brought up at the
// next start.
func TestReindex(t *testing.T) {
	d := lookalikes(t)
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx,
		`UPDATE boards SET indexed_of = NULL, marks = '{}', mark_grams = '{}', size = NULL, names = '{}'`); err != nil {
		t.Fatal(err)
	}
	f := store.BoardFilter{Markings: []string{"QX-88"}, Look: board.Look{Width: 100}}
	if got := found(t, d.Store, f); got != nil {
		t.Fatalf("found %v by columns that are empty", got)
	}
	if err := d.Reindex(ctx); err != nil {
		t.Fatal(err)
	}
	if got := found(t, d.Store, f); !slices.Equal(got, []string{"ac-power"}) {
		t.Errorf("after reindexing: %v", got)
	}
}

// Searches among a million boards: a rare marking, two common words, a look.
// BOARDS sets another number.
func BenchmarkSearch(b *testing.B) {
	d := newDesk(b)
	d.released(b, 0, newMap("tarn-a"))
	conn, err := pgx.Connect(ctx, d.dsn)
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close(ctx)
	if _, err := conn.Exec(ctx, strings.ReplaceAll(manyBoards, "BOARDS", boardsWanted())); err != nil {
		b.Fatal(err)
	}
	for _, stmt := range []string{"VACUUM ANALYZE boards", "CHECKPOINT"} {
		if _, err := conn.Exec(ctx, stmt); err != nil {
			b.Fatal(err)
		}
	}
	for _, c := range []struct {
		name string
		f    func(i int) store.BoardFilter
	}{
		{"marking", func(i int) store.BoardFilter {
			return store.BoardFilter{Markings: []string{fmt.Sprintf("QX-%07d", i*7919%900000)}}
		}},
		{"part-of-marking", func(i int) store.BoardFilter {
			return store.BoardFilter{Markings: []string{fmt.Sprintf("%06d", i*7919%900000)}}
		}},
		{"two-common-words", func(i int) store.BoardFilter {
			return store.BoardFilter{Query: fmt.Sprintf("maker%d kind%d", i%20, i%30)}
		}},
		{"common-and-rare", func(i int) store.BoardFilter {
			return store.BoardFilter{Query: fmt.Sprintf("maker%d model%d", i%20, i%5000)}
		}},
		{"size", func(i int) store.BoardFilter {
			return store.BoardFilter{Look: board.Look{Width: 50 + float64(i%250), Height: 50 + float64(i%110)}}
		}},
		{"size-sides-class", func(i int) store.BoardFilter {
			return store.BoardFilter{Look: board.Look{Width: 50 + float64(i%250), Sides: "both", Class: "relay"}}
		}},
		{"printed", func(i int) store.BoardFilter {
			return store.BoardFilter{Look: board.Look{Printed: fmt.Sprintf("TX-%05d", i%90000)}}
		}},
		{"first-page", func(int) store.BoardFilter { return store.BoardFilter{} }},
	} {
		b.Run(c.name, func(b *testing.B) {
			times := make([]float64, 0, b.N)
			for i := 0; b.Loop(); i++ {
				began := b.Elapsed()
				if _, err := d.Boards(ctx, c.f(i)); err != nil {
					b.Fatal(err)
				}
				times = append(times, (b.Elapsed()-began).Seconds()*1e3)
			}
			slices.Sort(times)
			b.ReportMetric(times[len(times)*95/100], "p95-ms")
		})
	}
}

// boardsWanted is how many boards the benchmark fills the table with.
func boardsWanted() string {
	if n := os.Getenv("BOARDS"); n != "" {
		return n
	}
	return "1000000"
}

// manyBoards fills the table with boards of 20 makers, 30 kinds, 5,000 models
// and a marking of its own each.
const manyBoards = `
	INSERT INTO boards (id, current, digest, released_at, name, summary, maker_key, kind_key, marks, words, names, size, sides, replaced,
	                    classes, printed, mark_grams, print_grams, indexed_of)
	SELECT 'b-' || md5(n::text), 1, sha256(n::text::bytea), now(), 'Main board ' || n, '{}', 'maker' || n % 20, 'kind' || n % 30,
	       ARRAY[mark], array_to_tsvector(ARRAY['main', 'board', 'maker' || n % 20, 'kind' || n % 30, 'model' || n % 5000, mark]),
	       ARRAY['mainboard' || n], point(50 + n * 7 % 250, 50 + n * 3 % 110), 1 + n % 2, n % 70,
	       CASE WHEN n % 9 = 0 THEN ARRAY['capacitor', 'relay'] ELSE ARRAY['capacitor', 'resistor'] END, ARRAY['integrated-circuit' || E'\t' || print],
	       ARRAY(SELECT DISTINCT substr(mark, i, 3) FROM generate_series(1, length(mark) - 2) i),
	       ARRAY(SELECT DISTINCT substr(print, i, 3) FROM generate_series(1, length(print) - 2) i), sha256(n::text::bytea)
	FROM (SELECT n, 'qx' || lpad(n::text, 7, '0') AS mark, 'tx-' || lpad((n % 90000)::text, 5, '0') AS print FROM generate_series(1, BOARDS) n) t`
