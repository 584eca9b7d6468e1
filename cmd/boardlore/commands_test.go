package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"boardlore/store"
	"boardlore/store/storetest"
)

const seedDocuments = "../../seeds/documents/"

// said is what a command left behind.
type said struct {
	code           int
	stdout, stderr string
}

func command(ctx context.Context, args ...string) said {
	var stdout, stderr bytes.Buffer
	code := run(ctx, args, &stdout, &stderr)
	return said{code, stdout.String(), stderr.String()}
}

// file writes text where a command can read it.
func file(t *testing.T, name, text string) string {
	t.Helper()
	name = filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return name
}

// TestOfflineCommands runs the commands that need no database: what a script
// reads is on standard output, what a person has to do on standard error, and
// the exit code tells one outcome from the other.
func TestOfflineCommands(t *testing.T) {
	board := seedDocuments + "tarn-mx12-main.3.json"
	sum := seedDocuments + "okeby-fm6-sum.1.json"
	list := file(t, "kit.csv", "Qty;Part;For\n1;1 A T 250 V 5x20;F1\n")
	whole, err := os.ReadFile(board)
	if err != nil {
		t.Fatal(err)
	}
	enveloped := file(t, "envelope.json",
		`{"board":"tarn-mx12-main","revision":3,"digest":"","server":"http://127.0.0.1","schema":"/v1/schemas/map","map":`+string(whole)+`}`)
	placements := file(t, "placements.csv",
		"Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,10,5,90,top,10uF\nR1,20,5,0,top,1k\n")
	for name, c := range map[string]struct {
		args         []string
		code         int
		stdout, said string // what must stand on either, "" for nothing at all
	}{
		"a sound map":           {[]string{"check", sum}, exitOK, "map, ", ""},
		"a map in its envelope": {[]string{"check", enveloped}, exitOK, "map, ", ""},
		"an envelope of faults": {[]string{"check", file(t, "bad.json", `{"revision":1,"map":{"colour":"red"}}`)},
			exitFailed, "/map", ""},
		"an envelope to reconcile": {[]string{"reconcile", enveloped, seedDocuments + "kit-right.json"}, exitOK,
			"COMPLETE", ""},
		"a kit":                 {[]string{"check", seedDocuments + "kit-right.json"}, exitOK, "kit", ""},
		"a kit list":            {[]string{"check", list}, exitOK, "kit list, 1 lines", ""},
		"findings for programs": {[]string{"check", "--json", sum}, exitOK, `"document":"map"`, ""},
		"a map refused": {[]string{"check", file(t, "map.json", `{"board":"x","colour":"red"}`)},
			exitFailed, "stop", ""},
		"no such file":     {[]string{"check", "no-such-file.json"}, exitFailed, "", "no-such-file.json"},
		"nothing to check": {[]string{"check"}, exitUsage, "", "FILE"},
		"no such command":  {[]string{"solder"}, exitUsage, "", "solder"},
		"no such flag":     {[]string{"check", "--loud", sum}, exitUsage, "", "loud"},
		"a complete kit": {[]string{"reconcile", board, seedDocuments + "kit-right.json"}, exitOK,
			"COMPLETE", ""},
		"a short kit": {[]string{"reconcile", board, seedDocuments + "kit-short.json"}, int(exitShort),
			"TO BUY", ""},
		"a swapped kit": {[]string{"reconcile", board, seedDocuments + "kit-swapped.json"},
			int(exitConflict), "STOP", ""},
		"a report for programs": {[]string{"reconcile", "--format", "json", board, seedDocuments +
			"kit-short.json"}, int(exitShort), `"outcome": "short"`, ""},
		"a report as a table": {[]string{"reconcile", "--format", "csv", board, seedDocuments +
			"kit-short.json"}, int(exitShort), "C1", ""},
		"a report in no form": {[]string{"reconcile", "--format", "png", board, seedDocuments +
			"kit-right.json"}, exitUsage, "", "text, json, csv"},
		"no such scope": {[]string{"reconcile", "--scope", "Q99", board, seedDocuments + "kit-right.json"},
			exitFailed, "", "scope"},
		"no such variant": {[]string{"reconcile", "--variant", "nope", board, seedDocuments +
			"kit-right.json"}, exitFailed, "", "nope"},
		"a list of nothing": {[]string{"reconcile", board, file(t, "kit.txt", "hello world\n")}, exitFailed,
			"", "part"},
		"two kits for one map": {[]string{"reconcile", board}, exitUsage, "", "MAP"},
		"a placement list": {[]string{"import", placements, "--board", "x-1", "--maker", "Nobody", "--model",
			"N1", "--name", "Board"}, exitOK, `"designator": "C1"`, "2 rows read, 2 used"},
		"a placement list of no one": {[]string{"import", placements}, exitUsage, "", "--board"},
		"no placements": {[]string{"import", file(t, "empty.csv", "a letter\n"), "--board", "x-1", "--maker", "Nobody",
			"--model", "N1", "--name", "Board"},
			exitFailed, "", "0 used"},
		"a text explained": {[]string{"explain", "47uF 16V"}, exitOK, "47 µF", ""},
		"the version":      {[]string{"--version"}, exitOK, "boardlore", ""},
	} {
		t.Run(name, func(t *testing.T) {
			got := command(t.Context(), c.args...)
			if got.code != c.code {
				t.Errorf("exit %d, want %d: %s%s", got.code, c.code, got.stdout, got.stderr)
			}
			for stream, pair := range map[string][2]string{"output": {got.stdout, c.stdout},
				"error": {got.stderr, c.said}} {
				if pair[1] == "" && pair[0] != "" || !strings.Contains(pair[0], pair[1]) {
					t.Errorf("standard %s is %q, want %q in it", stream, pair[0], pair[1])
				}
			}
		})
	}
}

