package store

import (
	"context"
	"time"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/schema"
)

// Conflict is a member that a proposal and a later release both changed.
type Conflict struct {
	board.Conflict
	Revision   int       `json:"revision"` // that changed it since the proposal's base
	ReleasedBy string    `json:"released_by"`
	ReleasedAt time.Time `json:"released_at"`
}

// forwarded is a proposal brought onto the current revision.
type forwarded struct {
	base, current         *Revision         // nil where there is none
	taken                 bool              // for a new board that has a revision by now
	m                     *board.Map        // what a release would release; nil where it can't
	conflicts             []Conflict        // why it can't
	fromBase, fromCurrent *board.Difference // nil where there is nothing to compare
	hazards               []board.JudgedHazard
}

// hazardous tells whether a release today would need two endorsements. What
// can't be carried forward yet is judged by what its author changed.
func (f *forwarded) hazardous() bool {
	return len(f.hazards) > 0 || f.m == nil && f.fromBase != nil && f.fromBase.Hazardous()
}

// standing sums up the reviews of a proposal for a release today. Endorsements
// of a merge that is hazardous count from when there was something to merge
// with.
func (f *forwarded) standing(p *Proposal) review.Standing {
	if p.State.Open() && f.carried() && f.hazardous() {
		for i := range p.Reviews {
			at, err := time.Parse(time.RFC3339Nano, p.Reviews[i].At)
			p.Reviews[i].Outdated = err != nil || !at.After(f.current.ReleasedAt)
		}
		review.Mark(p.Reviews, p.Version)
	}
	return review.Stand(p.Reviews, p.Version, f.hazardous())
}

// carried tells that the proposal's base is no longer current.
func (f *forwarded) carried() bool {
	return f.base != nil && f.current != nil && f.base.Number != f.current.Number
}

// follows is the number of the revision that a release comes after, 0 for none.
func (f *forwarded) follows() int {
	if f.current == nil {
		return 0
	}
	return f.current.Number
}

// forward brings a proposal onto the current revision of its board, as q sees it.
func (s *Store) forward(ctx context.Context, q querier, p *Proposal) (*forwarded, error) {
	var current int
	if err := q.QueryRow(ctx, `SELECT current FROM boards WHERE id = $1`, p.Board).Scan(&current); err != nil {
		return nil, err
	}
	f := &forwarded{}
	var err error
	if p.Base > 0 {
		if f.base, err = s.revision(ctx, q, cacheKey{p.Board, p.Base, ""}); err != nil {
			return nil, err
		}
		d := board.Diff(f.base.Map, p.Map)
		f.fromBase = &d
	}
	if current > 0 {
		if f.current, err = s.revision(ctx, q, cacheKey{p.Board, current, ""}); err != nil {
			return nil, err
		}
	}
	if err := s.carry(ctx, q, p, f); err != nil {
		return nil, err
	}
	return f, s.hazards(ctx, q, p, f)
}

// carry fills in what would be released.
func (s *Store) carry(ctx context.Context, q querier, p *Proposal, f *forwarded) error {
	switch {
	case f.base == nil && f.current == nil:
		f.m = p.Map
	case f.base == nil:
		f.taken = true
	case f.current == nil: // all that was released is withdrawn
		f.m = p.Map
	case !f.carried():
		f.m, f.fromCurrent = p.Map, f.fromBase
	default:
		m, conflicts := board.CarryForward(f.base.Map, f.current.Map, p.Map)
		if len(conflicts) > 0 {
			var err error
			f.conflicts, err = s.traceConflicts(ctx, q, p, f, conflicts)
			return err
		}
		d := board.Diff(f.current.Map, m)
		f.m, f.fromCurrent = m, &d
	}
	return nil
}

