package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Withdrawal says that a steward took something out of use, and why.
type Withdrawal struct {
	Kind   string // dangerous, illegal or mistaken
	Reason string // as readers are told it; "" where it had to be erased
	At     time.Time
}

// withdrawalKinds are the grounds on which something is taken out of use.
var withdrawalKinds = []string{"dangerous", "illegal", "mistaken"}

const illegal = "illegal"

// check holds a withdrawal to what it has to say.
func (w *Withdrawal) check() error {
	var fs []finding.Finding
	if !slices.Contains(withdrawalKinds, w.Kind) {
		fs = append(fs, invalid("/kind", "store.withdrawal-kind"))
	}
	if strings.TrimSpace(w.Reason) == "" {
		fs = append(fs, invalid("/reason", "store.withdrawal-reason"))
	}
	fs = append(fs, review.CheckReason(w.Reason)...)
	if len(fs) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Invalid, Code: "withdrawal-invalid", Findings: fs,
		Detail: message.Of("store.withdrawal-refused")}
}

// Withdrawn is what a refusal tells of something that is out of use, and where
// to go on. It is the data of a fault of kind Gone, or Unlawful.
type Withdrawn struct {
	Board      string            `json:"board,omitzero"`
	Revision   int               `json:"revision,omitzero"`
	Photograph string            `json:"photograph,omitzero"`
	Kind       string            `json:"kind"`
	Reason     string            `json:"reason"`
	At         time.Time         `json:"withdrawn_at"`
	Current    int               `json:"current,omitzero"` // revision to use instead; none where all are withdrawn
	Links      map[string]string `json:"links,omitzero"`   // the ways on
}

// gone is the refusal of something that is out of use: what is its name in a
// sentence, wayOn a sentence that says what to use instead.
func gone(w Withdrawal, what, wayOn message.Message, data Withdrawn) error {
	kind, how := fault.Gone, w.Kind
	if w.Kind == illegal {
		kind, how = fault.Unlawful, "unlawful"
	}
	data.Kind, data.Reason, data.At = w.Kind, w.Reason, w.At
	detail := message.Of("store.gone", what, message.Word("withdrawn-as", how), w.At.UTC().Format(time.DateOnly))
	if w.Reason != "" {
		detail = message.Of("store.gone-because", detail, strings.TrimRight(strings.TrimSpace(w.Reason), "."))
	}
	return &fault.Error{Kind: kind, Detail: detail.And(wayOn), Data: data}
}

// goneRevision refuses a revision that is out of use; current is the one to use
// instead, 0 for none.
func goneRevision(w Withdrawal, board string, number, current int) error {
	under := "/v1/boards/" + board
	data := Withdrawn{Board: board, Revision: number, Current: current, Links: map[string]string{"revisions": under +
		"/revisions"}}
	wayOn := message.Of("store.none-in-use")
	if current > 0 {
		wayOn = message.Of("store.use-current", current)
		data.Links["map"] = under + "/map"
		data.Links["revision"] = fmt.Sprintf("%s/revisions/%d", under, current)
	}
	return gone(w, message.Of("store.revision-named", number, board), wayOn, data)
}

// WithdrawRevision takes a released revision out of use; the newest one that
// remains is current from then on. What is withdrawn as something else may be
// withdrawn as illegal afterwards.
//
// Refusals: Unauthenticated token-needed; NotAllowed role-needed; NotFound
// board-unknown or revision-unknown; Conflict already-withdrawn; Invalid
// withdrawal-invalid or idempotency-key-reused.
func (s *Store) WithdrawRevision(ctx context.Context, who Actor, boardID string, number int, w Withdrawal,
	once Once) (Receipt, error) {
	r, err := s.perform(ctx, who, once, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.withdraw-revision"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := w.check(); err != nil {
			return Receipt{}, event{}, err
		}
		return s.withdrawRevision(ctx, a, boardID, number, w)
	})
	if err != nil {
		return r, fail(err, "withdraw revision %d of %s", number, boardID)
	}
	s.cache.forget(boardID)
	return r, nil
}

