package quantity

const (
	failNumber   = "the number has too many figures, or its points and commas do not fit together; write it with one decimal point"
	failCounted  = "the text counts several parts; give the value of one and the number apart"
	failRange    = "this is a range, not one value; give the rated value"
	failChoice   = "the text offers a choice; decide for one value and write it alone"
	failAbsent   = "the text says that there is no part or no value; leave the member out"
	failSeveral  = "there are several lengths in it; give one at a time"
	failOneSided = "a deviation to one side is no tolerance; give both sides, as in -20 %/+80 %"
	failPower    = "powers of ten are not read; write the value with p, n, µ, k or M before its unit"
	failInexact  = "this has no exact decimal in "
)

var (
	doubtAC      = []string{"alternating voltage (AC): compare with alternating ratings only"}
	doubtNoUnit  = []string{"no unit is written; it is the usual one of such texts"}
	doubtSection = []string{"one section of a part with several: never add them up"}
	doubtEnd     = []string{"one end of a range; a rating is its upper end"}
	doubtPercent = []string{"no unit is written; taken as per cent"}
)

// head is a number at the beginning of a term and where it ends.
type head struct {
	num   numeral
	neg   bool
	first int    // its first chunk
	last  int    // its last chunk; figures grouped by blanks are several
	c     *chunk // the last chunk
}

// numberTerm reads a term that begins with figures.
func (r *reader) numberTerm(i int, times, ranged bool) int {
	if j := r.toleranceTerm(i); j > i || r.fail != "" {
		return j
	}
	if j := r.dimensions(i, times); j > i || r.fail != "" {
		return j
	}
	if j := r.fraction(i); j > i || r.fail != "" {
		return j
	}
	h := r.head(i)
	if r.fail != "" {
		return i
	}
	if r.codeFirst(h.c) && r.chunkCode(h.last, times) {
		return h.last + 1
	}
	if u, j, ok := r.unit(&h); ok {
		return r.united(&h, u, j, times, ranged)
	}
	if h.c.n > 1 {
		if !r.chunkCode(h.last, times) {
			r.puzzle(h.c)
		}
		return h.last + 1
	}
	r.keepBare(&h, times)
	return h.last + 1
}

// puzzle notes a chunk that is not understood.
func (r *reader) puzzle(c *chunk) {
	if r.unknown == nil {
		r.unknown = r.lexer.text[c.start:c.end]
	}
}

// keepBare keeps a number without unit for settling, or fails where it counts parts.
func (r *reader) keepBare(h *head, times bool) {
	switch {
	case times && r.valued > 0 && r.valued == h.first-1:
		r.fail = failCounted
	case times && r.kind == Length:
		r.fail = failSeveral
	case times || r.nb > 0 && chipSize(h.num.text):
	case r.nb == len(r.bares):
		r.puzzle(h.c)
	default:
		r.bares[r.nb] = bareNumber{h.num, h.c.before, h.last, h.neg}
		r.nb++
	}
}

// chipSize reports whether four figures name the size of a chip part.
func chipSize(s []byte) bool {
	switch string(s) {
	case "0201", "0402", "0603", "0805", "1206", "1210", "1808", "1812", "2010", "2220", "2225", "2512":
		return true
	}
	return false
}

// head reads the number that begins at chunk i, with groups of three that blanks part.
func (r *reader) head(i int) head {
	c := &r.lexer.chunks[i]
	h := head{first: i, last: i, c: c}
	h.neg, _ = signed(c)
	num, ok := readNumeral(c.atoms[0].text, r.ctx.Language)
	if !ok {
		r.fail = failNumber
		return h
	}
	h.num = num
	if !num.whole() || len(num.text) > 3 || c.n > 1 {
		return h
	}
	j := i
	for r.groupNext(j + 1) {
		j++
	}
	if j == i {
		return h
	}
	return r.joined(h, j)
}

