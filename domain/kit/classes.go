package kit

import (
	"cmp"
	"slices"
)

// classes puts together what no penalty tells apart: positions that every line
// suits alike, and lines that suit every position alike. Large problems are
// mostly made of few of them; where all penalties are equal, of one.
type classes struct {
	row    []int32   // class of each row
	column []int32   // class of each column
	rows   [][]int32 // of each class of rows: the penalty of each class of columns
}

// alike finds the classes of rows of penalties, looking at the columns given.
func alike(rows [][]int32, columns []int32) classes {
	c := classes{row: make([]int32, len(rows)), column: make([]int32, len(columns))}
	kept := c.sortRows(rows, columns)
	first := c.sortColumns(kept, columns)
	c.rows = make([][]int32, len(kept))
	for i, row := range kept {
		c.rows[i] = make([]int32, len(first))
		for j, at := range first {
			c.rows[i][j] = row[columns[at]]
		}
	}
	return c
}

// sortRows gives each row its class and returns a row of each.
func (c *classes) sortRows(rows [][]int32, columns []int32) (kept [][]int32) {
	seen := map[uint64][]int32{}
	for i, row := range rows {
		h := uint64(hashStart)
		for _, at := range columns {
			h = mix(h, row[at])
		}
		n := slices.IndexFunc(seen[h], func(k int32) bool { return same(kept[k], row, columns) })
		if n < 0 {
			n = len(seen[h])
			seen[h] = append(seen[h], int32(len(kept)))
			kept = append(kept, row)
		}
		c.row[i] = seen[h][n]
	}
	return kept
}

func same(a, b []int32, columns []int32) bool {
	for _, at := range columns {
		if a[at] != b[at] {
			return false
		}
	}
	return true
}

// sortColumns gives each column its class and returns the first column of each.
func (c *classes) sortColumns(rows [][]int32, columns []int32) (first []int) {
	hash := slices.Repeat([]uint64{hashStart}, len(columns))
	for _, row := range rows {
		for j, at := range columns {
			hash[j] = mix(hash[j], row[at])
		}
	}
	seen := map[uint64][]int32{}
	for j, at := range columns {
		like := func(k int32) bool {
			other := columns[first[k]]
			return !slices.ContainsFunc(rows, func(row []int32) bool { return row[at] != row[other] })
		}
		h := hash[j]
		n := slices.IndexFunc(seen[h], like)
		if n < 0 {
			n = len(seen[h])
			seen[h] = append(seen[h], int32(len(first)))
			first = append(first, j)
		}
		c.column[j] = seen[h][n]
	}
	return first
}

// merge puts the stocks of each class of columns together.
func (c *classes) merge(stocks []stock) []stock {
	var out []stock
	for j, s := range stocks {
		k := int(c.column[j])
		if k == len(out) {
			out = append(out, nil)
		}
		out[k] = append(out[k], s...)
	}
	for _, s := range out {
		slices.SortFunc(s, func(a, b share) int { return cmp.Compare(a.line, b.line) })
	}
	return out
}

// A hash by multiplication (FNV-1a by words); equal hashes are compared in full.
const hashStart = 14695981039346656037

func mix(h uint64, x int32) uint64 { return (h ^ uint64(uint32(x))) * 1099511628211 }
