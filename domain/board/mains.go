package board

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// mainsReach is how near parts of the mains side stand to each other: they keep
// together, since the rest of a board keeps its distance (common practice).
const mainsReach = 25.0 // mm between centres

var mainsLeast = canonically("200 V")

// MainsNear tells of each position whether a part that is of the mains side by
// its circuit, its function or its kind stands beside it: an X or Y part, a
// fuse or a bridge for mains voltage. It is looked at where a capacitor's own
// circuit and function say nothing.
func (m *Map) MainsNear() []bool {
	near := make([]bool, len(m.Positions))
	var mains []*Position
	for i := range m.Positions {
		if p := &m.Positions[i]; p.OnMains() {
			mains = append(mains, p)
		}
	}
	slices.SortFunc(mains, func(a, b *Position) int { return cmp.Compare(a.X, b.X) })
	for i := range m.Positions {
		p := &m.Positions[i]
		if p.Part.Class != "capacitor" || p.Circuit != "" {
			continue
		}
		from, _ := slices.BinarySearchFunc(mains, p.X-mainsReach, func(q *Position, x float64) int { return cmp.Compare(q.X, x) })
		for _, q := range mains[from:] {
			if q.X > p.X+mainsReach {
				break
			}
			if dx, dy := q.X-p.X, q.Y-p.Y; q != p && dx*dx+dy*dy <= mainsReach*mainsReach {
				near[i] = true
				break
			}
		}
	}
	return near
}

// OnMains reports whether the position is on the mains side or reaches to it: as
// its circuit says, or where the map has none, as its class, its kind, its
// function or its rail do, in any language that is read.
func (p *Position) OnMains() bool {
	switch {
	case p.Circuit != "":
		return p.Circuit.OnMains()
	case p.Part.SafetyClass != "":
		return true
	case p.Part.Class == "fuse" || p.Part.Class == "diode" && strings.Contains(strings.ToLower(string(p.Part.Construction)+p.Part.Text), "bridge"):
		return p.Part.Voltage.Unit() == quantity.Volt && p.Part.Voltage.Compare(mainsLeast) >= 0
	}
	return part.DutyAt(p.Function, p.Rail)&(part.MainsX|part.MainsY|part.MainsSide) != 0
}

// circuits asks for the circuit of every position at which the mains are likely
// and the map does not say how it stands to them.
func (c *checker) circuits() {
	near := c.m.MainsNear()
	var open []string
	for i := range c.m.Positions {
		p := &c.m.Positions[i]
		if p.Circuit != "" {
			continue
		}
		place := p.Place()
		place.MainsNear = near[i]
		wanted := part.Offer{Part: p.Part, Body: place.Body}
		if p.OnMains() || place.LikelyMains(&wanted) {
			open = append(open, p.Designator)
		}
	}
	if len(open) == 0 {
		return
	}
	c.add(finding.Finding{Code: "circuit-unknown", Severity: finding.Caution, Pointer: "/positions",
		Sentence: fmt.Sprintf("Function, voltage, rail or neighbours make the mains likely at %s: say in \"circuit\" whether each lies across the mains, leads to earth or across the isolation, or is on the primary or secondary side; until then every rule takes the dangerous case.",
			listed(open)),
		Expected: "circuit of each", Basis: "IEC 60384-14; IEC 60950-1, 1.5.6"})
}

// listed names the first few and counts the rest.
func listed(names []string) string {
	const most = 20
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}
