package main

import (
	"bytes"
	"context"
	"net"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/go-json-experiment/json"

	"boardlore/api"
	"boardlore/api/client"
	"boardlore/seeds"
	"boardlore/store"
	"boardlore/store/storetest"
)

// asked is a registry with the demo scenario, that commands ask.
type asked struct {
	*httptest.Server
	tokens map[string]string // files, by account
	cache  string
}

func askRegistry(t *testing.T) *asked {
	t.Helper()
	s, err := store.Open(t.Context(), storetest.DSN(t, migrated), store.Options{MaxConns: 4})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	accounts, err := seeds.Load(t.Context(), s, func(string) {})
	if err != nil {
		t.Fatal(err)
	}
	h, err := api.New(api.Config{Store: s})
	if err != nil {
		t.Fatal(err)
	}
	a := &asked{httptest.NewServer(h), map[string]string{}, t.TempDir()}
	t.Cleanup(a.Close)
	for _, x := range accounts {
		a.tokens[x.Name] = file(t, "token", x.Token+"\n")
	}
	t.Setenv(settingServer.variable, a.URL)
	t.Setenv(settingCache.variable, a.cache)
	t.Setenv(tokenVariable, "")
	t.Setenv(settingToken.variable, "")
	return a
}

func migrated(ctx context.Context, url string) error { return store.Migrate(ctx, url, nil) }

// expected is what a command must leave behind.
type expected struct {
	args         []string
	code         int
	stdout, said string // what must stand on either, "" for nothing at all
}

func (e *expected) check(t *testing.T) said {
	t.Helper()
	got := command(t.Context(), e.args...)
	if got.code != e.code {
		t.Errorf("%q: exit %d, want %d: %s%s", e.args, got.code, e.code, got.stdout, got.stderr)
	}
	for stream, pair := range map[string][2]string{"output": {got.stdout, e.stdout}, "error": {got.stderr, e.said}} {
		if pair[1] == "" && pair[0] != "" || !strings.Contains(pair[0], pair[1]) {
			t.Errorf("%q: standard %s is %q, want %q in it", e.args, stream, pair[0], pair[1])
		}
	}
	return got
}

