package store

import (
	"crypto/md5"
	"encoding/binary"
	"maps"
	"slices"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/kit"
)

// short is a lookup key as the index keeps it. Two keys that come out alike
// only bring a board to the exact reconciliation that has no part in common.
func short(key string) int32 {
	sum := md5.Sum([]byte(key))
	return int32(binary.BigEndian.Uint32(sum[:]))
}

// queueWants replaces the wants of boards by those of their new maps.
func queueWants(b *pgx.Batch, list []described) {
	var boards, of []string
	var keys []int32
	var counts, totals []int
	for _, d := range list {
		w, total := kit.Wants(d.doc.m, squash)
		k, c := columns(w)
		keys, counts = append(keys, k...), append(counts, c...)
		for range k {
			of, totals = append(of, d.board), append(totals, total)
		}
		boards = append(boards, d.board)
	}
	b.Queue(`DELETE FROM wants w USING boards b WHERE b.id = ANY ($1) AND w.board = b.number`, boards)
	b.Queue(`INSERT INTO wants (board, key, count, total)
		SELECT b.number, k, c, n FROM unnest($1::text[], $2::int[], $3::int[], $4::int[]) AS t (id, k, c, n) JOIN boards b USING (id)`,
		of, keys, counts, totals)
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
