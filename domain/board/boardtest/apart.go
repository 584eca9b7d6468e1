package boardtest

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// Step is one edit of one thing. Steps with other keys may be done in any
// order, on one map or on two, and come to the same.
type Step struct {
	Key string
	Do  func(*board.Map)
}

// Numbered is a map of n positions, n ≥ 4, with every kind of list, whose
// positions are numbered by an own member x-id, by which steps and oracles
// know them whatever they are called.
func Numbered(n int) *board.Map {
	m := Big(n)
	m.Frame.Outline = [][2]float64{{0, 0}, {m.Frame.Width, 0}, {m.Frame.Width, m.Frame.Height}, {5, m.Frame.Height},
		{0, m.Frame.Height - 5}}
	for i := range m.Positions {
		m.Positions[i].Extra = jsontext.Value(fmt.Sprintf(`{"x-id":%d}`, i))
		m.Positions[i].X += float64(i*i%7) / 8 // so that the board is no mirror image of itself
	}
	name := func(i int) string { return m.Positions[i].Designator }
	m.FailurePoints = append(m.FailurePoints, board.FailurePoint{ID: "leak", Title: "Cell leaks",
		Mechanism: "Lye creeps along traces.", Severity: "hazard",
		Positions: []string{name(0), name(3)}, Symptoms: []string{"Green crust"}, BarsPowerUp: ptr(true),
		Remedy: "Clean and rinse."})
	m.Checks = append(m.Checks, board.Measurement{ID: "short", Title: "No short", When: board.BeforePowerUp,
		Measure: "resistance",
		Between: []string{name(0) + " plus", "ground"}, Expect: &board.Range{Min: Q("100 Ω")}})
	m.Variants = []board.Variant{
		{Variant: "eu", Title: "European build", IdentifiedBy: "Marked EU", Changes: []board.Change{
			{Designator: name(0), Set: jsontext.Value(`{"notes":"Other make.","x_mm":9.5}`)}, {Omit: name(1)}}},
		{Variant: "us", Title: "American build", IdentifiedBy: "Marked US"}}
	return m
}

// find is the position of a number, nil where it is gone.
func find(m *board.Map, id int) *board.Position {
	for i := range m.Positions {
		if Number(&m.Positions[i]) == id {
			return &m.Positions[i]
		}
	}
	return nil
}

// Number is a position's x-id, -1 for none.
func Number(p *board.Position) int {
	s := strings.TrimSuffix(strings.TrimPrefix(string(p.Extra), `{"x-id":`), "}")
	if n, err := strconv.Atoi(s); err == nil {
		return n
	}
	return -1
}

// Steps draws up to most steps on a map that Numbered made. mark goes into
// whatever they write, so that two draws never write the same by chance.
// Whether their keys are apart is for the caller to see to; but none moves a
// position far that another renames, which nobody could know again.
func Steps(t *rapid.T, m *board.Map, mark string, most int) []Step {
	var out []Step
	did := map[string]bool{}
	for range rapid.IntRange(1, most).Draw(t, "steps "+mark) {
		s := step(t, m, mark)
		thing, member := cutLast(s.Key)
		if member == "x_mm" || member == "y_mm" {
			member = "moved"
		}
		if member == "moved" && did[thing+"/designator"] || member == "designator" && did[thing+"/moved"] {
			continue
		}
		did[thing+"/"+member] = true
		out = append(out, s)
	}
	return out
}

func cutLast(key string) (before, after string) {
	i := strings.LastIndexByte(key, '/')
	return key[:max(i, 0)], key[i+1:]
}

// Do does steps on a copy of a map: changes of the frame last, since the
// others speak of places in the old one.
func Do(m *board.Map, steps ...Step) *board.Map {
	out := Clone(m)
	for _, last := range []bool{false, true} {
		for _, s := range steps {
			if (s.Key == "frame") == last {
				s.Do(out)
			}
		}
	}
	return out
}