// TestCommandsAskARegistry runs each command that asks a registry, with sound
// and with bad input.
func TestCommandsAskARegistry(t *testing.T) {
	a := askRegistry(t)
	open := file(t, "open", "secret")
	if err := os.Chmod(open, 0o644); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]expected{
		"a map": {[]string{"fetch", "tarn-mx12-main"}, exitOK, `"revision": 3`, ""},
		"a map of a variant": {[]string{"fetch", "okeby-fm6-sum", "--variant", "issue-2"}, exitOK,
			`"variant": "issue-2"`, ""},
		"an earlier map": {[]string{"fetch", "tarn-mx12-main", "--revision", "1"}, exitOK,
			`"revision": 1`, ""},
		"no such board":    {[]string{"fetch", "nowhere"}, exitFailed, "", "nowhere"},
		"no such revision": {[]string{"fetch", "tarn-mx12-main", "--revision", "99"}, exitFailed, "", "99"},
		"no such variant": {[]string{"fetch", "tarn-mx12-main", "--variant", "nope"}, exitFailed, "",
			"nope"},
		"no board": {[]string{"fetch"}, exitUsage, "", "BOARD"},
		"no address": {[]string{"fetch", "tarn-mx12-main", "--server", "maps.example.org"}, exitUsage,
			"", "https://"},
		"no number": {[]string{"fetch", "tarn-mx12-main", "--revision", "two"}, exitUsage, "",
			"revision"},
		"a token that others can read": {[]string{"fetch", "tarn-mx12-main", "--token-file", open}, exitUsage, "",
			"chmod 600"},
		"a token that is none": {[]string{"fetch", "tarn-mx12-main", "--token-file",
			file(t, "token", "two words")}, exitUsage, "", "token"},
		"no such token file": {[]string{"fetch", "tarn-mx12-main", "--token-file", "nowhere"}, exitUsage, "",
			"nowhere"},
		"no token in an argument": {[]string{"fetch", "tarn-mx12-main", "--token", "secret"}, exitUsage, "",
			"token"},

		"differences": {[]string{"differences", "tarn-mx12-main", "--from", "1", "--to", "3"},
			exitOK, "C40", ""},
		"differences for programs": {[]string{"differences", "tarn-mx12-main", "--json"}, exitOK,
			`"severity": "hazard"`, ""},
		"differences as a patch": {[]string{"differences", "tarn-mx12-main", "--as", "json-patch"}, exitOK,
			`"op":"replace"`, ""},
		"differences drawn": {[]string{"differences", "tarn-mx12-main", "--as", "svg", "--side",
			"bottom"}, exitOK, "<svg", ""},
		"differences in no form": {[]string{"differences", "tarn-mx12-main", "--as", "png"}, exitUsage, "",
			"json-patch"},
		"differences of one alone": {[]string{"differences", "okeby-fm6-sum"}, exitFailed, "", "none before it"},
		"a plan": {[]string{"plan", "tarn-ps4-mains", "--resistor", "10k"}, exitOK,
			"MAKE SAFE", ""},
		"a plan for programs": {[]string{"plan", "tarn-mx12-main", "--json", "--scope", "C13"}, exitOK,
			`"designator": "C13"`, ""},
		"a plan of a file": {[]string{"plan", seedDocuments + "tarn-ps4-mains.2.json"}, exitOK,
			"not a released revision", ""},
		"a plan with no resistor": {[]string{"plan", "tarn-ps4-mains", "--resistor", "47 µF"}, exitUsage, "",
			"kΩ"},
		"a plan with no tool": {[]string{"plan", "tarn-ps4-mains", "--tool-half-width", "-1"}, exitUsage,
			"", "tool-half-width"},
		"a plan for no such part": {[]string{"plan", "tarn-ps4-mains", "--scope", "Q99"}, exitFailed, "",
			"Q99"},
		"a kit of a file": {[]string{"reconcile", "tarn-mx12-main", seedDocuments + "kit-right.json"},
			exitOK, "revision 3: COMPLETE", ""},
		"a kit that is kept": {[]string{"reconcile", "tarn-mx12-main", "mx12-main-swapped"},
			int(exitConflict), "STOP", ""},
		"a kit against an old map": {[]string{"reconcile", "tarn-mx12-main", "mx12-main-right", "--revision",
			"1", "--json"}, exitOK, `"revision": 1`, ""},
		"no such kit": {[]string{"reconcile", "tarn-mx12-main", "no-such-kit"}, exitFailed, "",
			"no-such-kit"},
		"a proposal":                {[]string{"review", "5"}, exitOK, "HAZARDS", ""},
		"a proposal for programs":   {[]string{"review", "5", "--json"}, exitOK, `"standing"`, ""},
		"no such proposal":          {[]string{"review", "99"}, exitFailed, "", "99"},
		"no number of a proposal":   {[]string{"review", "five"}, exitUsage, "", "number"},
		"a verdict on nothing read": {[]string{"review", "5", "--verdict", "endorse"}, exitUsage, "", "--read"},
		"a verdict of another word": {[]string{"review", "5", "--verdict", "nice"}, exitUsage, "", "endorse"},
		"a remark without a verdict": {[]string{"review", "5", "--remark", "C49: why?"}, exitUsage, "",
			"--verdict"},
		"a verdict on another map": {[]string{"review", "5", "--verdict", "endorse", "--read", "0123456789ab"},
			exitFailed, "", "another map"},
		"seen on no such thing": {[]string{"review", "5", "--verdict", "query", "--read", "0123456789ab",
			"--seen", "C1=dream"}, exitUsage, "", "seen"},
		"a submission without its reason": {[]string{"propose", seedDocuments + "tarn-mx12-main.3.json"}, exitUsage, "",
			"--summary"},
		"a submission of nobody's": {[]string{"propose", seedDocuments + "tarn-mx12-main.3.json", "--summary",
			"s", "--base", "3"}, exitFailed, "", "token"},
		"a submission of no map": {[]string{"propose", file(t, "map.json", `{"board":"x"}`), "--summary", "s"},
			exitFailed, "", "stop"},
		"an amendment with a summary": {[]string{"propose", seedDocuments + "tarn-mx12-main.3.json", "--amend", "4",
			"--summary", "s"}, exitUsage, "", "--amend"},
		"all that happened": {[]string{"watch", "--once", "--after", "0", "--what", "released"}, exitOK,
			"released proposal 1", "--after"},
		"all that happened to a board": {[]string{"watch", "okeby-fm6-sum", "--once", "--after", "0", "--json"},
			exitOK, `"what":"submitted"`, "--after"},
		"what never happens":          {[]string{"watch", "--what", "soldered"}, exitUsage, "", "released"},
		"two boards watched":          {[]string{"watch", "a", "b"}, exitUsage, "", "BOARD"},
		"a board that is not watched": {[]string{"watch", "nowhere", "--once"}, exitFailed, "", "nowhere"},
		"completion":                  {[]string{"completion", "bash"}, exitOK, "boardlore", ""},
		"IDs completed": {[]string{"__complete", "fetch", "tarn"}, exitOK, "tarn-mx12-main",
			"Completion"},
		"verdicts completed": {[]string{"__complete", "review", "5", "--verdict", ""}, exitOK, "endorse",
			"Completion"},
	} {
		t.Run(name, func(t *testing.T) { c.check(t) })
	}
	if got := command(t.Context(), "fetch", "tarn-mx12-main", "--bare"); got.code != exitOK ||
		got.stdout != string(bareMap(t, a)) {
		t.Errorf("exit %d, other bytes than the registry's", got.code)
	}
}

