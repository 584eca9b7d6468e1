package reading

import (
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
		return capacitorClass | otherClass_ | crystalClass
	case quantity.Ohm:
		return ohmic | capacitorClass | otherClass_
	case quantity.Henry:
		return inductorClass | otherClass_
	case quantity.Hertz:
		return crystalClass | otherClass_
	}
	return anyOfThem
}

// likelier are the classes that mostly have a rating of a unit.
func likelier(u quantity.Unit) classes {
	switch u {
	case quantity.Volt:
		return anyOfThem &^ (resistorClass | inductorClass | crystalClass | connectorClass | otherClass_)
	case quantity.Ampere:
		return anyOfThem &^ (resistorClass | capacitorClass | crystalClass | otherClass_)
	case quantity.Watt:
		return anyOfThem &^ (capacitorClass | inductorClass | fuseClass | cellClass | crystalClass | otherClass_)
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
	r.lettered_(i)
	u, end, ok := r.unitOf(&w)
	if !ok {
		r.spaced(&w)
		return
	}
	r.amount(&w, u, end)
}

// lettered_ notes a rating whose unit takes the place of the point: 6V3, 3A15, 0W25.
func (r *reader) lettered_(i int) {
	if r.glued(i) || r.runEnd(i) != i+3 || !r.isLetters(i+1) || len(r.code_(i+1)) != 1 || !r.isFigures(i+2) || r.only != 0 {
		return
	}
	u, ok := map[string]quantity.Unit{"v": quantity.Volt, "a": quantity.Ampere, "w": quantity.Watt}[string(r.low_(i+1))]
	d, fits := pointed(r.code_(i), r.code_(i+2))
	q, good := d.times(0, u)
	if ok && fits && good && len(r.code_(i+2)) <= 3 {
		s := span{i: i, j: i + 3, act: actAmount, n: 1, lean: 2, rule: "unit for the point"}
		s.q[0] = q
		r.add(s)
	}
}

// spaced notes a resistance whose multiplier stands apart and whose unit is not written: 100 K 1 W, 10 M 1/4W.
func (r *reader) spaced(w *written) {
	k := w.j
	if r.only != 0 || !r.isLetters(k) || !r.atoms[k].gap || r.glued(k+1) || w.num.n > 1 || r.isSign(k+1, "=") {
		return
	}
	s := span{i: w.i, j: k + 1, act: actAmount, holds: ohmic, argues: resistorClass, bonus: 6, lean: -3, rule: "multiplier apart"}
	u := unitWord{unit: quantity.Ohm, n: 1}
	switch string(r.code_(k)) {
	case "k", "K":
		u.exps[0] = 3
	case "M":
		u.exps[0] = 6
	case "R":
	case "u", "n", "p":
		exps, _ := tailLetter(quantity.Capacitance, r.code_(k)[0])
		u = unitWord{unit: quantity.Farad, exps: exps, n: 1}
		s.holds, s.argues = capacitorClass, capacitorClass
	default:
		return
	}
	if r.fill(&s, w, u) {
		r.add(s)
	}
}

// numberMayBegin reports whether a number of its own may begin at atom i: not within a type number, nor behind a sign
// that makes another thing of it.
func (r *reader) numberMayBegin(i int) bool {
	if r.only == 0 && r.printCode(i) {
		return false
	}
	if !r.glued(i) {
		if r.isSign(i-1, "±") && r.touches(i) {
			return false
		}
		return !r.isSign(i-1, "^") && !r.stray(i) && !(r.isSign(i-1, "/") && r.fractionAt(i-2))
	}
	start := r.runStart(i)
	switch {
	case r.atoms[i-1].script == ideographic:
		return true
	case start == i-1:
		return r.isWord(start, "wv", "esr", "max", "min", "ca")
	}
	return r.isFigures(start) && r.endsAmount(r.code_(i-1))
}

// printCode reports whether a run of a print is a code of figures and a letter, such as 01C on a resistor and 2A on a
// can, and no quantity with its unit.
func (r *reader) printCode(i int) bool {
	if r.ctx.Found != "marking" && r.ctx.Found != "order-code" || r.glued(i) || r.runEnd(i) != i+2 || !r.isLetters(i+1) {
		return false
	}
	t, l := r.code_(i), r.code_(i+1)
	if len(t) > 2 || !onlyFigures(t) || len(l) != 1 || l[0] < 'A' || l[0] > 'Z' {
		return false
	}
	return l[0] != 'V' || r.ctx.Found == "order-code" && len(t) == 1
}

// stray reports whether a point stands between letters and the figures of atom i, where it belongs to neither.
func (r *reader) stray(i int) bool {
	return r.isSign(i-1, ".") && r.touches(i) && r.touches(i-1) && r.atoms[i-2].sort != sign &&
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
		return capTolerance(w[len(w)-1]) && strings.IndexByte("pnukKMR", w[0]) >= 0 || fuse && strings.IndexByte("TFLHEM", w[len(w)-1]) >= 0
	}
	return false
}

