package quantity

// lone reads the texts that mean something only when nothing stands beside them: a letter, two characters. It
// reports whether the text was one.
func (r *reader) lone() bool {
	c := &r.lexer.chunks[0]
	first := c.atoms[0].text
	if c.word() && (inSet(absentWords, first) && r.lexer.n == 1 || sameWord(first, "n") && sameWord(r.wordBehindSlash(1), "a")) {
		r.fail = failAbsent
		return true
	}
	if r.lexer.n > 1 || c.before.has(sepMinus|sepPlus|sepTilde) {
		return false
	}
	switch {
	case c.word() && len(first) == 1 && first[0] < signOhm:
		r.loneLetter(first[0])
	case r.kind == Voltage && c.shape("9A") && len(first) == 1 && len(c.atoms[1].text) == 1:
		r.voltageCode(first[0], c.atoms[1].text[0])
	case r.kind == Capacitance && r.fam == ceramics && !r.list() && c.shape("A9") && len(first) == 1 && len(c.atoms[1].text) == 1:
		r.chipCode(first[0], c.atoms[1].text[0])
	}
	return r.n > 0
}

// wordBehindSlash returns the word that chunk j is, if a slash stands before it and nothing after it.
func (r *reader) wordBehindSlash(j int) []byte {
	if r.lexer.n != j+1 || !r.lexer.chunks[j].word() || !r.lexer.chunks[j].before.has(sepSlash) {
		return nil
	}
	return r.lexer.chunks[j].atoms[0].text
}

func (r *reader) loneLetter(c byte) {
	switch {
	case r.kind == ToleranceKind:
		s := letterTolerances(c, r.what(), Quantity{})
		for _, t := range s.t[:s.n] {
			r.cur.add(Reading{Tolerance: t})
		}
		if c == 'K' && r.class == anyClass {
			r.volts(canVolts('K')) // and kilo, which is no quantity
		}
	case r.kind == Voltage && (r.class == capacitors || r.class == anyClass) && (c != 'V' && c != 'v' || r.fam != anyFamily || r.marking()):
		if r.fam != cans && r.fam != ceramics && r.fam != films {
			r.volts(tantalumVolts(c))
		}
		if r.fam != tantalums && r.fam != ceramics && r.fam != films {
			r.volts(canVolts(c))
		}
	}
	r.commit(rankCode, 0)
}

// volts offers a voltage given in tenths, if it is one.
func (r *reader) volts(tenths int64) {
	if tenths > 0 {
		r.offer(decimalNumber{tenths, -1}, 0, Volt, Tolerance{}, nil)
	}
}

// voltageCode reads a digit and a letter as a voltage code, beside the plain unit where the letter is one.
func (r *reader) voltageCode(digit, letter byte) {
	hundredths := codeVolts(digit, letter)
	if hundredths == 0 || r.class != capacitors && r.class != anyClass || r.class == anyClass && letter == 'V' {
		return
	}
	r.offer(decimalNumber{hundredths, -2}, 0, Volt, Tolerance{}, nil)
	u, ok := lookUnit([]byte{letter})
	if ok && (r.class == anyClass || letter == 'V' && !r.marking() && !r.orderCode()) && digit != '0' {
		r.offer(decimalNumber{int64(digit - '0'), 0}, 0, u.unit, Tolerance{}, nil)
	}
	r.commit(rankCode, 0)
}

// chipCode reads a ceramic chip's letter and digit, beside the letter code where the letter has a place in that.
func (r *reader) chipCode(letter, digit byte) {
	exp := int(digit - '0')
	if digit == '9' {
		exp = -1
	}
	small := letter == 'n' || letter == 'p' || letter == 'u' || letter == 'm'
	if f := chipFigure(letter); f > 0 && !small {
		r.offer(decimalNumber{f, exp - 1}, -12, Farad, Tolerance{}, nil)
	}
	if exp > 0 {
		d := decimalNumber{int64(digit - '0'), -1}
		if letter == 'R' {
			r.offer(d, -12, Farad, Tolerance{}, nil)
		} else if e, n := tailLetter(Capacitance, letter); n == 1 {
			r.offer(d, int(e[0]), Farad, Tolerance{}, nil)
		}
	}
	r.commit(rankCode, 0)
}

// wordTerm reads a term that begins with letters.
func (r *reader) wordTerm(i int) int {
	c := &r.lexer.chunks[i]
	w := c.atoms[0].text
	if j := r.lengthTerm(i); j > i || r.fail != "" {
		return j
	}
	if c.n > 1 {
		return r.mixedTerm(i)
	}
	switch {
	case sameWord(w, "x"):
		r.cross(i)
	case r.hintedVolts(i):
		return i + 2
	case inSet(aboutWords, w):
		r.fail = failAbout
	case inSet(choiceWords, w):
		r.fail = failChoice
	case inSet(rangeWords, w):
		r.ranged = true
	case sameWord(w, "max"), sameWord(w, "min"), sameWord(w, "maximum"), sameWord(w, "minimum"):
		r.bounded = true
	case len(w) <= 3 && inSet(absentWords, w) && !sameWord(w, "nc") && !sameWord(w, "nf") && !sameWord(w, "na"):
		r.fail = failAbsent
	case inSet(knownWords, w), r.letterApart(i), r.seriesMark(w):
	default:
		r.puzzle(c)
	}
	return i + 1
}

// cross reads a multiplication sign that stands apart.
func (r *reader) cross(i int) {
	r.times = true
	if r.nb > 0 && r.bares[r.nb-1].index == i-1 {
		r.nb--
	}
}

