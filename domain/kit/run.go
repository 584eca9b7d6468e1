package kit

import (
	"slices"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/part"
)

// Run is positions of a report of which all the same is to be said.
type Run struct {
	PositionReport          // of the first of them
	Designators    []string // natural order
}

// Runs puts like positions together, in the order of their first designators:
// what a person reads, where a program reads Positions.
func (r *Report) Runs() []Run {
	var runs []Run
	at := map[runKey][]int{}
	for i := range r.Positions {
		p := &r.Positions[i]
		key := runKey{p.Wanted.Key(), number(p.Line), p.Fit, p.Labelled, p.Penalty, len(p.Findings)}
		like := func(n int) bool { return slices.EqualFunc(runs[n].Findings, p.Findings, likeFinding) }
		if n := slices.IndexFunc(at[key], like); n >= 0 {
			x := &runs[at[key][n]]
			x.Designators = append(x.Designators, p.Designator)
			continue
		}
		at[key] = append(at[key], len(runs))
		runs = append(runs, Run{*p, []string{p.Designator}})
	}
	return runs
}

// Untold is what Heads leaves to be said of the positions: the notes, and the
// cautions beyond the first.
func (x *Run) Untold() []finding.Finding {
	switch {
	case len(x.Findings) == 0:
	case strings.HasPrefix(x.Findings[0].Code, "label-"):
		return slices.DeleteFunc(slices.Clone(x.Findings[1:]),
			func(f finding.Finding) bool { return f.Severity == finding.Stop })
	case x.Fit == Doubtful:
		return x.Findings[1:]
	}
	return x.Findings
}

type runKey struct {
	wanted   part.Key
	line     int
	fit      string
	labelled bool
	penalty  int
	findings int
}

// likeFinding reports whether two findings say the same of two positions, which their
// sentences may name.
func likeFinding(a, b finding.Finding) bool {
	return a.Code == b.Code && a.Severity == b.Severity && a.Expected == b.Expected && a.Found == b.Found
}
