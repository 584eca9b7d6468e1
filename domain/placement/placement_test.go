package placement

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/board"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

func file(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func request(placements string) Request {
	return Request{Board: "test-board", Equipment: board.Equipment{Maker: "M", Model: "N"}, Name: "Board",
		Placements: placements}
}

type probe struct {
	Designator  string   `json:"designator"`
	X           float64  `json:"x"`
	Y           float64  `json:"y"`
	Rotation    float64  `json:"rotation"`
	Side        string   `json:"side"`
	Value       string   `json:"value"`
	Designators []string `json:"designators"`
}

type expectation struct {
	Kind       string  `json:"kind"`
	Parts      int     `json:"parts"`
	Top        int     `json:"top"`
	Bottom     int     `json:"bottom"`
	Tolerance  float64 `json:"tolerance_mm"`
	Placements string  `json:"placements"`
	Probes     []probe `json:"probes"`
}

func expectations(t *testing.T) map[string]expectation {
	t.Helper()
	all := map[string]expectation{}
	if err := json.Unmarshal([]byte(file(t, "expected.json")), &all); err != nil {
		t.Fatal(err)
	}
	return all
}

// TestManners reads the same boards in the manners of several assembly tools;
// counts and probes stand in testdata/expected.json.
func TestManners(t *testing.T) {
	for name, want := range expectations(t) {
		if want.Kind != "placement" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			r := Read(request(file(t, name)))
			if len(r.Problems) > 0 {
				t.Errorf("problems: %+v", r.Problems)
			}
			at := map[string]board.Position{}
			sides := map[string]int{}
			for _, p := range r.Map.Positions {
				at[p.Designator] = p
				sides[string(p.Side)]++
			}
			if r.Rows.Used != want.Parts || sides["top"] != want.Top || sides["bottom"] != want.Bottom {
				t.Errorf("%d used, %v; want %d, %d top, %d bottom", r.Rows.Used, sides, want.Parts, want.Top,
					want.Bottom)
			}
			for _, w := range want.Probes {
				p := at[w.Designator]
				if math.Abs(p.X-w.X) > want.Tolerance || math.Abs(p.Y-w.Y) > want.Tolerance ||
					p.Rotation != w.Rotation || string(p.Side) != w.Side {
					t.Errorf("%s at %g, %g, %g°, %s; want %g, %g, %g°, %s", w.Designator, p.X, p.Y, p.Rotation, p.Side,
						w.X, w.Y, w.Rotation, w.Side)
				}
			}
		})
	}
}

// TestPartsLists holds the parts lists against the placement lists of the same
// boards: each designator gets the value that the list gives it.
func TestPartsLists(t *testing.T) {
	for name, want := range expectations(t) {
		if want.Kind != "bom" {
			continue
		}
		t.Run(name, func(t *testing.T) {
			q := request(file(t, want.Placements))
			q.Parts = file(t, name)
			r := Read(q)
			if len(r.Problems) > 0 {
				t.Errorf("problems: %+v", r.Problems)
			}
			at := map[string]board.Position{}
			for _, p := range r.Map.Positions {
				at[p.Designator] = p
			}
			for _, w := range want.Probes {
				for _, d := range w.Designators {
					p := at[d].Part
					if p.Text == w.Value {
						continue
					}
					read, err := reading.Quantity(w.Value, kindOf(string(p.Class)),
						quantity.Context{Class: string(p.Class), Found: "list"})
					readings := read.Amounts
					if err != nil || len(readings) != 1 || readings[0].Quantity != p.Value {
						t.Errorf("%s is %s, list says %q", d, p.String(), w.Value)
					}
				}
			}
		})
	}
}

func kindOf(class string) quantity.Kind {
	if class == "resistor" || class == "potentiometer" {
		return quantity.Resistance
	}
	return quantity.Capacitance
}

