package backup_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/part"
	"boardlore/domain/transparency"
	"boardlore/store"
	"boardlore/store/backup"
	"boardlore/store/storetest"
)

// BenchmarkGrowth fills a registry with boards of 60 positions, BOARDS of them,
// and tells what they take: room by table, time to load, to save and to restore,
// and how long the first reads take of a server that has just started. It needs
// a run of once: -benchtime=1x. deploy/SCALE.md has its figures.
func BenchmarkGrowth(b *testing.B) {
	boards, err := strconv.Atoi(os.Getenv("BOARDS"))
	if err != nil {
		b.Skip("BOARDS says how many boards")
	}
	ctx := context.Background()
	dsn := storetest.DSN(b, migrate)
	s, err := store.Open(ctx, dsn, store.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(s.Close)
	for b.Loop() {
		loaded := timed(b, "load", func() error { return fillUp(ctx, s, boards) })
		b.ReportMetric(float64(boards)/loaded.Seconds(), "maps/s")
	}
	room(b, dsn)
	var fresh *store.Store
	timed(b, "open", func() error { fresh, err = store.Open(ctx, dsn, store.Options{}); return err })
	defer fresh.Close()
	rng := rand.New(rand.NewPCG(1, 2))
	for _, c := range []struct {
		name string
		read func() error
	}{
		{"current map", func() error { _, err := fresh.Revision(ctx, name(rng.IntN(boards)), 0, ""); return err }},
		{"search", func() error {
			_, err := fresh.Boards(ctx, store.BoardFilter{Query: "main " + strconv.Itoa(rng.IntN(boards))})
			return err
		}},
		{"part of a marking", func() error {
			_, err := fresh.Boards(ctx, store.BoardFilter{Markings: []string{fmt.Sprintf("%06d", rng.IntN(boards))}})
			return err
		}},
	} {
		const times = 200
		took := timed(b, "", func() error {
			for range times {
				if err := c.read(); err != nil {
					return err
				}
			}
			return nil
		})
		b.Logf("%s, not in memory: %.2f ms", c.name, took.Seconds()*1000/times)
	}
	file := filepath.Join(b.TempDir(), "registry.backup")
	timed(b, "backup", func() error { _, err := backup.Save(ctx, dsn, file, "bench", nil); return err })
	if info, err := os.Stat(file); err == nil {
		b.Logf("backup: %.1f MB", float64(info.Size())/1e6)
	}
	empty := storetest.DSN(b, func(context.Context, string) error { return nil })
	timed(b, "restore", func() error { _, err := backup.IntoDatabase(ctx, file, empty, nil); return err })
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	b.Logf("memory from the system: %.0f MB", float64(m.Sys)/1e6)
}

func name(i int) string { return fmt.Sprintf("grown-%07d", i) }

func timed(b *testing.B, what string, do func() error) time.Duration {
	b.Helper()
	began := time.Now()
	if err := do(); err != nil {
		b.Fatalf("%s: %v", what, err)
	}
	took := time.Since(began)
	if what != "" {
		b.Logf("%s: %.2f s", what, took.Seconds())
	}
	return took
}

// fillUp loads boards that differ in all that a compressor or an index would
// otherwise see twice.
func fillUp(ctx context.Context, s *store.Store, boards int) error {
	l, err := s.NewLoader(ctx, "bench")
	if err != nil {
		return err
	}
	rng := rand.New(rand.NewPCG(3, 4))
	values := []string{"1 µF", "2.2 µF", "4.7 µF", "10 µF", "22 µF", "33 µF", "47 µF", "100 µF", "220 µF", "470 µF",
		"1000 µF"}
	for i := range boards {
		m := boardtest.Big(60)
		m.Board, m.Markings = name(i), []string{fmt.Sprintf("QX %06d-%c", i, 'A'+rune(i%5))}
		m.Equipment.Model = fmt.Sprintf("Model %d", i%5000)
		for k := range m.Positions {
			p := &m.Positions[k]
			p.Notes = fmt.Sprintf("Seen on %d units.", rng.IntN(1000))
			if p.Part.Class == part.Capacitor {
				p.Part.Value = boardtest.Q(values[rng.IntN(len(values))])
			}
		}
		canonical, err := m.Canonical()
		if err != nil {
			return err
		}
		if err := l.Add(ctx, store.Exported{Index: int64(i), Act: transparency.Release, Board: m.Board, Revision: 1,
			Digest: board.Digest(canonical), At: time.Unix(1_700_000_000+int64(i), 0), Map: canonical}); err != nil {
			return err
		}
	}
	return l.Flush(ctx)
}

// room tells what the database takes, and its largest tables with their indexes.
func room(b *testing.B, dsn string) {
	b.Helper()
	ctx := context.Background()
	conn, err := pgx.Connect(ctx, dsn)
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close(ctx)
	var all int64
	if err := conn.QueryRow(ctx, `SELECT pg_database_size(current_database())`).Scan(&all); err != nil {
		b.Fatal(err)
	}
	b.Logf("database: %.1f MB", float64(all)/1e6)
	rows, err := conn.Query(ctx, `SELECT relname, pg_table_size(oid), pg_indexes_size(oid) FROM pg_class
		WHERE relkind = 'r' AND relnamespace = 'public'::regnamespace ORDER BY pg_total_relation_size(oid) DESC LIMIT 8`)
	if err != nil {
		b.Fatal(err)
	}
	defer rows.Close()
	var tables strings.Builder
	for rows.Next() {
		var table string
		var size, indexes int64
		if err := rows.Scan(&table, &size, &indexes); err != nil {
			b.Fatal(err)
		}
		fmt.Fprintf(&tables, "\n  %-20s %8.1f MB, indexes %8.1f MB", table, float64(size)/1e6, float64(indexes)/1e6)
	}
	b.Logf("largest tables:%s", &tables)
}
