package part

import (
	"strconv"

	"boardlore/domain/quantity"
)

// code takes words that are codes: dielectrics, safety classes, fuses, chip
// and case sizes. Codes of cells are marked for later, since what the text
// spells out goes before what the code implies.
func (r *reader) code(i int) int {
	if r.words[i].kind != plain {
		return 0
	}
	low := r.lower(i)
	p := &r.out.Part
	capacitor := p.Class == "" || p.Class == "capacitor"
	switch {
	case capacitor && p.SafetyClass == "" && isSafety(low):
		p.SafetyClass = upper(low)
		r.note("safety_class", p.SafetyClass, i, i+1)
	case capacitor && p.Dielectric == "" && r.dielectricCode(low, i):
	case p.Class == "" || p.Class == "cell":
		if _, ok := cellOf(low); ok && r.cell == 0 {
			r.cell = i + 1
			p.Class = "cell"
			r.note("class", "cell", i, i+1)
			break
		}
		return r.fuseCode(low, i)
	default:
		return r.fuseCode(low, i)
	}
	return 1
}

func upper(low []byte) string {
	var b [maxWord]byte
	n := copy(b[:], low)
	for i := range b[:n] {
		if b[i] >= 'a' && b[i] <= 'z' {
			b[i] -= 'a' - 'A'
		}
	}
	return string(b[:n])
}

// isSafety recognises X2, Y1 and pairs such as X1/Y2.
func isSafety(low []byte) bool {
	one := func(b []byte) bool {
		return b[0] == 'x' && b[1] >= '1' && b[1] <= '3' || b[0] == 'y' && b[1] >= '1' && b[1] <= '4'
	}
	switch len(low) {
	case 2:
		return one(low)
	case 4:
		return one(low[:2]) && one(low[2:])
	case 5:
		return low[2] == '/' && one(low[:2]) && one(low[3:])
	}
	return false
}

// dielectricCode takes an EIA code of a ceramic.
func (r *reader) dielectricCode(low []byte, i int) bool {
	var name string
	switch string(low) {
	case "c0g", "cog", "np0", "npo":
		name = "C0G"
	case "x7r":
		name = "X7R"
	case "x5r":
		name = "X5R"
	case "y5v":
		name = "Y5V"
	case "z5u":
		name = "Z5U"
	default:
		if _, ok := class2(low); ok {
			name = upper(low)
		} else if d, ok := dielectricNames[string(low)]; ok && d.class == 1 && len(low) == 3 && low[0] != 'n' && low[0] != 'p' {
			name = upper(low)
		} else {
			return false
		}
	}
	r.out.Part.Dielectric = name
	r.note("dielectric", name, i, i+1)
	return true
}

// fuseCode takes T630mA, F1A, 2AT and, beside a current or in a fuse, the
// letters alone.
func (r *reader) fuseCode(low []byte, i int) int {
	p := &r.out.Part
	if p.Class != "" && p.Class != "fuse" || p.FuseSpeed != "" && !p.Current.IsZero() {
		return 0
	}
	raw := r.cased(i)
	n := speedLetters(raw)
	if n > 0 && n < len(raw) {
		if q, ok := amperes(raw[n:]); ok && p.Current.IsZero() && p.FuseSpeed == "" {
			r.fuseFound(string(raw[:n]), q, i, i+1)
			r.breakingLetter(i + 1)
			return 1
		}
		return 0
	}
	if n == len(raw) {
		return r.speedAlone(string(raw), i)
	}
	// 2AT, 630mAT: the letter stands behind.
	for k := len(raw) - 1; k > 0 && k >= len(raw)-2; k-- {
		if speedLetters(raw[k:]) == len(raw)-k && raw[k-1] == 'A' {
			if q, ok := amperes(raw[:k]); ok && p.Current.IsZero() && p.FuseSpeed == "" {
				r.fuseFound(string(raw[k:]), q, i, i+1)
				return 1
			}
		}
	}
	return 0
}

