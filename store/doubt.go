package store

import (
	"context"
	"slices"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Doubt is what a reader thinks is wrong with a released map.
type Doubt struct {
	ID          int64
	Board       string
	Revision    int    // that was read
	Designator  string // empty for the board as a whole
	Text        string
	Photographs []string // SHA-256 of each
	Author      string
	At          time.Time
	Answer      string // empty while it is open
	Proposal    int64  // that settles it; 0 for none
	AnsweredBy  string
	AnsweredAt  *time.Time
}

// DoubtOf is a doubt on its way in.
type DoubtOf struct {
	Board, Designator, Text string
	Revision                int
	Photographs             []string
	Once                    Once
}

// maxDoubts is how many doubts an account may have open.
const maxDoubts = 20

// Raise keeps a doubt, to be shown at its position until it is answered.
//
// Refusals: Unauthenticated token-needed; NotFound board-unknown or
// revision-unknown; Gone or Unlawful for a withdrawn revision; Invalid
// doubt-invalid or idempotency-key-reused; Conflict doubt-quota.
func (s *Store) Raise(ctx context.Context, who Actor, in DoubtOf) (Receipt, error) {
	if who.Role == review.Anonymous {
		return Receipt{}, fault.New(fault.Unauthenticated, "token-needed", "store.doubt-token")
	}
	rev, err := s.Revision(ctx, in.Board, in.Revision, "")
	if err != nil {
		return Receipt{}, err
	}
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		if err := s.checkDoubt(ctx, a, in, knows(rev.Map)); err != nil {
			return Receipt{}, event{}, err
		}
		if err := a.now(ctx); err != nil {
			return Receipt{}, event{}, err
		}
		var id int64
		err := a.tx.QueryRow(ctx, `INSERT INTO doubts (board, revision, designator, body, photographs, author, at)
			VALUES ($1, $2, nullif($3, ''), $4, $5, $6, $7) RETURNING id`,
			rev.Board, rev.Number, in.Designator, in.Text, append([]string{}, in.Photographs...), a.actor.ID,
			a.at).Scan(&id)
		return Receipt{Board: rev.Board, Revision: rev.Number, Doubt: id}, event{what: "doubt-raised", board: rev.Board,
			revision: rev.Number,
			sentence: message.Of("event.doubt-raised", "{who}", id, rev.Number, rev.Board, about(in.Designator))}, err
	})
	return r, fail(err, "raise a doubt about %s", in.Board)
}

func about(designator string) message.Message {
	if designator == "" {
		return message.Message{}
	}
	return message.Of("event.about", designator)
}

// checkDoubt holds a doubt to its limits and its account to the quota.
func (s *Store) checkDoubt(ctx context.Context, a *act, in DoubtOf, known func(string) bool) error {
	fs := review.CheckText(in.Text, "/text")
	if in.Designator != "" && !known(in.Designator) {
		fs = append(fs, invalid("/designator", "store.doubt-position", in.Designator))
	}
	if len(in.Photographs) > review.MaxPhotographs {
		fs = append(fs, invalid("/photographs", "store.doubt-photographs", review.MaxPhotographs))
	} else {
		for i, sum := range in.Photographs {
			there := review.IsSHA256(sum)
			if there {
				var err error
				if there, err = namePhotograph(ctx, a.tx, sum); err != nil {
					return err
				}
			}
			if !there {
				fs = append(fs, invalid("/photographs/"+strconv.Itoa(i), "store.photograph-unknown-quoted", sum))
			}
		}
	}
	if err := doubtful(fs); err != nil {
		return err
	}
	var open int
	if err := a.tx.QueryRow(ctx, `SELECT count(*) FROM (SELECT FROM accounts WHERE id = $1 FOR NO KEY UPDATE) AS locked,
		LATERAL (SELECT FROM doubts WHERE author = $1 AND answer IS NULL) AS open`,
		a.actor.ID).Scan(&open); err != nil {
		return err
	}
	if open >= maxDoubts {
		return fault.New(fault.Conflict, "doubt-quota", "store.doubt-quota", open)
	}
	return nil
}

func doubtful(fs []finding.Finding) error {
	if len(fs) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Invalid, Code: "doubt-invalid", Findings: fs,
		Detail: message.Of("store.doubt-refused")}
}

// DoubtAnswer is what ends a doubt.
type DoubtAnswer struct {
	Board    string
	Doubt    int64
	Text     string
	Proposal int64 // that settles it; 0 for none
	Once     Once
}

// AnswerDoubt ends a doubt: a reviewer's act, or that of whoever raised it.
//
// Refusals: Unauthenticated token-needed; NotFound doubt-unknown; NotAllowed
// role-needed; Invalid doubt-invalid or idempotency-key-reused; Conflict
// doubt-answered.
func (s *Store) AnswerDoubt(ctx context.Context, who Actor, in DoubtAnswer) (Receipt, error) {
	if who.Role == review.Anonymous {
		return Receipt{}, fault.New(fault.Unauthenticated, "token-needed", "store.doubt-answer-token")
	}
	r, err := s.perform(ctx, who, in.Once, func(a *act) (Receipt, event, error) {
		var author int64
		var answered bool
		err := a.tx.QueryRow(ctx,
			`SELECT author, answer IS NOT NULL FROM doubts WHERE id = $1 AND board = $2 FOR NO KEY UPDATE`, in.Doubt,
			in.Board).Scan(&author, &answered)
		switch {
		case noRows(err):
			return Receipt{}, event{}, missing("doubt-unknown", "store.doubt-unknown", in.Board, in.Doubt)
		case err != nil:
			return Receipt{}, event{}, err
		case author != a.actor.ID && !a.actor.Role.AtLeast(review.Reviewer):
			return Receipt{}, event{}, fault.New(fault.NotAllowed, "role-needed", "store.doubt-role")
		case answered:
			return Receipt{}, event{}, fault.New(fault.Conflict, "doubt-answered", "store.doubt-answered", in.Doubt)
		}
		return s.answerDoubt(ctx, a, in)
	})
	return r, fail(err, "answer doubt %d", in.Doubt)
}

