package part

import "boardlore/domain/quantity"

// Thresholds of the rules for parts other than capacitors.
const (
	neighbourUp, neighbourDen     = 5, 4 // the widest step of the E12 series, 1.2 to 1.5
	neighbourDown                 = 4    // neighbourDown/neighbourUp is its inverse
	varistorMost, varistorMostDen = 11, 10
	cellHundredths                = 20    // 0.2 V between nominal voltages of cells
	mostHundredths                = 10000 // 100 V, far above any cell
)

func (j *judgement) class() {
	switch {
	case j.w.kind != j.o.kind, j.w.kind == strangeKind && j.w.Class != j.o.Class:
		j.hit(classDiffers)
	case j.w.kind == noKind:
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
	case resistorKind:
		if j.duty.any(PullUp|Bleeder|Indicator) && o.CompareScaled(w, neighbourDown, neighbourUp) >= 0 &&
			o.CompareScaled(w, neighbourUp, neighbourDen) <= 0 {
			j.hit(valueNeighbour)
			return
		}
	case varistorKind:
		if o.Compare(w) > 0 && o.CompareScaled(w, varistorMost, varistorMostDen) <= 0 {
			j.hit(varistorHigher)
			return
		}
	case inductorKind:
		if j.duty.any(supply) && o.CompareScaled(w, bulkLow, bulkLowDen) >= 0 && o.CompareScaled(w, bulkFine, bulkFineDen) <= 0 {
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
	case j.duty.any(tight):
		j.hit(toleranceTight)
	case j.duty&duties == 0 || j.w.kind != capacitorKind:
		j.hit(toleranceWider)
	default:
		j.hit(toleranceNote)
	}
}

func (j *judgement) temperature() {
	w, o := j.w.TemperatureMax, j.o.TemperatureMax
	switch {
	case w.IsZero():
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
	if j.p.HeatSensitive && j.o.group.wet() && (o.IsZero() || o.Compare(hotSpot) < 0) {
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
	if j.w.Power.Compare(halfWatt) >= 0 {
		unknown = powerUnknownMatters
	}
	j.rated(j.w.Power, j.o.Power, powerLow, unknown)
	if j.w.kind == resistorKind && j.w.Power.IsZero() && j.o.Power.IsZero() {
		j.hit(powerBothUnknown)
	}
	j.rated(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknownNote)
	j.rated(j.w.Current, j.o.Current, currentLow, currentUnknown)
	j.resistorKind()
	switch j.w.kind {
	case potentiometerKind:
		j.taper()
	case thermistorKind, varistorKind:
		j.typeNumber()
	}
}

func (j *judgement) resistorKind() {
	w, o := j.w.traits, j.o.traits
	switch {
	case w&fusible != 0 && o&fusible == 0:
		j.hit(fusibleMissing)
	case w&fusible == 0 && o&fusible != 0:
		j.hit(fusibleUnasked)
	}
	if w&flameproof != 0 && o&flameproof == 0 {
		j.hit(flameproofMissing)
	}
	if w&wirewound == 0 && o&wirewound != 0 {
		j.hit(wirewoundUnasked)
	}
}

func (j *judgement) taper() {
	w, o := j.w.traits&taper, j.o.traits&taper
	switch {
	case w == 0 || w == o:
	case o == 0:
		j.hit(taperUnknown)
	default:
		j.hit(taperDiffers)
	}
}

// component judges the classes that a type number names.
func (j *judgement) component() {
	if j.w.kind == inductorKind || j.w.kind == crystalKind {
		j.tolerance()
	}
	j.rated(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknown)
	j.rated(j.w.Current, j.o.Current, currentLow, currentUnknown)
	j.rated(j.w.Power, j.o.Power, powerLow, powerUnknown)
	if j.w.kind == lampKind && !j.w.Voltage.IsZero() && !j.o.Voltage.IsZero() && j.w.Voltage != j.o.Voltage {
		j.hit(lampVoltage)
	}
	j.typeNumber()
}

func (j *judgement) typeNumber() {
	switch compareTypes(j.w.Text, j.o.Text) {
	case typeEqual:
	case typeLonger:
		j.hit(typeSuffix)
	case typeUnknown:
		j.hit(typeMissing)
	case typeDiffers:
		switch j.w.kind {
		case inductorKind, crystalKind, lampKind, varistorKind, thermistorKind, connectorKind, switchKind, diodeKind:
			j.hit(typeOther)
		default:
			j.hit(typeWrong)
		}
	}
}

type typeRelation uint8

const (
	typeEqual   typeRelation = iota
	typeLonger               // one is the beginning of the other
	typeUnknown              // the offered part has none
	typeDiffers
)

// compareTypes compares type numbers by their letters and digits only.
func compareTypes(want, have string) typeRelation {
	if want == have || want == "" {
		return typeEqual
	}
	if have == "" {
		return typeUnknown
	}
	i, k := 0, 0
	for {
		a, b := nextSign(want, &i), nextSign(have, &k)
		switch {
		case a == 0 && b == 0:
			return typeEqual
		case a == 0 || b == 0:
			return typeLonger
		case a != b:
			return typeDiffers
		}
	}
}

// nextSign gives the next letter or digit in lower case, 0 at the end; bytes of
// other scripts count as they are.
func nextSign(s string, i *int) byte {
	for *i < len(s) {
		c := s[*i]
		*i++
		switch {
		case c >= 'A' && c <= 'Z':
			return c + 'a' - 'A'
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9', c >= 0x80:
			return c
		}
	}
	return 0
}

func (j *judgement) fuse() {
	w, o := j.w.Current, j.o.Current
	switch {
	case w.IsZero() && o.IsZero():
		j.hit(fuseBothUnknown)
	case w.IsZero():
		j.hit(fuseUnasked)
	case o.IsZero():
		j.hit(fuseUnknown)
	case o.Compare(w) > 0:
		j.hit(fuseLarger)
	case o.Compare(w) < 0:
		j.hit(fuseSmaller)
	}
	j.fuseSpeed()
	j.breaking()
	j.rated(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknown)
	if (j.w.traits^j.o.traits)&underUL != 0 {
		j.hit(fuseStandard)
	}
	if (j.w.traits^j.o.traits)&pigtail != 0 {
		j.hit(fusePigtail)
	}
	if (j.w.traits^j.o.traits)&thermal != 0 || j.w.traits&thermal != 0 && j.w.TemperatureMax != j.o.TemperatureMax && !j.o.TemperatureMax.IsZero() {
		j.hit(fuseThermal)
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

// breakingRank orders the breaking capacities of IEC 60127 as printed on
// fuses, 0 for none.
func breakingRank(t traits) int8 {
	switch {
	case t&breakHigh != 0:
		return 3
	case t&breakExtra != 0:
		return 2
	case t&breakLow != 0:
		return 1
	}
	return 0
}

func (j *judgement) breaking() {
	w, o := j.w.breaking, j.o.breaking
	switch {
	case w <= 1:
		if o > 1 {
			j.better(1)
		}
	case o == 0:
		j.hit(breakingUnknown)
	case o < w:
		j.hit(breakingLow)
	}
}

func (j *judgement) cell() {
	j.cellVoltage()
	w, o := j.w.charge, j.o.charge
	charged := w == 1 || j.duty.any(Charged)
	switch {
	case charged && o == -1:
		if w == 1 {
			j.hit(primaryCharged)
		} else {
			j.hit(primaryMapped)
		}
	case charged && o == 0:
		j.hit(chargeUnknown)
	case w == -1 && o == 1:
		j.hit(chargedInPrimary)
	case w == -1 && o == 0, w == 0 && o != 0:
		j.hit(chargeUnasked)
	case w == 0:
		j.hit(chargeBothUnknown)
	}
	j.chemistry()
	switch {
	case j.w.traits&tabbed != 0 && j.o.traits&tabbed == 0:
		j.hit(tabsMissing)
	case j.w.traits&tabbed == 0 && j.o.traits&tabbed != 0:
		j.hit(tabsUnasked)
	}
}

func (j *judgement) cellVoltage() {
	w, o := j.w.Voltage, j.o.Voltage
	switch {
	case w.IsZero() && o.IsZero():
		j.hit(voltageBothUnknown)
	case w.IsZero():
		j.hit(voltageUnasked)
	case o.IsZero():
		j.hit(voltageUnknown)
	case w != o:
		d := whole(w, -2, 0, mostHundredths) - whole(o, -2, 0, mostHundredths)
		if d > cellHundredths || d < -cellHundredths {
			j.hit(cellVoltageDiffers)
		} else {
			j.hit(cellVoltageNear)
		}
	}
}

func (j *judgement) chemistry() {
	w, o := j.w.chemistry, j.o.chemistry
	ok1, ok2 := j.w.chemical, j.o.chemical
	switch {
	case j.w.Chemistry == j.o.Chemistry || j.w.Chemistry == "" || ok1 && ok2 && w.family == o.family:
	case j.o.Chemistry == "":
		j.hit(chemistryUnknown)
	case !ok1 || !ok2:
		j.hit(chemistryDiffers)
	case w.rechargeable != o.rechargeable:
		// told by the rules for charging
	case w.rechargeable:
		j.hit(chargeChemistry)
	case w.family == "CR" && o.family == "BR", w.family == "LR" && o.family == "SR":
		j.better(2)
	default:
		j.hit(chemistryDiffers)
	}
}
