package api

import (
	"bytes"
	"encoding/csv"
	"testing"
)

// TestPartsList: what to buy without a kit, in both forms, and each refusal.
func TestPartsList(t *testing.T) {
	f := serve(t)
	f.release1(t)
	const path = "/v1/boards/fen-rx2-main/parts-list"
	a := f.ask(t, "", "GET", path+"?scope=all", "").want(t, 200, "")
	buy := a.doc["to_buy"].([]any)
	if len(buy) == 0 || a.doc["board"] != "fen-rx2-main" || a.doc["digest"] == nil || a.doc["cautions"] == nil {
		t.Fatalf("%s", a.body)
	}
	first := buy[0].(map[string]any)
	if first["part"] == nil || first["quantity"].(float64) < 1 || len(first["for"].([]any)) == 0 ||
		first["asks"] == nil {
		t.Errorf("%v", first)
	}
	c := f.ask(t, "", "GET", path+"?scope=all&as=csv", "", "Accept-Encoding", "identity").want(t, 200, "")
	rows, err := csv.NewReader(bytes.NewReader(c.body)).ReadAll()
	if err != nil || len(rows) != len(buy)+1 {
		t.Errorf("%d rows for %d parts, %v", len(rows), len(buy), err)
	}
	f.ask(t, "", "GET", "/v1/boards/none/parts-list", "").want(t, 404, "board-unknown")
	f.ask(t, "", "GET", path+"?revision=99", "").want(t, 404, "revision-unknown")
	f.ask(t, "", "GET", path+"?variant=none", "").want(t, 404, "variant-not-found")
	f.ask(t, "", "GET", path+"?scope=C9999", "").want(t, 422, "scope-unknown-designator")
	f.ask(t, "", "GET", path+"?as=xml", "").want(t, 400, "parameter-invalid")
}

// TestNothingReadable: a kit of which no line reads as a part has no verdict.
func TestNothingReadable(t *testing.T) {
	f := serve(t)
	f.release1(t)
	const path = "/v1/boards/fen-rx2-main/reconciliations"
	for _, list := range []string{"hello world", "battery - ask Jim\n", "Capacitors\n\nBattery\n",
		"Invoice 100245\nVAT 20 %\n"} {
		a := f.ask(t, "", "POST", path, list, "Content-Type", "text/plain").want(t, 422, "kit-refused")
		if a.doc["outcome"] != nil {
			t.Errorf("%s", a.body)
		}
	}
	a := f.ask(t, "", "POST", path,
		`{"kit":{"kit":"k","title":"T","lines":[{"line":1,"quantity":1,"text":"hello world"}]}}`).want(t, 422,
		"kit-refused")
	if e := a.doc["errors"].([]any)[0].(map[string]any); e["pointer"] != "/kit/lines/0/text" {
		t.Errorf("%v", e)
	}
}
