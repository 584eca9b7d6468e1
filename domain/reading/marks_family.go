package reading

import (
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// capBare offers what figures without unit mean on the family of capacitor, with a tolerance letter if there is one.
// It reports whether they were read as a code with a multiplier figure.
func (m *marks) capBare(num *numeral, letter byte, doubts []message.Message) (coded bool) {
	code := num.plain && len(num.text) == 3
	switch m.fam {
	case ceramics:
		m.ceramicBare(num, letter, doubts)
	case films:
		m.filmBare(num, letter, doubts)
	case tantalums:
		return m.tantalumBare(num, letter, doubts)
	case cans:
		return m.canBare(num, letter, doubts)
	case supers:
		m.superBare(num, letter, doubts)
	default:
		m.anyBare(num, letter, doubts)
	}
	return code
}

// farads offers every value of a numeral in one power of ten.
func (m *marks) farads(num *numeral, exp int, letter byte, doubts []message.Message) {
	for _, d := range num.alts[:num.n] {
		m.value(d, exp, quantity.Capacitance, letter, doubts)
	}
}

// belowOne reports whether a numeral is a decimal below one.
func belowOne(num *numeral) bool {
	d := num.value()
	return num.n == 1 && d.coef > 0 && !num.plain && magnitude(d.coef) < pow10(min(max(-d.exp, 0), 19))
}

// ceramicCode reads three figures on a ceramic part, where a last 8 is a hundredth and a 9 a tenth.
func ceramicCode(t []byte) decimalNumber {
	d, _ := figureCode(t)
	switch t[2] {
	case '8':
		d.exp -= 10
	case '9':
		d.exp -= 10
	}
	return d
}

func (m *marks) ceramicBare(num *numeral, letter byte, doubts []message.Message) {
	switch t := num.text; {
	case belowOne(num):
		m.farads(num, -6, letter, doubts)
	case !num.plain:
		m.farads(num, -12, letter, doubts)
		m.farads(num, -6, letter, doubts)
	case len(t) == 3:
		m.value(ceramicCode(t), -12, quantity.Capacitance, letter, doubts)
	case len(t) == 4:
		m.fourFigures(num, -12, letter, doubts)
	default:
		m.farads(num, -12, letter, doubts)
	}
}

// fourFigures offers a number of four figures as it stands, in the unit given, and as a code in picofarads, whichever
// of them parts have; both where both are or neither is.
func (m *marks) fourFigures(num *numeral, exp int, letter byte, doubts []message.Message) {
	code, _ := figureCode(num.text)
	plain := preferred(num.value().coef)
	coded := inE96(code.coef) && num.text[0] != '0'
	if plain || !coded {
		m.farads(num, exp, letter, doubts)
	}
	if coded || !plain {
		m.value(code, -12, quantity.Capacitance, letter, doubts)
	}
}

func (m *marks) filmBare(num *numeral, letter byte, doubts []message.Message) {
	switch t := num.text; {
	case !num.plain:
		m.farads(num, -6, letter, doubts)
	case len(t) == 3:
		m.value(ceramicCode(t), -12, quantity.Capacitance, letter, doubts)
	case len(t) == 4:
		m.fourFigures(num, -12, letter, doubts)
	case len(t) > 4:
		m.farads(num, -12, letter, doubts)
	default:
		m.farads(num, -12, letter, doubts)
		m.farads(num, -6, letter, doubts)
	}
}

// top is the power of ten of the first figure of the number, raised by exp.
func (d decimalNumber) top(exp int) int {
	n := d.exp + exp
	for m := magnitude(d.coef); m >= 10; m /= 10 {
		n++
	}
	return n
}

func (m *marks) tantalumBare(num *numeral, letter byte, doubts []message.Message) (coded bool) {
	if num.plain && len(num.text) == 3 {
		code, _ := figureCode(num.text)
		if code.coef == 0 || code.top(-12) >= -9 && code.top(-12) <= -2 {
			m.value(code, -12, quantity.Capacitance, letter, doubts)
			return true
		}
	}
	m.farads(num, -6, letter, doubts)
	return false
}

// canBare reads figures on aluminium parts. Printed figures are microfarads, unless they are no number that such
// parts have and a code of one that they have. Order codes count in microfarads or, of some makers, in picofarads.
func (m *marks) canBare(num *numeral, letter byte, doubts []message.Message) (coded bool) {
	code, ok := figureCode(num.text)
	if !ok || len(num.text) != 3 {
		m.farads(num, -6, letter, doubts)
		if m.orderCode() && ok {
			m.value(code, -6, quantity.Capacitance, letter, doubts)
		}
		return false
	}
	inPF := code.top(-12) >= -7 && code.top(-12) <= -1
	inUF := code.top(-6) >= -7 && code.top(-6) <= -1
	plain := preferred(num.value().coef) && num.whole()
	switch {
	case code.coef == 0, !m.orderCode() && plain:
		m.farads(num, -6, letter, doubts)
		return false
	case m.orderCode() && (inUF || inPF), !m.orderCode() && inPF:
		if m.orderCode() && inUF {
			m.value(code, -6, quantity.Capacitance, letter, doubts)
		}
		if inPF {
			m.value(code, -12, quantity.Capacitance, letter, doubts)
		}
		return true
	}
	m.value(code, -6, quantity.Capacitance, letter, doubts)
	m.farads(num, -6, letter, doubts)
	return true
}

// superBare reads figures on double-layer parts: farads, or a code in microfarads.
func (m *marks) superBare(num *numeral, letter byte, doubts []message.Message) {
	code, ok := figureCode(num.text)
	if ok && len(num.text) == 3 && !(preferred(num.value().coef) && num.whole()) {
		m.value(code, -6, quantity.Capacitance, letter, doubts)
		return
	}
	m.farads(num, 0, letter, doubts)
}

// anyBare reads figures on a capacitor of unknown sort.
func (m *marks) anyBare(num *numeral, letter byte, doubts []message.Message) {
	t := num.text
	switch {
	case belowOne(num):
		m.farads(num, -6, letter, doubts)
		if num.value().top(0) < -4 {
			m.farads(num, 0, letter, doubts) // so many noughts may have been written for farads
		}
	case !num.plain, len(t) <= 2:
		m.farads(num, -6, letter, doubts)
		m.farads(num, -12, letter, doubts)
	case len(t) == 3:
		m.anyCode(num, letter, doubts)
	case len(t) == 4:
		m.fourFigures(num, -6, letter, doubts)
		m.farads(num, -12, letter, doubts)
	default:
		m.farads(num, -6, letter, doubts)
		m.farads(num, -12, letter, doubts)
	}
}

// anyCode reads three figures on a capacitor of unknown sort.
func (m *marks) anyCode(num *numeral, letter byte, doubts []message.Message) {
	t := num.text
	m.value(ceramicCode(t), -12, quantity.Capacitance, letter, doubts)
	code, _ := figureCode(t)
	if t[2] == '8' && code.coef != 0 {
		m.value(code, -12, quantity.Capacitance, letter, doubts)
	}
	if m.ctx.Historic && letter == 0 {
		m.farads(num, -12, 0, doubts) // old micas and ceramics print picofarads as they are
	}
	if preferred(num.value().coef) && num.whole() {
		m.farads(num, -6, letter, doubts)
		if m.ctx.Found == "" && letter == 0 {
			m.value(code, -6, quantity.Capacitance, 0, doubts)
		}
	}
	if m.orderCode() && t[2] != '0' && code.top(-6) <= -1 {
		m.value(code, -6, quantity.Capacitance, letter, doubts)
	}
}
