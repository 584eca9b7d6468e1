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
var safetyStandard = message.Text("IEC 60384-14")

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
			c.add(wrongUnit(designator, "tolerance", p.Tolerance.String(), "%", w.pointer(member+"/tolerance")))
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
	f := finding.Finding{Code: "value-not-preferred", Severity: finding.Caution, Pointer: w.pointer("part/value"),
		Found:    p.Value.String(),
		Expected: spellings(likely), Basis: message.Text("IEC 60063"),
		Sentence: message.Of("check.value-not-preferred", designator, p.Value)}
	if _, old := quantity.OldRating(p.Value); old {
		f.Severity = finding.Note
		f.Sentence = message.Of("check.value-old-rating", designator, p.Value, either(likely))
	}
	c.add(f)
}

func spellings(qs []quantity.Quantity) string {
	s := make([]string, len(qs))
	for i, q := range qs {
		s[i] = q.String()
	}
	return strings.Join(s, ", ")
}

// either names one of some quantities.
func either(qs []quantity.Quantity) message.Message {
	return message.Or(qs).Say()
}

func (c *checker) unit(designator, member string, q quantity.Quantity, kind quantity.Kind, w where, parent string) {
	if q.IsZero() {
		return
	}
	if q.Unit() != kind.Unit() {
		c.add(wrongUnit(designator, member, q.String(), kind.Unit().String(), w.pointer(parent+"/"+member)))
		return
	}
	if q.Sign() < 0 && kind != quantity.Temperature {
		c.add(finding.Finding{Code: "quantity-negative", Severity: finding.Stop, Pointer: w.pointer(parent + "/" + member),
			Sentence: message.Of("check.quantity-negative", designator, memberName(member), q),
			Expected: "≥ 0", Found: q.String(), Basis: message.Text("SI")})
	}
	if q.Sign() == 0 && kind != quantity.Temperature && kind != quantity.Resistance {
		c.add(finding.Finding{Code: "quantity-zero", Severity: finding.Stop, Pointer: w.pointer(parent + "/" + member),
			Sentence: message.Of("check.quantity-zero", designator, memberName(member), q),
			Expected: "> 0", Found: q.String(), Basis: message.Text("SI")})
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
		Sentence: message.Of("check.quantity-unit", memberName(member), designator, found, unit),
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
		c.add(wrongUnit(p.Designator, "working_voltage", v.String(), quantity.Volt.String(), w.pointer("working_voltage")))
		return
	}
	if v.Sign() < 0 {
		v = v.Neg()
	}
	if bears(&p.Part) && p.Part.Voltage.Unit() == quantity.Volt && v.Compare(p.Part.Voltage) > 0 {
		c.add(overRated(p, "which.original", p.Part.Voltage, finding.Caution, w.pointer("working_voltage")))
	}
	if r := p.Replacement; r != nil && bears(&r.Part) && r.Part.Voltage.Unit() == quantity.Volt &&
		v.Compare(r.Part.Voltage) > 0 {
		c.add(overRated(p, "which.replacement", r.Part.Voltage, finding.Stop, w.pointer("replacement/part/voltage")))
	}
}

// bears reports whether the part's voltage is a limit; a cell's is what it gives.
func bears(p *part.Part) bool { return p.Class != part.Cell }

