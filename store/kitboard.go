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

// mostBoards is how many boards are reconciled exactly for one kit.
const mostBoards = 50

// KitBoards finds the boards that a kit serves best: narrowed down by the
// values that both name, then judged by the exact reconciliation. Best first.
// Lines that give their part as text only are left out of the narrowing.
func (s *Store) KitBoards(ctx context.Context, k *kit.Kit, limit int) ([]KitBoard, error) {
	have := map[string]int{}
	for i := range k.Lines {
		if p := k.Lines[i].Part; p != nil {
			if key, ok := wantKey(p); ok {
				have[key] += k.Lines[i].Quantity
			}
		}
	}
	keys, counts := make([]string, 0, len(have)), make([]int, 0, len(have))
	for key, n := range have {
		keys, counts = append(keys, key), append(counts, n)
	}
	rows, err := s.replica.Query(ctx, `
		SELECT w.board FROM unnest($1::text[], $2::int[]) AS h (key, count) JOIN wants w ON w.key = h.key
		GROUP BY w.board ORDER BY sum(least(w.count, h.count)) DESC, w.board LIMIT $3`, keys, counts, mostBoards)
	if err != nil {
		return nil, fail(err, "boards for kit %s", k.ID)
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		return nil, fail(err, "boards for kit %s", k.ID)
	}
	out, err := s.scores(ctx, k, ids)
	if err != nil {
		return nil, err
	}
	return out[:min(max(limit, 0), len(out))], nil
}

// scores reconciles a kit with the current map of each board, best first.
func (s *Store) scores(ctx context.Context, k *kit.Kit, ids []string) ([]KitBoard, error) {
	var out []KitBoard
	for _, id := range ids {
		r, err := s.Revision(ctx, id, 0, "")
		if fault.Is(err, fault.NotFound) {
			continue // not on the replica's side of a release
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
	slices.SortStableFunc(out, func(a, b KitBoard) int {
		return cmp.Or(cmp.Compare(a.Summary.Unfilled, b.Summary.Unfilled), cmp.Compare(b.Summary.Filled, a.Summary.Filled),
			cmp.Compare(a.Summary.Surplus, b.Summary.Surplus), cmp.Compare(a.Summary.Penalty, b.Summary.Penalty), cmp.Compare(a.Board, b.Board))
	})
	return out, nil
}

// mostEarlier is how many earlier revisions a kit is tried on.
const mostEarlier = 16

// Builds are the maps that a kit for a revision may have been meant for: the
// revision itself with its variants, then the earlier ones, newest first. They
// are read as they are asked for.
func (s *Store) Builds(ctx context.Context, r *Revision) iter.Seq2[kit.Other, error] {
	return func(yield func(kit.Other, error) bool) {
		for n := r.Number; n > max(0, r.Number-1-mostEarlier); n-- {
			base, err := s.Revision(ctx, r.Board, n, "")
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
