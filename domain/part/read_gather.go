package part

import (
	"bytes"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/quantity"
)

// gather notes what each word says by itself. Later steps decide what it means
// for the part.
func (r *reader) gather() {
	r.names()
	r.counts()
	for i := 0; i < len(r.words); {
		i += max(1, r.gatherAt(i))
	}
}

// gatherAt notes what the words from i on say and how many they are.
func (r *reader) gatherAt(i int) int {
	w := &r.words[i]
	if w.used || w.quoted || w.name {
		return 0
	}
	low := r.lower(i)
	switch c := low[0]; {
	case isDigit(c), (c == '.' || c == ',') && len(low) > 1 && isDigit(low[1]):
		return r.figure(i)
	case c == '+', c == '-', plusMinus(low):
		return r.signed(i)
	}
	if n := r.cellApart(i); n > 0 {
		return n
	}
	if n := r.phrase(i); n > 0 {
		return n
	}
	if n := r.codeAt(i); n > 0 {
		return n
	}
	if n := r.sizeLetter(i); n > 0 {
		return n
	}
	return r.compound(i)
}

// compoundEnds are the last members of German compounds that say a class or a
// construction by themselves.
var compoundEnds = []string{"elko", "kondensator", "kondensatoren", "widerstand", "widerstände", "potentiometer", "poti", "trimmer", "sicherung", "drossel",
	"spule", "transistor", "diode", "quarz", "relais", "schalter", "akku", "batterie", "zelle", "transformator", "trafo"}

// compound cuts a German compound such as Tonfrequenzelko before its last
// member, so that either half is read or left over by itself.
func (r *reader) compound(i int) int {
	low := r.lower(i)
	for _, end := range compoundEnds {
		k := len(low) - len(end)
		if k < 3 || string(low[k:]) != end || !isLetter(low[k-1]) {
			continue
		}
		first := k
		if s := low[:k]; !known(s) && s[k-1] == 's' && known(s[:k-1]) {
			first-- // Entstörungs-
		}
		r.words = append(r.words, word{})
		copy(r.words[i+1:], r.words[i:])
		r.words[i].hi = r.words[i].lo + uint16(first)
		tail := &r.words[i+1]
		tail.lo, tail.glued, tail.stroke, tail.equals, tail.paren = tail.lo+uint16(k), true, false, false, false
		r.phrase(i + 1)
		r.phrase(i)
		r.words[i].hi = r.words[i].lo + uint16(k) // the s belongs to it
		return 2
	}
	return 0
}

// figure notes what begins with a figure: a size, a quantity, a code.
func (r *reader) figure(i int) int {
	if r.codedAt(i) {
		return 0
	}
	if s, ok := r.sizeAt(i); ok {
		return r.sized(s)
	}
	if n := r.lengthBefore(i); n > 0 {
		return n
	}
	if n := r.rangeOfHeat(i); n > 0 {
		return n
	}
	if m, ok := r.groupedAt(i); ok {
		return r.measured(m)
	}
	if m, n := r.written(i); n > 0 {
		return r.measured(m)
	}
	if m, n := r.bareBehind(labelTemperature, i); n > 0 && r.words[i].atSign {
		return r.measured(m)
	}
	if n := r.odd(i); n > 0 {
		return n
	}
	if n := r.phrase(i); n > 0 {
		return n
	}
	return r.codeAt(i)
}

// groupedAt reads a number whose thousands stand apart: 1 000 µF, 2 200 µF. It
// is one where it is a preferred number, or its last group is nought.
func (r *reader) groupedAt(i int) (m measure, ok bool) {
	low := r.lower(i)
	if len(low) > 3 || !allDigits(low) || low[0] == '0' || !r.free(i+1, i+2) || r.words[i+1].glued || !r.grouped(i) {
		return m, false
	}
	m, n := r.written(i + 1)
	if n == 0 || !isValueUnit(m.q.Unit()) {
		return m, false
	}
	f, _ := number(r.lower(i + 1))
	zero := f.coef == 0
	coef, _ := wholeNumber(low)
	whole, ok := r.thousands(int64(coef), f, i+1)
	if !ok {
		return m, false
	}
	in, _ := quantity.Preferred(whole)
	if !in && !zero {
		return m, false
	}
	if single, _ := quantity.Preferred(m.q); single && !zero {
		r.doubt("%s is read as one number with its thousands apart.", r.source(i, m.j))
	}
	m.q, m.i = whole, i
	return m, true
}

