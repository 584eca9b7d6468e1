package store

import (
	"context"
	"crypto/md5"
	"encoding/binary"
	"maps"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/domain/part"
)

// wantKey is what a part is looked up by when kits look for boards: its class
// and value; where a class has no value, the rating or the name that people
// choose it by. False for a part that says too little to be looked for.
func wantKey(p *part.Part) (int32, bool) {
	by := ""
	switch {
	case !p.Value.IsZero():
		by = p.Value.String()
	case p.Class == part.Fuse && !p.Current.IsZero():
		by = p.Current.String()
	default:
		by = squash(p.Text)
	}
	const most = 200 // characters of a key; a longer text is no type number
	if by == "" || len(by) > most {
		return 0, false
	}
	sum := md5.Sum([]byte(string(p.Class) + " " + by))
	return int32(binary.BigEndian.Uint32(sum[:])), true
}

// wants counts what a map wants to be fitted at service, by key.
func wants(m *board.Map) (counts map[int32]int, total int) {
	counts = map[int32]int{}
	for i := range m.Positions {
		if p := &m.Positions[i]; p.Service == board.Replace {
			if k, ok := wantKey(p.Wanted()); ok {
				counts[k]++
				total++
			}
		}
	}
	return counts, total
}

// holds counts what a kit holds, by key. A line that reads several ways counts
// for each.
func holds(k *kit.Kit) (counts map[int32]int, total int) {
	counts = map[int32]int{}
	for _, l := range kit.Lots(k) {
		total += l.Quantity
		seen := map[int32]bool{}
		for i := range l.Parts {
			if key, ok := wantKey(&l.Parts[i]); ok && !seen[key] {
				seen[key] = true
				counts[key] += l.Quantity
			}
		}
	}
	return counts, total
}

// insertWants replaces a board's wants by those of its new map.
func insertWants(ctx context.Context, a *act, boardID string, m *board.Map) error {
	if _, err := a.tx.Exec(ctx, `DELETE FROM wants w USING boards b WHERE b.id = $1 AND w.board = b.number`, boardID); err != nil {
		return err
	}
	w, total := wants(m)
	keys, counts := columns(w)
	_, err := a.tx.Exec(ctx, `INSERT INTO wants (board, key, count, total)
		SELECT b.number, k, c, $4 FROM boards b, unnest($2::int[], $3::int[]) AS t (k, c) WHERE b.id = $1`, boardID, keys, counts, total)
	return err
}

// columns are the keys, ascending, and what they count.
func columns(m map[int32]int) (keys []int32, counts []int) {
	keys = slices.Sorted(maps.Keys(m))
	counts = make([]int, len(keys))
	for i, k := range keys {
		counts[i] = m[k]
	}
	return keys, counts
}
