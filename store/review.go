package store

import (
	"context"
	"slices"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Verdict is one reviewer's judgement on its way in.
type Verdict struct {
	Proposal int64
	Verdict  string // endorse, query or object
	Summary  string
	Remarks  []review.Remark
	Seen     []review.Seen
	IfMatch  string // digest of the map that was looked at
	Once     Once
}

// Review gives a verdict on the present map of a proposal, in place of the
// reviewer's older ones. A query or an objection returns it to its author.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown;
// NotAllowed role-needed or own-proposal; Conflict proposal-closed; Unconditional
// if-match-needed; Stale proposal-changed; Invalid review-invalid or idempotency-key-reused.
func (s *Store) Review(ctx context.Context, who Actor, in Verdict) (Receipt, error) {
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		p, err := s.lock(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(review.Examine, a, p, in.IfMatch); err != nil {
			return Receipt{}, event{}, err
		}
		if err := wasRead(in.IfMatch); err != nil {
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
	known := knows(p.Map, before)
	if fs := append(review.CheckReview(in.Verdict, in.Summary, in.Remarks, known), review.CheckSeen(in.Seen,
		known)...); len(fs) > 0 {
		return Receipt{}, event{}, &fault.Error{Kind: fault.Invalid, Code: "review-invalid", Findings: fs,
			Detail: message.Of("store.review-refused")}
	}
	r := review.Review{Reviewer: a.actor.Name, Verdict: in.Verdict, Summary: in.Summary, Remarks: in.Remarks,
		Seen: in.Seen, Version: p.Version, At: stamp(a.at)}
	if err := insertReview(ctx, a, p, &r); err != nil {
		return Receipt{}, event{}, err
	}
	p.Reviews = append(p.Reviews, r)
	p.State = review.After(p.Reviews, p.Version)
	if _, err := a.tx.Exec(ctx, `UPDATE proposals SET state = $2, changed_at = $3 WHERE id = $1`, p.ID, p.State,
		a.at); err != nil {
		return Receipt{}, event{}, err
	}
	out, err := s.receipt(ctx, a, p, nil)
	out.Review = r.ID
	return out, event{what: "reviewed", board: p.Board, proposal: p.ID, version: p.Version, sentence: reviewed(p, r)},
		err
}

func insertReview(ctx context.Context, a *act, p *Proposal, r *review.Review) error {
	remarks, err := json.Marshal(r.Remarks)
	if err != nil {
		return err
	}
	seen, err := json.Marshal(r.Seen)
	if err != nil {
		return err
	}
	return a.tx.QueryRow(ctx, `INSERT INTO reviews (proposal, version, reviewer, verdict, summary, remarks, at, seen)
		VALUES ($1, $2, $3, $4, $5, $6::jsonb, $7, $8::jsonb) RETURNING id`,
		p.ID, p.Version, a.actor.ID, r.Verdict, r.Summary, string(remarks), a.at, string(seen)).Scan(&r.ID)
}

func reviewed(p *Proposal, r review.Review) message.Message {
	return message.Of("event.reviewed", "{who}", message.Word("event.verdict", r.Verdict), p.ID, p.Board, "{review}")
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
		check := review.CheckReason
		if what == review.Decline {
			check = review.CheckDecline
		}
		if err := reasoned(check(in.Reason)); err != nil {
			return Receipt{}, event{}, err
		}
		p.State, p.ClosedBy, p.Reason = review.Next(what), a.actor.Name, in.Reason
		if err := closeProposal(ctx, a, p); err != nil {
			return Receipt{}, event{}, err
		}
		r, err := s.receipt(ctx, a, p, nil)
		return r, event{what: string(p.State), board: p.Board, proposal: p.ID, version: p.Version, sentence: closed(p)},
			err
	})
	return r, fail(err, "%s proposal %d", what, in.Proposal)
}

// checkReason holds a reason that may be left out to its limits.
func checkReason(reason string) error { return reasoned(review.CheckReason(reason)) }

// reasoned refuses a decision whose reason has findings.
func reasoned(fs []finding.Finding) error {
	if len(fs) > 0 {
		return &fault.Error{Kind: fault.Invalid, Code: "decision-invalid", Findings: fs,
			Detail: message.Of("store.reason-refused")}
	}
	return nil
}

// closeProposal writes the end of a proposal.
func closeProposal(ctx context.Context, a *act, p *Proposal) error {
	var hazards *string
	if p.Hazards != nil {
		b, err := json.Marshal(p.Hazards, message.Stored)
		if err != nil {
			return err
		}
		s := string(b)
		hazards = &s
	}
	_, err := a.tx.Exec(ctx, `UPDATE proposals SET state = $2, closed_by = $3, reason = $4, revision = nullif($5::int, 0), changed_at = $6, hazards = $7::jsonb
		WHERE id = $1`, p.ID, p.State, a.actor.ID, p.Reason, p.Revision, a.at, hazards)
	return err
}

func closed(p *Proposal) message.Message {
	return message.Of("event.closed", "{who}", message.Word("event.closing", p.State), p.ID, p.Board, "{reason}")
}

// SettingAside ends an objection.
type SettingAside struct {
	Proposal int64
	Review   int64
	Reason   string // 1 to 2,000 characters
	Once     Once
}

// SetAside ends an objection that bars a proposal: a steward's act, for one
// whose reviewer is gone or does not answer.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown or
// review-unknown; NotAllowed role-needed or own-proposal; Conflict
// proposal-closed or no-objection; Invalid decision-invalid or
// idempotency-key-reused.
func (s *Store) SetAside(ctx context.Context, who Actor, in SettingAside) (Receipt, error) {
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		p, err := s.lock(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(review.Overrule, a, p, ""); err != nil {
			return Receipt{}, event{}, err
		}
		if err := reasoned(review.CheckAside(in.Reason)); err != nil {
			return Receipt{}, event{}, err
		}
		return s.setAside(ctx, a, p, in)
	})
	return r, fail(err, "set aside review %d of proposal %d", in.Review, in.Proposal)
}