// traceConflicts finds for each conflict the revision that made it: the first one with
// which the current revision's side of it appears.
func (s *Store) traceConflicts(ctx context.Context, q querier, p *Proposal, f *forwarded,
	conflicts []board.Conflict) ([]Conflict, error) {
	out := make([]Conflict, len(conflicts))
	open := map[string]int{} // key of a conflict not blamed yet → its place in out
	for i, c := range conflicts {
		out[i].Conflict = c
		open[conflictKey(c)] = i
	}
	after := f.current
	for n := f.current.Number - 1; len(open) > 0; n-- {
		still := map[string]bool{}
		before := f.base
		if n > f.base.Number {
			var err error
			if before, err = s.revision(ctx, q, cacheKey{p.Board, n, ""}); err != nil {
				return nil, err
			}
			_, cs := board.CarryForward(f.base.Map, before.Map, p.Map)
			for _, c := range cs {
				still[conflictKey(c)] = true
			}
		}
		for k, i := range open {
			if !still[k] {
				out[i].Revision, out[i].ReleasedBy, out[i].ReleasedAt = after.Number, after.ReleasedBy, after.ReleasedAt
				delete(open, k)
			}
		}
		after = before
	}
	return out, nil
}

// conflictKey tells conflicts apart, and one from the same with another current value.
func conflictKey(c board.Conflict) string {
	return c.Designator + "\x00" + c.Member + "\x00" + string(c.Current)
}

// Release makes a proposal the next revision of its board. Where the current
// revision is no longer the proposal's base, the proposal is carried forward;
// whether two endorsements are needed is judged by what the release changes
// now. Of two releases at once the second waits, and judges what the first has left.
//
// Refusals: Unauthenticated token-needed; NotFound proposal-unknown;
// NotAllowed role-needed; Unconditional if-match-needed; Stale proposal-changed; Invalid decision-invalid or
// idempotency-key-reused; Conflict proposal-closed, objection-standing or
// endorsement-needed (data: review.Standing), carry-forward-conflict (data:
// []Conflict), carry-forward-unsound (findings), board-exists, release-empty.
// A refusal changes nothing.
func (s *Store) Release(ctx context.Context, who Actor, in Decision) (Receipt, error) {
	photographs := 0
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		p, err := s.lockBoth(ctx, a, in.Proposal)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := judge(review.Release, a, p, in.IfMatch); err != nil {
			return Receipt{}, event{}, err
		}
		if err := wasRead(in.IfMatch); err != nil {
			return Receipt{}, event{}, err
		}
		if err := checkReason(in.Reason); err != nil {
			return Receipt{}, event{}, err
		}
		p.Reason = in.Reason
		photographs = len(p.Map.Photographs)
		return s.release(ctx, a, p)
	})
	if err == nil && photographs > 0 {
		// What fails here is tried again by the first who asks for it, and told then.
		s.done.Go(func() { _ = s.flattenReleased(context.WithoutCancel(ctx), r.Board, r.Revision) })
	}
	return r, fail(err, "release proposal %d", in.Proposal)
}

// lockBoth locks a proposal's board, then the proposal. A proposal never
// changes its board, so that may be read before.
func (s *Store) lockBoth(ctx context.Context, a *act, id int64) (*Proposal, error) {
	_, err := a.tx.Exec(ctx,
		`SELECT FROM boards WHERE id = (SELECT board FROM proposals WHERE id = $1) FOR NO KEY UPDATE`, id)
	if err != nil {
		return nil, err
	}
	// Whose endorsement counts is not to change before the release is done.
	_, err = a.tx.Exec(ctx,
		`SELECT FROM accounts WHERE id IN (SELECT reviewer FROM reviews WHERE proposal = $1) ORDER BY id FOR SHARE`, id)
	if err != nil {
		return nil, err
	}
	return s.lock(ctx, a, id)
}

