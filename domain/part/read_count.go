package part

import (
	"bytes"
	"strconv"
	"unicode/utf8"
)

// maxCount is the largest number of parts that is believed.
const maxCount = 99999

func (r *reader) counted(n, i, j int) {
	r.out.Quantity = n
	r.note("quantity", strconv.Itoa(n), i, j)
}

// counts finds the count at the head or the end of the line.
func (r *reader) counts() {
	h := 0
	for h < len(r.words) && r.words[h].name {
		h++
	}
	if !r.free(h, h+1) || r.countHead(h) || r.countTail() {
		return
	}
	r.countBare(h)
}

// countHead takes "4 x", "4x", "10 pcs", "(4)" and "2x470uF" at the head.
func (r *reader) countHead(h int) bool {
	low := r.lower(h)
	if low[0] == 'x' && len(low) > 1 && h+1 < len(r.words) && !isSafety(low) {
		low = low[1:]
		if n, ok := wholeNumber(low); ok {
			r.counted(n, h, h+1)
			return true
		}
		return false
	}
	n, size := leadingInt(low)
	if size == 0 || n == 0 || h+1 == len(r.words) && size == len(low) {
		return false
	}
	rest := low[size:]
	switch {
	case len(rest) == 0 && r.words[h].paren:
		r.counted(n, h, h+1)
	case len(rest) > 0 && countWord(rest):
		if h+1 == len(r.words) || string(rest) == "x" && r.bodyAt(h) {
			return false
		}
		r.counted(n, h, h+1)
	case len(rest) == 0 && r.free(h+1, h+2) && countWord(r.lower(h+1)) && h+2 < len(r.words):
		if string(r.lower(h+1)) == "x" && r.bodyAt(h) {
			return false
		}
		r.counted(n, h, h+2)
	default:
		return r.countGlued(h, n, size)
	}
	return true
}

// countGlued takes the count of 2x470uF, and cuts the word.
func (r *reader) countGlued(h, n, size int) bool {
	low := r.lower(h)
	if size+1 >= len(low) || low[size] != 'x' || r.bodyAt(h) {
		return false
	}
	head, tail := r.words[h], r.words[h]
	head.hi = head.lo + uint16(size+1)
	tail.lo, tail.glued = head.hi, true
	r.words = append(r.words, word{})
	copy(r.words[h+1:], r.words[h:])
	r.words[h], r.words[h+1] = head, tail
	r.counted(n, h, h+1)
	return true
}

// The bodies that are likelier than a count before a number without unit, mm.
const (
	thinnestBody  = 3
	longestBody   = 130
	thinBody      = 4.5 // up to this diameter bodies are no longer than
	longestOfThin = 13
)

// bodyAt reports whether lengths begin at word h that a body may well have.
func (r *reader) bodyAt(h int) bool {
	s, ok := r.sizeAt(h)
	if !ok {
		return false
	}
	d, l := s.mm[0], s.mm[1]
	return s.n == 3 || d >= thinnestBody && l >= d/2 && l <= longestBody && (d > thinBody || l <= longestOfThin)
}

// countTail takes "x4", "x 4", "4x", "4 pcs" and "(4)" at the end.
func (r *reader) countTail() bool {
	last := len(r.words) - 1
	if last == 0 || !r.free(last, last+1) {
		return false
	}
	low := r.lower(last)
	if low[0] == 'x' && len(low) > 1 {
		n, ok := wholeNumber(low[1:])
		if !ok || isSafety(low) && !r.cellBefore(last) && !r.timesSign(last) {
			return false
		}
		r.counted(n, last, last+1)
		return true
	}
	n, size := leadingInt(low)
	switch {
	case size > 0 && n > 0 && size < len(low) && countWord(low[size:]), size == len(low) && n > 0 && r.words[last].paren:
		r.counted(n, last, last+1)
		return true
	case last > 1 && countWord(low) && r.free(last-1, last):
		if n, ok := wholeNumber(r.lower(last - 1)); ok && !r.words[last-1].glued {
			r.counted(n, last-1, last+1)
			return true
		}
	case last > 1 && size == len(low) && n > 0 && string(r.lower(last-1)) == "x" && r.free(last-1, last) && !numeral(r.lower(last-2)):
		r.counted(n, last-1, last+1) // not the 5 x 11 of an outside
		return true
	}
	return false
}

// timesSign reports whether a word begins with the sign and not the letter x.
func (r *reader) timesSign(i int) bool {
	c, _ := utf8.DecodeRuneInString(r.text[r.at[r.words[i].lo]:])
	return foldTimes(c)
}

func (r *reader) cellBefore(i int) bool {
	_, ok := cellOf(r.lower(i - 1))
	return ok
}

// countBare takes a whole number at the head for a count where what follows is
// sure to be the part: 4 47µF 25V.
func (r *reader) countBare(h int) {
	n, ok := wholeNumber(r.lower(h))
	if !ok || n > 999 || !r.free(h+1, h+2) || r.words[h+1].glued || r.grouped(h) || !r.partAt(h+1) {
		return
	}
	r.counted(n, h, h+1)
	r.doubt("The %d at the head is read as the number of parts.", n)
}

// grouped reports whether a number is the head of a grouped one, as in 1 000 µF.
func (r *reader) grouped(h int) bool {
	low := r.lower(h + 1)
	return len(low) >= 3 && allDigits(low[:3]) && (len(low) == 3 || !isDigit(low[3]))
}

