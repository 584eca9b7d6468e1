package pages_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"boardlore/store"
)

// ways are how each journey is gone: at a desk with the script, and on a phone
// without it.
var ways = []sees{{script: true, width: wide}, {script: false, width: phone}}

// TestJourneys goes the journeys that leave the registry as it was, each way.
func TestJourneys(t *testing.T) {
	w := newSite(t)
	for _, s := range ways {
		for name, journey := range map[string]func(*testing.T, *site, sees){"find": find, "board": lookAt,
			"position": position, "kit": checkKit, "sign in": signIn} {
			t.Run(name+" "+s.String(), func(t *testing.T) {
				t.Parallel()
				journey(t, w, s)
			})
		}
	}
	t.Run("board at the bench", func(t *testing.T) {
		t.Parallel()
		lookAt(t, w, sees{script: true, width: phone})
	})
}

// TestActs goes the journeys that change the registry, each way on a site of
// its own.
func TestActs(t *testing.T) {
	for _, s := range ways {
		t.Run(s.String(), func(t *testing.T) {
			w := newSite(t)
			t.Run("contribute", func(t *testing.T) { contribute(t, w, s) })
			t.Run("keys", func(t *testing.T) { keys(t, w, s) })
			t.Run("review", func(t *testing.T) { reviewAll(t, w, s) })
		})
	}
}

func find(t *testing.T, w *site, s sees) {
	p := w.person(t, "", s)
	p.open("/")
	p.fill("Marking, name or size", "fellside")
	p.follow("Find")
	p.see("1 found", "Fellside MP-4, microphone preamplifier")
	p.fill("Marking, name or size", "nothing like it")
	p.follow("Find")
	p.see("0 found", "No board like this is known here.")
	p.fill("Marking, name or size", "fs-4410-b")
	p.follow("Find")
	p.see("1 found", "Just what you asked for")
	p.open("/")
	p.click("By what it looks like")
	p.fill("Width, mm", "84")
	p.fill("Height, mm", "158,5")
	p.follow("Find by look")
	p.see("1 found", "158 × 84 mm")
	if got := p.held("Height, mm"); got != "158,5" {
		t.Errorf("the height that was typed is now %q", got)
	}
	p.follow("Fellside MP-4, microphone preamplifier")
	if at := p.at(); at != "/boards/"+boardID {
		t.Errorf("the board is at %s", at)
	}
}

func lookAt(t *testing.T, w *site, s sees) {
	p := w.person(t, "", s)
	step := p.leave
	if s.script {
		step = func(act func()) { act() } // the page stays
	}
	p.open("/boards/" + boardID)
	order := ask[[]float64](p,
		`[".stops", "#drawing", "#cautions", "#failures"].map((s) => document.querySelector(s).getBoundingClientRect().top)`)
	if !slices.IsSorted(order) || order[1] > 600 {
		t.Errorf("stops, drawing, cautions and failure points stand at %v", order)
	}

	p.unfold("C14")
	step(func() { p.clickAt("#row-C14 th a") })
	p.until("C14 marked", `document.querySelector("tr.marked")?.dataset.row === "C14"`)
	p.sameMark("C14")
	p.inSight(`g[data-designator="C14"]`)
	if s.width == phone {
		p.open("/boards/" + boardID + "?mark=c3") // the whole drawing is for zones
	} else {
		step(func() { p.clickAt(`g[data-designator="C3"]`) })
	}
	p.until("C3 marked", `document.querySelector("tr.marked")?.dataset.row === "C3"`)
	p.sameMark("C3")
	if said := ask[string](p, `tidy(document.querySelector(".picked-line").innerText)`); !strings.HasPrefix(said,
		"C3 100 µF") {
		t.Errorf("beside the drawing stands %q", said)
	}

	before := ask[float64](p, `document.querySelector(".pane svg").getBoundingClientRect().width`)
	if s.width == phone {
		p.nearer(s, "C3")
	} else {
		step(func() { p.click("4×") })
		p.until("zoomed", `document.querySelector(".pane").classList.contains("zoom-4")`)
	}
	if after := ask[float64](p, `document.querySelector(".pane svg").getBoundingClientRect().width`); after < 3*before {
		t.Errorf("enlarged, the drawing grew from %.0f to %.0f px", before, after)
	}
	p.pan()
	p.sameMark("C3")

	p.open("/boards/" + boardID + "?service=inspect")
	if n := ask[int](p, `document.querySelectorAll("[data-row]").length`); n != 1 {
		t.Errorf("the filter shows %d positions", n)
	}
	p.follow("Bottom")
	p.see("Bottom side, turned over left to right")
	p.open("/boards/" + boardID)
	p.follow("Export build, 1988")
	if ask[bool](p, `!!document.querySelector("[data-row='C124']")`) {
		t.Error("the export build shows a part that it lacks")
	}
	p.follow("Base map")
	p.unfold("C124")
	p.leave(func() { p.clickAt("#row-C124 th a") }) // on the other side: the page turns the board, script or not
	p.sameMark("C124")
	p.see("Bottom side, turned over left to right")
}

