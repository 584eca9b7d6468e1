package quantity

// capCode reads a chunk as a capacitor's code.
func (r *reader) capCode(c *chunk) (bool, rank) {
	if !r.suits(Capacitance) {
		return false, rankNone
	}
	switch {
	case c.shape("9A"):
		return r.capTail(c)
	case c.shape("9A9"), c.shape("9A9A"), c.shape("9A9A9"), c.shape("9A9A9A"):
		return r.capPoint(c)
	case c.shape("A9"), c.shape("A9A"), c.shape("A9A9"), c.shape("A9A9A"):
		return r.capLead(c)
	}
	return false, rankNone
}

// capTail reads figures with letters behind them: 104K, 47j, 22nK.
func (r *reader) capTail(c *chunk) (bool, rank) {
	w := c.atoms[1].text
	num, ok := readNumeral(c.atoms[0].text, r.ctx.Language)
	if !ok {
		return false, rankNone
	}
	if len(w) == 1 {
		return r.capLetter(&num, w[0])
	}
	exps, n := tailLetter(Capacitance, w[0])
	if len(w) != 2 || n == 0 || !capTolerance(w[1]) {
		return false, rankNone
	}
	for _, d := range num.alts[:num.n] {
		for _, e := range exps[:n] {
			r.value(d, int(e), Capacitance, w[1], nil)
		}
	}
	return true, rankUnit
}

// capTolerance reports whether a letter is a capacitor's tolerance.
func capTolerance(c byte) bool {
	s := letterTolerances(c, Capacitance, Quantity{})
	return s.n > 0
}

func (r *reader) capLetter(num *numeral, l byte) (bool, rank) {
	if exps, n := tailLetter(Capacitance, l); n > 0 && !(l == 'P' && r.codeLetter(num)) {
		for _, d := range num.alts[:num.n] {
			for _, e := range exps[:n] {
				r.value(d, int(e), Capacitance, 0, nil)
			}
		}
		return true, rankUnit
	}
	switch l {
	case 'k', 'K':
		return r.capKilo(num, l)
	case 'R', 'r':
		r.capPoints(num.value(), 0)
		return num.whole(), rankCode
	case 'F':
		if !r.codeLetter(num) {
			r.value(num.value(), 0, Capacitance, 0, nil)
			return true, rankUnit
		}
		if r.marking() && r.fam == anyFamily {
			r.value(num.value(), 0, Capacitance, 0, nil)
		}
	}
	return r.capFigures(num, l), rankCode
}

// codeLetter reports whether a letter that might be a unit's stands behind the figures of a code.
func (r *reader) codeLetter(num *numeral) bool {
	if !num.plain {
		return r.fam == ceramics || r.fam == films
	}
	return r.fam == ceramics || r.fam == films || r.marking() || len(num.text) == 3 && !preferred(num.value().coef)
}