// thousands gives the quantity of a number in two groups, of which the second
// stands with the unit in word i.
func (r *reader) thousands(first int64, second figures, i int) (quantity.Quantity, bool) {
	tail, raw := r.lower(i)[second.size:], r.cased(i)[second.size:]
	if len(tail) == 0 {
		tail, raw = r.lower(i+1), r.cased(i+1)
	}
	u, ok := r.unit(second, tail, raw)
	if !ok || second.point || second.size != 3 {
		return quantity.Quantity{}, false
	}
	return quantity.New(first*1000+second.coef, u.exp, u.of)
}

// measured notes a quantity, with the word that names it where one follows.
func (r *reader) measured(m measure) int {
	if label, n := r.labelAt(m.j); n > 0 && m.label == "" && r.fits(label, m.q.Unit()) && !r.figureAt(m.j+n) {
		m.label, m.j = label, m.j+n
	}
	if m.q.Unit() == quantity.Percent {
		if t, ok := quantity.Symmetric(m.q); ok && m.q.Sign() >= 0 {
			r.devs = append(r.devs, deviation{t, m.i, m.j, m.doubts})
			r.take(m.i, m.j)
		}
		return m.j - m.i
	}
	r.measures = append(r.measures, m)
	r.take(m.i, m.j)
	return m.j - m.i
}

func (r *reader) figureAt(i int) bool { return r.free(i, i+1) && hasDigit(r.lower(i)) }

// fits reports whether a label can name a quantity of a unit.
func (r *reader) fits(label string, u quantity.Unit) bool {
	switch label {
	case labelESR:
		return u == quantity.Ohm
	case labelRipple, labelCurrent:
		return u == quantity.Ampere
	case labelVoltage:
		return u == quantity.Volt
	case labelTemperature:
		return u == quantity.Celsius
	case labelTolerance:
		return u == quantity.Percent
	case labelEndurance:
		return u == quantity.Hour
	}
	return false
}

// labelAt gives the label that words from i on are, and how many they are.
func (r *reader) labelAt(i int) (label string, n int) {
	s, n := r.lookUp(i)
	if n == 0 || s.act != sayLabel {
		return "", 0
	}
	return s.value, n
}

// lookUp finds the longest phrase that begins at word i.
func (r *reader) lookUp(i int) (*saying, int) {
	if !r.free(i, i+1) {
		return nil, 0
	}
	head, known := vocabulary[string(r.key(i, 1))]
	if !known {
		return nil, 0
	}
	for n := min(head.longer, len(r.words)-i); n > 1; n-- {
		if !r.free(i, i+n) {
			continue
		}
		if s, ok := vocabulary[string(r.key(i, n))]; ok && s.act != sayNothing {
			return s, n
		}
	}
	if head.act == sayNothing {
		return nil, 0
	}
	return head, 1
}

// key is the folded form of n words from i on, parted by single blanks and
// without the points of abbreviations.
func (r *reader) key(i, n int) []byte {
	if low := r.lower(i); n == 1 && low[len(low)-1] != '-' && bytes.IndexByte(low, '.') < 0 {
		return low
	}
	b := r.spell[:0]
	for k := i; k < i+n; k++ {
		if k > i {
			b = append(b, ' ')
		}
		for _, c := range r.lower(k) {
			switch {
			case c != '.':
				b = append(b, c)
			case len(b) > 0 && b[len(b)-1] != ' ' && b[len(b)-1] != '.':
				b = append(b, ' ')
			}
		}
		for len(b) > 1 && (b[len(b)-1] == ' ' || b[len(b)-1] == '-') {
			b = b[:len(b)-1]
		}
	}
	r.spell = b
	return b
}

// said is a phrase of the vocabulary where it stands.
type said struct {
	*saying
	i, j int
}

// phrase notes the phrase that begins at word i.
func (r *reader) phrase(i int) int {
	s, n := r.lookUp(i)
	switch {
	case n == 0:
		return 0
	case s.act == sayLabel:
		return r.labelled(s.value, i, i+n)
	case s.act == sayRoughly:
		if !r.figureAt(i + n) {
			return 0
		}
		r.roughly = true
	default:
		r.said = append(r.said, said{s, i, i + n})
		r.take(i, i+n)
	}
	return n
}