// TestTaps counts the tasks of the bench on a phone: a part and its polarity from
// the home page in three taps, a kit in two and a paste, without scrolling, and
// nothing moves while a page loads.
func TestTaps(t *testing.T) {
	w := newSite(t)
	p := w.person(t, "", sees{script: true, width: phone})
	p.do(chromedp.EmulateViewport(390, 844))
	taps := 0
	tap := func(element string, args ...any) {
		t.Helper()
		at := ask[[4]float64](p, `(() => { const e = `+
			element+`, b = e.getClientRects()[0], x = b.left + b.width / 2, y = b.top + b.height / 2, o = document.elementFromPoint(x, y);
			return [x, y, o && (o === e || e.contains(o) || o.contains(e)) ? 1 : 0, scrollY] })()`, args...)
		if at[2] == 0 || at[3] != 0 {
			t.Errorf("%s: %v %v is not to be tapped without scrolling: %v", p.at(), element, args, at)
		}
		p.do(chromedp.MouseClickXY(at[0], at[1]))
		taps++
	}
	still := func() {
		t.Helper()
		if moved := ask[float64](p,
			`performance.getEntriesByType("layout-shift").reduce((n, s) => n + (s.hadRecentInput ? 0 : s.value), 0)`); moved > 0 {
			t.Errorf("%s moved by %v", p.at(), moved)
		}
	}
	p.open("/")
	still()
	p.leave(func() { tap("named(%s)", "Fellside MP-4, microphone preamplifier") })
	still()
	tap(`(() => { const g = document.querySelector('g[data-designator="C3"]').getBoundingClientRect(), x = g.left + g.width / 2, y = g.top + g.height / 2;
		return [...document.querySelectorAll(".zones a")].find((z) => { const b = z.getBoundingClientRect(); return b.left <= x && x <= b.right && b.top <= y && y <= b.bottom }) })()`)
	p.until("nearer", `!document.querySelector(".pane").classList.contains("zoom-1")`)
	tap(`document.querySelector('g[data-designator="C3"]')`)
	p.inSight(".picked-line .minus")
	p.see("Minus to the left, as drawn")
	if taps != 3 {
		t.Errorf("C3 and its polarity took %d taps", taps)
	}
	taps = 0
	p.open("/boards/" + boardID)
	p.leave(func() { tap("named(%s)", "Check a kit") })
	ask[bool](p, `(named("Paste the list of parts").focus({ preventScroll: true }), true)`)
	_, err := chromedp.Call(p.ctx, input.InsertText, input.InsertTextParams{Text: "1 x 47uF 25V C1"}) // as pasting does
	p.ok(err)
	p.leave(func() { p.clickAt("main button.strong"); taps++ })
	p.see("short")
	if taps != 2 {
		t.Errorf("a kit took %d taps and a paste", taps)
	}
}

// nearer taps the zone of a position on a phone. There letters are at least 11
// px high and what a finger hits is at least 24 px wide and high.
func (p *person) nearer(s sees, d string) {
	p.t.Helper()
	zone := ask[string](p, `(() => { const g = document.querySelector('g[data-designator="' + %s + '"]').getBoundingClientRect(), x = g.left + g.width / 2, y = g.top + g.height / 2;
		return [...document.querySelectorAll(".zones g")].find((z) => { const b = z.getBoundingClientRect(); return b.left <= x && x <= b.right && b.top <= y && y <= b.bottom }).id })()`, d)
	tap := func() { p.clickAt(".zones a:has(#" + zone + ")") }
	if s.script {
		tap()
	} else {
		p.leave(tap)
	}
	p.until("nearer", `!document.querySelector(".pane").classList.contains("zoom-1")`)
	p.inSight(`g[data-designator="` + d + `"]`)
	got := ask[[2]float64](p, `[Math.min(...[...document.querySelectorAll(".pane .labels text")].map((t) => parseFloat(getComputedStyle(t).fontSize) * t.getScreenCTM().a)),
		Math.min(...[...document.querySelectorAll(".pane g[data-designator]")].map((g) => { const b = g.getBoundingClientRect(); return Math.min(b.width, b.height) }))]`)
	if got[0] < 11 || got[1] < 23.9 {
		p.t.Errorf("letters of %.1f px, targets of %.1f px", got[0], got[1])
	}
}

