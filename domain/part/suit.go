package part

import (
	"math/bits"

	"boardlore/domain/finding"
)

// Weight is what Weigh says: how well an offered part stands in for a wanted
// one, without sentences.
type Weight struct {
	Stop    bool             // some rule says: do not fit
	Penalty int              // 0 for the very part that is wanted; see the cost constants
	Worst   finding.Severity // the gravest finding, "" for none
}

// weight adds up what was found.
func (j *judgement) weight() Weight {
	w := Weight{Penalty: int(j.extra)}
	for i := range j.fired {
		for set := j.fired[i]; set != 0; set &= set - 1 {
			id := i*64 + lowest(set)
			s := rules[id].severity
			if j.own.has(ruleID(id)) {
				s = excuse(s)
			} else {
				w.Penalty += int(rules[id].cost)
			}
			if s.Rank() > w.Worst.Rank() {
				w.Worst = s
			}
		}
	}
	w.Stop = w.Worst == finding.Stop
	return w
}

// Suit judges whether offered may stand at place instead of wanted and gives
// every finding, gravest first; nil when there is nothing to say. Any argument
// may be nil.
//
// The rules are independent of each other: a fault added to the offered part
// never takes a finding away. What the wanted part has against it as well, at
// the same place, is only a note, but never a stop: a part suits its own
// specification unless the place itself rules that out, and then the finding
// says that the map has to be mended too.
func Suit(wanted, offered *Offer, place *Place) []finding.Finding {
	var g Judge
	g.prepare(wanted, place)
	c := NewCandidate(offered)
	j := judgement{Judge: &g, w: &g.wanted, o: &c, p: g.place}
	j.run()
	if j.fired.empty() {
		return nil
	}
	g.excuse()
	return j.findings()
}

// findings puts what was found into words.
func (j *judgement) findings() []finding.Finding {
	if j.fired.empty() {
		return nil
	}
	out := make([]finding.Finding, 0, j.fired.count())
	for id := range ruleID(len(rules)) {
		if j.fired.has(id) {
			out = append(out, j.say(id, j.own.has(id)))
		}
	}
	finding.Sort(out)
	return out
}

// excuse is the severity of a finding that the wanted part has against it too.
func excuse(s finding.Severity) finding.Severity {
	if s.Rank() > finding.Note.Rank() {
		return finding.Note
	}
	return s
}

var (
	noOffer Offer
	nowhere Place
)

func orNone(o *Offer) *Offer {
	if o == nil {
		return &noOffer
	}
	return o
}

func orNowhere(p *Place) *Place {
	if p == nil {
		return &nowhere
	}
	return p
}

// judgement is one offered part under a judge.
type judgement struct {
	*Judge
	w, o  *Candidate
	p     *Place
	quick bool // enough is known at the first stop
	dead  bool // a rule that fired forbids the part
	extra int32
	fired ruleSet
}

// over reports whether the judging need not go on.
func (j *judgement) over() bool { return j.quick && j.dead }

func (j *judgement) hit(id ruleID) {
	bit := uint64(1) << (id % 64)
	j.fired[id/64] |= bit
	j.dead = j.dead || stops[id/64]&bit != 0
}

// better adds the small cost of a rating above the one asked for.
func (j *judgement) better(steps int32) { j.extra += steps * costBetter }

// run applies the rules of the wanted part's class. A part of another class is
// judged by the same rules, so that its other faults are told too. The rules
// that tell parts apart soonest come first.
func (j *judgement) run() {
	j.class()
	j.denial()
	if j.over() {
		return
	}
	j.value()
	if j.over() {
		return
	}
	j.byClass()
	if j.over() {
		return
	}
	j.temperature()
	j.outside()
	if j.unruled != 0 {
		j.rest()
	}
	if j.fired.has(classDiffers) {
		j.only(stops) // what is unknown of a part of another class is of no interest
	}
}

// only leaves the rules of a set.
func (j *judgement) only(s ruleSet) {
	for i := range j.fired {
		j.fired[i] &= s[i]
	}
}

func (j *judgement) byClass() {
	switch j.w.kind {
	case capacitorClass:
		j.capacitor()
	case resistorClass, potentiometerClass, thermistorClass, varistorClass:
		j.resistive()
	case fuseClass:
		j.fuse()
	case cellClass:
		j.cell()
	case noClass, strangeClass:
	default:
		j.component()
	}
}

// ruleSet is a set of rules.
type ruleSet [(int(ruleCount) + 63) / 64]uint64

func (s ruleSet) has(id ruleID) bool { return s[id/64]&(1<<(id%64)) != 0 }
func (s ruleSet) empty() bool        { return s == ruleSet{} }

func (s ruleSet) count() (n int) {
	for _, w := range s {
		for ; w != 0; w &= w - 1 {
			n++
		}
	}
	return n
}

// lowest is the place of the lowest bit that is set.
func lowest(w uint64) int { return bits.TrailingZeros64(w) }