// speedAlone takes a characteristic's letter beside a current.
func (r *reader) speedAlone(letter string, i int) int {
	p := &r.out.Part
	if p.FuseSpeed != "" {
		return 0
	}
	for _, k := range [2]int{i + 1, i - 1} {
		if !r.free(k, k+1) {
			continue
		}
		q, ok := amperes(r.cased(k))
		n := 1
		if !ok && k > i && r.free(k, k+2) {
			if q, ok = amperes(append(append(make([]byte, 0, 16), r.cased(k)...), r.cased(k+1)...)); ok {
				n = 2
			}
		}
		if !ok || !p.Current.IsZero() {
			continue
		}
		p.Current = q
		r.note("current", q.String(), k, k+n)
		p.Class, p.FuseSpeed = "fuse", letter
		r.note("fuse_speed", letter, i, i+1)
		r.impliedClass("fuse", i, i+1)
		r.breakingLetter(max(i+1, k+n))
		return 1
	}
	if p.Class == "fuse" {
		p.FuseSpeed = letter
		r.note("fuse_speed", letter, i, i+1)
		return 1
	}
	return 0
}

func (r *reader) fuseFound(speed string, q quantity.Quantity, i, j int) {
	p := &r.out.Part
	p.Class, p.FuseSpeed, p.Current = "fuse", speed, q
	r.impliedClass("fuse", i, j)
	r.note("fuse_speed", speed, i, j)
	r.note("current", q.String(), i, j)
}

// impliedClass records the class that a code implies, where no word said it.
func (r *reader) impliedClass(class string, i, j int) {
	if r.hasField("class") < 0 && r.ctx.Class == "" {
		r.note("class", class, i, j)
	}
}

// breakingLetter takes the H, L or E that follows a fuse's current.
func (r *reader) breakingLetter(i int) {
	if !r.free(i, i+1) {
		return
	}
	switch raw := r.cased(i); string(raw) {
	case "H", "L", "E":
		r.keep(string(raw), i, i+1)
	}
}

// speedLetters counts the capital letters of a characteristic at the head of b.
func speedLetters(b []byte) int {
	switch {
	case len(b) > 1 && (b[0] == 'T' || b[0] == 'F') && b[1] == b[0]:
		return 2
	case len(b) > 0 && (b[0] == 'T' || b[0] == 'F' || b[0] == 'M'):
		return 1
	}
	return 0
}

// amperes reads a current written close: 630mA, 1A, 0,63A, 3A15.
func amperes(b []byte) (quantity.Quantity, bool) {
	n, ok := number(b)
	if !ok || n.size == len(b) {
		return quantity.Quantity{}, false
	}
	exp := 0
	rest := b[n.size:]
	switch {
	case len(rest) > 1 && rest[0] == 'A' && isDigit(rest[1]): // 3A15
		frac, ok := number(rest[1:])
		if !ok || frac.size != len(rest)-1 || frac.point || n.point {
			return quantity.Quantity{}, false
		}
		coef := n.coef
		for range frac.size {
			coef *= 10
		}
		return quantity.New(coef+frac.coef, -frac.size, quantity.Ampere)
	case string(rest) == "A":
	case string(rest) == "mA":
		exp = -3
	default:
		return quantity.Quantity{}, false
	}
	q, ok := quantity.New(n.coef, n.exp+exp, quantity.Ampere)
	return q, ok && q.Sign() > 0
}

// cellCode is what a cell's code implies.
type cellCode struct {
	chemistry        string
	rechargeable     bool
	volts            string
	diameter, height float64 // mm, 0 where the code does not say
	byRule           bool    // the size follows from the name rule, not from a table
}

// cellLetters are the families by the letters that begin their codes, longest
// first. Sources: IEC 60086 for primary cells; makers' tables for rechargeable
// lithium coins.
var cellLetters = []struct {
	letters, chemistry, volts string
	rechargeable              bool
}{
	{"lir", "LIR", "3.6 V", true}, {"cr", "CR", "3 V", false}, {"br", "BR", "3 V", false}, {"er", "ER", "3.6 V", false},
	{"vl", "VL", "3 V", true}, {"ml", "ML", "3 V", true}, {"ms", "MS", "3 V", true}, {"lr", "LR", "1.5 V", false}, {"sr", "SR", "1.55 V", false},
}

