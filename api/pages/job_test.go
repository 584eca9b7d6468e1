package pages_test

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/go-json-experiment/json"

	"boardlore/store"
)

const jobPage = "/boards/" + boardID + "/job"

func jobDocument(unit string) string {
	return `{"board":"` + boardID + `","revision":2,"unit":"` + unit +
		`","serviced_on":"2024-05-01","outcome":"working","symptoms":["Hum"],"positions":[` +
		`{"designator":"C40","found":"drifted","measured":[{"of":"capacitance","value":"310 µF"}],"done":"replaced"}]}`
}

// TestJob: the page as it comes from the server, on paper, and made a record.
func TestJob(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	_, body := v.get(jobPage)
	want(t, body, "On the bench", "Make safe", "Take out", "Power up", `data-key="out:BT1"`,
		`data-key="fit:BT1" data-stage="fit" data-bars`, "Job sheet (PDF)", "<noscript>")
	if first, cell := strings.Index(body, `data-key="out:`), strings.Index(body, `data-key="out:BT1"`); first != cell {
		t.Error("the cell does not leave first")
	}
	if status, pdf := v.get(jobPage + "/sheet.pdf"); status != 200 || !strings.HasPrefix(pdf, "%PDF-") {
		t.Errorf("job sheet: %d %.20q", status, pdf)
	}
	if status, _ := v.get(jobPage + "?scope=C999"); status != 422 {
		t.Errorf("an unknown position in scope: %d", status)
	}
	if status, _ := v.post(jobPage, jobPage, url.Values{"record": {jobDocument("7")}, "once": {"j1"},
		"job": {"abc"}}); status != http.StatusOK { // after the redirect
		t.Errorf("filed: %d", status)
	}
	_, body = v.get("/boards/" + boardID)
	want(t, body, "What one serviced unit showed", "1 of 1 unit had C40 drifted")
	_, body = v.get("/boards/" + boardID + "/positions/C40")
	want(t, body, "1 of 1 unit had C40 drifted")
	if strings.Contains(body, "%)") {
		t.Error("one unit makes a rate")
	}
	if status, refused := v.post(jobPage, jobPage,
		url.Values{"record": {strings.Replace(jobDocument("8"), "C40", "C999", 1)}}); status != 422 ||
		!strings.Contains(refused, "C999") {
		t.Errorf("an unknown position: %d", status)
	}
	bad := strings.NewReplacer(`"310 µF"`, `"310"`, "2024-05-01", "2999-05-01").Replace(jobDocument("8"))
	_, refused := v.post(jobPage, jobPage, url.Values{"record": {bad}})
	want(t, refused, "C40: &#34;310&#34; has no unit", "Day: 2999-05-01 is still to come")
	if strings.Contains(refused, "/positions/0") {
		t.Error("a person is told a JSON Pointer")
	}
	if status, _ := w.visitor(t, "").post(jobPage, jobPage, url.Values{"record": {jobDocument("9")}}); status != 401 {
		t.Errorf("without an account: %d", status)
	}
}

// keepBag keeps a kit for the board.
func keepBag(t *testing.T, w *site) {
	t.Helper()
	doc := `{"kit":"bag-one","title":"All of it","for":["` + boardID +
		`"],"lines":[{"line":1,"quantity":4,"text":"47 µF 25 V 105 °C electrolytic"},` +
		`{"line":2,"quantity":1,"text":"BT1: 3.6 V Ni-MH rechargeable"}]}`
	if _, _, err := w.store.PutKit(t.Context(), w.authorActor, store.KitPut{Kit: "bag-one",
		Document: []byte(doc)}); err != nil {
		t.Fatal(err)
	}
}

// TestKitsServed: whoever used a kit tells how it served, and those who come after read it beside the board and the kit.
func TestKitsServed(t *testing.T) {
	w := newSite(t)
	keepBag(t, w)
	v := w.visitor(t, w.author)
	_, body := v.get(jobPage)
	want(t, body, "The kit that you used", `<option value="bag-one">All of it</option>`)
	used := strings.TrimSuffix(jobDocument("7"), "}") + `,"kit":{"kit":"bag-one","left_over":[1],"missing":["C40"]}}`
	if status, _ := v.post(jobPage, jobPage, url.Values{"record": {used}, "once": {"j1"}}); status != http.StatusOK {
		t.Fatalf("filed: %d", status)
	}
	told := []string{"used for 1 unit, for 0 of them nothing was missing", "Of line 1 some were left over at 1 unit",
		"For C40 it had nothing at 1 unit"}
	_, body = v.get("/boards/" + boardID)
	want(t, body, append(told, "How kits served", `/kit-check?kit=bag-one`)...)
	_, body = v.get("/boards/" + boardID + "/kit-check?kit=bag-one")
	want(t, body, told...)
}

