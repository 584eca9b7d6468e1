package part

import (
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/finding"
)

// What a rule adds to a pair's penalty; steps has the reasons.
const (
	costNone    = 0
	costBetter  = 1
	costNote    = 10
	costFit     = 40
	costValue   = 60
	costCaution = 200
	costDoubt   = 400
	costStop    = 100000
)

// Step is one of the weights that penalties are made of; a rule weighs one of
// them, or two together.
type Step struct {
	Penalty int    `json:"penalty"`
	Reason  string `json:"reason"` // what weighs as much, and why
}

// steps decide what is traded for what: the optimum of a kit takes the least
// total.
var steps = []Step{
	{costNone, "nothing to choose between"},
	{costBetter, "each step of a rating above the one asked for: the exact part is kept for the exact place"},
	{costNote, "worth a note: more than all better ratings of a pair together"},
	{costFit, "fits with handwork, such as bent leads: more than two notes"},
	{costValue, "another value, though one that does: more than a fit with handwork and a note"},
	{costCaution, "a person must look first: more than all notes of a pair together"},
	{costDoubt, "doubt about safety or about the very value: as much as two cautions"},
	{costStop, "never fitted: above any sum of the others, and never part of a total"},
}

// Steps lists the weights that penalties are made of, ascending.
func Steps() []Step { return slices.Clone(steps) }

// Rule describes one rule for people and programs.
type Rule struct {
	Code     string           `json:"code"`
	Severity finding.Severity `json:"severity"`
	Limit    string           `json:"limit"` // the threshold in words and figures
	Basis    string           `json:"basis"`
	Penalty  int              `json:"penalty"`
	Hazard   bool             `json:"hazard"` // stays as grave where the wanted part has the same fault
	Sentence string           `json:"sentence"`
}

// Rules lists every rule of Suit, in the order of their judging. A code may
// stand in several rows that differ in severity and limit.
func Rules() []Rule {
	out := make([]Rule, 0, len(rules))
	for id := range ruleID(len(rules)) {
		r := &rules[id]
		out = append(out, Rule{r.code, r.severity, r.limit, r.basis, int(r.cost), r.severity == stop || hazards.has(id), plain(r.sentence)})
	}
	return out
}

// plain is a rule's sentence without the case in hand.
func plain(sentence string) string { return fill(sentence, func(string) string { return "…" }) }

// rule is one row of the table that drives both Suit and Weigh.
type rule struct {
	code     string
	severity finding.Severity
	cost     int32
	about    member // what expected and found show
	limit    string // threshold
	basis    string
	sentence string // with {want}, {have}, {place}, {temp}, {function}
}

// member names what a finding compares.
type member uint8

const (
	ofNothing member = iota
	ofClass
	ofConstruction
	ofValue
	ofTolerance
	ofVoltage
	ofWorking
	ofCurrent
	ofPower
	ofTemperature
	ofRailTemp
	ofEndurance
	ofPolarity
	ofESR
	ofRipple
	ofDielectric
	ofSafety
	ofSpeed
	ofBreaking
	ofChemistry
	ofCharge
	ofText
	ofMount
	ofDiameter
	ofHeight
	ofHeadroom
	ofPitch
	ofSize
	ofSupply
	ofLoad
	ofWindings
	ofDissipation
	ofShape
	ofKind
)

// say makes the finding of a rule that fired.
func (j *judgement) say(id ruleID, excused bool) finding.Finding {
	r := &rules[id]
	want, have := j.compared(r.about)
	s := fill(r.sentence, func(name string) string {
		switch name {
		case "want":
			return want
		case "have":
			return have
		case "place":
			return j.p.WorkingVoltage.String()
		case "temp":
			return j.p.RailTemp.String()
		case "function":
			return j.p.Function
		}
		return "{" + name + "}"
	})
	f := finding.Finding{Code: r.code, Severity: r.severity, Sentence: s, Expected: want, Found: have, Limit: r.limit, Basis: r.basis}
	if r.severity == stop && j.same.has(id) {
		f.Sentence += " The part that the map asks for has the same fault, so the map has to be mended as well."
	}
	if excused {
		f.Severity = excuse(r.severity)
		if f.Severity != r.severity {
			f.Sentence += " The part asked for is no different here, so check the map as well."
		}
	}
	return f
}