func step(t *rapid.T, m *board.Map, mark string) Step {
	id := rapid.IntRange(0, len(m.Positions)-1).Draw(t, "id")
	switch rapid.IntRange(0, 9).Draw(t, "what") {
	case 0:
		return take(id)
	case 1:
		return rename(id, "Z"+strconv.Itoa(id)+strings.ToUpper(mark))
	case 2:
		return added(t, id, mark)
	case 3:
		return inFrame(t)
	case 4:
		return inList(t, id, mark)
	case 5:
		return inVariant(t, id, mark)
	}
	return inPosition(t, id, mark)
}

func take(id int) Step {
	return Step{fmt.Sprintf("positions/%d", id), func(m *board.Map) {
		p := find(m, id)
		if p == nil {
			return
		}
		d := p.Designator
		m.Positions = slices.DeleteFunc(m.Positions, func(p board.Position) bool { return p.Designator == d })
		for i := range m.FailurePoints {
			f := &m.FailurePoints[i]
			f.Positions = slices.DeleteFunc(f.Positions, func(s string) bool { return s == d })
		}
		for i := range m.Variants {
			v := &m.Variants[i]
			v.Changes = slices.DeleteFunc(v.Changes, func(c board.Change) bool {
				return c.Designator == d ||
					c.Omit == d
			})
		}
	}}
}

func rename(id int, name string) Step {
	return Step{fmt.Sprintf("positions/%d/designator", id), func(m *board.Map) {
		p := find(m, id)
		if p == nil {
			return
		}
		d := p.Designator
		p.Designator = name
		for i := range m.FailurePoints {
			for j, s := range m.FailurePoints[i].Positions {
				if s == d {
					m.FailurePoints[i].Positions[j] = name
				}
			}
		}
		for i := range m.Variants {
			for j := range m.Variants[i].Changes {
				c := &m.Variants[i].Changes[j]
				if c.Designator == d {
					c.Designator = name
				}
				if c.Omit == d {
					c.Omit = name
				}
			}
		}
		for i := range m.Checks {
			for j, s := range m.Checks[i].Between {
				if s == d || strings.HasPrefix(s, d+" ") {
					m.Checks[i].Between[j] = name + s[len(d):]
				}
			}
		}
	}}
}

func added(t *rapid.T, id int, mark string) Step {
	p := Position(t, fmt.Sprintf("N%d%s", id, strings.ToUpper(mark)))
	p.Extra = jsontext.Value(fmt.Sprintf(`{"x-id":%d}`, 1000+id+2000*int(mark[0]-'a')))
	p.X, p.Y = 4.25+float64(id)/8, 4.5
	return Step{fmt.Sprintf("positions/%d", Number(&p)), func(m *board.Map) {
		if find(m, Number(&p)) == nil {
			m.Positions = append(m.Positions, p)
		}
	}}
}

// inFrame draws a change of the frame that is worked out here by itself:
// mirrored, then turned by quarters, then shifted.
func inFrame(t *rapid.T) Step {
	mirrored, quarters, sides := flip(t), rapid.IntRange(0, 3).Draw(t, "quarters"), flip(t)
	dx, dy := float64(rapid.IntRange(10, 4000).Draw(t, "dx"))/1000, float64(rapid.IntRange(10, 4000).Draw(t, "dy"))/1000
	return Step{"frame", func(m *board.Map) { Reframe(m, mirrored, quarters, dx, dy, sides) }}
}

// Reframe tells every place of a map in another frame.
func Reframe(m *board.Map, mirrored bool, quarters int, dx, dy float64, sides bool) {
	point := func(x, y float64) (float64, float64) {
		if mirrored {
			x = -x
		}
		for range quarters {
			x, y = -y, x
		}
		return round(x + dx), round(y + dy)
	}
	angle := func(deg float64) float64 {
		if !mirrored && quarters == 0 {
			return deg
		}
		if mirrored {
			deg = 180 - deg
		}
		return round(math.Mod(deg+float64(90*quarters)+720, 360))
	}
	side := func(s board.Side) board.Side {
		if !sides {
			return s
		}
		return s.Opposite()
	}
	place := func(p *board.Position) {
		p.X, p.Y = point(p.X, p.Y)
		p.Rotation, p.Side = angle(p.Rotation), side(p.Side)
		if p.Negative != nil {
			p.Negative = ptr(angle(*p.Negative))
		}
	}
	for i := range m.Positions {
		place(&m.Positions[i])
	}
	for i := range m.Variants {
		for j := range m.Variants[i].Changes {
			if c := &m.Variants[i].Changes[j]; c.Fit != nil {
				place(c.Fit)
			} else if c.Set != nil {
				c.Set = reframedSet(c.Set, quarters, point, angle, side)
			}
		}
	}
	for i := range m.Photographs {
		f := &m.Photographs[i]
		f.Side = side(f.Side)
		for k := range f.Points {
			mm := &f.Points[k].MM
			mm[0], mm[1] = point(mm[0], mm[1])
		}
	}
	for i, p := range m.Frame.Outline {
		m.Frame.Outline[i][0], m.Frame.Outline[i][1] = point(p[0], p[1])
	}
	if quarters%2 == 1 {
		m.Frame.Width, m.Frame.Height = m.Frame.Height, m.Frame.Width
	}
}

