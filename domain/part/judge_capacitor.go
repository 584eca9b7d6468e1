package part

import (
	"slices"

	"boardlore/domain/quantity"
)

// group is a capacitor's construction as the rules see it.
type group uint8

const (
	unknownGroup group = iota
	wetAluminium
	polymerAluminium
	mnTantalum
	polymerTantalum
	ceramicGroup
	filmGroup // film and paper
	micaGroup
	superGroup
)

func groupOf(construction Construction) group {
	switch construction {
	case "aluminium-electrolytic":
		return wetAluminium
	case "aluminium-polymer":
		return polymerAluminium
	case "tantalum":
		return mnTantalum
	case "tantalum-polymer":
		return polymerTantalum
	case "ceramic":
		return ceramicGroup
	case "film", "paper":
		return filmGroup
	case "mica":
		return micaGroup
	case "supercapacitor":
		return superGroup
	}
	return unknownGroup
}

// group is the construction that has a dielectric.
func (d dielectric) group() group {
	switch {
	case d.class != 0:
		return ceramicGroup
	case d.film != noFilm:
		return filmGroup
	}
	return unknownGroup
}

func (g group) wet() bool     { return g == wetAluminium }
func (g group) polymer() bool { return g == polymerAluminium || g == polymerTantalum }
func (g group) electrolytic() bool {
	return g == wetAluminium || g == mnTantalum || g.polymer()
}
func (g group) resistive() bool { return g == wetAluminium || g == mnTantalum }
func (g group) nonpolar() bool  { return g == ceramicGroup || g == filmGroup || g == micaGroup }

// polarity is 1 for polarised, -1 for bipolar, 0 for not known. An
// electrolytic that is not said to be bipolar is polarised, since a bipolar one
// always says so (common practice).
func polarity(g group, polarised *bool) int8 {
	switch {
	case polarised != nil && *polarised:
		return 1
	case polarised != nil, g.nonpolar():
		return -1
	case g.electrolytic() || g == superGroup:
		return 1
	}
	return 0
}

// Thresholds of the rules for capacitors; ratios as num/den of the original.
const (
	bulkLow, bulkLowDen   = 4, 5 // 0.8 of the original: parts sold at -20 % were that low
	bulkFine, bulkFineDen = 3, 2 // 1.5: the spread of older parts
	bulkMuch              = 2    // inrush, rectifier and regulator start
	bulkMax, bulkMaxDen   = 5, 2 // beyond the next step of the E3 row, 2.2 times
	couplingMax           = 2
	yMax, yMaxDen         = 6, 5 // leakage current to earth rises with capacitance
	voltageSteps          = 2    // steps of the voltage row that need no remark
	wetMargin             = 80   // percent of the rating in service
	dryMargin             = 75   // for ceramic and film
	tantalumMargin        = 50
	polymerLowMargin      = 90  // tantalum polymer rated up to 10 V
	polymerMargin         = 80  // and above
	tantalumWarm          = 85  // °C from which a tantalum's usable voltage falls
	biasSlight            = 875 // thousandths that are left up to an eighth of the rating
	biasKeeps             = 80  // percent of the original that class 2 must keep at its working voltage
	looseFall             = 30  // percent that a class 2 ceramic for bypass only may lose: codes T, U and V
	lifeMin               = 5   // years at the rail's temperature
)

func mustQ(coef int64, exp int, u quantity.Unit) quantity.Quantity {
	q, _ := quantity.New(coef, exp, u)
	return q
}

var (
	tenVolts      = mustQ(10, 0, quantity.Volt)
	mainsVolts    = mustQ(250, 0, quantity.Volt)
	bleederNeeded = mustQ(1, -7, quantity.Farad)
	biasLarge     = mustQ(1, -6,
		quantity.Farad) // from here on what class 2 keeps under bias decides how much there is
	regulatorMin   = mustQ(3, -1, quantity.Ohm)
	regulatorMax   = mustQ(22, 0, quantity.Ohm)
	lifeHours      = mustQ(lifeMin*hoursPerYear, 0, quantity.Hour)
	halfWatt       = mustQ(5, -1, quantity.Watt)
	hotSpot        = mustQ(105, 0, quantity.Celsius)
	maxCoil        = mustQ(60, 0, quantity.Volt)
	looseTolerance = mustQ(10, 0, quantity.Percent)
	smallWatt      = mustQ(125, -3, quantity.Watt) // the least that leaded resistors are made for
	limitingMin    = mustQ(250, 0, quantity.Volt)
	coolest        = mustQ(85, 0, quantity.Celsius) // the least that capacitors are made for today
)

// voltageRow is the row of rated voltages of aluminium parts, in volts
// (makers' tables).
var voltageRow = func() (row []quantity.Quantity) {
	row = append(row, mustQ(4, 0, quantity.Volt), mustQ(63, -1, quantity.Volt))
	for _, v := range []int64{10, 16, 25, 35, 50, 63, 80, 100, 160, 200, 250, 350, 400, 450, 500} {
		row = append(row, mustQ(v, 0, quantity.Volt))
	}
	return row
}()

