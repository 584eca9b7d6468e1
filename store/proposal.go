package store

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/review"
)

// Proposal is a submitted map with its story. Lists leave out Canonical, Map,
// Evidence and Reviews.
type Proposal struct {
	ID          int64
	Board       string
	Base        int // revision that it was made from; 0 for a new board
	State       review.State
	Author      string
	AuthorID    int64
	Summary     string
	SubmittedAt time.Time
	ChangedAt   time.Time // of the last act
	Version     int       // of its map, 1 …
	Digest      string    // of its map
	Title       string    // name of the board in its map
	Maker       string    // of the board's equipment, as released; empty for a new board
	Model       string    // likewise
	Revision    int       // that it became; 0 while it has not
	ClosedBy    string    // who released, declined or withdrew it
	Reason      string    // why, where that was said
	Newcomer    bool      // nothing of its author's was released yet
	Suspended   bool      // it is open, and its author's account is disabled: nothing can be done with it
	Canonical   []byte
	Map         *board.Map
	Evidence    []review.Evidence
	Reviews     []review.Review      // oldest first, marked as to which stand
	Hazards     []board.JudgedHazard // that its release was held to; nil before it
}

// Called names the board that a proposal is about, with its equipment where
// that is released.
func (p *Proposal) Called() string {
	switch {
	case p.Title == "":
		return p.Board
	case p.Maker == "":
		return p.Title
	}
	return board.Called(&board.Equipment{Maker: p.Maker, Model: p.Model}, p.Title)
}

// Detail is a proposal with what a reviewer wants to see beside it.
type Detail struct {
	Proposal
	BaseRevision *Revision            // nil for a new board
	Current      *Revision            // nil where nothing is released
	FromBase     *board.Difference    // nil for a new board
	FromCurrent  *board.Difference    // what a release today would change; nil for a new board, and where it can't be carried forward
	Forward      *board.Map           // what a release today would release; nil where it can't be carried forward
	Conflicts    []Conflict           // of carrying it forward today
	Findings     []finding.Finding    // of the check of its map: cautions and notes
	Standing     review.Standing      // what a release today needs
	Judged       []board.JudgedHazard // why it is hazardous
	Claims       []board.Claim        // what it says of each position that is new or changed
}

// Version is one of the maps that a proposal had.
type Version struct {
	Proposal  int64
	Version   int
	Digest    string
	Canonical []byte
	Map       *board.Map
	At        time.Time
}

// AnyOpen stands in a ProposalFilter for the states submitted and returned.
const AnyOpen review.State = "open"

// ProposalFilter says which proposals are wanted; what is empty does not matter.
type ProposalFilter struct {
	State  review.State // or AnyOpen
	Board  string
	Author string
	Page   Page
}

const proposalColumns = `p.id, p.board, p.base, p.state, a.name, p.author, p.summary, p.submitted_at, p.changed_at, p.version,
	encode(p.digest, 'hex'), p.title, coalesce(p.revision, 0), coalesce(c.name, ''), p.reason,
	p.state IN ('submitted', 'returned') AND a.disabled_at IS NOT NULL,
	NOT EXISTS (SELECT FROM proposals x WHERE x.author = p.author AND x.state = 'released'),
	coalesce(o.summary -> 'Equipment' ->> 'maker', ''), coalesce(o.summary -> 'Equipment' ->> 'model', '')`

const proposalTables = `proposals p JOIN accounts a ON a.id = p.author LEFT JOIN accounts c ON c.id = p.closed_by LEFT JOIN boards o ON o.id = p.board`

func scanProposal(row pgx.CollectableRow) (Proposal, error) {
	var p Proposal
	err := row.Scan(&p.ID, &p.Board, &p.Base, &p.State, &p.Author, &p.AuthorID, &p.Summary, &p.SubmittedAt,
		&p.ChangedAt, &p.Version,
		&p.Digest, &p.Title, &p.Revision, &p.ClosedBy, &p.Reason, &p.Suspended, &p.Newcomer, &p.Maker, &p.Model)
	return p, err
}

// Proposals lists proposals, newest first.
func (s *Store) Proposals(ctx context.Context, f ProposalFilter) (List[Proposal], error) {
	after, err := f.Page.number(0)
	if err != nil {
		return List[Proposal]{}, err
	}
	if f.Board, err = s.presentID(ctx, f.Board); err != nil {
		return List[Proposal]{}, err
	}
	rows, err := s.reads.Query(ctx, `SELECT `+proposalColumns+` FROM `+proposalTables+`
		WHERE ($1 = '' OR p.state = $1 OR $1 = 'open' AND p.state IN ('submitted', 'returned'))
		  AND NOT (p.state IN ('submitted', 'returned') AND a.disabled_at IS NOT NULL)
		  AND ($2 = '' OR p.board = $2) AND ($3 = '' OR a.name = $3) AND ($4::bigint = 0 OR p.id < $4)
		ORDER BY p.id DESC LIMIT $5`, string(f.State), f.Board, f.Author, after, f.Page.limit()+1)
	if err != nil {
		return List[Proposal]{}, fail(err, "list proposals")
	}
	out, err := pgx.CollectRows(rows, scanProposal)
	if err != nil {
		return List[Proposal]{}, fail(err, "list proposals")
	}
	return page(out, f.Page.limit(), func(p *Proposal) string { return strconv.FormatInt(p.ID, 10) }), nil
}

