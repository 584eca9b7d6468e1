package mirror_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/api"
	"boardlore/api/client"
	"boardlore/api/mirror"
	"boardlore/domain/board"
	"boardlore/domain/review"
	"boardlore/domain/transparency"
	"boardlore/store"
	"boardlore/store/bundle"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

// registry is a server on a database of its own.
type registry struct {
	*store.Store
	dsn     string
	url     string
	figures http.Handler
	load    *store.Loader
	steward store.Actor
}

func open(t *testing.T, mirrorOf string) *registry {
	t.Helper()
	dsn := storetest.DSN(t, func(ctx context.Context, url string) error { return store.Migrate(ctx, url, nil) })
	s, err := store.Open(t.Context(), dsn, store.Options{MaxConns: 4})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	var figures http.Handler
	h, err := api.New(api.Config{Store: s, Mirror: mirrorOf, Figures: func(h http.Handler) { figures = h }})
	if err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(h)
	t.Cleanup(server.Close)
	return &registry{Store: s, dsn: dsn, url: server.URL, figures: figures}
}

// own opens a registry that releases.
func own(t *testing.T) *registry {
	t.Helper()
	r := open(t, "")
	if _, err := r.Log(t.Context()); err != nil {
		t.Fatal(err)
	}
	var err error
	if r.load, err = r.NewLoader(t.Context(), "a test"); err != nil {
		t.Fatal(err)
	}
	token, err := r.AddAccount(t.Context(), "sue", review.Steward)
	if err != nil {
		t.Fatal(err)
	}
	if r.steward, err = r.Authenticate(t.Context(), token); err != nil {
		t.Fatal(err)
	}
	return r
}

func mapOf(id string, n int) []byte {
	return fmt.Appendf(nil, `{"board":%q,"equipment":{"kind":"recorder","maker":"Fenwright","model":"RX2"},`+
		`"frame":{"basis":"measured","height_mm":80,"uncertainty_mm":0.5,"width_mm":100},"name":"Board %d",`+
		`"positions":[{"designator":"C1","part":{"class":"capacitor"},"rotation_deg":0,"side":"top","x_mm":20,"y_mm":20}]}`, id, n)
}

func (r *registry) release(t *testing.T, id string, n int) {
	t.Helper()
	m := mapOf(id, n)
	err := r.load.Add(t.Context(), store.Exported{Act: transparency.Release, Board: id, Revision: n,
		Digest: board.Digest(m), At: time.Now(), Map: m})
	if err == nil {
		err = r.load.Flush(t.Context())
	}
	if err != nil {
		t.Fatal(err)
	}
}

// follow makes a mirror of the registry at an address.
func follow(t *testing.T, at, key string) (*registry, *mirror.Follower) {
	t.Helper()
	m := open(t, at)
	return m, followIn(t, m, at, key)
}

