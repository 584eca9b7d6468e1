package api

import (
	"fmt"
	"strings"
	"testing"
)

// photographed is a board of 100 mm × 80 mm, ten pixels a millimetre, seen straight.
func photographed(side, points, marks string) string {
	return `{"board":"fen-rx2-main","equipment":{"maker":"Fenwright","model":"RX2"},"name":"Main board","frame":{"width_mm":100,"height_mm":80},
		"photographs":[{"width_px":1000,"height_px":800,"side":"` + side + `","points":[` + points + `],"marks":[` +
		marks + `]}]}`
}

const fourCorners = `{"pixel":[0,800],"mm":[0,0]},{"pixel":[1000,800],"mm":[100,0]},{"pixel":[1000,0],"mm":[100,80]},{"pixel":[0,0],"mm":[0,80]}`

func TestFromPhotograph(t *testing.T) {
	f := serve(t)
	const route = "/v1/maps/from-photograph"
	mark := `{"designator":"C1","text":"47 µF 16 V","service":"replace","leads":[[200,600],[250,600]],"negative":[251,602]}`
	a := f.ask(t, "", "POST", route, photographed("top", fourCorners, mark)).want(t, 200, "")
	p := a.doc["map"].(map[string]any)["positions"].([]any)[0].(map[string]any)
	got := fmt.Sprintln(p["x_mm"], p["y_mm"], p["rotation_deg"], p["negative_deg"], p["part"].(map[string]any)["value"])
	if got != "22.5 20 0 0 47 µF\n" {
		t.Errorf("%s of %v", got, p)
	}
	for name, c := range map[string]struct{ body, pointer string }{
		"other side": {photographed("bottom", fourCorners, mark), "/photographs/0/points/0"},
		"three": {photographed("top", fourCorners[:strings.LastIndex(fourCorners, ",{")], mark),
			"/photographs/0/points"},
	} {
		a := f.ask(t, "", "POST", route, c.body).want(t, 422, "points-open")
		if e := a.doc["errors"].([]any)[0].(map[string]any); e["pointer"] != c.pointer {
			t.Errorf("%s: %v, want %s", name, e, c.pointer)
		}
	}
	for name, body := range map[string]string{
		"no lead and no centre": photographed("top", fourCorners, `{"designator":"C1"}`),
		"one lead":              photographed("top", fourCorners, `{"designator":"C1","leads":[[1,2]]}`),
		"a pixel too far":       photographed("top", fourCorners, `{"designator":"C1","centre":[1e300,2]}`),
		"an unknown member":     photographed("top", fourCorners, `{"designator":"C1","centre":[1,2],"value":"1"}`),
	} {
		t.Run(name, func(t *testing.T) { f.ask(t, "", "POST", route, body).want(t, 422, "request-refused") })
	}
}