// unitOf finds the unit of a number, in the light of the number and of what was asked for.
func (r *reader) unitOf(w *written) (u unitWord, end int, ok bool) {
	j := w.j
	if r.isLetters(j) && (r.isSign(j+1, "=") || r.isSign(j+1, ":")) && r.atoms[j].gap && r.isFigures(j+2) {
		return u, j, false // a label: 5 h=11
	}
	u, end, ok = r.unitAt(j)
	if r.isLetters(j) && len(r.code_(j)) == 1 && r.isLetters(j+1) && r.atoms[j+1].gap {
		if v, e, two := r.prefixed(j); two {
			return v, e, true
		}
	}
	if r.isLetters(j) && !ok {
		u, end, ok = r.fuseUnit(j)
	}
	if !ok || !r.asked(w, u, j) {
		return u, j, false
	}
	if r.isLetters(j) && len(r.code_(j)) == 1 && r.isFigures(j+1) && r.glued(j+1) && u.unit != quantity.Celsius && !r.ratingFollows(j+1) {
		return u, j, false // a letter among figures is a point: 6V3
	}
	if r.behindPoint(w.i) && u.n > 0 && u.exps[0] == 0 && valueUnit(u.unit) {
		return u, j, false // so it is in 1n5F
	}
	u = r.unitMeant(w, u, j)
	return u, end, true
}

// behindPoint reports whether the figures of atom i stand behind a letter that takes the place of the point.
func (r *reader) behindPoint(i int) bool {
	return r.glued(i) && r.isLetters(i-1) && len(r.code_(i-1)) == 1 && strings.IndexByte("pnukKMRrmE", r.code_(i - 1)[0]) >= 0 && r.isFigures(i-2) && r.glued(i-1)
}

// ratingFollows reports whether the figures of atom k begin a rating of their own, as in 100n50V.
func (r *reader) ratingFollows(k int) bool {
	if !r.isLetters(k+1) || !r.glued(k+1) {
		return false
	}
	u, ok := lookUnit(r.code_(k + 1))
	return ok && (u.unit == quantity.Volt || u.unit == quantity.Celsius && hot(r.code_(k)))
}

// hot reports whether figures before a lone C are one of the usual upper temperatures of parts.
func hot(t []byte) bool {
	switch string(t) {
	case "60", "65", "70", "85", "95", "100", "105", "115", "120", "121", "125", "128", "130", "135", "140", "145", "150", "155", "175", "200":
		return true
	}
	return false
}

