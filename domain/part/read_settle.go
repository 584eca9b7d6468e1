package part

import (
	"slices"

	"boardlore/domain/quantity"
)

// settle gives every note its member, in the light of the class.
func (r *reader) settle() {
	r.classify()
	r.settleSaid()
	r.settleCodes()
	r.settleSizes()
	r.settleDevs()
	r.settleMeasures()
	r.settleChips()
	r.settleValue()
	r.settleTimes()
	r.settleLetters()
	r.settleRest()
}

// evidence is what says the class where no word does.
type evidence struct {
	class string
	i, j  int    // words
	doubt string // empty where the evidence is sure
}

// classify settles the class: by the caller, by a word, or by evidence.
func (r *reader) classify() {
	p := &r.out.Part
	for k := range r.said {
		if s := &r.said[k]; s.act == sayClass && p.Class == "" && !r.weak(s) {
			p.Class = Class(s.value)
		}
	}
	if p.Class != "" {
		return
	}
	for _, find := range [...]func(*reader) evidence{byHertz, byFarads, byCode, byConstruction, byFitting, byUnit, byFuse, byResistor, byRatings, byDesignator} {
		if e := find(r); e.class != "" {
			p.Class = Class(e.class)
			if e.j > e.i {
				r.note("class", e.class, e.i, e.j)
			}
			if e.doubt != "" {
				r.doubt("%s", e.doubt)
			}
			return
		}
	}
}

// weak reports whether a class word may stand for something else here: a
// trimmer may be a capacitor.
func (r *reader) weak(s *said) bool {
	return s.also == "trimmer" && slices.ContainsFunc(r.measures, func(m measure) bool { return m.q.Unit() == quantity.Farad })
}

func (r *reader) withUnit(u quantity.Unit) *measure {
	for k := range r.measures {
		if m := &r.measures[k]; m.q.Unit() == u && m.label == "" {
			return m
		}
	}
	return nil
}

func (r *reader) withCode(what codeKind) *code {
	for k := range r.codes {
		if c := &r.codes[k]; c.what == what {
			return c
		}
	}
	return nil
}

func (r *reader) saying(acts ...act) *said {
	for k := range r.said {
		if s := &r.said[k]; slices.Contains(acts, s.act) {
			return s
		}
	}
	return nil
}

// mostLoad is the largest load capacitance of a crystal, F. Common practice.
var mostLoad, _ = quantity.New(1, -10, quantity.Farad)

// byHertz takes a frequency for a crystal's, whose X1 is a designator; but not
// one at which something was measured, which stands behind @ or beside a larger
// capacitance.
func byHertz(r *reader) (e evidence) {
	m := r.withUnit(quantity.Hertz)
	if m == nil || r.words[m.i].atSign {
		return e
	}
	if f := r.withUnit(quantity.Farad); f != nil && f.q.Compare(mostLoad) > 0 {
		return e
	}
	return evidence{class: "crystal", i: m.i, j: m.j}
}

// byFarads takes a capacitance for a capacitor's.
func byFarads(r *reader) (e evidence) {
	if m := r.withUnit(quantity.Farad); m != nil {
		return evidence{class: "capacitor", i: m.i, j: m.j}
	}
	return e
}

func byCode(r *reader) (e evidence) {
	for k := range r.codes {
		c := &r.codes[k]
		switch c.what {
		case safetyCode:
			if !r.maybeTimes(c) || r.faradLetter() {
				return evidence{class: "capacitor", i: c.i, j: c.j}
			}
		case dielectricCode:
			if c.sure || r.faradLetter() {
				return evidence{class: "capacitor", i: c.i, j: c.j}
			}
		case fuseCode, cellTypeCode, typeCode, chargeCode:
			return evidence{class: c.class, i: c.i, j: c.j}
		}
	}
	return e
}

// byConstruction takes the names of capacitors, but not a ceramic or film beside
// ohms and watts.
func byConstruction(r *reader) (e evidence) {
	s := r.saying(sayElectrolytic, sayPolymer, sayFilm, sayConstruction)
	if s == nil {
		return e
	}
	if r.withUnit(quantity.Ohm) != nil && r.withUnit(quantity.Watt) != nil {
		return e
	}
	if s.value == "ceramic" && r.withUnit(quantity.Ampere) != nil && r.withUnit(quantity.Farad) == nil && !r.faradLetter() {
		return e // a fuse's tube
	}
	return evidence{class: "capacitor", i: s.i, j: s.j}
}

