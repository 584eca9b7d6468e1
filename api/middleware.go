package api

import (
	"crypto/rand"
	"encoding/hex"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/labstack/echo/v4"

	"boardlore/api/coded"
	"boardlore/store"
)

// Names under which middleware leaves things for what runs inside it.
const (
	causeKey = "cause" // the error behind a 5xx
	actorKey = "actor"
)

const idHeader = "X-Request-Id"

// outermost gives every request its ID before anything else can go wrong.
func (s *server) outermost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := r.Header.Get(idHeader)
		if !soundID(id) {
			id = newID()
		}
		w.Header().Set(idHeader, id)
		next.ServeHTTP(w, r)
	})
}

// soundID takes an ID that a gateway gave, if it can stand in a log as it is.
func soundID(id string) bool {
	return id != "" && len(id) <= 64 &&
		strings.Trim(id, "0123456789abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ._-") == ""
}

func newID() string {
	var b [8]byte
	_, _ = rand.Read(b[:]) // never fails
	var text [2 * len(b)]byte
	hex.Encode(text[:], b[:])
	return string(text[:])
}

func requestID(c echo.Context) string { return c.Response().Header().Get(idHeader) }

// around is what goes on around every handler: its line in the log and in the
// figures, and a 5xx in place of a panic.
func (s *server) around(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		s.metrics.inFlight.Inc()
		defer s.metrics.inFlight.Dec()
		s.answer(c, next)
		s.note(c, time.Since(start))
		return nil
	}
}

// answer has a request answered, and then does what leaving put off.
func (s *server) answer(c echo.Context, next echo.HandlerFunc) {
	defer left(c)
	if err := s.handle(c, next); err != nil {
		c.Error(err)
	}
}

// note writes the one line that a request has in the log and counts it.
func (s *server) note(c echo.Context, took time.Duration) {
	status := c.Response().Status
	s.metrics.count(c.Request().Method, c.Path(), status, took)

	level := slog.LevelInfo
	if status >= 500 {
		level = slog.LevelError
	}
	ctx := c.Request().Context()
	if !s.log.Enabled(ctx, level) {
		return
	}
	line := []slog.Attr{
		slog.String("request_id", requestID(c)),
		slog.String("method", c.Request().Method), slog.String("path", c.Request().URL.Path),
		slog.Int("status", status), slog.Int64("bytes", c.Response().Size),
		slog.Float64("ms", float64(took.Microseconds())/1000),
	}
	if s.addresses {
		line = append(line, slog.String("remote", c.RealIP()))
	}
	if a := actor(c); a.ID != 0 {
		line = append(line, slog.Int64("account", a.ID)) // a number: a name may have to be erased
	}
	if cause, ok := c.Get(causeKey).(error); ok {
		line = append(line, slog.Any("error", cause))
	}
	s.log.LogAttrs(ctx, level, "request", line...)
}

// handle runs what stands before every handler, and the handler, within its
// time. A panic is an error with the place where it arose.
func (s *server) handle(c echo.Context, next echo.HandlerFunc) (err error) {
	defer func() {
		switch v := recover(); v {
		case nil:
		case http.ErrAbortHandler:
			panic(v) // asks net/http to cut the connection
		default:
			err = fmt.Errorf("panic: %v\n%s", v, debug.Stack())
		}
	}()
	setHeaders(c)
	defer s.allot(c)()
	if _, ok := coded.Ask(c.Request().Header); !ok { // before anything is done
		return refuse("not-acceptable", "api.no-coding-taken")
	}
	if err := sound(c.Request().URL); err != nil {
		return err
	}
	if err := unescape(c); err != nil {
		return err
	}
	if to := s.moved(c); to != "" {
		return c.Redirect(http.StatusPermanentRedirect, to)
	}
	return next(c)
}