// prefixed reads a prefix letter and its unit apart: k Ω, M ohm, m V.
func (r *reader) prefixed(j int) (u unitWord, end int, ok bool) {
	exp := int8(0)
	switch r.code_(j)[0] {
	case 'p':
		exp = -12
	case 'n':
		exp = -9
	case 'u':
		exp = -6
	case 'm':
		exp = -3
	case 'k', 'K':
		exp = 3
	case 'M':
		exp = 6
	case 'G':
		exp = 9
	default:
		return u, j, false
	}
	w := r.code_(j + 1)
	u, ok = lookUnit(w)
	if !ok || u.n != 1 || u.exps[0] != 0 || u.mul != 0 || u.unit == quantity.Joule && r.only != quantity.Energy || u.unit == quantity.Celsius || u.unit == quantity.Hour {
		return u, j, false
	}
	if exp > 0 && (u.unit == quantity.Farad || u.unit == quantity.Henry) || u.unit == quantity.Watt && len(w) == 1 && exp > 0 || u.unit == quantity.Volt && exp > 3 {
		return u, j, false // 100 K 1 W has its figure between, but K W is no unit of parts
	}
	u.exps[0] = exp
	return u, j + 2, true
}

// fuseUnit reads a current's unit with the letters of a fuse against it: mAT, AF, AL, AH.
func (r *reader) fuseUnit(j int) (u unitWord, end int, ok bool) {
	w := r.code_(j)
	for _, unit := range [...]string{"mA", "A"} {
		if rest, found := strings.CutPrefix(string(w), unit); found && len(rest) == 1 && strings.Contains("TFLHEM", rest) && r.only == quantity.Current {
			u, ok = lookUnit([]byte(unit))
			return u, j + 1, ok
		}
	}
	return u, j, false
}

// asked reports whether a unit is one that is looked for: some stand for something else in a part's text.
func (r *reader) asked(w *written, u unitWord, j int) bool {
	k := r.only
	switch {
	case u.unit == quantity.Joule:
		return k == quantity.Energy
	case u.unit == quantity.Millimetre:
		return k == quantity.Length
	case u.unit == quantity.Percent:
		return false // a tolerance
	case r.isLetters(j) && len(r.code_(j)) == 2 && r.otherwise(r.code_(j)):
		return false
	case u.unit == quantity.Hour && u.mul != 0:
		return k == quantity.Duration
	case u.unit == quantity.Celsius && r.isWord(j, "c") && k != quantity.Temperature:
		return len(w.num.text) > 0 && hot(w.num.text) && w.den == 0
	case u.unit == quantity.Celsius && r.isWord(j, "grad", "deg", "degree", "degrees", "gradi", "graden", "grados"):
		return true
	}
	return true
}

// otherwise reports whether two letters behind a number are its multiplier and the law of a potentiometer's track or the
// tolerance of a resistor: 50KA, 10KF.
func (r *reader) otherwise(w []byte) bool {
	switch r.ctx.Class {
	case "potentiometer":
		return lawLetter(w[1])
	case "resistor":
		return w[1] == 'F' && (w[0] == 'K' || w[0] == 'M')
	}
	return false
}

// leastHours is the number from which a capital H behind it means hours: no choke has hundreds of henrys.
var leastHours, _ = quantity.New(500, 0, quantity.Hour)

// unitMeant settles a unit that two things are written with: h and H, mF and MHz, MW and mW.
func (r *reader) unitMeant(w *written, u unitWord, j int) unitWord {
	k := r.only
	if r.isWord(j, "h") && r.isLetters(j) && len(r.code_(j)) == 1 {
		return r.henryOrHour(w, k, j)
	}
	if u.n != 2 {
		return u
	}
	switch u.unit {
	case quantity.Farad:
		return r.micro(w, u, j)
	case quantity.Hertz:
		if k == 0 {
			u.n = 1 // mhz is never milli
		}
	case quantity.Henry:
		if k == 0 {
			u.n = 1
		}
	default:
		if k == 0 {
			u.n = 1 // MA and MW are shouted
		}
	}
	return u
}

