package quantity

import "bytes"

// Separators that may stand in front of a chunk.
type seps uint16

const (
	sepSpace  seps = 1 << iota
	sepSlash       // /
	sepPlus        // +
	sepMinus       // -
	sepTilde       // ~
	sepRange       // .. or …
	sepPM          // ±
	sepEquals      // =
	sepOther       // , ; : ( ) and the like
	sepLeft        // the first sign follows the text before it without a blank
	sepRight       // the last sign precedes the chunk without a blank
)

func (s seps) has(f seps) bool { return s&f != 0 }

// only reports whether nothing but blanks stands in front.
func (s seps) only() bool { return s&^(sepSpace|sepLeft|sepRight) == 0 }

// atom is a run of figures (with the signs inside a number) or of letters.
type atom struct {
	text   []byte
	number bool
}

const (
	maxAtoms  = 6
	maxChunks = 24
)

// chunk is atoms written without anything between them, such as 4u7 or 16V.
type chunk struct {
	atoms  [maxAtoms]atom
	n      int
	long   bool // had more atoms than are looked at: a part number, no quantity
	before seps
	start  int // where it stands in the text
	end    int
}

// number reports whether the chunk is a number alone.
func (c *chunk) number() bool { return c.n == 1 && c.atoms[0].number }

// word reports whether the chunk is letters alone.
func (c *chunk) word() bool { return c.n == 1 && !c.atoms[0].number }

