package bench_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/bench"
	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

var update = flag.Bool("update", false, "write the golden files anew")

func q(s string) quantity.Quantity {
	if s == "" {
		return quantity.Quantity{}
	}
	v, err := quantity.Parse(s)
	if err != nil {
		panic(err)
	}
	return v
}

func capacitor(d, rail, value, rated, working string) board.Position {
	return board.Position{Designator: d, Side: "top", Rail: rail, WorkingVoltage: q(working), Service: "replace",
		Part: part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Value: q(value),
			Voltage: q(rated)}}
}

func safe(t *testing.T, resistor string, to float64, ps ...board.Position) *bench.Plan {
	t.Helper()
	p, err := bench.Make(bench.Request{Map: &board.Map{Board: "b", Positions: ps}, Tool: bench.StandardTool,
		Resistor: q(resistor), ToVolts: to})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// inputs reads the inputs of a worked example, in SI units.
func inputs(text string) map[string]float64 {
	in := map[string]float64{}
	for _, item := range strings.Split(text, ";") {
		name, value, _ := strings.Cut(strings.TrimSpace(item), "=")
		figure, unit, _ := strings.Cut(value, " ")
		v, err := strconv.ParseFloat(figure, 64)
		if err != nil {
			continue
		}
		in[name] = v * map[string]float64{"uF": 1e-6, "mF": 1e-3, "": 1}[unit]
	}
	return in
}

// amount is an exact quantity of a round figure.
func amount(v float64, u quantity.Unit) quantity.Quantity {
	out, _ := quantity.New(int64(math.Round(v*1e9)), -9, u)
	return out
}

// TestPublished holds energy and discharge times to the worked examples of a
// textbook (OpenStax, College Physics, 19.7 and 21.6, rows of the table).
func TestPublished(t *testing.T) {
	n := 0
	for _, row := range tabletest.Rows(t, "testdata/worked-examples.csv") {
		in := inputs(row["inputs"])
		want, _ := strconv.ParseFloat(row["expected"], 64)
		tolerance, _ := strconv.ParseFloat(row["rel_tolerance"], 64)
		var got float64
		switch {
		case row["topic"] == "stored energy" && in["C"] > 0:
			c := capacitor("C1", "", "", "", "")
			c.Part.Value, c.WorkingVoltage = amount(in["C"], quantity.Farad), amount(in["V"], quantity.Volt)
			got = safe(t, "", 5, c).MakeSafe[0].Energy
		case row["topic"] == "discharge time" && in["C"] > 0 && in["V0"] > 0:
			// A hundred times the capacitance takes a hundred times as long; the book's 24 V would need no care else.
			c := capacitor("C1", "", "", "", "")
			c.Part.Value, c.WorkingVoltage = amount(100*in["C"], quantity.Farad), amount(in["V0"], quantity.Volt)
			p, err := bench.Make(bench.Request{Map: &board.Map{Board: "b", Positions: []board.Position{c}},
				Tool:     bench.StandardTool,
				Resistor: amount(in["R"], quantity.Ohm), ToVolts: in["V"]})
			if err != nil {
				t.Fatal(err)
			}
			got = p.MakeSafe[0].Time / 100
		default:
			continue
		}
		n++
		if math.Abs(got-want) > want*max(tolerance, 1e-9) {
			t.Errorf("%s (%s; %s): %v, want %v", row["id"], row["inputs"], row["source"], got, want)
		}
	}
	if n != 5 {
		t.Errorf("%d examples were tried, not 5", n)
	}
}

// TestReFormingAsPublished holds the check's figures to the maker's note.
func TestReFormingAsPublished(t *testing.T) {
	p := safe(t, "", 5, capacitor("C1", "", "47 µF", "25 V", "12 V"))
	k := slices.IndexFunc(p.PowerUp, func(c bench.Check) bool { return c.ID == "re-forming" })
	if k < 0 {
		t.Fatal("an electrolytic has no such check")
	}
	said := p.PowerUp[k].Text.String()
	for _, row := range tabletest.Rows(t, "testdata/worked-examples.csv") {
		if row["id"] != "E028" {
			continue
		}
		ohms, _ := strconv.ParseFloat(row["expected"], 64)
		pieces := []string{fmt.Sprintf("%g kΩ (rated 75 V or less)", ohms/1e3), "at most 1 mA", "four hours"}
		for i, printed := range []string{"75 V or less", "at most 1 mA", "hold 4 h at rated voltage"} {
			if !strings.Contains(row["inputs"]+row["note"], printed) || !strings.Contains(said, pieces[i]) {
				t.Errorf("%q has not %q, as %q prints", said, pieces[i], row["note"])
			}
		}
	}
}

// TestCharge: what counts, how it is grouped, and the resistor that is chosen.
func TestCharge(t *testing.T) {
	with := func(p board.Position, edit func(*board.Position)) board.Position { edit(&p); return p }
	coupling := func(p *board.Position) { p.Function = "coupling" }
	for _, c := range []struct {
		name     string
		resistor string
		to       float64
		ps       []board.Position
		want     []string // positions, capacitance, voltage, joules, resistor, seconds
	}{
		{"nothing much", "", 5, []board.Position{capacitor("C1", "+5V", "47 µF", "16 V", "5 V")}, nil},
		{"60 V is not over 60 V", "", 5, []board.Position{capacitor("C1", "", "47 µF", "", "60 V")}, nil},
		// 16.2 J in 160 µF at 450 V: OpenStax, College Physics, 21.6. 5 s / (160 µF · ln 90) = 6.9 kΩ, so 6.8 kΩ.
		{"a mains reservoir", "", 5, []board.Position{capacitor("C1", "", "160 µF", "", "450 V")},
			[]string{"C1 160 µF 450 V 16.2 J 6.8 kΩ 4.9 s"}},
		{"through a given resistor", "1 kΩ", 5, []board.Position{capacitor("C1", "", "160 µF", "", "450 V")},
			[]string{"C1 160 µF 450 V 16.2 J 1 kΩ 0.72 s"}},
		{"the rating where nothing else is told", "1 kΩ", 5, []board.Position{capacitor("C1", "", "160 µF", "450 V",
			"")}, []string{"C1 160 µF 450 V 16.2 J 1 kΩ 0.72 s rated"}},
		{"in parallel", "1 kΩ", 5, []board.Position{capacitor("C2", "+325V", "47 µF", "400 V", ""),
			capacitor("C1", "+325V", "100 µF", "400 V", "325 V")},
			[]string{"C1 C2 147 µF 400 V 11.8 J 1 kΩ 0.644 s rated"}},
		{"a coupling part stands alone", "1 kΩ", 5, []board.Position{capacitor("C1", "+325V", "100 µF", "400 V",
			"325 V"), with(capacitor("C2", "+325V", "1 µF", "400 V", "200 V"), coupling)},
			[]string{"C1 100 µF 325 V 5.28 J 1 kΩ 0.417 s", "C2 1 µF 200 V 0.02 J 1 kΩ 0.00369 s"}},
		{"two joules at any voltage", "10 Ω", 5, []board.Position{capacitor("C1", "+24V", "10000 µF", "35 V", "24 V")},
			[]string{"C1 10000 µF 24 V 2.88 J 10 Ω 0.157 s"}},
		{"below the voltage already", "10 Ω", 30, []board.Position{capacitor("C1", "+24V", "10000 µF", "35 V", "24 V")},
			[]string{"C1 10000 µF 24 V 2.88 J 10 Ω 0 s"}},
		{"and no resistor is needed then", "", 30, []board.Position{capacitor("C1", "+24V", "10000 µF", "35 V",
			"24 V")}, []string{"C1 10000 µF 24 V 2.88 J - 0 s"}},
	} {
		var got []string
		for _, m := range safe(t, c.resistor, c.to, c.ps...).MakeSafe {
			r := "-"
			if !m.Resistor.IsZero() {
				r = m.Resistor.String()
				if want := m.Voltage.Float() * m.Voltage.Float() / m.Resistor.Float(); math.Abs(*m.Peak-want) > 1e-9*want {
					t.Errorf("%s: peak %v W, want %v", c.name, *m.Peak, want)
				}
			}
			s := fmt.Sprintf("%s %v %v %.3g J %s %.3g s", strings.Join(m.Positions, " "), m.Capacitance, m.Voltage,
				m.Energy, r, m.Time)
			if m.Rated {
				s += " rated"
			}
			if !strings.HasPrefix(m.Text.String(), "Measure across ") {
				t.Errorf("%s: does not say to measure first: %s", c.name, m.Text)
			}
			got = append(got, s)
		}
		if d := cmp.Diff(c.want, got); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, d)
		}
	}
}

