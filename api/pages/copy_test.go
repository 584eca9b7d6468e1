package pages_test

import (
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/jackc/pgx/v5"

	"boardlore/api"
	"boardlore/api/pages"
	"boardlore/store"
	"boardlore/store/storetest"
)

// TestCopyIsTold: a mirror says on each page whose copy it is, how old, and that
// the other showed another log than before. Pages that are kept say it too.
func TestCopyIsTold(t *testing.T) {
	besideOthers(t)
	dsn := storetest.DSN(t, migrate)
	s, err := store.Open(t.Context(), dsn, store.Options{MaxConns: 2})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	db, err := pgx.Connect(t.Context(), dsn)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close(t.Context()) })
	const of, key = "https://maps.example.org", "boardlore/0011223344556677+d25cb0db+AQQGdk0l9uj0P+fLaUBRzN5vlPlfsUDf8DxmtV97Pjxq"
	if _, err := s.BeginMirror(t.Context(), of, "boardlore/0011223344556677", key); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		state      string
		want, lack []string
	}{
		{`checked_at = NULL`, []string{of, "has not been held to the registry&#39;s log yet", "Ask the registry before"},
			[]string{"another log"}},
		{`checked_at = now()`, []string{of, "just now", "Read-only copy"}, []string{"another log", "Ask the registry"}},
		{`checked_at = now() - interval '5 minutes 3 seconds'`, []string{"5 minutes ago"}, []string{"Ask the registry"}},
		{`checked_at = now() - interval '3 days 2 hours'`, []string{"3 days ago", "Ask the registry", "stale"},
			[]string{"another log"}},
		{`alarm = 'x', checked_at = now()`, []string{"just now", "another log than before", "stale"}, nil},
	} {
		if _, err := db.Exec(t.Context(), `UPDATE mirror SET `+c.state); err != nil {
			t.Fatal(err)
		}
		p, err := pages.New(s, pages.Options{}) // which knows nothing of before
		if err != nil {
			t.Fatal(err)
		}
		h, err := api.New(api.Config{Store: s, Mirror: of, Pages: p.Mount, ErrorPage: p.ErrorPage})
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range []string{"/", "/sign-in", "/boards/nowhere"} {
			w := httptest.NewRecorder()
			r := httptest.NewRequestWithContext(t.Context(), "GET", path, nil)
			r.Header.Set("Accept", "text/html")
			h.ServeHTTP(w, r)
			for _, want := range c.want {
				if !strings.Contains(w.Body.String(), want) {
					t.Errorf("%s, %s: no %q", c.state, path, want)
				}
			}
			for _, lack := range c.lack {
				if strings.Contains(w.Body.String(), lack) {
					t.Errorf("%s, %s: says %q", c.state, path, lack)
				}
			}
		}
	}
}
