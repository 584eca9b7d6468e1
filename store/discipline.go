package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// target is the account that a steward's act is about, locked.
type target struct {
	id       int64
	name     string
	role     review.Role
	disabled bool
}

// onAccount runs a steward's act on an account, with its reason. An event
// without a kind changes nothing.
func (s *Store) onAccount(ctx context.Context, who Actor, account int64, why, doing string,
	do func(*act, *target) (event, error)) (Receipt, error) {
	r, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		if err := a.steward(doing); err != nil {
			return Receipt{}, event{}, err
		}
		if err := checkReason(why); err != nil {
			return Receipt{}, event{}, err
		}
		t := &target{id: account}
		err := a.tx.QueryRow(ctx,
			`SELECT name, role, disabled_at IS NOT NULL FROM accounts WHERE id = $1 FOR NO KEY UPDATE`, account).
			Scan(&t.name, &t.role, &t.disabled)
		if noRows(err) {
			return Receipt{}, event{}, missing("account-unknown", "store.account-number-unknown", account)
		}
		if err != nil {
			return Receipt{}, event{}, err
		}
		if err := a.now(ctx); err != nil {
			return Receipt{}, event{}, err
		}
		e, err := do(a, t)
		if err != nil || e.what == "" {
			return Receipt{Account: account}, event{}, err
		}
		e.account, e.why = account, why
		_, err = a.tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeAccounts)
		return Receipt{Account: account}, e, err
	})
	s.accounts.forget()
	return r, fail(err, "%s of account %d", doing, account)
}

// guardStewards refuses what would leave nobody to act as steward.
func guardStewards(ctx context.Context, tx pgx.Tx, t *target) error {
	if t.role != review.Steward || t.disabled {
		return nil
	}
	rows, err := tx.Query(ctx,
		`SELECT id FROM accounts WHERE role = 'steward' AND disabled_at IS NULL ORDER BY id FOR NO KEY UPDATE`)
	if err != nil {
		return err
	}
	left, err := pgx.CollectRows(rows, pgx.RowTo[int64])
	if err != nil || len(left) > 1 {
		return err
	}
	return fault.New(fault.Conflict, "last-steward", "store.last-steward", t.name)
}

// AccountNumber finds an account by its name. NotFound account-unknown.
func (s *Store) AccountNumber(ctx context.Context, name string) (id int64, err error) {
	err = s.reads.QueryRow(ctx, `SELECT id FROM accounts WHERE name = $1`, name).Scan(&id)
	if noRows(err) {
		return 0, missing("account-unknown", "store.account-unknown", name)
	}
	return id, fail(err, "account %q", name)
}

// Disable ends an account's access; what it did stays. Its open proposals are
// suspended and its verdicts count no more. Disabling twice is fine. NotFound
// account-unknown; Conflict last-steward; NotAllowed role-needed.
func (s *Store) Disable(ctx context.Context, who Actor, account int64, why string) (Receipt, error) {
	return s.onAccount(ctx, who, account, why, "doing.disable-account", func(a *act, t *target) (event, error) {
		if t.disabled {
			return event{}, nil
		}
		if err := guardStewards(ctx, a.tx, t); err != nil {
			return event{}, err
		}
		if _, err := a.tx.Exec(ctx, `DELETE FROM sessions WHERE account = $1`, t.id); err != nil {
			return event{}, err
		}
		_, err := a.tx.Exec(ctx, `UPDATE accounts SET disabled_at = $2 WHERE id = $1`, t.id, a.at)
		return event{what: "account-disabled", sentence: message.Of("event.account-disabled", "{account}")}, err
	})
}

// Enable undoes Disable: the account may sign in, its open proposals are on the
// desk and its verdicts count again.
func (s *Store) Enable(ctx context.Context, who Actor, account int64, why string) (Receipt, error) {
	return s.onAccount(ctx, who, account, why, "doing.enable-account", func(a *act, t *target) (event, error) {
		if !t.disabled {
			return event{}, nil
		}
		if t.name == fmt.Sprintf("erased %d", t.id) {
			return event{}, fault.New(fault.Conflict, "already-erased", "store.account-erased")
		}
		_, err := a.tx.Exec(ctx, `UPDATE accounts SET disabled_at = NULL WHERE id = $1`, t.id)
		return event{what: "account-enabled", sentence: message.Of("event.account-enabled", "{account}")}, err
	})
}

// SetRole gives an account another role; the same one again changes nothing.
// NotFound account-unknown; Conflict account-disabled or last-steward; Invalid
// account-invalid; NotAllowed role-needed.
func (s *Store) SetRole(ctx context.Context, who Actor, account int64, role review.Role, why string) (Receipt, error) {
	if r, err := review.ParseRole(string(role)); err != nil || r == review.Anonymous {
		return Receipt{}, fault.New(fault.Invalid, "account-invalid", "store.role-invalid")
	}
	return s.onAccount(ctx, who, account, why, "doing.change-role", func(a *act, t *target) (event, error) {
		if t.disabled {
			return event{}, fault.New(fault.Conflict, "account-disabled", "store.account-disabled-enable", t.name)
		}
		if t.role == role {
			return event{}, nil
		}
		if role != review.Steward {
			if err := guardStewards(ctx, a.tx, t); err != nil {
				return event{}, err
			}
		}
		_, err := a.tx.Exec(ctx, `UPDATE accounts SET role = $2 WHERE id = $1`, t.id, role)
		return event{what: "role-changed", sentence: message.Of("event.role-changed", "{account}", role)}, err
	})
}