func (s *Store) setAside(ctx context.Context, a *act, p *Proposal, in SettingAside) (Receipt, event, error) {
	i := slices.IndexFunc(p.Reviews, func(r review.Review) bool { return r.ID == in.Review })
	if i < 0 {
		return Receipt{}, event{}, missing("review-unknown", "store.review-unknown", p.ID, in.Review)
	}
	r := &p.Reviews[i]
	if r.Verdict != review.Object || !r.Standing {
		return Receipt{}, event{}, fault.New(fault.Conflict, "no-objection",
			"store.review-no-objection", r.ID)
	}
	_, err := a.tx.Exec(ctx, `INSERT INTO objections_set_aside (review, who, reason, at) VALUES ($1, $2, $3, $4)`, r.ID,
		a.actor.ID, in.Reason, a.at)
	if err != nil {
		return Receipt{}, event{}, err
	}
	r.SetAside = &review.SetAside{By: a.actor.Name, Reason: in.Reason, At: stamp(a.at)}
	review.Mark(p.Reviews, p.Version)
	p.State = review.After(p.Reviews, p.Version)
	if _, err := a.tx.Exec(ctx, `UPDATE proposals SET state = $2, changed_at = $3 WHERE id = $1`, p.ID, p.State,
		a.at); err != nil {
		return Receipt{}, event{}, err
	}
	out, err := s.receipt(ctx, a, p, nil)
	out.Review = r.ID
	return out, event{what: "objection-set-aside", board: p.Board, proposal: p.ID, version: p.Version,
		sentence: message.Of("event.objection-set-aside", "{who}", p.ID, p.Board), why: in.Reason}, err
}

// Answering is what the author or a reviewer says to a review.
type Answering struct {
	Proposal int64
	Review   int64
	Text     string // 1 to 5,000 characters
	Once     Once
}

// Answer adds to the thread of a review. It changes no verdict: that is for
// whoever asked, who sees it beside their review.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown or
// review-unknown; NotAllowed not-the-author; Conflict proposal-closed or
// thread-full; Invalid review-invalid or idempotency-key-reused.
func (s *Store) Answer(ctx context.Context, who Actor, in Answering) (Receipt, error) {
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		p, err := s.lock(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(review.Answer, a, p, ""); err != nil {
			return Receipt{}, event{}, err
		}
		return s.answer(ctx, a, p, in)
	})
	return r, fail(err, "answer review %d of proposal %d", in.Review, in.Proposal)
}

func (s *Store) answer(ctx context.Context, a *act, p *Proposal, in Answering) (Receipt, event, error) {
	i := slices.IndexFunc(p.Reviews, func(r review.Review) bool { return r.ID == in.Review })
	if i < 0 {
		return Receipt{}, event{}, missing("review-unknown", "store.review-unknown", p.ID, in.Review)
	}
	if fs := review.CheckText(in.Text, "/text"); len(fs) > 0 {
		return Receipt{}, event{}, &fault.Error{Kind: fault.Invalid, Code: "review-invalid", Findings: fs,
			Detail: message.Of("store.answer-refused")}
	}
	if len(p.Reviews[i].Answers) >= review.MaxAnswers {
		return Receipt{}, event{}, fault.New(fault.Conflict, "thread-full",
			"store.answer-quota", in.Review, review.MaxAnswers)
	}
	if _, err := a.tx.Exec(ctx, `INSERT INTO review_answers (review, author, body, at) VALUES ($1, $2, $3, $4)`,
		in.Review, a.actor.ID, in.Text, a.at); err != nil {
		return Receipt{}, event{}, err
	}
	if _, err := a.tx.Exec(ctx, `UPDATE proposals SET changed_at = $2 WHERE id = $1`, p.ID, a.at); err != nil {
		return Receipt{}, event{}, err
	}
	out, err := s.receipt(ctx, a, p, nil)
	out.Review = in.Review
	return out, event{what: "review-answered", board: p.Board, proposal: p.ID, version: p.Version,
		sentence: message.Of("event.review-answered", "{who}", p.ID, p.Board)}, err
}
