package quantity

import "fmt"

// Kind says what a quantity is of.
type Kind uint8

// The kinds. The zero Kind is none of them.
const (
	Capacitance Kind = iota + 1
	Resistance
	Inductance
	Voltage
	Current
	Power
	Temperature
	ToleranceKind
	Length
	Duration
	Frequency
	Energy
)

var kinds = [...]struct {
	name string
	unit Unit
}{
	Capacitance:   {"capacitance", Farad},
	Resistance:    {"resistance", Ohm},
	Inductance:    {"inductance", Henry},
	Voltage:       {"voltage", Volt},
	Current:       {"current", Ampere},
	Power:         {"power", Watt},
	Temperature:   {"temperature", Celsius},
	ToleranceKind: {"tolerance", Percent},
	Length:        {"length", Millimetre},
	Duration:      {"duration", Hour},
	Frequency:     {"frequency", Hertz},
	Energy:        {"energy", Joule},
}

// ParseKind reads a kind's name: capacitance, resistance, inductance, voltage, current, power, temperature,
// tolerance, length, duration, frequency, energy.
func ParseKind(s string) (Kind, error) {
	for k := Capacitance; k <= Energy; k++ {
		if kinds[k].name == s {
			return k, nil
		}
	}
	return 0, fmt.Errorf("%q is no kind of quantity: use capacitance, resistance, inductance, voltage, current, "+
		"power, temperature, tolerance, length, duration, frequency or energy", clip(s))
}

// String returns the kind's name, "unknown" for no kind.
func (k Kind) String() string {
	if k == 0 || int(k) >= len(kinds) {
		return "unknown"
	}
	return kinds[k].name
}

// Unit returns the unit that the kind is canonically in: Percent for a tolerance, though small capacitors have
// theirs in farads. None for no kind.
func (k Kind) Unit() Unit {
	if int(k) >= len(kinds) {
		return None
	}
	return kinds[k].unit
}

// MarshalText gives the kind's name.
func (k Kind) MarshalText() ([]byte, error) { return []byte(k.String()), nil }

// UnmarshalText takes the kind's name.
func (k *Kind) UnmarshalText(text []byte) error {
	p, err := ParseKind(string(text))
	if err != nil {
		return err
	}
	*k = p
	return nil
}
