package quantity

import "slices"

// deviation is one side of a written tolerance.
type deviation struct {
	num  decimalNumber
	neg  bool
	any  bool // it has a sign
	unit unitWord
	end  int
}

// toleranceTerm reads ±5 % and +80 -20 %, and passes over them where another kind is asked for.
func (r *reader) toleranceTerm(i int) int {
	d, ok := r.deviation(i)
	if !ok {
		return i
	}
	if r.lexer.chunks[i].before.has(sepPM) {
		return r.plusMinus(&d, i)
	}
	return r.bothWays(&d, i)
}

// deviation reads a number with the unit of a tolerance, if it has one.
func (r *reader) deviation(i int) (deviation, bool) {
	c := &r.lexer.chunks[i]
	if !c.atoms[0].number || c.n > 2 {
		return deviation{}, false
	}
	num, ok := readNumeral(c.atoms[0].text, r.ctx.Language)
	if !ok || num.n > 1 {
		return deviation{}, false
	}
	d := deviation{num: num.value(), end: i + 1}
	d.any = c.before.has(sepPlus|sepMinus) && c.before.has(sepRight)
	d.neg = d.any && c.before.has(sepMinus)
	if d.neg {
		d.num.coef = -d.num.coef
	}
	w := r.wordAt(i + 1)
	if c.n == 2 {
		w = c.atoms[1].text
	}
	u, ok := lookUnit(w)
	if len(w) == 1 && w[0] == 'p' {
		u, ok = unitWord{unit: Farad, exps: [2]int8{-12}, n: 1}, true
	}
	if !ok {
		if w, end, apart := r.prefixApart(w, i+1); apart && c.n == 1 && w.unit == Percent {
			d.unit, d.end = w, end
			return d, true
		}
		return d, c.n == 1
	}
	d.unit = u
	if c.n == 1 {
		d.end++
	}
	return d, u.mul == 0 && u.n == 1
}

// plusMinus takes a tolerance written with ±.
func (r *reader) plusMinus(d *deviation, i int) int {
	if d.unit.n > 0 && d.unit.unit != Percent && d.unit.unit != Farad || r.drift(d.unit) {
		return d.end // the tolerance of a length, a temperature …
	}
	if r.kind != ToleranceKind {
		return d.end
	}
	u, exp, doubts := Percent, 0, doubtPercent
	if d.unit.n > 0 {
		u, exp, doubts = d.unit.unit, int(d.unit.exps[0]), nil
	}
	r.offerTolerance(d.num, exp, u, doubts)
	r.commit(rankUnit, 0)
	r.valued = d.end
	return d.end
}

// bothWays takes a tolerance written as two deviations, in either order.
func (r *reader) bothWays(d *deviation, i int) int {
	if d.end >= r.lexer.n || !d.any && d.num.coef != 0 || i > 0 && r.lexer.chunks[i-1].number() && !r.lexer.chunks[i].before.has(sepSpace) {
		return i
	}
	e, ok := r.deviation(d.end)
	if !ok || !e.any || d.neg == e.neg && d.num.coef != 0 || d.num.coef == 0 && e.num.coef == 0 {
		return i
	}
	unit := e.unit
	if unit.n == 0 {
		unit = d.unit
	}
	if unit.n == 0 && r.kind == ToleranceKind && customary(d.num, e.num) {
		unit = unitWord{unit: Percent, n: 1} // nothing else is sold so
	}
	if unit.n == 0 || unit.unit != Percent && unit.unit != Farad || d.unit.n > 0 && d.unit.unit != unit.unit {
		return i
	}
	if r.kind != ToleranceKind {
		return e.end
	}
	low, high := d.num, e.num
	if low.coef > 0 || high.coef < 0 {
		low, high = high, low
	}
	r.offerSkew(low, high, int(unit.exps[0]), unit.unit)
	r.commit(rankUnit, 0)
	r.valued = e.end
	return e.end
}

// customary reports whether two deviations are a pair that has a letter of its own, such as -20 and +80.
func customary(a, b decimalNumber) bool {
	low, ok1 := a.times(0, Percent)
	high, ok2 := b.times(0, Percent)
	if low.Sign() > 0 || high.Sign() < 0 {
		low, high = high, low
	}
	t, ok := NewTolerance(low, high)
	return ok1 && ok2 && ok && slices.Contains(skewLetters[:], t)
}

func (r *reader) offerSkew(low, high decimalNumber, exp int, u Unit) {
	l, ok1 := low.times(exp, u)
	h, ok2 := high.times(exp, u)
	t, ok := NewTolerance(l, h)
	if !ok1 || !ok2 || !ok {
		r.fail = "these two deviations make no tolerance; write it as in -20 %/+80 %"
		return
	}
	r.cur.add(Reading{Tolerance: t})
}

func (r *reader) offerTolerance(d decimalNumber, exp int, u Unit, doubts []string) {
	if d.coef < 0 {
		d.coef = -d.coef
	}
	q, ok1 := d.times(exp, u)
	t, ok := Symmetric(q)
	if !ok1 || !ok {
		r.fail = "this is no tolerance that a part can have; write it as in ±20 %"
		return
	}
	r.cur.add(Reading{Tolerance: t, Doubts: doubts})
}