// Proposal gets a proposal whole: how it differs from its base and from the
// current revision, whether it would carry forward today, and what a release
// needs. NotFound proposal-unknown; Unlawful where it became a revision that
// the law wants out of use.
func (s *Store) Proposal(ctx context.Context, id int64) (*Detail, error) {
	p, err := s.proposal(ctx, s.reads, id)
	if err != nil {
		return nil, err
	}
	if err := proposalInUse(ctx, s.reads, id, true); err != nil {
		return nil, err
	}
	f, err := s.forward(ctx, s.reads, p)
	if err != nil {
		return nil, fmt.Errorf("proposal %d: %w", id, err)
	}
	d := &Detail{Proposal: *p, BaseRevision: f.base, Current: f.current, FromBase: f.fromBase,
		FromCurrent: f.fromCurrent,
		Forward:     f.m, Conflicts: f.conflicts, Findings: board.Check(p.Map), Standing: f.standing(p),
		Judged: f.hazards}
	d.Reviews = p.Reviews
	d.Claims = f.claims(p)
	return d, nil
}

// proposal reads a proposal with its map, evidence and reviews.
func (s *Store) proposal(ctx context.Context, q querier, id int64) (*Proposal, error) {
	rows, err := q.Query(ctx, `SELECT `+proposalColumns+` FROM `+proposalTables+` WHERE p.id = $1`, id)
	if err != nil {
		return nil, fail(err, "proposal %d", id)
	}
	p, err := pgx.CollectExactlyOneRow(rows, scanProposal)
	if noRows(err) {
		return nil, missing("proposal-unknown", "store.proposal-unknown", id)
	}
	if err != nil {
		return nil, fail(err, "proposal %d", id)
	}
	var evidence string
	var hazards *string
	err = q.QueryRow(ctx, `SELECT m.document, p.evidence::text, p.hazards::text FROM proposals p JOIN proposal_maps m ON m.proposal = p.id AND m.version = $2
		WHERE p.id = $1`, id, p.Version).Scan(&p.Canonical, &evidence, &hazards)
	if err != nil {
		return nil, fail(err, "map of proposal %d", id)
	}
	if p.Map, err = openMap(p.Canonical, p.Digest); err != nil {
		return nil, fmt.Errorf("map of proposal %d: %w", id, err)
	}
	if err := json.Unmarshal([]byte(evidence), &p.Evidence); err != nil {
		return nil, fmt.Errorf("evidence of proposal %d: %w", id, err)
	}
	if hazards != nil {
		p.Hazards = []board.JudgedHazard{}
		if err := json.Unmarshal([]byte(*hazards), &p.Hazards); err != nil {
			return nil, fmt.Errorf("hazards of proposal %d: %w", id, err)
		}
	}
	p.Reviews, err = reviews(ctx, q, id, p.Version)
	return &p, err
}

// stamp writes a moment as documents do.
func stamp(at time.Time) string { return at.UTC().Format(timeForm) }

// timeForm is RFC 3339 to the microsecond, which is what the database keeps.
const timeForm = "2006-01-02T15:04:05.000000Z"

// reviews reads the reviews of a proposal, oldest first and marked.
func reviews(ctx context.Context, q querier, id int64, version int) ([]review.Review, error) {
	rows, err := q.Query(ctx, `SELECT r.id, a.name, r.verdict, r.summary, r.remarks::text, r.version, r.at, r.seen::text,
			a.disabled_at IS NOT NULL OR a.role NOT IN ('reviewer', 'steward'), coalesce(w.name, ''), coalesce(o.reason, ''), coalesce(o.at, r.at)
		FROM reviews r JOIN accounts a ON a.id = r.reviewer
		LEFT JOIN objections_set_aside o ON o.review = r.id LEFT JOIN accounts w ON w.id = o.who
		WHERE r.proposal = $1 ORDER BY r.id`, id)
	if err != nil {
		return nil, fail(err, "reviews of proposal %d", id)
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (review.Review, error) {
		var r review.Review
		var remarks, seen string
		var at, aside time.Time
		var by review.SetAside
		if err := row.Scan(&r.ID, &r.Reviewer, &r.Verdict, &r.Summary, &remarks, &r.Version, &at, &seen, &r.Suspended,
			&by.By, &by.Reason, &aside); err != nil {
			return r, err
		}
		r.At = stamp(at)
		if by.By != "" {
			by.At, r.SetAside = stamp(aside), &by
		}
		return r, errors.Join(json.Unmarshal([]byte(remarks), &r.Remarks), json.Unmarshal([]byte(seen), &r.Seen))
	})
	if err != nil {
		return nil, fail(err, "reviews of proposal %d", id)
	}
	review.Mark(out, version)
	return out, threads(ctx, q, id, out)
}

