package store_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/schema"
	"boardlore/store"
)

func kitOf(t testing.TB, text string) *kit.Kit {
	t.Helper()
	k, fs := schema.ReadKit([]byte(text))
	if k == nil {
		t.Fatal(fs)
	}
	return k
}

// A kit finds its board by what its texts read as, and a board of which nearly
// all is served stands before one that takes up little of the kit.
func TestKitBoardsOfTexts(t *testing.T) {
	d := newDesk(t)
	d.released(t, 0, newMap("tarn-one", func(m *board.Map) { m.Positions = m.Positions[:1] }))
	d.released(t, 0, newMap("tarn-four"))
	d.released(t, 0, newMap("tarn-other", func(m *board.Map) {
		for i := range m.Positions {
			m.Positions[i].Part.Value = q("10 µF")
		}
	}))
	k := kitOf(t,
		`{"kit":"k","title":"K","lines":[{"line":1,"quantity":3,"text":"47u 25V elko"},{"line":2,"quantity":0,"text":"10u 25V elko"},{"line":3,"quantity":1,"text":"a bag of odds"}]}`)
	got, err := d.KitBoards(ctx, k, 10)
	if err != nil || len(got) < 2 || got[0].Board != "tarn-four" || got[0].Summary.Filled != 3 ||
		got[1].Board != "tarn-one" {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err := d.KitBoards(ctx, kitOf(t, `{"kit":"k","title":"K","lines":[]}`), 10); err != nil || len(got) != 0 {
		t.Errorf("an empty kit serves %+v, %v", got, err)
	}
}

// BenchmarkKitBoards ranks the boards of a kit over 100,000: sixty have a map
// close to what the kit holds, the others only wants, drawn from the values
// that are found most often, so that nearly every board has some in common
// with the kit.
func BenchmarkKitBoards(b *testing.B) {
	d := newDesk(b)
	for i := range 60 {
		d.released(b, 0, stocked(fmt.Sprintf("tarn-%d", i), uint64(i)))
	}
	fill(b, d.dsn, 100_000-60)
	k := &kit.Kit{ID: "k", Title: "K"}
	for i, v := range values[:25] {
		k.Lines = append(k.Lines, kit.Line{Number: i + 1, Quantity: 4, Text: v + " 25 V electrolytic 105 °C"})
	}
	for b.Loop() {
		got, err := d.KitBoards(ctx, k, 20)
		if err != nil || len(got) != 20 {
			b.Fatalf("%d boards, %v", len(got), err)
		}
	}
}

// values in the order in which old equipment has them; more or less.
var values = []string{"10 µF", "100 µF", "47 µF", "1 µF", "22 µF", "4.7 µF", "220 µF", "470 µF", "2.2 µF", "1000 µF",
	"33 µF", "3.3 µF", "330 µF", "2200 µF",
	"0.47 µF", "6.8 µF", "68 µF", "150 µF", "15 µF", "680 µF", "4700 µF", "3300 µF", "1500 µF", "0.22 µF", "0.1 µF",
	"1.5 µF", "6800 µF", "10000 µF", "0.33 µF", "8 µF"}

// stocked is a map of eighty positions that want the first 25 values.
func stocked(id string, seed uint64) *board.Map {
	rng := rand.New(rand.NewPCG(seed, 1))
	m := large(id, 80)
	for i := range m.Positions {
		m.Positions[i].Part.Value = q(canonical(values[rng.IntN(25)]))
	}
	return m
}

func canonical(v string) string {
	switch v {
	case "0.47 µF":
		return "470 nF"
	case "0.22 µF":
		return "220 nF"
	case "0.1 µF":
		return "100 nF"
	case "0.33 µF":
		return "330 nF"
	}
	return v
}

// fill puts n boards with about fifteen wants each into the database, past the
// store: they are there to be passed over.
func fill(b *testing.B, dsn string, n int) {
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close(ctx)
	do := func(sql string, args ...any) {
		if _, err := conn.Exec(ctx, sql, args...); err != nil {
			b.Fatal(err)
		}
	}
	do(`INSERT INTO boards (id, current, digest, released_at, name)
		SELECT 'passed-' || i, 1, sha256(i::text::bytea), now(), 'Board ' || i FROM generate_series(1, $1) i`, n)
	var first int
	if err := conn.QueryRow(ctx, `SELECT min(number) FROM boards WHERE id LIKE 'passed-%'`).Scan(&first); err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 7))
	keys := make([]int32, len(values))
	for i, v := range values {
		keys[i] = store.WantKey("capacitor", canonical(v))
	}
	next := func() func() ([]any, error) {
		number, left := first-1, []int(nil)
		return func() ([]any, error) {
			if len(left) == 0 {
				if number++; number == first+n {
					return nil, nil
				}
				left = rng.Perm(len(values))[:10+rng.IntN(10)]
			}
			at := left[0]
			left = left[1:]
			return []any{number, keys[at], 1 + rng.IntN(6), 150}, nil
		}
	}
	if _, err := conn.CopyFrom(ctx, pgx.Identifier{"wants"}, []string{"board", "key", "count", "total"},
		pgx.CopyFromFunc(next())); err != nil {
		b.Fatal(err)
	}
	do(`VACUUM ANALYZE wants`)
	do(`VACUUM ANALYZE boards`)
}
