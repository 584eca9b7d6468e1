package reading

import (
	"bytes"
	"slices"
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// valued finds the value: what stands with the unit of the class, else a number with a multiplier letter, else whatever
// the marking codes make of what is left.
func (p *partReader) valued() {
	kind := p.of.valueKind()
	p.besideCode(kind)
	unknown := p.of == 0 || p.of == restClass
	if kind == 0 && !unknown || len(p.values) > 0 || p.writtenValue(kind) {
		return
	}
	if (p.ctx.Found == "marking" || p.ctx.Found == "order-code") && p.printed(kind) {
		return
	}
	for i := p.named; i < len(p.atoms); i++ {
		if p.free(i) && !(p.glued(i) && p.free(i-1)) && p.valueAt(i, kind) {
			return
		}
	}
}

// besideCode tells a written value that an order code contradicts.
func (p *partReader) besideCode(kind quantity.Kind) {
	if !p.coded {
		return
	}
	for _, k := range p.got {
		s := &p.spans[k]
		if s.act == actAmount && s.q[0].Unit() != quantity.Volt && p.isValue(s, kind) && !slices.Contains(s.q[:s.n],
			p.values[0].Quantity) {
			p.doubt("reading.beside-code", p.source(s.i, s.j), p.values[0].Quantity)
		}
	}
}

// valueFrom sets the readings of the value, which atoms i to before j gave.
func (p *partReader) valueFrom(found []Amount, i, j int) {
	p.values, p.value = found, [2]int{i, j}
	p.use(i, j)
}

// writtenValue takes what is written with the unit of the class. Two different values are two readings.
func (p *partReader) writtenValue(kind quantity.Kind) bool {
	var found []Amount
	several := 0
	add := func(a Amount, i, j int) {
		switch {
		case slices.ContainsFunc(found, func(b Amount) bool { return a.Quantity == b.Quantity }):
			p.note(Field{Member: "value", Value: a.Quantity.String(), Quantity: a.Quantity}, i, j)
			return
		case len(found) == 0:
			p.value = [2]int{i, j}
		default:
			p.others = append(p.others, [2]int{i, j})
		}
		found = append(found, a)
	}
	p.each(func(s *span) bool {
		if !p.isValue(s, kind) || s.q[0].Unit() == quantity.Volt {
			return s.q[0].Unit() == quantity.Volt || !p.isValue(s, kind) && s.act != actRange
		}
		if s.n == 2 && s.act == actAmount && s.q[0].Unit() == quantity.Hertz && !p.frequency(s) {
			return false
		}
		several++
		for _, q := range s.q[:s.n] {
			if q.Sign() < 0 || q.Sign() == 0 && q.Unit() != quantity.Ohm {
				p.doubt("reading.no-such-value", kindWord(kind), q)
				return false
			}
			a := Amount{Quantity: q, Doubts: s.doubts}
			if s.act == actPair {
				a.Doubts = append(slices.Clone(a.Doubts), message.Of("reading.stroke"))
			}
			if s.act == actSections {
				a.Doubts = doubtSection
			}
			add(a, s.i, s.j)
		}
		return true
	}, actAmount, actPair, actSections)
	if len(found) > 1 && several > 1 {
		p.doubt("reading.several-values", kindWord(kind))
	}
	p.values = found
	return len(found) > 0
}

// printed reads all that is left as one print on a part, which may hold value, voltage and tolerance.
func (p *partReader) printed(kind quantity.Kind) bool {
	i := p.named
	for i < len(p.atoms) && !p.loose(i) {
		i++
	}
	j := i
	for j < len(p.atoms) && (p.loose(j) || p.atoms[j].sort == sign && j+1 < len(p.atoms) && p.loose(j+1)) {
		j++
	}
	if i == j {
		return false
	}
	if n := int(p.atoms[j-1].chi - p.atoms[i].clo); (n == 1 || n == 2 && p.ctx.Found == "order-code") &&
		p.of == capacitorClass {
		p.impliedVoltage(i, j)
		return true
	}
	found := p.asKind(i, j, kind)
	if len(found) == 0 {
		p.impliedVoltage(i, j)
		return p.members["voltage"] != ""
	}
	p.valueFrom(found, i, j)
	p.impliedVoltage(i, j)
	return true
}

// loose reports whether atom k is free, or a letter that has found no meaning yet.
func (p *partReader) loose(k int) bool {
	if p.free(k) {
		return true
	}
	return slices.ContainsFunc(p.got, func(n int) bool { return p.spans[n].act == actLetter && p.spans[n].i == k })
}

// valueAt tries the run from atom i on as the value.
func (p *partReader) valueAt(i int, kind quantity.Kind) bool {
	j := p.freeEnd(i)
	low := p.runLow(i, j)
	if !hasDigit(low) || len(low) > 12 || letter(low[0]) && len(low) > 1 && letter(low[1]) || p.torn(i, j) ||
		!p.mayLead(i) {
		return false
	}
	if class, sure := typeClass(low); sure && class != "" || p.ranged(i, j) || p.ctx.Found != "marking" &&
		p.voltsAt(i, j) {
		return false
	}
	if p.negative(i) {
		p.doubt("reading.negative", p.source(i, j))
		return false
	}
	if found, ok := p.lettered(i, j, kind); ok {
		p.kilo(found[0], i, j)
		p.valueFrom(found, i, p.ohmWord(j, found))
		p.voltsAfter(j, false)
		return true
	}
	bare := j == i+1 && p.isFigures(i)
	if bare {
		if p.pairAt(i, kind) {
			return true
		}
		if kind == 0 && !p.alone(i) && !p.voltsBeside(j) {
			return false // a number without unit beside unknown words says nothing
		}
	}
	found := p.asKind(i, j, kind)
	if len(found) == 0 {
		return false
	}
	p.kilo(found[0], i, j)
	p.valueFrom(found, i, j)
	p.voltsAfter(j, bare)
	if electrolytic(p.construction()) && letter(low[len(low)-1]) || bytes.IndexByte(low, 'v') > 0 || p.filmPrint(i, j) {
		p.impliedVoltage(i, j) // 107C on a tantalum
	}
	return true
}

// kilo doubts 10k beside a voltage alone: kilopicofarads, as lists of the continent write them, or a resistance.
func (p *partReader) kilo(a Amount, i, j int) {
	if a.Quantity.Unit() == quantity.Farad && strings.Contains(p.source(i, j), "k") && !p.volts.IsZero() &&
		p.ctx.Class == "" && !p.ctx.Continental && (p.of == 0 || p.voltsOnly()) {
		p.doubt("reading.kilo", p.source(i, j))
	}
}

// voltsOnly reports whether nothing but ratings speaks for the class.
func (p *partReader) voltsOnly() bool {
	return !slices.ContainsFunc(p.got, func(k int) bool { return p.spans[k].argues&p.of != 0 })
}

// voltsAt reports whether a run is a number with its volts, which is no code of an inductor.
func (p *partReader) voltsAt(i, j int) bool {
	return p.of == inductorClass && slices.ContainsFunc(p.spansAt(i), func(s span) bool {
		return s.act == actAmount &&
			s.j == j && s.q[0].Unit() == quantity.Volt
	})
}

// ranged reports whether a run is one end of a range, which is no value.
func (p *partReader) ranged(i, j int) bool {
	for k := range p.spans {
		if s := &p.spans[k]; (s.act == actRange || s.act == actSections) && s.i <= i && j <= s.j {
			return true
		}
	}
	return false
}

// torn reports whether a hyphen ties the run to what is left over beside it, as in 10D-9: then it is part of a type
// number.
func (p *partReader) torn(i, j int) bool {
	if p.glued(i) && p.otherAmount(i-1) || p.glued(j) && p.otherAmount(j) {
		return true
	}
	before := p.isSign(i-1, '-') && p.touches(i) && p.touches(i-1) && (p.free(i-2) || p.isLetters(i-2)) || p.stray(i)
	return before || p.isSign(j, '-') && p.touches(j) && p.touches(j+1) && p.free(j+1)
}

// otherAmount reports whether an amount that nobody writes against a value takes atom k: 100n50V and 10k1W are two things,
// 1u6A is one.
func (p *partReader) otherAmount(k int) bool {
	for _, n := range p.got {
		if s := &p.spans[n]; s.i <= k && k < s.j && s.act == actAmount {
			u := s.q[0].Unit()
			return u != quantity.Volt && u != quantity.Watt && u != quantity.Celsius
		}
	}
	return false
}

// mayLead reports whether a value may begin with atom i: figures, or a letter for the decimal sign. In a print other
// letters are codes.
func (p *partReader) mayLead(i int) bool {
	if p.isFigures(i) || p.ctx.Found == "marking" || p.ctx.Found == "order-code" {
		return true
	}
	low := p.lowOf(i)
	if len(low) == 0 {
		return false // a lone accent
	}
	switch c := low[0]; c {
	case 'r', 'n', 'p', 'u':
		return true
	case 'e':
		return p.of == resistorClass
	case 'a', 'b', 'c':
		return p.of == potentiometerClass
	default:
		return c >= 0x80 && p.atoms[i].script == latin
	}
}

// filmPrint recognises the print of a film capacitor that bears its voltage: 2A104J with the code before the value,
// 473K100 with the figures behind it. Makers' tables of codes, which are printed in capitals.
func (p *partReader) filmPrint(i, j int) bool {
	c := p.chunk(i, j)
	switch {
	case c.long || c.n < 3 || !c.atoms[0].number:
		return false
	case c.shape("9A9"), c.shape("9A9A"):
		first, l, third := c.atoms[0].text, c.atoms[1].text, c.atoms[2].text
		if len(l) != 1 || l[0] < 'A' || l[0] > 'Z' || !onlyFigures(first) || !onlyFigures(third) {
			return false
		}
		return len(first) == 1 && len(third) == 3 || len(first) == 3 && c.n == 3 && len(third) >= 2 &&
			strings.IndexByte("JKM", l[0]) >= 0
	}
	return false
}

// ohmWord gives the atom after a resistance: behind the unit in 10K OHM.
func (p *partReader) ohmWord(j int, found []Amount) int {
	if len(found) == 1 && found[0].Quantity.Unit() == quantity.Ohm && p.free(j) && p.isWord(j, "ohm", "ohms", "Ω") {
		return j + 1
	}
	return j
}

// alone reports whether the line holds nothing else that is unread.
func (p *partReader) alone(i int) bool {
	for k := p.named; k < len(p.atoms); k++ {
		if k != i && p.free(k) {
			return false
		}
	}
	return true
}

// bareAt reports whether atom k is a number alone.
func (p *partReader) bareAt(k int) bool {
	return p.free(k) && p.isFigures(k) && p.freeEnd(k) == k+1
}

// strokeAt reports whether a number stands behind a stroke at atom j: 1000/25.
func (p *partReader) strokeAt(j int) bool {
	return p.isSign(j, '/') && p.bareAt(j+1)
}

// voltsBeside reports whether a number is followed by another behind a stroke, or the voltage is known.
func (p *partReader) voltsBeside(j int) bool { return p.members["voltage"] != "" || p.strokeAt(j) }

// bareAfter reports whether a number stands behind a stroke anywhere, as in 22µ/16.
func (p *partReader) bareAfter() bool {
	for k := range p.atoms {
		if k > 0 && p.strokeAt(k) {
			return true
		}
	}
	return false
}

// pairAt reads 1000/25 as a capacitance and its voltage.
func (p *partReader) pairAt(i int, kind quantity.Kind) bool {
	if kind != 0 && kind != quantity.Capacitance || !p.strokeAt(i+1) || p.members["voltage"] != "" {
		return false
	}
	found := p.asKind(i, i+3, quantity.Capacitance)
	if len(found) == 0 || !allFarads(found) {
		return false
	}
	p.valueFrom(found, i, i+1)
	p.voltsAfter(i+1, true)
	return true
}

func allFarads(found []Amount) bool {
	return !slices.ContainsFunc(found, func(a Amount) bool { return a.Quantity.Unit() != quantity.Farad })
}

// voltsAfter takes the number behind the value for the voltage: 22µ/16, and of an electrolytic 470 16 too.
func (p *partReader) voltsAfter(j int, bare bool) {
	k := j
	stroke := p.strokeAt(j)
	if stroke {
		k++
	}
	if p.members["voltage"] != "" || !p.bareAt(k) || !allFarads(p.values) || !stroke &&
		!(bare && electrolytic(p.construction())) {
		return
	}
	num, ok := readNumeral(p.codeOf(k), p.ctx.Language)
	if !ok || num.n > 1 {
		return
	}
	q, ok := num.value().times(0, quantity.Volt)
	if !ok || q.Sign() <= 0 {
		return
	}
	p.doubt("reading.voltage-behind", p.source(k, k+1))
	p.rate("voltage", q, k, k+1)
}

// impliedVoltage reads the voltage out of a print such as 476J or 107 16.
func (p *partReader) impliedVoltage(i, j int) {
	if p.members["voltage"] != "" || !allFarads(p.values) {
		return
	}
	c := p.ctx
	c.Class, c.Construction = "capacitor", p.construction()
	o := asker{reader: p.reader, kind: quantity.Voltage, ctx: c}
	o.ask(i, j)
	switch {
	case !o.fail.IsZero():
	case o.all.n == 1:
		a := o.all.out[0]
		p.rate("voltage", a.Quantity, i, j)
		p.tell(a.Doubts...)
	case o.all.n > 1:
		p.doubt("reading.voltage-by-make", p.source(i, j),
			o.all.out[0].Quantity.String(), o.all.out[1].Quantity.String())
	}
}

// construction is what the text says or, if nothing, what the caller knows.
func (p *partReader) construction() string {
	if p.built != "" && (p.of == 0 || p.of == capacitorClass) {
		return p.built
	}
	return p.ctx.Construction
}

// listed is the context of what stands in a line.
func (p *partReader) listed() quantity.Context {
	c := p.ctx
	c.Class, c.Found = p.class, "list"
	return c
}

// asKind reads atoms i to before j as a value of a kind; kind 0 means every kind that some class has, and each distinct
// quantity is one reading.
func (p *partReader) asKind(i, j int, kind quantity.Kind) []Amount {
	c := p.ctx
	c.Class, c.Construction = p.class, p.construction()
	if c.Found == "" && p.wordCount() > 1 {
		c.Found = "list" // a print is mostly one word; figures beside others are written out
	}
	if kind != 0 {
		found := p.askFor(i, j, kind, c)
		if kind == quantity.Voltage {
			return p.clamping(found, i, j)
		}
		return found
	}
	c.Class = ""
	var all []Amount
	for _, k := range [...]quantity.Kind{quantity.Capacitance, quantity.Resistance, quantity.Inductance} {
		for _, f := range p.askFor(i, j, k, c) {
			if f.Quantity.Unit() == k.Unit() && !slices.ContainsFunc(all,
				func(a Amount) bool { return a.Quantity == f.Quantity && a.Tolerance == f.Tolerance }) {
				all = append(all, f)
			}
		}
	}
	return p.plausible(all, i, j)
}

func (p *partReader) askFor(i, j int, kind quantity.Kind, c quantity.Context) []Amount {
	o := asker{reader: p.reader, kind: kind, ctx: c}
	if o.ask(i, j); !o.fail.IsZero() {
		return nil
	}
	found := slices.Clone(o.all.out[:o.all.n])
	if bytes.ContainsAny(p.runLow(i, j), "unpm") {
		found = slices.DeleteFunc(found, func(a Amount) bool { return a.Quantity.Sign() == 0 }) // 0u is no link
	}
	return found
}

// wordCount is how many words the text has.
func (p *partReader) wordCount() (n int) {
	for k := range p.atoms {
		if a := &p.atoms[k]; a.sort != sign && (a.gap || k == 0 || p.atoms[k-1].sort == sign) {
			n++
		}
	}
	return n
}

// maxClamping is the highest voltage of a varistor that is believed. Common practice.
var maxClamping, _ = quantity.New(1, 4, quantity.Volt)

// clamping drops readings of a varistor's figures as a code that no varistor has, and then takes the number as it
// stands.
func (p *partReader) clamping(found []Amount, i, j int) []Amount {
	found = slices.DeleteFunc(found, func(a Amount) bool { return a.Quantity.Compare(maxClamping) > 0 })
	if len(found) > 0 || j != i+1 || !p.isFigures(i) {
		return found
	}
	num, ok := readNumeral(p.codeOf(i), "")
	if !ok || num.n > 1 {
		return nil
	}
	q, ok := num.value().times(0, quantity.Volt)
	if !ok || q.Sign() <= 0 || q.Compare(maxClamping) > 0 {
		return nil
	}
	return []Amount{{Quantity: q, Doubts: doubtsOfClamp(q)}}
}

// clamps reports whether a varistor says the alternating voltage that it works at, which names it as well as the one at
// 1 mA does.
func (p *partReader) clamps() bool {
	return p.of == varistorClass && !p.volts.IsZero() && !p.hasCurrent(direct)
}

// clampsOnly are the voltages at 1 mA by which varistors are named and that are no alternating rating of any, nor a mains
// voltage. Source: makers' data sheets of the disc series 14D180K to 14D112K.
var clampsOnly = map[string]bool{"22 V": true, "27 V": true, "33 V": true, "39 V": true, "47 V": true, "56 V": true,
	"68 V": true, "82 V": true,
	"180 V": true, "270 V": true, "330 V": true, "360 V": true, "390 V": true, "430 V": true, "470 V": true,
	"620 V": true, "750 V": true,
	"780 V": true, "820 V": true, "910 V": true}

// doubtsOfClamp are what to tell of a varistor's bare voltage.
func doubtsOfClamp(q quantity.Quantity) []message.Message {
	if clampsOnly[q.String()] {
		return nil
	}
	return doubtClamp
}

// The least resistance and the greatest inductance that a letter alone is believed to say.
var (
	minOhms, _    = quantity.New(1, -4, quantity.Ohm)
	maxHenries, _ = quantity.New(1, 3, quantity.Henry)
)
