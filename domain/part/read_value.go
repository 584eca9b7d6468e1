package part

import (
	"bytes"
	"slices"

	"boardlore/domain/quantity"
)

// settleValue finds the value: what stands with the unit of the class, else a
// number with a multiplier letter, else whatever quantity.Read makes of the
// words that are left.
func (r *reader) settleValue() {
	p := &r.out.Part
	kind, valued := ValueKind(p.Class)
	unknown := p.Class == "" || p.Class == "other"
	if !valued && !unknown || len(r.values) > 0 {
		return
	}
	if valued && r.writtenValue(kind) {
		return
	}
	if r.ctx.Found == "marking" || r.ctx.Found == "order-code" {
		if r.printed(kind) {
			return
		}
	}
	for _, names := range [2]bool{false, true} {
		for i := range r.words {
			if r.free(i, i+1) && r.words[i].name == names && r.valueAt(i, kind) {
				return
			}
		}
	}
}

// valueFrom sets the readings of the value, which words i to j-1 gave.
func (r *reader) valueFrom(found []quantity.Reading, i, j int) {
	r.values = found
	r.value = [2]int{i, j}
	r.take(i, j)
}

// writtenValue takes what is written with the unit of the class. Two different
// values are two readings.
func (r *reader) writtenValue(kind quantity.Kind) bool {
	var found []quantity.Reading
	for k := range r.measures {
		m := &r.measures[k]
		if m.label != "" || m.q.Unit() != kind.Unit() || m.q.Unit() == quantity.Volt {
			continue
		}
		switch {
		case m.q.Sign() < 0 || m.q.Sign() == 0 && m.q.Unit() != quantity.Ohm:
			r.release(m.i, m.j)
			r.doubt("A %s of %s is none.", kind.String(), m.q.String())
			continue
		case slices.ContainsFunc(found, func(a quantity.Reading) bool { return a.Quantity == m.q }):
			r.note("value", m.q.String(), m.i, m.j)
			continue
		case len(found) == 0:
			r.value = [2]int{m.i, m.j}
		default:
			r.others = append(r.others, [2]int{m.i, m.j})
		}
		found = append(found, quantity.Reading{Quantity: m.q, Doubts: m.doubts})
	}
	if len(found) > 1 {
		r.doubt("The text gives several values of %s.", kind.String())
	}
	r.values = found
	return len(found) > 0
}

// printed reads all the words that are left as one print on a part, which may
// hold value, voltage and tolerance.
func (r *reader) printed(kind quantity.Kind) bool {
	i := 0
	for i < len(r.words) && !r.looseAt(i) {
		i++
	}
	j := i
	for j < len(r.words) && r.looseAt(j) {
		j++
	}
	if i == j {
		return false
	}
	if low := r.lower(i); j == i+1 && (len(low) == 1 || len(low) == 2 && r.ctx.Found == "order-code") && r.out.Part.Class == "capacitor" {
		r.impliedVoltage(i, j)
		return true
	}
	found := r.asKind(i, j, kind)
	if len(found) == 0 {
		r.impliedVoltage(i, j)
		return !r.out.Part.Voltage.IsZero()
	}
	r.valueFrom(found, i, j)
	r.impliedVoltage(i, j)
	return true
}

// codedAt reports whether word i of a print is a code of figures and a letter,
// such as 01C on a resistor and 2A on a can, and no quantity with its unit.
func (r *reader) codedAt(i int) bool {
	raw := r.cased(i)
	n := len(raw)
	if r.ctx.Found != "marking" && r.ctx.Found != "order-code" || n < 2 || n > 3 || !allDigits(raw[:n-1]) || raw[n-1] < 'A' || raw[n-1] > 'Z' {
		return false
	}
	return raw[n-1] != 'V' || r.ctx.Found == "order-code" && n == 2
}

// looseAt reports whether word i is free, or a letter that has found no
// meaning yet.
func (r *reader) looseAt(i int) bool {
	if r.free(i, i+1) {
		return true
	}
	return slices.ContainsFunc(r.codes, func(c code) bool { return c.what == letterCode && c.i == i })
}

