package board_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// supply is a mains supply board, small enough to be read: with a fuse, safety
// capacitors, a cell that the circuit charges, failure points, checks,
// cautions and two more builds.
const supply = `{"board":"tarn-ps2","equipment":{"maker":"Tarnwright","model":"PS2","kind":"power supply","years":[1986,1989]},"name":"Mains supply","markings":["TW-2210"],"licence":"CC0-1.0",
"frame":{"width_mm":100,"height_mm":60,"outline":[[0,0],[100,0],[100,50],[90,60],[0,60]],"basis":"measured","uncertainty_mm":0.5},
"positions":[
 {"designator":"F1","side":"top","x_mm":10,"y_mm":10,"rotation_deg":0,"part":{"class":"fuse","current":"630 mA","voltage":"250 V","fuse_speed":"T"},"service":"inspect"},
 {"designator":"C1","side":"top","x_mm":20,"y_mm":12,"rotation_deg":90,"part":{"class":"capacitor","construction":"film","value":"100 nF","voltage":"275 V","safety_class":"X2"},"body":{"mount":"through-hole","shape":"box","length_mm":18,"width_mm":7,"lead_pitch_mm":15},"function":"mains-x","service":"replace"},
 {"designator":"C2","side":"top","x_mm":32,"y_mm":12,"rotation_deg":0,"part":{"class":"capacitor","construction":"ceramic","value":"4.7 nF","voltage":"250 V","safety_class":"Y2"},"function":"mains-y","service":"replace"},
 {"designator":"C3","side":"top","x_mm":45,"y_mm":30,"rotation_deg":0,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"100 µF","voltage":"400 V","temperature_max":"105 °C","polarised":true},"body":{"mount":"through-hole","shape":"can","diameter_mm":22,"height_mm":30},"negative_deg":270,"function":"bulk","rail":"HV","working_voltage":"325 V","service":"replace"},
 {"designator":"R1","side":"top","x_mm":60,"y_mm":30,"rotation_deg":90,"part":{"class":"resistor","construction":"fusible","value":"10 Ω","power":"2 W"},"function":"inrush"},
 {"designator":"R2","side":"top","x_mm":66,"y_mm":30,"rotation_deg":90,"part":{"class":"resistor","value":"220 kΩ","power":"1 W","voltage":"500 V"},"function":"bleeder"},
 {"designator":"D1","side":"top","x_mm":72,"y_mm":30,"rotation_deg":90,"part":{"class":"diode","voltage":"1 kV","current":"1 A"}},
 {"designator":"C4","side":"top","x_mm":80,"y_mm":30,"rotation_deg":0,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"470 µF","voltage":"25 V","polarised":true},"negative_deg":0,"function":"bulk","rail":"+12V","working_voltage":"12 V","glued":true,"service":"replace","replacement":{"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"470 µF","voltage":"35 V","temperature_max":"105 °C","polarised":true},"reason":"Runs hot beside R1."},"notes":"Leans on R1."},
 {"designator":"BT1","side":"top","x_mm":88,"y_mm":14,"rotation_deg":0,"part":{"class":"cell","chemistry":"Ni-Cd","voltage":"3.6 V","rechargeable":true},"negative_deg":180,"function":"charged-backup","service":"replace"},
 {"designator":"U1","side":"bottom","x_mm":40,"y_mm":48,"rotation_deg":0,"part":{"class":"integrated-circuit","text":"TW7812"}}],
"variants":[
 {"variant":"110v","title":"110 V build","identified_by":"Label at the inlet.","changes":[{"designator":"F1","set":{"part":{"current":"1.25 A"}}},{"designator":"C3","set":{"part":{"voltage":"200 V"},"working_voltage":"160 V"}}]},
 {"variant":"late","title":"Late build","identified_by":"Serial number from 5000.","changes":[{"omit":"R2"},{"fit":{"designator":"C9","side":"bottom","x_mm":30,"y_mm":40,"rotation_deg":0,"part":{"class":"capacitor","construction":"ceramic","value":"100 nF"}}}]}],
"failure_points":[
 {"id":"reservoir","title":"Reservoir bulges","mechanism":"The electrolyte dries out.","positions":["C3"],"symptoms":["Hum"],"severity":"hazard","bars_power_up":true,"remedy":"Replace C3."},
 {"id":"lye","title":"Cell leaks","mechanism":"Lye creeps.","positions":["BT1"],"severity":"major"}],
"checks":[
 {"id":"short","title":"No short on HV","when":"before-power-up","measure":"resistance","between":["C3 plus","C3 minus"],"expect":{"min":"100 kΩ"}},
 {"id":"rail","title":"+12 V","when":"after-power-up","measure":"voltage","between":["U1 out","ground"],"expect":{"min":"11.5 V","max":"12.5 V"}}],
"cautions":[
 {"text":"Unplug, discharge C3 through 10 kΩ and measure it.","when":"before-opening"},
 {"text":"Wear eye protection.","when":"while-working"}]}`