// TestBench goes one unit's work on a phone: ticks, what was found, a reading
// and a note outlive the tab and the network, leave as a file that is a record,
// and become a record in one step.
func TestBench(t *testing.T) {
	w := newSite(t)
	keepBag(t, w)
	p := w.person(t, w.author, sees{script: true, width: phone})
	p.open(jobPage)
	p.fill("Your mark of the unit", "shelf 4")
	p.fill("Symptoms", "hum")
	p.click("Look")
	p.until("the symptom's failure point",
		`document.querySelector("[data-suspects]").textContent.includes("The map names this symptom: Hum.")`)

	if off := ask[bool](p, `document.querySelector('[data-key="power:look-again"] .tick input').disabled`); !off {
		t.Error("power-up can be ticked while the cell that bars it is not new")
	}
	p.clickAt("#out-BT1 .card > summary")
	p.clickAt("#out-BT1 input[value=leaking]")
	p.clickAt("#out-BT1 .tick")
	p.clickAt(`[data-key="fit:BT1"] .tick`)
	p.until("power-up is free",
		`!document.querySelector('[data-key="power:look-again"] .tick input').disabled && document.querySelector("[data-barred]").hidden`)
	p.clickAt("#out-C40 .card > summary")
	p.clickAt("#out-C40 input[value=drifted]")
	p.clickAt("#out-C40 input[data-of=capacitance]")
	p.type_("310")
	p.clickAt("#out-C40 [data-text]")
	p.type_("base wet")
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#out-C40 [data-photo]"), []string{p.file("seen.jpg", turnedPicture(t))}))
	shown := `!document.querySelector("#out-C40 [data-shown]").hidden && document.querySelector("#out-C40 [data-shown]").naturalWidth > 0`
	p.until("the photograph is shown", shown)
	p.clickAt("input[data-check=rail-short]")
	p.type_("0.2")
	p.until("a reading outside says what it may mean",
		`!document.querySelector("[data-check=rail-short]").closest(".say").querySelector("[data-outside]").hidden`)

	p.click("Look")
	p.until("what the reading casts doubt on is named",
		`document.querySelector("[data-suspects]").textContent.includes("Its reading is not right: No short on the 9 V rail.")`)
	for text, wrong := range map[string]bool{"470 Ω": true, "470": false, "4k7": false, "2 kΩ": false, "0,9": true, "1.2 MΩ": false,
		"3 V": false, "": false} {
		js := `(() => { const i = document.querySelector("input[data-check=rail-short]"); i.value = ` + strconv.Quote(text) +
			`; i.dispatchEvent(new Event("input", { bubbles: true })); return i.parentElement.classList.contains("wrong") })()`
		if got := ask[bool](p, js); got != wrong {
			t.Errorf("a reading of %q where 1 kΩ or more is right is wrong: %v", text, got)
		}
	}
	ask[bool](p, `(document.querySelector("input[data-check=rail-short]").value = "0.2",
		document.querySelector("input[data-check=rail-short]")).dispatchEvent(new Event("input", { bubbles: true }))`)

	ask[bool](p,
		`(document.querySelector("#job-kit").value = "bag-one", document.querySelector("#job-kit")).dispatchEvent(new Event("input", { bubbles: true }))`)
	p.fill("Lines of which some were left over", "2, 1")
	p.fill("Positions for which it had nothing", "C40")

	p.open(jobPage) // the tab was closed
	held := `document.querySelector("#out-BT1 .tick input").checked && document.querySelector("#out-C40 input[value=drifted]").checked && document.querySelector("#out-C40 [data-of=capacitance]").value === "310" && document.querySelector("[data-field=unit]").value === "shelf 4"`
	p.until("what was kept is there", held)
	p.until("the photograph, too", `!document.querySelector("#out-C40 [data-shown]").hidden`)

	ask[bool](p,
		`(() => { const make = URL.createObjectURL; URL.createObjectURL = (b) => { if (b.type === "application/json") b.text().then((x) => { window.taken = x }); return make.call(URL, b) }; return true })()`)
	p.click("Take it away as a file")
	p.until("a file was taken away", "!!window.taken")
	file := ask[string](p, "window.taken")
	type measured struct {
		Of    string `json:"of"`
		Value string `json:"value"`
	}
	var r struct {
		Unit string `json:"unit"`
		Kit  struct {
			Kit     string   `json:"kit"`
			Left    []int    `json:"left_over"`
			Missing []string `json:"missing"`
		} `json:"kit"`
		Positions []struct {
			Done     string     `json:"done"`
			Text     string     `json:"text"`
			Measured []measured `json:"measured"`
		} `json:"positions"`
	}
	if err := json.Unmarshal([]byte(file), &r); err != nil || len(r.Positions) != 2 ||
		r.Positions[0].Done != "replaced" || r.Positions[1].Measured[0].Value != "310 µF" ||
		r.Positions[1].Text != "base wet" || r.Unit != "shelf 4" ||
		r.Kit.Kit != "bag-one" || !slices.Equal(r.Kit.Left, []int{2, 1}) || !slices.Equal(r.Kit.Missing,
		[]string{"C40"}) {
		t.Errorf("the file says %s", file)
	}

	p.click("working")
	p.follow("Make a record")
	p.see("This job is filed as a record.")
	_, body := w.visitor(t, "").get("/v1/boards/" + boardID + "/experience")
	want(t, body, `"C40"`, `"drifted"`, `"hum"`)
	filed := ask[string](p, `document.querySelector("#job").dataset.filed`)
	_, kept := w.visitor(t, "").get("/v1/records/" + filed)
	want(t, kept, `"photographs":["`)
	if strings.Contains(body, "shelf 4") {
		t.Error("the mark of the unit is told")
	}

	p.open(jobPage)
	p.until("the copy is made",
		`window.kept || (caches.match(location.href).then((x) => { window.kept = !!x }), false)`)
	w.Close()
	p.open(jobPage)
	p.see("On the bench")
	p.until("without a network it is there", held)
	p.sat.said() // the browser tells of the network that is not there
}

