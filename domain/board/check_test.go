package board_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/finding"
)

const frame50 = `"board":"tarn-c","equipment":{"maker":"Tarnwright","model":"C"},"name":"C","frame":{"width_mm":50,"height_mm":40,"basis":"measured","uncertainty_mm":0.5}`

// at writes a position: members given replace or add to a plain resistor at
// a place of its own.
func at(designator string, x, y float64, members string) string {
	if !strings.Contains(members, `"part"`) {
		members = `"part":{"class":"other"}` + comma(members)
	}
	return fmt.Sprintf(`{"designator":%q,"side":"top","x_mm":%v,"y_mm":%v,"rotation_deg":0,%s}`, designator, x, y,
		members)
}

func comma(s string) string {
	if s == "" {
		return ""
	}
	return "," + s
}

func electrolytic(more string) string {
	return `"part":{"class":"capacitor","construction":"aluminium-electrolytic","voltage":"16 V"` + comma(more) + `}`
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name, document string
		want           []string // severity code pointer
	}{
		{"sound", frame50 + `,"positions":[` + at("C1", 5, 5, electrolytic(``)+
			`,"negative_deg":0,"working_voltage":"5 V"`) + `]`, nil},
		{"designator twice", frame50 + `,"positions":[` + at("R1", 5, 5, "") + `,` + at("R1", 15, 5, "") + `]`,
			[]string{"stop designator-duplicate /positions/1/designator"}},
		{"outside", frame50 + `,"positions":[` + at("J1", 50.4, 5, "") + `,` + at("J2", 51, 5, "") + `,` +
			at("J3", 101, 5, "") + `,` + at("J4", -49, 5, "") + `]`,
			[]string{"stop position-far-outside /positions/2", "caution position-outside /positions/1",
				"caution position-outside /positions/3"}},
		{"polarity", frame50 + `,"positions":[` + at("C1", 5, 5, electrolytic(``)) + `,` +
			at("C2", 15, 5, electrolytic(`"polarised":false`)) + `,` +
			at("C3", 25, 5, electrolytic(`"polarised":false`)+`,"negative_deg":0`) + `,` +
			at("BT1", 35, 5, `"part":{"class":"cell"}`) + `,` + at("D1", 45, 5, `"part":{"class":"diode"}`) + `]`,
			[]string{"caution polarity-unknown /positions/0", "caution polarity-unknown /positions/3",
				"note polarity-needless /positions/2/negative_deg"}},
		{"values", frame50 + `,"positions":[` + at("C1", 5, 5, `"part":{"class":"capacitor","value":"8 µF"}`) + `,` +
			at("R1", 15, 5, `"part":{"class":"resistor","value":"4.15 kΩ"}`) + `,` +
			at("R2", 25, 5, `"part":{"class":"resistor","value":"0 Ω"}`) + `,` +
			at("RV1", 35, 5, `"part":{"class":"potentiometer","value":"50 kΩ"}`) + `,` +
			at("C2", 45, 5, `"part":{"class":"capacitor","value":"47 µF"}`) + `]`,
			[]string{"caution value-not-preferred /positions/1/part/value",
				"note value-not-preferred /positions/0/part/value"}},
		{"working voltage", frame50 + `,"positions":[` + at("C1", 5, 5, electrolytic(``)+
			`,"negative_deg":0,"working_voltage":"16.1 V","replacement":{"part":{"class":"capacitor","voltage":"16 V"},"reason":"r"}`) + `]`,
			[]string{"stop working-voltage-above-rating /positions/0/replacement/part/voltage",
				"caution working-voltage-above-rating /positions/0/working_voltage"}},
		{"units", frame50 + `,"positions":[` +
			at("R1", 5, 5,
				`"part":{"class":"resistor","value":"47 µF","voltage":"1 A","tolerance":"±5 pF","power":"-1 W"},"working_voltage":"5 A"`) + `]`,
			[]string{"stop quantity-negative /positions/0/part/power", "stop quantity-unit /positions/0/part/tolerance",
				"stop quantity-unit /positions/0/part/value",
				"stop quantity-unit /positions/0/part/voltage", "stop quantity-unit /positions/0/working_voltage"}},
		{"safety class", frame50 + `,"positions":[` +
			at("C1", 5, 5, `"part":{"class":"capacitor"},"function":"mains-x"`) + `,` +
			at("C2", 15, 5,
				`"part":{"class":"capacitor","safety_class":"X2"},"function":"mains-y","replacement":{"part":{"class":"capacitor"},"reason":"r"}`) + `,` +
			at("C3", 25, 5,
				`"part":{"class":"capacitor","safety_class":"Y2"},"function":"mains-x","replacement":{"part":{"class":"capacitor","safety_class":"X1/Y2"},"reason":"r"}`) + `,` +
			at("C4", 35, 5,
				`"part":{"class":"capacitor","safety_class":"X2"},"replacement":{"part":{"class":"capacitor"},"reason":"r"}`) + `]`,
			[]string{"stop safety-class-missing /positions/1/replacement/part/safety_class",
				"stop safety-class-missing /positions/3/replacement/part",
				"caution circuit-unknown /positions", "caution safety-class-missing /positions/0/part/safety_class",
				"caution safety-class-missing /positions/1/part/safety_class"}},
		{"replacement", frame50 + `,"positions":[` +
			at("C1", 5, 5, electrolytic(`"polarised":false,"temperature_max":"105 °C"`)+
				`,"replacement":{"part":{"class":"capacitor","construction":"aluminium-electrolytic","voltage":"10 V","temperature_max":"85 °C"},"reason":"r"}`) + `,` +
			at("F1", 15, 5,
				`"part":{"class":"fuse","current":"630 mA"},"replacement":{"part":{"class":"fuse","current":"1 A"},"reason":"r"}`) + `,` +
			at("BT1", 25, 5,
				`"part":{"class":"cell","rechargeable":true},"negative_deg":0,"replacement":{"part":{"class":"cell","rechargeable":false},"reason":"r"}`) + `]`,
			[]string{"stop replacement-cell-primary /positions/2/replacement/part/rechargeable",
				"caution replacement-polarised /positions/0/replacement/part/polarised",
				"caution replacement-rating-lower /positions/0/replacement/part/temperature_max",
				"caution replacement-rating-lower /positions/0/replacement/part/voltage",
				"caution replacement-fuse-higher /positions/1/replacement/part/current"}},
		{"failure points", frame50 +
			`,"positions":[],"failure_points":[{"id":"a","title":"t","mechanism":"m","severity":"hazard","positions":["C9"]},{"id":"a","title":"t","mechanism":"m","severity":"minor","bars_power_up":true}]`,
			[]string{"stop reference-missing /failure_points/0/positions/0",
				"stop failure-point-duplicate /failure_points/1/id",
				"caution failure-point-no-way-out /failure_points/1/bars_power_up",
				"note failure-point-remedy-missing /failure_points/0"}},
		{"bar lifted by a check",
			frame50 + `,"positions":[],"failure_points":[{"id":"a","title":"t","mechanism":"m","severity":"minor","bars_power_up":true}],
			"checks":[{"id":"c","title":"t","when":"before-power-up","measure":"voltage","between":["a","b"],"expect":{"max":"5 V"}}]`, nil},
		{"checks", frame50 + `,"positions":[` + at("C1", 5, 5, "") + `],"checks":[
			{"id":"a","title":"t","when":"before-power-up","measure":"voltage","between":["C1 plus","C2 plus"],"expect":{"min":"6 V","max":"5 V"}},
			{"id":"a","title":"t","when":"before-power-up","measure":"resistance","between":["TP4","+5V"],"expect":{"min":"6 V"}},
			{"id":"b","title":"t","when":"before-power-up","measure":"current","between":["ground","IC4"],"expect":{}}]`,
			[]string{"stop range-reversed /checks/0/expect", "stop quantity-unit /checks/1/expect/min",
				"stop check-duplicate /checks/1/id",
				"caution check-point-unknown /checks/0/between/1", "caution expect-empty /checks/2/expect",
				"caution check-when /checks/2/when"}},
		{"years",
			`"board":"tarn-c","equipment":{"maker":"Tarnwright","model":"C","years":[1991,1987]},"name":"C","frame":{"width_mm":50,"height_mm":40,"basis":"measured"},"positions":[]`,
			[]string{"stop years-reversed /equipment/years"}},
		{"variants", frame50 + `,"positions":[` + at("C1", 5, 5, electrolytic(``)+
			`,"negative_deg":0,"working_voltage":"12 V","body":{"diameter_mm":5}`) + `,` + at("R1", 15, 5, "") + `,` +
			at("R2", 25, 5, "") + `],
			"failure_points":[{"id":"a","title":"t","mechanism":"m","severity":"minor","positions":["C9"]}],
			"variants":[{"variant":"a","title":"t","identified_by":"i","changes":[
				{"designator":"C1","set":{"part":{"voltage":"10 V"},"negative_deg":null}},{"designator":"R1","set":{"designator":"R2"}},{"designator":"R9","set":{"notes":"n"}},
				{"fit":` + at("C9", 8, 5,
			`"body":{"length_mm":4,"width_mm":2}`) + `},{"designator":"R2","set":{"x_mm":25}}]},
				{"variant":"a","title":"t","identified_by":"another i","changes":[{"omit":"R1"}]}]`,
			[]string{"stop variant-change-missing /variants/0/changes/2/designator",
				"stop designator-duplicate /variants/0/changes/4", "stop variant-duplicate /variants/1/variant",
				"caution polarity-unknown /variants/0/changes/0",
				"caution working-voltage-above-rating /variants/0/changes/0",
				"caution bodies-overlap /variants/0/changes/3",
				"caution variant-change-idle /variants/0/changes/4/set"}},
		{"bipolar kinds", frame50 + `,"positions":[` +
			at("C1", 5, 5, `"part":{"class":"capacitor","construction":"film"},"negative_deg":0`) + `,` +
			at("C2", 15, 5, `"part":{"class":"capacitor","construction":"ceramic","polarised":true},"negative_deg":0`) +
			`,` + at("R1", 25, 5, `"part":{"class":"resistor"},"negative_deg":90`) + `,` +
			at("BT1", 35, 5, `"part":{"class":"cell","polarised":false}`) + `]`,
			[]string{"caution polarity-contradicts /positions/1/part/polarised",
				"caution polarity-contradicts /positions/3/part/polarised",
				"note polarity-needless /positions/0/negative_deg", "note polarity-needless /positions/1/negative_deg",
				"note polarity-needless /positions/2/negative_deg"}},
		{"noughts", frame50 + `,"positions":[` +
			at("C1", 5, 5, `"part":{"class":"capacitor","construction":"film","value":"0 F","voltage":"0 V"}`) + `,` +
			at("R1", 15, 5, `"part":{"class":"resistor","value":"0 Ω","power":"0 W"}`) + `]`,
			[]string{"stop quantity-zero /positions/0/part/value", "stop quantity-zero /positions/0/part/voltage",
				"stop quantity-zero /positions/1/part/power"}},
		{"not made like that", frame50 + `,"positions":[` + at("C1", 5, 5, electrolytic(`"value":"47 pF"`)+
			`,"negative_deg":0`) + `,` +
			at("C2", 15, 5, `"part":{"class":"capacitor","construction":"ceramic","value":"1 F"}`) + `,` +
			at("C3", 25, 5,
				`"part":{"class":"capacitor","construction":"tantalum","value":"10 µF","voltage":"350 V"},"negative_deg":0`) + `,` +
			at("C4", 35, 5, electrolytic(`"value":"1 F","temperature_max":"850 °C"`)+`,"negative_deg":0`) + `]`,
			[]string{"caution quantity-implausible /positions/0/part/value",
				"caution quantity-implausible /positions/1/part/value",
				"caution quantity-implausible /positions/2/part/voltage",
				"caution quantity-implausible /positions/3/part/temperature_max"}},
		{"bodies", frame50 + `,"positions":[` +
			at("C1", 5, 5,
				`"body":{"shape":"can","diameter_mm":5,"height_mm":12,"height_limit_mm":10,"lead_pitch_mm":7.5}`) +
			`,` +
			at("U1", 25, 25, `"body":{"shape":"box","length_mm":520,"width_mm":7}`) + `]`,
			[]string{"caution body-contradicts /positions/0/body/height_mm",
				"caution body-contradicts /positions/0/body/lead_pitch_mm",
				"caution body-contradicts /positions/1/body/length_mm"}},
		{"mains in other words", frame50 + `,"positions":[` +
			at("C1", 5, 5, `"part":{"class":"capacitor"},"function":"across the mains"`) + `,` +
			at("C2", 15, 5,
				`"part":{"class":"capacitor","safety_class":"X2"},"function":"mains to earth","replacement":{"part":{"class":"capacitor","safety_class":"X1"},"reason":"r"}`) + `,` +
			at("C3", 25, 5,
				`"part":{"class":"capacitor","safety_class":"X1/Y2"},"replacement":{"part":{"class":"capacitor","safety_class":"X2"},"reason":"r"}`) + `]`,
			[]string{"stop safety-class-missing /positions/1/replacement/part/safety_class",
				"stop safety-class-missing /positions/2/replacement/part",
				"caution circuit-unknown /positions", "caution safety-class-missing /positions/0/part/safety_class",
				"caution safety-class-missing /positions/1/part/safety_class"}},
		{"replacements of another kind", frame50 + `,"positions":[` +
			at("F1", 5, 5,
				`"part":{"class":"fuse"},"replacement":{"part":{"class":"other","text":"wire"},"reason":"r"}`) + `,` +
			at("F2", 15, 5,
				`"part":{"class":"fuse","fuse_speed":"F"},"replacement":{"part":{"class":"fuse","fuse_speed":"T"},"reason":"r"}`) + `,` +
			at("R1", 25, 5, `"part":{"class":"resistor"},"replacement":{"part":{"class":"thermistor"},"reason":"r"}`) +
			`,` +
			at("R2", 35, 5, `"part":{"class":"resistor"},"replacement":{"part":{"class":"resistor"},"reason":"r"}`) +
			`]`,
			[]string{"stop replacement-class /positions/0/replacement/part/class",
				"caution replacement-fuse-speed /positions/1/replacement/part/fuse_speed",
				"caution replacement-class /positions/2/replacement/part/class",
				"note replacement-same /positions/3/replacement/part"}},
		{"cells that are charged", frame50 + `,"positions":[` +
			at("BT1", 5, 5,
				`"part":{"class":"cell","rechargeable":false},"negative_deg":0,"function":"charged-backup"`) + `,` +
			at("BT2", 15, 5,
				`"part":{"class":"cell"},"negative_deg":0,"function":"charged-backup","replacement":{"part":{"class":"cell","rechargeable":false},"reason":"r"}`) + `,` +
			at("BT3", 25, 5,
				`"part":{"class":"cell","rechargeable":true},"negative_deg":0,"replacement":{"part":{"class":"cell"},"reason":"r"}`) + `]`,
			[]string{"stop replacement-cell-primary /positions/1/replacement/part/rechargeable",
				"caution cell-charged /positions/0/part/rechargeable",
				"caution replacement-cell-unknown /positions/2/replacement/part"}},
		{"to be replaced by what", frame50 + `,"positions":[` +
			at("F1", 5, 5, `"part":{"class":"fuse"},"service":"replace"`) + `,` +
			at("C1", 15, 5, `"part":{"class":"capacitor"},"service":"replace"`) + `,` +
			at("C2", 25, 5, `"part":{"class":"capacitor"},"service":"inspect"`) + `,` +
			at("C3", 35, 5,
				`"part":{"class":"capacitor"},"service":"replace","replacement":{"part":{"class":"capacitor","value":"10 µF"},"reason":"r"}`) + `]`,
			[]string{"caution part-unspecified /positions/0/part", "caution part-unspecified /positions/1/part"}},
		{"hazards left alone", frame50 + `,"positions":[` + at("C1", 5, 5, ``) + `,` +
			at("C2", 15, 5, `"service":"inspect"`) + `],
			"failure_points":[{"id":"a","title":"t","mechanism":"m","severity":"hazard","remedy":"r","positions":["C1","C2"]},{"id":"b","title":"t","mechanism":"m","severity":"major","positions":["C1"]}]`,
			[]string{"caution hazard-left /failure_points/0/positions/0"}},
		{"checks that can't be made", frame50 + `,"positions":[],"checks":[
			{"id":"a","title":"t","when":"after-power-up","measure":"resistance","between":["a","b"],"expect":{"min":"1 Ω"}},
			{"id":"b","title":"t","when":"after-power-up","measure":"voltage","between":["a"],"expect":{"min":"1 V"}},
			{"id":"c","title":"t","when":"after-power-up","measure":"current","between":["a"],"expect":{"max":"1 A"}}]`,
			[]string{"caution check-when /checks/0/when", "caution check-points-few /checks/1/between"}},
		{"builds that can't be told apart", frame50 + `,"positions":[` + at("R1", 15, 5, "") +
			`],"variants":[{"variant":"a","title":"t","identified_by":"Marked Three.","changes":[{"omit":"R1"}]},{"variant":"b","title":"t","identified_by":"marked  three"}]`,
			[]string{"caution variant-indistinct /variants/1/identified_by", "note variant-idle /variants/1"}},
		{"an uncertainty that hides everything", strings.Replace(frame50, `"uncertainty_mm":0.5`, `"uncertainty_mm":30`,
			1) + `,"positions":[]`,
			[]string{"caution uncertainty-large /frame/uncertainty_mm"}},
		{"two at one place", frame50 + `,"positions":[` + at("R1", 15, 5, "") + `,` + at("R2", 15, 5, "") + `,` +
			at("R3", 25, 5, "") +
			`],"variants":[{"variant":"a","title":"t","identified_by":"i","changes":[{"designator":"R3","set":{"y_mm":8}},{"fit":` + at("R4", 25, 8, "") + `}]}]`,
			[]string{"caution positions-coincide /positions/1", "caution positions-coincide /variants/0/changes/1"}},
		{"a capacitor's construction", frame50 + `,"positions":[` +
			at("R1", 15, 5, `"part":{"class":"resistor","construction":"aluminium-electrolytic"}`) + `,` +
			at("R2", 25, 5, `"part":{"class":"resistor","construction":"film"}`) + `]`,
			[]string{"caution construction-foreign /positions/0/part/construction"}},
		{"outline",
			`"board":"tarn-c","equipment":{"maker":"Tarnwright","model":"C"},"name":"C","frame":{"width_mm":50,"height_mm":40,"basis":"measured","outline":[[0,0],[50,40],[50,0],[0,40]]},"positions":[` + at("R1", 49, 20, "") + `,` + at("R2", 25, 2, "") + `,` + at("R3", 0, 0, "") + `]`,
			[]string{"caution outline-crosses /frame/outline/0", "caution position-outside /positions/1"}},
		{"outline too small, clockwise",
			`"board":"tarn-c","equipment":{"maker":"Tarnwright","model":"C"},"name":"C","frame":{"width_mm":50,"height_mm":40,"basis":"measured","outline":[[0,0],[0,40],[45,40],[45,0]]},"positions":[` + at("R1", 47, 20, "") + `]`,
			[]string{"caution outline-size /frame/outline", "caution position-outside /positions/0",
				"note outline-clockwise /frame/outline"}},
		{"outline open",
			`"board":"tarn-c","equipment":{"maker":"Tarnwright","model":"C"},"name":"C","frame":{"width_mm":50,"height_mm":40,"basis":"measured","outline":[[0,0],[50,0]]},"positions":[]`,
			[]string{"stop outline-open /frame/outline"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			fs := board.Check(read(t, "{"+c.document+"}"))
			if d := cmp.Diff(c.want, brief(fs)); d != "" {
				t.Errorf("findings (-want +got):\n%s", d)
			}
			for _, f := range fs {
				if f.Sentence.IsZero() || !strings.HasSuffix(f.Sentence.String(), ".") {
					t.Errorf("%s: %q is no sentence", f.Code, f.Sentence)
				}
			}
		})
	}
}