// groupNext reports whether chunk j can be the next three figures of a number.
func (r *reader) groupNext(j int) bool {
	if j >= r.lexer.n || r.lexer.chunks[j-1].n > 1 {
		return false
	}
	c := &r.lexer.chunks[j]
	t := c.atoms[0].text
	if c.before != sepSpace || c.start != r.lexer.chunks[j-1].end+1 || !c.atoms[0].number || len(t) < 3 {
		return false
	}
	return isDigit(t[0]) && isDigit(t[1]) && isDigit(t[2]) && (len(t) == 3 || !isDigit(t[3]))
}

// joined decides whether the numbers from h to chunk j are one, grouped by blanks. A last group of noughts is no
// number of its own; other groups belong together where a unit follows and the whole is a number that parts have.
func (r *reader) joined(h head, j int) head {
	c := &r.lexer.chunks[j]
	text := r.lexer.text[r.lexer.chunks[h.first].start : c.start+len(c.atoms[0].text)]
	num, ok := readNumeral(text, r.ctx.Language)
	if !ok {
		return h
	}
	whole := head{num: num, neg: h.neg, first: h.first, last: j, c: c}
	if string(text[len(text)-3:]) == "000" {
		return whole
	}
	u, _, ok := r.unit(&whole)
	if !ok || u.unit == Volt && (r.kind != Voltage || r.class == capacitors) {
		return h
	}
	if u.unit == Volt || u.unit == Farad && !preferred(num.value().coef) {
		alone, _ := readNumeral(c.atoms[0].text, r.ctx.Language)
		whole.num.alts[1], whole.num.n = alone.value(), 2
	}
	return whole
}

// unit finds the unit behind a number, written to it or as the next word, and the index of the chunk after it. Of a
// chunk such as 10uF25V the rest is left as a chunk of its own.
func (r *reader) unit(h *head) (unitWord, int, bool) {
	if h.c.n == 1 {
		return r.nextUnit(h.last + 1)
	}
	u, ok := r.unitOf(h.c.atoms[1].text)
	if fuseMark(h.c) {
		u, ok = unitWord{unit: Ampere, n: 1}, true
	}
	if !ok || h.c.long {
		return u, 0, false
	}
	if h.c.n == 2 {
		return u, r.unitTail(h.c.atoms[1].text, u, h.last+1), true
	}
	if len(h.c.atoms[1].text) == 1 && u.unit != Celsius && !r.voltsFollow(h.c) && !fuseMark(h.c) {
		return u, 0, false // a letter among figures is a point
	}
	return u, h.last, true
}

// fuseMark reports whether a chunk is like 3.15AL250V: rated current, breaking capacity, rated voltage.
func fuseMark(c *chunk) bool {
	if !c.shape("9A9A") {
		return false
	}
	switch string(c.atoms[1].text) {
	case "A", "AL", "AH", "AE":
		return sameWord(c.atoms[3].text, "v")
	}
	return false
}

// voltsFollow reports whether a chunk is like 100n50V, where the letter ends the value.
func (r *reader) voltsFollow(c *chunk) bool {
	if !c.shape("9A9A") {
		return false
	}
	u, ok := lookUnit(c.atoms[3].text)
	return ok && u.unit == Volt
}

// nextUnit reads chunk j as a unit that stands apart from its number.
func (r *reader) nextUnit(j int) (unitWord, int, bool) {
	if j >= r.lexer.n || !r.lexer.chunks[j].word() || !r.lexer.chunks[j].before.only() {
		return unitWord{}, 0, false
	}
	w := r.lexer.chunks[j].atoms[0].text
	u, ok := r.unitOf(w)
	if !ok {
		return r.prefixApart(w, j)
	}
	return u, r.unitTail(w, u, j+1), true
}

