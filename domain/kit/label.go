package kit

import (
	"slices"

	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// verdict is what is to be said of a label: of a line at a position that it
// names. Every label has one, whether or not the check asks for the position,
// whether or not there are parts enough, and also where another line goes there,
// so that no stop is lost by a scope or by an added line.
type verdict struct {
	line, spot int
	way        int  // of the line's readings: the one that is told of
	stop       bool // the part must not stand there, in one of its readings
	differs    bool // its value is not the map's
}

// labels judges the labels and takes the sure lines at their word. Of two sure
// lines that name one position the lower goes there; a line with too few parts
// serves its first designators in natural order. What is not served in this way
// is left to the optimum, as are the labels of a line that could not be read.
func (p *plan) labels() {
	p.label, p.bad, p.tied = make([]int, len(p.in)), make([]bool, len(p.in)), make([][]int, len(p.in))
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
	slices.SortFunc(x.labels, p.compare)
	var outside []string
	served := int32(0)
	for _, at := range x.labels {
		i, d := p.index[at], p.m.Positions[at].Designator
		if x.offer != nil {
			p.verdicts = append(p.verdicts, p.verdict(i, l))
		}
		switch {
		case !p.inside(i):
			outside = append(outside, d)
		case x.offer == nil:
		case !x.sure:
			if !p.verdicts[len(p.verdicts)-1].stop {
				p.tied[i] = append(p.tied[i], l)
			}
		case p.label[i] != unplaced:
			x.tell(finding.Caution, "designator-twice", "kit.designator-twice",
				x.Number, d, p.lines[p.label[i]].Number)
		case served < x.parts:
			p.label[i] = l
			served++
		}
	}
	p.countLabels(x, outside)
}

// countLabels tells of labels out of scope and of more or fewer parts than
// labels.
func (p *plan) countLabels(x *line, outside []string) {
	if len(outside) > 0 {
		x.tell(finding.Note, "label-out-of-scope", "kit.label-out-of-scope",
			x.Number, spell(outside))
	}
	parts, known, named := int(x.parts), len(x.labels), len(x.labels)+x.unknown
	switch {
	case parts < known:
		x.tell(finding.Caution, "quantity-short", "kit.quantity-short", x.Number, parts, known)
	case known > 0 && parts > named:
		x.tell(finding.Note, "quantity-over", "kit.quantity-over", x.Number, parts, named)
	}
}

// verdict judges a line at a spot that it is labelled for: by the worst of its
// readings, where it has several.
func (p *plan) verdict(i, l int) verdict {
	v := verdict{line: l, spot: i}
	judge := p.judge(p.of[i])
	ways := p.kinds[p.kind[l]]
	for n := range ways {
		if _, fits := judge.Cost(&ways[n]); !fits && !v.stop {
			v.stop, v.way = true, n
		}
		if p.unlike(i, ways[n].Offer) {
			if !v.stop && !v.differs {
				v.way = n
			}
			v.differs = true
		}
	}
	return v
}

// flagged reports whether a person has to look at the label.
func (v verdict) flagged() bool { return v.stop || v.differs }

// flaggedLabels are the spots at which some label is to be looked at.
func (p *plan) flaggedLabels() map[int]bool {
	flagged := map[int]bool{}
	for _, v := range p.verdicts {
		if v.flagged() {
			flagged[v.spot] = true
		}
	}
	return flagged
}

// conflict reports whether some label puts a part where it must not stand.
func (p *plan) conflict() bool {
	return slices.ContainsFunc(p.verdicts, func(v verdict) bool { return v.stop })
}

// doubted reports whether some label is flagged, so that the kit may be better
// without its labels.
func (p *plan) doubted() bool { return slices.ContainsFunc(p.verdicts, verdict.flagged) }

// filled reports whether a position in scope has a part that may stand there.
func (p *plan) filled(i int) bool { return p.to[i] != unplaced && !p.bad[i] }

// differs reports whether a position is labelled with another value than it
// wants.
func (p *plan) differs(i int) bool {
	return p.label[i] != unplaced && p.unlike(i, p.lines[p.label[i]].offer)
}

// unlike reports whether a part has another value than a spot wants.
func (p *plan) unlike(i int, o *part.Offer) bool {
	w := &p.groups[p.of[i]].wanted
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