// byFitting takes the words that only one class has.
func byFitting(r *reader) (e evidence) {
	if s := r.saying(sayChemistry); s != nil {
		return evidence{class: "cell", i: s.i, j: s.j}
	}
	if s := r.saying(sayRechargeable); s != nil && s.value == "true" {
		return evidence{class: "cell", i: s.i, j: s.j}
	}
	if s := r.saying(sayPolarised); s != nil {
		return evidence{class: "capacitor", i: s.i, j: s.j}
	}
	for k := range r.measures {
		if m := &r.measures[k]; m.label == labelESR || m.label == labelRipple {
			return evidence{class: "capacitor", i: m.i, j: m.j}
		}
	}
	if s := r.saying(sayTaper); s != nil {
		return evidence{class: "potentiometer", i: s.i, j: s.j}
	}
	return e
}

func byUnit(r *reader) (e evidence) {
	for _, u := range [...]quantity.Unit{quantity.Henry, quantity.Ohm} {
		if m := r.withUnit(u); m != nil {
			return evidence{class: classOfUnit(u), i: m.i, j: m.j}
		}
	}
	return e
}

// byFuse takes a current with a characteristic, or in the body of a fuse.
func byFuse(r *reader) (e evidence) {
	m := r.withUnit(quantity.Ampere)
	if m == nil {
		return e
	}
	if s := r.saying(saySpeed, sayFusible); s != nil {
		return evidence{class: "fuse", i: s.i, j: s.j}
	}
	for k := range r.codes {
		c := &r.codes[k]
		if c.what != letterCode || !isSpeed(upper([]byte(c.name))) {
			continue
		}
		e = evidence{class: "fuse", i: c.i, j: c.j}
		if c.name != "T" && c.name != "TT" && c.name != "FF" {
			e.doubt = "The letter " + c.name + " beside a current is read as the characteristic of a fuse."
		}
		return e
	}
	for k := range r.sizes {
		s := &r.sizes[k]
		if s.n == 2 && slices.Contains(fuseBodies[:], [2]float64{s.mm[0], s.mm[1]}) {
			return evidence{"fuse", s.i, s.j, "Current and size are those of a fuse; nothing else says so."}
		}
	}
	return e
}

// isSpeed recognises the characteristics of IEC 60127.
func isSpeed(s string) bool {
	switch s {
	case "FF", "F", "M", "T", "TT":
		return true
	}
	return false
}

func byResistor(r *reader) (e evidence) {
	if s := r.saying(sayResistor, sayFusible); s != nil {
		return evidence{class: "resistor", i: s.i, j: s.j}
	}
	if m := r.withUnit(quantity.Watt); m != nil && r.withUnit(quantity.Volt) == nil {
		return evidence{class: "resistor", i: m.i, j: m.j}
	}
	return e
}

// byRatings takes a voltage with an endurance, an upper temperature or a can's
// size for a capacitor's.
func byRatings(r *reader) (e evidence) {
	v := r.withUnit(quantity.Volt)
	if v == nil || r.withUnit(quantity.Ampere) != nil || r.withUnit(quantity.Watt) != nil {
		return e
	}
	if r.withUnit(quantity.Hour) != nil || r.withUnit(quantity.Celsius) != nil || len(r.sizes) > 0 || r.saying(sayShape) != nil {
		e = evidence{"capacitor", v.i, v.j, "Nothing names the class; the ratings are those of a capacitor."}
		if r.faradLetter() {
			e.doubt = ""
		}
	}
	return e
}

// faradLetter reports whether an unread word has a multiplier letter of
// capacitances.
func (r *reader) faradLetter() bool {
	for i := range r.words {
		if !r.free(i, i+1) {
			continue
		}
		if p, ok := pointOf(r.lower(i)); ok && p.multiplier() != 0 {
			return true
		}
	}
	return false
}

