package quantity

// resCode reads a chunk as a resistor's code.
func (r *reader) resCode(c *chunk) (bool, rank) {
	if !r.suits(Resistance) {
		return false, rankNone
	}
	switch {
	case c.shape("9A"):
		return r.resTail(c)
	case c.shape("9A9"), c.shape("9A9A"):
		return r.resPoint(c, c.atoms[0].text, 1)
	case c.shape("A9"), c.shape("A9A"):
		ok, k := r.resPoint(c, nil, 0)
		return ok, min(k, rankLead)
	}
	return false, rankNone
}

func (r *reader) resTail(c *chunk) (bool, rank) {
	t, w := c.atoms[0].text, c.atoms[1].text
	num, ok := readNumeral(t, r.ctx.Language)
	if !ok {
		return false, rankNone
	}
	if len(w) == 1 {
		return r.resLetter(&num, w[0])
	}
	e, ok := resistorLetter(w[0])
	if _, tol := percentLetters.get(w[1]); len(w) != 2 || !ok || !tol {
		return false, rankNone
	}
	letter := w[1]
	if r.class == potentiometers && lawLetter(letter) {
		letter = 0
	}
	for _, d := range num.alts[:num.n] {
		r.value(d, int(e), Resistance, letter, nil)
	}
	return true, rankUnit
}

// lawLetter reports whether a letter behind a potentiometer's value is the law of its track, not a tolerance.
func lawLetter(c byte) bool { return c == 'A' || c == 'B' || c == 'C' }

// resLetter reads figures with one letter: EIA-96, or a code with a tolerance, or a multiplier where another kind is
// asked for.
func (r *reader) resLetter(num *numeral, l byte) (bool, rank) {
	if r.kind == Resistance && num.plain && len(num.text) == 2 {
		if e, ok := resistorLetter(l); ok && r.marking() && num.text[0] != '0' && r.eia96(num.text, l, nil) {
			r.value(num.value(), int(e), Resistance, 0, nil)
		}
		return r.eia96(num.text, l, r), rankCode
	}
	_, multiplier := resistorLetter(l)
	_, tol := percentLetters.get(l)
	if multiplier && (r.kind != Resistance || !tol) {
		r.foreign = Ohm
		return true, rankUnit
	}
	if !tol || !num.plain || len(num.text) < 3 || len(num.text) > 4 {
		return false, rankNone
	}
	if multiplier {
		e, _ := resistorLetter(l)
		r.value(num.value(), int(e), Resistance, 0, nil)
	}
	if d, ok := figureCode(num.text); ok {
		r.value(d, 0, Resistance, l, nil)
	}
	return true, rankCode
}

// eia96 reads two figures and a letter of the three-character code into the reader, if one is given, and reports
// whether it is that code. On a list, and where the part is unknown, letters that are units too are not taken.
func (r *reader) eia96(t []byte, l byte, into *reader) bool {
	exp, ok := eia96Exp(l)
	i := int(t[0]-'0')*10 + int(t[1]-'0')
	if !ok || i < 1 || i > 96 {
		return false
	}
	if !r.marking() && t[0] != '0' {
		switch l {
		case 'R', 'E':
			return false
		case 'A', 'C', 'F', 'H':
			if r.class != resistors || r.ctx.Found != "" {
				return false
			}
		}
	}
	if into != nil {
		into.value(decimalNumber{e192[(i-1)*2], exp}, 0, Resistance, 0, doubtCode)
	}
	return true
}

// resPoint reads a letter at the place of the point, atom k, with the unit or a tolerance letter behind.
func (r *reader) resPoint(c *chunk, whole []byte, k int) (bool, rank) {
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
		r.value(d, -3, Resistance, letter, nil)
		r.value(d, 6, Resistance, letter, nil)
		return true, rankUnit
	}
	e, ok := resistorLetter(w[0])
	if !ok {
		return false, rankNone
	}
	r.value(d, int(e), Resistance, letter, nil)
	if (w[0] == 'E' || w[0] == 'e') && len(whole) > 0 && letter == 0 && r.kind == Resistance {
		r.powerOfTen(whole, decimals)
	}
	return true, rankUnit
}

// powerOfTen offers 4E7 as 4 × 10^7.
func (r *reader) powerOfTen(whole, exp []byte) {
	n, _ := figures(whole, -1)
	e, _ := figures(exp, -1)
	if e.exp > 1 || e.coef > maxExp {
		return
	}
	n.exp += int(e.small())
	if _, ok := n.times(0, Ohm); ok {
		r.value(n, 0, Resistance, 0, nil)
	}
}

