package store

import (
	"cmp"
	"context"
	"fmt"
	"regexp"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

var slug = regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)

// Move gives a board another ID, which its old one leads to for ever. Where the
// new ID is that of a board with revisions, the two are one from then on: that
// board's revisions stay, and those of the moved one are found under its old ID.
// Released revisions keep their bytes; the next one names the new ID.
//
// Refusals: Unauthenticated token-needed; NotAllowed role-needed; NotFound
// board-unknown; Conflict board-moved where either is an old ID, and
// proposals-open where two boards are made one; Invalid move-invalid.
func (s *Store) Move(ctx context.Context, who Actor, from, to, why string, once Once) (Receipt, error) {
	r, err := s.perform(ctx, who, once, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.move-board"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := checkReason(why); err != nil {
			return Receipt{}, event{}, err
		}
		if len(to) > 64 || !slug.MatchString(to) || to == from {
			return Receipt{}, event{}, fault.New(fault.Invalid, "move-invalid",
				"store.move-id")
		}
		return s.move(ctx, a, from, to, why)
	})
	if err == nil {
		s.cache.forget("")
		s.moves.forget()
	}
	return r, fail(err, "move board %s to %s", from, to)
}

func (s *Store) move(ctx context.Context, a *act, from, to, why string) (Receipt, event, error) {
	merged, err := lockMove(ctx, a, from, to)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	sentence := "event.board-moved"
	if merged {
		sentence = "event.boards-joined"
		if err := noneOpen(ctx, a.tx, from); err != nil {
			return Receipt{}, event{}, err
		}
	} else if err := takeAlong(ctx, a.tx, from, to); err != nil {
		return Receipt{}, event{}, err
	}
	if err := undescribe(ctx, a, from); err != nil {
		return Receipt{}, event{}, err
	}
	for _, sql := range []string{
		`UPDATE boards SET moved_to = $2 WHERE id = $1 OR moved_to = $1`,
		`UPDATE kits SET boards = array_replace(boards, $1, $2) WHERE boards @> ARRAY[$1]`,
	} {
		if _, err := a.tx.Exec(ctx, sql, from, to); err != nil {
			return Receipt{}, event{}, err
		}
	}
	current, err := s.fallBack(ctx, a, to)
	if err != nil {
		return Receipt{}, event{}, err
	}
	_, err = a.tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeMoves)
	return Receipt{Board: to, Current: current}, event{what: "board-moved", board: to, revision: current, why: why,
		sentence: message.Of(sentence, from, to)}, err
}

// lockMove locks both boards, makes the new one's row where there is none, and
// tells whether it has revisions of its own.
func lockMove(ctx context.Context, a *act, from, to string) (merged bool, err error) {
	last, err := lastRevision(ctx, a.tx, from)
	if err != nil {
		return false, err
	}
	moved := map[string]*string{}
	if last > 0 {
		if _, err := a.tx.Exec(ctx,
			`INSERT INTO boards (id) VALUES ($1) ON CONFLICT ON CONSTRAINT boards_pkey DO NOTHING`, to); err != nil {
			return false, err
		}
	}
	rows, err := a.tx.Query(ctx,
		`SELECT id, moved_to FROM boards WHERE id = $1 OR id = $2 ORDER BY id FOR NO KEY UPDATE`, from, to)
	if err != nil {
		return false, err
	}
	var id string
	var elsewhere *string
	if _, err := pgx.ForEachRow(rows, []any{&id, &elsewhere},
		func() error { moved[id] = elsewhere; return nil }); err != nil {
		return false, err
	}
	for _, id := range []string{from, to} {
		if moved[id] != nil {
			return false, boardMoved(id, *moved[id])
		}
	}
	if last == 0 {
		return false, missing("board-unknown", "store.board-unreleased", from)
	}
	n, err := lastRevision(ctx, a.tx, to)
	return n > 0, err
}

func boardMoved(id, to string) error {
	return &fault.Error{Kind: fault.Conflict, Code: "board-moved", Data: map[string]string{"board": to},
		Detail: message.Of("store.board-moved", id, to)}
}

