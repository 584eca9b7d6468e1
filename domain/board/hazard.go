package board

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// turnedBy is how far a negative lead may swing and still point the same way,
// degrees: half of a quarter turn. Common practice.
const turnedBy = 45

// lostRatings names the ratings that a part had and no longer states: a part
// of any rating would do then.
func lostRatings(a, b *part.Part) []string {
	var why []string
	for i := range ratings {
		if r := &ratings[i]; !r.of(a).IsZero() && r.of(b).IsZero() {
			why = append(why, r.words+" no longer given")
		}
	}
	return why
}

// partHazards says, as phrases, what makes a change of a part a hazard: a
// rating lowered, another safety class, another fuse or cell, another
// polarity. None for a change that is no hazard.
func partHazards(a, b *part.Part) []string {
	var why []string
	for i := range ratings {
		r := &ratings[i]
		x, y := r.of(a), r.of(b)
		if !x.IsZero() && !y.IsZero() && x.Unit() == y.Unit() && y.Compare(x) < 0 {
			why = append(why, r.words+" lowered")
		}
	}
	if a.SafetyClass != b.SafetyClass {
		why = append(why, "safety class changed")
	}
	if protects(a) && protects(b) && a.Class == b.Class {
		if !sameButExtra(a, b) {
			why = append(why, string(a.Class)+" changed")
		}
	} else if protects(a) || protects(b) {
		why = append(why, "a "+protector(a, b)+" exchanged")
	}
	if a.Windings != nil && !sameWindings(a.Windings, b.Windings) {
		why = append(why, "windings changed")
	}
	if a.FuseSpeed != b.FuseSpeed && !protects(a) {
		why = append(why, "fuse speed changed")
	}
	if x, y := polarityOf(a), polarityOf(b); x != 0 && x != y {
		why = append(why, "polarity changed")
	}
	for _, word := range safetyWords {
		if saysOf(a, word) && !saysOf(b, word) {
			why = append(why, "no longer "+word)
		}
	}
	return why
}

// safetyWords are what the free text of a resistor may say that keeps a fault
// from becoming a fire.
var safetyWords = []string{"fusible", "flameproof"}

func saysOf(p *part.Part, word string) bool {
	return p.Class == part.Resistor && strings.Contains(strings.ToLower(string(p.Construction)+" "+p.Text), word)
}

// protects reports whether the part is one whose exchange is always a hazard.
func protects(p *part.Part) bool { return p.Class == part.Fuse || p.Class == part.Cell }

func protector(a, b *part.Part) string {
	if protects(a) {
		return string(a.Class)
	}
	return string(b.Class)
}

func sameButExtra(a, b *part.Part) bool {
	x, y := *a, *b
	x.Extra, y.Extra = nil, nil
	return samePart(&x, &y)
}

// polarityOf is 1 for a polarised part, -1 for a bipolar one, 0 where it is
// not known.
func polarityOf(p *part.Part) int {
	switch {
	case polarised(p):
		return 1
	case p.Polarised != nil:
		return -1
	}
	return 0
}

// critical names what makes a position one that nobody may put in or take out
// in passing; "" for others.
func critical(p *part.Part) string {
	switch {
	case protects(p):
		return "a " + string(p.Class)
	case p.SafetyClass != "":
		return "a part of safety class " + p.SafetyClass
	}
	return ""
}

// polarityTurned reports whether the negative lead points elsewhere, or
// nowhere any more.
func polarityTurned(a, b *float64) bool {
	if a == nil {
		return false
	}
	return b == nil || math.Abs(apart(*a, *b)) > turnedBy
}

// blindlyTurned reports whether a part whose rotation alone tells its polarity
// was turned.
func blindlyTurned(a, b *Position) bool {
	return turnsPolarity(a) && (b.Negative == nil || a.Negative == nil) && math.Abs(apart(a.Rotation, b.Rotation)) > turnedBy
}

