package kit

import (
	"fmt"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/part"
)

// purchases lists what is missing even after the rearrangement, equal parts
// for equal bodies together, in the order of their first designators.
func (p *plan) purchases(now []int) []Purchase {
	var out []Purchase
	at := map[offerKey]int{}
	for i, l := range now {
		if l != unplaced && p.cost(i, l) >= 0 {
			continue
		}
		x := &p.m.Positions[p.in[i]]
		var body part.Body
		if x.Body != nil {
			body = *x.Body
		}
		key := offerKey{keyOf(x.Wanted()), bodyKeyOf(&body)}
		n, ok := at[key]
		if !ok {
			n = len(out)
			at[key] = n
			out = append(out, Purchase{Part: *x.Wanted(), Body: x.Body})
		}
		out[n].Quantity++
		out[n].For = append(out[n].For, x.Designator)
	}
	return out
}

// surplus looks for mistakes behind the parts that are left over.
func (t *teller) surplus() {
	left := t.left()
	empty := t.empty()
	for l, n := range left {
		x := &t.lines[l]
		if n <= 0 || x.offer == nil {
			continue
		}
		x.say(finding.Note, "surplus", "Line %d has %d left over.", x.Line.Line, n)
		o := &x.offer.Part
		if g := matching(empty, o, n); g != nil {
			x.say(finding.Caution, "count-matches", "Line %d has %d × %s left, and %d positions that want %s are empty (%s): a mistaken value?",
				x.Line.Line, n, brief(o), g.count, g.brief, spell(g.positions))
			continue
		}
		if _, has := part.ValueKind(o.Class); has && !o.Value.IsZero() && !t.onBoard(o) {
			x.say(finding.Caution, "value-nowhere", "No position in scope wants %s, which line %d has %d of: was it meant for another board, or misread?",
				o.Value, x.Line.Line, n)
		}
	}
}

// matching is the first gap of as many positions as there are parts over, but
// of another value. One alone says nothing.
func matching(gaps []gap, o *part.Part, over int) *gap {
	if over < 2 {
		return nil
	}
	for i := range gaps {
		if g := &gaps[i]; g.class == o.Class && g.count == over && g.value != o.Value.String() {
			return g
		}
	}
	return nil
}

// left is how many parts of each line fill no position after the
// rearrangement, less those that are labelled for positions out of scope.
func (t *teller) left() []int {
	left := make([]int, len(t.lines))
	for l := range t.lines {
		left[l] = int(t.lines[l].parts)
		for _, at := range t.lines[l].labels {
			if _, inside := t.index[at]; !inside {
				left[l]--
			}
		}
	}
	for _, l := range t.now {
		if l != unplaced {
			left[l]--
		}
	}
	return left
}

// onBoard reports whether a position in scope wants the value.
func (t *teller) onBoard(o *part.Part) bool {
	for g := range t.groups {
		if w := &t.groups[g].wanted; w.Class == o.Class && w.Value == o.Value {
			return true
		}
	}
	return false
}

// gap is the empty positions that want the same value.
type gap struct {
	class, value, brief string
	count               int
	positions           []string
}

func (t *teller) empty() []gap {
	var out []gap
	at := map[[2]string]int{}
	for i, l := range t.now {
		w := &t.groups[t.of[i]].wanted.Part
		if l != unplaced || w.Value.IsZero() {
			continue
		}
		key := [2]string{w.Class, w.Value.String()}
		n, ok := at[key]
		if !ok {
			n = len(out)
			at[key] = n
			out = append(out, gap{class: w.Class, value: key[1], brief: brief(w)})
		}
		out[n].count++
		out[n].positions = append(out[n].positions, t.designator(i))
	}
	return out
}

// Limits of the search for a build that the kit fits better.
const (
	mostBuilds = 200
	mostTried  = 4 << 20 // pairs of a position with a line, all builds together
)

// better scores the kit on other builds and lists those that it fits better,
// the best first.
func (p *plan) better(r Request, here Summary) ([]BetterFit, error) {
	f := finder{r: r, here: here, mine: p.measure(here), lines: len(p.lines)}
	if f.mine == (measure{}) || r.Others == nil {
		return nil, nil
	}
	for o, err := range r.Others {
		if err != nil {
			return nil, err
		}
		if !f.try(o) {
			break
		}
	}
	return f.found, nil
}

// finder looks for builds that a kit fits better.
type finder struct {
	r      Request
	here   Summary
	mine   measure
	lines  int
	builds int // tried
	pairs  int

	found    []BetterFit
	measures []measure
}

// try scores all builds of a revision and reports whether to go on.
func (f *finder) try(o Other) bool {
	if o.Map == nil {
		return true
	}
	variants := []string{""}
	for i := range o.Map.Variants {
		variants = append(variants, o.Map.Variants[i].Variant)
	}
	for _, v := range variants {
		if o.Revision == f.r.Revision && v == f.r.Variant {
			continue
		}
		f.builds++
		f.pairs += len(o.Map.Positions) * f.lines
		if f.builds > mostBuilds || f.pairs > mostTried {
			return false
		}
		if m, err := o.Map.Effective(v); err == nil { // a build that can't be made is for the map's own check
			f.score(o, v, m)
		}
	}
	return true
}

func (f *finder) score(o Other, variant string, m *board.Map) {
	r := f.r
	r.Map, r.Scope = m, f.r.Scope.within(m)
	q, err := newPlan(r)
	if err != nil || len(q.in) == 0 {
		return // a scope that this build knows nothing of
	}
	s := q.summary()
	better := q.measure(s)
	if !better.less(f.mine) || !s.serves(f.here, better) {
		return
	}
	digest := o.Digest
	if variant != "" {
		canonical, err := m.Canonical()
		if err != nil {
			return
		}
		digest = board.Digest(canonical)
	}
	at := len(f.measures)
	for at > 0 && better.less(f.measures[at-1]) {
		at--
	}
	f.measures = slices.Insert(f.measures, at, better)
	f.found = slices.Insert(f.found, at, BetterFit{Revision: o.Revision, Variant: variant, Digest: digest, Summary: s,
		Sentence: fmt.Sprintf("The kit fits %s better: %s there, %s here.", f.name(o.Revision, variant), s.words(), f.here.words())})
}

// serves reports whether a better measure means more than that the build has
// fewer positions: more are filled, or all are.
func (s Summary) serves(here Summary, m measure) bool {
	return m.wrong == 0 || s.Filled > here.Filled || s.Positions >= here.Positions
}

// measure is how badly a kit fits a build.
type measure struct{ wrong, unknown, penalty int }

func (m measure) less(o measure) bool {
	if m.wrong != o.wrong {
		return m.wrong < o.wrong
	}
	if m.unknown != o.unknown {
		return m.unknown < o.unknown
	}
	return m.penalty < o.penalty
}

func (p *plan) measure(s Summary) measure {
	m := measure{wrong: s.Unfilled, penalty: s.Penalty}
	for i := range p.in {
		if p.filled(i) && p.differs(i) {
			m.wrong++
		}
	}
	for l := range p.lines {
		m.unknown += p.lines[l].unknown
	}
	return m
}

// name tells another build apart from the one asked for.
func (f *finder) name(revision int, variant string) string {
	build := "the base build"
	if variant != "" {
		build = fmt.Sprintf("variant %q", variant)
	}
	if revision != f.r.Revision {
		build += fmt.Sprintf(" of revision %d", revision)
	}
	return build
}

func (s Summary) words() string {
	return fmt.Sprintf("%d of %d positions at penalty %d", s.Filled, s.Positions, s.Penalty)
}
