package part

import (
	"boardlore/domain/message"
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
	Penalty int             `json:"penalty"`
	Reason  message.Message `json:"reason"` // what weighs as much, and why
}

// steps decide what is traded for what: the optimum of a kit takes the least
// total.
var steps = []Step{
	{costNone, message.Of("part.nothing-choose-between")},
	{costBetter, message.Of("part.each-step-rating-above")},
	{costNote, message.Of("part.worth-note-more-than")},
	{costFit, message.Of("part.fits-handwork-such-bent")},
	{costValue, message.Of("part.another-value-though-one")},
	{costCaution, message.Of("part.person-must-look-first")},
	{costDoubt, message.Of("part.doubt-about-safety-about")},
	{costStop, message.Of("part.never-fitted-above-any")},
}

// Steps lists the weights that penalties are made of, ascending.
func Steps() []Step { return slices.Clone(steps) }

// Rule describes one rule for people and programs.
type Rule struct {
	Code     string           `json:"code"`
	Severity finding.Severity `json:"severity"`
	Limit    message.Message  `json:"limit"` // the threshold in words and figures
	Basis    message.Message  `json:"basis"`
	Penalty  int              `json:"penalty"`
	Hazard   bool             `json:"hazard"` // stays as grave where the wanted part has the same fault
	Sentence message.Message  `json:"sentence"`
}

// Rules lists every rule of Suit, in the order of their judging. A code may
// stand in several rows that differ in severity and limit.
func Rules() []Rule {
	out := make([]Rule, 0, len(rules))
	for id := range ruleID(len(rules)) {
		r := &rules[id]
		out = append(out, Rule{r.code, r.severity, message.Of(r.limit), message.Of(r.basis),
			int(r.cost), r.severity == stop || hazards.has(id), message.Of(r.sentence, "…", "…", "…", "…", "…")})
	}
	return out
}

// rule is one row of the table that drives both Suit and Weigh.
type rule struct {
	code     string
	severity finding.Severity
	cost     int32
	about    member // what expected and found show
	limit    string // threshold; this and what follows by their keys
	basis    string
	sentence string // {1} is what is wanted, {2} what is offered, {3} the working voltage, {4} the temperature, {5} the function
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
	ofContacts
	ofDissipation
	ofShape
	ofKind
	ofOthers
)

// say makes the finding of a rule that fired.
func (j *judgement) say(id ruleID, excused bool) finding.Finding {
	r := &rules[id]
	want, have := j.compared(r.about)
	asked, told := valueWord(r.about, want), valueWord(r.about, have)
	if r.about == ofOthers {
		asked, told = j.others()
	}
	f := finding.Finding{Code: r.code, Severity: r.severity, Expected: want, Found: have, Limit: message.Of(r.limit),
		Basis: message.Of(r.basis),
		Sentence: message.Of(r.sentence, asked, told,
			orUnknown(j.p.WorkingVoltage.String()),
			orUnknown(j.p.RailTemp.String()), j.p.Function)}
	if r.severity == stop && j.same.has(id) {
		f.Sentence = f.Sentence.And(message.Of("rule.map-has-it-too"))
	}
	if excused {
		f.Severity = excuse(r.severity)
		if f.Severity != r.severity {
			f.Sentence = f.Sentence.And(message.Of("rule.wanted-no-different"))
		}
	}
	return f
}

// sets are the members whose values are words.
var sets = map[member]string{ofClass: "class", ofConstruction: "construction", ofPolarity: "polarity",
	ofChemistry: "chemistry", ofCharge: "charge",
	ofMount: "mount", ofKind: "kind", ofShape: "shape", ofSupply: "supply"}

// valueWord is a value as a sentence has it.
func valueWord(m member, value string) any {
	if set := sets[m]; set != "" && value != "" {
		return message.Word(set, value)
	}
	return orUnknown(value)
}

func orUnknown(s string) any {
	if s == "" {
		return message.Of("word.unknown")
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
	case ofContacts:
		return w.contacts.String(), o.contacts.String()
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
