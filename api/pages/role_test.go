package pages_test

import (
	"context"
	"net/url"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/review"
	"boardlore/store"
)

// cast are the visitors of a site: nobody signed in, and an account of each
// role, of whom the author and the reviewing author have proposals of their own.
func (w *site) cast(t *testing.T) map[string]*visitor {
	t.Helper()
	token, err := w.store.AddAccount(context.Background(), "Odd", review.Contributor)
	if err != nil {
		t.Fatal(err)
	}
	return map[string]*visitor{"anonymous": w.visitor(t, ""), "author": w.visitor(t, w.author),
		"contributor": w.visitor(t, token),
		"reviewer":    w.visitor(t, w.reviewer), "reviewing author": w.visitor(t, w.second),
		"steward": w.visitor(t, w.steward)}
}

// TestRolesRead holds that everybody may read every page, and is offered the
// acts that are theirs and no others.
func TestRolesRead(t *testing.T) {
	w := newSite(t)
	m := readMap(t)
	at(t, m, "C6").Notes = "Found loose."
	own := w.submitAs(t, w.secondActor, m)
	cast := w.cast(t)
	for who, v := range cast {
		for name, path := range w.everyPage() {
			if status, _ := v.get(path); status != map[bool]int{true: 404, false: 200}[name == "not found"] {
				t.Errorf("%s at %s: %d", who, name, status)
			}
		}
		for _, p := range []struct {
			id     int64
			author string
		}{{w.harmless, "author"}, {own, "reviewing author"}} {
			_, body := v.get("/proposals/" + id(p.id))
			var offered []string
			for _, act := range []string{"review", "release", "decline", "withdraw"} {
				if strings.Contains(body, `action="/proposals/`+id(p.id)+"/"+act+`"`) {
					offered = append(offered, act)
				}
			}
			want := map[string][]string{"reviewer": {"review", "release", "decline"}, "steward": {"review", "release",
				"decline"}, "reviewing author": {"review", "release", "decline"}}[who]
			if who == p.author {
				want = map[string][]string{"author": {"withdraw"}, "reviewing author": {"release", "withdraw"}}[who]
			}
			if !slices.Equal(offered, want) {
				t.Errorf("%s is offered %v on the proposal of the %s, want %v", who, offered, p.author, want)
			}
			if amend := strings.Contains(body, `href="/contribute?proposal=`+id(p.id)+`"`); amend != (who == p.author) {
				t.Errorf("%s is offered to amend the proposal of the %s: %v", who, p.author, amend)
			}
		}
	}
}

func (w *site) submitAs(t *testing.T, a store.Actor, m *board.Map) int64 {
	t.Helper()
	author := w.authorActor
	defer func() { w.authorActor = author }()
	w.authorActor = a
	return w.submit(t, 2, m, "Another.", `["Seen."]`)
}

// TestRolesAct sends every form as everybody. Refusals come before the act:
// whoever may do it is told what the act itself has to say.
func TestRolesAct(t *testing.T) {
	w := newSite(t)
	m := readMap(t)
	at(t, m, "C6").Notes = "Found loose."
	own := w.submitAs(t, w.secondActor, m)
	cast := w.cast(t)
	form := map[string]url.Values{
		"review": {"verdict": {"endorse"}, "summary": {""}, "remark_designator": {"ZZ9"},
			"remark_text": {"x"}}, // 422 for those who may
		"release": {}, "decline": {"reason": {""}}, "withdraw": {"reason": {"x"}, "digest": {strings.Repeat("0", 64)}},
	}
	const may = 1                      // anything but 401 and 403
	want := map[string]map[string]int{ // act, visitor: on another's proposal
		"review": {"anonymous": 401, "author": 403, "contributor": 403, "reviewer": may, "reviewing author": may,
			"steward": may},
		"release": {"anonymous": 401, "author": 403, "contributor": 403, "reviewer": may, "reviewing author": may,
			"steward": may},
		"decline": {"anonymous": 401, "author": 403, "contributor": 403, "reviewer": may, "reviewing author": may,
			"steward": may},
		"withdraw": {"anonymous": 401, "author": may, "contributor": 403, "reviewer": 403, "reviewing author": 403,
			"steward": 403},
	}
	wantOwn := map[string]int{"review": 403, "release": may, "decline": 403, "withdraw": may}
	check := func(who, act string, proposal int64, want int) {
		t.Helper()
		path := "/proposals/" + id(proposal)
		_, before := cast[who].get("/sign-in")
		f := url.Values{"form_key": {keyField.FindStringSubmatch(before)[1]}}
		for k, x := range form[act] {
			f[k] = x
		}
		status, _ := cast[who].post("/sign-in", path+"/"+act, f)
		if status == 401 || status == 403 || want != may {
			if status != want {
				t.Errorf("%s: %s of proposal %d: %d, want %d", who, act, proposal, status, want)
			}
		}
	}
	for _, act := range []string{"review", "release", "withdraw", "decline"} {
		for who, status := range want[act] {
			if !(status == may && (act == "decline" || act == "withdraw" && who == "author")) {
				check(who, act, w.harmless, status)
			}
		}
		if wantOwn[act] != may {
			check("reviewing author", act, own, wantOwn[act])
		}
	}
	check("reviewing author", "release", own, may)
	check("steward", "decline", w.hazardous, may)
	check("author", "withdraw", w.harmless, may)

	// Amending is the author's alone; a map is submitted by whoever has an account.
	for who, want := range map[string]int{"anonymous": 401, "contributor": 403, "reviewer": 403, "steward": 403,
		"author": 403} {
		_, body := cast["reviewing author"].get("/contribute?proposal=" + id(own))
		f := url.Values{"map": {htmlUnescape(hiddenMap.FindStringSubmatch(body)[1])}, "base": {"2"},
			"proposal": {id(own)}, "digest": {""}, "act": {"submit"}, "p3.notes": {"Mine now."}}
		if status, _ := cast[who].post("/sign-in", "/contribute", f); status != want {
			t.Errorf("%s amends another's proposal: %d, want %d", who, status, want)
		}
	}
	for who, v := range cast {
		path := "/boards/" + boardID + "/kit-check"
		if status, _ := v.post(path, path, url.Values{"list": {"1 x 47uF 25V"}}); status != 200 {
			t.Errorf("%s checks a kit: %d", who, status)
		}
	}
}
