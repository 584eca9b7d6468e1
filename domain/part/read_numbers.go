package part

import (
	"slices"

	"boardlore/domain/quantity"
)

// figures is a number at the head of a text.
type figures struct {
	coef  int64
	exp   int
	size  int  // bytes
	point bool // has a decimal sign
}

// mostFigures is the longest number that is read here.
const mostFigures = 12

// number reads an unsigned decimal at the head of b, with a point or a comma.
// It refuses what may be a grouped thousand (1,000 and 1.000), which only
// quantity.Read may judge.
func number(b []byte) (n figures, ok bool) {
	i := 0
	for ; i < len(b) && isDigit(b[i]); i++ {
		n.coef = n.coef*10 + int64(b[i]-'0')
		if i >= mostFigures {
			return n, false
		}
	}
	whole := i
	if i+1 < len(b) && (b[i] == '.' || b[i] == ',') && isDigit(b[i+1]) {
		n.point = true
		for i++; i < len(b) && isDigit(b[i]); i++ {
			n.coef = n.coef*10 + int64(b[i]-'0')
			if i > mostFigures {
				return n, false
			}
		}
		n.exp = whole + 1 - i
		if i+1 < len(b) && (b[i] == '.' || b[i] == ',') && isDigit(b[i+1]) || n.exp == -3 && whole > 0 && b[0] != '0' {
			return n, false
		}
	}
	n.size = i
	return n, i > 0
}

// current says what sort of voltage a rating is of.
type current uint8

const (
	unsaid current = iota
	direct
	alternate
)

// unit is what the letters behind a number stand for.
type unit struct {
	of      quantity.Unit
	exp     int
	current current
}

// unitOf reads a unit that means one thing wherever it stands behind a number,
// in whatever case where a case says nothing. Everything else is left to
// quantity.Read.
func unitOf(low, raw []byte) (u unit, ok bool) {
	switch string(low) {
	case "v", "volt", "volts":
		return unit{quantity.Volt, 0, unsaid}, true
	case "vdc", "vcc", "v=", "wv", "wvdc", "vdcw":
		return unit{quantity.Volt, 0, direct}, true
	case "vac", "vca", "v~", "vrms", "veff":
		return unit{quantity.Volt, 0, alternate}, true
	case "kv":
		return unit{quantity.Volt, 3, unsaid}, true
	case "a", "amp", "amps", "ampere", "amperes", "ampère", "ampères":
		return unit{quantity.Ampere, 0, unsaid}, true
	case "ma":
		return unit{quantity.Ampere, -3, unsaid}, true
	case "µa", "ua":
		return unit{quantity.Ampere, -6, unsaid}, true
	case "w", "watt", "watts":
		return unit{quantity.Watt, 0, unsaid}, true
	case "mw":
		return unit{quantity.Watt, -3, unsaid}, true
	case "hrs", "hr", "hour", "hours", "std", "stunden", "heures", "heure":
		return unit{quantity.Hour, 0, unsaid}, true
	case "°c", "°", "degc", "grad", "celsius":
		return unit{quantity.Celsius, 0, unsaid}, true
	case "%", "percent", "prozent":
		return unit{quantity.Percent, 0, unsaid}, true
	}
	return valueUnitOf(low, raw)
}

// valueUnitOf reads the units of values. A capital M is mega for ohms alone:
// no other value of a part is that large.
func valueUnitOf(low, raw []byte) (u unit, ok bool) {
	small := raw[0] == 'm'
	switch string(low) {
	case "µf", "uf":
		return unit{quantity.Farad, -6, unsaid}, true
	case "nf":
		return unit{quantity.Farad, -9, unsaid}, true
	case "pf":
		return unit{quantity.Farad, -12, unsaid}, true
	case "Ω", "ω", "ohm", "ohms":
		return unit{quantity.Ohm, 0, unsaid}, true
	case "kω", "kohm", "kohms":
		return unit{quantity.Ohm, 3, unsaid}, true
	case "milliohm", "milliohms":
		return unit{quantity.Ohm, -3, unsaid}, true
	case "mr":
		return unit{quantity.Ohm, -3, unsaid}, small
	case "mω", "mohm", "mohms":
		if small {
			return unit{quantity.Ohm, -3, unsaid}, true
		}
		return unit{quantity.Ohm, 6, unsaid}, true
	case "gω":
		return unit{quantity.Ohm, 9, unsaid}, true
	case "h", "hy":
		return unit{quantity.Henry, 0, unsaid}, true
	case "mh":
		return unit{quantity.Henry, -3, unsaid}, small
	case "µh", "uh":
		return unit{quantity.Henry, -6, unsaid}, true
	case "nh":
		return unit{quantity.Henry, -9, unsaid}, true
	case "hz":
		return unit{quantity.Hertz, 0, unsaid}, true
	case "khz":
		return unit{quantity.Hertz, 3, unsaid}, true
	case "mhz":
		return unit{quantity.Hertz, 6, unsaid}, true
	case "ghz":
		return unit{quantity.Hertz, 9, unsaid}, true
	}
	return u, false
}

