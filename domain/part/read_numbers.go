package part

import (
	"boardlore/domain/quantity"
)

// figures is a number at the head of a text.
type figures struct {
	coef     int64
	exp      int
	size     int  // bytes
	point    bool // has a decimal sign
	negative bool
}

// mostFigures is the longest number that is read here.
const mostFigures = 12

// number reads an unsigned decimal at the head of b, with a point or a comma.
// It refuses what may be a grouped thousand (1,000 and 1.000), which only
// quantity.Read may judge.
func number(b []byte) (n figures, ok bool) {
	i, whole, frac := 0, 0, 0
	for i < len(b) && isDigit(b[i]) {
		n.coef = n.coef*10 + int64(b[i]-'0')
		i++
		if whole++; whole > mostFigures {
			return n, false
		}
	}
	if i+1 < len(b) && (b[i] == '.' || b[i] == ',') && isDigit(b[i+1]) {
		n.point = true
		i++
		for i < len(b) && isDigit(b[i]) {
			n.coef = n.coef*10 + int64(b[i]-'0')
			i++
			if frac++; whole+frac > mostFigures {
				return n, false
			}
		}
		if i+1 < len(b) && (b[i] == '.' || b[i] == ',') && isDigit(b[i+1]) {
			return n, false
		}
		if frac == 3 && whole > 0 && b[0] != '0' {
			return n, false
		}
	}
	n.exp, n.size = -frac, i
	return n, whole+frac > 0
}

// unitOf reads a unit that means one thing wherever it stands behind a number.
// Everything else is left to quantity.Read.
func unitOf(raw []byte) (u quantity.Unit, exp int, ok bool) {
	switch string(raw) {
	case "V", "v", "VDC", "Vdc", "vdc", "volt", "volts", "Volt", "Volts":
		return quantity.Volt, 0, true
	case "kV":
		return quantity.Volt, 3, true
	case "mV":
		return quantity.Volt, -3, true
	case "A":
		return quantity.Ampere, 0, true
	case "mA":
		return quantity.Ampere, -3, true
	case "µA", "uA":
		return quantity.Ampere, -6, true
	case "W", "w", "watt", "Watt", "watts":
		return quantity.Watt, 0, true
	case "mW":
		return quantity.Watt, -3, true
	case "kW":
		return quantity.Watt, 3, true
	case "h", "hrs", "hr", "hours", "Std", "std", "Stunden", "heures":
		return quantity.Hour, 0, true
	case "°C", "°c", "°", "℃", "degC", "deg":
		return quantity.Celsius, 0, true
	case "%":
		return quantity.Percent, 0, true
	}
	return valueUnitOf(raw)
}

func valueUnitOf(raw []byte) (u quantity.Unit, exp int, ok bool) {
	switch string(raw) {
	case "µF", "uF", "µf", "uf":
		return quantity.Farad, -6, true
	case "nF", "nf":
		return quantity.Farad, -9, true
	case "pF", "pf":
		return quantity.Farad, -12, true
	case "Ω", "ohm", "Ohm", "ohms", "Ohms":
		return quantity.Ohm, 0, true
	case "mΩ", "mOhm", "mohm":
		return quantity.Ohm, -3, true
	case "kΩ", "kOhm", "kohm", "KΩ":
		return quantity.Ohm, 3, true
	case "MΩ", "MOhm":
		return quantity.Ohm, 6, true
	case "GΩ":
		return quantity.Ohm, 9, true
	case "H":
		return quantity.Henry, 0, true
	case "mH":
		return quantity.Henry, -3, true
	case "µH", "uH":
		return quantity.Henry, -6, true
	case "nH":
		return quantity.Henry, -9, true
	case "Hz":
		return quantity.Hertz, 0, true
	case "kHz", "khz", "KHz":
		return quantity.Hertz, 3, true
	case "MHz":
		return quantity.Hertz, 6, true
	case "GHz":
		return quantity.Hertz, 9, true
	}
	return quantity.None, 0, false
}