func on(m *board.Map, designator string) *board.Position {
	return &m.Positions[slices.IndexFunc(m.Positions,
		func(p board.Position) bool { return p.Designator == designator })]
}

func to[T any](v T) *T { return &v }

// correction is one correction of the supply's map.
type correction struct {
	name   string
	hazard bool // whether it has to be seen by two reviewers
	do     func(*board.Map)
}

// corrections have every kind of change, and whatever could do harm, in the
// most harmless look that it can be given.
var corrections = []correction{
	{"added", false, func(m *board.Map) {
		m.Positions = append(m.Positions, board.Position{Designator: "R3", Side: "top", X: 50, Y: 5,
			Part: part.Part{Class: part.Resistor, Value: boardtest.Q("1 kΩ")}})
	}},
	{"added: a fuse", true, func(m *board.Map) {
		m.Positions = append(m.Positions, board.Position{Designator: "F2", Side: "top", X: 50, Y: 5,
			Part: part.Part{Class: part.Fuse, Current: boardtest.Q("2 A")}})
	}},
	{"removed", false, func(m *board.Map) { m.Positions = m.Positions[:9] }},
	{"removed: a safety part", true, func(m *board.Map) { m.Positions = slices.Delete(m.Positions, 1, 2) }},
	{"renamed", false, func(m *board.Map) { on(m, "D1").Designator = "D11" }},
	{"renamed, and what names it, but for a caution", true, func(m *board.Map) {
		on(m, "C3").Designator = "C30"
		m.FailurePoints[0].Positions = []string{"C30"}
		m.Variants[0].Changes[1].Designator = "C30"
		m.Checks[0].Between = []string{"C30 plus", "C30 minus"}
	}},
	{"renamed, moved and changed at once", false, func(m *board.Map) {
		p := on(m, "R2")
		p.Designator, p.X, p.Part.Value = "R20", p.X+0.8, boardtest.Q("180 kΩ")
		m.Variants[1].Changes[0].Omit = "R20"
	}},
	{"renamed: two names exchanged", true, func(m *board.Map) {
		a, b := on(m, "C3"), on(m, "C4")
		a.Designator, b.Designator = b.Designator, a.Designator
		m.FailurePoints[0].Positions = []string{"C4"}
		m.Variants[0].Changes[1].Designator = "C4"
		m.Checks[0].Between = []string{"C4 plus", "C4 minus"}
	}},
	{"moved", false, func(m *board.Map) { on(m, "C4").X += 3.25 }},
	{"moved within the uncertainty", false, func(m *board.Map) { on(m, "C4").X += 0.3 }},
	{"moved within an uncertainty that the correction itself claims", true, func(m *board.Map) {
		m.Frame.Uncertainty = to(20.0)
		on(m, "C4").Y -= 12
	}},
	{"turned", false, func(m *board.Map) { on(m, "R1").Rotation = 0 }},
	{"turned by a whole turn", false, func(m *board.Map) { on(m, "R1").Rotation = 450 }},
	{"turned: a diode", true, func(m *board.Map) { on(m, "D1").Rotation = 270 }},
	{"side", true, func(m *board.Map) { on(m, "U1").Side = "top" }},
	{"part", false, func(m *board.Map) { on(m, "C4").Part.Value = boardtest.Q("1000 µF") }},
	{"part: written otherwise", false, func(m *board.Map) { on(m, "C2").Part.Value = boardtest.Q("4.7 nF") }},
	{"part: a rating raised", false, func(m *board.Map) { on(m, "C4").Part.Voltage = boardtest.Q("35 V") }},
	{"part: a rating lowered beside a value raised", true, func(m *board.Map) {
		p := &on(m, "C3").Part
		p.Value, p.Voltage = boardtest.Q("220 µF"), boardtest.Q("350 V")
	}},
	{"part: a temperature lowered", true,
		func(m *board.Map) { on(m, "C3").Part.TemperatureMax = boardtest.Q("85 °C") }},
	{"part: a rating left out", true, func(m *board.Map) { on(m, "R2").Part.Voltage = boardtest.Q("") }},
	{"part: bipolar", true, func(m *board.Map) { on(m, "C3").Part.Polarised = to(false) }},
	{"part: safety class", true, func(m *board.Map) { on(m, "C1").Part.SafetyClass = "X1" }},
	{"part: safety class left out", true, func(m *board.Map) { on(m, "C2").Part.SafetyClass = "" }},
	{"part: a fuse's speed", true, func(m *board.Map) { on(m, "F1").Part.FuseSpeed = "F" }},
	{"part: a fuse's text", true, func(m *board.Map) { on(m, "F1").Part.Text = "1 A" }},
	{"part: a fuse becomes a link", true, func(m *board.Map) {
		on(m, "F1").Part = part.Part{Class: part.Other,
			Text: "wire"}
	}},
	{"part: a cell's chemistry", true, func(m *board.Map) {
		p := &on(m, "BT1").Part
		p.Chemistry, p.Rechargeable = "CR", to(false)
	}},
	{"part: no longer fusible", true, func(m *board.Map) { on(m, "R1").Part.Construction = "metal film" }},
	{"part: own members", false, func(m *board.Map) { on(m, "C3").Part.Extra = jsontext.Value(`{"x-seen":1990}`) }},
	{"body", false, func(m *board.Map) { on(m, "C3").Body.Height = 35 }},
	{"polarity: refined", false, func(m *board.Map) { on(m, "C3").Negative = to(260.0) }},
	{"polarity: turned", true, func(m *board.Map) { on(m, "C3").Negative = to(90.0) }},
	{"polarity: forgotten", true, func(m *board.Map) { on(m, "C3").Negative = nil }},
	{"function", false, func(m *board.Map) { on(m, "R1").Function = "filter" }},
	{"function: working voltage raised", false,
		func(m *board.Map) { on(m, "C4").WorkingVoltage = boardtest.Q("13 V") }},
	{"function: working voltage lowered", true,
		func(m *board.Map) { on(m, "C3").WorkingVoltage = boardtest.Q("32.5 V") }},
	{"function: working voltage left out", true, func(m *board.Map) { on(m, "C3").WorkingVoltage = boardtest.Q("") }},
	{"function: no longer across the mains", true, func(m *board.Map) { on(m, "C1").Function = "filter" }},
	{"function: across the mains, in other words", false,
		func(m *board.Map) { on(m, "C1").Function = "across the mains" }},
	{"function: no longer charged", true, func(m *board.Map) { on(m, "BT1").Function = "backup" }},
	{"service", false, func(m *board.Map) { on(m, "R1").Service = "inspect" }},
	{"service: less for a part of no hazard", false, func(m *board.Map) { on(m, "C4").Service = "leave" }},
	{"service: less for a part that a hazard names", true, func(m *board.Map) { on(m, "C3").Service = "inspect" }},
	{"service: less for a cell", true, func(m *board.Map) { on(m, "BT1").Service = "" }},
	{"replacement: another reason", false, func(m *board.Map) { on(m, "C4").Replacement.Reason = "Better life." }},
	{"replacement: a rating raised", false,
		func(m *board.Map) { on(m, "C4").Replacement.Part.Voltage = boardtest.Q("50 V") }},
	{"replacement: a rating lowered", true,
		func(m *board.Map) { on(m, "C4").Replacement.Part.Voltage = boardtest.Q("25 V") }},
	{"replacement: taken back", true, func(m *board.Map) { on(m, "C4").Replacement = nil }},
	{"replacement: without ratings", true, func(m *board.Map) {
		on(m, "C3").Replacement = &board.Replacement{Part: part.Part{Class: part.Capacitor, Polarised: to(true)},
			Reason: "Any will do."}
	}},
	{"replacement: for a fuse", true, func(m *board.Map) {
		on(m, "F1").Replacement = &board.Replacement{Part: part.Part{Class: part.Fuse, Current: boardtest.Q("2 A"),
			Voltage: boardtest.Q("250 V"), FuseSpeed: "T"}, Reason: "It blew."}
	}},
	{"notes", false, func(m *board.Map) { on(m, "C4").Notes = "Leans on R1 and browns it." }},
	{"another order", false, func(m *board.Map) { slices.Reverse(m.Positions) }},
	{"variant: its title", false, func(m *board.Map) { m.Variants[0].Title = "110 V" }},
	{"variant: new", false, func(m *board.Map) {
		m.Variants = append(m.Variants, board.Variant{Variant: "jp", Title: "100 V build", IdentifiedBy: "Label.",
			Changes: []board.Change{{Designator: "C4", Set: jsontext.Value(`{"notes":"Taller can."}`)}}})
	}},
	{"variant: a rating lowered", true, func(m *board.Map) {
		m.Variants[0].Changes[1].Set = jsontext.Value(`{"part":{"voltage":"160 V"},"working_voltage":"160 V"}`)
	}},
	{"variant: a working voltage lowered", true, func(m *board.Map) {
		m.Variants[0].Changes[1].Set = jsontext.Value(`{"part":{"voltage":"200 V"},"working_voltage":"16 V"}`)
	}},
	{"variant: a fuse", true,
		func(m *board.Map) { m.Variants[0].Changes[0].Set = jsontext.Value(`{"part":{"current":"2 A"}}`) }},
	{"variant: gone, and with it its fuse", true, func(m *board.Map) { m.Variants = m.Variants[1:] }},
	{"variant: omits a fuse", true, func(m *board.Map) {
		m.Variants[1].Changes = append(m.Variants[1].Changes,
			board.Change{Omit: "F1"})
	}},
	{"variant: turns a polarity", true, func(m *board.Map) {
		m.Variants[1].Changes = append(m.Variants[1].Changes, board.Change{Designator: "C3",
			Set: jsontext.Value(`{"negative_deg":90}`)})
	}},
	{"variant: a replacement that bears less", true, func(m *board.Map) {
		m.Variants[1].Changes = append(m.Variants[1].Changes, board.Change{Designator: "C4",
			Set: jsontext.Value(`{"replacement":{"part":{"voltage":"25 V"}}}`)})
	}},
	{"variant: services less", true, func(m *board.Map) {
		m.Variants[1].Changes = append(m.Variants[1].Changes, board.Change{Designator: "C3",
			Set: jsontext.Value(`{"service":"leave"}`)})
	}},
	{"failure point: new", false, func(m *board.Map) {
		m.FailurePoints = append(m.FailurePoints, board.FailurePoint{ID: "crack", Title: "Joint cracks",
			Mechanism: "Heat.", Severity: "minor"})
	}},
	{"failure point: gone", true, func(m *board.Map) { m.FailurePoints = m.FailurePoints[:1] }},
	{"failure point: no longer bars power-up", true, func(m *board.Map) { m.FailurePoints[0].BarsPowerUp = nil }},
	{"failure point: no hazard any more", true, func(m *board.Map) { m.FailurePoints[0].Severity = "major" }},
	{"failure point: less severe", true, func(m *board.Map) { m.FailurePoints[1].Severity = "minor" }},
	{"failure point: more severe", false, func(m *board.Map) { m.FailurePoints[1].Severity = "hazard" }},
	{"failure point: names nothing any more", true, func(m *board.Map) { m.FailurePoints[0].Positions = nil }},
	{"failure point: its remedy gone", true, func(m *board.Map) { m.FailurePoints[0].Remedy = "" }},
	{"failure point: reworded", false, func(m *board.Map) { m.FailurePoints[0].Symptoms = []string{"Hum at 100 Hz"} }},
	{"check: new", false, func(m *board.Map) {
		m.Checks = append(m.Checks, board.Measurement{ID: "fuse", Title: "Fuse whole", When: "before-power-up",
			Measure: "continuity", Between: []string{"F1", "F1"}})
	}},
	{"check: a wider bound after power-up", true, func(m *board.Map) { m.Checks[1].Expect.Max = boardtest.Q("13 V") }},
	{"check: laxer before power-up", true, func(m *board.Map) { m.Checks[0].Expect.Min = boardtest.Q("100 Ω") }},
	{"check: after power-up instead", true, func(m *board.Map) { m.Checks[0].When = "after-power-up" }},
	{"check: gone", true, func(m *board.Map) { m.Checks = m.Checks[1:] }},
	{"caution: new", false, func(m *board.Map) {
		m.Cautions = append(m.Cautions,
			board.Caution{Text: "R1 gets hot."})
	}},
	{"caution: gone", true, func(m *board.Map) { m.Cautions = m.Cautions[1:] }},
	{"caution: reworded", true,
		func(m *board.Map) { m.Cautions[0].Text = "Unplug, discharge C3 through 10 Ω and measure it." }},
	{"caution: another prefix", true,
		func(m *board.Map) { m.Cautions[0].Text = "Unplug, discharge C3 through 10 KΩ and measure it." }},
	{"caution: respelt", false, func(m *board.Map) { m.Cautions[1].Text = "wear  eye protection" }},
	{"caution: later", true, func(m *board.Map) { m.Cautions[0].When = "after" }},
	{"caution: sooner", false, func(m *board.Map) { m.Cautions[1].When = "before-opening" }},
	{"equipment", false, func(m *board.Map) { m.Equipment.Years = []int{1986, 1990} }},
	{"marking", false, func(m *board.Map) { m.Markings = []string{"TW-2210B"} }},
	{"frame: shifted", false, func(m *board.Map) { boardtest.Reframe(m, false, 0, 0, -2, false) }},
	{"frame: turned by a quarter", false, func(m *board.Map) { boardtest.Reframe(m, false, 1, 60, 0, false) }},
	{"frame: seen from the other side", false, func(m *board.Map) { boardtest.Reframe(m, true, 0, 100, 0, true) }},
	{"frame: mirrored", true, func(m *board.Map) { boardtest.Reframe(m, true, 0, 100, 0, false) }},
	{"frame: sides exchanged", true, func(m *board.Map) { boardtest.Reframe(m, false, 0, 0, 0, true) }},
	{"frame: turned, but not the rotations", true, func(m *board.Map) {
		was := boardtest.Clone(m)
		boardtest.Reframe(m, false, 1, 60, 0, false)
		for i := range m.Positions {
			m.Positions[i].Rotation = was.Positions[i].Rotation
		}
	}},
	{"frame: shifted, and one part moved", false, func(m *board.Map) {
		boardtest.Reframe(m, false, 0, 5, 0, false)
		on(m, "R1").Y += 4
	}},
}