// labelled notes what stands behind a label, in words i to j-1; 0 where that is
// nothing that the label can name.
func (r *reader) labelled(label string, i, j int) int {
	if r.free(j, j+1) && j-i == 1 && len(r.lower(i)) == 1 && !r.words[j].equals && label != labelPitch && !r.millimetresAt(j) {
		return 0 // a letter alone is mostly something else
	}
	for r.free(j, j+2) && filler(r.lower(j)) {
		j++
	}
	switch label {
	case labelCount:
		if r.free(j, j+1) && r.out.Quantity == 0 {
			if n, ok := wholeNumber(r.lower(j)); ok {
				r.counted(n, i, j+1)
				return j + 1 - i
			}
		}
		return 0
	case labelPitch, labelDiameter, labelLength, labelWidth, labelHeight:
		return r.lengthBehind(label, i, j)
	case labelTolerance:
		if r.free(j, j+1) {
			if n := r.deviationAt(j); n > 0 {
				r.devs[len(r.devs)-1].i = i
				r.take(i, j)
				return j + n - i
			}
		}
	case labelCase:
		return r.caseBehind(i, j)
	case labelDielectric, labelConstruction, labelChemistry, labelSafety:
		return r.quotedBehind(label, i, j)
	}
	return r.measureBehind(label, i, j)
}

// filler recognises the words that may stand between a label and its figure.
func filler(low []byte) bool {
	switch string(low) {
	case "max", "max.", "de", "of", "von", "typ", "typ.", "bis", "min", "min.":
		return true
	}
	return false
}

// measureBehind notes the quantity behind a label such as ESR or W.V.
func (r *reader) measureBehind(label string, i, j int) int {
	if !r.free(j, j+1) {
		return 0
	}
	m, n := r.written(j)
	if n == 0 {
		m, n = r.bareBehind(label, j)
	}
	if n == 0 || !r.fits(label, m.q.Unit()) {
		return 0
	}
	m.label, m.i = label, i
	return r.measured(m)
}

// bareBehind reads a number without its unit behind a label that says it.
func (r *reader) bareBehind(label string, j int) (m measure, n int) {
	var u quantity.Unit
	switch label {
	case labelVoltage:
		u = quantity.Volt
	case labelTemperature:
		u = quantity.Celsius
	default:
		return m, 0
	}
	f, ok := number(r.lower(j))
	if !ok || f.size != len(r.lower(j)) {
		return m, 0
	}
	m.q, ok = quantity.New(f.coef, f.exp, u)
	if !ok || m.q.Sign() <= 0 {
		return m, 0
	}
	m.i, m.j = j, j+1
	return m, 1
}

// quotedBehind takes a text in double quotes for the member that its label
// names.
func (r *reader) quotedBehind(label string, i, j int) int {
	if j >= len(r.words) || !r.words[j].quoted || r.words[j].used {
		return 0
	}
	r.codes = append(r.codes, code{what: quotedCode, name: label, i: i, j: j + 1})
	r.take(i, j+1)
	return j + 1 - i
}

// unquoted gives the text of a quoted word.
func (r *reader) unquoted(i int) string {
	s := r.source(i, i+1)
	return strings.ReplaceAll(s[1:len(s)-1], `""`, `"`)
}

// odd notes quantities in less usual writing: 6V3, 1/4W, 221°F, 1.234 kV, 60
// mAh.
func (r *reader) odd(i int) int {
	low := r.lower(i)
	if p, ok := pointOf(low); ok {
		if m, ok := p.rating(i); ok {
			return r.measured(m)
		}
		return 0
	}
	if n := r.fractionAt(i); n > 0 {
		return n
	}
	if n := r.charge(i); n > 0 {
		return n
	}
	if n := r.climate(i); n > 0 {
		return n
	}
	return r.judged(i)
}

// letterPoint is a number with a letter for its decimal sign, as in 4u7 and
// 6V3; or one with a letter behind it.
type letterPoint struct {
	coef   int64
	exp    int
	letter string
	behind bool // the letter stands behind
}

