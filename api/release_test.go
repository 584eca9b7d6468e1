package api

import (
	"fmt"
	"strings"
	"testing"

	"boardlore/domain/review"
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
	if c := d["carry_forward"].(map[string]any); c["needed"] != true || c["possible"] != false ||
		len(c["conflicts"].([]any)) != 1 || d["differences"].(map[string]any)["current"] != nil {
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
	want := map[string]any{"designator": "C1", "member": "part.value", "base": "47 µF", "current": "100 µF",
		"proposed": "220 µF", "revision": 2.0, "released_by": "rob"}
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
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":70`, 1),
		"moved")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	tag := f.ask(t, "", "GET", "/v1/proposals/2/map", "").header.Get("ETag")
	a := f.ask(t, "ada", "PUT", "/v1/proposals/2/map", strings.Replace(sampleMap, `"x_mm":60`, `"x_mm":71`, 1),
		"If-Match", tag).want(t, 200, "")
	if l, _ := a.doc["lapsed"].([]any); len(l) != 1 || l[0] != "rob" || a.header.Get("ETag") == tag {
		t.Errorf("%s", a.body)
	}
	f.ask(t, "roy", "POST", "/v1/proposals/2/release", "{}").want(t, 409, "endorsement-needed")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`, "If-Match", tag).want(t, 412,
		"proposal-changed")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews",
		`{"verdict":"object","remarks":[{"designator":"R1","text":"71?"}]}`).want(t, 201, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/release", "{}").want(t, 409, "objection-standing")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	f.ask(t, "roy", "POST", "/v1/proposals/2/release", "{}").want(t, 200, "")
	f.ask(t, "rob", "POST", "/v1/proposals/2/reviews",
		`{"verdict":"endorse","remarks":[{"designator":"R99","text":"?"}]}`).want(t, 409, "proposal-closed")
}

// TestReadFirst: a review and a release name the map that was read; another
// that took its place is neither endorsed nor released unseen.
func TestReadFirst(t *testing.T) {
	f := serve(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first")).want(t, 201, "")
	for _, act := range []string{"reviews", "release"} {
		body := map[string]string{"reviews": `{"verdict":"endorse","seen":[{"designator":"C1","on":"board"}]}`,
			"release": "{}"}[act]
		path := "/v1/proposals/1/" + act
		f.ask(t, "rob", "POST", path, body, "If-Match", "").want(t, 428, "if-match-needed")
		f.ask(t, "rob", "POST", path, body, "If-Match", "*").want(t, 428, "if-match-needed")
		f.ask(t, "rob", "POST", path, body, "If-Match", `"`+strings.Repeat("0", 64)+`"`).want(t, 412,
			"proposal-changed")
		f.ask(t, "rob", "POST", path, body, "If-Match", "abc").want(t, 400, "")
		f.ask(t, "ada", "POST", path, body, "If-Match", "").want(t, 403, "role-needed")
	}
	tag := f.ask(t, "", "GET", "/v1/proposals/1", "").header.Get("ETag")
	digest := f.ask(t, "", "GET", "/v1/proposals/1", "").doc["digest"].(string)
	f.ask(t, "ada", "PUT", "/v1/proposals/1/map", strings.Replace(sampleMap, `"16 V"`, `"10 V"`, 1), "If-Match",
		tag).want(t, 200, "")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`, "If-Match", tag).want(t, 412,
		"proposal-changed")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`, "If-Match", `"`+digest+`"`).want(t, 412,
		"proposal-changed")
	a := f.ask(t, "", "GET", "/v1/proposals/1", "")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`, "If-Match",
		a.header.Get("ETag")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews",
		`{"verdict":"endorse","seen":[{"designator":"Q9","on":"board"}]}`).want(t, 422, "review-invalid")
	f.ask(t, "roy", "POST", "/v1/proposals/1/release", "{}", "If-Match", `"`+a.doc["digest"].(string)+`"`).want(t, 200,
		"")
}

