package api

import (
	"boardlore/domain/message"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/labstack/echo/v4"

	"boardlore/api/coded"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
)

// problemType is one row of the table of problems: what a refusal is called,
// which status it has and what it means. The URI of a type is /problems/ and
// its name; it never changes.
type problemType struct {
	Name   string
	Status int
}

func (t *problemType) title() message.Message   { return message.Of("problem." + t.Name) }
func (t *problemType) meaning() message.Message { return message.Of("meaning." + t.Name) }

// problemTypes holds every type of problem that the server answers. The first
// rows are the general ones, to which every kind of fault falls back.
var problemTypes = []problemType{
	{"malformed", 400},
	{"unauthenticated", 401},
	{"not-allowed", 403},
	{"not-found", 404},
	{"method-not-allowed", 405},
	{"not-acceptable", 406},
	{"conflict", 409},
	{"withdrawn", 410},
	{"stale", 412},
	{"too-large", 413},
	{"unsupported-media-type", 415},
	{"invalid", 422},
	{"condition-needed", 428},
	{"too-many-requests", 429},
	{"withdrawn-by-law", 451},
	{"internal", 500},
	{"unavailable", 503},

	{"json-malformed", 400},
	{"parameter-invalid", 400},
	{"idempotency-key-long", 400},
	{"cursor-malformed", 400},
	{"act-unknown", 400},
	{"form-unreadable", 400},
	{"token-needed", 401},
	{"token-invalid", 401},
	{"session-ended", 401},
	{"role-needed", 403},
	{"passkey-refused", 401},
	{"scope-needed", 403},
	{"sign-up-closed", 403},
	{"own-proposal", 403},
	{"not-the-author", 403},
	{"kit-not-yours", 403},
	{"form-foreign", 403},
	{"form-expired", 403},
	{"question-empty", 400},
	{"record-not-yours", 403},
	{"record-unknown", 404},
	{"board-unknown", 404},
	{"revision-unknown", 404},
	{"variant-not-found", 404},
	{"doubt-unknown", 404},
	{"doubt-quota", 409},
	{"doubt-answered", 409},
	{"doubt-invalid", 422},
	{"map-unknown", 404},
	{"designator-unknown", 404},
	{"token-unknown", 404},
	{"watch-unknown", 404},
	{"feed-unknown", 404},
	{"hook-unknown", 404},
	{"session-unknown", 404},
	{"passkey-unknown", 404},
	{"ceremony-unknown", 404},
	{"invitation-unknown", 404},
	{"account-unknown", 404},
	{"event-unknown", 404},
	{"proposal-unknown", 404},
	{"review-unknown", 404},
	{"tile-unknown", 404},
	{"draft-unknown", 404},
	{"kit-unknown", 404},
	{"photograph-unknown", 404},
	{"schema-unknown", 404},
	{"board-exists", 409},
	{"board-moved", 409},
	{"proposals-open", 409},
	{"base-withdrawn", 409},
	{"already-withdrawn", 409},
	{"base-ahead", 409},
	{"proposal-exists", 409},
	{"difference-not-applicable", 409},
	{"release-empty", 409},
	{"proposal-closed", 409},
	{"proposal-suspended", 409},
	{"passkey-quota", 409},
	{"passkeys-need-https", 409},
	{"token-quota", 409},
	{"watch-quota", 409},
	{"hook-quota", 409},
	{"proposal-quota", 409},
	{"sign-up-quota", 409},
	{"last-steward", 409},
	{"account-disabled", 409},
	{"account-exists", 409},
	{"already-erased", 409},
	{"endorsement-needed", 409},
	{"objection-standing", 409},
	{"thread-full", 409},
	{"no-objection", 409},
	{"carry-forward-conflict", 409},
	{"carry-forward-unsound", 409},
	{"kit-quota", 409},
	{"record-quota", 409},
	{"draft-quota", 409},
	{"photograph-quota", 409},
	{"proposal-changed", 412},
	{"draft-changed", 412},
	{"kit-changed", 412},
	{"document-too-large", 413},
	{"photograph-too-large", 413},
	{"map-refused", 422},
	{"variant-not-applicable", 422},
	{"kit-refused", 422},
	{"request-refused", 422},
	{"document-refused", 422},
	{"submission-invalid", 422},
	{"token-refused", 422},
	{"watch-refused", 422},
	{"hook-refused", 422},
	{"invitation-refused", 422},
	{"terms-not-accepted", 422},
	{"account-invalid", 422},
	{"review-invalid", 422},
	{"move-invalid", 422},
	{"withdrawal-invalid", 422},
	{"decision-invalid", 422},
	{"scope-unknown", 422},
	{"scope-unknown-designator", 422},
	{"record-refused", 422},
	{"plan-invalid", 422},
	{"plan-too-large", 422},
	{"no-difference", 422},
	{"idempotency-key-reused", 422},
	{"draft-refused", 422},
	{"load-forked", 409},
	{"load-refused", 422},
	{"points-open", 422},
	{"text-unreadable", 422},
	{"part-unreadable", 422},
	{"placements-refused", 422},
	{"photograph-width", 422},
	{"photograph-unreadable", 422},
	{"file-too-large", 422},
	{"answer-too-large", 422},
	{"mirror", 403},
	{"busy", 503},
	{"if-match-needed", 428},
	{"try-again", 503},
	{"outcome-unknown", 503},
	{"deadline-cut", 503},
	{"disk-full", 503},
	{"database-read-only", 503},
	{"database-ahead", 503},
	{"database-unavailable", 503},
}

