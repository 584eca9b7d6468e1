package reading

import (
	"slices"

	"boardlore/domain/quantity"
)

// settle gives every span of the cover its member, in the light of the class.
func (p *partReader) settle() {
	p.conflicts()
	if p.of == 0 {
		p.unclassed()
	}
	p.words()
	p.codes()
	p.sizes()
	p.tolerances()
	p.windings()
	p.amounts()
	p.chips()
	p.valued()
	p.timesOrSafety()
	p.letters()
	p.cells()
	p.types()
	p.surges()
	p.evidence()
	p.deniedStill()
}

// deniedStill tells what the text denies in words and says otherwise, by a code or a size: SR44, no silver oxide.
func (p *partReader) deniedStill() {
	for _, not := range p.fields {
		if not.Member == "not" && slices.ContainsFunc(p.fields, func(f Field) bool {
			return f.Member != "not" &&
				f.Value == not.Value
		}) {
			p.turned = true
			p.doubt("reading.yes-and-no", not.Value)
		}
	}
}

// evidence notes what says the class where no word does: the span that speaks for it most.
func (p *partReader) evidence() {
	if p.of == 0 || p.ctx.Class != "" || p.has("class") {
		return
	}
	best := -1
	for _, k := range p.got {
		if s := &p.spans[k]; s.argues&p.of != 0 && p.taken(s.i, s.j) && (best < 0 || s.bonus > p.spans[best].bonus) {
			best = k
		}
	}
	if best >= 0 {
		s := &p.spans[best]
		f := Field{Member: "class", Value: p.class, Span: p.points(s.i, s.j)}
		k := slices.IndexFunc(p.fields, func(g Field) bool { return !g.before(&f) })
		if k < 0 {
			k = len(p.fields)
		}
		p.fields = slices.Insert(p.fields, k, f)
	}
}

// each calls do for every span of the cover of these acts; what it refuses is left over.
func (p *partReader) each(do func(s *span) bool, some ...act) {
	of := actsOf(some...)
	for _, k := range p.got {
		s := &p.spans[k]
		if of.has(s.act) && !do(s) {
			p.release(s.i, s.j)
		}
	}
}

func (p *partReader) find(some ...act) *span {
	of := actsOf(some...)
	for _, k := range p.got {
		if of.has(p.spans[k].act) {
			return &p.spans[k]
		}
	}
	return nil
}

// conflicts tells the words for other classes that the text has.
func (p *partReader) conflicts() {
	for k := range p.spans {
		s := &p.spans[k]
		if s.act != actClass || p.of == 0 || s.holds&p.of != 0 || p.taken(s.i, s.j) {
			continue
		}
		if p.ctx.Class != "" {
			p.doubt("reading.other-asked", word(s.row.value), word(p.class))
		} else {
			p.doubt("reading.says-both", word(p.class), word(s.row.value))
		}
	}
}

// taken reports whether the cover takes any of atoms i to before j.
func (p *partReader) taken(i, j int) bool {
	for k := i; k < j; k++ {
		if p.atoms[k].used {
			return true
		}
	}
	return false
}

// unclassed judges a text in which nothing speaks for a class: by power, by ratings, by the designator.
func (p *partReader) unclassed() {
	var volts, watts, amperes, hours, celsius *span
	for _, k := range p.got {
		s := &p.spans[k]
		if s.act != actAmount {
			continue
		}
		switch s.q[0].Unit() {
		case quantity.Volt:
			volts = s
		case quantity.Watt:
			watts = s
		case quantity.Ampere:
			amperes = s
		case quantity.Hour:
			hours = s
		case quantity.Celsius:
			celsius = s
		}
	}
	size := p.find(actSize, actLength)
	switch {
	case watts != nil && volts == nil, watts != nil && p.ohmLetter():
		p.become(resistorClass, watts)
	case volts != nil && amperes == nil && watts == nil && (hours != nil || celsius != nil || size != nil ||
		p.shaped()):
		p.become(capacitorClass, volts)
		if !p.faradLetter() {
			p.doubt("reading.capacitor-by-ratings")
		}
	case p.designed != "":
		p.of, p.class = setOf(p.designed), p.designed
		p.doubt("reading.class-by-designator", p.source(0, p.runEnd(0)))
	default:
		return
	}
	p.reader.cover(p.of)
	p.mark()
}

func (p *partReader) become(of classes, by *span) {
	p.of, p.class = of, of.name()
	p.note(Field{Member: "class", Value: p.class}, by.i, by.j)
}

func (p *partReader) shaped() bool { return p.find(actShape) != nil }

// faradLetter and ohmLetter report whether a run that is left over has a multiplier letter of capacitances or of
// resistances.
func (p *partReader) faradLetter() bool { return p.multiplier("n", "p", "u") }
func (p *partReader) ohmLetter() bool   { return p.multiplier("r", "k", "m") }

func (p *partReader) multiplier(of ...string) bool {
	for i := range p.atoms {
		if !p.free(i) || !p.isFigures(i) {
			continue
		}
		if l, ok := pointOf(p.runLow(i, p.freeEnd(i))); ok && slices.Contains(of, l.letter) {
			return true
		}
	}
	return false
}