func bareMap(t *testing.T, a *asked) []byte {
	t.Helper()
	c, err := client.New(a.URL, client.Options{})
	if err != nil {
		t.Fatal(err)
	}
	m, err := c.Map(t.Context(), "tarn-mx12-main", "")
	if err != nil {
		t.Fatal(err)
	}
	b, err := m.Value.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestFromFetchToRelease goes the way of a correction by commands alone: the
// map as fetched is edited, checked, proposed, amended, read and endorsed; a
// verdict on what was amended since is refused.
func TestFromFetchToRelease(t *testing.T) {
	a := askRegistry(t)
	fetched := expected{[]string{"fetch", "tarn-mx12-main"}, exitOK, `"map"`, ""}
	doc := (&fetched).check(t).stdout
	edited := file(t, "map.json", strings.Replace(doc, `"name": "Main board"`, `"name": "Main board, recorder"`, 1))
	(&expected{[]string{"check", edited}, exitOK, "map", ""}).check(t)
	(&expected{[]string{"reconcile", edited, seedDocuments + "kit-right.json"}, exitOK, "COMPLETE", ""}).check(t)
	one, two := a.tokens["bench-one"], a.tokens["reader-one"]
	receipt := (&expected{[]string{"propose", edited, "--summary", "Name as printed.", "--evidence", "Silk screen.",
		"--evidence", "C13, C14: sleeve read.",
		"--token-file", one, "--json"}, exitOK, `"state": "submitted"`, ""}).check(t)
	var r struct {
		ID     int64  `json:"id"`
		Digest string `json:"digest"`
	}
	if err := json.Unmarshal([]byte(receipt.stdout), &r); err != nil {
		t.Fatal(err)
	}
	n := regexp.MustCompile(`\d+`).FindString(receipt.stdout[strings.Index(receipt.stdout, `"id"`):])
	detail := (&expected{[]string{"review", n}, exitOK, r.Digest, ""}).check(t)
	for _, want := range []string{"against revision 3", "C13, C14: sleeve read.", "Main board, recorder",
		"A release needs"} {
		if !strings.Contains(detail.stdout, want) {
			t.Errorf("%q is not in %s", want, detail.stdout)
		}
	}
	again := file(t, "map.json", strings.Replace(doc, `"name": "Main board"`, `"name": "Main board of the recorder"`,
		1))
	(&expected{[]string{"propose", again, "--amend", n, "--token-file", two}, exitFailed, "", "author"}).check(t)
	(&expected{[]string{"propose", again, "--amend", n, "--token-file", one}, exitOK, "submitted", ""}).check(t)
	(&expected{[]string{"review", n, "--verdict", "endorse", "--read", r.Digest[:12], "--token-file", two}, exitFailed,
		"", "another map"}).check(t)
	now := regexp.MustCompile(`[0-9a-f]{64}`).FindString((&expected{[]string{"review", n}, exitOK, "read",
		""}).check(t).stdout)
	(&expected{[]string{"review", n, "--verdict", "endorse", "--read", now[:12], "--remark", "C13: as on mine",
		"--seen", "C13=board", "--token-file", one}, exitFailed, "", "role"}).check(t)
	t.Setenv(tokenVariable, strings.TrimSpace(contents(t, two)))
	(&expected{[]string{"review", n, "--verdict", "endorse", "--read", now, "--remark", "C13: as on mine", "--seen",
		"C13=board"}, exitOK, "submitted", ""}).check(t)
	if got := command(t.Context(), "review", n); !strings.Contains(got.stdout, "reader-one: endorse") ||
		!strings.Contains(got.stdout, "C13: as on mine") {
		t.Errorf("%+v", got)
	}
}

func contents(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// TestWithoutANetwork has everything that was fetched once there when the
// registry is gone, with its age; older than a day nothing is an all clear.
// What was never fetched, and every act, is refused with a code of its own.
func TestWithoutANetwork(t *testing.T) {
	a := askRegistry(t)
	kit := seedDocuments + "kit-right.json"
	for _, args := range [][]string{{"fetch", "tarn-mx12-main"}, {"differences", "tarn-mx12-main"}, {"review", "5"}} {
		(&expected{args, exitOK, "C55", ""}).check(t)
	}
	a.Close()
	for _, c := range []expected{
		{[]string{"fetch", "tarn-mx12-main"}, exitOK, `"revision": 3`,
			"kept copy, last confirmed less than a minute ago"},
		{[]string{"differences", "tarn-mx12-main"}, exitOK, "C40", "kept copy"},
		{[]string{"plan", "tarn-mx12-main"}, exitOK, "TAKE OUT", "kept copy"},
		{[]string{"reconcile", "tarn-mx12-main", kit}, exitOK, "COMPLETE", "kept copy"},
		{[]string{"review", "5"}, exitOK, "HAZARDS", "kept copy"},
		{[]string{"fetch", "okeby-fm6-sum"}, exitAway, "", "can't be reached"},
		{[]string{"fetch", "tarn-mx12-main", "--cache", "off"}, exitAway, "", "can't be reached"},
		{[]string{"watch", "--once"}, exitAway, "", "can't be reached"},
		{[]string{"review", "5", "--verdict", "endorse", "--read", "0123456789ab"}, exitFailed, "",
			"nothing to act on"},
		{[]string{"propose", seedDocuments + "tarn-mx12-main.3.json", "--summary", "s", "--base", "3"}, exitAway, "",
			"can't be reached"},
	} {
		c.check(t)
	}
	grown(t, a.cache, 3*24*time.Hour)
	for _, c := range []expected{
		{[]string{"fetch", "tarn-mx12-main"}, int(exitStale), `"revision": 3`, "STOP"},
		{[]string{"plan", "tarn-mx12-main"}, int(exitStale), "TAKE OUT", "3 days"},
		{[]string{"reconcile", "tarn-mx12-main", kit}, int(exitStale), "COMPLETE", "STOP"},
		{[]string{"reconcile", "tarn-mx12-main", seedDocuments + "kit-short.json"}, int(exitShort), "TO BUY", "STOP"},
	} {
		c.check(t)
	}
}

// grown makes everything that is kept older.
func grown(t *testing.T, dir string, by time.Duration) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*"))
	if err != nil || len(files) == 0 {
		t.Fatalf("%v, %v", files, err)
	}
	for _, name := range files {
		head, body, _ := bytes.Cut([]byte(contents(t, name)), []byte("\n"))
		var k map[string]any
		if err := json.Unmarshal(head, &k); err != nil {
			t.Fatal(err)
		}
		k["at"] = time.Now().Add(-by)
		if head, err = json.Marshal(k); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, append(append(head, '\n'), body...), 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// TestNobodyAnswers: an address at which nothing listens is no registry that
// refuses.
func TestNobodyAnswers(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	address := "http://" + l.Addr().String()
	if err := l.Close(); err != nil {
		t.Fatal(err)
	}
	(&expected{[]string{"fetch", "tarn-mx12-main", "--server", address, "--cache", t.TempDir()}, exitAway, "",
		"can't be reached"}).check(t)
}

// TestWatchTells has an act told while a command watches, and ends it as a
// person does.
func TestWatchTells(t *testing.T) {
	a := askRegistry(t)
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	stdout, stderr := &watched{more: make(chan struct{}, 1)}, &watched{more: make(chan struct{}, 1)}
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"watch", "--after", "1", "--what", "reviewed,kit-kept"}, stdout, stderr)
	}()
	await := func(text string) {
		t.Helper()
		for !strings.Contains(stdout.String(), text) {
			select {
			case <-stdout.more:
			case code := <-ended:
				t.Fatalf("ended with %d: %s", code, stderr)
			}
		}
	}
	await("mx12-main-swapped")
	c, err := client.New(a.URL, client.Options{Token: strings.TrimSpace(contents(t, a.tokens["bench-one"]))})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.KeepList(t.Context(), "told-kit", "", "text/plain", []byte("2x 47uF 16V\n"),
		client.ListOf{Title: "Told"}); err != nil {
		t.Fatal(err)
	}
	await("told-kit")
	stop()
	if code := <-ended; code != exitOK {
		t.Errorf("interrupted, it ends with %d: %s", code, stderr)
	}
}

// TestCheckTellsWhatItDidNot: what a document alone can't show is named, a kit
// of which nothing reads is refused here as it is on a board, and a map may be
// in its envelope.
func TestCheckTellsWhatItDidNot(t *testing.T) {
	for _, c := range []expected{
		{[]string{"check", seedDocuments + "okeby-fm6-sum.1.json"}, exitOK,
			"not checked: whether the board is as the map says", ""},
		{[]string{"check", seedDocuments + "kit-dangerous.json"}, exitOK, "not checked: whether its parts suit a board",
			""},
		{[]string{"check", "--json", seedDocuments + "kit-dangerous.json"}, exitOK, `"not_checked":["whether`, ""},
		{[]string{"check", file(t, "kit.csv", "Qty;Part\n3;blue thing\n")}, exitFailed, "kit-refused", ""},
		{[]string{"check", file(t, "kit.csv", "Qty;Part\n3;47uF 16V\n2;10uF not 16V\n")}, exitOK, "line-unsure", ""},
		{[]string{"check", file(t, "map.json", `{"board":"a","revision":1,"map":{"board":"a","colour":"red"}}`)},
			exitFailed, "/map/colour", ""},
	} {
		c.check(t)
	}
}
