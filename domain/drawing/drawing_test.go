package drawing

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

var update = flag.Bool("update", false, "write the golden files anew")

func golden(t *testing.T, file string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", file)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		t.Errorf("%s differs (-want +got):\n%s", file, cmp.Diff(strings.Split(string(want), "\n"),
			strings.Split(string(got), "\n")))
	}
}

func preampOptions(side board.Side) Options {
	return Options{Side: side, Revision: 3, Digest: strings.Repeat("9f86d081", 8), Date: "2025-11-03",
		Marks: []string{"C5"}, Badges: []Badge{{"C1", Good}, {"C2", Bad}, {"C4", Doubt}, {"BT1", Empty}}}
}

func TestGolden(t *testing.T) {
	m := preamp(t)
	golden(t, "preamp-top.svg", Board(m, preampOptions(board.Top)))
	golden(t, "preamp-bottom.svg", Board(m, preampOptions(board.Bottom)))
}

// picture is what an independent reader finds in a drawing.
type picture struct {
	view   rectangle
	labels map[string][]rectangle
	groups map[string]int
	pieces map[string]string // first path or circle of a position
	texts  []string
}

var number = regexp.MustCompile(`-?[0-9]*\.?[0-9]+`)

// read takes a drawing apart with the XML decoder and checks that everything
// in it has finite coordinates within the view.
func read(t interface{ Fatalf(string, ...any) }, svg []byte) picture {
	p := picture{labels: map[string][]rectangle{}, groups: map[string]int{}, pieces: map[string]string{}}
	d := xml.NewDecoder(bytes.NewReader(svg))
	d.Strict = true
	type state struct {
		class string
		size  float64
		pos   string
		defs  bool
	}
	stack := []state{{}}
	var text *state
	var box rectangle
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			at := map[string]string{}
			for _, a := range tok.Attr {
				at[a.Name.Local] = a.Value
			}
			num := func(k string) float64 {
				x, err := strconv.ParseFloat(at[k], 64)
				if at[k] != "" && err != nil {
					t.Fatalf("%s=%q is no number", k, at[k])
				}
				return x
			}
			s := stack[len(stack)-1]
			if v := num("font-size"); v > 0 {
				s.size = v
			}
			switch tok.Name.Local {
			case "svg":
				f := strings.Fields(at["viewBox"])
				w, _ := strconv.ParseFloat(f[2], 64)
				h, _ := strconv.ParseFloat(f[3], 64)
				p.view = rectangle{0, 0, w, h}
				if at["role"] == "" || at["aria-labelledby"] == "" {
					t.Fatalf("no text alternative: %v", at)
				}
			case "script", "style", "image", "use", "foreignObject":
				t.Fatalf("%s in a drawing", tok.Name.Local)
			case "defs":
				s.defs = true
			case "g":
				if at["class"] != "" {
					s.class = at["class"]
				}
				if at["data-designator"] != "" {
					s.pos = at["data-designator"]
					p.groups[s.pos]++
				}
			case "text":
				w := num("textLength")
				x, y := num("x"), num("y")
				box = rectangle{x - w/2, y - capTall*s.size, x + w/2, y}
				if !strings.HasPrefix(s.class, "labels") && s.class != "flag" {
					box.x0, box.x1 = x, x+w
				}
				text = &s
			case "circle":
				if !s.defs {
					inside(t, p.view, num("cx")-num("r"), num("cy")-num("r"))
					inside(t, p.view, num("cx")+num("r"), num("cy")+num("r"))
				}
			case "path":
				if !s.defs {
					walk(t, p.view, at["d"])
				}
			}
			if s.pos != "" && p.pieces[s.pos] == "" && (tok.Name.Local == "path" || tok.Name.Local == "circle") {
				p.pieces[s.pos] = at["d"] + at["cx"] + "," + at["cy"]
			}
			stack = append(stack, s)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			if text != nil {
				if strings.HasPrefix(text.class, "labels") || text.class == "flag" {
					p.labels[string(tok)] = append(p.labels[string(tok)], box)
				}
				p.texts = append(p.texts, string(tok))
				inside(t, p.view, box.x0, box.y0)
				inside(t, p.view, box.x1, box.y1)
				text = nil
			}
		}
	}
	return p
}

func inside(t interface{ Fatalf(string, ...any) }, v rectangle, x, y float64) {
	const slack = 0.2 // rounding
	if math.IsNaN(x+y) || x < -slack || y < -slack || x > v.x1+slack || y > v.y1+slack {
		t.Fatalf("(%g, %g) lies outside the view %v", x, y, v)
	}
}

