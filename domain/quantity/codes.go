package quantity

// Marking codes: figures with a multiplier figure, letters at the place of the point, tolerance and voltage letters.

var (
	doubtBare  = []string{"no unit is written; this is what such a number means on such a part"}
	doubtField = []string{"it may be the value of another kind of part in the wrong place"}
	doubtCode  = []string{"read as a resistor's marking code"}
)

// codeFirst reports whether figures with one letter may be a code although the letter is also a unit's.
func (r *reader) codeFirst(c *chunk) bool {
	if !c.shape("9A") || len(c.atoms[1].text) != 1 || c.atoms[1].text[0] >= signOhm {
		return false
	}
	l, figures := c.atoms[1].text[0], len(c.atoms[0].text)
	switch r.what() {
	case Capacitance:
		return r.kind != Temperature && r.capCodeFirst(c, l, figures)
	case Resistance:
		return r.kind == Resistance && r.resCodeFirst(c, l) || r.kind == ToleranceKind
	case Inductance:
		if _, ok := coilLetters.get(l); !ok || l == 'H' {
			return false
		}
		return (l != 'N' || figures == 3) && figures <= 4
	}
	return false
}

func (r *reader) capCodeFirst(c *chunk, l byte, figures int) bool {
	switch l {
	case 'p', 'n', 'u', 'm', 'N', 'U':
		return false
	case 'P':
		return figures == 3 && (r.fam == ceramics || r.fam == films)
	case 'R', 'r', 'K', 'k', 'J', 'M', 'Z', 'G', 'D', 'B', 'Q', 'S', 'j', 'g', 'e', 'T', 'E':
		return true
	case 'F':
		return r.fam == ceramics || r.fam == films || r.fam != supers && (r.marking() || figures == 3 && !r.wholePreferred(c))
	case 'V':
		return r.letterVolts(c)
	case 'C', 'A', 'H':
		return r.fam == cans || r.fam == tantalums || r.fam == ceramics && figures == 3
	}
	return false
}

func (r *reader) wholePreferred(c *chunk) bool {
	d, ok := figures(c.atoms[0].text, -1)
	return ok && preferred(d.coef)
}

// letterVolts reports whether the V behind figures may be the letter for 35 V: on chips and cans, behind figures that
// are no rated voltage.
func (r *reader) letterVolts(c *chunk) bool {
	if r.fam != cans && r.fam != tantalums || r.list() || !onlyFigures(c.atoms[0].text) {
		return false
	}
	switch string(c.atoms[0].text) {
	case "2", "4", "5", "6", "7", "8", "10", "12", "15", "16", "20", "25", "30", "35", "40", "50", "63", "75", "80",
		"100", "125", "150", "160", "180", "200", "250", "300", "315", "350", "385", "400", "420", "450", "500", "550", "630":
		return false
	}
	return r.marking() || r.fam == tantalums
}

func (r *reader) resCodeFirst(c *chunk, l byte) bool {
	t := c.atoms[0].text
	if len(t) == 2 && isDigit(t[0]) {
		return r.eia96(t, l, nil)
	}
	if len(t) < 3 || len(t) > 4 || r.list() || !isDigit(t[0]) || !isDigit(t[1]) || !isDigit(t[2]) {
		return false
	}
	switch l {
	case 'F', 'J', 'D', 'B', 'C':
		return r.class == resistors || r.class == potentiometers || r.marking()
	case 'K', 'M', 'G':
		return !r.wholePreferred(c)
	}
	return false
}

// chunkCode reads chunk i as a code and reports whether it was one, whatever the kind asked for.
func (r *reader) chunkCode(i int, times bool) bool {
	c := &r.lexer.chunks[i]
	if c.long || c.n < 2 {
		return false
	}
	if r.plainUnits(c) {
		return true
	}
	before := r.cur.n
	ok, k := false, rankCode
	switch what := r.what(); {
	case r.class == varistors && r.kind == Voltage:
		ok = r.varistor(c)
	case what == Capacitance, what == 0 && r.kind != Power && r.kind != Frequency:
		ok, k = r.capCode(c)
	case what == Resistance:
		ok, k = r.resCode(c)
	case what == Inductance:
		ok, k = r.coilCode(c)
	}
	if !ok || r.fail != "" {
		r.cur.n = before
		return ok
	}
	if times && r.cur.n > 0 {
		r.fail = failCounted
		return true
	}
	if r.what() == Capacitance || r.what() == 0 {
		r.capEnd = i + 1
	}
	if r.cur.n > 0 {
		r.valued = i + 1
	}
	r.commit(k, 0)
	return true
}

