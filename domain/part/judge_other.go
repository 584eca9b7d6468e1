package part

import "boardlore/domain/quantity"

// Thresholds of the rules for parts other than capacitors.
const (
	neighbourUp, neighbourDen   = 5, 4 // the widest step of the E12 series, 1.2 to 1.5
	neighbourDown               = 4    // neighbourDown/neighbourUp is its inverse
	varistorMax, varistorMaxDen = 11, 10
	powerMargin                 = 75 // percent of the rating
	lampMin                     = 90 // percent of the voltage, below which a lamp burns out at once
)

func (j *judgement) class() {
	switch {
	case j.w.kind != j.o.kind, j.w.kind == strangeClass && j.w.Class != j.o.Class:
		j.hit(classDiffers)
	case j.w.kind == noClass:
		j.hit(classUnknown)
	}
}

// value judges what every class with a value shares, and the window of all
// but capacitors.
func (j *judgement) value() {
	w, o := j.w.Value, j.o.Value
	if !j.w.kind.valued() {
		return
	}
	switch {
	case w.IsZero() && o.IsZero():
		j.hit(valueBothUnknown)
	case o.IsZero():
		j.hit(valueUnknown)
	case w.IsZero():
		j.hit(valueUnasked)
	case w.Unit() != o.Unit():
		j.hit(valueUnit)
	case w == o:
	case w.Unit() == quantity.Farad:
		j.capacitance(w, o)
	default:
		j.otherValue(w, o)
	}
}

func (j *judgement) otherValue(w, o quantity.Quantity) {
	switch j.w.kind {
	case resistorClass:
		fuses := j.w.traits&j.o.traits&fusible != 0 && j.duty.any(supply)
		if (j.duty.any(PullUp|Bleeder|Indicator) || fuses) && o.CompareScaled(w, neighbourDown, neighbourUp) >= 0 &&
			o.CompareScaled(w, neighbourUp, neighbourDen) <= 0 {
			j.hit(valueNeighbour)
			return
		}
	case varistorClass:
		if o.Compare(w) > 0 && o.CompareScaled(w, varistorMax, varistorMaxDen) <= 0 {
			j.hit(varistorHigher)
			return
		}
	case inductorClass:
		if j.duty.any(supply) && o.CompareScaled(w, bulkLow, bulkLowDen) >= 0 && o.CompareScaled(w, bulkFine,
			bulkFineDen) <= 0 {
			j.hit(inductanceDiffers)
			return
		}
	}
	j.hit(valueDiffers)
}

func (j *judgement) tolerance() {
	w, o := j.w.Tolerance, j.o.Tolerance
	switch {
	case w.IsZero() || w == o:
	case o.IsZero():
		if j.duty.any(tight) || w.High().Unit() == quantity.Percent && w.High().Compare(looseTolerance) < 0 {
			j.hit(toleranceUnknownMatters)
		} else {
			j.hit(toleranceUnknown)
		}
	case o.NoWiderThan(w, j.w.Value):
		j.better(1)
	case j.duty.any(tight), j.w.kind == crystalClass && j.duty.any(Backup):
		j.hit(toleranceTight)
	case j.duty&works == 0 || j.w.kind != capacitorClass:
		j.hit(toleranceWider)
	default:
		j.hit(toleranceNote)
	}
}

func (j *judgement) temperature() {
	w, o := j.w.TemperatureMax, j.o.TemperatureMax
	switch {
	case w.IsZero() || j.w.kind == fuseClass: // thermal fuses have rules of their own
	case o.IsZero() && j.w.kind == capacitorClass && w.Compare(coolest) <= 0:
		j.hit(temperatureUnsaid)
	case o.IsZero():
		j.hit(temperatureUnknown)
	case o.Compare(w) < 0:
		j.hit(temperatureLow)
	case o != w:
		j.better(1)
	}
	if t := j.p.RailTemp; !t.IsZero() && !o.IsZero() && t.Compare(o) > 0 {
		j.hit(railHotter)
	}
	if j.p.HotPlace && j.o.group.wet() && (o.IsZero() || o.Compare(hotSpot) < 0) {
		j.hit(heatNearby)
	}
}

