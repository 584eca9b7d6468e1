package store

import (
	"context"
	"encoding/hex"
	"fmt"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/review"
	"boardlore/domain/transparency"
)

// Revision is a released map with how it came about. It is shared with the
// cache: read only.
type Revision struct {
	Board      string
	Number     int
	Variant    string // empty for the map as it was released
	Digest     string // of Canonical
	Canonical  []byte // RFC 8785 form of Map
	Map        *board.Map
	Proposal   int64
	Author     string
	ReleasedBy string
	ReleasedAt time.Time
	Summary    string
	Evidence   []review.Evidence
	Withdrawn  *Withdrawal // nil while it is in use
}

// Revision gets a released map, the current one for n = 0, as the variant has
// it where one is named. NotFound board-unknown, revision-unknown or
// variant-not-found; Gone or Unlawful for one that was withdrawn, and where
// none is left in use.
func (s *Store) Revision(ctx context.Context, boardID string, n int, variant string) (*Revision, error) {
	named := n != 0
	if !named {
		var err error
		if n, err = s.currentOf(ctx, boardID); err != nil {
			return nil, fail(err, "current revision of %s", boardID)
		}
		if n == 0 {
			return nil, s.noBoard(ctx, boardID)
		}
	}
	k := cacheKey{boardID, n, variant}
	if r, ok := s.cache.get(k); ok && (!named || s.hearing.well()) {
		return s.inUse(ctx, r)
	}
	v, err, _ := s.flights.Do(fmt.Sprintf("%s@%d@%s@%d", boardID, n, variant, s.cache.round()), func() (any, error) {
		load, cancel := context.WithTimeout(context.WithoutCancel(ctx), loadTime)
		defer cancel()
		return s.load(load, s.reads, k)
	})
	if err != nil {
		return nil, err
	}
	return s.inUse(ctx, v.(*Revision))
}

// inUse refuses a revision that was withdrawn, and says which is current.
func (s *Store) inUse(ctx context.Context, r *Revision) (*Revision, error) {
	if r.Withdrawn == nil {
		return r, nil
	}
	current, err := s.currentOf(ctx, r.Board)
	if err != nil {
		return nil, fail(err, "current revision of %s", r.Board)
	}
	return nil, goneRevision(*r.Withdrawn, r.Board, r.Number, current)
}

// Before is the newest revision in use that is older than one of a board; 0
// for none.
func (s *Store) Before(ctx context.Context, boardID string, number int) (n int, err error) {
	err = s.reads.QueryRow(ctx, `SELECT coalesce(max(number), 0) FROM revisions r WHERE board = $1 AND number < $2
		AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number)`, boardID,
		number).Scan(&n)
	return n, fail(err, "revision before %d of %s", number, boardID)
}

// RevisionOf gets the released map of a digest, the newest revision that is in
// use where several have it. NotFound map-unknown; Gone or Unlawful where all of
// them were withdrawn.
func (s *Store) RevisionOf(ctx context.Context, digest string) (*Revision, error) {
	var id string
	var n int
	err := missing("map-unknown", "store.digest-unknown", digest)
	if !review.IsSHA256(digest) {
		return nil, err
	}
	asked := s.reads.QueryRow(ctx, `SELECT r.board, r.number FROM revisions r WHERE r.digest = decode($1, 'hex')
		ORDER BY EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number), r.released_at DESC LIMIT 1`, digest).Scan(&id, &n)
	if noRows(asked) {
		return nil, err
	}
	if asked != nil {
		return nil, fail(asked, "map %s", digest)
	}
	return s.Revision(ctx, id, n, "")
}

// currentNumbers asks for the current revision numbers of boards.
func (s *Store) currentNumbers(ctx context.Context, boards []string) (map[string]int, error) {
	rows, err := s.reads.Query(ctx, `SELECT id, current FROM boards WHERE id = ANY ($1)`, boards)
	if err != nil {
		return nil, err
	}
	found := make(map[string]int, len(boards))
	var id string
	var n int
	_, err = pgx.ForEachRow(rows, []any{&id, &n}, func() error {
		found[id] = n
		return nil
	})
	return found, err
}

