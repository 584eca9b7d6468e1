package api

import (
	"strings"
	"testing"
)

const workMap = `{"board":"fen-rx2-main","equipment":{"maker":"Fenwright","model":"RX2","kind":"recorder"},"name":"Main board",
"frame":{"width_mm":100,"height_mm":80,"basis":"measured","uncertainty_mm":0.5},
"positions":[
{"designator":"C1","side":"top","x_mm":20,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"16 V","polarised":true},
 "body":{"mount":"through-hole","shape":"can","diameter_mm":8,"height_mm":11},"negative_deg":180,"working_voltage":"5 V","rail":"+5V","service":"replace"},
{"designator":"C2","side":"top","x_mm":30,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"16 V","polarised":true},
 "body":{"mount":"through-hole","shape":"can","diameter_mm":8,"height_mm":11},"negative_deg":180,"working_voltage":"5 V","rail":"+5V","service":"replace"},
{"designator":"C3","side":"bottom","x_mm":60,"y_mm":20,"rotation_deg":0,"part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"100 µF","voltage":"400 V","polarised":true},
 "body":{"mount":"through-hole","shape":"can","diameter_mm":18,"height_mm":30},"negative_deg":180,"working_voltage":"325 V","service":"inspect"},
{"designator":"R1","side":"top","x_mm":60,"y_mm":40,"rotation_deg":90,"part":{"class":"resistor","value":"4.7 kΩ"}},
{"designator":"BT1","side":"top","x_mm":80,"y_mm":40,"rotation_deg":90,"part":{"class":"cell","voltage":"3.6 V"},"service":"replace"}],
"variants":[{"variant":"late","title":"Late build","identified_by":"blue ink","changes":[{"omit":"C2"}]}],
"failure_points":[{"id":"cell-leak","title":"Cell leaks","mechanism":"Electrolyte creeps.","positions":["BT1"],"severity":"major","symptoms":["Clock lost"]},
 {"id":"cap-leak","title":"Rail capacitors leak","mechanism":"Seals give way.","positions":["C1","C2"],"severity":"major","bars_power_up":false,"symptoms":["Smell of fish"]}],
"checks":[{"id":"rail-5","title":"+5 V in bounds","when":"after-power-up","measure":"voltage","between":["C1 plus","ground"],"expect":{"min":"4.75 V","max":"5.25 V"}},
 {"id":"rail-short","title":"No short on +5 V","when":"before-power-up","measure":"resistance","between":["C1 plus","ground"],"expect":{"min":"150 Ω"}}]}`

// releaseWork brings workMap to revision 1.
func (f *fixture) releaseWork(tb testing.TB) {
	tb.Helper()
	f.ask(tb, "ada", "POST", "/v1/proposals", submission1("0", strings.ReplaceAll(workMap, "\n", " "),
		"first")).want(tb, 201, "")
	f.endorse(tb, 1)
}

func TestPlan(t *testing.T) {
	f := serve(t)
	f.releaseWork(t)
	const path = "/v1/boards/fen-rx2-main/plan"
	p := f.ask(t, "", "GET", path, "").want(t, 200, "")
	stages := p.doc["stages"].([]any)
	first, second := stages[0].(map[string]any), stages[1].(map[string]any)
	if len(stages) != 2 || first["side"] != nil || second["side"] != "top" {
		t.Fatalf("stages: %s", p.body)
	}
	removal := second["removal"].([]any)
	if a := removal[0].(map[string]any); a["designator"] != "C1" || a["angle_deg"].(float64) < 299.99 ||
		a["angle_deg"].(float64) > 300.01 {
		t.Errorf("C1 leaves with 300° free: %v", a) // sin 30° = (4 + 1) / 10
	}
	if safe := p.doc["make_safe"].([]any); len(safe) != 1 || safe[0].(map[string]any)["positions"].([]any)[0] != "C3" {
		t.Errorf("make_safe: %v", safe)
	}
	for member, id := range map[string]string{"checks_before": "rail-short", "checks_after": "rail-5"} {
		if cs := p.doc[member].([]any); len(cs) != 1 || cs[0].(map[string]any)["id"] != id {
			t.Errorf("%s: %v, want %s", member, cs, id)
		}
	}
	late := f.ask(t, "", "GET", path+
		"?variant=late&scope=all&tool_half_width_mm=0.5&reach_mm=20&clearance_mm=2&resistor=1k&to_v=0.5&revision=1",
		"").want(t, 200, "")
	if late.doc["variant"] != "late" || strings.Contains(string(late.body), `"C2"`) ||
		late.doc["digest"] == p.doc["digest"] {
		t.Errorf("the variant's plan: %s", late.body)
	}
	if tool := late.doc["tool"].(map[string]any); tool["half_width_mm"] != 0.5 || tool["reach_mm"] != 20.0 ||
		tool["clearance_mm"] != 2.0 {
		t.Errorf("tool %v", tool)
	}
	for query, code := range map[string]string{
		"tool_half_width_mm=50.1": "plan-invalid", "tool_half_width_mm=-1": "plan-invalid",
		"reach_mm=1000.5": "plan-invalid", "reach_mm=ten": "plan-invalid",
		"clearance_mm=201": "plan-invalid", "clearance_mm=NaN": "plan-invalid", "reach_mm=Inf": "plan-invalid",
		"to_v=0": "plan-invalid", "to_v=1001": "plan-invalid",
		"resistor=much": "plan-invalid", "resistor=0%20%CE%A9": "plan-invalid", "resistor=10%20V": "plan-invalid",
		"scope=C9": "scope-unknown-designator",
	} {
		f.ask(t, "", "GET", path+"?"+query, "").want(t, 422, code)
	}
	all := f.ask(t, "", "GET", path+"?reach_mm=-1&clearance_mm=-1&to_v=x&resistor=x", "").want(t, 422, "plan-invalid")
	if n := len(all.doc["errors"].([]any)); n != 4 {
		t.Errorf("%d faults told, not 4: %s", n, all.body)
	}
	for _, edge := range []string{"tool_half_width_mm=0", "tool_half_width_mm=50", "reach_mm=0", "reach_mm=1000",
		"clearance_mm=200", "scope=C1,BT1"} {
		f.ask(t, "", "GET", path+"?"+edge, "").want(t, 200, "")
	}
	f.ask(t, "", "GET", "/v1/boards/none/plan", "").want(t, 404, "board-unknown")
	f.ask(t, "", "GET", path+"?revision=9", "").want(t, 404, "revision-unknown")
	f.ask(t, "", "GET", path+"?variant=none", "").want(t, 404, "variant-not-found")
	f.ask(t, "", "GET", path+"?tool=1", "").want(t, 400, "parameter-invalid")
}
