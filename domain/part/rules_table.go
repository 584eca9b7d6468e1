package part

import "boardlore/domain/finding"

const (
	practice = "common practice"
	stop     = finding.Stop
	caution  = finding.Caution
	note     = finding.Note
)

// ruleID names a row of the table.
type ruleID uint8

const (
	classDiffers ruleID = iota
	classUnknown
	valueUnit
	valueBothUnknown
	valueUnknown
	valueUnasked
	valueDiffers
	valueNeighbour
	varistorHigher
	inductanceDiffers
	valueTight
	oldValue
	oldValueTight
	valueLow
	valueBelow
	valueHigher
	valueMuchHigher
	valueHigh
	valueAsk
	valueCaution
	yLarge
	worstLow
	toleranceTight
	toleranceWider
	toleranceNote
	toleranceUnknown
	toleranceUnknownMatters
	voltageLow
	voltageUnknown
	voltageUnknownNote
	voltageUnasked
	voltageUnaskedNote
	voltageDiffers
	voltageBothUnknown
	voltageKind
	voltageHigh
	workingAbove
	workingUnknown
	marginSmall
	tantalumDerating
	tantalumCoupling
	polymerDerating
	polarisedInBipolar
	polarityUnknown
	polarityUnmapped
	constructionUnasked
	constructionUnknown
	constructionUnknownMatters
	constructionNote
	superDiffers
	polymerLeaks
	polymerShorts
	polymerAsk
	tantalumAsk
	tantalumInrush
	wetForDry
	wetLeaks
	electrolyticTight
	electrolyticForFilm
	ceramicTight
	ceramicCoupling
	ceramicAsk
	ceramicNote
	ceramicRings
	filmTight
	regulatorESR
	biasUnknown
	biasLoses
	biasAsk
	biasEstimated
	dielectricUnknown
	dielectricUnknownMatters
	dielectricUnstable
	dielectricBypass
	dielectricWider
	dielectricWiderBypass
	dielectricSpan
	filmLossy
	filmAsk
	filmNote
	pulseUnknown
	esrHigh
	esrHigher
	esrGeneral
	esrUnknown
	esrUnknownMatters
	esrLow
	esrWindow
	rippleLow
	rippleLower
	rippleUnknown
	rippleUnknownMatters
	temperatureLow
	temperatureUnknown
	railHotter
	heatNearby
	lifeShort
	enduranceShort
	enduranceLess
	enduranceUnknown
	safetyMissing
	safetyUnmapped
	safetyLower
	safetyNeedsY
	safetyMains
	safetyBleeder
	powerLow
	powerUnknown
	powerUnknownMatters
	powerBothUnknown
	currentLow
	currentUnknown
	fusibleMissing
	fusibleUnasked
	flameproofMissing
	wirewoundUnasked
	wirewoundMissing
	resistorDiffers
	resistorUnknown
	thermistorDiffers
	thermistorUnknown
	thermistorBothUnknown
	discSmaller
	taperUnknown
	taperDiffers
	typeSuffix
	typeMissing
	typeUnasked
	typeUnaskedNote
	typeBothUnknown
	typeOther
	typeWrong
	lampVoltage
	lampCurrent
	lampPower
	zenerVoltage
	diodeKind
	diodeKindUnknown
	relayVoltage
	transformerVoltage
	fuseLarger
	fuseSmaller
	fuseUnknown
	fuseUnasked
	fuseBothUnknown
	speedSlower
	speedFaster
	speedUnknown
	speedUnasked
	speedBothUnknown
	breakingLow
	breakingUnknown
	breakingUnasked
	breakingBothUnknown
	fuseStandard
	fusePigtail
	fuseThermal
	fuseSizeDiffers
	fuseSizeUnknown
	fuseSizeUnasked
	cellVoltageDiffers
	cellVoltageNear
	primaryCharged
	primaryMapped
	chargedInPrimary
	chargeUnknown
	chargeUnasked
	chargeBothUnknown
	chargeChemistry
	chemistryDiffers
	chemistryUnknown
	tabsMissing
	tabsUnasked
	cellSizeDiffers
	cellSizeUnknown
	cellSizeUnasked
	cellSizeBothUnknown
	mountDiffers
	mountBent
	mountUnknown
	shapeDiffers
	chipDiffers
	chipUnknown
	thicker
	diameterUnknown
	canDiffers
	canSmaller
	longer
	wider
	pitchDiffers
	pitchFormed
	pitchNear
	pitchGuessed
	pitchUnknown
	tooHigh
	taller
	ventTight
	ventClose
	heightUnknown
	ruleCount
)

// hazards stay as grave where the wanted part has the same fault: the map then
// contradicts itself, and the person at the bench must not be the one to pay.
var hazards = setOf(workingAbove, primaryMapped, safetyUnmapped)

// stops are the rules that forbid a part.
var stops = func() (s ruleSet) {
	for id := range ruleID(len(rules)) {
		if rules[id].severity == stop {
			s[id/64] |= 1 << (id % 64)
		}
	}
	return s
}()

func setOf(ids ...ruleID) (s ruleSet) {
	for _, id := range ids {
		s[id/64] |= 1 << (id % 64)
	}
	return s
}

