package store

import (
	"context"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	serviced "boardlore/domain/record"
)

// called is what a board's current map calls the positions that records name
// otherwise, in columns; now is nil where they are no positions of it.
type called struct {
	boards    []string
	revisions []int
	was       []string
	now       []*string
}

// refile works out anew what the latest word of a board's units is, on each
// position of its current map and as a whole, over all builds and within each:
// of one unit, or of all where unit is 0. Units of a board that was made one
// with it count too, over all builds, at the positions that both maps know.
func refile(ctx context.Context, tx pgx.Tx, boardID string, unit int64) error {
	var to string
	if err := tx.QueryRow(ctx, `SELECT coalesce(moved_to, id) FROM boards WHERE id = $1`, boardID).Scan(&to); err != nil {
		return err
	}
	var units []int64
	if err := tx.QueryRow(ctx, `SELECT coalesce(array_agg(id), '{}') FROM units
		WHERE (board = $1 OR board IN (SELECT id FROM boards WHERE moved_to = $1)) AND ($2 = 0 OR id = $2)`, to,
		unit).Scan(&units); err != nil || len(units) == 0 {
		return err
	}
	c, err := calledNow(ctx, tx, to, units)
	if err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `DELETE FROM latest_positions WHERE unit = ANY ($1)`, units); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `DELETE FROM latest_records WHERE unit = ANY ($2)
		AND (board = $1 OR board IN (SELECT id FROM boards WHERE moved_to = $1))`, to, units); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `INSERT INTO latest_records (board, build, unit, serviced_on, record)
		SELECT DISTINCT ON (r.unit, b.build) $1, b.build, r.unit, r.serviced_on, r.id
		FROM records r CROSS JOIN LATERAL (VALUES (''), (r.build)) AS b (build)
		WHERE r.unit = ANY ($2) AND (b.build = '' OR r.board = $1) AND NOT EXISTS (SELECT FROM record_withdrawals w WHERE w.record = r.id)
		ORDER BY r.unit, b.build, r.serviced_on DESC, r.id DESC`, to, units); err != nil {
		return err
	}
	_, err = tx.Exec(ctx, `INSERT INTO latest_positions (board, build, designator, unit, found, failed, mapped, other, serviced_on, record)
		SELECT DISTINCT ON (r.unit, b.build, n.designator) $1, b.build, n.designator, r.unit, p.found, p.failed, p.mapped, p.other, r.serviced_on, r.id
		FROM records r JOIN record_positions p ON p.record = r.id
		LEFT JOIN unnest($3::text[], $4::int[], $5::text[], $6::text[]) AS c (board, revision, was, now)
		  ON c.board = r.board AND c.revision = r.revision AND c.was = p.designator
		CROSS JOIN LATERAL (SELECT CASE WHEN c.was IS NULL THEN p.designator ELSE c.now END AS designator) AS n
		CROSS JOIN LATERAL (VALUES (''), (r.build)) AS b (build)
		WHERE r.unit = ANY ($2) AND n.designator IS NOT NULL AND (b.build = '' OR r.board = $1)
		  AND NOT EXISTS (SELECT FROM record_withdrawals w WHERE w.record = r.id)
		ORDER BY r.unit, b.build, n.designator, r.serviced_on DESC, r.id DESC`, to, units, c.boards, c.revisions, c.was, c.now)
	return err
}

// calledNow lists the names that count as others, or not at all.
func calledNow(ctx context.Context, tx pgx.Tx, to string, units []int64) (c called, err error) {
	rows, err := tx.Query(ctx, `SELECT DISTINCT r.board, r.revision, p.designator FROM records r JOIN record_positions p ON p.record = r.id
		WHERE r.unit = ANY ($2) AND (r.board <> $1 OR EXISTS (SELECT FROM renamings n WHERE n.board = $1))
		ORDER BY r.board, r.revision, p.designator`, to, units)
	if err != nil {
		return c, err
	}
	type told struct {
		board, designator string
		revision          int
	}
	all, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (told, error) {
		var t told
		return t, row.Scan(&t.board, &t.revision, &t.designator)
	})
	if err != nil {
		return c, err
	}
	var names *naming
	for _, t := range all {
		if names == nil || names.of != t.board {
			if names, err = namesBetween(ctx, tx, t.board, to); err != nil {
				return c, err
			}
		}
		now := names.now(t.revision, t.designator)
		if now != nil && *now == t.designator {
			continue
		}
		c.boards, c.revisions = append(c.boards, t.board), append(c.revisions, t.revision)
		c.was, c.now = append(c.was, t.designator), append(c.now, now)
	}
	return c, nil
}

