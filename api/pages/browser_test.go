package pages_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"boardlore/store/storetest"
)

// errNoBrowser is why tests in a browser are skipped.
var errNoBrowser = errors.New("NO BROWSER FOR TESTS: install Debian's package chromium-headless-shell")

// chromium is the one browser of this process. It ends with the process.
var chromium = sync.OnceValues(func() (context.Context, error) {
	path, err := exec.LookPath("chromium-headless-shell") // the same engine, for two thirds of the work
	if err != nil {
		path, err = exec.LookPath("chromium")
	}
	if err != nil {
		return nil, errNoBrowser
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.DisableGPU)
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // the browser's own sandbox doesn't work for root
	}
	allocator, _ := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ := chromedp.NewContext(allocator)
	return ctx, chromedp.Do(ctx, chromedp.Navigate("about:blank"))
})

// seat is a tab with cookies of its own, used by one person after the other: a
// browser takes longer over a new one than over the pages.
type seat struct {
	ctx context.Context

	mu         sync.Mutex
	complaints []complaint // what the browser said of the page
}

var seats struct {
	sync.Mutex
	free []*seat
}

// take gives a seat that nobody sits on.
func take(browser context.Context) (*seat, error) {
	seats.Lock()
	defer seats.Unlock()
	if n := len(seats.free); n > 0 {
		s := seats.free[n-1]
		seats.free = seats.free[:n-1]
		return s, nil
	}
	ctx, _ := chromedp.NewContext(browser, chromedp.WithNewBrowserContext())
	s := &seat{ctx: ctx}
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		return nil, err
	}
	go s.listen()
	return s, nil
}

// listen notes what the browser complains of: a script that throws, a load
// that the pages' own policy refuses.
func (s *seat) listen() {
	for m, err := range chromedp.Console(s.ctx) {
		if err != nil {
			return
		}
		refusal := strings.Contains(m.Text, "the server responded with a status of 4") // a page that says so itself
		if (m.Type == chromedp.ConsoleError || m.Type == chromedp.ConsoleException) && !refusal {
			s.mu.Lock()
			s.complaints = append(s.complaints, complaint{text: m.Text, from: m.URL})
			s.mu.Unlock()
		}
	}
}

// complaint is what the browser says is wrong, and the address that it speaks of.
type complaint struct{ text, from string }

// late tells that a complaint is of what sat here before, on another site that has
// been closed since: its worker may ask once more after its page has gone.
func (c complaint) late(site string) bool {
	return strings.Contains(c.text, "ERR_CONNECTION_REFUSED") && c.from != "" && !strings.HasPrefix(c.from, site+"/")
}

// said gives the complaints and forgets them.
func (s *seat) said() []complaint {
	s.mu.Lock()
	defer s.mu.Unlock()
	c := s.complaints
	s.complaints = nil
	return c
}

// person is somebody in front of a browser.
type person struct {
	t   *testing.T
	w   *site
	ctx context.Context
	sat *seat
}

// sees are the ways to look at the pages: a phone and a desk, with JavaScript
// and without.
type sees struct {
	script bool
	width  int64
}

func (s sees) String() string {
	return map[bool]string{true: "script", false: "no script"}[s.script] + " " + strconv.FormatInt(s.width, 10)
}

const (
	phone = 360
	wide  = 1280
)