func followIn(t *testing.T, m *registry, at, key string) *mirror.Follower {
	t.Helper()
	c, err := client.New(at, client.Options{Tries: 1})
	if err != nil {
		t.Fatal(err)
	}
	f, err := mirror.New(t.Context(), m.Store, c, mirror.Options{Key: key})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func step(t *testing.T, f *mirror.Follower) {
	t.Helper()
	if err := f.Step(t.Context()); err != nil {
		t.Fatal(err)
	}
}

func get(t *testing.T, address string) (int, string) {
	t.Helper()
	res, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	b, err := io.ReadAll(res.Body)
	if err != nil {
		t.Fatal(err)
	}
	return res.StatusCode, string(b)
}

// TestFollows has a mirror take on releases, a withdrawal and a move, in steps;
// it holds the same log under the same checkpoint, and serves it with the other gone.
func TestFollows(t *testing.T) {
	t.Parallel()
	a := own(t)
	for n := 1; n <= 3; n++ {
		a.release(t, "fen-a", n)
	}
	m, f := follow(t, a.url, "")
	step(t, f)
	a.release(t, "fen-b", 1)
	if _, err := a.WithdrawRevision(t.Context(), a.steward, "fen-a", 3, store.Withdrawal{Kind: "dangerous",
		Reason: "Turned polarity."}, store.Once{}); err != nil {
		t.Fatal(err)
	}
	if _, err := a.Move(t.Context(), a.steward, "fen-b", "fen-c", "As printed.", store.Once{}); err != nil {
		t.Fatal(err)
	}
	step(t, f)
	a.release(t, "fen-a", 4)
	step(t, f)
	step(t, f) // nothing new
	for _, path := range []string{"/log/checkpoint", "/log/tile/entries/000.p/7", "/log/tile/0/000.p/7",
		"/v1/boards/fen-a/map", "/v1/boards/fen-a/revisions/2", "/v1/boards/fen-c/map"} {
		as, ab := get(t, a.url+path)
		ms, mb := get(t, m.url+path)
		if as != 200 || as != ms || ab != mb {
			t.Errorf("%s: %d and %d\n%s\n%s", path, as, ms, ab, mb)
		}
	}
	if status, _ := get(t, m.url+"/v1/boards/fen-a/revisions/3"); status != http.StatusGone {
		t.Errorf("the withdrawn revision answers %d", status)
	}
	id, err := a.Log(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	c, err := client.New(m.url, client.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var file bytes.Buffer
	if _, err := bundle.Write(t.Context(), &file, mirror.Remote{Client: c}, []string{"fen-a"},
		func(string) {}); err != nil {
		t.Fatal(err)
	}
	if r, err := bundle.Verify(&file, id.Key, bundle.Options{}); err != nil || len(r.Entries) != 5 {
		t.Errorf("the mirror's bundle under the registry's key: %+v, %v", r, err)
	}
	res, err := http.Post(m.url+"/v1/proposals", "application/json", strings.NewReader("{}"))
	if err != nil {
		t.Fatal(err)
	}
	res.Body.Close()
	if res.StatusCode != http.StatusForbidden {
		t.Errorf("a submission to a mirror answers %d", res.StatusCode)
	}
	late, g := follow(t, a.url, id.Key) // from the beginning, the withdrawn map no more to be had
	step(t, g)
	if _, lb := get(t, late.url+"/log/checkpoint"); !strings.Contains(lb, id.Origin+"\n7\n") {
		t.Errorf("a late mirror: %s", lb)
	}
	if status, body := get(t, late.url+"/v1/boards/fen-a/revisions/3"); status != http.StatusGone ||
		!strings.Contains(body, "withdrawn as dangerous") || !strings.Contains(body, "revision 4") {
		t.Errorf("the withdrawn revision, which the late mirror never had, answers %d: %s", status, body)
	}
	w := httptest.NewRecorder()
	late.figures.ServeHTTP(w, httptest.NewRequestWithContext(t.Context(), "GET", "/metrics", nil))
	for _, want := range []string{"boardlore_mirror_entries 7\n", "boardlore_mirror_alarm 0\n",
		"boardlore_mirror_checked_seconds "} {
		if !strings.Contains(w.Body.String(), want) {
			t.Errorf("no %q in the figures of a mirror", want)
		}
	}
	if status, _ := get(t, late.url+"/v1/boards/fen-a/revisions/9"); status != http.StatusNotFound {
		t.Errorf("a revision that never was answers %d", status)
	}
	for _, s := range []*store.Store{m.Store, late.Store} {
		if c, err := s.CheckData(t.Context(), func(string) {}); err != nil || len(c.Faults) > 0 {
			t.Errorf("check-data of a mirror: %q, %v", c.Faults, err)
		}
	}
}

// TestCountsTheSame: what the records of a registry amount to is the same on its
// mirror, which has its kits too, and learns no mark of a unit.
func TestCountsTheSame(t *testing.T) {
	t.Parallel()
	a := own(t)
	a.release(t, "fen-a", 1)
	m, f := follow(t, a.url, "")
	step(t, f)
	kit := []byte(`{"kit":"fen-caps","title":"Capacitors","for":["fen-a"],"lines":[{"line":1,"quantity":1,"text":"47 µF 25 V"}]}`)
	if _, _, err := a.PutKit(t.Context(), a.steward, store.KitPut{Kit: "fen-caps", Document: kit}); err != nil {
		t.Fatal(err)
	}
	keep := func(unit, on, found string) int64 {
		t.Helper()
		doc := fmt.Appendf(nil,
			`{"board":"fen-a","revision":1,"unit":%q,"serviced_on":%q,"outcome":"working","symptoms":["Hum"],`+
				`"positions":[{"designator":"C1","found":%q,"done":"left"}],"kit":{"kit":"fen-caps"}}`, unit, on, found)
		r, err := a.KeepRecord(t.Context(), a.steward, "fen-a", doc, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC),
			store.Once{})
		if err != nil {
			t.Fatal(err)
		}
		return r.ID
	}
	same := func(when string) {
		t.Helper()
		step(t, f)
		for _, path := range []string{"/v1/boards/fen-a/experience", "/v1/boards/fen-a/experience?variant=base",
			"/v1/symptoms?q=hum", "/v1/kits/fen-caps"} {
			as, ab := get(t, a.url+path)
			ms, mb := get(t, m.url+path)
			if as != 200 || as != ms || ab != mb {
				t.Errorf("%s, %s: %d and %d\n%s\n%s", when, path, as, ms, ab, mb)
			}
		}
	}
	keep("shelf 1", "2025-03-01", "leaking")
	last := keep("shelf 2", "2025-03-01", "open")
	same("two units")
	keep("shelf 1", "2025-03-02", "good")
	same("one unit again")
	if _, err := a.WithdrawRecord(t.Context(), a.steward, last, store.Withdrawal{Reason: "Another board."},
		store.Once{}); err != nil {
		t.Fatal(err)
	}
	same("one withdrawn")
	if status, body := get(t, m.url+"/v1/boards/fen-a/records"); status != 200 || strings.Contains(body, "shelf") ||
		strings.Count(body, `"outcome"`) != 2 {
		t.Errorf("%d: %s", status, body)
	}
	if c, err := m.CheckData(t.Context(), nil); err != nil || len(c.Faults) > 0 {
		t.Errorf("check-data of a mirror: %q, %v", c.Faults, err)
	}
}

// gateway leads to one registry and then to another.
func gateway(t *testing.T, to ...string) (address string, turn func(int)) {
	t.Helper()
	var now atomic.Int32
	var proxies []http.Handler
	for _, at := range to {
		u, err := url.Parse(at)
		if err != nil {
			t.Fatal(err)
		}
		proxies = append(proxies, httputil.NewSingleHostReverseProxy(u))
	}
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter,
		r *http.Request) {
		proxies[now.Load()].ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	return s.URL, func(n int) { now.Store(int32(n)) }
}

// sameKey has one registry sign as another does.
func sameKey(t *testing.T, a, b *registry) {
	t.Helper()
	from, err := pgx.Connect(t.Context(), a.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer from.Close(t.Context())
	to, err := pgx.Connect(t.Context(), b.dsn)
	if err != nil {
		t.Fatal(err)
	}
	defer to.Close(t.Context())
	var origin, key, secret string
	if err := from.QueryRow(t.Context(), `SELECT origin, key, secret FROM log_identities`).Scan(&origin, &key,
		&secret); err != nil {
		t.Fatal(err)
	}
	if _, err := to.Exec(t.Context(),
		`INSERT INTO log_identities (origin, key, secret, since) VALUES ($1, $2, $3, now())`, origin, key,
		secret); err != nil {
		t.Fatal(err)
	}
}

// TestFork shows a mirror three logs signed by the same key that do not go on
// from the one that it has: a longer one, one as long, a shorter one.
func TestFork(t *testing.T) {
	t.Parallel()
	for name, entries := range map[string]int{"longer": 4, "as long": 2, "shorter": 1} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			a := own(t)
			a.release(t, "fen-a", 1)
			a.release(t, "fen-a", 2)
			b := open(t, "")
			sameKey(t, a, b)
			var err error
			if b.load, err = b.NewLoader(t.Context(), "a test"); err != nil {
				t.Fatal(err)
			}
			for n := range entries {
				b.release(t, "fen-x", n+1)
			}
			at, turn := gateway(t, a.url, b.url)
			m, f := follow(t, at, "")
			step(t, f)
			_, before := get(t, m.url+"/log/checkpoint")
			turn(1)
			if err := f.Step(t.Context()); !errors.Is(err, mirror.ErrFork) {
				t.Fatalf("a forked log: %v", err)
			}
			turn(0)
			if err := f.Step(t.Context()); !errors.Is(err, mirror.ErrFork) {
				t.Errorf("after a fork, with the first log back: %v", err)
			}
			if _, index := get(t, m.url+"/v1"); !strings.Contains(index, `"alarm":"`) {
				t.Errorf("GET /v1 raises no alarm: %s", index)
			}
			if _, now := get(t, m.url+"/log/checkpoint"); now != before {
				t.Errorf("a fork changed what is served: %s", now)
			}
			if status, _ := get(t, m.url+"/v1/boards/fen-a/map"); status != 200 {
				t.Errorf("after a fork the map answers %d", status)
			}
		})
	}
}