// words gives the words their members.
func (p *partReader) words() {
	p.each(p.word, actClass, actElectrolytic, actPolymer, actConstruction, actFilm, actSeries, actResistor, actFusible,
		actPolarised, actMount, actShape,
		actSupply, actSpeed, actRechargeable, actChemistry, actChemLetter, actTaper, actText, actNegated)
	p.each(func(s *span) bool {
		if s.act == actAbout {
			p.reader.about = true
			return false
		}
		if s.act == actNot || s.act == actOr || s.act == actWas || s.act == actLike || s.act == actBound {
			p.turn(s)
			return false
		}
		return s.act == actPlain
	}, actAbout, actNot, actOr, actWas, actLike, actBound, actAbsent, actPlain)
}

// turn tells a word that turns things round and whose term is not understood.
func (p *partReader) turn(s *span) {
	p.turned = true
	word := p.source(s.i, s.j)
	switch s.act {
	case actNot:
		p.doubt("reading.turns-round", word)
	case actOr:
		p.doubt("reading.offers-choice", word)
	case actWas:
		p.doubt("reading.speaks-of-other", word)
	case actLike:
		p.doubt("reading.compares", word)
	}
}

// codes gives the codes their members.
func (p *partReader) codes() {
	p.each(p.code, actSafety, actDielectric, actFuse, actType, actCharge, actQuotedMember, actOrder, actBands,
		actQuantity, actPrice)
}

func (p *partReader) code(s *span) bool {
	switch s.act {
	case actSafety:
		p.tell(s.doubts...)
		if p.maybeTimes(s) {
			return true
		}
		if p.smallX(s) {
			p.doubt("reading.class-or-count", p.source(s.i, s.j))
		}
		return p.name("safety_class", s.name, s.i, s.j)
	case actDielectric:
		return (s.sure || p.hasFarads() || p.faradLetter()) && p.name("dielectric", s.name, s.i, s.j)
	case actFuse:
		return p.fuse(s)
	case actType:
		return p.typeNumber(s)
	case actCharge:
		p.keep(s.name, s.i, s.j)
	case actQuotedMember:
		member := s.label
		if member == "breaking_capacity" {
			return p.name(member, s.name, s.i, s.j)
		}
		if member == "safety" {
			member = "safety_class"
		}
		q := span{i: s.j - 1, j: s.j, label: "quoted"}
		if member == "construction" {
			p.built = q.text(p.reader)
		}
		return p.name(member, q.text(p.reader), s.i, s.j)
	case actOrder, actBands:
		return p.ordered(s)
	case actQuantity:
		if p.count != 0 && p.count != s.count {
			p.doubt("reading.count-twice")
			return false
		}
		p.counted(s)
	}
	return true
}

func (p *partReader) counted(s *span) {
	p.count = s.count
	p.tell(s.doubts...)
	p.note(Field{Member: "quantity", Value: itoa(s.count), Count: s.count}, s.i, s.j)
}

func (p *partReader) hasFarads() bool {
	for _, k := range p.got {
		if s := &p.spans[k]; (s.act == actAmount || s.act == actSections || s.act == actPair) &&
			s.q[0].Unit() == quantity.Farad {
			return true
		}
	}
	return false
}

func (p *partReader) fuse(s *span) bool {
	if p.members["current"] != "" || p.members["fuse_speed"] != "" && p.members["fuse_speed"] != s.name {
		if p.members["current"] == s.q[0].String() && p.members["fuse_speed"] == s.name {
			return true
		}
		p.doubt("reading.fuse-twice")
		return false
	}
	p.name("fuse_speed", s.name, s.i, s.j)
	p.rate("current", s.q[0], s.i, s.j)
	if s.label != "" {
		p.name("breaking_capacity", s.label, s.i, s.j)
	}
	if s.n == 2 {
		p.rate("voltage", s.q[1], s.i, s.j)
	}
	return true
}

func (p *partReader) typeNumber(s *span) bool {
	if p.of&valueless == 0 || p.of == fuseClass || p.of == cellClass {
		return false
	}
	if s.argues&p.of != 0 {
		if p.find(actClass) == nil && p.ctx.Class == "" {
			p.tell(s.doubts...)
		}
	}
	for _, k := range p.got {
		t := &p.spans[k]
		if t.act == actType && t.i >= s.j && (t.i == s.j+1 && p.isSign(s.j, '/') || t.argues&s.argues&p.of != 0 &&
			t.name != s.name) {
			p.doubt("reading.types-choice", p.source(s.i, t.j)) // 1N4148 = 1N914
			break
		}
	}
	p.keep(s.name, s.i, s.j)
	return true
}