func (s *Store) answerDoubt(ctx context.Context, a *act, in DoubtAnswer) (Receipt, event, error) {
	fs := review.CheckText(in.Text, "/text")
	if in.Proposal != 0 {
		var there bool
		if err := a.tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM proposals WHERE id = $1 AND board = $2)`, in.Proposal,
			in.Board).Scan(&there); err != nil {
			return Receipt{}, event{}, err
		}
		if !there {
			fs = append(fs, invalid("/proposal", "store.doubt-proposal", in.Proposal, in.Board))
		}
	}
	if err := doubtful(fs); err != nil {
		return Receipt{}, event{}, err
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	_, err := a.tx.Exec(ctx,
		`UPDATE doubts SET answer = $2, proposal = nullif($3::bigint, 0), answered_by = $4, answered_at = $5 WHERE id = $1`,
		in.Doubt, in.Text, in.Proposal, a.actor.ID, a.at)
	return Receipt{Board: in.Board, Doubt: in.Doubt, Proposal: in.Proposal}, event{what: "doubt-answered",
		board: in.Board, proposal: in.Proposal,
		sentence: message.Of("event.doubt-answered", "{who}", in.Doubt, in.Board)}, err
}

const doubtColumns = `SELECT d.id, d.board, d.revision, coalesce(d.designator, ''), d.body, d.photographs, a.name, d.at,
	coalesce(d.answer, ''), coalesce(d.proposal, 0), coalesce(b.name, ''), d.answered_at
	FROM doubts d JOIN accounts a ON a.id = d.author LEFT JOIN accounts b ON b.id = d.answered_by`

func scanDoubt(row pgx.CollectableRow) (Doubt, error) {
	var d Doubt
	err := row.Scan(&d.ID, &d.Board, &d.Revision, &d.Designator, &d.Text, &d.Photographs, &d.Author, &d.At, &d.Answer,
		&d.Proposal, &d.AnsweredBy, &d.AnsweredAt)
	return d, err
}

// Doubts lists a board's doubts, newest first; only open ones where that is
// asked. NotFound board-unknown.
func (s *Store) Doubts(ctx context.Context, boardID string, open bool, p Page) (List[Doubt], error) {
	after, err := p.number(0)
	if err != nil {
		return List[Doubt]{}, err
	}
	rows, err := s.reads.Query(ctx,
		doubtColumns+` WHERE d.board = $1 AND (NOT $2 OR d.answer IS NULL) AND ($3::bigint = 0 OR d.id < $3)
		ORDER BY d.id DESC LIMIT $4`, boardID, open, after, p.limit()+1)
	if err != nil {
		return List[Doubt]{}, fail(err, "doubts about %s", boardID)
	}
	out, err := pgx.CollectRows(rows, scanDoubt)
	if err != nil {
		return List[Doubt]{}, fail(err, "doubts about %s", boardID)
	}
	if len(out) == 0 {
		if _, err := s.Revision(ctx, boardID, 0, ""); fault.Is(err, fault.NotFound) {
			return List[Doubt]{}, err
		}
	}
	return page(slices.Clip(out), p.limit(), func(d *Doubt) string { return strconv.FormatInt(d.ID, 10) }), nil
}

// OpenDoubts lists the doubts about every board that nobody answered yet, the
// oldest first.
func (s *Store) OpenDoubts(ctx context.Context, most int) ([]Doubt, error) {
	rows, err := s.reads.Query(ctx, doubtColumns+` WHERE d.answer IS NULL ORDER BY d.id LIMIT $1`, most)
	if err != nil {
		return nil, fail(err, "open doubts")
	}
	out, err := pgx.CollectRows(rows, scanDoubt)
	return out, fail(err, "open doubts")
}

// OpenDoubt gets a doubt about a board that nobody answered yet. NotFound
// doubt-unknown; Conflict doubt-answered.
func (s *Store) OpenDoubt(ctx context.Context, boardID string, id int64) (*Doubt, error) {
	rows, err := s.reads.Query(ctx, doubtColumns+` WHERE d.board = $1 AND d.id = $2`, boardID, id)
	if err != nil {
		return nil, fail(err, "doubt %d", id)
	}
	d, err := pgx.CollectExactlyOneRow(rows, scanDoubt)
	switch {
	case noRows(err):
		return nil, missing("doubt-unknown", "store.doubt-unknown", boardID, id)
	case err != nil:
		return nil, fail(err, "doubt %d", id)
	case d.AnsweredAt != nil:
		return nil, fault.New(fault.Conflict, "doubt-answered", "store.doubt-answered", id)
	}
	return &d, nil
}