// prefixApart reads "micro farad" and "pour cent".
func (r *reader) prefixApart(w []byte, j int) (unitWord, int, bool) {
	next := r.wordAt(j + 1)
	if next == nil {
		return unitWord{}, 0, false
	}
	if sameWord(w, "pour") && sameWord(next, "cent") || sameWord(w, "per") && sameWord(next, "cent") {
		return unitWord{unit: Percent, n: 1}, j + 2, true
	}
	if sameWord(w, "working") {
		u, ok := lookUnit(next)
		return u, j + 2, ok && u.unit == Volt
	}
	for _, p := range wordPrefixes {
		if !sameWord(w, p.word) {
			continue
		}
		u, ok := lookUnit(next)
		if !ok || u.n != 1 || u.exps[0] != 0 || u.mul != 0 {
			break
		}
		u.exps[0] = p.exp
		return u, j + 2, true
	}
	return unitWord{}, 0, false
}

// wordAt returns the word that chunk j is, with only blanks before it.
func (r *reader) wordAt(j int) []byte {
	if j >= r.lexer.n || !r.lexer.chunks[j].word() || !r.lexer.chunks[j].before.only() {
		return nil
	}
	return r.lexer.chunks[j].atoms[0].text
}

// unitTail skips what may follow a unit as part of it: the C of "° C", the unit after a prefix letter ("k Ω").
func (r *reader) unitTail(w []byte, u unitWord, j int) int {
	next := r.wordAt(j)
	if next == nil {
		return j
	}
	if len(w) == 1 && (isLetter(w[0]) && w[0] < signOhm || w[0] == signOhm) {
		if v, ok := lookUnit(next); ok && v.unit == u.unit && v.exps[0] == 0 && v.n == 1 && u.unit != Celsius {
			return j + 1
		}
	}
	if u.unit == Celsius && (w[0] == signDegree && len(w) == 1 || len(w) > 2 && sameWord(w[:3], "deg")) &&
		(sameWord(next, "c") || sameWord(next, "celsius")) {
		return j + 1
	}
	return j
}

// unitOf finds the unit that a word means where this kind of quantity is asked for.
func (r *reader) unitOf(w []byte) (unitWord, bool) {
	if len(w) == 1 {
		if u, ok := r.prefixLetter(w[0]); ok {
			return u, true
		}
	}
	u, ok := lookUnit(w)
	switch {
	case u.unit == Joule && r.kind != Energy && len(w) <= 2, len(w) == 2 && u.unit == Millimetre && w[0] == 'u' && w[1] == 'M':
		return unitWord{}, false // J and M behind a value are tolerance letters
	case len(w) == 2 && w[1] == 'F' && (w[0] == 'K' || w[0] == 'M') && r.class == resistors:
		return unitWord{}, false // so is F
	case r.kind == Current && fuseTail(w):
		u, ok = lookUnit(w[:len(w)-1]) // 1AT, 630mAT
	case len(w) == 2 && r.class == potentiometers && lawLetter(w[1]):
		return unitWord{}, false // and these are the law of a track
	case u.milli && r.ctx.Historic:
		u.n = 1
	case r.kind == Duration && u.unit == Henry && len(w) == 1:
		u = unitWord{unit: Hour, n: 1}
	}
	return u, ok
}

// fuseTail reports whether a word is a current's unit with the letter of a fuse's speed behind it.
func fuseTail(w []byte) bool {
	switch string(w) {
	case "AT", "AF", "mAT", "mAF":
		return true
	}
	return false
}

// prefixLetter gives what a lone multiplier letter behind a number means for the kind asked for.
func (r *reader) prefixLetter(c byte) (unitWord, bool) {
	exps, n := tailLetter(r.kind, c)
	if r.kind == Capacitance && r.ctx.Continental && c == 'k' {
		exps, n = [2]int8{-9}, 1 // kilo-picofarad
	}
	if n == 0 || !r.suits(r.kind) {
		return unitWord{}, false
	}
	return unitWord{unit: r.kind.Unit(), exps: exps, n: n}, true
}

