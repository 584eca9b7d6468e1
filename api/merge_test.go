package api

import (
	"fmt"
	"strings"
	"testing"
)

// TestMergedList: a placement list for a known board is merged into its map,
// and says what moved and what is new; for another board it is a draft alone.
func TestMergedList(t *testing.T) {
	f := serve(t)
	f.release1(t)
	board := f.ask(t, "", "GET", "/v1/proposals/1", "").doc["board"].(string)
	have := f.ask(t, "", "GET", "/v1/boards/"+board+"/map", "").doc["positions"].([]any)
	ask := func(id string) map[string]any {
		body := `{"board":"` + id +
			`","equipment":{"maker":"M","model":"O"},"name":"N","placements":"Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,1,1,0,top,47uF\nZ9,5,5,0,top,10k\n"}`
		return f.ask(t, "", "POST", "/v1/maps/from-placements", body).want(t, 200, "").doc
	}
	a := ask(board)
	m := a["map"].(map[string]any)
	merged := a["merged"].(map[string]any)
	if merged["base_revision"] != 1.0 || len(merged["added"].([]any)) != 1 || len(m["positions"].([]any)) != len(have)+
		1 {
		t.Errorf("%v", merged)
	}
	if m["name"] == "N" || len(merged["missing"].([]any)) != len(have)-1 {
		t.Errorf("the map was replaced: %v, %v", m["name"], merged["missing"])
	}
	if a := ask("no-such-board"); a["merged"] != nil || !strings.Contains(a["map"].(map[string]any)["name"].(string),
		"N") {
		t.Errorf("%v", a)
	}
}

// TestListsBase: a list whose places are those of an older revision was made
// from that. Submitted as such it takes back nothing that was corrected since.
func TestListsBase(t *testing.T) {
	f := serve(t)
	f.release1(t)
	board := f.ask(t, "", "GET", "/v1/proposals/1", "").doc["board"].(string)
	m := f.ask(t, "", "GET", "/v1/boards/"+board+"/map", "").doc
	first := m["positions"].([]any)[0].(map[string]any)
	x, y, name := first["x_mm"].(float64), first["y_mm"].(float64), first["designator"].(string)
	first["x_mm"] = x + 2
	if n := f.releaseMap(t, board, 1, m); n != 2 {
		t.Fatal(n)
	}
	list := func(x float64) map[string]any {
		rows := fmt.Sprintf("Designator,X (mm),Y (mm),Rotation,Side,Value\n%s,%g,%g,0,top,\nZ9,5,5,0,top,10k\n", name,
			x, y)
		return f.ask(t, "", "POST", "/v1/maps/from-placements", marshal(t, map[string]any{"board": board, "name": "N",
			"placements": rows,
			"equipment":  map[string]any{"maker": "M", "model": "O"}})).want(t, 200, "").doc
	}
	if a := list(x + 2); a["merged"].(map[string]any)["likely_base"] != nil {
		t.Errorf("a list of the newest revision: %v", a["merged"])
	}
	a := list(x)
	if a["merged"].(map[string]any)["likely_base"] != 1.0 {
		t.Fatalf("a list of the first revision: %v", a["merged"])
	}
	if n := f.releaseMap(t, board, 1, a["map"].(map[string]any)); n != 3 {
		t.Fatal(n)
	}
	positions := f.ask(t, "", "GET", "/v1/boards/"+board+"/map", "").doc["positions"].([]any)
	if got := positions[0].(map[string]any)["x_mm"]; got != x+2 {
		t.Errorf("%s stands at %v again, and was corrected to %v", name, got, x+2)
	}
	if last := positions[len(positions)-1].(map[string]any)["designator"]; last != "Z9" {
		t.Errorf("what is new was lost: %v", last)
	}
}
