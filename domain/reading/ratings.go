package reading

import (
	"slices"
	"strconv"

	"boardlore/domain/quantity"
)

func itoa(n int) string { return strconv.Itoa(n) }

// millimetres spells a length.
func millimetres(mm float64) string { return strconv.FormatFloat(mm, 'f', -1, 64) + " mm" }

// amounts gives the quantities their members; those of the value's unit wait for the value.
func (p *partReader) amounts() {
	p.voltages()
	kind := p.of.valueKind()
	p.each(func(s *span) bool {
		unit := s.q[0].Unit()
		if unit == quantity.Volt || p.isValue(s, kind) {
			return true
		}
		switch s.act {
		case actRange:
			p.turned = true
			p.doubt("reading.a-range", p.source(s.i, s.j))
			return false
		case actSections:
			return false
		}
		return p.amount(s)
	}, actAmount, actPair, actRange, actSections)
}

// isValue reports whether a span is the value of the class, or of whatever class the text may be about.
func (p *partReader) isValue(s *span, kind quantity.Kind) bool {
	if s.label != "" || s.act == actRange {
		return false
	}
	if p.of == restClass || p.of == 0 {
		return valueUnit(s.q[0].Unit())
	}
	return kind != 0 && s.q[0].Unit() == kind.Unit()
}

func valueUnit(u quantity.Unit) bool {
	return u == quantity.Farad || u == quantity.Ohm || u == quantity.Henry || u == quantity.Hertz
}

// maxLoad is the largest load capacitance of a crystal, F. Common practice.
var maxLoad, _ = quantity.New(1, -10, quantity.Farad)

// minHot is the lowest upper category temperature that parts have. Common practice; a lower one is that of a
// measurement.
var minHot, _ = quantity.New(40, 0, quantity.Celsius)

func (p *partReader) amount(s *span) bool {
	q := s.q[0]
	if s.n == 2 && s.label != "heat range" {
		if !p.likely(s) {
			return false
		}
		q = s.q[0]
	}
	if s.label == "heat range" {
		q = s.q[1]
	}
	switch q.Unit() {
	case quantity.Ampere:
		return p.amperes(q, s)
	case quantity.Watt:
		return p.rateSpan("power", q, s)
	case quantity.Hour:
		return p.rateSpan("endurance", q, s)
	case quantity.Celsius:
		if q.Sign() < 0 {
			return false
		}
		if q.Compare(minHot) < 0 {
			p.doubt("reading.too-cold", q)
			return false
		}
		if p.of&(connectorClass|switchClass) != 0 && s.j == s.i+2 && p.isSign(s.j-1, '°') {
			return false // the angle of a plug
		}
		return p.rateSpan("temperature_max", q, s)
	case quantity.Farad:
		return p.of == crystalClass && q.Compare(maxLoad) <= 0 && p.rateSpan("load_capacitance", q, s)
	case quantity.Ohm:
		if p.of != capacitorClass {
			return false
		}
		if s.label == "" && !(p.hasFarads() && q.Compare(maxESR) <= 0) {
			p.doubt("reading.as-esr")
		}
		return p.rateSpan("esr_max", q, s)
	}
	return false
}

func (p *partReader) rateSpan(member string, q quantity.Quantity, s *span) bool {
	if q.Sign() <= 0 {
		return false
	}
	if !p.rate(member, q, s.i, s.j) {
		return false
	}
	p.tell(s.doubts...)
	if s.act == actPair {
		p.doubt("reading.lower-kept", s.q[0], s.q[1])
	}
	return true
}

// maxRated are the greatest ratings that are believed of parts on boards: a greater one is likelier the number of a series,
// as in trimmer 3296W, or of a shelf. Common practice, with room to spare.
var maxRated = [...]struct {
	of     classes
	member string
	most   quantity.Quantity
}{
	{potentiometerClass | thermistorClass, "power", whole(100, quantity.Watt)},
	{resistorClass | lampClass | transistorClass | diodeClass, "power", whole(2000, quantity.Watt)},
	{typed | relayClass | switchClass | connectorClass | inductorClass, "current", whole(1000, quantity.Ampere)},
	{fuseClass, "current", whole(1250, quantity.Ampere)},
	{cellClass, "voltage", whole(60, quantity.Volt)},
	{capacitorClass | diodeClass | resistorClass, "voltage", whole(100_000, quantity.Volt)},
	{anyOfThem, "temperature_max", whole(450, quantity.Celsius)},
	{anyOfThem, "endurance", whole(500_000, quantity.Hour)},
}