// TestUntold: where a charge can't be told, the plan says what is missing.
func TestUntold(t *testing.T) {
	sized := func(p board.Position) board.Position {
		p.Body = &part.Body{Shape: "can", Diameter: 5, Height: 8}
		return p
	}
	p := safe(t, "", 5, sized(capacitor("C1", "", "", "", "")), sized(capacitor("C2", "", "100 µF", "", "")),
		sized(capacitor("C3", "", "100 pF", "", "")),
		sized(capacitor("C4", "+5V", "", "10 V", "5 V")), sized(capacitor("C5", "", "10 µF", "25 V", "")),
		capacitor("C6", "", "10 µF", "25 V", ""))
	var got []string
	for _, u := range p.Unknown {
		got = append(got, u.Designator+": "+strings.Join(u.Lacks, ", "))
	}
	if want := []string{"C1: value, voltage", "C2: voltage", "C4: value", "C6: size"}; !slices.Equal(got, want) {
		t.Errorf("unknown %q, want %q", got, want)
	}
}

// TestBleeders: by rail or by the name of the part that they discharge.
func TestBleeders(t *testing.T) {
	r := func(d, rail, function, value string) board.Position {
		return board.Position{Designator: d, Side: "top", Rail: rail, Function: function,
			Part: part.Part{Class: part.Resistor, Value: q(value)}}
	}
	p := safe(t, "1 kΩ", 5, capacitor("C4", "+325V", "150 µF", "400 V", "325 V"), r("R2", "+325V", "bleeder", "220 kΩ"),
		r("R3", "+325V", "divider", "1 MΩ"),
		r("R4", "", "discharges C4", "1 MΩ"), r("R5", "", "discharges C40", "1 MΩ"))
	got := fmt.Sprint(p.MakeSafe[0].Bleeders)
	// 220 kΩ · 150 µF · ln 65 = 137.76 s
	if len(p.MakeSafe[0].Bleeders) != 2 || math.Abs(p.MakeSafe[0].Bleeders[0].Time-33*math.Log(65)) > 1e-9 ||
		p.MakeSafe[0].Bleeders[1].Designator != "R4" {
		t.Errorf("bleeders %s", got)
	}
}