func byDesignator(r *reader) (e evidence) {
	if r.designed == "" {
		return e
	}
	return evidence{class: r.designed, doubt: "Only the designator " + r.source(0, 1) + " says the class."}
}

// settleSaid gives the phrases their members; what the class does not have is
// left over.
func (r *reader) settleSaid() {
	for k := range r.said {
		s := &r.said[k]
		if !r.say(s) {
			r.release(s.i, s.j)
		}
	}
}

// say does what a phrase says; false where it means nothing here.
func (r *reader) say(s *said) bool {
	p := &r.out.Part
	capacitor := p.Class == "capacitor"
	switch s.act {
	case sayClass:
		return r.sayClass(s)
	case sayConstruction, sayElectrolytic, sayPolymer:
		return capacitor && r.sayConstruction(s) || s.value == "ceramic" && p.Class == "fuse" && r.sayText("ceramic tube", s)
	case sayFilm:
		return capacitor && r.sayFilm(s)
	case sayResistor:
		return (p.Class == "resistor" || p.Class == "potentiometer") && r.name((*string)(&p.Construction), "construction", s.value, s.i, s.j)
	case sayFusible:
		return r.sayFusible(s)
	case sayPolarised:
		return capacitor && r.flag(&p.Polarised, "polarised", s)
	case sayRechargeable:
		return p.Class == "cell" && r.flag(&p.Rechargeable, "rechargeable", s)
	case sayMount, sayShape:
		return r.sayMount(s)
	case saySpeed:
		return p.Class == "fuse" && r.name(&p.FuseSpeed, "fuse_speed", s.value, s.i, s.j)
	case sayChemistry, sayChemistryLetters:
		return p.Class == "cell" && r.name(&p.Chemistry, "chemistry", s.value, s.i, s.j)
	case sayTaper:
		return p.Class == "potentiometer" && r.sayText(s.value, s)
	}
	if s.value == "resettable" && p.Class == "fuse" {
		r.doubt("A resettable part is no fuse to IEC 60127.")
	}
	return r.sayText(s.value, s)
}

func (r *reader) sayText(text string, s *said) bool {
	r.keep(text, s.i, s.j)
	return true
}

// name sets a member once; a second, different one is left over with a doubt.
func (r *reader) name(to *string, member, value string, i, j int) bool {
	if *to != "" && *to != value {
		r.doubt("The text gives %s twice: %s and %s; the first is kept.", member, *to, value)
		return false
	}
	*to = value
	r.note(member, value, i, j)
	return true
}

func (r *reader) sayClass(s *said) bool {
	p := &r.out.Part
	switch {
	case p.Class == Class(s.value):
		r.note("class", s.value, s.i, s.j)
	case r.weak(s):
	default:
		if r.ctx.Class != "" {
			r.doubt("The text says %s, but a %s was asked for.", s.value, p.Class)
		} else {
			r.doubt("The text says %s and %s; the first is kept.", p.Class, s.value)
		}
		return false
	}
	if s.also != "" {
		r.keep(s.also, s.i, s.j)
	}
	return true
}

func (r *reader) sayConstruction(s *said) bool {
	p := &r.out.Part
	c := Construction(s.value)
	switch {
	case p.Construction == "" || p.Construction == c:
	case s.act == sayElectrolytic:
		c = p.Construction // a tantalum or polymer one
	case s.act == sayPolymer && p.Construction == "tantalum", c == "tantalum" && p.Construction == "aluminium-polymer":
		c = "tantalum-polymer"
	case p.Construction == "aluminium-electrolytic" && (c == "aluminium-polymer" || c == "tantalum"):
	default:
		r.doubt("The text says %s and %s; the first is kept.", p.Construction, c)
		return false
	}
	p.Construction = c
	r.note("construction", string(c), s.i, s.j)
	return true
}

func (r *reader) sayFilm(s *said) bool {
	p := &r.out.Part
	if p.Dielectric != "" && p.Dielectric != s.value || p.Construction != "" && p.Construction != Construction(s.also) {
		r.doubt("The text says %s and %s; the first is kept.", string(p.Construction)+p.Dielectric, s.value)
		return false
	}
	p.Dielectric = s.value
	r.note("dielectric", s.value, s.i, s.j)
	if p.Construction == "" {
		p.Construction = Construction(s.also)
		r.note("construction", s.also, s.i, s.j)
	}
	return true
}