func brief(fs []finding.Finding) []string {
	var out []string
	for _, f := range fs {
		out = append(out, fmt.Sprintf("%s %s %s", f.Severity, f.Code, f.Pointer))
	}
	return out
}

func TestOverlap(t *testing.T) {
	rect := `"body":{"shape":"box","length_mm":10,"width_mm":2}`
	round := `"body":{"shape":"can","diameter_mm":6,"height_mm":11}`
	turned := func(designator string, x, y, deg float64, members string) string {
		return strings.Replace(at(designator, x, y, members), `"rotation_deg":0`, fmt.Sprintf(`"rotation_deg":%v`, deg),
			1)
	}
	for _, c := range []struct {
		name, a, b string
		want       bool
	}{
		{"rectangles end to end", at("R1", 10, 10, rect), at("R2", 20, 10, rect), false},
		{"rectangles within the uncertainty", at("R1", 10, 10, rect), at("R2", 19.5, 10, rect), false},
		{"rectangles one in the other", at("R1", 10, 10, rect), at("R2", 18, 10, rect), true},
		{"crossed", at("R1", 10, 10, rect), turned("R2", 10, 10, 90, rect), true},
		{"turned away", at("R1", 10, 10, rect), turned("R2", 17, 10, 90, rect), false},
		{"side by side at 45 degrees", turned("R1", 10, 10, 45, rect), turned("R2", 12, 8, 45, rect), false},
		{"circles apart by the diagonal", at("C1", 10, 10, round), at("C2", 14.5, 14.5, round), false},
		{"circles", at("C1", 10, 10, round), at("C2", 13, 13, round), true},
		{"circle at a corner", at("C1", 17.5, 13.5, round), at("R1", 10, 10, rect), false},
		{"circle on an end", at("C1", 17, 10, round), at("R1", 10, 10, rect), true},
		{"other side", at("R1", 10, 10, rect), strings.Replace(at("R2", 10, 10, rect), "top", "bottom", 1), false},
		{"size unknown", at("R1", 10, 10, rect), at("R2", 11, 10, ""), false},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, order := range []string{c.a + "," + c.b, c.b + "," + c.a} {
				got := brief(board.Check(read(t, "{"+frame50+`,"positions":[`+order+`]}`)))
				want := []string(nil)
				if c.want {
					want = []string{"caution bodies-overlap /positions/1"}
				}
				if d := cmp.Diff(want, got); d != "" {
					t.Errorf("findings (-want +got):\n%s", d)
				}
			}
		})
	}
}

