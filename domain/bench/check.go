package bench

import (
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// Check is a step with the meter or at the switch: one of the map's checks, or
// one of the usual steps at a first power-up, which have no measure.
type Check struct {
	ID      string       `json:"id"`
	Title   string       `json:"title"`
	Measure string       `json:"measure,omitzero"` // resistance, voltage, current or continuity
	Between []string     `json:"between,omitzero"`
	Points  []Point      `json:"points,omitzero"` // the positions that between names
	Expect  *board.Range `json:"expect,omitzero"`
	Right   string       `json:"right,omitzero"`   // what is right, in words
	Outside []string     `json:"outside,omitzero"` // what a reading outside may mean
	Note    string       `json:"note,omitzero"`
	Text    string       `json:"text,omitzero"` // what to do
	Basis   string       `json:"basis,omitzero"`
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
	c := Check{ID: x.ID, Title: x.Title, Measure: x.Measure, Between: x.Between, Points: points(x.Between, at), Expect: x.Expect, Note: x.Note,
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
func Right(r *board.Range) string {
	switch {
	case r == nil:
		return ""
	case !r.Min.IsZero() && !r.Max.IsZero():
		return fmt.Sprintf("%v to %v", r.Min, r.Max)
	case !r.Min.IsZero():
		return r.Min.String() + " or more"
	case !r.Max.IsZero():
		return r.Max.String() + " or less"
	}
	return ""
}

// meanings of readings below and above what is right: common practice.
var meanings = map[string][2]string{
	"resistance": {"a short, a leaking or wrongly turned part, or a charge that is still there: let it settle, then look for the part",
		"an open joint, track or part, or a probe on the wrong point"},
	"continuity": {"", "an open joint, track, fuse or switch"},
	"voltage": {"an overloaded or failing supply, a part that draws too much, or a dry reservoir: switch off before looking further",
		"a regulator that lets through, an open feedback or bleeder, or a charge that is still there: switch off at once"},
	"current": {"an open supply path, or a stage that does not start", "a short, a wrongly turned part or a wrong value: switch off at once"},
}

func outside(x *board.Measurement) []string {
	var out []string
	m := meanings[x.Measure]
	if x.Measure == "voltage" && x.When == board.BeforePowerUp {
		m = [2]string{"", "a charge that is still there, or comes back: discharge again, wait a minute, measure again"}
	}
	if !x.Expect.Min.IsZero() && m[0] != "" {
		out = append(out, fmt.Sprintf("Below %v: %s.", x.Expect.Min, m[0]))
	}
	if !x.Expect.Max.IsZero() && m[1] != "" {
		out = append(out, fmt.Sprintf("Above %v: %s.", x.Expect.Max, m[1]))
	}
	return out
}

// firstPowerUp are the usual steps, after the map's checks.
func firstPowerUp(m *board.Map) []Check {
	var out []Check
	add := func(id, title, text, basis string) {
		out = append(out, Check{ID: id, Title: title, Text: text, Basis: basis})
	}
	for i := range m.FailurePoints {
		if f := &m.FailurePoints[i]; isTrue(f.BarsPowerUp) {
			add("barred-"+f.ID, "Not before this is dealt with: "+f.Title,
				strings.TrimSpace("Don't power up while this failure stands. "+f.Remedy), "the map")
		}
	}
	if slices.ContainsFunc(m.Positions, wetCapacitor) {
		add("re-forming", "Old stock only: re-form before fitting",
			"Electrolytics that lay for more than two or three years: through 10 kΩ (rated 75 V or less), raise the voltage slowly, at most 1 mA, "+
				"and hold the rated voltage for four hours; discharge before handling.",
			"a capacitor maker's note on shelf life and re-ageing, October 1993: steps and figures; optional")
	}
	add("look-again", "Look again", "Polarity of every fitted part against the map, bridges, forgotten leads, wick and cut wire; everything back in place that was moved.", practice)
	if onMains(m) {
		add("mains-first", "First power-up on mains",
			"Only by somebody who may work on mains by the rules of the place. Isolating transformer, a series lamp of 40 W to 100 W in the live conductor, "+
				"covers on, one hand, nobody's face over the board. A lamp that stays bright says short: switch off, unplug, discharge, measure.", practice)
	} else {
		add("limited-first", "First power-up from a limited supply",
			"A bench supply set to the right voltage, its current limit a little above what the board draws; raise slowly and watch current and heat. "+
				"Current at the limit says short: switch off.", practice)
	}
	add("stand-back", "Eye protection, and stand back", "A capacitor the wrong way round bursts within a minute: keep your distance that long, then feel for heat with the supply off.", practice)
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
