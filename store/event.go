package store

import (
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/message"
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
	Account    string          // whom an account event is about
	Photograph string          // SHA-256
	Sentence   message.Message // the act, in the reader's language
	Why        string          // the reason that a steward gave; by Acts only
}

// EventKinds is what an event may say that happened.
var EventKinds = []string{
	"account-added", "account-disabled", "account-enabled", "account-joined", "amended", "board-moved", "declined",
	"doubt-answered", "doubt-raised",
	"invitation-ended", "invitation-made", "kit-kept", "name-erased", "objection-set-aside", "passkey-ended",
	"passkey-made", "photograph-erased",
	"photograph-kept", "photograph-withdrawn", "reason-erased", "record-kept", "record-withdrawn", "released",
	"review-answered", "reviewed", "revision-withdrawn",
	"role-changed", "sign-up-changed", "submitted", "token-ended", "token-made", "withdrawn",
}

// EventFilter says which events are wanted.
type EventFilter struct {
	Board    string   // of this board
	Proposal int64    // of this proposal
	Accounts bool     // tell what those about accounts are about; else only that there was one
	Things   bool     // only those about boards, kits and photographs
	Acts     bool     // only acts of stewards and of the command line, with why
	Newest   bool     // newest first, else oldest first
	What     []string // only these kinds; all where there is none
	After    int64    // only those with a higher number
	Watched  int64    // only those of boards that this account watches
	Page     Page
}

// EventList is one page of events.
type EventList struct {
	List[Event]
	Last int64 // number to go on after, whether or not there are more of the kind that was asked for
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
	sentence   message.Message // with places for whatever somebody wrote or is called, see Event.fill
	why        string          // the reason, kept beside the event
}

// source is what the places of an event's sentence are filled in from.
type source struct{ Author, Summary, Reason, Review, Title string }

// fill puts names and texts into the places of the sentence. An event is for
// ever and a name or a text may have to go, so none is part of it.
func (e *Event) fill(s source) {
	who := message.Of("event.operator")
	if e.Who != "" {
		who = message.Text(e.Who)
	}
	e.Sentence = e.Sentence.Filled(map[string]message.Message{"{who}": who, "{account}": message.Text(e.Account),
		"{author}":  message.Text(s.Author),
		"{summary}": ended(s.Summary), "{reason}": ended(s.Reason), "{review}": ended(s.Review),
		"{title}": ended(s.Title)})
}

// ended ends a sentence with a text, or without one.
func ended(text string) message.Message {
	if text == "" {
		return message.Of("event.end")
	}
	return message.Of("event.end-with", text)
}

// veil leaves of an event about an account that it happened, so that the
// numbers of a public log have no hole.
func (e *Event) veil() {
	e.Who, e.Account, e.Sentence = "", "", message.Of("event.veiled")
}

// eventLock is the advisory lock under which events are numbered; the number
// is arbitrary.
const eventLock = 4_172_026_002

// record writes an event with the next number. It takes the log's lock, which
// is held until commit: it must be the last lock of its transaction.
func record(ctx context.Context, tx pgx.Tx, e event) (id int64, err error) {
	b := new(pgx.Batch)
	b.Queue(takeEventLock, eventLock)
	if err := queueEvent(b, e, &id); err != nil {
		return 0, err
	}
	if err := tx.SendBatch(ctx, b).Close(); err != nil || inLog[e.what] == "" {
		return id, err
	}
	if err := catchUp(ctx, tx); err != nil {
		return id, err
	}
	return id, queueHooks(ctx, tx, e, id)
}

const takeEventLock = `SELECT pg_advisory_xact_lock($1)`

// lockEvents takes the log's lock.
func lockEvents(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, takeEventLock, eventLock)
	return err
}

// insertEvent writes an event under the log's lock.
func insertEvent(ctx context.Context, tx pgx.Tx, e event) (id int64, err error) {
	b := new(pgx.Batch)
	if err := queueEvent(b, e, &id); err != nil {
		return 0, err
	}
	return id, tx.SendBatch(ctx, b).Close()
}