// turnsPolarity tells a part that has a polarity, of which nothing but its
// rotation says which way round it is.
func turnsPolarity(p *Position) bool {
	return p.Negative == nil && (p.Part.Class == part.Diode || polarised(&p.Part))
}

// functionHazards says what makes a change of what a position does a hazard:
// parts would suit there that did not before, and must not.
func functionHazards(a, b *Position) []string {
	const safety = part.MainsX | part.MainsY | part.Charged
	var why []string
	was, is := part.DutyOf(a.Function)&safety, part.DutyOf(b.Function)&safety
	if is&part.MainsY != 0 {
		was &^= part.MainsX // a Y part may stand in an X position
	}
	switch lost := was &^ is; {
	case lost&part.Charged != 0:
		why = append(why, "it no longer says that the circuit charges it")
	case lost != 0:
		why = append(why, "it no longer asks for a safety part")
	}
	if a.Circuit != b.Circuit && circuitRank(b) < circuitRank(a) {
		why = append(why, "its circuit is said to be less dangerous")
	}
	return append(why, workingHazards(a.WorkingVoltage, b.WorkingVoltage)...)
}

// circuitRank orders circuits by what a fault there does to people; where a
// position does not say, its function does.
func circuitRank(p *Position) int {
	switch d := part.DutyOf(p.Function); {
	case p.Circuit == part.Secondary:
		return 0
	case p.Circuit.Bridges(), p.Circuit == "" && d&part.MainsY != 0:
		return 3
	case p.Circuit == part.AcrossMains, p.Circuit == "" && d&part.MainsX != 0:
		return 2
	case p.Circuit == part.Primary:
		return 1
	}
	return 0
}

func workingHazards(a, b quantity.Quantity) []string {
	switch {
	case a.IsZero() || a.Sign() == 0:
		return nil
	case b.IsZero():
		return []string{"working voltage no longer given"}
	case a.Unit() != b.Unit():
		return nil
	case a.Sign() != b.Sign() && b.Sign() != 0:
		return []string{"working voltage reversed"}
	}
	if a.Sign() < 0 {
		a, b = a.Neg(), b.Neg()
	}
	if b.Compare(a) < 0 {
		return []string{"working voltage lowered"}
	}
	return nil
}

// serviceRank orders what is done with a position; absent is leave.
var serviceRank = map[Service]int{Inspect: 1, Replace: 2}

// serviceHazards says whether a position that a hazard hangs on gets less
// attention than before.
func (d *differ) serviceHazards(a, b *Position) []string {
	if serviceRank[b.Service] >= serviceRank[a.Service] {
		return nil
	}
	if what := critical(&a.Part); what != "" {
		return []string{"less is done about " + what}
	}
	if d.grave(a.Designator, b.Designator) {
		return []string{"less is done about a position that a hazard or a bar to power-up names"}
	}
	return nil
}

// grave tells whether a failure point that is a hazard or bars power-up names
// a position, before or after.
func (d *differ) grave(old, new string) bool {
	names := func(fs []FailurePoint, designator string) bool {
		return slices.ContainsFunc(fs, func(f FailurePoint) bool {
			return (bars(&f) || f.Severity == "hazard") && slices.Contains(f.Positions, designator)
		})
	}
	return names(d.from.FailurePoints, old) || names(d.to.FailurePoints, new)
}

func bars(f *FailurePoint) bool { return f.BarsPowerUp != nil && *f.BarsPowerUp }

// wantedHazards compares the parts to fit.
func wantedHazards(a, b *Position) []string {
	return append(partHazards(a.Wanted(), b.Wanted()), lostRatings(a.Wanted(), b.Wanted())...)
}

