package board

import (
	"cmp"
	"slices"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// mainsReach is how near parts of the mains side stand to each other: they keep
// together, since the rest of a board keeps its distance (common practice).
const mainsReach = 25.0 // mm between centres

// maxOpen is how many positions are named whose circuit is to be given.
const maxOpen = 20

var mainsMin = canonically("200 V")

// MainsNear tells of each position whether parts of the mains side stand beside
// it: one that is by its circuit, its class or its function, or two that often
// are, such as a fuse and a bridge for mains voltage. It is looked at where a
// capacitor's own circuit and function say nothing.
func (m *Map) MainsNear() []bool {
	near := make([]bool, len(m.Positions))
	var marks []mark
	for i := range m.Positions {
		p := &m.Positions[i]
		switch {
		case p.OnMains():
			marks = append(marks, mark{p.X, p.Y, 2})
		case p.Circuit == "" && p.mayBeMains():
			marks = append(marks, mark{p.X, p.Y, 1})
		}
	}
	slices.SortFunc(marks, func(a, b mark) int { return cmp.Compare(a.x, b.x) })
	for i := range m.Positions {
		p := &m.Positions[i]
		near[i] = p.Part.Class == "capacitor" && p.Circuit == "" && !p.OnMains() && marked(marks, p.X, p.Y)
	}
	return near
}

// mark is a place that speaks for the mains; 2 are enough.
type mark struct {
	x, y   float64
	weight int
}

// marked reports whether the marks in reach of a place, sorted by x, are enough.
func marked(marks []mark, x, y float64) bool {
	from, _ := slices.BinarySearchFunc(marks, x-mainsReach, func(m mark, x float64) int { return cmp.Compare(m.x, x) })
	weight := 0
	for _, m := range marks[from:] {
		if m.x > x+mainsReach || weight >= 2 {
			break
		}
		if dx, dy := m.x-x, m.y-y; dx*dx+dy*dy <= mainsReach*mainsReach {
			weight += m.weight
		}
	}
	return weight >= 2
}

// mayBeMains reports whether the part is one that stands at the mains as often
// as not: a fuse or a bridge for mains voltage.
func (p *Position) mayBeMains() bool {
	bridge := p.Part.Class == "diode" && strings.Contains(strings.ToLower(string(p.Part.Construction)+p.Part.Text),
		"bridge")
	return (p.Part.Class == "fuse" || bridge) && p.WorkingVoltage.IsZero() && p.Part.Voltage.Unit() == quantity.Volt &&
		p.Part.Voltage.Compare(mainsMin) >= 0
}

// OnMains reports whether the position is on the mains side or reaches to it: as
// its circuit says, or where the map has none, as its class, its function or its
// rail do, in any language that is read.
func (p *Position) OnMains() bool {
	if p.Circuit != "" {
		return p.Circuit.OnMains()
	}
	return p.Part.SafetyClass != "" || part.DutyAt(p.Function, p.Rail)&(part.MainsX|part.MainsY|part.MainsSide) != 0
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
		Sentence: message.Of("check.circuit-unknown", message.Some(open, maxOpen)),
		Expected: "circuit", Basis: message.Text("IEC 60384-14; IEC 60950-1, 1.5.6")})
}
