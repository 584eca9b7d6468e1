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
		if j.duty.any(PullUp|Bleeder|Indicator) && o.CompareScaled(w, neighbourDown, neighbourUp) >= 0 &&
			o.CompareScaled(w, neighbourUp, neighbourDen) <= 0 {
			j.hit(valueNeighbour)
			return
		}
	case varistorClass:
		if o.Compare(w) > 0 && o.CompareScaled(w, varistorMost, varistorMostDen) <= 0 {
			j.hit(varistorHigher)
			return
		}
	case inductorClass:
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
	case j.duty&duties == 0 || j.w.kind != capacitorClass:
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
	if j.w.Power.Compare(halfWatt) >= 0 {
		unknown = powerUnknownMatters
	}
	j.rated(j.w.Power, j.o.Power, powerLow, unknown)
	if j.w.kind == resistorClass && j.w.Power.IsZero() && j.o.Power.IsZero() {
		j.hit(powerBothUnknown)
	}
	j.rated(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknownNote)
	j.rated(j.w.Current, j.o.Current, currentLow, currentUnknown)
	switch j.w.kind {
	case resistorClass:
		j.resistorKind()
		return
	case potentiometerClass:
		j.taper()
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
	}
	if w&flameproof != 0 && o&flameproof == 0 {
		j.hit(flameproofMissing)
	}
	want, have := j.w.Construction, j.o.Construction
	switch {
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
	j.typeNumber()
	if j.w.kind == inductorClass || j.w.kind == crystalClass {
		j.tolerance()
	}
	alike := j.w.numbered && compareTypes(j.w.Text, j.o.Text, false) == typeEqual // one type number, one set of ratings
	j.rating(j.w.Voltage, j.o.Voltage, voltageLow, voltageUnknown, alike)
	j.exactVoltage()
	if j.w.kind == lampClass {
		j.lamp(alike)
		return
	}
	j.rating(j.w.Current, j.o.Current, currentLow, currentUnknown, alike)
	j.rating(j.w.Power, j.o.Power, powerLow, powerUnknown, alike)
	if j.w.kind == diodeClass {
		j.diode()
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
		if w.Compare(mostCoil) <= 0 {
			j.hit(relayVoltage)
		} else {
			j.hit(voltageDiffers)
		}
	case transformerClass:
		j.hit(transformerVoltage)
	case circuitClass:
		j.hit(voltageDiffers)
	case lampClass:
		j.hit(lampVoltage)
	}
}

// lamp judges what a lamp draws, which neither may fall nor rise.
func (j *judgement) lamp(alike bool) {
	exact := func(w, o quantity.Quantity, higher, low, unknown ruleID) {
		if !w.IsZero() && o.Compare(w) > 0 {
			j.hit(higher)
			return
		}
		j.rating(w, o, low, unknown, alike)
	}
	exact(j.w.Current, j.o.Current, lampCurrent, currentLow, currentUnknown)
	exact(j.w.Power, j.o.Power, lampPower, powerLow, powerUnknown)
}

func (j *judgement) diode() {
	w, o := j.w.traits&diodeKinds, j.o.traits&diodeKinds
	switch {
	case w == o:
	case (w^o)&^schottky != 0 && j.w.named() && j.o.named():
		j.hit(diodeKind)
	default:
		j.hit(diodeKindUnknown)
	}
}

// named reports whether words say what the part is.
func (c *Candidate) named() bool { return c.Text != "" || c.Construction != "" }

// typeNumber compares what is printed on both. Most classes are nothing
// without their type; those with a value or other ratings are.
func (j *judgement) typeNumber() {
	relation := compareTypes(j.w.Text, j.o.Text, j.w.kind == potentiometerClass)
	if relation == typeUnwanted || relation == typeNowhere {
		j.typeless(relation == typeNowhere)
		return
	}
	switch relation {
	case typeLonger:
		j.hit(typeSuffix)
	case typeAbsent:
		if j.w.kind != potentiometerClass || j.w.traits&taper == 0 { // else told by taper
			j.hit(typeMissing)
		}
	case typeDiffers:
		switch j.w.kind {
		case transistorClass, circuitClass, transformerClass, relayClass, otherClass:
			j.hit(typeWrong)
		default:
			j.hit(typeOther)
		}
	}
}

