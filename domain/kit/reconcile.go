package kit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/part"
)

// Reconcile checks a kit against a map. The same request gives the same
// report, whatever the order of lines and positions in the documents.
//
// Lines that name designators are taken at their word: their parts go there and
// nowhere else. The other lines are placed by the optimum: the most positions
// filled with no stop finding, then the least total penalty, and of equals the
// placing that gives the first designator in natural order the lowest line,
// then the second, and so on.
//
// A scope that names designators which the map lacks is a *fault.Error of kind
// Invalid; an error of Others comes back as it is.
func Reconcile(r Request) (Report, error) {
	p, err := newPlan(r)
	if err != nil {
		return Report{}, err
	}
	now := p.to
	if p.conflict() {
		now = p.rearranged()
	}
	t := teller{plan: p, now: now, suits: map[pairKey][]finding.Finding{}, missing: map[missingKey][]finding.Finding{}}
	s := p.summary()
	out := Report{
		Board: r.Map.Board, Revision: r.Revision, Variant: r.Variant, Digest: r.Digest,
		Outcome: p.outcome(s), Summary: s,
		Positions: t.tellPositions(), Rearrangement: p.moves(now), ToBuy: p.purchases(now),
		Problems: r.Problems, Cautions: p.cautions(),
	}
	if out.BetterFit, err = p.better(r, s); err != nil {
		return Report{}, err
	}
	t.surplus()
	out.Lines = t.tellLines()
	out.Flags = append(t.flags(), whole(&r, s)...)
	if r.Pairs {
		out.Pairs = p.pairs()
	}
	return out, nil
}

// Score is the summary of a reconciliation without the report.
func Score(r Request) (Summary, error) {
	p, err := newPlan(r)
	if err != nil {
		return Summary{}, err
	}
	return p.summary(), nil
}

// pairs lists the problem that was solved; see Pair.
func (p *plan) pairs() []Pair {
	out := []Pair{}
	for i := range p.in {
		if l := p.label[i]; l != unplaced {
			if c := p.cost(i, l); c >= 0 {
				out = append(out, Pair{p.designator(i), p.line(l), int(c)})
			}
			continue
		}
		row := p.row(p.of[i])
		for l, k := range p.kind {
			if k != unplaced && !p.lines[l].labelled() && row[k] >= 0 {
				out = append(out, Pair{p.designator(i), p.line(l), int(row[k])})
			}
		}
	}
	return out
}

// teller puts a plan into words.
type teller struct {
	*plan
	now     []int // the placing after the rearrangement
	suits   map[pairKey][]finding.Finding
	missing map[missingKey][]finding.Finding
	wrong   []Flag // labels
	doubts  []Flag // placed with a caution
}

// pairKey and missingKey tell apart what has its own sentences.
type (
	pairKey struct {
		group, kind    int32
		function, rail string
	}
	missingKey struct {
		group          int32
		function, rail string
	}
)

func (t *teller) tellPositions() []PositionReport {
	out := make([]PositionReport, len(t.in))
	for i, at := range t.in {
		r := PositionReport{
			Designator: t.designator(i), Wanted: *t.m.Positions[at].Wanted(), Line: t.number(t.to[i]),
			Labelled: t.label[i] != unplaced,
		}
		if l := t.to[i]; l == unplaced {
			r.Fit, r.Findings = None, t.why(i)
		} else {
			t.placed(i, l, &r)
		}
		out[i] = r
	}
	return out
}

// placed judges a position that has a line, and flags what a person should
// look at.
func (t *teller) placed(i, l int, r *PositionReport) {
	r.Findings = t.suit(i, l)
	worst := finding.Worst(r.Findings)
	switch {
	case worst == finding.Stop:
		r.Fit = Unsuitable
	case worst == finding.Caution:
		r.Fit = Doubtful
	case t.cost(i, l) == 0:
		r.Fit = Match
	default:
		r.Fit = Suitable
	}
	if c := t.cost(i, l); c >= 0 {
		r.Penalty = int(c)
	}
	switch {
	case t.bad[i] || t.differs(i):
		f := t.wrongLabel(i, l, r.Findings)
		t.wrong = append(t.wrong, f)
		own := finding.Finding{Code: f.Code, Severity: f.Severity, Sentence: f.Sentence, Expected: f.Expected, Found: f.Found, Limit: f.Limit, Basis: f.Basis}
		r.Findings = append([]finding.Finding{own}, r.Findings...)
	case worst == finding.Caution:
		g := r.Findings[0]
		t.doubts = append(t.doubts, Flag{Code: g.Code, Severity: g.Severity, Designator: r.Designator, Line: r.Line,
			Sentence: fmt.Sprintf("%s, line %d (%s): %s", r.Designator, *r.Line, t.brief(l), g.Sentence),
			Expected: g.Expected, Found: g.Found, Limit: g.Limit, Basis: g.Basis})
	}
}

// wrongLabel is the flag of a position that the kit itself gives a part to
// which does not suit or has another value.
func (t *teller) wrongLabel(i, l int, fs []finding.Finding) Flag {
	wanted, offered := &t.groups[t.of[i]].wanted.Part, &t.lines[l].offer.Part
	f := Flag{Severity: finding.Caution, Designator: t.designator(i), Line: t.number(l), Expected: wanted.String(), Found: offered.String(),
		Basis: "common practice", Code: "label-value-differs"}
	advice := "find out which of the two is right before fitting it"
	if finding.Worst(fs) == finding.Stop {
		f.Severity, advice = finding.Stop, "do not fit it there"
	}
	f.Sentence = fmt.Sprintf("Line %d (%s) is labelled %s, which wants %s: %s.", t.line(l), brief(offered), f.Designator, brief(wanted), advice)
	if !t.differs(i) {
		f.Code, f.Limit, f.Basis = "label-unsuitable", fs[0].Limit, fs[0].Basis
	}
	for _, x := range fs {
		told := x.Expected == wanted.Value.String() && x.Found == offered.Value.String()
		if x.Severity == finding.Stop && !told {
			f.Sentence += " " + x.Sentence
		}
	}
	return f
}