// unfold opens the row of like parts that a position is in, if it is closed.
func (p *person) unfold(d string) {
	p.t.Helper()
	ask[bool](p, `(() => { const c = document.getElementById("row-`+d+
		`").closest("tbody").querySelector(".open"); if (c && !c.checked) c.click(); return true })()`)
}

// sameMark checks that list and drawing mark one and the same position.
func (p *person) sameMark(d string) {
	p.t.Helper()
	if row, ring := p.marked(); row != d || ring != d {
		p.t.Errorf("%s: the list marks %q and the drawing %q, want %s", p.at(), row, ring, d)
	}
}

// arrow presses the arrow key until the drawing has moved.
func (p *person) arrow() {
	p.t.Helper()
	for range 200 {
		p.do(chromedp.KeyEvent(kb.ArrowRight))
		if ask[float64](p, `document.querySelector(".pane").scrollLeft`) > 20 {
			return
		}
	}
	p.t.Errorf("%s: the arrow key doesn't move the drawing", p.at())
}

// pan moves the drawing with the keys, and with the mouse where there is a
// script.
func (p *person) pan() {
	p.t.Helper()
	left := func() float64 { return ask[float64](p, `document.querySelector(".pane").scrollLeft`) }
	ask[bool](p, `(document.querySelector(".pane").focus(), document.querySelector(".pane").scrollLeft = 0, true)`)
	p.arrow()
	if !ask[bool](p, `document.querySelector(".pane").classList.contains("grab")`) {
		return
	}
	at := left()
	x, y := p.point(`document.querySelector(".pane")`)
	p.do(chromedp.DragAndDropXY(x, y, x-80, y-30, 4))
	if now := left(); now < at+60 {
		p.t.Errorf("dragged by 80 px, the drawing went from %.0f to %.0f", at, now)
	}
}

func position(t *testing.T, w *site, s sees) {
	p := w.person(t, "", s)
	p.open("/boards/" + boardID + "?mark=c3")
	p.follow("All about C3")
	p.see("100 µF", "Negative lead", "Minus to the left, as drawn", "Where it sits", "History",
		"proposed by Ada, released by Rune", "Calliper.")
	p.inSight("h1")
	if _, ring := p.marked(); ring != "C3" {
		t.Errorf("the drawing marks %q", ring)
	}
	p.leave(func() { p.clickAt(".crumb a") })
	p.click("More")
	p.follow("What changed")
	p.see("From revision 1 to 2", "C3 was at", "1.5 mm away")
	if n := ask[int](p, `document.querySelectorAll(".pane svg").length`); n != 1 {
		t.Errorf("%d drawings where one side changed", n)
	}
	p.choose("From revision", ask[string](p, `tidy(named("From revision").options[0].textContent)`))
	p.follow("Show")
	p.see("Nothing differs.")
}

func reviewAll(t *testing.T, w *site, s sees) {
	for i, token := range []string{w.reviewer, w.second} {
		p := w.person(t, token, s)
		p.open("/desk")
		first := ask[string](p, `tidy(document.querySelector(".queue li").innerText)`)
		if !strings.Contains(first, "hazardous") || !strings.Contains(first, "C5 stands the other way round.") {
			t.Errorf("first on the desk: %s", first)
		}
		p.leave(func() { p.clickAt(".queue li a") })
		p.see("Hazard 1 of 1:", "On the drawing", "Checklist", "Evidence", "The plus is printed on the board.")
		if i == 0 {
			p.click("query Something has to be answered first; the author gets it back.")
			p.fill("In short", "Which board?")
			p.fill("Position", "ZZ9")
			p.fill("Remark", "Here.")
			p.follow("Give the review")
			p.see("ZZ9")
			if a, b := p.held("In short"), p.held("Position"); a != "Which board?" || b != "ZZ9" {
				t.Errorf("after the refusal the form holds %q and %q", a, b)
			}
		}
		p.click("endorse The map is right as far as you can tell.")
		p.fill("In short", "Same on mine.")
		p.fill("Position", "C5")
		p.fill("Remark", "Measured.")
		p.follow("Give the review")
		p.see("Your review was kept.", "Measured.")
		if i == 0 {
			p.follow("Release")
			p.see("needs one more endorsement")
			continue
		}
		p.fill("Note (may be empty)", "Two agree.")
		p.follow("Release")
		p.see("The proposal was released.", "Revision 3")
	}
	p := w.person(t, w.steward, s)
	p.open("/proposals/" + id(w.harmless))
	p.fill("Why it is declined", "No source.")
	p.follow("Decline")
	p.see("The proposal was declined.", "No source.")
	p.open("/desk")
	p.see("declined")
}

