package kit

import (
	"math"
	"slices"
)

// network is a transportation problem: groups of like positions take parts
// from lines, each pair at a penalty or not at all.
//
// Limits: penalties from 0 to below 2^30, at most 5,000 groups and 500 lines,
// so that no difference of two penalties leaves int32 and no sum along a path
// comes near the range of int64.
type network struct {
	supply   []int32   // positions in each group
	capacity []int32   // parts in each line
	costs    [][]int32 // of each group: the penalty of each line, below nought where the pair is not allowed
}

// add appends a group of like positions. The costs are copied.
func (n *network) add(positions int32, costs []int32) {
	n.supply = append(n.supply, positions)
	n.costs = append(n.costs, slices.Clone(costs))
}

// flow is a placing under way. It is at all times one of least penalty among
// those that place as many positions.
//
// The method is the primal-dual one for minimum-cost flow: shortest paths in
// reduced penalties set the potentials of the lines, a blocking flow then fills
// whatever the tight arcs allow at once, and so on while a path leads from a
// waiting position to a part left over. Each round has a greater path penalty
// than the one before, so that there are never more rounds than different
// penalties of a path, and just one where all penalties are equal.
//
// Lines are few and positions many, so the search walks on lines alone: the arc
// from line a to line b is the position on a that changes to b at the least
// cost. One more node, "none", stands for the positions that wait. What a move
// changes in these arcs is brought up to date as it is made.
type flow struct {
	network
	lines int
	units []int32   // of each group and line: positions placed
	rest  []int32   // of each group: positions that wait
	used  []int32   // of each line: parts taken
	on    [][]int32 // of each line: groups that have positions there

	change []int32   // from each node to each line: the least change of penalty, never where there is none
	by     []int32   // the group that changes at that
	order  [][]int32 // of each line: groups by penalty; nil until the first one is used up
	head   []int32   // first of order that still waits

	// Potentials, the least penalty on the way from none: change + potential
	// of a - potential of b is never negative, and nought on the way of a flow.
	potential []int64
	sink      int64

	dist  []int64 // scratch of one round
	done  []bool
	level []int32 // steps from none, -1 where there is no way
	next  []int32 // of each node: first line not yet tried
	queue []int32
}

const (
	never = math.MaxInt32
	far   = math.MaxInt64 / 4
)

// solve places as many positions as can be and, among those placings, takes
// one of least penalty.
func (n network) solve() *flow {
	f := newFlow(n)
	for f.price() {
		for f.levels() {
			for f.push(f.none()) {
			}
		}
	}
	return f
}

func newFlow(n network) *flow {
	groups, lines := len(n.supply), len(n.capacity)
	f := &flow{
		network: n, lines: lines,
		units: make([]int32, groups*lines), rest: slices.Clone(n.supply), used: make([]int32, lines),
		on:     make([][]int32, lines),
		change: slices.Repeat([]int32{never}, (lines+1)*lines), by: make([]int32, (lines+1)*lines),
		order: make([][]int32, lines), head: make([]int32, lines), potential: make([]int64, lines+1),
		dist: make([]int64, lines), done: make([]bool, lines), level: make([]int32, lines+1), next: make([]int32, lines+
			1),
	}
	change, by := f.row(f.none())
	for g, s := range n.supply {
		if s == 0 {
			continue
		}
		for l, c := range n.costs[g] {
			if c >= 0 && c < change[l] {
				change[l], by[l] = c, int32(g)
			}
		}
	}
	return f
}

func (f *flow) none() int { return f.lines }

// row is the arcs from a node.
func (f *flow) row(a int) (change, by []int32) {
	return f.change[a*f.lines : (a+1)*f.lines], f.by[a*f.lines : (a+1)*f.lines]
}

// price finds the shortest ways from none and raises the potentials by them.
// It reports false when no way leads to a part left over.
func (f *flow) price() bool {
	for l := range f.dist {
		f.dist[l], f.done[l] = far, false
	}
	f.relax(f.none(), 0)
	least := int64(far)
	for {
		a := f.nearest()
		if a < 0 || f.dist[a] >= least {
			break
		}
		f.done[a] = true
		if f.used[a] < f.capacity[a] {
			least = min(least, f.dist[a]+f.potential[a]-f.sink)
		}
		f.relax(a, f.dist[a])
	}
	if least == far {
		return false
	}
	for l, d := range f.dist {
		f.potential[l] += min(d, least)
	}
	f.sink += least
	return true
}

// relax goes on from a node at distance d.
func (f *flow) relax(a int, d int64) {
	d += f.potential[a]
	change, _ := f.row(a)
	dist, potential := f.dist[:len(change)], f.potential[:len(change)]
	for b, c := range change {
		if n := d + int64(c) - potential[b]; n < dist[b] && c != never {
			dist[b] = n
		}
	}
}

// nearest is the line of least distance not yet done, -1 when none can be
// reached.
func (f *flow) nearest() int {
	best, d := -1, int64(far)
	for l, v := range f.dist {
		if v < d && !f.done[l] {
			best, d = l, v
		}
	}
	return best
}

func (f *flow) free(l int) bool {
	return f.used[l] < f.capacity[l] && f.potential[l] == f.sink
}

