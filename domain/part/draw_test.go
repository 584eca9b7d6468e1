package part

import (
	"pgregory.net/rapid"

	"boardlore/domain/quantity"
)

func pick[T any](t *rapid.T, label string, of ...T) T { return rapid.SampledFrom(of).Draw(t, label) }

func maybe(t *rapid.T, label string) *bool {
	v := true
	f := false
	return pick(t, label, nil, &v, &f)
}

// q draws one of the spellings or nothing.
func q(t *rapid.T, label string, of ...string) quantity.Quantity {
	v := pick(t, label, append(of, "")...)
	if v == "" {
		return quantity.Quantity{}
	}
	x, err := quantity.Parse(v)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func drawTolerance(t *rapid.T) (tol quantity.Tolerance) {
	if s := pick(t, "tolerance", "", "±1 %", "±5 %", "±10 %", "±20 %", "-20 %/+80 %", "±0.5 pF"); s != "" {
		tol, _ = quantity.ParseTolerance(s)
	}
	return tol
}

// drawOffer draws a part of any class, with any members known or not.
func drawOffer(t *rapid.T) (o Offer) {
	return drawOfClass(t, pick(t, "class", append([]string{"", "strange", "capacitor", "capacitor", "capacitor", "fuse",
		"cell", "resistor"}, Names(Classes)...)...))
}

func drawOfClass(t *rapid.T, class string) (o Offer) {
	o.Class = Class(class)
	switch class {
	case "capacitor":
		drawCapacitor(t, &o)
	case "fuse":
		o.FuseSpeed = pick(t, "speed", "", "FF", "F", "M", "T", "TT")
	case "cell":
		o.Chemistry = pick(t, "chemistry", "", "CR", "BR", "ER", "VL", "ML", "LIR", "Ni-Cd", "Ni-MH", "alkaline", "SR",
			"odd")
		o.Rechargeable = maybe(t, "rechargeable")
	case "crystal":
		o.Value = q(t, "value", "10 MHz", "10.01 MHz", "32.768 kHz")
	case "inductor":
		o.Value = q(t, "value", "10 µH", "12 µH", "1 mH")
	case "varistor":
		o.Value = q(t, "value", "275 V", "300 V", "430 V")
	default:
		o.Value = q(t, "value", "10 kΩ", "12 kΩ", "1 MΩ", "0 Ω")
	}
	if class != "capacitor" {
		o.Construction = Construction(pick(t, "construction", append([]string{"", "", "wirewound"},
			words[class]...)...))
	}
	o.Tolerance = drawTolerance(t)
	o.Voltage = q(t, "voltage", "1.5 V", "3 V", "3.6 V", "6.3 V", "10 V", "16 V", "25 V", "250 V", "275 V", "400 V",
		"630 V")
	o.Current = q(t, "current", "80 mA", "500 mA", "630 mA", "2 A", "10 A")
	o.Power = q(t, "power", "250 mW", "500 mW", "1 W", "10 W")
	o.TemperatureMax = q(t, "temperature", "85 °C", "105 °C", "125 °C")
	o.Text = pick(t, "text", append([]string{"", "", "low ESR", "4011", "AC", "UL"}, words[class]...)...)
	o.Body = drawBody(t)
	if class == "fuse" {
		o.BreakingCapacity, _ = ParseBreaking(pick(t, "breaking", "", "", "L", "E", "H", "10 kA"))
	}
	if class == "crystal" {
		o.LoadCapacitance = q(t, "load", "12 pF", "20 pF")
	}
	return o
}

// words are what texts of a class say.
var words = map[string][]string{
	"capacitor":          {"standard", "low impedance", "switching grade"},
	"resistor":           {"fusible", "flameproof", "metal film", "wirewound 5 W"},
	"potentiometer":      {"log", "lin", "antilog", "log stereo", "trimmer"},
	"thermistor":         {"NTC", "PTC", "NTC 10D-9", "Kaltleiter"},
	"varistor":           {"07D431", "14D431"},
	"fuse":               {"H", "L", "glass", "thermal", "pigtail", "H UL"},
	"cell":               {"tabbed", "untabbed", "CR2032", "CR2450"},
	"diode":              {"zener", "1N4007", "1N400", "BZX55C5V1", "LED", "bridge", "schottky"},
	"transistor":         {"BC547", "BC547B", "BC557", "2N3904"},
	"integrated-circuit": {"CD4011BE", "4001", "LM317T", "741", "74191"},
	"relay":              {"RX2-12", "RX2-24"},
	"transformer":        {"TR1", "TR12"},
	"lamp":               {"T5", "T5 LED"},
}

func drawCapacitor(t *rapid.T, o *Offer) {
	o.Construction = Construction(pick(t, "construction", append([]string{"", "unheard-of"},
		Names(Constructions)...)...))
	o.Value = q(t, "value", "22 pF", "2.2 nF", "20 nF", "47 nF", "100 nF", "120 nF", "5 µF", "47 µF", "50 µF", "80 µF",
		"100 µF", "120 µF", "1000 µF", "0.1 F")
	o.Dielectric = pick(t, "dielectric", "", "X7R", "X5R", "Z5U", "Y5V", "C0G", "U2J", "polyester", "MKP", "paper",
		"odd")
	o.SafetyClass = pick(t, "safety", "", "", "", "X1", "X2", "X3", "Y1", "Y2", "X1/Y2", "Y4", "X9")
	o.Polarised = maybe(t, "polarised")
	o.ESRMax = q(t, "esr", "10 mΩ", "100 mΩ", "1 Ω", "30 Ω")
	o.Ripple = q(t, "ripple", "200 mA", "1 A")
	o.Endurance = q(t, "endurance", "500 h", "1000 h", "2000 h", "10000 h")
}

func drawBody(t *rapid.T) Body {
	return Body{
		Mount:     pick(t, "mount", "", "surface", "through-hole"),
		Shape:     pick(t, "shape", "", "can", "chip", "box", "axial", "disc", "coin", "other"),
		Diameter:  pick(t, "diameter", 0, 5, 6.3, 14, 20.0),
		Length:    pick(t, "length", 0, 2, 3.2, 20.0),
		Width:     pick(t, "width", 0, 1.25, 1.6),
		Height:    pick(t, "height", 0, 3.2, 5.4, 11, 11.5, 35),
		LeadPitch: pick(t, "pitch", 0, 2, 2.5, 5, 7.5),
	}
}

var someFunctions = func() (all []string) {
	all = []string{"", "no such thing", "audio coupling", "timing of the mains reservoir", "5 V rail bypass",
		"mains filter"}
	for _, f := range functions {
		all = append(all, f.name)
	}
	return all
}()

func drawPlace(t *rapid.T, body Body) Place {
	p := Place{Function: pick(t, "function", someFunctions...), Body: body}
	p.WorkingVoltage = q(t, "working", "-5 V", "1 V", "5 V", "12 V", "14.5 V", "325 V")
	p.RailTemp = q(t, "rail", "45 °C", "90 °C", "110 °C")
	p.PolarityKnown = rapid.Bool().Draw(t, "known")
	p.HotPlace = rapid.Bool().Draw(t, "hot")
	p.Body.HeightLimit = pick(t, "limit", 0, 5, 12, 13.5)
	p.Body.Mount = pick(t, "place mount", p.Body.Mount, "")
	p.Glued = rapid.Bool().Draw(t, "glued")
	p.Circuit = pick(t, "circuit", append([]Circuit{"", "", ""}, Circuits...)...)
	p.MainsNear = rapid.Bool().Draw(t, "near")
	return p
}
