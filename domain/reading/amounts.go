package reading

import (
	"slices"
	"strings"

	"boardlore/domain/quantity"
)

// unitClasses says which classes have a quantity of a unit as their value, and so for which it speaks.
func unitClasses(u quantity.Unit) (argues classes, bonus int) {
	switch u {
	case quantity.Farad:
		return capacitorClass, 25
	case quantity.Ohm:
		return resistorClass, 22
	case quantity.Henry:
		return inductorClass, 25
	case quantity.Hertz:
		return crystalClass, 20
	}
	return 0, 0
}

// unitHolders are the classes that can take a quantity of a unit.
func unitHolders(u quantity.Unit) classes {
	switch u {
	case quantity.Farad:
		return capacitorClass | restClass | crystalClass
	case quantity.Ohm:
		return ohmic | capacitorClass | restClass
	case quantity.Henry:
		return inductorClass | restClass
	case quantity.Hertz:
		return crystalClass | restClass
	}
	return anyOfThem
}

// likelier are the classes that mostly have a rating of a unit.
func likelier(u quantity.Unit) classes {
	switch u {
	case quantity.Volt:
		return anyOfThem &^ (resistorClass | inductorClass | crystalClass | connectorClass | restClass)
	case quantity.Ampere:
		return anyOfThem &^ (resistorClass | capacitorClass | crystalClass | restClass)
	case quantity.Watt:
		return anyOfThem &^ (capacitorClass | inductorClass | fuseClass | cellClass | crystalClass | restClass)
	}
	return anyOfThem
}

// amounts notes the quantities that begin at atom i: a number with its unit, pairs of them, ranges and sections.
func (r *reader) amounts(i int) {
	if !r.isFigures(i) || !r.numberMayBegin(i) {
		return
	}
	if w, ok := r.groupsAt(i); ok {
		r.grouped(w)
	}
	w, ok := r.numberAt(i)
	if !ok {
		return
	}
	r.several(&w)
	r.unitPoint(i)
	u, end, ok := r.unitOf(&w)
	if !ok {
		r.spaced(&w)
		return
	}
	r.amount(&w, u, end)
}

// unitPoint notes a rating whose unit takes the place of the point: 6V3, 3A15, 0W25.
func (r *reader) unitPoint(i int) {
	if r.glued(i) || r.runEnd(i) != i+3 || !r.isLetters(i+1) || len(r.codeOf(i+1)) != 1 || !r.isFigures(i+2) ||
		r.only != 0 {
		return
	}
	u, ok := map[string]quantity.Unit{"v": quantity.Volt, "a": quantity.Ampere,
		"w": quantity.Watt}[string(r.lowOf(i+1))]
	d, fits := pointed(r.codeOf(i), r.codeOf(i+2))
	q, good := d.times(0, u)
	if ok && fits && good && len(r.codeOf(i+2)) <= 3 {
		s := span{i: i, j: i + 3, act: actAmount, n: 1, lean: 2, rule: "unit point"}
		s.q[0] = q
		r.add(s)
	}
}

// spaced notes a resistance whose multiplier stands apart and whose unit is not written: 100 K 1 W, 10 M 1/4W.
func (r *reader) spaced(w *written) {
	k := w.j
	if r.only != 0 || !r.isLetters(k) || !r.atoms[k].gap || r.glued(k+1) || w.num.n > 1 || r.isSign(k+1, '=') {
		return
	}
	s := span{i: w.i, j: k + 1, act: actAmount, holds: ohmic, argues: resistorClass, bonus: 6, lean: -3,
		rule: "multiplier apart"}
	u := unitWord{unit: quantity.Ohm, n: 1}
	switch string(r.codeOf(k)) {
	case "k", "K":
		u.exps[0] = 3
	case "M":
		u.exps[0] = 6
	case "R":
	case "u", "n", "p":
		exps, _ := tailLetter(quantity.Capacitance, r.codeOf(k)[0])
		u = unitWord{unit: quantity.Farad, exps: exps, n: 1}
		s.holds, s.argues = capacitorClass, capacitorClass
	default:
		return
	}
	if r.fill(&s, w, u) {
		if r.isFigures(k+1) && r.fractionAt(k+2) {
			s.doubts = say("reading.one-figure-or-two", r.source(w.i, k+2)) // 1 k 5 1/4 W
		}
		r.add(s)
	}
}

