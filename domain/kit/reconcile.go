package kit

import (
	"cmp"
	"slices"
	"strings"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
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
// Lines that are not sure come in a second pass; see provide.
//
// A kit of which no line reads as a part, and a scope that names designators which the map lacks is a *fault.Error of kind
// Invalid; an error of Others comes back as it is.
func Reconcile(r Request) (Report, error) {
	p, err := newPlan(r)
	if err != nil {
		return Report{}, err
	}
	if err := p.readable(); err != nil {
		return Report{}, err
	}
	return p.report(r)
}

// report puts a plan into words.
func (p *plan) report(r Request) (out Report, err error) {
	now := p.to
	if p.doubted() {
		now = p.rearranged()
	}
	t := teller{plan: p, now: now, suits: map[pairKey][]finding.Finding{}, missing: map[missingKey][]finding.Finding{}}
	s := p.summary()
	out = Report{
		Board: r.Map.Board, Revision: r.Revision, Variant: r.Variant, Digest: r.Digest,
		Summary:   s,
		Positions: t.tellPositions(), Rearrangement: p.moves(now), ToBuy: p.purchases(now),
		Problems: r.Problems, Cautions: p.cautions(),
	}
	if out.BetterFit, err = p.better(r, s); err != nil {
		return Report{}, err
	}
	t.surplus()
	out.Lines = t.tellLines()
	out.Flags = append(t.flags(), whole(&r, s)...)
	out.Outcome = p.outcome(s, out.Flags)
	if r.Pairs {
		out.Pairs, err = p.pairs()
	}
	return out, err
}

// Score is the summary of a reconciliation without the report.
func Score(r Request) (Summary, error) {
	p, err := newPlan(r)
	if err != nil {
		return Summary{}, err
	}
	return p.summary(), nil
}

// maxPairs is about as many as an answer holds.
const maxPairs = 150_000

// pairs lists the problem that was solved; see Pair.
func (p *plan) pairs() ([]Pair, error) {
	out := []Pair{}
	for i := range p.in {
		if len(out) > maxPairs {
			return nil, fault.New(fault.Invalid, "answer-too-large", "kit.pairs-too-many", maxPairs)
		}
		if l := p.label[i]; l != unplaced {
			if c := p.cost(i, l); c >= 0 {
				out = append(out, Pair{p.designator(i), p.line(l), int(c), false})
			}
			continue
		}
		row := p.row(p.of[i])
		for l, k := range p.kind {
			x := &p.lines[l]
			free := !x.labelled() || slices.Contains(p.tied[i], l)
			if k != unplaced && free && row[k] >= 0 {
				out = append(out, Pair{p.designator(i), p.line(l), int(row[k]), !x.sure})
			}
		}
	}
	return out, nil
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
		way            int
		function, rail string
	}
	missingKey struct {
		group          int32
		function, rail string
	}
)

func (t *teller) tellPositions() []PositionReport {
	wrong := t.labels()
	out := make([]PositionReport, len(t.in))
	for i, at := range t.in {
		r := PositionReport{
			Designator: t.designator(i), Wanted: *t.m.Positions[at].Wanted(), Line: t.number(t.to[i]),
			Labelled: t.to[i] != unplaced && t.labelled(i, t.to[i]),
		}
		if l := t.to[i]; l == unplaced {
			r.Fit, r.Findings = None, t.why(i)
		} else {
			t.placed(i, l, wrong[labelKey{i, l}], &r)
		}
		out[i] = r
	}
	return out
}

// labelled reports whether a line is labelled for a position in scope.
func (p *plan) labelled(i, l int) bool { return slices.Contains(p.lines[l].labels, p.in[i]) }

// labelKey is a line at a spot that it is labelled for.
type labelKey struct{ spot, line int }

// labels flags the labels that a person has to look at.
func (t *teller) labels() map[labelKey]*Flag {
	t.wrong = make([]Flag, 0, len(t.verdicts)) // so that pointers to it hold
	at := map[labelKey]*Flag{}
	slices.SortStableFunc(t.verdicts, func(a, b verdict) int { return cmp.Compare(a.spot, b.spot) })
	for _, v := range t.verdicts {
		if v.flagged() {
			t.wrong = append(t.wrong, t.wrongLabel(v))
			at[labelKey{v.spot, v.line}] = &t.wrong[len(t.wrong)-1]
		}
	}
	return at
}

// placed judges a position that has a line, and flags what a person should
// look at. wrong is the flag of the label, nil where nothing is wrong with it.
func (t *teller) placed(i, l int, wrong *Flag, r *PositionReport) {
	way := 0
	if wrong == nil {
		way = t.best(i, l)
	} else {
		way = t.verdicts[slices.IndexFunc(t.verdicts, func(v verdict) bool { return v.spot == i && v.line == l })].way
	}
	r.Findings = t.suit(i, l, way)
	worst := finding.Worst(r.Findings)
	sure := t.lines[l].sure
	switch {
	case worst == finding.Stop || t.bad[i]:
		r.Fit = Unsuitable
	case worst == finding.Caution || !sure:
		r.Fit = Doubtful
	case t.cost(i, l) == 0:
		r.Fit = Match
	default:
		r.Fit = Suitable
	}
	if c := t.cost(i, l); c >= 0 {
		r.Penalty = int(c)
	}
	if !sure {
		r.Findings = slices.Insert(slices.Clone(r.Findings), stopsOf(r.Findings), t.provisional(l))
	}
	switch {
	case wrong != nil:
		own := finding.Finding{Code: wrong.Code, Severity: wrong.Severity, Sentence: wrong.Sentence,
			Expected: wrong.Expected, Found: wrong.Found,
			Limit: wrong.Limit, Basis: wrong.Basis}
		r.Findings = append([]finding.Finding{own}, r.Findings...)
	case r.Fit == Doubtful:
		g := r.Findings[0]
		t.doubts = append(t.doubts, Flag{Code: g.Code, Severity: g.Severity, Designator: r.Designator, Line: r.Line,
			Sentence: message.Of("kit.placed-doubtful", r.Designator, *r.Line, t.brief(l), g.Sentence),
			Expected: g.Expected, Found: g.Found, Limit: g.Limit, Basis: g.Basis})
	}
}

