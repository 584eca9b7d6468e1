package store

import (
	"bytes"
	"context"
	"iter"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/transparency"
)

// Exported is one line of an export: an entry of the log with what it is about,
// or what stands beside the log.
type Exported struct {
	Index    int64  // in the log
	Event    int64  // of what stands beside the log: number after which to go on
	Act      string // transparency.Release, Withdrawal or Move; or photograph, kit, record and their withdrawals
	Board    string
	Revision int
	Digest   string    // of Map or Document
	At       time.Time // of the act
	Kind     string    // of a withdrawal
	Moved    []string  // of a move: the IDs that lead to the board by now
	Map      []byte    // RFC 8785 form; nil unless it is a release that was not withdrawn

	Kit        string
	Version    int       // of the kit
	Document   []byte    // RFC 8785 form of a kit; of a record, its unit as a keyed hash
	KeptAt     time.Time // of a record, also of one that is withdrawn
	Photograph string    // SHA-256
	Data       []byte    // of a photograph
}

// ExportPart says which part of an export is wanted.
type ExportPart string

const (
	Whole  ExportPart = ""       // the log, what stands beside it, and the photographs that either names
	Log    ExportPart = "log"    // releases, withdrawals and moves alone
	Beside ExportPart = "beside" // kits, records and what became of photographs, with the records' photographs
)

// ExportFilter says what to export.
type ExportFilter struct {
	Part       ExportPart
	After      int64    // index of the entry after which it goes on; -1 for all
	AfterEvent int64    // likewise for what stands beside the log; 0 for all
	Boards     []string // these alone; none for all
}

// exportBytes is how many bytes of documents are read at once; one document may
// be more by itself.
const exportBytes = 2 << 20

// exportRows is how many lines are read at once.
const exportRows = 200

// Export reads the log with the maps, in its order, then what stands beside it
// up to where the events ended when it began, so that no record comes without
// its revision. Between its reads it holds no connection, so that a slow reader
// costs the others nothing.
func (s *Store) Export(ctx context.Context, f ExportFilter) iter.Seq2[Exported, error] {
	return func(yield func(Exported, error) bool) {
		if f.Boards == nil {
			f.Boards = []string{}
		}
		x := exporter{s: s, f: f, yield: yield, sent: map[string]bool{}}
		if err := x.run(ctx); err != nil {
			yield(Exported{}, err)
		}
	}
}

// exporter is one export on its way.
type exporter struct {
	s       *Store
	f       ExportFilter
	yield   func(Exported, error) bool
	sent    map[string]bool // photographs that were sent; bounded, since sending one twice does no harm
	key     []byte          // that units are hashed with
	stopped bool            // by the reader
}

func (x *exporter) run(ctx context.Context) error {
	until := int64(0)
	if x.f.Part != Log {
		if err := x.s.reads.QueryRow(ctx, `SELECT coalesce(max(id), 0) FROM events`).Scan(&until); err != nil {
			return fail(err, "where an export ends")
		}
	}
	if x.f.Part != Beside {
		if err := x.log(ctx); err != nil || x.stopped {
			return err
		}
	}
	if x.f.Part == Log {
		return nil
	}
	return x.beside(ctx, until)
}

func (x *exporter) give(e Exported) bool {
	x.stopped = x.stopped || !x.yield(e, nil)
	return !x.stopped
}

// log gives the entries of the log, each photograph before the map that names it.
func (x *exporter) log(ctx context.Context) error {
	for after := x.f.After; ; {
		some, err := x.s.exported(ctx, after, x.f.Boards)
		if err != nil {
			return fail(err, "export after entry %d", after)
		}
		for i := range some {
			if x.f.Part == Whole && bytes.Contains(some[i].Map, []byte(`"photographs":[`)) {
				if err := x.photographs(ctx, PhotographsOf(some[i:i+1])); err != nil {
					return err
				}
			}
			if x.stopped || !x.give(some[i]) {
				return nil
			}
		}
		if len(some) == 0 {
			return nil
		}
		after = some[len(some)-1].Index
	}
}

// maxSent bounds what is remembered of the photographs that were sent.
const maxSent = 100_000

// photographs gives those that are in use and were not given yet.
func (x *exporter) photographs(ctx context.Context, sums []string) error {
	for _, sum := range sums {
		if x.stopped || x.sent[sum] {
			continue
		}
		p, err := x.s.Photograph(ctx, sum)
		if f, _ := fault.As(err); f != nil && (f.Kind == fault.Gone || f.Kind == fault.Unlawful ||
			f.Kind == fault.NotFound) {
			continue
		}
		if err != nil {
			return err
		}
		if len(x.sent) >= maxSent {
			clear(x.sent)
		}
		x.sent[sum] = true
		x.give(Exported{Act: photographLine, Photograph: sum, Data: p.Data})
	}
	return nil
}

// exported reads the next entries, at least one where there is one.
func (s *Store) exported(ctx context.Context, after int64, boards []string) ([]Exported, error) {
	rows, err := s.reads.Query(ctx, `
		WITH next AS (
			SELECT l.index, l.event, l.act, l.entry, l.board AS entry_board, r.board, r.number,
			       CASE WHEN l.act = $5 AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number)
			            THEN octet_length(r.document) ELSE 0 END AS size
			FROM log_entries l JOIN boards b ON b.id = l.board
			LEFT JOIN revisions r ON r.board IN (b.id, b.moved_to) AND r.number = l.number AND r.digest = l.digest
			WHERE l.index > $1 AND (cardinality($2::text[]) = 0 OR b.id = ANY ($2) OR b.moved_to = ANY ($2)) ORDER BY l.index LIMIT $3),
		cut AS (SELECT *, sum(size) OVER (ORDER BY index) AS total FROM next)
		SELECT cut.index, cut.act, e.at, CASE WHEN cut.size > 0 THEN r.document END, cut.entry,
		       CASE WHEN cut.act = $6 THEN ARRAY(SELECT id FROM boards WHERE moved_to = cut.entry_board ORDER BY id) ELSE '{}' END
		FROM cut JOIN events e ON e.id = cut.event LEFT JOIN revisions r ON r.board = cut.board AND r.number = cut.number
		WHERE cut.total - cut.size < $4 ORDER BY cut.index`, after, boards, exportRows, exportBytes,
		transparency.Release, transparency.Move)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, func(row pgx.CollectableRow) (Exported, error) {
		var x Exported
		var entry []byte
		if err := row.Scan(&x.Index, &x.Act, &x.At, &x.Map, &entry, &x.Moved); err != nil {
			return x, err
		}
		e, err := transparency.ReadEntry(entry)
		x.Board, x.Revision, x.Digest, x.Kind = e.Board, e.Number, e.Digest, e.Kind
		return x, err
	})
}

// PhotographsOf are the photographs that a batch of maps names.
func PhotographsOf(entries []Exported) (sums []string) {
	for i := range entries {
		if doc, err := readMap(entries[i].Map); entries[i].Map != nil && err == nil {
			for _, p := range doc.m.Photographs {
				sums = append(sums, p.SHA256)
			}
		}
	}
	slices.Sort(sums)
	return slices.Compact(sums)
}
