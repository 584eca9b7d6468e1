package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// span is what capacitors of a construction are made in: capacitance from and
// to, rated voltage to (absent: not looked at).
type span struct{ least, most, voltage quantity.Quantity }

// spans are wider than any maker's list; what is outside was misread or
// mistyped. Common practice.
var spans = map[part.Construction]span{
	part.AluminiumElectrolytic: spanned("47 nF", "1 F", "750 V"),
	part.AluminiumPolymer:      spanned("1 µF", "22000 µF", "250 V"),
	part.Tantalum:              spanned("47 nF", "10000 µF", "150 V"),
	part.TantalumPolymer:       spanned("470 nF", "10000 µF", "150 V"),
	part.Ceramic:               spanned("0.1 pF", "1000 µF", ""),
	part.Film:                  spanned("10 pF", "10000 µF", ""),
	part.Paper:                 spanned("10 pF", "1000 µF", ""),
	part.Mica:                  spanned("0.5 pF", "2.2 µF", ""),
	part.Supercapacitor:        spanned("1000 µF", "10000 F", ""),
}

// temperatures are the upper category temperatures that parts are made for.
// Common practice.
var coolest, hottest = canonically("40 °C"), canonically("300 °C")

func spanned(least, most, voltage string) span {
	return span{canonically(least), canonically(most), canonically(voltage)}
}

// canonically reads a quantity of the tables above; a test sees to it that all
// of them read.
func canonically(s string) quantity.Quantity {
	q, err := quantity.Parse(s)
	if err != nil {
		return quantity.Quantity{}
	}
	return q
}

// plausible finds figures that no part of the kind has.
func (c *checker) plausible(designator string, p *part.Part, w where, member string) {
	implausible := func(of, expected string, q quantity.Quantity) {
		c.add(finding.Finding{Code: "quantity-implausible", Severity: finding.Caution, Pointer: w.pointer(member + "/" + of),
			Sentence: message.Of("check.quantity-implausible", designator, kindOf(p), q), Expected: expected,
			Found: q.String(), Basis: common})
	}
	if s, known := spans[p.Construction]; known && p.Class == part.Capacitor {
		if v := p.Value; v.Unit() == quantity.Farad && v.Sign() > 0 && (v.Compare(s.least) < 0 ||
			v.Compare(s.most) > 0) {
			implausible("value", fmt.Sprintf("%s … %s", s.least, s.most), v)
		}
		if v := p.Voltage; v.Unit() == quantity.Volt && !s.voltage.IsZero() && v.Compare(s.voltage) > 0 {
			implausible("voltage", "≤ "+s.voltage.String(), v)
		}
	}
	if t := p.TemperatureMax; t.Unit() == quantity.Celsius && (t.Compare(coolest) < 0 || t.Compare(hottest) > 0) {
		implausible("temperature_max", fmt.Sprintf("%s … %s", coolest, hottest), t)
	}
}

// construction finds a capacitor's construction on what is no capacitor.
func (c *checker) construction(designator string, p *part.Part, w where, member string) {
	if p.Class == part.Capacitor || !slices.Contains(part.Constructions, p.Construction) ||
		p.Construction == part.Ceramic || p.Construction == part.Film {
		return // there are ceramic resonators and film resistors
	}
	c.add(finding.Finding{Code: "construction-foreign", Severity: finding.Caution,
		Pointer:  w.pointer(member + "/construction"),
		Sentence: message.Of("check.construction-foreign", designator, kindOf(p)), Found: string(p.Construction),
		Basis: common})
}

// coincidence finds two positions at one place of one side. Where both bodies
// are known, that is an overlap already.
type coincidence struct{ i, j int }

func coincidences(ps []Position, skip func(i int) bool) []coincidence {
	type place struct {
		side Side
		x, y float64
	}
	first := make(map[place]int, len(ps))
	var out []coincidence
	for i := range ps {
		if skip(i) {
			continue
		}
		p := &ps[i]
		at := place{p.Side, math.Round(p.X * 100), math.Round(p.Y * 100)}
		j, there := first[at]
		if !there {
			first[at] = i
			continue
		}
		_, one := footprintOf(i, p)
		_, other := footprintOf(j, &ps[j])
		if !one || !other {
			out = append(out, coincidence{i, j})
		}
	}
	return out
}