// walk follows a path of M, l and A commands.
func walk(t interface{ Fatalf(string, ...any) }, v rectangle, d string) {
	var x, y float64
	for _, c := range regexp.MustCompile(`[MlAzV][^MlAzV]*`).FindAllString(d, -1) {
		var ns []float64
		for _, n := range number.FindAllString(c[1:], -1) {
			f, err := strconv.ParseFloat(n, 64)
			if err != nil {
				t.Fatalf("%q in path %q", n, d)
			}
			ns = append(ns, f)
		}
		switch {
		case c[0] == 'M' && len(ns) == 2:
			x, y = ns[0], ns[1]
		case c[0] == 'l' && len(ns) == 2:
			x, y = x+ns[0], y+ns[1]
		case c[0] == 'A' && len(ns) == 7:
			x, y = ns[5], ns[6]
		case c[0] == 'z':
			continue
		default:
			t.Fatalf("path %q: command %q", d, c)
		}
		inside(t, v, x, y)
	}
}

// checkLabels holds that each designator of the side stands there once and
// that no two labels overlap, comparing every pair.
func checkLabels(t interface {
	Fatalf(string, ...any)
	Errorf(string, ...any)
}, p picture, m *board.Map, side board.Side) {
	var all []rectangle
	want := 0
	for i := range m.Positions {
		d := m.Positions[i].Designator
		if m.Positions[i].Side != side {
			continue
		}
		want++
		if n := len(p.labels[d]); n != 1 {
			t.Fatalf("%q is written %d times", d, n)
		}
		if p.groups[d] != 1 {
			t.Fatalf("%q has %d groups", d, p.groups[d])
		}
		all = append(all, p.labels[d]...)
	}
	if len(p.labels) != want {
		t.Fatalf("%d labels for %d positions", len(p.labels), want)
	}
	for i, a := range all {
		for _, b := range all[:i] {
			if a.x0 < b.x1 && b.x0 < a.x1 && a.y0 < b.y1 && b.y0 < a.y1 {
				t.Errorf("labels overlap: %v and %v", a, b)
			}
		}
	}
}

func TestLabels(t *testing.T) {
	for _, file := range []string{"StickHub.csv", "video.csv"} {
		m := realBoard(t, file)
		for _, side := range board.Sides {
			checkLabels(t, read(t, Board(m, Options{Side: side})), m, side)
		}
	}
	for _, n := range []int{0, 1, 300, 2000} {
		m := crowd(n)
		checkLabels(t, read(t, Board(m, Options{Badges: []Badge{{"C1", Good}, {"C2", Hazard}}, Marks: []string{"C3"}})),
			m, board.Top)
	}
	t.Run("all at one place", func(t *testing.T) {
		m := crowd(400)
		for i := range m.Positions {
			m.Positions[i].X, m.Positions[i].Y = 150, 100
		}
		checkLabels(t, read(t, Board(m, Options{})), m, board.Top)
	})
}

// TestAnyMap draws maps with whatever may be in them.
func TestAnyMap(t *testing.T) {
	shapes := []string{"", "can", "chip", "box", "axial", "disc", "coin", "other", "?"}
	length := rapid.OneOf(rapid.Float64Range(0, 60), rapid.Just(0.0), rapid.Just(math.Inf(1)), rapid.Just(math.NaN()),
		rapid.Just(-5.0), rapid.Just(1e300))
	rapid.Check(t, func(t *rapid.T) {
		m := &board.Map{Board: "b", Name: rapid.String().Draw(t, "name"), Frame: board.Frame{Width: length.Draw(t, "w"),
			Height: length.Draw(t, "h")}}
		for range rapid.IntRange(0, 4).Draw(t, "corners") {
			m.Frame.Outline = append(m.Frame.Outline, [2]float64{length.Draw(t, "ox"), length.Draw(t, "oy")})
		}
		ds := rapid.SliceOfNDistinct(rapid.StringMatching(`[A-Z]{1,3}[0-9]{1,4}`), 0, 40, rapid.ID[string]).Draw(t,
			"designators")
		for _, d := range ds {
			p := board.Position{Designator: d, Side: rapid.SampledFrom(board.Sides).Draw(t, "side"),
				X: length.Draw(t, "x"), Y: length.Draw(t, "y"),
				Rotation: length.Draw(t, "r"), Service: rapid.SampledFrom([]board.Service{"", "replace", "inspect",
					"leave"}).Draw(t, "service"),
				Part: part.Part{Class: rapid.SampledFrom(part.Classes).Draw(t, "class"), Text: rapid.String().Draw(t,
					"text")}}
			if rapid.Bool().Draw(t, "body") {
				p.Body = &part.Body{Shape: rapid.SampledFrom(shapes).Draw(t, "shape"), Diameter: length.Draw(t, "d"),
					Length: length.Draw(t, "l"), Width: length.Draw(t, "wd"), LeadPitch: length.Draw(t, "lp")}
			}
			if rapid.Bool().Draw(t, "polar") {
				p.Negative = ptr(length.Draw(t, "neg"))
			}
			m.Positions = append(m.Positions, p)
		}
		o := Options{Side: rapid.SampledFrom(board.Sides).Draw(t, "draw"), Marks: ds[:len(ds)/3],
			Variant: rapid.String().Draw(t, "variant")}
		if rapid.Bool().Draw(t, "links") {
			o.Link = func(d string) string { return "?mark=" + d }
		}
		for i, d := range ds {
			if i%2 == 0 {
				o.Badges = append(o.Badges, Badge{d, Sign(i % int(Lost+2))})
			}
		}
		svg := Board(m, o)
		checkLabels(t, read(t, svg), m, o.Side)
		if !bytes.Equal(svg, Board(m, o)) {
			t.Fatal("drawn again, the bytes differ")
		}
	})
}

