package board

import (
	"slices"
	"strings"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// What a charge must be to be made safe first. The voltage is the limit of
// extra-low direct voltage, dry (IEC 61140, from memory); the energies are
// common practice: a thousandth of a joule at such a voltage startles, two
// joules melt a probe's tip and throw metal at any.
const (
	ShockVolts  = 60.0
	shockJoules = 1e-3
	flashJoules = 2.0
)

// Stored is what one capacitor, or several in parallel between one rail and its
// return, may hold after unplugging.
type Stored struct {
	At          []*Position       // natural order of designators
	Capacitance quantity.Quantity // absent where none is known
	Voltage     quantity.Quantity // the working voltage, else the rating; the highest of the group
	Rated       bool              // it is a rating
	Alternating bool              // on alternating mains, where it may be the peak
	Energy      float64           // ½CV² in joules; 0 where it can't be told
}

// Dangerous reports whether the charge has to be made safe before anybody
// touches the board: over 60 V and 1 mJ, or 2 J at any voltage.
func (s *Stored) Dangerous() bool {
	return s.Voltage.Float() > ShockVolts && s.Energy > shockJoules || s.Energy > flashJoules
}

// Stored sorts the map's capacitors into groups in parallel, in the order of
// their first designators. A coupling or series part does not lie between a
// rail and its return, and neither does one to earth or across the isolation,
// whatever rail it names.
func (m *Map) Stored() []Stored {
	var out []Stored
	of := map[string]int{}
	for _, p := range m.capacitors() {
		rail := p.Rail
		if !p.betweenRails() {
			rail = ""
		}
		if k, ok := of[rail]; ok && rail != "" {
			out[k].At = append(out[k].At, p)
			continue
		}
		of[rail] = len(out)
		out = append(out, Stored{At: []*Position{p}})
	}
	for i := range out {
		out[i].add()
	}
	return out
}

func (m *Map) capacitors() []*Position {
	var out []*Position
	for i := range m.Positions {
		if m.Positions[i].Part.Class == part.Capacitor {
			out = append(out, &m.Positions[i])
		}
	}
	slices.SortFunc(out, func(a, b *Position) int { return CompareDesignators(a.Designator, b.Designator) })
	return out
}

func (p *Position) betweenRails() bool {
	if part.DutyOf(p.Function)&(part.Coupling|part.Snubber) != 0 || p.alternating() {
		return false
	}
	for _, w := range strings.Fields(strings.ToLower(p.Function)) {
		if w == "series" || strings.HasPrefix(w, "série") || strings.HasPrefix(w, "serie") ||
			strings.HasPrefix(w, "reihe") {
			return false
		}
	}
	return true
}

// alternating tells a capacitor that lies across the mains, to earth or across
// the isolation.
func (p *Position) alternating() bool {
	switch p.Circuit {
	case part.AcrossMains, part.MainsToEarth, part.AcrossIsolation:
		return true
	case "":
		return p.Part.SafetyClass != "" || part.DutyOf(p.Function)&(part.MainsX|part.MainsY) != 0
	}
	return false
}

// add adds a group up.
func (s *Stored) add() {
	for _, p := range s.At {
		s.Alternating = s.Alternating || p.alternating()
		v, rated := p.WorkingVoltage, false
		if v.IsZero() {
			v, rated = p.Part.Voltage, true
		}
		if !v.IsZero() && (s.Voltage.IsZero() || v.Compare(s.Voltage) > 0) {
			s.Voltage, s.Rated = v, rated
		}
		if p.Part.Value.IsZero() {
			continue
		}
		if s.Capacitance.IsZero() {
			s.Capacitance = p.Part.Value
		} else if sum, ok := s.Capacitance.Plus(p.Part.Value); ok {
			s.Capacitance = sum
		}
	}
	v := s.Voltage.Float()
	s.Energy = s.Capacitance.Float() * v * v / 2
}