func (s *Store) release(ctx context.Context, a *act, p *Proposal) (Receipt, event, error) {
	f, err := s.forward(ctx, a.tx, p)
	if err != nil {
		return Receipt{}, event{}, err
	}
	st := f.standing(p)
	if err := f.refusal(p); err != nil {
		return Receipt{}, event{}, err
	}
	var excuse message.Message
	if err := st.Releasable(); err != nil {
		if excuse, err = s.excuse(ctx, a, p, st, err); err != nil {
			return Receipt{}, event{}, err
		}
	}
	doc, err := f.document(p)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if doc.m.Board != p.Board { // the board was moved since this was submitted
		if err := doc.underNewID(p.Board); err != nil {
			return Receipt{}, event{}, err
		}
	}
	last, err := lastRevision(ctx, a.tx, p.Board)
	if err != nil {
		return Receipt{}, event{}, err
	}
	p.Revision = last + 1
	if f.current != nil {
		if doc.digest == f.current.Digest {
			return Receipt{}, event{}, fault.New(fault.Conflict, "release-empty",
				"store.release-empty", f.current.Number, p.Board)
		}
	}
	p.State, p.ClosedBy, p.Hazards = review.Next(review.Release), a.actor.Name, f.hazards
	if err := insertRevision(ctx, a, p, doc, f); err != nil {
		return Receipt{}, event{}, err
	}
	if err := s.keepView(ctx, a, p.Board); err != nil {
		return Receipt{}, event{}, err
	}
	return Receipt{Proposal: p.ID, Board: p.Board, State: p.State, Version: p.Version, Digest: doc.digest,
			Revision:       p.Revision,
			CarriedForward: f.carried(), Standing: st},
		event{what: "released", board: p.Board, proposal: p.ID, version: p.Version, revision: p.Revision,
			sentence: message.Of("event.released", "{who}", p.ID, "{author}", p.Revision, p.Board, excuse,
				"{summary}")}, nil
}

// excuse lets a steward of a small registry release what has stood on the desk
// for a week, and gives the words for its event; else the refusal stands.
func (s *Store) excuse(ctx context.Context, a *act, p *Proposal, st review.Standing, refusal error) (message.Message,
	error) {
	var reviewers int
	var since time.Time
	err := a.tx.QueryRow(ctx, `
		SELECT (SELECT count(*) FROM accounts WHERE role IN ('reviewer', 'steward') AND disabled_at IS NULL AND id <> $1),
		       (SELECT at FROM proposal_maps WHERE proposal = $2 AND version = $3)`, p.AuthorID, p.ID,
		p.Version).Scan(&reviewers, &since)
	if err != nil {
		return message.Message{}, err
	}
	if !st.Excused(a.actor.Role, reviewers, a.at.Sub(since).Hours()/24) {
		return message.Message{}, refusal
	}
	return message.Of("event.excuse"), nil
}

// refusal says why the proposal can't be brought onto the current revision; nil where it can.
func (f *forwarded) refusal(p *Proposal) error {
	if f.taken {
		return fault.New(fault.Conflict, "board-exists",
			"store.board-exists-meanwhile", p.Board, f.current.Number)
	}
	if len(f.conflicts) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Conflict, Code: "carry-forward-conflict", Data: f.conflicts,
		Detail: message.Of("store.carry-conflict", f.base.Number, p.ID, len(f.conflicts), f.current.Number)}
}

// document is what will be released. A map that was carried forward is checked
// as one that comes in: two sound changes need not make a sound map.
func (f *forwarded) document(p *Proposal) (document, error) {
	if !f.carried() {
		return document{m: p.Map, canonical: p.Canonical, digest: p.Digest}, nil
	}
	c, err := f.m.Canonical()
	if err != nil {
		return document{}, err
	}
	m, fs := schema.ReadMap(c)
	if m == nil {
		return document{}, &fault.Error{Kind: fault.Conflict, Code: "carry-forward-unsound", Findings: fs,
			Detail: message.Of("store.carry-unsound", f.current.Number, p.Board)}
	}
	return document{m: m, canonical: c, digest: board.Digest(c)}, nil
}

// insertRevision writes the revision, makes it the board's current one and
// closes the proposal.
func insertRevision(ctx context.Context, a *act, p *Proposal, doc document, f *forwarded) error {
	if err := closeProposal(ctx, a, p); err != nil {
		return err
	}
	_, err := a.tx.Exec(ctx, `INSERT INTO revisions (board, number, digest, document, proposal, released_by, released_at, follows)
		VALUES ($1, $2, decode($3, 'hex'), $4, $5, $6, $7, $8)`, p.Board, p.Revision, doc.digest, doc.canonical, p.ID,
		a.actor.ID, a.at, f.follows())
	if err != nil {
		return err
	}
	changes, err := changeRows(p.Board, p.Revision, f.fromCurrent)
	if err != nil {
		return err
	}
	if err := insertChanges(ctx, a.tx, changes); err != nil {
		return err
	}
	if err := describe(ctx, a.tx, described{p.Board, p.Revision, doc, a.at}); err != nil {
		return err
	}
	return refileAll(ctx, a, p.Board, p.Revision)
}