// cellSizes are bodies that the name rule does not give, in mm. Sources: public
// size charts, makers' tables.
var cellSizes = map[string][2]float64{
	"44": {11.6, 5.4}, "1154": {11.6, 5.4}, "43": {11.6, 4.2}, "1142": {11.6, 4.2}, "41": {7.9, 3.6}, "736": {7.9, 3.6},
	"516": {5.8, 1.6}, "621": {6.8, 2.1}, "927": {9.5, 2.7}, "1216": {12.5, 1.6}, "1220": {12.5, 2}, "1225": {12.5, 2.5},
	"2430": {24.5, 3}, "2450": {24.5, 5}, "2477": {24.5, 7.7}, "2032": {20, 3.2}, "2025": {20, 2.5}, "2016": {20, 1.6},
	"1620": {16, 2}, "1632": {16, 3.2}, "3032": {30, 3.2}, "2325": {23, 2.5}, "2330": {23, 3}, "2320": {23, 2}, "2020": {20, 2},
	"14250": {14.5, 25},
}

// cellAliases are the traders' names of button cells.
var cellAliases = map[string]string{"ag13": "lr44", "a76": "lr44", "ag12": "lr43", "ag3": "lr41", "357": "sr44"}

// cellOf reads a cell's code such as CR2032, LR44 or BR1225.
func cellOf(low []byte) (c cellCode, ok bool) {
	if len(low) < 3 || len(low) > 16 {
		return c, false
	}
	name := low
	if alias := cellAliases[string(low)]; alias != "" {
		if string(low) == "357" {
			return c, false // a bare number is no code
		}
		name = []byte(alias)
	}
	for _, f := range cellLetters {
		if len(name) <= len(f.letters) || string(name[:len(f.letters)]) != f.letters {
			continue
		}
		digits := name[len(f.letters):]
		n := 0
		for n < len(digits) && isDigit(digits[n]) {
			n++
		}
		if n < 2 || n > 5 || n == 2 && f.chemistry != "LR" && f.chemistry != "SR" || n < len(digits) && !isLetter(digits[n]) && digits[n] != '-' && digits[n] != '/' {
			return c, false
		}
		c = cellCode{chemistry: f.chemistry, rechargeable: f.rechargeable, volts: f.volts}
		if f.chemistry == "BR" && string(digits[:n]) == "2032" {
			c.volts = "2.8 V"
		}
		c.size(digits[:n])
		return c, true
	}
	return c, false
}

// size sets the body by table or by the name rule of IEC 60086: diameter in
// whole millimetres, height in tenths.
func (c *cellCode) size(digits []byte) {
	if s, ok := cellSizes[string(digits)]; ok {
		c.diameter, c.height = s[0], s[1]
		return
	}
	if len(digits) != 4 {
		return
	}
	n, err := strconv.Atoi(string(digits))
	if err != nil || n < 1000 || n%100 == 0 {
		return
	}
	c.diameter, c.height, c.byRule = float64(n/100), float64(n%100)/10, true
}

// cellDefaults fills what a cell's code implies and the text did not spell out.
func (r *reader) cellDefaults() {
	if r.cell == 0 {
		return
	}
	i := r.cell - 1
	c, _ := cellOf(r.lower(i))
	p, b := &r.out.Part, &r.out.Body
	if p.Class != "cell" {
		return
	}
	if p.Chemistry == "" {
		p.Chemistry = c.chemistry
		r.note("chemistry", c.chemistry, i, i+1)
	}
	if p.Voltage.IsZero() {
		p.Voltage, _ = quantity.Parse(c.volts)
		r.note("voltage", c.volts, i, i+1)
	}
	if p.Rechargeable == nil {
		p.Rechargeable = &c.rechargeable
		r.note("rechargeable", strconv.FormatBool(c.rechargeable), i, i+1)
	} else if *p.Rechargeable != c.rechargeable {
		r.doubt("The text says otherwise, but by its code a %s cell is %s.", c.chemistry, map[bool]string{true: "rechargeable", false: "a primary cell"}[c.rechargeable])
	}
	if c.diameter != 0 && b.Diameter == 0 && b.Height == 0 {
		b.Diameter, b.Height = c.diameter, c.height
		if c.diameter > c.height && b.Shape == "" {
			b.Shape = "coin"
			r.note("body.shape", "coin", i, i+1)
		}
		r.note("body.diameter_mm", millimetres(c.diameter), i, i+1)
		r.note("body.height_mm", millimetres(c.height), i, i+1)
		if c.byRule {
			r.doubt("The size of %s follows from the name rule (IEC 60086); some bodies are half a millimetre larger.", r.source(i, i+1))
		}
	}
	r.keep(r.source(i, i+1), i, i+1)
}