func checkKit(t *testing.T, w *site, s sees) {
	p := w.person(t, "", s)
	p.open("/boards/" + boardID)
	p.follow("Check a kit")
	p.follow("Check it")
	p.see("Paste a list, or choose a file.")
	p.fill("Paste the list of parts", "1 x 10uF 6.3V for C1\nmoonshine")
	p.follow("Check it")
	p.see("Do not fit this kit as it is labelled", "Do this first", "moonshine", "To buy", "Cautions")
	p.click("Check another list")
	if !strings.Contains(p.held("Paste the list of parts"), "moonshine") {
		t.Error("the list is gone")
	}
	if n := ask[int](p, `document.querySelectorAll(".pane svg").length`); n != 2 {
		t.Errorf("the result stands on %d drawings", n)
	}
	if n := ask[int](p,
		`document.querySelectorAll(".pane svg g.badges *, .pane svg [class*=badge] *, .pane svg .labels *").length`); n == 0 {
		t.Error("nothing on the drawing shows the result")
	}
	p.fill("Paste the list of parts", " ")
	p.upload("Or upload it", p.file("kit.csv", "quantity;value;voltage;designators\n1;47uF;25V;C1\n"))
	p.click("these:")
	p.fill("Designators, such as C1-C5, R7.", "C1")
	p.follow("Check it")
	p.see("The kit is complete", "1 lines, against 1 positions")
	action := ask[string](p, `named("Report (PDF)").form.action`)
	if !strings.HasSuffix(action, "/kit-check/report.pdf") {
		t.Errorf("the report is at %s", action)
	}
}

func contribute(t *testing.T, w *site, s sees) {
	data, err := os.ReadFile("testdata/preamp.json")
	if err != nil {
		t.Fatal(err)
	}
	p := w.person(t, w.author, s)
	p.open("/")
	p.follow("Contribute")
	p.fill("Board ID", "fellside-psu")
	p.fill("Name of the board", "Supply")
	p.fill("Maker", "Fellside")
	p.fill("Model", "PS-1")
	p.upload("Placement list", p.file("list.txt", "hello"))
	p.follow("Make a draft")
	p.see("No position could be read from this list.")
	if a, b := p.held("Board ID"), p.held("Maker"); a != "fellside-psu" || b != "Fellside" {
		t.Errorf("after the refusal the form holds %q and %q", a, b)
	}
	p.upload("Placement list",
		p.file("list.csv",
			"Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,10,10,0,top,47uF "+
				"25V\nC2,20,10,90,top,10uF\nR1,oops,10,0,top,10k\n"))
	p.follow("Make a draft")
	p.see("Rows that were not used: 1", "oops")
	if n := ask[int](p, `document.querySelectorAll(".pane g[data-designator]").length`); n != 2 {
		t.Errorf("the draft's drawing shows %d positions", n)
	}
	p.enter(s, "Value", "C2", "10 whales")
	p.fill("Width, mm", "40")
	p.fill("Height, mm", "30")
	p.follow("Check and draw again")
	p.see("To put right before it can be submitted", "10 whales")
	if got := p.inCell(s, "Value", "C2"); got != "10 whales" {
		t.Errorf("what was typed became %q", got)
	}
	p.fill("What it changes, and why", "The supply's map.")
	p.follow("Submit for review")
	p.see("10 whales")
	if got := p.held("What it changes, and why"); got != "The supply's map." {
		t.Errorf("after the refusal the summary is %q", got)
	}
	p.enter(s, "Value", "C2", "10u")
	p.enter(s, "Voltage", "C2", "25V")
	p.fill("Evidence", "Read on the sleeve.")
	p.follow("Submit for review")
	p.see("The proposal was submitted.", "The supply's map.", "Read on the sleeve.")
	p.follow("Amend it")
	p.enter(s, "Notes", "C1", "Stands close to the can.")
	p.follow("Keep the amended map")
	p.see("The amended map was kept.")
	if v := ask[string](p,
		`tidy(document.querySelector(".foot-facts").innerText)`); !strings.Contains(strings.ToLower(v), "version 2") {
		t.Errorf("the amended proposal shows %s", v)
	}

	p.open("/contribute")
	p.upload("Map document (JSON)", p.file("map.json", strings.Replace(string(data), `"x_mm": 26`, `"x_mm": 999`, 1)))
	p.follow("Check it")
	p.see("To put right before it can be submitted")
	p.enter(s, "x, mm", "C2", "26")
	p.choose("Made from", "Revision 2")
	p.follow("Check and draw again")
	p.see("Nothing stands against submitting it", "Changes against revision 2")
}

