package part

import "boardlore/domain/quantity"

// mainsPlace is what a place has to do with the mains.
type mainsPlace struct {
	x, y   bool // only class X or Y, or only class Y, may stand there
	likely bool // x is a guess: nothing in the map says so or rules it out
	side   bool // on the mains side, or reaching to it
	behind bool // said to be safely behind the isolation
}

// Voltages that tell the mains from other supplies: IEC 60038 has 120, 230 and
// 400 V; older equipment was made for 100 to 127 and 200 to 250 V.
var (
	lowMains     = mustQ(100, 0, quantity.Volt)
	maxLowMains  = mustQ(127, 0, quantity.Volt)
	minHighMains = mustQ(200, 0, quantity.Volt)
	topMains     = mustQ(250, 0, quantity.Volt)
	minPeak      = mustQ(300, 0, quantity.Volt) // of 212 V; 230 V have 325 V, 240 V 340 V
	maxPeak      = mustQ(354, 0, quantity.Volt) // of 250 V
	lowPeak      = mustQ(170, 0, quantity.Volt) // of 120 V
	highPeak     = mustQ(325, 0, quantity.Volt) // of 230 V
	extraLow     = mustQ(60, 0, quantity.Volt)  // direct voltage that counts as safe to touch in makers' manuals
)

// atMains finds out how the place stands to the mains: by its circuit, or where
// the map has none, by what it does, with the dangerous case wherever the words,
// the voltages or the neighbours make the mains likely.
func (g *Judge) atMains() (m mainsPlace) {
	switch c := g.place.Circuit; c {
	case AcrossMains:
		m.x, m.side = true, true
	case MainsToEarth, AcrossIsolation:
		m.y, m.side = true, true
	case Primary:
		m.side = true
	case Secondary:
		m.behind = true
	default:
		m.x, m.y, m.side = g.duty.any(MainsX), g.duty.any(MainsY), g.duty.any(MainsSide)
		if !m.x && !m.y && g.wanted.kind == capacitorClass && g.mainsLikely() {
			m.x, m.likely = true, true
		}
	}
	return m
}

// mainsLikely reports whether a capacitor of unknown circuit may well lie across
// the mains: a part that could bear them, at mains voltage, beside mains parts or
// called a suppressor, and nothing said that it does instead.
func (g *Judge) mainsLikely() bool {
	v := magnitudeOf(g.place.WorkingVoltage)
	rated := g.wanted.Voltage
	switch {
	case g.wanted.group.electrolytic() || g.wanted.group == superGroup || g.wanted.safety != 0:
		return false
	case !v.IsZero() && v.Compare(extraLow) <= 0, !rated.IsZero() && rated.Compare(lowMains) < 0:
		return false
	case g.duty.any(MainsLikely):
		return true
	case g.duty.any(works):
		return false
	}
	return g.place.MainsNear || g.mains.side || g.duty.any(MainsSide) || mainsFigure(v)
}

// mainsFigure reports whether a voltage is one that the mains have, effective or
// at the peak.
func mainsFigure(v quantity.Quantity) bool {
	between := func(low, high quantity.Quantity) bool { return v.Compare(low) >= 0 && v.Compare(high) <= 0 }
	return !v.IsZero() && (between(lowMains, maxLowMains) || between(minHighMains, topMains) ||
		between(minPeak, maxPeak))
}

func magnitudeOf(v quantity.Quantity) quantity.Quantity {
	if v.Sign() < 0 {
		return v.Neg()
	}
	return v
}

// inService holds a limiting voltage to what stands across the place, and where
// that is not given, to the mains. An alternating rating bears its peak.
func (j *judgement) inService(alternating bool) {
	v, r := magnitudeOf(j.p.WorkingVoltage), j.o.Voltage
	if r.IsZero() {
		return
	}
	if !v.IsZero() {
		if alternating && v.CompareScaled(r, peak, peakDen) > 0 || !alternating && v.Compare(r) > 0 {
			j.hit(workingAbove)
		}
		return
	}
	if !j.mains.side {
		return
	}
	low, high := lowPeak, highPeak
	if alternating {
		low, high = lowMains, topMains
	}
	switch {
	case r.Compare(low) < 0:
		j.hit(mainsAbove)
	case r.Compare(high) < 0:
		j.hit(mainsLow)
	}
}

// dissipation holds a resistor's power to what the voltage across it turns into
// heat: P = V²/R.
func (j *judgement) dissipation() {
	v, r, p := j.p.WorkingVoltage, j.heated(), j.o.Power
	if v.IsZero() || r.Unit() != quantity.Ohm || r.Sign() <= 0 {
		return
	}
	switch {
	case p.IsZero():
		if quantity.CompareProducts(v, v, r, smallWatt) > 0 {
			j.hit(dissipationUnknown)
		}
	case quantity.CompareProducts(v, v, r, p) > 0:
		j.hit(dissipationAbove)
	default:
		if most, ok := p.MulRatio(powerMargin, 100); ok && quantity.CompareProducts(v, v, r, most) > 0 {
			j.hit(dissipationClose)
		}
	}
}

// heated is the resistance that the voltage stands across.
func (j *judgement) heated() quantity.Quantity {
	if j.o.Value.IsZero() {
		return j.w.Value
	}
	return j.o.Value
}

// dissipated is the heat to three decimals, for people to read.
func (j *judgement) dissipated() quantity.Quantity {
	v, r := j.p.WorkingVoltage.Float(), j.heated().Float()
	if r == 0 {
		return quantity.Quantity{}
	}
	p, _ := quantity.New(int64(v*v/r*1000+0.5), -3, quantity.Watt)
	return p
}

// limitingVoltage asks for a small resistor's own voltage limit at high voltage.
func (j *judgement) limitingVoltage() {
	v := magnitudeOf(j.p.WorkingVoltage)
	if j.o.Voltage.IsZero() && v.Compare(limitingMin) > 0 && !j.o.Power.IsZero() && j.o.Power.Compare(halfWatt) < 0 {
		j.hit(limitUnknown)
	}
}

// LikelyMains reports whether the place is on the mains side as far as the rules
// can tell without a circuit: a map should say it there.
func (p *Place) LikelyMains(wanted *Offer) bool {
	var g Judge
	g.prepare(wanted, p)
	return g.mains.x || g.mains.y || g.mains.side || !g.mains.behind && mainsFigure(magnitudeOf(p.WorkingVoltage))
}
