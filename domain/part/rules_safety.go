package part

// safetyRules are the rules for the mains: safety parts and voltages.
var safetyRules = [ruleCount]rule{
	safetyMissing: {"safety-class-missing", stop, costStop, ofSafety, "limit.part-with-class", "basis.iec-60384-14",
		"rule.safety-missing"},
	safetyUnmapped: {"safety-class-missing", stop, costStop, ofSafety, "limit.part-with-class-approval",
		"basis.iec-60384-14", "rule.safety-unmapped"},
	safetyLower: {"safety-class-differs", stop, costStop, ofSafety, "limit.x1-x2-y1", "basis.iec-60384-14-makers",
		"rule.safety-lower"},
	safetyNeedsY: {"safety-class-differs", stop, costStop, ofSafety, "limit.y-part-earth",
		"basis.iec-60384-14-makers", "rule.safety-needs-y"},
	safetyMains: {"safety-voltage-low", caution, costDoubt, ofVoltage, "limit.250-v-alternating", practice,
		"rule.safety-mains"},
	safetyBleeder: {"bleeder-needed", caution, costCaution, ofValue, "limit.100-nf", practice, "rule.safety-bleeder"},

	safetyLikely: {"safety-class-missing", stop, costStop, ofSafety, "limit.part-with-class-approval-marks",
		"basis.iec-60384-14-iec", "rule.safety-likely"},
	safetyMapWrong: {"safety-class-unasked", note, costNote, ofSafety, "limit.part-with-class-approval",
		"basis.iec-60384-14-iec-60950", "rule.safety-map-wrong"},
	yLess: {"y-capacitance-low", caution, costCaution, ofValue, "limit.not-below-originals-2", practice,
		"rule.y-less"},
	mainsAbove: {"mains-above-rating", stop, costStop, ofVoltage, "limit.100-v-alternating",
		"basis.iec-60038-voltages", "rule.mains-above"},
	mainsLow: {"mains-above-rating", caution, costDoubt, ofVoltage, "limit.250-v-alternating-325",
		"basis.iec-60038-voltages", "rule.mains-low"},
}
