package api

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"slices"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/review"
	"boardlore/store"
)

// submission is the body of POST /proposals.
type submission struct {
	Board    string         `json:"board"`
	Base     *int           `json:"base_revision"`
	Map      jsontext.Value `json:"map"`
	Summary  string         `json:"summary"`
	Evidence jsontext.Value `json:"evidence"`
}

// receiptAnswer is what every act on a proposal answers.
type receiptAnswer struct {
	ID             int64             `json:"id"` // of the proposal
	Board          string            `json:"board"`
	State          review.State      `json:"state"`
	Event          int64             `json:"event"`
	At             time.Time         `json:"at"`
	Version        int               `json:"version"` // of the proposed map
	Digest         string            `json:"digest"`
	Revision       int               `json:"revision,omitzero"`        // that the release made
	CarriedForward bool              `json:"carried_forward,omitzero"` // the base was not the current revision any more
	Review         int64             `json:"review,omitzero"`
	Lapsed         []string          `json:"lapsed,omitempty"` // reviewers whose endorsement the amended map made lapse
	Standing       review.Standing   `json:"standing"`
	Findings       []finding.Finding `json:"findings,omitempty"`
	Links          links             `json:"links"`
}

func receiptOf(r store.Receipt) receiptAnswer {
	a := receiptAnswer{ID: r.Proposal, Board: r.Board, State: r.State, Event: r.Event, At: r.At, Version: r.Version,
		Digest:   r.Digest,
		Revision: r.Revision, CarriedForward: r.CarriedForward, Review: r.Review, Lapsed: r.Lapsed,
		Standing: r.Standing,
		Findings: r.Findings, Links: proposalLinks(r.Proposal, r.Board, r.State)}
	if r.Revision > 0 {
		a.Links["revision"] = pathOf("boards", r.Board, "revisions", strconv.Itoa(r.Revision))
	}
	return a
}

// proposalLinks leads on from a proposal; what can't be done with a closed one
// any more is not offered.
func proposalLinks(id int64, name string, state review.State) links {
	under := pathOf("proposals", itoa(id))
	l := links{"self": under, "map": under + "/map", "reviews": under + "/reviews", "board": pathOf("boards", name)}
	if state.Open() {
		for _, act := range []string{"checklist", "release", "decline", "withdraw"} {
			l[act] = under + "/" + act
		}
	}
	return l
}

// once is the request's Idempotency-Key, with a hash of all that the key stands for.
func once(c echo.Context, body []byte) store.Once {
	key := c.Request().Header.Get("Idempotency-Key")
	if key == "" {
		return store.Once{}
	}
	whole := append([]byte(c.Request().Method+" "+c.Request().URL.Path+"\n"), body...)
	return store.Once{Key: key, BodySHA256: sha256.Sum256(whole)}
}

func (s *server) submit(c echo.Context) error {
	var in submission
	body, err := readJSON(c, "submission", &in)
	if err != nil {
		return err
	}
	base := store.Unsaid
	if in.Base != nil {
		base = *in.Base
	}
	r, err := s.store.Submit(c.Request().Context(), actor(c), store.Submission{
		Board: in.Board, Base: base, Map: in.Map, Summary: in.Summary, Evidence: in.Evidence, Once: once(c, body)})
	if err != nil {
		return underMap(err)
	}
	c.Response().Header().Set("Location", pathOf("proposals", itoa(r.Proposal)))
	return replyTagged(c, http.StatusCreated, r.Digest, receiptOf(r))
}

// underMap moves the findings of a refused map under the member that held it.
func underMap(err error) error {
	if p := problemOf(err); p.Code == "map-refused" || p.Code == "document-refused" || p.Code == "json-malformed" ||
		p.Code == "document-too-large" {
		return under("/map", err)
	}
	return err
}

// replyTagged writes the answer to an act, with the tag of the map that it left.
func replyTagged(c echo.Context, status int, digest string, v any) error {
	if digest != "" {
		c.Response().Header().Set("ETag", `"`+digest+`"`)
	}
	return reply(c, status, v)
}