// provisional is the finding of a position that only a line fills which is not
// sure.
func (t *teller) provisional(l int) finding.Finding {
	return finding.Finding{Code: "line-unsure", Severity: finding.Caution, Basis: common, Expected: t.lines[l].say,
		Found:    t.lines[l].Text,
		Sentence: message.Of("kit.line-unsure-only", t.line(l))}
}

func stopsOf(fs []finding.Finding) (n int) {
	for n < len(fs) && fs[n].Severity == finding.Stop {
		n++
	}
	return n
}

// best is the reading of a line that suits a spot best.
func (t *teller) best(i, l int) int {
	ways := t.kinds[t.kind[l]]
	judge := t.judge(t.of[i])
	for n := range ways {
		if penalty, fits := judge.Cost(&ways[n]); fits && int32(penalty) == t.cost(i, l) {
			return n
		}
	}
	return 0
}

// wrongLabel is the flag of a label that gives a spot a part which does not suit
// or has another value.
func (t *teller) wrongLabel(v verdict) Flag {
	i, l := v.spot, v.line
	fs := t.suit(i, l, v.way)
	wanted, offered := &t.groups[t.of[i]].wanted.Part, &t.lines[l].offers[v.way].Part
	f := Flag{Severity: finding.Caution, Designator: t.designator(i), Line: t.number(l), Expected: wanted.String(),
		Found: offered.String(),
		Basis: common, Code: "label-value-differs"}
	advice := message.Of("kit.find-out-which-two")
	if v.stop {
		f.Severity, advice = finding.Stop, message.Of("kit.do-not-fit-there")
	}
	if f.Expected == f.Found { // they differ in their outsides
		f.Expected, f.Found = "", ""
	}
	holds := brief(offered)
	if !t.lines[l].sure {
		holds = message.Of("kit.which-may-be", holds)
	}
	f.Sentence = message.Of("kit.line-labelled-which-wants", t.line(l), holds, f.Designator, brief(wanted), advice)
	if !v.differs && len(fs) > 0 {
		f.Code, f.Limit, f.Basis = "label-unsuitable", fs[0].Limit, fs[0].Basis
	}
	for _, x := range fs {
		told := x.Expected == wanted.Value.String() && x.Found == offered.Value.String()
		if x.Severity == finding.Stop && !told {
			f.Sentence = f.Sentence.And(x.Sentence)
		}
	}
	return f
}

// suit is the findings of a spot's pair with a reading of a line.
func (t *teller) suit(i, l, way int) []finding.Finding {
	g, x := t.of[i], &t.m.Positions[t.spots[i]]
	key := pairKey{g, t.kind[l], way, x.Function, x.Rail}
	fs, ok := t.suits[key]
	if !ok {
		place := t.groups[g].place
		place.Function, place.Rail = x.Function, x.Rail
		fs = part.Suit(&t.groups[g].wanted, t.lines[l].offers[way], &place)
		for n := range fs { // what is alike is not what differs
			if fs[n].Expected == fs[n].Found {
				fs[n].Expected, fs[n].Found = "", ""
			}
		}
		t.suits[key] = fs
	}
	return fs
}

func (t *teller) tellLines() []LineReport {
	out := make([]LineReport, len(t.lines))
	for l := range t.lines {
		x := &t.lines[l]
		finding.Sort(x.findings)
		out[l] = LineReport{Line: x.Number, Quantity: max(x.Quantity, 0), Text: x.Text, Sure: x.sure,
			LeftOver: x.left, Findings: x.findings}
		out[l].read(x)
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

// read says how a line was read.
func (l *LineReport) read(x *line) {
	if x.unsure() {
		l.Say = x.say
	}
	if len(x.offers) == 1 {
		l.Read = &x.offer.Part
		return
	}
	for _, o := range x.offers {
		l.Readings = append(l.Readings, o.Part)
	}
}

// flags are the wrong labels, then what else is wrong with the kit's lines or
// doubtful at positions; each gravest first, then by designator or line.
func (t *teller) flags() []Flag {
	out := slices.Concat(t.wrong, t.doubts)
	for l := range t.lines {
		for _, f := range t.lines[l].findings {
			if f.Severity != finding.Note {
				out = append(out, Flag{Code: f.Code, Severity: f.Severity, Sentence: f.Sentence, Line: t.number(l),
					Expected: f.Expected, Found: f.Found, Limit: f.Limit, Basis: f.Basis})
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
		out = append(out, Flag{Code: "scope-empty", Severity: finding.Caution, Basis: common,
			Sentence: message.Of("kit.scope-empty")})
	}
	if r.Map.Board != "" && len(r.Kit.For) > 0 && !slices.Contains(r.Kit.For, r.Map.Board) {
		out = append(out, Flag{Code: "kit-for-another", Severity: finding.Note, Basis: common,
			Expected: spell(r.Kit.For).String(), Found: r.Map.Board,
			Sentence: message.Of("kit.kit-for-another", spell(r.Kit.For), r.Map.Board)})
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
