package store

import (
	"context"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	serviced "boardlore/domain/record"
	"boardlore/domain/review"
	"boardlore/schema"
)

// Record is a kept record. Lists leave out Record and Canonical.
type Record struct {
	ID         int64
	Board      string
	Revision   int
	Build      string // serviced.Base or a variant
	Author     string
	AuthorID   int64
	Unit       string // the author's own mark: for nobody else
	ServicedOn time.Time
	Outcome    string
	Positions  int
	Failed     int // of the positions
	KeptAt     time.Time
	Record     *serviced.Record
}

// RecordFilter says which records are wanted; what is empty does not matter.
type RecordFilter struct {
	Board  string
	Build  string // serviced.Base or a variant
	Author int64  // number of an account
	Whole  bool   // with Record
	Page   Page
}

// KeepRecord files a record of a serviced unit. today is the day by which a
// date is in the future.
//
// Refusals: Unauthenticated token-needed; TooLarge document-too-large;
// Malformed json-malformed; NotFound board-unknown; Invalid record-refused,
// with every fault, or idempotency-key-reused.
func (s *Store) KeepRecord(ctx context.Context, who Actor, boardID string, doc []byte, today time.Time,
	once Once) (*Record, error) {
	if who.Role == review.Anonymous {
		return nil, fault.New(fault.Unauthenticated, "token-needed", "store.record-token")
	}
	if len(doc) > serviced.MaxBytes {
		return nil, fault.New(fault.TooLarge, "document-too-large", "store.record-large", len(doc), serviced.MaxBytes)
	}
	if err := s.Room(ctx, len(doc)); err != nil {
		return nil, err
	}
	r, err := s.perform(ctx, who, once, func(a *act) (Receipt, event, error) {
		return s.keepRecord(ctx, a, boardID, doc,
			today)
	})
	if err != nil {
		return nil, fail(err, "record of %s", boardID)
	}
	kept, err := s.record(ctx, s.reads, r.Record)
	return kept, unshown(err)
}