func reframedSet(set jsontext.Value, quarters int, point func(x, y float64) (float64, float64),
	angle func(float64) float64, side func(board.Side) board.Side) jsontext.Value {
	var o map[string]any
	if json.Unmarshal(set, &o) != nil {
		return set
	}
	x, hasX := o["x_mm"].(float64)
	y, hasY := o["y_mm"].(float64)
	delete(o, "x_mm")
	delete(o, "y_mm")
	x, y = point(x, y)
	if quarters%2 == 1 {
		hasX, hasY = hasY, hasX
	}
	if hasX {
		o["x_mm"] = x
	}
	if hasY {
		o["y_mm"] = y
	}
	for _, name := range []string{"rotation_deg", "negative_deg"} {
		if a, ok := o[name].(float64); ok {
			o[name] = angle(a)
		}
	}
	if s, ok := o["side"].(string); ok {
		o["side"] = side(board.Side(s))
	}
	b, err := json.Marshal(o, json.Deterministic(true))
	if err != nil {
		return set
	}
	return b
}

func round(v float64) float64 {
	if r := math.Round(v*1e6) / 1e6; r != 0 {
		return r
	}
	return 0
}

// inPosition changes one member of a position.
func inPosition(t *rapid.T, id int, mark string) Step {
	n := float64(rapid.IntRange(1, 9).Draw(t, "figure")) + float64(mark[0])/256
	member := oneOf(t, "x_mm", "y_mm", "negative_deg", "notes", "function", "rail", "part/text", "part/value",
		"part/voltage", "part/polarised",
		"body/diameter_mm", "working_voltage", "glued", "service", "replacement", "replacement/reason")
	key := fmt.Sprintf("positions/%d/%s", id, member)
	return Step{key, func(m *board.Map) {
		p := find(m, id)
		if p == nil {
			return
		}
		change(p, member, mark, n)
	}}
}

func change(p *board.Position, member, mark string, n float64) {
	switch member {
	case "x_mm":
		p.X = round(8*n + 0.011)
	case "y_mm":
		p.Y = round(n + 0.017)
	case "negative_deg":
		p.Negative = ptr(round(10 * n))
	case "notes":
		p.Notes = "Seen by " + mark
	case "function":
		p.Function = "timing " + mark
	case "rail":
		p.Rail = "rail " + mark
	case "part/text":
		p.Part.Text = "TW " + mark
	case "part/value":
		p.Part.Value = Q(strconv.Itoa(int(n)) + "." + strconv.Itoa(int(mark[0])) + " µF")
	case "part/voltage":
		p.Part.Voltage = Q(strconv.Itoa(int(n)) + "." + strconv.Itoa(int(mark[0])) + " V")
	case "part/polarised":
		p.Part.Polarised = ptr(mark == "a")
	case "body/diameter_mm":
		if p.Body != nil {
			p.Body.Diameter = n
		}
	case "working_voltage":
		p.WorkingVoltage = Q("2." + strconv.Itoa(int(mark[0])) + " V")
	case "glued":
		p.Glued = ptr(mark == "a")
	case "service":
		p.Service = map[bool]board.Service{true: board.Inspect, false: board.Leave}[mark == "a"]
	case "replacement", "replacement/reason":
		if p.Replacement == nil {
			p.Replacement = &board.Replacement{Part: part.Part{Class: p.Part.Class}, Reason: "Because of " + mark}
		}
		p.Replacement.Reason = "Because of " + mark
	}
}

