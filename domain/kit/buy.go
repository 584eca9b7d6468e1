package kit

import (
	"fmt"

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

// better scores the kit on other builds and lists those that it fits better:
// fewer positions unfilled or wrongly labelled, then fewer labels that the build
// lacks, then less penalty.
func (p *plan) better(r Request, here Summary) []BetterFit {
	mine := p.measure(here)
	if mine == (measure{}) {
		return nil
	}
	var out []BetterFit
	var measures []measure
	for _, o := range r.Others {
		if o.Map == nil {
			continue
		}
		other := r
		other.Map, other.Scope = o.Map, r.Scope.within(o.Map)
		q, err := newPlan(other)
		if err != nil || len(q.in) == 0 {
			continue // a scope that this build knows nothing of
		}
		s := q.summary()
		if m := q.measure(s); m.less(mine) && s.serves(here, m) {
			at := len(measures)
			for at > 0 && m.less(measures[at-1]) {
				at--
			}
			measures = insert(measures, at, m)
			out = insert(out, at, BetterFit{Revision: o.Revision, Variant: o.Variant, Digest: o.Digest, Summary: s,
				Sentence: fmt.Sprintf("The kit fits %s better: %s there, %s here.", o.name(r), s.words(), here.words())})
		}
	}
	return out
}

func insert[T any](s []T, at int, v T) []T {
	s = append(s, v)
	copy(s[at+1:], s[at:])
	s[at] = v
	return s
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
func (o Other) name(r Request) string {
	build := "the base build"
	if o.Variant != "" {
		build = fmt.Sprintf("variant %q", o.Variant)
	}
	if o.Revision != r.Revision {
		build += fmt.Sprintf(" of revision %d", o.Revision)
	}
	return build
}

func (s Summary) words() string {
	return fmt.Sprintf("%d of %d positions at penalty %d", s.Filled, s.Positions, s.Penalty)
}
