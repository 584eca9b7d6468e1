package api

import (
	"context"
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
	return hex.EncodeToString(b[:])
}

func requestID(c echo.Context) string { return c.Response().Header().Get(idHeader) }

// observe writes the one line that a request has in the log and counts it.
func (s *server) observe(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		start := time.Now()
		s.metrics.inFlight.Inc()
		defer s.metrics.inFlight.Dec()
		if err := next(c); err != nil {
			c.Error(err)
		}
		took := time.Since(start)
		status := c.Response().Status
		s.metrics.count(c.Request().Method, c.Path(), status, took)

		level := slog.LevelInfo
		if status >= 500 {
			level = slog.LevelError
		}
		ctx := c.Request().Context()
		if !s.log.Enabled(ctx, level) {
			return nil
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
		return nil
	}
}

// headers sets what every answer bears. Tools in browsers may read and, with a
// token of their own in Authorization, write: no cookie counts under Prefix, so
// an open door for origins opens nothing else.
func (s *server) headers(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		h := c.Response().Header()
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'")
		r := c.Request()
		if strings.HasPrefix(r.URL.Path, Prefix) {
			h.Set("Access-Control-Allow-Origin", "*")
			h.Set("Access-Control-Expose-Headers", "ETag, Link, Location, Content-Location, Repr-Digest, Retry-After, Allow, Preference-Applied, X-Request-Id")
			if r.Method == http.MethodOptions && r.Header.Get("Access-Control-Request-Method") != "" {
				h.Set("Access-Control-Allow-Methods", "GET, HEAD, POST, PUT, DELETE")
				h.Set("Access-Control-Allow-Headers", "Authorization, Content-Type, If-Match, If-None-Match, Idempotency-Key, Prefer, X-Request-Id")
				h.Set("Access-Control-Max-Age", "86400")
			}
		}
		return next(c)
	}
}

// recover turns a panic into an error with the place where it arose.
func (s *server) recover(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) (err error) {
		defer func() {
			switch v := recover(); v {
			case nil:
			case http.ErrAbortHandler:
				panic(v) // asks net/http to cut the connection
			default:
				err = fmt.Errorf("panic: %v\n%s", v, debug.Stack())
			}
		}()
		return next(c)
	}
}

// readTime bounds a request that only reads, unless it asked to wait (RFC 7240):
// a database that is stuck costs its reader seconds.
const readTime = 10 * time.Second

// deadline bounds the work for one request.
func (s *server) deadline(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if c.Path() == exportPath {
			return next(c) // as long as the reader goes on taking it
		}
		most := s.timeout
		if r := c.Request(); (r.Method == http.MethodGet || r.Method == http.MethodHead) && r.Header.Get("Prefer") == "" {
			most = min(most, readTime)
		}
		ctx, cancel := context.WithTimeout(c.Request().Context(), most)
		defer cancel()
		c.SetRequest(c.Request().WithContext(ctx))
		return next(c)
	}
}

// age tells with Age (RFC 9111) how old an answer may be that was read from a
// replica. What came from the primary bears none.
func (s *server) age(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		ctx, aged := store.Aging(c.Request().Context())
		c.SetRequest(c.Request().WithContext(ctx))
		c.Response().Before(func() {
			if a := aged.Age(); a > 0 {
				c.Response().Header().Set("Age", strconv.Itoa(int((a+time.Second-1)/time.Second)))
			}
		})
		return next(c)
	}
}

// sound refuses, on pages, addresses that no text can be made of; under Prefix
// each parameter has its own refusal.
func (s *server) sound(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		u := c.Request().URL
		if strings.HasPrefix(u.Path, Prefix+"/") {
			return next(c)
		}
		texts := []string{u.Path}
		for name, values := range u.Query() {
			texts = append(append(texts, name), values...)
		}
		for _, t := range texts {
			if !utf8.ValidString(t) || strings.ContainsRune(t, 0) {
				return refuse("malformed", "api.address-holds-character-bytes")
			}
		}
		return next(c)
	}
}

// path decodes what the path says of a board, a position and so on. The router
// takes the path as it was written wherever its escapes matter, so that "%2F"
// is part of a designator and not the end of it, and leaves them in its parameters.
func (s *server) path(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if c.Request().URL.RawPath == "" {
			return next(c)
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
		return next(c)
	}
}
