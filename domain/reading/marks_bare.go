package reading

import (
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// bareNumber is a number without unit.
type bareNumber struct {
	num    numeral
	i      int  // its atom
	neg    bool // a minus stands before it
	slash  bool // a stroke parts it from the number before it
	joined bool // a sign of a range does
}

// bare reads the numbers without unit that a text has, when nothing in it has the unit asked for. after is the atom
// behind the last capacitance of the text, 0 where there is none; alone says that nothing else stands in the text.
func (m *marks) bare(all []bareNumber, after int, alone bool) {
	if len(all) == 0 {
		return
	}
	first := &all[0]
	if first.neg && m.kind != quantity.Temperature && m.kind != quantity.Voltage {
		m.fail = message.Of("reading.kind-negative", kindWord(m.kind))
		return
	}
	if len(all) == 2 && all[1].joined {
		m.fail = failRange
		return
	}
	if first.num.power && len(all) == 1 && m.kind != quantity.ToleranceKind && m.suits(m.kind) {
		m.unitless(first, m.kind.Unit()) // whoever writes powers of ten writes bare units
		return
	}
	switch m.kind {
	case quantity.Capacitance:
		m.bareCapacitance(all)
	case quantity.Resistance, quantity.Inductance:
		if len(all) == 1 && m.suits(m.kind) {
			m.bareOther(first)
		}
	case quantity.Voltage:
		m.bareVoltage(all, after, alone)
	case quantity.Temperature:
		if len(all) == 1 && alone {
			m.unitless(first, quantity.Celsius)
		}
	}
}

// unitless offers a number alone in the bare unit.
func (m *marks) unitless(b *bareNumber, u quantity.Unit) {
	if b.num.plain && len(b.num.text) > 1 && b.num.text[0] == '0' {
		return // a code, not a number
	}
	for _, d := range b.num.alts[:b.num.n] {
		if b.neg {
			d.coef = -d.coef
		}
		m.offer(d, 0, u, quantity.Tolerance{}, doubtNoUnit)
	}
}

// bareCapacitance reads 47, 104, 1000/25, 470 16. A second number is the rated voltage.
func (m *marks) bareCapacitance(all []bareNumber) {
	b := &all[0]
	if len(all) > 2 || !m.suits(quantity.Capacitance) || m.class == otherClass || m.class == varistors ||
		m.class == crystals {
		return
	}
	if len(all) == 2 && !m.ratedPair(all) {
		return
	}
	if len(all) == 2 && m.fam == anyFamily {
		m.farads(&b.num, -6, 0, doubtBare) // so written for electrolytics only, unless it is a code
		if d, ok := figureCode(b.num.text); ok && len(b.num.text) == 3 {
			m.value(d, -12, quantity.Capacitance, 0, doubtBare)
		}
	} else {
		m.capBare(&b.num, 0, doubtBare)
	}
	if len(all) == 2 && swapped(all) {
		m.farads(&all[1].num, -6, 0, doubtBare)
	}
	if len(all) == 1 {
		m.otherParts(b, quantity.Capacitance)
	}
}

// ratedPair reports whether two bare numbers are a capacitance and a rated voltage.
func (m *marks) ratedPair(all []bareNumber) bool {
	v := all[1].num
	d := v.value()
	volts, ok := d.times(0, quantity.Volt)
	most, _ := quantity.New(1000, 0, quantity.Volt)
	return ok && v.n == 1 && (v.whole() || !v.plain) && volts.Sign() > 0 && volts.Compare(most) <= 0 &&
		m.class != resistors && m.class != inductors
}

// swapped reports whether the pair may as well be volts over microfarads: the first is a rated voltage that is no
// preferred number, and the second is one.
func swapped(all []bareNumber) bool {
	switch string(all[0].num.text) {
	case "6.3", "25", "35", "40", "50", "63", "80", "160", "250", "350", "400", "450":
		return preferredE24(all[1].num.value().coef)
	}
	return false
}

// bareOther reads a number alone as a resistance or an inductance.
func (m *marks) bareOther(b *bareNumber) {
	if m.kind == quantity.Resistance {
		m.resBare(&b.num, doubtBare)
	} else {
		m.coilBare(&b.num, 0, doubtBare)
	}
	m.otherParts(b, m.kind)
}

// otherParts adds what a figure code means on the other kinds of part, where the kind of part is unknown.
func (m *marks) otherParts(b *bareNumber, k quantity.Kind) {
	d, ok := figureCode(b.num.text)
	if m.class != anyClass || !b.num.plain || len(b.num.text) != 3 || !ok || d.coef == 0 {
		return
	}
	if k != quantity.Resistance {
		m.value(d, 0, quantity.Resistance, 0, doubtField)
	}
	if k != quantity.Capacitance {
		m.value(ceramicCode(b.num.text), -12, quantity.Capacitance, 0, doubtField)
	}
	if k != quantity.Inductance {
		m.value(d, -6, quantity.Inductance, 0, doubtField)
	}
}

// bareVoltage reads the second number of 1000/25 and the number behind a capacitance, or a number alone.
func (m *marks) bareVoltage(all []bareNumber, after int, alone bool) {
	last := &all[len(all)-1]
	switch {
	case m.class == varistors && len(all) == 1 && last.num.plain && len(last.num.text) == 3:
		d, _ := figureCode(last.num.text)
		m.offer(d, 0, quantity.Volt, quantity.Tolerance{}, doubtBare)
	case len(all) == 2 && after == 0 && m.ratedPair(all):
		m.unitless(last, quantity.Volt)
		if swapped(all) {
			m.unitless(&all[0], quantity.Volt)
		}
	case len(all) == 1 && after > 0 && last.i == after, len(all) == 1 && alone:
		m.unitless(last, quantity.Volt)
	}
}
