package board_test

import (
	"fmt"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/message"
)

// document has one of everything that a change can be about.
func document() string {
	return "{" + frame50 + `,"markings":["TW-1"],"positions":[` +
		at("C1", 5, 5, electrolytic(`"value":"47 µF"`)+
			`,"negative_deg":0,"working_voltage":"5 V","service":"replace","function":"bulk","body":{"diameter_mm":5}`) + `,` +
		at("C2", 15, 5, `"part":{"class":"capacitor","safety_class":"X2"}`) + `,` +
		at("F1", 25, 5, `"part":{"class":"fuse","current":"630 mA"}`) + `,` +
		at("R1", 35, 5, `"part":{"class":"resistor","value":"10 Ω"}`) + `],
		"failure_points":[{"id":"leak","title":"t","mechanism":"m","severity":"hazard","positions":["C1"],"bars_power_up":true,"remedy":"r"}],
		"checks":[{"id":"rail","title":"t","when":"after-power-up","measure":"voltage","between":["a","b"],"expect":{"min":"5 V"}}],
		"cautions":[{"text":"Unplug +12 V first."}],
		"variants":[{"variant":"eu","title":"t","identified_by":"i","changes":[{"designator":"C1","set":{"notes":"Glued."}}]}]}`
}

func TestKindsAndSeverities(t *testing.T) {
	for _, c := range []struct{ name, old, new, want string }{
		{"rating lowered", `"voltage":"16 V"`, `"voltage":"10 V"`, "part hazard C1"},
		{"rating raised", `"voltage":"16 V"`, `"voltage":"25 V"`, "part change C1"},
		{"rating lost", `"voltage":"16 V",`, ``, "part hazard C1"},
		{"value", `"47 µF"`, `"100 µF"`, "part change C1"},
		{"bipolar", `"voltage":"16 V"`, `"voltage":"16 V","polarised":false`, "part hazard C1"},
		{"polarity turned", `"negative_deg":0`, `"negative_deg":180`, "polarity hazard C1"},
		{"polarity lost", `"negative_deg":0,`, ``, "polarity hazard C1"},
		{"a whole turn", `"negative_deg":0`, `"negative_deg":360`, "polarity editorial C1"},
		{"safety class", `"X2"`, `"Y2"`, "part hazard C2"},
		{"fuse", `"630 mA"`, `"1 A"`, "part hazard F1"},
		{"renamed", `"designator":"R1"`, `"designator":"R9"`, "renamed change R9"},
		{"moved", `"x_mm":35`, `"x_mm":40`, "moved change R1"},
		{"moved within the uncertainty", `"x_mm":35`, `"x_mm":35.3`, "moved editorial R1"},
		{"body", `"diameter_mm":5`, `"diameter_mm":6.3`, "body change C1"},
		{"service", `"service":"replace"`, `"service":"leave"`, "service hazard C1"},
		{"function", `"function":"bulk"`, `"function":"timing"`, "function change C1"},
		{"replacement below the original", `"service":"replace"`,
			`"service":"replace","replacement":{"reason":"r","part":{"class":"capacitor","construction":"aluminium-electrolytic","voltage":"10 V"}}`, "replacement hazard C1"},
		{"own member", `"service":"replace"`, `"service":"replace","x-seen":1`, "notes editorial C1"},
		{"failure point weakened", `"severity":"hazard"`, `"severity":"major"`, "failure_point hazard "},
		{"bar dropped", `"bars_power_up":true,`, ``, "failure_point hazard "},
		{"position off a hazard", `"positions":["C1"]`, `"positions":[]`, "failure_point hazard "},
		{"failure point reworded", `"mechanism":"m"`, `"mechanism":"n"`, "failure_point hazard "},
		{"failure point with another id", `"id":"leak"`, `"id":"leaks"`, "failure_point change "},
		{"check laxer", `"min":"5 V"`, `"min":"4.9 V"`, "failure_point hazard "},
		{"check stricter", `"min":"5 V"`, `"min":"5.1 V"`, "failure_point change "},
		{"caution reworded", `Unplug +12 V first.`, `Unplug -12 V first.`, "caution hazard "},
		{"caution respelt", `Unplug +12 V first.`, `unplug  +12 V first`, "caution editorial "},
		{"variant lowers a rating", `"set":{"notes":"Glued."}`, `"set":{"notes":"Glued.","part":{"voltage":"10 V"}}`,
			"variant hazard "},
		{"variant turns a polarity", `"set":{"notes":"Glued."}`, `"set":{"negative_deg":180}`, "variant hazard "},
		{"variant's note", `"set":{"notes":"Glued."}`, `"set":{"notes":"Often glued."}`, "variant change "},
		{"marking", `["TW-1"]`, `["TW-1","TW-2"]`, "marking change "},
		{"equipment", `"maker":"Tarnwright"`, `"maker":"Okeby"`, "equipment hazard "},
		{"name", `"name":"C"`, `"name":"D"`, "equipment hazard "},
		{"frame", `"width_mm":50`, `"width_mm":51`, "frame change "},
	} {
		t.Run(c.name, func(t *testing.T) {
			if strings.Count(document(), c.old) != 1 {
				t.Fatalf("%s stands %d times", c.old, strings.Count(document(), c.old))
			}
			d := board.Diff(read(t, document()), read(t, strings.Replace(document(), c.old, c.new, 1)))
			var got []string
			for _, e := range d.Changes {
				got = append(got, fmt.Sprintf("%s %s %s", e.Kind, e.Severity, e.Designator))
			}
			if diff := cmp.Diff([]string{c.want}, got); diff != "" {
				t.Errorf("changes (-want +got):\n%s\n%s", diff, d.Text(message.English))
			}
			if d.Hazardous() != strings.Contains(c.want, "hazard") {
				t.Errorf("Hazardous is %v", d.Hazardous())
			}
		})
	}
}