// sayFusible takes "fusible" for a resistor's kind or, in French, the fuse.
func (r *reader) sayFusible(s *said) bool {
	p := &r.out.Part
	switch p.Class {
	case "fuse":
		r.note("class", "fuse", s.i, s.j)
		return true
	case "resistor":
		if p.Construction == "" {
			return r.name((*string)(&p.Construction), "construction", s.value, s.i, s.j)
		}
		return r.sayText("fusible", s)
	}
	return false
}

func (r *reader) flag(to **bool, member string, s *said) bool {
	v := s.value == "true"
	if *to != nil && **to != v {
		r.doubt("The text says both yes and no to %s; the first is kept.", member)
		return false
	}
	*to = &v
	r.note(member, s.value, s.i, s.j)
	return true
}

func (r *reader) sayMount(s *said) bool {
	b := &r.out.Body
	if !r.name(&b.Mount, "body.mount", s.value, s.i, s.j) {
		return false
	}
	if s.also != "" && b.Shape == "" && (s.also == "axial" || s.value == "surface" || groupOf(r.out.Part.Construction).electrolytic()) {
		b.Shape = s.also
		r.note("body.shape", s.also, s.i, s.j)
	}
	return true
}

// settleCodes gives the codes their members. Cells come last, since what is
// spelled out goes before what a code implies.
func (r *reader) settleCodes() {
	for k := range r.codes {
		c := &r.codes[k]
		switch c.what {
		case letterCode, chipCode, caseCode, cellTypeCode:
			continue
		}
		if !r.maybeTimes(c) && !r.settleCode(c) {
			r.release(c.i, c.j)
		}
	}
}

func (r *reader) settleCode(c *code) bool {
	p := &r.out.Part
	switch c.what {
	case safetyCode:
		return p.Class == "capacitor" && r.name(&p.SafetyClass, "safety_class", c.name, c.i, c.j)
	case dielectricCode:
		return p.Class == "capacitor" && (c.sure || r.withUnit(quantity.Farad) != nil || r.faradLetter()) && r.name(&p.Dielectric, "dielectric", c.name, c.i, c.j)
	case fuseCode:
		return r.settleFuse(c)
	case typeCode:
		if _, valued := ValueKind(p.Class); valued || p.Class == "fuse" || p.Class == "cell" {
			return false
		}
		r.keep(string(r.cased(c.i)), c.i, c.j)
	case chargeCode:
		if p.Class != "cell" {
			return false
		}
		r.keep(c.name, c.i, c.j)
	case quotedCode:
		return r.settleQuoted(c)
	}
	return true
}

// leastMains is the least rating of a safety capacitor, V, and mostSafety the
// greatest capacitance of one. IEC 60384-14 and makers' tables.
var (
	leastMains, _ = quantity.New(125, 0, quantity.Volt)
	mostSafety, _ = quantity.New(10, -6, quantity.Farad)
)

// maybeTimes reports whether an X2 at the end may be a count of two: where
// there is no count yet, nor an alternating voltage.
func (r *reader) maybeTimes(c *code) bool {
	return c.what == safetyCode && c.j == len(r.words) && len(c.name) == 2 && c.name[0] == 'X' && r.out.Quantity == 0 && !r.hasCurrent(alternate)
}

// settleTimes settles what maybeTimes left open, by all that is known of the
// part now.
func (r *reader) settleTimes() {
	p := &r.out.Part
	for k := range r.codes {
		c := &r.codes[k]
		if !r.maybeTimes(c) {
			continue
		}
		var value quantity.Quantity
		if len(r.values) > 0 {
			value = r.values[0].Quantity
		}
		if p.Class != "capacitor" || !p.safetyLike(r.construction(), value) {
			r.counted(int(c.name[1]-'0'), c.i, c.j)
			continue
		}
		if p.Voltage.IsZero() && groupOf(p.Construction) != filmGroup {
			r.doubt("%s is read as a safety class; it may be a count.", r.source(c.i, c.j))
		}
		if !r.name(&p.SafetyClass, "safety_class", c.name, c.i, c.j) {
			r.release(c.i, c.j)
		}
	}
}