// TestKeys has a mirror go on along a rotated key and a restored backup, and
// not along another key.
func TestKeys(t *testing.T) {
	t.Parallel()
	a := own(t)
	a.release(t, "fen-a", 1)
	m, f := follow(t, a.url, "")
	step(t, f)
	for _, act := range []func(context.Context) (*store.LogIdentity, error){a.RotateKey, a.RotateKey, a.Depart} {
		if _, err := act(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
	a.release(t, "fen-a", 2)
	step(t, f)
	id, err := a.Log(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	got, err := m.Mirror(t.Context())
	if err != nil || got.Key != id.Key || got.Size != 2 {
		t.Errorf("%+v, %v, want the key %s", got, err, id.Key)
	}
	b := own(t)
	at, turn := gateway(t, a.url, b.url)
	other, g := follow(t, at, "")
	step(t, g)
	turn(1)
	if err := g.Step(t.Context()); !errors.Is(err, mirror.ErrKey) {
		t.Errorf("another registry at the same address: %v", err)
	}
	if got, err := other.Mirror(t.Context()); err != nil || got.Key != id.Key {
		t.Errorf("the key that is kept: %+v, %v", got, err)
	}
	c, err := client.New(a.url, client.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := mirror.New(t.Context(), open(t, a.url).Store, c, mirror.Options{Key: "no key"}); err == nil {
		t.Error("follows by what is no key")
	}
	b.release(t, "fen-z", 1)
	if _, err := mirror.New(t.Context(), b.Store, c, mirror.Options{}); err == nil {
		t.Error("a registry with releases of its own became a mirror")
	}
}

// TestPromoted makes a mirror a registry when the other is gone: it releases
// under a key of its own, and its log goes on from what was proved.
func TestPromoted(t *testing.T) {
	t.Parallel()
	a := own(t)
	a.release(t, "fen-a", 1)
	m, f := follow(t, a.url, "")
	step(t, f)
	root, err := m.RootAt(t.Context(), 1)
	if err != nil {
		t.Fatal(err)
	}
	id, err := m.Promote(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if was, _ := a.Log(t.Context()); !strings.Contains(id.Note, was.Origin) || id.Origin == was.Origin {
		t.Errorf("promoted as %+v", id)
	}
	if _, err := m.Promote(t.Context()); err == nil {
		t.Error("promoted twice")
	}
	if m.load, err = m.NewLoader(t.Context(), "a test"); err != nil {
		t.Fatal(err)
	}
	m.release(t, "fen-a", 2)
	again, err := m.RootAt(t.Context(), 1)
	if err != nil || again != root {
		t.Errorf("the log does not go on from what was proved: %v, %v, %v", root, again, err)
	}
	second, g := follow(t, m.url, id.Key)
	step(t, g)
	if status, _ := get(t, second.url+"/v1/boards/fen-a/revisions/2"); status != 200 {
		t.Errorf("a mirror of what was a mirror answers %d", status)
	}
}
