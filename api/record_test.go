package api

import (
	"math"
	"strings"
	"testing"
	"time"
)

// sampleRecord is a record of workMap; edits replace text in it.
func sampleRecord(unit string, edits ...string) string {
	r := `{"board":"fen-rx2-main","revision":1,"unit":"` +
		unit + `","serviced_on":"2024-03-01","outcome":"working","symptoms":["Clock lost"],
"positions":[{"designator":"C1","found":"leaking","measured":[{"of":"capacitance","value":"44uF"},{"of":"esr","value":"1R9"}],"done":"replaced",
"fitted":{"part":{"class":"capacitor","value":"47u","voltage":"25V"}}},{"designator":"BT1","found":"good","done":"left"}],
"checks":[{"id":"rail-5","value":"4,93 V"}],"notes":"=1+1 and a long evening"}`
	return strings.NewReplacer(edits...).Replace(strings.ReplaceAll(r, "\n", " "))
}

const recordsPath = "/v1/boards/fen-rx2-main/records"

func TestRecord(t *testing.T) {
	f := serve(t)
	f.releaseWork(t)
	f.ask(t, "", "POST", recordsPath, sampleRecord("shelf 4")).want(t, 401, "token-needed")
	a := f.ask(t, "ada", "POST", recordsPath, sampleRecord("shelf 4"), "Idempotency-Key", "r1").want(t, 201, "")
	again := f.ask(t, "ada", "POST", recordsPath, sampleRecord("shelf 4"), "Idempotency-Key", "r1").want(t, 201, "")
	if a.header.Get("Location") != "/v1/records/1" || string(a.body) != string(again.body) {
		t.Errorf("%s, then %s", a.body, again.body)
	}
	f.ask(t, "ada", "POST", recordsPath, sampleRecord("shelf 5"), "Idempotency-Key", "r1").want(t, 422,
		"idempotency-key-reused")
	own := f.ask(t, "ada", "GET", "/v1/records/1", "").want(t, 200, "")
	if own.doc["unit"] != "shelf 4" || own.doc["outcome"] != "working" {
		t.Errorf("the author reads %s", own.body)
	}
	if e := own.doc["positions"].([]any)[0].(map[string]any)["measured"].([]any); e[0].(map[string]any)["value"] != "44 µF" || e[1].(map[string]any)["value"] != "1.9 Ω" {
		t.Errorf("readings are spelled %v", e)
	}
	if l := f.ask(t, "ada", "GET", "/v1/records", "").want(t, 200, ""); !strings.Contains(string(l.body),
		`"unit":"shelf 4"`) {
		t.Errorf("one's own list: %s", l.body)
	}
	for _, path := range []string{"/v1/records/1", recordsPath, recordsPath + "?as=csv", recordsPath + "?variant=base",
		"/v1/boards/fen-rx2-main/experience",
		"/v1/boards/fen-rx2-main/events", "/v1/events", "/v1/events.atom", "/v1/symptoms?q=clock"} {
		for _, who := range []string{"", "eve", "sue"} {
			if b := f.ask(t, who, "GET", path, "").want(t, 200, ""); strings.Contains(string(b.body), "shelf 4") {
				t.Errorf("%s tells %q the mark: %s", path, who, b.body)
			}
		}
	}
	if l := f.ask(t, "eve", "GET", "/v1/records", "").want(t, 200, ""); len(l.doc["records"].([]any)) != 0 {
		t.Errorf("another's own list: %s", l.body)
	}
	csv := f.ask(t, "", "GET", recordsPath, "", "Accept", "text/csv").want(t, 200, "")
	want := "record,board,revision,variant,author,serviced_on,outcome,designator,found,measured,done,fitted,text\n" +
		"1,fen-rx2-main,1,,ada,2024-03-01,working,C1,leaking,capacitance 44 µF; esr 1.9 Ω,replaced,capacitor 47 µF 25 V,\n" +
		"1,fen-rx2-main,1,,ada,2024-03-01,working,BT1,good,,left,,\n"
	if string(csv.body) != want {
		t.Errorf("CSV:\n%s\nwant\n%s", csv.body, want)
	}
	f.ask(t, "", "GET", recordsPath, "", "Accept", "text/html").want(t, 406, "not-acceptable")
	f.ask(t, "", "GET", "/v1/records/9", "").want(t, 404, "record-unknown")
	f.ask(t, "", "GET", "/v1/boards/none/records", "").want(t, 404, "board-unknown")
	f.ask(t, "ada", "POST", "/v1/boards/none/records", sampleRecord("1")).want(t, 404, "board-unknown")
}

