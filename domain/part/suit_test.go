package part

import (
	"strings"
	"testing"

	"boardlore/domain/finding"
)

// TestSuit goes over every rule with its threshold met and just missed. The
// expected findings are complete. Limits come from the published rules that
// each row of the table names as its basis.
func TestSuit(t *testing.T) {
	for _, tt := range []struct{ name, wanted, change, place, want string }{
		{"the same", wetCap, "", "function coupling", ""},
		{"class", wetCap, "class resistor", "function bulk", "class-differs stop"},

		// Capacitance by function: equal; 1 to 2; 0.8, 1, 1.5, 2.
		{"timing equal", wetCap, "", "function timing", ""},
		{"timing more", wetCap, "value 101 µF", "function timing", "capacitance-differs stop"},
		{"oscillator less", wetCap, "value 99.9 µF", "function oscillator", "capacitance-differs stop"},
		{"reset", wetCap, "value 120 µF", "function power-on reset", "capacitance-differs stop"},
		{"coupling at 1", wetCap, "value 100 µF", "function coupling", ""},
		{"coupling below", wetCap, "value 99.9 µF", "function coupling", "capacitance-low stop"},
		{"coupling at 2", wetCap, "value 200 µF", "function coupling", "capacitance-higher note"},
		{"coupling above 2", wetCap, "value 200.1 µF", "function coupling", "capacitance-high stop"},
		{"bulk at 0.8", wetCap, "value 80 µF", "function smoothing", "capacitance-below caution"},
		{"bulk below 0.8", wetCap, "value 79.9 µF", "function smoothing", "capacitance-low stop"},
		{"bulk at 1.5", wetCap, "value 150 µF", "function reservoir", "capacitance-higher note"},
		{"bulk above 1.5", wetCap, "value 151 µF", "function reservoir", "capacitance-higher caution"},
		{"bulk at 2", wetCap, "value 200 µF", "function Siebelko", "capacitance-higher caution"},
		{"bulk at 2.5", wetCap, "value 250 µF", "function Siebelko", "capacitance-higher caution"},
		{"bulk above 2.5", wetCap, "value 251 µF", "function Siebelko", "capacitance-high stop"},
		{"unknown at 1.5", wetCap, "value 150 µF", "", "capacitance-function-unknown caution"},
		{"unknown above 1.5", wetCap, "value 151 µF", "", "capacitance-high stop"},
		{"unknown below", wetCap, "value 99 µF", "", "capacitance-low stop"},
		{"old value, coupling", "class capacitor; construction aluminium-electrolytic; value 50 µF; voltage 16 V",
			"value 47 µF", "function coupling", "capacitance-old-value note"},
		{"old value, timing", "class capacitor; construction film; value 20 nF; voltage 63 V", "value 22 nF",
			"function timing", "capacitance-old-value caution"},
		{"no old value", "class capacitor; construction film; value 50 nF; voltage 63 V", "value 46 nF",
			"function coupling", "capacitance-low stop"},
		{"value unknown", wetCap, "value -", "function bulk", "value-unknown caution"},
		{"value unit", carbonR, "class capacitor; value 10 nF", "", "class-differs stop, value-unit stop"},
		{"worst case", "class capacitor; construction film; value 100 µF; voltage 63 V; tolerance ±10 %",
			"value 120 µF; tolerance ±30 %", "function bulk",
			"capacitance-higher note, capacitance-worst-case note, tolerance-wide note"},

		{"tolerance timing", filmCap, "tolerance ±10 %", "function timing", "tolerance-wide stop"},
		{"tolerance closer", filmCap, "tolerance ±2 %", "function timing", ""},
		{"tolerance bypass", filmCap, "tolerance ±10 %", "function bypass", "tolerance-wide note"},
		{"tolerance function unknown", filmCap, "tolerance ±10 %", "", "tolerance-wide caution"},
		{"tolerance unknown", filmCap, "tolerance -", "function coupling", "tolerance-unknown caution"},

		// Voltage.
		{"voltage low", wetCap, "voltage 10 V", "function bulk; working 5 V", "voltage-low stop"},
		{"voltage just low", wetCap, "voltage 15.9 V", "function bulk", "voltage-low stop"},
		{"two steps", wetCap, "voltage 35 V", "function bulk", ""},
		{"three steps", wetCap, "voltage 50 V", "function bulk", "voltage-much-higher note"},
		{"voltage unknown", wetCap, "voltage -", "function bulk", "voltage-unknown caution"},
		{"working above", "class capacitor; construction aluminium-electrolytic; value 100 µF", "voltage 10 V",
			"function bulk; working 10.1 V",
			"working-voltage-above-rating stop, voltage-unasked caution, voltage-margin-small note"},
		{"wet margin at 80", wetCap, "", "function bulk; working 12.8 V", ""},
		{"wet margin above 80", wetCap, "", "function bulk; working 12.9 V", "voltage-margin-small note"},
		{"film margin at 75", filmCap, "", "function bypass; working 47.25 V", ""},
		{"film margin above 75", filmCap, "", "function bypass; working 47.3 V", "voltage-margin-small note"},
		{"tantalum at half", wetCap, "construction tantalum", "function bulk; working 8 V",
			"construction-differs note"},
		{"tantalum above half", wetCap, "construction tantalum", "function bulk; working 8.01 V",
			"tantalum-derating stop, construction-differs note"},
		{"tantalum for tantalum", tantCap, "", "function bulk; working 12 V", "tantalum-derating stop"},
		{"tantalum warm", wetCap, "construction tantalum; voltage 25 V; temp 125 °C",
			"function bulk; working 8.3 V; temp 125 °C", "construction-differs note"},
		{"tantalum warm, above", wetCap, "construction tantalum; voltage 25 V; temp 125 °C",
			"function bulk; working 8.4 V; temp 125 °C", "tantalum-derating stop, construction-differs note"},
		{"tantalum unknown rail", wetCap, "construction tantalum", "function bulk",
			"working-voltage-unknown caution, construction-differs note"},
		{"polymer tantalum at 90", tantCap, "construction tantalum-polymer", "function bulk; working 12.8 V",
			"polymer-fails-short note"},
		{"polymer tantalum above 80", tantCap, "construction tantalum-polymer", "function bulk; working 12.81 V",
			"polymer-derating stop, polymer-fails-short note"},

		{"polarised in bipolar", smdCan, "polarised true", "function coupling", "polarised-in-bipolar stop"},
		{"unsaid in bipolar", smdCan, "polarised -", "function coupling", "polarised-in-bipolar stop"},
		{"unknown in bipolar", smdCan, "polarised -; construction -", "function bulk",
			"polarity-unknown caution, construction-unknown note"},
		{"bipolar in polarised", wetCap, "polarised false", "function coupling", ""},
		{"polarity unmapped", wetCap, "", "function coupling; unmapped", "polarity-unmapped note"},

		{"85 for 105", wetCap, "temp 85 °C", "function bulk", "temperature-low stop"},
		{"125 for 105", wetCap, "temp 125 °C", "function bulk", ""},
		{"temperature unknown", wetCap, "temp -", "function bulk", "temperature-unknown caution"},
		{"place hotter", "class capacitor; construction aluminium-electrolytic; value 100 µF; voltage 16 V",
			"temp 85 °C", "function bulk; temp 86 °C", "place-too-hot stop"},
		{"heat", "class capacitor; construction aluminium-electrolytic; value 100 µF; voltage 16 V; temp 85 °C", "",
			"function bulk; hot", "heat-nearby note"},

		{"endurance equal at 85", spec85(wetCap), "endurance 2000 h; temp 105 °C", "function bulk", ""},
		{"endurance half", wetCap + "; endurance 2000 h", "endurance 1000 h", "function bulk", "endurance-less note"},
		{"endurance below half", wetCap + "; endurance 2000 h", "endurance 999 h", "function bulk",
			"endurance-short caution"},
		{"endurance unknown", wetCap + "; endurance 2000 h", "endurance -", "function bulk", "endurance-unknown note"},
		{"life at 5 years", wetCap, "endurance 2738 h", "function bulk; temp 65 °C", ""},
		{"life below 5 years", wetCap, "endurance 2737 h", "function bulk; temp 65 °C", "life-short caution"},

		{"esr switching", wetCap + "; esr 100 mΩ", "esr 101 mΩ", "function switching supply output", "esr-high stop"},
		{"esr equal", wetCap + "; esr 100 mΩ", "", "function switching supply output", ""},
		{"esr elsewhere", wetCap + "; esr 100 mΩ", "esr 101 mΩ", "function bulk", "esr-high caution"},
		{"esr unknown elsewhere", wetCap + "; esr 100 mΩ", "esr -", "function bulk", "esr-unknown note"},
		{"low ESR wanted", wetCap + "; text low ESR", "text -", "function bulk", "esr-unknown caution"},
		{"low ESR wanted, standard", wetCap + "; text low ESR", "text standard", "function bulk",
			"esr-general-purpose stop"},
		{"low ESR offered", wetCap, "text low ESR", "function bulk", ""},
		{"low ESR at regulator", wetCap, "text low ESR", "function regulator output", "esr-low caution"},
		{"0.3 ohm at regulator", wetCap, "esr 300 mΩ", "function regulator output", ""},
		{"less at regulator", wetCap, "esr 299 mΩ", "function regulator output", "esr-low caution"},
		{"ripple bulk", wetCap + "; ripple 200 mA", "ripple 199 mA", "function bulk", "ripple-low stop"},
		{"ripple coupling", wetCap + "; ripple 200 mA", "ripple 199 mA", "function coupling", "ripple-low caution"},
		{"ripple unknown", wetCap + "; ripple 200 mA", "ripple -", "function bulk", "ripple-unknown caution"},

		// Constructions.
		{"polymer bulk", wetCap, "construction aluminium-polymer", "function bulk", "polymer-fails-short note"},
		{"polymer coupling", wetCap, "construction aluminium-polymer", "function coupling", "polymer-leakage stop"},
		{"polymer unknown", wetCap, "construction aluminium-polymer", "", "polymer-function-unknown caution"},
		{"polymer regulator", wetCap, "construction aluminium-polymer", "function LDO output",
			"regulator-esr-low stop, polymer-fails-short note"},
		{"tantalum inrush", wetCap, "construction tantalum", "function supply input; working 5 V",
			"tantalum-inrush caution"},
		{"wet for tantalum", tantCap, "construction aluminium-electrolytic", "function decoupling",
			"construction-differs note"},
		{"wet for tantalum, switching", tantCap, "construction aluminium-electrolytic",
			"function buck converter output", "series-resistance-higher caution, esr-unknown note"},
		{"ceramic timing", wetCap, "construction ceramic; dielectric X7R; polarised -", "function timing; working 1 V",
			"ceramic-unstable stop, dc-bias-estimated note"},
		{"ceramic bias half", wetCap, "construction ceramic; dielectric X5R; value 160 µF; polarised -",
			"function bulk; working 8 V",
			"capacitance-higher caution, dc-bias-estimated caution, construction-differs note"},
		{"ceramic bias less", wetCap, "construction ceramic; dielectric X5R; value 159 µF; polarised -",
			"function bulk; working 8 V",
			"capacitance-higher caution, dc-bias-loss caution, construction-differs note"},
		{"ceramic bias slight", wetCap, "construction ceramic; dielectric X5R; polarised -",
			"function bulk; working 2 V", "construction-differs note, dc-bias-estimated note"},
		{"ceramic bias beyond an eighth", wetCap, "construction ceramic; dielectric X5R; value 150 µF; polarised -",
			"function bulk; working 2.1 V",
			"dc-bias-estimated caution, capacitance-higher note, construction-differs note"},
		{"ceramic bias unknown", wetCap, "construction ceramic; dielectric X5R; polarised -", "function bulk",
			"dc-bias-unknown caution, construction-differs note"},
		{"wet for film", filmCap, "construction aluminium-electrolytic; polarised false; dielectric -",
			"function coupling", "electrolytic-for-film caution"},
		{"wet for film, timing", filmCap, "construction aluminium-electrolytic; polarised false; dielectric -",
			"function timing", "electrolytic-for-film stop"},
		{"film for wet", wetCap, "construction film", "function coupling", "construction-differs note"},
		{"supercapacitor", wetCap, "construction supercapacitor", "function backup", "supercapacitor-differs stop"},
		{"construction unknown", wetCap, "construction -", "function bulk", "construction-unknown note"},
		{"construction unknown matters", wetCap, "construction -", "function coupling", "construction-unknown caution"},

		{"Y5V for X7R", mlcc, "dielectric Y5V", "function decoupling", "dielectric-wider stop"},
		{"X7R for Y5V", mlccOf("Y5V"), "dielectric X7R", "function decoupling", ""},
		{"X5R for X7R", mlcc, "dielectric X5R", "function decoupling", "dielectric-temperature stop"},
		{"X7R for X5R", mlccOf("X5R"), "dielectric X7R", "function decoupling", ""},
		{"X7R for C0G", mlccOf("C0G"), "dielectric X7R", "function filter", "dielectric-class stop"},
		{"X7R for C0G, bypass", mlccOf("C0G"), "dielectric X7R", "function bypass", "dielectric-class caution"},
		{"NP0 is C0G", mlccOf("C0G"), "dielectric NP0", "function filter", ""},
		{"dielectric unknown", mlcc, "dielectric -", "function bypass", "dielectric-unknown note"},
		{"polyester for polypropylene", filmCap, "dielectric polyester", "function snubber",
			"film-lossy stop, pulse-rating-unknown note"},
		{"polypropylene for polyester",
			"class capacitor; construction film; value 100 nF; voltage 63 V; dielectric polyester", "dielectric MKP",
			"function coupling", ""},

		// Safety parts.
		{"film in X2", xCap, "safety -; voltage 630 V", "function mains-x",
			"safety-class-missing stop, voltage-kind caution"},
		{"X1 for X2", xCap, "safety X1", "", ""},
		{"Y2 for X2", xCap, "safety Y2", "", ""},
		{"X2 for X1", "class capacitor; construction film; value 100 nF; voltage 275 V; safety X1", "safety X2", "",
			"safety-class-differs stop"},
		{"X1 for Y2", yCap, "safety X1", "", "safety-class-differs stop"},
		{"Y1 for Y2", yCap, "safety Y1", "", ""},
		{"Y2 for Y1", "class capacitor; construction ceramic; value 2.2 nF; voltage 250 V; safety Y1", "safety Y2", "",
			"safety-class-differs stop"},
		{"X2 lower voltage", xCap, "voltage 250 V", "", "voltage-low stop"},
		{"Y at 1.2", yCap, "value 2.64 nF", "", "capacitance-suppression caution"},
		{"Y above 1.2", yCap, "value 2.65 nF", "", "y-capacitance-high stop"},
		{"X at 1.5", xCap, "value 150 nF", "", "bleeder-needed caution, capacitance-suppression caution"},
		{"X at 2.5", xCap, "value 250 nF", "", "bleeder-needed caution, capacitance-suppression caution"},
		{"X above 2.5", xCap, "value 251 nF", "", "capacitance-high stop, bleeder-needed caution"},
		{"no class at the mains", "class capacitor; construction film; value 100 nF; voltage 630 V", "",
			"function X2 capacitor across the mains", "safety-class-missing stop"},
		{"X part to earth", "class capacitor; construction film; value 2.2 nF; voltage 275 V; safety X2", "",
			"function Y capacitor, mains to earth", "safety-class-differs stop"},
		{"below mains voltage", "class capacitor; construction film; value 100 nF; voltage 125 V; safety X2", "", "",
			"safety-voltage-low note"},

		// Fuses.
		{"fuse larger", tube, "current 800 mA", "", "fuse-current-high stop"},
		{"fuse smaller", tube, "current 500 mA", "", "fuse-current-low caution"},
		{"fuse unknown", tube, "current -", "", "fuse-current-unknown caution"},
		{"F for T", tube, "speed F", "", "fuse-faster caution"},
		{"T for F", "class fuse; current 630 mA; voltage 250 V; speed F; d 5; l 20", "speed T", "",
			"fuse-slower stop, breaking-capacity-unknown note"},
		{"speed unknown", tube, "speed -", "", "fuse-speed-unknown caution"},
		{"L for H", tube, "text L", "", "breaking-capacity-low stop"},
		{"unsaid for H", tube, "text -", "", "breaking-capacity-unknown stop"},
		{"unsaid for H behind the isolation", tube, "text -", "circuit secondary", "breaking-capacity-unknown caution"},
		{"H for L", "class fuse; current 630 mA; voltage 250 V; speed T; text L", "text H", "",
			"fuse-size-unknown note"},
		{"fuse voltage", tube, "voltage 32 V", "", "voltage-low stop"},
		{"fuse size", tube, "d 6.3; l 32", "", "fuse-size stop"},
		{"fuse 5.2", tube, "d 5.2", "", ""},
		{"UL", tube, "text H UL", "", "fuse-standard caution"},

		// Resistors.
		{"resistor value", carbonR, "value 12 kΩ", "", "value-differs stop"},
		{"pull-up next value", carbonR, "value 12.5 kΩ", "function pull-up", "value-neighbour caution"},
		{"pull-up two off", carbonR, "value 12.6 kΩ", "function pull-up", "value-differs stop"},
		{"bleeder below", carbonR, "value 8 kΩ", "function bleeder", "value-neighbour caution"},
		{"bleeder far below", carbonR, "value 7.99 kΩ", "function bleeder", "value-differs stop"},
		{"resistor tolerance", carbonR, "tolerance ±10 %", "", "tolerance-wide caution"},
		{"power", carbonR, "power 249 mW", "", "power-low stop"},
		{"more power", carbonR, "power 500 mW", "", ""},
		{"power unknown", carbonR, "power -", "", "power-unknown caution"},
		{"least power unknown", "class resistor; value 10 Ω; power 125 mW", "power -", "", "power-unknown note"},
		{"half watt unknown", "class resistor; value 10 Ω; power 500 mW", "power -", "", "power-unknown caution"},
		{"fusible", carbonR + "; construction fusible", "construction metal-film", "",
			"fusible-missing stop, resistor-kind note"},
		{"flameproof", carbonR + "; text flameproof", "text -", "", "flameproof-unknown caution"},
		{"wirewound", carbonR, "construction wirewound", "", "wirewound note"},

		// Cells.
		{"primary for rechargeable", coinVL, "chemistry CR; rechargeable false", "", "primary-where-charged stop"},
		{"primary by chemistry alone", coinVL, "chemistry CR; rechargeable -", "", "primary-where-charged stop"},
		{"primary where the map says charged", coinCR, "", "function trickle charged backup",
			"primary-where-charged stop"},
		{"not charged", coinCR, "", "function backup, not charged", ""},
		{"rechargeable for primary", coinCR, "chemistry ML; rechargeable true", "", "rechargeable-in-primary caution"},
		{"LIR for CR", coinCR, "chemistry LIR; rechargeable true; voltage 3.6 V", "",
			"cell-voltage stop, rechargeable-in-primary caution"},
		{"rechargeable unknown", coinVL, "chemistry -; rechargeable -", "",
			"cell-chemistry-unknown caution, rechargeable-unknown caution"},
		{"other charge", coinVL, "chemistry ML", "", "cell-chemistry caution"},
		{"BR for CR", coinCR, "chemistry BR; voltage 2.8 V", "", "cell-voltage-near note"},
		{"beyond 7 % and 0.2 V", coinCR, "voltage 2.78 V", "", "cell-voltage stop"},
		{"CR for BR", "class cell; voltage 3 V; chemistry BR; rechargeable false; d 20; h 3.2", "chemistry CR", "",
			"cell-chemistry caution"},
		{"cell height at 0.1", coinCR, "h 3.1", "", ""},
		{"cell height beyond", coinCR, "h 2.5", "", "cell-size stop"},
		{"cell tabs", coinCR + "; text tabbed", "text -", "", "cell-tabs-missing caution"},

		// Bodies.
		{"smd for holes", wetCap, "mount surface; shape can; pitch -", "function bulk", "mount-differs caution"},
		{"thicker", wetCap, "d 8; pitch 2.5", "function bulk", "diameter-large caution"},
		{"thinner", wetCap, "d 5; pitch 2.5", "function bulk", ""},
		{"pitch formed", wetCap, "pitch 4.5", "function bulk", "lead-pitch caution"},
		{"pitch too wide", wetCap, "pitch 5", "function bulk", "lead-pitch stop"},
		{"pitch by diameter", wetCap, "pitch -", "function bulk", ""},
		{"film pitch", filmCap, "pitch 7.5", "function coupling", "lead-pitch stop"},
		{"at the limit", wetCap, "h 10", "function bulk; limit 12", ""},
		{"vent", strings.Replace(wetCap, "h 11", "h 10", 1), "h 11", "function bulk; limit 12", "vent-room note"},
		{"vent tight", strings.Replace(wetCap, "h 11", "h 10", 1), "h 11.1", "function bulk; limit 12",
			"vent-room caution"},
		{"vent as before", wetCap, "", "function bulk; limit 12", "vent-room note"},
		{"above the limit", wetCap, "h 12.1", "function bulk; limit 12", "height-above-limit stop"},
		{"taller", wetCap, "h 12.5", "function bulk", "height-large caution"},
		{"can height class", smdCan, "h 5.8", "function coupling", ""},
		{"can diameter", smdCan, "d 8", "function coupling", "can-size stop"},
		{"can smaller", smdCan, "d 5", "function coupling", "can-size caution"},
		{"chip", mlcc, "l 1.6; w 0.8", "function bypass", "chip-size stop"},
		{"chip width of makers", mlcc, "w 1.2", "function bypass", ""},
		{"chip for holes", mlcc, "mount through-hole; shape disc; l -; w -", "function bypass",
			"mount-differs stop, shape-differs caution, chip-size-unknown note"},

		{"type number", "class diode; text 1N4148", "text 1N4148W", "", "type-suffix caution"},
		{"same type spelt apart", "class transistor; text BC 547-B", "text bc547b", "", ""},
		{"other IC", "class integrated-circuit; text 4011", "text 4001", "", "type-differs stop"},
		{"type unknown", "class integrated-circuit; text 4011", "text -", "", "type-unknown caution"},
		// The members of fuses, coils, crystals and transformers.
		{"150 A for 1500 A", tube, "text -; breaking E", "", "breaking-capacity-low stop"},
		{"10 kA for H", tube, "text -; breaking 10 kA", "", ""},
		{"thermal lower", thermalFuse, "temp 115 °C", "", "fuse-thermal-low stop"},
		{"thermal higher", thermalFuse, "temp 152 °C", "", "fuse-thermal-high stop"},
		{"thermal unknown", thermalFuse, "temp -; text thermal", "", "fuse-thermal-unknown caution"},
		{"thermal, lower current", thermalFuse, "current 2 A", "", "current-low stop"},
		{"thermal, higher current", thermalFuse, "current 15 A", "", ""},
		{"neither known at the mains", tube + "; text -", "", "circuit primary", "breaking-capacity-unknown caution"},
		{"neither known behind the isolation", tube + "; text -", "", "circuit secondary",
			"breaking-capacity-unknown note"},
		{"coil AC for DC", "class relay; voltage 24 V; supply dc; text RX2-24", "supply ac", "", "coil-supply stop"},
		{"coil unsaid", "class relay; voltage 24 V; supply dc; text RX2-24", "supply -", "",
			"coil-supply-unknown caution"},
		{"load capacitance", "class crystal; value 4 MHz; load 20 pF", "load 12 pF", "", "load-capacitance caution"},
		{"load capacitance unknown", "class crystal; value 4 MHz; load 20 pF", "load -", "",
			"load-capacitance-unknown caution"},
		{"resonator", "class crystal; value 4 MHz", "text ceramic resonator", "", "resonator-for-crystal stop"},
		{"crystal tolerance at a clock", "class crystal; value 4 MHz; tolerance ±0.003 %", "tolerance ±0.01 %",
			"function clock", "tolerance-wide stop"},
		{"windings", "class transformer; primary 230 V; secondary 12 V; power 10 W; text TX1", "secondary 24 V", "",
			"windings-differ stop"},
		{"windings turned", "class transformer; primary 230 V; secondary 12 V, 9 V; text TX1", "secondary 9 V, 12 V",
			"", ""},
		{"one winding of two", "class transformer; primary 115 V, 115 V; secondary 12 V; text TX1", "primary 230 V", "",
			"windings-differ stop"},
		{"240 V for 230 V", "class transformer; primary 230 V; secondary 12 V; text TX1", "primary 240 V", "",
			"winding-near caution"},
		{"windings unknown", "class transformer; primary 230 V; secondary 12 V; text TX1",
			"primary -; secondary -; text -", "", "type-unknown caution, windings-unknown caution"},

		// What stands across a place, and the mains.
		{"resistor at its limit", carbonR + "; voltage 250 V", "", "working 250 V", "dissipation-above-rating stop"},
		{"heat at the rating", "class resistor; value 10 kΩ; power 250 mW", "", "working 50 V",
			"dissipation-close note"},
		{"heat above the rating", "class resistor; value 10 kΩ; power 250 mW", "", "working 50.1 V",
			"dissipation-above-rating stop"},
		{"heat at 75 %", "class resistor; value 12 kΩ; power 250 mW", "", "working 47.4 V", ""},
		{"small resistor at 325 V", "class resistor; value 1 MΩ; power 250 mW", "power 400 mW", "working 325 V",
			"resistor-voltage-unknown note"},
		{"bleeder of 150 V", "class resistor; value 220 kΩ; power 1 W", "voltage 150 V",
			"function bleeder; working 325 V", "working-voltage-above-rating stop"},
		{"no class across the mains", "class capacitor; construction film; value 100 nF; voltage 630 V", "",
			"circuit across-mains", "safety-class-missing stop"},
		{"X2 where the map has none", "class capacitor; construction film; value 100 nF; voltage 630 V",
			"voltage 275 V; safety X2", "circuit across-mains", "safety-class-unasked note"},
		{"X2 across the isolation", xCap, "", "circuit across-isolation", "safety-class-differs stop"},
		{"behind the isolation", "class capacitor; construction film; value 100 nF; voltage 400 V", "",
			"function mains filter; circuit secondary", ""},
		{"mains parts beside it", "class capacitor; construction film; value 100 nF; voltage 400 V", "", "near",
			"safety-class-missing stop"},
		{"mains parts beside a coupling", "class capacitor; construction film; value 100 nF; voltage 400 V", "",
			"function coupling; near", ""},
		{"mains parts beside 63 V", "class capacitor; construction film; value 100 nF; voltage 63 V", "", "near", ""},
		{"line filter of 12 V", "class capacitor; construction film; value 100 nF; voltage 100 V", "",
			"function line filter; working 12 V", ""},
		{"30 V switch at the mains", "class switch; current 3 A; text SPST", "voltage 30 V", "circuit primary",
			"mains-above-rating stop"},
		{"125 V switch at the mains", "class switch; current 3 A; text SPST", "voltage 125 V", "circuit primary",
			"mains-above-rating caution"},
		{"100 V bridge at the mains", "class diode; construction bridge; current 4 A", "voltage 100 V",
			"circuit primary", "mains-above-rating stop, type-unknown note"},
		{"film, Y less", yCap, "value 1 nF", "", "y-capacitance-low caution"},

		{"lamp of less voltage", "class lamp; voltage 12 V; current 100 mA", "voltage 10.7 V", "", "lamp-voltage stop"},
		{"lamp at 0.9", "class lamp; voltage 12 V; current 100 mA", "voltage 10.8 V", "", "lamp-voltage caution"},
		{"lamp in a string", "class lamp; voltage 12 V; current 100 mA", "current 80 mA", "function series string",
			"lamp-series stop, lamp-current caution"},
		{"called rechargeable", coinVL, "chemistry CR", "", "primary-where-charged stop"},
		{"lithium-ion on nickel", "class cell; voltage 3.6 V; chemistry Ni-Cd; rechargeable true; d 15; h 18",
			"chemistry LIR", "", "lithium-where-charged stop"},
		{"nickel on lead", "class cell; voltage 12 V; chemistry Pb; rechargeable true; d 15; h 18", "chemistry Ni-MH",
			"", "cell-charging-differs stop"},
		{"LIR for ML", coinVL, "chemistry LIR", "", "lithium-where-charged stop"},
		{"lithium for an accumulator of unknown kind", "class cell; voltage 3.6 V; d 15; h 18",
			"chemistry LIR; rechargeable true", "function Pufferakku", "lithium-where-charged stop"},

		{"potentiometer law", "class potentiometer; value 10 kΩ; text log", "text lin", "", "taper-differs stop"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			w := spec(t, Offer{}, tt.wanted)
			o := spec(t, w, tt.change)
			p := place(t, w.Body, tt.place)
			got := Suit(&w, &o, &p)
			if s := brief(got); s != tt.want {
				t.Errorf("got  %s\nwant %s", s, tt.want)
			}
			checkFindings(t, got, Weigh(&w, &o, &p))
		})
	}
}

