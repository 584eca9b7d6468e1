package client

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
)

// answer is what came.
type answer struct {
	header http.Header
	body   []byte
	fresh  Freshness
	same   bool // what is kept is still what is there
}

// request is what is asked.
type request struct {
	method     string
	path       string // with the query, as a link has it
	accept     string
	media      string
	body       []byte
	header     http.Header
	shared     bool // the answer is the same for everyone, and may be kept
	repeatable bool // sent twice it does what it does once
}

// maxAnswer bounds an answer that is held in memory; no answer of a registry
// but an export is longer than 8 MiB, a photograph than 20.
const maxAnswer = 32 << 20

// get fetches, through the cache where there is one.
func (c *Client) get(ctx context.Context, r request) (*answer, error) {
	r.repeatable = true
	if !r.shared || c.cache == nil {
		return c.do(ctx, r)
	}
	file := c.cache.file(c.base, c.opt.Language, r)
	kept := c.cache.find(file)
	if kept != nil && kept.Tag != "" {
		r.header = http.Header{"If-None-Match": {kept.Tag}}
	}
	a, err := c.do(ctx, r)
	switch refused := Refused(err); {
	case err == nil && a.same && kept != nil:
		kept.At = time.Now()
		c.trouble(c.cache.keep(file, kept))
		return kept.answer(), nil
	case err == nil:
		if !private(a.header) {
			c.trouble(c.cache.keep(file, keptOf(a)))
		}
		return a, nil
	case kept != nil && away(err):
		out := kept.answer()
		out.fresh = Freshness{Kept: true, Age: time.Since(kept.At)}
		return out, nil
	case kept != nil && refused != nil && gone(refused.Status):
		c.trouble(c.cache.drop(file)) // withdrawn, and must not come back where there is no network
	}
	return nil, err
}

func (c *Client) trouble(err error) {
	if err != nil {
		c.opt.Trouble(err)
	}
}

func gone(status int) bool {
	return status == http.StatusNotFound || status == http.StatusGone || status == http.StatusUnavailableForLegalReasons
}

// away tells an error that says nothing of what was asked for: nobody answered,
// or nobody who could.
func away(err error) bool {
	r := Refused(err)
	return r == nil && !errors.Is(err, context.Canceled) || r != nil &&
		(r.Status >= 500 || r.Status == http.StatusTooManyRequests)
}

// Unreachable tells an error that says that no registry answered at all.
func Unreachable(err error) bool {
	var op *net.OpError
	var dns *net.DNSError
	var timeout net.Error
	return errors.As(err, &op) || errors.As(err, &dns) || errors.As(err, &timeout) && timeout.Timeout()
}

// do asks, and asks again where that is safe and may help.
func (c *Client) do(ctx context.Context, r request) (*answer, error) {
	var err error
	for try := range c.opt.Tries {
		var a *answer
		if a, err = c.once(ctx, r); err == nil {
			return a, nil
		}
		wait, again := pause(err, try, r.repeatable)
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

// pause is how long to wait before another try, if there is to be any. What was
// surely not done may be tried again whatever it is; what may have been done,
// only where doing it twice is doing it once.
func pause(err error, try int, repeatable bool) (time.Duration, bool) {
	const longest = 30 * time.Second
	wait := 250 * time.Millisecond << try
	r := Refused(err)
	if r == nil {
		return wait, (repeatable || undone(err)) && !errors.Is(err, context.Canceled) &&
			!errors.Is(err, context.DeadlineExceeded)
	}
	wait = max(wait, r.after)
	switch r.Status {
	case http.StatusTooManyRequests:
		return wait, wait <= longest
	case http.StatusServiceUnavailable:
		return wait, wait <= longest && (repeatable || r.Code != "" && r.Code != "outcome-unknown")
	case http.StatusBadGateway, http.StatusGatewayTimeout:
		return wait, wait <= longest && repeatable
	}
	return 0, false
}

// undone tells an error of a request that never left.
func undone(err error) bool {
	var op *net.OpError
	return errors.As(err, &op) && op.Op == "dial"
}

func (c *Client) once(ctx context.Context, r request) (*answer, error) {
	res, err := c.send(ctx, r, c.opt.HTTP)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	body, err := io.ReadAll(io.LimitReader(res.Body, maxAnswer+1))
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", r.method, r.path, err)
	}
	if len(body) > maxAnswer {
		return nil, fmt.Errorf("%s %s: the answer is longer than %d bytes", r.method, r.path, maxAnswer)
	}
	switch {
	case res.StatusCode >= 400:
		return nil, refusal(res, body)
	case res.StatusCode >= 300 && res.StatusCode != http.StatusNotModified:
		return nil, fmt.Errorf("%s %s leads to %q, and was not followed", r.method, r.path, res.Header.Get("Location"))
	}
	return &answer{header: res.Header, body: body, same: res.StatusCode == http.StatusNotModified}, nil
}

func (c *Client) send(ctx context.Context, r request, by *http.Client) (*http.Response, error) {
	at, err := c.base.Parse(r.path)
	if err != nil {
		return nil, err
	}
	if at.Host != c.base.Host || at.Scheme != c.base.Scheme { // the token is for this registry alone
		return nil, fmt.Errorf("%s is not at %s", r.path, c.base)
	}
	var body io.Reader
	if r.body != nil {
		body = bytes.NewReader(r.body)
	}
	req, err := http.NewRequestWithContext(ctx, r.method, at.String(), body)
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
	if c.opt.Language != "" {
		req.Header.Set("Accept-Language", c.opt.Language)
	}
	if c.opt.Token != "" {
		req.Header.Set("Authorization", "Bearer "+c.opt.Token)
	}
	return by.Do(req)
}

func refusal(res *http.Response, body []byte) error {
	r := &Refusal{}
	if json.Unmarshal(body, r) != nil || r.Detail == "" {
		r = &Refusal{Detail: fmt.Sprintf("The registry answers %s.", res.Status)}
	}
	r.Status = res.StatusCode
	r.Key = res.Request.Header.Get("Idempotency-Key")
	if n, err := strconv.Atoi(res.Header.Get("Retry-After")); err == nil && n >= 0 {
		r.after = time.Duration(n) * time.Second
	}
	return r
}
