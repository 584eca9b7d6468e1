// Package part describes what a part is, reads it from the texts that people
// write on parts, kits and maps, and judges whether one part may stand in for
// another. Names of classes and constructions follow the trade and IEC
// component standards; every rating is an exact quantity with its SI unit.
//
// Not modelled: frequency curves, ripple against temperature, and anything
// that needs the maker's data sheet; a rule that would need them says so.
package part

import (
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/quantity"
)

// Part is a specification: what a position wants or what a kit line offers.
// The zero value of every optional member means "not known".
type Part struct {
	Class            Class              `json:"class"`                      // one of Classes
	Construction     Construction       `json:"construction,omitzero"`      // for capacitors one of Constructions; free for other classes
	Value            quantity.Quantity  `json:"value,omitzero"`             // F, Ω, H or Hz by class; see ValueKind
	Tolerance        quantity.Tolerance `json:"tolerance,omitzero"`         // % or, for small capacitors, pF
	Voltage          quantity.Quantity  `json:"voltage,omitzero"`           // rated voltage, V; alternating where SafetyClass is set and for fuses
	Current          quantity.Quantity  `json:"current,omitzero"`           // rated current, A
	Power            quantity.Quantity  `json:"power,omitzero"`             // rated power, W
	TemperatureMax   quantity.Quantity  `json:"temperature_max,omitzero"`   // upper category temperature, °C
	Endurance        quantity.Quantity  `json:"endurance,omitzero"`         // rated life at TemperatureMax, h
	Polarised        *bool              `json:"polarised,omitzero"`         // nil: not known; false: bipolar
	ESRMax           quantity.Quantity  `json:"esr_max,omitzero"`           // equivalent series resistance at 100 kHz, 20 °C, Ω
	Ripple           quantity.Quantity  `json:"ripple,omitzero"`            // rated ripple current, A
	Dielectric       string             `json:"dielectric,omitzero"`        // EIA code (X7R, C0G) or film material
	SafetyClass      string             `json:"safety_class,omitzero"`      // IEC 60384-14: X1, X2, Y1, Y2 …
	FuseSpeed        string             `json:"fuse_speed,omitzero"`        // IEC 60127: FF, F, M, T, TT
	Chemistry        string             `json:"chemistry,omitzero"`         // cells: IEC 60086 letters or trade name, such as CR, LR, Ni-Cd
	Rechargeable     *bool              `json:"rechargeable,omitzero"`      // nil: not known
	BreakingCapacity Breaking           `json:"breaking_capacity,omitzero"` // fuses: the greatest current that it interrupts
	Supply           Supply             `json:"supply,omitzero"`            // coils and lamps: ac or dc
	LoadCapacitance  quantity.Quantity  `json:"load_capacitance,omitzero"`  // crystals: what it is cut for, F
	Windings         *Windings          `json:"windings,omitzero"`          // transformers
	Text             string             `json:"text,omitzero"`              // type number or whatever else is printed
	Extra            jsontext.Value     `json:",embed"`                     // "x-…" members, kept as they came
}

// Body is the outside of a part, in millimetres. Zero means "not known".
type Body struct {
	Mount       string         `json:"mount,omitzero"` // surface or through-hole
	Shape       string         `json:"shape,omitzero"` // can, chip, box, axial, disc, coin or other
	Diameter    float64        `json:"diameter_mm,omitzero"`
	Length      float64        `json:"length_mm,omitzero"`
	Width       float64        `json:"width_mm,omitzero"`
	Height      float64        `json:"height_mm,omitzero"`
	HeightLimit float64        `json:"height_limit_mm,omitzero"` // headroom above the board at this place
	LeadPitch   float64        `json:"lead_pitch_mm,omitzero"`
	Extra       jsontext.Value `json:",embed"`
}

// Offer is a part together with its outside, as a kit holds it.
type Offer struct {
	Part
	Body Body `json:"body,omitzero"`
}

// Place is what is known of the position that a part would stand at.
type Place struct {
	Function       string            // what the position does, in free text; Functions has the words that the rules know
	Duty           Duty              // what Function asks, where the caller has looked it up; 0: Function is read
	Rail           string            // name of the supply rail
	WorkingVoltage quantity.Quantity // direct voltage across the part in service, V
	Body           Body              // outside of the original; HeightLimit and LeadPitch bind the replacement
	PolarityKnown  bool              // the map says where the negative lead goes
	Glued          bool
	HeatSensitive  bool              // the part suffers from the iron
	HotPlace       bool              // the place gets hot in service
	Circuit        Circuit           // where the place stands between mains and people
	MainsNear      bool              // parts of the mains side stand beside it; looked at where Circuit is not known
	RailTemp       quantity.Quantity // temperature at the place where it is known, °C
}

// ValueKind is the kind of quantity that `value` holds for a class; false
// where a part of that class has no such quantity (its ratings and text say
// what it is).
func ValueKind(class Class) (quantity.Kind, bool) {
	switch class {
	case Capacitor:
		return quantity.Capacitance, true
	case Resistor, Potentiometer, Thermistor:
		return quantity.Resistance, true
	case Inductor:
		return quantity.Inductance, true
	case Crystal:
		return quantity.Frequency, true
	case Varistor:
		return quantity.Voltage, true
	}
	return 0, false
}
