package api

import (
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
		body := `{"board":"` + id + `","equipment":{"maker":"M","model":"O"},"name":"N","placements":"Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,1,1,0,top,47uF\nZ9,5,5,0,top,10k\n"}`
		return f.ask(t, "", "POST", "/v1/maps/from-placements", body).want(t, 200, "").doc
	}
	a := ask(board)
	m := a["map"].(map[string]any)
	merged := a["merged"].(map[string]any)
	if merged["base_revision"] != 1.0 || len(merged["added"].([]any)) != 1 || len(m["positions"].([]any)) != len(have)+1 {
		t.Errorf("%v", merged)
	}
	if m["name"] == "N" || len(merged["missing"].([]any)) != len(have)-1 {
		t.Errorf("the map was replaced: %v, %v", m["name"], merged["missing"])
	}
	if a := ask("no-such-board"); a["merged"] != nil || !strings.Contains(a["map"].(map[string]any)["name"].(string), "N") {
		t.Errorf("%v", a)
	}
}