// customary are the stops for which no source was found, since nobody writes down
// that a resistor is no capacitor.
var customary = map[string]bool{"class-differs": true, "potentiometer-tracks": true}

func TestRulesAreWhole(t *testing.T) {
	for _, r := range Rules() {
		if r.Code == "" || r.Limit.IsZero() || r.Basis.IsZero() || r.Severity.Rank() == 0 {
			t.Errorf("rule %+v lacks something", r)
		}
		if strings.ToLower(r.Code) != r.Code || strings.ContainsAny(r.Code, " _") {
			t.Errorf("code %q is not lower-case words joined by hyphens", r.Code)
		}
		if r.Severity == finding.Stop && strings.Contains(r.Basis.String(), "memory") {
			t.Errorf("%s stops and rests on memory", r.Code)
		}
		if r.Severity == finding.Stop && r.Basis.Key == practice && !customary[r.Code] {
			t.Errorf("%s stops and rests on common practice alone", r.Code)
		}
		if r.Sentence.IsZero() || strings.ContainsAny(r.Sentence.String(), "{}") {
			t.Errorf("%s: sentence %q", r.Code, r.Sentence)
		}
		if r.Severity == finding.Stop && r.Penalty != costStop {
			t.Errorf("%s: a stop costs %d", r.Code, r.Penalty)
		}
	}
}
