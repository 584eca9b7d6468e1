package part

// safetyRules are the rules for the mains: safety parts and voltages.
var safetyRules = [ruleCount]rule{
	safetyMissing: {"safety-class-missing", stop, costStop, ofSafety, "a part with class and approval marks", "IEC 60384-14; IEC 60950-1, 1.5.6; makers' pages on safety capacitors",
		"The position takes a class {want} safety part and this one has no class: never fit it, at any voltage rating."},
	safetyUnmapped: {"safety-class-missing", stop, costStop, ofSafety, "a part with class and approval marks across the mains or to earth", "IEC 60384-14; IEC 60950-1, 1.5.6; makers' pages on safety capacitors",
		"The position ({function}) lies at the mains and this part has no safety class: never fit it, at any voltage rating."},
	safetyLower: {"safety-class-differs", stop, costStop, ofSafety, "X1 for X2, Y1 for Y2, Y for X at equal voltage; never X for Y", "IEC 60384-14; makers' pages on safety capacitors",
		"The position takes class {want} and this part is class {have}, which may not stand there: do not fit."},
	safetyNeedsY: {"safety-class-differs", stop, costStop, ofSafety, "a Y part to earth", "IEC 60384-14; makers' pages on safety capacitors",
		"The position ({function}) leads to earth and this part is class {have}: only a Y part may stand there; do not fit."},
	safetyMains: {"safety-voltage-low", caution, costDoubt, ofVoltage, "250 V alternating on 230 V mains", practice,
		"This safety part is rated {have}, too little for 230 V mains: fit it only in equipment for 120 V."},
	safetyBleeder: {"bleeder-needed", caution, costCaution, ofValue, "100 nF", practice,
		"Above 100 nF a part across the mains needs a bleeder resistor, and the original {want} may have had none: check before fitting {have}."},

	safetyLikely: {"safety-class-missing", stop, costStop, ofSafety, "a part with class and approval marks wherever the mains are likely and the map does not say otherwise", "IEC 60384-14; IEC 60950-1, 1.5.6: a capacitor between line conductors is one of its classes",
		"What the map says of this position ({function}, {place}) makes it likely that it lies across the mains, and this part has no safety class: do not fit it until that is known; the map's circuit can say."},
	safetyMapWrong: {"safety-class-unasked", note, costNote, ofSafety, "a part with class and approval marks across the mains or to earth", "IEC 60384-14; IEC 60950-1, 1.5.6",
		"This part is of class {have}, as the place demands; the part that the map asks for has no class, so the map has to be mended."},
	yLess: {"y-capacitance-low", caution, costCaution, ofValue, "not below the original's", practice,
		"This part has {have} where {want} is asked for: safe to earth, since less leaks, but it filters less."},
	mainsAbove: {"mains-above-rating", stop, costStop, ofVoltage, "100 V alternating, or 170 V direct for rectifiers (the peak of 120 V), at any mains", "IEC 60038 voltages and their peaks",
		"The position is on the mains side and the part is rated {have}, less than any mains has: do not fit."},
	mainsLow: {"mains-above-rating", caution, costDoubt, ofVoltage, "250 V alternating, or 325 V direct for rectifiers (the peak of 230 V)", "IEC 60038 voltages and their peaks",
		"The position is on the mains side and the part is rated {have}, too little for 230 V mains: fit it only in equipment for 100 to 120 V."},
}
