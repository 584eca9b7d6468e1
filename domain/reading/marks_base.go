package reading

import (
	"bytes"
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// The letters outside ASCII that codes have, one byte each.
const (
	signOhm      = 0x80
	signLetter   = 0x85 // any other letter
	signDiameter = 0x83
)

// class is what the part is, as far as marking codes depend on it.
type class uint8

const (
	anyClass class = iota
	capacitors
	resistors
	potentiometers
	inductors
	varistors
	crystals
	otherClass
)

func classOf(c *quantity.Context) class {
	switch c.Class {
	case "", "other":
		if c.Construction != "" {
			return capacitors // only capacitors have a construction that matters here
		}
		return anyClass
	case "capacitor":
		return capacitors
	case "resistor", "thermistor":
		return resistors
	case "potentiometer":
		return potentiometers
	case "inductor", "transformer":
		return inductors
	case "varistor":
		return varistors
	case "crystal":
		return crystals
	}
	return otherClass
}

// family is the sort of capacitor, as far as marking codes depend on it.
type family uint8

const (
	anyFamily family = iota
	ceramics         // ceramic and mica: figures count in picofarads
	films            // film and paper
	tantalums
	cans // wet and polymer aluminium: figures count in microfarads
	supers
)

func familyOf(construction string) family {
	s := construction
	switch {
	case s == "":
		return anyFamily
	case strings.Contains(s, "tantalum"):
		return tantalums
	case strings.Contains(s, "alumin"), s == "electrolytic", s == "polymer":
		return cans
	case strings.Contains(s, "ceramic"), s == "mica":
		return ceramics
	case s == "film", s == "paper":
		return films
	case s == "supercapacitor":
		return supers
	}
	return anyFamily
}

// piece is a run of figures or of letters of a chunk.
type piece struct {
	text   []byte
	number bool
}

const maxPieces = 6

// chunk is atoms written without anything between them, such as 4u7 or 16V.
type chunk struct {
	atoms [maxPieces]piece
	n     int
	long  bool // had more atoms than are looked at: a part number, no quantity
}

// shape reports whether the chunk begins with atoms of these sorts: 9 for a number, A for letters.
func (c *chunk) shape(s string) bool {
	if c.n != len(s) || c.long {
		return false
	}
	for i := range c.n {
		if c.atoms[i].number != (s[i] == '9') {
			return false
		}
	}
	return true
}

// word and number report whether the chunk is letters or figures alone.
func (c *chunk) word() bool   { return c.n == 1 && !c.atoms[0].number }
func (c *chunk) number() bool { return c.n == 1 && c.atoms[0].number }

// rank orders the ways in which a value can be had from a text.
type rank uint8

const (
	rankNone rank = iota
	rankBare      // a number alone
	rankCode      // figures and letters by a marking code
	rankLead      // a letter before figures, which may be a designator beside a value
	rankUnit      // a value with its unit or multiplier letter
)

const maxReadings = 12

// amounts is a list of fixed room.
type amounts struct {
	out [maxReadings]Amount
	n   int
}

func (l *amounts) add(a Amount) {
	for i := range l.n {
		if l.out[i].Quantity == a.Quantity && l.out[i].Tolerance == a.Tolerance {
			return
		}
	}
	l.force(a)
}

// force adds an amount although an equal one may be there: equal sections of a part are several.
func (l *amounts) force(a Amount) {
	if l.n < maxReadings {
		l.out[l.n] = a
		l.n++
	}
}

// marks reads marking codes for one kind of quantity, in the light of what is known of the part.
type marks struct {
	kind    quantity.Kind
	ctx     quantity.Context
	fam     family
	class   class
	cur     amounts
	foreign quantity.Unit // a unit of another kind was seen
	fail    message.Message
}

// ask prepares for a kind.
func (m *marks) ask(kind quantity.Kind, c quantity.Context) {
	m.kind, m.ctx, m.fam, m.class = kind, c, familyOf(c.Construction), classOf(&c)
	m.cur.n, m.foreign, m.fail = 0, 0, message.Message{}
}

func (m *marks) marking() bool   { return m.ctx.Found == "marking" }
func (m *marks) orderCode() bool { return m.ctx.Found == "order-code" }
func (m *marks) list() bool      { return m.ctx.Found == "list" }

// what says which value the figures and letters of a text stand for: the kind asked for, or the value that the class
// of part has.
func (m *marks) what() quantity.Kind {
	switch m.kind {
	case quantity.Capacitance, quantity.Resistance, quantity.Inductance:
		return m.kind
	}
	switch m.class {
	case capacitors:
		return quantity.Capacitance
	case resistors, potentiometers:
		return quantity.Resistance
	case inductors:
		return quantity.Inductance
	}
	return 0
}

// suits reports whether the class of part can have the kind of value that only a code or a letter gives.
func (m *marks) suits(k quantity.Kind) bool {
	switch m.class {
	case capacitors:
		return k == quantity.Capacitance
	case resistors, potentiometers:
		return k == quantity.Resistance
	case inductors:
		return k == quantity.Inductance || k == quantity.Resistance
	}
	return true
}

// offer adds an amount to those at hand, if it can be at all.
func (m *marks) offer(d decimalNumber, exp int, u quantity.Unit, t quantity.Tolerance, doubts []message.Message) {
	q, ok := d.times(exp, u)
	switch {
	case !ok:
		m.fail = message.Of("reading.beyond")
	case !possible(q):
		m.fail = message.Of("reading.no-such-amount", kindWord(m.kind), q)
	default:
		m.cur.add(Amount{q, t, doubts})
	}
}

// possible reports whether a part can have a quantity: few are negative, and most are not nought.
func possible(q quantity.Quantity) bool {
	switch q.Unit() {
	case quantity.Celsius, quantity.Volt, quantity.Ampere, quantity.Percent:
		return true
	case quantity.Ohm:
		return q.Sign() >= 0
	}
	return q.Sign() > 0
}

// tailLetter gives the powers of ten that a letter behind a number may mean. A small m is milli by the book, yet
// hand-made lists write it for micro (capacitors) and mega (resistors).
func tailLetter(k quantity.Kind, c byte) (exps [2]int8, n uint8) {
	one := func(e int8) ([2]int8, uint8) { return [2]int8{e}, 1 }
	switch k {
	case quantity.Capacitance:
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
	case quantity.Resistance:
		if c == 'm' {
			return [2]int8{-3, 6}, 2
		}
		if e, ok := resistorLetter(c); ok {
			return one(e)
		}
	case quantity.Inductance:
		switch c {
		case 'n', 'N':
			return one(-9)
		case 'u', 'U':
			return one(-6)
		case 'm':
			return one(-3)
		}
	case quantity.Frequency:
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

// loneLetter reads a letter that means something only when nothing stands beside it: a tolerance, a rated voltage.
func (m *marks) loneLetter(c byte) {
	switch {
	case m.kind == quantity.ToleranceKind:
		s := letterTolerances(c, m.what(), quantity.Quantity{})
		for _, t := range s.t[:s.n] {
			m.cur.add(Amount{Tolerance: t})
		}
		if c == 'K' && m.class == anyClass {
			m.volts(canVolts('K')) // and kilo, which is no quantity
		}
	case m.kind == quantity.Voltage && (m.class == capacitors || m.class == anyClass) && (c != 'V' && c != 'v' ||
		m.fam != anyFamily || m.marking()):
		if m.fam != cans && m.fam != ceramics && m.fam != films {
			m.volts(tantalumVolts(c))
		}
		if m.fam != tantalums && m.fam != ceramics && m.fam != films {
			m.volts(canVolts(c))
		}
	}
}

// volts offers a voltage given in tenths, if it is one.
func (m *marks) volts(tenths int64) {
	if tenths > 0 {
		m.offer(decimalNumber{tenths, -1}, 0, quantity.Volt, quantity.Tolerance{}, nil)
	}
}

// voltageCode reads a digit and a letter as a voltage code, beside the plain unit where the letter is one.
func (m *marks) voltageCode(digit, letter byte) {
	hundredths := codeVolts(digit, letter)
	if hundredths == 0 || m.class != capacitors && m.class != anyClass || m.class == anyClass && letter == 'V' {
		return
	}
	m.offer(decimalNumber{hundredths, -2}, 0, quantity.Volt, quantity.Tolerance{}, nil)
	u, ok := lookUnit([]byte{letter})
	if ok && (m.class == anyClass || letter == 'V' && !m.marking() && !m.orderCode()) && digit != '0' {
		m.offer(decimalNumber{int64(digit - '0'), 0}, 0, u.unit, quantity.Tolerance{}, nil)
	}
}

// chipCode reads a ceramic chip's letter and digit, beside the letter code where the letter has a place in that.
func (m *marks) chipCode(letter, digit byte) {
	exp := int(digit - '0')
	if digit == '9' {
		exp = -1
	}
	small := letter == 'n' || letter == 'p' || letter == 'u' || letter == 'm'
	if f := chipFigure(letter); f > 0 && !small {
		m.offer(decimalNumber{f, exp - 1}, -12, quantity.Farad, quantity.Tolerance{}, nil)
	}
	if exp > 0 {
		d := decimalNumber{int64(digit - '0'), -1}
		if letter == 'R' {
			m.offer(d, -12, quantity.Farad, quantity.Tolerance{}, nil)
		} else if e, n := tailLetter(quantity.Capacitance, letter); n == 1 {
			m.offer(d, int(e[0]), quantity.Farad, quantity.Tolerance{}, nil)
		}
	}
}

// preferred reports whether figures without trailing noughts are in E24 or an old rating's: what a number printed
// without unit is expected to be.
func preferred(coef int64) bool {
	for coef != 0 && coef%10 == 0 {
		coef /= 10
	}
	switch coef {
	case 8, 25, 32, 5, 64, 2:
		return true
	}
	q, ok := quantity.New(coef, 0, quantity.Ohm)
	return ok && quantity.InSeries(q, quantity.E24)
}

// inE96 reports whether figures without trailing noughts are in E96 or E24: what a resistor's may be.
func inE96(coef int64) bool {
	q, ok := quantity.New(coef, 0, quantity.Ohm)
	return ok && (quantity.InSeries(q, quantity.E24) || quantity.InSeries(q, quantity.E96))
}

func preferredE24(coef int64) bool {
	q, ok := quantity.New(coef, 0, quantity.Ohm)
	return ok && quantity.InSeries(q, quantity.E24)
}

// sameWord compares letters without regard to case.
func sameWord(w []byte, s string) bool { return bytes.EqualFold(w, []byte(s)) }
