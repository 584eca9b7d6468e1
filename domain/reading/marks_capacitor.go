package reading

import "boardlore/domain/quantity"

// capCode reads a chunk as a capacitor's code.
func (m *marks) capCode(c *chunk) (bool, rank) {
	if !m.suits(quantity.Capacitance) {
		return false, rankNone
	}
	switch {
	case c.shape("9A"):
		return m.capTail(c)
	case c.shape("9A9"), c.shape("9A9A"), c.shape("9A9A9"), c.shape("9A9A9A"):
		return m.capPoint(c)
	case c.shape("A9"), c.shape("A9A"), c.shape("A9A9"), c.shape("A9A9A"):
		return m.capLead(c)
	}
	return false, rankNone
}

// capTail reads figures with letters behind them: 104K, 47j, 22nK.
func (m *marks) capTail(c *chunk) (bool, rank) {
	w := c.atoms[1].text
	num, ok := readNumeral(c.atoms[0].text, m.ctx.Language)
	if !ok {
		return false, rankNone
	}
	if len(w) == 1 {
		return m.capLetter(&num, w[0])
	}
	exps, n := tailLetter(quantity.Capacitance, w[0])
	if len(w) != 2 || n == 0 || !capTolerance(w[1]) {
		return false, rankNone
	}
	for _, d := range num.alts[:num.n] {
		for _, e := range exps[:n] {
			m.value(d, int(e), quantity.Capacitance, w[1], nil)
		}
	}
	return true, rankUnit
}

// capTolerance reports whether a letter is a capacitor's tolerance.
func capTolerance(c byte) bool {
	s := letterTolerances(c, quantity.Capacitance, quantity.Quantity{})
	return s.n > 0
}

func (m *marks) capLetter(num *numeral, l byte) (bool, rank) {
	if exps, n := tailLetter(quantity.Capacitance, l); n > 0 && !(l == 'P' && m.codeLetter(num)) {
		for _, d := range num.alts[:num.n] {
			for _, e := range exps[:n] {
				m.value(d, int(e), quantity.Capacitance, 0, nil)
			}
		}
		return true, rankUnit
	}
	switch l {
	case 'k', 'K':
		return m.capKilo(num, l)
	case 'R', 'r':
		m.capPoints(num.value(), 0)
		return num.whole(), rankCode
	case 'F':
		if !m.codeLetter(num) {
			m.value(num.value(), 0, quantity.Capacitance, 0, nil)
			return true, rankUnit
		}
		if m.marking() && m.fam == anyFamily {
			m.value(num.value(), 0, quantity.Capacitance, 0, nil)
		}
	}
	return m.capFigures(num, l), rankCode
}

// codeLetter reports whether a letter that might be a unit's stands behind the figures of a code.
func (m *marks) codeLetter(num *numeral) bool {
	if !num.plain {
		return m.fam == ceramics || m.fam == films
	}
	return m.fam == ceramics || m.fam == films || m.marking() || len(num.text) == 3 && !preferred(num.value().coef)
}

// capFigures reads figures with a tolerance or voltage letter.
func (m *marks) capFigures(num *numeral, l byte) bool {
	tenths, letter := int64(0), l
	switch m.fam {
	case cans:
		tenths = canVolts(l)
	case tantalums:
		tenths = tantalumVolts(l)
	}
	if tenths > 0 {
		letter = 0
	} else if !capTolerance(l) {
		return false
	}
	coded := m.capBare(num, letter, nil)
	if m.fam == cans && l == 'J' {
		m.rated(63) // tantalum practice, seen on cans too; a factor of ten: never guess
	}
	m.rated(tenths)
	if m.kind == quantity.Voltage && l == 'V' && !coded && len(num.text) < 3 {
		m.offer(num.value(), 0, quantity.Volt, quantity.Tolerance{}, nil)
	}
	if tenths > 0 && m.kind == quantity.ToleranceKind {
		m.cur.n = 0
	}
	return true
}