// numberMayBegin reports whether a number of its own may begin at atom i: not within a type number, nor behind a sign
// that makes another thing of it.
func (r *reader) numberMayBegin(i int) bool {
	if r.only == 0 && r.printCode(i) || r.signedTwice(i) {
		return false
	}
	if !r.glued(i) {
		if r.isSign(i-1, '±') && r.touches(i) {
			return false
		}
		return !r.isSign(i-1, '^') && !r.stray(i) && !(r.isSign(i-1, '/') && r.fractionAt(i-2))
	}
	start := r.runStart(i)
	switch t := r.codeOf(i); {
	case r.atoms[i-1].script == ideographic:
		return true
	case r.only == 0 && len(t) > 1 && t[0] == '0' && onlyFigures(t):
		return false // the decimals of 1A01A
	case start == i-1:
		return r.isWord(start, "wv", "esr", "max", "min", "ca")
	}
	return r.isFigures(start) && r.endsAmount(r.codeOf(i-1))
}

// printCode reports whether a run of a print is a code of figures and a letter, such as 01C on a resistor and 2A on a
// can, and no quantity with its unit.
func (r *reader) printCode(i int) bool {
	if r.ctx.Found != "marking" && r.ctx.Found != "order-code" || r.glued(i) || r.runEnd(i) != i+2 ||
		!r.isLetters(i+1) {
		return false
	}
	t, l := r.codeOf(i), r.codeOf(i+1)
	if len(t) > 2 || !onlyFigures(t) || len(l) != 1 || l[0] < 'A' || l[0] > 'Z' {
		return false
	}
	return l[0] != 'V' || r.ctx.Found == "order-code" && len(t) == 1
}

// stray reports whether a point stands between letters and the figures of atom i, where it belongs to neither.
func (r *reader) stray(i int) bool {
	return r.isSign(i-1, '.') && r.touches(i) && r.touches(i-1) && r.atoms[i-2].sort != sign &&
		!r.isWord(i-2, "v", "wv", "vw", "dc", "ac", "max", "min", "no", "nr", "rm", "ca", "vdc")
}

// endsAmount reports whether letters between figures may end an amount or a code: a unit, a multiplier, a tolerance.
func (r *reader) endsAmount(w []byte) bool {
	if _, ok := lookUnit(w); ok {
		return true
	}
	switch len(w) {
	case 1:
		return strings.IndexByte("pnukKMRrJFGZmVxX", w[0]) >= 0
	case 2, 3:
		_, fuse := lookUnit(w[:len(w)-1])
		return capTolerance(w[len(w)-1]) && strings.IndexByte("pnukKMR", w[0]) >= 0 || fuse &&
			strings.IndexByte("TFLHEM", w[len(w)-1]) >= 0
	}
	return false
}

// minHours is the number from which a capital H behind it means hours: no choke has hundreds of henrys.
var minHours, _ = quantity.New(500, 0, quantity.Hour)

func (w *written) value() decimalNumber { return w.num.value() }

// maxMilli is the greatest capacitance that is believed to be written in millifarads.
var maxMilli, _ = quantity.New(1, 0, quantity.Farad)

