package boardtest

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Random draws a map: small, valid, with every member of the document in use
// some of the time.
func Random(t *rapid.T) *board.Map {
	m := &board.Map{
		Board:     "drawn-" + rapid.StringMatching(`[a-z0-9]{1,8}`).Draw(t, "board"),
		Equipment: board.Equipment{Maker: word(t), Model: word(t), Kind: maybe(t, word), Extra: extra(t)},
		Name:      word(t), Licence: oneOf(t, "", "CC0-1.0", "CC-BY-4.0"),
		Frame: board.Frame{Width: 200, Height: 100, Basis: oneOf(t, "measured", "design-data", "photograph"),
			Extra: extra(t)},
		Extra: extra(t),
	}
	if flip(t) {
		m.Equipment.Years = []int{1980 + rapid.IntRange(0, 9).Draw(t, "from"), 1990 + rapid.IntRange(0, 9).Draw(t,
			"to")}
	}
	if flip(t) {
		m.Frame.Uncertainty = ptr(oneOf(t, 0, 0.2, 0.5))
	}
	if flip(t) {
		m.Frame.Outline = [][2]float64{{0, 0}, {200, 0}, {200, 100}, {0, 100}}
	}
	if flip(t) {
		m.Markings = rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Z]{2}-[0-9]{3}`), 0, 3, rapid.ID[string]).Draw(t,
			"markings")
	}
	m.Positions = []board.Position{}
	for _, d := range designators(t, 0, 8) {
		m.Positions = append(m.Positions, Position(t, d))
	}
	if flip(t) {
		m.FailurePoints = []board.FailurePoint{}
		for _, id := range slugs(t) {
			m.FailurePoints = append(m.FailurePoints, failurePoint(t, m, id))
		}
	}
	if flip(t) {
		m.Checks = []board.Measurement{}
		for _, id := range slugs(t) {
			m.Checks = append(m.Checks, measurement(t, id))
		}
	}
	if flip(t) {
		m.Cautions = []board.Caution{}
		for range rapid.IntRange(0, 3).Draw(t, "cautions") {
			m.Cautions = append(m.Cautions, board.Caution{Text: word(t), When: oneOf(t, "", board.BeforeOpening,
				board.Afterwards), Extra: extra(t)})
		}
	}
	if flip(t) {
		m.Variants = []board.Variant{}
		for _, id := range slugs(t) {
			m.Variants = append(m.Variants, variant(t, m, id))
		}
	}
	if flip(t) {
		for i := range rapid.IntRange(1, 2).Draw(t, "photographs") {
			m.Photographs = append(m.Photographs, photograph(t, strings.Repeat(strconv.Itoa(i), 64)))
		}
	}
	return m
}

// Position draws a position with a designator.
func Position(t *rapid.T, designator string) board.Position {
	p := board.Position{
		Designator: designator, Side: oneOf(t, board.Sides...), X: coordinate(t, 200), Y: coordinate(t, 100),
		Rotation: oneOf(t, 0.0, 45, 90, 180, 270), Part: Part(t),
		Function: oneOf(t, "", "decoupling", "coupling"), Rail: oneOf(t, "", "+5V", "+12V"),
		Service: oneOf(t, "", board.Replace, board.Inspect, board.Leave), Notes: maybe(t, word), Extra: extra(t),
	}
	if flip(t) {
		p.Body = body(t)
	}
	if flip(t) {
		p.Negative = ptr(oneOf(t, 0.0, 90, 180, 270))
	}
	if flip(t) {
		p.WorkingVoltage = Q("5 V")
	}
	p.Glued, p.HeatSensitive, p.HotPlace = flag(t), flag(t), flag(t)
	p.Circuit = oneOf(t, "", "", part.Primary, part.Secondary)
	if flip(t) {
		p.Replacement = &board.Replacement{Part: replacing(t, p.Part), Reason: word(t), Extra: extra(t)}
	}
	return p
}

// replacing draws a part that may be recommended in place of another: another
// make of the same where the choice is a matter of safety.
func replacing(t *rapid.T, original part.Part) part.Part {
	if original.SafetyClass != "" || original.Class == part.Cell || original.Class == part.Fuse {
		original.Text = word(t)
		return original
	}
	return Part(t)
}

// Part draws a part of one of a few classes.
func Part(t *rapid.T) part.Part {
	p := part.Part{Class: oneOf(t, part.Capacitor, part.Resistor, part.Fuse, part.Cell, part.Diode, part.Crystal,
		part.Relay, part.Transformer), Tolerance: toleranceOf(t), Voltage: of(t, "6.3 V", "16 V", "25 V"),
		Text: maybe(t, word), Extra: extra(t)}
	switch p.Class {
	case part.Capacitor:
		p.Construction = oneOf(t, "", part.AluminiumElectrolytic, part.Film)
		p.Value, p.Polarised, p.TemperatureMax = of(t, "47 µF", "100 µF", "100 nF"), flag(t), of(t, "85 °C", "105 °C")
		p.Endurance, p.ESRMax, p.Ripple = of(t, "1000 h", "2000 h"), of(t, "220 mΩ"), of(t, "100 mA")
		p.SafetyClass, p.Dielectric = oneOf(t, "", "", "X2", "Y2"), oneOf(t, "", "X7R")
	case part.Resistor:
		p.Value, p.Power = of(t, "4.7 kΩ", "0 Ω", "10 Ω"), of(t, "250 mW", "1 W")
	case part.Fuse:
		p.Current, p.FuseSpeed = of(t, "630 mA", "1 A"), oneOf(t, "", "F", "T")
		p.BreakingCapacity = breaking(oneOf(t, "", "L", "H", "1 kA"))
	case part.Crystal:
		p.Value, p.LoadCapacitance = of(t, "4 MHz"), of(t, "18 pF", "20 pF")
	case part.Relay:
		p.Supply = oneOf(t, "", part.Alternating, part.Direct)
	case part.Transformer:
		if flip(t) {
			p.Windings = &part.Windings{Primary: []quantity.Quantity{Q("230 V")},
				Secondary: []quantity.Quantity{Q("12 V"), Q(oneOf(t, "5 V", "6.3 V"))}, Extra: extra(t)}
		}
	case part.Cell:
		p.Chemistry, p.Rechargeable = oneOf(t, "", "CR", "Ni-Cd"), flag(t)
	}
	return p
}

func body(t *rapid.T) *part.Body {
	return &part.Body{Mount: oneOf(t, "", "surface", "through-hole"), Shape: oneOf(t, "", "can", "chip", "box"),
		Diameter: oneOf(t, 0, 5.0, 6.3), Length: oneOf(t, 0, 3.2), Width: oneOf(t, 0, 1.6), Height: oneOf(t, 0, 11.0),
		HeightLimit: oneOf(t, 0, 20.0), LeadPitch: oneOf(t, 0, 2.5), Extra: extra(t)}
}

func failurePoint(t *rapid.T, m *board.Map, id string) board.FailurePoint {
	f := board.FailurePoint{ID: id, Title: word(t), Mechanism: word(t), Severity: oneOf(t, "minor", "major", "hazard"),
		Consequence: maybe(t, word), Remedy: maybe(t, word), BarsPowerUp: flag(t), Extra: extra(t)}
	if flip(t) {
		f.Positions = some(t, m)
	}
	if flip(t) {
		f.Symptoms = []string{word(t)}
	}
	return f
}

func measurement(t *rapid.T, id string) board.Measurement {
	c := board.Measurement{ID: id, Title: word(t), When: oneOf(t, board.BeforePowerUp, board.AfterPowerUp),
		Measure: "voltage",
		Between: []string{word(t), word(t)}, Note: maybe(t, word), Extra: extra(t)}
	if flip(t) {
		c.Expect = &board.Range{Min: of(t, "4.75 V"), Max: of(t, "5.25 V"), Extra: extra(t)}
	}
	return c
}

func photograph(t *rapid.T, sha256 string) board.Photograph {
	p := board.Photograph{SHA256: sha256, Side: oneOf(t, board.Sides...), Licence: maybe(t, word), Extra: extra(t)}
	for i := range rapid.IntRange(4, 6).Draw(t, "points") {
		p.Points = append(p.Points, board.PhotographPoint{Pixel: [2]float64{float64(i) * 100, 7},
			MM: [2]float64{coordinate(t, 100), coordinate(t, 100)}})
	}
	return p
}

// variant draws changes that apply to the map, each to a position of its own.
func variant(t *rapid.T, m *board.Map, id string) board.Variant {
	v := board.Variant{Variant: id, Title: word(t), IdentifiedBy: word(t), Extra: extra(t)}
	if flip(t) {
		v.Markings = rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Z]{2}-[0-9]{3}`), 1, 3, rapid.ID[string]).Draw(t,
			"build's markings")
	}
	if flip(t) {
		v.Changes = []board.Change{}
	}
	for _, d := range some(t, m) {
		if flip(t) {
			v.Changes = append(v.Changes, board.Change{Omit: d})
		} else {
			v.Changes = append(v.Changes, board.Change{Designator: d, Set: setOf(t)})
		}
	}
	if flip(t) {
		p := Position(t, "V"+fmt.Sprint(rapid.IntRange(1, 9).Draw(t, "fit")))
		v.Changes = append(v.Changes, board.Change{Fit: &p, Extra: extra(t)})
	}
	return v
}

