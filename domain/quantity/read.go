package quantity

import (
	"fmt"
	"sync"
	"unicode/utf8"
)

// Context is what is known of a text apart from the text itself. Whatever is unknown stays empty.
type Context struct {
	Class        string `json:"class,omitempty"`        // part class: capacitor, resistor, inductor …
	Construction string `json:"construction,omitempty"` // ceramic, film, tantalum, aluminium-electrolytic …
	Found        string `json:"found,omitempty"`        // marking (on the part), order-code, list
	Language     string `json:"language,omitempty"`     // en, de, fr: what comma and point mean
	Historic     bool   `json:"historic,omitempty"`     // from the age of MFD and MMF
	Continental  bool   `json:"continental,omitempty"`  // K may be kilo-picofarad
}

// Reading is one way to read a text: a quantity, or a tolerance where that was asked for or stood beside the value.
// Where a text may belong to several kinds of part, a reading may be of another kind than the one asked for.
type Reading struct {
	Quantity  Quantity
	Tolerance Tolerance
	Doubts    []string // sentences; what else to look at before trusting the reading. Not to be changed
}

// Canonical returns the canonical spelling of the quantity, or of the tolerance where there is no quantity.
func (r Reading) Canonical() string {
	if r.Quantity.IsZero() {
		return r.Tolerance.String()
	}
	return r.Quantity.String()
}

// SI returns the exact decimal in the bare unit; see Quantity.SI and Tolerance.SI.
func (r Reading) SI() string {
	if r.Quantity.IsZero() {
		return r.Tolerance.SI()
	}
	return r.Quantity.SI()
}

// ReadError says why a text was refused and what to do about it.
type ReadError struct {
	Text   string // the text, as given
	Kind   Kind   // what was to be read
	Reason string // a sentence
}

// Error returns the text, shortened, and the reason.
func (e *ReadError) Error() string { return fmt.Sprintf("%q: %s", clip(e.Text), e.Reason) }