// written reads a number with its unit from word i on, in one word or two.
func (r *reader) written(i int) (q quantity.Quantity, n int) {
	raw := r.cased(i)
	f, ok := number(raw)
	if !ok {
		return q, 0
	}
	rest := raw[f.size:]
	n = 1
	if len(rest) == 0 {
		if !r.free(i+1, i+2) || r.words[i+1].joined {
			return q, 0
		}
		rest, n = r.cased(i+1), 2
		if string(rest) == "°" && r.free(i+2, i+3) && (string(r.cased(i+2)) == "C") {
			n = 3
		}
	}
	u, exp, ok := unitOf(trimPoint(rest))
	if !ok || u == quantity.Farad && r.ctx.Language != "" && f.point {
		return q, 0
	}
	if q, ok = quantity.New(f.coef, f.exp+exp, u); !ok {
		return q, 0
	}
	return q, n
}

// number takes the ratings, and notes where the value stands with its unit.
func (r *reader) number(i int) int {
	switch r.words[i].kind {
	case plain:
	case labelESR, labelRipple, labelCurrent, labelVoltage:
		return r.labelBefore(i)
	default:
		return 0
	}
	raw := r.cased(i)
	c := raw[0]
	switch {
	case isDigit(c) || c == '.' || c == ',':
		if q, n := r.written(i); n > 0 {
			return r.rating(q, i, i+n)
		}
		return r.odd(i)
	case c == '±' || c == '+' || c == '-' || c == 0xC2: // the sign ± begins with this byte
		return r.signed(i)
	}
	return r.wordFirst(i)
}

// rating gives a quantity to the member that it belongs to.
func (r *reader) rating(q quantity.Quantity, i, j int) int {
	p := &r.out.Part
	taken := false
	switch q.Unit() {
	case quantity.Volt:
		if p.Class == "varistor" && p.Value.IsZero() && r.unit.IsZero() {
			return r.valueFound(q, i, j)
		}
		taken = r.assign(&p.Voltage, q, "voltage", i, j)
	case quantity.Ampere:
		taken = r.ampere(q, i, j)
	case quantity.Watt:
		taken = r.assign(&p.Power, q, "power", i, j)
	case quantity.Hour:
		taken = r.assign(&p.Endurance, q, "endurance", i, j)
	case quantity.Celsius:
		taken = r.assign(&p.TemperatureMax, q, "temperature_max", i, j)
	case quantity.Percent:
		if t, ok := quantity.Symmetric(q); ok {
			taken = r.setTolerance(t, i, j)
		}
	case quantity.Ohm:
		if r.wordKind(j) == labelESR || p.Class == "capacitor" {
			return r.esr(q, i, j)
		}
		return r.valueFound(q, i, j)
	default:
		return r.valueFound(q, i, j)
	}
	if taken {
		return j - i
	}
	return 0
}

func (r *reader) wordKind(i int) wordKind {
	if i < 0 || i >= len(r.words) || r.words[i].used {
		return plain
	}
	return r.words[i].kind
}

func (r *reader) ampere(q quantity.Quantity, i, j int) bool {
	p := &r.out.Part
	if r.wordKind(j) == labelRipple {
		return r.assign(&p.Ripple, q, "ripple", i, j+1)
	}
	if p.Class == "capacitor" {
		if r.hasField("ripple") < 0 && r.hasField("current") < 0 {
			r.doubt("A current on a capacitor is read as its ripple current.")
		}
		return r.assign(&p.Ripple, q, "ripple", i, j)
	}
	return r.assign(&p.Current, q, "current", i, j)
}

func (r *reader) esr(q quantity.Quantity, i, j int) int {
	if r.wordKind(j) == labelESR {
		j++
	} else {
		r.doubt("A resistance on a capacitor is read as its series resistance.")
	}
	if r.assign(&r.out.Part.ESRMax, q, "esr_max", i, j) {
		return j - i
	}
	return 0
}

