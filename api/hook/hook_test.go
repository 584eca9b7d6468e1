package hook_test

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"
	webhook "github.com/standard-webhooks/standard-webhooks/libraries/go"

	"boardlore/api/hook"
	"boardlore/domain/review"
	"boardlore/store"
	"boardlore/store/storetest"
)

func TestMain(m *testing.M) { os.Exit(storetest.Main(m, storetest.Waiting)) }

// registry has an account of each role.
type registry struct {
	*store.Store
	db                        *pgx.Conn
	author, reviewer, steward store.Actor
}

func open(t *testing.T) *registry {
	t.Helper()
	dsn := storetest.DSN(t, func(ctx context.Context, url string) error { return store.Migrate(ctx, url, nil) })
	s, err := store.Open(t.Context(), dsn, store.Options{MaxConns: 6})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	r := &registry{Store: s}
	if r.db, err = pgx.Connect(t.Context(), dsn); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = r.db.Close(context.WithoutCancel(t.Context())) })
	for name, to := range map[review.Role]*store.Actor{review.Contributor: &r.author, review.Reviewer: &r.reviewer,
		review.Steward: &r.steward} {
		token, err := s.AddAccount(t.Context(), string(name), name)
		if err != nil {
			t.Fatal(err)
		}
		if *to, err = s.Authenticate(t.Context(), token); err != nil {
			t.Fatal(err)
		}
	}
	return r
}

func (r *registry) release(t *testing.T, id string) {
	t.Helper()
	m := fmt.Appendf(nil, `{"board":%q,"equipment":{"kind":"recorder","maker":"Fenwright","model":"RX2"},`+
		`"frame":{"basis":"measured","height_mm":80,"uncertainty_mm":0.5,"width_mm":100},"name":"Board",`+
		`"positions":[{"designator":"R1","part":{"class":"resistor","value":"1 kΩ"},"rotation_deg":0,"side":"top","x_mm":20,"y_mm":20}]}`, id)
	sent, err := r.Submit(t.Context(), r.author, store.Submission{Board: id, Map: m, Summary: "First.",
		Evidence: []byte(`["Seen."]`)})
	if err == nil {
		_, err = r.Review(t.Context(), r.reviewer, store.Verdict{Proposal: sent.Proposal, IfMatch: sent.Digest,
			Verdict: "endorse"})
	}
	if err == nil {
		_, err = r.Release(t.Context(), r.reviewer, store.Decision{Proposal: sent.Proposal, IfMatch: sent.Digest})
	}
	if err != nil {
		t.Fatal(err)
	}
}

// again has what waits for its next try wait no longer.
func (r *registry) again(t *testing.T) {
	t.Helper()
	if _, err := r.db.Exec(t.Context(), `UPDATE river_job SET state = 'available', scheduled_at = now()
		WHERE state = 'retryable'`); err != nil {
		t.Fatal(err)
	}
}

// deliveries asks until they are as want says.
func (r *registry) deliveries(t *testing.T, h int64, want func([]store.Delivery) bool) []store.Delivery {
	t.Helper()
	for tick := time.NewTicker(20 * time.Millisecond); ; {
		list, err := r.Deliveries(t.Context(), r.steward, h)
		if err != nil {
			t.Fatal(err)
		}
		if want(list) {
			return list
		}
		select {
		case <-tick.C:
		case <-t.Context().Done():
			t.Fatalf("%+v", list)
		}
	}
}

type told struct {
	header http.Header
	body   []byte
}

// TestDelivery: releases and withdrawals come to whoever asked for them, signed so
// that the library of Standard Webhooks verifies them, and again until they are
// taken, under the same name.
func TestDelivery(t *testing.T) {
	t.Parallel()
	r := open(t)
	answers := make(chan int, 8)
	came := make(chan told, 8)
	receiver := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, q *http.Request) {
		b, _ := io.ReadAll(q.Body)
		came <- told{q.Header, b}
		w.WriteHeader(<-answers)
	}))
	t.Cleanup(receiver.Close)
	h, secret, err := r.MakeHook(t.Context(), r.steward, store.NewHook{Address: receiver.URL + "/told?who=tool",
		Private: true})
	if err != nil {
		t.Fatal(err)
	}
	lib, err := webhook.NewWebhook(secret)
	if err != nil {
		t.Fatal(err)
	}
	stop, err := r.Deliver(t.Context(), hook.New("https://maps.example.org").Send)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stop)
	type message struct {
		Type string `json:"type"`
		Data struct {
			Board    string            `json:"board"`
			Revision int               `json:"revision"`
			Digest   string            `json:"digest"`
			Kind     string            `json:"kind"`
			Links    map[string]string `json:"links"`
		} `json:"data"`
	}
	next := func(answer int) (m message, id string) {
		t.Helper()
		answers <- answer
		x := <-came
		if err := lib.Verify(x.body, x.header); err != nil {
			t.Fatalf("%v: %v %s", err, x.header, x.body)
		}
		altered := append([]byte("x"), x.body...)
		if lib.Verify(altered, x.header) == nil {
			t.Error("an altered body is verified")
		}
		if err := json.Unmarshal(x.body, &m); err != nil {
			t.Fatal(err)
		}
		return m, x.header.Get("webhook-id")
	}
	r.release(t, "fen-a")
	m, first := next(500)
	if m.Type != "revision.released" || m.Data.Board != "fen-a" || m.Data.Revision != 1 || len(m.Data.Digest) != 64 ||
		m.Data.Links["proof"] != "https://maps.example.org/v1/boards/fen-a/revisions/1/proof" {
		t.Errorf("%+v", m)
	}
	failed := r.deliveries(t, h.ID, func(l []store.Delivery) bool { return len(l) == 1 && l[0].LastError != "" })[0]
	if failed.State != "waiting" || failed.LastError != "it answered 500" || failed.NextAt.IsZero() ||
		strings.Contains(failed.LastError, secret) {
		t.Errorf("after a failure: %+v", failed)
	}
	r.again(t)
	if _, id := next(204); id != first {
		t.Errorf("a further try is called %s, the first one was %s", id, first)
	}
	r.deliveries(t, h.ID, func(l []store.Delivery) bool { return l[0].State == "delivered" && l[0].Attempts == 2 })
	if _, err := r.WithdrawRevision(t.Context(), r.steward, "fen-a", 1, store.Withdrawal{Kind: "dangerous",
		Reason: "Wrong."}, store.Once{}); err != nil {
		t.Fatal(err)
	}
	if m, id := next(410); m.Type != "revision.withdrawn" || m.Data.Kind != "dangerous" || id == first {
		t.Errorf("%s %+v", id, m)
	}
	r.deliveries(t, h.ID, func(l []store.Delivery) bool { return len(l) == 2 && l[0].State == "dead" })
	list, err := r.Hooks(t.Context(), r.steward)
	if err != nil || len(list) != 1 || list[0].GoneAt.IsZero() || list[0].Dead != 1 {
		t.Errorf("after 410: %+v, %v", list, err)
	}
	r.release(t, "fen-b")
	if l, err := r.Deliveries(t.Context(), r.steward, h.ID); err != nil || len(l) != 2 {
		t.Errorf("what is gone is told: %+v, %v", l, err)
	}
	var kept string
	if err := r.db.QueryRow(t.Context(), `SELECT string_agg(j::text, '') FROM river_job j`).Scan(&kept); err != nil ||
		strings.Contains(kept, "whsec") || strings.Contains(kept, "who=tool") {
		t.Errorf("the queue knows a secret or an address: %s, %v", kept, err)
	}
}

