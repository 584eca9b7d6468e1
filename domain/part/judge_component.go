package part

import "boardlore/domain/quantity"

// windingShare is how far two windings of one nominal voltage may lie apart, in
// percent: 220, 230 and 240 V mains (IEC 60038 made them one).
const windingShare = 5

// component judges the classes that a type number names.
func (j *judgement) component() {
	j.typeNumber()
	alike := j.w.numbered && compareTypes(j.w.Text, j.o.Text, false) == typeEqual // one type number, one set of ratings
	switch j.w.kind {
	case lampClass:
		j.lamp(alike)
		return
	case transformerClass:
		j.transformer(alike)
		return
	case inductorClass:
		j.tolerance()
	case crystalClass:
		j.crystal()
	case relayClass:
		j.coil()
	}
	j.rating(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknown, alike)
	j.exactVoltage()
	j.rating(j.w.Current, j.o.Current, currentLow, currentUnknown, alike)
	j.rating(j.w.Power, j.o.Power, powerLow, powerUnknown, alike)
	switch j.w.kind {
	case diodeClass:
		j.diode()
	case switchClass, connectorClass:
		j.shaft()
		j.inService(true)
	case inductorClass, transistorClass:
		if !j.p.WorkingVoltage.IsZero() {
			j.inService(false)
		}
	}
}

// rating judges one rating that may not fall, and that the type number tells
// where it is alike.
func (j *judgement) rating(w, o quantity.Quantity, low, unknown ruleID, alike bool) {
	if !alike || !o.IsZero() {
		j.rated(w, o, low, unknown)
	}
}

// numbered reports whether a text holds a type number rather than words: four
// signs or more and two figures among them.
func numbered(text string) bool {
	signs, figures := 0, 0
	for i := range len(text) {
		switch c := text[i]; {
		case digit(c):
			signs, figures = signs+1, figures+1
		case c >= 'A' && c <= 'Z', c >= 'a' && c <= 'z':
			signs++
		}
	}
	return signs >= 4 && figures >= 2
}

// exactVoltage judges voltages at which a part works, where more is no better.
func (j *judgement) exactVoltage() {
	w, o := j.w.Voltage, j.o.Voltage
	if w == o || w.IsZero() || o.IsZero() {
		return
	}
	switch j.w.kind {
	case diodeClass:
		if (j.w.traits|j.o.traits)&holding != 0 {
			j.hit(zenerVoltage)
		}
	case relayClass:
		if w.Compare(maxCoil) <= 0 {
			j.hit(relayVoltage)
		} else {
			j.hit(voltageDiffers)
		}
	case circuitClass:
		j.hit(voltageDiffers)
	}
}

// supplyOf is what a coil or lamp is made for: by its member, else by its text.
func supplyOf(p *Part, t traits) Supply {
	switch {
	case p.Supply != "":
		return p.Supply
	case t&(alternating|directOnly) == alternating:
		return Alternating
	case t&(alternating|directOnly) == directOnly:
		return Direct
	}
	return ""
}

// coil tells coils for alternating from those for direct current: on the other
// kind the one burns and the other chatters.
func (j *judgement) coil() {
	switch {
	case j.w.contacts.IsZero() || j.w.contacts == j.o.contacts:
	case j.o.contacts.IsZero():
		j.hit(contactsUnknown)
	case j.o.contacts.Compare(j.w.contacts) < 0:
		j.hit(contactsLow)
	default:
		j.better(1)
	}
	w, o := j.w.supply, j.o.supply
	switch {
	case w == o, w == "":
	case o == "":
		j.hit(coilUnknown)
	default:
		j.hit(coilDiffers)
	}
}

// crystal judges what a crystal was cut for.
func (j *judgement) crystal() {
	j.tolerance()
	w, o := j.w.LoadCapacitance, j.o.LoadCapacitance
	switch {
	case w.IsZero() || w == o:
	case o.IsZero():
		j.hit(loadUnknown)
	default:
		j.hit(loadDiffers)
	}
	if j.w.traits&resonator == 0 && j.o.traits&resonator != 0 {
		j.hit(resonatorForCrystal)
	}
}

// lamp judges what a lamp is made for and draws, which neither may fall nor
// rise. Lamps in series share the voltage by their currents, so there nothing
// may differ.
func (j *judgement) lamp(alike bool) {
	w, o := j.w.Voltage, j.o.Voltage
	switch {
	case w.IsZero() || w == o:
	case o.IsZero():
		j.rating(w, o, voltageLow, voltageUnknown, alike)
	case o.CompareScaled(w, lampMin, 100) < 0:
		j.hit(lampVoltageLow)
	default:
		j.hit(lampVoltage)
	}
	j.drawn(j.w.Current, j.o.Current, lampCurrent, lampCurrentLow, currentUnknown, alike)
	j.drawn(j.w.Power, j.o.Power, lampPower, lampPowerLow, powerUnknown, alike)
	if j.w.supply != "" && j.o.supply != "" && j.w.supply != j.o.supply {
		j.hit(lampSupply)
	}
}

func (j *judgement) drawn(w, o quantity.Quantity, higher, low, unknown ruleID, alike bool) {
	switch {
	case w.IsZero() || w == o:
		return
	case o.IsZero():
		j.rating(w, o, low, unknown, alike)
		return
	case o.Compare(w) > 0:
		j.hit(higher)
	default:
		j.hit(low)
	}
	if j.duty.any(SeriesString) {
		j.hit(lampSeries)
	}
}

// transformer judges each winding, and what the whole bears.
func (j *judgement) transformer(alike bool) {
	w, o := j.w.Windings, j.o.Windings
	switch {
	case w != nil && o != nil:
		j.windings(w.Primary, o.Primary)
		j.windings(w.Secondary, o.Secondary)
	case w != nil && (!alike || j.o.Text == ""):
		j.hit(windingsUnknown)
	default:
		j.rating(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknown, alike)
		if v, u := j.w.Voltage, j.o.Voltage; v != u && !v.IsZero() && !u.IsZero() {
			j.hit(transformerVoltage)
		}
	}
	j.rating(j.w.Current, j.o.Current, currentLow, currentUnknown, alike)
	j.rating(j.w.Power, j.o.Power, powerLow, powerUnknown, alike)
}

// windings compares the windings of one side, in any order.
func (j *judgement) windings(want, have []quantity.Quantity) {
	switch {
	case len(want) == 0:
		return
	case len(have) == 0:
		j.hit(windingsUnknown)
		return
	case len(want) != len(have):
		j.hit(windingsDiffer)
		return
	}
	var used uint64
	for _, w := range want {
		best := -1
		for i, h := range have {
			if used&(1<<i) != 0 || h.Unit() != w.Unit() {
				continue
			}
			if h == w {
				best = i
				break
			}
			if h.CompareScaled(w, 100-windingShare, 100) >= 0 && h.CompareScaled(w, 100+windingShare, 100) <= 0 {
				best = i
			}
		}
		if best < 0 {
			j.hit(windingsDiffer)
			return
		}
		used |= 1 << best
		if have[best] != w {
			j.hit(windingNear)
		}
	}
}