// Read reads a quantity of the given kind from text as people write it. One reading is sure, but for its doubts;
// several mean that the text says several things in this context, and none was preferred; a *ReadError means that it
// was refused.
//
// Of a text that holds several quantities (22µ/16V) the one of the kind is read, if there is one. A value with its
// unit goes before a code, and a code before a bare number; these two are read only where every other word of the
// text is understood.
func Read(text string, k Kind, c Context) ([]Reading, error) {
	if q, ok := readCanonical(text, k, c.Language); ok {
		return []Reading{q}, nil
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	if reason := r.read(text, k, c); reason != "" {
		return nil, &ReadError{Text: text, Kind: k, Reason: reason}
	}
	out := make([]Reading, r.n)
	copy(out, r.out[:r.n])
	return out, nil
}

// Sure reports whether readings of a text may be taken as they stand: there is one, without a doubt, and every word of
// the text is a number, a unit or a word that says nothing against it.
func Sure(text string, found []Reading) bool {
	if len(found) != 1 || len(found[0].Doubts) > 0 {
		return false
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	folded, bad := fold(r.buf[:0], text)
	if bad != 0 || len(folded) > maxText {
		return false
	}
	r.lexer = lexer{text: undot(folded)}
	if r.lexer.run(); r.lexer.fail != "" {
		return false
	}
	for i := range r.lexer.n {
		c := &r.lexer.chunks[i]
		if !c.word() {
			continue
		}
		w := c.atoms[0].text
		if _, unit := lookUnit(w); !unit && len(w) > 1 && !inSet(knownWords, w) {
			return false
		}
	}
	return true
}

// readCanonical reads the canonical spelling, which says one thing in every context. A language in which a point
// groups thousands is left to the rules for numbers.
func readCanonical(text string, k Kind, language string) (Reading, bool) {
	if text == "" || language != "" && language != "en" {
		return Reading{}, false
	}
	if k == ToleranceKind {
		if text[0] != '-' && text[0] != "±"[0] {
			return Reading{}, false
		}
		t, err := ParseTolerance(text)
		return Reading{Tolerance: t}, err == nil
	}
	var b [64]byte
	q, ok := parsePlain(text)
	if !ok || q.unit != k.Unit() || string(q.AppendTo(b[:0])) != text {
		return Reading{}, false
	}
	if q.Sign() < 0 && !mayBeNegative(q.unit) || q.Sign() == 0 && mustBePositive(q.unit) {
		return Reading{}, false
	}
	return Reading{Quantity: q}, true
}

// readers are used again, since one is some kilobytes.
var readers = sync.Pool{New: func() any { return new(reader) }}

const maxReadings = 12

// rank orders the ways in which a value can be had from a text.
type rank uint8

const (
	rankNone rank = iota
	rankBare      // a number alone
	rankCode      // figures and letters by a marking code
	rankLead      // a letter before figures, which may be a designator beside a value
	rankUnit      // a value with its unit or multiplier letter
)

// readings is a list of fixed room.
type readings struct {
	out [maxReadings]Reading
	n   int
}

func (l *readings) add(r Reading) {
	for i := range l.n {
		if l.out[i].Quantity == r.Quantity && l.out[i].Tolerance == r.Tolerance {
			return
		}
	}
	if l.n < maxReadings {
		l.out[l.n] = r
		l.n++
	}
}

// bareNumber is a number without unit, kept until the rest of the text is known.
type bareNumber struct {
	num    numeral
	before seps
	index  int // of its chunk
	neg    bool
}

// reader is one reading of one text. What it refers to is its own buffer.
type reader struct {
	kind    Kind
	ctx     Context
	fam     family
	class   class
	lexer   lexer
	buf     [maxText]byte
	rank    rank
	current byte // 'a' or 'd' where the voltages taken are alternating or direct
	readings
	cur     readings // the readings of the value at hand
	bares   [4]bareNumber
	nb      int
	valued  int    // number of chunks up to and with the last value of the kind; 0 before
	capEnd  int    // the same for the last capacitance, whatever the kind
	times   bool   // a multiplication sign stands before the next chunk
	ranged  bool   // a word such as "to" does
	foreign Unit   // a unit of another kind was seen
	unknown []byte // the first word not understood
	bounded bool   // the text says max or min
	fail    string
}

func (r *reader) read(text string, k Kind, c Context) string {
	*r = reader{}
	if k.Unit() == None {
		return "no kind of quantity was asked for; say which, as in capacitance"
	}
	if len(text) > maxText {
		return failMany
	}
	folded, bad := fold(r.buf[:0], text)
	switch {
	case bad == utf8.RuneError:
		return "the text is not valid UTF-8; save it as UTF-8 and send it again"
	case bad != 0:
		return "the sign " + string(bad) + fmt.Sprintf(" (U+%04X) has no place in a quantity; leave it out", bad)
	case len(folded) > maxText:
		return failMany
	}
	r.kind, r.ctx = k, c
	r.fam, r.class = familyOf(&c), classOf(&c)
	r.lexer.text = undot(folded)
	if r.lexer.run(); r.lexer.fail != "" {
		return r.lexer.fail
	}
	if r.lexer.n == 0 {
		return "there is nothing to read; write number and unit"
	}
	return r.judge()
}

func (r *reader) judge() string {
	if r.lone() {
		return r.fail
	}
	for i := 0; i < r.lexer.n && r.fail == ""; {
		i = r.step(i)
	}
	if r.fail == "" {
		r.settle()
	}
	return r.fail
}

// settle decides by what was found.
func (r *reader) settle() {
	if r.rank == rankNone && r.unknown == nil {
		r.bare()
	}
	switch {
	case r.fail != "":
	case r.n == 0:
		r.fail = r.missing()
	case r.rank == rankLead && r.nb > 0 && (r.kind == Resistance || r.kind == Inductance):
		r.fail = "a letter with figures and a number without unit stand side by side; write the value with its unit"
	case r.rank < rankLead && r.unknown != nil:
		r.fail = "the word " + printable(r.unknown) + " is not understood, so a number without unit is not trusted; write the unit"
	case r.bounded && (r.kind == Capacitance || r.kind == Inductance):
		r.fail = failAbout
	}
}

func (r *reader) missing() string {
	var other string
	switch {
	case r.foreign != None && r.foreign != r.kind.Unit():
		other = "this holds a value in " + r.foreign.String() + ", but "
	case r.unknown != nil:
		other = "the word " + printable(r.unknown) + " is not understood, and "
	}
	return other + "there is no " + r.kind.String() + " in it; write number and unit, as in " + examples[r.kind]
}

var examples = [...]string{
	Capacitance: "4.7 µF", Resistance: "4.7 kΩ", Inductance: "10 µH", Voltage: "16 V", Current: "630 mA", Power: "250 mW",
	Temperature: "105 °C", ToleranceKind: "±20 %", Length: "5 mm", Duration: "2000 h", Frequency: "12 MHz", Energy: "1 J",
}

// printable gives back a folded word for a message.
func printable(w []byte) string {
	var out []byte
	for _, c := range w {
		switch c {
		case signOhm:
			out = append(out, ohm...)
		case signDegree:
			out = append(out, "°"...)
		default:
			if c < utf8.RuneSelf {
				out = append(out, c)
			} else {
				out = append(out, '.')
			}
		}
	}
	return "“" + string(out) + "”"
}

// step reads the term that begins at chunk i and returns the index after it.
func (r *reader) step(i int) int {
	c := &r.lexer.chunks[i]
	times, ranged := r.times, r.ranged
	r.times, r.ranged = false, false
	if r.about(c) {
		return i
	}
	if c.atoms[0].number {
		return r.numberTerm(i, times, ranged)
	}
	return r.wordTerm(i)
}

// about fails on ~100uF. A tilde between two values is a range, one behind a voltage means alternating.
func (r *reader) about(c *chunk) bool {
	if c.before.has(sepTilde) && c.before.has(sepRight) && !c.before.has(sepLeft) && c.atoms[0].number && c.before&^(sepTilde|sepRight|sepSpace) == 0 &&
		r.kind != Temperature {
		r.fail = failAbout
		return true
	}
	return false
}

// signed gives the sign of a number: a minus is one only where it stands free of the text before.
func signed(c *chunk) (neg, any bool) {
	if !c.before.has(sepRight) || c.before.has(sepLeft) && !c.before.has(sepSlash|sepTilde|sepRange|sepOther) {
		return false, false
	}
	return c.before.has(sepMinus), c.before.has(sepMinus | sepPlus)
}

// commit takes the readings at hand into the result.
func (r *reader) commit(k rank, current byte) {
	if r.cur.n == 0 {
		return
	}
	switch {
	case k > r.rank:
		r.readings, r.rank, r.current = r.cur, k, current
	case k == r.rank:
		r.agree(current)
	}
	r.cur.n = 0
}

// agree keeps the readings that both values of a text allow. Different alternating and direct ratings stand side by
// side; other values that differ are a contradiction.
func (r *reader) agree(current byte) {
	if current != 0 && r.current != 0 && current != r.current {
		for i := range r.cur.n {
			r.add(r.cur.out[i])
		}
		return
	}
	var both readings
	for i := range r.n {
		for j := range r.cur.n {
			if r.out[i].Quantity == r.cur.out[j].Quantity && agreeing(r.out[i].Tolerance, r.cur.out[j].Tolerance) {
				both.add(r.out[i])
			}
		}
	}
	if both.n == 0 {
		r.fail = "there are two different values of " + r.kind.String() + " in it; give one at a time"
		return
	}
	r.readings = both
}

func agreeing(a, b Tolerance) bool { return a == b || a.IsZero() || b.IsZero() }

// offer adds a reading of a quantity to those at hand, if it can be at all.
func (r *reader) offer(d decimalNumber, exp int, u Unit, t Tolerance, doubts []string) {
	q, ok := d.times(exp, u)
	switch {
	case !ok:
		r.fail = "the number is beyond what any part has; write it again"
	case q.Sign() < 0 && !mayBeNegative(u), q.Sign() == 0 && mustBePositive(u):
		r.fail = "a " + r.kind.String() + " of " + q.String() + " is none; write the value again"
	default:
		r.cur.add(Reading{q, t, doubts})
	}
}

func mayBeNegative(u Unit) bool { return u == Celsius || u == Volt || u == Ampere || u == Percent }

func mustBePositive(u Unit) bool {
	switch u {
	case Farad, Henry, Watt, Joule, Hour, Hertz, Millimetre:
		return true
	}
	return false
}
