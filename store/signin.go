package store

import (
	"context"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Scopes of tokens, narrowest first: what a token lets a tool do of what its
// account may.
const (
	ScopeRead       = "read"
	ScopeContribute = "contribute"
	ScopeReview     = "review"
	ScopeAll        = "all"
)

// within is the role that an account's token of a scope acts in.
func within(r review.Role, scope string) review.Role {
	most := map[string]review.Role{ScopeRead: review.Anonymous, ScopeContribute: review.Contributor,
		ScopeReview: review.Reviewer}
	if top, ok := most[scope]; ok && r.AtLeast(top) {
		return top
	}
	return r
}

// whole refuses what only the owner may do who signed in with everything: a
// token of less could else make itself one of more.
func (a Actor) whole(doing string) error {
	switch {
	case a.ID == 0:
		return fault.New(fault.Unauthenticated, "token-needed", "store.sign-in-to", message.Of(doing))
	case a.Scope != "" && a.Scope != ScopeAll:
		return fault.New(fault.NotAllowed, "scope-needed", "store.scope-all-needed", message.Of(doing), a.Scope)
	}
	return nil
}

// Token is what a tool signs in with, as its owner sees it.
type Token struct {
	ID        int64
	Name      string
	Scope     string
	CreatedAt time.Time
	ExpiresAt time.Time // zero: never
}

// Bounds of what an account signs in with.
const (
	maxTokens    = 50
	maxSessions  = 50 // the oldest makes room
	sessionTime  = 30 * 24 * time.Hour
	maxTokenTime = 10 * 365 * 24 * time.Hour
)

// Tokens lists the account's own tokens, newest first. Expired ones are gone.
func (s *Store) Tokens(ctx context.Context, who Actor) ([]Token, error) {
	rows, err := s.reads.Query(ctx, `SELECT id, name, scope, created_at, coalesce(expires_at, '0001-01-01T00:00:00Z') FROM tokens
		WHERE account = $1 AND (expires_at IS NULL OR expires_at > now()) ORDER BY id DESC`, who.ID)
	if err != nil {
		return nil, fail(err, "list tokens")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Token])
	return out, fail(err, "list tokens")
}

// MakeToken makes the account another token; the secret is shown here and never
// again. lasts 0 is for ever.
//
// Refusals: Unauthenticated token-needed; NotAllowed scope-needed; Invalid
// token-refused; Conflict token-quota.
func (s *Store) MakeToken(ctx context.Context, who Actor, name, scope string, lasts time.Duration) (t Token,
	secret string, err error) {
	if err := who.whole("doing.make-token"); err != nil {
		return Token{}, "", err
	}
	if err := checkToken(name, scope, lasts); err != nil {
		return Token{}, "", err
	}
	secret, hash := newToken()
	t = Token{Name: name, Scope: scope}
	err = s.own(ctx, who, event{what: "token-made", sentence: message.Of("event.token-made", "{account}")},
		func(a *act) error {
			if _, err := a.tx.Exec(ctx, `DELETE FROM tokens WHERE account = $1 AND expires_at <= now()`,
				a.actor.ID); err != nil {
				return err
			}
			var have int
			if err := a.tx.QueryRow(ctx, `SELECT count(*) FROM tokens WHERE account = $1`,
				a.actor.ID).Scan(&have); err != nil {
				return err
			}
			if have >= maxTokens {
				return fault.New(fault.Conflict, "token-quota", "store.token-quota", maxTokens)
			}
			if lasts > 0 {
				t.ExpiresAt = a.at.Add(lasts)
			}
			return a.tx.QueryRow(ctx, `INSERT INTO tokens (hash, account, name, scope, created_at, expires_at)
			VALUES ($1, $2, $3, $4, $5, nullif($6::timestamptz, '0001-01-01T00:00:00Z')) RETURNING id, created_at`,
				hash, a.actor.ID, name, scope, a.at, t.ExpiresAt).Scan(&t.ID, &t.CreatedAt)
		})
	return t, secret, err
}

func checkToken(name, scope string, lasts time.Duration) error {
	switch {
	case scope != ScopeRead && scope != ScopeContribute && scope != ScopeReview && scope != ScopeAll:
		return fault.New(fault.Invalid, "token-refused", "store.token-scope")
	case lasts < 0 || lasts > maxTokenTime:
		return fault.New(fault.Invalid, "token-refused", "store.token-time")
	case strings.TrimSpace(name) == "" || utf8.RuneCountInString(name) > 64 || !utf8.ValidString(name) ||
		strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }):
		return fault.New(fault.Invalid, "token-refused", "store.token-name")
	}
	return nil
}

// EndToken revokes one of the account's own tokens. NotFound token-unknown.
func (s *Store) EndToken(ctx context.Context, who Actor, id int64) error {
	if err := who.whole("doing.revoke-token"); err != nil {
		return err
	}
	return s.own(ctx, who, event{what: "token-ended", sentence: message.Of("event.token-ended", "{account}")},
		func(a *act) error {
			tag, err := a.tx.Exec(ctx, `DELETE FROM tokens WHERE account = $1 AND id = $2`, a.actor.ID, id)
			if err == nil && tag.RowsAffected() == 0 {
				return missing("token-unknown", "store.token-unknown", id)
			}
			return err
		})
}

