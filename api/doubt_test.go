package api

import (
	"strings"
	"testing"
)

// A doubt stands at its position until it is answered, and both are events.
func TestDoubts(t *testing.T) {
	f := serve(t)
	f.release1(t)
	const path = "/v1/boards/fen-rx2-main/doubts"
	in := `{"designator":"C1","revision":1,"text":"The stripe points the other way on mine."}`
	f.ask(t, "", "POST", path, in).want(t, 401, "")
	f.ask(t, "eve", "POST", path, strings.Replace(in, "C1", "C9", 1)).want(t, 422, "doubt-invalid")
	f.ask(t, "eve", "POST", path, strings.Replace(in, `"revision":1`, `"revision":7`, 1)).want(t, 404,
		"revision-unknown")
	f.ask(t, "eve", "POST", path, `{"revision":1,"text":" "}`).want(t, 422, "doubt-invalid")
	f.ask(t, "eve", "POST", path, `{"revision":1,"text":"x","photographs":["00"]}`).want(t, 422, "doubt-invalid")
	f.ask(t, "eve", "POST", "/v1/boards/none/doubts", in).want(t, 404, "board-unknown")
	f.ask(t, "eve", "POST", path, in).want(t, 201, "")
	f.ask(t, "eve", "POST", path, in, "Idempotency-Key", "d").want(t, 201, "")
	f.ask(t, "eve", "POST", path, in, "Idempotency-Key", "d").want(t, 201, "")
	list := f.ask(t, "", "GET", path, "").want(t, 200, "").doc["doubts"].([]any)
	if len(list) != 2 || list[1].(map[string]any)["designator"] != "C1" || list[1].(map[string]any)["answer"] != nil {
		t.Fatalf("%v", list)
	}
	f.ask(t, "ada", "POST", path+"/1/answer", `{"text":"No."}`).want(t, 403, "role-needed")
	f.ask(t, "rob", "POST", path+"/1/answer", `{"text":""}`).want(t, 422, "doubt-invalid")
	f.ask(t, "rob", "POST", path+"/1/answer", `{"text":"x","proposal":99}`).want(t, 422, "doubt-invalid")
	f.ask(t, "rob", "POST", path+"/9/answer", `{"text":"x"}`).want(t, 404, "doubt-unknown")
	f.ask(t, "rob", "POST", path+"/1/answer", `{"text":"Seen on a board here; corrected.","proposal":1}`).want(t, 200,
		"")
	f.ask(t, "rob", "POST", path+"/1/answer", `{"text":"again"}`).want(t, 409, "doubt-answered")
	f.ask(t, "eve", "POST", path+"/2/answer", `{"text":"My mistake."}`).want(t, 200, "")
	if open := f.ask(t, "", "GET", path+"?state=open", "").want(t, 200, "").doc["doubts"].([]any); len(open) != 0 {
		t.Errorf("%v", open)
	}
	log := string(f.ask(t, "", "GET", "/v1/events?limit=200", "").body)
	if strings.Count(log, `"doubt-raised"`) != 2 || strings.Count(log, `"doubt-answered"`) != 2 {
		t.Errorf("%s", log)
	}
	for range 20 {
		f.ask(t, "eve", "POST", path, `{"revision":1,"text":"x"}`).want(t, 201, "")
	}
	f.ask(t, "eve", "POST", path, `{"revision":1,"text":"x"}`).want(t, 409, "doubt-quota")
}