// safetyLike reports whether nothing rules out that a capacitor of this value
// and construction is a safety part.
func (p *Part) safetyLike(construction Construction, value quantity.Quantity) bool {
	return p.Polarised == nil && !groupOf(construction).electrolytic() && (p.Voltage.IsZero() || p.Voltage.Compare(leastMains) >= 0) &&
		(value.Unit() != quantity.Farad || value.Compare(mostSafety) <= 0)
}

func (r *reader) settleFuse(c *code) bool {
	p := &r.out.Part
	if p.Class != "fuse" || !p.Current.IsZero() || p.FuseSpeed != "" && p.FuseSpeed != c.name {
		return false
	}
	p.FuseSpeed, p.Current = c.name, c.q
	r.note("fuse_speed", c.name, c.i, c.j)
	r.note("current", c.q.String(), c.i, c.j)
	return true
}

func (r *reader) settleQuoted(c *code) bool {
	p := &r.out.Part
	to := map[string]*string{labelDielectric: &p.Dielectric, labelConstruction: (*string)(&p.Construction), labelChemistry: &p.Chemistry, labelSafety: &p.SafetyClass}[c.name]
	member := c.name
	if member == labelSafety {
		member = "safety_class"
	}
	return r.name(to, member, r.unquoted(c.j-1), c.i, c.j)
}

// settleSizes puts lengths where they belong: diameter and height of a can,
// diameter and length of a fuse or an axial part, else length, width, height.
func (r *reader) settleSizes() {
	for k := range r.sizes {
		s := &r.sizes[k]
		if s.label != "" && !r.settleLength(s) || s.label == "" && !r.settleBody(s) {
			r.release(s.i, s.j)
		}
	}
}

func (r *reader) settleLength(s *size) bool {
	b := &r.out.Body
	mm := s.mm[0]
	to, member := &b.LeadPitch, "body.lead_pitch_mm"
	switch s.label {
	case labelDiameter:
		to, member = &b.Diameter, "body.diameter_mm"
	case labelLength:
		if b.Diameter != 0 && b.Shape != "axial" && r.out.Part.Class == "capacitor" {
			to, member = &b.Height, "body.height_mm" // a can's length is how high it stands
		} else {
			to, member = &b.Length, "body.length_mm"
		}
	case labelWidth:
		to, member = &b.Width, "body.width_mm"
	case labelHeight:
		to, member = &b.Height, "body.height_mm"
	}
	return r.length(to, member, mm, s)
}

func (r *reader) length(to *float64, member string, mm float64, s *size) bool {
	if *to != 0 && *to != mm {
		r.doubt("The text gives %s twice: %s and %s; the first is kept.", member, millimetres(*to), millimetres(mm))
		return false
	}
	*to = mm
	r.note(member, millimetres(mm), s.i, s.j)
	return true
}

func (r *reader) settleBody(s *size) bool {
	b := &r.out.Body
	if b.Diameter != 0 || b.Length != 0 {
		r.doubt("The text gives the size twice; %s is not kept.", r.source(s.i, s.j))
		return false
	}
	switch c := r.out.Part.Class; {
	case s.n == 3:
		r.length(&b.Length, "body.length_mm", s.mm[0], s)
		r.length(&b.Width, "body.width_mm", s.mm[1], s)
		r.length(&b.Height, "body.height_mm", s.mm[2], s)
	case c == "fuse" || b.Shape == "axial":
		r.shape("axial", s)
		r.length(&b.Diameter, "body.diameter_mm", s.mm[0], s)
		r.length(&b.Length, "body.length_mm", s.mm[1], s)
	case c == "capacitor" && r.boxed():
		r.length(&b.Length, "body.length_mm", s.mm[0], s)
		r.length(&b.Height, "body.height_mm", s.mm[1], s)
		r.doubt("%s is read as length and height.", r.source(s.i, s.j))
	case c == "cell" || c == "capacitor" || c == "":
		if c != "cell" {
			r.shape("can", s)
		}
		r.length(&b.Diameter, "body.diameter_mm", s.mm[0], s)
		r.length(&b.Height, "body.height_mm", s.mm[1], s)
	default:
		r.length(&b.Length, "body.length_mm", s.mm[0], s)
		r.length(&b.Width, "body.width_mm", s.mm[1], s)
	}
	return true
}

