package api

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
)

// TestFigures: the figures stand on a listener of their own and nowhere else,
// and what the alert rules and the dashboard ask for is there.
func TestFigures(t *testing.T) {
	var figures http.Handler
	f := serveWith(t, Config{Figures: func(h http.Handler) { figures = h }})
	f.ask(t, "", "GET", "/v1", "").want(t, 200, "")
	for _, path := range []string{"/metrics", "/debug/pprof/"} {
		f.ask(t, "", "GET", path, "").want(t, 404, "not-found")
	}
	w := httptest.NewRecorder()
	figures.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), "GET", "/metrics", nil))
	page := w.Body.String()
	for _, want := range []string{"boardlore_ready 1", "boardlore_database_up 1", "boardlore_proposals_open 0",
		"boardlore_computations_waiting 0"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q in the figures", want)
		}
	}
	sometimes := map[string]bool{"boardlore_replica_follows": true,
		"boardlore_replica_behind_seconds": true,                               // with a replica
		"boardlore_disk_free_bytes":        true, "boardlore_disk_bytes": true, // with a private database
		"boardlore_mirror_alarm": true, "boardlore_mirror_checked_seconds": true} // of a mirror
	name := regexp.MustCompile(`\b(boardlore|process)_[a-z_]+`)
	for _, file := range []string{"../deploy/alerts.yml", "../deploy/dashboard.json"} {
		b, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(file, "json") && json.Unmarshal(b, new(any)) != nil {
			t.Errorf("%s is no JSON", file)
		}
		found := name.FindAllString(string(b), -1)
		if len(found) < 8 {
			t.Errorf("%s asks for %v", file, found)
		}
		for _, n := range found {
			if !strings.Contains(page, n) && !sometimes[n] {
				t.Errorf("%s asks for %s, which is not there", file, n)
			}
		}
	}
}

// TestLogAddresses: where callers call from stands in the log only where wanted.
func TestLogAddresses(t *testing.T) {
	for _, wanted := range []bool{false, true} {
		t.Run(strconv.FormatBool(wanted), func(t *testing.T) {
			var b strings.Builder
			log := slog.New(slog.NewTextHandler(&b, nil))
			f := serveWith(t, Config{Log: log, LogAddresses: wanted})
			f.ask(t, "", "GET", "/v1", "").want(t, 200, "")
			f.Close()
			if s := b.String(); !strings.Contains(s, "path=/v1") || strings.Contains(s, "127.0.0.1") != wanted {
				t.Errorf("wanted %v: %s", wanted, s)
			}
		})
	}
}

// TestUnsoundAddresses: pages refuse what is no text as a mistake of the caller's.
func TestUnsoundAddresses(t *testing.T) {
	f := serve(t)
	for _, path := range []string{"/boards/a%00b", "/boards/%ff", "/?q=%00", "/?q=%c3%28", "/boards/a?variant=%ff",
		"/?%ff=1", "/static/%00"} {
		f.ask(t, "", "GET", path, "").want(t, 400, "malformed")
	}
}
