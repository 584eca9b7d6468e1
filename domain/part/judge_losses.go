package part

import "boardlore/domain/quantity"

// resistance judges the series resistance, both ways.
func (j *judgement) resistance() {
	w, o := j.w.ESRMax, j.o.ESRMax
	low := j.duty.any(SwitchingOutput|Snubber) || j.w.traits&lowESR != 0
	both := !w.IsZero() && !o.IsZero()
	switch {
	case both && o.Compare(w) > 0 && low:
		j.hit(esrHigh)
	case both && o.Compare(w) > 0:
		j.hit(esrHigher)
	case both && o != w:
		j.better(1)
	case both:
	case low && j.o.traits&generalPurpose != 0 && j.w.traits&generalPurpose == 0:
		j.hit(esrGeneral)
	case low && o.IsZero() && j.o.traits&lowESR == 0 && !j.o.group.nonpolar() && !j.o.group.polymer():
		j.hit(esrUnknownMatters)
	case !w.IsZero() && !j.o.group.nonpolar():
		j.hit(esrUnknown)
	case j.o.traits&lowESR != 0 && j.w.traits&lowESR == 0:
		j.better(1)
	}
	j.stability(w, o)
}

// stability asks before a part of much lower series resistance than the
// original goes to the output of a linear regulator.
func (j *judgement) stability(w, o quantity.Quantity) {
	if !j.duty.any(RegulatorOutput) || !j.o.group.electrolytic() || j.o.group.polymer() {
		return
	}
	switch {
	case !o.IsZero() && o.Compare(regulatorMin) < 0 && (w.IsZero() || o.Compare(w) < 0):
		j.hit(esrLow)
	case o.IsZero() && j.o.traits&lowESR != 0 && j.w.traits&lowESR == 0:
		j.hit(esrLow)
	case o.Compare(regulatorMax) > 0 && (w.IsZero() || o.Compare(w) > 0):
		j.hit(esrWindow)
	}
}

func (j *judgement) ripple() {
	w, o := j.w.Ripple, j.o.Ripple
	heavy := j.duty.any(SwitchingOutput | Bulk | SupplyInput)
	switch {
	case w.IsZero():
	case o.IsZero() && heavy:
		j.hit(rippleUnknownMatters)
	case o.IsZero():
		j.hit(rippleUnknown)
	case o.Compare(w) < 0 && heavy:
		j.hit(rippleLow)
	case o.Compare(w) < 0:
		j.hit(rippleLower)
	case o != w:
		j.better(1)
	}
}

// life compares the promised hours at one temperature, and at the rail's
// temperature where that is known.
func (j *judgement) life() {
	w, o := &j.w.Part, &j.o.Part
	polymer := j.o.group.polymer()
	if !o.Endurance.IsZero() && !o.TemperatureMax.IsZero() && !j.p.RailTemp.IsZero() {
		num, den := lifeFactor(int(j.o.hottest-j.rail), polymer)
		if lifeHours.CompareScaled(o.Endurance, num, den) > 0 {
			j.hit(lifeShort)
		}
	}
	if w.Endurance.IsZero() {
		return
	}
	if o.Endurance.IsZero() {
		j.hit(enduranceUnknown)
		return
	}
	if w.Endurance == o.Endurance && w.TemperatureMax == o.TemperatureMax {
		return
	}
	num, den := int64(1), int64(1)
	if !w.TemperatureMax.IsZero() && !o.TemperatureMax.IsZero() {
		num, den = lifeFactor(int(j.o.hottest-j.w.hottest), polymer)
	}
	switch {
	case w.Endurance.CompareScaled(o.Endurance, 2*num, den) > 0:
		j.hit(enduranceShort)
	case w.Endurance.CompareScaled(o.Endurance, num, den) > 0:
		j.hit(enduranceLess)
	}
}

// safety judges X and Y parts.
func (j *judgement) safety() {
	w, o := j.w.safety, j.o.safety
	switch {
	case w == 0 && j.w.SafetyClass != "" && j.w.SafetyClass != j.o.SafetyClass, o == 0 && w != 0:
		j.hit(safetyMissing) // a class that the rules don't know is met by its like only
	case o == 0 && j.mains.likely:
		j.hit(safetyLikely)
	case o == 0 && (j.mains.x || j.mains.y):
		j.hit(safetyUnmapped)
	case j.mains.y && o != 0 && o&yClasses == 0:
		j.hit(safetyNeedsY)
	case !o.mayReplace(w):
		j.hit(safetyLower)
	case w != o && w != 0:
		j.better(3)
	}
	if w|o == 0 {
		return
	}
	if v := j.o.Voltage; o != 0 && !v.IsZero() && v.Compare(mainsVolts) < 0 {
		j.hit(safetyMains)
	}
	if c, was := j.o.Value, j.w.Value; o&^yClasses != 0 && c.Unit() == quantity.Farad && was.Unit() == quantity.Farad &&
		c.Compare(bleederNeeded) > 0 && was.Compare(bleederNeeded) <= 0 {
		j.hit(safetyBleeder)
	}
}
