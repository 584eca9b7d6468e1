package store

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
)

// toldRevisions gives the released revisions of a board that are not
// withdrawn, oldest first.
func toldRevisions(ctx context.Context, q querier, boardID string) ([]int, error) {
	rows, err := q.Query(ctx, `SELECT number FROM revisions r WHERE board = $1
		AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number) ORDER BY number`,
		boardID)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[int])
}

// safetyView gives what a board's revisions told. The kept view is taken on
// where it lacks revisions, and made anew where it holds one that no longer
// counts, or was written by another version.
func (s *Store) safetyView(ctx context.Context, q querier, boardID string) (*board.SafetyView, error) {
	numbers, err := toldRevisions(ctx, q, boardID)
	if err != nil {
		return nil, fail(err, "revisions of %s", boardID)
	}
	if v := s.views.get(boardID, numbers); v != nil {
		return v, nil
	}
	v, err := keptView(ctx, q, boardID)
	if err != nil {
		return nil, fail(err, "safety view of %s", boardID)
	}
	if len(v.Revisions) > len(numbers) || !slices.Equal(v.Revisions, numbers[:len(v.Revisions)]) {
		v = &board.SafetyView{}
	}
	var before *board.Map
	if n := len(v.Revisions); n > 0 && n < len(numbers) {
		r, err := s.revision(ctx, q, cacheKey{boardID, v.Through, ""})
		if err != nil {
			return nil, err
		}
		before = r.Map
	}
	for _, n := range numbers[len(v.Revisions):] {
		r, err := s.revision(ctx, q, cacheKey{boardID, n, ""})
		if err != nil {
			return nil, err
		}
		v.Fold(n, before, r.Map)
		before = r.Map
	}
	return v, nil
}

// views keeps the safety views that were read last, so that a board that is
// worked on has its own at hand. A view is never changed once it is in here,
// and holds only what was committed: a release that is taken back would leave
// the same numbers for another map.
type views struct {
	mu    sync.Mutex
	board []string // newest last
	view  []*board.SafetyView
}

// maxTold is how many told positions are kept in memory: the longest history of
// the largest board, some 25 MB.
const maxTold = 30_000

// get gives the view of a board if it is of just these revisions.
func (c *views) get(boardID string, revisions []int) *board.SafetyView {
	c.mu.Lock()
	defer c.mu.Unlock()
	if i := slices.Index(c.board, boardID); i >= 0 && slices.Equal(c.view[i].Revisions, revisions) {
		return c.view[i]
	}
	return nil
}

func (c *views) put(boardID string, v *board.SafetyView) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if i := slices.Index(c.board, boardID); i >= 0 {
		c.board, c.view = slices.Delete(c.board, i, i+1), slices.Delete(c.view, i, i+1)
	}
	c.board, c.view = append(c.board, boardID), append(c.view, v)
	told := 0
	for _, v := range c.view {
		told += len(v.Positions)
	}
	for told > maxTold {
		told -= len(c.view[0].Positions)
		c.board, c.view = slices.Delete(c.board, 0, 1), slices.Delete(c.view, 0, 1)
	}
}

// keptView reads the view as it was kept; an empty one where there is none
// that reads.
func keptView(ctx context.Context, q querier, boardID string) (*board.SafetyView, error) {
	var raw []byte
	err := q.QueryRow(ctx, `SELECT view FROM safety_views WHERE board = $1`, boardID).Scan(&raw)
	if noRows(err) {
		return &board.SafetyView{}, nil
	}
	if err != nil {
		return nil, err
	}
	v := new(board.SafetyView)
	if json.Unmarshal(raw, v) != nil {
		return &board.SafetyView{}, nil
	}
	return v, nil
}

// keepView brings the kept view up to date with a release of the same act.
func (s *Store) keepView(ctx context.Context, a *act, boardID string) error {
	v, err := s.safetyView(ctx, a.tx, boardID)
	if err != nil {
		return err
	}
	raw, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("safety view of %s: %w", boardID, err)
	}
	_, err = a.tx.Exec(ctx, `INSERT INTO safety_views (board, view) VALUES ($1, $2)
		ON CONFLICT ON CONSTRAINT safety_views_pkey DO UPDATE SET view = EXCLUDED.view`, boardID, raw)
	return err
}

// hazards holds what a release would make the current revision to all that was
// told before.
func (s *Store) hazards(ctx context.Context, q querier, p *Proposal, f *forwarded) error {
	switch {
	case p.Hazards != nil:
		f.hazards = p.Hazards
	case !p.State.Open():
	case f.m == nil:
	case f.current == nil:
		f.hazards = board.JudgeNew(f.m)
	default:
		v, err := s.safetyView(ctx, q, p.Board)
		if err != nil {
			return err
		}
		s.views.put(p.Board, v)
		f.hazards = board.Judge(v, f.current.Map, f.m, f.fromCurrent)
	}
	f.raise()
	return nil
}

// raise marks the changes that the hazards are about.
func (f *forwarded) raise() {
	for _, d := range []*board.Difference{f.fromBase, f.fromCurrent} {
		if d != nil && len(f.hazards) > 0 {
			*d = d.Raise(f.hazards)
		}
	}
}
