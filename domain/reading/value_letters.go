package reading

import (
	"bytes"
	"slices"

	"boardlore/domain/quantity"
)

// lettered reads a number with a multiplier letter: 4u7, 100n, and for a resistor 4k7 and 47R. Whatever may mean more
// than one thing is left to the marking codes.
func (p *partReader) lettered(i, j int, kind quantity.Kind) ([]Amount, bool) {
	l, ok := pointOf(p.runLow(i, j))
	if !ok || l.coef == 0 || p.ctx.Found == "marking" || p.ctx.Found == "order-code" {
		return nil, false
	}
	if exp, ok := l.ohms(); ok && kind == quantity.Resistance {
		q, ok := quantity.New(l.coef, l.exp+exp, quantity.Ohm)
		return []Amount{{Quantity: q}}, ok
	}
	exp := l.multiplier()
	if exp == 0 {
		return nil, false
	}
	_, _, two := l.voltsInside(exp)
	switch {
	case kind == quantity.Capacitance || kind == 0 && (two || p.capacitorLike()):
		return p.farads(i, j, l, exp)
	case kind == quantity.Inductance:
		q, ok := quantity.New(l.coef, l.exp+exp, quantity.Henry)
		return []Amount{{Quantity: q}}, ok && exp > -12
	case kind == 0:
		c, okC := quantity.New(l.coef, l.exp+exp, quantity.Farad)
		h, okH := quantity.New(l.coef, l.exp+exp, quantity.Henry)
		if exp == -12 {
			return []Amount{{Quantity: c}}, okC
		}
		return []Amount{{Quantity: c}, {Quantity: h}}, okC && okH
	}
	return nil, false
}

// capacitorLike reports whether the ratings are those of a capacitor: coils and resistors hardly ever bear a voltage.
func (p *partReader) capacitorLike() bool {
	return p.members["voltage"] != "" || p.members["temperature_max"] != "" || p.members["endurance"] != "" ||
		p.bareAfter()
}

// farads reads 4u7 as a capacitance, and 10u16, which is in no series, as one with the voltage behind its letter.
func (p *partReader) farads(i, j int, l letterPoint, exp int) ([]Amount, bool) {
	q, volts, two := l.voltsInside(exp)
	if !two || p.members["voltage"] != "" {
		q, ok := quantity.New(l.coef, l.exp+exp, quantity.Farad)
		return []Amount{{Quantity: q}}, ok
	}
	p.doubt("reading.read-as-both", p.source(i, j), q, volts)
	p.rate("voltage", volts, i, j)
	return []Amount{{Quantity: q}}, true
}

// plausible drops what the ratings rule out: µ, n and p without a unit are capacitances beside a voltage; no resistor
// has less than a tenth of a milliohm and no coil a thousand henrys. Beside a tolerance or a chip size k and R are those
// of a resistor, which a doubt tells.
func (p *partReader) plausible(all []Amount, i, j int) []Amount {
	all = slices.DeleteFunc(all, func(a Amount) bool {
		q := a.Quantity
		return q.Unit() == quantity.Ohm && q.Sign() > 0 && q.Compare(minOhms) < 0 || q.Unit() == quantity.Henry &&
			q.Compare(maxHenries) > 0
	})
	want := quantity.None
	switch b := &p.body; {
	case p.members["voltage"] != "", p.filmPrint(i, j):
		want = quantity.Farad
	case bytes.ContainsAny(p.raw[p.atoms[i].lo:p.atoms[j-1].hi], "kKrRMΩ") && (!p.tol.IsZero() || b.shape == "chip" ||
		b.shape == "axial"):
		want = quantity.Ohm
	}
	only := slices.DeleteFunc(slices.Clone(all), func(a Amount) bool { return a.Quantity.Unit() != want })
	if len(only) == 0 || len(only) == len(all) || want == quantity.Ohm && len(only) > 1 {
		return all
	}
	if want == quantity.Ohm {
		p.doubt("reading.resistance-unsaid", p.source(i, j))
	}
	return only
}