// suit is the findings of a position's pair with a line.
func (t *teller) suit(i, l int) []finding.Finding {
	g, x := t.of[i], &t.m.Positions[t.in[i]]
	key := pairKey{g, t.kind[l], x.Function, x.Rail}
	fs, ok := t.suits[key]
	if !ok {
		place := t.groups[g].place
		place.Function, place.Rail = x.Function, x.Rail
		fs = part.Suit(&t.groups[g].wanted, t.lines[l].offer, &place)
		t.suits[key] = fs
	}
	return fs
}

// why says why a position has no part.
func (t *teller) why(i int) []finding.Finding {
	x := &t.m.Positions[t.in[i]]
	key := missingKey{t.of[i], x.Function, x.Rail}
	fs, ok := t.missing[key]
	if !ok {
		f := finding.Finding{Severity: finding.Caution}
		f.Code, f.Sentence = t.reason(i)
		fs = []finding.Finding{f}
		t.missing[key] = fs
	}
	return fs
}

func (t *teller) reason(i int) (code, sentence string) {
	row := t.row(t.of[i])
	var taken, labelled []string
	for l, k := range t.kind {
		x := &t.lines[l]
		if k == unplaced || row[k] < 0 || x.parts == 0 {
			continue
		}
		if x.labelled() {
			labelled = append(labelled, fmt.Sprint(x.Line.Line))
		} else {
			taken = append(taken, fmt.Sprint(x.Line.Line))
		}
	}
	switch {
	case len(taken) > 0:
		return "used-up", "All parts of the kit that may stand here are used at other positions: line " + spell(taken) + "."
	case len(labelled) > 0:
		return "labelled-elsewhere", "The parts of the kit that may stand here are labelled for other positions: line " + spell(labelled) + "."
	}
	return t.nearest(i)
}

// nearest tells of the line that has the value but not the rest.
func (t *teller) nearest(i int) (code, sentence string) {
	const looked = 3 // lines of the right value that are judged in full
	wanted := &t.groups[t.of[i]].wanted.Part
	least, n := 0, 0
	code, sentence = "not-in-kit", "The kit has no part for this position."
	for l, k := range t.kind {
		if k == unplaced || n == looked {
			continue
		}
		o := t.lines[l].offer
		if o.Class != wanted.Class || wanted.Value.IsZero() || o.Value != wanted.Value {
			continue
		}
		n++
		fs := t.suit(i, l)
		if stops := countStops(fs); stops > 0 && (least == 0 || stops < least) {
			least = stops
			code, sentence = "value-only", fmt.Sprintf("Line %d (%s) has the value but does not suit. %s", t.line(l), t.brief(l), fs[0].Sentence)
		}
	}
	return code, sentence
}

func countStops(fs []finding.Finding) (n int) {
	for i := range fs {
		if fs[i].Severity == finding.Stop {
			n++
		}
	}
	return n
}

func (t *teller) tellLines() []LineReport {
	out := make([]LineReport, len(t.lines))
	for l := range t.lines {
		x := &t.lines[l]
		finding.Sort(x.findings)
		out[l] = LineReport{Line: x.Line.Line, Quantity: max(x.Quantity, 0), Text: x.Text, Findings: x.findings}
		if x.offer != nil {
			out[l].Read = &x.offer.Part
		}
	}
	for i := range t.in {
		if t.filled(i) {
			r := &out[t.to[i]]
			r.Used++
			r.For = append(r.For, t.designator(i))
		}
	}
	for l := range out {
		out[l].Surplus = out[l].Quantity - out[l].Used
	}
	return out
}

// flags are the wrong labels, then what else is wrong with the kit's lines or
// doubtful at positions; each gravest first, then by designator or line.
func (t *teller) flags() []Flag {
	out := slices.Concat(t.wrong, t.doubts)
	for l := range t.lines {
		for _, f := range t.lines[l].findings {
			if f.Severity != finding.Note {
				out = append(out, Flag{Code: f.Code, Severity: f.Severity, Sentence: f.Sentence, Line: t.number(l), Expected: f.Expected, Found: f.Found, Limit: f.Limit, Basis: f.Basis})
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Flag) int {
		return cmp.Or(cmp.Compare(b.Severity.Rank(), a.Severity.Rank()), cmp.Compare(rank(a), rank(b)))
	})
	return out
}

// whole flags what is odd about the request as a whole.
func whole(r *Request, s Summary) []Flag {
	var out []Flag
	if s.Positions == 0 {
		out = append(out, Flag{Code: "scope-empty", Severity: finding.Caution, Basis: "common practice",
			Sentence: "The check asks for no position: the map marks none to be replaced, or the scope is empty. Check with the scope all, or name positions."})
	}
	if r.Map.Board != "" && len(r.Kit.For) > 0 && !slices.Contains(r.Kit.For, r.Map.Board) {
		out = append(out, Flag{Code: "kit-for-another", Severity: finding.Note, Basis: "common practice", Expected: spell(r.Kit.For), Found: r.Map.Board,
			Sentence: fmt.Sprintf("The kit says that it is for %s, and this is %s.", spell(r.Kit.For), r.Map.Board)})
	}
	return out
}

// rank puts wrong labels before other flags of the same severity.
func rank(f Flag) int {
	if strings.HasPrefix(f.Code, "label-") {
		return 0
	}
	return 1
}
