package kit

import "math"

// network is a transportation problem: groups of like positions take parts
// from lines. An arc says that a line's part may stand at the positions of a
// group, and at what penalty; pairs with a stop finding have no arc.
//
// Limits: penalties from 0 to 2^31-1, at most 5,000 groups and 500 lines, so
// that no sum of penalties along a path comes near the range of int64.
type network struct {
	supply   []int32 // positions in each group
	capacity []int32 // parts in each line
	start    []int32 // arcs of group g are start[g] to start[g+1]
	to       []int32 // line of each arc, ascending within a group
	cost     []int32 // penalty of each arc
}

// flow is a placing under way: how many positions of each arc's group take a
// part of its line. It is at all times one of least penalty among those that
// fill as many positions.
//
// The method is the primal-dual one for minimum-cost flow: shortest paths in
// reduced penalties set the potentials, a blocking flow then fills whatever the
// tight arcs allow at once, and so on while a path leads from an unfilled
// position to a part left over. Each round has a greater path penalty than the
// one before, so that there are never more rounds than different penalties of
// a path, and just one where all penalties are equal.
type flow struct {
	network
	units []int32 // positions placed on each arc
	owner []int32 // group of each arc
	rest  []int32 // positions of each group that have no part
	used  []int32 // parts taken of each line
	at    [][]int32
	known []bool // arc stands in at

	// Potentials: the least penalty from the source, so that
	// cost + group - line is never negative on an arc and nought where units flow.
	group []int64
	line  []int64
	sink  int64

	work search
}

// search is the scratch space of one round.
type search struct {
	dist      []int64 // of lines, in reduced penalties
	distGroup []int64
	done      []bool
	level     []int32 // of lines
	levelOf   []int32 // of groups
	next      []int32 // first arc of a group not yet tried
	nextAt    []int32 // first entry of at not yet tried
	queue     []int32
}

const far = math.MaxInt64 / 4

// solve places as many positions as can be and, among those placings, takes
// one of least penalty.
func (n network) solve() *flow {
	f := newFlow(n)
	for f.price() {
		for f.levels() {
			f.block()
		}
	}
	return f
}

func newFlow(n network) *flow {
	groups, lines, arcs := len(n.supply), len(n.capacity), len(n.to)
	f := &flow{
		network: n, units: make([]int32, arcs), owner: make([]int32, arcs), known: make([]bool, arcs),
		rest: append([]int32(nil), n.supply...), used: make([]int32, lines), at: make([][]int32, lines),
		group: make([]int64, groups), line: make([]int64, lines),
		work: search{
			dist: make([]int64, lines), done: make([]bool, lines), level: make([]int32, lines), nextAt: make([]int32, lines),
			distGroup: make([]int64, groups), levelOf: make([]int32, groups), next: make([]int32, groups),
		},
	}
	for g := range n.supply {
		for a := n.start[g]; a < n.start[g+1]; a++ {
			f.owner[a] = int32(g)
		}
	}
	return f
}

// price finds the shortest paths from the unfilled positions and raises the
// potentials by them. It reports false when no path leads to a part left over.
func (f *flow) price() bool {
	w := &f.work
	for l := range w.dist {
		w.dist[l], w.done[l] = far, false
	}
	for g := range w.distGroup {
		w.distGroup[g] = far
		if f.rest[g] > 0 {
			f.relax(int32(g), 0)
		}
	}
	least := int64(far)
	for {
		l := f.nearest()
		if l < 0 || w.dist[l] >= least {
			break
		}
		w.done[l] = true
		if f.used[l] < f.capacity[l] {
			least = min(least, w.dist[l]+f.line[l]-f.sink)
		}
		for _, a := range f.at[l] {
			if g := f.owner[a]; f.units[a] > 0 && w.distGroup[g] == far {
				f.relax(g, w.dist[l])
			}
		}
	}
	if least == far {
		return false
	}
	f.raise(least)
	return true
}

// relax notes a group as reached at distance d and carries on to its lines.
func (f *flow) relax(g int32, d int64) {
	f.work.distGroup[g] = d
	d += f.group[g]
	dist, line := f.work.dist, f.line
	to := f.to[f.start[g]:f.start[g+1]]
	cost := f.cost[f.start[g]:f.start[g+1]]
	for i, l := range to {
		if n := d + int64(cost[i]) - line[l]; n < dist[l] {
			dist[l] = n
		}
	}
}

