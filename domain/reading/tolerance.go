package reading

import "boardlore/domain/quantity"

// side is one side of a written tolerance.
type side struct {
	d     decimalNumber
	sign  byte // +, - or 0
	unit  quantity.Unit
	exp   int
	i, j  int
	drift bool // in millionths
}

// tolerances notes ±20 %, +/-0.25pF, -20/+80 %, +80-20% and 5 %.
func (r *reader) tolerances(i int) {
	k := i
	switch both := r.plusMinus(&k); {
	case both:
		r.bothSides(i, k)
	case r.isSign(i, '+'), r.isSign(i, '-'):
		r.twoSides(i)
	case r.isFigures(i) && (!r.glued(i) || r.numberMayBegin(i)):
		if c := r.codeOf(i)[0]; c < '1' || c > '9' {
			r.twoSides(i) // 0/+100 %
		}
		r.percent(i)
	}
}

// plusMinus passes over ±, +/-, +-, -/+ and -+.
func (r *reader) plusMinus(k *int) bool {
	switch {
	case r.isSign(*k, '±'):
		*k++
	case (r.isSign(*k, '+') && r.isSign(*k+1, '-') || r.isSign(*k, '-') && r.isSign(*k+1, '+')) && r.touches(*k+1):
		*k += 2
	case (r.isSign(*k, '+') && r.isSign(*k+1, '/') && r.isSign(*k+2, '-') || r.isSign(*k, '-') && r.isSign(*k+1, '/') &&
		r.isSign(*k+2, '+')) && r.touches(*k+1) && r.touches(*k+2):
		*k += 3
	default:
		return false
	}
	return r.isFigures(*k)
}

// sideAt reads a number with its sign and unit from atom i on.
func (r *reader) sideAt(i int) (s side, ok bool) {
	s.i = i
	switch {
	case r.isSign(i, '+'):
		s.sign = '+'
		i++
	case r.isSign(i, '-'):
		s.sign = '-'
		i++
	}
	if !r.isFigures(i) || s.sign != 0 && !r.touches(i) && !r.isSign(i-1, '±') {
		return s, false
	}
	num, ok := readNumeral(r.codeOf(i), r.ctx.Language)
	if !ok || num.n > 1 {
		return s, false
	}
	s.d, s.j = num.value(), i+1
	r.sideUnit(&s)
	return s, true
}

// sideUnit takes the unit of a deviation.
func (r *reader) sideUnit(s *side) {
	switch u, end, ok := r.unitAt(s.j); {
	case r.isWord(s.j, "p") && r.glued(s.j):
		s.unit, s.exp, s.j = quantity.Farad, -12, s.j+1
	case ok && u.n == 1 && u.mul == 0:
		s.unit, s.exp, s.j = u.unit, int(u.exps[0]), end
		s.drift = u.unit == quantity.Percent && u.exps[0] < 0
	}
}

func (r *reader) bothSides(i, k int) {
	s, ok := r.sideAt(k)
	if !ok || s.drift && r.only != 0 && !r.crystalLike() || s.unit != quantity.None && s.unit != quantity.Percent &&
		s.unit != quantity.Farad {
		return
	}
	out := span{i: i, j: s.j, act: actTolerance, lean: 2}
	if s.drift {
		out.holds = crystalClass
	}
	if s.unit == quantity.None {
		if r.only != quantity.ToleranceKind {
			return
		}
		s.unit, out.doubts = quantity.Percent, doubtPercent
	}
	dev, ok := s.d.times(s.exp, s.unit)
	if !ok {
		return
	}
	if out.t, ok = quantity.Symmetric(dev); ok {
		r.add(out)
	}
}

// crystalLike reports whether a crystal was asked for, whose tolerance is in millionths.
func (r *reader) crystalLike() bool { return r.ctx.Class == "crystal" && r.only != 0 }

// twoSides reads two deviations of different size; the second bears the unit.
func (r *reader) twoSides(i int) {
	a, ok := r.sideAt(i)
	if !ok || a.sign == 0 && a.d.coef != 0 {
		return
	}
	k := a.j
	for r.isSign(k, '/') || r.isSign(k, '…') || r.isSign(k, '~') || r.isSign(k, '.') || r.isSign(k, ',') {
		k++
	}
	b, ok := r.sideAt(k)
	if !ok || b.sign == 0 || a.sign == b.sign && a.d.coef != 0 || a.d.coef == 0 && b.d.coef == 0 {
		return
	}
	unit, exp := b.unit, b.exp
	if unit == quantity.None && a.unit != quantity.None {
		unit, exp = a.unit, a.exp
	}
	if unit == quantity.None && r.only == quantity.ToleranceKind && customary(a, b) {
		unit = quantity.Percent // nothing else is sold so
	}
	if unit != quantity.Percent && unit != quantity.Farad || a.unit != quantity.None && a.unit != unit || b.drift {
		return
	}
	if a.unit == quantity.None {
		a.exp = exp
	}
	t, ok := skew(a, b, a.exp, exp, unit)
	if ok {
		r.add(span{i: i, j: b.j, act: actTolerance, t: t, lean: 3})
	}
}

