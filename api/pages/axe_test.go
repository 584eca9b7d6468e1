package pages_test

import (
	"maps"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"boardlore/api"
	"boardlore/domain/board/boardtest"
)

// axeRun judges the page that is open by the rules of WCAG 2.2 AA, and by
// those on headings and landmarks that axe counts as good practice.
const axeRun = `axe.run(document, { resultTypes: ["violations"], runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] })
	.then((r) => r.violations.flatMap((v) => v.nodes.slice(0, 3).map((n) => v.id + " " + v.impact + ": " + n.html.slice(0, 160) + " " + n.failureSummary.replace(/\s+/g, " ").slice(0, 240))))`

// judge runs axe on what is open, as a desk and as a phone show it. The
// devtools bring the script in, which the pages' own policy would refuse.
func (p *person) judge(name string, source string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](source))
	for _, width := range []int64{wide, phone} {
		p.do(chromedp.EmulateViewport(width, 800))
		palette := map[bool]string{true: "dark", false: "light"}[width == phone] // one palette at each width
		_, err := chromedp.Call(p.ctx, emulation.SetEmulatedMedia,
			emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme",
				Value: palette}}})
		p.ok(err)
		if over := ask[int](p, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
			p.t.Errorf("%s at %d px is %d px too wide", name, width, over)
		}
		faults, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](axeRun, chromedp.EvalAwaitPromise))
		p.ok(err)
		for _, f := range faults {
			p.t.Errorf("%s at %d px, %s: %s", name, width, palette, f)
		}
	}
}

// TestAccessible holds every page to WCAG 2.2 AA, full, empty and refused.
func TestAccessible(t *testing.T) {
	source, err := os.ReadFile("testdata/axe/axe-core-4.14.1.min.js")
	if err != nil {
		t.Fatal(err)
	}
	axe := string(source)
	t.Run("full", func(t *testing.T) {
		w := newSite(t)
		p := w.person(t, w.reviewer, sees{true, wide})
		pages := w.everyPage()
		for _, twice := range []string{"sign in", "old revision", "variant",
			"draft"} { // judged elsewhere, or the same page again
			delete(pages, twice)
		}
		small := w.small(t)
		pages["job"] = "/boards/" + small + "/job" // a page that grows with the board, and with it what judging costs
		for _, name := range slices.Sorted(maps.Keys(pages)) {
			p.open(pages[name])
			p.judge(name, axe)
		}
		p.open("/boards/" + boardID + "/kit-check")
		p.fill("Paste the list of parts", "1 x 10uF 6.3V for C1\n2 x 47uF 25V\nmoonshine")
		p.follow("Check it")
		p.judge("kit checked", axe)
		p.click("Check another list")
		p.click("these:")
		p.fill("Designators, such as C1-C5, R7.", "Q99")
		p.follow("Check it")
		p.judge("kit refused", axe)
		p.open("/contribute?board=" + small)
		p.judge("draft", axe)
		p.enter(sees{true, wide}, "Value", "C1", "47 whales")
		p.follow("Check and draw again")
		p.judge("draft with faults", axe)
		p = w.person(t, w.author, sees{true, wide})
		p.open("/proposals/" + id(w.harmless))
		p.judge("own proposal", axe)
	})
	t.Run("empty", func(t *testing.T) {
		w := newEmptySite(t, api.Limits{Off: true})
		p := w.person(t, "", sees{true, wide})
		for _, path := range []string{"/", "/desk", "/sign-in", "/contribute", "/contribute/photo", "/?q=nothing",
			"/proposals/1"} {
			p.open(path)
			p.judge("empty "+path, axe)
		}
		p.open("/sign-in")
		p.fill("Your token", "wrong")
		p.leave(func() { p.clickAt("main button") })
		p.judge("sign-in refused", axe)
		p.open("/contribute")
		p.upload("Map document (JSON)", p.file("map.json", "{"))
		p.follow("Check it")
		p.judge("upload refused", axe)
	})
}