func overRated(p *Position, which string, rated quantity.Quantity, s finding.Severity, pointer string) finding.Finding {
	return finding.Finding{Code: "working-voltage-above-rating", Severity: s, Pointer: pointer,
		Sentence: message.Of("check.working-above-rating", p.Designator, p.WorkingVoltage, message.Of(which), rated),
		Expected: "≥ " + p.WorkingVoltage.String(), Found: rated.String(), Basis: message.Of("basis.rated-voltage")}
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

var polarConstructions = []part.Construction{part.AluminiumElectrolytic, part.AluminiumPolymer, part.Tantalum,
	part.TantalumPolymer, part.Supercapacitor}

func (c *checker) polarity(p *Position, w where) {
	switch {
	case polarised(&p.Part) && p.Negative == nil:
		c.add(finding.Finding{Code: "polarity-unknown", Severity: finding.Caution, Pointer: w.pointer(""),
			Sentence: message.Of("check.polarity-unknown", p.Designator),
			Expected: "negative_deg", Basis: common})
	case p.Negative != nil && p.Part.Polarised != nil && !*p.Part.Polarised:
		c.add(finding.Finding{Code: "polarity-needless", Severity: finding.Note, Pointer: w.pointer("negative_deg"),
			Sentence: message.Of("check.polarity-needless", p.Designator), Basis: common})
	case p.Negative != nil && bipolar(&p.Part):
		c.add(finding.Finding{Code: "polarity-needless", Severity: finding.Note, Pointer: w.pointer("negative_deg"),
			Sentence: message.Of("check.polarity-needless-kind", p.Designator, kindOf(&p.Part)), Basis: common})
	}
	if is := p.Part.Polarised; is != nil && (*is && bipolar(&p.Part) || !*is && p.Part.Class == part.Cell) {
		c.add(finding.Finding{Code: "polarity-contradicts", Severity: finding.Caution, Pointer: w.pointer("part/polarised"),
			Sentence: message.Of("check.polarity-contradicts", p.Designator, kindOf(&p.Part),
				choice(is, "map.polarised", "map.bipolar")), Basis: common})
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
		c.add(unclassed(p, "which.its-original", &p.Part, letter, finding.Caution, w.pointer("part/safety_class")))
	}
	if r := p.Replacement; r != nil && r.Part.Class == part.Capacitor && !hasClass(&r.Part, letter) {
		c.add(unclassed(p, "which.its-replacement", &r.Part, letter, finding.Stop,
			w.pointer("replacement/part/safety_class")))
	}
}

// hasClass reports whether the part may stand in an X or a Y position. A Y
// part bears more than an X part, so it may stand in either.
func hasClass(p *part.Part, letter byte) bool {
	return strings.IndexByte(p.SafetyClass, letter) >= 0 || letter == 'X' && strings.HasPrefix(p.SafetyClass, "Y")
}

func unclassed(p *Position, which string, q *part.Part, letter byte, s finding.Severity,
	pointer string) finding.Finding {
	return finding.Finding{Code: "safety-class-missing", Severity: s, Pointer: pointer,
		Sentence: message.Of("check.safety-class-missing", p.Designator, string(letter), message.Of(which), safetyOf(q),
			string(letter)),
		Expected: fmt.Sprintf("%c1, %c2", letter, letter), Found: q.SafetyClass, Basis: safetyStandard}
}

func safetyOf(p *part.Part) message.Message {
	if p.SafetyClass == "" {
		return message.Of("check.no-safety-class")
	}
	return message.Of("check.its-safety-class", p.SafetyClass)
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
			c.add(replaced(p, "replacement-rating-lower", r, a, b, w))
		case b.Compare(a) > 0 && now.Class == part.Fuse && r.Name == "current":
			c.add(replaced(p, "replacement-fuse-higher", r, a, b, w))
		}
	}
	if was.Polarised != nil && !*was.Polarised && polarised(now) {
		c.add(finding.Finding{Code: "replacement-polarised", Severity: finding.Caution,
			Pointer:  w.pointer("replacement/part/polarised"),
			Sentence: message.Of("check.replacement-polarised", p.Designator),
			Expected: "polarised false", Basis: common})
	}
	if letter := letterOf(was.SafetyClass); letter != 0 && !hasClass(now, letter) && safetyLetter(p) == 0 {
		c.add(finding.Finding{Code: "safety-class-missing", Severity: finding.Stop, Pointer: w.pointer("replacement/part"),
			Sentence: message.Of("check.replacement-safety-class", p.Designator, was.SafetyClass, safetyOf(now)),
			Expected: was.SafetyClass, Found: now.SafetyClass, Basis: safetyStandard})
	}
	if was.Class != now.Class {
		c.otherClass(p, w)
	}
	if was.Class == part.Fuse && now.Class == part.Fuse && was.FuseSpeed != "" && now.FuseSpeed != "" &&
		was.FuseSpeed != now.FuseSpeed {
		c.add(finding.Finding{Code: "replacement-fuse-speed", Severity: finding.Caution,
			Pointer:  w.pointer("replacement/part/fuse_speed"),
			Sentence: message.Of("check.replacement-fuse-speed", p.Designator, was.FuseSpeed, now.FuseSpeed),
			Expected: was.FuseSpeed, Found: now.FuseSpeed, Basis: message.Text("IEC 60127")})
	}
	if samePart(was, now) {
		c.add(finding.Finding{Code: "replacement-same", Severity: finding.Note, Pointer: w.pointer("replacement/part"),
			Sentence: message.Of("check.replacement-same", p.Designator), Basis: common})
	}
}

