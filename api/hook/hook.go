// Package hook sends what hooks are told: signed as Standard Webhooks says
// (https://www.standardwebhooks.com), so that any of its libraries verifies it,
// and never into a private network unless a steward allowed that. Where an
// address leads is judged on the connection itself, since a name can lead
// elsewhere between a look-up and a dial, and no redirect is followed.
package hook

import (
	"bytes"
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/url"
	"strconv"
	"syscall"
	"time"

	"code.dny.dev/ssrf"
	"github.com/go-json-experiment/json"

	"boardlore/store"
)

// Times and sizes of one telling.
const (
	dialTime  = 5 * time.Second
	wholeTime = 20 * time.Second
	maxAnswer = 4 << 10 // of which nothing is looked at; a short one lets the connection be used again
)

// Sender tells hooks.
type Sender struct {
	open    *http.Client // into the public network alone
	private *http.Client // anywhere
	public  string
}

// New makes a sender; public is scheme and host as the world sees this server, ""
// where nobody said.
func New(public string) *Sender {
	guard := ssrf.New(ssrf.WithAnyPort())
	return &Sender{open: dialling(guard.Safe), private: dialling(nil), public: public}
}

// dialling makes a client whose connections control has looked at.
func dialling(control func(network, address string, c syscall.RawConn) error) *http.Client {
	d := &net.Dialer{Timeout: dialTime, Control: control}
	return &http.Client{
		Timeout: wholeTime,
		// No proxy: it would dial instead, and its address would be judged for the other's.
		Transport: &http.Transport{DialContext: d.DialContext, TLSHandshakeTimeout: dialTime, MaxIdleConnsPerHost: 1,
			IdleConnTimeout: time.Minute, MaxResponseHeaderBytes: 16 << 10, ForceAttemptHTTP2: true},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}
}

// message is the body.
type message struct {
	Type      string    `json:"type"`
	Timestamp time.Time `json:"timestamp"` // of the act
	Data      told      `json:"data"`
}

type told struct {
	Event    int64             `json:"event"`
	Board    string            `json:"board"`
	Revision int               `json:"revision"`
	Digest   string            `json:"digest"`
	Kind     string            `json:"kind,omitzero"` // of a withdrawal
	Links    map[string]string `json:"links"`
}

// Send tells one hook of one event. Its errors name neither the address nor what
// came back, so that nobody reads a network through them.
func (s *Sender) Send(ctx context.Context, t store.Telling) error {
	board := s.public + "/v1/boards/" + t.Board
	revision := board + "/revisions/" + strconv.Itoa(t.Revision)
	body, err := json.Marshal(message{t.Type, t.At.UTC(), told{t.Event, t.Board, t.Revision, t.Digest, t.Kind,
		map[string]string{"board": board, "map": board + "/map", "revision": revision, "proof": revision + "/proof"}}},
		json.Deterministic(true))
	if err != nil {
		return fmt.Errorf("what is told: %w", err)
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, t.Address, bytes.NewReader(body))
	if err != nil {
		return errors.New("the address can't be asked")
	}
	sign(r, t, body, time.Now())
	client := s.open
	if t.Private {
		client = s.private
	}
	res, err := client.Do(r)
	if err != nil {
		return plain(err)
	}
	defer res.Body.Close()
	_, _ = io.Copy(io.Discard, io.LimitReader(res.Body, maxAnswer))
	switch {
	case res.StatusCode == http.StatusGone:
		return store.ErrHookGone
	case res.StatusCode < 200 || res.StatusCode > 299:
		return fmt.Errorf("it answered %d", res.StatusCode)
	}
	return nil
}

// sign puts body and signature into a request.
func sign(r *http.Request, t store.Telling, body []byte, now time.Time) {
	at := strconv.FormatInt(now.Unix(), 10)
	m := hmac.New(sha256.New, t.Secret)
	fmt.Fprintf(m, "%s.%s.%s", t.ID, at, body)
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("User-Agent", "boardlore")
	r.Header.Set("Webhook-Id", t.ID)
	r.Header.Set("Webhook-Timestamp", at)
	r.Header.Set("Webhook-Signature", "v1,"+base64.StdEncoding.EncodeToString(m.Sum(nil)))
}

// plain says what went wrong without the address.
func plain(err error) error {
	var in *url.Error
	var dns *net.DNSError
	switch {
	case errors.Is(err, ssrf.ErrProhibitedIP), errors.Is(err, ssrf.ErrProhibitedNetwork):
		return errors.New("it leads into a private network, which a steward has to allow")
	case errors.As(err, &dns):
		return errors.New("its name is not known")
	case errors.As(err, &in) && in.Timeout():
		return errors.New("it gave no answer in time")
	}
	return errors.New("it can't be reached")
}