// person opens a tab, signed in with a token unless that is empty.
func (w *site) person(t *testing.T, token string, s sees) *person {
	t.Helper()
	browser, err := chromium()
	switch {
	case errors.Is(err, errNoBrowser) && !storetest.Required("browser"):
		t.Skip(err)
	case err != nil:
		t.Fatal(err)
	}
	tab, err := take(browser)
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(tab.ctx, 10*time.Minute)
	p := &person{t: t, w: w, ctx: ctx, sat: tab}
	t.Cleanup(func() {
		for _, c := range tab.said() {
			if !c.late(w.URL) {
				t.Errorf("the browser complains: %s (%s)", c.text, c.from)
			}
		}
		stop()
		seats.Lock()
		defer seats.Unlock()
		seats.free = append(seats.free, tab)
	})
	_, err = chromedp.Call(ctx, network.ClearBrowserCookies, cdp.Empty{})
	p.ok(err)
	height := map[bool]int64{true: 740, false: 900}[s.width < 600]
	p.do(chromedp.EmulateViewport(s.width, height))
	_, err = chromedp.Call(ctx, emulation.SetScriptExecutionDisabled,
		emulation.SetScriptExecutionDisabledParams{Value: !s.script})
	p.ok(err)
	_, err = chromedp.Call(ctx, emulation.SetFocusEmulationEnabled,
		emulation.SetFocusEmulationEnabledParams{Enabled: true})
	p.ok(err)
	if token != "" {
		yes := true
		a, err := w.store.Authenticate(context.Background(), token)
		p.ok(err)
		secret, err := w.store.NewSession(context.Background(), a, "a test")
		p.ok(err)
		_, err = chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{Name: "boardlore_session", Value: secret,
			URL: w.URL, HTTPOnly: &yes, SameSite: network.CookieSameSiteStrict})
		p.ok(err)
	}
	return p
}

func (p *person) ok(err error) {
	p.t.Helper()
	if err != nil {
		p.t.Fatal(err)
	}
}

func (p *person) do(steps ...chromedp.Action[chromedp.Void]) {
	p.t.Helper()
	p.ok(chromedp.Do(p.ctx, steps...))
}

// ask evaluates an expression in the page; the devtools do that with
// JavaScript switched off for the page, too.
func ask[T any](p *person, expression string, args ...any) T {
	p.t.Helper()
	quoted := make([]any, len(args))
	for i, a := range args {
		quoted[i] = a
		if s, ok := a.(string); ok {
			quoted[i] = strconv.QuoteToASCII(s)
		}
	}
	if len(args) > 0 {
		expression = fmt.Sprintf(expression, quoted...)
	}
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T]("(() => {"+lookup+"; return ("+expression+")})()"))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// lookup are the helpers of what is evaluated: the name that an element has
// for a person, and the visible one of a name.
const lookup = `
const tidy = (s) => (s || "").replace(/\s+/g, " ").trim();
const name = (e) => tidy(e.getAttribute("aria-label") || (e.labels && e.labels.length ? e.labels[0].textContent : "") || e.textContent);
const shown = (e) => e.checkVisibility({ visibilityProperty: true }) && e.getBoundingClientRect().width > 0;
const named = (n, sel) => [...document.querySelectorAll(sel || "a[href], button, summary, input, select, textarea, [tabindex='0']")].find((e) => shown(e) && !e.closest("[aria-hidden]") && name(e) === n);
`

// until waits for a condition that the page comes to by itself.
func (p *person) until(what, condition string, args ...any) {
	p.t.Helper()
	end := time.After(time.Minute)
	tick := time.NewTicker(15 * time.Millisecond)
	defer tick.Stop()
	quoted := make([]any, len(args))
	for i, a := range args {
		quoted[i] = strconv.QuoteToASCII(a.(string))
	}
	if len(args) > 0 {
		condition = fmt.Sprintf(condition, quoted...)
	}
	for {
		ok, err := chromedp.Run(p.ctx, chromedp.Evaluate[bool]("(() => {"+lookup+"; return !!("+condition+")})()"))
		if ok && err == nil { // an error: the page is just being replaced
			return
		}
		select {
		case <-tick.C:
		case <-p.ctx.Done():
			p.t.Fatalf("%s: %v", what, p.ctx.Err())
		case <-end:
			p.t.Fatalf("%s never came to: %s\n%.900s", p.at(), what,
				ask[string](p,
					"document.readyState + ' ' + window.left + ' ' + document.querySelector('main').innerText"))
		}
	}
}

// open goes to an address of the site.
func (p *person) open(path string) {
	p.t.Helper()
	p.do(chromedp.Navigate(p.w.URL + path))
}