// plainUnits reads 6V3, 1A6, 0W25 and 32k768: a unit or a multiplier at the place of the point, for those kinds that
// have no other codes.
func (r *reader) plainUnits(c *chunk) bool {
	if c.n < 3 || c.n > 4 || !c.shape("9A9") && !c.shape("9A9A") || len(c.atoms[1].text) != 1 {
		return false
	}
	d, ok := pointed(c.atoms[0].text, c.atoms[2].text)
	if !ok {
		return false
	}
	l := c.atoms[1].text[0]
	u, exp := None, 0
	switch {
	case l == 'V' || l == 'v':
		if len(c.atoms[2].text) > max(1, 3-len(c.atoms[0].text)) {
			return false // 50V105 are 50 V and 105 °C
		}
		u = Volt
	case l == 'A' && r.what() != Capacitance:
		u = Ampere
	case l == 'W':
		u = Watt
	case r.kind == Frequency || r.kind == Voltage:
		exps, n := tailLetter(Frequency, l)
		if n == 0 || r.kind == Voltage && (l != 'k' || c.n == 3) {
			return false
		}
		u, exp = r.kind.Unit(), int(exps[0])
	}
	if u == None {
		return false
	}
	if c.n == 4 {
		if v, ok := lookUnit(c.atoms[3].text); !ok || v.unit != u || v.exps[0] != 0 {
			return false
		}
	}
	if u != r.kind.Unit() {
		r.foreign = u
		return true
	}
	r.offer(d, exp, u, Tolerance{}, nil)
	r.commit(rankUnit, 0)
	return true
}

// pointed makes the number whose decimal point a letter takes.
func pointed(whole, decimals []byte) (decimalNumber, bool) {
	if len(whole) > 4 || len(decimals) > 4 || !onlyFigures(whole) || !onlyFigures(decimals) {
		return decimalNumber{}, false
	}
	var b [8]byte
	d, ok := figures(append(append(b[:0], whole...), decimals...), -1)
	d.exp -= len(decimals)
	if d.coef == 0 {
		d.exp = 0
	}
	return d, ok
}

func onlyFigures(s []byte) bool {
	for _, c := range s {
		if !isDigit(c) {
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
	d, ok := figures(t[:len(t)-1], -1)
	if d.coef != 0 {
		d.exp += int(t[len(t)-1] - '0')
	}
	return d, ok
}

// value offers one value that a code gives, with the tolerance of its letter (0 for none). A kind that is not asked
// for gives its tolerance only.
func (r *reader) value(d decimalNumber, exp int, k Kind, letter byte, doubts []string) {
	if r.kind == ToleranceKind {
		r.foreign = k.Unit()
		if q, ok := d.times(exp, k.Unit()); ok && letter != 0 {
			s := letterTolerances(letter, k, q)
			for _, t := range s.t[:s.n] {
				r.cur.add(Reading{Tolerance: t})
			}
		}
		return
	}
	if r.kind != Capacitance && r.kind != Resistance && r.kind != Inductance {
		r.foreign = k.Unit()
		return
	}
	var tol Tolerance
	if q, ok := d.times(exp, k.Unit()); ok && letter != 0 {
		if s := letterTolerances(letter, k, q); s.n > 0 {
			tol = s.t[0]
		}
	}
	r.offer(d, exp, k.Unit(), tol, doubts)
}

// rated offers the voltage of a code, in tenths of a volt.
func (r *reader) rated(tenths int64) {
	if r.kind == Voltage {
		r.volts(tenths)
	}
}

// varistor reads 471K and 14D471K: a disc size, a code in volts, a tolerance letter.
func (r *reader) varistor(c *chunk) bool {
	t := c.atoms[c.n&^1-2].text
	sized := c.shape("9A9A") && len(c.atoms[1].text) == 1
	if !c.shape("9A") && !sized || len(c.atoms[c.n-1].text) != 1 || len(t) != 3 {
		return false
	}
	d, ok := figureCode(t)
	if _, letter := percentLetters.get(c.atoms[c.n-1].text[0]); !ok || !letter {
		return false
	}
	r.offer(d, 0, Volt, Tolerance{}, nil)
	return true
}
