package reading

import (
	"strings"

	"boardlore/domain/quantity"
)

// written is a number where it stands: one value, or two where its sign may group or part; a ratio where it is a
// fraction, alone or behind a whole number.
type written struct {
	num    numeral
	top    int64 // of a ratio, with the whole number in it; den is 0 where there is none
	den    int64
	i, j   int  // its atoms
	neg    bool // a minus stands before it, free of what is before that
	single bool // groups parted by blanks, of which the last may as well stand alone
}

// numberAt gives the number that begins with the figures of atom i. Most recognisers ask for it, so that it is read once.
func (r *reader) numberAt(i int) (w written, ok bool) {
	if !r.isFigures(i) {
		return w, false
	}
	if i >= len(r.numbers) {
		return r.readNumber(i)
	}
	n := &r.numbers[i]
	if !n.known {
		n.w, n.ok = r.readNumber(i)
		n.known = true
	}
	return n.w, n.ok
}

// knownNumber is what numberAt said of an atom.
type knownNumber struct {
	w         written
	ok, known bool
}

func (r *reader) readNumber(i int) (w written, ok bool) {
	w.i, w.j = i, i+1
	w.neg = r.negative(i)
	if r.ratioAt(i, &w) {
		return w, true
	}
	w.num, ok = readNumeral(r.codeOf(i), r.ctx.Language)
	return w, ok
}

// negative reports whether a minus stands before the figures of atom i, free of what is before that.
func (r *reader) negative(i int) bool {
	return r.isSign(i-1, '-') && r.touches(i) && (i == 1 || r.atoms[i-1].gap)
}

// signedTwice reports whether two signs of a number stand before the figures of atom i: --47.
func (r *reader) signedTwice(i int) bool {
	return r.isSign(i-1, '-') && r.touches(i) && r.touches(i-1) && r.isSign(i-2, '-')
}

// ratioAt reads 1/4, 1 1/2 and 1-1/4.
func (r *reader) ratioAt(i int, w *written) bool {
	whole, k := int64(0), i
	if n, ok := r.small(i, 2); ok && !r.glued(i) {
		switch {
		case r.isFigures(i+1) && r.atoms[i+1].gap && r.fractionAt(i+1):
			whole, k = n, i+1
		case r.isSign(i+1, '-') && r.touches(i+1) && r.touches(i+2) && r.fractionAt(i+2):
			whole, k = n, i+2
		}
	}
	if !r.fractionAt(k) {
		return false
	}
	top, _ := r.small(k, 2)
	den, _ := r.small(k+2, 3)
	w.top, w.den, w.j = top+whole*den, den, k+3
	w.num, _ = readNumeral(r.codeOf(k+2), "")
	return true
}

// small gives the whole number of at most so many figures that atom i is.
func (r *reader) small(i, most int) (int64, bool) {
	if !r.isFigures(i) {
		return 0, false
	}
	t := r.codeOf(i)
	if !onlyFigures(t) || len(t) > most || len(t) > 1 && t[0] == '0' {
		return 0, false
	}
	d, ok := figuresOf(t, -1)
	return d.small(), ok
}

// fractionAt reports whether figures, a stroke and figures from atom k on are a fraction as people write them: proper,
// in its lowest terms, with a usual denominator. 5/10, 12/24 and 16/25 are two figures.
func (r *reader) fractionAt(k int) bool {
	top, ok1 := r.small(k, 2)
	den, ok2 := r.small(k+2, 3)
	if !ok1 || !ok2 || !r.isSign(k+1, '/') || !r.touches(k+1) || !r.touches(k+2) || top == 0 || top >= den ||
		gcd(top, den) != 1 {
		return false
	}
	if r.isSign(k+3, '/') && r.touches(k+3) || r.isSign(k-1, '/') && r.touches(k) || r.glued(k) &&
		!r.isWord(k-1, "t", "f", "tt", "ff", "m") {
		return false
	}
	switch den {
	case 2, 4, 8, 16, 32, 64, 100, 1000, 200, 500, 250:
		return true
	case 3, 5, 6, 10, 20:
		return top == 1 || den == 3 || den == 10
	}
	return false
}

func gcd(a, b int64) int64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// groupsAt reads figures in groups of three that blanks part, from atom i on; the unit must follow.
func (r *reader) groupsAt(i int) (w written, ok bool) {
	first := r.codeOf(i)
	if !onlyFigures(first) || len(first) > 3 || first[0] == '0' || r.glued(i) {
		return w, false
	}
	j := i + 1
	for r.isFigures(j) && r.atoms[j].gap && r.groupOfThree(j) && !(r.glued(j)) {
		j++
	}
	if j == i+1 {
		return w, false
	}
	var room [24]byte
	text := room[:0]
	for k := i; k < j; k++ {
		if len(text)+8 > len(room) {
			return w, false
		}
		text = append(text, r.codeOf(k)...)
	}
	d, ok := figuresOf(text, -1)
	w = written{i: i, j: j, single: string(r.codeOf(j-1)) != "000"}
	w.num.alts[0], w.num.n = d, 1
	w.neg = r.negative(i)
	return w, ok
}

