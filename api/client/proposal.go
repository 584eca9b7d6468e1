package client

import (
	"context"
	"fmt"
	"net/http"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/domain/review"
)

// Submission is a map to be proposed.
type Submission struct {
	Board    string            `json:"board"`
	Base     *int              `json:"base_revision,omitzero"` // 0 for a new board; nil where the map comes in its envelope
	Map      jsontext.Value    `json:"map"`                    // or the map in its envelope
	Summary  string            `json:"summary"`
	Evidence []review.Evidence `json:"evidence,omitempty"`
}

// Propose submits a map. However often it has to be tried, one proposal comes
// of it.
func (c *Client) Propose(ctx context.Context, s Submission) (Receipt, error) {
	return transmit[Receipt](ctx, c, http.MethodPost, pathOf("proposals"), s, how{keyed: true})
}

// ProposalFilter says which proposals are wanted.
type ProposalFilter struct {
	State  string `url:"state,omitempty"` // a state, or open
	Board  string `url:"board,omitempty"`
	Author string `url:"author,omitempty"`
	Page
}

// Proposals lists proposals, newest first.
func (c *Client) Proposals(ctx context.Context, f ProposalFilter) (Answer[ProposalList], error) {
	return fetch[ProposalList](ctx, c, pathOf("proposals"), f)
}

// Proposal is one proposal with its differences, findings and reviews. Its Tag
// names the state that was read, for reviews and releases.
func (c *Client) Proposal(ctx context.Context, id int64) (Answer[ProposalDetail], error) {
	return fetch[ProposalDetail](ctx, c, pathOf("proposals", id), nil)
}

// Checklist is what a reviewer should have looked at before a verdict.
func (c *Client) Checklist(ctx context.Context, id int64) (Answer[review.Checklist], error) {
	return fetch[review.Checklist](ctx, c, pathOf("proposals", id, "checklist"), nil)
}

type versionOf struct {
	Version int `url:"version,omitempty"`
}

// ProposalMap is the proposed map, or an earlier version of it; 0 for the newest.
func (c *Client) ProposalMap(ctx context.Context, id int64, version int) (Answer[*board.Map], error) {
	return fetch[*board.Map](ctx, c, pathOf("proposals", id, "map"), versionOf{version})
}

// Amend puts another map in place of the one that tag names.
func (c *Client) Amend(ctx context.Context, id int64, tag string, m jsontext.Value) (Receipt, error) {
	return transmit[Receipt](ctx, c, http.MethodPut, pathOf("proposals", id, "map"), []byte(m), how{match: tag})
}

// Reviews are the reviews of a proposal.
func (c *Client) Reviews(ctx context.Context, id int64) (Answer[ReviewList], error) {
	return fetch[ReviewList](ctx, c, pathOf("proposals", id, "reviews"), nil)
}

// ReviewOf is one of them.
func (c *Client) ReviewOf(ctx context.Context, id, n int64) (Answer[review.Review], error) {
	return fetch[review.Review](ctx, c, pathOf("proposals", id, "reviews", n), nil)
}

// Verdict is what a reviewer says of a proposal.
type Verdict struct {
	Verdict string          `json:"verdict"` // review.Endorse, Query or Object
	Summary string          `json:"summary,omitzero"`
	Remarks []review.Remark `json:"remarks,omitempty"`
	Seen    []review.Seen   `json:"seen,omitempty"` // what the verdict rests on
}

// Review gives a verdict on the state of the proposal that tag names.
func (c *Client) Review(ctx context.Context, id int64, tag string, v Verdict) (Receipt, error) {
	return transmit[Receipt](ctx, c, http.MethodPost, pathOf("proposals", id, "reviews"), v, how{keyed: true, match: tag})
}

// AnswerReview says something to a review, as the author or a reviewer.
func (c *Client) AnswerReview(ctx context.Context, id, n int64, text string) (Receipt, error) {
	in := struct {
		Text string `json:"text"`
	}{text}
	return transmit[Receipt](ctx, c, http.MethodPost, pathOf("proposals", id, "reviews", n, "answers"), in,
		how{keyed: true})
}

type reason struct {
	Reason string `json:"reason,omitzero"`
}

// SetAside ends an objection that bars the proposal.
func (c *Client) SetAside(ctx context.Context, id, n int64, why string) (Receipt, error) {
	return transmit[Receipt](ctx, c, http.MethodPost, pathOf("proposals", id, "reviews", n, "set-aside"), reason{why},
		how{keyed: true})
}

// Release makes the state of the proposal that tag names the next revision.
func (c *Client) Release(ctx context.Context, id int64, tag, why string) (Receipt, error) {
	return c.decide(ctx, id, "release", tag, why)
}

// Decline declines the proposal; "" for tag has it be whatever state it is in.
func (c *Client) Decline(ctx context.Context, id int64, tag, why string) (Receipt, error) {
	return c.decide(ctx, id, "decline", tag, why)
}

// WithdrawProposal withdraws one's own proposal.
func (c *Client) WithdrawProposal(ctx context.Context, id int64, tag, why string) (Receipt, error) {
	return c.decide(ctx, id, "withdraw", tag, why)
}

func (c *Client) decide(ctx context.Context, id int64, what, tag, why string) (Receipt, error) {
	return transmit[Receipt](ctx, c, http.MethodPost, pathOf("proposals", id, what), reason{why},
		how{keyed: true, match: tag})
}

// CheckMap tells all that a submission of the map would be told, and stores
// nothing.
func (c *Client) CheckMap(ctx context.Context, m jsontext.Value) (Checked, error) {
	return transmit[Checked](ctx, c, http.MethodPost, pathOf("maps", "check"), []byte(m), how{again: true})
}

// Of names a digest as an act wants it told.
func Of(digest string) string { return fmt.Sprintf("%q", digest) }