// TestAccessibleAccounts holds the pages of accounts and stewards to the same.
func TestAccessibleAccounts(t *testing.T) {
	source, err := os.ReadFile("testdata/axe/axe-core-4.14.1.min.js")
	if err != nil {
		t.Fatal(err)
	}
	w := newSite(t)
	p := w.person(t, w.steward, sees{true, wide})
	for _, path := range []string{"/account", "/desk/stewards", "/join"} {
		p.open(path)
		p.judge(path, string(source))
	}
	w.object(t, w.harmless)
	if _, err := w.store.Disable(t.Context(), w.stewardActor(t), w.secondActor.ID, ""); err != nil {
		t.Fatal(err)
	}
	p.open("/desk/stewards")
	p.judge("an objection on the stewards' page", string(source))
	p.open("/desk/stewards")
	p.follow("Make an invitation")
	p.judge("invitation made", string(source))
	p.open("/desk/stewards")
	p.follow("Let people join without an invitation")
	p.open("/join")
	p.judge("join, open", string(source))
}

// small releases a board of few positions, for pages that grow with them.
func (w *site) small(t *testing.T) string {
	t.Helper()
	m := readMap(t)
	m.Board, m.Positions, m.Variants, m.FailurePoints, m.Checks = "fellside-small", m.Positions[:3], nil, nil, nil
	w.release(t, w.submit(t, 0, m, "A small one.", `["Seen."]`))
	return m.Board
}

// TestHostileLook opens pages full of markup, of a word without an end and of
// characters that turn the reading direction: nothing runs, nothing is pushed
// wide, and no sign of ours is turned round.
func TestHostileLook(t *testing.T) {
	w := newSite(t)
	evil := "\u05d0\u200f\"><script>window.ran=true</script>" + strings.Repeat("long", 14)
	m := readMap(t)
	m.Board, m.Name, m.Equipment.Maker, m.Equipment.Model, m.Markings = "evil-board", evil, evil, evil,
		[]string{evil[:60]}
	m.Positions[0].Notes, m.Positions[0].Function, m.Positions[0].Rail = evil, evil, evil
	m.FailurePoints[0].Title, m.Cautions[0].Text, m.Variants[0].Title, m.Checks[0].Title = evil, evil, evil, evil
	proposal := w.submit(t, 0, m, evil, `["Seen."]`)
	w.release(t, proposal)
	p := w.person(t, w.reviewer, sees{true, phone})
	for _, path := range []string{"/", "/boards/evil-board", "/boards/evil-board/positions/C1", "/proposals/" +
		id(proposal), "/contribute?board=evil-board", "/boards/evil-board/kit-check", "/boards/evil-board/job",
		"/desk"} {
		p.open(path)
		for _, width := range []int64{phone, wide} {
			p.do(chromedp.EmulateViewport(width, 800))
			if over := ask[int](p, "document.documentElement.scrollWidth - innerWidth"); over > 0 {
				t.Errorf("%s at %d px is %d px too wide", path, width, over)
			}
		}
		if ask[bool](p, "window.ran === true") {
			t.Errorf("%s ran a script that somebody typed", path)
		}
		if open := ask[[]string](p,
			`[...document.querySelectorAll(".tag, .service, main b, main small")].filter((e) => getComputedStyle(e).unicodeBidi !== "isolate").map((e) => e.outerHTML.slice(0, 80))`); len(open) > 0 {
			t.Errorf("%s: what stands before may turn these round: %v", path, open)
		}
	}
}

// TestStill opens a board of 300 positions and adds up what moved while it
// loaded.
func TestStill(t *testing.T) {
	w := newSite(t)
	m := boardtest.Big(300)
	w.release(t, w.submit(t, 0, m, "A big one.", `["Seen."]`))
	for _, width := range []int64{phone, wide} {
		p := w.person(t, "", sees{true, width})
		p.open("/boards/" + m.Board)
		shift, err := chromedp.Run(p.ctx, chromedp.Evaluate[float64](`new Promise((done) => {
			const seen = []; const o = new PerformanceObserver((l) => seen.push(...l.getEntries())); o.observe({ type: "layout-shift", buffered: true });
			requestAnimationFrame(() => requestAnimationFrame(() => { seen.push(...o.takeRecords()); done(seen.reduce((a, e) => a + e.value, 0)) })) })`, chromedp.EvalAwaitPromise))
		p.ok(err)
		if shift != 0 {
			t.Errorf("at %d px the page moved by %v while it loaded", width, shift)
		}
	}
}
