package store

import (
	"context"
	"crypto/md5"
	"encoding/binary"
	"maps"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/kit"
)

// short is a lookup key as the index keeps it. Two keys that come out alike
// only bring a board to the exact reconciliation that has no part in common.
func short(key string) int32 {
	sum := md5.Sum([]byte(key))
	return int32(binary.BigEndian.Uint32(sum[:]))
}

// insertWants replaces a board's wants by those of its new map.
func insertWants(ctx context.Context, a *act, boardID string, m *board.Map) error {
	if _, err := a.tx.Exec(ctx, `DELETE FROM wants w USING boards b WHERE b.id = $1 AND w.board = b.number`, boardID); err != nil {
		return err
	}
	w, total := kit.Wants(m, squash)
	keys, counts := columns(w)
	_, err := a.tx.Exec(ctx, `INSERT INTO wants (board, key, count, total)
		SELECT b.number, k, c, $4 FROM boards b, unnest($2::int[], $3::int[]) AS t (k, c) WHERE b.id = $1`, boardID, keys, counts, total)
	return err
}

// columns are the keys as the index keeps them, ascending, and what they count.
func columns(m map[string]int) (keys []int32, counts []int) {
	sums := make(map[int32]int, len(m))
	for key, n := range m {
		sums[short(key)] += n
	}
	keys = slices.Sorted(maps.Keys(sums))
	counts = make([]int, len(keys))
	for i, k := range keys {
		counts[i] = sums[k]
	}
	return keys, counts
}
