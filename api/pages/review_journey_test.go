package pages_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/part"
	"boardlore/store"
)

// newBoard is a board of 160 parts that nobody has reviewed: kinds of parts
// over and over, a fuse, and one capacitor the other way round.
func newBoard() *board.Map {
	m := boardtest.Big(160)
	m.Board = "tarn-rack"
	for i := range m.Positions {
		p := &m.Positions[i]
		p.Side, p.Rotation = board.Top, 0
		if p.Negative != nil {
			minus := 180.0
			p.Negative = &minus
		}
	}
	odd := 0.0
	m.Positions[8].Negative = &odd // C3
	fuse := &m.Positions[1]
	fuse.Designator, fuse.Body = "F1", nil
	fuse.Part = part.Part{Class: part.Fuse, Current: boardtest.Q("630 mA"), Voltage: boardtest.Q("250 V"),
		FuseSpeed: "T"}
	return m
}

// TestReviewJourneys goes the ways of a review, in a browser.
func TestReviewJourneys(t *testing.T) {
	w := newSite(t)
	s := sees{script: true, width: wide}
	t.Run("a hazardous correction", func(t *testing.T) { readHazard(t, w, s) })
	t.Run("a query, answered and amended", func(t *testing.T) { talk(t, w, s) })
	t.Run("a conflict", func(t *testing.T) { conflict(t, w, s) })
	t.Run("a new board", func(t *testing.T) { readNew(t, w, s) })
}

// readNew reads a new board of 160 parts as claims, keeps what was ticked off
// over a reload, and releases it with two endorsements.
func readNew(t *testing.T, w *site, s sees) {
	m := newBoard()
	n := w.submit(t, 0, m, "A rack that I serviced.",
		`[{"text":"Measured with a ruler: C1-C40"},{"text":"Read on the fuse: T 630 mA 250 V","designators":["F1"]}]`)
	for i, token := range []string{w.reviewer, w.second} {
		p := w.person(t, token, s)
		p.open("/proposals/" + id(n))
		p.see("39 ×", "47 µF ±20 % 16 V", "F1")
		claims := ask[int](p, `document.querySelectorAll(".claims > li").length`)
		if claims == 0 || claims > 20 {
			t.Errorf("160 parts are %d claims", claims)
		}
		if !ask[bool](p,
			`[...document.querySelectorAll(".claims > li")].some((l) => l.querySelector(".tag.caution") && tidy(l.innerText).includes("C3"))`) {
			t.Error("C3, the other way round, does not stand out")
		}
		place := ask[string](p, `document.querySelector('.claims .places a').getAttribute("href")`)
		p.clickAt(".claims .places a")
		p.inSight(place)
		p.clickAt(`.claims > li input[name="seen"]`)
		if i == 0 {
			p.open("/proposals/" + id(n))
			if !ask[bool](p, `document.querySelector('.claims > li input[name="seen"]').checked`) {
				t.Error("what was ticked off is forgotten")
			}
		}
		p.click("endorse The map is right as far as you can tell.")
		p.follow("Give the review")
		p.see("Your review was kept.")
		if i == 0 {
			p.follow("Release")
			p.see("needs one more endorsement")
			continue
		}
		p.follow("Release")
		p.see("The proposal was released.", "Revision 1")
	}
	d, err := w.store.Proposal(context.Background(), n)
	if err != nil || len(d.Reviews) != 2 || len(d.Reviews[0].Seen) == 0 {
		t.Errorf("what was seen is no part of the reviews: %+v, %v", d.Reviews, err)
	}
}

