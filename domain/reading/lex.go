package reading

import (
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// MaxText is the longest text that is read, in Unicode code points.
const MaxText = 500

// sort says what an atom is made of.
type sort uint8

const (
	figures sort = iota + 1 // with the signs inside a number
	letters
	sign   // one sign
	quoted // a text in double quotes, as it stands
)

// atom is the least stretch of text that says something by itself.
type atom struct {
	lo, hi     uint16 // bytes of raw
	llo, lhi   uint16 // bytes of low
	clo, chi   uint16 // bytes of code
	at, end    uint16 // bytes of the text
	from, upto uint16 // code points of the text
	sort       sort
	sign       rune // what a sign prints, look-alikes folded; 0 for any other atom
	gap        bool // a blank, or nothing, stands before it
	script     script
	used       bool // taken by the cover that was chosen
}

// script parts runs of letters where the writing changes.
type script uint8

const (
	latin script = iota
	cyrillic
	ideographic // and kana: no blanks part their words, so each letter is an atom
)

func scriptOf(c rune) script {
	switch {
	case c >= 0x0400 && c <= 0x04ff:
		return cyrillic
	case c >= 0x3040 && c <= 0x30ff && c != '・', c >= 0x3400 && c <= 0x9fff, c == 'ー', c == '々':
		return ideographic
	}
	return latin
}

// lexer cuts a text into atoms. raw keeps the case, with look-alike signs folded; low is in lower case and without
// accents, as the lexicon is; code has one byte for each sign, as marking codes and units are looked up.
type lexer struct {
	text  string
	raw   []byte
	low   []byte
	code  []byte
	atoms []atom
	at    int  // byte of the text
	point int  // code point
	gap   bool // a blank was passed
	about bool // a sign says about, or doubts the value
	bad   rune // a sign that has no place in a text
	odd   rune // a sign that may say anything: ✗, ←, ≠, a stroke through a letter
}

func (l *lexer) reset(text string) {
	*l = lexer{text: text, raw: l.raw[:0], low: l.low[:0], code: l.code[:0], atoms: l.atoms[:0], gap: true}
}

func (l *lexer) run() {
	for l.at < len(l.text) {
		c, size := l.next()
		switch {
		case isBlank(c):
			l.gap = true
			l.skip(size)
		case c == '"' && l.gap && l.quote():
		case isDigit(c), (c == '.' || c == ',') && l.leadingPoint():
			l.number()
		case c < utf8.RuneSelf && !isLetter(c), isSign(c):
			l.sign(c, size)
		default:
			l.word()
		}
	}
}

// next gives the rune at hand, full width folded and the digits of every script as figures.
func (l *lexer) next() (rune, int) {
	c, size := rune(l.text[l.at]), 1
	if c >= utf8.RuneSelf {
		c, size = utf8.DecodeRuneInString(l.text[l.at:])
		switch {
		case c >= '！' && c <= '～':
			c -= '！' - '!'
		case unicode.Is(unicode.Nd, c):
			c = digitOf(c)
		case c >= '₀' && c <= '₉' && l.at > 0 && !isDigit(rune(l.text[l.at-1])):
			c -= '₀' - '0' // X₂, C₁₂
		}
	}
	return c, size
}

// peek gives the rune at a byte of the text, 0 at its end.
func (l *lexer) peek(at int) rune {
	if at >= len(l.text) {
		return 0
	}
	was := l.at
	l.at = at
	c, _ := l.next()
	l.at = was
	return c
}

func (l *lexer) skip(size int) {
	l.at += size
	l.point++
}

// open begins an atom.
func (l *lexer) open(s sort) *atom {
	l.atoms = append(l.atoms, atom{lo: uint16(len(l.raw)), llo: uint16(len(l.low)), clo: uint16(len(l.code)),
		at: uint16(l.at), from: uint16(l.point), sort: s, gap: l.gap})
	l.gap = false
	return &l.atoms[len(l.atoms)-1]
}

// close ends it where the text is now.
func (l *lexer) close(a *atom) {
	a.hi, a.lhi, a.chi, a.end, a.upto = uint16(len(l.raw)), uint16(len(l.low)), uint16(len(l.code)), uint16(l.at),
		uint16(l.point)
}

// afterFigures reports whether figures or the sign of a degree are the last atom, so that a ~ parts a range.
func (l *lexer) afterFigures() bool {
	n := len(l.atoms)
	return n > 0 && (l.atoms[n-1].sort == figures || l.signAt(n-1) == 0xc2)
}

// signAt is the first byte of a sign, 0 for any other atom.
func (l *lexer) signAt(k int) byte {
	if l.atoms[k].sort != sign {
		return 0
	}
	return l.raw[l.atoms[k].lo]
}

func (l *lexer) sign(c rune, size int) {
	folded, ok := foldSign(c)
	if !ok {
		folded = c
	}
	switch c {
	case '*':
		folded = '×'
	case utf8.RuneError:
		l.bad = c
	}
	if c < ' ' || c == 0x7f || c > utf8.RuneSelf && unicode.IsNumber(c) {
		l.bad = c
	}
	if folded == '≈' || folded == '?' || folded == '~' && l.gap && isDigit(l.peek(l.at+size)) && !l.afterFigures() {
		l.about = true
	}
	if !ok && oddSign(c) && !(len(l.atoms) == 0 && bullet(c)) || l.deniesNext(folded, size) {
		l.odd = c
	}
	a := l.open(sign)
	a.sign = folded
	l.raw = utf8.AppendRune(l.raw, folded)
	l.low = utf8.AppendRune(l.low, folded)
	l.skip(size)
	l.close(a)
}

// deniesNext reports whether a sign at the head of a word may deny it or call it approximate: !bipolar, ~slow. Behind
// figures or letters ! closes what was said and ~ is an alternating voltage's.
func (l *lexer) deniesNext(folded rune, size int) bool {
	if folded != '!' && folded != '~' || !isLetter(l.peek(l.at+size)) {
		return false
	}
	n := len(l.atoms)
	return l.gap || n == 0 || l.atoms[n-1].sort == sign
}

// leadingPoint reports whether a number such as .047 begins at the point at hand.
func (l *lexer) leadingPoint() bool {
	_, size := l.next()
	return isDigit(l.peek(l.at+size)) && (l.gap || l.afterSign())
}

// afterSign reports whether the atom before is a sign, and no point of a number or an abbreviation.
func (l *lexer) afterSign() bool {
	n := len(l.atoms)
	if n == 0 {
		return true
	}
	a := &l.atoms[n-1]
	if a.sort == letters && l.text[l.at] == '.' {
		low := l.low[a.llo:a.lhi]
		return string(low) == "esr" || a.gap && len(low) <= 2 && speedOf(string(low)) != "" // T.5A
	}
	switch l.signAt(n - 1) {
	case 0, '.', ',':
		return false
	case '%', 0xc2, ')':
		return l.text[l.at] != ',' || l.gap // 1%,0.25W
	}
	return true
}

// number takes figures with the signs inside a number, and an exponent whose sign leaves no doubt.
func (l *lexer) number() {
	a := l.open(figures)
	if c, size := l.next(); !isDigit(c) {
		l.put(c, size)
	}
	for {
		l.digits()
		c, size := l.next0()
		if p := insideNumber(c); p != 0 && isDigit(l.peek(l.at+size)) {
			c = p
			l.put(c, size)
			continue
		}
		break
	}
	if c, size := l.next0(); c == 'e' || c == 'E' {
		if s := l.peek(l.at + size); (s == '-' || s == '+' || s == '−') && isDigit(l.peek(l.at+size+utf8.RuneLen(s))) {
			l.put(c, size)
			if s == '−' {
				s = '-'
			}
			_, n := l.next()
			l.put(s, n)
			l.digits()
		}
	}
	l.close(a)
}

// insideNumber gives a sign that parts figures of one number, 0 for any other. A raised point is the decimal point of
// British prints.
func insideNumber(c rune) rune {
	switch c {
	case '.', ',', '\'':
		return c
	case '·', '٫':
		return '.'
	case '٬', '’':
		return '\''
	}
	return 0
}

// next0 is next, or 0 at the end of the text.
func (l *lexer) next0() (rune, int) {
	if l.at >= len(l.text) {
		return 0, 0
	}
	return l.next()
}

func (l *lexer) digits() {
	for {
		c, size := l.next0()
		if size == 0 || !isDigit(c) {
			return
		}
		l.put(c, size)
	}
}

// put appends a plain sign to the atom at hand.
func (l *lexer) put(c rune, size int) {
	l.raw, l.code = append(l.raw, byte(c)), append(l.code, byte(c))
	if c >= 'A' && c <= 'Z' {
		c += 'a' - 'A'
	}
	l.low = append(l.low, byte(c))
	l.skip(size)
}

// quote takes a text in double quotes, in which a doubled one stands for itself; false where they don't close before a
// blank or the end.
func (l *lexer) quote() bool {
	if l.text[l.at] != '"' {
		return false
	}
	i := l.at + 1
	for i < len(l.text) {
		if l.text[i] != '"' {
			i++
			continue
		}
		if i+1 == len(l.text) || l.text[i+1] != '"' {
			break
		}
		i += 2
	}
	if i >= len(l.text) || i == l.at+1 || i+1 < len(l.text) && l.text[i+1] != ' ' {
		return false
	}
	a := l.open(quoted)
	l.point += utf8.RuneCountInString(l.text[l.at : i+1])
	l.at = i + 1
	l.close(a)
	return true
}

// word takes letters of one script; compatibility forms are resolved, so that ㎌ is µF and ½ is 1/2.
func (l *lexer) word() {
	c, size := l.next()
	if plain := compatible(c); plain != nil && !isLatinForm(plain) {
		l.unfold(c, plain, size)
		return
	}
	s := scriptOf(c)
	a := l.open(letters)
	a.script = s
	for l.at < len(l.text) {
		c, size = l.next()
		if plain := compatible(c); plain != nil && isLatinForm(plain) {
			for _, p := range string(plain) {
				l.letter(p)
			}
			l.skip(size)
			continue
		}
		if !isLetter(c) || isSign(c) || scriptOf(c) != s && !unicode.Is(unicode.Mn, c) {
			break
		}
		l.letter(c)
		l.skip(size)
		if s == ideographic {
			break
		}
	}
	l.translate(a)
	if int(a.lo) == len(l.raw) { // a mark without its letter
		a.sort, a.sign = sign, ','
		l.raw, l.low, l.code = append(l.raw, ','), append(l.low, ','), append(l.code, ',')
	}
	l.close(a)
}

// isLatinForm reports whether a form is made of letters alone.
func isLatinForm(plain []byte) bool {
	for _, p := range string(plain) {
		if !unicode.IsLetter(p) {
			return false
		}
	}
	return true
}

// unfold makes atoms of what one sign stands for, all at its place.
func (l *lexer) unfold(c rune, plain []byte, size int) {
	gap := l.gap || vulgarFraction(c) // 1¼ is one and a quarter, not eleven quarters
	was := sort(0)
	for _, p := range string(plain) {
		switch {
		case p == '⁄':
			p = '/'
		case unicode.Is(unicode.Mn, p):
			continue // the mark of an accent that stands by itself
		}
		s := sign
		switch {
		case isDigit(p):
			s = figures
		case isLetter(p):
			s = letters
		}
		if s != was || s == sign {
			l.gap = gap
			a := l.open(s)
			a.end, a.upto = uint16(l.at+size), uint16(l.point+1)
			gap = false
		}
		a := &l.atoms[len(l.atoms)-1]
		if s == letters {
			l.letter(p)
		} else {
			f, ok := foldSign(p)
			if !ok {
				f = p
			}
			if s == sign {
				a.sign = f
			}
			l.raw, l.low, l.code = utf8.AppendRune(l.raw, f), utf8.AppendRune(l.low, f), append(l.code, byte(f))
		}
		a.hi, a.lhi, a.chi = uint16(len(l.raw)), uint16(len(l.low)), uint16(len(l.code))
		was = s
	}
	if was == 0 {
		l.gap = gap
	} else {
		l.gap = false
	}
	l.skip(size)
}

// letter appends a letter: as it is to raw, in lower case and without accents to low.
func (l *lexer) letter(c rune) {
	switch c {
	case 'μ', 'Μ', 'µ':
		l.raw, l.low, l.code = append(l.raw, "µ"...), append(l.low, 'u'), append(l.code, 'u')
		return
	case 'Ω', 'ω':
		l.raw, l.low, l.code = append(l.raw, "Ω"...), append(l.low, "Ω"...), append(l.code, signOhm)
		return
	}
	if c < utf8.RuneSelf {
		l.raw, l.code = append(l.raw, byte(c)), append(l.code, byte(c))
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		l.low = append(l.low, byte(c))
		return
	}
	if unicode.Is(unicode.Mn, c) {
		if strikesOut(c) {
			l.odd = c
		}
		return // the mark of the letter before it
	}
	l.raw, l.code = utf8.AppendRune(l.raw, c), append(l.code, signLetter)
	l.low = unaccented(l.low, unicode.ToLower(c))
}

// unaccented appends a letter in lower case without its accent; й and the kana keep theirs.
func unaccented(dst []byte, c rune) []byte {
	switch c {
	case 'ß':
		return append(dst, "ss"...)
	case 'æ':
		return append(dst, "ae"...)
	case 'ł':
		return append(dst, 'l')
	case 'ё':
		return append(dst, "е"...)
	}
	if c >= 0xc0 && c < 0x250 {
		var src [utf8.UTFMax]byte
		n := utf8.EncodeRune(src[:], c)
		if d := norm.NFD.Properties(src[:n]).Decomposition(); len(d) > 0 {
			base, _ := utf8.DecodeRune(d)
			return utf8.AppendRune(dst, base)
		}
	}
	return utf8.AppendRune(dst, c)
}