func TestCriticalPositionsAndLists(t *testing.T) {
	m := read(t, document())
	less := boardtest.Clone(m)
	less.Positions = less.Positions[:2]
	less.FailurePoints, less.Cautions, less.Variants = nil, nil, nil
	d := board.Diff(m, less)
	want := map[string]board.Severity{"removed F1": board.Hazard, "removed R1": board.Material}
	for _, e := range d.Changes {
		if s, asked := want[fmt.Sprintf("%s %s", e.Kind, e.Designator)]; asked && s != e.Severity {
			t.Errorf("%s is %s, want %s", e.Sentence, e.Severity, s)
		}
	}
	if d.Summary.Hazard != 4 || d.Summary.Kinds[board.Removed] != 2 {
		t.Errorf("got %+v, want the fuse, the variant, the failure point and the caution as hazards", d.Summary)
	}
}

func TestRenumbering(t *testing.T) {
	m := boardtest.Big(12)
	swapped := boardtest.Clone(m)
	a, b := &swapped.Positions[0], &swapped.Positions[4]
	a.Designator, b.Designator = b.Designator, a.Designator
	d := board.Diff(m, swapped)
	if d.Summary.Kinds[board.Renamed] != 2 || len(d.Changes) != 2 {
		t.Errorf("two designators exchanged give:\n%s", d.Text(message.English))
	}
}

func TestMirroredAndTurnedFrames(t *testing.T) {
	for name, move := range map[string]func(p *board.Position){
		"mirrored": func(p *board.Position) {
			p.X, p.Rotation = 816-p.X, 180-p.Rotation
			if p.Negative != nil {
				*p.Negative = 180 - *p.Negative
			}
		},
		"turned by 90°": func(p *board.Position) {
			p.X, p.Y, p.Rotation = 100-p.Y, p.X, p.Rotation+90
			if p.Negative != nil {
				*p.Negative += 90
			}
		},
	} {
		m := boardtest.Big(250)
		for i := range m.Positions {
			move(&m.Positions[i])
		}
		d := board.Diff(boardtest.Big(250), m)
		if len(d.Changes) != 1 || !strings.Contains(d.Changes[0].Sentence.String(), name) {
			t.Errorf("%s: got %s", name, d.Text(message.English))
		}
	}
}

// Every member of the types takes part in the comparison: a member that is
// added to a type and forgotten here would break the law that a difference is
// empty exactly when digests are equal.
func TestEveryMemberCounts(t *testing.T) {
	for _, path := range []func(*board.Map) any{
		func(m *board.Map) any { return &m.Positions[0] },
		func(m *board.Map) any { return &m.Positions[0].Part },
		func(m *board.Map) any { return m.Positions[0].Body },
		func(m *board.Map) any { return &m.FailurePoints[0] },
		func(m *board.Map) any { return &m.Checks[0] },
		func(m *board.Map) any { return &m.Cautions[0] },
		func(m *board.Map) any { return &m.Variants[0] },
		func(m *board.Map) any { return &m.Equipment },
		func(m *board.Map) any { return &m.Frame },
	} {
		v := reflect.ValueOf(path(read(t, document()))).Elem()
		for i := range v.NumField() {
			m := read(t, document())
			field := reflect.ValueOf(path(m)).Elem().Field(i)
			if !alter(field) {
				continue
			}
			if d := board.Diff(read(t, document()), m); len(d.Changes) == 0 {
				t.Errorf("%s.%s was altered and no change is found", v.Type(), v.Type().Field(i).Name)
			}
		}
	}
}

// alter gives a plain field another value; lists and structs have tests of
// their own.
func alter(f reflect.Value) bool {
	switch f.Kind() {
	case reflect.String:
		f.SetString(f.String() + "z")
	case reflect.Float64:
		f.SetFloat(f.Float() + 7)
	case reflect.Pointer:
		if f.IsNil() {
			f.Set(reflect.New(f.Type().Elem()))
			return f.Type().Elem().Kind() != reflect.Struct
		}
		f.SetZero()
	case reflect.Struct:
		q := reflect.ValueOf(boardtest.Q("12.5 V"))
		if f.Type() != q.Type() {
			return false
		}
		f.Set(q)
	default:
		return false
	}
	return true
}
