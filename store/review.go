package store

import (
	"context"
	"fmt"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/review"
)

// Verdict is one reviewer's judgement on its way in.
type Verdict struct {
	Proposal int64
	Verdict  string // endorse, query or object
	Summary  string
	Remarks  []review.Remark
	IfMatch  string // digest of the map that was looked at; empty for whichever it is
	Once     Once
}

// Review gives a verdict on the present map of a proposal, in place of the
// reviewer's older ones. A query or an objection returns it to its author.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown;
// NotAllowed role-needed or own-proposal; Conflict proposal-closed; Stale
// proposal-changed; Invalid review-invalid or idempotency-key-reused.
func (s *Store) Review(ctx context.Context, who Actor, in Verdict) (Receipt, error) {
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		p, err := s.lock(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(review.Examine, a, p, in.IfMatch); err != nil {
			return Receipt{}, event{}, err
		}
		return s.review(ctx, a, p, in)
	})
	return r, fail(err, "review proposal %d", in.Proposal)
}

func (s *Store) review(ctx context.Context, a *act, p *Proposal, in Verdict) (Receipt, event, error) {
	var before *board.Map
	if p.Base > 0 {
		base, err := s.revision(ctx, a.tx, cacheKey{p.Board, p.Base, ""})
		if err != nil {
			return Receipt{}, event{}, err
		}
		before = base.Map
	}
	if fs := review.CheckReview(in.Verdict, in.Summary, in.Remarks, knows(p.Map, before)); len(fs) > 0 {
		return Receipt{}, event{}, &fault.Error{Kind: fault.Invalid, Code: "review-invalid", Findings: fs,
			Detail: "The review was refused, and nothing of it was stored: correct what the errors name."}
	}
	r := review.Review{Reviewer: a.actor.Name, Verdict: in.Verdict, Summary: in.Summary, Remarks: in.Remarks, Version: p.Version, At: stamp(a.at)}
	if err := insertReview(ctx, a, p, &r); err != nil {
		return Receipt{}, event{}, err
	}
	p.Reviews = append(p.Reviews, r)
	p.State = review.After(p.Reviews, p.Version)
	if _, err := a.tx.Exec(ctx, `UPDATE proposals SET state = $2, changed_at = $3 WHERE id = $1`, p.ID, p.State, a.at); err != nil {
		return Receipt{}, event{}, err
	}
	out, err := s.receipt(ctx, a, p, nil)
	out.Review = r.ID
	return out, event{what: "reviewed", board: p.Board, proposal: p.ID, version: p.Version, sentence: reviewed(p, r)}, err
}

func insertReview(ctx context.Context, a *act, p *Proposal, r *review.Review) error {
	remarks, err := json.Marshal(r.Remarks)
	if err != nil {
		return err
	}
	return a.tx.QueryRow(ctx, `INSERT INTO reviews (proposal, version, reviewer, verdict, summary, remarks, at)
		VALUES ($1, $2, $3, $4, $5, $6::jsonb, $7) RETURNING id`,
		p.ID, p.Version, a.actor.ID, r.Verdict, r.Summary, string(remarks), a.at).Scan(&r.ID)
}

func reviewed(p *Proposal, r review.Review) string {
	did := map[string]string{review.Endorse: "endorsed", review.Query: "queried", review.Object: "objected to"}[r.Verdict]
	return fmt.Sprintf("{who} %s proposal %d for %s{review}", did, p.ID, p.Board)
}

// Decision closes a proposal.
type Decision struct {
	Proposal int64
	Reason   string // up to 2,000 characters; may be empty
	IfMatch  string // digest of the map that was looked at; empty for whichever it is
	Once     Once
}

// Decline closes a proposal that won't be released: a reviewer's act.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown;
// NotAllowed role-needed or own-proposal; Conflict proposal-closed; Stale
// proposal-changed; Invalid decision-invalid or idempotency-key-reused.
func (s *Store) Decline(ctx context.Context, who Actor, in Decision) (Receipt, error) {
	return s.close(ctx, who, review.Decline, in)
}

// Withdraw closes a proposal that its author no longer wants. It refuses as
// Decline does, with not-the-author in place of own-proposal.
func (s *Store) Withdraw(ctx context.Context, who Actor, in Decision) (Receipt, error) {
	return s.close(ctx, who, review.Withdraw, in)
}

func (s *Store) close(ctx context.Context, who Actor, what review.Act, in Decision) (Receipt, error) {
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		p, err := s.lock(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(what, a, p, in.IfMatch); err != nil {
			return Receipt{}, event{}, err
		}
		if err := checkReason(in.Reason); err != nil {
			return Receipt{}, event{}, err
		}
		p.State, p.ClosedBy, p.Reason = review.Next(what), a.actor.Name, in.Reason
		if err := closeProposal(ctx, a, p); err != nil {
			return Receipt{}, event{}, err
		}
		r, err := s.receipt(ctx, a, p, nil)
		return r, event{what: string(p.State), board: p.Board, proposal: p.ID, version: p.Version, sentence: closed(p)}, err
	})
	return r, fail(err, "%s proposal %d", what, in.Proposal)
}

func checkReason(reason string) error {
	if fs := review.CheckReason(reason); len(fs) > 0 {
		return &fault.Error{Kind: fault.Invalid, Code: "decision-invalid", Findings: fs, Detail: "The reason was refused: correct what the errors name."}
	}
	return nil
}

// closeProposal writes the end of a proposal.
func closeProposal(ctx context.Context, a *act, p *Proposal) error {
	_, err := a.tx.Exec(ctx, `UPDATE proposals SET state = $2, closed_by = $3, reason = $4, revision = nullif($5::int, 0), changed_at = $6 WHERE id = $1`,
		p.ID, p.State, a.actor.ID, p.Reason, p.Revision, a.at)
	return err
}

func closed(p *Proposal) string {
	did := map[review.State]string{review.Declined: "declined", review.Withdrawn: "withdrew"}[p.State]
	return fmt.Sprintf("{who} %s proposal %d for %s{reason}", did, p.ID, p.Board)
}
