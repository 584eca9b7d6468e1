package store

import (
	"cmp"
	"context"
	"fmt"
	"iter"
	"slices"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/kit"
)

// KitBoard is a board that a kit may be meant for.
type KitBoard struct {
	Board    string
	Name     string
	Revision int
	Digest   string
	Summary  kit.Summary // of the whole service, with this kit
}

// Limits of the search for the boards of one kit.
const (
	boardsAtLeast = 50      // reconciled exactly, however few are asked for
	pairsAtMost   = 4 << 20 // of a position with a line, all boards together
)

// KitBoards finds the boards that a kit serves best: narrowed down by the
// values that both name, over all boards, then judged by the exact
// reconciliation, best served first.
func (s *Store) KitBoards(ctx context.Context, k *kit.Kit, limit int) ([]KitBoard, error) {
	near, err := s.narrow(ctx, k, max(limit, boardsAtLeast))
	if err != nil {
		return nil, fail(err, "boards for kit %s", k.ID)
	}
	out, err := s.scores(ctx, k, near)
	if err != nil {
		return nil, err
	}
	return out[:min(max(limit, 0), len(out))], nil
}

// nearBoard is a board that has values in common with a kit.
type nearBoard struct {
	ID    string
	Total int // positions to service
}

// narrow finds the boards that a kit seems to serve best, and of those that
// it names itself the ones that it has something for; these stand first.
func (s *Store) narrow(ctx context.Context, k *kit.Kit, most int) (near []nearBoard, err error) {
	have, total := kit.Holds(k, squash)
	keys, counts := columns(have)
	named, err := s.forBoards(ctx, k)
	if err != nil {
		return nil, err
	}
	err = pgx.BeginTxFunc(ctx, s.replica, pgx.TxOptions{AccessMode: pgx.ReadOnly}, func(tx pgx.Tx) error {
		// A sum for each of a hundred thousand boards has to stay in memory, and
		// is done before compiling the query would pay.
		if _, err := tx.Exec(ctx,
			`SELECT set_config('work_mem', '64MB', true), set_config('jit', 'off', true)`); err != nil {
			return err
		}
		rows, err := tx.Query(ctx, `
			WITH near AS (
				SELECT w.board, w.total, sum(least(w.count, h.count)) AS common
				FROM unnest($1::int[], $2::int[]) AS h (key, count) JOIN wants w ON w.key = h.key
				GROUP BY w.board, w.total),
			ranked AS (SELECT board, total, common::float8 / (total + $3 - common) AS share FROM near),
			best AS (
				(SELECT board, total, share FROM ranked ORDER BY share DESC, board LIMIT $4)
				UNION SELECT r.board, r.total, r.share FROM ranked r JOIN boards b ON b.number = r.board WHERE b.id = ANY ($5))
			SELECT b.id, n.total FROM best n JOIN boards b ON b.number = n.board
			ORDER BY b.id = ANY ($5) DESC, n.share DESC, b.id`, keys, counts, max(total, 1), most, named)
		if err != nil {
			return err
		}
		near, err = pgx.CollectRows(rows, pgx.RowToStructByPos[nearBoard])
		return err
	})
	return near, err
}

// scores reconciles a kit with the current map of each board, best first.
func (s *Store) scores(ctx context.Context, k *kit.Kit, near []nearBoard) ([]KitBoard, error) {
	var out []KitBoard
	pairs := 0
	for _, n := range near {
		id := n.ID
		if pairs += n.Total * len(k.Lines); pairs > pairsAtMost && len(out) > 0 {
			break
		}
		r, err := s.Revision(ctx, id, 0, "")
		if fault.Is(err, fault.NotFound) || fault.Is(err, fault.Gone) || fault.Is(err, fault.Unlawful) {
			continue // not on the replica's side of a release or a withdrawal
		}
		if err != nil {
			return nil, err
		}
		m, err := r.Map.Effective("")
		if err != nil {
			return nil, err
		}
		sum, err := kit.Score(kit.Request{Map: m, Kit: k})
		if err != nil {
			return nil, fmt.Errorf("kit %s with %s: %w", k.ID, id, err)
		}
		out = append(out, KitBoard{Board: id, Name: r.Map.Name, Revision: r.Number, Digest: r.Digest, Summary: sum})
	}
	slices.SortFunc(out, func(a, b KitBoard) int {
		return cmp.Or(kit.CompareServed(a.Summary, b.Summary), cmp.Compare(a.Board, b.Board))
	})
	return out, nil
}

// earlierTried is how many earlier revisions a kit is tried on.
const earlierTried = 16

// Builds are the maps that a kit for a revision may have been meant for: the
// revision itself with its variants, then the earlier ones, newest first. They
// are read as they are asked for.
func (s *Store) Builds(ctx context.Context, r *Revision) iter.Seq2[kit.Other, error] {
	return func(yield func(kit.Other, error) bool) {
		for n := r.Number; n > max(0, r.Number-1-earlierTried); n-- {
			base, err := s.Revision(ctx, r.Board, n, "")
			if fault.Is(err, fault.Gone) || fault.Is(err, fault.Unlawful) {
				continue
			}
			if err != nil {
				yield(kit.Other{}, err)
				return
			}
			if !yield(kit.Other{Revision: n, Digest: base.Digest, Map: base.Map}, nil) {
				return
			}
		}
	}
}