// boxed reports whether a capacitor's construction comes in boxes rather than
// cans.
func (r *reader) boxed() bool {
	switch r.out.Part.Construction {
	case "film", "ceramic", "paper", "mica":
		return true
	}
	return false
}

func (r *reader) shape(shape string, s *size) {
	if b := &r.out.Body; b.Shape == "" {
		b.Shape = shape
		r.note("body.shape", shape, s.i, s.j)
	}
}

func (r *reader) settleDevs() {
	p := &r.out.Part
	for k := range r.devs {
		d := &r.devs[k]
		if !p.Tolerance.IsZero() && p.Tolerance != d.t {
			r.doubt("The text gives tolerance twice: %s and %s; the first is kept.", p.Tolerance.String(), d.t.String())
			r.release(d.i, d.j)
			continue
		}
		p.Tolerance = d.t
		r.note("tolerance", d.t.String(), d.i, d.j)
		r.doubts(d.doubts)
	}
}

// settleMeasures gives the quantities their members; those of the value's unit
// wait for the value.
func (r *reader) settleMeasures() {
	kind, _ := ValueKind(r.out.Part.Class)
	r.settleVoltages()
	for k := range r.measures {
		m := &r.measures[k]
		if m.q.Unit() == quantity.Volt || m.label == "" && kind != 0 && m.q.Unit() == kind.Unit() {
			continue
		}
		if !r.settleMeasure(m) {
			r.release(m.i, m.j)
		}
	}
}

func (r *reader) settleMeasure(m *measure) bool {
	p := &r.out.Part
	switch m.q.Unit() {
	case quantity.Ampere:
		return r.settleCurrent(m)
	case quantity.Watt:
		return r.rate(&p.Power, "power", m)
	case quantity.Hour:
		return r.rate(&p.Endurance, "endurance", m)
	case quantity.Celsius:
		if m.q.Compare(leastHot) < 0 {
			r.doubt("%s is too low for an upper temperature.", m.q.String())
			return false
		}
		return r.rate(&p.TemperatureMax, "temperature_max", m)
	case quantity.Ohm:
		if p.Class != "capacitor" && m.label != labelESR {
			return false
		}
		if m.label == "" {
			r.doubt("A resistance on a capacitor is read as its series resistance.")
		}
		return r.rate(&p.ESRMax, "esr_max", m)
	}
	return false
}

// leastHot is the lowest upper category temperature that parts have. Common
// practice; a lower one is that of a measurement.
var leastHot, _ = quantity.New(40, 0, quantity.Celsius)

func (r *reader) settleCurrent(m *measure) bool {
	p := &r.out.Part
	switch {
	case m.label == labelRipple:
		return r.rate(&p.Ripple, "ripple", m)
	case m.label == "" && p.Class == "capacitor":
		r.doubt("A current on a capacitor is read as its ripple current.")
		return r.rate(&p.Ripple, "ripple", m)
	}
	return r.rate(&p.Current, "current", m)
}

// rate sets a rating. A second, different value of the same rating is left over
// with a doubt: nothing is overwritten silently.
func (r *reader) rate(to *quantity.Quantity, member string, m *measure) bool {
	if !to.IsZero() && *to != m.q {
		r.doubt("The text gives %s twice: %s and %s; the first is kept.", member, to.String(), m.q.String())
		return false
	}
	*to = m.q
	r.note(member, m.q.String(), m.i, m.j)
	r.doubts(m.doubts)
	return true
}

// settleVoltages gives the voltages their members. Of an alternating and a
// direct one the capacitor's rating is the direct one, but for safety classes,
// which are rated in alternating volts.
func (r *reader) settleVoltages() {
	p := &r.out.Part
	first := unsaid
	if p.Class == "capacitor" && p.SafetyClass == "" && r.hasCurrent(alternate) && (r.hasCurrent(direct) || r.hasCurrent(unsaid)) {
		first = alternate
	}
	for _, late := range [2]bool{false, true} {
		for k := range r.measures {
			m := &r.measures[k]
			if m.q.Unit() != quantity.Volt || (first != unsaid && m.current == first) != late {
				continue
			}
			if !r.settleVoltage(m) {
				r.release(m.i, m.j)
			}
		}
	}
}

