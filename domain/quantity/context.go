package quantity

import "strings"

// class is what the part is, as far as reading depends on it.
type class uint8

const (
	anyClass class = iota
	capacitors
	resistors
	potentiometers
	inductors
	varistors
	crystals
	otherClass
)

func classOf(c *Context) class {
	switch c.Class {
	case "", "other":
		if c.Construction != "" {
			return capacitors // only capacitors have a construction that matters here
		}
		return anyClass
	case "capacitor":
		return capacitors
	case "resistor", "thermistor":
		return resistors
	case "potentiometer":
		return potentiometers
	case "inductor", "transformer":
		return inductors
	case "varistor":
		return varistors
	case "crystal":
		return crystals
	}
	return otherClass
}

// family is the sort of capacitor, as far as reading depends on it.
type family uint8

const (
	anyFamily family = iota
	ceramics         // ceramic and mica: figures count in picofarads
	films            // film and paper
	tantalums
	cans // wet and polymer aluminium: figures count in microfarads
	supers
)

func familyOf(c *Context) family {
	s := c.Construction
	switch {
	case s == "":
		return anyFamily
	case strings.Contains(s, "tantalum"):
		return tantalums
	case strings.Contains(s, "alumin"), s == "electrolytic", s == "polymer":
		return cans
	case strings.Contains(s, "ceramic"), s == "mica":
		return ceramics
	case s == "film", s == "paper":
		return films
	case s == "supercapacitor":
		return supers
	}
	return anyFamily
}

func (r *reader) marking() bool   { return r.ctx.Found == "marking" }
func (r *reader) orderCode() bool { return r.ctx.Found == "order-code" }
func (r *reader) list() bool      { return r.ctx.Found == "list" }

// what says which value the figures and letters of a text stand for: the kind asked for, or the value that the class
// of part has.
func (r *reader) what() Kind {
	switch r.kind {
	case Capacitance, Resistance, Inductance:
		return r.kind
	}
	switch r.class {
	case capacitors:
		return Capacitance
	case resistors, potentiometers:
		return Resistance
	case inductors:
		return Inductance
	}
	return 0
}

// suits reports whether the class of part can have the kind of value that only a code or a letter gives.
func (r *reader) suits(k Kind) bool {
	switch r.class {
	case capacitors:
		return k == Capacitance
	case resistors, potentiometers:
		return k == Resistance
	case inductors:
		return k == Inductance || k == Resistance
	}
	return true
}
