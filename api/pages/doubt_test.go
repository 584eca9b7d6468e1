package pages_test

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// TestDoubts: what a reader thinks is wrong stands at its position, on the
// board's page and on the desk until it is answered, or until a correction
// that began with it is submitted by who may answer.
func TestDoubts(t *testing.T) {
	w := newSite(t)
	author, reviewer, reader := w.visitor(t, w.author), w.visitor(t, w.reviewer), w.visitor(t, "")
	position := "/boards/" + boardID + "/positions/C3"
	if _, body := reader.get(position); !strings.Contains(body, "Sign in to say so") || strings.Contains(body, boardID+
		"/doubts\"") {
		t.Error("who is not signed in is not told how to say what is wrong")
	}
	say := func(v *visitor, text string) int {
		status, _ := v.file(position, "/boards/"+boardID+"/doubts", map[string]string{"designator": "C3",
			"revision": "2", "text": text}, nil)
		return status
	}
	if status := say(author, ""); status != 422 {
		t.Errorf("an empty doubt is %d", status)
	}
	for _, text := range []string{"The stripe is on the other side.", "It reads 100 here."} {
		if status := say(author, text); status != 303 && status != 200 {
			t.Fatalf("a doubt is %d", status)
		}
	}
	shown := func(path, text string) bool {
		_, body := reader.get(path)
		return strings.Contains(body, text)
	}
	for _, path := range []string{position, "/boards/" + boardID, "/desk"} {
		if !shown(path, "The stripe is on the other side.") {
			t.Errorf("%s does not show the doubt", path)
		}
	}
	if shown("/boards/"+boardID+"/positions/C4", "The stripe is on the other side.") {
		t.Error("the doubt stands at another position")
	}
	if _, body := author.get("/desk"); strings.Count(body, "/answer\"") != 2 {
		t.Error("who raised it is not offered to answer it")
	}
	if _, body := reader.get("/desk"); strings.Contains(body, "/answer\"") {
		t.Error("everybody is offered to answer it")
	}
	if status, _ := reviewer.post("/desk", "/boards/"+boardID+"/doubts/1/answer",
		url.Values{"text": {"Looked again: it is as mapped."}, "back": {"desk"}}); status != 303 && status != 200 {
		t.Errorf("the answer is %d", status)
	}
	if shown(position, "The stripe is on the other side.") {
		t.Error("an answered doubt is still shown")
	}
	_, body := reviewer.get("/contribute?board=" + boardID + "&doubt=2")
	if !strings.Contains(body, "C3: It reads 100 here.") ||
		!regexp.MustCompile(`name="doubt" value="2"`).MatchString(body) {
		t.Error("the correction does not begin with the doubt")
	}
	form := url.Values{"map": {htmlUnescape(hiddenMap.FindStringSubmatch(body)[1])}, "base": {"2"}, "doubt": {"2"},
		"act":     {"submit"},
		"summary": {"Doubt 2: it reads 100."}, "evidence": {"C3: reads 100."}, "p3.notes": {"Reads 100."}}
	if status, body := reviewer.post("/contribute?board="+boardID, "/contribute", form); status != 303 &&
		status != 200 {
		t.Fatalf("submitted: %d %s", status, body)
	}
	if shown(position, "It reads 100 here.") {
		t.Error("a doubt that a proposal settles is still shown")
	}
	if status, _ := reviewer.get("/contribute?board=" + boardID + "&doubt=2"); status != 409 {
		t.Errorf("a correction of an answered doubt begins with %d", status)
	}
}