// amount notes a number with its unit, and what may stand behind it.
func (r *reader) amount(w *written, u unitWord, end int) {
	s := span{i: w.i, j: end, act: actAmount, exact: true}
	if r.glued(w.i) && r.isLetters(w.j) && r.atoms[w.j].gap && r.atoms[w.i-1].script != ideographic ||
		!r.fill(&s, w, u) {
		return // the 7 of 4n7 V is no number
	}
	r.canonical(&s)
	r.withinRun(&s)
	s.current = currentOf(u)
	r.currentBehind(&s)
	r.classed(&s)
	switch {
	case r.only == 0 && r.printOf(w.j) == "F" && r.glued(w.j) && w.num.plain && len(w.num.text) == 3 &&
		!preferred(w.num.value().coef):
		s.doubts = say("reading.value-or-code", r.source(w.i, end)) // 208F
	case u.unit == quantity.Farad && s.n == 1 && r.isWord(w.j, "mf"):
		s.doubts = say("reading.old-microfarads")
	case u.unit == quantity.Henry && r.printOf(w.j) == "MH":
		s.doubts = say("reading.millihenrys")
	case u.unit == quantity.Volt:
		s.lean++ // 1 V is a voltage rather than 1V, a code
	}
	r.add(s)
	r.labelledBehind(s)
}

// withinRun doubts a voltage whose figures stand against a multiplier and may be the decimals of that: 4k716V, 10k25V.
// 22u16V is a capacitor's value and its rated voltage.
func (r *reader) withinRun(s *span) {
	if s.q[0].Unit() != quantity.Volt || !r.glued(s.i) || !r.isLetters(s.i-1) || len(r.codeOf(s.i-1)) != 1 ||
		!r.isFigures(s.i-2) {
		return
	}
	switch r.codeOf(s.i - 1)[0] {
	case 'n', 'u', 'p':
		if d, ok := figuresOf(r.codeOf(s.i), -1); !ok || ratedVolts(d) || len(r.codeOf(s.i)) == 1 {
			return // 6,3 and 5 V are rated too
		}
	case 'k', 'K', 'M', 'R', 'r':
		if len(r.codeOf(s.i-2)) == 3 && r.codeOf(s.i - 1)[0] != 'k' {
			return // 104K100V
		}
	default:
		return
	}
	s.doubts = say("reading.one-figure-or-two", r.source(r.runStart(s.i), s.j))
}

// canonical settles a number that reads two ways where it is spelled as quantities are: that says one thing.
func (r *reader) canonical(s *span) {
	if s.n < 2 || r.ctx.Language != "" && r.ctx.Language != "en" {
		return
	}
	for _, q := range s.q[:s.n] {
		if q.String() == r.source(s.i, s.j) {
			s.q[0], s.n = q, 1
			return
		}
	}
}

// mainsFrequencies say nothing of a part: no crystal is cut for them.
var mainsFrequencies = []quantity.Quantity{whole(50, quantity.Hertz), whole(60, quantity.Hertz),
	whole(400, quantity.Hertz)}

var kiloampere = whole(1000, quantity.Ampere)

// classed says which classes a quantity speaks for.
func (r *reader) classed(s *span) {
	unit := s.q[0].Unit()
	s.argues, s.bonus = unitClasses(unit)
	s.holds = unitHolders(unit)
	switch {
	case unit == quantity.Hertz && r.isSign(s.i-1, '@'):
		s.argues, s.holds = 0, restClass
	case unit == quantity.Hertz && r.only == 0 && slices.Contains(mainsFrequencies, s.q[0]):
		s.argues = 0
		r.add(span{i: s.i, j: s.j, act: actPrice, holds: anyOfThem &^ (crystalClass | restClass),
			rule: "mains frequency"})
	case unit == quantity.Ampere && s.q[0].Compare(kiloampere) >= 0:
		s.holds &^= potentiometerClass // 50KA is 50 kΩ with the law A
	}
}