var problemIndex = func() map[string]*problemType {
	m := make(map[string]*problemType, len(problemTypes))
	for i := range problemTypes {
		m[problemTypes[i].Name] = &problemTypes[i]
	}
	return m
}()

// kindProblem maps each kind of fault to its general type of problem.
var kindProblem = map[fault.Kind]string{
	fault.Unknown: "internal", fault.NotFound: "not-found", fault.Conflict: "conflict", fault.Stale: "stale",
	fault.Unconditional: "condition-needed", fault.Unauthenticated: "unauthenticated", fault.NotAllowed: "not-allowed",
	fault.Malformed: "malformed", fault.Invalid: "invalid", fault.TooLarge: "too-large",
	fault.Unavailable: "unavailable",
	fault.Gone:        "withdrawn", fault.Unlawful: "withdrawn-by-law",
}

// Problem is a refusal on its way out, after RFC 9457.
type Problem struct {
	Type      string          `json:"type"`
	Title     message.Message `json:"title"`
	Status    int             `json:"status"`
	Detail    message.Message `json:"detail"`
	Instance  string          `json:"instance,omitzero"`   // the address that was asked
	RequestID string          `json:"request_id,omitzero"` // as in the X-Request-Id header and the log
	Code      string          `json:"code"`                // stable name of what is wrong
	Errors    []ProblemError  `json:"errors,omitzero"`     // faults that made the refusal
	Findings  []ProblemError  `json:"findings,omitzero"`   // what else the checks had to say
	Data      any             `json:"data,omitzero"`       // more, such as the conflicts of a release

	cause error
}

// ProblemError is one fault of a document or of a request.
type ProblemError struct {
	Pointer   string           `json:"pointer"` // JSON Pointer (RFC 6901) into the body
	Parameter string           `json:"parameter,omitzero"`
	Code      string           `json:"code"`
	Severity  finding.Severity `json:"severity"`
	Detail    message.Message  `json:"detail"`
	Expected  string           `json:"expected,omitzero"`
	Found     string           `json:"found,omitzero"`
	Basis     message.Message  `json:"basis,omitzero"`
}

func (p *Problem) Error() string {
	if p.cause != nil {
		return p.Detail.String() + ": " + p.cause.Error()
	}
	return p.Detail.String()
}

func (p *Problem) Unwrap() error { return p.cause }

// refuse makes a problem of a type of the table.
func refuse(name, key string, values ...any) *Problem {
	return refused(name, message.Of(key, values...))
}

func refused(name string, detail message.Message) *Problem {
	t := problemIndex[name]
	return &Problem{Type: "/problems/" + t.Name, Title: t.title(), Status: t.Status, Detail: detail, Code: name}
}

// problemOf turns any error into the problem that answers it: the one place
// where an error gets its status.
func problemOf(err error) *Problem {
	var p *Problem
	if errors.As(err, &p) {
		return p
	}
	if f, ok := fault.As(err); ok && f.Kind != fault.Unknown {
		return faultProblem(f, err)
	}
	var he *echo.HTTPError
	if errors.As(err, &he) {
		return echoProblem(he)
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) {
		p = refuse("deadline-cut", "api.deadline-cut")
	} else {
		p = refuse("internal", "api.server-met-error-own")
	}
	p.cause = err
	return p
}

func faultProblem(f *fault.Error, err error) *Problem {
	p := refused(kindProblem[f.Kind], f.Detail)
	if t := problemIndex[f.Code]; t != nil && t.Status == p.Status {
		p.Type, p.Title = "/problems/"+t.Name, t.title()
	}
	if f.Code != "" {
		p.Code = f.Code
	}
	p.Data, p.cause = f.Data, err
	for _, fi := range f.Findings {
		e := ProblemError{Pointer: fi.Pointer, Code: fi.Code, Severity: fi.Severity, Detail: fi.Sentence,
			Expected: fi.Expected, Found: fi.Found, Basis: fi.Basis}
		if fi.Severity == finding.Stop {
			p.Errors = append(p.Errors, e)
		} else {
			p.Findings = append(p.Findings, e)
		}
	}
	return p
}