func setOf(t *rapid.T) jsontext.Value {
	return jsontext.Value(oneOf(t, `{"notes":"Other make."}`, `{"part":{"voltage":"10 V"}}`, `{"negative_deg":45}`,
		`{ "x_mm": 12.5, "x-from": null }`,
		`{"service":"inspect","body":{"diameter_mm":8}}`))
}

func some(t *rapid.T, m *board.Map) []string {
	names := []string{}
	for i := range m.Positions {
		if rapid.IntRange(0, 3).Draw(t, "some") == 0 {
			names = append(names, m.Positions[i].Designator)
		}
	}
	return names
}

func designators(t *rapid.T, least, most int) []string {
	return rapid.SliceOfNDistinct(rapid.StringMatching(`[CRD][1-9][0-9]?`), least, most, rapid.ID[string]).Draw(t,
		"designators")
}

func slugs(t *rapid.T) []string {
	return rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"alpha", "beta", "gamma", "delta", "x-ray"}), 0, 3,
		rapid.ID[string]).Draw(t, "ids")
}

func extra(t *rapid.T) jsontext.Value {
	if rapid.IntRange(0, 7).Draw(t, "extra") > 0 {
		return nil
	}
	return jsontext.Value(oneOf(t, `{"x-own":1}`, `{"x-own":null}`, `{"x-b":[],"x-a":{"z":1.50,"é":"\u20ac"}}`,
		`{"x-own":""}`))
}

