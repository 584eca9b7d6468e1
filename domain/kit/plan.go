package kit

import (
	"runtime"
	"slices"
	"sync"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// plan is a reconciliation under way.
type plan struct {
	m      *board.Map
	names  *names
	spots  []int       // positions of the map: those in scope, then those out of it that a line is labelled for
	in     []int       // the first of spots: positions in scope, natural order of designators
	index  map[int]int // position of the map to index of spots
	groups []group
	of     []int32 // group of each spot

	lines []line
	kinds []kind
	kind  []int32 // of each line, unplaced where it was not read

	judges   []*part.Judge // of each group; nil where not yet weighed
	weights  [][]int32     // by group and kind: the penalty, below nought for stop; nil where not yet weighed
	verdicts []verdict     // of every label, wherever it points
	label    []int         // sure line that each position in scope is labelled on, or unplaced
	tied     [][]int       // unsure lines that each position in scope is labelled on and that may stand there
	to       []int         // line that each position in scope gets, or unplaced
	bad      []bool        // the position has a labelled line with a stop finding
}

// kind is the parts that a line may hold: one, or where it is not sure every
// way in which it reads.
type kind []part.Candidate

// newPlan reads the kit for the map and places it: labelled lines at their
// word, the others by the optimum; sure lines first.
func newPlan(r Request) (*plan, error) {
	p := &plan{m: r.Map, names: newNames(r.Map)}
	var err error
	if p.in, err = r.Scope.positions(r.Map, p.names); err != nil {
		return nil, err
	}
	lines := reader{m: r.Map, names: p.names, context: quantity.Context{Found: "list", Language: r.Language}}
	p.lines = lines.lines(r.Kit)
	if err := lines.bounded(r.Kit); err != nil {
		return nil, err
	}
	p.look()
	p.groups, p.of = groups(r.Map, p.spots)
	p.sort()
	p.judges, p.weights = make([]*part.Judge, len(p.groups)), make([][]int32, len(p.groups))
	p.labels()
	p.place()
	p.provide(p.to)
	p.admit()
	return p, nil
}

// look lists the positions that are to be judged.
func (p *plan) look() {
	p.spots = slices.Clip(slices.Clone(p.in))
	p.index = make(map[int]int, len(p.in))
	for i, at := range p.in {
		p.index[at] = i
	}
	var beyond []int
	for l := range p.lines {
		for _, at := range p.lines[l].labels {
			if _, known := p.index[at]; !known {
				p.index[at] = unplaced
				beyond = append(beyond, at)
			}
		}
	}
	slices.SortFunc(beyond, p.compare)
	for _, at := range beyond {
		p.index[at] = len(p.spots)
		p.spots = append(p.spots, at)
	}
	p.in = p.spots[:len(p.in)]
}

// compare puts positions of the map in the natural order of designators.
func (p *plan) compare(a, b int) int {
	return board.CompareDesignators(p.m.Positions[a].Designator, p.m.Positions[b].Designator)
}

// inside reports whether a spot is in scope.
func (p *plan) inside(i int) bool { return i < len(p.in) }

// sort puts lines with like parts together. A line that is not sure is alike to
// none.
func (p *plan) sort() {
	p.kind = make([]int32, len(p.lines))
	seen := map[offerKey]int32{}
	for i := range p.lines {
		x := &p.lines[i]
		if x.offer == nil {
			p.kind[i] = unplaced
			continue
		}
		key := offerKey{x.offer.Part.Key(), bodyKeyOf(&x.offer.Body)}
		k, ok := seen[key]
		if !ok || !x.sure {
			k = int32(len(p.kinds))
			p.kinds = append(p.kinds, candidates(x.offers))
		}
		if x.sure {
			seen[key] = k
		}
		p.kind[i] = k
	}
}

func candidates(offers []*part.Offer) kind {
	k := make(kind, len(offers))
	for i, o := range offers {
		k[i] = part.NewCandidate(o)
		k[i].Fitting = bodyKeyOf(&o.Body) == bodyKey{}
	}
	return k
}

// judge is the judging for a group's places, prepared once.
func (p *plan) judge(g int32) *part.Judge {
	if p.judges[g] == nil {
		p.judges[g] = part.NewJudge(&p.groups[g].wanted, &p.groups[g].place)
	}
	return p.judges[g]
}

// row is the penalties of a group's pairs with every kind, below nought for a
// stop. A line that says nothing at all of its outside is weighed as if it
// fitted: the findings tell that the outside is not known, but a kit that lists
// the very parts that are wanted costs nothing.
func (p *plan) row(g int32) []int32 {
	if p.weights[g] == nil {
		judge, row := p.judge(g), make([]int32, len(p.kinds))
		for k, ways := range p.kinds {
			row[k] = ways.least(judge)
		}
		p.weights[g] = row
	}
	return p.weights[g]
}

// least is the penalty of the way to read a line that suits best, below nought
// where none may stand there.
func (k kind) least(judge *part.Judge) int32 {
	least := int32(-1)
	for i := range k {
		if penalty, fits := judge.Cost(&k[i]); fits && (least < 0 || int32(penalty) < least) {
			least = int32(penalty)
		}
	}
	return least
}

// manyPairs is from where on it pays to weigh on all processors.
const manyPairs = 1 << 15

// weigh makes the rows of the groups ready. Rows don't depend on each other, so
// that it makes no difference how many processors share in them.
func (p *plan) weigh(groups []int32) {
	workers := runtime.GOMAXPROCS(0)
	if len(groups)*len(p.kinds) < manyPairs {
		workers = 1
	}
	var wait sync.WaitGroup
	for w := range workers {
		wait.Go(func() {
			for i := w; i < len(groups); i += workers {
				p.row(groups[i])
			}
		})
	}
	wait.Wait()
}

// cost of the pair of a spot with a line, below nought for a stop.
func (p *plan) cost(i, l int) int32 { return p.row(p.of[i])[p.kind[l]] }

// place gives the positions without a label to the sure lines without one.
func (p *plan) place() {
	stocks, kinds := p.stocks()
	free := make([]int32, len(p.groups))
	for i := range p.in {
		if p.label[i] == unplaced {
			free[p.of[i]]++
		}
	}
	var open []int32
	for g, count := range free {
		if count > 0 {
			open = append(open, int32(g))
		}
	}
	p.weigh(open)
	rows := make([][]int32, len(open))
	for i, g := range open {
		rows[i] = p.row(g)
	}
	c := alike(rows, kinds)
	var n network
	for _, row := range c.rows {
		n.add(0, row)
	}
	at := make([]int32, len(p.groups))
	for i, g := range open {
		at[g] = c.row[i]
		n.supply[c.row[i]] += free[g]
	}
	var positions []int
	var of []int32
	for i := range p.in {
		if p.label[i] == unplaced {
			positions, of = append(positions, i), append(of, at[p.of[i]])
		}
	}
	for j, l := range n.place(of, c.merge(stocks)) {
		p.to[positions[j]] = l
	}
}

// stocks puts the sure, unlabelled lines of each kind together; the second result is
// the kind of each stock.
func (p *plan) stocks() ([]stock, []int32) {
	var stocks []stock
	var kinds []int32
	at := map[int32]int{}
	for l, k := range p.kind {
		if k == unplaced || !p.lines[l].sure || p.lines[l].labelled() || p.lines[l].parts == 0 {
			continue
		}
		s, ok := at[k]
		if !ok {
			s = len(stocks)
			at[k] = s
			stocks, kinds = append(stocks, nil), append(kinds, k)
		}
		stocks[s] = append(stocks[s], share{l, p.lines[l].parts})
	}
	return stocks, kinds
}

// worst is the gravest finding of a filled position.
func (p *plan) worst(i int) finding.Severity {
	x := &p.lines[p.to[i]]
	if !x.sure {
		return finding.Caution
	}
	offer := part.NewCandidate(x.offer) // as it is, its outside unknown
	return p.judge(p.of[i]).Weigh(&offer).Worst
}

func (p *plan) summary() Summary {
	s := Summary{Positions: len(p.in)}
	flagged := p.flaggedLabels()
	for i := range p.in {
		if !p.filled(i) {
			s.Unfilled++
			continue
		}
		s.Filled++
		s.Penalty += int(p.cost(i, p.to[i]))
		if !p.lines[p.to[i]].sure {
			s.Provisional++
		}
		if p.worst(i) == finding.Caution {
			flagged[i] = true
		}
	}
	s.Flagged = len(flagged)
	for l := range p.lines {
		s.Surplus += max(p.lines[l].Quantity, 0)
	}
	s.Surplus -= s.Filled
	return s
}

// outcome is Complete only where nothing at all is left to be looked at.
func (p *plan) outcome(s Summary, flags []Flag) string {
	switch {
	case p.conflict():
		return Conflict
	case s.Unfilled > 0:
		return Short
	}
	for i := range flags {
		if flags[i].Severity.Rank() >= finding.Caution.Rank() {
			return ToCheck
		}
	}
	return Complete
}
