package reading

import (
	"slices"

	"boardlore/domain/quantity"
)

// letterPoint is a number with a letter for its decimal sign, as in 4u7 and 6V3; or one with a letter behind it.
type letterPoint struct {
	coef   int64
	exp    int
	letter string // in lower case
	behind bool   // the letter stands behind
}

// pointOf reads such a number, in lower case.
func pointOf(low []byte) (p letterPoint, ok bool) {
	n := 0
	for n < len(low) && (digit(low[n]) || (low[n] == '.' || low[n] == ',') && n > 0) {
		n++
	}
	if n == 0 || n >= len(low) || low[n] < 'a' || low[n] > 'z' {
		return p, false
	}
	num, ok := readNumeral(low[:n], "")
	if !ok || num.n > 1 {
		return p, false
	}
	d := num.value()
	rest := low[n+1:]
	p = letterPoint{coef: d.coef, exp: d.exp, letter: string(low[n : n+1]), behind: len(rest) == 0}
	if p.behind {
		return p, true
	}
	d, ok = pointed(low[:n], rest)
	p.coef, p.exp = d.coef, d.exp
	return p, ok && len(rest) <= 3
}

// multiplier gives the power of ten of the letters µ, u, n and p, 0 for every other one.
func (p *letterPoint) multiplier() int {
	switch p.letter {
	case "u":
		return -6
	case "n":
		return -9
	case "p":
		return -12
	}
	return 0
}

// ohms gives the power of ten of the letters R and k of resistances.
func (p *letterPoint) ohms() (exp int, ok bool) {
	switch p.letter {
	case "r":
		return 0, true
	case "k":
		return 3, true
	}
	return 0, false
}

// usualVolts are the usual ratings of electrolytics, V. Source: makers' tables.
var usualVolts = []int64{4, 10, 16, 20, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450}

// voltsInside takes 10u16 apart, where what stands behind the letter is a usual voltage and the whole is no preferred
// number.
func (p *letterPoint) voltsInside(exp int) (q, volts quantity.Quantity, ok bool) {
	if p.exp > -2 || p.behind || exp != -6 {
		return q, volts, false
	}
	scale := int64(pow10(-p.exp))
	whole, rest := p.coef/scale, p.coef%scale
	all, okAll := quantity.New(p.coef, p.exp+exp, quantity.Farad)
	q, okQ := quantity.New(whole, exp, quantity.Farad)
	volts, okV := quantity.New(rest, 0, quantity.Volt)
	if !okAll || !okQ || !okV || whole == 0 || !slices.Contains(usualVolts, rest) {
		return q, volts, false
	}
	in, _ := quantity.Preferred(all)
	return q, volts, !in
}