// valueAt tries the words from i on as the value.
func (r *reader) valueAt(i int, kind quantity.Kind) bool {
	low := r.lower(i)
	if !hasDigit(low) || plainLetter(low[0]) && len(low) > 1 && plainLetter(low[1]) || r.words[i].glued && !r.words[i].stroke && i > 0 && !r.words[i-1].used {
		return false
	}
	if _, sure := typeClass(low); sure || r.torn(i) || !r.mayLead(low[0]) {
		return false
	}
	if found, ok := r.lettered(i, kind); ok {
		r.valueFrom(found, i, r.ohmWord(i+1, found))
		r.voltsAfter(i, false)
		return true
	}
	n, ok := number(low)
	bare := ok && n.size == len(low)
	if numeral(low) {
		if r.pairAt(i, kind) || r.withUnitWord(i, kind) {
			return true
		}
		if kind == 0 && !r.alone(i) && !r.voltsBeside(i) {
			return false // a number without unit beside unknown words says nothing
		}
	}
	found := r.asKind(i, i+1, kind)
	if len(found) == 0 {
		return false
	}
	r.valueFrom(found, i, i+1)
	r.voltsAfter(i, bare)
	if groupOf(r.construction()).electrolytic() && isLetter(low[len(low)-1]) || bytes.IndexByte(low, 'v') > 0 || filmPrint(r.cased(i)) {
		r.impliedVoltage(i, i+1) // 107C on a tantalum
	}
	return true
}

// filmPrint recognises the print of a film capacitor that bears its voltage:
// 2A104J with the code before the value, 473K100 with the figures behind it.
// Makers' tables of codes, which are printed in capitals.
func filmPrint(raw []byte) bool {
	switch n := len(raw); {
	case n >= 5 && isDigit(raw[0]) && raw[1] >= 'A' && raw[1] <= 'Z':
		return allDigits(raw[2:5])
	case n >= 6 && allDigits(raw[:3]):
		return (raw[3] == 'J' || raw[3] == 'K' || raw[3] == 'M') && allDigits(raw[4:])
	}
	return false
}

// mayLead reports whether a value may begin with a sign: a figure, or a letter
// for the decimal sign. In a print other letters are codes.
func (r *reader) mayLead(c byte) bool {
	switch {
	case isDigit(c), c == '.', c == ',', c == 'r', c == 'n', c == 'p', c == 'u', c >= 0x80:
		return true
	}
	return r.ctx.Found == "marking" || r.ctx.Found == "order-code"
}

// torn reports whether a hyphen ties word i to the next, as in 10D-9: then it is
// part of a type number.
func (r *reader) torn(i int) bool {
	return i+1 < len(r.words) && r.words[i+1].glued && !r.words[i+1].stroke && !r.words[i+1].used && r.low[r.words[i].hi] == '-'
}

// ohmWord gives the word after a resistance: behind the unit in 10K OHM.
func (r *reader) ohmWord(j int, found []quantity.Reading) int {
	if len(found) == 1 && found[0].Quantity.Unit() == quantity.Ohm && r.free(j, j+1) {
		switch string(r.lower(j)) {
		case "ohm", "ohms", "ω":
			return j + 1
		}
	}
	return j
}

// numeral reports whether a word is a number, in whatever grouping.
func numeral(low []byte) bool {
	for _, c := range low {
		if !isDigit(c) && c != '.' && c != ',' && c != '\'' {
			return false
		}
	}
	return true
}

// pairAt reads 1000/25 as a capacitance and its voltage.
func (r *reader) pairAt(i int, kind quantity.Kind) bool {
	if kind != 0 && kind != quantity.Capacitance || !r.bareAt(i+1) || !r.words[i+1].stroke || !r.out.Part.Voltage.IsZero() {
		return false
	}
	found := r.asKind(i, i+2, quantity.Capacitance)
	if len(found) == 0 || !allFarads(found) {
		return false
	}
	r.valueFrom(found, i, i+1)
	r.voltsAfter(i, true)
	return true
}

func plainLetter(c byte) bool { return c >= 'a' && c <= 'z' }