// TestMethods holds the table to the facts of the trade (common practice).
func TestMethods(t *testing.T) {
	yes := true
	can := part.Body{Mount: "surface", Shape: "can", Diameter: 6.3, Height: 5.4}
	hole := part.Body{Mount: "through-hole", Shape: "can", Diameter: 8, Height: 12}
	chip := part.Body{Mount: "surface", Shape: "chip", Length: 3.2, Width: 1.6}
	at := func(class string, b *part.Body, edit func(*board.Position)) board.Position {
		p := board.Position{Designator: "P1", Side: "top", X: 20, Y: 20, Service: "replace",
			Part: part.Part{Class: part.Class(class)}, Body: b}
		if edit != nil {
			edit(&p)
		}
		return p
	}
	glued := func(p *board.Position) { p.Glued = &yes }
	cell := board.Position{Designator: "BT1", Side: "top", X: 26, Y: 20, Part: part.Part{Class: part.Cell}}
	for _, c := range []struct {
		name           string
		p              board.Position
		beside         []board.Position
		method, avoids string // pieces
		not            string // a piece that the method must not have
	}{
		{"a can, free", at("capacitor", &can, nil), nil, "hot air at about 400 °C and medium flow", "twisting", ""},
		{"a can, glued", at("capacitor", &can, glued), nil, "cut the can off above its base",
			"hot air, and any long heating", "medium flow"},
		{"a can beside a cell", at("capacitor", &can, nil), []board.Position{cell}, "in turn in small steps", "hot air",
			"400"},
		{"a chip with two ends", at("resistor", &chip, nil), nil, "tweezers-type iron", "", "desoldering iron"},
		{"many leads on pads", at("integrated-circuit", &chip, nil), nil, "low-melting solder", "", ""},
		{"through-hole", at("capacitor", &hole, nil), nil, "desoldering iron", "", "hot air"},
		{"through-hole, glued", at("capacitor", &hole, glued), nil, "cut the glue", "levering", "hot air"},
		{"heat-sensitive", at("diode", &hole, func(p *board.Position) { p.HeatSensitive = &yes }), nil,
			"desoldering iron", "hot air", ""},
		{"no body", at("capacitor", nil, nil), nil, "does not say how this part is mounted", "pulling", ""},
		{"a cell", at("cell", &hole, nil), nil, "desoldering iron", "bridging the poles", "hot air"},
		{"pads are cleaned afterwards", at("resistor", &chip, nil), nil, "level the pads", "", ""},
		{"holes are looked at afterwards", at("resistor", &hole, nil), nil, "its plating is whole", "", "level the pads"},
	} {
		p, err := bench.Make(bench.Request{Map: &board.Map{Board: "b", Positions: append(c.beside, c.p)},
			Tool: bench.StandardTool, ToVolts: 5})
		if err != nil {
			t.Fatal(err)
		}
		r := p.Stages[0].Removal[0]
		if !strings.Contains(r.Method.Method.String(), c.method) || c.not != "" &&
			strings.Contains(r.Method.Method.String(), c.not) {
			t.Errorf("%s: %s", c.name, r.Method.Method)
		}
		if avoid := message.Semicolons(r.Avoid).Say().String(); !strings.Contains(avoid, c.avoids) {
			t.Errorf("%s: avoids %q, want %q", c.name, avoid, c.avoids)
		}
		if len(r.Why) == 0 || !strings.HasSuffix(r.Why[0].String(), ").") {
			t.Errorf("%s: no reason with its basis: %q", c.name, r.Why)
		}
	}
}

// TestGolden shows a whole plan, to be read in review.
func TestGolden(t *testing.T) {
	b, err := os.ReadFile("testdata/mains.map.json")
	if err != nil {
		t.Fatal(err)
	}
	m := new(board.Map)
	if err := json.Unmarshal(b, m); err != nil {
		t.Fatal(err)
	}
	p, err := bench.Make(bench.Request{Map: m, Revision: 1, Digest: "d", Scope: kit.Scope{Name: "service"},
		Tool: bench.StandardTool, ToVolts: 5})
	if err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(p, jsontext.WithIndent("  "))
	if err != nil {
		t.Fatal(err)
	}
	const path = "testdata/mains.plan.json"
	if *update {
		if err := os.WriteFile(path, append(got, '\n'), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(got)+"\n"); d != "" {
		t.Errorf("the plan changed (-want +got):\n%s", d)
	}
}
