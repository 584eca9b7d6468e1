package pages_test

import (
	"context"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"boardlore/api"
	"boardlore/api/pages"
	"boardlore/store"
)

// look gets a page as a stranger does, with headers in pairs.
func look(t testing.TB, w *site, path string, headers ...string) (http.Header, string) {
	t.Helper()
	r, err := http.NewRequest("GET", w.URL+path, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "identity")
	for i := 0; i < len(headers); i += 2 {
		r.Header.Set(headers[i], headers[i+1])
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil || res.StatusCode != 200 && res.StatusCode != 304 {
		t.Fatal(path, res.Status, err)
	}
	return res.Header, string(body)
}

// hears waits until the server hears of changes, from when on pages are kept.
func hears(t testing.TB, s *store.Store) {
	t.Helper()
	for range 1000 {
		if _, ok := s.Turn(boardID); ok {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	t.Fatal("the server hears nothing")
}

// TestKeptPages: strangers share a page until something happens to the board;
// who is signed in, or is known by any other cookie, neither gets theirs nor
// leaves one for them.
func TestKeptPages(t *testing.T) {
	w := newSite(t)
	hears(t, w.store)
	path := "/boards/" + boardID
	h, first := look(t, w, path)
	if tag := h.Get("ETag"); !strings.HasPrefix(tag, `"`) || h.Get("Repr-Digest") == "" {
		t.Errorf("a page with ETag %s, Repr-Digest %s", tag, h.Get("Repr-Digest"))
	}
	if n, _ := look(t, w, path, "If-None-Match", h.Get("ETag")); n.Get("ETag") != h.Get("ETag") {
		t.Errorf("a page that is known already has ETag %s", n.Get("ETag"))
	}
	ada := w.visitor(t, w.author)
	if _, own := ada.get(path); !strings.Contains(own, "Ada") {
		t.Error("the page of an account does not name it")
	}
	for range 3 {
		if _, again := look(t, w, path); again != first || strings.Contains(again, "Ada") {
			t.Error("a stranger got another page than before")
		}
	}
	if _, own := ada.get(path); !strings.Contains(own, "Ada") {
		t.Error("an account got a stranger's page")
	}
	if h, _ := look(t, w, path, "Cookie", "boardlore_session=nobody"); h.Get("Set-Cookie") == "" {
		t.Error("the cookie of a session that has ended is not taken away")
	}

	m := readMap(t)
	at(t, m, "C2").Notes = "Stands close to the screening can."
	at(t, m, "C3").X += 1.5
	at(t, m, "C6").Notes = "Runs warm."
	open := w.submit(t, 2, m, "A note on C6.", `["Seen on one board."]`)
	_, waiting := look(t, w, path)
	if waiting == first || !strings.Contains(waiting, "/proposals/"+id(open)) {
		t.Errorf("proposal %d is not told at once", open)
	}
	w.release(t, open)
	h, released := look(t, w, path)
	if strings.Contains(released, "/proposals/"+id(open)+`"`) || released == first {
		t.Error("a release is not told at once")
	}
	position := path + "/positions/C2"
	look(t, w, position)
	if _, err := w.store.Raise(context.Background(), w.authorActor, store.DoubtOf{Board: boardID, Revision: 3,
		Designator: "C2", Text: "It is 22 µF on mine."}); err != nil {
		t.Fatal(err)
	}
	if _, doubted := look(t, w, position); !strings.Contains(doubted, "It is 22 µF on mine.") {
		t.Error("a doubt is not told at once")
	}
	if _, err := w.store.WithdrawRevision(context.Background(), w.stewardActor(t), boardID, 3,
		store.Withdrawal{Kind: "mistaken", Reason: "another board"}, store.Once{}); err != nil {
		t.Fatal(err)
	}
	if now, gone := look(t, w, path); gone == released || now.Get("ETag") == h.Get("ETag") {
		t.Error("a withdrawal is not told at once")
	}
}

func (w *site) stewardActor(t testing.TB) store.Actor {
	t.Helper()
	a, err := w.store.Authenticate(context.Background(), w.steward)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestKeptPagesVary: a page is kept for its whole address, language and host.
func TestKeptPagesVary(t *testing.T) {
	w := newSite(t)
	hears(t, w.store)
	seen := map[string]string{}
	for _, a := range []string{"?side=top", "?side=bottom", "?side=top&mark=C3", "?side=top&zoom=2", "?revision=1",
		"?revision=2", "/positions/C3", "/positions/C2"} {
		_, body := look(t, w, "/boards/"+boardID+a)
		if other, ok := seen[body]; ok {
			t.Errorf("%s and %s are one page", a, other)
		}
		seen[body] = a
		if _, again := look(t, w, "/boards/"+boardID+a); again != body {
			t.Errorf("%s is another page the second time", a)
		}
	}
	for _, language := range []string{"de", "en"} {
		h, _ := look(t, w, "/boards/"+boardID, "Accept-Language", language)
		if again, _ := look(t, w, "/boards/"+boardID, "Accept-Language",
			language); again.Get("Content-Language") != h.Get("Content-Language") ||
			again.Get("ETag") != h.Get("ETag") {
			t.Errorf("%s: %v, then %v", language, h, again)
		}
	}
}

// TestKeptPagesUnderWay: of a page that was begun before a release nothing is
// left after it, however the two cross.
func TestKeptPagesUnderWay(t *testing.T) {
	w := newSite(t)
	hears(t, w.store)
	m := readMap(t)
	at(t, m, "C2").Notes = "Stands close to the screening can."
	at(t, m, "C3").X += 1.5
	for n := 2; n < 8; n++ {
		at(t, m, "C2").Notes += " Really."
		proposal := w.submit(t, n, m, "Said once more.", `["Seen."]`)
		done := make(chan struct{})
		var readers sync.WaitGroup
		for range 4 {
			readers.Go(func() {
				for {
					look(t, w, "/boards/"+boardID+"/positions/C2")
					select {
					case <-done:
						return
					default:
					}
				}
			})
		}
		w.release(t, proposal)
		_, body := look(t, w, "/boards/"+boardID+"/positions/C2")
		close(done)
		readers.Wait()
		if !strings.Contains(body, strings.Repeat(" Really.", n-1)) {
			t.Fatalf("revision %d is not on the page", n+1)
		}
	}
}

// TestMaskedKeys: the key of a form looks different each time and is good each
// time; pages that have it say so by a weak tag.
func TestMaskedKeys(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, "")
	keys := map[string]bool{}
	for range 4 {
		_, body := v.get("/sign-in")
		m := keyField.FindStringSubmatch(body)
		if m == nil || keys[m[1]] {
			t.Fatalf("the key %v stood there before", m)
		}
		keys[m[1]] = true
	}
	for key := range keys {
		r, _ := http.NewRequest("POST", w.URL+"/sign-in", strings.NewReader("form_key="+key+"&token=wrong"))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if status, body := v.do(r); status != 401 {
			t.Errorf("an earlier key answers %d %s", status, body)
		}
	}
	for key := range keys {
		for _, bad := range []string{key[:len(key)-2] + "00", key[:64], strings.Repeat("0", len(key)), "", "zz"} {
			r, _ := http.NewRequest("POST", w.URL+"/sign-in", strings.NewReader("form_key="+bad+"&token=wrong"))
			r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
			if status, _ := v.do(r); status != 403 && bad != key {
				t.Errorf("the key %s answers %d", bad, status)
			}
		}
		break
	}
	h, _ := look(t, w, "/sign-in")
	if tag := h.Get("ETag"); !strings.HasPrefix(tag, `W/"`) {
		t.Errorf("a page with a key has the tag %s", tag)
	}
}

// A page of a board for strangers, made before.
func BenchmarkKeptPage(b *testing.B) {
	w := newSite(b)
	hears(b, w.store)
	p, err := pages.New(w.store, pages.Options{})
	if err != nil {
		b.Fatal(err)
	}
	h, err := api.New(api.Config{Store: w.store, Pages: p.Mount, ErrorPage: p.ErrorPage, Limits: api.Limits{Off: true}})
	if err != nil {
		b.Fatal(err)
	}
	r := httptest.NewRequest("GET", "/boards/"+boardID, nil)
	b.ReportAllocs()
	for b.Loop() {
		h.ServeHTTP(&sink{h: http.Header{}}, r.Clone(r.Context()))
	}
}