// capKilo reads K and k behind figures: kilo-picofarad, ±10 %, or a resistance in the wrong place.
func (m *marks) capKilo(num *numeral, l byte) (bool, rank) {
	if m.kind != quantity.Capacitance {
		return m.capKiloOther(num, l), rankCode
	}
	code := l == 'K' && num.plain && len(num.text) == 3
	switch {
	case l == 'K' && (m.fam == cans || m.fam == tantalums):
		return m.capFigures(num, l), rankCode
	case code && (!preferred(num.value().coef) || m.fam == ceramics && m.marking()):
		m.capBare(num, l, nil)
		return true, rankCode
	}
	for _, d := range num.alts[:num.n] {
		m.value(d, -9, quantity.Capacitance, 0, nil)
	}
	switch {
	case l == 'k' && !m.ctx.Continental:
		for _, d := range num.alts[:num.n] {
			m.value(d, 3, quantity.Resistance, 0, doubtField)
		}
	case l == 'K' && !(m.ctx.Continental && !num.plain):
		if d, ok := figureCode(num.text); ok && code {
			m.value(d, -12, quantity.Capacitance, l, nil)
		}
		m.value(num.value(), -12, quantity.Capacitance, l, nil)
		if !num.plain {
			m.value(num.value(), -6, quantity.Capacitance, l, nil)
		}
	}
	return true, rankCode
}

// capKiloOther reads 104K where its tolerance or voltage is asked for.
func (m *marks) capKiloOther(num *numeral, l byte) bool {
	if l == 'k' {
		m.foreign = quantity.Farad
		return true
	}
	sure := m.fam != anyFamily || num.plain && len(num.text) == 3 && !preferred(num.value().coef)
	if m.kind == quantity.ToleranceKind && !sure {
		return true // it may be kilo
	}
	return m.capFigures(num, l)
}

// capPoint reads a letter among figures: 4n7, 4R7, 2A104J, 104J100.
func (m *marks) capPoint(c *chunk) (bool, rank) {
	l := c.atoms[1].text
	if len(l) == 2 {
		return m.capRated(c)
	}
	if len(l) != 1 {
		return false, rankNone
	}
	if voltsFollow(c) {
		return m.capVolts(c)
	}
	if m.pairCode(c) {
		return true, rankCode
	}
	if c.shape("9A9") && m.capCodeRated(c) {
		return true, rankCode
	}
	d, ok := pointed(c.atoms[0].text, c.atoms[2].text)
	if !ok {
		return false, rankNone
	}
	letter, ok := m.capEnding(c, 3)
	if !ok {
		return false, rankNone
	}
	m.capUnitless(c, d)
	return m.capPointed(d, l[0], letter)
}

// capUnitless offers the value of 10u16, which is likelier 10 µF for 16 V than 10.16 µF: the figures behind the letter
// are a rated voltage, and no series has the whole.
func (m *marks) capUnitless(c *chunk, d decimalNumber) {
	exps, n := tailLetter(quantity.Capacitance, c.atoms[1].text[0])
	q, ok := d.times(0, quantity.Farad)
	volts, rated := figuresOf(c.atoms[2].text, -1)
	if c.n != 3 || n != 1 || !ok || quantity.InSeries(q, quantity.E24) || quantity.InSeries(q, quantity.E192) ||
		!rated || !ratedVolts(volts) {
		return
	}
	num, _ := readNumeral(c.atoms[0].text, "")
	m.value(num.value(), int(exps[0]), quantity.Capacitance, 0, doubtRated)
	if m.kind == quantity.Voltage {
		m.offer(volts, 0, quantity.Volt, quantity.Tolerance{}, doubtRated)
	}
}

// ratedVolts reports whether a whole number of at least two figures is in the row of rated voltages.
func ratedVolts(d decimalNumber) bool {
	q, ok := d.times(0, quantity.Volt)
	if !ok || len(q.SI()) < 2 {
		return false
	}
	switch q.SI() {
	case "10", "16", "20", "25", "35", "40", "50", "63", "80", "100", "160", "200", "250", "350", "400", "450", "500",
		"630":
		return true
	}
	return false
}

