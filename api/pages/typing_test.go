package pages_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// held answers of the server, until they are let go.
const holdAnswers = `(() => {
	const ask = window.fetch;
	window.held = [];
	window.fetch = (...a) => ask(...a).then((r) => new Promise((ok) => held.push(() => ok(r))));
	return true;
})()`

// TestNothingTypedIsLost: an answer of the server that comes while somebody types
// neither takes the field away that is typed into, nor moves it from under the
// pointer, nor calls the focus back.
func TestNothingTypedIsLost(t *testing.T) {
	w := newSite(t)
	s := sees{true, wide}
	p := w.person(t, w.author, s)
	p.open("/contribute?board=" + boardID)
	ask[bool](p, holdAnswers)
	insert := func(text string) {
		t.Helper()
		_, err := chromedp.Call(p.ctx, input.InsertText, input.InsertTextParams{Text: text})
		p.ok(err)
	}
	letGo := func(seen string) {
		t.Helper()
		p.until("an answer", "held.length > 0")
		ask[bool](p, "(held.splice(0).forEach((go) => go()), true)")
		p.until("the answer on the page", seen)
	}

	// What was read of one cell comes while another is typed into.
	p.enter(s, "Value", "C1", "4.7 µF 35V bipolar")
	p.cellOf("Notes", "C2")
	p.do(chromedp.KeyEvent(kb.Enter))
	insert("before ")
	letGo(`document.querySelector(".sheet-line").textContent.includes("taken in whole")`)
	if got := p.inCell(s, "Voltage", "C1"); got != "35 V" {
		t.Errorf("what was read was not told: the voltage is %q", got)
	}
	insert("and after")
	p.do(chromedp.KeyEvent(kb.Enter))
	if got := p.inCell(s, "Notes", "C2"); !strings.HasSuffix(got, "before and after") {
		t.Errorf("what was typed into the cell became %q", got)
	}

	// A row that is open is typed into, field by field.
	ask[bool](p, `(document.querySelector("table.sheet tbody tr th button").click(), true)`)
	p.clickAt("#open-part\\.value")
	p.do(chromedp.KeyEvent("a", chromedp.KeyModifiers(kb.ModifierCtrl)))
	insert("10 µF 16V")
	p.clickAt("#open-notes")
	if on := ask[string](p, "document.activeElement.id"); on != "open-notes" {
		t.Errorf("after a click on the notes %q has the focus", on)
	}
	insert("half a ")
	letGo(`document.getElementById("open-part.voltage").value === "16 V"`)
	insert("sentence")
	p.do(chromedp.KeyEvent(kb.Tab))
	if got := ask[string](p, `document.getElementById("open-notes").value`); !strings.HasSuffix(got,
		"half a sentence") {
		t.Errorf("the open row's notes became %q", got)
	}
	if ask[bool](p, "document.activeElement === document.body") {
		t.Error("the tabulator led nowhere")
	}

	// Whoever goes from a cell to the form's fields is not called back.
	p.cellOf("Notes", "C2")
	p.do(chromedp.KeyEvent(kb.Enter))
	p.click("Evidence")
	insert("Read on the ")
	place := func() float64 {
		return ask[float64](p, `document.getElementById("evidence").getBoundingClientRect().top`)
	}
	was := place()
	ask[bool](p,
		`(document.getElementById("findings").replaceChildren(...Array.from({ length: 40 }, () => document.createElement("li"))), true)`)
	ask[bool](p, `(scrollBy(0, document.getElementById("evidence").getBoundingClientRect().top - `+
		strconv.FormatFloat(was, 'f', -1, 64)+`), true)`)
	was = place()
	letGo(`document.getElementById("findings").children.length !== 40`)
	if now := place(); math.Abs(now-was) > 1 {
		t.Errorf("the field was moved by %g px from under the pointer", now-was)
	}
	insert("sleeve.")
	if got := p.held("Evidence"); got != "Read on the sleeve." {
		t.Errorf("the evidence became %q", got)
	}
}
