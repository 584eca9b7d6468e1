package part

import (
	"strings"

	"boardlore/domain/quantity"
)

// code is a word that means something by its form.
type code struct {
	what   codeKind
	name   string // as the member holds it
	class  string // that the code says
	q      quantity.Quantity
	i, j   int
	sure   bool
	metric bool
}

type codeKind uint8

const (
	safetyCode     codeKind = iota + 1
	dielectricCode          // not sure: it may be a value too
	fuseCode                // T630mA; name: the characteristic, q: the current
	cellTypeCode
	typeCode // a registered type number
	chipCode
	caseCode   // case D
	letterCode // a letter alone
	chargeCode // 60 mAh
	quotedCode // a text in quotes behind the label of its member, which is the name
)

// codeAt notes the code that word i is.
func (r *reader) codeAt(i int) int {
	low, raw := r.lower(i), r.cased(i)
	if n := r.fuseAt(i); n > 0 {
		return n
	}
	if isDigit(low[0]) {
		if n := r.chipAt(i); n > 0 {
			return n
		}
	}
	c := code{i: i, j: i + 1}
	switch {
	case isSafety(low):
		c.what, c.name = safetyCode, upper(low)
	case r.letterAlone(&c, raw):
	case dielectricName(&c, low, raw):
	case r.cellAt(&c, low):
	case r.typeAt(&c, low, raw):
	default:
		return 0
	}
	r.codes = append(r.codes, c)
	r.take(c.i, c.j)
	return c.j - c.i
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
	switch len(low) {
	case 2:
		return low[0] == 'x' && low[1] >= '1' && low[1] <= '3' || low[0] == 'y' && low[1] >= '1' && low[1] <= '4'
	case 4:
		return isSafety(low[:2]) && isSafety(low[2:])
	case 5:
		return low[2] == '/' && isSafety(low[:2]) && isSafety(low[3:])
	}
	return false
}

// letterAlone notes a letter that may be a fuse's characteristic, its breaking
// capacity or a tolerance.
func (r *reader) letterAlone(c *code, raw []byte) bool {
	if len(raw) > 2 || raw[0] >= 0x80 || !isLetter(raw[0]) {
		return false
	}
	if len(raw) == 2 && (raw[0]|0x20 != raw[1]|0x20 || raw[0]|0x20 != 't' && raw[0]|0x20 != 'f') {
		return false
	}
	c.what, c.name = letterCode, string(raw)
	return true
}

// dielectricName notes an EIA code of a ceramic. Old slopes such as N750 and
// Japanese letters are not sure: they may be a value or a word.
func dielectricName(c *code, low, raw []byte) bool {
	c.what, c.sure = dielectricCode, true
	switch string(low) {
	case "c0g", "cog", "np0", "npo":
		c.name = "C0G"
		return true
	case "x7r":
		c.name = "X7R"
		return true
	case "x5r":
		c.name = "X5R"
		return true
	}
	if _, ok := class2(low); ok {
		c.name = upper(low)
		return true
	}
	d, ok := dielectricNames[string(low)]
	if !ok || d.class == 0 || raw[0] >= 'a' && raw[0] <= 'z' {
		return false
	}
	c.name, c.sure = upper(low), len(low) == 3 && low[0] != 'n' && low[0] != 'p' && !isDigit(low[0])
	return true
}

func (r *reader) cellAt(c *code, low []byte) bool {
	if _, ok := cellOf(low); !ok {
		return false
	}
	c.what, c.class, c.sure = cellTypeCode, "cell", true
	return true
}

// fuseAt notes T630mA, T 630 mA, F1AL250V and 2AT.
func (r *reader) fuseAt(i int) int {
	c := cursor{r: r, k: i}
	speed := ""
	switch {
	case c.skip("tt"):
		speed = "TT"
	case c.skip("ff"):
		speed = "FF"
	case c.skip("t"):
		speed = "T"
	case c.skip("f"):
		speed = "F"
	case c.skip("m"):
		speed = "M"
	}
	if speed != "" && c.ended() && len(r.lower(i)) > len(speed) {
		return 0
	}
	q, ok := c.amperes()
	if !ok || q.Sign() <= 0 {
		return 0
	}
	k := code{what: fuseCode, class: "fuse", name: speed, q: q, i: i, sure: true}
	if speed == "" {
		if k.name = c.speedBehind(); k.name == "" {
			return 0
		}
	}
	letter, volts := c.breaking()
	if !c.ended() {
		return 0
	}
	k.j = c.end()
	r.codes = append(r.codes, k)
	r.take(i, k.j)
	if letter != "" {
		r.texts = append(r.texts, piece{r.point[r.words[c.k].lo], letter})
	}
	if !volts.IsZero() {
		r.measures = append(r.measures, measure{q: volts, current: alternate, i: i, j: k.j})
	}
	return k.j - i
}

// amperes takes a current written close or with a blank: 630mA, 1 A, 3A15.
func (c *cursor) amperes() (q quantity.Quantity, ok bool) {
	f, ok := c.number()
	if !ok {
		return q, false
	}
	exp := f.exp
	switch {
	case c.skip("ma"):
		exp -= 3
	case c.skip("a"):
		if low := c.r.lower(c.k); !f.point && c.at < len(low) && isDigit(low[c.at]) {
			frac, ok := number(low[c.at:])
			if !ok || frac.point || frac.size > 3 {
				return q, false
			}
			c.at += frac.size
			for range frac.size {
				f.coef *= 10
			}
			f.coef += frac.coef
			exp -= frac.size
		}
	default:
		return q, false
	}
	return quantity.New(f.coef, exp, quantity.Ampere)
}