// leastHours is the number from which a capital H behind it means hours: no
// choke has hundreds of henrys.
const leastHours = 500

// measure is a quantity that stands in the text with its unit.
type measure struct {
	q       quantity.Quantity
	label   string // the word that names it
	current current
	i, j    int // its words, label included
	doubts  []string
}

// deviation is a tolerance that stands in the text.
type deviation struct {
	t      quantity.Tolerance
	i, j   int
	doubts []string
}

// written reads a number with its unit from word i on; n is the number of
// words, 0 where there is none.
func (r *reader) written(i int) (m measure, n int) {
	low, raw := r.lower(i), r.cased(i)
	f, ok := number(low)
	if !ok {
		return m, 0
	}
	n = 1
	tail, cased := low[f.size:], raw[f.size:]
	if len(tail) == 0 {
		if !r.free(i+1, i+2) || r.words[i+1].stroke || r.words[i+1].equals {
			return m, 0
		}
		if i+2 < len(r.words) && r.words[i+2].equals {
			return m, 0 // a label: 5 h=11
		}
		n, tail, cased = 2, r.lower(i+1), r.cased(i+1)
	}
	u, ok := r.unit(f, tail, cased)
	if !ok {
		return m, 0
	}
	if m.q, ok = quantity.New(f.coef, f.exp+u.exp, u.of); !ok {
		return m, 0
	}
	m.current = u.current
	m.i, m.j = i, i+n
	r.afterUnit(&m, len(tail) == 2 && tail[0] == 0xC2)
	return m, m.j - i
}

// unit reads what stands behind a number, in the light of the number.
func (r *reader) unit(f figures, low, raw []byte) (unit, bool) {
	for len(low) > 1 && low[len(low)-1] == '.' {
		low, raw = low[:len(low)-1], raw[:len(raw)-1]
	}
	switch {
	case len(low) == 1 && low[0] == 'h' && !f.point && (raw[0] == 'h' || f.coef >= leastHours) && !r.coil():
		return unit{quantity.Hour, 0, unsaid}, true
	case len(low) == 1 && low[0] == 'c':
		return unit{quantity.Celsius, 0, unsaid}, !f.point && hotRating(f.coef)
	}
	return unitOf(low, raw)
}

// coil reports whether an inductor was asked for or named so far.
func (r *reader) coil() bool {
	return r.ctx.Class == "inductor" || slices.ContainsFunc(r.said, func(s said) bool { return s.act == sayClass && s.value == "inductor" })
}

// afterUnit takes what may stand behind a unit: ° C, V AC, V DC, V ~.
func (r *reader) afterUnit(m *measure, degree bool) {
	k := m.j
	if !r.free(k, k+1) || r.words[k].stroke {
		return
	}
	switch low := r.lower(k); {
	case degree && m.q.Unit() == quantity.Celsius && string(low) == "c":
		m.j++
	case m.q.Unit() != quantity.Volt:
	case string(low) == "ac" || string(low) == "~" || string(low) == "wechselspannung":
		m.current, m.j = alternate, m.j+1
	case string(low) == "dc" || string(low) == "-" || string(low) == "gleichspannung":
		m.current, m.j = direct, m.j+1
	}
}

// hotRating reports whether a number before a lone C is one of the usual upper
// temperatures of parts.
func hotRating(n int64) bool {
	switch n {
	case 60, 65, 70, 85, 95, 100, 105, 115, 120, 125, 130, 135, 140, 145, 150, 155, 175, 200:
		return true
	}
	return false
}