// capVolts reads 100n50V: a value, then the rated voltage with its unit.
func (m *marks) capVolts(c *chunk) (bool, rank) {
	exps, n := tailLetter(quantity.Capacitance, c.atoms[1].text[0])
	num, ok1 := readNumeral(c.atoms[0].text, m.ctx.Language)
	volts, ok2 := readNumeral(c.atoms[2].text, m.ctx.Language)
	u, _ := lookUnit(c.atoms[3].text)
	if n != 1 || !ok1 || !ok2 || num.n > 1 {
		return false, rankNone
	}
	m.value(num.value(), int(exps[0]), quantity.Capacitance, 0, nil)
	if m.kind == quantity.Voltage {
		for _, d := range volts.alts[:volts.n] {
			m.offer(d, int(u.exps[0]), quantity.Volt, quantity.Tolerance{}, nil)
		}
	}
	return true, rankUnit
}

// capPointed offers the value of a letter at the place of the point.
func (m *marks) capPointed(d decimalNumber, l, letter byte) (bool, rank) {
	switch l {
	case 'R', 'r':
		m.capPoints(d, letter)
		return true, rankCode
	case 'F':
		m.value(d, 0, quantity.Capacitance, letter, nil)
		return true, rankUnit
	case 'm':
		m.value(d, -3, quantity.Capacitance, letter, nil)
		return true, rankUnit
	case 'k', 'K':
		m.value(d, -9, quantity.Capacitance, letter, nil)
		if !m.ctx.Continental {
			m.value(d, 3, quantity.Resistance, letter, doubtField)
		}
		return true, rankCode
	}
	exps, n := tailLetter(quantity.Capacitance, l)
	if m.ctx.Continental && l == 'M' {
		exps, n = [2]int8{-6}, 1 // mega-picofarad
	}
	if n != 1 {
		return false, rankNone
	}
	m.value(d, int(exps[0]), quantity.Capacitance, letter, nil)
	return true, rankUnit
}

// capEnding reads what follows a value from atom k on: nothing, F, a tolerance letter, and the rated voltage.
func (m *marks) capEnding(c *chunk, k int) (letter byte, ok bool) {
	if c.n > k {
		w := c.atoms[k].text
		u, unit := lookUnit(w)
		switch {
		case unit && u.unit == quantity.Farad && u.exps[0] == 0 && !(len(w) == 1 && sameWord(c.atoms[k-2].text, "r")):
		case len(w) == 1 && capTolerance(w[0]):
			letter = w[0]
		default:
			return 0, false
		}
	}
	if c.n > k+1 {
		return letter, m.printedVolts(c, k+1)
	}
	return letter, true
}

// printedVolts reads the rated voltage that is printed behind a tolerance letter, as in 22nK100.
func (m *marks) printedVolts(c *chunk, k int) bool {
	t := c.atoms[k].text
	d, ok := figuresOf(t, -1)
	if !ok || !onlyFigures(t) || len(t) < 2 || len(t) > 4 || t[0] == '0' {
		return false
	}
	if c.n == k+2 {
		if u, unit := lookUnit(c.atoms[k+1].text); !unit || u.unit != quantity.Volt || u.exps[0] != 0 {
			return false
		}
	}
	if m.kind == quantity.Voltage {
		m.offer(d, 0, quantity.Volt, quantity.Tolerance{}, nil)
	}
	return c.n <= k+2
}

// capRated reads 22nK100: value, tolerance letter, rated voltage.
func (m *marks) capRated(c *chunk) (bool, rank) {
	w := c.atoms[1].text
	exps, n := tailLetter(quantity.Capacitance, w[0])
	num, ok := readNumeral(c.atoms[0].text, m.ctx.Language)
	if !ok || n != 1 || num.n > 1 || !capTolerance(w[1]) || !m.printedVolts(c, 2) {
		return false, rankNone
	}
	m.value(num.value(), int(exps[0]), quantity.Capacitance, w[1], nil)
	return true, rankUnit
}

