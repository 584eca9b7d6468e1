package pages_test

import (
	"fmt"
	"html"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/go-json-experiment/json"

	"boardlore/schema"
)

// cellOf brings the sheet's mark onto a cell, of a position by its designator.
func (p *person) cellOf(column, designator string) {
	p.t.Helper()
	x, y := p.point(`(() => {
		const heads = [...document.querySelectorAll("table.sheet thead th")].map((t) => tidy(t.textContent));
		const row = [...document.querySelectorAll("table.sheet tbody tr")].find((r) => r.cells[1] && r.cells[1].textContent === %s);
		return row && row.cells[heads.indexOf(%s)];
	})()`, designator, column)
	p.do(chromedp.MouseClickXY(x, y))
}

// enter types into a cell: of the sheet where there are scripts, else of the
// plain table.
func (p *person) enter(s sees, column, designator, text string) {
	p.t.Helper()
	if !s.script {
		p.fill(column+", "+designator, text)
		return
	}
	p.cellOf(column, designator)
	p.do(chromedp.KeyEvent(kb.Enter))
	_, err := chromedp.Call(p.ctx, input.InsertText, input.InsertTextParams{Text: text})
	p.ok(err)
	p.do(chromedp.KeyEvent(kb.Enter))
}

// inCell is what such a cell holds.
func (p *person) inCell(s sees, column, designator string) string {
	p.t.Helper()
	if !s.script {
		return p.held(column + ", " + designator)
	}
	return ask[string](p, `(() => {
		const heads = [...document.querySelectorAll("table.sheet thead th")].map((t) => tidy(t.textContent));
		const row = [...document.querySelectorAll("table.sheet tbody tr")].find((r) => r.cells[1] && r.cells[1].textContent === %s);
		return row.cells[heads.indexOf(%s)].textContent;
	})()`, designator, column)
}

// leaves are the members of the schema of maps that hold something, by their
// path with # for the items of a list, found by nothing but the documents.
func leaves(t *testing.T) (out []string) {
	t.Helper()
	doc := func(name string) map[string]any {
		tree, err := schema.Tree(name)
		if err != nil {
			t.Fatal(err)
		}
		return tree
	}
	var walk func(node map[string]any, in, path string)
	walk = func(node map[string]any, in, path string) {
		for ref, ok := node["$ref"].(string); ok; ref, ok = node["$ref"].(string) {
			name, at, _ := strings.Cut(ref, "#")
			if name != "" {
				in = name
			}
			node = doc(in)
			for k := range strings.SplitSeq(strings.Trim(at, "/"), "/") {
				if k != "" {
					node = node[k].(map[string]any)
				}
			}
		}
		if ps, ok := node["properties"].(map[string]any); ok {
			for k, child := range ps {
				walk(child.(map[string]any), in, strings.TrimPrefix(path+"."+k, "."))
			}
			return
		}
		items, _ := node["items"].(map[string]any)
		if ref, ok := items["$ref"].(string); ok && (strings.Contains(ref, "position") ||
			strings.Contains(ref, "change")) || items["properties"] != nil {
			walk(items, in, path+".#")
			return
		}
		out = append(out, path)
	}
	walk(doc("map"), "map", "")
	slices.Sort(out)
	return out
}

// TestEveryMemberIsReachable walks the schema of maps: every member has a field on
// the pages. What the server alone says has none, and the places of a
// photograph are one field of lines.
func TestEveryMemberIsReachable(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	doc := `{"board":"b","positions":[{"designator":"C1","part":{"class":"capacitor"}}],"variants":[{"variant":"v","changes":[{}]}],"failure_points":[{}],"checks":[{}],"cautions":[{}],"photographs":[{}]}`
	status, body := v.post("/contribute", "/contribute", url.Values{"map": {doc}, "base": {"0"}, "act": {"open-0"},
		"change": {"variants.0.changes.0"}})
	if status != 200 {
		t.Fatalf("status %d", status)
	}
	has := map[string]bool{}
	for _, m := range regexp.MustCompile(`name="([^"]+)"`).FindAllStringSubmatch(body, -1) {
		n := strings.Replace(m[1], "p0.", "map.positions.0.", 1)
		has[strings.TrimPrefix(strings.ReplaceAll(n, ".0.", ".#."), "map.")] = true
	}
	elsewhere := map[string]string{"$schema": "", "variant": "", "of": "", // made, or dropped, by the server
		"photographs.#.points.#.pixel": "photographs.#.points", "photographs.#.points.#.mm": "photographs.#.points",
		"variants.#.changes.#.set": "variants.#.changes.#.set.part.value"}
	found := leaves(t)
	if len(found) < 100 {
		t.Fatalf("the schema has %d members: %v", len(found), found)
	}
	for _, path := range found {
		to, other := elsewhere[path]
		if other && to == "" {
			continue
		}
		if !has[path] && !has[to] {
			t.Errorf("%s has no field on the page", path)
		}
	}
	for _, path := range found { // whatever a position has, a build may set
		if rest, ok := strings.CutPrefix(path, "positions.#."); ok && !has["variants.#.changes.#.set."+rest] {
			t.Errorf("a build cannot set %s", rest)
		}
	}
}