// The golden files hold each correction as a change note and as JSON. Every
// kind of the contract is in them.
func TestCorrections(t *testing.T) {
	base := read(t, supply)
	if fs := board.Check(base); finding.Worst(fs) == finding.Stop {
		t.Fatalf("%+v", fs)
	}
	kinds := map[board.Kind]bool{}
	var text, doc strings.Builder
	for _, c := range corrections {
		m := read(t, supply)
		c.do(m)
		if fs := board.Check(m); finding.Worst(fs) == finding.Stop {
			t.Logf("%s would be refused: %s", c.name, fs[0].Sentence)
		}
		d := board.Diff(base, m)
		if d.Hazardous() != c.hazard {
			t.Errorf("%s: hazardous is %v\n%s", c.name, d.Hazardous(), d.Text(message.English))
		}
		if again := board.Diff(base, m); again.Text(message.English) != d.Text(message.English) {
			t.Errorf("%s: told otherwise the second time:\n%s%s", c.name, d.Text(message.English),
				again.Text(message.English))
		}
		fmt.Fprintf(&text, "== %s\n%s\n", c.name, d.Text(message.English))
		fmt.Fprintf(&doc, "== %s\n", c.name)
		for _, e := range d.Changes {
			kinds[e.Kind] = true
			fmt.Fprintf(&doc, "%s %s %q %s\n  from %s\n  to   %s\n", e.Kind, e.Severity, e.Designator, e.Pointer,
				e.From, e.To)
			if e.Distance != nil {
				fmt.Fprintf(&doc, "  distance_mm %v\n", *e.Distance)
			}
			if e.Transform != nil {
				fmt.Fprintf(&doc, "  transform %+v\n", *e.Transform)
			}
		}
	}
	golden(t, "corrections.txt", text.String())
	golden(t, "corrections.changes.txt", doc.String())
	for _, k := range []board.Kind{board.Added, board.Removed, board.Renamed, board.Moved, board.Turned,
		board.SideChanged, board.PartChanged, board.BodyChanged,
		board.PolarityChanged, board.FunctionChanged, board.ServiceChanged, board.ReplacementChanged,
		board.NotesChanged, board.VariantChanged,
		board.FailurePointKind, board.CautionKind, board.EquipmentChanged, board.MarkingChanged, board.FrameChanged} {
		if !kinds[k] {
			t.Errorf("no correction is of kind %s", k)
		}
	}
}