// labelBefore takes ESR 0.12 Ω and ripple 1.2 A.
func (r *reader) labelBefore(i int) int {
	if !r.free(i+1, i+2) {
		return 0
	}
	kind := r.words[i].kind
	q, n := r.written(i + 1)
	if n == 0 {
		q, n = r.byKind(i+1, labelKinds[kind])
	}
	p := &r.out.Part
	to, member := &p.Voltage, "voltage"
	switch kind {
	case labelESR:
		to, member = &p.ESRMax, "esr_max"
	case labelRipple:
		to, member = &p.Ripple, "ripple"
	case labelCurrent:
		to, member = &p.Current, "current"
	}
	if n == 0 || q.Unit() != labelKinds[kind].Unit() || !r.assign(to, q, member, i, i+1+n) {
		return 0
	}
	return n + 1
}

var labelKinds = [...]quantity.Kind{labelESR: quantity.Resistance, labelRipple: quantity.Current, labelCurrent: quantity.Current,
	labelVoltage: quantity.Voltage}

// byKind reads one word as a quantity of a kind, where it reads one way.
func (r *reader) byKind(i int, k quantity.Kind) (quantity.Quantity, int) {
	found, err := quantity.Read(r.source(i, i+1), k, r.listed())
	if err != nil || len(found) != 1 {
		return quantity.Quantity{}, 0
	}
	r.out.Doubts = append(r.out.Doubts, found[0].Doubts...)
	return found[0].Quantity, 1
}

// listed is the context for a rating that stands in a line.
func (r *reader) listed() quantity.Context {
	c := r.ctx
	c.Class, c.Found = r.out.Part.Class, "list"
	return c
}

// assign sets a rating. A second, different value of the same rating is left
// over with a doubt: nothing is overwritten silently.
func (r *reader) assign(to *quantity.Quantity, q quantity.Quantity, member string, i, j int) bool {
	if !to.IsZero() && *to != q {
		r.doubt("The text gives %s twice: %s and %s; the first is kept.", member, to.String(), q.String())
		return false
	}
	*to = q
	r.note(member, q.String(), i, j)
	return true
}

func (r *reader) setTolerance(t quantity.Tolerance, i, j int) bool {
	p := &r.out.Part
	if !p.Tolerance.IsZero() && p.Tolerance != t {
		r.doubt("The text gives the tolerance twice: %s and %s; the first is kept.", p.Tolerance.String(), t.String())
		return false
	}
	p.Tolerance = t
	r.note("tolerance", t.String(), i, j)
	return true
}

// valueFound keeps the first value with a unit; the words are used once it is
// clear that the class has such a value.
func (r *reader) valueFound(q quantity.Quantity, i, j int) int {
	if r.unit.IsZero() {
		r.unit, r.value = q, [2]int{i, j}
	}
	return j - i
}

// odd takes ratings in less usual writing: 6V3, 275V~, 1/4W, 105C, -20/+80 %.
func (r *reader) odd(i int) int {
	low := r.lower(i)
	n, ok := number(low)
	if !ok {
		n.size = 0
	}
	rest := low[n.size:]
	switch {
	case n.size > 0 && len(rest) > 0 && rest[0] == 'v', len(rest) > 1 && rest[0] == 'k' && rest[1] == 'v':
		return r.volts(i, 1)
	case len(rest) == 0 && r.free(i+1, i+2) && voltWord(r.lower(i+1)):
		return r.volts(i, 2)
	case len(rest) == 0 && r.free(i+1, i+2):
		return r.longNumber(i)
	case string(rest) == "wv", string(rest) == "wvdc", string(rest) == "volts":
		return r.volts(i, 1)
	case n.size > 0 && !n.point && string(rest) == "c" && hotRating(n.coef):
		q, _ := quantity.New(n.coef, n.exp, quantity.Celsius)
		return r.rating(q, i, i+1)
	case len(low) > 2 && low[0] == '1' && low[1] == '/' || low[0] == 0xC2: // 1/4W, ¼W
		return r.watts(i)
	case rangeOfHeat(low):
		return r.heat(i)
	}
	return 0
}