// positionHazards gathers what makes the change of a position a hazard. Both
// the original and the part to fit count.
func (d *differ) positionHazards(a, b *Position) []string {
	why := append(partHazards(&a.Part, &b.Part), lostRatings(&a.Part, &b.Part)...)
	if polarityTurned(a.Negative, b.Negative) || blindlyTurned(a, b) {
		why = append(why, "polarity turned")
	}
	why = append(append(why, functionHazards(a, b)...), d.serviceHazards(a, b)...)
	for _, w := range wantedHazards(a, b) {
		if !slices.Contains(why, w) {
			why = append(why, w)
		}
	}
	return why
}

// takenOver says what is a hazard where a position takes the designator that
// another one had: who goes by the name printed on the board finds another
// part under it.
func (d *differ) takenOver(a, b *Position) []string {
	d.index()
	before := d.old[b.Designator]
	if before == nil || before == a {
		return nil
	}
	why := append(partHazards(&before.Part, &b.Part), lostRatings(&before.Part, &b.Part)...)
	for _, w := range wantedHazards(before, b) {
		if !slices.Contains(why, w) {
			why = append(why, w)
		}
	}
	return why
}

// failurePointHazards says how a failure point was weakened.
func failurePointHazards(a, b *FailurePoint) []string {
	var why []string
	barred, hazard := bars(a), a.Severity == "hazard"
	if barred && !bars(b) {
		why = append(why, "it no longer bars power-up")
	}
	switch {
	case hazard && b.Severity != "hazard":
		why = append(why, "it is no longer a hazard")
	case severityRank[b.Severity] < severityRank[a.Severity]:
		why = append(why, "its severity is lowered")
	}
	if !barred && !hazard {
		return why
	}
	if gone := without(a.Positions, b.Positions); len(gone) > 0 {
		why = append(why, "it no longer names "+list(gone))
	}
	if a.Remedy != "" && b.Remedy == "" {
		why = append(why, "its remedy is gone")
	}
	return why
}

var severityRank = map[string]int{"minor": 1, "major": 2, "hazard": 3}

// checkHazards says how a check that comes before power-up was weakened, on a
// board of which something bars power-up; b is nil for one that was taken out.
func (d *differ) checkHazards(a, b *Measurement) []string {
	if a.When != BeforePowerUp || !slices.ContainsFunc(d.from.FailurePoints, func(f FailurePoint) bool { return bars(&f) }) {
		return nil
	}
	const barred = " while something bars power-up"
	switch {
	case b == nil:
		return []string{"a check before power-up is taken out" + barred}
	case b.When != a.When:
		return []string{"it comes after power-up" + barred}
	case a.Expect != nil && (b.Expect == nil || laxer(a.Expect, b.Expect)):
		return []string{"it lets more pass" + barred}
	}
	return nil
}

// laxer reports whether a range lets something pass that another did not.
func laxer(a, b *Range) bool {
	less := func(x, y quantity.Quantity) bool {
		return !x.IsZero() && (y.IsZero() || x.Unit() == y.Unit() && y.Compare(x) < 0)
	}
	more := func(x, y quantity.Quantity) bool {
		return !x.IsZero() && (y.IsZero() || x.Unit() == y.Unit() && y.Compare(x) > 0)
	}
	return less(a.Min, b.Min) || more(a.Max, b.Max)
}

// cautionTimes orders when a caution is for; one without a time is always.
var cautionTimes = map[Moment]int{BeforeOpening: 1, BeforePowerUp: 2, WhileWorking: 3, Afterwards: 4}

// later reports whether a caution comes later than it did, or only at a time
// where it was for always.
func later(a, b *Caution) bool { return b.When != "" && cautionTimes[b.When] > cautionTimes[a.When] }

// mirrors reports whether left and right are exchanged on both sides of the
// board: a board seen from its other side keeps them.
func (t *Transform) mirrors() bool { return t != nil && t.Mirrored != t.Sides }

// frameHazards says what makes a change of the frame a hazard.
func (d *differ) frameHazards() []string {
	t := d.transform
	switch {
	case t.mirrors():
		return []string{"left and right are exchanged, and with them the polarity of every part"}
	case t != nil && t.Kept && slices.ContainsFunc(d.from.Positions, func(p Position) bool { return turnsPolarity(&p) }):
		return []string{"the polarity of parts whose rotation alone tells it is turned"}
	}
	return nil
}

