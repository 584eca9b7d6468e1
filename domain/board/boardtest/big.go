// Package boardtest makes maps for tests: big ones that are the same each
// time, and random ones with random edits for laws that must hold for every
// map. All of them are invented and all of them pass the checks without a stop.
package boardtest

import (
	"fmt"
	"math"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Big gives a map with n positions in rows of 100, 8 mm apart: capacitors,
// resistors, integrated circuits and diodes on both sides, with failure
// points, checks and cautions. The same n gives the same map.
func Big(n int) *board.Map {
	columns := min(max(n, 1), 100)
	rows := (n + columns - 1) / columns
	m := &board.Map{
		Board:     "tarn-big-sample",
		Equipment: board.Equipment{Maker: "Tarnwright", Model: "Sample", Kind: "test rack", Years: []int{1986, 1990}},
		Name:      "Big sample board", Markings: []string{"TW-9000"}, Licence: "CC0-1.0",
		Frame: board.Frame{Width: float64(8*columns + 8), Height: float64(8*max(rows, 1) + 8), Basis: "measured",
			Uncertainty: ptr(0.5)},
		Positions: make([]board.Position, 0, n),
	}
	for i := range n {
		m.Positions = append(m.Positions, place(i, float64(8+8*(i%columns)), float64(8+8*(i/columns))))
	}
	if n > 3 {
		m.FailurePoints = []board.FailurePoint{{ID: "dries-out", Title: "Dries out",
			Mechanism: "Electrolyte evaporates.",
			Positions: []string{m.Positions[0].Designator}, Severity: "minor", Remedy: "Replace it."}}
		m.Checks = []board.Measurement{{ID: "rail-5", Title: "+5 V in bounds", When: board.AfterPowerUp,
			Measure: "voltage",
			Between: []string{"+5V", "ground"}, Expect: &board.Range{Min: Q("4.75 V"), Max: Q("5.25 V")}}}
		m.Cautions = []board.Caution{{Text: "Unplug and let the rails fall before touching the board.",
			When: board.BeforeOpening}}
	}
	return m
}

func place(i int, x, y float64) board.Position {
	p := board.Position{Side: board.Top, X: x, Y: y, Rotation: float64(90 * (i % 4))}
	if i%5 == 4 {
		p.Side = board.Bottom
	}
	switch i % 4 {
	case 0:
		p.Designator = fmt.Sprintf("C%d", i/4+1)
		p.Part = part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Value: Q("47 µF"),
			Tolerance: tolerance("±20 %"),
			Voltage:   Q("16 V"), TemperatureMax: Q("85 °C"), Polarised: ptr(true)}
		p.Body = &part.Body{Mount: "through-hole", Shape: "can", Diameter: 6.3, Height: 11, LeadPitch: 2.5}
		p.Negative = ptr(math.Mod(p.Rotation+180, 360))
		p.Function, p.Rail, p.WorkingVoltage, p.Service = "decoupling", "+5V", Q("5 V"), board.Replace
	case 1:
		p.Designator = fmt.Sprintf("R%d", i/4+1)
		p.Part = part.Part{Class: part.Resistor, Value: Q("4.7 kΩ"), Tolerance: tolerance("±5 %"), Power: Q("250 mW")}
		p.Body = &part.Body{Mount: "through-hole", Shape: "axial", Diameter: 2.5, Length: 6.3}
	case 2:
		p.Designator = fmt.Sprintf("U%d", i/4+1)
		p.Part = part.Part{Class: part.IntegratedCircuit, Text: "TW4011"}
		p.Body = &part.Body{Mount: "surface", Shape: "box", Length: 5, Width: 4, Height: 1.5}
	case 3:
		p.Designator = fmt.Sprintf("D%d", i/4+1)
		p.Part = part.Part{Class: part.Diode, Voltage: Q("75 V"), Current: Q("150 mA")}
		p.Body = &part.Body{Mount: "through-hole", Shape: "axial", Diameter: 1.8, Length: 3.9}
	}
	return p
}

// Q reads a canonical quantity and gives the absent one for anything else.
func Q(s string) quantity.Quantity {
	q, err := quantity.Parse(s)
	if err != nil {
		return quantity.Quantity{}
	}
	return q
}

func tolerance(s string) quantity.Tolerance {
	t, err := quantity.ParseTolerance(s)
	if err != nil {
		return quantity.Tolerance{}
	}
	return t
}

// Clone copies a map so that nothing is shared; nil for a map that cannot be
// written as JSON.
func Clone(m *board.Map) *board.Map {
	b, err := m.Canonical()
	if err != nil {
		return nil
	}
	out := new(board.Map)
	if json.Unmarshal(b, out) != nil {
		return nil
	}
	return out
}

func ptr[T any](v T) *T { return &v }
