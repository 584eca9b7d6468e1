package board

import (
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// safetyStandard classes the parts that may stand across the mains (X) or
// between the mains and what a person can touch (Y).
const safetyStandard = "IEC 60384-14"

// position checks one position by itself.
func (c *checker) position(p *Position, w where) {
	c.place(p, w)
	c.body(p, w)
	c.units(p.Designator, &p.Part, w, "part")
	c.plausible(p.Designator, &p.Part, w, "part")
	c.construction(p.Designator, &p.Part, w, "part")
	c.preferred(p.Designator, &p.Part, w)
	c.text(p.Designator, &p.Part, w, "part")
	c.working(p, w)
	c.polarity(p, w)
	c.safety(p, w)
	c.charged(p, w)
	c.specified(p, w)
	if p.Replacement != nil {
		c.units(p.Designator, &p.Replacement.Part, w, "replacement/part")
		c.plausible(p.Designator, &p.Replacement.Part, w, "replacement/part")
		c.construction(p.Designator, &p.Replacement.Part, w, "replacement/part")
		c.text(p.Designator, &p.Replacement.Part, w, "replacement/part")
		c.replacement(p, w)
	}
}

// ratings are the members that a part must not have less of than the part
// whose place it takes.
var ratings = func() (out []*part.Member) {
	for i := range part.Members {
		if m := &part.Members[i]; m.Rating {
			out = append(out, m)
		}
	}
	return out
}()

// units holds every quantity of a part to the unit of its member and to a
// sense: nothing bears less than nought.
func (c *checker) units(designator string, p *part.Part, w where, member string) {
	for i := range part.Members {
		m := &part.Members[i]
		if kind, ok := m.KindOf(p.Class); ok && m.Holds == part.Measure {
			c.unit(designator, m.Name, m.Quantity(p), kind, w, member)
		}
	}
	c.windings(designator, p.Windings, w, member)
	if !p.Tolerance.IsZero() {
		u := p.Tolerance.High().Unit()
		if u != quantity.Percent && !(u == quantity.Farad && p.Class == part.Capacitor) {
			c.add(wrongUnit(designator, "tolerance", p.Tolerance.String(), "%", w.at(member+"/tolerance")))
		}
	}
}

// preferred finds a value that stands in no series: it is more often misread
// than odd. Only capacitors and resistors are made by series throughout.
func (c *checker) preferred(designator string, p *part.Part, w where) {
	if p.Class != part.Capacitor && p.Class != part.Resistor || p.Value.Sign() <= 0 {
		return
	}
	in, likely := quantity.Preferred(p.Value)
	if in {
		return
	}
	f := finding.Finding{Code: "value-not-preferred", Severity: finding.Caution, Pointer: w.at("part/value"), Found: p.Value.String(),
		Expected: spellings(likely), Basis: message.Text("IEC 60063"),
		Sentence: message.Text(fmt.Sprintf("%s is %s, which is in no preferred series; read the marking again.", designator, p.Value))}
	if _, old := quantity.OldRating(p.Value); old {
		f.Severity = finding.Note
		f.Sentence = message.Text(fmt.Sprintf("%s is %s, a rating from before the preferred series; today %s is made in its place.", designator, p.Value, spellings(likely)))
	}
	c.add(f)
}

func spellings(qs []quantity.Quantity) string {
	s := make([]string, len(qs))
	for i, q := range qs {
		s[i] = q.String()
	}
	return strings.Join(s, " or ")
}

func (c *checker) unit(designator, member string, q quantity.Quantity, kind quantity.Kind, w where, parent string) {
	if q.IsZero() {
		return
	}
	if q.Unit() != kind.Unit() {
		c.add(wrongUnit(designator, member, q.String(), kind.Unit().String(), w.at(parent+"/"+member)))
		return
	}
	if q.Sign() < 0 && kind != quantity.Temperature {
		c.add(finding.Finding{Code: "quantity-negative", Severity: finding.Stop, Pointer: w.at(parent + "/" + member),
			Sentence: message.Text(fmt.Sprintf("%s has a %s of %s; it cannot be below nought.", designator, strings.ReplaceAll(member, "_", " "), q)),
			Expected: "0 or more", Found: q.String(), Basis: message.Text("SI")})
	}
	if q.Sign() == 0 && kind != quantity.Temperature && kind != quantity.Resistance {
		c.add(finding.Finding{Code: "quantity-zero", Severity: finding.Stop, Pointer: w.at(parent + "/" + member),
			Sentence: message.Text(fmt.Sprintf("%s has a %s of %s; no part has. Leave it out where it is not known.", designator, strings.ReplaceAll(member, "_", " "), q)),
			Expected: "more than 0", Found: q.String(), Basis: message.Text("SI")})
	}
}

// windings holds each winding to a voltage or, for signals, an impedance.
func (c *checker) windings(designator string, coils *part.Windings, w where, parent string) {
	if coils == nil {
		return
	}
	sides := [2]string{"primary", "secondary"}
	for j, of := range [2][]quantity.Quantity{coils.Primary, coils.Secondary} {
		for i, q := range of {
			member := fmt.Sprintf("windings/%s/%d", sides[j], i)
			if q.Unit() == quantity.Ohm {
				c.unit(designator, member, q, quantity.Resistance, w, parent)
			} else {
				c.unit(designator, member, q, quantity.Voltage, w, parent)
			}
		}
	}
}

func wrongUnit(designator, member, found, unit, pointer string) finding.Finding {
	return finding.Finding{Code: "quantity-unit", Severity: finding.Stop, Pointer: pointer,
		Sentence: message.Text(fmt.Sprintf("The %s of %s is %s; write it in %s.", strings.ReplaceAll(member, "_", " "), designator, found, unit)),
		Expected: unit, Found: found, Basis: message.Text("SI")}
}

// working compares the voltage in service with what the parts bear. An
// original that bears too little is a fault of the equipment that people want
// to know of, so it is a caution; to recommend such a part is a stop.
func (c *checker) working(p *Position, w where) {
	v := p.WorkingVoltage
	if v.IsZero() {
		return
	}
	if v.Unit() != quantity.Volt {
		c.add(wrongUnit(p.Designator, "working_voltage", v.String(), quantity.Volt.String(), w.at("working_voltage")))
		return
	}
	if v.Sign() < 0 {
		v = v.Neg()
	}
	if bears(&p.Part) && p.Part.Voltage.Unit() == quantity.Volt && v.Compare(p.Part.Voltage) > 0 {
		c.add(overRated(p, "original", p.Part.Voltage, finding.Caution, w.at("working_voltage")))
	}
	if r := p.Replacement; r != nil && bears(&r.Part) && r.Part.Voltage.Unit() == quantity.Volt && v.Compare(r.Part.Voltage) > 0 {
		c.add(overRated(p, "replacement", r.Part.Voltage, finding.Stop, w.at("replacement/part/voltage")))
	}
}

// bears reports whether the part's voltage is a limit; a cell's is what it gives.
func bears(p *part.Part) bool { return p.Class != part.Cell }

func overRated(p *Position, what string, rated quantity.Quantity, s finding.Severity, pointer string) finding.Finding {
	return finding.Finding{Code: "working-voltage-above-rating", Severity: s, Pointer: pointer,
		Sentence: message.Text(fmt.Sprintf("%s works at %s, above the %s's rating of %s; correct the figures, or name a replacement that bears it.", p.Designator, p.WorkingVoltage, what, rated)),
		Expected: "at least " + p.WorkingVoltage.String(), Found: rated.String(), Basis: message.Text("rated voltage, IEC 60384-1")}
}

// polarised says whether a part has a polarity: by its own word, else by its
// construction.
func polarised(p *part.Part) bool {
	if p.Polarised != nil {
		return *p.Polarised
	}
	switch p.Class {
	case part.Cell:
		return true
	case part.Capacitor:
		return slices.Contains(polarConstructions, p.Construction)
	}
	return false
}

var polarConstructions = []part.Construction{part.AluminiumElectrolytic, part.AluminiumPolymer, part.Tantalum, part.TantalumPolymer, part.Supercapacitor}

func (c *checker) polarity(p *Position, w where) {
	switch {
	case polarised(&p.Part) && p.Negative == nil:
		c.add(finding.Finding{Code: "polarity-unknown", Severity: finding.Caution, Pointer: w.at(""),
			Sentence: message.Text(fmt.Sprintf("%s is polarised and negative_deg is not given; look where the negative lead goes before anyone fits a part there.", p.Designator)),
			Expected: "negative_deg", Basis: message.Text(common)})
	case p.Negative != nil && p.Part.Polarised != nil && !*p.Part.Polarised:
		c.add(finding.Finding{Code: "polarity-needless", Severity: finding.Note, Pointer: w.at("negative_deg"),
			Sentence: message.Text(fmt.Sprintf("%s is bipolar, so negative_deg says nothing; take one of the two back.", p.Designator)), Basis: message.Text(common)})
	case p.Negative != nil && bipolar(&p.Part):
		c.add(finding.Finding{Code: "polarity-needless", Severity: finding.Note, Pointer: w.at("negative_deg"),
			Sentence: message.Text(fmt.Sprintf("%s is %s, which has no polarity, so negative_deg says nothing; correct the part or take it back.", p.Designator, oneOfKind(&p.Part))), Basis: message.Text(common)})
	}
	if is := p.Part.Polarised; is != nil && (*is && bipolar(&p.Part) || !*is && p.Part.Class == part.Cell) {
		c.add(finding.Finding{Code: "polarity-contradicts", Severity: finding.Caution, Pointer: w.at("part/polarised"),
			Sentence: message.Text(fmt.Sprintf("%s is %s and is said to be %s; one of the two is wrong.", p.Designator, oneOfKind(&p.Part), choice(is, "polarised", "bipolar"))), Basis: message.Text(common)})
	}
}

// bipolar reports whether parts of this kind never have a polarity.
func bipolar(p *part.Part) bool {
	switch p.Class {
	case part.Resistor, part.Potentiometer, part.Thermistor, part.Varistor, part.Fuse, part.Inductor, part.Crystal:
		return true
	case part.Capacitor:
		return slices.Contains(bipolarConstructions, p.Construction)
	}
	return false
}

var bipolarConstructions = []part.Construction{part.Ceramic, part.Film, part.Paper, part.Mica}

// safetyLetter is the letter that a position asks for: X or Y, 0 for neither.
// Its circuit says it, or where that is not given, its function.
func safetyLetter(p *Position) byte {
	switch d := part.DutyOf(p.Function); {
	case p.Circuit.Bridges():
		return 'Y'
	case p.Circuit == part.AcrossMains:
		return 'X'
	case p.Circuit != "":
		return 0
	case d&part.MainsY != 0:
		return 'Y'
	case d&part.MainsX != 0:
		return 'X'
	}
	return 0
}

func (c *checker) safety(p *Position, w where) {
	letter := safetyLetter(p)
	if letter == 0 {
		return
	}
	if p.Part.Class == part.Capacitor && !hasClass(&p.Part, letter) {
		c.add(unclassed(p, "original", &p.Part, letter, finding.Caution, w.at("part/safety_class")))
	}
	if r := p.Replacement; r != nil && r.Part.Class == part.Capacitor && !hasClass(&r.Part, letter) {
		c.add(unclassed(p, "replacement", &r.Part, letter, finding.Stop, w.at("replacement/part/safety_class")))
	}
}

// hasClass reports whether the part may stand in an X or a Y position. A Y
// part bears more than an X part, so it may stand in either.
func hasClass(p *part.Part, letter byte) bool {
	return strings.IndexByte(p.SafetyClass, letter) >= 0 || letter == 'X' && strings.HasPrefix(p.SafetyClass, "Y")
}

func unclassed(p *Position, what string, q *part.Part, letter byte, s finding.Severity, pointer string) finding.Finding {
	return finding.Finding{Code: "safety-class-missing", Severity: s, Pointer: pointer,
		Sentence: message.Text(fmt.Sprintf("%s stands in a mains %c position and its %s has %s; only a part of class %c may be fitted there.",
			p.Designator, letter, what, orNo(q.SafetyClass, "safety class"), letter)),
		Expected: fmt.Sprintf("class %c1 or %c2", letter, letter), Found: q.SafetyClass, Basis: message.Text(safetyStandard)}
}

func orNo(s, what string) string {
	if s == "" {
		return "no " + what
	}
	return what + " " + s
}

// replacement compares the recommended part with the original.
func (c *checker) replacement(p *Position, w where) {
	was, now := &p.Part, &p.Replacement.Part
	for i := range ratings {
		r := ratings[i]
		a, b := r.Quantity(was), r.Quantity(now)
		switch {
		case a.IsZero() || b.IsZero() || a.Unit() != b.Unit():
		case b.Compare(a) < 0:
			c.add(replaced(p, "replacement-rating-lower", r, a, b, "lower", w))
		case b.Compare(a) > 0 && now.Class == part.Fuse && r.Name == "current":
			c.add(replaced(p, "replacement-fuse-higher", r, a, b, "higher", w))
		}
	}
	if was.Polarised != nil && !*was.Polarised && polarised(now) {
		c.add(finding.Finding{Code: "replacement-polarised", Severity: finding.Caution, Pointer: w.at("replacement/part/polarised"),
			Sentence: message.Text(fmt.Sprintf("%s is bipolar and its replacement is polarised; make sure that the voltage there never turns.", p.Designator)),
			Expected: "polarised false", Basis: message.Text(common)})
	}
	if letter := letterOf(was.SafetyClass); letter != 0 && !hasClass(now, letter) && safetyLetter(p) == 0 {
		c.add(finding.Finding{Code: "safety-class-missing", Severity: finding.Stop, Pointer: w.at("replacement/part"),
			Sentence: message.Text(fmt.Sprintf("%s is of safety class %s and its replacement has %s; name a part of that class.", p.Designator, was.SafetyClass, orNo(now.SafetyClass, "safety class"))),
			Expected: was.SafetyClass, Found: now.SafetyClass, Basis: message.Text(safetyStandard)})
	}
	if was.Class != now.Class {
		c.otherClass(p, w)
	}
	if was.Class == part.Fuse && now.Class == part.Fuse && was.FuseSpeed != "" && now.FuseSpeed != "" && was.FuseSpeed != now.FuseSpeed {
		c.add(finding.Finding{Code: "replacement-fuse-speed", Severity: finding.Caution, Pointer: w.at("replacement/part/fuse_speed"),
			Sentence: message.Text(fmt.Sprintf("%s is a fuse of speed %s and its replacement is of speed %s; make sure that this is meant.", p.Designator, was.FuseSpeed, now.FuseSpeed)),
			Expected: was.FuseSpeed, Found: now.FuseSpeed, Basis: message.Text("IEC 60127")})
	}
	if samePart(was, now) {
		c.add(finding.Finding{Code: "replacement-same", Severity: finding.Note, Pointer: w.at("replacement/part"),
			Sentence: message.Text(fmt.Sprintf("The replacement of %s is the original itself; take it out, or say what is other about it.", p.Designator)), Basis: message.Text(common)})
	}
}

// otherClass looks at a replacement of another class. What protects is never
// replaced by what does not.
func (c *checker) otherClass(p *Position, w where) {
	f := finding.Finding{Code: "replacement-class", Severity: finding.Caution, Pointer: w.at("replacement/part/class"), Expected: string(p.Part.Class), Found: string(p.Replacement.Part.Class), Basis: message.Text(common),
		Sentence: message.Text(fmt.Sprintf("%s is of class %s and its replacement of class %s; make sure that this is meant.", p.Designator, p.Part.Class, p.Replacement.Part.Class))}
	if p.Part.Class == part.Fuse {
		f.Severity = finding.Stop
		f.Sentence = message.Text(fmt.Sprintf("%s is a fuse and its replacement is none; whatever it protects could burn. Name a fuse.", p.Designator))
	}
	c.add(f)
}

// letterOf is the letter that a part of a safety class must be replaced by: a
// part of both classes may stand in a Y position.
func letterOf(class string) byte {
	switch {
	case strings.Contains(class, "Y"):
		return 'Y'
	case strings.Contains(class, "X"):
		return 'X'
	}
	return 0
}

// charged looks at cells where the circuit charges them: a primary cell bursts
// there. Whether an original is one is a question about the equipment; to
// recommend one is a stop.
func (c *checker) charged(p *Position, w where) {
	charges := part.DutyOf(p.Function)&part.Charged != 0
	if charges && p.Part.Class == part.Cell && p.Part.Rechargeable != nil && !*p.Part.Rechargeable {
		c.add(finding.Finding{Code: "cell-charged", Severity: finding.Caution, Pointer: w.at("part/rechargeable"),
			Sentence: message.Text(fmt.Sprintf("The circuit charges %s, and it is said to be a primary cell; one of the two is wrong, or the cell is.", p.Designator)),
			Expected: "rechargeable true", Found: "rechargeable false", Basis: message.Text("IEC 60086-4")})
	}
	charges = charges || p.Part.Class == part.Cell && p.Part.Rechargeable != nil && *p.Part.Rechargeable
	if p.Replacement == nil || !charges || p.Replacement.Part.Class != part.Cell {
		return
	}
	switch now := p.Replacement.Part.Rechargeable; {
	case now == nil:
		c.add(finding.Finding{Code: "replacement-cell-unknown", Severity: finding.Caution, Pointer: w.at("replacement/part"),
			Sentence: message.Text(fmt.Sprintf("The circuit charges %s, and nothing says whether its replacement may be charged; say so.", p.Designator)),
			Expected: "rechargeable true", Basis: message.Text("IEC 60086-4")})
	case !*now:
		c.add(finding.Finding{Code: "replacement-cell-primary", Severity: finding.Stop, Pointer: w.at("replacement/part/rechargeable"),
			Sentence: message.Text(fmt.Sprintf("The circuit charges %s, and its replacement is a primary cell, which can burst when charged; name a rechargeable one.", p.Designator)),
			Expected: "rechargeable true", Found: "rechargeable false", Basis: message.Text("IEC 60086-4")})
	}
}

// specified finds what is to be replaced by nobody knows what.
func (c *checker) specified(p *Position, w where) {
	q, at := p.Wanted(), "part"
	if p.Replacement != nil {
		at = "replacement/part"
	}
	if p.Service != Replace || q.Text != "" {
		return
	}
	var lacks string
	switch {
	case q.Class == part.Fuse && q.Current.IsZero():
		lacks = "rated current"
	case q.Class == part.Cell && q.Chemistry == "" && q.Voltage.IsZero():
		lacks = "chemistry and voltage"
	case (q.Class == part.Capacitor || q.Class == part.Resistor || q.Class == part.Inductor) && q.Value.IsZero():
		lacks = "value"
	default:
		return
	}
	c.add(finding.Finding{Code: "part-unspecified", Severity: finding.Caution, Pointer: w.at(at),
		Sentence: message.Text(fmt.Sprintf("%s is to be replaced and the %s of the part to fit is not given; nobody can buy it.", p.Designator, lacks)), Expected: lacks, Basis: message.Text(common)})
}

func replaced(p *Position, code string, r *part.Member, was, now quantity.Quantity, how string, w where) finding.Finding {
	return finding.Finding{Code: code, Severity: finding.Caution, Pointer: w.at("replacement/part/" + r.Name),
		Sentence: message.Text(fmt.Sprintf("The replacement of %s has a %s of %s, %s than the original's %s; make sure that this is meant.", p.Designator, r.Words, now, how, was)),
		Expected: was.String(), Found: now.String(), Basis: message.Text(common)}
}