// rules is the table. Each row stands alone; what they compare is in the
// functions that name them.
var rules = [ruleCount]rule{
	classDiffers: {"class-differs", stop, costStop, ofClass, "equal class", practice,
		"The position takes a part of class {want} and this is {have}: do not fit."},
	classUnknown: {"class-unknown", note, costNote, ofClass, "class known", practice,
		"Neither part has a class, so hardly anything can be judged: say what it is."},

	valueUnit: {"value-unit", stop, costStop, ofValue, "same unit", practice,
		"The value asked for is {want} and the part's is {have}, another quantity: do not fit; one of the two was misread."},
	valueBothUnknown: {"value-unknown", note, costNote, ofNothing, "both values known", practice,
		"Neither the position's nor the part's value is known, so the value is not judged: measure or look it up."},
	valueUnknown: {"value-unknown", caution, costDoubt, ofValue, "value of the part known", practice,
		"The position takes {want} and this part's value is unknown: read it off the part before fitting."},
	valueUnasked: {"value-unasked", caution, costCaution, ofValue, "value of the position known", practice,
		"The position's value is unknown and the part has {have}: compare it with the original part."},
	valueDiffers: {"value-differs", stop, costStop, ofValue, "equal value", "common practice; IEC 60063 for preferred values",
		"The position takes {want} and this part is {have}: do not fit; take {want}."},
	valueNeighbour: {"value-neighbour", caution, costCaution, ofValue, "0.8 to 1.25 times, one step of the E12 series", practice,
		"The position takes {want} and this part is {have}, the next value: it may do here, but check what it sets."},
	varistorHigher: {"varistor-higher", caution, costCaution, ofValue, "up to 1.1 times the voltage", practice,
		"The varistor asked for is {want} and this one is {have}: it protects later; check what stands behind it."},
	inductanceDiffers: {"inductance-differs", caution, costCaution, ofValue, "0.8 to 1.5 times in supply filters", practice,
		"The coil asked for has {want} and this one {have}: it may do in a supply filter; check current and size."},

	valueTight: {"capacitance-differs", stop, costStop, ofValue, "equal value in timing, oscillator, filter, reset, hold, snubber and motor circuits", practice,
		"The position ({function}) takes exactly {want} and this part is {have}: do not fit; the time or frequency would be wrong."},
	oldValue: {"capacitance-old-value", note, costValue, ofValue, "the modern neighbour of an old rating", practice,
		"{have} is the value sold today for the old rating {want}: it suits here."},
	oldValueTight: {"capacitance-old-value", caution, costCaution, ofValue, "the modern neighbour of an old rating where the value is critical or the function unknown", practice,
		"{have} is the value sold today for the old rating {want}; measure the old part first, since the function ({function}) may need the exact value."},
	valueLow: {"capacitance-low", stop, costStop, ofValue, "coupling and unknown functions 1 times, supply and mains filters 0.8 times the original", practice,
		"The position ({function}) takes {want} and this part has only {have}: do not fit; take {want}."},
	valueBelow: {"capacitance-below", caution, costCaution, ofValue, "0.8 to 1 times in supply positions", practice,
		"The position takes {want} and this part has {have}: within what old parts were sold with, but the ripple grows; {want} is better."},
	valueHigher: {"capacitance-higher", note, costValue, ofValue, "coupling to 2 times, supply positions to 1.5 times the original", practice,
		"This part has {have} where {want} is asked for: more is fine here within this limit."},
	valueMuchHigher: {"capacitance-higher", caution, costCaution, ofValue, "supply positions above 1.5 to 2 times the original", practice,
		"This part has {have} where {want} is asked for: check inrush, rectifier and regulator start before fitting."},
	valueHigh: {"capacitance-high", stop, costStop, ofValue, "more than 2 times (unknown function and mains filters: 1.5 times) the original", practice,
		"This part has {have} where {want} is asked for, too much for this position ({function}): do not fit; take {want}."},
	valueAsk: {"capacitance-function-unknown", caution, costDoubt, ofValue, "1 to 1.5 times where the function is unknown", practice,
		"This part has {have} where {want} is asked for, and what the position does is unknown: more is fine in a supply and wrong in a timing circuit; find out first."},
	valueCaution: {"capacitance-suppression", caution, costCaution, ofValue, "mains filters 0.8 to 1.5 times, to earth at most 1.2 times the original", practice,
		"This part has {have} where {want} is asked for: the mains filter changes a little; {want} is better."},
	yLarge: {"y-capacitance-high", stop, costStop, ofValue, "1.2 times the original", "common practice: leakage current limits of equipment standards",
		"A part from mains to earth may not grow: {want} is asked for and this is {have}; the leakage current would rise. Do not fit."},
	worstLow: {"capacitance-worst-case", note, costNote, ofTolerance, "lowest value within tolerance not below that of the original", "arithmetic",
		"At the low end of its tolerance ({have}) this part falls below the lowest that the original ({want}) could have."},

	toleranceTight: {"tolerance-wide", stop, costStop, ofTolerance, "no wider than the original in timing, oscillator, filter, reset and hold circuits", practice,
		"The position ({function}) takes {want} and this part only holds {have}: do not fit; take {want} or closer."},
	toleranceWider: {"tolerance-wide", caution, costCaution, ofTolerance, "no wider than the original", practice,
		"The position takes {want} and this part only holds {have}: fit it only where the value is not critical."},
	toleranceNote: {"tolerance-wide", note, costNote, ofTolerance, "no wider than the original", practice,
		"The original held {want} and this part {have}; it hardly matters here."},
	toleranceUnknown: {"tolerance-unknown", note, costNote, ofTolerance, "tolerance of the part known", practice,
		"The original held {want}; this part's tolerance is unknown."},
	toleranceUnknownMatters: {"tolerance-unknown", caution, costCaution, ofTolerance, "known where the value is critical or the original closer than ±10 %", practice,
		"The position takes {want} and this part's tolerance is unknown: look it up or measure the part."},

	voltageLow: {"voltage-low", stop, costStop, ofVoltage, "rating not below the original's", "common practice; makers' guidelines on applied voltage",
		"The position takes {want} and this part is only rated {have}: do not fit, even if less is measured in the circuit; take {want} or more."},
	voltageUnknown: {"voltage-unknown", caution, costDoubt, ofVoltage, "rating of the part known", practice,
		"The position takes {want} and this part's voltage rating is unknown: read it off the part before fitting."},
	voltageUnknownNote: {"voltage-unknown", note, costNote, ofVoltage, "rating of the part known", practice,
		"The position takes {want} and this part's voltage rating is unknown."},
	voltageUnasked: {"voltage-unasked", caution, costCaution, ofVoltage, "rating of the position known", practice,
		"The position's voltage rating is unknown and the part has {have}: read the original part."},
	voltageUnaskedNote: {"voltage-unasked", note, costNote, ofVoltage, "rating of the position known", practice,
		"The position's voltage rating is unknown and the part has {have}: enough for mains up to 250 V."},
	voltageDiffers: {"voltage-differs", caution, costCaution, ofVoltage, "equal voltage where it is not only a limit", practice,
		"The position takes {want} and this part is for {have}: find out whether that is a limit or what it works at."},
	voltageBothUnknown: {"voltage-unknown", note, costNote, ofNothing, "both ratings known", practice,
		"Neither the position's nor the part's voltage is known, so it is not judged: read both parts."},
	voltageKind: {"voltage-kind", caution, costDoubt, ofVoltage, "alternating ratings compare with alternating ratings only; their peak is 1.414 times as high", "makers' film capacitor guidelines",
		"One of {want} and {have} is an alternating rating and the other a direct one: they cannot be compared; look up the rating of the right kind."},
	voltageHigh: {"voltage-much-higher", note, costNote, ofVoltage, "up to 2 steps of the row 6.3 10 16 25 35 50 63 80 100 160 200 250 350 400 450 V", practice,
		"This part is rated {have} where {want} is asked for: allowed, but check size and series resistance."},
	workingAbove: {"working-voltage-above-rating", stop, costStop, ofWorking, "working voltage not above the rating", "makers' guidelines on applied voltage",
		"{want} stands across this position in service and the part is rated {have}: do not fit."},
	workingUnknown: {"working-voltage-unknown", caution, costCaution, ofWorking, "working voltage known where tantalum replaces another kind", "makers' tantalum derating guidelines",
		"A tantalum part may only see part of its rating ({have}) and the working voltage is unknown: measure it first."},
	marginSmall: {"voltage-margin-small", note, costNone, ofWorking, "working voltage up to 80 % of the rating, ceramic and film 75 %", "common practice; summary of NAVSO P-3641A",
		"{want} in service is close to the rating of {have}: it works, but a higher rating lives longer."},
	tantalumDerating: {"tantalum-derating", stop, costStop, ofWorking, "working voltage up to 50 % of the rating, less above 85 °C in a line to 2/3 at 125 °C", "makers' tantalum derating guidelines",
		"{want} in service is more than half of the {have} that this tantalum part is rated, and it may short and burn: do not fit; take twice the working voltage or another construction."},
	tantalumCoupling: {"tantalum-derating", caution, costCaution, ofWorking, "working voltage up to 50 % of the rating", "makers' tantalum derating guidelines",
		"{want} in service is more than half of the {have} that this tantalum part is rated: tolerable where the current is limited; a higher rating is better."},
	polymerDerating: {"polymer-derating", stop, costStop, ofWorking, "working voltage up to 90 % of ratings to 10 V, 80 % above", "makers' tantalum polymer derating guidelines",
		"{want} in service is too close to the {have} that this tantalum polymer part is rated: do not fit; take a higher rating."},

	polarisedInBipolar: {"polarised-in-bipolar", stop, costStop, ofPolarity, "a bipolar part where one is asked for", "makers' guidelines on aluminium electrolytic capacitors",
		"The position takes a bipolar part and this one is {have}: do not fit; reversed voltage destroys it."},
	polarityUnknown: {"polarity-unknown", caution, costDoubt, ofPolarity, "polarised or bipolar known on both sides", practice,
		"The position's part is {want}, the offered one {have}: find out whether it is bipolar before fitting."},
	polarityUnmapped: {"polarity-unmapped", note, costNone, ofNothing, "the map says where the negative lead goes", "common practice; makers' data sheets differ in what the bar marks",
		"The part is polarised and the map does not say which way round it goes: note the old part's marking before desoldering."},

	constructionUnasked: {"construction-unasked", note, costNote, ofConstruction, "construction of the position known", practice,
		"The position's construction is unknown and this part is {have}: compare it with the original."},
	constructionUnknown: {"construction-unknown", note, costNote, ofConstruction, "construction of the part known", practice,
		"The position takes {want} and this part's construction is unknown: look before fitting."},
	constructionUnknownMatters: {"construction-unknown", caution, costCaution, ofConstruction, "construction known in coupling, timing, filter, regulator and switching positions", practice,
		"The position ({function}) takes {want} and this part's construction is unknown: it matters here; look it up."},
	constructionNote: {"construction-differs", note, costValue, ofConstruction, "another construction that does the same work here", practice,
		"This part is {have} where {want} is asked for: fine here if the other findings are."},
	superDiffers: {"supercapacitor-differs", stop, costStop, ofConstruction, "supercapacitor for supercapacitor only", practice,
		"The position takes {want} and this part is {have}: do not fit; a supercapacitor has far more resistance and far less voltage."},
	polymerLeaks: {"polymer-leakage", stop, costStop, ofConstruction, "no polymer in coupling, timing, filter, reset and hold circuits", "makers' application guidelines for conductive polymer",
		"This part is {have} and the position ({function}) takes {want}: polymer leaks too much here; do not fit."},
	polymerShorts: {"polymer-fails-short", note, costValue, ofConstruction, "polymer in supply positions", practice,
		"This part is {have} where {want} is asked for: fine in a supply, but it fails as a short, so a fuse or limiter should stand before it."},
	polymerAsk: {"polymer-function-unknown", caution, costCaution, ofConstruction, "function known", practice,
		"This part is {have} where {want} is asked for and the function is unknown or unusual: fine in a supply, wrong in coupling and timing; find out first."},
	tantalumAsk: {"tantalum-function-unknown", caution, costCaution, ofConstruction, "function known", practice,
		"This part is {have} where {want} is asked for and the function is unknown: a tantalum part may burn on a stiff supply; find out first."},
	tantalumInrush: {"tantalum-inrush", caution, costDoubt, ofConstruction, "no tantalum for aluminium where a supply comes in", "published studies of surge failures in tantalum capacitors",
		"This part is {have} where {want} is asked for and a supply comes in here: the inrush may short and light it; take the original kind."},
	wetForDry: {"series-resistance-higher", caution, costCaution, ofConstruction, "series resistance known on both sides", practice,
		"This part is {have} where {want} is asked for: its series resistance is likely higher; compare both before fitting."},
	wetLeaks: {"leakage-higher", caution, costCaution, ofConstruction, "as little leakage as the original in timing circuits", practice,
		"This part is {have} where {want} is asked for and the position ({function}) needs little leakage: check it after fitting."},
	electrolyticTight: {"electrolytic-for-film", stop, costStop, ofConstruction, "no electrolytic for film, ceramic or mica in critical circuits", practice,
		"The position ({function}) takes {want} and this part is {have}: do not fit; it leaks and drifts."},
	electrolyticForFilm: {"electrolytic-for-film", caution, costDoubt, ofConstruction, "film, ceramic or mica for film, ceramic or mica", practice,
		"The position takes {want} and this part is {have}: it leaks, drifts and ages; use it only if you know that it may."},
	ceramicTight: {"ceramic-unstable", stop, costStop, ofConstruction, "class 1 ceramic only in critical circuits", "EIA 198 limits of class 2",
		"The position ({function}) takes {want} and this ceramic part is not known to be class 1 (C0G): do not fit; it drifts with heat and voltage."},
	ceramicCoupling: {"ceramic-coupling", caution, costCaution, ofConstruction, "class 1 ceramic in signal paths", practice,
		"This part is {have} in a signal path that takes {want}: class 2 ceramic distorts and picks up vibration; film or an electrolytic is better."},
	ceramicAsk: {"ceramic-function-unknown", caution, costCaution, ofConstruction, "function known", practice,
		"This part is {have} where {want} is asked for and the function is unknown: class 2 ceramic is fine for bypass and wrong in timing and signal paths; find out first."},
	ceramicNote: {"ceramic-for-stable", caution, costCaution, ofConstruction, "the original dielectric in critical circuits", practice,
		"This part is {have} where {want} is asked for: check temperature coefficient and voltage."},
	ceramicRings: {"ceramic-rings", caution, costCaution, ofConstruction, "no bare ceramic where a supply is plugged in", "makers' application notes, from memory",
		"This part is {have} where {want} is asked for and a supply comes in here: it may ring to twice the supply; add damping or keep the original kind."},
	filmTight: {"film-for-stable", caution, costCaution, ofConstruction, "the original dielectric in critical circuits", practice,
		"This part is {have} where {want} is asked for in a critical circuit ({function}): check its temperature coefficient."},
	regulatorESR: {"regulator-esr-low", stop, costStop, ofConstruction, "series resistance 0.3 to 22 Ω at a low-drop regulator's output", "LM1117 data sheet",
		"This part is {have} at a regulator's output that had {want}: with so little series resistance the regulator may oscillate; do not fit unless its data sheet allows it."},
	biasUnknown: {"dc-bias-unknown", caution, costCaution, ofWorking, "working voltage, rating and both values known", "makers' replacement guides for ceramic capacitors",
		"Class 2 ceramic loses capacitance to the voltage across it, and working voltage ({place}) or rating ({have}) is unknown: find both before fitting."},
	biasLoses: {"dc-bias-loss", caution, costCaution, ofWorking, "0.8 of the original left, 50 % assumed at half the rating", "makers' replacement guides for ceramic capacitors",
		"At {want} this {have} class 2 part may keep less than 0.8 of the capacitance asked for: look at its curve, or take more capacitance or voltage."},
	biasAsk: {"dc-bias-estimated", caution, costCaution, ofWorking, "an eighth of the rating; above it small chips lose more than the rule of thumb says", "makers' replacement guides and curves for ceramic capacitors",
		"At {want} this {have} class 2 part should keep enough capacitance by the rule of thumb, but small ones lose far more: look at its curve."},
	biasEstimated: {"dc-bias-estimated", note, costNote, ofWorking, "0.8 of the original left, up to an eighth of the rating", "makers' replacement guides for ceramic capacitors",
		"At {want} this {have} class 2 part should keep enough capacitance by the rule of thumb; its curve was not looked at."},

	dielectricUnknown: {"dielectric-unknown", note, costNote, ofDielectric, "dielectric of the part known", practice,
		"The position takes {want} and this part's dielectric is unknown."},
	dielectricUnknownMatters: {"dielectric-unknown", caution, costCaution, ofDielectric, "dielectric known where it matters", practice,
		"The position takes {want} and this part's dielectric is unknown: look it up."},
	dielectricUnstable: {"dielectric-class", stop, costStop, ofDielectric, "class 1 for class 1", "EIA 198 limits of class 2",
		"The position takes {want} and this part is {have}: do not fit; its value drifts with heat and voltage."},
	dielectricBypass: {"dielectric-class", caution, costCaution, ofDielectric, "class 1 for class 1", "EIA 198 limits of class 2",
		"The position takes {want} and this part is {have}: tolerable for bypass only."},
	dielectricWider: {"dielectric-wider", stop, costStop, ofDielectric, "change over temperature no wider than the original's", "EIA 198 class 2 symbols",
		"The position takes {want} and this part is {have}, whose value changes more with heat: do not fit."},
	dielectricWiderBypass: {"dielectric-wider", caution, costCaution, ofDielectric, "tolerable among codes of more than 30 % change in supply positions", "EIA 198 class 2 symbols",
		"The position takes {want} and this part is {have}, whose value changes more still with heat: tolerable for bypass only."},
	dielectricSpan: {"dielectric-temperature", stop, costStop, ofDielectric, "temperature span covers the original's", "EIA 198 class 2 symbols",
		"The position takes {want} and this part is {have}, which is not specified over the same temperatures: do not fit."},
	filmLossy: {"film-lossy", stop, costStop, ofDielectric, "polypropylene for polypropylene in pulse, tuned and crossover circuits", practice,
		"The position ({function}) takes {want} and this part is {have}: do not fit; it heats up."},
	filmAsk: {"film-dielectric", caution, costCaution, ofDielectric, "equal dielectric where the circuit is critical or unknown", practice,
		"The position takes {want} and this part is {have}: check whether the circuit needs the original dielectric."},
	filmNote: {"film-dielectric", note, costNote, ofDielectric, "equal dielectric", practice,
		"The position takes {want} and this part is {have}: it hardly matters here."},
	pulseUnknown: {"pulse-rating-unknown", note, costNone, ofNothing, "dV/dt not below the original's", practice,
		"The position takes pulses and the parts' dV/dt is not recorded: compare the data sheets."},

	esrHigh: {"esr-high", stop, costStop, ofESR, "not above the original's in switching supplies, snubbers and low-impedance positions", "makers' guidelines on ripple current",
		"The position takes at most {want} series resistance and this part has {have}: do not fit; it heats up."},
	esrHigher: {"esr-high", caution, costCaution, ofESR, "not above the original's", "makers' guidelines on ripple current",
		"The original has {want} series resistance and this part {have}: check the ripple in this position."},
	esrGeneral: {"esr-general-purpose", stop, costStop, ofESR, "a low-impedance series in switching supplies and low-impedance positions", practice,
		"The position takes a low-impedance part and this one is a general-purpose type: do not fit."},
	esrUnknown: {"esr-unknown", note, costNote, ofESR, "series resistance of the part known", practice,
		"The original has {want} series resistance; this part's is unknown."},
	esrUnknownMatters: {"esr-unknown", caution, costCaution, ofESR, "series resistance known in switching supplies, snubbers and low-impedance positions", practice,
		"The position takes a low-impedance part ({want}) and nothing is known of this one's series resistance: look it up."},
	esrLow: {"esr-low", caution, costCaution, ofESR, "0.3 Ω or more at a low-drop regulator's output", "LM1117 data sheet",
		"This part's series resistance ({have}) is low for the output of an older regulator, which may oscillate: look at its data sheet."},
	esrWindow: {"regulator-esr-high", caution, costCaution, ofESR, "up to 22 Ω at a low-drop regulator's output", "LM1117 data sheet",
		"This part's series resistance ({have}) is high for the output of a regulator, which may oscillate: look at its data sheet."},
	rippleLow: {"ripple-low", stop, costStop, ofRipple, "not below the original's in supplies", "makers' guidelines on ripple current",
		"The position takes {want} of ripple current and this part only {have}: do not fit."},
	rippleLower: {"ripple-low", caution, costCaution, ofRipple, "not below the original's, both at one frequency", "makers' guidelines on ripple current",
		"The original takes {want} of ripple current and this part only {have}; check that both are given at the same frequency."},
	rippleUnknown: {"ripple-unknown", note, costNote, ofRipple, "ripple rating of the part known", practice,
		"The original takes {want} of ripple current; this part's rating is unknown."},
	rippleUnknownMatters: {"ripple-unknown", caution, costCaution, ofRipple, "ripple rating known in supplies", practice,
		"The position takes {want} of ripple current and this part's rating is unknown: look it up."},

	temperatureLow: {"temperature-low", stop, costStop, ofTemperature, "rating not below the original's", "10-degree rule of makers' technical notes",
		"The position takes a part for {want} and this one is for {have} only: do not fit; it dries out or fails early."},
	temperatureUnknown: {"temperature-unknown", caution, costCaution, ofTemperature, "temperature rating of the part known", practice,
		"The position takes a part for {want} and this one's temperature rating is unknown: read it off the part."},
	railHotter: {"place-too-hot", stop, costStop, ofRailTemp, "rating not below the temperature at the place", practice,
		"It gets {want} hot here and the part is for {have} only: do not fit."},
	heatNearby: {"heat-nearby", note, costNote, ofTemperature, "105 °C near heat", practice,
		"The place is sensitive to heat and this part is rated {have}: a 105 °C type lasts longer."},
	lifeShort: {"life-short", caution, costCaution, ofEndurance, "5 years at the place's temperature", "10-degree rule of makers' technical notes (polymer: tenfold in 20 degrees)",
		"At {temp} this part ({have}) is estimated to last under 5 years of service: take one with more hours or a higher temperature."},
	enduranceShort: {"endurance-short", caution, costCaution, ofEndurance, "half the original's life at equal temperature", "10-degree rule of makers' technical notes",
		"The original is good for {want} and this part for {have}, less than half as long at equal temperature: take a longer-lived one."},
	enduranceLess: {"endurance-less", note, costNote, ofEndurance, "the original's life at equal temperature", "10-degree rule of makers' technical notes",
		"The original is good for {want} and this part for {have}, somewhat less at equal temperature."},
	enduranceUnknown: {"endurance-unknown", note, costNote, ofEndurance, "endurance of the part known", practice,
		"The original is good for {want}; this part's endurance is unknown."},

	safetyMissing: {"safety-class-missing", stop, costStop, ofSafety, "a part with class and approval marks", "IEC 60384-14; makers' pages on safety capacitors",
		"The position takes a class {want} safety part and this one has no class: never fit it, at any voltage rating."},
	safetyUnmapped: {"safety-class-missing", stop, costStop, ofSafety, "a part with class and approval marks across the mains or to earth", "IEC 60384-14; makers' pages on safety capacitors",
		"The position ({function}) lies at the mains and this part has no safety class: never fit it, at any voltage rating."},
	safetyLower: {"safety-class-differs", stop, costStop, ofSafety, "X1 for X2, Y1 for Y2, Y for X at equal voltage; never X for Y", "IEC 60384-14; makers' pages on safety capacitors",
		"The position takes class {want} and this part is class {have}, which may not stand there: do not fit."},
	safetyNeedsY: {"safety-class-differs", stop, costStop, ofSafety, "a Y part to earth", "IEC 60384-14; makers' pages on safety capacitors",
		"The position ({function}) leads to earth and this part is class {have}: only a Y part may stand there; do not fit."},
	safetyMains: {"safety-voltage-low", caution, costDoubt, ofVoltage, "250 V alternating on 230 V mains", practice,
		"This safety part is rated {have}, too little for 230 V mains: fit it only in equipment for 120 V."},
	safetyBleeder: {"bleeder-needed", caution, costCaution, ofValue, "100 nF", "equipment standards, from memory",
		"Above 100 nF a part across the mains needs a bleeder resistor, and the original {want} may have had none: check before fitting {have}."},

	powerLow: {"power-low", stop, costStop, ofPower, "rating not below the original's", practice,
		"The position takes {want} and this part only {have}: do not fit; it overheats."},
	powerUnknown: {"power-unknown", note, costNote, ofPower, "power rating of the part known", practice,
		"The position takes {want} and this part's power rating is unknown."},
	powerUnknownMatters: {"power-unknown", caution, costCaution, ofPower, "known where the original has 0.5 W or more", practice,
		"The position takes {want} and this part's power rating is unknown: compare the bodies."},
	powerBothUnknown: {"power-unknown", note, costNote, ofNothing, "both ratings known", practice,
		"Neither power rating is known: take a body at least as large as the original's."},
	currentLow: {"current-low", stop, costStop, ofCurrent, "rating not below the original's", practice,
		"The position takes {want} and this part only {have}: do not fit; it overheats."},
	currentUnknown: {"current-unknown", caution, costCaution, ofCurrent, "current rating of the part known", practice,
		"The position takes {want} and this part's current rating is unknown: look it up."},
	fusibleMissing: {"fusible-missing", stop, costStop, ofText, "fusible for fusible", "VDE text on IEC 60127-8; makers' notes",
		"The position takes a fusible resistor and this one is not known to be: do not fit; it would burn instead of opening."},
	fusibleUnasked: {"fusible-unasked", caution, costCaution, ofText, "fusible only where asked for", practice,
		"This resistor is fusible and the position does not ask for it: it may open under a load that the original bore."},
	flameproofMissing: {"flameproof-missing", stop, costStop, ofText, "flameproof for flameproof", "common practice; makers' notes",
		"The position takes a flameproof resistor and this one is not known to be: do not fit."},
	wirewoundUnasked: {"wirewound", note, costNote, ofConstruction, "wirewound only where asked for", practice,
		"This resistor is wirewound and has inductance: fine in supplies, not in signal circuits."},
	wirewoundMissing: {"wirewound-missing", caution, costCaution, ofConstruction, "wirewound for wirewound", practice,
		"The position takes a wirewound resistor and this one is {have}: it may not bear the pulses; compare the data sheets."},
	resistorDiffers: {"resistor-kind", note, costNote, ofConstruction, "equal construction", practice,
		"The position's resistor is {want} and this one {have}: it seldom matters, but noise and drift differ."},
	resistorUnknown: {"resistor-kind-unknown", note, costNote, ofConstruction, "construction of the resistor known", practice,
		"The position's resistor is {want}; this one's construction is unknown."},
	thermistorDiffers: {"thermistor-kind", stop, costStop, ofKind, "NTC for NTC, PTC for PTC", practice,
		"The position takes an {want} thermistor and this is a {have}, which works the other way: do not fit."},
	thermistorUnknown: {"thermistor-kind-unknown", caution, costDoubt, ofKind, "NTC or PTC known on both sides", practice,
		"The position's thermistor is {want} and this one {have}: find out whether both fall or rise with heat before fitting."},
	thermistorBothUnknown: {"thermistor-kind-unknown", note, costNote, ofNothing, "NTC or PTC known on both sides", practice,
		"Neither thermistor is said to be NTC or PTC: find out."},
	discSmaller: {"disc-smaller", caution, costDoubt, ofDiameter, "not more than 1 mm below the original's", "makers' tables: the disc's size sets surge and energy",
		"The original's disc is {want} wide and this one {have}: it bears less surge; compare the data sheets before fitting."},
	taperUnknown: {"taper-unknown", caution, costCaution, ofText, "law of the track known", practice,
		"The position takes a potentiometer of a given law ({want}) and this one's is unknown: measure at the middle."},
	taperDiffers: {"taper-differs", stop, costStop, ofText, "equal law of the track", practice,
		"The position takes another law of the track ({want}) than this potentiometer has ({have}): do not fit."},
	typeSuffix: {"type-suffix", caution, costCaution, ofText, "equal type number", practice,
		"The types {want} and {have} differ in the ending: check case, grade and pins."},
	typeMissing: {"type-unknown", caution, costDoubt, ofText, "type number of the part known", practice,
		"The position takes type {want} and this part's type is unknown: read it off the part."},
	typeUnasked: {"type-unasked", caution, costCaution, ofText, "type number of the position known", practice,
		"The position's type is unknown and this part is {have}: compare it with the original part."},
	typeUnaskedNote: {"type-unasked", note, costNote, ofText, "type number of the position known", practice,
		"The position's type is unknown and this part is {have}: its ratings are enough, but compare it with the original part."},
	typeBothUnknown: {"type-unknown", note, costNote, ofNothing, "both type numbers known", practice,
		"Neither the position's nor the part's type number is known, so it is not judged: read both parts."},
	typeOther: {"type-differs", caution, costDoubt, ofText, "equal type number", practice,
		"The position takes type {want} and this part is {have}: compare the data sheets before fitting."},
	typeWrong: {"type-differs", stop, costStop, ofText, "equal type number", practice,
		"The position takes type {want} and this part is {have}: do not fit; if it is an equivalent, the map can name it as the replacement."},
	lampVoltage: {"lamp-voltage", caution, costCaution, ofVoltage, "equal voltage", practice,
		"The position takes a {want} lamp and this one is for {have}: the brightness differs."},
	lampCurrent: {"lamp-current", caution, costCaution, ofCurrent, "not above the original's", practice,
		"The position's lamp takes {want} and this one {have}: what feeds it and what stands around it may get too hot."},
	lampPower: {"lamp-power", caution, costCaution, ofPower, "not above the original's", practice,
		"The position's lamp takes {want} and this one {have}: what feeds it and what stands around it may get too hot."},
	zenerVoltage: {"zener-voltage", stop, costStop, ofVoltage, "equal voltage of Zener and suppressor diodes", practice,
		"The position takes a diode that holds {want} and this one holds {have}: do not fit."},
	diodeKind: {"diode-kind", stop, costStop, ofKind, "Zener for Zener, light for light, bridge for bridge", practice,
		"The position's diode is {want} and this one {have}: do not fit; they do different work."},
	diodeKindUnknown: {"diode-kind-unknown", caution, costDoubt, ofKind, "Zener, Schottky, suppressor, light-emitting, variable-capacitance or bridge known on both sides", practice,
		"The position's diode is {want} and this one {have}: compare the data sheets before fitting."},
	relayVoltage: {"relay-voltage", stop, costStop, ofVoltage, "equal coil voltage; what is up to 60 V counts as the coil's", practice,
		"The position takes a {want} relay and this one is for {have}: it would not pull in, or burn its coil; do not fit."},
	transformerVoltage: {"transformer-voltage", stop, costStop, ofVoltage, "equal voltage", practice,
		"The position takes a {want} transformer and this one gives {have}: do not fit."},

	fuseLarger: {"fuse-current-high", stop, costStop, ofCurrent, "equal rated current", practice,
		"The position takes a {want} fuse and this one is {have}: never fit a larger one; it may let the equipment burn."},
	fuseSmaller: {"fuse-current-low", caution, costCaution, ofCurrent, "equal rated current", practice,
		"The position takes a {want} fuse and this one is {have}: it will blow early; use it only to test."},
	fuseUnknown: {"fuse-current-unknown", caution, costDoubt, ofCurrent, "rated current of the fuse known", practice,
		"The position takes a {want} fuse and this one's current is unknown: read it off the cap."},
	fuseUnasked: {"fuse-current-unasked", caution, costDoubt, ofCurrent, "rated current of the position known", practice,
		"The position's fuse current is unknown and this fuse is {have}: look for the print at the holder."},
	fuseBothUnknown: {"fuse-current-unknown", note, costNote, ofNothing, "both currents known", practice,
		"Neither fuse current is known, so it is not judged: look for the print at the holder."},
	speedSlower: {"fuse-slower", stop, costStop, ofSpeed, "equal characteristic", "IEC 60127-1 letters; common practice",
		"The position takes a fuse of characteristic {want} and this one is {have}, slower: do not fit; it protects too late."},
	speedFaster: {"fuse-faster", caution, costCaution, ofSpeed, "equal characteristic", "IEC 60127-1 letters; common practice",
		"The position takes a fuse of characteristic {want} and this one is {have}, faster: it will blow at switch-on; use it only to test."},
	speedUnknown: {"fuse-speed-unknown", caution, costCaution, ofSpeed, "characteristic of the fuse known", practice,
		"The position takes a fuse of characteristic {want} and this one's is unknown: read it off the cap."},
	speedUnasked: {"fuse-speed-unasked", caution, costCaution, ofSpeed, "characteristic of the position known", practice,
		"The position's fuse characteristic is unknown and this fuse is {have}: look for the print at the holder."},
	speedBothUnknown: {"fuse-speed-unknown", note, costNote, ofNothing, "both characteristics known", practice,
		"Neither fuse characteristic is known: look for the print at the holder."},
	breakingLow: {"breaking-capacity-low", stop, costStop, ofBreaking, "H for H; H may stand for L", "makers' data sheets: L 35 A or ten times the current, H 1500 A at 250 V",
		"The position takes breaking capacity {want} and this fuse has {have}: do not fit; it may burst."},
	breakingUnknown: {"breaking-capacity-unknown", caution, costDoubt, ofBreaking, "breaking capacity known where H is asked for", "makers' data sheets: L 35 A or ten times the current, H 1500 A at 250 V",
		"The position takes breaking capacity {want} and this fuse's is unknown: look for the letter on the cap."},
	breakingUnasked: {"breaking-capacity-unasked", note, costNote, ofBreaking, "breaking capacity of the position known", "makers' data sheets: L 35 A or ten times the current, H 1500 A at 250 V",
		"The position's breaking capacity is unknown and this fuse has {have}: at the mains look at the original's letter first."},
	breakingBothUnknown: {"breaking-capacity-unknown", note, costNote, ofNothing, "both breaking capacities known", "makers' data sheets: L 35 A or ten times the current, H 1500 A at 250 V",
		"Neither breaking capacity is known: look for the letter on the cap; glass is mostly L."},
	fuseStandard: {"fuse-standard", caution, costCaution, ofText, "both to IEC 60127 or both to UL 248-14", "UL 248-14 opens at 1.35 times the rating, IEC 60127 holds 1.5 times",
		"One fuse is rated to UL 248-14 and the other is not said to be: equal numbers are not equal ratings; ask the maker."},
	fusePigtail: {"fuse-leads", caution, costCaution, ofText, "leaded for leaded", practice,
		"One of the fuses has leads and the other is not said to: never solder to the caps of a fuse."},
	fuseThermal: {"fuse-thermal", stop, costStop, ofTemperature, "thermal fuse of equal temperature", practice,
		"A thermal fuse takes the place of a thermal fuse of equal temperature only ({want} against {have}): do not fit."},
	fuseSizeDiffers: {"fuse-size", stop, costStop, ofSize, "5 x 20 and 6.3 x 32 never interchange", "IEC 60127-2",
		"The holder takes {want} and this fuse measures {have}: it does not fit."},
	fuseSizeUnknown: {"fuse-size-unknown", caution, costCaution, ofSize, "size of the fuse known", practice,
		"The holder takes {want} and this fuse's size is unknown: measure it."},
	fuseSizeUnasked: {"fuse-size-unknown", note, costNote, ofSize, "size of the position's fuse known", practice,
		"The size of the position's fuse is unknown and this one measures {have}: look at the holder."},

	cellVoltageDiffers: {"cell-voltage", stop, costStop, ofVoltage, "within 0.2 V", practice,
		"The position takes a {want} cell and this one has {have}: do not fit."},
	cellVoltageNear: {"cell-voltage-near", note, costNote, ofVoltage, "within 0.2 V", practice,
		"The position takes a {want} cell and this one has {have}: near enough."},
	primaryCharged: {"primary-where-charged", stop, costStop, ofCharge, "a rechargeable cell where the circuit charges it", "makers' safety instructions for lithium cells",
		"The position holds a rechargeable cell and this one is a primary cell: never fit it; charged, it leaks, bursts or burns. Cut the charging path first, or take a rechargeable one."},
	primaryMapped: {"primary-where-charged", stop, costStop, ofCharge, "a rechargeable cell where the circuit charges it", "makers' safety instructions for lithium cells",
		"The circuit charges the cell here ({function}) and this is a primary cell: never fit it; charged, it leaks, bursts or burns."},
	chargedInPrimary: {"rechargeable-in-primary", caution, costDoubt, ofCharge, "a primary cell where nothing charges it", practice,
		"The position holds a primary cell and this one is rechargeable: nothing charges it here, so it runs down soon."},
	chargeUnknown: {"rechargeable-unknown", caution, costDoubt, ofCharge, "known whether the cell may be charged", "makers' safety instructions for lithium cells",
		"The circuit charges the cell here and whether this one may be charged is unknown: find out before fitting."},
	chargeUnasked: {"charging-unknown", caution, costCaution, ofCharge, "known whether the circuit charges the cell", practice,
		"The position's cell is {want} and this one {have}: find out whether the circuit charges it before fitting."},
	chargeBothUnknown: {"charging-unknown", note, costNote, ofNothing, "known whether the circuit charges the cell", practice,
		"Whether the circuit charges the cell, and whether the cell may be charged, is unknown: find out."},
	chargeChemistry: {"cell-chemistry", caution, costDoubt, ofChemistry, "equal chemistry where the cell is charged", "makers' charging instructions",
		"The charger is made for {want} and this cell is {have}, which may want another voltage or current: compare both."},
	chemistryDiffers: {"cell-chemistry", caution, costCaution, ofChemistry, "equal chemistry; BR for CR and SR for LR", practice,
		"The position takes {want} and this cell is {have}: check temperature range, voltage under load and life."},
	chemistryUnknown: {"cell-chemistry-unknown", caution, costCaution, ofChemistry, "chemistry of the cell known", practice,
		"The position takes {want} and this cell's chemistry is unknown: read it off the cell."},
	tabsMissing: {"cell-tabs-missing", caution, costDoubt, ofText, "a tabbed cell for a soldered one", "makers' safety guidelines: never solder to a cell",
		"The position takes a cell with tabs and this one is not said to have them: never solder to a bare cell."},
	tabsUnasked: {"cell-tabs", caution, costCaution, ofText, "a bare cell for a holder", practice,
		"This cell has tabs and the position does not ask for them: it may not fit the holder."},
	cellSizeDiffers: {"cell-size", stop, costStop, ofSize, "diameter and height within 0.1 mm", practice,
		"The holder takes a cell of {want} and this one is {have}: it does not fit."},
	cellSizeUnknown: {"cell-size-unknown", caution, costCaution, ofSize, "size of the cell known", practice,
		"The holder takes a cell of {want} and this one's size is unknown: measure it."},
	cellSizeUnasked: {"cell-size-unasked", caution, costCaution, ofSize, "size of the position's cell known", practice,
		"The size of the position's cell is unknown and this one measures {have}: measure the holder."},
	cellSizeBothUnknown: {"cell-size-unknown", note, costNote, ofNothing, "both sizes known", practice,
		"Neither size is known: measure the holder and the cell."},

	mountDiffers: {"mount-differs", stop, costStop, ofMount, "equal mount", practice,
		"The position is for {want} parts and this one is {have}: it does not fit."},
	mountBent: {"mount-differs", caution, costDoubt, ofMount, "equal mount; a can with bent leads at best", practice,
		"The position is for {want} parts and this one is {have}: it needs bent leads and glue, and may not hold."},
	mountUnknown: {"mount-unknown", note, costNote, ofMount, "mount of the part known", practice,
		"The position is for {want} parts and this one's mount is unknown."},
	shapeDiffers: {"shape-differs", caution, costFit, ofShape, "equal shape", practice,
		"The original is a {want} and this part a {have}: check that it finds room and its leads reach."},
	chipDiffers: {"chip-size", stop, costStop, ofSize, "equal chip size", "makers' chip size tables",
		"The pads are for {want} and this chip is {have}: do not fit. Metric and imperial codes share numbers; check which was meant."},
	chipUnknown: {"chip-size-unknown", note, costNote, ofSize, "chip size of the part known", practice,
		"The pads are for {want} and this part's size is unknown."},
	thicker: {"diameter-large", caution, costFit + costCaution, ofDiameter, "not above the original's, or known clearance", practice,
		"The original is {want} thick and this part {have}: check the room around it."},
	diameterUnknown: {"diameter-unknown", note, costNote, ofDiameter, "diameter of the part known", practice,
		"The original is {want} thick; this part's diameter is unknown."},
	canDiffers: {"can-size", stop, costStop, ofDiameter, "equal diameter of surface-mount cans", "makers' surface-mount can tables",
		"The pads are for a can of {want} and this one is {have}: it overhangs them; do not fit."},
	canSmaller: {"can-size", caution, costFit + costCaution, ofDiameter, "equal diameter of surface-mount cans", "makers' surface-mount can tables",
		"The pads are for a can of {want} and this one is {have}: check that its terminals reach the pads."},
	longer: {"length-large", caution, costFit, ofSize, "not longer than the original", practice,
		"The original measures {want} and this part {have}: check that it fits between its holes and neighbours."},
	wider: {"width-large", caution, costFit, ofSize, "not wider than the original", practice,
		"The original measures {want} and this part {have}: check the room around it."},
	pitchDiffers: {"lead-pitch", stop, costStop, ofPitch, "equal pitch; 2 mm (1 mm a lead) with formed leads, none for parts in boxes", "common practice; pitches from makers' tables",
		"The holes are {want} apart and this part's leads {have}: do not force it; the seal tears."},
	pitchFormed: {"lead-pitch", caution, costFit, ofPitch, "up to 1 mm a lead", "common practice; pitches from makers' tables",
		"The holes are {want} apart and this part's leads {have}: form the leads first, without stress on the seal."},
	pitchNear: {"lead-pitch", note, costFit, ofPitch, "up to 0.25 mm a lead", "common practice; pitches from makers' tables",
		"The holes are {want} apart and this part's leads {have}: they bend that little by hand."},
	pitchGuessed: {"lead-pitch-guessed", caution, costFit, ofPitch, "pitch of the part known", "pitches by diameter from makers' tables",
		"The holes are {want} apart and cans of this diameter usually have {have}: measure this one."},
	pitchUnknown: {"lead-pitch-unknown", note, costNote, ofPitch, "pitch of the part known", practice,
		"The holes are {want} apart; this part's lead pitch is unknown."},
	tooHigh: {"height-above-limit", stop, costStop, ofHeadroom, "headroom of the place", practice,
		"There is {want} of room above the board and this part is {have} high: it does not fit."},
	taller: {"height-large", caution, costFit + costCaution, ofHeight, "not above the original's, or known headroom; cans within 0.5 mm", "common practice; makers' can tables",
		"The original is {want} high and this part {have}: check the room above it."},
	ventTight: {"vent-room", caution, costFit, ofHeadroom, "half of 2 mm above cans of 6.3 to 16 mm, 3 mm to 35 mm, 5 mm beyond", "makers' guidelines, from memory",
		"There is {want} of room and this part is {have} high: so close above the vent it can't open; take a lower part."},
	ventClose: {"vent-room", note, costNote, ofHeadroom, "2 mm above cans of 6.3 to 16 mm, 3 mm to 35 mm, 5 mm beyond", "makers' guidelines, from memory",
		"There is {want} of room and this part is {have} high: it fits, though makers ask for more room above the vent."},
	heightUnknown: {"height-unknown", caution, costCaution, ofHeadroom, "height of the part known where headroom is given", practice,
		"There is {want} of room above the board and this part's height is unknown: measure it."},
}