// typeless judges a part for a position without a type number.
func (j *judgement) typeless(both bool) {
	switch k := j.w.kind; {
	case k.valued() || k == lampClass:
	case both:
		j.hit(typeBothUnknown)
	case k == diodeClass && !j.w.Voltage.IsZero() && !j.w.Current.IsZero():
		j.hit(typeUnaskedNote)
	default:
		j.hit(typeUnasked)
	}
}

type typeRelation uint8

const (
	typeEqual    typeRelation = iota
	typeLonger                // one stands within the other, or they end in other letters
	typeAbsent                // the offered part has none
	typeUnwanted              // only the offered part has one
	typeNowhere               // neither has one
	typeDiffers
)

// compareTypes compares type numbers by their letters and digits only. Traits
// that have rules of their own are left out on demand, so that "log" and
// "logarithmic" are one.
func compareTypes(want, have string, skipTraits bool) typeRelation {
	switch {
	case want == "" && have == "":
		return typeNowhere
	case want == have:
		return typeEqual
	case want == "":
		return typeUnwanted
	case have == "":
		return typeAbsent
	}
	var a, b typeText
	a.fold(want, skipTraits)
	b.fold(have, skipTraits)
	switch {
	case a == b:
		return typeEqual
	case a.within(&b), b.within(&a), a.endsElse(&b):
		return typeLonger
	}
	return typeDiffers
}

// typeText is a type number in lower case without what parts its signs; what
// goes beyond its length is left out.
type typeText struct {
	sign [48]byte
	n    int
}

func (t *typeText) fold(s string, skipTraits bool) {
	for i := 0; i < len(s); {
		var word [maxWord]byte
		n, next := foldWord(&word, s, i)
		if !skipTraits || findTraits(s[i:next]) == 0 {
			t.n += copy(t.sign[t.n:], word[:n])
		}
		i = next
	}
}

// within reports whether t stands in u and no figure of u goes on where t ends
// or begins: 4011 stands in CD4011BE, 741 does not stand in 74191.
func (t *typeText) within(u *typeText) bool {
	for i := 0; i+t.n <= u.n; i++ {
		end := i + t.n
		if t.n > 0 && (i > 0 && digit(u.sign[i-1]) && digit(t.sign[0]) || end < u.n && digit(u.sign[end]) && digit(t.sign[t.n-1])) {
			continue
		}
		if string(u.sign[i:end]) == string(t.sign[:t.n]) {
			return true
		}
	}
	return false
}

// endsElse reports whether two type numbers are the same up to a few letters
// at the end, which name grade, gain or case: BC547B and BC547C.
func (t *typeText) endsElse(u *typeText) bool {
	same, figures := 0, false
	for same < min(t.n, u.n) && t.sign[same] == u.sign[same] {
		figures = figures || digit(t.sign[same])
		same++
	}
	return figures && t.letters(same) && u.letters(same)
}

// letters reports whether the signs from i on are one to three letters.
func (t *typeText) letters(i int) bool {
	if n := t.n - i; n < 1 || n > 3 {
		return false
	}
	for ; i < t.n; i++ {
		if t.sign[i] < 'a' || t.sign[i] > 'z' {
			return false
		}
	}
	return true
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

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
	j.fuseVoltage()
	j.thermal()
	if (j.w.traits^j.o.traits)&underUL != 0 {
		j.hit(fuseStandard)
	}
	if (j.w.traits^j.o.traits)&pigtail != 0 {
		j.hit(fusePigtail)
	}
}

// thermal tells thermal fuses from others and their temperatures apart.
func (j *judgement) thermal() {
	melts := j.w.traits&thermal != 0 || j.w.speed == 0 // a fuse without a characteristic that has a temperature opens at it
	want, have := j.w.TemperatureMax, j.o.TemperatureMax
	if (j.w.traits^j.o.traits)&thermal != 0 || melts && want != have && !want.IsZero() && !have.IsZero() {
		j.hit(fuseThermal)
	}
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
	case w|o == 0:
		j.hit(breakingBothUnknown)
	case w == 0 && o == 1:
		j.hit(breakingUnasked)
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