// queueEvent adds the statements that write an event, whose number goes to id.
func queueEvent(b *pgx.Batch, e event, id *int64) error {
	said, err := json.Marshal(e.sentence, message.Stored)
	if err != nil {
		return err
	}
	var at *time.Time
	if !e.at.IsZero() {
		at = &e.at
	}
	b.Queue(`
		WITH told AS (
			INSERT INTO events (id, at, who, what, board, proposal, version, revision, kit, account, photograph, sentence, said)
			VALUES ((SELECT coalesce(max(id), 0) + 1 FROM events), coalesce($1::timestamptz, clock_timestamp()), nullif($2::bigint, 0), $3,
			        nullif($4, ''), nullif($5::bigint, 0), nullif($6::int, 0), nullif($7::int, 0), nullif($8, ''), nullif($9::bigint, 0), $10, $11, $12::jsonb)
			RETURNING id),
		why AS (INSERT INTO event_reasons (event, reason) SELECT id, $13 FROM told WHERE $13 <> '')
		SELECT id, pg_notify($14, $15) FROM told`,
		at, e.who, e.what, e.board, e.proposal, e.version, e.revision, e.kit, e.account, e.photograph,
		e.sentence.String(), string(said),
		e.why, channel, noticeEvent+e.board).QueryRow(func(row pgx.Row) error { return row.Scan(id, nil) })
	return nil
}

// lastEvent is the number of the newest event, 0 for none.
func lastEvent(ctx context.Context, q querier) (id int64, err error) {
	return id, q.QueryRow(ctx, `SELECT coalesce(max(id), 0) FROM events`).Scan(&id)
}

// insertEvents writes events of releases under the log's lock, all at once, and
// gives the number of the first; the others follow it.
func insertEvents(ctx context.Context, tx pgx.Tx, list []event) (first int64, err error) {
	if len(list) == 0 {
		return 0, nil
	}
	before, err := lastEvent(ctx, tx)
	if err != nil {
		return 0, err
	}
	rows, told := make([][]any, len(list)), make([]string, len(list))
	for i, e := range list {
		said, err := json.Marshal(e.sentence, message.Stored)
		if err != nil {
			return 0, err
		}
		var proposal *int64
		var version *int
		if e.proposal > 0 {
			proposal, version = &e.proposal, &e.version
		}
		rows[i] = []any{before + 1 + int64(i), e.at, e.who, e.what, e.board, proposal, version, e.revision,
			e.sentence.String(), said}
		told[i] = noticeEvent + e.board
	}
	_, err = tx.CopyFrom(ctx, pgx.Identifier{"events"},
		[]string{"id", "at", "who", "what", "board", "proposal", "version", "revision", "sentence", "said"},
		pgx.CopyFromRows(rows))
	if err != nil {
		return 0, err
	}
	_, err = tx.Exec(ctx, `SELECT pg_notify($1, t) FROM (SELECT DISTINCT unnest($2::text[]) AS t) AS told`, channel,
		told)
	return before + 1, err
}

// Events reads the log. Whoever has read up to event n has missed none before it.
func (s *Store) Events(ctx context.Context, f EventFilter) (EventList, error) {
	after, err := f.Page.number(0)
	if err != nil {
		return EventList{}, err
	}
	limit := f.Page.limit()
	if f.What == nil {
		f.What = []string{}
	}
	sql := `(` + eventColumns + `
		WHERE ($1 = '' OR e.board IN (SELECT id FROM boards WHERE id = $1 OR moved_to = $1)) AND ($2::bigint = 0 OR e.proposal = $2)
		  AND (NOT $3 OR k.steward AND NOT (e.what = 'token-made' AND e.who = e.account) OR e.who IS NULL OR y.event IS NOT NULL)
		  AND (NOT $6 OR e.account IS NULL) AND (cardinality($7::text[]) = 0 OR e.what = ANY ($7)) AND e.id > $8
		  AND ($9::bigint = 0 OR e.board IN ` + watched("$9") + `)`
	if f.Newest {
		sql += ` AND ($4::bigint = 0 OR e.id < $4) ORDER BY e.id DESC LIMIT $5)`
	} else {
		sql += ` AND e.id > $4::bigint ORDER BY e.id LIMIT $5)`
	}
	// The row behind them is where the log ended when they were read, in the same look at it.
	sql += ` UNION ALL SELECT coalesce(max(id), 0), now(), '', '', '', 0, 0, 0, '', '', '', '""', '', '', '', '', '', '' FROM events`
	rows, err := s.replica.Query(ctx, sql, f.Board, f.Proposal, f.Acts, after, limit+1, f.Things, f.What, f.After,
		f.Watched)
	if err != nil {
		return EventList{}, fail(err, "read events")
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Event, error) { return scanEvent(row, f) })
	if err != nil {
		return EventList{}, fail(err, "read events")
	}
	end := slices.IndexFunc(out, func(e Event) bool { return e.What == "" })
	l := EventList{Last: max(out[end].ID, f.After)}
	l.List = page(slices.Delete(out, end, end+1), limit, func(e *Event) string { return strconv.FormatInt(e.ID, 10) })
	if l.Next != "" && !f.Newest {
		l.Last = l.Items[len(l.Items)-1].ID
	}
	return l, nil
}

