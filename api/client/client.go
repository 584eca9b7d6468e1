// Package client asks a registry over HTTP, as a program at a bench wants to:
// what was fetched once is kept and asked for again only on condition, so that
// it is there without a network too, with its age told; what failed for a
// moment is tried again; and what changes something is sent under a key of its
// own, so that trying again never does it twice.
//
// The obvious loop around http.Get gets each of these wrong on the first bad
// evening: it keeps nothing, gives up or hammers, and submits a map twice.
package client

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
)

// Options of a client. The zero value is one that reads, and keeps nothing.
type Options struct {
	Token string       // of an account; "" to read
	Cache string       // folder in which answers are kept; "" for none
	HTTP  *http.Client // default: one that gives a request a minute
	Tries int          // how often a request is tried, all in all; 0 for 4
}

// Client asks one registry. It may be used by any number of goroutines.
type Client struct {
	base  *url.URL
	opt   Options
	cache *cache
}

// New makes a client of the registry at an address such as https://maps.example.org.
func New(address string, opt Options) (*Client, error) {
	u, err := url.Parse(strings.TrimSuffix(strings.TrimSuffix(address, "/"), "/v1"))
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" {
		return nil, fmt.Errorf("%q is no address of a registry: write it as https://maps.example.org", address)
	}
	if opt.HTTP == nil {
		opt.HTTP = &http.Client{Timeout: time.Minute}
	}
	if opt.Tries <= 0 {
		opt.Tries = 4
	}
	c := &Client{base: u, opt: opt}
	if opt.Cache != "" {
		if c.cache, err = openCache(opt.Cache); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// Address is where the registry is.
func (c *Client) Address() string { return c.base.String() }

// Freshness says how new an answer is.
type Freshness struct {
	Kept bool          // it comes from the cache: the registry could not be reached
	Age  time.Duration // since the registry last said so
}

// Refusal is what a registry answers instead (RFC 9457).
type Refusal struct {
	Status  int
	Type    string  `json:"type"`
	Title   string  `json:"title"`
	Detail  string  `json:"detail"`
	Code    string  `json:"code"`
	Request string  `json:"request_id"`
	Errors  []Fault `json:"errors"`
	after   time.Duration
}

// Fault is one fault of a document.
type Fault struct {
	Pointer string `json:"pointer"`
	Code    string `json:"code"`
	Detail  string `json:"detail"`
}

func (r *Refusal) Error() string {
	var b strings.Builder
	b.WriteString(r.Detail)
	for _, f := range r.Errors {
		if f.Pointer == "" {
			continue
		}
		fmt.Fprintf(&b, "\n%s: %s", f.Pointer, f.Detail)
	}
	return b.String()
}

// Refused tells the refusal in an error, nil where it is another.
func Refused(err error) *Refusal {
	var r *Refusal
	if errors.As(err, &r) {
		return r
	}
	return nil
}

// answer is what came.
type answer struct {
	status int
	header http.Header
	body   []byte
	fresh  Freshness
}

// request is what is asked.
type request struct {
	method string
	path   string // with the query, as a link has it
	accept string
	media  string
	body   []byte
	header http.Header
	most   int64 // bytes of the answer; 0 for mostAnswer
}

const mostAnswer = 32 << 20

// get fetches, through the cache where there is one.
func (c *Client) get(ctx context.Context, path, accept string) (*answer, error) {
	r := request{method: http.MethodGet, path: path, accept: accept, header: http.Header{}}
	kept := c.cache.find(r)
	if kept != nil && kept.Tag != "" {
		r.header.Set("If-None-Match", kept.Tag)
	}
	a, err := c.do(ctx, r)
	switch {
	case err == nil && a.status == http.StatusNotModified && kept != nil:
		kept.At = time.Now()
		return kept.answer(), c.cache.keep(r, kept)
	case err == nil:
		return a, c.cache.keep(r, keptOf(a))
	case kept != nil && away(err):
		out := kept.answer()
		out.fresh = Freshness{Kept: true, Age: time.Since(kept.At)}
		return out, nil
	}
	return nil, err
}

// away tells an error that says nothing of what was asked for: nobody answered,
// or nobody who could.
func away(err error) bool {
	r := Refused(err)
	return r == nil && !errors.Is(err, context.Canceled) || r != nil && (r.Status >= 500 || r.Status == http.StatusTooManyRequests)
}

// act sends what changes something, under one key however often it is tried.
func (c *Client) act(ctx context.Context, method, path, media string, body []byte) (*answer, error) {
	var key [16]byte
	rand.Read(key[:]) // never fails, by its documentation
	return c.do(ctx, request{method: method, path: path, accept: "application/json", media: media, body: body,
		header: http.Header{"Idempotency-Key": {hex.EncodeToString(key[:])}}})
}

// do asks, and asks again where that is safe and may help.
func (c *Client) do(ctx context.Context, r request) (*answer, error) {
	var err error
	for try := range c.opt.Tries {
		var a *answer
		if a, err = c.once(ctx, r); err == nil {
			return a, nil
		}
		wait, again := pause(err, try)
		if !again || try == c.opt.Tries-1 {
			break
		}
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(wait):
		}
	}
	return nil, err
}

