package kit

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// huge is a board and a kit of the given sizes in which every line is another
// part, all of them suit, and `like` positions in a row are other places. The
// parts have that many values and voltages: with one of each, all penalties are
// equal.
func huge(b *testing.B, positions, lines, like, values int) Request {
	m := &board.Map{Board: "big"}
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range positions {
		p := board.Position{Designator: fmt.Sprintf("C%d", i+1), Service: "replace", Negative: ptr(0.0),
			Function: "bulk", WorkingVoltage: q(b, fmt.Sprintf("%d mV", 100+i%like%900)),
			Body: &part.Body{Mount: "through-hole", Shape: "can", Diameter: 8, Height: 12, LeadPitch: 3.5}}
		p.Body.HeightLimit = 20 + float64(i%like)
		p.Part = part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic,
			Value:   q(b, fmt.Sprintf("%d µF", 100+rng.IntN(values))),
			Voltage: q(b, "16 V"), TemperatureMax: q(b, "85 °C"), Polarised: ptr(true)}
		m.Positions = append(m.Positions, p)
	}
	k := &Kit{}
	for i := range lines {
		l := Line{Number: i + 1, Quantity: (positions + lines - 1) / lines, Body: m.Positions[0].Body}
		l.Part = &part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic,
			Value:          q(b, fmt.Sprintf("%d µF", 100+rng.IntN(values))),
			Voltage:        q(b, []string{"16 V", "25 V", "35 V", "50 V"}[rng.IntN(min(values, 4))]),
			TemperatureMax: q(b, "105 °C"), Polarised: ptr(true), Text: fmt.Sprintf("type %d", i)}
		k.Lines = append(k.Lines, l)
	}
	return Request{Map: m, Kit: k}
}

func BenchmarkReconcile(b *testing.B) {
	for _, size := range [][2]int{{60, 25}, {1000, 200}, {5000, 500}} {
		for name, of := range map[string][2]int{"a dozen places": {12, 10}, "all places differ": {100000, 10},
			"equal penalties": {100000, 1}} {
			b.Run(fmt.Sprintf("%dx%d/%s", size[0], size[1], name), func(b *testing.B) {
				r := huge(b, size[0], size[1], of[0], of[1])
				b.ReportAllocs()
				for b.Loop() {
					if _, err := Reconcile(r); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
