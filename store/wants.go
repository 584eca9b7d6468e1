package store

import (
	"context"
	"maps"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// wantKey is what a part is looked up by when kits look for boards: its class
// and value; where a class has no value, the rating or the name that people
// choose it by. False for a part that says too little to be looked for.
func wantKey(p *part.Part) (string, bool) {
	by := ""
	switch {
	case !p.Value.IsZero():
		by = p.Value.String()
	case p.Class == "fuse" && !p.Current.IsZero():
		by = p.Current.String()
	default:
		by = squash(p.Text)
	}
	const most = 200 // characters of a key; a longer text is no type number
	if by == "" || len(by) > most {
		return "", false
	}
	return p.Class + " " + by, true
}

// wants counts what a map wants to be fitted at service, by key.
func wants(m *board.Map) map[string]int {
	counts := map[string]int{}
	for i := range m.Positions {
		if p := &m.Positions[i]; p.Service == "replace" {
			if k, ok := wantKey(p.Wanted()); ok {
				counts[k]++
			}
		}
	}
	return counts
}

// insertWants replaces a board's wants by those of its new map.
func insertWants(ctx context.Context, a *act, boardID string, m *board.Map) error {
	if _, err := a.tx.Exec(ctx, `DELETE FROM wants WHERE board = $1`, boardID); err != nil {
		return err
	}
	w := wants(m)
	keys := slices.Sorted(maps.Keys(w))
	counts := make([]int, len(keys))
	for i, k := range keys {
		counts[i] = w[k]
	}
	_, err := a.tx.Exec(ctx, `INSERT INTO wants (board, key, count) SELECT $1, k, c FROM unnest($2::text[], $3::int[]) AS t (k, c)`,
		boardID, keys, counts)
	return err
}