// nearest is the line of least distance not yet done, -1 when none can be
// reached.
func (f *flow) nearest() int {
	best, d := -1, int64(far)
	for l, v := range f.work.dist {
		if v < d && !f.work.done[l] {
			best, d = l, v
		}
	}
	return best
}

func (f *flow) raise(least int64) {
	for l, d := range f.work.dist {
		f.line[l] += min(d, least)
	}
	for g, d := range f.work.distGroup {
		f.group[g] += min(d, least)
	}
	f.sink += least
}

func (f *flow) tight(a, g int32) bool {
	return int64(f.cost[a])+f.group[g] == f.line[f.to[a]]
}

func (f *flow) free(l int32) bool {
	return f.used[l] < f.capacity[l] && f.line[l] == f.sink
}

// levels counts the steps along tight arcs from the unfilled positions, as far
// as the nearest parts left over, and reports whether there are any.
func (f *flow) levels() bool {
	w := &f.work
	for l := range w.level {
		w.level[l], w.nextAt[l] = -1, 0
		f.compact(l)
	}
	w.queue = w.queue[:0]
	for g := range w.levelOf {
		w.levelOf[g], w.next[g] = -1, f.start[g]
		if f.rest[g] > 0 {
			w.levelOf[g] = 0
			w.queue = append(w.queue, int32(g))
		}
	}
	for len(w.queue) > 0 {
		if f.step() {
			return true
		}
	}
	return false
}

// step goes from all groups of one level to the lines of the next, and on to
// the groups that hold these; it reports whether a line has parts left over.
func (f *flow) step() bool {
	w := &f.work
	found := false
	var lines []int32
	for _, g := range w.queue {
		for a := f.start[g]; a < f.start[g+1]; a++ {
			if l := f.to[a]; w.level[l] < 0 && f.tight(a, g) {
				w.level[l] = w.levelOf[g]
				lines = append(lines, l)
				found = found || f.free(l)
			}
		}
	}
	w.queue = w.queue[:0]
	for _, l := range lines {
		for _, a := range f.at[l] {
			if g := f.owner[a]; w.levelOf[g] < 0 {
				w.levelOf[g] = w.level[l] + 1
				w.queue = append(w.queue, g)
			}
		}
	}
	return found
}

// compact drops the arcs of a line that nothing flows on any more.
func (f *flow) compact(l int) {
	kept := f.at[l][:0]
	for _, a := range f.at[l] {
		if f.units[a] > 0 {
			kept = append(kept, a)
		} else {
			f.known[a] = false
		}
	}
	f.at[l] = kept
}

// block pushes units along the levels until no path of that length is left.
func (f *flow) block() {
	for g := range f.rest {
		if f.rest[g] > 0 {
			f.rest[g] -= f.push(int32(g), f.rest[g])
		}
	}
}

// push places up to want positions of group g and returns how many it placed.
func (f *flow) push(g, want int32) int32 {
	w := &f.work
	placed := int32(0)
	for ; w.next[g] < f.start[g+1]; w.next[g]++ {
		a := w.next[g]
		l := f.to[a]
		if w.level[l] != w.levelOf[g] || !f.tight(a, g) {
			continue
		}
		n := f.take(l, want-placed)
		f.add(a, n)
		placed += n
		if placed == want {
			return placed // the arc may carry more
		}
	}
	return placed
}

// take makes room for up to want parts of line l and returns for how many.
func (f *flow) take(l, want int32) int32 {
	w := &f.work
	got := int32(0)
	if f.free(l) {
		got = min(want, f.capacity[l]-f.used[l])
		f.used[l] += got
	}
	for ; got < want && int(w.nextAt[l]) < len(f.at[l]); w.nextAt[l]++ {
		a := f.at[l][w.nextAt[l]]
		g := f.owner[a]
		if f.units[a] == 0 || w.levelOf[g] != w.level[l]+1 {
			continue
		}
		n := f.push(g, min(want-got, f.units[a]))
		f.units[a] -= n
		got += n
		if got == want {
			return got
		}
	}
	return got
}

func (f *flow) add(a, n int32) {
	if n == 0 {
		return
	}
	f.units[a] += n
	if !f.known[a] {
		f.known[a] = true
		f.at[f.to[a]] = append(f.at[f.to[a]], a)
	}
}
