package store

import (
	"context"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/review"
)

// kitsTried is how many of a board's kits a checklist tries at most.
const kitsTried = 100

// Checklist computes what a reviewer should look at. NotFound proposal-unknown.
func (s *Store) Checklist(ctx context.Context, id int64) (*review.Checklist, error) {
	d, err := s.Proposal(ctx, id)
	if err != nil {
		return nil, err
	}
	return s.ChecklistOf(ctx, d)
}

// ChecklistOf computes what a reviewer should look at in a proposal that was
// read.
func (s *Store) ChecklistOf(ctx context.Context, d *Detail) (*review.Checklist, error) {
	subject := review.Subject{Map: d.Map, FromBase: d.FromBase, Evidence: d.Evidence, Findings: d.Findings}
	c := subject.Checklist()
	if d.Current == nil || d.Forward == nil {
		return c, nil
	}
	return c, s.tryKits(ctx, d, c)
}

// tryKits holds the board's kits against the proposal.
func (s *Store) tryKits(ctx context.Context, d *Detail, c *review.Checklist) error {
	rows, err := s.reads.Query(ctx, `SELECT `+kitColumns+`, v.document FROM `+kitTables+`
		WHERE v.version = k.version AND k.boards @> ARRAY[$1] ORDER BY k.id LIMIT $2`, d.Board, kitsTried)
	if err != nil {
		return fail(err, "kits for %s", d.Board)
	}
	kits, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Kit, error) {
		var k Kit
		return k, row.Scan(append(k.columns(), &k.Canonical)...)
	})
	if err != nil {
		return fail(err, "kits for %s", d.Board)
	}
	before, err := d.Current.Map.Effective("")
	if err != nil {
		return err
	}
	after, err := d.Forward.Effective("")
	if err != nil {
		return err
	}
	for i := range kits {
		k := &kits[i]
		if err := k.open(); err != nil {
			return err
		}
		if err := c.Try(k.ID, k.Title, k.Kit, before, after); err != nil {
			return err
		}
	}
	return nil
}