func skew(a, b side, expA, expB int, u quantity.Unit) (quantity.Tolerance, bool) {
	qa, ok1 := a.d.times(expA, u)
	qb, ok2 := b.d.times(expB, u)
	if a.sign == '+' || b.sign == '-' {
		qa, qb = qb, qa
	}
	t, ok := quantity.NewTolerance(qa.Neg(), qb)
	return t, ok && ok1 && ok2
}

// customary reports whether two deviations are a pair that has a letter of its own, such as -20 and +80.
func customary(a, b side) bool {
	t, ok := skew(a, b, 0, 0, quantity.Percent)
	if !ok {
		return false
	}
	for _, known := range skewLetters {
		if known == t {
			return true
		}
	}
	return t.Low().Neg() == t.High()
}

// percent takes an unsigned percentage as a tolerance both ways.
func (r *reader) percent(i int) {
	w, ok := r.numberAt(i)
	if !ok || w.den != 0 {
		return
	}
	u, end, ok := r.unitAt(w.j)
	if !ok || u.unit != quantity.Percent || u.exps[0] != 0 && r.only != 0 {
		return
	}
	s := span{i: i, j: end, act: actTolerance}
	if r.glued(i) && r.isFigures(i-2) && r.isWord(i-1, "r", "k", "m", "g", "p", "n", "u", "e", "v", "a") {
		s.doubts = doubtGluedPercent // 4k7%: of 4k, or 4k7 and no figure
	}
	if u.exps[0] != 0 {
		s.holds = crystalClass // of others it is a drift
	}
	if r.isSign(i-1, '/') && r.touches(i) && r.isFigures(i-2) && len(r.codeOf(i-2)) < 4 && r.touches(i-1) &&
		!r.glued(i-2) {
		s.label = "choice" // 5/10 %
	}
	if (r.isSign(i-1, '+') || r.isSign(i-1, '-')) && r.touches(i) && (i == 1 || r.atoms[i-1].gap) {
		s.label = "one side"
	}
	for _, d := range w.num.alts[:w.num.n] {
		q, ok := d.times(int(u.exps[0]), quantity.Percent)
		if !ok {
			return
		}
		if s.t, ok = quantity.Symmetric(q); !ok {
			s.label = "none"
		}
	}
	if w.num.n > 1 {
		s.doubts = say("reading.percentage-sign")
	}
	r.add(s)
}

// heatRanges notes the upper end of a range of temperature: -40~+105°C, -55..125 °C, -40 to +85 °C; the lower end has
// no member, which a doubt tells.
func (r *reader) heatRanges(i int) {
	k := i
	cold := r.isSign(k, '-')
	if cold || r.isSign(k, '+') {
		k++
	}
	if !r.isFigures(k) || cold && !r.touches(k) || i > 0 && r.glued(i) || cold && r.touches(i) && i > 0 &&
		r.atoms[i-1].sort != sign {
		return
	}
	low, ok := r.small(k, 3)
	if !ok {
		return
	}
	k++
	marked := r.degrees(&k)
	parted := false
	for r.isSign(k, '~') || r.isSign(k, '…') || r.isSign(k, '/') || r.isSign(k, '.') || r.isWord(k, "to", "bis") ||
		r.isA(k) || r.isSign(k, '-') && r.touches(k) {
		k, parted = k+1, true
	}
	if r.isSign(k, '+') {
		k++
	} else if !parted {
		return
	}
	high, ok := r.small(k, 3)
	if !ok {
		return
	}
	hotter := hot(r.codeOf(k))
	k++
	marked = r.degrees(&k) || marked
	if !marked && (!cold || !hotter) || high > 250 || !cold && high <= low || r.glued(k) || !cold && !r.mayRange(i) {
		return
	}
	up, _ := quantity.New(high, 0, quantity.Celsius)
	down, _ := quantity.New(low, 0, quantity.Celsius)
	if cold {
		down = down.Neg()
	}
	s := span{i: i, j: k, act: actAmount, n: 2, lean: 3, label: "heat range"}
	s.q = [2]quantity.Quantity{down, up}
	s.doubts = say("reading.upper-end", r.source(i, k))
	r.add(s)
}

// isA reports whether atom k is the French à, and no ampere.
func (r *reader) isA(k int) bool { return r.isLetters(k) && r.printOf(k) == "à" }

// mayRange reports whether a range of temperature without a minus stands apart from figures before it: 85/105°C is two
// ratings to a part, and left over as such.
func (r *reader) mayRange(i int) bool {
	return r.only == quantity.Temperature || !r.isSign(i+1, '/')
}

// degrees passes over the sign of a temperature.
func (r *reader) degrees(k *int) bool {
	switch {
	case r.isSign(*k, '°') && r.isWord(*k+1, "c"):
		*k += 2
	case r.isSign(*k, '°'), r.isWord(*k, "c", "grad", "deg"):
		*k++
	default:
		return false
	}
	return true
}