// withUnitWord tries a number with the words behind it: 10 MFD, 1 000 µF, 22
// picofarads.
func (r *reader) withUnitWord(i int, kind quantity.Kind) bool {
	if kind == quantity.Capacitance && r.letterAt(i+1, "F") || kind == quantity.Inductance && r.letterAt(i+1, "H") {
		if found := r.asKind(i, i+2, kind); len(found) > 0 {
			r.valueFrom(found, i, i+2)
			return true
		}
		r.release(i+1, i+2)
	}
	for n := 3; n > 1; n-- {
		if !r.free(i, i+n) || r.words[i+1].stroke || hasDigit(r.lower(i+1)) && !r.grouped(i) || n == 3 && hasDigit(r.lower(i+2)) {
			continue
		}
		if !hasDigit(r.lower(i+1)) && n == 3 {
			continue
		}
		if found := r.asKind(i, i+n, kind); len(found) > 0 {
			r.valueFrom(found, i, i+n)
			return true
		}
	}
	return false
}

// letterAt reports whether word i is a lone letter that stands for the unit of
// the value, and takes its note as a letter back.
func (r *reader) letterAt(i int, letter string) bool {
	for k := range r.codes {
		if c := &r.codes[k]; c.what == letterCode && c.i == i && c.name == letter {
			c.what = 0
			return true
		}
	}
	return false
}

// multiplier gives the power of ten of the letters µ, u, n and p, 0 for every
// other one.
func (p *letterPoint) multiplier() int {
	switch p.letter {
	case "µ", "u":
		return -6
	case "n":
		return -9
	case "p":
		return -12
	}
	return 0
}

// ohms gives the power of ten of the letters R, k and M of resistances.
func (p *letterPoint) ohms() (exp int, ok bool) {
	switch p.letter {
	case "r":
		return 0, true
	case "k":
		return 3, true
	}
	return 0, false
}

// lettered reads a number with a multiplier letter: 4u7, 100n, and for a
// resistor 4k7 and 47R. Whatever may mean more than one thing is left to
// quantity.Read.
func (r *reader) lettered(i int, kind quantity.Kind) ([]quantity.Reading, bool) {
	low := r.lower(i)
	p, ok := pointOf(low)
	if !ok || p.coef == 0 || r.ctx.Found == "marking" || r.ctx.Found == "order-code" {
		return nil, false
	}
	if exp, ok := p.ohms(); ok && kind == quantity.Resistance {
		q, ok := quantity.New(p.coef, p.exp+exp, quantity.Ohm)
		return []quantity.Reading{{Quantity: q}}, ok
	}
	exp := p.multiplier()
	if exp == 0 {
		return nil, false
	}
	_, _, two := p.voltsInside(exp)
	switch {
	case kind == quantity.Capacitance || kind == 0 && (two || r.capacitorLike()):
		return r.farads(i, p, exp)
	case kind == quantity.Inductance:
		q, ok := quantity.New(p.coef, p.exp+exp, quantity.Henry)
		return []quantity.Reading{{Quantity: q}}, ok && exp > -12
	case kind == 0:
		c, okC := quantity.New(p.coef, p.exp+exp, quantity.Farad)
		l, okL := quantity.New(p.coef, p.exp+exp, quantity.Henry)
		if exp == -12 {
			return []quantity.Reading{{Quantity: c}}, okC
		}
		return []quantity.Reading{{Quantity: c}, {Quantity: l}}, okC && okL
	}
	return nil, false
}

// capacitorLike reports whether the ratings are those of a capacitor: coils and
// resistors hardly ever bear a voltage.
func (r *reader) capacitorLike() bool {
	p := &r.out.Part
	return !p.Voltage.IsZero() || !p.TemperatureMax.IsZero() || !p.Endurance.IsZero() || r.bareAfter()
}

// bareAfter reports whether a number stands behind a stroke, as in 22µ/16.
func (r *reader) bareAfter() bool {
	for k := 1; k < len(r.words); k++ {
		if r.words[k].stroke && r.bareAt(k) {
			return true
		}
	}
	return false
}

// ratedVolts are the usual ratings of electrolytics, V. Source: makers' tables.
var ratedVolts = []int64{4, 10, 16, 20, 25, 35, 50, 63, 100, 160, 200, 250, 350, 400, 450}