// own runs an act of an account on itself, and has every server forget what it
// knew of the account. An event without a kind is none.
func (s *Store) own(ctx context.Context, who Actor, e event, do func(*act) error) error {
	err := s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		var err error
		if a.actor, err = present(ctx, tx, who); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `SELECT FROM accounts WHERE id = $1 FOR NO KEY UPDATE`, a.actor.ID); err != nil {
			return err
		}
		if err := a.now(ctx); err != nil {
			return err
		}
		if err := do(a); err != nil {
			return err
		}
		if e.what == "" {
			_, err = tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeAccounts)
			return err
		}
		e.at, e.who, e.account = a.at, a.actor.ID, a.actor.ID
		return s.accountChanged(ctx, tx, e)
	})
	s.accounts.forget()
	return fail(err, "account %d", who.ID)
}

// Session is a browser that is signed in, as its owner sees it.
type Session struct {
	ID        int64
	Browser   string // as it named itself
	CreatedAt time.Time
	SeenAt    time.Time // to the hour
	ExpiresAt time.Time
	This      bool // the one that asks
}

// NewSession signs a browser in and returns its secret, which works for 30 days
// or until it is ended.
func (s *Store) NewSession(ctx context.Context, who Actor, browser string) (string, error) {
	if err := who.whole("doing.sign-in-browser"); err != nil {
		return "", err
	}
	secret, hash := newToken()
	if r := []rune(strings.ToValidUTF8(column(browser), "")); len(r) > 200 {
		browser = string(r[:200])
	} else {
		browser = string(r)
	}
	err := s.own(ctx, who, event{}, func(a *act) error {
		_, err := a.tx.Exec(ctx, `DELETE FROM sessions WHERE account = $1 AND (expires_at <= now()
			OR id IN (SELECT id FROM sessions WHERE account = $1 ORDER BY id DESC OFFSET $2))`, a.actor.ID,
			maxSessions-1)
		if err != nil {
			return err
		}
		_, err = a.tx.Exec(ctx, `INSERT INTO sessions (hash, account, browser, expires_at) VALUES ($1, $2, $3, $4)`,
			hash, a.actor.ID, browser, a.at.Add(sessionTime))
		return err
	})
	return secret, err
}

// AuthenticateSession tells whose browser this is: Unauthenticated
// session-ended for one that nobody signed in, or not any more.
func (s *Store) AuthenticateSession(ctx context.Context, secret string) (Actor, error) {
	hash := hashToken(secret)
	key := append([]byte("session "), hash...)
	if a, ok := s.accounts.get(key); ok {
		return a, nil
	}
	round := s.accounts.round()
	var a Actor
	var stale bool
	err := s.reads.QueryRow(ctx, `SELECT a.id, a.name, a.role, s.seen_at < now() - interval '1 hour' FROM sessions s JOIN accounts a ON a.id = s.account
		WHERE s.hash = $1 AND s.expires_at > now() AND a.disabled_at IS NULL`, hash).Scan(&a.ID, &a.Name, &a.Role,
		&stale)
	if noRows(err) {
		return Actor{}, fault.New(fault.Unauthenticated, "session-ended", "store.browser-unknown")
	}
	if err != nil {
		return Actor{}, fail(err, "authenticate")
	}
	if stale {
		_, _ = s.writes.Exec(ctx, `UPDATE sessions SET seen_at = now() WHERE hash = $1`, hash) // nothing hangs on it
	}
	s.accounts.put(key, a, round)
	return a, nil
}

// Sessions lists where the account is signed in; secret is that of the browser
// that asks, "" for none.
func (s *Store) Sessions(ctx context.Context, who Actor, secret string) ([]Session, error) {
	rows, err := s.reads.Query(ctx, `SELECT id, browser, created_at, seen_at, expires_at, hash = $2 FROM sessions
		WHERE account = $1 AND expires_at > now() ORDER BY id DESC`, who.ID, hashToken(secret))
	if err != nil {
		return nil, fail(err, "list sessions")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Session])
	return out, fail(err, "list sessions")
}

// EndSession signs one of the account's browsers out. NotFound session-unknown.
func (s *Store) EndSession(ctx context.Context, who Actor, id int64) error {
	if err := who.whole("doing.end-session"); err != nil {
		return err
	}
	return s.own(ctx, who, event{}, func(a *act) error {
		tag, err := a.tx.Exec(ctx, `DELETE FROM sessions WHERE account = $1 AND id = $2`, a.actor.ID, id)
		if err == nil && tag.RowsAffected() == 0 {
			return missing("session-unknown", "store.session-unknown", id)
		}
		return err
	})
}

// SignOut ends the session of a secret; one that is none is fine.
func (s *Store) SignOut(ctx context.Context, secret string) error {
	err := s.write(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `DELETE FROM sessions WHERE hash = $1`, hashToken(secret)); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeAccounts)
		return err
	})
	s.accounts.forget()
	return fail(err, "sign out")
}