func coordinate(t *rapid.T, most int) float64 {
	return float64(rapid.IntRange(0, most*1000).Draw(t, "coordinate")) / 1000
}

func of(t *rapid.T, spellings ...string) quantity.Quantity {
	return Q(oneOf(t, append([]string{""}, spellings...)...))
}

func breaking(s string) (b part.Breaking) {
	if s != "" {
		b, _ = part.ParseBreaking(s)
	}
	return b
}

func toleranceOf(t *rapid.T) quantity.Tolerance { return tolerance(oneOf(t, "", "±20 %", "±5 %")) }

func word(t *rapid.T) string {
	return oneOf(t, "Main", "Old glue conducts", "Brown crust", "Größe 2", "“Quoted” / ~ text", "Replace it.",
		"Measure first")
}

func maybe(t *rapid.T, draw func(*rapid.T) string) string {
	if flip(t) {
		return draw(t)
	}
	return ""
}

func flag(t *rapid.T) *bool {
	switch rapid.IntRange(0, 3).Draw(t, "flag") {
	case 0:
		return ptr(true)
	case 1:
		return ptr(false)
	}
	return nil
}

func flip(t *rapid.T) bool { return rapid.Bool().Draw(t, "flip") }

func oneOf[T any](t *rapid.T, choices ...T) T {
	return rapid.SampledFrom(slices.Clone(choices)).Draw(t, "choice")
}
