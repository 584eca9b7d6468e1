package placement_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/placement"
)

// shot is a photograph of a board of 160 mm × 90 mm, ten pixels a millimetre,
// taken at a slant: pixels are worked out here from millimetres by themselves.
type shot struct{ bottom bool }

func (s shot) pixel(x, y float64) [2]float64 {
	if s.bottom {
		x = 160 - x
	}
	y = 90 - y
	w := 1 + x*0.0008 + y*0.0005
	return [2]float64{(100 + 10*x + 0.4*y) / w, (80 + 0.3*x + 10*y) / w}
}

func (s shot) marked(marks ...placement.Mark) placement.Marked {
	m := placement.Marked{Width: 2000, Height: 1200, Side: "top", Marks: marks}
	if s.bottom {
		m.Side = "bottom"
	}
	for _, q := range [][2]float64{{0, 0}, {160, 0}, {160, 90}, {0, 90}, {66, 31}, {38, 74}} {
		m.Points = append(m.Points, board.PhotographPoint{Pixel: s.pixel(q[0], q[1]), MM: q})
	}
	return m
}

// two marks a part by its leads; the negative one is the second.
func (s shot) two(designator, text string, from, to [2]float64) placement.Mark {
	neg := s.pixel(to[0], to[1])
	neg[0] += 3 // a hand does not hit the same pixel twice
	return placement.Mark{Designator: designator, Text: text, Service: "replace",
		Leads: [][2]float64{s.pixel(from[0], from[1]), s.pixel(to[0], to[1])}, Negative: &neg}
}

func request(photographs ...placement.Marked) placement.PhotographRequest {
	r := placement.PhotographRequest{Board: "tarn-x", Equipment: board.Equipment{Maker: "Tarnwright", Model: "X"},
		Name: "Main board", Photographs: photographs}
	r.Frame.Width, r.Frame.Height = 160, 90
	return r
}

// Marks on photographs of either side come out where they were put, whichever
// way the side is seen: what is expected here is in the map's own frame.
func TestFromPhotographs(t *testing.T) {
	top, bottom := shot{}, shot{bottom: true}
	centre := bottom.pixel(20, 70)
	r := request(
		top.marked(top.two("C1", "47 µF 16 V", [2]float64{40, 20}, [2]float64{45, 20}), top.two("C2", "what is this",
			[2]float64{80, 40}, [2]float64{80, 35})),
		bottom.marked(bottom.two("C3", "", [2]float64{100, 50}, [2]float64{100, 57.5}), placement.Mark{Designator: "R1",
			Text: "4k7", Centre: &centre}))
	r.Photographs[0].SHA256 = strings.Repeat("a", 64)
	got, fs := placement.FromPhotographs(r)
	if len(fs) > 0 || len(got.Problems) > 0 {
		t.Fatalf("%v, %v", fs, got.Problems)
	}
	for i, want := range []struct {
		designator, side      string
		x, y, rotation, pitch float64
		negative              float64 // -1 for none
		class, value, text    string
	}{
		{"C1", "top", 42.5, 20, 0, 5, 0, "capacitor", "47 µF", ""},
		{"C2", "top", 80, 37.5, 270, 5, 270, "capacitor", "", "what is this"},
		{"C3", "bottom", 100, 53.75, 90, 7.5, 90, "capacitor", "", ""},
		{"R1", "bottom", 20, 70, 0, 0, -1, "resistor", "4.7 kΩ", ""},
	} {
		p := got.Map.Positions[i]
		near := func(what string, is, should, by float64) {
			if !(math.Abs(is-should) <= by) {
				t.Errorf("%s: %s %v, want %v", want.designator, what, is, should)
			}
		}
		if p.Designator != want.designator || string(p.Side) != want.side || string(p.Part.Class) != want.class ||
			p.Part.Value.String() != want.value || p.Part.Text != want.text {
			t.Errorf("%+v, want %+v", p, want)
		}
		near("x", p.X, want.x, 0.01)
		near("y", p.Y, want.y, 0.01)
		near("rotation", p.Rotation, want.rotation, 0.01)
		if want.pitch > 0 {
			near("pitch", p.Body.LeadPitch, want.pitch, 0.01)
		}
		if (p.Negative == nil) != (want.negative < 0) {
			t.Errorf("%s: negative %v", want.designator, p.Negative)
		} else if p.Negative != nil {
			near("negative", *p.Negative, want.negative, 0.01)
		}
	}
	if len(got.Map.Photographs) != 1 || len(got.Map.Photographs[0].Points) != 6 || got.Map.Frame.Basis != "photograph" {
		t.Errorf("%+v", got.Map)
	}
	if len(got.Questions) != 2 || got.Questions[0].Code != "rotation" ||
		!strings.Contains(got.Questions[0].Text.String(), "R1") ||
		got.Questions[1].Code != "part" || !strings.Contains(got.Questions[1].Text.String(), "C2") {
		t.Errorf("%+v", got.Questions)
	}
	for _, m := range got.Marks {
		if m.Uncertainty < 0.05 || m.Uncertainty > 0.5 { // a tenth of a millimetre a pixel
			t.Errorf("%+v", m)
		}
	}
}