// speedBehind takes the characteristic that stands against the current: 2AT.
func (c *cursor) speedBehind() string {
	if c.ended() {
		return ""
	}
	for _, s := range [...][2]string{{"tt", "TT"}, {"ff", "FF"}, {"t", "T"}, {"f", "F"}, {"m", "M"}} {
		was := *c
		if c.skip(s[0]) {
			if c.ended() {
				return s[1]
			}
			*c = was
		}
	}
	return ""
}

// breaking takes what IEC 60127-1 prints behind the current without a blank:
// the letter of the breaking capacity, and the voltage.
func (c *cursor) breaking() (letter string, volts quantity.Quantity) {
	if c.ended() {
		return "", volts
	}
	low := c.r.lower(c.k)
	switch low[c.at] {
	case 'l', 'h', 'e':
		letter = upper(low[c.at : c.at+1])
		c.at++
	}
	f, ok := number(low[c.at:])
	if !ok || c.at+f.size == len(low) {
		return letter, volts
	}
	tail := low[c.at+f.size:]
	if u, ok := unitOf(tail, tail); ok && u.of == quantity.Volt && u.exp == 0 {
		volts, _ = quantity.New(f.coef, f.exp, quantity.Volt)
		c.at = len(low)
	}
	return letter, volts
}

// typeClass gives the class of a type number that a public register assigned:
// 1N4148, 2N3904, 2SC1815, BC547B. It is not sure where the form may also be a
// value with the letter n. Sources: JEDEC, JIS C 7012 and the European
// register, by their naming rules.
func typeClass(low []byte) (class string, sure bool) {
	letters := 0
	for letters < len(low) && (low[letters] >= 'a' && low[letters] <= 'z') {
		letters++
	}
	if letters == 0 && len(low) > 3 {
		return registered(low)
	}
	digits := letters
	for digits < len(low) && isDigit(low[digits]) {
		digits++
	}
	n := digits - letters
	if letters < 2 || letters > 3 || low[0] != 'a' && low[0] != 'b' || len(low)-digits > 5 || !plainTail(low[digits:]) {
		return "", false
	}
	if letters == 2 && n != 3 || letters == 3 && n != 2 && n != 3 {
		return "", false
	}
	switch low[1] {
	case 'a', 'b', 'y', 'z':
		return "diode", true
	case 'c', 'f', 's', 'u', 'l':
		return "transistor", true
	case 'd':
		return "transistor", low[0] == 'b'
	}
	return "", false
}

func plainTail(b []byte) bool {
	for _, c := range b {
		if !isLetter(c) && !isDigit(c) && c != '-' {
			return false
		}
	}
	return true
}

// registered reads the JEDEC and Japanese type numbers, which begin with the
// number of junctions.
func registered(low []byte) (class string, sure bool) {
	if low[0] < '1' || low[0] > '4' || low[1] != 'n' && low[1] != 's' {
		return "", false
	}
	k := 2
	if low[1] == 's' && isLetter(low[2]) {
		k = 3
	}
	digits := k
	for digits < len(low) && isDigit(low[digits]) {
		digits++
	}
	n := digits - k
	if n < 2 || n > 5 || len(low)-digits > 3 || !plainTail(low[digits:]) {
		return "", false
	}
	switch {
	case low[0] == '4':
		return "other", false // couplers
	case low[0] == '1':
		return "diode", low[1] == 's' || n > 2
	case low[1] == 'n':
		return "transistor", n > 2
	case k == 3 && (low[2] >= 'a' && low[2] <= 'd' || low[2] == 'j' || low[2] == 'k'):
		return "transistor", true
	}
	return "", false
}

// habits are letters with which makers like to begin the type numbers of a
// class. Common practice and no more, so the class is doubted.
var habits = func() map[string]string {
	m := map[string]string{}
	for class, letters := range map[string]string{
		"integrated-circuit": "lm ne tl cd sn mc tda ua µa ca lf opa icl icm tba tca tea uln hef saa max xr upc lt op rc njm la an hd mb stk ad se",
		"transistor":         "tip mj mje mpsa irf irfz ztx bux",
	} {
		for l := range strings.FieldsSeq(letters) {
			m[l] = class
		}
	}
	return m
}()

// byHabit gives the class that the letters of a type number hint at, and the
// class in words.
func byHabit(low []byte) (class, words string) {
	n := 0
	for n < len(low) && isLetter(low[n]) {
		n++
	}
	switch {
	case n == 0 && len(low) >= 5 && (low[0] == '7' || low[0] == '5') && low[1] == '4' && isLetter(low[2]) && hasDigit(low[3:]),
		n == 1 && len(low) >= 5 && low[0] == 'l' && low[1] == '7' && (low[2] == '8' || low[2] == '9') && isDigit(low[3]):
		class = "integrated-circuit"
	case n > 0 && n < len(low) && len(low)-n >= 2 && isDigit(low[n]):
		class = habits[string(low[:n])]
	}
	if class == "transistor" {
		return class, "a transistor"
	}
	return class, "an integrated circuit"
}

// typeAt notes a type number of which the class is known.
func (r *reader) typeAt(c *code, low, raw []byte) bool {
	class, sure := typeClass(low)
	if class == "" {
		return false
	}
	if !sure && (low[0] == 'a' || raw[1] != 'N') {
		return false
	}
	c.what, c.class, c.sure = typeCode, class, true
	return true
}

// typeNumber recognises what is surely a type number and no value: two letters
// or more before figures.
func typeNumber(low []byte) bool {
	if class, _ := typeClass(low); class != "" && isDigit(low[0]) {
		return true
	}
	letters := 0
	for letters < len(low) && low[letters] >= 'a' && low[letters] <= 'z' {
		letters++
	}
	digits := letters
	for digits < len(low) && isDigit(low[digits]) {
		digits++
	}
	return letters >= 2 && digits-letters >= 2
}