// TestSetAside: a steward ends an objection, with the reason, and the event
// says so; nobody else does.
func TestSetAside(t *testing.T) {
	f := serve(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	id := f.ask(t, "roy", "POST", "/v1/proposals/1/reviews", `{"verdict":"object","summary":"no"}`).want(t, 201,
		"").doc["review"]
	path := "/v1/proposals/1/reviews/" + fmt.Sprint(id) + "/set-aside"
	reason := `{"reason":"The reviewer is gone."}`
	f.ask(t, "rob", "POST", path, reason).want(t, 403, "role-needed")
	f.ask(t, "sue", "POST", path, `{}`).want(t, 422, "decision-invalid")
	f.ask(t, "sue", "POST", "/v1/proposals/1/reviews/1/set-aside", reason).want(t, 409, "no-objection")
	f.ask(t, "sue", "POST", "/v1/proposals/1/reviews/99/set-aside", reason).want(t, 404, "review-unknown")
	f.ask(t, "sue", "POST", "/v1/proposals/9/reviews/1/set-aside", reason).want(t, 404, "proposal-unknown")
	f.ask(t, "rob", "POST", "/v1/proposals/1/release", "{}").want(t, 409, "objection-standing")
	a := f.ask(t, "sue", "POST", path, reason).want(t, 200, "")
	if s := a.doc["standing"].(map[string]any); s["ready"] != true || a.doc["state"] != "submitted" {
		t.Errorf("%s", a.body)
	}
	f.ask(t, "sue", "POST", path, reason).want(t, 409, "no-objection")
	if log := f.ask(t, "", "GET", "/v1/events", ""); !strings.Contains(string(log.body), "objection-set-aside") {
		t.Errorf("%s", log.body)
	}
	f.ask(t, "rob", "POST", "/v1/proposals/1/release", "{}").want(t, 200, "")
	f.ask(t, "sue", "POST", path, reason).want(t, 409, "proposal-closed")
}

// TestAnswers: the author and reviewers answer a query in its thread, which
// changes no verdict; nobody else does.
func TestAnswers(t *testing.T) {
	f := serve(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews", `{"verdict":"query","summary":"Which way is C1?"}`).want(t, 201,
		"")
	path, text := "/v1/proposals/1/reviews/1/answers", `{"text":"Minus is at the edge."}`
	f.ask(t, "", "POST", path, text).want(t, 401, "")
	f.ask(t, "eve", "POST", path, text).want(t, 403, "not-the-author")
	f.ask(t, "ada", "POST", path, `{"text":" "}`).want(t, 422, "review-invalid")
	f.ask(t, "ada", "POST", "/v1/proposals/1/reviews/9/answers", text).want(t, 404, "review-unknown")
	f.ask(t, "ada", "POST", "/v1/proposals/9/reviews/1/answers", text).want(t, 404, "proposal-unknown")
	a := f.ask(t, "ada", "POST", path, text).want(t, 201, "")
	if a.doc["state"] != "returned" || a.doc["review"] != 1.0 {
		t.Errorf("%s", a.body)
	}
	f.ask(t, "roy", "POST", path, `{"text":"So it is on mine."}`).want(t, 201, "")
	r := f.ask(t, "", "GET", "/v1/proposals/1/reviews/1", "").want(t, 200, "")
	said := r.doc["answers"].([]any)
	if len(said) != 2 || said[0].(map[string]any)["by"] != "ada" ||
		said[1].(map[string]any)["text"] != "So it is on mine." {
		t.Errorf("%s", r.body)
	}
	for range review.MaxAnswers - 2 {
		f.ask(t, "ada", "POST", path, text).want(t, 201, "")
	}
	f.ask(t, "ada", "POST", path, text).want(t, 409, "thread-full")
	f.ask(t, "ada", "POST", "/v1/proposals/1/withdraw", "{}").want(t, 200, "")
	f.ask(t, "ada", "POST", path, text).want(t, 409, "proposal-closed")
}

// TestRetell: an author who answers a query amends the summary and the
// evidence beside the map; endorsements of the map stay, and an amendment that
// changes nothing says so.
func TestRetell(t *testing.T) {
	f := serve(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", sampleMap, "first")).want(t, 201, "")
	f.ask(t, "rob", "POST", "/v1/proposals/1/reviews", `{"verdict":"endorse"}`).want(t, 201, "")
	tag := f.ask(t, "", "GET", "/v1/proposals/1", "").header.Get("ETag")
	put := func(more string) answer {
		return f.ask(t, "ada", "PUT", "/v1/proposals/1/map", `{"map":`+sampleMap+more+`}`, "If-Match", tag)
	}
	put(`,"evidence":[{"text":"x","designators":["Q9"]}]`).want(t, 422, "submission-invalid")
	put(`,"summary":" "`).want(t, 422, "submission-invalid")
	a := put(`,"summary":"second","evidence":[{"text":"Stripe seen.","designators":["C1"]}]`).want(t, 200, "")
	if a.doc["event"] == 0.0 || a.doc["version"] != 1.0 || a.doc["standing"].(map[string]any)["endorsements"] != 1.0 {
		t.Errorf("%s", a.body)
	}
	d := f.ask(t, "", "GET", "/v1/proposals/1", "").doc
	if d["summary"] != "second" || len(d["evidence"].([]any)) != 1 {
		t.Errorf("%v %v", d["summary"], d["evidence"])
	}
	if a := put("").want(t, 200, ""); a.doc["event"] != 0.0 || !strings.Contains(string(a.body), "amended-nothing") {
		t.Errorf("%s", a.body)
	}
}