func whole(n int64, u quantity.Unit) quantity.Quantity {
	q, _ := quantity.New(n, 0, u)
	return q
}

// believe doubts a rating that no such part has.
func (p *partReader) believe(member string, q quantity.Quantity, i, j int) {
	for k := range maxRated {
		if m := &maxRated[k]; m.of&p.of != 0 && m.member == member && q.Compare(m.most) > 0 {
			p.doubt("reading.too-much-rated", p.source(i, j), memberWord(member))
		}
	}
}

// minEndurance is the shortest endurance that is believed of 2.000 h. Common practice.
var minEndurance, _ = quantity.New(100, 0, quantity.Hour)

// likely settles a rating whose number reads two ways, where only one is one that parts have.
func (p *partReader) likely(s *span) bool {
	if s.act == actPair {
		return true
	}
	switch s.q[0].Unit() {
	case quantity.Hour:
		for k, q := range s.q[:2] {
			if other := s.q[1-k]; q.Compare(minEndurance) >= 0 && other.Compare(minEndurance) < 0 {
				s.q[0], s.n = q, 1
				return true
			}
		}
	case quantity.Hertz:
		return p.frequency(s)
	}
	p.doubt("reading.sign-unsure", p.source(s.i, s.j), s.q[0], s.q[1])
	return false
}

// Of a frequency with three figures behind its sign the one below a gigahertz is meant, and 32.768 kHz always: it is
// what clocks count down to a second. Common practice.
var (
	highestCrystal, _ = quantity.New(1, 9, quantity.Hertz)
	clockCrystal, _   = quantity.New(32768, 0, quantity.Hertz)
	clockTimes1000, _ = quantity.New(32768, 3, quantity.Hertz)
)

func (p *partReader) frequency(s *span) bool {
	low, high := s.q[0], s.q[1]
	if low.Compare(high) > 0 {
		low, high = high, low
	}
	if low.Compare(highestCrystal) > 0 {
		return false
	}
	if high.Compare(highestCrystal) <= 0 && low != clockCrystal || low == clockTimes1000 {
		p.doubt("reading.sign-settled", p.source(s.i, s.j), low)
	}
	s.q[0], s.n = low, 1
	return true
}

// minBreaking is the least breaking capacity that fuses have, A (IEC 60127-2, letter L).
var minBreaking, _ = quantity.New(35, 0, quantity.Ampere)

func (p *partReader) amperes(q quantity.Quantity, s *span) bool {
	switch {
	case s.label == "breaking", p.of == fuseClass && s.label == "" && !p.current.IsZero() &&
		q.Compare(minBreaking) >= 0 && q.CompareScaled(p.current, 10, 1) >= 0:
		return p.of == fuseClass && p.name("breaking_capacity", q.String(), s.i, s.j)
	case s.label == "ripple":
		return p.rateSpan("ripple", q, s)
	case s.label == "" && p.of == capacitorClass:
		p.doubt("reading.as-ripple")
		return p.rateSpan("ripple", q, s)
	case p.of == cellClass && s.j == s.i+2 && p.glued(s.i+1) && p.isWord(s.i+1, "a"):
		p.doubt("reading.cell-or-current", p.source(s.i, s.j)) // 23A, 27A
	}
	return p.rateSpan("current", q, s)
}

// voltages gives the voltages their members. Of an alternating and a direct one the capacitor's rating is the direct
// one, but for safety classes, which are rated in alternating volts.
func (p *partReader) voltages() {
	first := unsaid
	if p.of == capacitorClass && p.members["safety_class"] == "" && p.hasCurrent(alternate) && (p.hasCurrent(direct) ||
		p.hasCurrent(unsaid)) {
		first = alternate
	}
	for _, late := range [2]bool{false, true} {
		p.each(func(s *span) bool {
			if s.q[0].Unit() != quantity.Volt || s.label == "surge" || s.label == "winding" ||
				(first != unsaid && s.current == first) != late {
				return true
			}
			switch s.act {
			case actRange:
				p.turned = true
				p.doubt("reading.a-range", p.source(s.i, s.j))
				return false
			case actPair:
				return p.pairOfVolts(s)
			case actSections:
				return false
			}
			return p.voltage(s)
		}, actAmount, actPair, actRange, actSections)
	}
}

func (p *partReader) hasCurrent(c current) bool {
	return slices.ContainsFunc(p.got, func(k int) bool {
		s := &p.spans[k]
		return s.act == actAmount && s.q[0].Unit() == quantity.Volt && s.current == c && s.label != "surge"
	})
}