// readHazard reads a turned part: the hazard first, what was told and would be,
// and both drawn beside it.
func readHazard(t *testing.T, w *site, s sees) {
	p := w.person(t, w.reviewer, s)
	p.open("/proposals/" + id(w.hazardous))
	p.see("Hazard 1 of 1:", "As it was told", "As it would be told")
	tops := ask[[]float64](p,
		`[".hazards", ".claims"].map((s) => document.querySelector(s).getBoundingClientRect().top)`)
	if tops[0] >= tops[1] {
		t.Errorf("hazards stand at %v, claims after them at %v", tops[0], tops[1])
	}
	told := ask[string](p, `tidy(document.querySelector(".hazards .told").innerText)`)
	if !strings.Contains(strings.ToLower(told), "revision 2") || !strings.Contains(told, "180°") {
		t.Errorf("told and would be told: %s", told)
	}
	drawn := ask[[]string](p,
		`[...document.querySelectorAll(".cutouts svg")].map((s) => { const g = s.querySelector('g[data-designator="C5"]'); return g ? g.outerHTML.replace(/id="[^"]*"/g, "") : "" })`)
	if len(drawn) != 2 || drawn[0] == "" || drawn[0] == drawn[1] {
		t.Errorf("C5 is drawn before and after as %q", drawn)
	}
	if twice := ask[int](p,
		`(() => { const ids = [...document.querySelectorAll("[id]")].map((e) => e.id); return ids.length - new Set(ids).size })()`); twice != 0 {
		t.Errorf("%d names on the page stand twice", twice)
	}
}

// talk asks the author something, who answers, amends, and is told of it there.
func talk(t *testing.T, w *site, s sees) {
	path := "/proposals/" + id(w.harmless)
	p := w.person(t, w.reviewer, s)
	p.open(path)
	p.click("query Something has to be answered first; the author gets it back.")
	p.fill("In short", "On which boards?")
	p.fill("Position", "C4")
	p.fill("Remark", "Of which year?")
	p.follow("Give the review")
	p.see("Your review was kept.", "On which boards?")
	a := w.person(t, w.author, s)
	a.open(path)
	a.see("On which boards?", "Of which year?")
	a.fill("Answer Rune", "Of 1986, three of them.")
	a.follow("Answer it")
	a.see("The answer was kept.", "Of 1986, three of them.")
	a.follow("Amend it")
	a.see("Of which year?")
	a.enter(s, "Value", "C4", "68 µF")
	a.leave(func() { a.clickAt(`button[value="submit"]`) })
	a.see("The amended map was kept.", "68 µF")
	r := w.person(t, w.reviewer, s)
	r.open(path)
	r.see("version 2", "Of 1986, three of them.")
}

// conflict releases one of two corrections of the same thing; the other names
// the conflict, and one that only goes beside it is merged. Who read an older
// map than there is now is told so.
func conflict(t *testing.T, w *site, s sees) {
	current, err := w.store.Revision(context.Background(), boardID, 0, "")
	if err != nil {
		t.Fatal(err)
	}
	with := func(edit func(*board.Map)) int64 {
		m := boardtest.Clone(current.Map)
		edit(m)
		return w.submit(t, current.Number, m, "A correction.", `[]`)
	}
	first := with(func(m *board.Map) { at(t, m, "C2").Notes = "Close to the can." })
	other := with(func(m *board.Map) { at(t, m, "C2").Notes = "Glued to the can." })
	beside := with(func(m *board.Map) { at(t, m, "C3").X += 0.5 })
	for _, n := range []int64{other, beside} {
		p := w.person(t, w.reviewer, s)
		p.open("/proposals/" + id(n))
		p.click("endorse The map is right as far as you can tell.")
		p.follow("Give the review")
		p.see("Your review was kept.")
	}
	w.release(t, first)
	p := w.person(t, w.second, s)
	p.open("/proposals/" + id(other))
	p.see("Conflicts with the current revision", "C2")
	p.click("endorse The map is right as far as you can tell.")
	p.follow("Give the review")
	p.follow("Release")
	p.see("C2", "Glued to the can.", "Close to the can.")
	p.dontSee("The proposal was released.")
	p.open("/proposals/" + id(beside))
	edited := boardtest.Clone(current.Map)
	at(t, edited, "C3").X += 0.75
	if _, err := w.store.Amend(context.Background(), w.authorActor, store.Amendment{Proposal: beside,
		Map: document(t, edited), IfMatch: "*"}); err != nil {
		t.Fatal(err)
	}
	p.follow("Release") // of the map that is on the page, and no longer the one there is
	p.dontSee("The proposal was released.")
	p.open("/proposals/" + id(beside))
	p.click("endorse The map is right as far as you can tell.")
	p.follow("Give the review")
	p.follow("Release")
	p.see("The proposal was released.", fmt.Sprintf("Revision %d", current.Number+2))
}
