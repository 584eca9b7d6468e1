package reading

import (
	"strings"

	"boardlore/domain/quantity"
)

// decimalNumber is coef × 10^exp.
type decimalNumber struct {
	coef int64
	exp  int
}

// numeral is a written number. Where its comma or point may group thousands or begin the decimals, both values are
// there.
type numeral struct {
	alts  [2]decimalNumber
	n     int
	text  []byte // as written, folded
	plain bool   // figures only
	power bool   // with a power of ten, as in 4.7e-6
}

// value returns the number of a numeral that reads one way.
func (n *numeral) value() decimalNumber { return n.alts[0] }

// whole reports whether the numeral is figures only, without a leading nought (nought itself apart).
func (n *numeral) whole() bool { return n.plain && (n.text[0] != '0' || len(n.text) == 1) }

// readNumeral reads figures with . , ' or blanks among them by these rules: two or more groups of three make the sign
// a group sign; of two signs the last begins the decimals; one, two or four and more figures after a single sign, or
// a nought before it, make it a decimal sign; exactly three leave it open unless the language is known.
func readNumeral(s []byte, language string) (numeral, bool) {
	n := numeral{text: s, n: 1}
	body, exp, ok := cutExponent(s)
	if !ok {
		return n, false
	}
	n.power = len(body) != len(s)
	sep := separators(body)
	if sep.count == 0 {
		n.plain = !n.power
		return n, n.set(0, body, -1, exp)
	}
	if sep.last == '\'' || sep.last == ' ' {
		return n, grouped(body) && n.set(0, body, -1, exp)
	}
	whole, decimals := body[:sep.at], body[sep.at+1:]
	if sep.lastCount > 1 {
		return n, sep.lastCount == sep.count && grouped(body) && n.set(0, body, -1, exp)
	}
	if sep.count > 1 || len(decimals) != 3 || len(whole) == 0 || len(whole) > 3 || whole[0] == '0' {
		return n, (sep.count == 1 || grouped(whole)) && n.set(0, body, sep.at, exp)
	}
	switch {
	case language == "en" && sep.last == ',', language == "de" && sep.last == '.':
		return n, n.set(0, body, -1, exp)
	case language == "en", language == "de", language == "fr" && sep.last == ',':
		return n, n.set(0, body, sep.at, exp)
	}
	n.n = 2
	first, second := -1, sep.at // a comma groups first, a point divides first
	if sep.last == '.' {
		first, second = second, first
	}
	return n, n.set(0, body, first, exp) && n.set(1, body, second, exp)
}

// set makes alternative i of the figures of s, with the decimal sign at the given place or, if negative, nowhere.
func (n *numeral) set(i int, s []byte, at, exp int) bool {
	d, ok := figuresOf(s, at)
	d.exp += exp
	n.alts[i] = d
	return ok
}

// figures reads the figures of s, skipping signs, as a decimal whose point stands at index at (none if negative).
func figuresOf(s []byte, at int) (decimalNumber, bool) {
	var d decimalNumber
	zeros, digits := 0, 0 // noughts held back, figures taken
	for i, c := range s {
		if c < '0' || c > '9' {
			continue
		}
		if at >= 0 && i > at {
			d.exp--
		}
		if c == '0' {
			if d.coef != 0 {
				zeros++
			}
			continue
		}
		if digits += zeros + 1; digits > maxDigits {
			return decimalNumber{}, false
		}
		d.coef = d.coef*int64(pow10(zeros+1)) + int64(c-'0')
		zeros = 0
	}
	d.exp += zeros
	if d.coef == 0 {
		d.exp = 0
	}
	return d, true
}

// cutExponent splits 4.7e-6, where the sign leaves no doubt that an exponent follows.
func cutExponent(s []byte) (body []byte, exp int, ok bool) {
	for i, c := range s {
		if c != 'e' && c != 'E' {
			continue
		}
		e, neg := s[i+2:], s[i+1] == '-'
		if len(e) > 3 {
			return nil, 0, false
		}
		for _, d := range e {
			exp = exp*10 + int(d-'0')
		}
		if neg {
			exp = -exp
		}
		return s[:i], exp, true
	}
	return s, 0, true
}

// separated describes the signs among the figures.
type separated struct {
	count     int  // all signs
	last      byte // the last one
	lastCount int  // how many are like it
	at        int  // where it stands
}

func separators(s []byte) separated {
	var sep separated
	for i, c := range s {
		if c < '0' || c > '9' {
			sep.count++
			sep.last, sep.at = c, i
		}
	}
	for _, c := range s {
		if c == sep.last {
			sep.lastCount++
		}
	}
	return sep
}

// grouped reports whether s is one to three figures and then groups of three, all parted by the same sign.
func grouped(s []byte) bool {
	first := 0
	for first < len(s) && s[first] >= '0' && s[first] <= '9' {
		first++
	}
	if first == 0 || first > 3 || s[0] == '0' || (len(s)-first)%4 != 0 {
		return false
	}
	for i := first; i < len(s); i += 4 {
		if s[i] != s[first] || strings.ContainsAny(string(s[i+1:i+4]), ".,' ") {
			return false
		}
	}
	return true
}

// What quantities hold.
const (
	maxDigits = 18
	maxExp    = 30
)

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

// pow10 gives 10^n for n from 0 to 19.
func pow10(n int) uint64 { return powers[n] }

var powers = func() (p [20]uint64) {
	p[0] = 1
	for n := 1; n < len(p); n++ {
		p[n] = 10 * p[n-1]
	}
	return p
}()

// times gives the number as a quantity, its power of ten raised by exp.
func (d decimalNumber) times(exp int, u quantity.Unit) (quantity.Quantity, bool) {
	return quantity.New(d.coef, d.exp+exp, u)
}

// small gives a whole number of few figures.
func (d decimalNumber) small() int64 { return d.coef * int64(pow10(d.exp)) }