// TestRecordRefused: every fault at once, each at its place, and nothing stored.
func TestRecordRefused(t *testing.T) {
	f := serve(t)
	f.releaseWork(t)
	tomorrow := time.Now().UTC().AddDate(0, 0, 1).Format(time.DateOnly)
	for _, c := range []struct {
		name     string
		edits    []string
		pointers string
	}{
		{"unknown revision", []string{`"revision":1`, `"revision":9`}, "/revision"},
		{"unknown designator", []string{`"BT1"`, `"BT9"`}, "/positions/1/designator"},
		{"unknown check", []string{`"rail-5"`, `"rail-9"`}, "/checks/0/id"},
		{"no unit", []string{`44uF`, `44`}, "/positions/0/measured/0/value"},
		{"wrong kind", []string{`44uF`, `44 V`}, "/positions/0/measured/0/value"},
		{"a check without unit", []string{`4,93 V`, `4.93`}, "/checks/0/value"},
		{"tomorrow", []string{`2024-03-01`, tomorrow}, "/serviced_on"},
		{"no date", []string{`2024-03-01`, `2024-13-01`}, "/serviced_on"},
		{"another board", []string{`"board":"fen-rx2-main"`, `"board":"other"`}, "/board"},
		{"unknown variant", []string{`"revision":1`, `"revision":1,"variant":"none"`}, "/variant"},
		{"a position that the build lacks", []string{`"revision":1`, `"revision":1,"variant":"late"`, `"BT1"`, `"C2"`},
			"/positions/1/designator"},
		{"unknown photograph", []string{`"notes"`, `"photographs":["` + strings.Repeat("a", 64) + `"],"notes"`},
			"/photographs/0"},
		{"unreadable part", []string{`"47u"`, `"many"`}, "/positions/0/fitted/part/value"},
		{"unknown member", []string{`"notes"`, `"note"`}, "/note"},
		{"unknown word", []string{`"leaking"`, `"wet"`}, "/positions/0/found"},
		{"unknown outcome", []string{`"outcome":"working"`, `"outcome":"fine"`}, "/outcome"},
		{"no unit's mark", []string{`"unit":"u",`, ``}, ""},
		{"all at once", []string{`"revision":1`, `"revision":9`, `"BT1"`, `"BT9"`, `"rail-5"`, `"rail-9"`, `44uF`, `44`,
			`2024-03-01`, tomorrow, `"47u"`, `"many"`},
			"/checks/0/id /positions/0/fitted/part/value /positions/0/measured/0/value /positions/1/designator " +
				"/revision /serviced_on"},
	} {
		a := f.ask(t, "ada", "POST", recordsPath, sampleRecord("u", c.edits...)).want(t, 422, "record-refused")
		var got []string
		for _, e := range a.doc["errors"].([]any) {
			got = append(got, e.(map[string]any)["pointer"].(string))
		}
		for _, p := range strings.Fields(c.pointers) {
			if !strings.Contains(strings.Join(got, " "), p) {
				t.Errorf("%s: faults at %v, want %s", c.name, got, c.pointers)
			}
		}
		if n := len(strings.Fields(c.pointers)); n > 0 && n != len(got) {
			t.Errorf("%s: faults at %v, want %s", c.name, got, c.pointers)
		}
	}
	if l := f.ask(t, "", "GET", recordsPath, "").want(t, 200, ""); len(l.doc["records"].([]any)) != 0 {
		t.Errorf("something was stored: %s", l.body)
	}
}