func (s *Store) withdrawRevision(ctx context.Context, a *act, boardID string, number int, w Withdrawal) (Receipt, event,
	error) {
	if _, err := a.tx.Exec(ctx, `SELECT FROM boards WHERE id = $1 FOR NO KEY UPDATE`, boardID); err != nil {
		return Receipt{}, event{}, err
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	r, err := s.loadBase(ctx, a.tx, cacheKey{boardID, number, ""})
	if err != nil {
		return Receipt{}, event{}, err
	}
	if err := again(r.Withdrawn, w, message.Of("store.revision-named", number, boardID)); err != nil {
		return Receipt{}, event{}, err
	}
	if _, err := a.tx.Exec(ctx,
		`INSERT INTO withdrawals (board, revision, kind, reason, by, at) VALUES ($1, $2, $3, $4, nullif($5::bigint, 0), $6)`,
		boardID, number, w.Kind, w.Reason, a.actor.ID, a.at); err != nil {
		return Receipt{}, event{}, err
	}
	current, err := s.fallBack(ctx, a, boardID)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if _, err := a.tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeWithdrawn+boardID); err != nil {
		return Receipt{}, event{}, err
	}
	return Receipt{Board: boardID, Revision: number, Digest: r.Digest, Current: current},
		event{what: "revision-withdrawn", why: w.Reason, board: boardID, revision: number,
			sentence: message.Of("event.revision-withdrawn", number, boardID, message.Word("withdrawn-as", w.Kind),
				instead(current))}, nil
}

func instead(current int) message.Message {
	if current == 0 {
		return message.Of("event.none-in-use")
	}
	return message.Of("event.is-current", current)
}

// again refuses a withdrawal of what is withdrawn already, but for one that
// the law demands of what was withdrawn for another reason.
func again(before *Withdrawal, now Withdrawal, what message.Message) error {
	if before == nil || now.Kind == illegal && before.Kind != illegal {
		return nil
	}
	return fault.New(fault.Conflict, "already-withdrawn", "store.already-withdrawn", what,
		before.At.UTC().Format(time.DateOnly))
}

// fallBack makes the newest revision that is not withdrawn the board's current
// one, and returns its number: 0 where none is left.
func (s *Store) fallBack(ctx context.Context, a *act, boardID string) (int, error) {
	var number int
	var released time.Time
	err := a.tx.QueryRow(ctx, `SELECT r.number, r.released_at FROM revisions r WHERE r.board = $1 AND NOT EXISTS (
			SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number) ORDER BY r.number DESC LIMIT 1`, boardID).Scan(&number, &released)
	if noRows(err) {
		return 0, undescribe(ctx, a, boardID)
	}
	if err != nil {
		return 0, err
	}
	r, err := s.loadBase(ctx, a.tx, cacheKey{boardID, number, ""})
	if err != nil {
		return 0, err
	}
	err = describe(ctx, a.tx, described{boardID, number, document{m: r.Map, canonical: r.Canonical, digest: r.Digest},
		released})
	if err != nil {
		return 0, err
	}
	return number, refileAll(ctx, a, boardID, 0)
}

// undescribe makes a board one that has no revision in use: no list and no
// search finds it.
func undescribe(ctx context.Context, a *act, boardID string) error {
	if _, err := a.tx.Exec(ctx, `DELETE FROM wants w USING boards b WHERE b.id = $1 AND w.board = b.number`,
		boardID); err != nil {
		return err
	}
	_, err := a.tx.Exec(ctx, `UPDATE boards SET current = 0, digest = NULL, released_at = NULL, marks = '{}', words = '' WHERE id = $1
		RETURNING pg_notify($2, $3)`, boardID, channel, noticeRevisions+boardID)
	return err
}

// steward refuses an act to anybody but stewards and the operator.
func (a *act) steward(doing string) error {
	switch {
	case a.actor.operator || a.actor.Role.AtLeast(review.Steward):
		return nil
	case a.actor.ID == 0:
		return fault.New(fault.Unauthenticated, "token-needed", "store.steward-token", message.Of(doing))
	}
	return fault.New(fault.NotAllowed, "role-needed", "store.steward-needed", message.Of(doing), a.actor.Role)
}

// lastRevision is the newest number that a board ever released, withdrawn or not.
func lastRevision(ctx context.Context, q querier, boardID string) (n int, err error) {
	err = q.QueryRow(ctx, `SELECT coalesce(max(number), 0) FROM revisions WHERE board = $1`, boardID).Scan(&n)
	return n, err
}

// noneInUse says that all revisions of a board are withdrawn, by the last of
// them; nil where it never had any.
func noneInUse(ctx context.Context, q querier, boardID string) error {
	var number int
	var w Withdrawal
	err := q.QueryRow(ctx,
		`SELECT revision, kind, reason, at FROM withdrawals WHERE board = $1 ORDER BY id DESC LIMIT 1`, boardID).
		Scan(&number, &w.Kind, &w.Reason, &w.At)
	if noRows(err) {
		return nil
	}
	if err != nil {
		return fail(err, "withdrawals of %s", boardID)
	}
	return goneRevision(w, boardID, number, 0)
}

