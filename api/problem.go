package api

import (
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
	Name    string
	Status  int
	Title   string
	Meaning string
}

// problemTypes holds every type of problem that the server answers. The first
// rows are the general ones, to which every kind of fault falls back.
var problemTypes = []problemType{
	{"malformed", 400, "Malformed request", "The request cannot be read: a number that is none, JSON with an error in it, a header of the wrong form."},
	{"unauthenticated", 401, "Token needed", "The route needs a token, or the token given is not valid. Send it as Authorization: Bearer TOKEN."},
	{"not-allowed", 403, "Not allowed", "The token is valid, but its account may not do this; detail says who may."},
	{"not-found", 404, "Not found", "There is nothing under this address. GET /v1 lists the ways in."},
	{"method-not-allowed", 405, "Method not allowed", "The address exists and does not take this method; the Allow header lists those that it takes."},
	{"not-acceptable", 406, "Not acceptable", "The address cannot answer in any of the media types that the Accept header lists; detail names those that it can."},
	{"conflict", 409, "Conflict", "The act does not fit the present state. Read the state again and decide anew."},
	{"withdrawn", 410, "Withdrawn", "A steward took this out of use; detail says why, and data names what to use instead. Drop copies of it."},
	{"stale", 412, "Changed meanwhile", "The If-Match header names an older state. Read the present one and apply your change to that."},
	{"too-large", 413, "Too large", "The request is larger than a documented limit; detail names the limit."},
	{"unsupported-media-type", 415, "Unsupported media type", "The route does not read bodies of this Content-Type, or in this Content-Encoding; the Accept or Accept-Encoding header of the answer lists what it reads."},
	{"invalid", 422, "Refused", "The request was read and does not keep to the rules; errors lists every fault with its place."},
	{"condition-needed", 428, "If-Match needed", "The act needs an If-Match header, so that nobody's change is overwritten unseen. Send the ETag of what you read."},
	{"too-many-requests", 429, "Too many requests", "The caller is over its share; Retry-After says in how many seconds to come back."},
	{"withdrawn-by-law", 451, "Withdrawn by law", "This was taken out of use because the law demands it; data names what to use instead. Drop copies of it."},
	{"internal", 500, "Internal error", "A defect of the server. Tell the steward the request ID: the log holds the cause under it."},
	{"unavailable", 503, "Unavailable", "The server cannot answer just now. Try again after Retry-After seconds."},

	{"json-malformed", 400, "Malformed JSON", "The body is not JSON in UTF-8 with unique member names; detail names line and column."},
	{"parameter-invalid", 400, "Parameter refused", "A parameter of the query is unknown, stands twice or has a value that it cannot have."},
	{"idempotency-key-long", 400, "Key too long", "An Idempotency-Key has at most 200 characters; a random UUID will do."},
	{"cursor-malformed", 400, "Cursor refused", "The cursor is not one that this server gave out. Follow the links of the list instead of making cursors."},
	{"act-unknown", 400, "No such act", "What is asked is no act on a proposal; detail names it."},
	{"form-unreadable", 400, "Form not readable", "The form broke off or is not one of this server's. Go back, load the page anew and send it again."},
	{"token-needed", 401, "Token needed", "The route needs a token. Send it as Authorization: Bearer TOKEN."},
	{"token-invalid", 401, "Token not valid", "The token is unknown, replaced by a newer one, or its account is disabled. Ask the steward for a new one, or leave it out to read only."},
	{"session-ended", 401, "Not signed in", "The browser is not signed in (any more). Sign in again; drafts stay on the page."},
	{"role-needed", 403, "Role too low", "The act needs a role that the account does not have. Ask a steward for it."},
	{"passkey-refused", 401, "Passkey refused", "The passkey is nobody's here, or what the browser sent does not prove it. Sign in otherwise, or begin again."},
	{"scope-needed", 403, "Scope too narrow", "The token is limited to less than this. Use one of the scope all, or sign in on the page of the account."},
	{"sign-up-closed", 403, "By invitation", "People join this registry by invitation. Ask a steward for a link."},
	{"own-proposal", 403, "Own proposal", "Nobody reviews their own proposal. Another reviewer has to; to take it back, withdraw it."},
	{"not-the-author", 403, "Not the author", "Only the author of a proposal may do this. Give a verdict with remarks, or submit a proposal of your own."},
	{"kit-not-yours", 403, "Another's kit", "Only the owner of a kit, or a reviewer, may change it. Take another ID for yours."},
	{"form-foreign", 403, "Foreign form", "The form came from another site's page. Send it from this server's own page."},
	{"form-expired", 403, "Form expired", "The page that the form stood on is too old, or the sign-in changed since. Load it anew and send it again."},
	{"question-empty", 400, "Question empty", "The question has no word that says anything, or too many. Say what is noticed in a few words."},
	{"record-not-yours", 403, "Another's record", "Only the author of a record, or a steward, may withdraw it."},
	{"record-unknown", 404, "No such record", "There is no record of this number. GET /v1/boards/{board}/records lists a board's."},
	{"board-unknown", 404, "No such board", "There is no released board of this ID. GET /v1/boards finds boards by equipment and marking."},
	{"revision-unknown", 404, "No such revision", "The board has no revision of this number. GET /v1/boards/{board}/revisions lists them."},
	{"variant-not-found", 404, "No such variant", "The revision has no variant of this name. GET /v1/boards/{board} lists them."},
	{"doubt-unknown", 404, "No such doubt", "The board has no doubt of this number. GET /v1/boards/{board}/doubts lists them."},
	{"doubt-quota", 409, "Too many doubts", "The account has as many doubts open as it may. Wait for answers, or answer your own that are settled."},
	{"doubt-answered", 409, "Doubt answered", "The doubt is answered already. Raise another one for what is still wrong."},
	{"doubt-invalid", 422, "Doubt refused", "The doubt or its answer lacks its text, or names what is not there; errors lists what."},
	{"map-unknown", 404, "No such map", "No released map has this digest. GET /v1/boards/{board}/revisions lists the digests of a board's maps."},
	{"designator-unknown", 404, "No such position", "The board has never had a position of this designator. Copy it from the map."},
	{"token-unknown", 404, "No such token", "The account has no token of this number. GET /v1/account/tokens lists them."},
	{"session-unknown", 404, "No such session", "The account has no session of this number. GET /v1/account/sessions lists them."},
	{"passkey-unknown", 404, "No such passkey", "The account has no such passkey. The page of the account lists them."},
	{"ceremony-unknown", 404, "Took too long", "What was begun with a passkey was ended already, or took over ten minutes. Begin again."},
	{"invitation-unknown", 404, "No such invitation", "The link does not work, or not any more. Ask a steward for another one."},
	{"account-unknown", 404, "No such account", "There is no account of this number. GET /v1/accounts lists them, for stewards."},
	{"event-unknown", 404, "No such act", "There is no act of this number with a reason. GET /v1/acts lists them, for stewards."},
	{"proposal-unknown", 404, "No such proposal", "There is no proposal of this number. GET /v1/proposals lists them."},
	{"review-unknown", 404, "No such review", "The proposal has no review of this number. GET /v1/proposals/{id}/reviews lists them."},
	{"tile-unknown", 404, "No such tile", "The log has no such tile, or is not that long yet. The checkpoint tells its size."},
	{"draft-unknown", 404, "No such draft", "The account has no draft of this ID, or not in this version, or the link to it has ended. GET /v1/drafts lists one's own."},
	{"kit-unknown", 404, "No such kit", "There is no kit of this ID, or not in this version. GET /v1/kits lists them."},
	{"photograph-unknown", 404, "No such photograph", "There is no photograph with this SHA-256. One that no proposal names is cleared after 30 days; bring it again."},
	{"schema-unknown", 404, "No such schema", "There is no schema of this name. GET /v1/schemas lists them."},
	{"board-exists", 409, "Board exists", "A proposal of a new board names a board that has a revision already. Name that revision as the base."},
	{"board-moved", 409, "Board moved", "The board has another ID now, which data names. Use that."},
	{"proposals-open", 409, "Proposals open", "Two boards can't be made one while proposals for the first are open. Decide on them first."},
	{"base-withdrawn", 409, "Base withdrawn", "The base revision was taken out of use. Fetch the current map and make the change there."},
	{"already-withdrawn", 409, "Withdrawn already", "What should be taken out of use is so already. Nothing is left to do."},
	{"base-ahead", 409, "Base not released", "The base revision of the proposal has not been released yet. Fetch the current one and make the change there."},
	{"proposal-exists", 409, "Submitted already", "The proposal is submitted already. Amend its map, or submit a new proposal."},
	{"difference-not-applicable", 409, "Difference does not apply", "The difference was made from another map than the one that it is applied to."},
	{"release-empty", 409, "Nothing to release", "The current revision says all that the proposal says, since both were changed alike. Withdraw or decline the proposal."},
	{"proposal-closed", 409, "Proposal closed", "The proposal is released, declined or withdrawn; submit another one."},
	{"proposal-suspended", 409, "Proposal suspended", "The account of the proposal's author is disabled. Nothing can be done with it until a steward enables the account."},
	{"passkey-quota", 409, "Too many passkeys", "The account has as many passkeys as it may. Remove one that is not used any more."},
	{"passkeys-need-https", 409, "No passkeys here", "Browsers give passkeys to addresses by https only. Sign in with a token, or by a link that a steward makes."},
	{"token-quota", 409, "Too many tokens", "The account has as many tokens as it may. Revoke one that is not used any more."},
	{"proposal-quota", 409, "Too much proposed", "The account proposed as much as it may in a day, or has too many open proposals. Detail says which."},
	{"sign-up-quota", 409, "Too many joined", "As many people joined today as may without an invitation. Come back tomorrow, or ask a steward for a link."},
	{"last-steward", 409, "Last steward", "The act would leave nobody to act as steward. Make another account a steward first."},
	{"account-disabled", 409, "Account disabled", "The account is disabled. Enable it first."},
	{"account-exists", 409, "Name taken", "There is an account of this name. Take another name."},
	{"already-erased", 409, "Erased already", "What should be erased is gone already. Nothing is left to do."},
	{"endorsement-needed", 409, "Endorsement needed", "The proposal lacks an endorsement that its release needs; data says which. A hazardous difference needs two."},
	{"objection-standing", 409, "Objection standing", "A reviewer's objection stands against the release; data says whose. It falls when that reviewer gives another verdict, or when a steward sets it aside."},
	{"thread-full", 409, "Thread full", "The review has as many answers as are taken. Amend the proposal, or give another verdict."},
	{"no-objection", 409, "No objection", "The review is no objection that stands. GET /v1/proposals/{id}/reviews says which do."},
	{"carry-forward-conflict", 409, "Carry forward conflicts", "The same member changed on both sides since the base revision; data lists each with its three values. Submit the change anew against the current revision."},
	{"carry-forward-unsound", 409, "Carry forward is unsound", "Both changes together make a map that the checks refuse; errors lists why. Submit the change anew against the current revision."},
	{"kit-quota", 409, "Too many kits", "The account kept as much of kits as it may in a day. Go on tomorrow."},
	{"record-quota", 409, "Too many records", "The account filed as much of records as it may in a day. Go on tomorrow."},
	{"draft-quota", 409, "Too many drafts", "The account keeps as many drafts as it may. Delete those that are submitted or given up."},
	{"photograph-quota", 409, "Too many photographs", "The account holds as many photographs as it may that no proposal names. Submit the proposal that they are evidence for."},
	{"proposal-changed", 412, "Proposal changed", "The proposal's map was amended since it was read. Read it again, then repeat."},
	{"draft-changed", 412, "Draft changed", "The draft was saved elsewhere since the version named, perhaps in another window. Read it again, then bring the changes into it."},
	{"kit-changed", 412, "Kit changed", "The kit has a newer version than the one named. Read it again, then repeat."},
	{"document-too-large", 413, "Document too large", "The document is over the limit of 4 MiB. Leave out what is not needed for servicing."},
	{"photograph-too-large", 413, "Photograph too large", "The photograph is over the limit. Make it smaller; detail names the limit."},
	{"map-refused", 422, "Map refused", "The map does not keep to its schema or to the checks; errors lists every fault."},
	{"variant-not-applicable", 422, "Variant does not apply", "The changes of the variant do not apply to its map; errors lists each."},
	{"kit-refused", 422, "Kit refused", "The kit does not keep to its schema; errors lists every fault."},
	{"request-refused", 422, "Request refused", "The body has unknown, missing or wrong members; errors lists every one."},
	{"document-refused", 422, "Document refused", "The document does not keep to its schema or to the checks; errors lists every fault."},
	{"submission-invalid", 422, "Submission refused", "Something beside the map is wrong in the submission; errors lists what."},
	{"token-refused", 422, "Token refused", "A token needs a name and one of the scopes read, contribute, review and all."},
	{"invitation-refused", 422, "Invitation refused", "An invitation is for contributors or reviewers, with limited uses and time; detail names the limits."},
	{"terms-not-accepted", 422, "Terms not accepted", "Who joins accepts the terms and the licence of contributions. GET /v1/join has them."},
	{"account-invalid", 422, "Account refused", "A name has 1 to 64 characters and none at its ends that is a space; a role is contributor, reviewer or steward."},
	{"review-invalid", 422, "Review refused", "The review lacks something or remarks on a position that is not there."},
	{"move-invalid", 422, "New ID refused", "The new ID of a board is no ID, or the one that it has."},
	{"withdrawal-invalid", 422, "Withdrawal refused", "A withdrawal needs a kind (dangerous, illegal or mistaken) and a reason that readers can be told."},
	{"decision-invalid", 422, "Reason refused", "The reason that goes along with the act is missing where one is owed, is too long, or holds control characters."},
	{"scope-unknown", 422, "No such scope", "A scope is service, all, or a list of designators."},
	{"scope-unknown-designator", 422, "Scope beyond the map", "The scope names positions that the map does not have; errors lists them."},
	{"record-refused", 422, "Record refused", "The record does not keep to its schema, or names what is not there; errors lists every fault."},
	{"plan-invalid", 422, "Plan refused", "A figure of the plan is out of its range, or the resistor can't be read; errors lists every one."},
	{"plan-too-large", 422, "Plan too large", "The scope has more parts within reach of each other than one plan weighs. Ask with a smaller reach_mm, or for fewer positions."},
	{"no-difference", 422, "Nothing changes", "The proposed map says the same as the revision that it would follow. Make the change in the map, then submit it."},
	{"idempotency-key-reused", 422, "Key used before", "The Idempotency-Key came before with another request. Use a new key for each new act."},
	{"draft-refused", 422, "Draft refused", "The draft's ID is not one; detail says what it may be."},
	{"load-forked", 409, "Registries forked", "A revision of the same number says something else here. Load into a registry that has not gone its own way, or leave the board out."},
	{"load-refused", 422, "Export refused", "A line of the export is none, or its map is not the one of its digest. Fetch it again."},
	{"points-open", 422, "Photograph not laid flat", "The points known in a photograph leave open how the board lies in it; errors names them. Mark four or more that are far apart, no three in a line."},
	{"text-unreadable", 422, "Text not readable", "Nothing can be read from the text with certainty. Write value and ratings with their units, or say what is known of it in context."},
	{"part-unreadable", 422, "Part not readable", "Nothing in the text says what part it is. Write value and ratings with their units, such as: 47 µF 16 V 105 °C."},
	{"placements-refused", 422, "Placement list refused", "No map can be made from the list; errors lists why."},
	{"photograph-width", 422, "Photograph not that wide", "A flattened photograph is not made in this width; detail names the widest."},
	{"photograph-unreadable", 422, "Photograph not readable", "The file is no JPEG, PNG or WebP picture. Convert it to one."},
	{"file-too-large", 422, "File too large", "The file is larger than the page reads; detail names the limit."},
	{"answer-too-large", 422, "Answer too large", "What was asked for is larger than an answer may be; detail names the limit. Ask for less of it."},
	{"busy", 503, "Busy", "The server computes as much as it can at once. Try again after Retry-After seconds; those who ask for less come first."},
	{"if-match-needed", 428, "If-Match needed", "Send the ETag of the proposal, or the digest of the map that you have read in quotation marks, as If-Match."},
	{"try-again", 503, "Try again", "Another act came first. Repeat the request after Retry-After seconds."},
	{"outcome-unknown", 503, "Outcome unknown", "The database went away during the commit: the act may be done or not. Send it again with the same Idempotency-Key; without one, look first."},
	{"deadline-cut", 503, "Cut off", "The work took longer than it may and was cut off, an act before its commit. Try again after Retry-After seconds."},
	{"disk-full", 503, "Disk full", "The disk that the database lies on is full. Reading goes on; tell the steward."},
	{"database-read-only", 503, "Read only", "The database can only be read just now, as while a standby takes over. Try again after Retry-After seconds."},
	{"database-ahead", 503, "Newer server at work", "A newer version of the server has migrated the database; this one only reads. Ask again, and the newer one answers."},
	{"database-unavailable", 503, "Database unavailable", "The database does not answer. Try again after Retry-After seconds."},
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
	fault.Malformed: "malformed", fault.Invalid: "invalid", fault.TooLarge: "too-large", fault.Unavailable: "unavailable",
	fault.Gone: "withdrawn", fault.Unlawful: "withdrawn-by-law",
}