func TestExperience(t *testing.T) {
	f := serve(t)
	f.releaseWork(t)
	const path = "/v1/boards/fen-rx2-main/experience"
	if e := f.ask(t, "", "GET", path, "").want(t, 200, ""); e.doc["units"] != 0.0 ||
		len(e.doc["failure_points"].([]any)) != 2 {
		t.Errorf("nothing is known: %s", e.body)
	}
	for _, u := range []string{"1", "2", "3"} {
		f.ask(t, "ada", "POST", recordsPath, sampleRecord(u)).want(t, 201, "")
	}
	f.ask(t, "eve", "POST", recordsPath, sampleRecord("1", `"leaking"`, `"good"`, `"Clock lost"`, `"Hum"`)).want(t, 201,
		"") // another's unit 1
	f.ask(t, "ada", "POST", recordsPath, sampleRecord("3", `"leaking"`, `"good"`, "2024-03-01", "2024-02-01")).want(t,
		201, "") // earlier: it does not count
	f.ask(t, "eve", "POST", recordsPath, sampleRecord("9", `"leaking"`, `"differs"`, "44uF", "22 µF", `"47u"`, `"22u"`,
		`"Clock lost"`, `"clock lost."`)).want(t, 201, "")
	f.ask(t, "eve", "POST", recordsPath, sampleRecord("7", `"leaking"`, `"missing"`, `"revision":1`,
		`"revision":1,"variant":"late"`, `"Clock lost"`, `"Hum"`)).want(t, 201, "")
	e := f.ask(t, "", "GET", path, "").want(t, 200, "")
	c1 := e.doc["positions"].([]any)[1].(map[string]any)
	// Six units: 1, 2, 3 leaking, another's 1 good, 9 differs, 7 missing. 3 of 5: Wilson 0.2307 to 0.8824.
	if e.doc["units"] != 6.0 || c1["designator"] != "C1" || c1["units"] != 5.0 || c1["failed"] != 3.0 ||
		c1["as_mapped"] != 4.0 || c1["differs"] != 1.0 {
		t.Errorf("C1: %v of %v", c1, e.doc["units"])
	}
	if low, high := c1["low"].(float64), c1["high"].(float64); math.Abs(low-0.23072) > 5e-5 ||
		math.Abs(high-0.88238) > 5e-5 || c1["share"] != 0.6 {
		t.Errorf("C1 between %v and %v", low, high)
	}
	if by := c1["by"].([]any); len(by) != 4 || by[0].(map[string]any)["found"] != "leaking" ||
		by[0].(map[string]any)["count"] != 3.0 {
		t.Errorf("by %v", by)
	}
	points := e.doc["failure_points"].([]any)
	if p := points[1].(map[string]any); p["id"] != "cap-leak" || p["units"] != 5.0 || p["seen"] != 3.0 {
		t.Errorf("failure point: %v", p)
	}
	if p := points[0].(map[string]any); p["id"] != "cell-leak" || p["units"] != 6.0 || p["seen"] != 0.0 ||
		p["low"] != 0.0 {
		t.Errorf("failure point: %v", p)
	}
	if s := e.doc["symptoms"].([]any); len(s) != 2 || s[0].(map[string]any)["units"] != 4.0 ||
		s[1].(map[string]any)["text"] != "Hum" {
		t.Errorf("symptoms: %v", s)
	}
	if b := f.ask(t, "", "GET", path+"?variant=base", "").want(t, 200, ""); b.doc["units"] != 5.0 {
		t.Errorf("base build: %s", b.body)
	}
	late := f.ask(t, "", "GET", path+"?variant=late", "").want(t, 200, "")
	if c := late.doc["positions"].([]any)[1].(map[string]any); late.doc["units"] != 1.0 || c["units"] != 0.0 ||
		c["share"] != nil || len(c["by"].([]any)) != 1 {
		t.Errorf("late build: %s", late.body)
	}
	f.ask(t, "", "GET", path+"?variant=none", "").want(t, 404, "variant-not-found")
	f.ask(t, "", "GET", "/v1/boards/none/experience", "").want(t, 404, "board-unknown")

	s := f.ask(t, "", "GET", "/v1/symptoms?q=NO+clock", "").want(t, 200, "")
	// With the symptom 4 units (1, 2, 3, 9), of which 3 had C1; without it 2, of which none had.
	for _, p := range s.doc["points"].([]any) {
		p := p.(map[string]any)
		if p["designator"] != "C1" && p["id"] != "cap-leak" {
			continue
		}
		if want := math.Log(3.5 * 2.5 / (1.5 * 0.5)); p["units"] != 4.0 || p["share"] != 0.75 ||
			math.Abs(p["score"].(float64)-want) > 1e-12 || len(p["why"].([]any)) == 0 {
			t.Errorf("suspect %v, want a score of %v", p, want)
		}
	}
	if p := s.doc["points"].([]any); len(p) != 3 || p[2].(map[string]any)["id"] != "cell-leak" {
		t.Errorf("the map's own symptom: %s", s.body)
	}
	f.ask(t, "", "GET", "/v1/symptoms", "").want(t, 400, "question-empty")
	f.ask(t, "", "GET", "/v1/symptoms?q=clock&board=none", "").want(t, 404, "board-unknown")

	// Withdrawn records count nowhere and are listed no more.
	f.ask(t, "eve", "POST", "/v1/records/1/withdrawal", `{"reason":"mine"}`).want(t, 403, "record-not-yours")
	f.ask(t, "ada", "POST", "/v1/records/1/withdrawal", `{"reason":" "}`).want(t, 422, "withdrawal-invalid")
	f.ask(t, "ada", "POST", "/v1/records/1/withdrawal", `{}`).want(t, 422, "request-refused")
	f.ask(t, "ada", "POST", "/v1/records/1/withdrawal", `{"reason":"Wrong unit"}`).want(t, 200, "")
	f.ask(t, "sue", "POST", "/v1/records/1/withdrawal", `{"reason":"Wrong unit"}`).want(t, 409, "already-withdrawn")
	f.ask(t, "sue", "POST", "/v1/records/3/withdrawal", `{"reason":"Names a person","kind":"illegal"}`).want(t, 200, "")
	f.ask(t, "", "GET", "/v1/records/1", "").want(t, 410, "withdrawn")
	f.ask(t, "", "GET", "/v1/records/3", "").want(t, 451, "withdrawn-by-law")
	f.ask(t, "ada", "POST", "/v1/records/99/withdrawal", `{"reason":"x"}`).want(t, 404, "record-unknown")
	e = f.ask(t, "", "GET", path, "").want(t, 200, "")
	// Unit 3's earlier word, good, counts again.
	if c1 := e.doc["positions"].([]any)[1].(map[string]any); e.doc["units"] != 5.0 || c1["units"] != 4.0 ||
		c1["failed"] != 1.0 {
		t.Errorf("after the withdrawals C1: %v of %v", c1, e.doc["units"])
	}
	if l := f.ask(t, "", "GET", recordsPath+"?limit=2", "").want(t, 200, ""); len(l.doc["records"].([]any)) != 2 ||
		l.doc["next"] == nil {
		t.Errorf("page: %s", l.body)
	}
	if l := f.ask(t, "", "GET", recordsPath, "").want(t, 200, ""); len(l.doc["records"].([]any)) != 5 {
		t.Errorf("list: %s", l.body)
	}
}
