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
	in     []int       // positions in scope, natural order of designators
	index  map[int]int // position of the map to index of in
	groups []group
	of     []int32 // group of each position in scope

	lines []line
	kinds []part.Candidate // different offers
	kind  []int32          // of each line, unplaced where it was not read

	judges  []*part.Judge // of each group; nil where not yet weighed
	weights [][]int32     // by group and kind: the penalty, below nought for stop; nil where not yet weighed
	label   []int         // line that each position in scope is labelled on, or unplaced
	to      []int         // line that each position in scope gets, or unplaced
	bad     []bool        // labelled, with a stop finding
}

// newPlan reads the kit for the map and places it: labelled lines at their
// word, the others by the optimum.
func newPlan(r Request) (*plan, error) {
	p := &plan{m: r.Map, names: newNames(r.Map)}
	var err error
	if p.in, err = r.Scope.positions(r.Map, p.names); err != nil {
		return nil, err
	}
	p.index = make(map[int]int, len(p.in))
	for i, at := range p.in {
		p.index[at] = i
	}
	p.groups, p.of = groups(r.Map, p.in)
	lines := reader{m: r.Map, names: p.names, context: quantity.Context{Found: "list", Language: r.Language}}
	p.lines = lines.lines(r.Kit)
	p.sort()
	p.judges, p.weights = make([]*part.Judge, len(p.groups)), make([][]int32, len(p.groups))
	p.labels()
	p.place()
	return p, nil
}

// sort puts lines with like parts together.
func (p *plan) sort() {
	p.kind = make([]int32, len(p.lines))
	seen := map[offerKey]int32{}
	for i := range p.lines {
		o := p.lines[i].offer
		if o == nil {
			p.kind[i] = unplaced
			continue
		}
		key := offerKey{keyOf(&o.Part), bodyKeyOf(&o.Body)}
		k, ok := seen[key]
		if !ok {
			k = int32(len(p.kinds))
			seen[key] = k
			c := part.NewCandidate(o)
			c.Fitting = key.body == bodyKey{}
			p.kinds = append(p.kinds, c)
		}
		p.kind[i] = k
	}
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
		for k := range p.kinds {
			row[k] = -1
			if penalty, fits := judge.Cost(&p.kinds[k]); fits {
				row[k] = int32(penalty)
			}
		}
		p.weights[g] = row
	}
	return p.weights[g]
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

// cost of the pair of a position in scope with a line, below nought for a stop.
func (p *plan) cost(i, l int) int32 { return p.row(p.of[i])[p.kind[l]] }

// labels takes the labelled lines at their word. Of two lines that name one
// position the lower goes there; a line with too few parts serves its first
// designators in natural order. What is not served in this way is left to the
// optimum, as are the labels of a line that could not be read.
func (p *plan) labels() {
	p.label, p.bad = make([]int, len(p.in)), make([]bool, len(p.in))
	for i := range p.label {
		p.label[i] = unplaced
	}
	for l := range p.lines {
		p.labelLine(l)
	}
	p.to = slices.Clone(p.label)
	for i, l := range p.label {
		p.bad[i] = l != unplaced && p.cost(i, l) < 0
	}
}

func (p *plan) labelLine(l int) {
	x := &p.lines[l]
	slices.SortFunc(x.labels, func(a, b int) int {
		return board.CompareDesignators(p.m.Positions[a].Designator, p.m.Positions[b].Designator)
	})
	var outside []string
	served := int32(0)
	for _, at := range x.labels {
		i, inside := p.index[at]
		d := p.m.Positions[at].Designator
		switch {
		case !inside:
			outside = append(outside, d)
		case x.offer == nil:
		case p.label[i] != unplaced:
			x.say(finding.Caution, "designator-twice", "Line %d is labelled %s, but so is line %d, which was taken.",
				x.Line.Line, d, p.lines[p.label[i]].Line.Line)
		case served < x.parts:
			p.label[i] = l
			served++
		}
	}
	if len(outside) > 0 {
		x.say(finding.Note, "label-out-of-scope", "Line %d is also labelled %s, which this check does not ask for.", x.Line.Line, spell(outside))
	}
	parts, known, named := int(x.parts), len(x.labels), len(x.labels)+x.unknown
	switch {
	case parts < known:
		x.say(finding.Caution, "quantity-short", "Line %d holds %d but is labelled for %d positions.", x.Line.Line, parts, known)
	case known > 0 && parts > named:
		x.say(finding.Note, "quantity-over", "Line %d holds %d but is labelled for %d.", x.Line.Line, parts, named)
	}
}

// place gives the positions without a label to the lines without one.
func (p *plan) place() {
	stocks, kinds := p.stocks()
	free := make([]int32, len(p.groups))
	for i, g := range p.of {
		if p.label[i] == unplaced {
			free[g]++
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
	for i, g := range p.of {
		if p.label[i] == unplaced {
			positions, of = append(positions, i), append(of, at[g])
		}
	}
	for j, l := range n.place(of, c.merge(stocks)) {
		p.to[positions[j]] = l
	}
}

// stocks puts the unlabelled lines of each kind together; the second result is
// the kind of each stock.
func (p *plan) stocks() ([]stock, []int32) {
	var stocks []stock
	var kinds []int32
	at := map[int32]int{}
	for l, k := range p.kind {
		if k == unplaced || p.lines[l].labelled() || p.lines[l].parts == 0 {
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

// filled reports whether a position in scope has a part that may stand there.
func (p *plan) filled(i int) bool { return p.to[i] != unplaced && !p.bad[i] }

// differs reports whether a position is labelled with another value than it
// wants.
func (p *plan) differs(i int) bool {
	if p.label[i] == unplaced {
		return false
	}
	w, o := &p.groups[p.of[i]].wanted, p.lines[p.label[i]].offer
	if w.Class != o.Class {
		return true
	}
	if _, has := part.ValueKind(w.Class); has {
		return unlike(w.Value, o.Value)
	}
	return w.Class == "fuse" && unlike(w.Current, o.Current)
}

// unlike reports whether both are known and not equal.
func unlike(a, b quantity.Quantity) bool { return !a.IsZero() && !b.IsZero() && a != b }

// conflict reports whether some label puts a wrong part on a position.
func (p *plan) conflict() bool {
	for i := range p.in {
		if p.bad[i] || p.differs(i) {
			return true
		}
	}
	return false
}

// worst is the gravest finding of a filled position.
func (p *plan) worst(i int) finding.Severity {
	offer := part.NewCandidate(p.lines[p.to[i]].offer) // as it is, its outside unknown
	return p.judge(p.of[i]).Weigh(&offer).Worst
}

func (p *plan) summary() Summary {
	s := Summary{Positions: len(p.in)}
	for i := range p.in {
		switch {
		case p.bad[i]:
			s.Unfilled++
			s.Flagged++
			continue
		case p.to[i] == unplaced:
			s.Unfilled++
			continue
		}
		s.Filled++
		s.Penalty += int(p.cost(i, p.to[i]))
		if p.differs(i) || p.worst(i) == finding.Caution {
			s.Flagged++
		}
	}
	for l := range p.lines {
		s.Surplus += max(p.lines[l].Quantity, 0)
	}
	s.Surplus -= s.Filled
	return s
}

func (p *plan) outcome(s Summary) string {
	switch {
	case p.conflict():
		return Conflict
	case s.Unfilled > 0:
		return Short
	}
	return Complete
}