// partAt reports whether words from i on name a part by themselves.
func (r *reader) partAt(i int) bool {
	if m, n := r.written(i); n > 0 {
		return isValueUnit(m.q.Unit())
	}
	if s, n := r.lookUp(i); n > 0 {
		return s.act == sayClass || s.act == sayConstruction || s.act == sayElectrolytic
	}
	low := r.lower(i)
	if _, ok := cellOf(low); ok {
		return true
	}
	if _, sure := typeClass(low); sure {
		return true
	}
	p, ok := pointOf(low)
	return ok && p.multiplier() != 0
}

func leadingInt(b []byte) (n, size int) {
	for size < len(b) && isDigit(b[size]) && n <= maxCount {
		n = n*10 + int(b[size]-'0')
		size++
	}
	if n > maxCount {
		return 0, 0
	}
	return n, size
}

func wholeNumber(b []byte) (int, bool) {
	n, size := leadingInt(b)
	return n, size > 0 && size == len(b) && n > 0
}

func countWord(b []byte) bool {
	for len(b) > 1 && b[len(b)-1] == '.' {
		b = b[:len(b)-1]
	}
	switch string(b) {
	case "x", "pcs", "pc", "piece", "stk", "stck", "stück", "stueck", "st", "off", "ea", "each", "pieces", "pièces", "pièce", "pces", "pce", "parts", "units":
		return true
	}
	return false
}

// designators are the letters that stand before the number in a designator,
// with the class that they say (ASME Y14.44 and common practice).
var designators = map[string]string{
	"c": "capacitor", "ce": "capacitor", "ec": "capacitor", "tc": "capacitor", "r": "resistor", "l": "inductor", "d": "diode", "zd": "diode",
	"q": "transistor", "t": "", "tr": "transistor", "f": "fuse", "fu": "fuse", "u": "integrated-circuit", "ic": "integrated-circuit",
	"bt": "cell", "bat": "cell", "vr": "potentiometer", "rv": "", "p": "", "v": "", "k": "relay", "rl": "relay", "y": "crystal", "xtal": "crystal",
	"sw": "switch", "j": "connector", "cn": "connector", "th": "thermistor", "rt": "thermistor", "fb": "inductor", "led": "diode", "si": "fuse",
}

// names marks the designators at the head of the line: they name positions and
// are no value, though they say the class.
func (r *reader) names() {
	h := 0
	for h < len(r.words) {
		class, ok := r.nameAt(h)
		if !ok {
			break
		}
		if h == 0 {
			r.designed = class
		} else if class != r.designed {
			r.designed = ""
		}
		h++
	}
	if h == len(r.words) || !r.readable(h) {
		r.designed = ""
		return
	}
	for k := range h {
		r.words[k].name = true
	}
}

// nameAt reads a designator such as C12, C1-C4 or R5.
func (r *reader) nameAt(i int) (class string, ok bool) {
	low := r.lower(i)
	n := 0
	for n < len(low) && low[n] >= 'a' && low[n] <= 'z' {
		n++
	}
	class, ok = designators[string(low[:n])]
	if _, sure := typeClass(low); sure {
		return "", false // BAT85
	}
	if _, glued := r.gluedAt(i); !ok || r.words[i].quoted || glued && r.sure(i) {
		return "", false
	}
	digits := n
	for digits < len(low) && isDigit(low[digits]) {
		digits++
	}
	if digits == n {
		return class, i == 0 && len(low) == 1 && valuedName(low) && len(r.words) > 1 && isDigit(r.lower(1)[0])
	}
	if low[n] == '0' || digits-n > 4 || digits < len(low) && low[digits] != '-' && low[digits] != '~' && !bytes.HasPrefix(low[digits:], []byte("..")) {
		return "", false
	}
	return class, !isSafety(low) && len(low) < 14 && low[len(low)-1] != '.'
}

// readable reports whether a part may follow the designators: a word with
// figures or of the vocabulary that is no dimension.
func (r *reader) readable(h int) bool {
	if _, ok := r.gluedAt(h); ok {
		return false
	}
	for k := h; k < len(r.words); k++ {
		if hasDigit(r.lower(k)) && !r.devAt(k) && !r.chipNear(k) || known(r.lower(k)) && !isSingleLetter(r.lower(k)) {
			return h > 0 && !valuedName(r.lower(0)) || !r.devOnly(h)
		}
	}
	return false
}

// chipNear reports whether word k is a chip size.
func (r *reader) chipNear(k int) bool {
	_, ok := chips[string(r.lower(k))]
	return ok
}

// valuedName reports whether a designator may also be a value, as R22 and C106
// may.
func valuedName(low []byte) bool { return low[0] == 'r' || low[0] == 'c' || low[0] == 'l' }

func isSingleLetter(low []byte) bool { return len(low) == 1 }

// devAt reports whether word i is a deviation, which does not make a value of a
// designator: R22 1% is a resistance.
func (r *reader) devAt(i int) bool {
	low := r.lower(i)
	return low[len(low)-1] == '%' || plusMinus(low) || i+1 < len(r.words) && string(r.lower(i+1)) == "%"
}

// devOnly reports whether deviations and powers are all that follows.
func (r *reader) devOnly(h int) bool {
	for k := h; k < len(r.words); k++ {
		low := r.lower(k)
		if hasDigit(low) && !r.devAt(k) && low[len(low)-1] != 'w' && low[len(low)-1] != 'v' {
			return false
		}
	}
	return true
}