// at is the path and query where the browser is.
func (p *person) at() string {
	p.t.Helper()
	s, err := chromedp.Run(p.ctx, chromedp.Location())
	p.ok(err)
	return strings.TrimPrefix(s, p.w.URL)
}

// see checks that the page shows texts.
func (p *person) see(texts ...string) {
	p.t.Helper()
	for _, s := range texts {
		p.until("see "+s, "tidy(document.body.innerText).toLowerCase().includes(tidy(%s).toLowerCase())", s)
	}
}

func (p *person) dontSee(texts ...string) {
	p.t.Helper()
	body := strings.ToLower(ask[string](p, "tidy(document.body.innerText)"))
	for _, s := range texts {
		if strings.Contains(body, strings.ToLower(s)) {
			p.t.Errorf("%s shows %q", p.at(), s)
		}
	}
}

// point gives the middle of an element, scrolled into sight, and fails where
// something else lies over it.
func (p *person) point(element string, args ...any) (x, y float64) {
	p.t.Helper()
	got := ask[struct {
		Found, Clear bool
		X, Y         float64
		Over         string
	}](p, `(() => {
		const e = `+element+`;
		if (!e) return { Found: false };
		e.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
		const b = e.getClientRects()[0], x = b.left + b.width / 2, y = b.top + b.height / 2, t = document.elementFromPoint(x, y);
		return { Found: true, Clear: !!t && (e === t || e.contains(t) || (t.labels === undefined && t.contains(e)) || t.closest("label") === e), X: x, Y: y, Over: t ? t.outerHTML.slice(0, 120) : "" };
	})()`, args...)
	if !got.Found {
		p.t.Fatalf("%s: nothing to click: %s %v", p.at(), element, args)
	}
	if !got.Clear {
		p.t.Errorf("%s: %s %v is under %s", p.at(), element, args, got.Over)
	}
	return got.X, got.Y
}

// click clicks what has this name, where a finger would.
func (p *person) click(name string) {
	p.t.Helper()
	x, y := p.point("named(%s)", name)
	p.do(chromedp.MouseClickXY(x, y))
}

// clickAt clicks the first element of a selector.
func (p *person) clickAt(selector string) {
	p.t.Helper()
	x, y := p.point("document.querySelector(%s)", selector)
	p.do(chromedp.MouseClickXY(x, y))
}

// leave does what replaces the page, and waits for the next one.
func (p *person) leave(act func()) {
	p.t.Helper()
	ask[bool](p, "window.left = true")
	act()
	p.until("the next page", `!window.left && document.readyState === "complete"`)
}

func (p *person) follow(name string) { p.t.Helper(); p.leave(func() { p.click(name) }) }

// fill types into the field of this label, in place of what it held.
func (p *person) fill(label, text string) {
	p.t.Helper()
	p.click(label)
	p.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(kb.ModifierCtrl)), chromedp.KeyEvent(kb.Delete))
	_, err := chromedp.Call(p.ctx, input.InsertText, input.InsertTextParams{Text: text}) // as pasting does
	p.ok(err)
}

// type_ types into what has the focus.
func (p *person) type_(text string) {
	p.t.Helper()
	p.do(chromedp.KeyEvent(text))
}

func (p *person) choose(label, option string) {
	p.t.Helper()
	if !ask[bool](p,
		`(() => { const e = named(%s), o = [...e.options].find((o) => tidy(o.textContent) === %s); if (!o) return false; e.value = o.value; return true })()`, label, option) {
		p.t.Fatalf("%s offers no %s", label, option)
	}
}

func (p *person) upload(label, file string) {
	p.t.Helper()
	id := ask[string](p, "named(%s, 'input[type=file]').id", label)
	p.do(chromedp.SetUploadFiles(chromedp.CSS("#"+id), []string{file}))
}

// file is a file to upload.
func (p *person) file(name, content string) string {
	p.t.Helper()
	path := p.t.TempDir() + "/" + name
	p.ok(os.WriteFile(path, []byte(content), 0o600))
	return path
}

