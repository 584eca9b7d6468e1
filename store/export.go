package store

import (
	"context"
	"iter"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/transparency"
)

// Exported is one entry of the log with what it is about.
type Exported struct {
	Index    int64  // in the log
	Act      string // transparency.Release, Withdrawal or Move
	Board    string
	Revision int
	Digest   string
	At       time.Time // of the act
	Kind     string    // of a withdrawal
	Moved    []string  // of a move: the IDs that lead to the board by now
	Map      []byte    // RFC 8785 form; nil unless it is a release that was not withdrawn
}

// ExportFilter says what to export.
type ExportFilter struct {
	After  int64    // index of the entry after which it goes on; -1 for all
	Boards []string // these alone; none for all
}

// exportBytes is how many bytes of documents are read at once; one document may
// be more by itself.
const exportBytes = 2 << 20

// Export reads the log with the maps, in its order. Between its reads it holds
// no connection, so that a slow reader costs the others nothing.
func (s *Store) Export(ctx context.Context, f ExportFilter) iter.Seq2[Exported, error] {
	return func(yield func(Exported, error) bool) {
		boards := f.Boards
		if boards == nil {
			boards = []string{}
		}
		for after := f.After; ; {
			some, err := s.exported(ctx, after, boards)
			if err != nil {
				yield(Exported{}, fail(err, "export after entry %d", after))
				return
			}
			for i := range some {
				if !yield(some[i], nil) {
					return
				}
			}
			if len(some) == 0 {
				return
			}
			after = some[len(some)-1].Index
		}
	}
}

// exported reads the next entries, at least one where there is one.
func (s *Store) exported(ctx context.Context, after int64, boards []string) ([]Exported, error) {
	const most = 200
	rows, err := s.db.Query(ctx, `
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
		WHERE cut.total - cut.size < $4 ORDER BY cut.index`, after, boards, most, exportBytes, transparency.Release, transparency.Move)
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
