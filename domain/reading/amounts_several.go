package reading

import "boardlore/domain/quantity"

// several notes numbers that share a unit: 450/500 V, 10-22 µF, 50+50 µF.
func (r *reader) several(w *written) {
	j := w.j
	own := j // behind the unit of the first number, where it has one
	if u, end, ok := r.unitAt(j); ok && u.unit != quantity.Percent {
		own = end
	}
	switch {
	case r.isSign(j, '/') && r.touches(j+1) && w.den == 0 && !r.glued(w.i):
		r.pair(w, j+1)
	case r.isSign(own, '+') && r.isFigures(own+1):
		r.sections(w, own)
	case r.isSign(j, '-') && r.touches(j) && r.touches(j+1), r.isSign(j, '…'), r.isSign(j, '~'):
		r.rangeTo(w, j+1)
	case r.isSign(j, '.') && r.isSign(j+1, '.'):
		k := j + 2
		for r.isSign(k, '.') {
			k++
		}
		r.rangeTo(w, k)
	case r.isSign(j, '-') && r.atoms[j].gap && r.isFigures(j+1):
		r.rangeTo(w, j+1)
	case (r.isWord(own, "to", "bis", "through", "thru") || r.isA(own)) && r.isFigures(own+1):
		r.rangeTo(w, own+1)
	}
}

// second reads the other number of a pair with the unit that both have.
func (r *reader) second(first *written, k int) (s span, ok bool) {
	v, ok := r.numberAt(k)
	if !ok || v.den != 0 || v.num.n > 1 || first.num.n > 1 || first.den != 0 {
		return s, false
	}
	u, end, ok := r.unitOf(&v)
	if !ok || u.n != 1 {
		return s, false
	}
	low, high := span{}, span{}
	if !r.fill(&low, first, u) || !r.fill(&high, &v, u) {
		return s, false
	}
	s = span{i: first.i, j: end, q: [2]quantity.Quantity{low.q[0], high.q[0]}, n: 2, current: currentOf(u)}
	r.currentBehind(&s)
	return s, true
}

// pair notes 450/500 V and 5/10 A. A greater number before the stroke is a value with its rating: 100/16 V.
func (r *reader) pair(w *written, k int) {
	s, ok := r.second(w, k)
	if !ok {
		return
	}
	switch s.q[0].Unit() {
	case quantity.Celsius:
		if r.only == 0 {
			return // the first is left over, and the upper one read
		}
	case quantity.Watt:
		if s.q[0].Compare(s.q[1]) >= 0 || !usualPower(s.q[0]) {
			return // 0.47/5W is a value with its power
		}
	case quantity.Volt:
		if s.q[0].Compare(s.q[1]) >= 0 {
			return
		}
	case quantity.Hour, quantity.Percent, quantity.Millimetre:
		return
	}
	s.act, s.lean, s.rule = actPair, 2, "two ratings"
	r.classed(&s)
	r.add(s)
}

// usualPower reports whether resistors are rated so.
func usualPower(q quantity.Quantity) bool {
	switch q.String() {
	case "125 mW", "250 mW", "333 mW", "500 mW", "600 mW", "1 W", "2 W", "3 W", "5 W":
		return true
	}
	return false
}

// rangeTo notes what has two ends: no value. Temperatures have their own recogniser.
func (r *reader) rangeTo(w *written, k int) {
	if !r.isFigures(k) {
		return
	}
	s, ok := r.second(w, k)
	power := ok && r.isWord(w.i-1, "x") && r.printOf(w.i) == "10"
	if !ok || s.q[0].Unit() == quantity.Celsius || s.q[0].Compare(s.q[1]) >= 0 && !power {
		return
	}
	s.act, s.lean, s.rule = actRange, 4, "range"
	if power {
		s.label = "power"
	}
	r.add(s)
}

// sections notes the sections of a part with several: 50+50 µF, 50 µF + 50 µF. Never are they added up.
func (r *reader) sections(w *written, plus int) {
	parts := []quantity.Quantity{}
	numbers := []written{*w}
	k := plus
	for r.isSign(k, '+') && len(numbers) < 6 {
		v, ok := r.numberAt(k + 1)
		if !ok || v.den != 0 || v.num.n > 1 {
			return
		}
		numbers = append(numbers, v)
		k = v.j
		if u, end, ok := r.unitAt(k); ok && u.unit != quantity.Percent && r.isSign(end, '+') {
			k = end
		}
	}
	last := numbers[len(numbers)-1]
	u, end, ok := r.unitOf(&last)
	if !ok || u.unit == quantity.Percent || u.unit == quantity.Celsius {
		return
	}
	for n := range numbers {
		own := u
		if v, _, ok := r.unitOf(&numbers[n]); ok {
			own = v
		}
		one := span{}
		if own.unit != u.unit || !r.fill(&one, &numbers[n], own) || one.q[0].Sign() <= 0 {
			return // a section of nothing is none: 1+0000 F
		}
		parts = append(parts, one.q[0])
	}
	s := span{i: w.i, j: end, act: actSections, lean: 4 * len(numbers), rule: "sections", parts: parts, n: 1}
	s.q[0] = parts[0]
	r.classed(&s)
	r.add(s)
}