// pointOf reads such a number; the letter is in lower case.
func pointOf(low []byte) (p letterPoint, ok bool) {
	f, ok := number(low)
	if !ok || f.size == len(low) {
		return p, false
	}
	rest := low[f.size:]
	n := 1
	if rest[0] == 0xC2 { // µ
		n = 2
	}
	if n > len(rest) || n == 2 && rest[1] != 0xB5 || n == 1 && (rest[0] < 'a' || rest[0] > 'z') {
		return p, false
	}
	p = letterPoint{coef: f.coef, exp: f.exp, letter: string(rest[:n])}
	rest = rest[n:]
	if len(rest) == 0 {
		p.behind = true
		return p, true
	}
	if f.point || !allDigits(rest) || len(rest) > 3 {
		return p, false
	}
	for _, c := range rest {
		p.coef = p.coef*10 + int64(c-'0')
		p.exp--
	}
	return p, true
}

// rating gives the quantity of 6V3, 3A15 and 0W25.
func (p letterPoint) rating(i int) (m measure, ok bool) {
	var u quantity.Unit
	switch {
	case p.behind:
		return m, false
	case p.letter == "v":
		u = quantity.Volt
	case p.letter == "a":
		u = quantity.Ampere
	case p.letter == "w":
		u = quantity.Watt
	default:
		return m, false
	}
	m.q, ok = quantity.New(p.coef, p.exp, u)
	m.i, m.j = i, i+1
	return m, ok
}

// fractionAt notes 1/4W, 1/2 watt, 1/4 A and 2 1/2 A.
func (r *reader) fractionAt(i int) int {
	whole, k := 0, i
	if n, ok := wholeNumber(r.lower(i)); ok && r.free(i+1, i+2) && !r.words[i+1].glued {
		whole, k = n, i+1
	}
	low := r.lower(k)
	if len(low) < 3 || low[0] != '1' || low[1] != '/' {
		return 0
	}
	den, n := leadingInt(low[2:])
	tail, j := low[2+n:], k+1
	if len(tail) == 0 && r.free(j, j+1) {
		tail, j = r.lower(j), j+1
	}
	u, ok := unitOf(tail0(tail), tail0(tail))
	if !ok || u.of != quantity.Watt && u.of != quantity.Ampere || u.exp != 0 || den == 0 {
		return 0
	}
	one, _ := quantity.New(int64(whole*den+1), 0, u.of)
	q, ok := one.MulRatio(1, int64(den))
	if !ok {
		return 0
	}
	return r.measured(measure{q: q, i: i, j: j})
}

// tail0 keeps an empty tail from being looked into.
func tail0(b []byte) []byte {
	if len(b) == 0 {
		return []byte{' '}
	}
	return b
}

// charge keeps what a cell holds, 60 mAh, which has no member.
func (r *reader) charge(i int) int {
	low := r.lower(i)
	f, ok := number(low)
	if !ok {
		return 0
	}
	tail, j := low[f.size:], i+1
	if len(tail) == 0 && r.free(j, j+1) {
		tail, j = r.lower(j), j+1
	}
	name := ""
	switch string(tail) {
	case "mah":
		name = " mAh"
	case "ah":
		name = " Ah"
	default:
		return 0
	}
	r.codes = append(r.codes, code{what: chargeCode, name: strings.ReplaceAll(string(low[:f.size]), ",", ".") + name, class: "cell", i: i, j: j})
	r.take(i, j)
	return j - i
}

// climate notes the climatic category of IEC 60068-1 that safety capacitors
// bear, such as 40/085/21 or 55/105/56: lowest and highest temperature, days of
// damp heat.
func (r *reader) climate(i int) int {
	if !r.free(i, i+3) || !r.words[i+1].stroke || !r.words[i+2].stroke {
		return 0
	}
	cold, hot, days := string(r.lower(i)), string(r.lower(i+1)), string(r.lower(i+2))
	switch cold {
	case "10", "25", "40", "55", "65":
	default:
		return 0
	}
	switch days {
	case "04", "10", "21", "56":
	default:
		return 0
	}
	n, err := strconv.Atoi(hot)
	if err != nil || !hotRating(int64(n)) {
		return 0
	}
	q, _ := quantity.New(int64(n), 0, quantity.Celsius)
	r.doubt("%s is read as a climatic category (IEC 60068-1), of which only the upper temperature is kept.", r.source(i, i+3))
	return r.measured(measure{q: q, i: i, j: i + 3})
}

