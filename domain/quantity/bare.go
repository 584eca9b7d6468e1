package quantity

// bare reads the numbers without unit that a text has, when nothing in it has the unit asked for.
func (r *reader) bare() {
	if r.nb == 0 {
		return
	}
	first := &r.bares[0]
	if first.neg && r.kind != Temperature && r.kind != Voltage {
		r.fail = "a " + r.kind.String() + " is not negative; write the value again"
		return
	}
	if r.nb == 2 && r.bares[1].before.has(sepMinus|sepRange|sepTilde|sepPlus) {
		r.fail = failRange
		return
	}
	if first.num.power && r.nb == 1 && r.kind != ToleranceKind && r.suits(r.kind) {
		r.plain(first, r.kind.Unit()) // whoever writes powers of ten writes bare units
		r.commit(rankBare, 0)
		return
	}
	switch r.kind {
	case Capacitance:
		r.bareCapacitance(first)
	case Resistance, Inductance:
		if r.nb == 1 && r.suits(r.kind) {
			r.bareOther(first)
		}
	case Voltage:
		r.bareVoltage()
	case Temperature:
		if r.nb == 1 && r.lexer.n == 1 {
			r.plain(first, Celsius)
		}
	}
	r.commit(rankBare, 0)
}

// plain offers a number alone in the bare unit.
func (r *reader) plain(b *bareNumber, u Unit) {
	h := head{num: b.num, neg: b.neg}
	if b.num.plain && len(b.num.text) > 1 && b.num.text[0] == '0' {
		return // a code, not a number
	}
	for _, d := range h.num.alts[:h.num.n] {
		if h.neg {
			d.coef = -d.coef
		}
		r.offer(d, 0, u, Tolerance{}, doubtNoUnit)
	}
}

// bareCapacitance reads 47, 104, 1000/25, 470 16. A second number is the rated voltage.
func (r *reader) bareCapacitance(b *bareNumber) {
	if r.nb > 2 || !r.suits(Capacitance) || r.class == otherClass || r.class == varistors || r.class == crystals {
		return
	}
	if r.nb == 2 && !r.ratedPair() {
		return
	}
	if r.nb == 2 && r.fam == anyFamily {
		r.farads(&b.num, -6, 0, doubtBare) // so written for electrolytics only, unless it is a code
		if d, ok := figureCode(b.num.text); ok && len(b.num.text) == 3 {
			r.value(d, -12, Capacitance, 0, doubtBare)
		}
	} else {
		r.capBare(&b.num, 0, doubtBare)
	}
	if r.nb == 2 && r.swapped() {
		r.farads(&r.bares[1].num, -6, 0, doubtBare)
	}
	r.otherParts(b, Capacitance)
}

// ratedPair reports whether two bare numbers are a capacitance and a rated voltage.
func (r *reader) ratedPair() bool {
	v := r.bares[1].num
	d := v.value()
	volts, ok := d.times(0, Volt)
	most, _ := New(1000, 0, Volt)
	return ok && v.n == 1 && (v.whole() || !v.plain) && volts.Sign() > 0 && volts.Compare(most) <= 0 && r.class != resistors && r.class != inductors
}

// swapped reports whether the pair may as well be volts over microfarads: the first is a rated voltage that is no
// preferred number, and the second is one.
func (r *reader) swapped() bool {
	switch string(r.bares[0].num.text) {
	case "6.3", "25", "35", "40", "50", "63", "80", "160", "250", "350", "400", "450":
		return preferredE24(r.bares[1].num.value().coef)
	}
	return false
}

// bareOther reads a number alone as a resistance or an inductance.
func (r *reader) bareOther(b *bareNumber) {
	if r.kind == Resistance {
		r.resBare(&b.num, doubtBare)
	} else {
		r.coilBare(&b.num, 0, doubtBare)
	}
	r.otherParts(b, r.kind)
}

// otherParts adds what a figure code means on the other kinds of part, where the kind of part is unknown.
func (r *reader) otherParts(b *bareNumber, k Kind) {
	d, ok := figureCode(b.num.text)
	if r.class != anyClass || r.nb > 1 || !b.num.plain || len(b.num.text) != 3 || !ok || d.coef == 0 {
		return
	}
	if k != Resistance {
		r.value(d, 0, Resistance, 0, doubtField)
	}
	if k != Capacitance {
		r.value(ceramicCode(b.num.text), -12, Capacitance, 0, doubtField)
	}
	if k != Inductance {
		r.value(d, -6, Inductance, 0, doubtField)
	}
}

// bareVoltage reads the second number of 1000/25 and the number behind a capacitance, or a number alone.
func (r *reader) bareVoltage() {
	last := &r.bares[r.nb-1]
	switch {
	case r.class == varistors && r.nb == 1 && last.num.plain && len(last.num.text) == 3:
		d, _ := figureCode(last.num.text)
		r.offer(d, 0, Volt, Tolerance{}, doubtBare)
	case r.nb == 2 && r.capEnd == 0 && r.ratedPair():
		r.plain(last, Volt)
		if r.swapped() {
			r.plain(&r.bares[0], Volt)
		}
	case r.nb == 1 && r.capEnd > 0 && last.index == r.capEnd:
		r.plain(last, Volt)
	case r.nb == 1 && r.lexer.n == 1:
		r.plain(last, Volt)
	}
}