var otherHidden = regexp.MustCompile(`name="(draft|kept)" value="([^"]*)"`)

// drafted is the map that a page of the editor holds, and the hidden fields by
// which it goes on.
func drafted(t *testing.T, body string) (m map[string]any, form url.Values) {
	t.Helper()
	doc := html.UnescapeString(hiddenMap.FindStringSubmatch(body)[1])
	if err := json.Unmarshal([]byte(doc), &m); err != nil {
		t.Fatal(err)
	}
	form = url.Values{"map": {doc}}
	for _, h := range otherHidden.FindAllStringSubmatch(body, -1) {
		form.Set(h[1], h[2])
	}
	return m, form
}

// TestReferencesGoAlong: a position's new name is carried to where the map
// speaks of it, and one that is taken away is spoken of no more; both are said.
func TestReferencesGoAlong(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	doc := `{"board":"b","positions":[{"designator":"C1"},{"designator":"C2"},{"designator":"C3"}],"failure_points":[{"id":"f","positions":["C1","C2"]}],
		"checks":[{"id":"c","between":["C1+","ground"]}],"variants":[{"variant":"v","changes":[{"designator":"C1","set":{"notes":"x"}},{"omit":"C2"}]}]}`
	_, body := v.post("/contribute", "/contribute", url.Values{"map": {doc}, "base": {"0"}, "act": {"check"},
		"p0.designator": {"C9"}, "p1.remove": {"1"}})
	want(t, body, "carried along in 3 other places", "C2: taken out of 2 other places")
	m, _ := drafted(t, body)
	got, err := json.Marshal(map[string]any{"f": m["failure_points"], "c": m["checks"], "v": m["variants"]},
		json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"c":[{"between":["C9+","ground"],"id":"c"}],"f":[{"id":"f","positions":["C9"]}],"v":[{"changes":[{"designator":"C9","set":{"notes":"x"}}],"variant":"v"}]}`; string(got) != want {
		t.Errorf("%s\nwant %s", got, want)
	}
}

// TestManyAtOnce: without scripts many positions are changed by one form, and
// cells of a spreadsheet are taken in whole or told.
func TestManyAtOnce(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	doc := `{"board":"b","positions":[{"designator":"C1","part":{"class":"capacitor"}},{"designator":"C2","part":{"class":"capacitor"}},{"designator":"R1","part":{"class":"resistor"}}]}`
	_, body := v.post("/contribute", "/contribute", url.Values{"map": {doc}, "base": {"0"}, "act": {"bulk"},
		"bulk.which": {"capacitor"}, "bulk.member": {"part.voltage"}, "bulk.value": {"16 V"}})
	want(t, body, "Voltage was set on 2 positions")
	_, form := drafted(t, body)
	form.Set("act", "paste")
	form.Set("base", "0")
	form.Set("pasted", "Designator\tValue\tRail\tWhim\nC1\t4.7 µF 35V bipolar\t+5V\tx\nC7\t10u\t\t\n")
	_, body = v.post("/contribute", "/contribute", form)
	want(t, body, "Rows taken in: 2", "C1: 4.7 µF 35V bipolar was taken in whole", "Row 2: no column is meant for x")
	m, _ := drafted(t, body)
	got, err := json.Marshal(m["positions"].([]any)[0], json.Deterministic(true))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{`"value":"4.7 µF"`, `"voltage":"35 V"`, `"polarised":false`, `"rail":"+5V"`} {
		if !strings.Contains(string(got), s) {
			t.Errorf("C1 lacks %s: %s", s, got)
		}
	}
	if n := len(m["positions"].([]any)); n != 4 {
		t.Errorf("%d positions", n)
	}
}

// TestDraftsAreKept: what somebody signed in types is kept at every step; a
// second window is told apart and nothing is written over; a link shares it; a
// submitted draft is gone.
func TestDraftsAreKept(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	_, body := v.get("/contribute?board=" + boardID)
	_, form := drafted(t, body)
	form.Set("base", "2")
	form.Set("act", "check")
	form.Set("summary", "C1 again.")
	form.Set("p0.notes", "First window.")
	_, body = v.post("/contribute", "/contribute", form)
	_, form = drafted(t, body)
	if form.Get("draft") == "" || form.Get("kept") == "" {
		t.Fatal("nothing was kept")
	}
	_, start := v.get("/contribute")
	want(t, start, "Go on where you left", "/contribute?draft="+form.Get("draft"))
	_, again := v.get("/contribute?draft=" + form.Get("draft"))
	want(t, again, "C1 again.", "First window.", "Version 1")

	form.Set("base", "2")
	form.Set("act", "check")
	other := url.Values{}
	for k, x := range form {
		other[k] = x
	}
	form.Set("p0.notes", "Second step.")
	if status, _ := v.post("/contribute", "/contribute", form); status != 200 {
		t.Fatalf("second step: %d", status)
	}
	other.Set("p0.notes", "Other window.")
	status, body := v.post("/contribute", "/contribute", other)
	if status != 412 {
		t.Errorf("the other window: %d", status)
	}
	want(t, body, "saved elsewhere", "Other window.", "Keep this one over it")
	_, again = v.get("/contribute?draft=" + form.Get("draft"))
	want(t, again, "Second step.")

	other.Set("act", "over")
	if status, body = v.post("/contribute", "/contribute", other); status != 200 {
		t.Errorf("over it: %d", status)
	}
	_, form = drafted(t, body)
	form.Set("base", "2")
	form.Set("act", "share")
	_, body = v.post("/contribute", "/contribute", form)
	link := regexp.MustCompile(`href="(/contribute\?shared=[^"]+)"`).FindStringSubmatch(body)
	if link == nil {
		t.Fatal("no link")
	}
	_, shared := w.visitor(t, "").get(link[1])
	want(t, shared, "Other window.", "yours alone")
	_, earlier := v.get("/contribute?draft=" + form.Get("draft") + "&version=2")
	want(t, earlier, "Second step.")

	_, form = drafted(t, body)
	form.Set("base", "2")
	form.Set("act", "submit")
	form.Set("summary", "C1 again.")
	form.Set("evidence", "C1: read on the sleeve.")
	if status, body = v.post("/contribute", "/contribute", form); status != 200 {
		t.Fatalf("submit: %d", status)
	}
	want(t, body, "The proposal was submitted.")
	if status, _ = v.get("/contribute?draft=" + form.Get("draft")); status != 404 {
		t.Errorf("the submitted draft answers %d", status)
	}
}

