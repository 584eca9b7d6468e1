package part

import (
	"unicode"
	"unicode/utf8"
)

// word is a stretch of the text that says one thing, or a part of it.
type word struct {
	lo, hi uint16 // bytes of raw and low
	glued  bool   // only a stroke, a hyphen or nothing parts it from the word before
	stroke bool   // that is a stroke
	equals bool   // an equals sign or a colon stands before it
	atSign bool   // @ stands before it
	paren  bool   // it stands alone in round brackets
	quoted bool   // "as it stands"
	name   bool   // a designator at the head
	used   bool
}

// scan cuts the text into words and folds the look-alikes of signs.
func (r *reader) scan() {
	open := -1          // where the word at hand begins in raw
	before := byte(' ') // the last sign that parted words
	point := 0
	for at := 0; at < len(r.text); {
		c, size := rune(r.text[at]), 1
		if c >= utf8.RuneSelf {
			c, size = utf8.DecodeRuneInString(r.text[at:])
		}
		if c >= '！' && c <= '～' {
			c -= '！' - '!' // full width
		}
		if c == '"' && size == 1 && open < 0 {
			if n, end := r.quote(at, point); n > 0 {
				at, point = end, point+n
				continue
			}
		}
		switch sign := r.fold(c, at, open); {
		case sign == combined:
			r.combine(c, at, point)
		case sign <= ' ' || sign == ',' && !r.decimal(at+size, open):
			if open >= 0 {
				r.endWord(open, before, c == ')')
				open, before = -1, ' '
			}
			if c == '=' || c == ':' || c == '(' || c == '@' {
				before = byte(c)
			}
		default:
			if open < 0 {
				open = len(r.raw)
			}
			r.add(sign, c, at, point)
		}
		at += size
		point++
	}
	if open >= 0 {
		r.endWord(open, before, false)
	}
}

// fold maps look-alikes to one sign, and what only parts words to a blank.
func (r *reader) fold(c rune, at, open int) rune {
	if c < utf8.RuneSelf {
		return r.foldASCII(c, at, open)
	}
	switch {
	case foldTimes(c):
		return 'x'
	case c >= 0x300 && c <= 0x327 && open >= 0:
		return combined
	case unicode.IsSpace(c) || c == '\u200b' || c == '\u2060' || c == '\ufeff':
		return ' '
	}
	switch c {
	case 'μ', 'Μ': // Greek, the second as a capital
		return 'µ'
	case '\u2126', 'ω':
		return 'Ω'
	case '−', '–', '—', '‐', '‑', '‒':
		return '-'
	case 'º', '˚':
		return '°'
	case '∅', '⌀', 'Ø', 'φ', 'Φ', 'ϕ':
		return 'ø'
	case '≈', '≃':
		r.roughly = true
		return ' '
	case '≤', '≥', '„', '“', '”', '«', '»', '’', '‘', '·', '•', '、', '，', '®', '™':
		return ' '
	case '…', '∼', '〜':
		return '~'
	case '⎓', '⏚':
		return ' '
	}
	return c
}

func foldTimes(c rune) bool { return c == '×' || c == '✕' || c == '✖' || c == '∗' }

func (r *reader) foldASCII(c rune, at, open int) rune {
	switch c {
	case '\'':
		if open >= 0 && r.between(at) {
			return c
		}
		return ' '
	case '?':
		r.roughly = true
		return ' '
	case '(', ')', '[', ']', '{', '}', '|', ';', '"', '=', ':', '@', '<', '>', '\\', '`', '!', '#', 0x7f:
		return ' '
	case '*':
		return 'x'
	}
	return c
}

// combined stands for a mark that belongs to the letter before it.
const combined rune = -1

// composed gives the letter that a mark makes of a letter. Only those that the
// trade's words have are in it.
var composed = map[[2]rune]rune{
	{'a', 0x308}: 'ä', {'o', 0x308}: 'ö', {'u', 0x308}: 'ü', {'A', 0x308}: 'Ä', {'O', 0x308}: 'Ö', {'U', 0x308}: 'Ü', {'e', 0x308}: 'ë',
	{'e', 0x301}: 'é', {'E', 0x301}: 'É', {'e', 0x300}: 'è', {'E', 0x300}: 'È', {'a', 0x300}: 'à', {'A', 0x300}: 'À', {'u', 0x300}: 'ù',
	{'e', 0x302}: 'ê', {'i', 0x302}: 'î', {'o', 0x302}: 'ô', {'a', 0x302}: 'â', {'u', 0x302}: 'û', {'c', 0x327}: 'ç',
}