// capCodeRated reads 104J100: code, tolerance letter, rated voltage.
func (m *marks) capCodeRated(c *chunk) bool {
	t, l := c.atoms[0].text, c.atoms[1].text[0]
	if l != 'J' && l != 'K' && l != 'M' && l != 'G' || m.ctx.Continental {
		return false
	}
	num, ok := readNumeral(t, "")
	if !ok || num.plain && (len(t) != 3 || l != 'J' && preferred(num.value().coef)) || !num.plain && !belowOne(&num) ||
		!m.printedVolts(c, 2) {
		return false
	}
	m.capBare(&num, l, nil)
	return true
}

// pairCode reads 2A104J: voltage code, value code, tolerance letter.
func (m *marks) pairCode(c *chunk) bool {
	digit, t := c.atoms[0].text, c.atoms[2].text
	if len(digit) != 1 || len(t) != 3 || c.n > 4 {
		return false
	}
	hundredths := codeVolts(digit[0], c.atoms[1].text[0])
	d, ok := figureCode(t)
	letter, ends := m.capEnding(c, 3)
	if hundredths == 0 || !ok || !ends || t[0] == '0' {
		return false
	}
	switch num, _ := readNumeral(t, ""); {
	case m.fam == cans:
		m.canBare(&num, letter, nil)
	case m.fam == anyFamily && m.orderCode() && (letter == 0 || letter == 'M') && d.top(-6) < -1:
		m.value(d, -6, quantity.Capacitance, letter, nil) // aluminium parts count in microfarads
		m.value(d, -12, quantity.Capacitance, letter, nil)
	default:
		m.value(d, -12, quantity.Capacitance, letter, nil)
	}
	if m.kind == quantity.Voltage {
		m.offer(decimalNumber{hundredths, -2}, 0, quantity.Volt, quantity.Tolerance{}, nil)
	}
	return true
}

// capLead reads a letter before figures: p47, R47, J107.
func (m *marks) capLead(c *chunk) (bool, rank) {
	w, t := c.atoms[0].text, c.atoms[1].text
	if len(w) != 1 || !onlyFigures(t) {
		return false, rankNone
	}
	l := w[0]
	if m.letterBefore(l) && len(t) == 3 && c.n == 2 {
		d, _ := figureCode(t)
		m.value(d, -12, quantity.Capacitance, 0, nil)
		m.rated(tantalumVolts(l))
		return true, rankCode
	}
	letter, ok := m.capEnding(c, 2)
	d, ok2 := pointed(nil, t)
	if !ok || !ok2 {
		return false, rankNone
	}
	if l == 'F' && m.fam != supers {
		return false, rankNone
	}
	ok, k := m.capPointed(d, l, letter)
	if k == rankUnit && l >= 'A' && l <= 'Z' || l == 'R' {
		k = rankLead
	}
	return ok, k
}

// letterBefore reports whether a letter before three figures is a tantalum's voltage. In lists it may be a
// designator.
func (m *marks) letterBefore(l byte) bool {
	return tantalumVolts(l) > 0 && l != 'e' && !m.list() && (m.fam == tantalums || m.fam == anyFamily && m.marking())
}

// capPoints offers a value whose point is an R: picofarads on ceramics, microfarads on cans and tantalums; on others
// it may be either.
func (m *marks) capPoints(d decimalNumber, letter byte) {
	switch m.fam {
	case ceramics:
		m.value(d, -12, quantity.Capacitance, letter, nil)
	case cans, tantalums:
		m.value(d, -6, quantity.Capacitance, letter, nil)
	case supers: // 5R5 is their voltage
	default:
		m.value(d, -12, quantity.Capacitance, letter, nil)
		m.value(d, -6, quantity.Capacitance, letter, nil)
	}
	if m.class == anyClass && m.kind == quantity.Capacitance {
		m.value(d, 0, quantity.Resistance, letter, doubtField)
	}
}

// voltsFollow reports whether a chunk is like 100n50V, where the letter ends the value.
func voltsFollow(c *chunk) bool {
	if !c.shape("9A9A") {
		return false
	}
	u, ok := lookUnit(c.atoms[3].text)
	return ok && u.unit == quantity.Volt && u.n == 1
}
