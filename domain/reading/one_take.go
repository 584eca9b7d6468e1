package reading

import (
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// take reads a span.
func (o *asker) take(s *span) {
	m := &o.marks
	switch s.act {
	case actAmount:
		o.amountOf(s)
	case actPair:
		o.pairOf(s)
	case actRange:
		o.dropFirst()
		if s.q[0].Unit() == o.kind.Unit() {
			o.fail = failRange
			if s.label == "power" {
				o.fail = failPower
			}
		}
	case actSections:
		o.sectionsOf(s)
	case actTolerance:
		o.toleranceOf(s)
	case actSize:
		if o.kind == quantity.Length {
			o.fail = failSeveral
		}
	case actLength:
		if o.kind == quantity.Length && !s.q[0].IsZero() {
			m.cur.add(Amount{Quantity: s.q[0]})
			o.commit(rankUnit, unsaid)
		}
	case actQuantity:
		o.countOf(s)
	case actFuse:
		q := s.q[0]
		if o.kind == quantity.Voltage {
			q = s.q[1]
		}
		if !q.IsZero() {
			m.cur.add(Amount{Quantity: q})
			o.commit(rankUnit, unsaid)
		}
	case actOrder, actBands:
		o.orderOf(s)
	case actNot, actAbout, actNegated, actWas, actLike:
		o.fail = failAbout
	case actBound:
		o.bounded = true
	case actOr:
		o.fail = failChoice
	case actAbsent:
		if len(o.lowOf(s.i)) <= 3 && !o.isWord(s.i, "nc", "nf", "na", "inf", "nil") {
			o.fail = failAbsent
		}
	}
}

func (o *asker) dropFirst() { o.bare = o.bare[:0] }

func (o *asker) amountOf(s *span) {
	unit := s.q[0].Unit()
	switch {
	case unit != o.kind.Unit() || s.label == "surge":
		o.foreign = unit
		if unit == quantity.Farad {
			o.capEnd = s.j
		}
		if o.isSign(s.i-1, '-') || o.isSign(s.i-1, '+') || o.isSign(s.i-1, '…') || o.isSign(s.i-1, '~') {
			o.dropFirst()
		}
		return
	case o.powerBefore(s.i):
		o.fail = failPower
		return
	case o.cross == s.i && s.i > 0 && (o.kind == quantity.Capacitance || o.kind == quantity.Resistance ||
		o.kind == quantity.Inductance):
		o.fail = failCounted
		return
	case s.label == "heat range":
		for _, q := range s.q[:s.n] {
			o.marks.cur.add(Amount{Quantity: q, Doubts: doubtEnd})
		}
		o.commit(rankUnit, unsaid)
		return
	case (o.kind == quantity.Length || o.kind == quantity.Current || o.kind == quantity.Resistance) &&
		o.choiceBefore(s.i):
		o.fail = failChoice
		return
	}
	doubts := s.doubts
	if s.current == alternate && unit == quantity.Volt {
		doubts = doubtAC
	}
	if o.kind == quantity.Voltage && o.marks.class == anyClass && o.choiceBefore(s.i) {
		o.otherVolts(s)
	}
	for _, q := range s.q[:s.n] {
		o.offerQuantity(q, doubts)
	}
	o.commit(rankUnit, s.current)
	o.valued = s.j
	if unit == quantity.Farad {
		o.capEnd = s.j
	}
}

// powerBefore reports whether the figures of atom k are the exponent of 10x10-6F.
func (o *asker) powerBefore(k int) bool {
	return o.isSign(k-1, '-') && o.touches(k) && o.touches(k-1) && o.isFigures(k-2) && o.printOf(k-2) == "10" &&
		(o.isWord(k-3, "x") || o.isSign(k-3, '×'))
}

// otherVolts offers the figure before a stroke as well, where it is a usual rating: 100/16 V.
func (o *asker) otherVolts(s *span) {
	if n := len(o.bare); n > 0 && o.bare[n-1].i == s.i-2 && ratedVolts(o.bare[n-1].num.value()) {
		if q, ok := o.bare[n-1].num.value().times(0, quantity.Volt); ok {
			o.marks.cur.add(Amount{Quantity: q})
		}
	}
}

// choiceBefore reports whether a figure and a stroke stand against atom k.
func (o *asker) choiceBefore(k int) bool {
	return o.isSign(k-1, '/') && o.touches(k) && o.touches(k-1) && o.isFigures(k-2)
}

// offerQuantity adds a quantity, if a part can have it.
func (o *asker) offerQuantity(q quantity.Quantity, doubts []message.Message) {
	if !possible(q) {
		o.fail = message.Of("reading.no-such-amount", kindWord(o.kind), q)
		return
	}
	o.marks.cur.add(Amount{Quantity: q, Doubts: doubts})
}

// pairOf reads two figures with a stroke between, of which neither is preferred: a rating and its surge, or a choice.
func (o *asker) pairOf(s *span) {
	unit := s.q[0].Unit()
	if unit != o.kind.Unit() {
		o.foreign = unit
		if unit == quantity.Farad {
			o.capEnd = s.j
		}
		if o.kind == quantity.Capacitance && unit == quantity.Volt || o.kind == quantity.Resistance &&
			unit == quantity.Watt {
			o.number(s.i, s.i+1) // 47/63 V is a value and its rating where nothing else is the value
		}
		return
	}
	mains := s.q[0].Compare(minMains) >= 0
	switch o.kind {
	case quantity.Voltage:
		if o.marks.class != anyClass && o.marks.class != capacitors && !mains {
			o.fail = failChoice
			return
		}
	case quantity.Current, quantity.Resistance, quantity.Inductance, quantity.Frequency:
		o.fail = failChoice
		return
	}
	var doubts []message.Message
	if unit == quantity.Celsius {
		doubts = doubtEnd
	}
	for _, q := range s.q[:2] {
		o.offerQuantity(q, doubts)
	}
	o.commit(rankUnit, unsaid)
	o.valued = s.j
}

func (o *asker) sectionsOf(s *span) {
	if s.q[0].Unit() != o.kind.Unit() {
		o.foreign = s.q[0].Unit()
		o.capEnd = s.j
		return
	}
	if o.kind != quantity.Capacitance {
		o.fail = failSeveral
		return
	}
	for _, q := range s.parts {
		o.marks.cur.force(Amount{Quantity: q, Doubts: doubtSection})
	}
	o.commit(rankUnit, unsaid)
	o.capEnd, o.valued = s.j, s.j
}

func (o *asker) toleranceOf(s *span) {
	if o.kind != quantity.ToleranceKind {
		return
	}
	switch s.label {
	case "choice":
		o.fail = failChoice
		return
	case "one side":
		o.fail = failOneSided
		return
	case "none":
		o.fail = message.Of("reading.no-tolerance")
		return
	}
	o.marks.cur.add(Amount{Tolerance: s.t, Doubts: s.doubts})
	o.commit(rankUnit, unsaid)
	o.valued = s.j
}

// countOf notes a count: the value beside its sign of multiplication is not one part's alone.
func (o *asker) countOf(s *span) {
	value := o.kind == quantity.Capacitance || o.kind == quantity.Resistance || o.kind == quantity.Inductance
	switch {
	case !o.crossed(s):
	case s.j < len(o.atoms):
		o.cross = s.j
	case o.valued == s.i && o.valued > 0 && value:
		o.fail = failCounted
	}
}

// crossed reports whether a count has the sign of multiplication.
func (o *asker) crossed(s *span) bool {
	for k := s.i; k < s.j; k++ {
		if o.isSign(k, '×') || o.isWord(k, "x") {
			return true
		}
	}
	return false
}

func (o *asker) orderOf(s *span) {
	var q quantity.Quantity
	switch o.kind {
	case quantity.Voltage:
		if q = s.code.voltage; q.IsZero() && s.code.value.Unit() == quantity.Volt {
			q = s.code.value
		}
	case quantity.Power:
		q = s.code.power
	case quantity.Current:
		q = s.code.current
	case quantity.ToleranceKind:
		if !s.code.tolerance.IsZero() {
			o.marks.cur.add(Amount{Tolerance: s.code.tolerance})
			o.commit(rankCode, unsaid)
		}
		return
	default:
		if q = s.code.value; q.Unit() != o.kind.Unit() {
			return
		}
	}
	if !q.IsZero() {
		a := Amount{Quantity: q}
		if o.kind == quantity.Capacitance || o.kind == quantity.Resistance || o.kind == quantity.Inductance {
			a.Tolerance = s.code.tolerance
		}
		o.marks.cur.add(a)
		o.commit(rankUnit, unsaid)
	}
}