// What does not fit is told at its place, and the rest is used.
func TestFromPhotographsProblems(t *testing.T) {
	s := shot{}
	outside, beyond := s.pixel(80, -20), [2]float64{5000, 10}
	same := s.pixel(10, 10)
	r := request(s.marked(
		s.two("C1", "", [2]float64{40, 20}, [2]float64{45, 20}),
		s.two("C1", "", [2]float64{60, 20}, [2]float64{65, 20}),
		placement.Mark{Designator: "C2", Centre: &outside},
		placement.Mark{Designator: "C3", Centre: &beyond},
		placement.Mark{Designator: "C4", Leads: [][2]float64{same, same}}))
	r.Photographs[0].Points[5].MM = [2]float64{38, 24}
	got, fs := placement.FromPhotographs(r)
	if len(fs) > 0 {
		t.Fatal(fs)
	}
	want := map[string]string{
		"/photographs/0/points/5":      "point-does-not-fit",
		"/photographs/0/marks/1":       "designator-again",
		"/photographs/0/marks/2":       "mark-off-board",
		"/photographs/0/marks/3":       "mark-off-photograph",
		"/photographs/0/marks/4/leads": "leads-in-one-place",
	}
	for _, p := range got.Problems {
		if want[p.Pointer] != p.Code || p.Text.String() == "" {
			t.Errorf("%+v", p)
		}
		delete(want, p.Pointer)
	}
	if len(want) > 0 || len(got.Map.Positions) != 2 {
		t.Errorf("not told: %v; positions %+v", want, got.Map.Positions)
	}
}

// Points that leave the fit open are refused at their place, all photographs at once.
func TestFromPhotographsOpen(t *testing.T) {
	s := shot{}
	few, line, wrongSide, twice := s.marked(), s.marked(), s.marked(), s.marked()
	few.Points = few.Points[:3]
	line.Points = line.Points[:4]
	line.Points[2] = board.PhotographPoint{Pixel: s.pixel(80, 0), MM: [2]float64{80, 0}}
	wrongSide.Side = "bottom"
	twice.Points = append(twice.Points[:3:3], twice.Points[1])
	_, fs := placement.FromPhotographs(request(few, line, wrongSide, twice))
	var got []string
	for _, f := range fs {
		if f.Severity != finding.Stop || f.Code != "points-open" {
			t.Errorf("%+v", f)
		}
		got = append(got, f.Pointer)
	}
	want := "/photographs/0/points /photographs/1/points/2 /photographs/2/points/0 /photographs/3/points/3"
	if strings.Join(got, " ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}

// A hand that misses by two pixels gives a map that is off by what it says.
func TestFromPhotographsNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	s := shot{}
	var off, told float64
	const rounds = 300
	for range rounds {
		mark := s.two("C1", "", [2]float64{120, 30}, [2]float64{125, 30})
		m := s.marked(mark)
		shake := func(q *[2]float64) { q[0], q[1] = q[0]+2*r.NormFloat64(), q[1]+2*r.NormFloat64() }
		for i := range m.Points {
			shake(&m.Points[i].Pixel)
		}
		shake(&m.Marks[0].Leads[0])
		shake(&m.Marks[0].Leads[1])
		got, fs := placement.FromPhotographs(request(m))
		if len(fs) > 0 {
			t.Fatal(fs)
		}
		p := got.Map.Positions[0]
		d := math.Hypot(p.X-122.5, p.Y-30)
		off, told = off+d*d/rounds, told+got.Marks[0].Uncertainty*got.Marks[0].Uncertainty/rounds
	}
	if ratio := math.Sqrt(told / off); ratio < 0.8 || ratio > 1.4 {
		t.Errorf("off by %.3f mm, told %.3f", math.Sqrt(off), math.Sqrt(told))
	}
}