// pause is how long to wait before another try, if there is to be any. Every
// request may be tried again: those that change something bear a key or a condition.
func pause(err error, try int) (time.Duration, bool) {
	const longest = 30 * time.Second
	wait := 250 * time.Millisecond << try
	r := Refused(err)
	if r == nil {
		return wait, !errors.Is(err, context.Canceled) && !errors.Is(err, context.DeadlineExceeded)
	}
	if r.Status != http.StatusTooManyRequests && r.Status != http.StatusServiceUnavailable && r.Status != http.StatusBadGateway && r.Status != http.StatusGatewayTimeout {
		return 0, false
	}
	return max(wait, r.after), r.after <= longest
}

func (c *Client) once(ctx context.Context, r request) (*answer, error) {
	res, err := c.send(ctx, r)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	most := r.most
	if most == 0 {
		most = mostAnswer
	}
	body, err := io.ReadAll(io.LimitReader(res.Body, most+1))
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", r.method, r.path, err)
	}
	if int64(len(body)) > most {
		return nil, fmt.Errorf("%s %s: the answer is longer than %d bytes", r.method, r.path, most)
	}
	if res.StatusCode >= 400 {
		return nil, refusal(res, body)
	}
	return &answer{status: res.StatusCode, header: res.Header, body: body}, nil
}

func (c *Client) send(ctx context.Context, r request) (*http.Response, error) {
	at, err := c.base.Parse(r.path)
	if err != nil {
		return nil, err
	}
	if at.Host != c.base.Host || at.Scheme != c.base.Scheme { // the token is for this registry alone
		return nil, fmt.Errorf("%s is not at %s", r.path, c.base)
	}
	req, err := http.NewRequestWithContext(ctx, r.method, at.String(), bytes.NewReader(r.body))
	if err != nil {
		return nil, err
	}
	for name, values := range r.header {
		req.Header[name] = values
	}
	req.Header.Set("User-Agent", "boardlore-client")
	if r.accept != "" {
		req.Header.Set("Accept", r.accept)
	}
	if r.body != nil {
		req.Header.Set("Content-Type", r.media)
	}
	if c.opt.Token != "" {
		req.Header.Set("Authorization", "Bearer "+c.opt.Token)
	}
	return c.opt.HTTP.Do(req)
}

func refusal(res *http.Response, body []byte) error {
	r := &Refusal{}
	if json.Unmarshal(body, r) != nil || r.Detail == "" {
		r.Detail = fmt.Sprintf("The registry answers %s.", res.Status)
	}
	r.Status = res.StatusCode
	if n, err := strconv.Atoi(res.Header.Get("Retry-After")); err == nil && n >= 0 {
		r.after = time.Duration(n) * time.Second
	}
	return r
}
