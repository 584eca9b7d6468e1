package bench

import (
	"math"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// Method is how a part is best taken off its place.
type Method struct {
	Method string   `json:"method"`
	Avoid  []string `json:"avoid"`
	Why    []string `json:"why"` // each reason with its basis
}

// situation is what a rule of removal may look at.
type situation struct {
	p       *board.Position
	mount   string // surface, through-hole or "" where nothing tells
	can     bool   // a wound part with a base and a vent: it bursts when heated too long
	two     bool   // two leads
	glued   bool
	hot     []string // neighbours within the spread of hot air that suffer from heat
	crowded bool     // less than half of the circle is free at this moment
	leaked  bool     // a failure point of this position speaks of leaking: the pads may be eaten
	wide    bool     // leads to a rail, of which one end usually meets a plane
}

// removalRule is one row of the table: the first one that applies and has a
// method gives it; every one that applies adds what to avoid, and why.
type removalRule struct {
	code    string
	applies func(*situation) bool
	method  string
	avoid   string
	why     string
	basis   string
}

// Sources of the rules. The guides of IPC are cited by subject, from memory.
const (
	practice = "common practice"
	rework   = "IPC-7711/7721, removal of components (from memory)"
)

// airSpread is how far hot air heats what stands beside its aim, mm.
const airSpread = 10

// crowdedAngle is the free angle below which a tweezers-type iron does not get
// around a part, degrees: it comes from two opposite sides.
const crowdedAngle = 180

var removalRules = []removalRule{
	{"surface-can-glued", func(s *situation) bool { return s.mount == "surface" && s.can && s.glued },
		"Loosen or cut the glue first. If it holds, cut the can off above its base, take the base away, and clear each lead with the iron and fresh solder.",
		"hot air, and any long heating: the base stays glued while the can is pulled off or bursts",
		"Glue holds the base, and a wound can that is heated too long bursts", practice},
	{"surface-can", func(s *situation) bool { return s.mount == "surface" && s.can && s.two && len(s.hot) == 0 },
		"Flux and fresh solder on both leads, then a tweezers-type iron on both at once, or hot air at about 400 °C and medium flow; lift it straight up as soon as it floats.",
		"", "Both leads must be molten at the same moment, and as briefly as can be", rework},
	{"surface-can-beside", func(s *situation) bool { return s.mount == "surface" && s.can && s.two },
		"Flux and fresh solder on both leads, then a tweezers-type iron on both at once; without one, heat the leads in turn in small steps until it floats.",
		"hot air", "Hot air heats what stands beside it too", rework},
	{"surface-two", func(s *situation) bool { return s.mount == "surface" && s.two },
		"Flux and fresh solder on both ends, then a tweezers-type iron, or two irons, or one wide tip across both ends; lift it when it floats.",
		"", "Both ends must be molten at the same moment", rework},
	{"surface-many", func(s *situation) bool { return s.mount == "surface" },
		"Flux and low-melting solder along all leads, then hot air in circles or a tip that reaches all of them; lift it straight up when it floats.",
		"", "Every lead must be molten at the same moment", rework},
	{"through-glued", func(s *situation) bool { return s.mount == "through-hole" && s.glued },
		"Loosen or cut the glue from the part's side first, then clear the leads with a desoldering iron, one after another, and lift the part.",
		"", "Glue tears the rings off when the part is pulled", practice},
	{"through-two", func(s *situation) bool { return s.mount == "through-hole" && s.two },
		"Fresh solder on both leads, clear them with a desoldering iron, or suction and wick, until they stand free in their holes; then lift the part.",
		"", "A lead that still holds pulls the plating out of its hole", rework},
	{"through-many", func(s *situation) bool { return s.mount == "through-hole" },
		"Fresh solder, clear lead after lead with a desoldering iron; where the part is lost anyhow, cut its leads first and take them out one by one.",
		"", "A lead that still holds pulls the plating out of its hole", rework},
	{"mount-unknown", func(s *situation) bool { return s.mount == "" },
		"The map does not say how this part is mounted: look at it first, then choose.",
		"pulling", "What holds it is not known", practice},

	{"wide-lead", func(s *situation) bool { return s.mount == "through-hole" && s.wide },
		"", "", "One lead of a part on a rail usually meets a plane that draws the heat away: preheat the board, use a broad tip and add fresh solder", practice},
	{"glue", func(s *situation) bool { return s.glued }, "", "levering against the glue", "Old glue holds better than the pads do, and may conduct: take its rest away too", practice},
	{"pads-leaked", func(s *situation) bool { return s.leaked },
		"", "twisting, levering", "What leaked from here may have eaten the pads: clean first, heat briefly, and neutralise and wash what has crept under neighbours", practice},
	{"pads-can", func(s *situation) bool { return s.mount == "surface" && s.can }, "", "twisting the can off", "Twisting a can tears weak pads away", practice},
	{"sensitive", func(s *situation) bool { return isTrue(s.p.HeatSensitive) },
		"", "hot air", "The map says that heat hurts here: keep each touch under three seconds, and let it cool between", practice},
	{"cell", func(s *situation) bool { return s.p.Part.Class == part.Cell },
		"", "bridging the poles with a tool; heating the cell itself", "A shorted or heated cell gasses, leaks or burns: cut its tabs, then clear the holes", practice},
	{"crowded", func(s *situation) bool { return s.crowded },
		"", "", "Neighbours leave the tool less than half of the circle: shield them, and come from the open side", practice},
}

// methods fills in how each part of the stages is taken off.
func (o *order) methods(stages []Stage) {
	at := make(map[string]int, len(o.at))
	for _, i := range o.at {
		at[o.m.Positions[i].Designator] = i
	}
	leaks, hot := leaking(o.m), o.sensitive()
	for s := range stages {
		for k := range stages[s].Removal {
			r := &stages[s].Removal[k]
			r.Method = methodFor(o.situation(at[r.Designator], r.Angle, leaks, hot))
		}
	}
}

func methodFor(s situation) Method {
	m := Method{Avoid: []string{}, Why: []string{}}
	for i := range removalRules {
		r := &removalRules[i]
		if r.method != "" && m.Method != "" || !r.applies(&s) {
			continue
		}
		if r.method != "" {
			m.Method = r.method
		}
		if r.avoid != "" {
			m.Avoid = append(m.Avoid, r.avoid)
		}
		m.Why = append(m.Why, r.why+" ("+r.basis+").")
	}
	for _, d := range s.hot {
		m.Why = append(m.Why, d+" stands close and does not bear heat: shield it ("+practice+").")
	}
	return m
}

func (o *order) situation(i int, angle float64, leaks map[string]bool, hot []int) situation {
	p := &o.m.Positions[i]
	s := situation{p: p, mount: mountOf(p), can: isCan(p), two: twoLeads(p), glued: isTrue(p.Glued), crowded: angle < crowdedAngle,
		leaked: leaks[p.Designator], wide: p.Rail != "" && part.DutyOf(p.Function)&part.Coupling == 0}
	for _, j := range hot {
		n := &o.m.Positions[j]
		if j != i && n.Side == p.Side && math.Hypot(n.X-p.X, n.Y-p.Y) <= airSpread && len(s.hot) < 3 {
			s.hot = append(s.hot, n.Designator)
		}
	}
	return s
}

// sensitive are the positions that suffer when a neighbour is heated.
func (o *order) sensitive() []int {
	var out []int
	for i := range o.m.Positions {
		p := &o.m.Positions[i]
		if isTrue(p.HeatSensitive) || p.Part.Class == part.Cell || p.Part.Class == part.Connector {
			out = append(out, i)
		}
	}
	return out
}

// leaking tells the positions that leak by some failure point: wet parts of
// one, since what leaks out of a part has been wet.
func leaking(m *board.Map) map[string]bool {
	named := map[string]bool{}
	for i := range m.FailurePoints {
		for _, d := range m.FailurePoints[i].Positions {
			named[d] = true
		}
	}
	for i := range m.Positions {
		p := &m.Positions[i]
		if wet := p.Part.Class == part.Cell || p.Part.Construction == part.AluminiumElectrolytic; !wet {
			delete(named, p.Designator)
		}
	}
	return named
}

// mountOf is how a part is mounted; where the map does not say, a lead pitch
// tells of holes and a chip of pads.
func mountOf(p *board.Position) string {
	switch b := p.Body; {
	case b == nil:
		return ""
	case b.Mount != "":
		return b.Mount
	case b.Shape == "chip":
		return "surface"
	case b.LeadPitch > 0, b.Shape == "axial":
		return "through-hole"
	}
	return ""
}

func isCan(p *board.Position) bool {
	return p.Part.Construction == part.AluminiumElectrolytic || p.Part.Construction == part.AluminiumPolymer ||
		p.Part.Class == part.Capacitor && p.Body != nil && p.Body.Shape == "can"
}

// twoLeads tells the classes that have two leads.
func twoLeads(p *board.Position) bool {
	switch p.Part.Class {
	case part.Capacitor, part.Resistor, part.Thermistor, part.Varistor, part.Inductor, part.Fuse, part.Cell, part.Diode, part.Crystal, part.Lamp:
		return true
	}
	return false
}

func isTrue(b *bool) bool { return b != nil && *b }
