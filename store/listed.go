package store

import (
	"context"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/placement"
)

// How far back a list's base is looked for: so many revisions, and so many of
// their positions altogether.
const (
	oldestListed   = 10
	maxListedParts = 20_000
)

// MergeList brings the draft that was made of a placement list into the newest
// map of its board, and says which older revision it was made from by the looks
// of it: one with which its places agree better. Its places are those of that
// revision then, and to take them for news would undo what was corrected since.
// Returns fault.NotFound, Gone or Unlawful where the board has no map.
func (s *Store) MergeList(ctx context.Context, draft *board.Map) (*board.Map, *placement.Merged, error) {
	now, err := s.Revision(ctx, draft.Board, 0, "")
	if err != nil {
		return nil, nil, err
	}
	m, merged := placement.Merge(now.Map, draft)
	merged.Base = now.Number
	least, parts := len(merged.Moved), len(now.Map.Positions)
	for n := now.Number - 1; n > 0 && n >= now.Number-oldestListed && least > 0 && parts < maxListedParts; n-- {
		r, err := s.Revision(ctx, draft.Board, n, "")
		if fault.Is(err, fault.NotFound) || fault.Is(err, fault.Gone) || fault.Is(err, fault.Unlawful) {
			continue // withdrawn
		}
		if err != nil {
			return nil, nil, err
		}
		parts += len(r.Map.Positions)
		if _, older := placement.Merge(r.Map, draft); len(older.Moved) < least {
			least, merged.Likely = len(older.Moved), n
		}
	}
	return m, &merged, nil
}