// pairs are a released correction and one that was proposed beside it.
var pairs = [][2]string{
	{"part: a rating raised", "renamed, and what names it, but for a caution"},
	{"part: a rating raised", "part: a rating lowered beside a value raised"},
	{"part: a temperature lowered", "part: a rating lowered beside a value raised"},
	{"polarity: refined", "polarity: turned"},
	{"renamed, and what names it, but for a caution", "variant: a rating lowered"},
	{"renamed, and what names it, but for a caution", "failure point: no longer bars power-up"},
	{"renamed, moved and changed at once", "variant: its title"},
	{"renamed, moved and changed at once", "removed"},
	{"frame: turned by a quarter", "moved"},
	{"frame: mirrored", "polarity: refined"},
	{"frame: seen from the other side", "side"},
	{"frame: shifted", "frame: turned by a quarter"},
	{"moved", "frame: shifted, and one part moved"},
	{"variant: a working voltage lowered", "variant: a rating lowered"},
	{"variant: a fuse", "variant: gone, and with it its fuse"},
	{"failure point: no hazard any more", "failure point: gone"},
	{"failure point: less severe", "failure point: more severe"},
	{"check: laxer before power-up", "check: after power-up instead"},
	{"caution: later", "caution: reworded"},
	{"equipment", "marking"},
	{"replacement: taken back", "replacement: a rating raised"},
	{"service: less for a cell", "service: less for a part that a hazard names"},
	{"another order", "removed: a safety part"},
}

// The golden file holds what each pair comes to: the conflicts, or else what
// the second correction changes once the first is released.
func TestCarriedCorrections(t *testing.T) {
	made := func(name string) *board.Map {
		m := read(t, supply)
		i := slices.IndexFunc(corrections, func(c correction) bool { return c.name == name })
		if i < 0 {
			t.Fatalf("no correction %q", name)
		}
		corrections[i].do(m)
		return m
	}
	var out strings.Builder
	for _, pair := range pairs {
		current := made(pair[0])
		m, conflicts := board.CarryForward(read(t, supply), current, made(pair[1]))
		fmt.Fprintf(&out, "== released: %s; proposed: %s\n", pair[0], pair[1])
		for _, c := range conflicts {
			fmt.Fprintf(&out, "conflict %q %s %s\n  base %s\n  current %s\n  proposed %s\n  %s\n", c.Designator,
				c.Member, c.Pointer, c.Base, c.Current, c.Proposed, c.Sentence)
		}
		if len(conflicts) == 0 {
			out.WriteString(board.Diff(current, m).Text(message.English))
		}
		out.WriteByte('\n')
	}
	golden(t, "carried.txt", out.String())
}