// revision gets a revision within an act: from the cache, or over the act's
// own connection, since waiting for another one while holding locks could wait
// for ever.
func (s *Store) revision(ctx context.Context, q querier, k cacheKey) (*Revision, error) {
	if r, ok := s.cache.get(k); ok {
		return r, nil
	}
	return s.load(ctx, q, k)
}

// load reads a revision and keeps it in the cache.
func (s *Store) load(ctx context.Context, q querier, k cacheKey) (*Revision, error) {
	round := s.cache.round()
	r, err := s.loadBase(ctx, q, k)
	if err != nil {
		return nil, err
	}
	if k.variant != "" {
		if r, err = r.effective(k.variant); err != nil {
			return nil, err
		}
	}
	s.cache.put(k, r, round)
	return r, nil
}

func (s *Store) loadBase(ctx context.Context, q querier, k cacheKey) (*Revision, error) {
	base := cacheKey{k.board, k.number, ""}
	if k.variant != "" && s.hearing.well() {
		if r, ok := s.cache.get(base); ok {
			return r, nil
		}
	}
	r := &Revision{Board: k.board, Number: k.number}
	var evidence string
	err := q.QueryRow(ctx, `
		SELECT encode(r.digest, 'hex'), r.document, r.proposal, a.name, b.name, r.released_at, p.summary, p.evidence::text
		FROM revisions r JOIN proposals p ON p.id = r.proposal JOIN accounts a ON a.id = p.author JOIN accounts b ON b.id = r.released_by
		WHERE r.board = $1 AND r.number = $2`, k.board, k.number).
		Scan(&r.Digest, &r.Canonical, &r.Proposal, &r.Author, &r.ReleasedBy, &r.ReleasedAt, &r.Summary, &evidence)
	if noRows(err) {
		return nil, noRevision(ctx, q, k)
	}
	if err != nil {
		return nil, fail(err, "revision %d of %s", k.number, k.board)
	}
	if r.Map, err = openMap(r.Canonical, r.Digest); err != nil {
		return nil, fmt.Errorf("revision %d of %s: %w", k.number, k.board, err)
	}
	if err := json.Unmarshal([]byte(evidence), &r.Evidence); err != nil {
		return nil, fmt.Errorf("evidence of revision %d of %s: %w", k.number, k.board, err)
	}
	withdrawn, err := withdrawalsOf(ctx, q, k.board)
	if err != nil {
		return nil, fail(err, "revision %d of %s", k.number, k.board)
	}
	r.Withdrawn = withdrawn[k.number]
	return r, nil
}

// openMap reads a stored map, which has to be the one that was stored.
func openMap(canonical []byte, digest string) (*board.Map, error) {
	if board.Digest(canonical) != digest {
		return nil, ErrDamaged
	}
	m := new(board.Map)
	if err := json.Unmarshal(canonical, m); err != nil {
		return nil, fmt.Errorf("stored map: %w", err)
	}
	return m, nil
}

// effective is the revision as a variant has it.
func (r *Revision) effective(variant string) (*Revision, error) {
	m, err := r.Map.Effective(variant)
	if err != nil {
		return nil, err
	}
	e := *r
	m.Variant, m.Of = variant, r.Digest
	e.Variant, e.Map = variant, m
	if e.Canonical, err = m.Canonical(); err != nil {
		return nil, err
	}
	e.Digest = board.Digest(e.Canonical)
	return &e, nil
}

// noRevision says what there is instead.
func noRevision(ctx context.Context, q querier, k cacheKey) error {
	if err := withdrawnBefore(ctx, q, k); err != nil {
		return err
	}
	var current int
	err := q.QueryRow(ctx, `SELECT current FROM boards WHERE id = $1`, k.board).Scan(&current)
	switch {
	case err == nil:
		current, err = lastRevision(ctx, q, k.board)
	}
	switch {
	case noRows(err) || err == nil && current == 0:
		return missing("board-unknown", "store.board-unreleased-submit", k.board)
	case err != nil:
		return fail(err, "revision %d of %s", k.number, k.board)
	}
	return missing("revision-unknown", "store.revision-unknown", k.board, k.number, current)
}