// ordered takes what an order code or colour bands say. What the text spells out goes before it.
func (p *partReader) ordered(s *span) bool {
	c := s.code
	p.tell(s.doubts...)
	if p.twoOrders(s) {
		p.doubt("reading.two-numberings")
	}
	if !c.value.IsZero() && p.of.valueKind().Unit() == c.value.Unit() {
		if p.coded && p.values[0].Quantity != c.value {
			p.doubt("reading.two-codes", p.values[0].Quantity, c.value)
		}
		p.values = []Amount{{Quantity: c.value}}
		p.value = [2]int{s.i, s.j}
		p.coded = true
	}
	if !c.tolerance.IsZero() && p.tol.IsZero() {
		p.tolerance(c.tolerance, s.i, s.j)
	}
	for _, m := range []struct {
		name string
		q    quantity.Quantity
	}{{"voltage", c.voltage}, {"current", c.current}, {"power", c.power}} {
		if !m.q.IsZero() {
			p.rate(m.name, m.q, s.i, s.j)
		}
	}
	for _, m := range c.members {
		name := m[0]
		if name == "mount" {
			name = "body.mount"
		}
		if name == "construction" {
			p.built = m[1]
		}
		if name == "body.mount" {
			p.body.mount = m[1]
		}
		p.name(name, m[1], s.i, s.j)
	}
	if body, ok := chips[c.size]; ok {
		p.chip(body, s.i, s.j)
	}
	if s.act == actOrder {
		p.keep(s.name, s.i, s.j)
		if p.of == varistorClass && c.value.IsZero() {
			p.doubt("reading.varistor-type")
		}
	}
	return true
}

// twoOrders reports whether another series reads the same code otherwise.
func (p *partReader) twoOrders(s *span) bool {
	for k := range p.spans {
		if t := &p.spans[k]; t.act == actOrder && t.i == s.i && t.j == s.j && t.rule != s.rule &&
			(t.code.value != s.code.value || t.code.voltage != s.code.voltage) {
			return true
		}
	}
	return false
}

// sizes puts lengths where they belong.
func (p *partReader) sizes() {
	p.each(func(s *span) bool {
		if s.act == actLength {
			return p.length(s)
		}
		return p.size(s)
	}, actSize, actLength)
}

func (p *partReader) length(s *span) bool {
	to, member := &p.body.pitch, "body.lead_pitch_mm"
	switch s.label {
	case "shaft":
		p.keep(millimetres(s.mm[0])+" shaft", s.i, s.j)
		return true
	case "diameter":
		to, member = &p.body.diameter, "body.diameter_mm"
	case "length":
		to, member = &p.body.length, "body.length_mm"
		if p.body.diameter != 0 && p.body.shape != "axial" && p.of == capacitorClass {
			to, member = &p.body.height, "body.height_mm" // a can's length is how high it stands
		}
	case "width":
		to, member = &p.body.width, "body.width_mm"
	case "height":
		to, member = &p.body.height, "body.height_mm"
	}
	return p.measure(to, member, s.mm[0], s.i, s.j)
}

func (p *partReader) measure(to *float64, member string, mm float64, i, j int) bool {
	if *to != 0 && *to != mm {
		p.doubt("reading.twice", memberWord(member), millimetres(*to), millimetres(mm))
		return false
	}
	*to = mm
	p.note(Field{Member: member, Value: millimetres(mm), Millimetres: mm}, i, j)
	return true
}

// size puts diameter and height of a can, diameter and length of a fuse or an axial part, else length, width, height.
func (p *partReader) size(s *span) bool {
	b := &p.body
	if b.diameter != 0 || b.length != 0 {
		p.doubt("reading.size-twice", p.source(s.i, s.j))
		return false
	}
	if p.of&(connectorClass|switchClass|relayClass) != 0 && s.n == 2 {
		return false // rows and poles, as far as anybody knows
	}
	mm := func(to *float64, member string, k int) { p.measure(to, member, s.mm[k], s.i, s.j) }
	switch {
	case s.n == 3:
		mm(&b.length, "body.length_mm", 0)
		mm(&b.width, "body.width_mm", 1)
		mm(&b.height, "body.height_mm", 2)
	case p.of == fuseClass || b.shape == "axial":
		p.shape("axial", s.i, s.j)
		mm(&b.diameter, "body.diameter_mm", 0)
		mm(&b.length, "body.length_mm", 1)
	case p.of == capacitorClass && boxed(p.built):
		mm(&b.length, "body.length_mm", 0)
		mm(&b.height, "body.height_mm", 1)
		p.doubt("reading.length-and-height", p.source(s.i, s.j))
	case p.of == cellClass || p.of == capacitorClass || p.of == 0:
		if p.of != cellClass {
			p.shape("can", s.i, s.j)
		}
		mm(&b.diameter, "body.diameter_mm", 0)
		mm(&b.height, "body.height_mm", 1)
	default:
		mm(&b.length, "body.length_mm", 0)
		mm(&b.width, "body.width_mm", 1)
	}
	return true
}

// boxed reports whether a construction comes in boxes rather than cans.
func boxed(construction string) bool {
	switch construction {
	case "film", "ceramic", "paper", "mica":
		return true
	}
	return false
}

func (p *partReader) tolerances() {
	p.each(func(s *span) bool {
		if s.label != "" {
			p.turned = true
			return false
		}
		p.tell(s.doubts...)
		return p.tolerance(s.t, s.i, s.j)
	}, actTolerance)
}
