package bench

import (
	"math"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Method is how a part is best taken off its place.
type Method struct {
	Method message.Message   `json:"method"`
	Avoid  []message.Message `json:"avoid"`
	Why    []message.Message `json:"why"` // each reason with its basis
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
	method  message.Message
	avoid   message.Message
	why     message.Message
	basis   message.Message
}

// Sources of the rules. The procedures of IPC-7711 are cited as public rework
// guides of 2000 and 2001 cite them; none of them speaks of wound cans.
var (
	practice    = message.Of("basis.common-practice")
	reworkChip  = message.Of("basis.rework-chip")
	reworkLeads = message.Of("basis.rework-leads")
	reworkHoles = message.Of("basis.rework-holes")
	reworkNear  = message.Of("basis.rework-near")
	bothAtOnce  = message.Of("basis.rework-can")
)

// none is for a rule that has no method, or nothing to avoid.
var none message.Message

// airSpread is how far hot air heats what stands beside its aim, mm.
const airSpread = 10

// crowdedAngle is the free angle below which a tweezers-type iron does not get
// around a part, degrees: it comes from two opposite sides.
const crowdedAngle = 180

var removalRules = []removalRule{
	{"surface-can-glued", func(s *situation) bool { return s.mount == "surface" && s.can && s.glued },
		message.Of("method.glued-can"),
		message.Of("avoid.long-heating"),
		message.Of("why.glue-holds-base"), practice},
	{"surface-can", func(s *situation) bool { return s.mount == "surface" && s.can && s.two && len(s.hot) == 0 },
		message.Of("method.can"),
		none, message.Of("why.both-briefly"), bothAtOnce},
	{"surface-can-beside", func(s *situation) bool { return s.mount == "surface" && s.can && s.two },
		message.Of("method.can-beside"),
		message.Of("method.hot-air"), message.Of("why.air-heats-neighbours"), reworkNear},
	{"surface-two", func(s *situation) bool { return s.mount == "surface" && s.two },
		message.Of("method.two-ends"),
		none, message.Of("why.both-ends"), reworkChip},
	{"surface-many", func(s *situation) bool { return s.mount == "surface" },
		message.Of("method.many"),
		none, message.Of("why.every-lead"), reworkLeads},
	{"through-glued", func(s *situation) bool { return s.mount == "through-hole" && s.glued },
		message.Of("method.through-glued"),
		none, message.Of("why.glue-tears"), practice},
	{"through-two", func(s *situation) bool { return s.mount == "through-hole" && s.two },
		message.Of("method.through-two"),
		none, message.Of("why.plating"), reworkHoles},
	{"through-many", func(s *situation) bool { return s.mount == "through-hole" },
		message.Of("method.through-many"),
		none, message.Of("why.plating"), reworkHoles},
	{"mount-unknown", func(s *situation) bool { return s.mount == "" },
		message.Of("method.unknown"),
		message.Of("method.pulling"), message.Of("why.unknown"), practice},

	{"wide-lead", func(s *situation) bool { return s.mount == "through-hole" && s.wide },
		none, none, message.Of("why.wide-lead"), practice},
	{"glue", func(s *situation) bool { return s.glued }, none, message.Of("avoid.levering"), message.Of("why.old-glue"),
		practice},
	{"pads-leaked", func(s *situation) bool { return s.leaked },
		none, message.Of("method.twisting-levering"), message.Of("why.leaked"), practice},
	{"pads-can", func(s *situation) bool { return s.mount == "surface" && s.can }, none,
		message.Of("avoid.twisting-can"), message.Of("why.twisting"), practice},
	{"sensitive", func(s *situation) bool { return isTrue(s.p.HeatSensitive) },
		none, message.Of("method.hot-air"), message.Of("why.heat-hurts"), practice},
	{"cell", func(s *situation) bool { return s.p.Part.Class == part.Cell },
		none, message.Of("avoid.bridging"), message.Of("why.cell"), practice},
	{"crowded", func(s *situation) bool { return s.crowded },
		none, none, message.Of("why.crowded"), practice},
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
	m := Method{Avoid: []message.Message{}, Why: []message.Message{}}
	for i := range removalRules {
		r := &removalRules[i]
		if !r.method.IsZero() && !m.Method.IsZero() || !r.applies(&s) {
			continue
		}
		if !r.method.IsZero() {
			m.Method = r.method
		}
		if !r.avoid.IsZero() {
			m.Avoid = append(m.Avoid, r.avoid)
		}
		m.Why = append(m.Why, message.Of("method.why", r.why, r.basis))
	}
	switch s.mount {
	case "surface":
		m.Method = m.Method.And(message.Of("method.after-pads"))
	case "through-hole":
		m.Method = m.Method.And(message.Of("method.after-holes"))
	}
	for _, d := range s.hot {
		m.Why = append(m.Why, message.Of("method.stands-close", d, practice))
	}
	return m
}

func (o *order) situation(i int, angle float64, leaks map[string]bool, hot []int) situation {
	p := &o.m.Positions[i]
	s := situation{p: p, mount: mountOf(p), can: isCan(p), two: twoLeads(p), glued: isTrue(p.Glued),
		crowded: angle < crowdedAngle,
		leaked:  leaks[p.Designator], wide: p.Rail != "" && part.DutyOf(p.Function)&part.Coupling == 0}
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
	case part.Capacitor, part.Resistor, part.Thermistor, part.Varistor, part.Inductor, part.Fuse, part.Cell, part.Diode,
		part.Crystal, part.Lamp:
		return true
	}
	return false
}

func isTrue(b *bool) bool { return b != nil && *b }