// Values of headers that are the same for all. They are shared: a header is
// replaced, never changed where it is.
var (
	noSniff    = []string{"nosniff"}
	noReferrer = []string{"no-referrer"}
	policy     = []string{"default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'"}
	anyOrigin  = []string{"*"}
	exposed    = []string{"ETag, Link, Location, Content-Location, Repr-Digest, Retry-After, Allow, Preference-Applied, X-Request-Id"}
)

// setHeaders sets what every answer bears. Tools in browsers may read and, with a
// token of their own in Authorization, write: no cookie counts under Prefix, so
// an open door for origins opens nothing else.
func setHeaders(c echo.Context) {
	h, r := c.Response().Header(), c.Request()
	h["X-Content-Type-Options"] = noSniff
	h["Referrer-Policy"] = noReferrer
	h["Content-Security-Policy"] = policy
	if !strings.HasPrefix(r.URL.Path, Prefix) {
		return
	}
	h["Access-Control-Allow-Origin"] = anyOrigin
	h["Access-Control-Expose-Headers"] = exposed
	if r.Method == http.MethodOptions && r.Header.Get("Access-Control-Request-Method") != "" {
		h.Set("Access-Control-Allow-Methods", "GET, HEAD, POST, PUT, DELETE")
		h.Set("Access-Control-Allow-Headers",
			"Authorization, Content-Type, If-Match, If-None-Match, Idempotency-Key, Prefer, X-Request-Id")
		h.Set("Access-Control-Max-Age", "86400")
	}
}

// readTime bounds a request that only reads, unless it asked to wait (RFC 7240):
// a database that is stuck costs its reader seconds.
const readTime = 10 * time.Second

// allot gives a request its time, and has it told with Age (RFC 9111) how old an
// answer may be that was read from a replica; what came from the primary bears
// none. What it returns ends the time.
func (s *server) allot(c echo.Context) (end func()) {
	ctx, end := c.Request().Context(), func() {}
	if c.Path() != exportPath { // that goes on as long as the reader takes it
		most := s.timeout
		if r := c.Request(); (r.Method == http.MethodGet || r.Method == http.MethodHead) &&
			r.Header.Get("Prefer") == "" {
			most = min(most, readTime)
		}
		t := &term{Context: ctx, until: time.Now().Add(most)}
		ctx, end = t, t.end
	}
	if s.store.Replicated() {
		aging, aged := store.Aging(ctx)
		ctx = aging
		c.Response().Before(func() {
			if a := aged.Age(); a > 0 {
				c.Response().Header().Set("Age", strconv.Itoa(int((a+time.Second-1)/time.Second)))
			}
		})
	}
	c.SetRequest(c.Request().WithContext(ctx))
	return end
}

// sound refuses, on pages, addresses that no text can be made of; under Prefix
// each parameter has its own refusal.
func sound(u *url.URL) error {
	if strings.HasPrefix(u.Path, Prefix+"/") {
		return nil
	}
	if !writable(u.Path) {
		return unwritable()
	}
	if u.RawQuery == "" {
		return nil
	}
	for name, values := range u.Query() {
		if !writable(name) || slices.ContainsFunc(values, func(v string) bool { return !writable(v) }) {
			return unwritable()
		}
	}
	return nil
}

func writable(s string) bool { return utf8.ValidString(s) && !strings.ContainsRune(s, 0) }

func unwritable() error { return refuse("malformed", "api.address-holds-character-bytes") }

// unescape decodes what the path says of a board, a position and so on. The router
// takes the path as it was written wherever its escapes matter, so that "%2F"
// is part of a designator and not the end of it, and leaves them in its parameters.
func unescape(c echo.Context) error {
	if c.Request().URL.RawPath == "" {
		return nil
	}
	values := slices.Clone(c.ParamValues())
	for i, v := range values {
		plain, err := url.PathUnescape(v)
		if err != nil {
			return refuse("not-found", "api.not-found")
		}
		values[i] = plain
	}
	c.SetParamValues(values...)
	return nil
}
