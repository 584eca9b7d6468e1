package reading

import (
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Marking codes: figures with a multiplier figure, letters at the place of the point, tolerance and voltage letters.

// codeFirst reports whether figures with one letter may be a code although the letter is also a unit's.
func (m *marks) codeFirst(c *chunk) bool {
	if !c.shape("9A") || len(c.atoms[1].text) != 1 || c.atoms[1].text[0] >= signOhm {
		return false
	}
	l, figures := c.atoms[1].text[0], len(c.atoms[0].text)
	switch m.what() {
	case quantity.Capacitance:
		return m.kind != quantity.Temperature && m.capCodeFirst(c, l, figures)
	case quantity.Resistance:
		return m.kind == quantity.Resistance && m.resCodeFirst(c, l) || m.kind == quantity.ToleranceKind
	case quantity.Inductance:
		if _, ok := coilLetters.get(l); !ok || l == 'H' {
			return false
		}
		return (l != 'N' || figures == 3) && figures <= 4
	}
	return false
}

func (m *marks) capCodeFirst(c *chunk, l byte, figures int) bool {
	switch l {
	case 'p', 'n', 'u', 'm', 'N', 'U':
		return false
	case 'P':
		return figures == 3 && (m.fam == ceramics || m.fam == films)
	case 'R', 'r', 'K', 'k', 'J', 'M', 'Z', 'G', 'D', 'B', 'Q', 'S', 'j', 'g', 'e', 'T', 'E':
		return true
	case 'F':
		return m.fam == ceramics || m.fam == films || m.fam != supers && (m.marking() || figures == 3 &&
			!m.wholePreferred(c))
	case 'V':
		return m.letterVolts(c)
	case 'C', 'A', 'H':
		return m.fam == cans || m.fam == tantalums || m.fam == ceramics && figures == 3
	}
	return false
}

func (m *marks) wholePreferred(c *chunk) bool {
	d, ok := figuresOf(c.atoms[0].text, -1)
	return ok && preferred(d.coef)
}

// letterVolts reports whether the V behind figures may be the letter for 35 V: on chips and cans, behind figures that
// are no rated voltage.
func (m *marks) letterVolts(c *chunk) bool {
	if m.fam != cans && m.fam != tantalums || m.list() || !onlyFigures(c.atoms[0].text) {
		return false
	}
	switch string(c.atoms[0].text) {
	case "2", "4", "5", "6", "7", "8", "10", "12", "15", "16", "20", "25", "30", "35", "40", "50", "63", "75", "80",
		"100", "125", "150", "160", "180", "200", "250", "300", "315", "350", "385", "400", "420", "450", "500", "550",
		"630":
		return false
	}
	return m.marking() || m.fam == tantalums
}

func (m *marks) resCodeFirst(c *chunk, l byte) bool {
	t := c.atoms[0].text
	if len(t) == 2 && digit(t[0]) {
		return m.eia96(t, l, nil)
	}
	if len(t) < 3 || len(t) > 4 || m.list() || !digit(t[0]) || !digit(t[1]) || !digit(t[2]) {
		return false
	}
	switch l {
	case 'F', 'J', 'D', 'B', 'C':
		return m.class == resistors || m.class == potentiometers || m.marking()
	case 'K', 'M', 'G':
		return !m.wholePreferred(c)
	}
	return false
}

// chunk reads a chunk as a code and reports whether it was one, whatever the kind asked for. What it says of that kind
// is in cur.
func (m *marks) chunk(c *chunk) (ok bool, k rank) {
	m.cur.n = 0
	if c.long || c.n < 2 {
		return false, rankNone
	}
	if m.plainUnits(c) {
		return true, rankUnit
	}
	k = rankCode
	switch what := m.what(); {
	case m.class == varistors && m.kind == quantity.Voltage:
		ok = m.varistor(c)
	case what == quantity.Capacitance, what == 0 && m.kind != quantity.Power && m.kind != quantity.Frequency:
		ok, k = m.capCode(c)
	case what == quantity.Resistance:
		ok, k = m.resCode(c)
	case what == quantity.Inductance:
		ok, k = m.coilCode(c)
	}
	if !ok || !m.fail.IsZero() {
		m.cur.n = 0
	}
	return ok, k
}

// plainUnits reads 6V3, 1A6, 0W25 and 32k768: a unit or a multiplier at the place of the point, for those kinds that
// have no other codes.
func (m *marks) plainUnits(c *chunk) bool {
	if c.n < 3 || c.n > 4 || !c.shape("9A9") && !c.shape("9A9A") || len(c.atoms[1].text) != 1 {
		return false
	}
	d, ok := pointed(c.atoms[0].text, c.atoms[2].text)
	if !ok {
		return false
	}
	l := c.atoms[1].text[0]
	u, exp := quantity.None, 0
	switch {
	case l == 'V' || l == 'v':
		if len(c.atoms[2].text) > max(1, 3-len(c.atoms[0].text)) {
			return false // 50V105 are 50 V and 105 °C
		}
		u = quantity.Volt
	case l == 'A' && m.what() != quantity.Capacitance:
		u = quantity.Ampere
	case l == 'W':
		u = quantity.Watt
	case m.kind == quantity.Frequency || m.kind == quantity.Voltage:
		exps, n := tailLetter(quantity.Frequency, l)
		if n == 0 || m.kind == quantity.Voltage && (l != 'k' || c.n == 3) {
			return false
		}
		u, exp = m.kind.Unit(), int(exps[0])
	}
	if u == quantity.None {
		return false
	}
	if c.n == 4 {
		if v, ok := lookUnit(c.atoms[3].text); !ok || v.unit != u || v.exps[0] != 0 {
			return false
		}
	}
	if u != m.kind.Unit() {
		m.foreign = u
		return true
	}
	m.offer(d, exp, u, quantity.Tolerance{}, nil)
	return true
}

// pointed makes the number whose decimal point a letter takes.
func pointed(whole, decimals []byte) (decimalNumber, bool) {
	if len(whole) > 4 || len(decimals) > 4 || !onlyFigures(whole) || !onlyFigures(decimals) {
		return decimalNumber{}, false
	}
	var b [8]byte
	d, ok := figuresOf(append(append(b[:0], whole...), decimals...), -1)
	d.exp -= len(decimals)
	if d.coef == 0 {
		d.exp = 0
	}
	return d, ok
}

func onlyFigures(s []byte) bool {
	for _, c := range s {
		if !digit(c) {
			return false
		}
	}
	return true
}

// figureCode reads figures of which the last is a power of ten.
func figureCode(t []byte) (decimalNumber, bool) {
	if len(t) < 3 || len(t) > 4 || !onlyFigures(t) {
		return decimalNumber{}, false
	}
	d, ok := figuresOf(t[:len(t)-1], -1)
	if d.coef != 0 {
		d.exp += int(t[len(t)-1] - '0')
	}
	return d, ok
}

// value offers one value that a code gives, with the tolerance of its letter (0 for none). A kind that is not asked
// for gives its tolerance only.
func (m *marks) value(d decimalNumber, exp int, k quantity.Kind, letter byte, doubts []message.Message) {
	if m.kind == quantity.ToleranceKind {
		m.foreign = k.Unit()
		if q, ok := d.times(exp, k.Unit()); ok && letter != 0 {
			s := letterTolerances(letter, k, q)
			for _, t := range s.t[:s.n] {
				m.cur.add(Amount{Tolerance: t})
			}
		}
		return
	}
	if m.kind != quantity.Capacitance && m.kind != quantity.Resistance && m.kind != quantity.Inductance {
		m.foreign = k.Unit()
		return
	}
	var tol quantity.Tolerance
	if q, ok := d.times(exp, k.Unit()); ok && letter != 0 {
		if s := letterTolerances(letter, k, q); s.n > 0 {
			tol = s.t[0]
		}
	}
	m.offer(d, exp, k.Unit(), tol, doubts)
}

// rated offers the voltage of a code, in tenths of a volt.
func (m *marks) rated(tenths int64) {
	if m.kind == quantity.Voltage {
		m.volts(tenths)
	}
}

// varistor reads 471K and 14D471K: a disc size, a code in volts, a tolerance letter.
func (m *marks) varistor(c *chunk) bool {
	t := c.atoms[c.n&^1-2].text
	sized := c.shape("9A9A") && len(c.atoms[1].text) == 1
	if !c.shape("9A") && !sized || len(c.atoms[c.n-1].text) != 1 || len(t) != 3 {
		return false
	}
	d, ok := figureCode(t)
	if _, letter := percentLetters.get(c.atoms[c.n-1].text[0]); !ok || !letter {
		return false
	}
	m.offer(d, 0, quantity.Volt, quantity.Tolerance{}, nil)
	return true
}
