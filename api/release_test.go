package api

import (
	"strings"
	"testing"
)

// TestConflicts: where a proposal and a later release changed the same member,
// the release is refused with the member, the three values, and who released
// the other one and when; the proposal shows as much before, and nothing changes.
func TestConflicts(t *testing.T) {
	f := serve(t)
	f.release1(t)
	for i, value := range []string{"100 µF", "220 µF"} {
		m := strings.Replace(sampleMap, "47 µF", value, 1)
		f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", m, value)).want(t, 201, "")
		d := f.ask(t, "", "GET", "/v1/proposals/"+string(rune('2'+i)), "").want(t, 200, "").doc
		if c := d["carry_forward"].(map[string]any); c["needed"] != false || c["possible"] != true {
			t.Errorf("before any release: %v", c)
		}
	}
	beside := strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", beside, "elsewhere")).want(t, 201, "")
	f.endorse(t, 2)

	d := f.ask(t, "", "GET", "/v1/proposals/3", "").want(t, 200, "").doc
	if c := d["carry_forward"].(map[string]any); c["needed"] != true || c["possible"] != false || len(c["conflicts"].([]any)) != 1 || d["differences"].(map[string]any)["current"] != nil {
		t.Errorf("%v, differences %v", c, d["differences"])
	}
	for _, who := range []string{"rob", "roy"} {
		f.ask(t, who, "POST", "/v1/proposals/3/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	}
	a := f.ask(t, "roy", "POST", "/v1/proposals/3/release", "{}").want(t, 409, "carry-forward-conflict")
	data, _ := a.doc["data"].([]any)
	if len(data) != 1 {
		t.Fatalf("conflicts: %s", a.body)
	}
	c := data[0].(map[string]any)
	want := map[string]any{"designator": "C1", "member": "part.value", "base": "47 µF", "current": "100 µF", "proposed": "220 µF", "revision": 2.0, "released_by": "rob"}
	for member, v := range want {
		if c[member] != v {
			t.Errorf("%s is %v, want %v", member, c[member], v)
		}
	}
	if at, _ := c["released_at"].(string); at == "" || c["sentence"] == "" {
		t.Errorf("%v", c)
	}
	if d := f.ask(t, "", "GET", "/v1/proposals/3", "").doc; d["state"] != "submitted" {
		t.Errorf("the refused release left the proposal %v", d["state"])
	}

	for _, who := range []string{"rob", "roy"} {
		f.ask(t, who, "POST", "/v1/proposals/4/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	}
	r := f.ask(t, "roy", "POST", "/v1/proposals/4/release", "{}").want(t, 200, "").doc
	if r["carried_forward"] != true || r["revision"] != 3.0 {
		t.Errorf("%v", r)
	}
	m := f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").want(t, 200, "")
	if s := string(m.body); !strings.Contains(s, "100 µF") || !strings.Contains(s, `"x_mm":70`) {
		t.Errorf("a change was lost: %s", s)
	}
}

// TestLapse: an amended map makes endorsements lapse, and says whose; the
// release then waits for a new one.
func TestLapse(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1), "moved")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	tag := f.ask(t, "", "GET", "/v1/proposals/2/map", "").header.Get("ETag")
	a := f.ask(t, "ada", "PUT", "/v1/proposals/2/map", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":71`, 1), "If-Match", tag).want(t, 200, "")
	if l, _ := a.doc["lapsed"].([]any); len(l) != 1 || l[0] != "rob" || a.header.Get("ETag") == tag {
		t.Errorf("%s", a.body)
	}
	f.ask(t, "roy", "POST", "/v1/proposals/2/release", "{}").want(t, 409, "endorsement-needed")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`, "If-Match", tag).want(t, 412, "proposal-changed")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"object","remarks":[{"designator":"R1","text":"71?"}]}`).want(t, 201, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/release", "{}").want(t, 409, "objection-standing")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/release", "{}").want(t, 200, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse","remarks":[{"designator":"R99","text":"?"}]}`).want(t, 409, "proposal-closed")
}
