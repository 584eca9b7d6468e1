package part

import "boardlore/domain/quantity"

func (j *judgement) fuse() {
	melts := j.thermal()
	w, o := j.w.Current, j.o.Current
	switch {
	case w.IsZero() && o.IsZero():
		j.hit(fuseBothUnknown)
	case w.IsZero():
		j.hit(fuseUnasked)
	case o.IsZero():
		j.hit(fuseUnknown)
	case o.Compare(w) > 0 && melts:
		j.better(1) // the current of a thermal fuse is what it bears
	case o.Compare(w) > 0:
		j.hit(fuseLarger)
	case o.Compare(w) < 0 && melts:
		j.hit(currentLow)
	case o.Compare(w) < 0:
		j.hit(fuseSmaller)
	}
	if !melts {
		j.fuseSpeed()
	}
	if !melts || !j.w.breaks.IsZero() {
		j.breaking()
	}
	j.fuseVoltage()
	j.inService(true)
	if j.w.traits&resettable == 0 && j.o.traits&resettable != 0 {
		j.hit(fuseResettable)
	}
	if (j.w.traits^j.o.traits)&underUL != 0 {
		j.hit(fuseStandard)
	}
	want, have := &j.body, j.offeredBody()
	if (j.w.traits^j.o.traits)&pigtail != 0 || want.soldered() && have.clipped() || want.clipped() && have.soldered() {
		j.hit(fusePigtail)
	}
}

// soldered reports whether a fuse's body has leads, clipped whether it is a
// cartridge that says nothing of leads.
func (b *Body) soldered() bool { return b.Mount == "through-hole" }
func (b *Body) clipped() bool  { return b.Mount == "" && b.Length != 0 }

// melts reports whether a fuse opens at a temperature: it is called thermal, or
// has a temperature and no characteristic.
func (c *Candidate) melts() bool {
	return c.traits&thermal != 0 || c.speed == 0 && !c.TemperatureMax.IsZero()
}

// thermal tells thermal fuses from others and their temperatures apart, and
// reports whether the place has one.
func (j *judgement) thermal() bool {
	w, o := j.w.melts(), j.o.melts()
	want, have := j.w.TemperatureMax, j.o.TemperatureMax
	switch {
	case (j.w.traits^j.o.traits)&thermal != 0 && w != o:
		j.hit(fuseThermal)
	case w && !o: // by its members alone, which a plain fuse may have left out
		j.hit(fuseThermalUnknown)
	case !w || want == have:
	case want.IsZero():
	case have.IsZero():
		j.hit(fuseThermalUnknown)
	case have.Compare(want) < 0:
		j.hit(fuseThermalLow)
	default:
		j.hit(fuseThermalHigh)
	}
	return w
}

func (j *judgement) fuseVoltage() {
	w, o := j.w.Voltage, j.o.Voltage
	switch {
	case !w.IsZero():
		j.rated(w, o, voltageLow, voltageUnknown)
	case o.IsZero():
		j.hit(voltageBothUnknown)
	case o.Compare(mainsVolts) < 0:
		j.hit(voltageUnasked)
	default:
		j.hit(voltageUnaskedNote)
	}
}

// speedRank orders the characteristics of IEC 60127-1 from fast to slow, 0 for
// none.
func speedRank(s string) int8 {
	switch s {
	case "FF":
		return 1
	case "F":
		return 2
	case "M":
		return 3
	case "T":
		return 4
	case "TT":
		return 5
	}
	return 0
}

func (j *judgement) fuseSpeed() {
	w, o := j.w.speed, j.o.speed
	switch {
	case w == 0 && o == 0:
		j.hit(speedBothUnknown)
	case w == 0:
		j.hit(speedUnasked)
	case o == 0:
		j.hit(speedUnknown)
	case o > w:
		j.hit(speedSlower)
	case o < w:
		j.hit(speedFaster)
	}
}

// breaking judges the current that the fuse can interrupt. At the mains a fuse
// that can't is a grenade, so what is not known there is not let through.
func (j *judgement) breaking() {
	w, o := j.w.breaks, j.o.breaks
	switch {
	case w.IsZero() && o.IsZero():
		if j.mains.side {
			j.hit(breakingBothUnknownMains)
		} else {
			j.hit(breakingBothUnknown)
		}
	case w.IsZero():
		j.breakingUnasked(o)
	case o.IsZero() && w.CompareScaled(j.w.lowBreaking(), 1, 1) <= 0:
		j.hit(breakingMin)
	case o.IsZero() && j.mains.behind:
		j.hit(breakingUnknown)
	case o.IsZero() && j.o.kind == fuseClass: // else told by the class
		j.hit(breakingUnknownMains)
	case o.IsZero():
	case o.Compare(w) < 0:
		j.hit(breakingLow)
	case o != w:
		j.better(1)
	}
}

func (j *judgement) breakingUnasked(o quantity.Quantity) {
	switch {
	case o.Compare(high) >= 0:
		j.better(1)
	case j.mains.side:
		j.hit(breakingUnaskedMains)
	default:
		j.hit(breakingUnasked)
	}
}

// lowBreaking is what the letter L stands for: the least of IEC 60127.
func (c *Candidate) lowBreaking() quantity.Quantity { return Breaking{letter: 'L'}.Current(c.Current) }
