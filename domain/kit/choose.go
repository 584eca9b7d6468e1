package kit

import (
	"math"
	"math/bits"
)

// Of all best placings one is the report's: the first designator in natural
// order gets the lowest line that it has in any of them, then the second with
// the first held fast, and so on; no part counts as the highest line. That makes
// the answer independent of the order of lines and positions.
//
// Every best placing uses tight arcs only, and any two of them differ by
// cycles of such arcs. So it is enough to look for cycles among the lines:
// from line a to line b where some position that is not yet fixed stands on a
// and has a tight arc to b. Two more nodes take part: "none", where positions
// without a part stand, and the sink, through which a line with parts left
// over takes in what a line that needn't be used up gives away.
type chooser struct {
	f     *flow
	lines int
	nodes int // lines, none, sink
	words int // of a set of nodes
	rows  int // words of a set of groups

	tight  []uint64 // of each group: nodes with a tight arc
	units  []int32  // of each group and node: positions not yet fixed
	on     []uint64 // of each node: groups with units there
	count  []int32  // of nodes a, b: groups on a with a tight arc to b
	before []uint64 // of each node b: nodes a with an arc to b

	seen, mask []uint64
	after      []int32
	queue      []int32
}

func newChooser(f *flow) *chooser {
	groups, lines := len(f.supply), len(f.capacity)
	c := &chooser{f: f, lines: lines, nodes: lines + 2, words: (lines + 2 + 63) / 64, rows: (groups + 63) / 64}
	c.tight = make([]uint64, groups*c.words)
	c.units = make([]int32, groups*c.nodes)
	c.on = make([]uint64, c.nodes*c.rows)
	c.count = make([]int32, c.nodes*c.nodes)
	c.before = make([]uint64, c.nodes*c.words)
	c.seen, c.mask = make([]uint64, c.words), make([]uint64, c.words)
	c.after = make([]int32, c.nodes)
	for g := range f.supply {
		c.arcs(int32(g))
	}
	for l := range f.capacity {
		c.spare(int32(l))
		if f.potential[l] == f.sink {
			set(c.before[l*c.words:], c.sink())
		}
	}
	return c
}

func (c *chooser) none() int32 { return int32(c.lines) }
func (c *chooser) sink() int32 { return int32(c.lines + 1) }

// arcs notes a group's tight arcs and where its positions stand.
func (c *chooser) arcs(g int32) {
	f := c.f
	units := f.units[int(g)*c.lines : (int(g)+1)*c.lines]
	potential := int64(0) // of a group that waits
	if f.rest[g] == 0 {
		for l, u := range units {
			if u > 0 {
				potential = f.potential[l] - int64(f.costs[g][l])
				break
			}
		}
	}
	row := c.tight[int(g)*c.words:]
	for l, cost := range f.costs[g] {
		if cost >= 0 && potential+int64(cost) == f.potential[l] {
			set(row, int32(l))
		}
	}
	if potential == 0 { // as dear as any position that waits
		set(row, c.none())
	}
	for l, u := range units {
		if u > 0 {
			c.move(g, int32(l), u)
		}
	}
	if f.rest[g] > 0 {
		c.move(g, c.none(), f.rest[g])
	}
}

// move adds n (or, below nought, takes away) positions of group g at a node.
func (c *chooser) move(g, node, n int32) {
	u := &c.units[int(g)*c.nodes+int(node)]
	was := *u
	*u += n
	step := int32(1)
	switch {
	case was == 0 && *u > 0:
		set(c.on[int(node)*c.rows:], g)
	case was > 0 && *u == 0:
		unset(c.on[int(node)*c.rows:], g)
		step = -1
	default:
		return
	}
	counts := c.count[int(node)*c.nodes:]
	row := c.tight[int(g)*c.words : (int(g)+1)*c.words]
	for i, w := range row {
		for ; w != 0; w &= w - 1 {
			b := i<<6 + bits.TrailingZeros64(w)
			counts[b] += step
			if counts[b] == 0 {
				unset(c.before[b*c.words:], node)
			} else if counts[b] == 1 && step > 0 {
				set(c.before[b*c.words:], node)
			}
		}
	}
}

// spare notes whether a line can take in one more.
func (c *chooser) spare(l int32) {
	row := c.before[int(c.sink())*c.words:]
	if c.f.free(int(l)) {
		set(row, l)
	} else {
		unset(row, l)
	}
}

// fix gives the next position, one of group g, the node of least rank that it
// can have, and holds it there.
func (c *chooser) fix(g int32, rank []int) int32 {
	row := c.tight[int(g)*c.words : (int(g)+1)*c.words]
	best := lowest(row, rank)
	if c.units[int(g)*c.nodes+int(best)] == 0 {
		c.search(g)
		for i := range c.mask {
			c.mask[i] = row[i] & c.seen[i]
		}
		best = lowest(c.mask, rank)
		if c.units[int(g)*c.nodes+int(best)] == 0 {
			c.turn(g, best)
		}
	}
	c.move(g, best, -1)
	return best
}

// search finds the nodes from which one can get to where the group stands.
func (c *chooser) search(g int32) {
	clear(c.seen)
	c.queue = c.queue[:0]
	units := c.units[int(g)*c.nodes : (int(g)+1)*c.nodes]
	for n, u := range units {
		if u > 0 {
			set(c.seen, int32(n))
			c.after[n] = -1
			c.queue = append(c.queue, int32(n))
		}
	}
	for i := 0; i < len(c.queue); i++ {
		b := c.queue[i]
		row := c.before[int(b)*c.words : (int(b)+1)*c.words]
		for j, w := range row {
			w &^= c.seen[j]
			c.seen[j] |= w
			for ; w != 0; w &= w - 1 {
				a := int32(j<<6 + bits.TrailingZeros64(w))
				c.after[a] = b
				c.queue = append(c.queue, a)
			}
		}
	}
}

// turn moves a position of group g to a node, and the others along the path
// that search found, round to where it stood.
func (c *chooser) turn(g, node int32) {
	a := node
	for ; c.after[a] >= 0; a = c.after[a] {
		c.hop(a, c.after[a])
	}
	c.move(g, a, -1)
	c.move(g, node, 1)
}

// hop moves some position from node a to node b.
func (c *chooser) hop(a, b int32) {
	switch c.sink() {
	case b:
		c.f.used[a]++
		c.spare(a)
		return
	case a:
		c.f.used[b]--
		c.spare(b)
		return
	}
	for i, w := range c.on[int(a)*c.rows : (int(a)+1)*c.rows] {
		for ; w != 0; w &= w - 1 {
			h := int32(i<<6 + bits.TrailingZeros64(w))
			if has(c.tight[int(h)*c.words:], b) {
				c.move(h, a, -1)
				c.move(h, b, 1)
				return
			}
		}
	}
}

// lowest is the member of least rank; "none" ranks behind all lines.
func lowest(nodes []uint64, rank []int) int32 {
	best, r := int32(len(rank)-1), math.MaxInt
	for i, w := range nodes {
		for ; w != 0; w &= w - 1 {
			n := i<<6 + bits.TrailingZeros64(w)
			if n < len(rank) && rank[n] < r {
				best, r = int32(n), rank[n]
			}
		}
	}
	return best
}

func set(s []uint64, i int32)      { s[i>>6] |= 1 << (i & 63) }
func unset(s []uint64, i int32)    { s[i>>6] &^= 1 << (i & 63) }
func has(s []uint64, i int32) bool { return s[i>>6]&(1<<(i&63)) != 0 }