// threads adds to the reviews of a proposal what was said to each.
func threads(ctx context.Context, q querier, id int64, to []review.Review) error {
	rows, err := q.Query(ctx, `SELECT n.review, a.name, n.body, n.at FROM review_answers n JOIN reviews r ON r.id = n.review
		JOIN accounts a ON a.id = n.author WHERE r.proposal = $1 ORDER BY n.id`, id)
	if err != nil {
		return fail(err, "answers in proposal %d", id)
	}
	var of int64
	var said review.Said
	var at time.Time
	_, err = pgx.ForEachRow(rows, []any{&of, &said.By, &said.Text, &at}, func() error {
		said.At = stamp(at)
		if i := slices.IndexFunc(to, func(r review.Review) bool { return r.ID == of }); i >= 0 {
			to[i].Answers = append(to[i].Answers, said)
		}
		return nil
	})
	return fail(err, "answers in proposal %d", id)
}

// ProposalMap gets one of the maps that a proposal had, the newest for version
// 0. NotFound proposal-unknown; Gone or Unlawful where it became a revision
// that was withdrawn.
func (s *Store) ProposalMap(ctx context.Context, id int64, version int) (*Version, error) {
	if err := proposalInUse(ctx, s.reads, id, false); err != nil {
		return nil, err
	}
	v := &Version{Proposal: id}
	err := s.reads.QueryRow(ctx, `SELECT version, encode(digest, 'hex'), document, at FROM proposal_maps
		WHERE proposal = $1 AND ($2 = 0 OR version = $2) ORDER BY version DESC LIMIT 1`, id, version).
		Scan(&v.Version, &v.Digest, &v.Canonical, &v.At)
	if noRows(err) {
		return nil, missing("proposal-unknown", "store.proposal-version-unknown", id)
	}
	if err != nil {
		return nil, fail(err, "map of proposal %d", id)
	}
	if v.Map, err = openMap(v.Canonical, v.Digest); err != nil {
		return nil, fmt.Errorf("map %d of proposal %d: %w", v.Version, id, err)
	}
	return v, nil
}

// lock locks a proposal for an act and reads it as it is then. The lock comes
// before the reading, and in a statement of its own, since a joined row would
// be one from before the wait.
func (s *Store) lock(ctx context.Context, a *act, id int64) (*Proposal, error) {
	if _, err := a.tx.Exec(ctx, `SELECT FROM proposals WHERE id = $1 FOR NO KEY UPDATE`, id); err != nil {
		return nil, err
	}
	if err := a.now(ctx); err != nil {
		return nil, err
	}
	return s.proposal(ctx, a.tx, id)
}

// judge lets through an act that its actor may do to the proposal as it is.
// ifMatch, where given, is the digest of the map that the caller has seen.
func judge(what review.Act, a *act, p *Proposal, ifMatch string) error {
	if err := review.Allowed(what, a.actor.Role, a.actor.ID == p.AuthorID, p.State); err != nil {
		return err
	}
	if p.Suspended {
		return fault.New(fault.Conflict, "proposal-suspended",
			"store.author-disabled", p.ID)
	}
	if ifMatch != "" && ifMatch != "*" && ifMatch != p.Digest {
		return fault.New(fault.Stale, "proposal-changed",
			"store.proposal-amended", p.ID, p.Version)
	}
	return nil
}

// wasRead refuses an act that does not say which map it is about.
func wasRead(ifMatch string) error {
	if ifMatch == "" || ifMatch == "*" {
		return fault.New(fault.Unconditional, "if-match-needed",
			"store.if-match-read")
	}
	return nil
}

// claims says what is new or changed: against the current revision, or the
// base where the proposal is closed.
func (f *forwarded) claims(p *Proposal) []board.Claim {
	switch {
	case !p.State.Open() && f.base != nil:
		return board.Claims(f.base.Map, p.Map, f.hazards)
	case f.m == nil && f.base != nil:
		return board.Claims(f.base.Map, p.Map, f.hazards)
	case f.m != nil && f.current != nil && p.State.Open():
		return board.Claims(f.current.Map, f.m, f.hazards)
	}
	return board.Claims(nil, p.Map, f.hazards)
}

// knows gives a test for the designators that a proposal has, before or after.
func knows(maps ...*board.Map) func(string) bool {
	known := map[string]bool{}
	for _, m := range maps {
		if m == nil {
			continue
		}
		for i := range m.Positions {
			known[m.Positions[i].Designator] = true
		}
		for i := range m.Variants {
			for _, c := range m.Variants[i].Changes {
				if c.Fit != nil {
					known[c.Fit.Designator] = true
				}
			}
		}
	}
	return func(d string) bool { return known[d] }
}