// rated judges one rating that may not fall.
func (j *judgement) rated(w, o quantity.Quantity, low, unknown ruleID) {
	switch {
	case w.IsZero():
	case o.IsZero():
		j.hit(unknown)
	case o.Compare(w) < 0:
		j.hit(low)
	case o != w:
		j.better(1)
	}
}

func (j *judgement) resistive() {
	j.tolerance()
	unknown := powerUnknown
	if j.w.Power.Compare(smallWatt) > 0 {
		unknown = powerUnknownMatters
	}
	j.rated(j.w.Power, j.o.Power, powerLow, unknown)
	if j.w.kind == resistorClass && j.w.Power.IsZero() && j.o.Power.IsZero() {
		j.hit(powerBothUnknown)
	}
	j.rated(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknownNote)
	j.rated(j.w.Current, j.o.Current, currentLow, currentUnknown)
	if !j.p.WorkingVoltage.IsZero() {
		j.inService(j.w.kind == varistorClass)
	}
	switch j.w.kind {
	case resistorClass:
		j.dissipation()
		j.limitingVoltage()
		j.resistorKind()
		return
	case potentiometerClass:
		j.taper()
		j.shaft()
	case thermistorClass:
		j.thermistor()
	}
	j.typeNumber()
}

func (j *judgement) resistorKind() {
	w, o := j.w.traits, j.o.traits
	switch {
	case w&fusible != 0 && o&fusible == 0:
		j.hit(fusibleMissing)
	case w&fusible == 0 && o&fusible != 0:
		j.hit(fusibleUnasked)
	case w&o&fusible != 0 && !j.w.Power.IsZero() && j.o.Power.Compare(j.w.Power) > 0:
		j.hit(fusiblePower)
	}
	want, have := j.w.Construction, j.o.Construction
	switch {
	case w&flameproof == 0 || o&flameproof != 0:
	case o&flammable == 0 && (o&(wirewound|oxide) != 0 || have == "" && j.o.Text == ""):
		j.hit(flameproofUnsaid)
	default:
		j.hit(flameproofMissing)
	}
	switch {
	case w&composition != 0 && o&composition == 0 && j.duty.any(Snubber|SupplyInput):
		j.hit(compositionMissing)
	case w&wirewound == 0 && o&wirewound != 0 && j.duty.any(Snubber|Oscillator|Filter|Measuring|Coupling):
		j.hit(wirewoundInductive)
	case w&wirewound == 0 && o&wirewound != 0:
		j.hit(wirewoundUnasked)
	case want == "" || w&wirewound != 0 && o&wirewound != 0:
	case have == "":
		j.hit(resistorUnknown)
	case w&wirewound != 0:
		j.hit(wirewoundMissing)
	case compareTypes(string(want), string(have), false) != typeEqual:
		j.hit(resistorDiffers)
	}
}

// thermistor tells the two kinds apart, which work against each other.
func (j *judgement) thermistor() {
	w, o := j.w.traits&(ntc|ptc), j.o.traits&(ntc|ptc)
	switch {
	case w == o && w != 0, j.w.Text != "" && j.w.Text == j.o.Text:
	case w != 0 && o != 0:
		j.hit(thermistorDiffers)
	case w|o == 0:
		j.hit(thermistorBothUnknown)
	default:
		j.hit(thermistorUnknown)
	}
}

func (j *judgement) taper() {
	switch w, o := j.w.traits&(stereo|mono), j.o.traits&(stereo|mono); {
	case w&stereo == 0:
	case o&stereo != 0:
	case o&mono != 0:
		j.hit(tracksDiffer)
	default:
		j.hit(tracksUnknown)
	}
	w, o := j.w.traits&taper, j.o.traits&taper
	switch {
	case w == 0 || w == o:
	case o == 0:
		j.hit(taperUnknown)
	default:
		j.hit(taperDiffers)
	}
}
