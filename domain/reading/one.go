package reading

import (
	"fmt"
	"slices"
	"sync"
	"unicode/utf8"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Quantities is what Quantity makes of a text.
type Quantities struct {
	Amounts []Amount
	Sure    bool // there is one, without a doubt, and every word of the text is understood
}

// readers are used again, since one is some kilobytes.
var readers = sync.Pool{New: func() any { return new(reader) }}

// Quantity reads a quantity of one kind from text as people write it. Several amounts mean that the text says several
// things in this context, and none was preferred; a *Refusal means that it was refused.
//
// Of a text that holds several quantities (22µ/16V) the one of the kind is read, if there is one. A value with its unit
// goes before a code, and a code before a bare number; these two are read only where every other word of the text is
// understood.
func Quantity(text string, k quantity.Kind, c quantity.Context) (Quantities, error) {
	if a, ok := readCanonical(text, k, c.Language); ok {
		return Quantities{[]Amount{a}, true}, nil
	}
	refuse := func(reason message.Message) (Quantities, error) {
		return Quantities{}, &Refusal{Text: text, Reason: reason}
	}
	switch {
	case k.Unit() == quantity.None:
		return refuse(message.Of("reading.no-kind"))
	case len(text) > maxQuantity:
		return refuse(failMany)
	case !utf8.ValidString(text):
		return refuse(message.Of("reading.not-utf8"))
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	r.reset(text, c)
	r.only = k
	r.run()
	o := asker{reader: r, kind: k, ctx: c}
	if o.fail = r.badSign(); o.fail.IsZero() {
		r.recognise()
		o.ask(0, len(r.atoms))
	}
	if !o.fail.IsZero() {
		return refuse(o.fail)
	}
	q := Quantities{Amounts: slices.Clone(o.all.out[:o.all.n])}
	q.Sure = len(q.Amounts) == 1 && len(q.Amounts[0].Doubts) == 0 && o.unknown == "" && !o.beside && !r.about &&
		r.odd == 0
	return q, nil
}

// maxQuantity is the longest text, in bytes, that is read as one quantity.
const maxQuantity = 400

// readCanonical reads the canonical spelling, which says one thing in every context. A language in which a point
// groups thousands is left to the rules for numbers.
func readCanonical(text string, k quantity.Kind, language string) (Amount, bool) {
	if text == "" || language != "" && language != "en" {
		return Amount{}, false
	}
	if k == quantity.ToleranceKind {
		if text[0] != '-' && text[0] != "±"[0] {
			return Amount{}, false
		}
		t, err := quantity.ParseTolerance(text)
		return Amount{Tolerance: t}, err == nil
	}
	if len(text) > 40 || !digit(text[0]) && text[0] != '-' {
		return Amount{}, false
	}
	q, err := quantity.Parse(text)
	return Amount{Quantity: q}, err == nil && q.Unit() == k.Unit() && possible(q)
}

// badSign names the first sign that has no place in a quantity.
func (r *reader) badSign() message.Message {
	if r.bad != 0 {
		return message.Of("reading.bad-sign", string(r.bad)+fmt.Sprintf(" (U+%04X)", r.bad))
	}
	for k := range r.atoms {
		if r.atoms[k].sort != sign {
			continue
		}
		switch c := r.printOf(k); c {
		case "?", "!":
			return failDoubt
		case "<", ">", "≈", "≤", "≥":
			return failAbout
		case "|":
			if r.isSign(k+1, '|') {
				return failParallel
			}
		case "^", "$", "&", "\\", "`", "{", "}", "€", "£", "¥", "#":
			return message.Of("reading.bad-sign", c)
		}
	}
	return message.Message{}
}

// asker asks the cover of a text for one kind of quantity.
type asker struct {
	*reader
	kind    quantity.Kind
	ctx     quantity.Context
	all     amounts
	rank    rank
	current current
	capEnd  int // the atom behind the last capacitance
	valued  int // the atom behind the last value of the kind
	cross   int // the atom behind a count with the sign of multiplication
	foreign quantity.Unit
	unknown string // the first word not understood
	bounded bool
	skipped int  // the atom behind a letter that says nothing of the value
	beside  bool // something stands in the text that says nothing of the kind, and is not understood either
	fail    message.Message
}

// ask reads atoms i to before j.
func (o *asker) ask(i, j int) {
	o.marks.ask(o.kind, o.ctx)
	o.bare = o.bare[:0]
	if i == j {
		o.fail = message.Of("reading.nothing-to-read")
		return
	}
	if o.lone(i, j) || !o.fail.IsZero() {
		return
	}
	for k := i; k < j && o.fail.IsZero(); {
		k = o.step(k, j)
	}
	if o.fail.IsZero() {
		o.settle(j)
	}
}

// lone reads the texts that mean something only when nothing stands beside them: a letter, two characters.
func (o *asker) lone(i, j int) bool {
	for _, s := range o.spansAt(i) {
		if s.act == actAbsent && s.j == j {
			o.fail = failAbsent
			return true
		}
	}
	if o.runEnd(i) != j || o.atoms[i].sort == sign {
		return false
	}
	c := o.chunk(i, j)
	t := c.atoms[0].text
	m := &o.marks
	switch {
	case c.word() && len(t) == 1 && t[0] < signOhm:
		m.loneLetter(t[0])
	case o.kind == quantity.Voltage && c.shape("9A") && len(t) == 1 && len(c.atoms[1].text) == 1:
		m.voltageCode(t[0], c.atoms[1].text[0])
	case o.kind == quantity.Capacitance && m.fam == ceramics && !m.list() && c.shape("A9") && len(t) == 1 &&
		len(c.atoms[1].text) == 1:
		m.chipCode(t[0], c.atoms[1].text[0])
	}
	o.commit(rankCode, unsaid)
	return o.all.n > 0
}

// commit takes the amounts that the codes gave into the result.
func (o *asker) commit(k rank, cur current) {
	if o.fail.IsZero() {
		o.fail = o.marks.fail
	}
	o.marks.fail = message.Message{}
	if u := o.marks.foreign; u != 0 {
		o.foreign = u
	}
	if o.marks.cur.n == 0 {
		return
	}
	switch {
	case k == rankLead && o.rank == rankCode, k == rankCode && o.rank == rankLead:
		o.agree(cur)
	case k > o.rank:
		o.all, o.rank, o.current = o.marks.cur, k, cur
	case k == o.rank:
		o.agree(cur)
	}
	o.marks.cur.n = 0
}

// agree keeps the amounts that both values of a text allow. Different alternating and direct ratings stand side by
// side; other values that differ are a contradiction.
func (o *asker) agree(cur current) {
	if cur != unsaid && o.current != unsaid && cur != o.current {
		for _, a := range o.marks.cur.out[:o.marks.cur.n] {
			o.all.add(a)
		}
		return
	}
	var both amounts
	for _, a := range o.all.out[:o.all.n] {
		for _, b := range o.marks.cur.out[:o.marks.cur.n] {
			if a.Quantity == b.Quantity && (a.Tolerance == b.Tolerance || a.Tolerance.IsZero() ||
				b.Tolerance.IsZero()) {
				both.add(a)
			}
		}
	}
	if both.n == 0 {
		o.fail = message.Of("reading.two-values", kindWord(o.kind))
		return
	}
	o.all = both
}

// step reads what begins at atom k and returns the atom behind it.
func (o *asker) step(k, end int) int {
	a := &o.atoms[k]
	run := min(o.runEnd(k), end)
	for n := o.first[k]; n < o.first[k+1]; n++ {
		if s := &o.spans[n]; s.act == actOrder && s.j <= end && s.j >= run {
			o.take(s)
			return s.j
		}
	}
	if a.sort != sign && (k == 0 || !o.glued(k) || o.skipped == k) {
		if o.coded(k, run) {
			return run
		}
		if j := o.prefix(k, run); j > k {
			return j
		}
	}
	if s := o.bestAt(k, end); s != nil {
		j := s.j
		o.take(s)
		return j
	}
	switch {
	case a.sort == sign:
		if o.stray(k + 1) {
			o.fail = failStray
		}
		if o.isSign(k, '~') && o.isFigures(k+1) && o.touches(k+1) && (a.gap || k == 0) &&
			o.kind != quantity.Temperature {
			o.fail = failAbout
		}
		return k + 1
	case a.sort == quoted:
		o.puzzle(k, k+1)
		return k + 1
	}
	return o.loose(k, run)
}

// coded reads figures with one letter that may be a code although the letter is also a unit's.
func (o *asker) coded(k, run int) bool {
	c := o.chunk(k, run)
	if !o.marks.codeFirst(&c) {
		return false
	}
	return o.code(&c, k, run)
}

// prefix reads a number with a lone multiplier letter, against it or apart, that means one thing for the kind asked for:
// 10k of a resistor, 4.7 n of a capacitor.
func (o *asker) prefix(k, run int) int {
	m := &o.marks
	if !o.isFigures(k) || !m.suits(o.kind) || !o.isLetters(k+1) || len(o.codeOf(k+1)) != 1 || run > k+2 ||
		o.atoms[k+1].gap && o.glued(k+2) {
		return k
	}
	l := o.codeOf(k + 1)[0]
	exps, n := tailLetter(o.kind, l)
	if o.kind == quantity.Capacitance && o.ctx.Continental && l == 'k' {
		exps, n = [2]int8{-9}, 1 // kilo-picofarad
	}
	end := k + 2
	if u, j, ok := o.unitAt(end); ok && o.atoms[end].gap && u.unit == o.kind.Unit() && u.n == 1 && u.exps[0] == 0 {
		end = j
	}
	num, ok := readNumeral(o.codeOf(k), o.ctx.Language)
	if n == 0 || !ok || o.isSign(end, '=') {
		return k
	}
	if o.cross == k && k > 0 {
		o.fail = failCounted
		return end
	}
	neg := o.negative(k)
	for _, d := range num.alts[:num.n] {
		if neg {
			d.coef = -d.coef
		}
		for _, e := range exps[:n] {
			m.offer(d, int(e), o.kind.Unit(), quantity.Tolerance{}, nil)
		}
	}
	o.commit(rankUnit, unsaid)
	o.valued = end
	if o.kind == quantity.Capacitance {
		o.capEnd = end
	}
	return end
}

// loose reads a run that no span covers: a marking code, a number without unit, or a word not understood.
func (o *asker) loose(k, run int) int {
	c := o.chunk(k, run)
	if o.leadingLetter(&c) {
		o.skipped = k + 1
		return k + 1
	}
	switch {
	case c.number():
		o.number(k, run)
	case c.word():
		o.letterApart(k, &c)
	case o.ratingEnds(k, run):
		o.parts(k, run)
	case o.code(&c, k, run):
	default:
		o.parts(k, run)
	}
	return run
}

// ratingEnds reports whether a run is a value with its multiplier letter and a rating with its unit, as a part's text is
// read: 10k1W, 22u16V, 100n105°C.
func (o *asker) ratingEnds(k, run int) bool {
	if run != k+3 && run != k+4 || !o.isFigures(k) || len(o.codeOf(k+1)) != 1 || o.marks.marking() {
		return false
	}
	for _, s := range o.spansAt(k + 2) {
		if s.act == actAmount && s.j >= run {
			u := s.q[0].Unit()
			return u == quantity.Watt || u == quantity.Volt && o.marks.class != capacitors || u == quantity.Celsius
		}
	}
	return false
}

// parts reads a run of which the head is a code or number and the rest has spans of its own: 22u16V.
func (o *asker) parts(k, run int) {
	for j := run - 1; j > k; j-- {
		if s := o.bestAt(j, run); s != nil && s.j >= run && s.act == actAmount {
			if c := o.chunk(k, j); c.number() {
				o.number(k, j)
			} else if !o.code(&c, k, j) {
				o.puzzle(k, run)
			}
			o.take(s)
			return
		}
	}
	o.puzzle(k, run)
}

// leadingLetter reports whether the letter before figures is the law of a potentiometer's track.
func (o *asker) leadingLetter(c *chunk) bool {
	w := c.atoms[0].text
	return o.marks.class == potentiometers && c.n > 1 && !c.atoms[0].number && len(w) == 1 &&
		(w[0] >= 'A' && w[0] <= 'C' || w[0] == 'W' || w[0] == 'S')
}

// code reads a run as a marking code.
func (o *asker) code(c *chunk, k, run int) bool {
	ok, rank := o.marks.chunk(c)
	if !ok && o.marks.fail.IsZero() {
		return false
	}
	n := o.marks.cur.n
	if o.cross == k && k > 0 && n > 0 {
		o.fail = failCounted
		return true
	}
	if what := o.marks.what(); what == quantity.Capacitance || what == 0 {
		o.capEnd = run
	}
	if n > 0 {
		o.valued = run
	}
	o.commit(rank, unsaid)
	return true
}

// number keeps a number without unit for settling, or fails where it counts parts.
func (o *asker) number(k, run int) {
	num, ok := readNumeral(o.codeOf(k), o.ctx.Language)
	switch {
	case !ok:
		o.fail = failNumber
	case o.cross == k && k > 0 && o.valued > 0:
		o.fail = failCounted
	case o.cross == k && k > 0 || len(o.bare) > 0 && chips[string(o.codeOf(k))] != (chip{}):
	case len(o.bare) == 4:
		o.puzzle(k, run)
	default:
		b := bareNumber{num: num, i: k}
		b.neg = o.negative(k)
		b.slash = o.isSign(k-1, '/')
		b.joined = k > 0 && o.atoms[k-1].sort == sign && len(o.bare) > 0 && (o.isSign(k-1, '-') || o.isSign(k-1, '…') ||
			o.isSign(k-1, '~') || o.isSign(k-1, '+') || o.isSign(k-1, '.'))
		o.bare = append(o.bare, b)
	}
}

// puzzle notes what is not understood.
func (o *asker) puzzle(i, j int) {
	if o.unknown == "" {
		o.unknown = "“" + o.source(i, j) + "”"
	}
}

// letterApart reads a tolerance letter that stands apart behind a value, as in 100 nF J, and passes over a maker's
// series printed on a can.
func (o *asker) letterApart(k int, c *chunk) {
	w := c.atoms[0].text
	m := &o.marks
	if len(w) == 1 && k > 0 {
		if s := letterTolerances(w[0], m.what(), quantity.Quantity{}); s.n > 0 {
			if o.kind == quantity.ToleranceKind && (o.foreign != quantity.None || len(o.bare) > 0) {
				for _, t := range s.t[:s.n] {
					m.cur.add(Amount{Tolerance: t})
				}
				o.commit(rankCode, unsaid)
			}
			return
		}
	}
	if o.isWord(k, "x", "c", "r", "l") && len(w) == 1 {
		return
	}
	if m.marking() && (m.fam == cans || m.fam == tantalums) && len(w) <= 3 && w[0] >= 'A' && w[0] <= 'Z' {
		return
	}
	o.puzzle(k, k+1)
}

// settle decides by what was found.
func (o *asker) settle(end int) {
	if o.rank == rankNone && o.unknown == "" {
		o.marks.bare(o.bare, o.capEnd, len(o.bare) == 1 && o.onlyNumber(end))
		o.commit(rankBare, unsaid)
	}
	switch {
	case !o.fail.IsZero():
	case o.all.n == 0:
		o.fail = o.missing()
	case o.rank == rankLead && len(o.bare) > 0 && (o.kind == quantity.Resistance || o.kind == quantity.Inductance):
		o.fail = message.Of("reading.side-by-side")
	case o.rank < rankLead && o.unknown != "":
		o.fail = message.Of("reading.not-trusted", o.unknown)
	case o.bounded && (o.kind == quantity.Capacitance || o.kind == quantity.Inductance):
		o.fail = failAbout
	}
	o.beside = o.bounded || o.rank >= rankLead && len(o.bare) > 0
}

// onlyNumber reports whether the bare number is all that the text holds.
func (o *asker) onlyNumber(end int) bool {
	for k := range end {
		if o.atoms[k].sort != sign && k != o.bare[0].i {
			return false
		}
	}
	return true
}

func (o *asker) missing() message.Message {
	what := message.Of("reading.missing", kindWord(o.kind), examples[o.kind])
	switch {
	case o.foreign != quantity.None && o.foreign != o.kind.Unit():
		return message.Of("reading.foreign", o.foreign, what)
	case o.unknown != "":
		return message.Of("reading.unknown-word", o.unknown, what)
	}
	return what
}

var examples = [...]string{
	quantity.Capacitance: "4.7 µF", quantity.Resistance: "4.7 kΩ", quantity.Inductance: "10 µH",
	quantity.Voltage: "16 V",
	quantity.Current: "630 mA", quantity.Power: "250 mW", quantity.Temperature: "105 °C",
	quantity.ToleranceKind: "±20 %",
	quantity.Length:        "5 mm", quantity.Duration: "2000 h", quantity.Frequency: "12 MHz", quantity.Energy: "1 J",
}