// tailLetter gives the powers of ten that a letter behind a number may mean. A small m is milli by the book, yet
// hand-made lists write it for micro (capacitors) and mega (resistors).
func tailLetter(k Kind, c byte) (exps [2]int8, n uint8) {
	one := func(e int8) ([2]int8, uint8) { return [2]int8{e}, 1 }
	switch k {
	case Capacitance:
		switch c {
		case 'p', 'P':
			return one(-12)
		case 'n', 'N':
			return one(-9)
		case 'u', 'U':
			return one(-6)
		case 'm':
			return [2]int8{-3, -6}, 2
		}
	case Resistance:
		if c == 'm' {
			return [2]int8{-3, 6}, 2
		}
		if e, ok := resistorLetter(c); ok {
			return one(e)
		}
	case Inductance:
		switch c {
		case 'n', 'N':
			return one(-9)
		case 'u', 'U', 'R', 'r':
			return one(-6)
		case 'm':
			return one(-3)
		}
	case Frequency:
		switch c {
		case 'k', 'K':
			return one(3)
		case 'M':
			return one(6)
		case 'G':
			return one(9)
		}
	}
	return exps, 0
}

// resistorLetter gives the multiplier letters of IEC 60062 for ohms, and E for R as the continent writes it. L is
// milli.
func resistorLetter(c byte) (int8, bool) {
	switch c {
	case 'L':
		return -3, true
	case 'u':
		return -6, true
	case 'R', 'r', 'E', 'e', signOhm:
		return 0, true
	case 'K', 'k':
		return 3, true
	case 'M':
		return 6, true
	case 'G':
		return 9, true
	case 'T':
		return 12, true
	}
	return 0, false
}

// united takes a number with its unit.
func (r *reader) united(h *head, u unitWord, j int, times, ranged bool) int {
	if h.c.n > 2 {
		h.c.drop(2)
	}
	own := u.unit == r.kind.Unit()
	if !own {
		r.foreign = u.unit
		if u.unit == Farad {
			r.capEnd = j
		}
		r.dropRun(h.first)
		return j
	}
	if r.power(h) {
		return j
	}
	if times {
		r.fail = failCounted
		return j
	}
	if r.kind == ToleranceKind {
		return r.percent(h, u, j)
	}
	if (r.kind == Current || r.kind == Resistance || r.kind == Length) && r.slashed(h, u) {
		r.valued = j
		return j
	}
	current, next := r.currentOf(u, j)
	u.ac = current == 'a'
	r.twoVolts(h)
	r.convert(h, u)
	switch end := r.runBefore(h.first, ranged); {
	case r.fail != "":
	case end:
		r.widen(u)
	default:
		r.commit(rankUnit, current)
	}
	r.valued = next
	if u.unit == Farad {
		r.capEnd = next
	}
	return next
}

// drop removes the first atoms of a chunk; what is left follows without a blank.
func (c *chunk) drop(n int) {
	for _, a := range c.atoms[:n] {
		c.start += len(a.text)
	}
	copy(c.atoms[:], c.atoms[n:c.n])
	c.n -= n
	c.before = 0
}

// percent takes an unsigned percentage as a tolerance both ways.
func (r *reader) percent(h *head, u unitWord, j int) int {
	if r.drift(u) {
		return j
	}
	if h.first > 0 && r.lexer.chunks[h.first].before == sepSlash|sepLeft|sepRight && r.lexer.chunks[h.first-1].number() {
		r.fail = failChoice // 5/10 %
		return j
	}
	if _, any := signed(&r.lexer.chunks[h.first]); any {
		r.fail = failOneSided
		return j
	}
	for _, d := range h.num.alts[:h.num.n] {
		r.offerTolerance(d, int(u.exps[0]), Percent, nil)
	}
	r.commit(rankUnit, 0)
	r.valued = j
	return j
}