// variantHazards compares the positions that either form of a variant is
// about, as the builds have them; nil stands for a variant that is not there,
// whose build is the base map.
func (d *differ) variantHazards(a, b *Variant) []string {
	d.index()
	var why []string
	for _, name := range d.mentioned(a, b) {
		p, q := effectivePosition(d.old, a, name.old), effectivePosition(d.new, b, name.new)
		var found []string
		switch {
		case p != nil && q != nil:
			found = d.positionHazards(p, q)
			if x, y := d.old[name.old], d.new[name.new]; x != nil && y != nil {
				base := d.positionHazards(x, y)
				found = slices.DeleteFunc(found, func(w string) bool { return slices.Contains(base, w) })
			}
		case p != nil && critical(&p.Part) != "" && d.new[name.new] != nil:
			found = []string{critical(&p.Part) + " is taken out"}
		case q != nil && critical(&q.Part) != "" && d.old[name.old] != nil:
			found = []string{critical(&q.Part) + " is put in"}
		case p != nil && critical(&p.Part) != "", q != nil && critical(&q.Part) != "":
			found = []string{"a position that only this build has and that protects it changes"}
		}
		for _, w := range found {
			why = append(why, fmt.Sprintf("%s: %s", name.new, w))
		}
	}
	return why
}

// known is a designator in the older and in the newer map.
type known struct{ old, new string }

func (d *differ) mentioned(a, b *Variant) []known {
	renamed, before := d.renamed(), map[string]string{}
	for x, y := range renamed {
		before[y] = x
	}
	var names []known
	add := func(n known) {
		if !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	for _, v := range []*Variant{a, b} {
		if v == nil {
			continue
		}
		for i := range v.Changes {
			n := known{target(&v.Changes[i]), target(&v.Changes[i])}
			if v == a && renamed[n.old] != "" {
				n.new = renamed[n.old]
			}
			if v == b && before[n.new] != "" {
				n.old = before[n.new]
			}
			add(n)
		}
	}
	slices.SortFunc(names, func(x, y known) int { return CompareDesignators(x.new, y.new) })
	return names
}

// renamed gives the new designators of the positions that were renamed.
func (d *differ) renamed() map[string]string {
	if d.names == nil {
		d.names = map[string]string{}
		for i, k := range d.match.now {
			if k >= 0 && d.from.Positions[i].Designator != d.to.Positions[k].Designator {
				d.names[d.from.Positions[i].Designator] = d.to.Positions[k].Designator
			}
		}
	}
	return d.names
}

// target is the designator that a variant's change is about.
func target(c *Change) string {
	switch {
	case c.Omit != "":
		return c.Omit
	case c.Fit != nil:
		return c.Fit.Designator
	}
	return c.Designator
}

func (d *differ) index() {
	if d.old != nil {
		return
	}
	d.old, d.new = make(map[string]*Position, len(d.from.Positions)), make(map[string]*Position, len(d.to.Positions))
	for i := range d.from.Positions {
		d.old[d.from.Positions[i].Designator] = &d.from.Positions[i]
	}
	for k := range d.to.Positions {
		d.new[d.to.Positions[k].Designator] = &d.to.Positions[k]
	}
}

// effectivePosition is a position as a variant has it, nil where it lacks it.
func effectivePosition(base map[string]*Position, v *Variant, name string) *Position {
	p := base[name]
	if v == nil {
		return p
	}
	for i := range v.Changes {
		c := &v.Changes[i]
		switch {
		case target(c) != name:
		case c.Omit != "":
			p = nil
		case c.Fit != nil:
			p = c.Fit
		case p != nil:
			if q, err := patched(p, c.Set); err == nil {
				p = &q
			}
		}
	}
	return p
}
