// Package client asks a registry over HTTP, as a program at a bench wants to:
// what was fetched once is kept and asked for again only on condition, so that
// it is there without a network too, with its age told; what failed for a
// moment is tried again where that is safe; and what changes something is sent
// under a key of its own, so that trying again never does it twice.
//
// The obvious loop around http.Get gets each of these wrong on the first bad
// evening: it keeps nothing, gives up or hammers, and submits a map twice.
//
// There is a method for every route of the contract. What is read comes as an
// Answer, which says how new it is; an act gives its receipt. Every method
// gives a *Refusal where the registry answered, and refused.
package client

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"iter"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/google/go-querystring/query"
)

// Options of a client. The zero value is one that reads, and keeps nothing.
type Options struct {
	Token    string       // of an account; "" to read
	Cache    string       // folder in which answers are kept; "" for none
	Language string       // that sentences come in, as an Accept-Language header has it; "" for English
	HTTP     *http.Client // default: one that gives a request a minute
	Tries    int          // how often a request is tried, all in all; 0 for 4

	Trouble func(error) // told of what went wrong beside an answer, such as a cache that can't be written; default: nobody
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
	if err != nil || u.Host == "" || u.Scheme != "http" && u.Scheme != "https" || u.User != nil || u.RawQuery != "" ||
		u.Fragment != "" {
		return nil, fmt.Errorf("%q is no address of a registry: write it as https://maps.example.org", address)
	}
	if opt.HTTP == nil {
		opt.HTTP = &http.Client{Timeout: time.Minute}
	}
	if opt.Tries <= 0 {
		opt.Tries = 4
	}
	if opt.Trouble == nil {
		opt.Trouble = func(error) {}
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

// Answer is what a registry says, and how new that is.
type Answer[T any] struct {
	Value    T
	Fresh    Freshness
	Tag      string // its ETag, by which an act names what was read; "" for none
	Location string // the address under which this very answer stays, where it has one
}

// Freshness says how new an answer is.
type Freshness struct {
	Kept bool          // it comes from the cache: the registry could not be reached
	Age  time.Duration // since the registry last said so; 0 of an answer that just came
}

// Refusal is what a registry answers instead (RFC 9457).
type Refusal struct {
	Status   int     `json:"status"`
	Type     string  `json:"type"`
	Title    string  `json:"title"`
	Detail   string  `json:"detail"`
	Code     string  `json:"code"`
	Request  string  `json:"request_id"`
	Errors   []Fault `json:"errors"`
	Findings []Fault `json:"findings"` // that refuse nothing

	// Key is the Idempotency-Key that an act was sent under: with WithKey the
	// same act can be sent again, and is done once. "" for what had none.
	Key string `json:"-"`

	after time.Duration // the registry asks to be left alone so long
}

// Fault is one fault of a document, or of a query.
type Fault struct {
	Pointer   string `json:"pointer"` // JSON Pointer (RFC 6901) into the document
	Parameter string `json:"parameter"`
	Code      string `json:"code"`
	Severity  string `json:"severity"`
	Detail    string `json:"detail"`
	Expected  string `json:"expected"`
	Found     string `json:"found"`
	Basis     string `json:"basis"`
}

func (r *Refusal) Error() string {
	var b strings.Builder
	b.WriteString(r.Detail)
	for _, f := range r.Errors {
		if where := f.Pointer + f.Parameter; where != "" {
			fmt.Fprintf(&b, "\n%s: %s", where, f.Detail)
		}
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

// Page says which part of a list is wanted.
type Page struct {
	Limit  int    `url:"limit,omitempty"`  // items at most; 0 for the registry's own measure
	Cursor string `url:"cursor,omitempty"` // of the page's address; "" for the first
}

// paged is a list that goes on.
type paged interface{ next() string }

// Pages gives a list page after page, from one that was fetched on.
func Pages[L paged](ctx context.Context, c *Client, first Answer[L]) iter.Seq2[L, error] {
	return func(yield func(L, error) bool) {
		for list := first.Value; yield(list, nil); {
			next := list.next()
			if next == "" {
				return
			}
			a, err := fetch[L](ctx, c, next, nil)
			if err != nil {
				yield(a.Value, err)
				return
			}
			list = a.Value
		}
	}
}

type keyOf struct{}

// WithKey has the next act that is sent under the context use an
// Idempotency-Key of the caller's: whoever is started anew after an act whose
// outcome they don't know sends it again under the key of before.
func WithKey(ctx context.Context, key string) context.Context {
	return context.WithValue(ctx, keyOf{}, key)
}

func keyFor(ctx context.Context) string {
	if key, ok := ctx.Value(keyOf{}).(string); ok && key != "" {
		return key
	}
	var key [16]byte
	rand.Read(key[:]) // never fails, by its documentation
	return hex.EncodeToString(key[:])
}

// pathOf joins the parts of a path of the contract, each escaped.
func pathOf(parts ...any) string {
	p := "/v1"
	for _, s := range parts {
		p += "/" + url.PathEscape(fmt.Sprint(s))
	}
	return p
}

// asked is a path with what a struct of query members says; nil for none.
func asked(path string, q any) (string, error) {
	if q == nil {
		return path, nil
	}
	v, err := query.Values(q)
	if err != nil {
		return "", err
	}
	if len(v) == 0 {
		return path, nil
	}
	return path + "?" + v.Encode(), nil
}

// fetch reads one answer as JSON, through the cache.
func fetch[T any](ctx context.Context, c *Client, path string, q any) (Answer[T], error) {
	return read[T](ctx, c, request{path: path, accept: jsonMedia, shared: true}, q)
}

// own reads one answer that is the account's own, and is kept nowhere.
func own[T any](ctx context.Context, c *Client, path string, q any) (Answer[T], error) {
	return read[T](ctx, c, request{path: path, accept: jsonMedia}, q)
}

const jsonMedia = "application/json"

func read[T any](ctx context.Context, c *Client, r request, q any) (out Answer[T], err error) {
	raw, err := c.raw(ctx, r, q)
	if err != nil {
		return out, err
	}
	if err := json.Unmarshal(raw.Value, &out.Value); err != nil {
		return out, fmt.Errorf("answer of %s: %w", r.path, err)
	}
	out.Fresh, out.Tag, out.Location = raw.Fresh, raw.Tag, raw.Location
	return out, nil
}

// bytes reads one answer as it comes, through the cache.
func (c *Client) bytes(ctx context.Context, path, accept string, q any) (Answer[[]byte], error) {
	return c.raw(ctx, request{path: path, accept: accept, shared: true}, q)
}

func (c *Client) raw(ctx context.Context, r request, q any) (out Answer[[]byte], err error) {
	if r.path, err = asked(r.path, q); err != nil {
		return out, err
	}
	r.method = http.MethodGet
	a, err := c.get(ctx, r)
	if err != nil {
		return out, err
	}
	return Answer[[]byte]{a.body, a.fresh, a.header.Get("ETag"), a.header.Get("Content-Location")}, nil
}

// How an act is sent.
type how struct {
	media string // of a body that is no JSON
	match string // what If-Match names
	fresh bool   // If-None-Match: *
	keyed bool   // the route takes an Idempotency-Key
	again bool   // doing it twice is doing it once
	query any
}

// transmit sends what changes something and reads its receipt; in is nil for no
// body, and a []byte goes as it is.
func transmit[T any](ctx context.Context, c *Client, method, path string, in any, h how) (out T, err error) {
	r := request{method: method, accept: jsonMedia, media: h.media, header: http.Header{}, repeatable: h.keyed ||
		h.again || method == http.MethodDelete}
	if r.path, err = asked(path, h.query); err != nil {
		return out, err
	}
	switch b := in.(type) {
	case nil:
	case []byte:
		r.body = b
	default:
		if r.body, err = json.Marshal(in, json.Deterministic(true)); err != nil {
			return out, fmt.Errorf("%s %s: %w", method, path, err)
		}
	}
	if r.media == "" {
		r.media = jsonMedia
	}
	if h.match != "" {
		r.header.Set("If-Match", h.match)
	}
	if h.fresh {
		r.header.Set("If-None-Match", "*")
	}
	if h.keyed {
		r.header.Set("Idempotency-Key", keyFor(ctx))
	}
	a, err := c.do(ctx, r)
	if err != nil || len(a.body) == 0 {
		return out, err
	}
	if err := json.Unmarshal(a.body, &out); err != nil {
		return out, fmt.Errorf("answer to %s %s: %w", method, path, err)
	}
	return out, nil
}

// nothing is the answer to an act that has none.
type nothing struct{}

func drop(ctx context.Context, c *Client, path string) error {
	_, err := transmit[nothing](ctx, c, http.MethodDelete, path, nil, how{})
	return err
}