// longNumber takes a rating whose number only quantity.Read may judge, such as
// 1.234 kV.
func (r *reader) longNumber(i int) int {
	u, _, ok := unitOf(r.cased(i + 1))
	if !ok {
		return 0
	}
	for _, k := range [...]quantity.Kind{quantity.Voltage, quantity.Current, quantity.Power, quantity.Duration, quantity.Temperature} {
		if k.Unit() != u {
			continue
		}
		found, err := quantity.Read(r.source(i, i+2), k, r.listed())
		if err == nil && len(found) == 1 {
			r.out.Doubts = append(r.out.Doubts, found[0].Doubts...)
			return r.rating(found[0].Quantity, i, i+2)
		}
	}
	return 0
}

func voltWord(low []byte) bool {
	switch string(trimPoint(low)) {
	case "vdc", "vac", "v~", "v-", "wv", "wvdc", "vcc", "vca", "volts", "volt":
		return true
	}
	return false
}

// hotRating reports whether a number before a lone C is one of the usual upper
// temperatures of parts.
func hotRating(n int64) bool {
	switch n {
	case 70, 85, 95, 100, 105, 115, 125, 130, 135, 140, 150, 155, 175, 200:
		return true
	}
	return false
}

func (r *reader) volts(i, n int) int {
	if n == 1 && r.free(i+1, i+2) && (voltTail(r.lower(i + 1))) {
		n = 2
	}
	found, err := quantity.Read(r.source(i, i+n), quantity.Voltage, r.listed())
	if err != nil || len(found) != 1 {
		return 0
	}
	p := &r.out.Part
	if !r.assign(&p.Voltage, found[0].Quantity, "voltage", i, i+n) {
		return 0
	}
	last := r.lower(i + n - 1)
	if k := len(last); p.SafetyClass != "" || p.Class == "fuse" || p.Class == "varistor" {
		return n // always rated in alternating volts
	} else if last[k-1] == '~' || k > 1 && string(last[k-2:]) == "ac" || k > 1 && string(last[k-2:]) == "ca" {
		r.texts = append(r.texts, piece{r.words[i].from, "AC"})
		r.note("text", "AC", i, i+n)
	}
	return n
}

func voltTail(low []byte) bool {
	return string(low) == "ac" || string(low) == "dc" || string(low) == "~"
}

func (r *reader) watts(i int) int {
	n := 1
	if low := r.lower(i); low[len(low)-1] != 'w' && r.free(i+1, i+2) {
		switch string(r.lower(i + 1)) {
		case "w", "watt", "watts":
			n = 2
		}
	}
	if low := r.lower(i); n == 1 && low[len(low)-1] != 'w' && low[len(low)-1] != 't' {
		return 0
	}
	found, err := quantity.Read(r.source(i, i+n), quantity.Power, r.listed())
	if err != nil || len(found) != 1 || !r.assign(&r.out.Part.Power, found[0].Quantity, "power", i, i+n) {
		return 0
	}
	return n
}

// signed takes tolerances and ranges of temperature.
func (r *reader) signed(i int) int {
	if rangeOfHeat(r.lower(i)) {
		return r.heat(i)
	}
	for n := 4; n > 0; n-- {
		if !r.free(i, i+n) {
			continue
		}
		if n > 1 && !toleranceWords(r, i+1, i+n) {
			continue
		}
		found, err := quantity.Read(r.source(i, i+n), quantity.ToleranceKind, r.listed())
		if err == nil && len(found) == 1 && !found[0].Tolerance.IsZero() && r.setTolerance(found[0].Tolerance, i, i+n) {
			r.out.Doubts = append(r.out.Doubts, found[0].Doubts...)
			return n
		}
	}
	return r.heat(i)
}