type proposalsAnswer struct {
	Proposals []proposalAnswer `json:"proposals"` // newest first
	Next      string           `json:"next,omitzero"`
}

type proposalAnswer struct {
	ID          int64        `json:"id"`
	Board       string       `json:"board"`
	Name        string       `json:"name"` // of the board, in the proposed map
	Base        int          `json:"base_revision"`
	State       review.State `json:"state"`
	Author      string       `json:"author"`
	Summary     string       `json:"summary"`
	SubmittedAt time.Time    `json:"submitted_at"`
	ChangedAt   time.Time    `json:"changed_at"`
	Version     int          `json:"version"`
	Digest      string       `json:"digest"`
	Revision    int          `json:"revision,omitzero"` // that it became
	ClosedBy    string       `json:"closed_by,omitzero"`
	Reason      string       `json:"reason,omitzero"`
	Newcomer    bool         `json:"new_contributor,omitzero"` // nothing of its author's was released yet
	Suspended   bool         `json:"suspended,omitzero"`       // its author's account is disabled
	Links       links        `json:"links"`
}

func proposalOf(p *store.Proposal) proposalAnswer {
	a := proposalAnswer{ID: p.ID, Board: p.Board, Name: p.Title, Base: p.Base, State: p.State, Author: p.Author,
		Summary:     p.Summary,
		SubmittedAt: p.SubmittedAt, ChangedAt: p.ChangedAt, Version: p.Version, Digest: p.Digest, Revision: p.Revision,
		ClosedBy: p.ClosedBy, Reason: p.Reason, Newcomer: p.Newcomer, Suspended: p.Suspended, Links: proposalLinks(p.ID,
			p.Board, p.State)}
	if p.Revision > 0 {
		a.Links["revision"] = pathOf("boards", p.Board, "revisions", strconv.Itoa(p.Revision))
	}
	if p.Base > 0 {
		a.Links["base"] = pathOf("boards", p.Board, "revisions", strconv.Itoa(p.Base))
	}
	return a
}

func (s *server) proposals(c echo.Context) error {
	list, err := s.store.Proposals(c.Request().Context(), store.ProposalFilter{
		State: review.State(c.QueryParam("state")), Board: c.QueryParam("board"), Author: c.QueryParam("author"),
		Page: page(c)})
	if err != nil {
		return err
	}
	a := proposalsAnswer{Proposals: make([]proposalAnswer, len(list.Items)), Next: nextLink(c, list.Next)}
	for i := range list.Items {
		a.Proposals[i] = proposalOf(&list.Items[i])
	}
	return reply(c, http.StatusOK, a)
}

// detailAnswer is one proposal with all that a reviewer needs.
type detailAnswer struct {
	proposalAnswer `json:",inline"`
	Map            jsontext.Value       `json:"map"`
	Evidence       []review.Evidence    `json:"evidence"`
	Differences    differencesOf        `json:"differences"`
	CarryForward   carryForwardAnswer   `json:"carry_forward"`
	Findings       []finding.Finding    `json:"findings"` // what the checks say of the proposed map
	Reviews        []review.Review      `json:"reviews"`
	Standing       review.Standing      `json:"standing"` // what a release still needs
	Hazards        []board.JudgedHazard `json:"hazards"`  // why it is hazardous
	Claims         []board.Claim        `json:"claims"`   // what it says of each position that is new or changed, like ones together
}

type differencesOf struct {
	Base    *board.Difference `json:"base"`    // from the base revision to the proposed map; null for a new board
	Current *board.Difference `json:"current"` // what a release today would change
}

type carryForwardAnswer struct {
	Needed    bool             `json:"needed"`   // the base is not the current revision any more
	Possible  bool             `json:"possible"` // a release today would meet no conflict
	Conflicts []store.Conflict `json:"conflicts"`
}