// noneOpen refuses to make a board one with another while proposals for it are
// open, which are made from revisions that the other does not have.
func noneOpen(ctx context.Context, q querier, id string) error {
	rows, err := q.Query(ctx,
		`SELECT id::text FROM proposals WHERE board = $1 AND state IN ('submitted', 'returned') ORDER BY id LIMIT 20`,
		id)
	if err != nil {
		return err
	}
	open, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil || len(open) == 0 {
		return err
	}
	return fault.New(fault.Conflict, "proposals-open", "store.proposals-open", review.List(open), id)
}

// takeAlong files all that refers to a board under its new ID. Every table that
// does is found by its foreign key, so that none is forgotten; events alone
// stay, since what was said then was said of the old ID.
func takeAlong(ctx context.Context, tx pgx.Tx, from, to string) error {
	rows, err := tx.Query(ctx, `SELECT c.conrelid::regclass::text, quote_ident(a.attname)
		FROM pg_constraint c JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = c.conkey[1]
		     JOIN pg_attribute b ON b.attrelid = c.confrelid AND b.attnum = c.confkey[1]
		WHERE c.contype = 'f' AND c.confrelid = 'boards'::regclass AND cardinality(c.conkey) = 1 AND b.attname = 'id'
		  AND c.conrelid NOT IN ('events'::regclass, 'boards'::regclass) ORDER BY c.conrelid::regclass::text`)
	if err != nil {
		return err
	}
	type reference struct{ Table, Column string }
	refers, err := pgx.CollectRows(rows, pgx.RowToStructByPos[reference])
	if err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `SELECT set_config('boardlore.moving', 'yes', true)`); err != nil {
		return err
	}
	for _, r := range refers {
		// Table and column are the catalogue's own, quoted by it.
		if _, err := tx.Exec(ctx, fmt.Sprintf(`UPDATE %s SET %s = $2 WHERE %s = $1`, r.Table, r.Column, r.Column), from,
			to); err != nil {
			return fmt.Errorf("take %s along: %w", r.Table, err)
		}
	}
	_, err = tx.Exec(ctx, `SELECT set_config('boardlore.moving', 'no', true)`)
	return err
}

// Moved is where an old ID leads: to no board for an ID that is none. merged
// tells that the board that it leads to has other revisions under the same
// numbers.
func (s *Store) Moved(ctx context.Context, id string) (to string, merged bool, err error) {
	all, err := s.moves.get(ctx, s.oldIDs)
	if err != nil {
		return "", false, fail(err, "moved boards")
	}
	m := all[id]
	return m.to, m.merged, nil
}

// presentID is the ID that a board has now.
func (s *Store) presentID(ctx context.Context, id string) (string, error) {
	to, _, err := s.Moved(ctx, id)
	return cmp.Or(to, id), err
}

type moved struct {
	to     string
	merged bool
}

// oldIDs reads all old IDs, which are few.
func (s *Store) oldIDs(ctx context.Context) (map[string]moved, error) {
	rows, err := s.reads.Query(ctx, `SELECT b.id, b.moved_to, EXISTS (SELECT FROM revisions r WHERE r.board = b.id)
		FROM boards b WHERE b.moved_to IS NOT NULL`)
	if err != nil {
		return nil, err
	}
	known := map[string]moved{}
	var id string
	var to moved
	_, err = pgx.ForEachRow(rows, []any{&id, &to.to, &to.merged}, func() error { known[id] = to; return nil })
	return known, err
}

// underNewID makes a map that names an old ID of the board one that names its
// present ID, as the next revision has to.
func (d *document) underNewID(id string) error {
	m := *d.m
	m.Board = id
	c, err := m.Canonical()
	if err != nil {
		return err
	}
	d.m, d.canonical, d.digest = &m, c, board.Digest(c)
	return nil
}

// atPresent brings a submission for an old ID to the board as it is called now. A
// base of a board that was made one with another is no base there.
func (s *Store) atPresent(ctx context.Context, in *Submission, doc *document) error {
	to, merged, err := s.Moved(ctx, in.Board)
	if err != nil {
		return err
	}
	if merged && in.Base > 0 {
		return boardMoved(in.Board, to)
	}
	in.Board = cmp.Or(to, in.Board)
	named, err := s.presentID(ctx, doc.m.Board)
	if err != nil || named != in.Board || named == doc.m.Board {
		return err
	}
	return doc.underNewID(named)
}