func (r *reader) henryOrHour(w *written, k quantity.Kind, j int) unitWord {
	hour, henry := unitWord{unit: quantity.Hour, n: 1}, unitWord{unit: quantity.Henry, n: 1}
	switch {
	case k == quantity.Duration:
		return hour
	case k == quantity.Inductance && r.raw_(j) == "H", r.flags.inductor:
		return henry
	case r.raw_(j) == "h":
		return hour
	}
	if q, ok := w.value().times(0, quantity.Hour); ok && w.den == 0 && q.Compare(leastHours) >= 0 && w.num.n == 1 {
		return hour
	}
	return henry
}

func (w *written) value() decimalNumber { return w.num.value() }

// mostMilli is the greatest capacitance that is believed to be written in millifarads.
var mostMilli, _ = quantity.New(1, 0, quantity.Farad)

// micro settles mF, which is microfarads on old parts and millifarads by the book: in capitals, with a small f, or
// where millifarads would make a farad it is the former.
func (r *reader) micro(w *written, u unitWord, j int) unitWord {
	raw := r.raw_(j)
	whole, ok := w.value().times(-3, quantity.Farad)
	old := r.ctx.Historic || raw == "mf" || raw == "MF" || raw == "Mf" || ok && whole.Compare(mostMilli) >= 0 && len(raw) == 2
	if old && len(raw) == 2 || r.ctx.Historic {
		u.n = 1
	}
	return u
}

// amount notes a number with its unit, and what may stand behind it.
func (r *reader) amount(w *written, u unitWord, end int) {
	s := span{i: w.i, j: end, act: actAmount, exact: true}
	if !r.fill(&s, w, u) {
		return
	}
	r.canonical(&s)
	s.current = currentOf(u)
	r.currentBehind(&s)
	r.classed(&s)
	switch {
	case u.unit == quantity.Farad && s.n == 1 && r.isWord(w.j, "mf"):
		s.doubt = "MF and mF are read as microfarads, as old parts write them."
	case u.unit == quantity.Henry && r.raw_(w.j) == "MH":
		s.doubt = "MH is read as millihenrys."
	case u.unit == quantity.Volt:
		s.lean++ // 1 V is a voltage rather than 1V, a code
	}
	r.add(s)
	r.labelledBehind(s)
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

// classed says which classes a quantity speaks for.
func (r *reader) classed(s *span) {
	unit := s.q[0].Unit()
	s.argues, s.bonus = unitClasses(unit)
	s.holds = unitHolders(unit)
	if unit == quantity.Hertz && r.isSign(s.i-1, "@") {
		s.argues, s.holds = 0, otherClass_
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
	for ; d.exp > 0 && magnitude(d.coef) < pow10(mostDigits-1); d.exp-- {
		d.coef *= 10
	}
	for e := d.exp; e < 0 && shift < int64(pow10(mostDigits-1)); e++ {
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
	case r.isWord(k, "ac", "rms", "eff", "wechselspannung", "ca"), r.isSign(k, "~") && last:
		s.current, s.j = alternate, k+1
	case r.isWord(k, "dc", "gleichspannung", "cc") && s.q[0].Unit() == quantity.Volt, (r.isSign(k, "=") || r.isSign(k, "-") && r.touches(k)) && last:
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
		case u.unit == quantity.Volt && r.only == quantity.Voltage && r.ctx.Class != "capacitor", r.only != 0 && u.unit == quantity.Farad && !in:
			last := written{i: w.j - 1, j: w.j}
			last.num, _ = readNumeral(r.code_(w.j-1), r.ctx.Language)
			one := span{}
			if !r.fill(&one, &last, u) {
				return
			}
			s.q[1], s.n = one.q[0], 2
		case !in || u.unit == quantity.Volt || u.unit == quantity.Celsius || u.unit == quantity.Ampere || u.unit == quantity.Watt:
			return
		default:
			s.doubt = "The figures parted by a blank are read as one number."
		}
	}
	r.add(s)
}
