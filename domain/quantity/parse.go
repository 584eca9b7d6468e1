package quantity

import (
	"fmt"
	"strings"
)

// Parse reads the canonical spelling, and only that. What Parse refuses, Read may well read.
func Parse(s string) (Quantity, error) {
	q, ok := parsePlain(s)
	if !ok {
		return Quantity{}, fmt.Errorf("%q is no quantity: write number, space, unit, as in 4.7 kΩ or 100 nF", clip(s))
	}
	if c := q.String(); c != s {
		return Quantity{}, fmt.Errorf("%q is not the canonical spelling: write %q", clip(s), c)
	}
	return q, nil
}

// MarshalText gives the canonical spelling; the absent quantity gives nothing.
func (q Quantity) MarshalText() ([]byte, error) { return q.AppendTo(nil), nil }

// UnmarshalText takes the canonical spelling only.
func (q *Quantity) UnmarshalText(text []byte) error {
	p, err := Parse(string(text))
	if err != nil {
		return err
	}
	*q = p
	return nil
}

// parsePlain reads a decimal with a point, an optional space and a prefixed unit. It is laxer than the canonical
// spelling, so that Parse can name it.
func parsePlain(s string) (Quantity, bool) {
	n := 0
	for n < len(s) && (s[n] >= '0' && s[n] <= '9' || s[n] == '.' || n == 0 && s[n] == '-') {
		n++
	}
	coef, exp, ok := decimal(s[:n])
	if !ok {
		return Quantity{}, false
	}
	rest := strings.TrimPrefix(s[n:], " ")
	for u := Farad; u <= Percent; u++ {
		head, found := strings.CutSuffix(rest, spellings[u].symbol)
		if !found {
			continue
		}
		if p, known := prefixExp(head, u); known {
			return New(coef, exp+p, u)
		}
	}
	return Quantity{}, false
}

// prefixExp gives the power of ten of a prefix symbol that may stand before the unit.
func prefixExp(symbol string, u Unit) (int, bool) {
	for _, p := range spellings[u].prefixes {
		if p.symbol == symbol {
			return p.exp, true
		}
	}
	if u == Farad && symbol == milli.symbol {
		return milli.exp, true
	}
	return 0, false
}

// decimal reads digits with at most one point among them and a minus sign before them as coef × 10^exp. It refuses
// more digits than a coefficient holds.
func decimal(s string) (coef int64, exp int, ok bool) {
	s, neg := strings.CutPrefix(s, "-")
	whole, frac, _ := strings.Cut(s, ".")
	if whole == "" && frac == "" {
		return 0, 0, false
	}
	for _, part := range [2]string{whole, frac} {
		for i := range len(part) {
			if part[i] < '0' || part[i] > '9' {
				return 0, 0, false
			}
		}
	}
	frac = strings.TrimRight(frac, "0")
	digits := whole + frac
	exp = -len(frac)
	if trimmed := strings.TrimRight(digits, "0"); frac == "" {
		exp, digits = len(digits)-len(trimmed), trimmed
	}
	digits = strings.TrimLeft(digits, "0")
	if digits == "" {
		return 0, 0, true
	}
	if len(digits) > maxDigits {
		return 0, 0, false
	}
	for i := range len(digits) {
		coef = coef*10 + int64(digits[i]-'0')
	}
	if neg {
		coef = -coef
	}
	return coef, exp, true
}

// clip shortens a text for an error message.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}