// proposalInUse refuses a proposal that became a revision which was withdrawn,
// since its map is the same; lawful lets through what is only out of use.
func proposalInUse(ctx context.Context, q querier, id int64, lawful bool) error {
	var board string
	var number, current int
	var w Withdrawal
	err := q.QueryRow(ctx, `SELECT p.board, p.revision, b.current, w.kind, w.reason, w.at
		FROM proposals p JOIN boards b ON b.id = p.board JOIN withdrawals w ON w.board = p.board AND w.revision = p.revision
		WHERE p.id = $1 ORDER BY w.id DESC LIMIT 1`, id).Scan(&board, &number, &current, &w.Kind, &w.Reason, &w.At)
	if noRows(err) || err == nil && lawful && w.Kind != illegal {
		return nil
	}
	if err != nil {
		return fail(err, "withdrawals of proposal %d", id)
	}
	return goneRevision(w, board, number, current)
}

// WithdrawPhotograph takes a photograph out of use, wherever it is named.
//
// Refusals: as WithdrawRevision, with NotFound photograph-unknown.
func (s *Store) WithdrawPhotograph(ctx context.Context, who Actor, sum string, w Withdrawal, once Once) (Receipt,
	error) {
	r, err := s.perform(ctx, who, once, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.withdraw-photograph"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := w.check(); err != nil {
			return Receipt{}, event{}, err
		}
		return withdrawPhotograph(ctx, a, sum, w)
	})
	return r, fail(err, "withdraw photograph %s", sum)
}

func withdrawPhotograph(ctx context.Context, a *act, sum string, w Withdrawal) (Receipt, event, error) {
	if !review.IsSHA256(sum) {
		return Receipt{}, event{}, noPhotograph(sum)
	}
	// A withdrawn photograph counts as named: it is kept, and not cleared.
	tag, err := a.tx.Exec(ctx, `UPDATE photographs SET named = true WHERE sha256 = decode($1, 'hex')`, sum)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if tag.RowsAffected() == 0 {
		return Receipt{}, event{}, noPhotograph(sum)
	}
	if err := a.now(ctx); err != nil {
		return Receipt{}, event{}, err
	}
	before, err := photographWithdrawal(ctx, a.tx, sum)
	if err != nil {
		return Receipt{}, event{}, err
	}
	if err := again(before, w, message.Of("store.the-photograph")); err != nil {
		return Receipt{}, event{}, err
	}
	var bytes []byte
	err = a.tx.QueryRow(ctx,
		`INSERT INTO withdrawals (photograph, kind, reason, by, at) VALUES (decode($1, 'hex'), $2, $3, nullif($4::bigint, 0), $5) RETURNING photograph`,
		sum, w.Kind, w.Reason, a.actor.ID, a.at).Scan(&bytes)
	return Receipt{Photograph: sum}, event{what: "photograph-withdrawn", why: w.Reason, photograph: bytes,
		sentence: message.Of("event.photograph-withdrawn", message.Word("withdrawn-as", w.Kind))}, err
}

// photographWithdrawal is how a photograph was taken out of use; nil where it was not.
func photographWithdrawal(ctx context.Context, q querier, sum string) (*Withdrawal, error) {
	w := new(Withdrawal)
	err := q.QueryRow(ctx,
		`SELECT kind, reason, at FROM withdrawals WHERE photograph = decode($1, 'hex') ORDER BY id DESC LIMIT 1`, sum).
		Scan(&w.Kind, &w.Reason, &w.At)
	if noRows(err) {
		return nil, nil
	}
	return w, err
}

func gonePhotograph(w Withdrawal, sum string) error {
	return gone(w, message.Of("store.this-photograph"), message.Of("store.drop-copies"), Withdrawn{Photograph: sum})
}

// withdrawalsOf reads how revisions of a board were taken out of use, by number.
func withdrawalsOf(ctx context.Context, q querier, boardID string) (map[int]*Withdrawal, error) {
	rows, err := q.Query(ctx, `SELECT revision, kind, reason, at FROM withdrawals WHERE board = $1 ORDER BY id`,
		boardID)
	if err != nil {
		return nil, err
	}
	out := map[int]*Withdrawal{}
	var number int
	var w Withdrawal
	_, err = pgx.ForEachRow(rows, []any{&number, &w.Kind, &w.Reason, &w.At}, func() error {
		each := w
		out[number] = &each
		return nil
	})
	return out, err
}
