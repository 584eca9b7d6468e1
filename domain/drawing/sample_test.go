package drawing

import (
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

func qty(t testing.TB, s string) quantity.Quantity {
	t.Helper()
	if s == "" {
		return quantity.Quantity{}
	}
	q, err := quantity.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

func ptr[T any](x T) *T { return &x }

// row is a position in short.
type row struct {
	designator, side string
	x, y, rot        float64
	value, voltage   string
	class, made      string
	body             *part.Body
	negative         *float64
	service          string
}

func radial(d float64) *part.Body {
	return &part.Body{Mount: "through-hole", Shape: "can", Diameter: d, Height: 11}
}

func surface(d float64) *part.Body {
	return &part.Body{Mount: "surface", Shape: "can", Diameter: d, Height: 5.4}
}

func chip(l, w float64) *part.Body {
	return &part.Body{Mount: "surface", Shape: "chip", Length: l, Width: w}
}

// preamp is an invented board with every shape on it.
func preamp(t testing.TB) *board.Map {
	const alu = "aluminium-electrolytic"
	rows := []row{
		{"C1", "top", 10, 50, 0, "47 µF", "25 V", "capacitor", alu, radial(6.3), ptr(180.0), "replace"},
		{"C2", "top", 20, 50, 0, "220 µF", "16 V", "capacitor", alu, radial(10), ptr(45.0), "replace"},
		{"C3", "top", 31, 50, 90, "10 µF", "16 V", "capacitor", alu, surface(4), ptr(270.0), "replace"},
		{"C4", "top", 38, 50, 0, "10 µF", "50 V", "capacitor", alu, nil, nil, "replace"},
		{"C5", "top", 46, 50, 30, "2.2 µF", "35 V", "capacitor", "tantalum", chip(7.3, 4.3), ptr(210.0), "inspect"},
		{"C6", "top", 60, 50, 0, "1000 µF", "16 V", "capacitor", alu, &part.Body{Shape: "axial", Length: 18,
			Diameter: 8, LeadPitch: 25}, ptr(0.0), "replace"},
		{"C7", "top", 80, 50, 45, "10 nF", "", "capacitor", "ceramic", &part.Body{Shape: "disc", Diameter: 7,
			Width: 2.5}, nil, "leave"},
		{"C8", "top", 80, 40, 0, "10 µF", "16 V", "capacitor", alu, radial(5), nil, "replace"},
		{"U1", "top", 30, 30, 90, "", "", "integrated-circuit", "", &part.Body{Shape: "box", Length: 19, Width: 6.4},
			nil, "leave"},
		{"U2", "top", 55, 30, 0, "", "", "integrated-circuit", "", &part.Body{Shape: "box", Length: 24, Width: 14}, nil,
			"inspect"},
		{"BT1", "top", 82, 22, 0, "", "3 V", "cell", "", &part.Body{Shape: "coin", Diameter: 20}, ptr(90.0), "replace"},
		{"D1", "top", 10, 30, 90, "", "", "diode", "", &part.Body{Shape: "axial", Length: 4.2, Diameter: 2}, ptr(90.0),
			"leave"},
		{"F1", "top", 15, 10, 0, "", "", "fuse", "", nil, nil, "inspect"},
		{"C20", "bottom", 20, 20, 0, "100 nF", "", "capacitor", "ceramic", chip(3.2, 1.6), nil, "leave"},
		{"C21", "bottom", 70, 20, 0, "33 µF", "10 V", "capacitor", alu, surface(5), ptr(0.0), "replace"},
	}
	for i := range 24 { // a crowd
		rows = append(rows, row{"R" + strconv.Itoa(i+1), "top", 42 + float64(i%6)*2.2, 6 + float64(i/6)*2.2, 90,
			"4.7 kΩ", "", "resistor", "", chip(2, 1.2), nil, ""})
	}
	m := &board.Map{
		Board: "fellside-mp4-preamp", Name: "Microphone preamplifier", Markings: []string{"FS-4410-B"},
		Licence: "CC0-1.0",
		Equipment: board.Equipment{Maker: "Fellside", Model: "MP-4", Kind: "location recorder",
			Years: []int{1986, 1990}},
		Frame: board.Frame{Width: 100, Height: 60, Basis: "measured", Uncertainty: ptr(0.2),
			Outline: [][2]float64{{0, 0}, {100, 0}, {100, 50}, {90, 60}, {0, 60}}},
	}
	for _, r := range rows {
		p := board.Position{Designator: r.designator, Side: board.Side(r.side), X: r.x, Y: r.y, Rotation: r.rot,
			Body: r.body, Negative: r.negative, Service: board.Service(r.service),
			Part: part.Part{Class: part.Class(r.class), Construction: part.Construction(r.made), Value: qty(t, r.value),
				Voltage: qty(t, r.voltage)}}
		if r.designator == "C8" {
			p.Part.Polarised = ptr(false)
		}
		m.Positions = append(m.Positions, p)
	}
	return m
}

// crowd is a board of n positions, spread at random but the same each time.
func crowd(n int) *board.Map {
	rng := rand.New(rand.NewPCG(7, uint64(n)))
	m := &board.Map{Board: "crowd", Name: "Crowd", Frame: board.Frame{Width: 300, Height: 200, Basis: "measured"}}
	for i := range n {
		p := board.Position{Designator: "C" + strconv.Itoa(i+1), Side: "top", X: rng.Float64() * 300,
			Y: rng.Float64() * 200, Rotation: float64(rng.IntN(8)) * 45,
			Part:    part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Text: "47 µF 25 V"},
			Service: [...]board.Service{"replace", "inspect", "leave"}[i%3]}
		d := 0.35 * math.Sqrt(300*200/float64(n)) * (0.4 + rng.Float64())
		switch i % 4 {
		case 0:
			p.Body = radial(d)
		case 1:
			p.Body = surface(d)
		default:
			p.Body = chip(d*1.3, d*0.8)
		}
		p.Negative = ptr(float64(rng.IntN(8)) * 45)
		m.Positions = append(m.Positions, p)
	}
	return m
}

// real reads a placement list in testdata: designator, side, centre, size and
// rotation of a real board.
func realBoard(t testing.TB, file string) *board.Map {
	t.Helper()
	m := &board.Map{Board: "real", Name: strings.TrimSuffix(file, ".csv"), Frame: board.Frame{Basis: "design-data"}}
	for _, r := range tabletest.Rows(t, "testdata/"+file) {
		num := func(h string) float64 { x, _ := strconv.ParseFloat(r[h], 64); return x }
		p := board.Position{Designator: r["Designator"], Side: board.Side(r["Side"]), X: num("Center X (mm)"),
			Y:        num("Center Y (mm)"),
			Rotation: num("Rotation"), Body: chip(num("Length (mm)"), num("Width (mm)")),
			Part: part.Part{Class: part.Other, Text: r["Value"]}}
		if strings.HasPrefix(p.Designator, "C") {
			p.Service = "replace"
		}
		m.Frame.Width, m.Frame.Height = math.Max(m.Frame.Width, p.X+2), math.Max(m.Frame.Height, p.Y+2)
		m.Positions = append(m.Positions, p)
	}
	return m
}