// withdrawnBefore refuses a revision of which a mirror has the withdrawal in its
// log and never had the map, nil for any other.
func withdrawnBefore(ctx context.Context, q querier, k cacheKey) error {
	var entry []byte
	var w Withdrawal
	var current int
	err := q.QueryRow(ctx, `SELECT l.entry, e.at, b.current FROM log_entries l JOIN events e ON e.id = l.event JOIN boards b ON b.id = l.board
		WHERE l.board = $1 AND l.number = $2 AND l.act = $3 ORDER BY l.index DESC LIMIT 1`, k.board, k.number,
		transparency.Withdrawal).Scan(&entry, &w.At, &current)
	if noRows(err) {
		return nil
	}
	if err != nil {
		return fail(err, "withdrawal of revision %d of %s", k.number, k.board)
	}
	e, err := transparency.ReadEntry(entry)
	if err != nil {
		return fail(err, "withdrawal of revision %d of %s", k.number, k.board)
	}
	w.Kind = e.Kind
	return goneRevision(w, k.board, k.number, current)
}

// noBoard says that a board has nothing released, and what waits for it; or
// that all of it was withdrawn.
func (s *Store) noBoard(ctx context.Context, id string) error {
	if err := noneInUse(ctx, s.reads, id); err != nil {
		return err
	}
	rows, err := s.reads.Query(ctx, `SELECT id FROM proposals p WHERE board = $1 AND `+waiting+` ORDER BY id LIMIT 10`, id)
	if err != nil {
		return fail(err, "proposals for %s", id)
	}
	open, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	if err != nil {
		return fail(err, "proposals for %s", id)
	}
	if len(open) == 0 {
		return missing("board-unknown", "store.board-unknown", id)
	}
	names := make([]string, len(open))
	for i, p := range open {
		names[i] = strconv.FormatInt(p, 10)
	}
	e := fault.New(fault.NotFound, "board-unknown",
		"store.board-waiting", id, review.List(names))
	e.Data = open
	return e
}

// Revisions lists a board's revisions, newest first, without their documents
// and evidence. NotFound board-unknown.
func (s *Store) Revisions(ctx context.Context, boardID string, p Page) (List[Revision], error) {
	after, err := p.number(0)
	if err != nil {
		return List[Revision]{}, err
	}
	rows, err := s.reads.Query(ctx, `
		SELECT r.number, r.digest, r.proposal, a.name, b.name, r.released_at, p.summary
		FROM revisions r JOIN proposals p ON p.id = r.proposal JOIN accounts a ON a.id = p.author JOIN accounts b ON b.id = r.released_by
		WHERE r.board = $1 AND ($2::bigint = 0 OR r.number < $2) ORDER BY r.number DESC LIMIT $3`, boardID, after,
		p.limit()+1)
	if err != nil {
		return List[Revision]{}, fail(err, "revisions of %s", boardID)
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Revision, error) {
		r := Revision{Board: boardID}
		var digest []byte
		err := row.Scan(&r.Number, &digest, &r.Proposal, &r.Author, &r.ReleasedBy, &r.ReleasedAt, &r.Summary)
		r.Digest = hex.EncodeToString(digest)
		return r, err
	})
	if err != nil {
		return List[Revision]{}, fail(err, "revisions of %s", boardID)
	}
	if len(out) == 0 && p.After == "" {
		return List[Revision]{}, s.noBoard(ctx, boardID)
	}
	withdrawn, err := withdrawalsOf(ctx, s.reads, boardID)
	if err != nil {
		return List[Revision]{}, fail(err, "revisions of %s", boardID)
	}
	for i := range out {
		out[i].Withdrawn = withdrawn[out[i].Number]
	}
	return page(out, p.limit(), func(r *Revision) string { return strconv.Itoa(r.Number) }), nil
}