// groupOfThree reports whether atom j is three figures, perhaps with decimals behind them.
func (r *reader) groupOfThree(j int) bool {
	t := r.codeOf(j)
	return len(t) == 3 && onlyFigures(t)
}

// knownUnit is what unitAt said of an atom.
type knownUnit struct {
	u         unitWord
	end       int
	ok, known bool
}

// unitAt finds the unit that stands at atom j, and the atom behind it. Most recognisers ask for it, so that it is looked
// up once.
func (r *reader) unitAt(j int) (u unitWord, end int, ok bool) {
	if j >= len(r.units) {
		return r.findUnit(j)
	}
	n := &r.units[j]
	if !n.known {
		n.u, n.end, n.ok = r.findUnit(j)
		n.known = true
	}
	return n.u, n.end, n.ok
}

func (r *reader) findUnit(j int) (u unitWord, end int, ok bool) {
	if j >= len(r.atoms) {
		return u, j, false
	}
	switch r.atoms[j].sort {
	case sign:
		return r.unitSign(j)
	case letters:
		return r.unitLetters(j)
	}
	return u, j, false
}

// unitSign finds %, ° and the double stroke of inches.
func (r *reader) unitSign(j int) (u unitWord, end int, ok bool) {
	switch r.printOf(j) {
	case "%":
		return unitWord{unit: quantity.Percent, n: 1}, j + 1, true
	case "\"":
		u, ok = unitWords["\""]
		return u, j + 1, ok && !r.atoms[j].gap
	case "-":
		if u, ok = r.unitTied(j); ok {
			return u, j + 2, true
		}
	case "°":
		switch {
		case r.isWord(j+1, "c", "celsius"):
			return unitWord{unit: quantity.Celsius, n: 1}, j + 2, true
		case r.isWord(j+1, "f"):
			return unitWords["°f"], j + 2, true
		}
		return unitWord{unit: quantity.Celsius, n: 1}, j + 1, true
	}
	return u, j, false
}

// unitTied finds a unit that a hyphen ties to its number: a 1/4-watt resistor, 12-V-Relais.
func (r *reader) unitTied(j int) (u unitWord, ok bool) {
	if !r.isLetters(j+1) || !r.touches(j) || !r.touches(j+1) || r.glued(j+2) {
		return u, false
	}
	w := r.codeOf(j + 1)
	if len(w) == 1 && strings.IndexByte("VAW", w[0]) < 0 {
		return u, false // a code's letter
	}
	u, ok = lookUnit(w)
	return u, ok && u.n == 1
}

func (r *reader) unitLetters(j int) (u unitWord, end int, ok bool) {
	if u, end, ok = r.unitPointed(j); ok {
		return u, end, true
	}
	w := r.codeOf(j)
	if u, ok = lookUnit(w); !ok {
		if u, ok = unitNames[string(r.lowOf(j))]; !ok {
			return r.prefixApart(j)
		}
	}
	end = r.unitTail(w, u, j+1)
	return u, end, true
}

// unitPointed reads the points of an abbreviation: V.D.C., W.V., st.C.
func (r *reader) unitPointed(j int) (u unitWord, end int, ok bool) {
	var room [12]byte
	w := append(room[:0], r.lowOf(j)...)
	k := j + 1
	for r.isSign(k, '.') && r.touches(k) && r.isLetters(k+1) && r.touches(k+1) && len(w) < 8 {
		w = append(w, r.lowOf(k+1)...)
		k += 2
	}
	if k == j+1 {
		return u, j, false
	}
	if string(w) == "stc" {
		return unitWord{unit: quantity.Celsius, n: 1}, k, true
	}
	u, ok = lookUnit(w)
	return u, k, ok
}

// prefixApart reads "micro farad" and "pour cent".
func (r *reader) prefixApart(j int) (u unitWord, end int, ok bool) {
	if !r.isLetters(j+1) || !r.atoms[j+1].gap {
		return u, j, false
	}
	w, next := r.codeOf(j), r.codeOf(j+1)
	if (sameWord(w, "pour") || sameWord(w, "per")) && sameWord(next, "cent") {
		return unitWord{unit: quantity.Percent, n: 1}, j + 2, true
	}
	u, ok = lookUnit(next)
	if sameWord(w, "working") {
		return u, j + 2, ok && u.unit == quantity.Volt
	}
	for _, p := range wordPrefixes {
		if sameWord(w, p.word) && ok && u.n == 1 && u.exps[0] == 0 && u.mul == 0 {
			u.exps[0] = p.exp
			return u, j + 2, true
		}
	}
	return u, j, false
}

// unitTail passes over what may follow a unit as part of it: the C of deg C, a full stop.
func (r *reader) unitTail(w []byte, u unitWord, j int) int {
	if u.unit == quantity.Celsius && len(w) > 2 && r.isWord(j, "c", "celsius") {
		j++
	}
	return j
}