func (r *reader) hasCurrent(c current) bool {
	return slices.ContainsFunc(r.measures, func(m measure) bool { return m.q.Unit() == quantity.Volt && m.current == c })
}

// alternatingDoubt tells that a rating is in alternating volts where ratings
// are direct ones.
const alternatingDoubt = "alternating voltage (AC): compare with alternating ratings only"

func (r *reader) settleVoltage(m *measure) bool {
	p := &r.out.Part
	if p.Class == "varistor" && m.label == "" && m.current == unsaid && p.Value.IsZero() && len(r.values) == 0 {
		r.valueFrom([]quantity.Reading{{Quantity: m.q, Doubts: varistorDoubts}}, m.i, m.j)
		return true
	}
	if !r.rate(&p.Voltage, "voltage", m) {
		return false
	}
	if m.current == alternate && (p.Class == "capacitor" || p.Class == "") && p.SafetyClass == "" {
		r.keep("AC", m.i, m.j)
		r.doubt(alternatingDoubt)
	}
	return true
}

var varistorDoubts = []string{"A varistor's voltage may be that at 1 mA or the highest that it works at; this is read as the one at 1 mA"}

// settleChips believes chip codes where something else is the value.
func (r *reader) settleChips() {
	for _, sure := range [2]bool{true, false} {
		for k := range r.codes {
			c := &r.codes[k]
			if (c.what == chipCode || c.what == caseCode) && c.sure == sure && !r.settleChip(c) {
				r.release(c.i, c.j)
			}
		}
	}
}

func (r *reader) settleChip(c *code) bool {
	switch r.out.Part.Class {
	case "cell", "relay", "switch", "connector", "transformer", "transistor", "integrated-circuit":
		return false
	}
	if c.what == caseCode {
		letter := r.lower(c.j - 1)
		name := caseLetters[string(letter)]
		r.chip(cases[name], c)
		r.doubt("Case %s is read as EIA %s; some makers use the letters otherwise.", upper(letter), name)
		return true
	}
	body, inches := chips[c.name]
	if again := inches && r.out.Body.Length == body.length && r.out.Body.Width == body.width; !c.sure && !again && !r.valueElsewhere(c.i) && r.out.Part.Current.IsZero() {
		return false
	}
	switch other, metric := metricChips[c.name]; {
	case c.metric:
		body = chips[other]
	case metric && inches && r.withCode(chipCode) == c:
		r.doubt("%s is read as the imperial code; as a metric one it means %s.", c.name, other)
	case metric && !inches:
		body = chips[other]
	}
	if moulded, ok := cases[c.name]; ok {
		body = moulded
	}
	if b := &r.out.Body; b.Length != 0 && (b.Length != body.length || b.Width != body.width) {
		return false
	}
	r.chip(body, c)
	return true
}

// valueElsewhere reports whether something besides word i may be the value.
func (r *reader) valueElsewhere(i int) bool {
	if len(r.values) > 0 {
		return true
	}
	for k := range r.measures {
		if m := &r.measures[k]; isValueUnit(m.q.Unit()) && m.label == "" {
			return true
		}
	}
	for k := range r.words {
		if k != i && r.free(k, k+1) && !r.words[k].name && hasDigit(r.lower(k)) {
			return true
		}
	}
	return false
}

func isValueUnit(u quantity.Unit) bool {
	return u == quantity.Farad || u == quantity.Ohm || u == quantity.Henry || u == quantity.Hertz
}

func (r *reader) chip(body chip, c *code) {
	b := &r.out.Body
	s := size{i: c.i, j: c.j}
	r.length(&b.Length, "body.length_mm", body.length, &s)
	r.length(&b.Width, "body.width_mm", body.width, &s)
	if body.height != 0 && b.Height == 0 {
		r.length(&b.Height, "body.height_mm", body.height, &s)
	}
	if b.Mount == "" {
		b.Mount = "surface"
		r.note("body.mount", "surface", c.i, c.j)
	}
	r.shape("chip", &s)
}

