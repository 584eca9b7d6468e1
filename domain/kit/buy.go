package kit

import (
	"boardlore/domain/message"
	"math"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// surplus looks for mistakes behind the parts that are left over.
func (t *teller) surplus() {
	empty := t.empty()
	t.unread()
	for l, n := range t.left() {
		x := &t.lines[l]
		if n <= 0 || x.offer == nil {
			continue
		}
		x.tell(finding.Note, "surplus", "kit.line-left-over", x.Number, n)
		if o := &x.offer.Part; t.mislabelled(l) || !matches(x, empty, o, n) {
			t.nowhere(x, o, n)
		}
	}
}

// mislabelled reports whether a label of the line is flagged already, which
// says more about what is left of it than guesses could.
func (t *teller) mislabelled(l int) bool {
	return slices.ContainsFunc(t.verdicts, func(v verdict) bool { return v.line == l && v.flagged() })
}

// matches tells of empty positions that the parts left over may be meant for:
// as many as there are parts and of a value not far off, or of a value with the
// same figures.
func matches(x *line, empty []gap, o *part.Part, n int) bool {
	for i := range empty {
		g := &empty[i]
		if g.value == o.Value || !kin(g.wanted, o) {
			continue
		}
		at := list.Ranges(g.positions)
		switch {
		case misread(g.value, o.Value):
			x.tell(finding.Caution, "figures-match", "kit.figures-match",
				x.Number, n, brief(o), at, g.brief)
			return true
		case n > 1 && g.count == n && nearby(g.value, o.Value):
			x.tell(finding.Caution, "count-matches", "kit.count-matches",
				x.Number, n, brief(o), g.count, g.brief, at)
			return true
		}
	}
	return false
}

// kin reports whether a part is of the same kind as the wanted one, as far as is
// known, so that one value may have been taken for the other.
func kin(wanted, o *part.Part) bool {
	return wanted.Class == o.Class && !o.Value.IsZero() && wanted.SafetyClass == o.SafetyClass &&
		(wanted.Construction == o.Construction || wanted.Construction == "" || o.Construction == "")
}

// misread reports whether two values have the same figures, and differ by a
// zero or by a prefix.
func misread(a, b quantity.Quantity) bool {
	x, y := a.Float(), b.Float()
	if x <= 0 || y <= 0 {
		return false
	}
	decades := math.Round(math.Log10(x / y))
	const rounding = 1e-9 // of the figures as binary fractions
	return (math.Abs(decades) == 1 || math.Abs(decades) == 3) && math.Abs(x/y/math.Pow(10, decades)-1) < rounding
}

// nearby reports whether one value is at most ten times the other.
func nearby(a, b quantity.Quantity) bool {
	const far = 10
	x, y := a.Float(), b.Float()
	return x > 0 && y > 0 && x/y <= far && y/x <= far
}

// nowhere tells of a value that no position in scope wants.
func (t *teller) nowhere(x *line, o *part.Part, n int) {
	if _, has := part.ValueKind(o.Class); !has || o.Value.IsZero() || t.onBoard(o) {
		return
	}
	var beyond []string
	for i := range t.m.Positions {
		p := &t.m.Positions[i]
		if w := p.Wanted(); w.Class == o.Class && w.Value == o.Value {
			beyond = append(beyond, p.Designator)
		}
	}
	if beyond != nil {
		slices.SortFunc(beyond, board.CompareDesignators)
		x.tell(finding.Note, "value-out-of-scope", "kit.value-out-of-scope", o.Value, x.Number, n, spell(beyond))
		return
	}
	severity := finding.Note // a spare hurts nothing
	if t.short() {
		severity = finding.Caution
	}
	x.tell(severity, "value-nowhere", "kit.value-nowhere",
		o.Value, x.Number, n)
}

// unread makes what was taken for a heading or a greeting something to look at
// where parts are missing: it may have been one of them.
func (t *teller) unread() {
	if !t.short() {
		return
	}
	for l := range t.lines {
		fs := t.lines[l].findings
		for i := range fs {
			if fs[i].Code == "line-unreadable" && !asides[first(t.lines[l].text)] {
				fs[i].Severity = finding.Caution
			}
		}
	}
}

// short reports whether some position stays empty.
func (t *teller) short() bool {
	for i := range t.in {
		if !t.filled(i) {
			return true
		}
	}
	return false
}

// left is how many parts of each line fill no position after the
// rearrangement, less those that are labelled for positions out of scope.
func (t *teller) left() []int {
	left := make([]int, len(t.lines))
	for l := range t.lines {
		left[l] = int(t.kept(l))
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
	wanted    *part.Part // of the first of them
	brief     message.Message
	value     quantity.Quantity
	count     int
	positions []string
}

func (t *teller) empty() []gap {
	var out []gap
	type key struct {
		class part.Class
		value quantity.Quantity
	}
	at := map[key]int{}
	for i, l := range t.now {
		w := &t.groups[t.of[i]].wanted.Part
		if l != unplaced || w.Value.IsZero() {
			continue
		}
		k := key{w.Class, w.Value}
		n, ok := at[k]
		if !ok {
			n = len(out)
			at[k] = n
			out = append(out, gap{wanted: w, value: w.Value, brief: brief(w)})
		}
		out[n].count++
		out[n].positions = append(out[n].positions, t.designator(i))
	}
	return out
}

// Limits of the search for a build that the kit fits better.
const (
	maxBuilds = 200
	maxTried  = 4 << 20 // pairs of a position with a line, all builds together
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
		if f.builds > maxBuilds || f.pairs > maxTried {
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
		Sentence: message.Of("kit.kit-fits-better-there", f.name(o.Revision, variant), s.words(), f.here.words())})
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
func (f *finder) name(revision int, variant string) message.Message {
	build := message.Of("kit.base-build")
	if variant != "" {
		build = message.Of("kit.variant-quoted", variant)
	}
	if revision != f.r.Revision {
		build = message.Of("kit.of-revision", build, revision)
	}
	return build
}

func (s Summary) words() message.Message {
	return message.Of("kit.positions-penalty", s.Filled, s.Positions, s.Penalty)
}