func (p *partReader) voltage(s *span) bool {
	if s.n == 2 && !p.likely(s) {
		return false
	}
	q := s.q[0]
	if q.Sign() <= 0 {
		return false
	}
	if p.of == varistorClass && s.label == "" && s.current == unsaid && len(p.values) == 0 {
		p.valueFrom([]Amount{{Quantity: q, Doubts: doubtsOfClamp(q)}}, s.i, s.j)
		return true
	}
	if p.of == relayClass && p.contacts(s) {
		p.keep("contacts "+q.String(), s.i, s.j)
		return true
	}
	if !p.rate("voltage", q, s.i, s.j) {
		return false
	}
	if p.of&(relayClass|lampClass) != 0 && s.current != unsaid {
		p.name("supply", map[current]string{alternate: "ac", direct: "dc"}[s.current], s.i, s.j)
	}
	p.tell(s.doubts...)
	if s.current == alternate && (p.of == capacitorClass || p.of == 0) && p.members["safety_class"] == "" {
		p.keep("AC", s.i, s.j)
		p.tell(doubtAC...)
	}
	return true
}

// maxESR is the most that a resistance beside a capacitance is taken for its series resistance without being called so.
// Common practice: lists of low-impedance parts have milliohms behind the temperature.
var maxESR, _ = quantity.New(1, 0, quantity.Ohm)

// contacts reports whether a voltage is what a relay's contacts are rated for: the second and not the lower one, beside
// their current. Common practice.
func (p *partReader) contacts(s *span) bool {
	return !p.volts.IsZero() && s.q[0].Compare(p.volts) > 0 && slices.ContainsFunc(p.got, func(k int) bool {
		t := &p.spans[k]
		return t.act == actAmount && t.q[0].Unit() == quantity.Ampere && (p.beside(t.j, s.i) || p.beside(s.j, t.i))
	})
}

// beside reports whether nothing but signs and words that say nothing stands from atom i to before atom j.
func (p *partReader) beside(i, j int) bool {
	for k := i; k < j; k++ {
		if p.atoms[k].sort != sign {
			return false
		}
	}
	return i <= j
}

// minMains is the least rating of a safety capacitor, V, and maxSafety the greatest capacitance of one. IEC 60384-14
// and makers' tables.
var (
	minMains, _  = quantity.New(110, 0, quantity.Volt)
	minSafe, _   = quantity.New(125, 0, quantity.Volt)
	maxSafety, _ = quantity.New(10, -6, quantity.Farad)
)

// pairOfVolts takes 450/500 V: the lower is what the part works at; the higher is its surge voltage, or another choice,
// and never the rating. Where nothing else is the value of a capacitor, 10/16 V is a value with its voltage.
func (p *partReader) pairOfVolts(s *span) bool {
	if p.of == capacitorClass && !p.hasFarads() && !p.coded && !p.faradLetter() && !p.otherNumber(s) {
		return p.pairOfValue(s)
	}
	low, high := s.q[0], s.q[1]
	if !p.rate("voltage", low, s.i, s.j) {
		return false
	}
	if low.CompareScaled(high, 3, 4) >= 0 && p.of == capacitorClass { // surge is up to a third above the rating
		p.doubt("reading.surge", low, high)
	} else {
		p.doubt("reading.lower-kept", low, high)
	}
	if s.current == alternate && p.of == capacitorClass && p.members["safety_class"] == "" {
		p.keep("AC", s.i, s.j)
		p.tell(doubtAC...)
	}
	return true
}

// otherNumber reports whether a figure besides the pair is left over that may be the value.
func (p *partReader) otherNumber(s *span) bool {
	for k := range p.atoms {
		if (k < s.i || k >= s.j) && p.free(k) && p.isFigures(k) {
			return true
		}
	}
	return false
}

// pairOfValue reads 10/16 V as value and voltage.
func (p *partReader) pairOfValue(s *span) bool {
	found := p.asKind(s.i, s.i+1, quantity.Capacitance)
	if len(found) == 0 {
		return false
	}
	p.valueFrom(found, s.i, s.i+1)
	p.rate("voltage", s.q[1], s.i+2, s.j)
	p.doubt("reading.value-and-voltage", p.source(s.i, s.j))
	return true
}

// surges tells the surge voltages that the text names as such; they are no rating.
func (p *partReader) surges() {
	p.each(func(s *span) bool {
		if s.label == "surge" {
			p.tell(s.doubts...)
			p.note(Field{Member: "surge", Value: s.q[0].String()}, s.i, s.j)
		}
		return true
	}, actAmount)
}