// proposal answers one proposal. Its tag names the state of the map first, so
// that it serves as If-Match of an amendment, then the rest of the answer.
func (s *server) proposal(c echo.Context) error {
	d, err := s.store.Proposal(c.Request().Context(), id(c, "id"))
	if err != nil {
		return err
	}
	a := detailAnswer{proposalAnswer: proposalOf(&d.Proposal), Map: jsontext.Value(d.Canonical),
		Evidence:    full(d.Evidence),
		Differences: differencesOf{d.FromBase, d.FromCurrent}, Findings: full(d.Findings), Reviews: full(d.Reviews),
		Standing: d.Standing,
		Hazards:  full(d.Judged), Claims: full(d.Claims)}
	a.CarryForward = carryForwardAnswer{
		Needed:   d.Current != nil && d.State.Open() && d.Current.Number != d.Base,
		Possible: len(d.Conflicts) == 0, Conflicts: full(d.Conflicts)}
	var body Short
	if err := json.MarshalWrite(&body, &a, asJSON[tongue(c)]); err != nil {
		return Writing(err)
	}
	return sendTagged(c, "application/json", d.Digest+"."+hash(body.b)[:16], append(body.b, '\n'))
}

// full makes a list that is written as [] where it is empty.
func full[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

func (s *server) proposalMap(c echo.Context) error {
	v, err := s.store.ProposalMap(c.Request().Context(), id(c, "id"), number(c, "version", 0))
	if err != nil {
		return err
	}
	return sendTagged(c, "application/json", v.Digest, v.Canonical)
}

func (s *server) amend(c echo.Context) error {
	body, _, err := readBody(c, "application/json")
	if err != nil {
		return err
	}
	match, err := s.matched(c)
	if err != nil {
		return err
	}
	r, err := s.store.Amend(c.Request().Context(), actor(c), store.Amendment{Proposal: id(c, "id"), Map: body,
		IfMatch: match})
	if err != nil {
		return err
	}
	return replyTagged(c, http.StatusOK, r.Digest, receiptOf(r))
}

// matched is the digest that the request's If-Match asks the proposed map to
// have: "" where the header is absent, "*" for any. Of several tags it is the
// one that holds now, if any does.
func (s *server) matched(c echo.Context) (string, error) {
	tags, err := ifMatch(c.Request().Header)
	if err != nil || len(tags) == 0 {
		return "", err
	}
	for i, t := range tags {
		tags[i] = digestIn(t)
	}
	if len(tags) > 1 {
		v, err := s.store.ProposalMap(c.Request().Context(), id(c, "id"), 0)
		if err != nil {
			return "", err
		}
		if slices.Contains(tags, v.Digest) {
			return v.Digest, nil
		}
	}
	return tags[0], nil
}

// digestIn is the digest that a tag begins with: that of a proposal has more
// behind it.
func digestIn(tag string) string {
	if len(tag) > hex.EncodedLen(sha256.Size) && review.IsSHA256(tag[:hex.EncodedLen(sha256.Size)]) {
		return tag[:hex.EncodedLen(sha256.Size)]
	}
	return tag
}

// decision is the body of the acts that close a proposal; it may be left out.
type decision struct {
	Reason string `json:"reason"`
}

func (s *server) release(c echo.Context) error  { return s.decide(c, s.store.Release) }
func (s *server) decline(c echo.Context) error  { return s.decide(c, s.store.Decline) }
func (s *server) withdraw(c echo.Context) error { return s.decide(c, s.store.Withdraw) }

type closing func(ctx context.Context, a store.Actor, d store.Decision) (store.Receipt, error)

func (s *server) decide(c echo.Context, act closing) error {
	var in decision
	var body []byte
	var err error
	if c.Request().ContentLength != 0 {
		if body, err = readJSON(c, "decision", &in); err != nil {
			return err
		}
	}
	match, err := s.matched(c)
	if err != nil {
		return err
	}
	r, err := act(c.Request().Context(), actor(c), store.Decision{Proposal: id(c, "id"), Reason: in.Reason,
		IfMatch: match, Once: once(c, body)})
	if err != nil {
		return err
	}
	return replyTagged(c, http.StatusOK, r.Digest, receiptOf(r))
}
