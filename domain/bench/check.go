package bench

import (
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Check is a step with the meter or at the switch: one of the map's checks, or
// one of the usual steps at a first power-up, which have no measure.
type Check struct {
	ID      string            `json:"id"`
	Title   message.Message   `json:"title"`
	Measure string            `json:"measure,omitzero"` // resistance, voltage, current or continuity
	Between []string          `json:"between,omitzero"`
	Points  []Point           `json:"points,omitzero"` // the positions that between names
	Expect  *board.Range      `json:"expect,omitzero"`
	Right   message.Message   `json:"right,omitzero"`   // what is right, in words
	Outside []message.Message `json:"outside,omitzero"` // what a reading outside may mean
	Note    string            `json:"note,omitzero"`
	Text    message.Message   `json:"text,omitzero"` // what to do
	Basis   message.Message   `json:"basis,omitzero"`
}

// Point is where a probe goes.
type Point struct {
	Designator string     `json:"designator"`
	Side       board.Side `json:"side"`
	X          float64    `json:"x_mm"`
	Y          float64    `json:"y_mm"`
}

// checks sorts the map's checks to their moments. What is to be right before
// power-up is measured before the work, so that a fault of the work shows
// against it, and again when the work is done, before the switch.
func checks(m *board.Map) (before, powerUp, after []Check) {
	before, powerUp, after = []Check{}, []Check{}, []Check{}
	at := make(map[string]*board.Position, len(m.Positions))
	for i := range m.Positions {
		at[m.Positions[i].Designator] = &m.Positions[i]
	}
	for i := range m.Checks {
		c := checkOf(&m.Checks[i], at)
		if m.Checks[i].When == board.AfterPowerUp {
			after = append(after, c)
		} else {
			before, powerUp = append(before, c), append(powerUp, c)
		}
	}
	return before, append(powerUp, firstPowerUp(m)...), after
}

func checkOf(x *board.Measurement, at map[string]*board.Position) Check {
	c := Check{ID: x.ID, Title: message.Text(x.Title), Measure: x.Measure, Between: x.Between, Points: points(x.Between,
		at), Expect: x.Expect, Note: x.Note,
		Right: Right(x.Expect)}
	if x.Expect != nil {
		c.Outside = outside(x)
	}
	return c
}

// points finds the positions that the words between which to measure name.
func points(between []string, at map[string]*board.Position) []Point {
	var out []Point
	for _, w := range between {
		for _, f := range strings.FieldsFunc(w, func(r rune) bool { return strings.ContainsRune(" ,;()", r) }) {
			name, _, _ := strings.Cut(f, ".")
			p := at[name]
			if p == nil || slices.ContainsFunc(out, func(q Point) bool { return q.Designator == p.Designator }) {
				continue
			}
			out = append(out, Point{p.Designator, p.Side, p.X, p.Y})
		}
	}
	return out
}

// Right says a range as people do: "150 Ω or more".
func Right(r *board.Range) message.Message {
	switch {
	case r == nil:
	case !r.Min.IsZero() && !r.Max.IsZero():
		return message.Of("bench.range", r.Min, r.Max)
	case !r.Min.IsZero():
		return message.Of("bench.or-more", r.Min)
	case !r.Max.IsZero():
		return message.Of("bench.or-less", r.Max)
	}
	return message.Message{}
}

// meanings of readings below and above what is right: common practice.
var meanings = map[string][2]message.Message{
	"resistance": {message.Of("reading.short"),
		message.Of("reading.open-joint")},
	"continuity": {none, message.Of("reading.open-track")},
	"voltage": {message.Of("reading.supply-low"),
		message.Of("reading.regulator-through")},
	"current": {message.Of("reading.open-path"), message.Of("reading.short-current")},
}

func outside(x *board.Measurement) []message.Message {
	var out []message.Message
	m := meanings[x.Measure]
	if x.Measure == "voltage" && x.When == board.BeforePowerUp {
		m = [2]message.Message{none, message.Of("reading.charge-back")}
	}
	if !x.Expect.Min.IsZero() && !m[0].IsZero() {
		out = append(out, message.Of("reading.below", x.Expect.Min, m[0]))
	}
	if !x.Expect.Max.IsZero() && !m[1].IsZero() {
		out = append(out, message.Of("reading.above", x.Expect.Max, m[1]))
	}
	return out
}

// firstPowerUp are the usual steps, after the map's checks.
func firstPowerUp(m *board.Map) []Check {
	var out []Check
	add := func(id string, title, text, basis message.Message) {
		out = append(out, Check{ID: id, Title: title, Text: text, Basis: basis})
	}
	for i := range m.FailurePoints {
		if f := &m.FailurePoints[i]; isTrue(f.BarsPowerUp) {
			add("barred-"+f.ID, message.Of("power-up.barred-title", f.Title),
				message.Of("power-up.barred").And(message.Text(f.Remedy)), message.Of("basis.a-map"))
		}
	}
	if slices.ContainsFunc(m.Positions, wetCapacitor) {
		add("re-forming", message.Of("power-up.re-forming-title"),
			message.Of("power-up.re-forming"),
			message.Of("power-up.re-forming-basis"))
	}
	add("look-again", message.Of("power-up.look-again-title"), message.Of("power-up.look-again"), practice)
	if onMains(m) {
		add("mains-first", message.Of("power-up.mains-title"),
			message.Of("power-up.mains"), practice)
	} else {
		add("limited-first", message.Of("power-up.limited-title"),
			message.Of("power-up.limited"), practice)
	}
	add("stand-back", message.Of("power-up.stand-back-title"), message.Of("power-up.stand-back"), practice)
	return out
}

func wetCapacitor(p board.Position) bool {
	return p.Part.Construction == part.AluminiumElectrolytic || p.Wanted().Construction == part.AluminiumElectrolytic
}

// onMains tells whether mains is on the board; where the map does not say so,
// parts and voltages that come of it do.
func onMains(m *board.Map) bool {
	return slices.ContainsFunc(m.Positions, func(p board.Position) bool {
		switch p.Circuit {
		case "":
			return p.OnMains() || !p.WorkingVoltage.IsZero() && p.WorkingVoltage.Float() >= mainsVolts
		case part.Secondary:
			return false
		}
		return true
	})
}

// mainsVolts is the least working voltage that is taken to come of the mains
// where nothing else is told: the lowest mains in use is 100 V.
const mainsVolts = 100
