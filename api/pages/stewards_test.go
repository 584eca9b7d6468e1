package pages_test

import (
	"context"
	"fmt"
	"net/url"
	"strings"
	"testing"
	"time"

	"boardlore/store"
)

// recordOf keeps a record by the author and gives its number.
func (w *site) recordOf(t testing.TB) int64 {
	t.Helper()
	doc := fmt.Appendf(nil, `{"board":%q,"revision":2,"unit":"shelf 1","serviced_on":"2026-01-01","outcome":"working",`+
		`"positions":[{"designator":"C2","found":"open","done":"left"}]}`, boardID)
	r, err := w.store.KeepRecord(context.Background(), w.authorActor, boardID, doc, time.Date(2026, 6, 1, 0, 0, 0, 0,
		time.UTC), store.Once{})
	if err != nil {
		t.Fatal(err)
	}
	return r.ID
}

// object has the reviewer object to a proposal and gives the review's number.
func (w *site) object(t testing.TB, proposal int64) int64 {
	t.Helper()
	read, err := w.store.ProposalMap(context.Background(), proposal, 0)
	if err != nil {
		t.Fatal(err)
	}
	r, err := w.store.Review(context.Background(), w.reviewActor, store.Verdict{Proposal: proposal,
		IfMatch: read.Digest, Verdict: "object", Summary: "Not on mine."})
	if err != nil {
		t.Fatal(err)
	}
	return r.Review
}

// TestStewardsWatch: a steward sees what grows, what is suspended, what bars a
// release and what is doubted, and ends each from the page.
func TestStewardsWatch(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.steward)
	act := func(form url.Values) (int, string) { return v.post("/desk/stewards", "/desk/stewards", form) }
	objection, record := w.object(t, w.harmless), w.recordOf(t)
	if _, err := w.store.Raise(context.Background(), w.authorActor, store.DoubtOf{Board: boardID, Designator: "C2",
		Text: "Mine is 22 µF.", Revision: 2}); err != nil {
		t.Fatal(err)
	}
	_, body := v.get("/desk/stewards")
	want(t, body, "What grows", "The whole database", "No budget is set", "Not on mine.", "Mine is 22 µF.",
		"None is suspended.", `name="back" value="stewards"`)

	_, body = act(url.Values{"act": {"set-aside"}, "proposal": {id(w.harmless)}, "number": {id(objection)},
		"reason": {""}})
	want(t, body, `role="alert"`, "Not on mine.")
	_, body = act(url.Values{"act": {"set-aside"}, "proposal": {id(w.harmless)}, "number": {id(objection)},
		"reason": {"Rune is away."}})
	want(t, body, "None stands.", "Reason: Rune is away.")
	_, body = v.get("/proposals/" + id(w.harmless))
	want(t, body, "Rune is away.")

	_, body = act(url.Values{"act": {"withdraw-record"}, "number": {id(record)}, "kind": {"mistaken"},
		"reason": {"Another board."}})
	want(t, body, "Reason: Another board.", fmt.Sprintf("Record %d of a unit of board %s was withdrawn as mistaken.",
		record, boardID))
	if status, _ := act(url.Values{"act": {"withdraw-record"}, "number": {"99"}, "kind": {"mistaken"},
		"reason": {"x"}}); status != 404 {
		t.Errorf("no such record: %d", status)
	}

	_, body = act(url.Values{"act": {"disable"}, "number": {id(w.authorActor.ID)}, "reason": {"Floods the desk."}})
	want(t, body, "Suspended proposals", "C5 stands the other way round.", "A note on C4.")
	_, body = act(url.Values{"act": {"enable"}, "number": {id(w.authorActor.ID)}})
	want(t, body, "None is suspended.")

	v.post("/desk/stewards", "/boards/"+boardID+"/doubts/1/answer", url.Values{"back": {"stewards"},
		"text": {"It is 10 µF on all of ours."}})
	_, body = v.get("/desk/stewards")
	if strings.Contains(body, "Mine is 22 µF.") {
		t.Error("an answered doubt is still open")
	}
}

// TestStewardsActs sends each form of the page as everybody: it is the stewards'.
func TestStewardsActs(t *testing.T) {
	w := newSite(t)
	objection, record := w.object(t, w.harmless), w.recordOf(t)
	forms := []url.Values{
		{"act": {"set-aside"}, "proposal": {id(w.harmless)}, "number": {id(objection)}, "reason": {"x"}},
		{"act": {"withdraw-record"}, "number": {id(record)}, "kind": {"mistaken"}, "reason": {"x"}},
		{"act": {"withdraw-revision"}, "board": {boardID}, "number": {"1"}, "kind": {"mistaken"}, "reason": {"x"}},
		{"act": {"withdraw-photograph"}, "sha256": {strings.Repeat("0", 64)}, "kind": {"mistaken"}, "reason": {"x"}},
		{"act": {"move"}, "board": {boardID}, "to": {"elsewhere"}},
		{"act": {"disable"}, "number": {id(w.authorActor.ID)}},
		{"act": {"enable"}, "number": {id(w.authorActor.ID)}}, {"act": {"link"}, "number": {id(w.authorActor.ID)}},
		{"act": {"invite"}, "role": {"contributor"}, "uses": {"1"}, "days": {"1"}},
		{"act": {"sign-up"}, "open": {"yes"}},
		{"act": {"end-invitation"}, "number": {"1"}}, {"act": {"role"}, "number": {id(w.authorActor.ID)},
			"role": {"steward"}},
	}
	cast := w.cast(t)
	delete(cast, "steward")
	for who, v := range cast {
		want := 403
		if who == "anonymous" {
			want = 401
		}
		for _, form := range forms {
			if status, body := v.post("/sign-in", "/desk/stewards", form); status != want ||
				strings.Contains(body, "invitation=") {
				t.Errorf("%s: %s answers %d, want %d", who, form.Get("act"), status, want)
			}
		}
	}
}