// timesOrSafety settles an X2 at the end, a class or a count, by all that is known of the part now.
func (p *partReader) timesOrSafety() {
	p.each(func(s *span) bool {
		if !p.maybeTimes(s) {
			return true
		}
		var value quantity.Quantity
		if len(p.values) > 0 {
			value = p.values[0].Quantity
		}
		if !SafetyLike(p.built, p.members["polarised"] != "", p.volts, value) {
			s.count = int(s.name[1] - '0')
			p.counted(s)
			return true
		}
		if p.volts.IsZero() && !film(p.built) || p.smallX(s) {
			p.doubt("reading.class-or-count", p.source(s.i, s.j))
		}
		return p.name("safety_class", s.name, s.i, s.j)
	}, actSafety)
}

func film(construction string) bool { return construction == "film" || construction == "paper" }

// maybeTimes reports whether an X2 at the end may be a count of two: where there is no count yet, nor an alternating
// voltage.
func (p *partReader) maybeTimes(s *span) bool {
	return s.j == len(p.atoms) && len(s.name) == 2 && s.name[0] == 'X' && p.count == 0 && !p.hasCurrent(alternate)
}

// smallX reports whether a class is written with a small x and no word for it, as "x2" for two of them is.
func (p *partReader) smallX(s *span) bool {
	return p.casedOf(s.i)[0] == 'x' && !p.isWord(s.i-1, "class", "klasse", "classe", "clase", "klasa", "klass", "cl")
}

// SafetyLike reports whether nothing rules out that a capacitor of this value and construction is a safety part.
func SafetyLike(construction string, polarity bool, volts, value quantity.Quantity) bool {
	return !polarity && !electrolytic(construction) && (volts.IsZero() || volts.Compare(minSafe) >= 0) &&
		(value.Unit() != quantity.Farad || value.Compare(maxSafety) <= 0)
}

// letters gives single letters what they mean for the class: a fuse's characteristic and breaking capacity, or the
// tolerance behind the value.
func (p *partReader) letters() {
	if p.of == fuseClass && p.ctx.Class == "" && p.find(actClass, actFusible, actSpeed, actFuse, actNegated, actLetter,
		actOrder) == nil && p.find(actSize) != nil {
		p.doubt("reading.fuse-by-size")
	}
	p.each(func(s *span) bool {
		if p.of == fuseClass {
			return p.fuseLetter(s)
		}
		return p.toleranceLetter(s)
	}, actLetter)
}

func (p *partReader) fuseLetter(s *span) bool {
	letter := upper(s.name)
	if speed := speedOf(letter); speed != "" && p.members["fuse_speed"] == "" {
		p.name("fuse_speed", speed, s.i, s.j)
		if speed == "F" || speed == "M" {
			if p.find(actClass, actFusible) == nil && p.ctx.Class == "" && !p.fuseNamed(s) {
				p.doubt("reading.fuse-letter", s.name)
			}
		}
		return true
	}
	switch letter {
	case "H", "L", "E":
		return p.name("breaking_capacity", letter, s.i, s.j)
	}
	return false
}

// fuseNamed reports whether the letter stands before the current, as IEC 60127 prints it.
func (p *partReader) fuseNamed(s *span) bool {
	for _, k := range p.got {
		if t := &p.spans[k]; t.act == actAmount && t.i == s.j && t.q[0].Unit() == quantity.Ampere {
			return true
		}
	}
	return false
}

// toleranceLetter takes the lone capital letter of a tolerance behind the value, or all alone where the class is known.
func (p *partReader) toleranceLetter(s *span) bool {
	alone := len(p.atoms) == 1 && p.ctx.Class != "" && p.ctx.Found == ""
	if !p.tol.IsZero() || !alone && (len(p.values) != 1 || s.i != p.value[1]) || s.name[0] > 'Z' {
		return false
	}
	c := p.listed()
	if c.Class == "" {
		c.Class = classOfUnit(p.values[0].Quantity.Unit())
	}
	if alone {
		c.Found = ""
	}
	p.marks.ask(quantity.ToleranceKind, c)
	p.marks.loneLetter(s.name[0])
	for _, a := range p.marks.cur.out[:p.marks.cur.n] {
		if a.Tolerance.IsZero() || a.Tolerance.High().Unit() != quantity.Percent {
			continue
		}
		p.tolerance(a.Tolerance, s.i, s.j)
		p.doubt("reading.tolerance-letter", s.name, a.Tolerance)
		return true
	}
	return false
}