// levels counts the steps along tight arcs from none, as far as the nearest
// parts left over, and reports whether there are any.
func (f *flow) levels() bool {
	for a := range f.level {
		f.level[a], f.next[a] = -1, 0
	}
	f.level[f.none()] = 0
	f.queue = append(f.queue[:0], int32(f.none()))
	for found := false; len(f.queue) > 0 && !found; {
		from := len(f.queue)
		for _, a := range f.queue[:from] {
			found = f.step(int(a)) || found
		}
		f.queue = append(f.queue[:0], f.queue[from:]...)
		if found {
			return true
		}
	}
	return false
}

// step queues the lines one tight arc on from a node and reports whether one
// has parts left over.
func (f *flow) step(a int) bool {
	found := false
	change, _ := f.row(a)
	at := f.potential[a]
	for b, c := range change {
		if c != never && f.level[b] < 0 && at+int64(c) == f.potential[b] {
			f.level[b] = f.level[a] + 1
			f.queue = append(f.queue, int32(b))
			found = found || f.free(b)
		}
	}
	return found
}

// push sends one position from a node along the levels to a part left over and
// reports whether there was a way.
func (f *flow) push(a int) bool {
	change, _ := f.row(a)
	at := f.potential[a]
	for ; int(f.next[a]) < f.lines; f.next[a]++ {
		b := int(f.next[a])
		if f.level[b] != f.level[a]+1 || change[b] == never || at+int64(change[b]) != f.potential[b] {
			continue
		}
		if f.free(b) {
			f.used[b]++
		} else if !f.push(b) {
			continue
		}
		f.move(a, b)
		return true
	}
	return false
}

// move takes the position of the arc from node a to line b.
func (f *flow) move(a, b int) {
	_, by := f.row(a)
	g := by[b]
	if a == f.none() {
		if f.rest[g]--; f.rest[g] == 0 {
			f.placed(g)
		}
	} else {
		f.leave(g, a)
	}
	f.enter(g, b)
}

// enter puts a position of a group on a line.
func (f *flow) enter(g int32, l int) {
	u := &f.units[int(g)*f.lines+l]
	if *u++; *u > 1 {
		return
	}
	f.on[l] = append(f.on[l], g)
	change, by := f.row(l)
	costs := f.costs[g]
	own := costs[l]
	for b, c := range costs {
		if d := c - own; c >= 0 && d < change[b] && b != l {
			change[b], by[b] = d, g
		}
	}
}

// leave takes a position of a group off a line.
func (f *flow) leave(g int32, l int) {
	u := &f.units[int(g)*f.lines+l]
	if *u--; *u > 0 {
		return
	}
	on := f.on[l]
	i := slices.Index(on, g)
	on[i] = on[len(on)-1]
	f.on[l] = on[:len(on)-1]
	change, by := f.row(l)
	for b := range change {
		if by[b] == g && change[b] != never {
			change[b], by[b] = f.cheapest(l, b, change[b])
		}
	}
}

// cheapest is the least change from line a to line b, which is not below least.
func (f *flow) cheapest(a, b int, least int32) (change, by int32) {
	change = never
	for _, g := range f.on[a] {
		c := f.costs[g]
		if d := c[b] - c[a]; c[b] >= 0 && d < change {
			if change, by = d, g; d == least {
				break
			}
		}
	}
	return change, by
}

// placed takes a group of which no position waits any more out of the arcs
// from none.
func (f *flow) placed(g int32) {
	change, by := f.row(f.none())
	for l := range change {
		if by[l] == g && change[l] != never {
			change[l], by[l] = f.waiting(l)
		}
	}
}

// waiting is the group of least penalty on a line of which some position waits.
func (f *flow) waiting(l int) (change, by int32) {
	if f.order[l] == nil {
		f.order[l] = f.sorted(l)
	}
	for ; int(f.head[l]) < len(f.order[l]); f.head[l]++ {
		if g := f.order[l][f.head[l]]; f.rest[g] > 0 {
			return f.costs[g][l], g
		}
	}
	return never, 0
}

// ranked is a group with its penalty above the least one of a line.
type ranked struct {
	above uint32
	group int32
}

// sorted is the groups that a line suits, by penalty: a radix sort, since
// penalties lie close together and there are up to 500 lines to sort for.
func (f *flow) sorted(l int) []int32 {
	least, most := int32(never), int32(0)
	now := make([]ranked, 0, len(f.costs))
	for g := range f.costs {
		if c := f.costs[g][l]; c >= 0 {
			now = append(now, ranked{uint32(c), int32(g)})
			least, most = min(least, c), max(most, c)
		}
	}
	for i := range now {
		now[i].above -= uint32(least)
	}
	spare := make([]ranked, len(now))
	for shift := 0; (most-least)>>shift > 0; shift += 8 {
		var start [257]int32
		for _, x := range now {
			start[x.above>>shift&0xff+1]++
		}
		for i := 1; i < len(start); i++ {
			start[i] += start[i-1]
		}
		for _, x := range now {
			at := &start[x.above>>shift&0xff]
			spare[*at] = x
			*at++
		}
		now, spare = spare, now
	}
	groups := make([]int32, len(now))
	for i, x := range now {
		groups[i] = x.group
	}
	return groups
}