// Problem is a refusal on its way out, after RFC 9457.
type Problem struct {
	Type      string         `json:"type"`
	Title     string         `json:"title"`
	Status    int            `json:"status"`
	Detail    string         `json:"detail"`
	Instance  string         `json:"instance,omitzero"`   // the address that was asked
	RequestID string         `json:"request_id,omitzero"` // as in the X-Request-Id header and the log
	Code      string         `json:"code"`                // stable name of what is wrong
	Errors    []ProblemError `json:"errors,omitzero"`     // faults that made the refusal
	Findings  []ProblemError `json:"findings,omitzero"`   // what else the checks had to say
	Data      any            `json:"data,omitzero"`       // more, such as the conflicts of a release

	cause error
}

// ProblemError is one fault of a document or of a request.
type ProblemError struct {
	Pointer   string           `json:"pointer"` // JSON Pointer (RFC 6901) into the body
	Parameter string           `json:"parameter,omitzero"`
	Code      string           `json:"code"`
	Severity  finding.Severity `json:"severity"`
	Detail    string           `json:"detail"`
	Expected  string           `json:"expected,omitzero"`
	Found     string           `json:"found,omitzero"`
	Basis     string           `json:"basis,omitzero"`
}

func (p *Problem) Error() string {
	if p.cause != nil {
		return p.Detail + ": " + p.cause.Error()
	}
	return p.Detail
}