func (s *Store) keepRecord(ctx context.Context, a *act, boardID string, doc []byte, today time.Time) (Receipt, event,
	error) {
	r, fs := schema.ReadRecord(doc)
	if r == nil {
		return Receipt{}, event{}, refusedRecord(fs)
	}
	f, err := s.recordFacts(ctx, a, boardID, r, today)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if fs = append(fs, r.Judge(f)...); finding.Worst(fs) == finding.Stop {
		return Receipt{}, event{}, refusedRecord(fs)
	}
	if err := countAct(ctx, a, boardID); err != nil {
		return Receipt{}, event{}, err
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	canonical, err := canonicalRecord(r)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if err := spend(ctx, a, recordsADay, len(canonical)); err != nil {
		return Receipt{}, event{}, err
	}
	id, err := insertRecord(ctx, a, filed{Record: r, board: boardID, canonical: canonical}, f.Map)
	if err != nil {
		return Receipt{}, event{}, err
	}
	return Receipt{Record: id, Board: boardID, Revision: r.Revision},
		event{what: "record-kept", board: boardID, sentence: message.Of("event.record-kept", id, boardID)}, nil
}

func refusedRecord(fs []finding.Finding) error {
	return refusedDocument(fs, "record-refused", "store.record-refused")
}

// recordFacts gathers what a record is judged by: the map that it names, or
// the nearest there is, so that every fault can be told.
func (s *Store) recordFacts(ctx context.Context, a *act, boardID string, r *serviced.Record,
	today time.Time) (serviced.Facts, error) {
	f := serviced.Facts{Board: boardID, Today: today.UTC().Format(time.DateOnly)}
	var current int
	err := a.tx.QueryRow(ctx,
		`SELECT current, coalesce((SELECT max(number) FROM revisions WHERE board = $1), 0) FROM boards WHERE id = $1`,
		boardID).Scan(&current, &f.Newest)
	if noRows(err) || err == nil && f.Newest == 0 {
		return f, s.noBoard(ctx, boardID)
	}
	if err != nil {
		return f, err
	}
	f.Revision = r.Revision >= 1 && r.Revision <= f.Newest
	number := r.Revision
	if !f.Revision {
		number = max(current, 1)
	}
	variant := r.Variant
	if variant == serviced.Base {
		variant = ""
	}
	rev, err := s.revision(ctx, a.tx, cacheKey{boardID, number, variant})
	f.Variant = err == nil
	if variant != "" && fault.Is(err, fault.NotFound) {
		rev, err = s.revision(ctx, a.tx, cacheKey{boardID, number, ""})
	}
	if err != nil {
		return f, err
	}
	f.Map = rev.Map
	return f, s.named(ctx, a, r, &f)
}

// named looks for the photographs and the kit that a record names, and has the
// photographs kept from now on.
func (s *Store) named(ctx context.Context, a *act, r *serviced.Record, f *serviced.Facts) error {
	kept := map[string]bool{}
	for _, sum := range r.Photographs {
		if !review.IsSHA256(sum) {
			continue
		}
		there, err := namePhotograph(ctx, a.tx, sum)
		if err != nil {
			return err
		}
		kept[sum] = there
	}
	kit := false
	if r.Kit != nil {
		if err := a.tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM kits WHERE id = $1)`,
			r.Kit.Kit).Scan(&kit); err != nil {
			return err
		}
	}
	f.Photograph = func(sum string) bool { return kept[sum] }
	f.Kit = func(string) bool { return kit }
	return nil
}

// countAct counts an act on a board's records, and makes the next one wait for
// its end.
func countAct(ctx context.Context, a *act, boardID string) error {
	_, err := a.tx.Exec(ctx, `INSERT INTO record_acts (board, acts) SELECT coalesce(moved_to, id), 1 FROM boards WHERE id = $1
		ON CONFLICT ON CONSTRAINT record_acts_pkey DO UPDATE SET acts = record_acts.acts + 1`, boardID)
	return err
}

// filed is a judged record on its way in.
type filed struct {
	*serviced.Record
	board     string // that it stands under, which the document may name by an old ID
	canonical []byte
	hashed    bool // its unit is the hash that another registry made of the mark
}

// insertRecord writes a record and what is counted of it.
func insertRecord(ctx context.Context, a *act, r filed, m *board.Map) (int64, error) {
	var unit, id int64
	err := a.tx.QueryRow(ctx, `INSERT INTO units (board, account, mark, hashed) VALUES ($1, $2, $3, $4)
		ON CONFLICT ON CONSTRAINT units_mark_key DO UPDATE SET mark = EXCLUDED.mark RETURNING id`, r.board, a.actor.ID,
		column(r.Unit), r.hashed).Scan(&unit)
	if err != nil {
		return 0, err
	}
	words := tellings(r.Record, m)
	err = a.tx.QueryRow(ctx, `INSERT INTO records (board, revision, build, unit, account, serviced_on, outcome, positions, failed, digest, document, kept_at)
		VALUES ($1, $2, $3, $4, $5, $6::date, $7, $8, $9, decode($10, 'hex'), $11, $12) RETURNING id`,
		r.board, r.Revision, r.Build(), unit, a.actor.ID, r.ServicedOn, r.Outcome, len(r.Positions), words.failures(),
		board.Digest(r.canonical), r.canonical, a.at).Scan(&id)
	if err != nil {
		return 0, err
	}
	_, err = a.tx.Exec(ctx, `INSERT INTO record_positions (record, designator, found, failed, mapped, other)
		SELECT $1, d, f, b, m, nullif(o, '') FROM unnest($2::text[], $3::text[], $4::bool[], $5::bool[], $6::text[]) AS t (d, f, b, m, o)`,
		id, words.designators, words.found, words.failed, words.mapped, words.other)
	if err != nil {
		return 0, err
	}
	if err := insertSymptoms(ctx, a.tx, id, r.Symptoms); err != nil {
		return 0, err
	}
	if k := r.Kit; k != nil {
		if _, err := a.tx.Exec(ctx,
			`INSERT INTO record_kits (record, kit, left_over, missing) SELECT $1, id, $3, $4 FROM kits WHERE id = $2`,
			id, k.Kit, append([]int{}, k.LeftOver...), append([]string{}, k.Missing...)); err != nil {
			return 0, err
		}
	}
	return id, refile(ctx, a.tx, r.board, unit)
}

// telling is what a record says of its positions, in columns.
type telling struct {
	designators, found, other []string
	failed, mapped            []bool
}

func tellings(r *serviced.Record, m *board.Map) telling {
	at := make(map[string]*board.Position, len(m.Positions))
	for i := range m.Positions {
		at[m.Positions[i].Designator] = &m.Positions[i]
	}
	t := telling{designators: []string{}, found: []string{}, other: []string{}, failed: []bool{},
		mapped: []bool{}}
	for i := range r.Positions {
		e := &r.Positions[i]
		t.designators, t.found = append(t.designators, e.Designator), append(t.found, e.Found)
		t.failed, t.mapped = append(t.failed, serviced.Failed(e.Found)), append(t.mapped, e.AsMapped(at[e.Designator]))
		t.other = append(t.other, e.Other(at[e.Designator]).String())
	}
	return t
}

func (t *telling) failures() int {
	n := 0
	for _, f := range t.failed {
		if f {
			n++
		}
	}
	return n
}

// insertSymptoms keeps what was noticed, each text once however it is spelled.
func insertSymptoms(ctx context.Context, tx pgx.Tx, id int64, texts []string) error {
	keys, first, words := []string{}, []string{}, []string{}
	for _, t := range texts {
		t = column(strings.TrimSpace(t))
		key := strings.Join(serviced.Words(t), " ")
		if key == "" || len(key) > 1000 || slices.Contains(keys, key) {
			continue
		}
		keys, first, words = append(keys, key), append(first, t), append(words, key)
	}
	_, err := tx.Exec(ctx, `INSERT INTO symptoms (key, text, words)
		SELECT k, t, array_to_tsvector(string_to_array(w, ' ')) FROM unnest($1::text[], $2::text[], $3::text[]) AS n (k, t, w) ORDER BY k
		ON CONFLICT ON CONSTRAINT symptoms_key_key DO NOTHING`, keys, first, words)
	if err != nil {
		return err
	}
	_, err = tx.Exec(ctx,
		`INSERT INTO record_symptoms (record, symptom) SELECT $1, id FROM symptoms WHERE key = ANY ($2)`, id, keys)
	return err
}

const recordColumns = `r.id, r.board, r.revision, r.build, a.name, r.account, u.mark, r.serviced_on, r.outcome, r.positions, r.failed, r.kept_at`

const recordTables = `records r JOIN accounts a ON a.id = r.account JOIN units u ON u.id = r.unit`

func (r *Record) columns() []any {
	return []any{&r.ID, &r.Board, &r.Revision, &r.Build, &r.Author, &r.AuthorID, &r.Unit, &r.ServicedOn, &r.Outcome,
		&r.Positions, &r.Failed, &r.KeptAt}
}

// record reads a record whole, withdrawn or not.
func (s *Store) record(ctx context.Context, q querier, id int64) (*Record, error) {
	var r Record
	var document []byte
	err := q.QueryRow(ctx, `SELECT `+recordColumns+`, r.document FROM `+recordTables+` WHERE r.id = $1`,
		id).Scan(append(r.columns(), &document)...)
	if noRows(err) {
		return nil, missing("record-unknown", "store.record-unknown", id)
	}
	if err != nil {
		return nil, fail(err, "record %d", id)
	}
	r.Record = new(serviced.Record)
	return &r, json.Unmarshal(document, r.Record)
}

// KeptRecord gets a record. NotFound record-unknown; Gone withdrawn, or
// Unlawful, for one that was withdrawn.
func (s *Store) KeptRecord(ctx context.Context, id int64) (*Record, error) {
	r, err := s.record(ctx, s.reads, id)
	if err != nil {
		return nil, err
	}
	var w Withdrawal
	err = s.reads.QueryRow(ctx, `SELECT kind, reason, at FROM record_withdrawals WHERE record = $1`, id).Scan(&w.Kind,
		&w.Reason, &w.At)
	if noRows(err) {
		return r, nil
	}
	if err != nil {
		return nil, fail(err, "record %d", id)
	}
	return nil, gone(w, message.Of("store.record-named", id), message.Of("store.record-counts-nowhere"),
		Withdrawn{Board: r.Board, Links: map[string]string{"records": "/v1/boards/" + r.Board + "/records"}})
}

// Records lists records that are not withdrawn, newest first. NotFound
// board-unknown for a board that is asked for.
func (s *Store) Records(ctx context.Context, f RecordFilter) (List[Record], error) {
	after, err := f.Page.number(0)
	if err != nil {
		return List[Record]{}, err
	}
	if f.Board != "" {
		if _, err := s.Revision(ctx, f.Board, 0, ""); err != nil {
			return List[Record]{}, err
		}
	}
	rows, err := s.reads.Query(ctx, `SELECT x.*, CASE WHEN $5 AND coalesce(sum(octet_length(r.document)) OVER
			(ORDER BY x.id DESC ROWS BETWEEN UNBOUNDED PRECEDING AND 1 PRECEDING), 0) < $7 THEN r.document END
		FROM (SELECT `+recordColumns+` FROM `+recordTables+`
		WHERE ($1 = '' OR r.board = $1 OR r.board IN (SELECT id FROM boards WHERE moved_to = $1)) AND ($2::bigint = 0 OR r.account = $2) AND ($3 = '' OR r.build = $3) AND ($4::bigint = 0 OR r.id < $4)
		  AND NOT EXISTS (SELECT FROM record_withdrawals w WHERE w.record = r.id)
		ORDER BY r.id DESC LIMIT $6) AS x (id, board, revision, build, name, account, mark, serviced_on, outcome, positions, failed, kept_at)
		JOIN records r ON r.id = x.id ORDER BY x.id DESC`, f.Board, f.Author, f.Build, after, f.Whole, f.Page.limit()+1,
		maxWhole)
	if err != nil {
		return List[Record]{}, fail(err, "records of %s", f.Board)
	}
	out, err := pgx.CollectRows(rows, scanRecord)
	if err != nil {
		return List[Record]{}, fail(err, "records of %s", f.Board)
	}
	limit := f.Page.limit()
	if k := slices.IndexFunc(out, func(r Record) bool { return f.Whole && r.Record == nil }); k >= 0 {
		out, limit = out[:k+1], min(limit, k) // what does not fit stands on the next page
	}
	return page(out, limit, func(r *Record) string { return strconv.FormatInt(r.ID, 10) }), nil
}

// maxWhole bounds the documents of one page, in bytes; one always fits.
const maxWhole = 2 << 20

func scanRecord(row pgx.CollectableRow) (Record, error) {
	var r Record
	var document []byte
	if err := row.Scan(append(r.columns(), &document)...); err != nil || document == nil {
		return r, err
	}
	r.Record = new(serviced.Record)
	return r, json.Unmarshal(document, r.Record)
}

// Mistaken is the ground of a withdrawal that names none.
const Mistaken = "mistaken"

// WithdrawRecord takes a record out of use; it counts nowhere from then on.
//
// Refusals: Unauthenticated token-needed; NotFound record-unknown; NotAllowed
// record-not-yours; Conflict already-withdrawn; Invalid withdrawal-invalid.
func (s *Store) WithdrawRecord(ctx context.Context, who Actor, id int64, w Withdrawal, once Once) (Receipt, error) {
	if w.Kind == "" {
		w.Kind = Mistaken
	}
	r, err := s.perform(ctx, who, once, func(a *act) (Receipt, event, error) {
		r, err := s.record(ctx, a.tx, id)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if a.actor.ID != r.AuthorID && !a.actor.Role.AtLeast(review.Steward) {
			return Receipt{}, event{}, fault.New(fault.NotAllowed, "record-not-yours", "store.record-owner")
		}
		if err := w.check(); err != nil {
			return Receipt{}, event{}, err
		}
		return withdrawRecord(ctx, a, r, w)
	})
	return r, fail(err, "withdraw record %d", id)
}

func withdrawRecord(ctx context.Context, a *act, r *Record, w Withdrawal) (Receipt, event, error) {
	if err := countAct(ctx, a, r.Board); err != nil {
		return Receipt{}, event{}, err
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	tag, err := a.tx.Exec(ctx, `INSERT INTO record_withdrawals (record, kind, reason, by, at) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT ON CONSTRAINT record_withdrawals_pkey DO NOTHING`, r.ID, w.Kind, w.Reason, a.actor.ID, a.at)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if tag.RowsAffected() == 0 {
		return Receipt{}, event{}, fault.New(fault.Conflict, "already-withdrawn", "store.record-withdrawn", r.ID)
	}
	var unit int64
	if err := a.tx.QueryRow(ctx, `SELECT unit FROM records WHERE id = $1`, r.ID).Scan(&unit); err != nil {
		return Receipt{}, event{}, err
	}
	why := ""
	if a.actor.ID != r.AuthorID {
		why = w.Reason // a steward's act
	}
	return Receipt{Record: r.ID, Board: r.Board}, event{what: "record-withdrawn", why: why, board: r.Board,
			sentence: message.Of("event.record-withdrawn", r.ID, r.Board, message.Word("withdrawn-as", w.Kind))},
		refile(ctx, a.tx, r.Board, unit)
}