// held is what the field of this label holds.
func (p *person) held(label string) string {
	p.t.Helper()
	return ask[string](p, "named(%s).value", label)
}

// focus is what has the keyboard.
type focus struct {
	Name    string
	Tag     string
	Outline string
	Seen    bool // in the window, and nothing over it
}

const focused = `(() => {
	const a = document.activeElement, e = document.getElementById(a.getAttribute("aria-activedescendant")) || a, s = getComputedStyle(e), b = e.getClientRects()[0] || e.getBoundingClientRect();
	const x = Math.min(Math.max(b.left + b.width / 2, 1), innerWidth - 2), y = Math.min(Math.max(b.top + b.height / 2, 1), innerHeight - 2);
	const t = document.elementFromPoint(x, y);
	return { Name: name(e), Tag: e.tagName, Outline: s.outlineStyle === "none" || parseFloat(s.outlineWidth) < 2 ? "" : s.outlineColor,
		Seen: b.bottom > 0 && b.top < innerHeight && !!t && (t === e || e.contains(t) || t.contains(e)) };
})()`

// tab goes from field to field with the keyboard until one has this name.
// Wherever the focus comes it must show, and in sight.
func (p *person) tab(name string) {
	p.t.Helper()
	p.walk(name)
}

// back is tab the other way round.
func (p *person) back(name string) {
	p.t.Helper()
	p.walk(name, chromedp.KeyModifiers(chromedp.ModifierShift))
}

func (p *person) walk(name string, held ...chromedp.KeyOption) {
	p.t.Helper()
	for range 400 {
		p.do(chromedp.KeyEvent(kb.Tab, held...))
		f := ask[focus](p, focused)
		if f.Tag == "BODY" {
			continue
		}
		if f.Outline == "" || !f.Seen {
			p.t.Errorf("%s: the focus on %s %q has outline %q, seen %v", p.at(), f.Tag, f.Name, f.Outline, f.Seen)
		}
		if f.Name == name {
			return
		}
	}
	p.t.Fatalf("%s: the keyboard never comes to %q", p.at(), name)
}

// marked are the positions that the list and the drawing show as chosen.
func (p *person) marked() (row, ring string) {
	p.t.Helper()
	got := ask[[2]string](p, `(() => {
		const r = document.querySelector("tr.marked");
		const c = document.querySelector(".pane .ring") || document.querySelector(".pane:not(.chosen) .marks circle, .pane:not(.chosen) .marks path");
		if (!c) return [r ? r.dataset.row : "", ""];
		const b = c.getBoundingClientRect(), x = b.left + b.width / 2, y = b.top + b.height / 2;
		const near = [...document.querySelectorAll(".pane g[data-designator]")].map((g) => {
			const q = g.getBoundingClientRect(); return [Math.hypot(q.left + q.width / 2 - x, q.top + q.height / 2 - y), g.dataset.designator]; }).sort((a, b) => a[0] - b[0])[0];
		return [r ? r.dataset.row : "", near[1]];
	})()`)
	return got[0], got[1]
}

// inSight waits for the middle of an element to be in the window and in its
// scrolling pane.
func (p *person) inSight(selector string) {
	p.t.Helper()
	p.until(selector+
		" in sight", `(() => { const e = document.querySelector(%s), b = e.getBoundingClientRect(), x = b.left + b.width / 2, y = b.top + b.height / 2;
		const q = e.closest(".pane") ? e.closest(".pane").getBoundingClientRect() : { left: 0, top: 0, right: innerWidth, bottom: innerHeight };
		return x >= q.left && x <= q.right && y >= q.top && y <= q.bottom && y >= 0 && y <= innerHeight })()`, selector)
}

func (p *person) cookies() []*network.Cookie {
	p.t.Helper()
	r, err := chromedp.Call(p.ctx, network.GetCookies, network.GetCookiesParams{URLs: []string{p.w.URL}})
	p.ok(err)
	return r.Cookies
}