// farads reads 4u7 as a capacitance, and 10u16, which is in no series, as one
// with the voltage behind its letter.
func (r *reader) farads(i int, p letterPoint, exp int) ([]quantity.Reading, bool) {
	q, volts, two := p.voltsInside(exp)
	if !two || !r.out.Part.Voltage.IsZero() {
		q, ok := quantity.New(p.coef, p.exp+exp, quantity.Farad)
		return []quantity.Reading{{Quantity: q}}, ok
	}
	r.doubt("%s is read as %s and %s, being no preferred number.", r.source(i, i+1), q.String(), volts.String())
	r.rate(&r.out.Part.Voltage, "voltage", &measure{q: volts, i: i, j: i + 1})
	return []quantity.Reading{{Quantity: q}}, true
}

// voltsInside takes 10u16 apart, where what stands behind the letter is a usual
// voltage and the whole is no preferred number.
func (p *letterPoint) voltsInside(exp int) (q, volts quantity.Quantity, ok bool) {
	if p.exp > -2 || p.behind || exp != -6 {
		return q, volts, false
	}
	scale := int64(100)
	if p.exp == -3 {
		scale = 1000
	}
	whole, rest := p.coef/scale, p.coef%scale
	all, okAll := quantity.New(p.coef, p.exp+exp, quantity.Farad)
	q, okQ := quantity.New(whole, exp, quantity.Farad)
	volts, okV := quantity.New(rest, 0, quantity.Volt)
	if !okAll || !okQ || !okV || whole == 0 || !slices.Contains(ratedVolts, rest) {
		return q, volts, false
	}
	in, _ := quantity.Preferred(all)
	return q, volts, !in
}

// alone reports whether the line holds nothing else that is unread.
func (r *reader) alone(i int) bool {
	for k := range r.words {
		if w := &r.words[k]; k != i && !w.used && !w.name {
			return false
		}
	}
	return true
}

// voltsBeside reports whether a number is followed by another behind a stroke,
// as in 1000/25, or the voltage is known.
func (r *reader) voltsBeside(i int) bool {
	return !r.out.Part.Voltage.IsZero() || r.bareAt(i+1) && r.words[i+1].stroke
}

func (r *reader) bareAt(i int) bool {
	if !r.free(i, i+1) {
		return false
	}
	low := r.lower(i)
	n, ok := number(low)
	return ok && n.size == len(low)
}

// voltsAfter takes the number behind the value for the voltage: 22µ/16, and of
// an electrolytic 470 16 too.
func (r *reader) voltsAfter(i int, bare bool) {
	p := &r.out.Part
	k := i + 1
	if !p.Voltage.IsZero() || !r.bareAt(k) || !allFarads(r.values) {
		return
	}
	if g := groupOf(r.construction()); !r.words[k].stroke && !(bare && g.electrolytic()) {
		return
	}
	n, _ := number(r.lower(k))
	q, ok := quantity.New(n.coef, n.exp, quantity.Volt)
	if !ok || q.Sign() <= 0 {
		return
	}
	r.doubt("%s behind the value is read as its voltage.", r.source(k, k+1))
	r.rate(&p.Voltage, "voltage", &measure{q: q, i: k, j: k + 1})
}

func allFarads(found []quantity.Reading) bool {
	return !slices.ContainsFunc(found, func(f quantity.Reading) bool { return f.Quantity.Unit() != quantity.Farad })
}

// impliedVoltage reads the voltage out of a print such as 476J or 107 16.
func (r *reader) impliedVoltage(i, j int) {
	p := &r.out.Part
	if !p.Voltage.IsZero() || !allFarads(r.values) {
		return
	}
	c := r.ctx
	c.Class, c.Construction = "capacitor", string(r.construction())
	found, err := quantity.Read(r.source(i, j), quantity.Voltage, c)
	switch {
	case err != nil:
	case len(found) == 1:
		p.Voltage = found[0].Quantity
		r.doubts(found[0].Doubts)
		r.note("voltage", p.Voltage.String(), i, j)
	default:
		r.doubt("The voltage in %s may be %s or %s, depending on the make: look at the size.", r.source(i, j), found[0].Quantity.String(), found[1].Quantity.String())
	}
}