// combine puts a mark on the letter before it; the letter then spans both.
func (r *reader) combine(mark rune, at, point int) {
	last := len(r.raw) - 1
	c, ok := composed[[2]rune{rune(r.raw[last]), mark}]
	if !ok {
		r.add(mark, mark, at, point)
		return
	}
	from, first := r.at[last], r.point[last]
	r.raw, r.low, r.at, r.point = r.raw[:last], r.low[:last], r.at[:last], r.point[:last]
	r.add(c, c, at, point)
	r.at[last], r.point[last] = from, first
}

// squares are the signs that stand for a prefix and its unit at once.
var squares = map[rune]string{'㎌': "µF", '㎋': "nF", '㎊': "pF", '㏀': "kΩ", '㏁': "MΩ", '㎸': "kV", '㎷': "mV", '㎶': "µV", '㎃': "mA", '㎂': "µA",
	'㎽': "mW", '㎾': "kW", '㎑': "kHz", '㎒': "MHz", '㎓': "GHz", '㎜': "mm", '℃': "°C", '½': "1/2", '¼': "1/4", '⅛': "1/8", '⅓': "1/3"}

// add appends a folded sign to raw and, in lower case, to low.
func (r *reader) add(sign, c rune, at, point int) {
	if sign < utf8.RuneSelf {
		r.raw = append(r.raw, byte(sign))
		if sign >= 'A' && sign <= 'Z' {
			sign += 'a' - 'A'
		}
		r.low = append(r.low, byte(sign))
		r.at, r.point = append(r.at, uint16(at)), append(r.point, uint16(point))
		return
	}
	if s, ok := squares[c]; ok {
		for _, part := range s {
			r.add(part, part, at, point)
		}
		return
	}
	n := len(r.raw)
	r.raw = utf8.AppendRune(r.raw, sign)
	if l := unicode.ToLower(sign); utf8.RuneLen(l) == len(r.raw)-n {
		sign = l
	}
	r.low = utf8.AppendRune(r.low, sign)
	for range len(r.raw) - n {
		r.at, r.point = append(r.at, uint16(at)), append(r.point, uint16(point))
	}
}

// decimal reports whether the comma before a byte of the text stands within a
// number.
func (r *reader) decimal(next, open int) bool {
	return next < len(r.text) && r.digitAt(next) && (open < 0 || isDigit(r.raw[len(r.raw)-1]))
}

// digitAt reports whether a figure stands at a byte of the text, in whatever
// width.
func (r *reader) digitAt(at int) bool {
	c, _ := utf8.DecodeRuneInString(r.text[at:])
	return c >= '0' && c <= '9' || c >= '０' && c <= '９'
}

// between reports whether a byte of the text stands between figures.
func (r *reader) between(at int) bool {
	return at > 0 && isDigit(r.text[at-1]) && at+1 < len(r.text) && isDigit(r.text[at+1])
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= utf8.RuneSelf }

func hasDigit(b []byte) bool {
	for _, c := range b {
		if isDigit(c) {
			return true
		}
	}
	return false
}

// quote takes a text in double quotes, in which a doubled one stands for
// itself; it gives the code points taken and the byte after them, 0 where the
// quotes don't close before a blank or the end.
func (r *reader) quote(at, point int) (points, end int) {
	i := at + 1
	for i < len(r.text) {
		if r.text[i] != '"' {
			i++
			continue
		}
		if i+1 == len(r.text) || r.text[i+1] != '"' {
			break
		}
		i += 2
	}
	if i >= len(r.text) || i == at+1 || i+1 < len(r.text) && r.text[i+1] != ' ' {
		return 0, 0
	}
	points = utf8.RuneCountInString(r.text[at : i+1])
	lo := len(r.raw)
	r.add('"', '"', at, point)
	r.add('"', '"', i, point+points-1)
	r.words = append(r.words, word{lo: uint16(lo), hi: uint16(lo + 2), quoted: true})
	return points, i + 1
}

// endWord closes the word that begins at a byte of raw, and cuts it where it
// says two things.
func (r *reader) endWord(lo int, before byte, closed bool) {
	w := word{lo: uint16(lo), hi: uint16(len(r.raw)), equals: before == '=' || before == ':', atSign: before == '@', paren: before == '(' && closed}
	if last := len(r.raw) - 1; last > lo && (r.raw[last] == ',' || r.raw[last] == '.' && !isDigit(r.raw[lo])) {
		w.hi-- // the stop of a sentence or an abbreviation
	}
	if r.raw[lo] == '~' && int(w.hi) > lo+1 && isDigit(r.raw[lo+1]) {
		r.roughly = true
		w.lo++
	}
	r.cut(w)
}