// TestHostile draws texts that would break out of markup.
func TestHostile(t *testing.T) {
	const evil = "\"><script>x</script>&'\x00\xff\n"
	m := preamp(t)
	m.Name, m.Licence, m.Positions[0].Designator, m.Positions[0].Part.Text = evil, evil, evil, evil
	svg := Board(m, Options{Link: func(d string) string { return "?mark=" + d }, Date: evil, Marks: []string{evil}})
	read(t, svg)
	if bytes.Contains(svg, []byte("<script")) {
		t.Error("text got out of its place")
	}
}

// TestSides holds the two sides against each other: the bottom is mirrored
// left to right, says so, and turns polarity with it.
func TestSides(t *testing.T) {
	m := &board.Map{Board: "b", Name: "n", Frame: board.Frame{Width: 100, Height: 50}}
	p := board.Position{Designator: "C1", Side: board.Top, X: 20, Y: 10, Body: radial(10), Negative: ptr(0.0),
		Part: part.Part{Class: part.Capacitor}}
	m.Positions = []board.Position{p}
	top := Layout(m, Options{Side: board.Top})
	p.Side = board.Bottom
	m.Positions[0] = p
	bottom := Layout(m, Options{Side: board.Bottom})
	find := func(s *Scene, k Kind, i Ink) Item {
		for _, it := range s.Items {
			if it.Kind == k && it.Ink == i {
				return it
			}
		}
		t.Fatalf("no item of kind %d, ink %d", k, i)
		return Item{}
	}
	frame := find(top, Polygon, InkBoard)
	left, right := frame.Points[0].X, frame.Points[1].X
	a, b := find(top, Segment, InkPole), find(bottom, Segment, InkPole)
	if got, want := a.Center.X, left+0.2*(right-left); math.Abs(got-want) > 0.01 {
		t.Errorf("top: x = %g, want %g", got, want)
	}
	if got, want := b.Center.X, right-0.2*(right-left); math.Abs(got-want) > 0.01 {
		t.Errorf("bottom: x = %g, want %g", got, want)
	}
	if a.Center.Y != b.Center.Y {
		t.Errorf("y differs: %g and %g", a.Center.Y, b.Center.Y)
	}
	if math.Abs(math.Cos(a.Angle)-1) > 1e-9 || math.Abs(math.Cos(b.Angle)+1) > 1e-9 {
		t.Errorf("negative ends point to %g and %g, want right and left", a.Angle, b.Angle)
	}
	if s := bottom.SVG(); !bytes.Contains(s, []byte("BOTTOM SIDE, turned over left to right")) {
		t.Error("the bottom does not say that it is one")
	}
}

// TestPole works the place of the negative end by hand: rotation 90 and
// negative lead at 270 fill the lower end of a chip.
func TestPole(t *testing.T) {
	m := &board.Map{Board: "b", Name: "n", Frame: board.Frame{Width: 100, Height: 100}, Positions: []board.Position{{
		Designator: "C1", Side: board.Top, X: 50, Y: 50, Rotation: 90, Negative: ptr(270.0), Body: chip(10, 4),
		Part: part.Part{Class: part.Capacitor}}}}
	s := Layout(m, Options{})
	for _, it := range s.Items {
		if it.Ink != InkPole || it.Kind != Polygon {
			continue
		}
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range it.Points {
			lo, hi = math.Min(lo, p.Y), math.Max(hi, p.Y)
		}
		// 10 sheet units a millimetre: the body spans ±50 about its middle.
		mid := it.Points[0].Y
		for _, q := range s.Items {
			if q.Kind == Polygon && q.Ink == InkLeave {
				mid = (q.Points[0].Y + q.Points[2].Y) / 2
				break
			}
		}
		if math.Abs(hi-(mid+50)) > 0.01 || math.Abs(lo-(mid+50*(1-poleDepth))) > 0.01 {
			t.Errorf("the filled end spans %g to %g about %g", lo-mid, hi-mid, mid)
		}
		return
	}
	t.Error("no negative end drawn")
}

func BenchmarkBoard5000(b *testing.B) {
	m := crowd(5000)
	n := 0
	for b.Loop() {
		n = len(Board(m, Options{}))
	}
	b.ReportMetric(float64(n), "bytes")
}

func BenchmarkBoard300(b *testing.B) {
	m := crowd(300)
	for b.Loop() {
		Board(m, Options{})
	}
}

// TestSize holds the aim of 2 MB for the largest map.
func TestSize(t *testing.T) {
	if n := len(Board(crowd(board.MaxPositions), Options{})); n > 2_000_000 {
		t.Errorf("%d bytes", n)
	}
}