// shape reports whether the chunk begins with atoms of these sorts: 9 for a number, A for letters.
func (c *chunk) shape(s string) bool {
	if c.n != len(s) || c.long {
		return false
	}
	for i := range c.n {
		if c.atoms[i].number != (s[i] == '9') {
			return false
		}
	}
	return true
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func isLetter(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c == signOhm || c == signLetter
}

// lexer cuts folded text into chunks. Its failure is a sentence.
type lexer struct {
	text   []byte
	at     int
	chunks [maxChunks]chunk
	n      int
	tail   seps // behind the last chunk
	fail   string
}

const (
	failStray    = "a point or comma stands where it belongs to no number; write the number again"
	failMany     = "this is too long for one quantity; give the value alone"
	failParallel = "these are parts in parallel; give the value of each alone"
	failDoubt    = "a question mark or the like leaves the value in doubt; settle it and write the value alone"
	failAbout    = "an approximate or bounded value is no rating; write the nominal value"
)

func (l *lexer) run() {
	for l.fail == "" {
		before := l.separators()
		if l.at >= len(l.text) || l.fail != "" {
			l.tail = before
			return
		}
		if l.n == maxChunks {
			l.fail = failMany
			return
		}
		l.chunks[l.n].before = before
		l.chunk(&l.chunks[l.n])
		l.n++
	}
}

func (l *lexer) chunk(c *chunk) {
	start := l.at
	for l.at < len(l.text) && l.fail == "" {
		from := l.at
		number := l.atom(c.n == 0)
		if l.at == from {
			break
		}
		if c.n == maxAtoms {
			c.long = true
			continue
		}
		c.atoms[c.n] = atom{l.text[from:l.at], number}
		c.n++
	}
	c.start, c.end = start, l.at
}

// atom moves past one atom, if one stands here.
func (l *lexer) atom(first bool) (number bool) {
	switch c := l.text[l.at]; {
	case isDigit(c), first && l.leadingPoint():
		l.number()
		return true
	case isLetter(c), c == signDegree:
		l.at++
		l.letters()
	case c == '%', c == '"', c == signDiameter:
		l.at++
	}
	return false
}

func (l *lexer) letters() {
	for l.at < len(l.text) && isLetter(l.text[l.at]) {
		l.at++
	}
}

// leadingPoint reports whether a number such as .047 begins here.
func (l *lexer) leadingPoint() bool {
	c := l.text[l.at]
	if c != '.' && c != ',' || l.at+1 >= len(l.text) || !isDigit(l.text[l.at+1]) {
		return false
	}
	return l.at == 0 || l.text[l.at-1] != c
}

// number moves past figures with signs among them, and past an exponent whose sign leaves no doubt.
func (l *lexer) number() {
	if !isDigit(l.text[l.at]) {
		l.at++
	}
	for {
		l.digits()
		if l.at+1 < len(l.text) && bytes.IndexByte([]byte(".,'"), l.text[l.at]) >= 0 && isDigit(l.text[l.at+1]) {
			l.at++
			continue
		}
		break
	}
	if t := l.text[l.at:]; len(t) > 2 && (t[0] == 'e' || t[0] == 'E') && (t[1] == '-' || t[1] == '+') && isDigit(t[2]) {
		l.at += 2
		l.digits()
	}
	if t := l.text[l.at:]; len(t) > 1 && t[0] == '.' && t[1] != '.' {
		l.fail = failStray
	}
}

func (l *lexer) digits() {
	for l.at < len(l.text) && isDigit(l.text[l.at]) {
		l.at++
	}
}

// separators moves past all that is neither figure nor letter.
func (l *lexer) separators() seps {
	var s seps
	start := l.at
	for l.at < len(l.text) {
		f := l.separator()
		if f == 0 {
			break
		}
		if f != sepSpace {
			s &^= sepRight
			if l.at > 0 && s&^sepSpace == 0 && !s.has(sepSpace) && start > 0 {
				s |= sepLeft
			}
		}
		s |= f
	}
	if l.at > start && l.text[l.at-1] != ' ' {
		s |= sepRight
	}
	return s.plusOrMinus(l.text[start:l.at])
}

// plusOrMinus folds +/- and +- into ±.
func (s seps) plusOrMinus(t []byte) seps {
	if !s.has(sepPlus) || !s.has(sepMinus) {
		return s
	}
	for _, w := range [...]string{"+/-", "+-", "-/+", "-+"} {
		if bytes.Contains(t, []byte(w)) {
			return s&^(sepPlus|sepMinus|sepSlash) | sepPM
		}
	}
	return s
}

// separator moves past one sign and says what it is; 0 where an atom begins or the text fails.
func (l *lexer) separator() seps {
	c := l.text[l.at]
	if isDigit(c) || isLetter(c) || l.leadingPoint() && l.pointFree() {
		return 0
	}
	l.at++
	switch c {
	case ' ':
		return sepSpace
	case '/':
		return sepSlash
	case '+':
		return sepPlus
	case '-':
		return sepMinus
	case '~':
		return sepTilde
	case signRange:
		return sepRange
	case signPlusOr:
		return sepPM
	case '=':
		return sepEquals
	case '|':
		if l.at < len(l.text) && l.text[l.at] == '|' {
			l.fail = failParallel
		}
		return sepOther
	case ',', ';', ':', '(', ')', '[', ']', '@', '_':
		return sepOther
	case '.':
		return l.point()
	case '?', '!':
		l.fail = failDoubt
	case '<', '>', signApprox:
		l.fail = failAbout
	case '%', '"', signDegree, signDiameter:
		l.at--
		return 0
	default:
		l.fail = "the sign " + string(rune(c)) + " has no place in a quantity; leave it out"
	}
	return 0
}

// pointFree reports whether a point here can begin a number: after a letter it may as well end an abbreviation.
func (l *lexer) pointFree() bool { return l.at == 0 || !isLetter(l.text[l.at-1]) }

// point judges a full stop that is not inside a number.
func (l *lexer) point() seps {
	rest := l.text[l.at:]
	switch {
	case len(rest) > 0 && rest[0] == '.':
		for l.at < len(l.text) && l.text[l.at] == '.' {
			l.at++
		}
		return sepRange
	case l.at < 2, len(rest) == 0, isLetter(l.text[l.at-2]) && (!isDigit(rest[0]) || l.abbreviated()):
		return sepSpace
	}
	l.fail = failStray
	return 0
}

// abbreviated reports whether the word before the point just passed is one that is written with a point, so that the
// figures after it have none.
func (l *lexer) abbreviated() bool {
	end := l.at - 1
	start := end
	for start > 0 && isLetter(l.text[start-1]) {
		start--
	}
	switch string(bytes.ToLower(l.text[start:end])) {
	case "v", "wv", "vw", "dc", "ac", "wvdc", "dcwv", "max", "min", "no", "nr", "rm":
		return true
	}
	return false
}

// undot drops the points of abbreviations in place (W.V., V.D.C.), so that each is one word.
func undot(s []byte) []byte {
	if bytes.IndexByte(s, '.') < 0 {
		return s
	}
	out := s[:0]
	for i, c := range s {
		if c == '.' && i > 0 && isLetter(s[i-1]) && i+1 < len(s) && isLetter(s[i+1]) {
			continue
		}
		out = append(out, c)
	}
	return out
}