// voltageStep is the place of a voltage in the row: the first that is not
// below it.
func voltageStep(v quantity.Quantity) int {
	lo, hi := 0, len(voltageRow)
	for lo < hi {
		mid := (lo + hi) / 2
		if voltageRow[mid].Compare(v) < 0 {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return lo
}

func (j *judgement) capacitor() {
	j.voltage()
	j.polar()
	j.safety()
	if j.over() {
		return
	}
	j.tolerance()
	j.workingVoltage()
	j.construction()
	j.bias()
	j.dielectric()
	j.resistance()
	j.ripple()
	j.life()
}

// capacitance judges a value that differs from the one asked for.
func (j *judgement) capacitance(w, o quantity.Quantity) {
	switch safe := j.w.safety; {
	case j.w.group == superGroup:
		j.superCapacitance(w, o)
	case safe&yClasses != 0 && safe&^yClasses == 0 || j.mains.y:
		j.yCapacitance(w, o)
	case safe != 0 || j.mains.x && !j.mains.likely:
		j.within(w, o, bulkLow, bulkLowDen, bulkMax, bulkMaxDen, valueCaution)
	case slices.Contains(j.modern, o):
		if j.duty.any(tight) || j.duty&works == 0 {
			j.hit(oldValueTight)
		} else {
			j.hit(oldValue)
		}
	case j.duty.any(tight):
		j.hit(valueTight)
	case j.duty.any(Coupling):
		j.within(w, o, 1, 1, couplingMax, 1, valueHigher)
	case j.duty.any(supply):
		j.supplyCapacitance(w, o)
	default:
		j.within(w, o, 1, 1, bulkFine, bulkFineDen, valueAsk)
	}
	if !j.over() {
		j.worstCase()
	}
}

// within hits middle inside the window from low to high, and the stops beyond.
func (j *judgement) within(w, o quantity.Quantity, low, lowDen, high, highDen int64, middle ruleID) {
	switch {
	case o.CompareScaled(w, low, lowDen) < 0:
		j.hit(valueLow)
	case o.CompareScaled(w, high, highDen) > 0:
		j.hit(valueHigh)
	default:
		j.hit(middle)
	}
}

func (j *judgement) yCapacitance(w, o quantity.Quantity) {
	switch {
	case o.CompareScaled(w, yMax, yMaxDen) > 0:
		j.hit(yLarge)
	case o.Compare(w) < 0:
		j.hit(yLess)
	default:
		j.hit(valueCaution)
	}
}

// superCapacitance judges what keeps a memory alive: less holds it for less
// time, more takes longer to charge.
func (j *judgement) superCapacitance(w, o quantity.Quantity) {
	switch {
	case o.CompareScaled(w, bulkLow, bulkLowDen) < 0:
		j.hit(valueLow)
	case o.Compare(w) < 0:
		j.hit(valueBelow)
	case o.CompareScaled(w, bulkMax, bulkMaxDen) <= 0:
		j.hit(superHigher)
	default:
		j.hit(superMuchHigher)
	}
}

func (j *judgement) supplyCapacitance(w, o quantity.Quantity) {
	switch {
	case o.CompareScaled(w, bulkLow, bulkLowDen) < 0:
		j.hit(valueLow)
	case o.Compare(w) < 0:
		j.hit(valueBelow)
	case o.CompareScaled(w, bulkFine, bulkFineDen) <= 0:
		j.hit(valueHigher)
	case o.CompareScaled(w, bulkMax, bulkMaxDen) <= 0:
		j.hit(valueMuchHigher)
	default:
		j.hit(valueHigh)
	}
}

// worstCase tells where the lowest value that the offered tolerance allows
// lies below the lowest of the original.
func (j *judgement) worstCase() {
	lw, lo := j.w.Tolerance.Low(), j.o.Tolerance.Low()
	if lw.Unit() != quantity.Percent || lo.Unit() != quantity.Percent {
		return
	}
	least, ok1 := lowest100(j.w.Value, lw)
	have, ok2 := lowest100(j.o.Value, lo)
	if ok1 && ok2 && have.Compare(least) < 0 {
		j.hit(worstLow)
	}
}

// lowest100 is the value less its tolerance, given as the lower deviation; false
// where that is no whole percentage.
func lowest100(v, low quantity.Quantity) (quantity.Quantity, bool) {
	down := low.Neg()
	n := whole(down, 0, 0, 100)
	if whole, ok := quantity.New(int64(n), 0, quantity.Percent); !ok || whole != down {
		return quantity.Quantity{}, false
	}
	return v.MulRatio(int64(100-n), 100)
}

func (j *judgement) voltage() {
	w, o := j.w.Voltage, j.o.Voltage
	switch {
	case (j.mains.x || j.mains.y) && j.w.safety == 0 && j.o.safety != 0:
		j.hit(safetyMapWrong) // its class is what counts, not the direct rating of the wrong part
	case w.IsZero() && o.IsZero():
		j.hit(voltageBothUnknown)
	case w.IsZero():
		j.hit(voltageUnasked)
	case o.IsZero():
		j.hit(voltageUnknown)
	case j.w.rms != j.o.rms:
		j.voltageKinds(w, o)
	case o.Compare(w) < 0:
		j.hit(voltageLow)
	case w != o:
		j.voltageAbove(w, o)
	}
}

// peak and peakDen are the root of 2, rounded up.
const peak, peakDen = 99, 70

// voltageKinds compares a direct with an alternating rating by its peak, which
// shows what is too low; what is high enough is not known.
func (j *judgement) voltageKinds(w, o quantity.Quantity) {
	bears, tooLow := w, voltageLow // what the offered rating has to reach as direct voltage, unless the place tells it
	if v := magnitudeOf(j.p.WorkingVoltage); !v.IsZero() && j.o.rms {
		bears, tooLow = v, workingAbove
	}
	low := o.CompareScaled(w, peak, peakDen) < 0
	switch {
	case j.o.safety != 0:
		low = o.CompareScaled(bears, proofDen, proof) < 0
	case j.o.rms:
		low = o.CompareScaled(bears, peakDen, peak) < 0
	}
	if low {
		j.hit(tooLow)
	} else {
		j.hit(voltageKind)
	}
}

// proof is the direct voltage, in times of its rating, that IEC 60384-14 tests X
// and Y parts with for a minute; what they bear for ever is not said.
const proof, proofDen = 43, 10

func (j *judgement) voltageAbove(w, o quantity.Quantity) {
	steps := int(j.o.step - j.w.step)
	j.better(int32(max(1, min(steps, 8))))
	if steps > voltageSteps && j.o.group.electrolytic() {
		j.hit(voltageHigh)
	}
}

// workingVoltage judges the voltage in service. It is a direct voltage, so it
// says nothing of parts with an alternating rating.
func (j *judgement) workingVoltage() {
	v, r := j.p.WorkingVoltage, j.o.Voltage
	risky := j.o.group == mnTantalum || j.o.group == polymerTantalum
	if j.o.rms && !v.IsZero() && !r.IsZero() && magnitudeOf(v).CompareScaled(r, peak, peakDen) > 0 {
		j.hit(workingAbove)
	}
	if v.IsZero() || r.IsZero() || j.o.rms {
		if v.IsZero() && risky && j.w.group != j.o.group {
			j.hit(workingUnknown)
		}
		return
	}
	if v.Sign() < 0 {
		v = v.Neg()
	}
	if v.Compare(r) > 0 {
		j.hit(workingAbove)
	}
	switch j.o.group {
	case mnTantalum:
		j.tantalum(v, r)
	case polymerTantalum:
		m := int64(polymerMargin)
		if r.Compare(tenVolts) <= 0 {
			m = polymerLowMargin
		}
		if v.CompareScaled(r, m, 100) > 0 {
			j.hit(polymerDerating)
		}
	case ceramicGroup, filmGroup, micaGroup:
		if v.CompareScaled(r, dryMargin, 100) > 0 {
			j.hit(marginSmall)
		}
	default:
		if v.CompareScaled(r, wetMargin, 100) > 0 {
			j.hit(marginSmall)
		}
	}
}

// tantalum holds the half of the rating, less above 85 °C: the usable voltage
// falls in a straight line to 2/3 at 125 °C.
func (j *judgement) tantalum(v, r quantity.Quantity) {
	num, den := int64(tantalumMargin), int64(100)
	if t := j.p.RailTemp; !t.IsZero() {
		if d := degrees(t); d > tantalumWarm {
			num, den = num*int64(max(0, 120-(d-tantalumWarm))), den*120
		}
	}
	if v.CompareScaled(r, num, den) <= 0 {
		return
	}
	if j.duty.any(Coupling) && !j.duty.any(supply) {
		j.hit(tantalumCoupling)
	} else {
		j.hit(tantalumDerating)
	}
}

func (j *judgement) polar() {
	w, o := j.w.polarity, j.o.polarity
	switch {
	case w == -1 && o == 1 && j.w.group.nonpolar() && j.duty.any(Decoupling|Bulk) && !j.duty.any(Coupling|tight) &&
		!j.mains.x && !j.mains.y:
		j.hit(polarisedForNonpolar)
	case w == -1 && o == 1:
		j.hit(polarisedInBipolar)
	case w == -1 && o == 0, w == 0 && o == 1:
		j.hit(polarityUnknown)
	case w == 1 && o == -1:
		j.better(2)
	}
	if o == 1 && w == 1 && !j.p.PolarityKnown {
		j.hit(polarityUnmapped)
	}
}
