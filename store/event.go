package store

import (
	"context"
	"strconv"
	"time"

	"github.com/jackc/pgx/v5"
)

// Event is one act as the log has it.
type Event struct {
	ID         int64 // 1, 2, 3 … without a gap, in the order of commits
	At         time.Time
	Who        string // account; empty for the operator at the command line
	What       string // submitted amended reviewed released declined withdrawn kit-kept photograph-kept account-added token-made account-disabled role-changed
	Board      string
	Proposal   int64
	Version    int // of the proposal's map, or of the kit
	Revision   int
	Kit        string
	Account    string // whom an account event is about
	Photograph string // SHA-256
	Sentence   string // the act in plain words
}

// EventFilter says which events are wanted.
type EventFilter struct {
	Board    string // of this board
	Proposal int64  // of this proposal
	Accounts bool   // those about accounts too
	Newest   bool   // newest first, else oldest first
	Page     Page
}

// event is what an act adds to the log; who and at are the act's.
type event struct {
	at         time.Time
	who        int64
	what       string
	board      string
	proposal   int64
	version    int
	revision   int
	kit        string
	account    int64
	photograph []byte
	sentence   string
}

// eventLock is the advisory lock under which events are numbered; the number
// is arbitrary.
const eventLock = 4_172_026_002

// record writes an event with the next number. It takes the log's lock, which
// is held until commit: it must be the last lock of its transaction.
func record(ctx context.Context, tx pgx.Tx, e event) (int64, error) {
	if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, eventLock); err != nil {
		return 0, err
	}
	if e.at.IsZero() {
		if err := tx.QueryRow(ctx, `SELECT clock_timestamp()`).Scan(&e.at); err != nil {
			return 0, err
		}
	}
	var id int64
	err := tx.QueryRow(ctx, `
		INSERT INTO events (id, at, who, what, board, proposal, version, revision, kit, account, photograph, sentence)
		VALUES ((SELECT coalesce(max(id), 0) + 1 FROM events), $1, nullif($2::bigint, 0), $3, nullif($4, ''), nullif($5::bigint, 0),
		        nullif($6::int, 0), nullif($7::int, 0), nullif($8, ''), nullif($9::bigint, 0), $10, $11)
		RETURNING id`,
		e.at, e.who, e.what, e.board, e.proposal, e.version, e.revision, e.kit, e.account, e.photograph, e.sentence).Scan(&id)
	return id, err
}

// Events reads the log. Whoever has read up to event n has missed none before it.
func (s *Store) Events(ctx context.Context, f EventFilter) (List[Event], error) {
	after, err := f.Page.number(0)
	if err != nil {
		return List[Event]{}, err
	}
	limit := f.Page.limit()
	sql := `
		SELECT e.id, e.at, coalesce(w.name, '') AS who, e.what, coalesce(e.board, '') AS board, coalesce(e.proposal, 0) AS proposal,
		       coalesce(e.version, 0) AS version, coalesce(e.revision, 0) AS revision, coalesce(e.kit, '') AS kit,
		       coalesce(a.name, '') AS account, coalesce(encode(e.photograph, 'hex'), '') AS photograph, e.sentence
		FROM events e LEFT JOIN accounts w ON w.id = e.who LEFT JOIN accounts a ON a.id = e.account
		WHERE ($1 = '' OR e.board = $1) AND ($2::bigint = 0 OR e.proposal = $2) AND ($3 OR e.account IS NULL)`
	if f.Newest {
		sql += ` AND ($4::bigint = 0 OR e.id < $4) ORDER BY e.id DESC LIMIT $5`
	} else {
		sql += ` AND e.id > $4::bigint ORDER BY e.id LIMIT $5`
	}
	rows, err := s.replica.Query(ctx, sql, f.Board, f.Proposal, f.Accounts, after, limit+1)
	if err != nil {
		return List[Event]{}, fail(err, "read events")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByName[Event])
	if err != nil {
		return List[Event]{}, fail(err, "read events")
	}
	return page(out, limit, func(e *Event) string { return strconv.FormatInt(e.ID, 10) }), nil
}