// TestFortyCapacitors: construction, voltage, service and lead direction of
// forty capacitors in under 60 keystrokes and clicks. A choice from a list
// counts as two clicks.
func TestFortyCapacitors(t *testing.T) {
	w := newSite(t)
	p := w.person(t, w.author, sees{true, wide})
	var list strings.Builder
	list.WriteString("Designator,X (mm),Y (mm),Rotation,Side,Value\n")
	for i := range 40 {
		fmt.Fprintf(&list, "C%d,%d,%d,90,top,47uF\n", i+1, 5+i%8*10, 5+i/8*10)
	}
	list.WriteString("R1,90,10,0,top,10k\n")
	p.open("/contribute")
	for _, f := range [][2]string{{"Board ID", "fellside-psu"}, {"Name of the board", "Supply"}, {"Maker", "Fellside"},
		{"Model", "PS-1"}} {
		p.fill(f[0], f[1])
	}
	p.upload("Placement list", p.file("list.csv", list.String()))
	p.follow("Make a draft")
	acts := 0
	click := func(name string) { acts++; p.click(name) }
	keys := func(text string) {
		for _, r := range text {
			acts++
			p.type_(string(r))
		}
	}
	click("Filter: designators or words")
	keys("C1-C40")
	p.see("40 of 41", "These 40:")
	for _, set := range [][2]string{{"Construction", "aluminium-e"}, {"Voltage", "16V"}, {"Service", "rep"},
		{"Negative lead, °", "down"}} {
		acts += 2
		p.choose("Member", set[0])
		click("to")
		p.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(kb.ModifierCtrl)))
		acts++
		keys(set[1] + kb.Enter)
	}
	p.see("was set on 40 rows")
	if acts >= 60 {
		t.Errorf("it took %d keystrokes and clicks", acts)
	}
	t.Logf("%d keystrokes and clicks", acts)
	p.see("Kept ")
	p.until("the draft is kept with it",
		`JSON.parse(document.querySelector('[name="map"]').value).positions.filter((q) => q.negative_deg === 270).length === 40`)
	p.follow("Check and draw again")
	m, fs := schema.ReadMap([]byte(ask[string](p, `document.querySelector('[name="map"]').value`)))
	if m == nil {
		t.Fatal(fs)
	}
	for i := range m.Positions {
		q := &m.Positions[i]
		if is := q.Part.Construction == "aluminium-electrolytic" && q.Part.Voltage.String() == "16 V" &&
			q.Service == "replace" && q.Negative != nil && *q.Negative == 270; is != (q.Designator[0] == 'C') {
			t.Errorf("%s: %s, %s, %v", q.Designator, q.Part.String(), q.Service, q.Negative)
		}
	}
}

