package reading

import (
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// resCode reads a chunk as a resistor's code.
func (m *marks) resCode(c *chunk) (bool, rank) {
	if !m.suits(quantity.Resistance) {
		return false, rankNone
	}
	switch {
	case c.shape("9A"):
		return m.resTail(c)
	case c.shape("9A9"), c.shape("9A9A"):
		return m.resPoint(c, c.atoms[0].text, 1)
	case c.shape("A9"), c.shape("A9A"):
		ok, k := m.resPoint(c, nil, 0)
		return ok, min(k, rankLead)
	}
	return false, rankNone
}

func (m *marks) resTail(c *chunk) (bool, rank) {
	t, w := c.atoms[0].text, c.atoms[1].text
	num, ok := readNumeral(t, m.ctx.Language)
	if !ok {
		return false, rankNone
	}
	if len(w) == 1 {
		return m.resLetter(&num, w[0])
	}
	e, ok := resistorLetter(w[0])
	if _, tol := percentLetters.get(w[1]); len(w) != 2 || !ok || !tol {
		return false, rankNone
	}
	letter := w[1]
	if m.class == potentiometers && lawLetter(letter) {
		letter = 0
	}
	for _, d := range num.alts[:num.n] {
		m.value(d, int(e), quantity.Resistance, letter, nil)
	}
	return true, rankUnit
}

// lawLetter reports whether a letter behind a potentiometer's value is the law of its track, not a tolerance.
func lawLetter(c byte) bool { return c == 'A' || c == 'B' || c == 'C' }

// resLetter reads figures with one letter: EIA-96, or a code with a tolerance, or a multiplier where another kind is
// asked for.
func (m *marks) resLetter(num *numeral, l byte) (bool, rank) {
	if m.kind == quantity.Resistance && num.plain && len(num.text) == 2 {
		if e, ok := resistorLetter(l); ok && m.marking() && num.text[0] != '0' && m.eia96(num.text, l, nil) {
			m.value(num.value(), int(e), quantity.Resistance, 0, nil)
		}
		return m.eia96(num.text, l, m), rankCode
	}
	_, multiplier := resistorLetter(l)
	_, tol := percentLetters.get(l)
	if multiplier && (m.kind != quantity.Resistance || !tol) {
		m.foreign = quantity.Ohm
		return true, rankUnit
	}
	if !tol || !num.plain || len(num.text) < 3 || len(num.text) > 4 {
		return false, rankNone
	}
	if multiplier {
		e, _ := resistorLetter(l)
		m.value(num.value(), int(e), quantity.Resistance, 0, nil)
	}
	if d, ok := figureCode(num.text); ok {
		m.value(d, 0, quantity.Resistance, l, nil)
	}
	return true, rankCode
}

// eia96 reads two figures and a letter of the three-character code into the reader, if one is given, and reports
// whether it is that code. On a list, and where the part is unknown, letters that are units too are not taken.
func (m *marks) eia96(t []byte, l byte, into *marks) bool {
	exp, ok := eia96Exp(l)
	i := int(t[0]-'0')*10 + int(t[1]-'0')
	if !ok || i < 1 || i > 96 {
		return false
	}
	if !m.marking() && t[0] != '0' {
		switch l {
		case 'R', 'E':
			return false
		case 'A', 'C', 'F', 'H':
			if m.class != resistors || m.ctx.Found != "" {
				return false
			}
		}
	}
	if into != nil {
		into.value(decimalNumber{e96[i-1], exp}, 0, quantity.Resistance, 0, doubtCode)
	}
	return true
}

// resPoint reads a letter at the place of the point, atom k, with the unit or a tolerance letter behind.
func (m *marks) resPoint(c *chunk, whole []byte, k int) (bool, rank) {
	w, decimals := c.atoms[k].text, c.atoms[k+1].text
	d, ok := pointed(whole, decimals)
	if len(w) != 1 || !ok {
		return false, rankNone
	}
	letter, ok := resEnd(c, k+2)
	if !ok {
		return false, rankNone
	}
	if w[0] == 'm' {
		m.value(d, -3, quantity.Resistance, letter, nil)
		m.value(d, 6, quantity.Resistance, letter, nil)
		return true, rankUnit
	}
	e, ok := resistorLetter(w[0])
	if !ok {
		return false, rankNone
	}
	m.value(d, int(e), quantity.Resistance, letter, nil)
	if (w[0] == 'E' || w[0] == 'e') && len(whole) > 0 && letter == 0 && m.kind == quantity.Resistance {
		m.powerOfTen(whole, decimals)
	}
	return true, rankUnit
}

// powerOfTen offers 4E7 as 4 × 10^7.
func (m *marks) powerOfTen(whole, exp []byte) {
	n, _ := figuresOf(whole, -1)
	e, _ := figuresOf(exp, -1)
	if e.exp > 1 || e.coef > maxExp {
		return
	}
	n.exp += int(e.small())
	if _, ok := n.times(0, quantity.Ohm); ok {
		m.value(n, 0, quantity.Resistance, 0, nil)
	}
}

// resEnd reads what follows a value from atom k on: nothing, the unit, or a tolerance letter.
func resEnd(c *chunk, k int) (letter byte, ok bool) {
	if c.n <= k {
		return 0, true
	}
	w := c.atoms[k].text
	if u, unit := lookUnit(w); unit && u.unit == quantity.Ohm && u.exps[0] == 0 {
		return 0, true
	}
	if len(w) != 1 {
		return 0, false
	}
	_, tol := percentLetters.get(w[0])
	return w[0], tol
}

// resBare offers what figures without unit mean on a resistor: ohms in a list, a code on the part, and where neither
// is known those of the two that resistors have.
func (m *marks) resBare(num *numeral, doubts []message.Message) {
	code, ok := figureCode(num.text)
	if !num.plain || !ok {
		m.ohms(num, doubts)
		return
	}
	plainE24, plain := preferredE24(num.value().coef) && num.whole(), inE96(num.value().coef) && num.whole()
	switch {
	case code.coef == 0, m.list() && (plainE24 || len(num.text) == 4 && plain):
		m.ohms(num, doubts)
	case m.marking(), m.orderCode():
		m.value(code, 0, quantity.Resistance, 0, doubts)
	case m.list():
		m.ohms(num, doubts)
		m.value(code, 0, quantity.Resistance, 0, doubts)
	default:
		m.value(code, 0, quantity.Resistance, 0, doubts)
		if plain {
			m.ohms(num, doubts)
		}
	}
}

func (m *marks) ohms(num *numeral, doubts []message.Message) {
	for _, d := range num.alts[:num.n] {
		m.value(d, 0, quantity.Resistance, 0, doubts)
	}
}

// coilCode reads a chunk as an inductor's code.
func (m *marks) coilCode(c *chunk) (bool, rank) {
	if m.class != inductors && m.class != anyClass && m.class != otherClass {
		return false, rankNone
	}
	switch {
	case c.shape("9A"):
		return m.coilTail(c)
	case c.shape("9A9"), c.shape("9A9A"):
		return m.coilPoint(c, c.atoms[0].text, 1)
	case c.shape("A9"), c.shape("A9A"):
		ok, k := m.coilPoint(c, nil, 0)
		return ok, min(k, rankLead)
	}
	return false, rankNone
}

func (m *marks) coilTail(c *chunk) (bool, rank) {
	w := c.atoms[1].text
	num, ok := readNumeral(c.atoms[0].text, m.ctx.Language)
	if !ok {
		return false, rankNone
	}
	last := w[len(w)-1]
	_, tol := coilLetters.get(last)
	exps, n := tailLetter(quantity.Inductance, w[0])
	switch {
	case len(w) == 2 && tol && n == 1:
		m.henries(&num, int(exps[0]), last, nil)
		return true, rankUnit
	case len(w) == 1 && n == 1 && !(w[0] == 'N' && len(num.text) == 3):
		m.henries(&num, int(exps[0]), 0, nil)
		return true, rankUnit
	case m.class == anyClass && len(num.text) < 2: // 1V is no coil, unless something says coil
	case len(w) == 1 && tol:
		if w[0] == 'N' && preferred(num.value().coef) {
			m.henries(&num, -9, 0, nil)
		}
		if w[0] == 'M' && (!num.plain || len(num.text) < 3) {
			m.henries(&num, -3, 0, nil)
		}
		m.coilBare(&num, last, nil)
		return true, rankCode
	}
	return false, rankNone
}

func (m *marks) henries(num *numeral, exp int, letter byte, doubts []message.Message) {
	for _, d := range num.alts[:num.n] {
		m.value(d, exp, quantity.Inductance, letter, doubts)
	}
}

func (m *marks) coilPoint(c *chunk, whole []byte, k int) (bool, rank) {
	w := c.atoms[k].text
	d, ok := pointed(whole, c.atoms[k+1].text)
	if len(w) != 1 || !ok {
		return false, rankNone
	}
	var letter byte
	if c.n > k+2 {
		end := c.atoms[k+2].text
		_, tol := coilLetters.get(end[0])
		u, unit := lookUnit(end)
		switch {
		case unit && u.unit == quantity.Henry && u.exps[0] == 0:
		case tol && len(end) == 1:
			letter = end[0]
		default:
			return false, rankNone
		}
	}
	if w[0] == 'H' {
		m.value(d, 0, quantity.Inductance, letter, nil)
		return true, rankUnit
	}
	if w[0] == 'M' {
		m.value(d, -3, quantity.Inductance, letter, nil)
		m.value(d, 6, quantity.Inductance, letter, nil)
		return true, rankUnit
	}
	exps, n := tailLetter(quantity.Inductance, w[0])
	if w[0] == 'R' || w[0] == 'r' {
		exps, n = [2]int8{-6}, 1 // the point of microhenries; behind the figures it would be ohms
	}
	if n != 1 {
		return false, rankNone
	}
	m.value(d, int(exps[0]), quantity.Inductance, letter, nil)
	if m.class == anyClass && (w[0] == 'R' || w[0] == 'r') {
		m.value(d, 0, quantity.Resistance, letter, doubtField)
	}
	return true, rankUnit
}

// coilBare offers what figures without unit mean on an inductor: a code in microhenries, or microhenries or
// nanohenries as they stand.
func (m *marks) coilBare(num *numeral, letter byte, doubts []message.Message) {
	code, ok := figureCode(num.text)
	if !ok || !num.plain {
		m.henries(num, -6, letter, doubts)
		if letter == 0 {
			m.henries(num, -9, letter, doubts)
		}
		return
	}
	m.value(code, -6, quantity.Inductance, letter, doubts)
	if plain := preferred(num.value().coef) && num.whole(); plain && (len(num.text) == 4 || !m.marking() &&
		!m.orderCode() && letter == 0) {
		m.henries(num, -6, letter, doubts)
	}
}