// TestImportKeepsWhatIsThere: a draft never overwrites a file.
func TestImportKeepsWhatIsThere(t *testing.T) {
	out := file(t, "map.json", "mine")
	placements := file(t, "placements.csv", "Designator,X (mm),Y (mm),Rotation,Side,Value\nC1,10,5,90,top,10uF\n")
	got := command(t.Context(), "import", placements, "--board", "x-1", "--maker", "Nobody", "--model", "N1", "--name",
		"Board", "--output", out)
	if b, err := os.ReadFile(out); got.code != exitFailed || err != nil || string(b) != "mine" {
		t.Errorf("exit %d, the file says %q, %v", got.code, b, err)
	}
}

// TestMigrate brings an empty database up, and a second time does nothing.
func TestMigrate(t *testing.T) {
	dsn := storetest.DSN(t, nil)
	if got := command(t.Context(), "migrate", "--database-url", dsn); got.code != exitOK || got.stdout != "" ||
		!strings.Contains(got.stderr, "00001") {
		t.Fatalf("%+v", got)
	}
	if got := command(t.Context(), "migrate", "--database-url", dsn); got.code != exitOK || strings.Contains(got.stderr,
		"00001") {
		t.Errorf("again: %+v", got)
	}
	s, err := store.Open(t.Context(), dsn, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	if got := command(t.Context(), "migrate", "--database-url", dsn, "now"); got.code != exitUsage {
		t.Errorf("an argument too many: %+v", got)
	}
}

// watched is an output that others read while it grows.
type watched struct {
	mu   sync.Mutex
	text bytes.Buffer
	more chan struct{}
}

func (w *watched) Write(p []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	select {
	case w.more <- struct{}{}:
	default:
	}
	return w.text.Write(p)
}

func (w *watched) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.text.String()
}

var address = regexp.MustCompile(`http://127\.0\.0\.1:\d+`)

// TestDemo runs what a newcomer runs first, on a given database: it loads,
// reconciles, prints where to look, serves, ends when it is told to, and goes
// on where it was a second time.
func TestDemo(t *testing.T) {
	dsn := storetest.DSN(t, nil)
	for _, round := range []string{"first", "again"} {
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		stdout, stderr := &watched{more: make(chan struct{}, 1)}, &watched{more: make(chan struct{}, 1)}
		ended := make(chan int, 1)
		go func() {
			ended <- run(ctx, []string{"demo", "--database-url", dsn, "--listen", "127.0.0.1:0", "--data", t.TempDir()},
				stdout, stderr)
		}()
		for !strings.Contains(stdout.String(), "Or ask the server") {
			select {
			case <-stdout.more:
			case code := <-ended:
				t.Fatalf("%s: ended with %d: %s", round, code, stderr)
			}
		}
		if s := stdout.String(); !strings.Contains(s, "STOP") || !strings.Contains(s, "steward") {
			t.Errorf("%s: the demo says %s", round, s)
		}
		for _, path := range []string{"/v1/boards/tarn-mx12-main/map", "/boards/tarn-mx12-main", "/readyz"} {
			res, err := http.Get(address.FindString(stdout.String()) + path)
			if err != nil {
				t.Fatalf("%s: %v", round, err)
			}
			body, err := io.ReadAll(res.Body)
			if err != nil || res.StatusCode != http.StatusOK {
				t.Errorf("%s: %s: %s %.200s %v", round, path, res.Status, body, err)
			}
			_ = res.Body.Close()
		}
		stop()
		if code := <-ended; code != exitOK {
			t.Errorf("%s: interrupted, it ends with %d: %s", round, code, stderr)
		}
	}
}