func (o coincidence) finding(ps []Position, w where) finding.Finding {
	p := &ps[o.i]
	return finding.Finding{Code: "positions-coincide", Severity: finding.Caution, Pointer: w.pointer(""),
		Sentence: message.Of("check.positions-coincide", p.Designator, ps[o.j].Designator, number(p.X), number(p.Y),
			p.Side), Found: ps[o.j].Designator, Basis: common}
}

// body finds a body that contradicts itself, its headroom or the board.
func (c *checker) body(p *Position, w where) {
	b := p.Body
	if b == nil {
		return
	}
	odd := func(member string, sentence message.Message, expected, found string) {
		c.add(finding.Finding{Code: "body-contradicts", Severity: finding.Caution, Pointer: w.pointer("body/" + member),
			Sentence: sentence, Expected: expected, Found: found, Basis: document})
	}
	if b.HeightLimit > 0 && b.Height > b.HeightLimit {
		odd("height_mm", message.Of("check.body-high", p.Designator, mm(b.Height), mm(b.HeightLimit)), "≤ "+
			mm(b.HeightLimit), mm(b.Height))
	}
	if b.Shape == "can" && b.Mount != "surface" && b.Diameter > 0 && b.LeadPitch >= b.Diameter {
		odd("lead_pitch_mm", message.Of("check.body-leads", p.Designator, mm(b.Diameter), mm(b.LeadPitch)), "< "+
			mm(b.Diameter), mm(b.LeadPitch))
	}
	size := max(c.m.Frame.Width, c.m.Frame.Height)
	if long := max(b.Length, b.Width, b.Diameter); size > 0 && long > size+2*c.uncertainty {
		member := map[bool]string{true: "diameter_mm", false: "width_mm"}[long == b.Diameter]
		if long == b.Length {
			member = "length_mm"
		}
		odd(member, message.Of("check.body-long", p.Designator, mm(long)), "≤ "+mm(size), mm(long))
	}
}

// vague finds an uncertainty that would let anything pass for anything.
func (c *checker) vague() {
	f := &c.m.Frame
	if side := min(f.Width, f.Height); c.uncertainty > side*vagueShare {
		c.add(finding.Finding{Code: "uncertainty-large", Severity: finding.Caution, Pointer: "/frame/uncertainty_mm",
			Sentence: message.Of("check.uncertainty-large", mm(c.uncertainty), number(f.Width), number(f.Height)),
			Expected: "≤ " + mm(side*vagueShare), Found: mm(c.uncertainty), Basis: common})
	}
}

// vagueShare is how much of the board's shorter side the uncertainty may be.
// Common practice.
const vagueShare = 0.1

// powered finds measurements that can't be made when they are asked for.
func (c *checker) powered(k *Measurement, w where) {
	f := finding.Finding{Code: "check-when", Severity: finding.Caution, Pointer: w.pointer("when"), Found: string(k.When),
		Basis: common}
	switch {
	case k.When == BeforePowerUp && k.Measure == "current":
		f.Expected, f.Sentence = string(AfterPowerUp), message.Of("check.current-before", k.ID)
	case k.When == AfterPowerUp && (k.Measure == "resistance" || k.Measure == "continuity"):
		f.Expected, f.Sentence = string(BeforePowerUp), message.Of("check.resistance-after", k.ID,
			message.Word("measure", k.Measure))
	default:
		return
	}
	c.add(f)
}

// points finds a check that does not say where to measure.
func (c *checker) points(k *Measurement, w where) {
	if n := len(k.Between); n == 0 || n == 1 && k.Measure != "current" {
		c.add(finding.Finding{Code: "check-points-few", Severity: finding.Caution, Pointer: w.pointer("between"),
			Sentence: message.Of("check.points-few", k.ID, message.Word("measure", cmp.Or(k.Measure, "it"))),
			Expected: "≥ 2", Found: fmt.Sprint(n), Basis: common})
	}
}
