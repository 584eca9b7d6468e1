package board

import (
	"cmp"
	"slices"
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// bearingCheck tells a check on which safety hangs: it comes before power-up,
// or measures at a position that the safety view is about.
func (d *differ) bearingCheck(c *Measurement) bool {
	return c.When == BeforePowerUp || d.bearingPoint(c)
}

// bearingPoint tells a check that measures at a position that the safety view
// is about.
func (d *differ) bearingPoint(c *Measurement) bool {
	return slices.ContainsFunc(c.Between, d.speaksOfName)
}

func (d *differ) speaksOfName(point string) bool {
	return speaksOfPart(point, d.bearingName)
}

// checkHazards says how a check was weakened; b is nil for one that was taken
// out.
func (d *differ) checkHazards(a, b *Measurement) []weak {
	switch {
	case d.bearingCheck(a):
	case b == nil:
		return nil
	default:
		return append(append(d.probeHazards(b), laxerHazards(a, b)...), wordHazards("its note", a.Note, b.Note,
			topical|aboutEase)...)
	}
	if b == nil {
		if a.When == BeforePowerUp {
			return []weak{weakness("check-before-out")}
		}
		return []weak{weakness("check-out")}
	}
	var why []weak
	if b.When != a.When && a.When == BeforePowerUp {
		why = append(why, weaker("after-power-up", a.When, b.When))
	}
	if a.Measure != b.Measure {
		why = append(why, weaker("measures-else", message.Word("measure", a.Measure),
			message.Word("measure", b.Measure)))
	}
	if !slices.Equal(a.Between, b.Between) && !slices.Equal(newPoints(a.Between, d.renamed()), b.Between) {
		why = append(why, weak{message.Of("hazard.measures-elsewhere"), list(a.Between), list(b.Between)})
	}
	why = append(why, laxerHazards(a, b)...)
	if len(d.probeHazards(a)) == 0 {
		why = append(why, d.probeHazards(b)...)
	}
	why = append(why, rewordHazards("its note", a.Note, b.Note, anyTopic)...)
	of := instructive
	if !holdsWords(b.Title, a.Title) {
		of = whatever // whoever reads it takes it for a check of something else
	}
	return append(why, rewordHazards("title", a.Title, b.Title, of)...)
}

// laxerHazards compares what two forms of a check let pass.
func laxerHazards(a, b *Measurement) []weak {
	if a.Expect == nil || b.Expect != nil && !laxer(a.Expect, b.Expect) {
		return nil
	}
	return []weak{weaker("lets-more-pass", rangeWords(a.Expect), rangeWords(b.Expect))}
}

// probeHazards says what a measurement does to the board or to whoever takes it.
func (d *differ) probeHazards(c *Measurement) []weak {
	switch {
	case c.Measure == "current" && d.shorts(c):
		return []weak{weakness("current-meter-shorts")}
	case c.When != BeforePowerUp && (c.Measure == "resistance" || c.Measure == "continuity"):
		return []weak{weakness("resistance-under-power")}
	}
	return nil
}

// shorts tells a check whose points are at a part that a current meter must not
// be held across. Across a fuse, a link or a switch it stands in for it.
func (d *differ) shorts(c *Measurement) bool {
	d.index()
	return slices.ContainsFunc(d.relevantPoints(c), func(name string) bool {
		p := cmp.Or(d.new[name], d.old[name])
		return p == nil || p.Part.Class != part.Fuse && p.Part.Class != part.Switch && p.Part.Class != part.Resistor
	})
}

// instructive is what makes a check's title more than the name of a check.
const instructive = aboutPolarity | aboutPower | aboutSubstitute | aboutEase | unread

// newCheckHazards judges a check that is new: its words tell people what to do
// with the power.
func (d *differ) newCheckHazards(c *Measurement) []weak {
	why := d.probeHazards(c)
	if c.When == BeforePowerUp && c.Measure == "voltage" && d.bearingPoint(c) {
		why = append(why, weakness("says-when-safe"))
	}
	why = append(why, wordHazards("its note", "", c.Note, topical|aboutEase)...)
	return append(why, wordHazards("its title", "", c.Title, instructive)...)
}

// samePoints tells two checks that measure the same before or after power-up
// at the same positions that the safety view is about, whatever the words.
func (d *differ) samePoints(a, b *Measurement) bool {
	names := d.relevantPoints(a)
	return a.Measure == b.Measure && a.When == b.When && len(names) > 0 && slices.Equal(names, d.relevantPoints(b))
}

func (d *differ) relevantPoints(c *Measurement) []string {
	var names []string
	for _, point := range c.Between {
		for _, word := range strings.FieldsFunc(point, betweenNames) {
			if d.bearingName(word) && !slices.Contains(names, word) {
				names = append(names, word)
			}
		}
	}
	slices.Sort(names)
	return names
}

func rangeWords(r *Range) message.Message {
	if r == nil {
		return message.Of("map.no-limits")
	}
	var says []message.Message
	if !r.Min.IsZero() {
		says = append(says, message.Of("map.at-least", r.Min))
	}
	if !r.Max.IsZero() {
		says = append(says, message.Of("map.at-most", r.Max))
	}
	return orNothing(message.All(says).Say())
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