// TestSheetByKeys: cells are typed, filled down, pasted whole, undone; what a
// closed tab leaves is offered again.
func TestSheetByKeys(t *testing.T) {
	w := newSite(t)
	s := sees{true, wide}
	p := w.person(t, "", s)
	p.open("/contribute?board=" + boardID)
	p.enter(s, "Value", "C1", "4.7 µF 35V bipolar")
	p.see("was taken in whole")
	if got := p.inCell(s, "Voltage", "C1"); got != "35 V" {
		t.Errorf("the voltage is %q", got)
	}
	p.cellOf("Notes", "C1")
	p.type_("x")
	p.do(chromedp.KeyEvent("y"), chromedp.KeyEvent(kb.Enter))
	p.do(chromedp.KeyEvent("d", chromedp.KeyModifiers(kb.ModifierCtrl)))
	if a, b := p.inCell(s, "Notes", "C1"), p.inCell(s, "Notes", "C2"); a != "xy" || b != "xy" {
		t.Errorf("typed and filled down: %q, %q", a, b)
	}
	p.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(kb.ModifierCtrl)))
	if b := p.inCell(s, "Notes", "C2"); b == "xy" {
		t.Error("filling down was not undone")
	}
	p.cellOf("Value", "C2")
	ask[bool](p,
		`(() => { const d = new DataTransfer(); d.setData("text/plain", "22 µF\t50 V\n"); document.dispatchEvent(new ClipboardEvent("paste", { clipboardData: d, bubbles: true, cancelable: true })); return true })()`)
	if a, b := p.inCell(s, "Value", "C2"), p.inCell(s, "Voltage", "C2"); a != "22 µF" || b != "50 V" {
		t.Errorf("pasted: %q, %q", a, b)
	}
	p.open("/contribute")
	p.see("There is a draft in this browser that was not sent.")
	p.follow("Go on with it")
	if got := p.inCell(s, "Value", "C2"); got != "22 µF" {
		t.Errorf("after coming back C2 is %q", got)
	}
	ask[bool](p, "(localStorage.clear(), true)")
}

// TestLargeListToDraft: a list of 1,495 parts comes to a submitted draft with no row
// lost and few questions, which stand until they are answered; an answer moves
// the places.
func TestLargeListToDraft(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	var list strings.Builder
	list.WriteString("! Units: mils\nRef,Value,X,Y,Rot,Side\n")
	for i := range 1495 {
		fmt.Fprintf(&list, "C%d,%s,%d,%d,0,%s\n", i+1, []string{"CC1206_10UF_25V_10%_X7R", "odd_name_7"}[i%2], 200+
			i%40*250, 200+i/40*200, []string{"top", "bottom"}[i%5/4])
	}
	fields := map[string]string{"act": "placements", "board": "fellside-large", "name": "Large", "maker": "Fellside",
		"model": "L-1"}
	status, body := v.file("/contribute", "/contribute", fields, map[string]string{"placements": list.String()})
	if status != 200 {
		t.Fatalf("status %d", status)
	}
	m, form := drafted(t, body)
	questions := strings.Count(body, `name="answered.`) +
		len(slices.Compact(regexp.MustCompile(`name="answer\.[a-z-]+"`).FindAllString(body, -1)))
	if n := len(m["positions"].([]any)); n != 1495 || questions == 0 || questions > 10 ||
		strings.Contains(body, "Rows that were not used") {
		t.Fatalf("%d positions, %d questions", n, questions)
	}
	told := func() url.Values {
		for _, k := range []string{"questions", "problems"} {
			form.Set(k, html.UnescapeString(regexp.MustCompile(`name="` + k +
				`" value="([^"]*)"`).FindStringSubmatch(body)[1]))
		}
		form.Set("base", "0")
		return form
	}
	told().Set("act", "check")
	_, body = v.post("/contribute", "/contribute", form)
	want(t, body, "does not say how it sees them")
	_, form = drafted(t, body)
	told().Set("act", "check")
	form.Set("answer.bottom", "seen-from-bottom")
	_, body = v.post("/contribute", "/contribute", form)
	want(t, body, "299 parts of the bottom side were mirrored")
	if strings.Contains(body, "does not say how it sees them") {
		t.Error("what was answered is asked again")
	}
	_, form = drafted(t, body)
	told().Set("act", "submit")
	form.Set("summary", "From the layout's list.")
	if status, body = v.post("/contribute", "/contribute", form); status != 200 {
		t.Fatalf("submit: %d %.600s", status, body)
	}
	want(t, body, "The proposal was submitted.")
}