// currentOf tells alternating from direct voltage by the unit and by what follows it.
func (r *reader) currentOf(u unitWord, j int) (byte, int) {
	if u.unit != Volt {
		return 0, j
	}
	after := r.lexer.tail
	if j < r.lexer.n {
		after = r.lexer.chunks[j].before
	}
	w := r.wordAt(j)
	switch {
	case u.ac:
		return 'a', j
	case u.dc:
		return 'd', j
	case sameWord(w, "ac"), sameWord(w, "rms"), sameWord(w, "eff"):
		return 'a', j + 1
	case sameWord(w, "dc"), sameWord(w, "wv"), sameWord(w, "wvdc"):
		return 'd', j + 1
	case after.has(sepTilde) && (j == r.lexer.n || after.has(sepSpace) || after.has(sepSlash)):
		return 'a', j
	}
	return 0, j
}

// convert offers every value that a number and its unit allow.
func (r *reader) convert(h *head, u unitWord) {
	var doubts []string
	if u.ac {
		doubts = doubtAC
	}
	for _, d := range h.num.alts[:h.num.n] {
		if h.neg {
			d.coef = -d.coef
		}
		switch {
		case u.fahr:
			r.fahrenheit(d)
		case u.mul != 0:
			r.scale(d, u)
		default:
			for _, e := range u.exps[:u.n] {
				r.offer(d, int(e), u.unit, Tolerance{}, doubts)
			}
		}
	}
}

func (r *reader) scale(d decimalNumber, u unitWord) {
	q, ok := d.times(int(u.exps[0]), u.unit)
	if ok {
		q, ok = q.MulRatio(int64(u.mul), int64(u.div))
	}
	if !ok {
		r.fail = failInexact + u.unit.String() + "; write it in " + u.unit.String()
		return
	}
	r.offer(decimalNumber{q.coef, int(q.exp)}, 0, u.unit, Tolerance{}, nil)
}

// fahrenheit converts where the result is an exact decimal.
func (r *reader) fahrenheit(d decimalNumber) {
	shift := int64(32)
	for ; d.exp > 0 && magnitude(d.coef) < pow10(maxDigits-1); d.exp-- {
		d.coef *= 10
	}
	for e := d.exp; e < 0 && shift < int64(pow10(maxDigits-1)); e++ {
		shift *= 10
	}
	q, ok := New(d.coef-shift, d.exp, Celsius)
	if ok && d.exp <= 0 && d.exp > -16 {
		q, ok = q.MulRatio(5, 9)
	}
	if !ok || d.exp > 0 || d.exp <= -16 {
		r.fail = failInexact + "degrees Celsius; write it in °C"
		return
	}
	r.offer(decimalNumber{q.coef, int(q.exp)}, 0, Celsius, Tolerance{}, nil)
}

// runBefore looks at what stands before the value whose number begins at chunk i: the beginning of a range, or
// sections of a part. It reports whether the readings at hand only widen those.
func (r *reader) runBefore(i int, ranged bool) bool {
	before := r.lexer.chunks[i].before
	joins := before.has(sepMinus|sepRange|sepTilde|sepPlus|sepSlash) || ranged
	if !joins || i == 0 {
		return false
	}
	dash := before.has(sepMinus|sepRange|sepTilde) || ranged
	last := i - 1
	if ranged {
		last--
	}
	bare := r.nb > 0 && r.bares[r.nb-1].index == last
	switch {
	case r.kind == Temperature && (bare || r.valued == last+1):
		return true
	case dash && (bare || r.valued > 0 && r.valued == last+1) && (before.has(sepLeft) == before.has(sepRight) || ranged):
		r.fail = failRange
	case bare && before.has(sepPlus), bare && before.has(sepSlash) && r.kind == Capacitance:
		return true
	}
	return false
}