// naming follows the names of one board to those of the board that it is now.
type naming struct {
	of     string
	names  *serviced.Names
	shared map[string]bool // positions that both maps know; nil where there is one map
}

func namesBetween(ctx context.Context, tx pgx.Tx, of, to string) (*naming, error) {
	n := &naming{of: of}
	newest, m, err := inUse(ctx, tx, of)
	if err != nil {
		return nil, err
	}
	if of != to {
		_, other, err := inUse(ctx, tx, to)
		if err != nil {
			return nil, err
		}
		n.shared = sharedPositions(m, other)
	}
	followed, err := collect[serviced.Followed](ctx, tx,
		`SELECT number, coalesce(follows, number - 1) AS follows FROM revisions WHERE board = $1`, of)
	if err != nil {
		return nil, err
	}
	renamed, err := collect[serviced.Renaming](ctx, tx, `SELECT number, was, now FROM renamings WHERE board = $1`, of)
	n.names = serviced.NamesOf(followed, renamed, newest)
	return n, err
}

// now is the name of today; nil for none.
func (n *naming) now(revision int, designator string) *string {
	now, ok := n.names.Now(revision, designator)
	if !ok || n.shared != nil && !n.shared[now] {
		return nil
	}
	return &now
}

// inUse reads a board's newest revision that is not withdrawn, that of one which
// was made one with another too; 0 and nil where there is none.
func inUse(ctx context.Context, tx pgx.Tx, boardID string) (number int, m *board.Map, err error) {
	var document []byte
	err = tx.QueryRow(ctx, `SELECT r.number, r.document FROM revisions r WHERE r.board = $1 AND NOT EXISTS (
		SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number) ORDER BY r.number DESC LIMIT 1`,
		boardID).Scan(&number, &document)
	if noRows(err) {
		return 0, nil, nil
	}
	if err == nil {
		m = new(board.Map)
		err = json.Unmarshal(document, m)
	}
	return number, m, err
}

// sharedPositions are the designators under which two maps of what is one board
// have the same class and value: there a unit of the one tells of the other.
func sharedPositions(a, b *board.Map) map[string]bool {
	shared := map[string]bool{}
	if a == nil || b == nil {
		return shared
	}
	at := make(map[string]*board.Position, len(a.Positions))
	for i := range a.Positions {
		at[a.Positions[i].Designator] = &a.Positions[i]
	}
	for i := range b.Positions {
		q := &b.Positions[i]
		if p := at[q.Designator]; p != nil && p.Part.Class == q.Part.Class && p.Part.Value.Compare(q.Part.Value) == 0 {
			shared[q.Designator] = true
		}
	}
	return shared
}

// refileAll files the words of a board's units anew where the names of its
// positions may have become others, by one revision or, for 0, by any, and has
// what they amount to counted again.
func refileAll(ctx context.Context, a *act, boardID string, revision int) error {
	var needed bool
	err := a.tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM renamings n JOIN units u ON u.board = n.board WHERE n.board = $1 AND $2 IN (0, n.number))
		OR EXISTS (SELECT FROM boards b JOIN units u ON u.board = b.id WHERE b.moved_to = $1)`, boardID, revision).Scan(&needed)
	if err != nil || !needed {
		return err
	}
	if err := countAct(ctx, a, boardID); err != nil {
		return err
	}
	return refile(ctx, a.tx, boardID, 0)
}