// settleLetters gives single letters what they mean for the class: a fuse's
// characteristic and breaking capacity, or the tolerance behind the value.
func (r *reader) settleLetters() {
	for k := range r.codes {
		c := &r.codes[k]
		if c.what != letterCode {
			continue
		}
		if !r.settleLetter(c) {
			r.release(c.i, c.j)
		}
	}
}

func (r *reader) settleLetter(c *code) bool {
	p := &r.out.Part
	if p.Class == "fuse" {
		letter := upper([]byte(c.name))
		switch {
		case isSpeed(letter) && p.FuseSpeed == "":
			p.FuseSpeed = letter
			r.note("fuse_speed", letter, c.i, c.j)
			return true
		case letter == "H" || letter == "L" || letter == "E":
			r.keep(letter, c.i, c.j)
			return true
		}
		return false
	}
	return r.toleranceLetter(c)
}

// toleranceLetter takes the lone capital letter of a tolerance behind the
// value, or all alone where the class is known.
func (r *reader) toleranceLetter(c *code) bool {
	p := &r.out.Part
	alone := len(r.words) == 1 && r.ctx.Class != "" && r.ctx.Found == ""
	if !p.Tolerance.IsZero() || !alone && (len(r.values) != 1 || c.i != r.value[1]) || c.name[0] > 'Z' {
		return false
	}
	ctx := r.listed()
	if ctx.Class == "" {
		ctx.Class = classOfUnit(r.values[0].Quantity.Unit())
	}
	if alone {
		ctx.Found = ""
	}
	found, err := quantity.Read(c.name, quantity.ToleranceKind, ctx)
	if err != nil || len(found) == 0 {
		return false
	}
	for _, f := range found {
		if f.Tolerance.High().Unit() != quantity.Percent {
			continue
		}
		p.Tolerance = f.Tolerance
		r.note("tolerance", f.Tolerance.String(), c.i, c.j)
		r.doubt("The letter %s is read as a tolerance of %s.", c.name, f.Tolerance.String())
		return true
	}
	return false
}

// settleRest fills what a cell's code implies and keeps quoted texts and type
// numbers in the part's text.
func (r *reader) settleRest() {
	for k := range r.codes {
		if c := &r.codes[k]; c.what == cellTypeCode {
			if r.out.Part.Class == "cell" && !r.has("body.shape") && r.withCode(cellTypeCode) == c {
				r.cellDefaults(c)
			} else {
				r.release(c.i, c.j)
			}
		}
	}
	for i := range r.words {
		if w := &r.words[i]; w.quoted && !w.used {
			r.keep(r.unquoted(i), i, i+1)
		}
	}
	r.types()
}

// types keeps type numbers in the part's text: the unread words with figures of
// a class without a value, and otherwise only what is surely a type number.
func (r *reader) types() {
	for i := 0; i < len(r.words); {
		j := i + 1
		for r.free(j, j+1) && r.words[j].glued {
			j++
		}
		if r.free(i, i+1) && !r.words[i].name {
			r.typed(i, j)
		}
		i = j
	}
}

// typed keeps words i to j-1, which stand against each other, if they are a type
// number.
func (r *reader) typed(i, j int) {
	p := &r.out.Part
	_, valued := ValueKind(p.Class)
	low := r.lower(i)
	switch {
	case p.Class == "" || p.Class == "other":
		class, kind := byHabit(low)
		if len(r.values) > 0 || class == "" && !typeNumber(low) {
			return
		}
		if class != "" {
			p.Class = Class(class)
			r.note("class", class, i, j)
			r.doubt("By its letters %s is taken for %s.", r.source(i, j), kind)
		}
	case valued || p.Class == "cell" || p.Class == "fuse", !r.figures(i, j) && (len(r.texts) > 0 || !r.speaks(i, j)):
		return
	}
	r.keep(string(r.raw[r.words[i].lo:r.words[j-1].hi]), i, j)
}

func (r *reader) figures(i, j int) bool { return hasDigit(r.low[r.words[i].lo:r.words[j-1].hi]) }