// fill puts words in place of the names in braces, "unknown" for none. It is
// called for every finding of a kit, which a strings.Replacer is slow to be made
// for.
func fill(sentence string, word func(name string) string) string {
	var b strings.Builder
	b.Grow(len(sentence) + 32)
	for {
		before, rest, found := strings.Cut(sentence, "{")
		b.WriteString(before)
		if !found {
			return b.String()
		}
		name, after, _ := strings.Cut(rest, "}")
		b.WriteString(orUnknown(word(name)))
		sentence = after
	}
}

func orUnknown(s string) string {
	if s == "" {
		return "unknown"
	}
	return s
}

// compared spells what the wanted and the offered part have of a member.
func (j *judgement) compared(m member) (want, have string) {
	w, o := j.w, j.o
	switch m {
	case ofClass:
		return string(w.Class), string(o.Class)
	case ofConstruction:
		return string(w.Construction), string(o.Construction)
	case ofValue:
		return w.Value.String(), o.Value.String()
	case ofTolerance:
		return w.Tolerance.String(), o.Tolerance.String()
	case ofVoltage:
		return w.Voltage.String(), o.Voltage.String()
	case ofWorking:
		return j.p.WorkingVoltage.String(), o.Voltage.String()
	case ofCurrent:
		return w.Current.String(), o.Current.String()
	case ofPower:
		return w.Power.String(), o.Power.String()
	case ofTemperature:
		return w.TemperatureMax.String(), o.TemperatureMax.String()
	case ofRailTemp:
		return j.p.RailTemp.String(), o.TemperatureMax.String()
	case ofEndurance:
		return enduranceText(&w.Part), enduranceText(&o.Part)
	case ofESR:
		return w.ESRMax.String(), o.ESRMax.String()
	case ofRipple:
		return w.Ripple.String(), o.Ripple.String()
	case ofLoad:
		return w.LoadCapacitance.String(), o.LoadCapacitance.String()
	case ofDissipation:
		return j.dissipated().String(), o.Power.String()
	}
	return j.comparedWords(m)
}

func (j *judgement) comparedWords(m member) (want, have string) {
	w, o := j.w, j.o
	body := j.offeredBody()
	switch m {
	case ofPolarity:
		return polarityText(w.polarity), polarityText(o.polarity)
	case ofDielectric:
		return w.Dielectric, o.Dielectric
	case ofSafety:
		return w.SafetyClass, o.SafetyClass
	case ofSpeed:
		return w.FuseSpeed, o.FuseSpeed
	case ofBreaking:
		return breakingText(w), breakingText(o)
	case ofChemistry:
		return w.Chemistry, o.Chemistry
	case ofCharge:
		return chargeText(w.charge), chargeText(o.charge)
	case ofText:
		return w.Text, o.Text
	case ofMount:
		return j.body.Mount, body.Mount
	case ofKind:
		return w.traits.kind(), o.traits.kind()
	case ofShape:
		return j.body.Shape, body.Shape
	case ofDiameter:
		return millimetres(j.body.Diameter), millimetres(body.Diameter)
	case ofHeight:
		return millimetres(tall(&j.body)), millimetres(tall(body))
	case ofHeadroom:
		return millimetres(j.body.HeightLimit), millimetres(tall(body))
	case ofPitch:
		return millimetres(j.body.LeadPitch), millimetres(pitchOf(body))
	case ofSupply:
		return string(w.supply), string(o.supply)
	case ofWindings:
		return w.Windings.String(), o.Windings.String()
	case ofSize:
		return sizeText(&j.body), sizeText(body)
	}
	return "", ""
}

func enduranceText(p *Part) string {
	if p.Endurance.IsZero() || p.TemperatureMax.IsZero() {
		return p.Endurance.String()
	}
	return p.Endurance.String() + " at " + p.TemperatureMax.String()
}

func polarityText(polarity int8) string {
	switch polarity {
	case 1:
		return "polarised"
	case -1:
		return "bipolar"
	}
	return ""
}

func chargeText(charge int8) string {
	switch charge {
	case 1:
		return "rechargeable"
	case -1:
		return "primary"
	}
	return ""
}

func breakingText(c *Candidate) string {
	if !c.BreakingCapacity.IsZero() {
		return c.BreakingCapacity.String()
	}
	return c.breaks.String()
}

// millimetres spells a length, "" for 0.
func millimetres(x float64) string {
	if x == 0 {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64) + " mm"
}

func sizeText(b *Body) string {
	var parts []string
	for _, x := range [4]float64{b.Diameter, b.Length, b.Width, b.Height} {
		if x != 0 {
			parts = append(parts, strconv.FormatFloat(x, 'f', -1, 64))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, " x ") + " mm"
}