// widen adds the numbers before a value to it, with its unit: the other end of a range of temperatures, the other
// sections of a part.
func (r *reader) widen(u unitWord) {
	last := r.cur
	r.cur.n = 0
	doubts := doubtSection
	if r.kind == Temperature {
		doubts = doubtEnd
	}
	var all readings
	for i := range r.n {
		all.add(Reading{Quantity: r.out[i].Quantity, Doubts: doubts})
	}
	for _, b := range r.bares[:r.nb] {
		h := head{num: b.num, neg: b.neg}
		r.convert(&h, u)
	}
	if r.nb == 0 && r.n == 0 || r.fail != "" {
		return
	}
	r.nb = 0
	sections := r.cur
	r.cur.n = 0
	for _, l := range [...]*readings{&sections, &last} {
		for i := range l.n {
			all.force(Reading{Quantity: l.out[i].Quantity, Doubts: doubts})
		}
	}
	r.readings, r.rank = all, rankUnit
}

// force adds a reading although an equal one may be there: equal sections of a part are several.
func (l *readings) force(r Reading) {
	if l.n < maxReadings {
		l.out[l.n] = r
		l.n++
	}
}

// dropRun forgets the numbers that a value of another kind ends, as in 16-25V or 50+50µF.
func (r *reader) dropRun(i int) {
	if r.lexer.chunks[i].before.has(sepMinus|sepPlus|sepRange|sepTilde) && r.nb > 0 && r.bares[r.nb-1].index == i-1 {
		r.nb = 0
	}
}

// dimensions passes over sizes such as 5x11 and counts such as 2x.
func (r *reader) dimensions(i int, times bool) int {
	c := &r.lexer.chunks[i]
	if c.n < 2 || !sameWord(c.atoms[1].text, "x") {
		return i
	}
	if c.n == 2 {
		if (r.marking() || r.lexer.n == 1) && r.what() == Resistance && len(c.atoms[0].text) == 2 {
			return i // may be a resistor code
		}
		r.times = true
		return i + 1
	}
	last := c.atoms[c.n-1]
	if u, ok := lookUnit(last.text); !last.number && (!ok || u.unit != Millimetre) {
		c.drop(2)
		r.times = true
		return r.countedTerm(i)
	}
	if r.kind == Length {
		r.fail = failSeveral
	}
	return i + 1
}

// countedTerm reads the value behind 2x.
func (r *reader) countedTerm(i int) int { return r.step(i) }

// fraction reads 1/4W and 1/2A, with a whole number before it if there is one. Only powers, inches, the currents of
// fuses and small resistances are written so.
func (r *reader) fraction(i int) int {
	c := &r.lexer.chunks[i]
	if !c.number() || i+1 >= r.lexer.n {
		return i
	}
	d := &r.lexer.chunks[i+1]
	if d.before != sepSlash|sepLeft|sepRight || !d.atoms[0].number || d.n > 2 {
		return i
	}
	top, ok1 := readNumeral(c.atoms[0].text, "")
	bottom, ok2 := readNumeral(d.atoms[0].text, "")
	if !ok1 || !ok2 || !top.whole() || !bottom.whole() || bottom.value().coef == 0 || len(top.text) > 4 || len(bottom.text) > 4 {
		return i
	}
	h := head{num: bottom, first: i, last: i + 1, c: d}
	u, j, ok := r.unit(&h)
	if !ok || u.unit != Watt && u.unit != Ampere && u.unit != Ohm && (u.unit != Millimetre || u.mul != 254) || u.n != 1 {
		return i
	}
	if (u.unit == Ampere && r.kind == Current || u.unit == Ohm && r.kind == Resistance) && !properFraction(top.value().small(), bottom.value().small()) {
		r.fail = failChoice // 5/10A are two currents, 4/8 Ω two loads
		return i
	}
	if u.unit != r.kind.Unit() {
		r.foreign = u.unit
		return j
	}
	r.ratio(i, top.value(), bottom.value(), u)
	r.valued = j
	return j
}

// drift reports whether a unit is the millionth of anything but a crystal, whose figure is a temperature coefficient
// and no tolerance.
func (r *reader) drift(u unitWord) bool {
	return u.unit == Percent && u.exps[0] < 0 && r.class != crystals
}