func echoProblem(he *echo.HTTPError) *Problem {
	switch he.Code {
	case http.StatusNotFound:
		return refuse("not-found", "api.not-found")
	case http.StatusMethodNotAllowed:
		return refuse("method-not-allowed", "api.method-not-allowed")
	case http.StatusRequestEntityTooLarge:
		return refuse("too-large", "api.too-large-body")
	case http.StatusUnsupportedMediaType:
		return refuse("unsupported-media-type", "api.unsupported-media-type-address")
	}
	name := "internal"
	if he.Code < 500 {
		name = "malformed"
	}
	p := refused(name, message.Text(fmt.Sprint(he.Message)))
	p.Status, p.cause = he.Code, he
	return p
}

// under moves the findings of a document below the member that held it, so
// that their pointers lead into the whole body.
func under(prefix string, err error) error {
	f, ok := fault.As(err)
	if !ok || len(f.Findings) == 0 {
		return err
	}
	moved := *f
	moved.Findings = make([]finding.Finding, len(f.Findings))
	for i, fi := range f.Findings {
		fi.Pointer = prefix + fi.Pointer
		moved.Findings[i] = fi
	}
	return &moved
}

// answerError is echo's HTTPErrorHandler.
func (s *server) answerError(err error, c echo.Context) {
	if c.Response().Committed {
		s.log.LogAttrs(c.Request().Context(), slog.LevelError, "answer broken off", slog.String("request_id",
			requestID(c)), slog.Any("error", err))
		return
	}
	p := *problemOf(err)
	p.Instance, p.RequestID = c.Request().URL.EscapedPath(), requestID(c)
	if p.Status >= 500 {
		c.Set(causeKey, err) // for the request's one line in the log
	}
	if s.errorPage != nil && wantsPage(c.Request()) && s.errorPage(c, p) == nil {
		return
	}
	h := c.Response().Header()
	for _, stale := range []string{"Etag", "Last-Modified", "Repr-Digest", "Content-Location", "Content-Encoding",
		"Content-Length", "Link"} {
		h.Del(stale)
	}
	h.Set("Cache-Control", "no-store")
	switch p.Status {
	case http.StatusUnauthorized:
		h.Set("WWW-Authenticate", challenge(p.Code))
	case http.StatusServiceUnavailable:
		h.Set("Retry-After", "5")
	}
	body, merr := json.Marshal(&p, asJSON[tongue(c)])
	if merr != nil { // only p.Data can fail
		p.Data = nil
		body, _ = json.Marshal(&p)
		s.log.LogAttrs(c.Request().Context(), slog.LevelError, "problem not writable", slog.String("request_id",
			p.RequestID), slog.Any("error", merr))
	}
	const media = "application/problem+json"
	_ = write(c, p.Status, media, coded.Once(asked(c), media, body), len(body)) // fails where nobody is left to tell
}

// wantsPage says whether a person with a browser asked for a page.
func wantsPage(r *http.Request) bool {
	if strings.HasPrefix(r.URL.Path, Prefix+"/") || r.URL.Path == Prefix {
		return false
	}
	return accepted(r.Header.Get("Accept"), "application/problem+json", "text/html") == "text/html"
}

// challenge is the WWW-Authenticate header of a 401 (RFC 6750).
func challenge(code string) string {
	if code == "token-invalid" {
		return `Bearer realm="boardlore", error="invalid_token"`
	}
	return `Bearer realm="boardlore"`
}

// problemPage tells a person who follows the type of a problem what it means.
func (s *server) problemPage(c echo.Context) error {
	in := tongue(c)
	name := strings.TrimSpace(c.Param("name"))
	t := problemIndex[name]
	if t == nil {
		return refuse("not-found", "api.not-found-there")
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=86400")
	return send(c, http.StatusOK, logText, fmt.Appendf(nil, "%s\nstatus %d, type /problems/%s\n\n%s\n",
		in.Speak(t.title()), t.Status, t.Name, in.Speak(t.meaning())))
}

// problemList lists every type of problem.
func (s *server) problemList(c echo.Context) error {
	in := tongue(c)
	var b strings.Builder
	for i := range problemTypes {
		t := &problemTypes[i]
		fmt.Fprintf(&b, "/problems/%s (%d): %s. %s\n", t.Name, t.Status, in.Speak(t.title()), in.Speak(t.meaning()))
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=86400")
	return send(c, http.StatusOK, logText, []byte(b.String()))
}