// judged notes a rating whose number only quantity.Read may judge, such as
// 1.234 kV and 221°F.
func (r *reader) judged(i int) int {
	low, j := r.lower(i), i+1
	n := 0
	for n < len(low) && (isDigit(low[n]) || low[n] == '.' || low[n] == ',') {
		n++
	}
	tail := low[n:]
	if len(tail) == 0 && r.free(j, j+1) && !r.words[j].stroke {
		tail, j = r.lower(j), j+1
	}
	if len(tail) == 0 {
		return 0
	}
	k := ratingKind(tail)
	if k == 0 || k == quantity.Duration && tail[0] == 'h' && (r.coil() || r.cased(j - 1)[len(r.cased(j-1))-1] == 'H') {
		return 0
	}
	text := r.source(i, j)
	if k == quantity.Frequency {
		text = string(low[:n]) + " " + hertz(tail) // of which quantity.Read takes a small m for milli
	}
	found, err := quantity.Read(text, k, r.listed())
	switch {
	case err != nil:
	case k == quantity.Frequency:
		found = r.frequency(found, text, i, j)
	case k == quantity.Duration:
		found = slices.DeleteFunc(found, func(f quantity.Reading) bool { return f.Quantity.Compare(leastEndurance) < 0 })
	}
	if err != nil || len(found) != 1 || found[0].Quantity.Unit() != k.Unit() {
		return 0
	}
	return r.measured(measure{q: found[0].Quantity, i: i, j: j, doubts: found[0].Doubts})
}

// Of a frequency with three figures behind its sign the one below a gigahertz is
// meant, and 32.768 kHz always: it is what clocks count down to a second.
// Common practice.
var (
	highestCrystal, _ = quantity.New(1, 9, quantity.Hertz)
	clockCrystal, _   = quantity.New(32768, 0, quantity.Hertz)
	clockTimes1000, _ = quantity.New(32768, 3, quantity.Hertz)
)

// leastEndurance is the shortest endurance that is believed of 2.000 h. Common
// practice.
var leastEndurance, _ = quantity.New(100, 0, quantity.Hour)

// hertz spells the unit of a frequency.
func hertz(low []byte) string {
	u, _ := unitOf(low, low)
	return [...]string{"Hz", "kHz", "MHz", "GHz"}[u.exp/3]
}

// frequency chooses among the readings of 12.000 MHz and 32,768 kHz. Where two
// are crystals, the sign is taken for a decimal one, which a doubt tells.
func (r *reader) frequency(found []quantity.Reading, text string, i, j int) []quantity.Reading {
	tooHigh := func(f quantity.Reading) bool { return f.Quantity.Compare(highestCrystal) > 0 }
	found = slices.DeleteFunc(found, tooHigh)
	if len(found) == 0 {
		found, _ = quantity.Read(text, quantity.Frequency, quantity.Context{})
		found = slices.DeleteFunc(found, tooHigh)
	}
	if len(found) == 0 {
		return nil
	}
	least := slices.MinFunc(found, func(a, b quantity.Reading) int { return a.Quantity.Compare(b.Quantity) })
	if len(found) > 1 && least.Quantity != clockCrystal || least.Quantity == clockTimes1000 {
		r.doubt("What the sign in %s stands for is not sure; %s is read.", r.source(i, j), least.Quantity.String())
	}
	return []quantity.Reading{least}
}

// ratingKind is the kind of rating that letters behind a number hint at.
func ratingKind(tail []byte) quantity.Kind {
	if u, ok := unitOf(tail, tail); ok {
		switch u.of {
		case quantity.Volt:
			return quantity.Voltage
		case quantity.Ampere:
			return quantity.Current
		case quantity.Watt:
			return quantity.Power
		case quantity.Hour:
			return quantity.Duration
		case quantity.Hertz:
			return quantity.Frequency
		}
	}
	switch string(tail) {
	case "h":
		return quantity.Duration
	case "°f":
		return quantity.Temperature
	case "v-", "v.", "w.v.", "vw", "vdcw", "v.dc", "v.ac", "wvac":
		return quantity.Voltage
	}
	return 0
}

// listed is the context of a rating that stands in a line.
func (r *reader) listed() quantity.Context {
	c := r.ctx
	c.Class, c.Found = string(r.out.Part.Class), "list"
	return c
}