// The maps of boardtest carry no stop, so that other packages can submit them.
func TestBoardtestIsSound(t *testing.T) {
	for _, n := range []int{0, 1, 7, 300, 2000} {
		if fs := board.Check(boardtest.Big(n)); len(fs) > 0 {
			t.Errorf("Big(%d): %d findings, first %v", n, len(fs), fs[0])
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		if fs := board.Check(boardtest.Random(t)); finding.Worst(fs) == finding.Stop {
			t.Fatalf("%+v", fs[0])
		}
	})
}

// heap is the worst for the overlap rule: every body in every other.
func heap(n int) *board.Map {
	m := boardtest.Big(n)
	for i := range m.Positions {
		m.Positions[i].X, m.Positions[i].Y, m.Positions[i].Side = 20, 20, "top"
	}
	return m
}

func TestCheckHeap(t *testing.T) {
	n := 0
	for _, f := range board.Check(heap(500)) {
		if f.Code == "bodies-overlap" {
			n++
		}
	}
	if n < 400 {
		t.Errorf("%d overlaps found in a heap of 500 bodies", n)
	}
}

func BenchmarkCheck(b *testing.B) {
	for name, m := range map[string]*board.Map{"300": boardtest.Big(300), "5000": boardtest.Big(5000),
		"heap5000": heap(5000)} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				board.Check(m)
			}
		})
	}
}
