package store

import (
	"context"
	"crypto/rand"
	"encoding/base64"
	"net/url"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/review"
)

// Hook is who is told of releases and withdrawals.
type Hook struct {
	ID      int64
	Account string
	Address string
	Board   string // the only one that it is told of; "" for all
	Private bool   // may lie in a private network
	MadeAt  time.Time
	GoneAt  time.Time // when the address said that it is no more; zero while it has not
	Waiting int       // deliveries that are to come, or to be tried again
	Dead    int       // deliveries that were given up
}

// NewHook says who wants to be told.
type NewHook struct {
	Address string
	Board   string
	Private bool
}

const (
	maxHooks       = 20 // of an account
	longestAddress = 2000
	hookSecret     = "whsec_" // before the secret, as Standard Webhooks says
)

// Hooks lists the account's own hooks, newest first; a steward sees everybody's.
func (s *Store) Hooks(ctx context.Context, who Actor) ([]Hook, error) {
	rows, err := s.reads.Query(ctx, `
		SELECT h.id, a.name, h.address, coalesce(h.board, ''), h.private, h.made_at, coalesce(h.gone_at, '0001-01-01T00:00:00Z'),
		       count(j.id) FILTER (WHERE j.state NOT IN ('completed', 'cancelled', 'discarded'))::int,
		       count(j.id) FILTER (WHERE j.state IN ('cancelled', 'discarded'))::int
		FROM hooks h JOIN accounts a ON a.id = h.account LEFT JOIN river_job j ON j.kind = $3 AND (j.args->>'hook')::bigint = h.id
		WHERE h.account = $1 OR $2 GROUP BY h.id, a.name ORDER BY h.id DESC`, who.ID, who.Role == review.Steward, hookKind)
	if err != nil {
		return nil, fail(err, "list hooks")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Hook])
	return out, fail(err, "list hooks")
}

// MakeHook has an address told from now on; the secret is shown here and never
// again. Refusals: Unauthenticated token-needed; NotAllowed scope-needed or
// role-needed; NotFound board-unknown; Invalid hook-refused; Conflict hook-quota.
func (s *Store) MakeHook(ctx context.Context, who Actor, n NewHook) (h Hook, secret string, err error) {
	if err := who.whole("doing.make-hook"); err != nil {
		return h, "", err
	}
	if err := n.check(who); err != nil {
		return h, "", err
	}
	if n.Board != "" {
		if _, err := s.BoardName(ctx, n.Board); err != nil {
			return h, "", err
		}
	}
	var key [32]byte
	rand.Read(key[:]) // never fails, by its documentation
	h = Hook{Account: who.Name, Address: n.Address, Board: n.Board, Private: n.Private}
	err = s.own(ctx, who, event{}, func(a *act) error {
		var have int
		if err := a.tx.QueryRow(ctx, `SELECT count(*) FROM hooks WHERE account = $1`,
			a.actor.ID).Scan(&have); err != nil {
			return err
		}
		if have >= maxHooks {
			return fault.New(fault.Conflict, "hook-quota", "store.hook-quota", maxHooks)
		}
		return a.tx.QueryRow(ctx, `INSERT INTO hooks (account, address, board, private, secret)
			VALUES ($1, $2, nullif($3, ''), $4, $5) RETURNING id, made_at`, a.actor.ID, n.Address, n.Board, n.Private,
			key[:]).Scan(&h.ID, &h.MadeAt)
	})
	return h, hookSecret + base64.StdEncoding.EncodeToString(key[:]), err
}

// check holds an address to what can be told safely. Where it leads is looked at
// when it is dialled, since a name may lead elsewhere by then.
func (n *NewHook) check(who Actor) error {
	if n.Private && who.Role != review.Steward {
		return fault.New(fault.NotAllowed, "role-needed", "store.hook-private")
	}
	u, err := url.Parse(n.Address)
	secure := err == nil && (u.Scheme == "https" || n.Private && u.Scheme == "http")
	if !secure || u.Hostname() == "" || u.User != nil || u.Fragment != "" || len(n.Address) > longestAddress ||
		strings.ContainsFunc(n.Address, func(r rune) bool { return r <= ' ' || r >= 0x7f }) {
		return fault.New(fault.Invalid, "hook-refused", "store.hook-address")
	}
	return nil
}

// EndHook has an address told no more; what waits for it is dropped. NotFound
// hook-unknown, also for another's hook unless a steward asks.
func (s *Store) EndHook(ctx context.Context, who Actor, id int64) error {
	if err := who.whole("doing.end-hook"); err != nil {
		return err
	}
	return s.own(ctx, who, event{}, func(a *act) error {
		tag, err := a.tx.Exec(ctx, `DELETE FROM hooks WHERE id = $1 AND (account = $2 OR $3)`, id, a.actor.ID,
			a.actor.Role == review.Steward)
		if err == nil && tag.RowsAffected() == 0 {
			return missing("hook-unknown", "store.hook-unknown", id)
		}
		return err
	})
}

// Delivery is one telling of a hook.
type Delivery struct {
	ID        int64
	Event     int64
	State     string // waiting, delivered or dead
	Attempts  int
	MadeAt    time.Time
	NextAt    time.Time // when it is tried again; zero where it is not
	LastError string    // of the last try, in English; "" for none
}

// Deliveries lists the newest tellings of a hook. NotFound hook-unknown.
func (s *Store) Deliveries(ctx context.Context, who Actor, hook int64) ([]Delivery, error) {
	var mine bool
	err := s.reads.QueryRow(ctx, `SELECT EXISTS (SELECT FROM hooks WHERE id = $1 AND (account = $2 OR $3))`, hook, who.ID,
		who.Role == review.Steward).Scan(&mine)
	if err == nil && !mine {
		err = missing("hook-unknown", "store.hook-unknown", hook)
	}
	if err != nil {
		return nil, fail(err, "deliveries of hook %d", hook)
	}
	rows, err := s.reads.Query(ctx, `
		SELECT id, (args->>'event')::bigint, CASE WHEN state = 'completed' THEN 'delivered' WHEN state IN ('cancelled', 'discarded') THEN 'dead' ELSE 'waiting' END,
		       attempt::int, created_at, CASE WHEN finalized_at IS NULL THEN scheduled_at ELSE '0001-01-01T00:00:00Z' END,
		       coalesce(errors[array_upper(errors, 1)]->>'error', '')
		FROM river_job WHERE kind = $2 AND (args->>'hook')::bigint = $1 ORDER BY id DESC LIMIT 100`, hook, hookKind)
	if err != nil {
		return nil, fail(err, "deliveries of hook %d", hook)
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Delivery])
	return out, fail(err, "deliveries of hook %d", hook)
}