// capFigures reads figures with a tolerance or voltage letter.
func (r *reader) capFigures(num *numeral, l byte) bool {
	tenths, letter := int64(0), l
	switch r.fam {
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
	coded := r.capBare(num, letter, nil)
	if r.fam == cans && l == 'J' {
		r.rated(63) // tantalum practice, seen on cans too; a factor of ten: never guess
	}
	r.rated(tenths)
	if r.kind == Voltage && l == 'V' && !coded && len(num.text) < 3 {
		r.offer(num.value(), 0, Volt, Tolerance{}, nil)
	}
	if tenths > 0 && r.kind == ToleranceKind {
		r.cur.n = 0
	}
	return true
}

// capKilo reads K and k behind figures: kilo-picofarad, ±10 %, or a resistance in the wrong place.
func (r *reader) capKilo(num *numeral, l byte) (bool, rank) {
	if r.kind != Capacitance {
		return r.capKiloOther(num, l), rankCode
	}
	code := l == 'K' && num.plain && len(num.text) == 3
	switch {
	case l == 'K' && (r.fam == cans || r.fam == tantalums):
		return r.capFigures(num, l), rankCode
	case code && (!preferred(num.value().coef) || r.fam == ceramics && r.marking()):
		r.capBare(num, l, nil)
		return true, rankCode
	}
	for _, d := range num.alts[:num.n] {
		r.value(d, -9, Capacitance, 0, nil)
	}
	switch {
	case l == 'k' && !r.ctx.Continental:
		for _, d := range num.alts[:num.n] {
			r.value(d, 3, Resistance, 0, doubtField)
		}
	case l == 'K' && !(r.ctx.Continental && !num.plain):
		if d, ok := figureCode(num.text); ok && code {
			r.value(d, -12, Capacitance, l, nil)
		}
		r.value(num.value(), -12, Capacitance, l, nil)
		if !num.plain {
			r.value(num.value(), -6, Capacitance, l, nil)
		}
	}
	return true, rankCode
}

// capKiloOther reads 104K where its tolerance or voltage is asked for.
func (r *reader) capKiloOther(num *numeral, l byte) bool {
	if l == 'k' {
		r.foreign = Farad
		return true
	}
	sure := r.fam != anyFamily || num.plain && len(num.text) == 3 && !preferred(num.value().coef)
	if r.kind == ToleranceKind && !sure {
		return true // it may be kilo
	}
	return r.capFigures(num, l)
}

// capPoint reads a letter among figures: 4n7, 4R7, 2A104J, 104J100.
func (r *reader) capPoint(c *chunk) (bool, rank) {
	l := c.atoms[1].text
	if len(l) == 2 {
		return r.capRated(c)
	}
	if len(l) != 1 {
		return false, rankNone
	}
	if r.voltsFollow(c) {
		return r.capVolts(c)
	}
	if r.pairCode(c) {
		return true, rankCode
	}
	if c.shape("9A9") && r.capCodeRated(c) {
		return true, rankCode
	}
	d, ok := pointed(c.atoms[0].text, c.atoms[2].text)
	if !ok {
		return false, rankNone
	}
	letter, ok := r.capEnding(c, 3)
	if !ok {
		return false, rankNone
	}
	r.capUnitless(c, d)
	return r.capPointed(d, l[0], letter)
}

// capUnitless offers the value of 10u16, which is likelier 10 µF for 16 V than 10.16 µF: the figures behind the letter
// are a rated voltage, and no series has the whole.
func (r *reader) capUnitless(c *chunk, d decimalNumber) {
	exps, n := tailLetter(Capacitance, c.atoms[1].text[0])
	q, ok := d.times(0, Farad)
	volts, rated := figures(c.atoms[2].text, -1)
	if c.n != 3 || n != 1 || !ok || InSeries(q, E24) || InSeries(q, E192) || !rated || !ratedVolts(volts) {
		return
	}
	num, _ := readNumeral(c.atoms[0].text, "")
	r.value(num.value(), int(exps[0]), Capacitance, 0, doubtRated)
	if r.kind == Voltage {
		r.offer(volts, 0, Volt, Tolerance{}, doubtRated)
	}
}

var doubtRated = []string{"the figures behind the letter are taken as the rated voltage"}

// ratedVolts reports whether a whole number of at least two figures is in the row of rated voltages.
func ratedVolts(d decimalNumber) bool {
	q, ok := d.times(0, Volt)
	if !ok || len(q.SI()) < 2 {
		return false
	}
	switch q.SI() {
	case "10", "16", "20", "25", "35", "40", "50", "63", "80", "100", "160", "200", "250", "350", "400", "450", "500", "630":
		return true
	}
	return false
}

// capVolts reads 100n50V: a value, then the rated voltage with its unit.
func (r *reader) capVolts(c *chunk) (bool, rank) {
	exps, n := tailLetter(Capacitance, c.atoms[1].text[0])
	num, ok1 := readNumeral(c.atoms[0].text, r.ctx.Language)
	volts, ok2 := readNumeral(c.atoms[2].text, r.ctx.Language)
	u, _ := lookUnit(c.atoms[3].text)
	if n != 1 || !ok1 || !ok2 || num.n > 1 {
		return false, rankNone
	}
	r.value(num.value(), int(exps[0]), Capacitance, 0, nil)
	if r.kind == Voltage {
		h := head{num: volts}
		r.convert(&h, u)
	}
	return true, rankUnit
}

// capPointed offers the value of a letter at the place of the point.
func (r *reader) capPointed(d decimalNumber, l, letter byte) (bool, rank) {
	switch l {
	case 'R', 'r':
		r.capPoints(d, letter)
		return true, rankCode
	case 'F':
		r.value(d, 0, Capacitance, letter, nil)
		return true, rankUnit
	case 'm':
		r.value(d, -3, Capacitance, letter, nil)
		return true, rankUnit
	case 'k', 'K':
		r.value(d, -9, Capacitance, letter, nil)
		if !r.ctx.Continental {
			r.value(d, 3, Resistance, letter, doubtField)
		}
		return true, rankCode
	}
	exps, n := tailLetter(Capacitance, l)
	if r.ctx.Continental && l == 'M' {
		exps, n = [2]int8{-6}, 1 // mega-picofarad
	}
	if n != 1 {
		return false, rankNone
	}
	r.value(d, int(exps[0]), Capacitance, letter, nil)
	return true, rankUnit
}

// capEnding reads what follows a value from atom k on: nothing, F, a tolerance letter, and the rated voltage.
func (r *reader) capEnding(c *chunk, k int) (letter byte, ok bool) {
	if c.n > k {
		w := c.atoms[k].text
		u, unit := lookUnit(w)
		switch {
		case unit && u.unit == Farad && u.exps[0] == 0 && !(len(w) == 1 && sameWord(c.atoms[k-2].text, "r")):
		case len(w) == 1 && capTolerance(w[0]):
			letter = w[0]
		default:
			return 0, false
		}
	}
	if c.n > k+1 {
		return letter, r.printedVolts(c, k+1)
	}
	return letter, true
}

// printedVolts reads the rated voltage that is printed behind a tolerance letter, as in 22nK100.
func (r *reader) printedVolts(c *chunk, k int) bool {
	t := c.atoms[k].text
	d, ok := figures(t, -1)
	if !ok || !onlyFigures(t) || len(t) < 2 || len(t) > 4 || t[0] == '0' {
		return false
	}
	if c.n == k+2 {
		if u, unit := lookUnit(c.atoms[k+1].text); !unit || u.unit != Volt || u.exps[0] != 0 {
			return false
		}
	}
	if r.kind == Voltage {
		r.offer(d, 0, Volt, Tolerance{}, nil)
	}
	return c.n <= k+2
}

// capRated reads 22nK100: value, tolerance letter, rated voltage.
func (r *reader) capRated(c *chunk) (bool, rank) {
	w := c.atoms[1].text
	exps, n := tailLetter(Capacitance, w[0])
	num, ok := readNumeral(c.atoms[0].text, r.ctx.Language)
	if !ok || n != 1 || num.n > 1 || !capTolerance(w[1]) || !r.printedVolts(c, 2) {
		return false, rankNone
	}
	r.value(num.value(), int(exps[0]), Capacitance, w[1], nil)
	return true, rankUnit
}

// capCodeRated reads 104J100: code, tolerance letter, rated voltage.
func (r *reader) capCodeRated(c *chunk) bool {
	t, l := c.atoms[0].text, c.atoms[1].text[0]
	if l != 'J' && l != 'K' && l != 'M' && l != 'G' || r.ctx.Continental {
		return false
	}
	num, ok := readNumeral(t, "")
	if !ok || num.plain && (len(t) != 3 || l != 'J' && preferred(num.value().coef)) || !num.plain && !belowOne(&num) || !r.printedVolts(c, 2) {
		return false
	}
	r.capBare(&num, l, nil)
	return true
}

// pairCode reads 2A104J: voltage code, value code, tolerance letter.
func (r *reader) pairCode(c *chunk) bool {
	digit, t := c.atoms[0].text, c.atoms[2].text
	if len(digit) != 1 || len(t) != 3 || c.n > 4 {
		return false
	}
	hundredths := codeVolts(digit[0], c.atoms[1].text[0])
	d, ok := figureCode(t)
	letter, ends := r.capEnding(c, 3)
	if hundredths == 0 || !ok || !ends || t[0] == '0' {
		return false
	}
	switch num, _ := readNumeral(t, ""); {
	case r.fam == cans:
		r.canBare(&num, letter, nil)
	case r.fam == anyFamily && r.orderCode() && (letter == 0 || letter == 'M') && d.top(-6) < -1:
		r.value(d, -6, Capacitance, letter, nil) // aluminium parts count in microfarads
		r.value(d, -12, Capacitance, letter, nil)
	default:
		r.value(d, -12, Capacitance, letter, nil)
	}
	if r.kind == Voltage {
		r.offer(decimalNumber{hundredths, -2}, 0, Volt, Tolerance{}, nil)
	}
	return true
}

// capLead reads a letter before figures: p47, R47, J107.
func (r *reader) capLead(c *chunk) (bool, rank) {
	w, t := c.atoms[0].text, c.atoms[1].text
	if len(w) != 1 || !onlyFigures(t) {
		return false, rankNone
	}
	l := w[0]
	if r.letterBefore(l) && len(t) == 3 && c.n == 2 {
		d, _ := figureCode(t)
		r.value(d, -12, Capacitance, 0, nil)
		r.rated(tantalumVolts(l))
		return true, rankCode
	}
	letter, ok := r.capEnding(c, 2)
	d, ok2 := pointed(nil, t)
	if !ok || !ok2 {
		return false, rankNone
	}
	if l == 'F' && r.fam != supers {
		return false, rankNone
	}
	ok, k := r.capPointed(d, l, letter)
	if k == rankUnit && l >= 'A' && l <= 'Z' || l == 'R' {
		k = rankLead
	}
	return ok, k
}

// letterBefore reports whether a letter before three figures is a tantalum's voltage. In lists it may be a
// designator.
func (r *reader) letterBefore(l byte) bool {
	return tantalumVolts(l) > 0 && l != 'e' && !r.list() && (r.fam == tantalums || r.fam == anyFamily && r.marking())
}

// capPoints offers a value whose point is an R: picofarads on ceramics, microfarads on cans and tantalums; on others
// it may be either.
func (r *reader) capPoints(d decimalNumber, letter byte) {
	switch r.fam {
	case ceramics:
		r.value(d, -12, Capacitance, letter, nil)
	case cans, tantalums:
		r.value(d, -6, Capacitance, letter, nil)
	case supers: // 5R5 is their voltage
	default:
		r.value(d, -12, Capacitance, letter, nil)
		r.value(d, -6, Capacitance, letter, nil)
	}
	if r.class == anyClass && r.kind == Capacitance {
		r.value(d, 0, Resistance, letter, doubtField)
	}
}

// capBare offers what figures without unit mean on the family of capacitor, with a tolerance letter if there is one.
// It reports whether they were read as a code with a multiplier figure.
func (r *reader) capBare(num *numeral, letter byte, doubts []string) (coded bool) {
	code := num.plain && len(num.text) == 3
	switch r.fam {
	case ceramics:
		r.ceramicBare(num, letter, doubts)
	case films:
		r.filmBare(num, letter, doubts)
	case tantalums:
		return r.tantalumBare(num, letter, doubts)
	case cans:
		return r.canBare(num, letter, doubts)
	case supers:
		r.superBare(num, letter, doubts)
	default:
		r.anyBare(num, letter, doubts)
	}
	return code
}

// farads offers every value of a numeral in one power of ten.
func (r *reader) farads(num *numeral, exp int, letter byte, doubts []string) {
	for _, d := range num.alts[:num.n] {
		r.value(d, exp, Capacitance, letter, doubts)
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

func (r *reader) ceramicBare(num *numeral, letter byte, doubts []string) {
	switch t := num.text; {
	case belowOne(num):
		r.farads(num, -6, letter, doubts)
	case !num.plain:
		r.farads(num, -12, letter, doubts)
		r.farads(num, -6, letter, doubts)
	case len(t) == 3:
		r.value(ceramicCode(t), -12, Capacitance, letter, doubts)
	case len(t) == 4:
		r.fourFigures(num, -12, letter, doubts)
	default:
		r.farads(num, -12, letter, doubts)
	}
}

// fourFigures offers a number of four figures as it stands, in the unit given, and as a code in picofarads, whichever
// of them parts have; both where both are or neither is.
func (r *reader) fourFigures(num *numeral, exp int, letter byte, doubts []string) {
	code, _ := figureCode(num.text)
	plain := preferred(num.value().coef)
	coded := inE96(code.coef) && num.text[0] != '0'
	if plain || !coded {
		r.farads(num, exp, letter, doubts)
	}
	if coded || !plain {
		r.value(code, -12, Capacitance, letter, doubts)
	}
}

func (r *reader) filmBare(num *numeral, letter byte, doubts []string) {
	switch t := num.text; {
	case !num.plain:
		r.farads(num, -6, letter, doubts)
	case len(t) == 3:
		r.value(ceramicCode(t), -12, Capacitance, letter, doubts)
	case len(t) == 4:
		r.fourFigures(num, -12, letter, doubts)
	case len(t) > 4:
		r.farads(num, -12, letter, doubts)
	default:
		r.farads(num, -12, letter, doubts)
		r.farads(num, -6, letter, doubts)
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

func (r *reader) tantalumBare(num *numeral, letter byte, doubts []string) (coded bool) {
	if num.plain && len(num.text) == 3 {
		code, _ := figureCode(num.text)
		if code.coef == 0 || code.top(-12) >= -9 && code.top(-12) <= -2 {
			r.value(code, -12, Capacitance, letter, doubts)
			return true
		}
	}
	r.farads(num, -6, letter, doubts)
	return false
}

// canBare reads figures on aluminium parts. Printed figures are microfarads, unless they are no number that such
// parts have and a code of one that they have. Order codes count in microfarads or, of some makers, in picofarads.
func (r *reader) canBare(num *numeral, letter byte, doubts []string) (coded bool) {
	code, ok := figureCode(num.text)
	if !ok || len(num.text) != 3 {
		r.farads(num, -6, letter, doubts)
		if r.orderCode() && ok {
			r.value(code, -6, Capacitance, letter, doubts)
		}
		return false
	}
	inPF := code.top(-12) >= -7 && code.top(-12) <= -1
	inUF := code.top(-6) >= -7 && code.top(-6) <= -1
	plain := preferred(num.value().coef) && num.whole()
	switch {
	case code.coef == 0, !r.orderCode() && plain:
		r.farads(num, -6, letter, doubts)
		return false
	case r.orderCode() && (inUF || inPF), !r.orderCode() && inPF:
		if r.orderCode() && inUF {
			r.value(code, -6, Capacitance, letter, doubts)
		}
		if inPF {
			r.value(code, -12, Capacitance, letter, doubts)
		}
		return true
	}
	r.value(code, -6, Capacitance, letter, doubts)
	r.farads(num, -6, letter, doubts)
	return true
}

// superBare reads figures on double-layer parts: farads, or a code in microfarads.
func (r *reader) superBare(num *numeral, letter byte, doubts []string) {
	code, ok := figureCode(num.text)
	if ok && len(num.text) == 3 && !(preferred(num.value().coef) && num.whole()) {
		r.value(code, -6, Capacitance, letter, doubts)
		return
	}
	r.farads(num, 0, letter, doubts)
}

// anyBare reads figures on a capacitor of unknown sort.
func (r *reader) anyBare(num *numeral, letter byte, doubts []string) {
	t := num.text
	switch {
	case belowOne(num):
		r.farads(num, -6, letter, doubts)
		if num.value().top(0) < -4 {
			r.farads(num, 0, letter, doubts) // so many noughts may have been written for farads
		}
	case !num.plain, len(t) <= 2:
		r.farads(num, -6, letter, doubts)
		r.farads(num, -12, letter, doubts)
	case len(t) == 3:
		r.anyCode(num, letter, doubts)
	case len(t) == 4:
		r.fourFigures(num, -6, letter, doubts)
		r.farads(num, -12, letter, doubts)
	default:
		r.farads(num, -6, letter, doubts)
		r.farads(num, -12, letter, doubts)
	}
}

// anyCode reads three figures on a capacitor of unknown sort.
func (r *reader) anyCode(num *numeral, letter byte, doubts []string) {
	t := num.text
	r.value(ceramicCode(t), -12, Capacitance, letter, doubts)
	code, _ := figureCode(t)
	if t[2] == '8' && code.coef != 0 {
		r.value(code, -12, Capacitance, letter, doubts)
	}
	if r.ctx.Historic && letter == 0 {
		r.farads(num, -12, 0, doubts) // old micas and ceramics print picofarads as they are
	}
	if preferred(num.value().coef) && num.whole() {
		r.farads(num, -6, letter, doubts)
		if r.ctx.Found == "" && letter == 0 {
			r.value(code, -6, Capacitance, 0, doubts)
		}
	}
	if r.orderCode() && t[2] != '0' && code.top(-6) <= -1 {
		r.value(code, -6, Capacitance, letter, doubts)
	}
}