// construction is what the text says or, if nothing, what the caller knows.
func (r *reader) construction() Construction {
	if c := r.out.Part.Construction; c != "" && (r.out.Part.Class == "" || r.out.Part.Class == "capacitor") {
		return c
	}
	return Construction(r.ctx.Construction)
}

// asKind reads words i to j-1 as a value of a kind; kind 0 means every kind that some
// class has, and each distinct quantity is one reading.
func (r *reader) asKind(i, j int, kind quantity.Kind) []quantity.Reading {
	s := r.source(i, j)
	c := r.ctx
	c.Class, c.Construction = string(r.out.Part.Class), string(r.construction())
	if c.Found == "" && len(r.words) > 1 {
		c.Found = "list" // a print is mostly one word; figures beside others are written out
	}
	if kind != 0 {
		found, err := quantity.Read(s, kind, c)
		if err != nil {
			return nil
		}
		if kind == quantity.Voltage {
			return r.clamping(found, i, j)
		}
		return found
	}
	c.Class = ""
	var all []quantity.Reading
	for _, k := range [...]quantity.Kind{quantity.Capacitance, quantity.Resistance, quantity.Inductance} {
		found, err := quantity.Read(s, k, c)
		if err != nil {
			continue
		}
		for _, f := range found {
			if f.Quantity.Unit() == k.Unit() && !slices.ContainsFunc(all, func(a quantity.Reading) bool { return a.Quantity == f.Quantity && a.Tolerance == f.Tolerance }) {
				all = append(all, f)
			}
		}
	}
	return r.likely(all, i, j)
}

// mostClamping is the highest voltage of a varistor that is believed. Common
// practice.
var mostClamping, _ = quantity.New(1, 4, quantity.Volt)

// clamping drops readings of a varistor's figures as a code that no varistor
// has, and then takes the number as it stands.
func (r *reader) clamping(found []quantity.Reading, i, j int) []quantity.Reading {
	found = slices.DeleteFunc(found, func(f quantity.Reading) bool { return f.Quantity.Compare(mostClamping) > 0 })
	if len(found) > 0 || j != i+1 {
		return found
	}
	n, ok := number(r.lower(i))
	if !ok || n.size != len(r.lower(i)) {
		return nil
	}
	q, ok := quantity.New(n.coef, n.exp, quantity.Volt)
	if !ok || q.Sign() <= 0 || q.Compare(mostClamping) > 0 {
		return nil
	}
	return []quantity.Reading{{Quantity: q, Doubts: varistorDoubts}}
}

// The least resistance and the greatest inductance that a letter alone is
// believed to say.
var (
	leastOhms, _   = quantity.New(1, -4, quantity.Ohm)
	mostHenries, _ = quantity.New(1, 3, quantity.Henry)
)

// likely drops what the ratings rule out: µ, n and p without a unit are
// capacitances beside a voltage; no resistor has less than a tenth of a
// milliohm and no coil a thousand henrys. Beside a tolerance or a chip size k
// and R are those of a resistor, which a doubt tells.
func (r *reader) likely(all []quantity.Reading, i, j int) []quantity.Reading {
	all = slices.DeleteFunc(all, func(a quantity.Reading) bool {
		q := a.Quantity
		return q.Unit() == quantity.Ohm && q.Sign() > 0 && q.Compare(leastOhms) < 0 || q.Unit() == quantity.Henry && q.Compare(mostHenries) > 0
	})
	want := quantity.None
	switch b := &r.out.Body; {
	case !r.out.Part.Voltage.IsZero(), j == i+1 && filmPrint(r.cased(i)):
		want = quantity.Farad
	case bytes.ContainsAny(r.raw[r.words[i].lo:r.words[j-1].hi], "kKrRMΩ") && (!r.out.Part.Tolerance.IsZero() || b.Shape == "chip" || b.Shape == "axial"):
		want = quantity.Ohm
	}
	only := slices.DeleteFunc(slices.Clone(all), func(a quantity.Reading) bool { return a.Quantity.Unit() != want })
	if len(only) == 0 || len(only) == len(all) || want == quantity.Ohm && len(only) > 1 {
		return all
	}
	if want == quantity.Ohm {
		r.doubt("%s is read as a resistance; without its unit it may also be another value.", r.source(i, j))
	}
	return only
}