func TestQuestionsAndOptions(t *testing.T) {
	const mm = "Ref,Val,X,Y,Rot,Side\nC1,47uF,10,20,90,top\nC2,47uF,30,20,0,bottom\n"
	codes := func(r Result) string {
		var s []string
		for _, q := range r.Questions {
			s = append(s, q.Code)
		}
		return strings.Join(s, " ")
	}
	r := Read(request(mm))
	if got := codes(r); got != "centre unit outline bottom" {
		t.Errorf("asked %q", got)
	}
	q := request(mm)
	q.Options = Options{Unit: "inch", Bottom: "seen-from-bottom", Width: 1000, Height: 800}
	r = Read(q)
	if got := codes(r); got != "centre" {
		t.Errorf("with options asked %q", got)
	}
	// Bottom seen from the bottom: x counts from the right edge, the angle is
	// the supplement (worked by hand from the frame's definition).
	if c2 := r.Map.Positions[1]; c2.X != 1000-762 || c2.Y != 508 || c2.Rotation != 180 {
		t.Errorf("C2 at %g, %g, %g°", c2.X, c2.Y, c2.Rotation)
	}
	r = Read(request("Ref;X;Y\nC1;-5;1,500\nC2;1,250;2,125\n"))
	if got := codes(r); !strings.Contains(got, "decimal") || !strings.Contains(got, "origin") {
		t.Errorf("doubtful decimals and negative coordinates asked %q", got)
	}
	if c1 := r.Map.Positions[0]; c1.X != margin || c1.Y != 1.5 {
		t.Errorf("C1 at %g, %g", c1.X, c1.Y)
	}
}

func TestProblemsNameTheRow(t *testing.T) {
	r := Read(request("Ref,Val,X (mm),Y (mm),Side\nC1,47uF,ten,20,top\n,1u,1,1,top\nC2,1u,1,1,edge\nC3,1u,1,1,top\nC3,1u,2,2,top\nC4 C5,1u,3,3,top\n"))
	got := []int{}
	for _, p := range r.Problems {
		got = append(got, p.Row)
	}
	if diff := cmp.Diff([]int{2, 3, 4, 6, 7}, got); diff != "" {
		t.Errorf("rows (-want +got):\n%s", diff)
	}
	if r.Rows != (Rows{Read: 6, Used: 1}) {
		t.Errorf("rows %+v", r.Rows)
	}
	if r := Read(request("nothing of use")); r.Map != nil || len(r.Problems) != 1 {
		t.Errorf("a text without headings gave %+v", r)
	}
	q := request("Ref,X,Y\nC1,1,1\nC9,2,2\n")
	q.Parts = "Qty,Designators,Value\n3,\"C1,C2\",47uF\n1,C1,10uF\n"
	var reasons []string
	for _, p := range Read(q).Problems {
		reasons = append(reasons, p.Text)
	}
	slices.Sort(reasons)
	if diff := cmp.Diff([]string{"3", "C1", "C2", "C9"}, reasons); diff != "" {
		t.Errorf("parts list (-want +got):\n%s", diff)
	}
}

// TestBoards reads the boards' own lists: the middle of the body is taken, and
// every row is used.
func TestBoards(t *testing.T) {
	for name, parts := range map[string]int{"video": 189, "StickHub": 89, "complex_hierarchy": 68, "probe": 25,
		"interf_u": 24, "ecc83-pp": 15, "interf_u.earlier": 24} {
		r := Read(request(file(t, name+".csv")))
		if r.Rows.Used != parts || len(r.Problems) > 0 {
			t.Errorf("%s: %+v, problems %+v", name, r.Rows, r.Problems)
		}
	}
	r := Read(request(file(t, "ecc83-pp.csv")))
	c1 := r.Map.Positions[0]
	if c1.X != 20.32 || c1.Y != 39.33 || c1.Body.Mount != "through-hole" || c1.Body.Diameter != 10 ||
		c1.Body.LeadPitch != 5 || c1.Body.Shape != "can" {
		t.Errorf("C1 is %+v, body %+v", c1, c1.Body)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(file(f, "01_quoted_mm.csv"), "")
	f.Add(file(f, "04_tab_inch.txt"), file(f, "05_bom_grouped.csv"))
	f.Add("Ref;X;Y\nC1;1,250;2\n", "Ref;Val\nC1-C3;1u")
	f.Fuzz(func(t *testing.T, placements, parts string) {
		q := request(placements)
		q.Parts = parts
		r := Read(q)
		if r.Rows.Used > r.Rows.Read || r.Map != nil && len(r.Map.Positions) != r.Rows.Used {
			t.Errorf("%+v with %d positions", r.Rows, len(r.Map.Positions))
		}
	})
}
