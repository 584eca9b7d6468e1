package store

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
)

// Board is what a list says of a board: its current revision in brief.
type Board struct {
	ID          string
	Name        string
	Equipment   board.Equipment
	Markings    []string
	Revision    int
	Digest      string
	ReleasedAt  time.Time
	Variants    []VariantName
	Counts      Counts
	Size        Size
	BarsPowerUp bool       // some failure point bars power-up
	Open        []int64    // open proposals; by Store.Board only
	Withdrawn   []OutOfUse // by Store.Board only

	tier int // of a search; see search
}

// OutOfUse is a revision that was withdrawn.
type OutOfUse struct {
	Revision int
	Withdrawal
}

// Size is the outline's extent in millimetres.
type Size struct{ Width, Height float64 }

// VariantName is a variant without its changes.
type VariantName struct {
	Variant      string
	Title        string
	IdentifiedBy string
}

// Counts is how much there is in a map, and how many proposals are open.
type Counts struct {
	Positions     int
	Replace       int // positions to replace at service
	Inspect       int // positions to inspect at service
	FailurePoints int
	Checks        int
	Cautions      int
	Variants      int
	OpenProposals int `json:"-"` // counted when asked
}

// brief is what boards.summary holds.
type brief struct {
	Equipment   board.Equipment
	Markings    []string
	Variants    []VariantName
	Counts      Counts
	Size        Size
	BarsPowerUp bool
}

func summarise(m *board.Map) brief {
	b := brief{Equipment: m.Equipment, Markings: m.Markings, Size: Size{m.Frame.Width, m.Frame.Height}}
	b.Counts = Counts{Positions: len(m.Positions), FailurePoints: len(m.FailurePoints), Checks: len(m.Checks),
		Cautions: len(m.Cautions), Variants: len(m.Variants)}
	for i := range m.Positions {
		switch m.Positions[i].Service {
		case board.Replace:
			b.Counts.Replace++
		case board.Inspect:
			b.Counts.Inspect++
		}
	}
	for i := range m.Variants {
		v := &m.Variants[i]
		b.Variants = append(b.Variants, VariantName{v.Variant, v.Title, v.IdentifiedBy})
	}
	for i := range m.FailurePoints {
		if bars := m.FailurePoints[i].BarsPowerUp; bars != nil && *bars {
			b.BarsPowerUp = true
		}
	}
	return b
}

// suspended tells a proposal p whose author's account is disabled: no list of
// what waits has it.
const suspended = `EXISTS (SELECT FROM accounts u WHERE u.id = p.author AND u.disabled_at IS NOT NULL)`

// waiting tells a proposal p that waits for something.
const waiting = `p.state IN ('submitted', 'returned') AND NOT ` + suspended

const boardColumns = `b.id, b.name, b.current, encode(b.digest, 'hex'), b.released_at, b.summary::text,
	(SELECT count(*) FROM proposals p WHERE p.board = b.id AND ` + waiting + `)`

func scanBoard(row pgx.CollectableRow) (Board, error) { return readBoard(row) }

// scanFound reads a row that ends with its tier.
func scanFound(row pgx.CollectableRow) (Board, error) {
	var tier int
	b, err := readBoard(row, &tier)
	b.tier = tier
	return b, err
}

// readBoard reads boardColumns, and what else the row has.
func readBoard(row pgx.CollectableRow, more ...any) (Board, error) {
	var b Board
	var summary string
	var open int
	columns := []any{&b.ID, &b.Name, &b.Revision, &b.Digest, &b.ReleasedAt, &summary, &open}
	if err := row.Scan(append(columns, more...)...); err != nil {
		return Board{}, err
	}
	var br brief
	if err := json.Unmarshal([]byte(summary), &br); err != nil {
		return Board{}, fmt.Errorf("summary of board %s: %w", b.ID, err)
	}
	b.Equipment, b.Markings, b.Variants, b.Counts = br.Equipment, br.Markings, br.Variants, br.Counts
	b.Size, b.BarsPowerUp = br.Size, br.BarsPowerUp
	b.Counts.OpenProposals = open
	return b, nil
}

// BoardName is the name of a board that has or had a revision in use, also where
// all were withdrawn, so that its log can be read then too. NotFound
// board-unknown.
func (s *Store) BoardName(ctx context.Context, id string) (name string, err error) {
	err = s.reads.QueryRow(ctx,
		`SELECT b.name FROM boards b WHERE b.id = $1 AND EXISTS (SELECT FROM revisions r WHERE r.board = b.id)`,
		id).Scan(&name)
	if noRows(err) {
		return "", s.noBoard(ctx, id)
	}
	return name, fail(err, "board %s", id)
}

// Board gets one board, with its open proposals. NotFound board-unknown, also
// before its first release.
func (s *Store) Board(ctx context.Context, id string) (*Board, error) {
	rows, err := s.reads.Query(ctx, `SELECT `+boardColumns+` FROM boards b WHERE b.current > 0 AND b.id = $1`, id)
	if err != nil {
		return nil, fail(err, "board %s", id)
	}
	b, err := pgx.CollectExactlyOneRow(rows, scanBoard)
	if noRows(err) {
		return nil, s.noBoard(ctx, id)
	}
	if err != nil {
		return nil, fail(err, "board %s", id)
	}
	rows, err = s.reads.Query(ctx, `SELECT id FROM proposals p WHERE board = $1 AND `+waiting+` ORDER BY id`, id)
	if err != nil {
		return nil, fail(err, "board %s", id)
	}
	if b.Open, err = pgx.CollectRows(rows, pgx.RowTo[int64]); err != nil {
		return nil, fail(err, "board %s", id)
	}
	withdrawn, err := withdrawalsOf(ctx, s.reads, id)
	for _, n := range slices.Sorted(maps.Keys(withdrawn)) {
		b.Withdrawn = append(b.Withdrawn, OutOfUse{n, *withdrawn[n]})
	}
	return &b, fail(err, "board %s", id)
}