// cut appends a word, at its first parting sign as two: 22µ/16V says two
// things, but a fraction (1/4W), a pair of classes (X1/Y2) and a range
// (-20/+80%) say one.
func (r *reader) cut(w word) {
	low := r.low[w.lo:w.hi]
	if len(low) > 4 && string(low[:3]) == "esr" && (isDigit(low[3]) || low[3] == '.') {
		r.split(w, 3, 3)
		return
	}
	if k := tailGlued(low); k > 0 && r.at[int(w.lo)+k] != r.at[int(w.lo)+k-1] {
		r.split(w, k, k)
		return
	}
	for k := 1; k+1 < len(low); k++ {
		c := low[k]
		if r.at[int(w.lo)+k] == r.at[int(w.lo)+k-1] {
			continue // within one sign, such as ½
		}
		if c == plusMinusSign && low[k+1] == 0xB1 || isDigit(c) && low[k-1] == '%' {
			r.split(w, k, k) // 10k±1%, ±5%50V
			return
		}
		if c != '/' && c != '-' && c != '_' || !parted(low[:k], c, low[k+1:]) {
			continue
		}
		r.split(w, k, k+1)
		return
	}
	r.words = append(r.words, w)
}

// plusMinusSign begins the sign ±.
const plusMinusSign = 0xC2

// tailGlued gives the place where a rating stands against a code or quantity, as
// in 104K100V, 470µ6,3V, 200mAF250V and 22uF16V105C; 0 where there is none.
func tailGlued(low []byte) int {
	end := len(low) - 1
	if end < 4 || low[end] != 'v' && low[end] != 'c' || !isDigit(low[0]) {
		return 0
	}
	k := end - 1
	for k > 0 && (isDigit(low[k]) || (low[k] == '.' || low[k] == ',') && isDigit(low[k-1])) {
		k--
	}
	if !isLetter(low[k]) || k == end-1 || low[k] == 'x' {
		return 0
	}
	if low[end] == 'c' {
		n, _ := leadingInt(low[k+1 : end])
		if low[k] != 'v' || !hotRating(int64(n)) {
			return 0
		}
		return k + 1
	}
	if class, _ := typeClass(low); class != "" || low[k] == 'v' {
		return 0
	}
	for n := range k {
		if isLetter(low[n]) && k-n > 2 {
			return 0
		}
	}
	return k + 1
}

// split appends the bytes of a word before k, and cuts those from next on.
func (r *reader) split(w word, k, next int) {
	head, tail := w, word{lo: w.lo + uint16(next), hi: w.hi, glued: true, stroke: r.low[int(w.lo)+k] == '/'}
	head.hi, head.paren = w.lo+uint16(k), false
	if next == k {
		r.cut(head) // 22uF16V of 22uF16V105C
	} else {
		r.words = append(r.words, head)
	}
	r.cut(tail)
}

// parted says whether a stroke, hyphen or underscore between two texts parts
// two things.
func parted(left []byte, sign byte, right []byte) bool {
	last, next := left[len(left)-1], right[0]
	switch sign {
	case '/':
		return !fraction(left, right) && !span(left, right) && !classPair(left, right) && string(left) != "li" && string(left) != "zn"
	case '-':
		if isLetter(last) && isLetter(next) {
			return len(left) > 1 || len(right) > 1
		}
		return isDigit(next) && (last == '%' || isLetter(last)) && (isDigit(left[0]) || len(left) > 3 && known(left))
	}
	return true
}

// known reports whether a text is a word of the vocabulary.
func known(low []byte) bool {
	_, ok := vocabulary[string(low)]
	return ok
}

// fraction recognises the halves of 1/4W, 1/2, CR1/3N and 2/3AA.
func fraction(left, right []byte) bool {
	last := left[len(left)-1]
	if last != '1' && last != '2' && last != '4' || len(left) > 1 && isDigit(left[len(left)-2]) {
		return false
	}
	n := 0
	for n < len(right) && isDigit(right[n]) {
		n++
	}
	rest := right[n:]
	if len(left) > 1 {
		return n == 1 && len(rest) > 0 && (rest[0] == 'n' || rest[0] == 'a') && (left[0] == 'c' || left[0] == 'b')
	}
	switch string(right[:n]) {
	case "2", "3", "4", "5", "8", "10", "16", "20":
		return len(rest) == 0 && last == '1' || len(rest) > 0 && (rest[0] == 'w' || rest[0] == 'a')
	}
	return false
}

// span recognises the halves of two deviations and of two temperatures.
func span(left, right []byte) bool {
	if right[0] == '+' || right[0] == '-' {
		return !isLetter(left[len(left)-1]) || left[0] == '+' || left[0] == '-'
	}
	return (left[0] == '+' || left[0] == '-') && left[len(left)-1] != '%' && allDigits(left[1:])
}

func allDigits(b []byte) bool {
	for _, c := range b {
		if !isDigit(c) {
			return false
		}
	}
	return len(b) > 0
}

// classPair recognises the halves of X1/Y2.
func classPair(left, right []byte) bool {
	return len(left) == 2 && len(right) >= 2 && isSafety(left) && (right[0] == 'x' || right[0] == 'y')
}
