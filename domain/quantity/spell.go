package quantity

import "strconv"

// The signs that a canonical spelling uses; look-alikes are folded to them on reading.
const (
	micro = "µ" // U+00B5
	ohm   = "Ω" // U+03A9
)

// prefix is a power of ten that a unit is written with. From from upwards (a power of ten itself) it is the one to
// take; for most that is its own power.
type prefix struct {
	exp    int
	from   int
	symbol string
}

// spelling is how a unit is written: its symbol and its prefixes, rising. The lowest prefix serves everything below
// it and the highest everything above.
type spelling struct {
	symbol   string
	prefixes []prefix
}

var (
	pico  = prefix{-12, -12, "p"}
	nano  = prefix{-9, -9, "n"}
	micr  = prefix{-6, -6, micro}
	milli = prefix{-3, -3, "m"}
	bare  = prefix{0, 0, ""}
	kilo  = prefix{3, 3, "k"}
	mega  = prefix{6, 6, "M"}
	giga  = prefix{9, 9, "G"}
)

// spellings holds the trade's floors and ceilings. Capacitance has no mF, which half the readers take for a
// microfarad: µF serves up to 0.1 F.
var spellings = [...]spelling{
	None:       {"", []prefix{bare}},
	Farad:      {"F", []prefix{pico, nano, micr, {0, -1, ""}}},
	Ohm:        {ohm, []prefix{micr, milli, bare, kilo, mega, giga}},
	Henry:      {"H", []prefix{nano, micr, milli, bare}},
	Volt:       {"V", []prefix{micr, milli, bare, kilo}},
	Ampere:     {"A", []prefix{pico, nano, micr, milli, bare, kilo}},
	Watt:       {"W", []prefix{micr, milli, bare, kilo}},
	Joule:      {"J", []prefix{micr, milli, bare, kilo}},
	Celsius:    {"°C", []prefix{bare}},
	Hour:       {"h", []prefix{bare}},
	Hertz:      {"Hz", []prefix{bare, kilo, mega, giga}},
	Millimetre: {"mm", []prefix{bare}},
	Percent:    {"%", []prefix{bare}},
}

// String returns the unit's symbol without prefix, "" for None.
func (u Unit) String() string {
	if int(u) >= len(spellings) {
		return "?"
	}
	return spellings[u].symbol
}

// String returns the canonical spelling: number, one space, prefixed unit ("4.7 kΩ", "1000 µF", "105 °C"). The
// absent quantity is "".
func (q Quantity) String() string {
	var b [64]byte
	return string(q.AppendTo(b[:0]))
}

// AppendTo appends the canonical spelling to dst.
func (q Quantity) AppendTo(dst []byte) []byte {
	if q.unit == None {
		return dst
	}
	s := &spellings[q.unit]
	p := q.prefix(s)
	dst = appendDecimal(dst, q.coef, int(q.exp)-p.exp)
	dst = append(dst, ' ')
	dst = append(dst, p.symbol...)
	return append(dst, s.symbol...)
}

func (q Quantity) prefix(s *spelling) prefix {
	if q.coef == 0 {
		return bare
	}
	top := q.top()
	p := s.prefixes[0]
	for _, next := range s.prefixes[1:] {
		if top >= next.from {
			p = next
		}
	}
	return p
}

// top is the power of ten of the first digit.
func (q Quantity) top() int {
	n := int(q.exp)
	for m := magnitude(q.coef); m >= 10; m /= 10 {
		n++
	}
	return n
}

// SI returns the value as an exact decimal in the bare unit (F, Ω, H, V, A, W, J, °C, h, Hz, mm, %), without
// exponent. The absent quantity is "".
func (q Quantity) SI() string {
	if q.unit == None {
		return ""
	}
	var b [64]byte
	return string(appendDecimal(b[:0], q.coef, int(q.exp)))
}

// appendDecimal appends coef × 10^exp written out.
func appendDecimal(dst []byte, coef int64, exp int) []byte {
	if coef < 0 {
		dst = append(dst, '-')
	}
	var b [20]byte
	digits := strconv.AppendUint(b[:0], magnitude(coef), 10)
	if exp >= 0 {
		dst = append(dst, digits...)
		return appendZeros(dst, exp, coef)
	}
	whole := len(digits) + exp
	if whole > 0 {
		dst = append(dst, digits[:whole]...)
		digits = digits[whole:]
		whole = 0
	} else {
		dst = append(dst, '0')
	}
	dst = append(dst, '.')
	dst = appendZeros(dst, -whole, 1)
	return append(dst, digits...)
}

func appendZeros(dst []byte, n int, coef int64) []byte {
	for ; n > 0 && coef != 0; n-- {
		dst = append(dst, '0')
	}
	return dst
}