// otherClass looks at a replacement of another class. What protects is never
// replaced by what does not.
func (c *checker) otherClass(p *Position, w where) {
	f := finding.Finding{Code: "replacement-class", Severity: finding.Caution,
		Pointer:  w.pointer("replacement/part/class"),
		Expected: string(p.Part.Class), Found: string(p.Replacement.Part.Class), Basis: common,
		Sentence: message.Of("check.replacement-class", p.Designator, p.Part.Class, p.Replacement.Part.Class)}
	if p.Part.Class == part.Fuse {
		f.Severity = finding.Stop
		f.Sentence = message.Of("check.replacement-no-fuse", p.Designator)
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
		c.add(finding.Finding{Code: "cell-charged", Severity: finding.Caution, Pointer: w.pointer("part/rechargeable"),
			Sentence: message.Of("check.cell-charged", p.Designator),
			Expected: "rechargeable true", Found: "rechargeable false", Basis: message.Text("IEC 60086-4")})
	}
	charges = charges || p.Part.Class == part.Cell && p.Part.Rechargeable != nil && *p.Part.Rechargeable
	if p.Replacement == nil || !charges || p.Replacement.Part.Class != part.Cell {
		return
	}
	switch now := p.Replacement.Part.Rechargeable; {
	case now == nil:
		c.add(finding.Finding{Code: "replacement-cell-unknown", Severity: finding.Caution,
			Pointer:  w.pointer("replacement/part"),
			Sentence: message.Of("check.replacement-cell-unknown", p.Designator),
			Expected: "rechargeable true", Basis: message.Text("IEC 60086-4")})
	case !*now:
		c.add(finding.Finding{Code: "replacement-cell-primary", Severity: finding.Stop,
			Pointer:  w.pointer("replacement/part/rechargeable"),
			Sentence: message.Of("check.replacement-cell-primary", p.Designator),
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
	var lacks, names string
	switch {
	case q.Class == part.Fuse && q.Current.IsZero():
		lacks, names = "check.lacks-current", "current"
	case q.Class == part.Cell && q.Chemistry == "" && q.Voltage.IsZero():
		lacks, names = "check.lacks-chemistry", "chemistry, voltage"
	case (q.Class == part.Capacitor || q.Class == part.Resistor || q.Class == part.Inductor) && q.Value.IsZero():
		lacks, names = "check.lacks-value", "value"
	default:
		return
	}
	c.add(finding.Finding{Code: "part-unspecified", Severity: finding.Caution, Pointer: w.pointer(at),
		Sentence: message.Of("check.part-unspecified", p.Designator, message.Of(lacks)), Expected: names,
		Basis: common})
}

func replaced(p *Position, code string, r *part.Member, was, now quantity.Quantity, w where) finding.Finding {
	return finding.Finding{Code: code, Severity: finding.Caution, Pointer: w.pointer("replacement/part/" + r.Name),
		Sentence: message.Of("check."+code, p.Designator, r.Say(), now, was),
		Expected: was.String(), Found: now.String(), Basis: common}
}