// TestGivenUp: what is never taken is given up after ten tries and stays to be
// seen; the pauses grow.
func TestGivenUp(t *testing.T) {
	t.Parallel()
	r := open(t)
	h, _, err := r.MakeHook(t.Context(), r.steward, store.NewHook{Address: "https://tools.example.org/"})
	if err != nil {
		t.Fatal(err)
	}
	refused := errors.New("it answered 500")
	stop, err := r.Deliver(t.Context(), func(context.Context, store.Telling) error { return refused })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stop)
	r.release(t, "fen-a")
	var pause time.Duration
	for try := 1; try < 10; try++ {
		d := r.deliveries(t, h.ID, func(l []store.Delivery) bool {
			return len(l) == 1 && l[0].Attempts == try && l[0].LastError != "" && l[0].NextAt.After(time.Now())
		})[0]
		if p := time.Until(d.NextAt); d.State != "waiting" || p < pause {
			t.Errorf("try %d: %+v, then a pause of %s after one of %s", try, d, p, pause)
		} else {
			pause = p
		}
		r.again(t)
	}
	r.deliveries(t, h.ID, func(l []store.Delivery) bool { return l[0].State == "dead" && l[0].Attempts == 10 })
	if list, err := r.Hooks(t.Context(), r.steward); err != nil || list[0].Dead != 1 {
		t.Errorf("%+v, %v", list, err)
	}
}

func telling(address string, private bool) store.Telling {
	return store.Telling{Address: address, Private: private, Secret: make([]byte, 32), ID: "event-1-1"}
}

// TestNoPrivateNetwork: whatever an address is called, it is not dialled where it
// leads into a private network, and a redirect leads nowhere.
func TestNoPrivateNetwork(t *testing.T) {
	t.Parallel()
	asked := 0
	inner := httptest.NewTLSServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked++ }))
	t.Cleanup(inner.Close)
	_, port, _ := net.SplitHostPort(inner.Listener.Addr().String())
	s := hook.New("")
	for _, host := range []string{"127.0.0.1", "localhost", "[::1]", "0.0.0.0", "[::]", "127.1", "2130706433", "0x7f000001",
		"[::ffff:127.0.0.1]", "[64:ff9b::7f00:1]", "[2002:7f00:1::]", "10.0.0.1", "172.16.0.1", "192.168.0.1",
		"169.254.169.254", "100.64.0.1", "198.18.0.1", "224.0.0.1", "255.255.255.255", "[fe80::1]", "[fd00::1]", "[ff02::1]"} {
		err := s.Send(t.Context(), telling("https://"+host+":"+port+"/", false))
		if err == nil {
			t.Errorf("%s was told", host)
		} else if strings.Contains(err.Error(), host) || strings.Contains(err.Error(), port) {
			t.Errorf("%s: %v", host, err)
		}
	}
	for _, host := range []string{"127.0.0.1", "localhost", "[::ffff:127.0.0.1]", "169.254.169.254", "[fd00::1]"} {
		err := s.Send(t.Context(), telling("https://"+host+":"+port+"/", false))
		if err == nil || !strings.Contains(err.Error(), "private network") {
			t.Errorf("%s: %v", host, err)
		}
	}
	if asked > 0 {
		t.Errorf("the private network was asked %d times", asked)
	}
	plain := httptest.NewServer(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { asked++ }))
	t.Cleanup(plain.Close)
	leads := httptest.NewServer(http.RedirectHandler(plain.URL, http.StatusTemporaryRedirect))
	t.Cleanup(leads.Close)
	err := s.Send(t.Context(), telling(leads.URL, true))
	if err == nil || err.Error() != "it answered 307" || asked > 0 {
		t.Errorf("a redirect: %v, followed %d times", err, asked)
	}
}