const eventColumns = `
	SELECT e.id, e.at, coalesce(w.name, ''), e.what, coalesce(e.board, ''), coalesce(e.proposal, 0), coalesce(e.version, 0),
	       coalesce(e.revision, 0), coalesce(e.kit, ''), coalesce(a.name, ''), coalesce(encode(e.photograph, 'hex'), ''), coalesce(e.said::text, to_json(e.sentence)::text),
	       coalesce(y.reason, ''), coalesce(o.name, ''), coalesce(p.summary, ''), coalesce(p.reason, ''),
	       coalesce((SELECT r.summary FROM reviews r WHERE e.what = 'reviewed' AND r.proposal = e.proposal AND r.at = e.at LIMIT 1), ''),
	       coalesce((SELECT v.title FROM kit_versions v WHERE v.kit = e.kit AND v.version = e.version), '')
	FROM events e JOIN event_kinds k ON k.what = e.what LEFT JOIN accounts w ON w.id = e.who LEFT JOIN accounts a ON a.id = e.account
	     LEFT JOIN proposals p ON p.id = e.proposal LEFT JOIN accounts o ON o.id = p.author LEFT JOIN event_reasons y ON y.event = e.id`

func scanEvent(row pgx.CollectableRow, f EventFilter) (Event, error) {
	var e Event
	var s source
	var said string
	err := row.Scan(&e.ID, &e.At, &e.Who, &e.What, &e.Board, &e.Proposal, &e.Version, &e.Revision, &e.Kit, &e.Account,
		&e.Photograph,
		&said, &e.Why, &s.Author, &s.Summary, &s.Reason, &s.Review, &s.Title)
	if err != nil {
		return e, err
	}
	if err := json.Unmarshal([]byte(said), &e.Sentence); err != nil {
		return e, fmt.Errorf("sentence of event %d: %w", e.ID, err)
	}
	e.fill(s)
	if !f.Acts {
		e.Why = ""
	}
	if e.Account != "" && !f.Accounts && !f.Acts {
		e.veil()
	}
	return e, nil
}

// LastEvents tells, for each of some proposals, the number of the newest event
// that may have changed how it stands: one of it, of its board, or of an account.
func (s *Store) LastEvents(ctx context.Context, list []Proposal) (map[int64]int64, error) {
	ids, boards := make([]int64, len(list)), make([]string, len(list))
	for i := range list {
		ids[i], boards[i] = list[i].ID, list[i].Board
	}
	rows, err := s.reads.Query(ctx, `
		SELECT p.id, greatest((SELECT coalesce(max(id), 0) FROM events WHERE proposal = p.id), (SELECT coalesce(max(id), 0) FROM events WHERE board = p.board),
		       (SELECT coalesce(max(id), 0) FROM events WHERE account IS NOT NULL))
		FROM unnest($1::bigint[], $2::text[]) AS p (id, board)`, ids, boards)
	if err != nil {
		return nil, fail(err, "events of proposals")
	}
	last := make(map[int64]int64, len(list))
	var id, event int64
	_, err = pgx.ForEachRow(rows, []any{&id, &event}, func() error { last[id] = event; return nil })
	return last, fail(err, "events of proposals")
}