// twoVolts judges figures with a slash before a voltage. On a capacitor they are its value; elsewhere 230/400 V are two
// voltages of the mains, and others a choice. Where the class is unknown, figures that parts are rated for are offered
// as well.
func (r *reader) twoVolts(h *head) {
	if r.kind != Voltage || r.class == capacitors || h.first == 0 || r.nb == 0 || h.c.before != sepSlash|sepLeft|sepRight {
		return
	}
	b := &r.bares[r.nb-1]
	if b.index != h.first-1 {
		return
	}
	switch d := b.num.value(); string(b.num.text) {
	case "110", "115", "117", "120", "127", "208", "220", "230", "240", "277", "380", "400":
		r.offer(d, 0, Volt, Tolerance{}, nil)
	case "3.3", "5", "6", "6.3", "9", "12", "15", "24", "48":
		r.secondVolts(d)
	default:
		if ratedVolts(d) || r.class != anyClass {
			r.secondVolts(d)
		}
	}
}

func (r *reader) secondVolts(d decimalNumber) {
	if r.class != anyClass {
		r.fail = failChoice
		return
	}
	r.offer(d, 0, Volt, Tolerance{}, nil)
}

// power fails on 10x10-6F, where the figures before the unit are an exponent.
func (r *reader) power(h *head) bool {
	if h.first == 0 || r.lexer.chunks[h.first].before != sepMinus|sepLeft|sepRight {
		return false
	}
	c := &r.lexer.chunks[h.first-1]
	ten := string(c.atoms[c.n-1].text) == "10"
	product := c.n == 3 && sameWord(c.atoms[1].text, "x") || c.n == 1 && h.first > 1 && sameWord(r.wordAt(h.first-2), "x")
	if ten && product {
		r.fail = failPower
	}
	return ten && product
}

// slashed reads T1/2A, where the speed of a fuse stands before a fraction, and fails on other figures before a slash:
// 0.5/1A are two currents.
func (r *reader) slashed(h *head, u unitWord) bool {
	if h.first == 0 || h.c.before != sepSlash|sepLeft|sepRight {
		return false
	}
	before := &r.lexer.chunks[h.first-1]
	last := before.atoms[before.n-1]
	if !last.number {
		return false
	}
	top, ok := readNumeral(last.text, "")
	if !ok || r.kind == Length || before.n != 2 || len(last.text) > 4 || len(h.num.text) > 4 || !top.whole() || !h.num.whole() ||
		!properFraction(top.value().small(), h.num.value().small()) {
		r.fail = failChoice
		return true
	}
	r.ratio(h.first-1, top.value(), h.num.value(), u)
	return true
}

// properFraction reports whether a pair of whole numbers is below one and in its lowest terms, as fractions are
// written.
func properFraction(top, bottom int64) bool {
	return top > 0 && top < bottom && gcd(uint64(top), uint64(bottom)) == 1
}

func (r *reader) ratio(i int, top, bottom decimalNumber, u unitWord) {
	num, den := top.small(), bottom.small()
	between := r.lexer.chunks[i].before
	if b := &r.bares[max(r.nb-1, 0)]; r.nb > 0 && b.index == i-1 && b.num.whole() && len(b.num.text) <= 4 &&
		(between.only() || between == sepMinus|sepLeft|sepRight) { // 1 1/2 and 1-1/2
		num += den * b.num.value().small()
		r.nb--
	}
	unit, _ := New(1, int(u.exps[0]), u.unit)
	q, ok := unit.MulRatio(num, den)
	if ok && u.mul != 0 {
		q, ok = q.MulRatio(int64(u.mul), 1)
	}
	if !ok {
		r.fail = failInexact + u.unit.String() + "; write it as a decimal"
		return
	}
	r.offer(decimalNumber{q.coef, int(q.exp)}, 0, u.unit, Tolerance{}, nil)
	r.commit(rankUnit, 0)
}