// toleranceWords reports whether words from i on continue a tolerance that
// begins before them: a unit, a second deviation, or the figure after a sign.
func toleranceWords(r *reader, i, j int) bool {
	for k := i; k < j; k++ {
		low := r.lower(k)
		switch {
		case string(low) == "%" || string(low) == "pf" || low[0] == '%' || low[0] == '+' || low[0] == '-' || low[0] == '/':
			continue
		case !signOnly(r.lower(k - 1)):
			return false
		}
		if n, ok := number(low); !ok || n.size < len(low) && string(low[n.size:]) != "%" && string(low[n.size:]) != "pf" {
			return false
		}
	}
	return true
}

// signOnly reports whether a word is the sign of a deviation without figures.
func signOnly(low []byte) bool {
	return !hasDigit(low) && (low[0] == '+' || low[0] == '-' || low[0] == '/' || low[0] == 0xC2)
}

// rangeOfHeat recognises -40~+105°C, -55..125°C, -40/+105: two temperatures.
func rangeOfHeat(low []byte) bool {
	if len(low) == 0 || low[0] != '-' && !isDigit(low[0]) {
		return false
	}
	i := 1
	for i < len(low) && isDigit(low[i]) {
		i++
	}
	if i < len(low) && (low[i] == '~' || low[i] == '.' && i+1 < len(low) && low[i+1] == '.') {
		return true
	}
	return low[0] == '-' && i < len(low) && (low[i] == '/' || low[i] == '-') && i > 1 && !hasPercent(low)
}

func hasPercent(low []byte) bool {
	for _, c := range low {
		if c == '%' {
			return true
		}
	}
	return false
}

// heat takes the upper end of a range of temperature; the lower end has no
// member, which a doubt tells.
func (r *reader) heat(i int) int {
	low := r.lower(i)
	start := len(low)
	for start > 0 && !isDigit(low[start-1]) {
		start--
	}
	stop := start
	for start > 0 && isDigit(low[start-1]) {
		start--
	}
	tail := string(low[stop:])
	n := 1
	if tail == "" && r.free(i+1, i+2) {
		if next := string(r.lower(i + 1)); next == "°c" || next == "°" {
			tail, n = next, 2
		}
	}
	if tail != "°c" && tail != "°" && tail != "c" && tail != "℃" && !(tail == "" && low[0] == '-') || stop-start < 2 || stop-start > 3 {
		return 0
	}
	f, _ := number(low[start:stop])
	q, ok := quantity.New(f.coef, 0, quantity.Celsius)
	if !ok || tail == "" && !hotRating(f.coef) || !r.assign(&r.out.Part.TemperatureMax, q, "temperature_max", i, i+n) {
		return 0
	}
	if start > 1 {
		r.doubt("Of the range %s only the upper end is kept.", r.source(i, i+n))
	}
	return n
}

// wordFirst takes a rating whose word stands before it: ESR0.1Ω, W.V. 35.
func (r *reader) wordFirst(i int) int {
	low := r.lower(i)
	if len(low) > 4 && string(low[:3]) == "esr" && isDigit(low[3]) {
		raw := r.cased(i)[3:]
		if f, ok := number(raw); ok {
			if u, exp, ok := unitOf(raw[f.size:]); ok && u == quantity.Ohm {
				if q, ok := quantity.New(f.coef, f.exp+exp, u); ok && r.assign(&r.out.Part.ESRMax, q, "esr_max", i, i+1) {
					return 1
				}
			}
		}
	}
	if (string(low) == "wv" || string(low) == "w.v.") && r.free(i+1, i+2) {
		found, err := quantity.Read(r.source(i, i+2), quantity.Voltage, r.listed())
		if err == nil && len(found) == 1 && r.assign(&r.out.Part.Voltage, found[0].Quantity, "voltage", i, i+2) {
			return 2
		}
	}
	return 0
}