// inList changes a list other than the positions and the variants.
func inList(t *rapid.T, id int, mark string) Step {
	switch rapid.IntRange(0, 9).Draw(t, "list") {
	case 9:
		return Step{"photographs/" + mark, func(m *board.Map) {
			m.Photographs = append(m.Photographs, board.Photograph{SHA256: strings.Repeat(mark, 64)[:64], Side: "top",
				Points: []board.PhotographPoint{
					{}, {Pixel: [2]float64{900, 0}, MM: [2]float64{90, 0}}, {Pixel: [2]float64{0, 900},
						MM: [2]float64{0, 90}},
					{Pixel: [2]float64{900, 900}, MM: [2]float64{90, 90}}}})
		}}
	case 0:
		return Step{"failure_points/leak/severity", func(m *board.Map) {
			m.FailurePoints[1].Severity = map[bool]string{true: "major", false: "minor"}[mark == "a"]
		}}
	case 1:
		return Step{"failure_points/leak/bars_power_up", func(m *board.Map) { m.FailurePoints[1].BarsPowerUp = nil }}
	case 2:
		return Step{"failure_points/leak/remedy", func(m *board.Map) { m.FailurePoints[1].Remedy = "Ask " + mark }}
	case 3:
		return Step{fmt.Sprintf("failure_points/leak/positions/%d", id), func(m *board.Map) {
			if p := find(m, id); p != nil && !slices.Contains(m.FailurePoints[1].Positions, p.Designator) {
				m.FailurePoints[1].Positions = append(m.FailurePoints[1].Positions, p.Designator)
			}
		}}
	case 4:
		return Step{"cautions/" + mark, func(m *board.Map) {
			m.Cautions = append(m.Cautions, board.Caution{Text: "Mind what " + mark + " says.", When: board.Afterwards})
		}}
	case 5:
		return Step{"markings/" + mark, func(m *board.Map) { m.Markings = append(m.Markings, "TW-"+mark) }}
	case 6:
		return Step{"checks/short/expect/max", func(m *board.Map) {
			m.Checks[1].Expect.Max = Q("1." +
				strconv.Itoa(int(mark[0])) + " kΩ")
		}}
	case 7:
		return Step{"checks/new-" + mark, func(m *board.Map) {
			m.Checks = append(m.Checks, board.Measurement{ID: "new-" + mark, Title: "New", When: board.AfterPowerUp,
				Measure: "voltage", Between: []string{"a", "b"}, Expect: &board.Range{Max: Q("5 V")}})
		}}
	}
	return Step{"equipment/kind", func(m *board.Map) { m.Equipment.Kind = "recorder " + mark }}
}

// inVariant changes a variant.
func inVariant(t *rapid.T, id int, mark string) Step {
	switch rapid.IntRange(0, 3).Draw(t, "variant") {
	case 0:
		return Step{"variants/eu/title", func(m *board.Map) { m.Variants[0].Title = "Build " + mark }}
	case 1:
		return Step{"variants/eu/changes/0/set/rail", func(m *board.Map) {
			if p := find(m, 0); p != nil {
				for i := range m.Variants[0].Changes {
					if c := &m.Variants[0].Changes[i]; c.Designator == p.Designator {
						c.Set = jsontext.Value(strings.TrimSuffix(string(c.Set), "}") + `,"rail":"rail ` + mark + `"}`)
					}
				}
			}
		}}
	case 2:
		return Step{fmt.Sprintf("variants/us/changes/%d", id), func(m *board.Map) {
			if p := find(m, id); p != nil {
				m.Variants[1].Changes = append(m.Variants[1].Changes, board.Change{Designator: p.Designator,
					Set: jsontext.Value(`{"notes":"US ` + mark + `"}`)})
			}
		}}
	}
	return Step{"variants/new-" + mark, func(m *board.Map) {
		m.Variants = append(m.Variants, board.Variant{Variant: "new-" + mark, Title: "New", IdentifiedBy: "Its " +
			mark})
	}}
}