// TestBuildProposed: what units hold instead of the map's parts is offered as a
// build, prefilled with the records as its evidence, and can be submitted.
func TestBuildProposed(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	for _, unit := range []string{"7", "8", "9"} { // which are records 1, 2 and 3
		found := map[bool]string{true: `found":"good"`, false: `found":"differs"`}[unit == "9"]
		doc := strings.Replace(jobDocument(unit), `found":"drifted"`, found, 1)
		if unit == "9" {
			doc = strings.Replace(doc, "310 µF", "1020 µF", 1)
		}
		if status, body := v.post(jobPage, jobPage, url.Values{"record": {doc}, "once": {unit}}); status != 200 {
			t.Fatalf("filed: %d %s", status, body)
		}
	}
	said := "1 unit as mapped, 2 with 330 µF: perhaps another build"
	_, body := v.get("/boards/" + boardID + "/positions/C40")
	want(t, body, said, "build=C40", "Propose this build")
	_, body = v.get("/boards/" + boardID)
	want(t, body, "C40: "+said)
	path := "/contribute?board=" + boardID + "&build=C40"
	_, body = v.get(path)
	want(t, body, "With 330 µF at C40", "Record 1 of ", "Record 2 of ", "C40 is 310 µF.")
	form := url.Values{"map": {htmlUnescape(hiddenMap.FindStringSubmatch(body)[1])}, "base": {"2"}, "act": {"submit"},
		"summary": {"Another build, with 330 µF at C40."}, "evidence": {"Record 1: C40 is 310 µF."}}
	if status, body := v.post(path, "/contribute", form); status != 200 || !strings.Contains(body, "330 µF") {
		t.Errorf("submitted: %d %s", status, body)
	}
	if _, body := v.get("/contribute?board=" + boardID + "&build=C3"); strings.Contains(body, "With ") && strings.Contains(body, "build-2") {
		t.Error("a position at which nothing differs makes a build")
	}
}
