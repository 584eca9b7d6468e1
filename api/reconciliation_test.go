package api

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"unicode/utf16"
)

const reconciliations = "/v1/boards/fen-rx2-main/reconciliations"

func TestReportForms(t *testing.T) {
	f := serve(t)
	f.release1(t)
	body := `{"kit":` + sampleKit + `}`
	for accept, want := range map[string]struct{ media, begins string }{
		"":                               {"application/json", "{"},
		"*/*":                            {"application/json", "{"},
		"application/*":                  {"application/json", "{"},
		"text/plain":                     {"text/plain; charset=utf-8", "fen-rx2-main, revision 1: COMPLETE\n"},
		"text/csv":                       {"text/csv; charset=utf-8; header=present", "designator,"},
		"application/pdf":                {"application/pdf", "%PDF-"},
		"text/html, text/csv;q=0.5":      {"text/csv; charset=utf-8; header=present", "designator,"},
		"application/json;q=0.1, text/*": {"text/plain; charset=utf-8", "fen-rx2-main"},
	} {
		a := f.ask(t, "", "POST", reconciliations, body, "Accept", accept, "Accept-Encoding", "identity")
		if a.status != 200 || a.header.Get("Content-Type") != want.media || !strings.HasPrefix(string(a.body),
			want.begins) {
			t.Errorf("Accept %q: %d %s %.40q", accept, a.status, a.header.Get("Content-Type"), a.body)
		}
		if !strings.Contains(strings.Join(a.header.Values("Vary"), ","), "Accept") {
			t.Errorf("Accept %q: Vary %q", accept, a.header.Values("Vary"))
		}
	}
	f.ask(t, "", "POST", reconciliations, body, "Accept", "text/html").want(t, 406, "not-acceptable")
	f.ask(t, "", "POST", reconciliations, body, "Accept", "application/json;q=0").want(t, 406, "not-acceptable")
	f.ask(t, "", "POST", reconciliations, `{"kit":7}`, "Accept", "application/pdf").want(t, 422, "request-refused")
}

// TestListBodies sends one list in the ways in which people keep it.
func TestListBodies(t *testing.T) {
	f := serve(t)
	f.release1(t)
	wide := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune("Menge;Wert;Ref\r\n1;47 µF 16 V Elko;C1\r\n")) {
		wide = append(wide, byte(u), byte(u>>8))
	}
	for name, c := range map[string]struct{ media, body string }{
		"commas":            {"text/csv", "Qty,Value,Ref\n1,\"47uF, 16V electrolytic\",C1\n"},
		"semicolons":        {"text/csv; charset=utf-8", "Bezeichner;Wert;Menge\nC1;47µF 16V Elko;1\n"},
		"tabs":              {"text/tab-separated-values", "qty\tvalue\tref\n1\t47uF 16V electrolytic\tC1\n"},
		"lines":             {"text/plain", "1 x 47uF 16V electrolytic for C1\n"},
		"UTF-16":            {"text/csv; charset=utf-16", string(wide)},
		"Latin-1":           {"text/plain; charset=iso-8859-1", "C1: 1 x 47 \xb5F 16V electrolytic\r\n"},
		"with a header row": {"text/csv; header=present", "ref,qty,value\nC1,1,47uF 16V electrolytic\n"},
	} {
		a := f.ask(t, "", "POST", reconciliations+"?scope=C1&revision=1", c.body, "Content-Type", c.media)
		if a.status != 200 || a.doc["outcome"] != "complete" || a.doc["problems"] != nil {
			t.Errorf("%s: %d %s", name, a.status, a.body)
		}
	}
	a := f.ask(t, "", "POST", reconciliations, "qty,value\n1,47uF 16V\n2,??\nmany,10k\n", "Content-Type",
		"text/csv").want(t, 200, "")
	var rows []float64
	for _, p := range a.doc["problems"].([]any) {
		rows = append(rows, p.(map[string]any)["line"].(float64))
	}
	if len(rows) != 2 || rows[0] != 3 || rows[1] != 4 || len(a.doc["lines"].([]any)) != 3 {
		t.Errorf("rows %v of %s", rows, a.body)
	}
	for accept, want := range map[string]string{"text/plain": `Row 3, "??"`, "text/csv": "not read"} {
		a := f.ask(t, "", "POST", reconciliations, "qty,value\n1,47uF 16V\n2,??\n", "Content-Type", "text/csv",
			"Accept", accept, "Accept-Encoding", "identity")
		if !bytes.Contains(a.body, []byte(want)) {
			t.Errorf("%s says nothing of the row that could not be read: %s", accept, a.body)
		}
		if _, err := csv.NewReader(bytes.NewReader(a.body)).ReadAll(); accept == "text/csv" && err != nil {
			t.Error(err)
		}
	}
	f.ask(t, "", "POST", reconciliations, "\n\n", "Content-Type", "text/plain").want(t, 422, "kit-refused")
	f.ask(t, "", "POST", reconciliations, strings.Repeat("1 x 47uF\n", 501), "Content-Type", "text/plain").want(t, 422,
		"kit-refused")
	f.ask(t, "", "POST", reconciliations+"?scope=C77", "1 x 47uF", "Content-Type", "text/plain").want(t, 422,
		"scope-unknown-designator")
	f.ask(t, "", "POST", reconciliations+"?variant=none", "1 x 47uF", "Content-Type", "text/plain").want(t, 404,
		"variant-not-found")
	f.ask(t, "", "POST", reconciliations+"?variant=none", `{"kit":`+sampleKit+`}`).want(t, 400, "parameter-invalid")
	f.ask(t, "", "POST", reconciliations, "1 x 47uF", "Content-Type", "text/html").want(t, 415,
		"unsupported-media-type")
}

func TestKitsKept(t *testing.T) {
	f := serve(t)
	const nameless = `{"title":"Capacitors","lines":[{"line":1,"quantity":1,"text":"47uF 16V"}]}`
	f.ask(t, "ada", "PUT", "/v1/kits/nameless", nameless).want(t, 201, "")
	if k := f.ask(t, "", "GET", "/v1/kits/nameless", "").want(t, 200, ""); k.doc["kit"] != "nameless" {
		t.Errorf("kept as %s", k.body)
	}
	f.ask(t, "ada", "PUT", "/v1/kits/nameless", `{"kit":"nameless",`+nameless[1:]).want(t, 200, "")
	f.ask(t, "ada", "PUT", "/v1/kits/other", `{"kit":"nameless",`+nameless[1:]).want(t, 422, "kit-refused")
	f.ask(t, "ada", "PUT", "/v1/kits/Not_a_slug", nameless).want(t, 422, "kit-refused")
	f.ask(t, "ada", "PUT", "/v1/kits/nameless?title=x", nameless).want(t, 400, "parameter-invalid")

	a := f.ask(t, "ada", "PUT", "/v1/kits/listed?title=Bag+7&for=fen-rx2-main", "4 x 47uF 16V\n??\n", "Content-Type",
		"text/plain").want(t, 201, "")
	if fs := a.doc["findings"].([]any); a.doc["title"] != "Bag 7" || len(fs) == 0 {
		t.Errorf("a list is kept as %s", a.body)
	}
	k := f.ask(t, "", "GET", "/v1/kits/listed", "").want(t, 200, "")
	if lines := k.doc["lines"].([]any); len(lines) != 2 || k.doc["kit"] != "listed" {
		t.Errorf("%s", k.body)
	}
}
