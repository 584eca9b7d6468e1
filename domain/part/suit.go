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

// Weigh judges whether offered may stand at place instead of wanted, by the
// same rules as Suit. It never allocates. Any argument may be nil, which means
// that nothing is known of it.
func Weigh(wanted, offered *Offer, place *Place) Weight {
	fired, excused, extra := judge(wanted, offered, place)
	w := Weight{Penalty: int(extra)}
	for i := range fired {
		for set := fired[i]; set != 0; set &= set - 1 {
			id := i*64 + lowest(set)
			s := rules[id].severity
			if excused.has(ruleID(id)) {
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
// the same place, is only a note, so a part suits its own specification; the
// exceptions are the hazards marked as such in Rules.
func Suit(wanted, offered *Offer, place *Place) []finding.Finding {
	fired, excused, _ := judge(wanted, offered, place)
	if fired.empty() {
		return nil
	}
	return explain(fired, excused, wanted, offered, place)
}

// explain copies its arguments, so that the caller's stay off the heap where
// there is nothing to say.
func explain(fired, excused ruleSet, wanted, offered *Offer, place *Place) []finding.Finding {
	w, o, p := *orNone(wanted), *orNone(offered), *orNowhere(place)
	j := newJudgement(&w, &o, &p)
	out := make([]finding.Finding, 0, fired.count())
	for id := range ruleID(len(rules)) {
		if fired.has(id) {
			out = append(out, rules[id].say(&j, excused.has(id)))
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

// judge gives the rules that fired, those of them that fire for the wanted
// part itself, and the cost of being better than asked for.
func judge(wanted, offered *Offer, place *Place) (fired, excused ruleSet, extra int32) {
	wanted, offered, place = orNone(wanted), orNone(offered), orNowhere(place)
	j := newJudgement(wanted, offered, place)
	j.run()
	if j.fired.empty() {
		return j.fired, ruleSet{}, j.extra
	}
	self := j
	self.o, self.ot, self.og, self.od = j.w, j.wt, j.wg, j.wd
	self.fired, self.extra = ruleSet{}, 0
	self.run()
	for i := range excused {
		excused[i] = j.fired[i] & self.fired[i] &^ hazards[i]
	}
	return j.fired, excused, j.extra
}

// judgement is one wanted part, one offered part and the place, with what is
// looked up once for all rules.
type judgement struct {
	w, o   *Offer
	p      *Place
	duty   Duty
	wt, ot traits
	wg, og group
	wd, od dielectric
	body   Body // the outside that the offer has to fit
	fired  ruleSet
	extra  int32
}

func newJudgement(w, o *Offer, p *Place) judgement {
	j := judgement{w: w, o: o, p: p, duty: p.Duty, body: room(&p.Body, &w.Body)}
	if j.duty == 0 && p.Function != "" {
		j.duty = DutyOf(p.Function)
	}
	j.wt, j.ot = traitsOf(&w.Part), traitsOf(&o.Part)
	j.wg, j.og = groupOf(w.Construction), groupOf(o.Construction)
	j.wd, _ = dielectricOf(w.Dielectric)
	j.od, _ = dielectricOf(o.Dielectric)
	return j
}

func (j *judgement) hit(id ruleID) { j.fired[id/64] |= 1 << (id % 64) }

// better adds the small cost of a rating above the one asked for.
func (j *judgement) better(steps int32) { j.extra += steps * costBetter }

// run applies the rules of the wanted part's class. A part of another class is
// judged by the same rules, so that its other faults are told too.
func (j *judgement) run() {
	j.class()
	j.value()
	j.temperature()
	j.outside()
	switch j.w.Class {
	case "capacitor":
		j.capacitor()
	case "resistor", "potentiometer", "thermistor", "varistor":
		j.resistive()
	case "inductor", "diode", "transistor", "integrated-circuit", "crystal", "transformer", "relay", "switch",
		"connector", "lamp", "other":
		j.component()
	case "fuse":
		j.fuse()
	case "cell":
		j.cell()
	}
}

// ruleSet is a set of rules.
type ruleSet [(ruleCount + 63) / 64]uint64

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
