package reading

import "boardlore/domain/quantity"

// The letter tables of the trade. Letters are case-sensitive, and the same letter says different things on different
// parts. Sources beside each; what no opened document confirms is marked "from memory".

// tolerances by letter, A to Z.
type letterTable [26]quantity.Tolerance

func (t *letterTable) get(c byte) (quantity.Tolerance, bool) {
	if c < 'A' || c > 'Z' {
		return quantity.Tolerance{}, false
	}
	return t[c-'A'], !t[c-'A'].IsZero()
}

var (
	// percentLetters are symmetric: resistors, and capacitors of 10 pF or more (IEC 60062; E, L, P and W from memory).
	percentLetters = symmetricTable(quantity.Percent, map[byte][2]int{
		'A': {5, -2}, 'W': {5, -2}, 'B': {1, -1}, 'C': {25, -2}, 'D': {5, -1}, 'E': {5, -3}, 'L': {1, -2}, 'P': {2, -2},
		'F': {1, 0}, 'G': {2, 0}, 'H': {3, 0}, 'J': {5, 0}, 'K': {10, 0}, 'M': {20, 0}, 'N': {30, 0}})
	// coilLetters differ from those for inductors (published inductor code table).
	coilLetters = symmetricTable(quantity.Percent, map[byte][2]int{
		'F': {1, 0}, 'G': {2, 0}, 'H': {3, 0}, 'J': {5, 0}, 'K': {10, 0}, 'L': {15, 0}, 'M': {20, 0}, 'V': {25, 0},
		'N': {30, 0}})
	// faradLetters are absolute: capacitors below 10 pF (ceramic makers' part numbering; G from memory).
	faradLetters = symmetricTable(quantity.Farad, map[byte][2]int{
		'A': {5, -14}, 'B': {1, -13}, 'C': {25, -14}, 'D': {5, -13}, 'F': {1, -12}, 'G': {2, -12}})
	// skewLetters are for capacitors only (makers' tables; T, S and R from memory).
	skewLetters = skewTable(map[byte][2]int64{
		'Q': {-10, 30}, 'T': {-10, 50}, 'S': {-20, 50}, 'R': {-20, 30}, 'Z': {-20, 80}, 'P': {0, 100}})
)

func symmetricTable(u quantity.Unit, m map[byte][2]int) *letterTable {
	t := new(letterTable)
	for c, v := range m {
		q, _ := quantity.New(int64(v[0]), v[1], u)
		t[c-'A'], _ = quantity.Symmetric(q)
	}
	return t
}

func skewTable(m map[byte][2]int64) *letterTable {
	t := new(letterTable)
	for c, v := range m {
		low, _ := quantity.New(v[0], 0, quantity.Percent)
		high, _ := quantity.New(v[1], 0, quantity.Percent)
		t[c-'A'], _ = quantity.NewTolerance(low, high)
	}
	return t
}

// someTolerances is a short list.
type someTolerances struct {
	t [3]quantity.Tolerance
	n int
}

func (s *someTolerances) add(t quantity.Tolerance, ok bool) {
	if ok && s.n < len(s.t) {
		s.t[s.n] = t
		s.n++
	}
}

var tenPicofarad, _ = quantity.New(1, -11, quantity.Farad)

// letterTolerances lists what a tolerance letter may mean on the kind of part that has the kind of value; 0 for an
// unknown one. The value, if known, settles whether a capacitor's letter is absolute.
func letterTolerances(c byte, what quantity.Kind, value quantity.Quantity) someTolerances {
	var s someTolerances
	switch what {
	case quantity.Resistance:
		s.add(percentLetters.get(c))
	case quantity.Inductance:
		s.add(coilLetters.get(c))
	default:
		capacitorTolerances(&s, c, what, value)
	}
	return s
}

func capacitorTolerances(s *someTolerances, c byte, what quantity.Kind, value quantity.Quantity) {
	small := value.Unit() == quantity.Farad && value.Compare(tenPicofarad) < 0
	if value.Unit() != quantity.Farad || small {
		s.add(faradLetters.get(c))
	}
	if small && s.n > 0 {
		return
	}
	if t, ok := skewLetters.get(c); ok {
		s.add(t, ok)
		if what == quantity.Capacitance {
			return
		}
	}
	s.add(percentLetters.get(c))
	if what == 0 && s.n == 0 {
		s.add(coilLetters.get(c))
	}
}

// voltsTenths gives the rated voltage that a letter prints on tantalum chips, in tenths of a volt (a maker's marking
// table; e, F, T and H from memory).
func tantalumVolts(c byte) int64 {
	switch c {
	case 'e', 'F':
		return 25
	case 'G':
		return 40
	case 'J':
		return 63
	case 'A':
		return 100
	case 'C':
		return 160
	case 'D':
		return 200
	case 'E':
		return 250
	case 'V':
		return 350
	case 'T', 'H':
		return 500
	}
	return 0
}

// canVolts is the same for SMD aluminium cans, where capital J is 63 V (two makers' datasheets; g and e from memory).
func canVolts(c byte) int64 {
	switch c {
	case 'e':
		return 25
	case 'g':
		return 40
	case 'j':
		return 63
	case 'A':
		return 100
	case 'C':
		return 160
	case 'E':
		return 250
	case 'V':
		return 350
	case 'H':
		return 500
	case 'J':
		return 630
	case 'K':
		return 800
	}
	return 0
}

// codeVolts gives a two-character voltage code, a digit and a letter, as hundredths of a volt: the letter's figure
// times ten to the digit (EIA; some pairs by the rule only).
func codeVolts(digit, letter byte) int64 {
	if digit < '0' || digit > '3' {
		return 0
	}
	figures := map[byte]int64{'A': 100, 'Q': 110, 'B': 125, 'T': 150, 'C': 160, 'Z': 180, 'D': 200, 'P': 220, 'E': 250,
		'F': 315, 'V': 350, 'G': 400, 'W': 450, 'H': 500, 'L': 550, 'J': 630, 'K': 800}
	return figures[letter] * int64(pow10(int(digit-'0')))
}

// The preferred numbers of IEC 60063, 100 to 999.
var e24, e96 = quantity.E24.Values(), quantity.E96.Values()

// chipFigure gives the two figures of a ceramic chip marked with a letter and a digit, times ten (EIA-198, from memory).
func chipFigure(c byte) int64 {
	const capitals = "ABCDEFGHJKLMNPQRSTUVWXYZ"
	for i := range len(capitals) {
		if capitals[i] == c {
			return e24[i] / 10
		}
	}
	switch c {
	case 'a':
		return 25
	case 'b':
		return 35
	case 'd':
		return 40
	case 'e':
		return 45
	case 'f':
		return 50
	case 'm':
		return 60
	case 'n':
		return 70
	case 't':
		return 80
	case 'y':
		return 90
	}
	return 0
}

// eia96Exp gives the power of ten of a multiplier letter of the three-character resistor code, whose index 01 stands
// for 100.
func eia96Exp(c byte) (int, bool) {
	switch c {
	case 'Z':
		return -3, true
	case 'Y', 'R':
		return -2, true
	case 'X', 'S':
		return -1, true
	case 'A':
		return 0, true
	case 'B', 'H':
		return 1, true
	case 'C':
		return 2, true
	case 'D':
		return 3, true
	case 'E':
		return 4, true
	case 'F':
		return 5, true
	}
	return 0, false
}