func signIn(t *testing.T, w *site, s sees) {
	p := w.person(t, "", s)
	p.open("/contribute")
	p.follow("Sign in first, so that you can submit it.")
	p.fill("Your token", "no-such-token")
	p.leave(func() { p.clickAt("main button") })
	p.see("Nobody has this token")
	p.fill("Your token", w.author)
	p.leave(func() { p.type_(kb.Enter) })
	if at := p.at(); at != "/contribute" {
		t.Errorf("after signing in at %s", at)
	}
	for _, c := range p.cookies() {
		if !c.HTTPOnly || c.SameSite != "Strict" {
			t.Errorf("cookie %s: HttpOnly %v, SameSite %s", c.Name, c.HTTPOnly, c.SameSite)
		}
	}
	if got := ask[string](p, "document.cookie"); got != "" {
		t.Errorf("a script sees %q", got)
	}
	p.follow("Sign out Ada")
	p.see("Sign in")
	p.dontSee("Sign out")
	p.open("/boards/" + boardID + "?service=inspect")
	p.follow("Sign in")
	p.fill("Your token", w.author)
	p.leave(func() { p.clickAt("main button") })
	if at := p.at(); at != "/boards/"+boardID+"?service=inspect" {
		t.Errorf("after signing in from a page, at %s", at)
	}
}

// TestKeyboard goes through the journeys with the keys alone; the driver
// checks at each stop that the focus shows and is in sight.
func keys(t *testing.T, w *site, s sees) {
	p := w.person(t, "", s)
	enter := func() { p.leave(func() { p.type_(kb.Enter) }) }
	p.open("/")
	p.tab("Skip to the content")
	p.type_(kb.Enter)
	p.tab("Marking, name or size")
	p.type_("preamplifier")
	enter()
	p.tab("Fellside MP-4, microphone preamplifier")
	enter()
	if s.width > phone { // a phone has the zones to tap instead
		p.tab("2×")
		if p.type_(kb.Enter); !s.script {
			p.until("zoomed", `document.querySelector(".zoom-2")`)
		}
		p.tab("Drawing, scrolls")
		p.arrow()
		p.back("Designator")
	} else {
		p.tab("Designator")
	}
	p.type_("c2")
	enter()
	p.sameMark("C2")
	p.tab("All about C2")
	enter()
	p.see("What is known")

	p = w.person(t, w.second, s)
	p.open("/proposals/" + id(w.harmless))
	p.tab("endorse The map is right as far as you can tell.")
	p.type_(kb.ArrowDown)
	p.type_(kb.ArrowUp)
	p.tab("In short")
	p.type_("By the keys.")
	p.tab("Give the review")
	enter()
	p.see("Your review was kept.", "By the keys.")

	m := readMap(t)
	m.Board = "fellside-keys"
	fresh := w.submit(t, 0, m, "Another board.", `["Seen."]`)
	read, err := w.store.ProposalMap(context.Background(), fresh, 0)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.store.Review(context.Background(), w.reviewActor, store.Verdict{Proposal: fresh,
		IfMatch: read.Digest, Verdict: "endorse", Summary: "Seen too."}); err != nil {
		t.Fatal(err)
	}
	p.open("/proposals/" + id(fresh))
	p.tab("Note (may be empty)")
	p.type_("By the keys.")
	p.tab("Release")
	enter()
	p.see("released")

	p = w.person(t, "", s)
	p.open("/sign-in?back=/contribute")
	p.tab("Your token")
	p.type_(w.author)
	enter()
	p.tab("ID of the board")
	p.type_(boardID)
	enter()
	if s.script { // TestSheetByKeys goes through the sheet
		p.enter(s, "Notes", "C1", "By the keys.")
	} else {
		p.tab("Notes, C1")
		p.type_("By the keys.")
	}
	p.back("Past the table, to submitting")
	p.type_(kb.Enter)
	p.tab("What it changes, and why")
	p.type_("A note on C1.")
	p.tab("Evidence")
	p.type_("Seen on mine.")
	p.tab("Submit for review")
	enter()
	p.see("The proposal was submitted.", "A note on C1.")

	p.open("/boards/" + boardID + "/kit-check")
	p.tab("Paste the list of parts")
	p.type_("1 x 10uF 6.3V C1")
	p.tab("Check it")
	enter()
	p.see("Do not fit this kit as it is labelled")
}
