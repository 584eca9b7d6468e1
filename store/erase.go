package store

import (
	"context"
	"fmt"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// What the law demands to be gone is emptied, never deleted: the events that
// point at it, and so their order and number, stay as they are.

// EraseName takes a person's name out of an account, with all that it could
// sign in with; what the account did stays, as that of "erased" and its number.
// The account is disabled if it was not. NotFound account-unknown; Conflict
// last-steward or already-erased; NotAllowed role-needed.
func (s *Store) EraseName(ctx context.Context, who Actor, account int64, why string) (Receipt, error) {
	return s.onAccount(ctx, who, account, why, "doing.erase-name", func(a *act, t *target) (event, error) {
		name := fmt.Sprintf("erased %d", t.id)
		if t.name == name {
			return event{}, fault.New(fault.Conflict, "already-erased", "store.name-erased")
		}
		if err := guardStewards(ctx, a.tx, t); err != nil {
			return event{}, err
		}
		if err := signOutEverywhere(ctx, a.tx, t.id); err != nil {
			return event{}, err
		}
		// The answers that its keys had may hold the name.
		if _, err := a.tx.Exec(ctx, `DELETE FROM idempotency WHERE account = $1`, t.id); err != nil {
			return event{}, err
		}
		for _, own := range []string{"watches", "watch_feeds", "hooks"} {
			if _, err := a.tx.Exec(ctx, `DELETE FROM `+own+` WHERE account = $1`, t.id); err != nil {
				return event{}, err
			}
		}
		_, err := a.tx.Exec(ctx, `UPDATE accounts SET name = $2, disabled_at = coalesce(disabled_at, $3) WHERE id = $1`,
			t.id, name, a.at)
		return event{what: "name-erased", sentence: message.Of("event.name-erased", "{account}")}, err
	})
}

// ErasePhotograph takes a photograph out of use as illegal and drops its bytes.
// Refusals as WithdrawPhotograph; Conflict already-erased.
func (s *Store) ErasePhotograph(ctx context.Context, who Actor, sum, why string) (Receipt, error) {
	r, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.erase-photograph"); err != nil {
			return Receipt{}, event{}, err
		}
		w := Withdrawal{Kind: illegal, Reason: why}
		if err := w.check(); err != nil {
			return Receipt{}, event{}, err
		}
		r, e, err := withdrawPhotograph(ctx, a, sum, w)
		if f, _ := fault.As(err); f != nil && f.Code == "already-withdrawn" {
			r, e, err = Receipt{Photograph: sum}, event{}, nil
		}
		if err != nil {
			return Receipt{}, event{}, err
		}
		err = a.tx.QueryRow(ctx,
			`UPDATE photographs SET data = '', erased_at = $2 WHERE sha256 = decode($1, 'hex') AND erased_at IS NULL RETURNING sha256`,
			sum, a.at).Scan(&e.photograph)
		if noRows(err) {
			return Receipt{}, event{}, fault.New(fault.Conflict, "already-erased", "store.photograph-erased")
		}
		if _, err := a.tx.Exec(ctx, `DELETE FROM flattened WHERE photograph = $1`, e.photograph); err != nil {
			return Receipt{}, event{}, err
		}
		e.what, e.sentence, e.why = "photograph-erased", message.Of("event.photograph-erased"), why
		return r, e, err
	})
	return r, fail(err, "erase photograph %s", sum)
}

// EraseReason empties the reason of an act. NotFound event-unknown.
func (s *Store) EraseReason(ctx context.Context, who Actor, number int64) (Receipt, error) {
	r, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.erase-reason"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := a.now(ctx); err != nil {
			return Receipt{}, event{}, err
		}
		tag, err := a.tx.Exec(ctx, `UPDATE event_reasons SET reason = '' WHERE event = $1`, number)
		if err != nil {
			return Receipt{}, event{}, err
		}
		if tag.RowsAffected() == 0 {
			return Receipt{}, event{}, missing("event-unknown", "store.reason-none", number)
		}
		for _, sql := range []string{
			`UPDATE withdrawals w SET reason = '' FROM events e WHERE e.id = $1 AND w.at = e.at`,
			`UPDATE record_withdrawals w SET reason = '' FROM events e WHERE e.id = $1 AND w.at = e.at`,
		} {
			if _, err := a.tx.Exec(ctx, sql, number); err != nil {
				return Receipt{}, event{}, err
			}
		}
		return Receipt{}, event{what: "reason-erased", sentence: message.Of("event.reason-erased", number)}, err
	})
	s.cache.forget("")
	return r, fail(err, "erase the reason of event %d", number)
}
