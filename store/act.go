package store

import (
	"context"
	"fmt"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Once makes an act happen once however often it is asked for: the same Key
// with the same body gives the first answer again, for 30 days. Keys are each
// account's own. The zero Once asks for nothing.
type Once struct {
	Key        string   // 1 to 200 characters
	BodySHA256 [32]byte // of whatever tells one request from another
}

// Receipt is what an act on a proposal answers.
type Receipt struct {
	Event          int64        // number in the log; 0 where nothing changed
	At             time.Time    // of the act
	Proposal       int64        //
	Board          string       //
	State          review.State // after the act
	Version        int          // of the proposal's map, 1 …
	Digest         string       // of the proposal's map; after a release, of the released one
	Revision       int          // that a release made, or that was withdrawn
	Current        int          `json:",omitzero"` // revision that is current after a withdrawal; 0 for none
	Photograph     string       `json:",omitzero"` // that was withdrawn
	Account        int64        `json:",omitzero"` // that a steward acted on
	Review         int64        // that a review made
	Record         int64        `json:",omitzero"` // of a unit, that was filed or withdrawn
	Doubt          int64        `json:",omitzero"` // that was raised or answered
	CarriedForward bool         // by a release: the base was not the current revision
	Lapsed         []string     `json:",omitzero"` // by an amendment: the reviewers whose endorsements no longer count
	Standing       review.Standing
	Findings       []finding.Finding `json:",omitzero"` // of a submission or an amendment: cautions and notes
	Repeated       bool              // this is the first answer once more
}

// act is the transaction that one act runs in.
type act struct {
	tx pgx.Tx
	// actor is the account as the database has it now, which may be less than
	// what the caller's token said a moment ago.
	actor Actor
	at    time.Time // set by now, after the locks were had
}

// now sets the time of the act, which comes after every act that it waited for.
func (a *act) now(ctx context.Context) error {
	return a.tx.QueryRow(ctx, `SELECT clock_timestamp()`).Scan(&a.at)
}

// perform runs an act: the idempotency key is claimed, the account looked at,
// do judges and writes, and its event is recorded in the same transaction. An
// event without a name records nothing.
func (s *Store) perform(ctx context.Context, who Actor, once Once, do func(*act) (Receipt, event, error)) (Receipt,
	error) {
	var r Receipt
	err := s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		var err error
		if a.actor, err = present(ctx, tx, who); err != nil {
			return err
		}
		if first, err := claim(ctx, tx, a.actor, once); err != nil || first != nil {
			if first != nil {
				r = *first
			}
			return err
		}
		var e event
		if r, e, err = do(a); err != nil {
			return err
		}
		if e.what != "" {
			e.who, e.at, r.At = a.actor.ID, a.at, a.at
			if r.Event, err = record(ctx, tx, e); err != nil {
				return err
			}
		}
		return answer(ctx, tx, a.actor, once, r)
	})
	if err != nil {
		return Receipt{}, err
	}
	if r.Event != 0 {
		s.happened(r.Board)
	}
	return r, nil
}

// present looks the account up again: it may be disabled since the token was read.
func present(ctx context.Context, q querier, who Actor) (Actor, error) {
	if who.operator {
		return who, nil
	}
	if who.ID == 0 {
		return Actor{}, nil
	}
	var a Actor
	err := q.QueryRow(ctx, `SELECT id, name, role FROM accounts WHERE id = $1 AND disabled_at IS NULL`,
		who.ID).Scan(&a.ID, &a.Name, &a.Role)
	if noRows(err) {
		return Actor{}, invalidToken()
	}
	a.Scope, a.Role = who.Scope, within(a.Role, who.Scope)
	return a, err
}

const maxKey = 200

// claim takes an idempotency key for this transaction, or returns the answer
// that it already has. A second request with the same key waits here until the
// first has committed or failed.
func claim(ctx context.Context, tx pgx.Tx, a Actor, o Once) (*Receipt, error) {
	if o.Key == "" || a.ID == 0 {
		return nil, nil
	}
	if len(o.Key) > maxKey {
		return nil, fault.New(fault.Malformed, "idempotency-key-long", "store.key-long", maxKey)
	}
	tag, err := tx.Exec(ctx, `INSERT INTO idempotency (account, key, body) VALUES ($1, $2, $3)
		ON CONFLICT ON CONSTRAINT idempotency_pkey DO NOTHING`, a.ID, o.Key, o.BodySHA256[:])
	if err != nil || tag.RowsAffected() == 1 {
		return nil, err
	}
	var body []byte
	var first string
	err = tx.QueryRow(ctx, `SELECT body, answer::text FROM idempotency WHERE account = $1 AND key = $2`, a.ID,
		o.Key).Scan(&body, &first)
	if err != nil {
		return nil, err
	}
	if [32]byte(body) != o.BodySHA256 {
		return nil, fault.New(fault.Invalid, "idempotency-key-reused",
			"store.key-reused")
	}
	r := new(Receipt)
	if err := json.Unmarshal([]byte(first), r); err != nil {
		return nil, fmt.Errorf("first answer to an idempotency key: %w", err)
	}
	r.Repeated = true
	return r, confirm(ctx, tx)
}

// answer keeps the answer with its key.
func answer(ctx context.Context, tx pgx.Tx, a Actor, o Once, r Receipt) error {
	if o.Key == "" || a.ID == 0 {
		return nil
	}
	b, err := json.Marshal(r, message.Stored)
	if err != nil {
		return fmt.Errorf("answer to keep: %w", err)
	}
	_, err = tx.Exec(ctx, `UPDATE idempotency SET answer = $3::jsonb WHERE account = $1 AND key = $2`, a.ID, o.Key,
		string(b))
	return err
}