func (p *Problem) Unwrap() error { return p.cause }

// refuse makes a problem of a type of the table.
func refuse(name, detail string) *Problem {
	t := problemIndex[name]
	return &Problem{Type: "/problems/" + t.Name, Title: t.Title, Status: t.Status, Detail: detail, Code: name}
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
		p = refuse("deadline-cut", "The server did not finish in time. Try again in a few seconds.")
	} else {
		p = refuse("internal", "The server met an error of its own. Try again; if it stays, tell the steward the request ID.")
	}
	p.cause = err
	return p
}

func faultProblem(f *fault.Error, err error) *Problem {
	p := refuse(kindProblem[f.Kind], f.Detail.String())
	if t := problemIndex[f.Code]; t != nil && t.Status == p.Status {
		p.Type, p.Title = "/problems/"+t.Name, t.Title
	}
	if f.Code != "" {
		p.Code = f.Code
	}
	p.Data, p.cause = f.Data, err
	for _, fi := range f.Findings {
		e := ProblemError{Pointer: fi.Pointer, Code: fi.Code, Severity: fi.Severity, Detail: fi.Sentence.String(),
			Expected: fi.Expected, Found: fi.Found, Basis: fi.Basis.String()}
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
		return refuse("not-found", "There is nothing at this address. GET /v1 lists the ways in.")
	case http.StatusMethodNotAllowed:
		return refuse("method-not-allowed", "This address does not take that method; the Allow header lists those that it takes.")
	case http.StatusRequestEntityTooLarge:
		return refuse("too-large", "The body is larger than this address reads.")
	case http.StatusUnsupportedMediaType:
		return refuse("unsupported-media-type", "This address does not read bodies of that Content-Type.")
	}
	name := "internal"
	if he.Code < 500 {
		name = "malformed"
	}
	p := refuse(name, fmt.Sprint(he.Message))
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
		s.log.LogAttrs(c.Request().Context(), slog.LevelError, "answer broken off", slog.String("request_id", requestID(c)), slog.Any("error", err))
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
	for _, stale := range []string{"Etag", "Last-Modified", "Repr-Digest", "Content-Location", "Content-Encoding", "Content-Length", "Link"} {
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
		s.log.LogAttrs(c.Request().Context(), slog.LevelError, "problem not writable", slog.String("request_id", p.RequestID), slog.Any("error", merr))
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
	name := strings.TrimSpace(c.Param("name"))
	t := problemIndex[name]
	if t == nil {
		return refuse("not-found", "There is no type of problem of this name. GET /problems lists them all.")
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=86400")
	return send(c, http.StatusOK, logText, fmt.Appendf(nil, "%s\nstatus %d, type /problems/%s\n\n%s\n", t.Title, t.Status, t.Name, t.Meaning))
}

// problemList lists every type of problem.
func (s *server) problemList(c echo.Context) error {
	var b strings.Builder
	for i := range problemTypes {
		t := &problemTypes[i]
		fmt.Fprintf(&b, "/problems/%s (%d): %s. %s\n", t.Name, t.Status, t.Title, t.Meaning)
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=86400")
	return send(c, http.StatusOK, logText, []byte(b.String()))
}
