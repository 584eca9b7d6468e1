package kit

import "math"

// stock is the lines whose parts are alike, in ascending order of line.
type stock []share

// share is what one line brings into a stock.
type share struct {
	line  int // rank of the line: 0 for the lowest
	parts int32
}

// unplaced stands for no line.
const unplaced = -1

// place finds the best placing. groups names the group of each position, in
// natural order of designators, and stocks the lines behind each line of the
// network. The result is the line of each position, or unplaced.
func (n network) place(groups []int32, stocks []stock) []int {
	n.capacity = make([]int32, len(stocks))
	rank := make([]int, len(stocks)+1)
	left := make([]stock, len(stocks))
	for l, s := range stocks {
		for _, part := range s {
			if part.parts > 0 {
				left[l] = append(left[l], part)
				n.capacity[l] += part.parts
			}
		}
		rank[l] = lowestLine(left[l])
	}
	rank[len(stocks)] = math.MaxInt - 1
	c := newChooser(n.solve())
	out := make([]int, len(groups))
	for i, g := range groups {
		l := c.fix(g, rank)
		if l == c.none() {
			out[i] = unplaced
			continue
		}
		out[i] = left[l][0].line
		if left[l][0].parts--; left[l][0].parts == 0 {
			left[l] = left[l][1:]
			rank[l] = lowestLine(left[l])
		}
	}
	return out
}

// lowestLine is the rank of the lowest line with parts left; behind everything
// where there is none.
func lowestLine(s stock) int {
	if len(s) == 0 {
		return math.MaxInt
	}
	return s[0].line
}