// resEnd reads what follows a value from atom k on: nothing, the unit, or a tolerance letter.
func resEnd(c *chunk, k int) (letter byte, ok bool) {
	if c.n <= k {
		return 0, true
	}
	w := c.atoms[k].text
	if u, unit := lookUnit(w); unit && u.unit == Ohm && u.exps[0] == 0 {
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
func (r *reader) resBare(num *numeral, doubts []string) {
	code, ok := figureCode(num.text)
	if !num.plain || !ok {
		r.ohms(num, doubts)
		return
	}
	plainE24, plain := preferredE24(num.value().coef) && num.whole(), inE96(num.value().coef) && num.whole()
	switch {
	case code.coef == 0, r.list() && (plainE24 || len(num.text) == 4 && plain):
		r.ohms(num, doubts)
	case r.marking(), r.orderCode():
		r.value(code, 0, Resistance, 0, doubts)
	case r.list():
		r.ohms(num, doubts)
		r.value(code, 0, Resistance, 0, doubts)
	default:
		r.value(code, 0, Resistance, 0, doubts)
		if plain {
			r.ohms(num, doubts)
		}
	}
}

func (r *reader) ohms(num *numeral, doubts []string) {
	for _, d := range num.alts[:num.n] {
		r.value(d, 0, Resistance, 0, doubts)
	}
}

// coilCode reads a chunk as an inductor's code.
func (r *reader) coilCode(c *chunk) (bool, rank) {
	if r.class != inductors && r.class != anyClass && r.class != otherClass {
		return false, rankNone
	}
	switch {
	case c.shape("9A"):
		return r.coilTail(c)
	case c.shape("9A9"), c.shape("9A9A"):
		return r.coilPoint(c, c.atoms[0].text, 1)
	case c.shape("A9"), c.shape("A9A"):
		ok, k := r.coilPoint(c, nil, 0)
		return ok, min(k, rankLead)
	}
	return false, rankNone
}

func (r *reader) coilTail(c *chunk) (bool, rank) {
	w := c.atoms[1].text
	num, ok := readNumeral(c.atoms[0].text, r.ctx.Language)
	if !ok {
		return false, rankNone
	}
	last := w[len(w)-1]
	_, tol := coilLetters.get(last)
	exps, n := tailLetter(Inductance, w[0])
	switch {
	case len(w) == 2 && tol && n == 1:
		r.henries(&num, int(exps[0]), last, nil)
		return true, rankUnit
	case len(w) == 1 && n == 1 && !(w[0] == 'N' && len(num.text) == 3):
		r.henries(&num, int(exps[0]), 0, nil)
		return true, rankUnit
	case len(w) == 1 && tol:
		if w[0] == 'N' && preferred(num.value().coef) {
			r.henries(&num, -9, 0, nil)
		}
		if w[0] == 'M' && (!num.plain || len(num.text) < 3) {
			r.henries(&num, -3, 0, nil)
		}
		r.coilBare(&num, last, nil)
		return true, rankCode
	}
	return false, rankNone
}

func (r *reader) henries(num *numeral, exp int, letter byte, doubts []string) {
	for _, d := range num.alts[:num.n] {
		r.value(d, exp, Inductance, letter, doubts)
	}
}

func (r *reader) coilPoint(c *chunk, whole []byte, k int) (bool, rank) {
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
		case unit && u.unit == Henry && u.exps[0] == 0:
		case tol && len(end) == 1:
			letter = end[0]
		default:
			return false, rankNone
		}
	}
	if w[0] == 'H' {
		r.value(d, 0, Inductance, letter, nil)
		return true, rankUnit
	}
	if w[0] == 'M' {
		r.value(d, -3, Inductance, letter, nil)
		r.value(d, 6, Inductance, letter, nil)
		return true, rankUnit
	}
	exps, n := tailLetter(Inductance, w[0])
	if n != 1 {
		return false, rankNone
	}
	r.value(d, int(exps[0]), Inductance, letter, nil)
	if r.class == anyClass && (w[0] == 'R' || w[0] == 'r') {
		r.value(d, 0, Resistance, letter, doubtField)
	}
	return true, rankUnit
}

// coilBare offers what figures without unit mean on an inductor: a code in microhenries, or microhenries or
// nanohenries as they stand.
func (r *reader) coilBare(num *numeral, letter byte, doubts []string) {
	code, ok := figureCode(num.text)
	if !ok || !num.plain {
		r.henries(num, -6, letter, doubts)
		if letter == 0 {
			r.henries(num, -9, letter, doubts)
		}
		return
	}
	r.value(code, -6, Inductance, letter, doubts)
	if plain := preferred(num.value().coef) && num.whole(); plain && (len(num.text) == 4 || !r.marking() && !r.orderCode() && letter == 0) {
		r.henries(num, -6, letter, doubts)
	}
}