// fill works out the quantities that a number and its unit may mean.
func (r *reader) fill(s *span, w *written, u unitWord) bool {
	if w.den != 0 {
		q, ok := quantity.New(w.top, int(u.exps[0]), u.unit)
		if ok {
			q, ok = scaled(q, u)
		}
		if ok {
			q, ok = q.MulRatio(1, w.den)
		}
		if w.neg {
			q = q.Neg()
		}
		s.q[0], s.n = q, 1
		return ok && u.n == 1 && !u.fahr
	}
	for _, d := range w.num.alts[:w.num.n] {
		if w.neg {
			d.coef = -d.coef
		}
		for _, e := range u.exps[:u.n] {
			q, ok := d.times(int(e), u.unit)
			if ok && u.fahr {
				q, ok = fromFahrenheit(d)
			} else if ok {
				q, ok = scaled(q, u)
			}
			if !ok || s.n == len(s.q) {
				return false
			}
			s.q[s.n] = q
			s.n++
		}
	}
	return true
}

// scaled converts a unit that is not metric, where the result is an exact decimal.
func scaled(q quantity.Quantity, u unitWord) (quantity.Quantity, bool) {
	if u.mul == 0 {
		return q, true
	}
	return q.MulRatio(int64(u.mul), int64(u.div))
}

// fromFahrenheit converts where the result is an exact decimal.
func fromFahrenheit(d decimalNumber) (quantity.Quantity, bool) {
	shift := int64(32)
	for ; d.exp > 0 && magnitude(d.coef) < pow10(maxDigits-1); d.exp-- {
		d.coef *= 10
	}
	for e := d.exp; e < 0 && shift < int64(pow10(maxDigits-1)); e++ {
		shift *= 10
	}
	q, ok := quantity.New(d.coef-shift, d.exp, quantity.Celsius)
	if !ok || d.exp > 0 || d.exp <= -16 {
		return q, false
	}
	return q.MulRatio(5, 9)
}

func currentOf(u unitWord) current {
	switch {
	case u.ac:
		return alternate
	case u.dc:
		return direct
	}
	return unsaid
}

// currentBehind takes what may stand behind volts: AC, DC, ~, =, -.
func (r *reader) currentBehind(s *span) {
	k := s.j
	if s.q[0].Unit() != quantity.Volt && s.q[0].Unit() != quantity.Ampere || k >= len(r.atoms) {
		return
	}
	last := k+1 >= len(r.atoms) || r.atoms[k+1].gap || r.atoms[k+1].sort == sign
	switch {
	case r.isWord(k, "ac", "rms", "eff", "wechselspannung", "ca"), r.isSign(k, '~') && last:
		s.current, s.j = alternate, k+1
	case r.isWord(k, "dc", "gleichspannung", "cc") && s.q[0].Unit() == quantity.Volt,
		(r.isSign(k, '=') || r.isSign(k, '-') && r.touches(k)) && last:
		s.current, s.j = direct, k+1
	}
	if s.current == direct && (r.isWord(s.j, "wkg") || r.isWord(s.j, "wv")) {
		s.j++
	}
}

// grouped notes a number whose thousands stand apart: it is one where its last group is nought, or where it is a
// preferred number.
func (r *reader) grouped(w written) {
	u, end, ok := r.unitOf(&w)
	s := span{i: w.i, j: end, act: actAmount, exact: true, lean: 1}
	if !ok || !r.fill(&s, &w, u) {
		return
	}
	s.current = currentOf(u)
	r.currentBehind(&s)
	r.classed(&s)
	if w.single {
		in := quantity.InSeries(s.q[0], quantity.E24)
		switch {
		case u.unit == quantity.Volt && r.only == quantity.Voltage && r.ctx.Class != "capacitor", r.only != 0 &&
			u.unit == quantity.Farad && !in:
			last := written{i: w.j - 1, j: w.j}
			last.num, _ = readNumeral(r.codeOf(w.j-1), r.ctx.Language)
			one := span{}
			if !r.fill(&one, &last, u) {
				return
			}
			s.q[1], s.n = one.q[0], 2
		case !in || u.unit == quantity.Volt || u.unit == quantity.Celsius || u.unit == quantity.Ampere ||
			u.unit == quantity.Watt:
			return
		default:
			s.doubts = say("reading.figures-apart")
		}
	}
	r.add(s)
}
