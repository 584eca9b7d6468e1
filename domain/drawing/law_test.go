package drawing

import (
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// body is what a drawing shows of a part, as points along its outlines.
type body struct {
	outlines [][]Point
	bounds   []rectangle // of each outline
}

func (b *body) add(ps []Point) {
	r := rectangle{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, p := range ps {
		r = r.with(around(p, 0, 0))
	}
	b.outlines, b.bounds = append(b.outlines, ps), append(b.bounds, r)
}

// traced are the bodies of a scene by designator, read off the items that are
// drawn, not off what placed them.
func traced(s *Scene) map[string]*body {
	out := map[string]*body{}
	var now *body
	for i := range s.Items {
		it := &s.Items[i]
		switch {
		case it.Kind == Open && it.Designator != "":
			now = &body{}
			out[it.Designator] = now
		case it.Kind == Close:
			now = nil
		case now == nil || it.Ink == InkTouch || it.Ink == InkPole || it.Ink == InkSign || it.Ink == InkPlain ||
			it.Ink == InkHalo || it.Ink == InkQuery:
		case it.Kind == Polygon:
			now.add(along(append(slices.Clone(it.Points), it.Points[0])))
		case it.Kind == Lines:
			for k := 0; k+1 < len(it.Points); k += 2 {
				now.add(along(it.Points[k : k+2]))
			}
		case it.Kind == Ellipse:
			var ps []Point
			sin, cos := math.Sincos(it.Angle)
			for k := range 73 {
				y, x := math.Sincos(float64(k) / 72 * 2 * math.Pi)
				ps = append(ps, Point{it.Center.X + it.RX*x*cos - it.RY*y*sin, it.Center.Y - it.RX*x*sin - it.RY*y*cos})
			}
			now.add(ps)
		}
	}
	return out
}

// along puts points between the corners of a line, so close that what is
// nearest is found among them.
func along(ps []Point) (out []Point) {
	for i := 0; i+1 < len(ps); i++ {
		n := int(math.Hypot(ps[i+1].X-ps[i].X, ps[i+1].Y-ps[i].Y)/0.5) + 2
		for k := range n {
			t := float64(k) / float64(n)
			out = append(out, Point{ps[i].X + t*(ps[i+1].X-ps[i].X), ps[i].Y + t*(ps[i+1].Y-ps[i].Y)})
		}
	}
	return append(out, ps[len(ps)-1])
}

// holds reports whether a point lies within an outline (by the crossings of a
// ray) or on it.
func (b *body) holds(p Point) bool {
	for k, o := range b.outlines {
		if nearest(b.bounds[k], p) != p {
			continue
		}
		in := false
		for i, j := 0, len(o)-1; i < len(o); j, i = i, i+1 {
			if (o[i].Y > p.Y) != (o[j].Y > p.Y) && p.X < (o[j].X-o[i].X)*(p.Y-o[i].Y)/(o[j].Y-o[i].Y)+o[i].X {
				in = !in
			}
		}
		if in {
			return true
		}
	}
	return false
}

// from is how far the body lies from a rectangle, no further than most.
func (b *body) from(r rectangle, most float64) float64 {
	mid := Point{(r.x0 + r.x1) / 2, (r.y0 + r.y1) / 2}
	if b.holds(mid) || b.holds(Point{r.x0, r.y0}) || b.holds(Point{r.x1, r.y1}) || b.holds(Point{r.x0, r.y1}) ||
		b.holds(Point{r.x1, r.y0}) {
		return 0
	}
	for k, o := range b.outlines {
		if c := b.bounds[k]; c.x0 > r.x1+most || c.x1 < r.x0-most || c.y0 > r.y1+most || c.y1 < r.y0-most {
			continue
		}
		for _, p := range o {
			dx := math.Max(0, math.Max(r.x0-p.X, p.X-r.x1))
			if dx >= most {
				continue
			}
			most = math.Min(most, math.Hypot(dx, math.Max(0, math.Max(r.y0-p.Y, p.Y-r.y1))))
		}
	}
	return most
}

// word is a label as it is written: its capitals' box and the leaders that
// begin at it.
type word struct {
	text    string
	box     rectangle
	leaders [][2]Point
}

func written(s *Scene) (out []word) {
	var leaders []Point
	class := ""
	for i := range s.Items {
		it := &s.Items[i]
		if it.Kind == Open && it.Class != "" {
			class = it.Class
		}
		if class == "leaders" && it.Kind == Lines && it.Ink == InkLeader {
			leaders = it.Points
		}
		if (strings.HasPrefix(class, "labels") || class == "flag") && it.Kind == Text {
			b := rectangle{it.Center.X - it.Width/2, it.Center.Y - capTall*it.Size, it.Center.X + it.Width/2,
				it.Center.Y}
			w := word{text: it.Text, box: b}
			for k := 0; k+1 < len(leaders); k += 2 {
				if leaders[k] == nearest(rectangle{b.x0 - it.Size/3, b.y0 - it.Size/3, b.x1 + it.Size/3, b.y1 +
					it.Size/3}, leaders[k]) {
					w.leaders = append(w.leaders, [2]Point{leaders[k], leaders[k+1]})
				}
			}
			out = append(out, w)
		}
	}
	return out
}

// holdLabels is the law of labels: each is nearer to its own body than to any
// other's, or a leader that ends in its own body ties it to it.
func holdLabels(t *testing.T, s *Scene) (led int) {
	t.Helper()
	bodies := traced(s)
	for _, w := range written(s) {
		own := bodies[w.text]
		if own == nil {
			t.Fatalf("%s has a label and no body", w.text)
		}
		if slices.ContainsFunc(w.leaders, func(l [2]Point) bool {
			return own.holds(l[1]) &&
				length(l[0], l[1]) > (w.box.y1-w.box.y0)/2
		}) {
			led++
			continue
		}
		d := own.from(w.box, math.Inf(1))
		for other, b := range bodies {
			if other != w.text && b.from(w.box, d+1) <= d {
				t.Errorf("%s stands %.1f from its own body and %.1f from that of %s", w.text, d, b.from(w.box, d+1),
					other)
				break
			}
		}
	}
	return led
}

// demo reads a map of the demo scenario.
func demo(t *testing.T, name string) *board.Map {
	t.Helper()
	data, err := os.ReadFile("../../seeds/documents/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var doc struct{ Map *board.Map }
	if err := json.Unmarshal(data, &doc); err != nil || doc.Map == nil {
		doc.Map = new(board.Map)
		if err := json.Unmarshal(data, doc.Map); err != nil {
			t.Fatal(err)
		}
	}
	return doc.Map
}

// lawBoards are the boards on which the law of labels is held.
func lawBoards(t *testing.T) map[string]*board.Map {
	out := map[string]*board.Map{"preamp": preamp(t), "StickHub": realBoard(t, "StickHub.csv"),
		"video": realBoard(t, "video.csv")}
	for _, f := range []string{"tarn-mx12-main.1.json", "tarn-mx12-main.3.json", "tarn-ps4-mains.2.json",
		"okeby-fm6-sum.1.json"} {
		out[strings.TrimSuffix(f, ".json")] = demo(t, f)
	}
	for _, n := range []int{10, 60, 300, 700, 1500} {
		out["crowd "+strconv.Itoa(n)] = crowd(n)
	}
	out["packed 1500"] = packed(1500)
	return out
}

// packed is a board of parts in close rows, as surface mounted ones stand, of
// every shape.
func packed(n int) *board.Map {
	rng := rand.New(rand.NewPCG(3, uint64(n)))
	side := math.Ceil(math.Sqrt(float64(n)))
	m := &board.Map{Board: "packed", Name: "Packed", Frame: board.Frame{Width: side * 3, Height: side * 2.2,
		Basis: "measured"}}
	for i := range n {
		p := board.Position{Designator: "R" + strconv.Itoa(i+1), Side: "top", X: 1.5 + 3*math.Mod(float64(i), side),
			Y:        1.1 + 2.2*math.Floor(float64(i)/side),
			Rotation: float64(rng.IntN(4)) * 90, Part: part.Part{Class: part.Resistor}, Service: board.Leave}
		p.Body = [...]*part.Body{chip(2, 1.25), chip(1.6, .8), radial(1.8), {Shape: "axial", Length: 1.4, Diameter: .7},
			{Shape: "disc", Diameter: 2, Width: .8}}[rng.IntN(5)]
		m.Positions = append(m.Positions, p)
	}
	return m
}

func TestLabelsNeverLie(t *testing.T) {
	for name, m := range lawBoards(t) {
		t.Run(name, func(t *testing.T) {
			for _, side := range board.Sides {
				s := Layout(m, Options{Side: side})
				led := holdLabels(t, s)
				t.Logf("%s: %d labels, %d on leaders", side, len(written(s)), led)
			}
		})
	}
}

// TestLabelsStay holds that marks, signs and changes move no label.
func TestLabelsStay(t *testing.T) {
	for _, m := range []*board.Map{preamp(t), crowd(300), demo(t, "tarn-mx12-main.3.json")} {
		bare := Layout(m, Options{})
		at := map[string]rectangle{}
		for _, w := range written(bare) {
			at[w.text] = rectangle{w.box.x0 - w.box.x1, w.box.y0, w.box.y1, w.box.x0}
		}
		var o Options
		for i := range m.Positions {
			if i%3 == 0 {
				o.Marks = append(o.Marks, m.Positions[i].Designator)
			}
			o.Badges = append(o.Badges, Badge{m.Positions[i].Designator, Sign(i%int(Lost) + 1)})
		}
		older := *m
		older.Positions = append([]board.Position(nil), m.Positions[1:]...)
		gone := m.Positions[0]
		gone.Designator, gone.X = "X99", gone.X+3
		older.Positions = append(older.Positions, gone)
		older.Positions[2].X++
		for name, s := range map[string]*Scene{"marked": Layout(m, o), "compared": LayoutCompare(&older, m,
			board.Diff(&older, m), Options{})} {
			moved := 0
			for _, w := range written(s) {
				if b, ok := at[w.text]; ok && (math.Abs(w.box.x0-w.box.x1-b.x0) > 1e-9 ||
					math.Abs(w.box.y0-b.y0) > 1e-9 || math.Abs(w.box.x0-b.y1) > 1e-9) {
					moved++
				}
			}
			if moved > 0 {
				t.Errorf("%s, %s: %d of %d labels moved", m.Board, name, moved, len(at))
			}
		}
	}
}