// hintedVolts reads "W.V. 35", where a word says what the bare number behind it is.
func (r *reader) hintedVolts(i int) bool {
	w := r.lexer.chunks[i].atoms[0].text
	u, ok := lookUnit(w)
	if !ok || u.unit != Volt || u.exps[0] != 0 || u.n != 1 || len(w) < 2 && i > 0 || i+1 >= r.lexer.n {
		return false
	}
	c := &r.lexer.chunks[i+1]
	if !c.number() || c.before.has(sepMinus|sepPlus|sepSlash|sepTilde|sepRange|sepPM) || i > 0 && r.lexer.chunks[i-1].number() {
		return false
	}
	if i+2 < r.lexer.n && r.lexer.chunks[i+2].before.only() {
		return false
	}
	h := r.head(i + 1)
	if r.fail != "" || r.kind != Voltage {
		r.foreign = Volt
		return true
	}
	r.convert(&h, u)
	r.commit(rankUnit, 0)
	r.valued = i + 2
	return true
}

// letterApart reads a tolerance letter that stands apart behind a value, as in 100 nF J.
func (r *reader) letterApart(i int) bool {
	w := r.lexer.chunks[i].atoms[0].text
	if len(w) != 1 || i == 0 {
		return false
	}
	s := letterTolerances(w[0], r.what(), Quantity{})
	if s.n == 0 {
		return false
	}
	if r.kind == ToleranceKind && (r.foreign != None || r.nb > 0) {
		for _, t := range s.t[:s.n] {
			r.cur.add(Reading{Tolerance: t})
		}
		r.commit(rankCode, 0)
	}
	return true
}

// seriesMark reports whether a word may be a maker's series printed on a can.
func (r *reader) seriesMark(w []byte) bool {
	if !r.marking() || r.fam != cans && r.fam != tantalums || len(w) > 3 {
		return false
	}
	for _, c := range w {
		if c < 'A' || c > 'Z' {
			return false
		}
	}
	return true
}

// mixedTerm reads letters with figures behind them.
func (r *reader) mixedTerm(i int) int {
	c := &r.lexer.chunks[i]
	switch {
	case c.long:
		r.puzzle(c)
	case r.leadingWord(c):
		c.drop(1)
		return i
	case r.chunkCode(i, r.times), dielectricCode(c):
	case safetyClass(c):
	case len(c.atoms[0].text) == 1 && sameWord(c.atoms[0].text, "x") && c.n == 2:
		if r.valued > 0 && r.valued == i {
			r.fail = failCounted
		}
	default:
		r.puzzle(c)
	}
	return i + 1
}

// dielectricCode reports whether a chunk is like X7R or C0G.
func dielectricCode(c *chunk) bool {
	if c.shape("A9A") && len(c.atoms[0].text) == 1 && len(c.atoms[1].text) == 1 && len(c.atoms[2].text) == 1 {
		return true
	}
	return c.shape("A9") && sameWord(c.atoms[0].text, "np") && string(c.atoms[1].text) == "0"
}

// safetyClass reports whether a chunk is X1 to Y4, or X1Y2 and the like. A small x counts parts.
func safetyClass(c *chunk) bool {
	if !c.shape("A9") && !c.shape("A9A9") {
		return false
	}
	for i := 0; i < c.n; i += 2 {
		w, t := c.atoms[i].text, c.atoms[i+1].text
		if len(w) != 1 || w[0] != 'X' && w[0] != 'Y' || len(t) != 1 || t[0] < '1' || t[0] > '4' {
			return false
		}
	}
	return true
}

// leadingWord reports whether the letters before figures are a word of their own: a fuse's T or F, the WV of WV35,
// the taper of a potentiometer, a diameter sign.
func (r *reader) leadingWord(c *chunk) bool {
	w := c.atoms[0].text
	switch {
	case sameWord(w, "rm"), w[0] == signDiameter, sameWord(w, "dc"), sameWord(w, "ac"), sameWord(w, "wv"):
		return c.n > 2
	case r.class == potentiometers && len(w) == 1 && (w[0] >= 'A' && w[0] <= 'C' || w[0] == 'W' || w[0] == 'S'):
		return true
	case c.n < 3:
		return false
	case sameWord(w, "t"), sameWord(w, "f"), sameWord(w, "ff"), sameWord(w, "tt"), sameWord(w, "m"):
		u, ok := lookUnit(c.atoms[2].text)
		return ok && u.unit == Ampere || c.n > 3 && sameWord(c.atoms[2].text, "al") || c.n > 3 && sameWord(c.atoms[2].text, "ah")
	}
	return false
}

// lengthTerm reads RM5 and ø5, and "RM 5": millimetres without saying so. It returns the index of the chunk behind
// it, i where there is none.
func (r *reader) lengthTerm(i int) int {
	c := &r.lexer.chunks[i]
	w := c.atoms[0].text
	if !sameWord(w, "rm") && !sameWord(w, "pitch") && !sameWord(w, "pas") && !sameWord(w, "raster") && w[0] != signDiameter {
		return i
	}
	number, end := c, i+1
	if c.n == 1 {
		if end >= r.lexer.n || !r.lexer.chunks[end].number() || !r.lexer.chunks[end].before.only() && !r.lexer.chunks[end].before.has(sepOther|sepEquals) {
			return i
		}
		if u := r.wordAt(end + 1); u != nil {
			if _, ok := lookUnit(u); ok {
				return i + 1
			}
		}
		number = &r.lexer.chunks[end]
		end++
	} else if c.n != 2 {
		return i
	}
	if r.kind != Length {
		return end
	}
	num, ok := readNumeral(number.atoms[number.n-1].text, r.ctx.Language)
	if !ok {
		r.fail = failNumber
		return end
	}
	h := head{num: num}
	r.convert(&h, unitWord{unit: Millimetre, n: 1})
	r.commit(rankUnit, 0)
	r.valued = end
	return end
}
