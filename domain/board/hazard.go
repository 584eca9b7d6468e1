package board

import (
	"fmt"
	"math"
	"slices"

	"boardlore/domain/part"
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
			why = append(why, a.Class+" changed")
		}
	} else if protects(a) || protects(b) {
		why = append(why, "a "+protector(a, b)+" exchanged")
	}
	if a.FuseSpeed != b.FuseSpeed && !protects(a) {
		why = append(why, "fuse speed changed")
	}
	if x, y := polarityOf(a), polarityOf(b); x != 0 && x != y {
		why = append(why, "polarity changed")
	}
	return why
}

// protects reports whether the part is one whose exchange is always a hazard.
func protects(p *part.Part) bool { return p.Class == "fuse" || p.Class == "cell" }

func protector(a, b *part.Part) string {
	if protects(a) {
		return a.Class
	}
	return b.Class
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
		return "a " + p.Class
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

// positionHazards gathers what makes the change of a position a hazard. Both
// the original and the part to fit count.
func positionHazards(a, b *Position) []string {
	why := append(partHazards(&a.Part, &b.Part), lostRatings(&a.Part, &b.Part)...)
	if polarityTurned(a.Negative, b.Negative) {
		why = append(why, "polarity turned")
	}
	for _, w := range partHazards(a.Wanted(), b.Wanted()) {
		if !slices.Contains(why, w) {
			why = append(why, w)
		}
	}
	return why
}

// failurePointHazards says how a failure point was weakened.
func failurePointHazards(a, b *FailurePoint) []string {
	var why []string
	bars, hazard := a.BarsPowerUp != nil && *a.BarsPowerUp, a.Severity == "hazard"
	if bars && (b.BarsPowerUp == nil || !*b.BarsPowerUp) {
		why = append(why, "it no longer bars power-up")
	}
	if hazard && b.Severity != "hazard" {
		why = append(why, "it is no longer a hazard")
	}
	if !bars && !hazard {
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
			found = positionHazards(p, q)
			if x, y := d.old[name.old], d.new[name.new]; x != nil && y != nil {
				base := positionHazards(x, y)
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
	renamed, before := map[string]string{}, map[string]string{}
	for i, k := range d.match.now {
		if k >= 0 && d.from.Positions[i].Designator != d.to.Positions[k].Designator {
			x, y := d.from.Positions[i].Designator, d.to.Positions[k].Designator
			renamed[x], before[y] = y, x
		}
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
