package store

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"strings"
	"sync"
	"time"
	"unicode/utf8"

	"github.com/jackc/pgx/v5"
	"github.com/maypok86/otter/v2"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Actor is who does an act. The zero Actor is anonymous.
type Actor struct {
	ID   int64
	Name string
	Role review.Role // at most what Scope lets it be

	Scope string // of the token that it came with; "" for all

	operator bool
}

// Operator is whoever runs the server, at its command line: a steward without
// an account. What they do is an event of nobody's.
var Operator = Actor{Name: "the operator", Role: review.Steward, operator: true}

// Account is somebody who may sign in.
type Account struct {
	ID        int64
	Name      string
	Role      review.Role
	Disabled  bool
	CreatedAt time.Time
	Tokens    int // that it can sign in with
}

// tokenBytes makes a token too long to be guessed: 256 bits, so that a plain
// hash of it is safe to keep.
const tokenBytes = 32

// newToken makes a token and its hash.
func newToken() (token string, hash []byte) {
	b := make([]byte, tokenBytes)
	rand.Read(b) // never fails, by its documentation
	token = base64.RawURLEncoding.EncodeToString(b)
	return token, hashToken(token)
}

func hashToken(token string) []byte {
	h := sha256.Sum256([]byte(token))
	return h[:]
}

// Authenticate tells whose token this is: Unauthenticated token-invalid for
// one that nobody has, or whose account is disabled.
func (s *Store) Authenticate(ctx context.Context, token string) (Actor, error) {
	hash := hashToken(token)
	if a, ok := s.accounts.get(hash); ok {
		return a, nil
	}
	round := s.accounts.round()
	var a Actor
	err := s.reads.QueryRow(ctx, `
		SELECT a.id, a.name, a.role, t.scope FROM tokens t JOIN accounts a ON a.id = t.account
		WHERE t.hash = $1 AND a.disabled_at IS NULL AND (t.expires_at IS NULL OR t.expires_at > now())`,
		hash).Scan(&a.ID, &a.Name, &a.Role, &a.Scope)
	if noRows(err) {
		return Actor{}, invalidToken()
	}
	if err != nil {
		return Actor{}, fail(err, "authenticate")
	}
	a.Role = within(a.Role, a.Scope)
	s.accounts.put(hash, a, round)
	return a, nil
}

func invalidToken() error {
	return fault.New(fault.Unauthenticated, "token-invalid",
		"store.account-token-invalid")
}

// AddAccount makes an account and its first token, which is shown here and
// never again. Conflict account-exists, Invalid account-invalid.
func (s *Store) AddAccount(ctx context.Context, name string, role review.Role) (string, error) {
	if err := checkName(name); err != nil {
		return "", err
	}
	if _, err := review.ParseRole(string(role)); err != nil {
		return "", &fault.Error{Kind: fault.Invalid, Code: "account-invalid", Detail: message.Of("store.role-invalid"),
			Err: err}
	}
	token, hash := newToken()
	err := s.write(ctx, func(tx pgx.Tx) error {
		var id int64
		err := tx.QueryRow(ctx, `INSERT INTO accounts (name, role) VALUES ($1, $2) RETURNING id`, name, role).Scan(&id)
		if err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `INSERT INTO tokens (hash, account) VALUES ($1, $2)`, hash, id); err != nil {
			return err
		}
		_, err = record(ctx, tx, event{what: "account-added", account: id, sentence: message.Of("event.account-joined",
			"{account}", role)})
		return err
	})
	if err != nil {
		return "", fmt.Errorf("add account %q: %w", name, err)
	}
	return token, nil
}

func checkName(name string) error {
	if n := utf8.RuneCountInString(name); n < 1 || n > 64 || strings.TrimSpace(name) != name ||
		!utf8.ValidString(name) ||
		strings.ContainsFunc(name, func(r rune) bool { return r < ' ' || r == 0x7f }) {
		return fault.New(fault.Invalid, "account-invalid", "store.account-name")
	}
	return nil
}

// signOutEverywhere takes all that an account could sign in with.
func signOutEverywhere(ctx context.Context, tx pgx.Tx, account int64) error {
	if _, err := tx.Exec(ctx, `DELETE FROM tokens WHERE account = $1`, account); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `DELETE FROM passkeys WHERE account = $1`, account); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `DELETE FROM sessions WHERE account = $1`, account)
	return err
}

// NewToken gives an account a new token in place of all that it had. NotFound
// account-unknown, Conflict account-disabled.
func (s *Store) NewToken(ctx context.Context, name string) (string, error) {
	token, hash := newToken()
	err := s.write(ctx, func(tx pgx.Tx) error {
		id, disabled, err := lockAccount(ctx, tx, name)
		if err != nil {
			return err
		}
		if disabled {
			return fault.New(fault.Conflict, "account-disabled", "store.account-disabled", name)
		}
		if err := signOutEverywhere(ctx, tx, id); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `INSERT INTO tokens (hash, account) VALUES ($1, $2)`, hash, id); err != nil {
			return err
		}
		return s.accountChanged(ctx, tx, event{what: "token-made", account: id,
			sentence: message.Of("event.token-given", "{account}")})
	})
	if err != nil {
		return "", fmt.Errorf("new token for %q: %w", name, err)
	}
	s.accounts.forget()
	return token, nil
}

func lockAccount(ctx context.Context, tx pgx.Tx, name string) (id int64, disabled bool, err error) {
	err = tx.QueryRow(ctx, `SELECT id, disabled_at IS NOT NULL FROM accounts WHERE name = $1 FOR NO KEY UPDATE`,
		name).Scan(&id, &disabled)
	if noRows(err) {
		err = missing("account-unknown", "store.account-unknown", name)
	}
	return id, disabled, err
}

// accountChanged records the event and tells the other servers at commit.
func (s *Store) accountChanged(ctx context.Context, tx pgx.Tx, e event) error {
	if _, err := record(ctx, tx, e); err != nil {
		return err
	}
	_, err := tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeAccounts)
	return err
}

// Accounts lists all accounts by name.
func (s *Store) Accounts(ctx context.Context) ([]Account, error) {
	rows, err := s.reads.Query(ctx, `
		SELECT a.id, a.name, a.role, a.disabled_at IS NOT NULL AS disabled, a.created_at, count(t.hash) AS tokens
		FROM accounts a LEFT JOIN tokens t ON t.account = a.id GROUP BY a.id ORDER BY a.name`)
	if err != nil {
		return nil, fail(err, "list accounts")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByName[Account])
	return out, fail(err, "list accounts")
}

// accountCache spares a query per request. What it says is at most accountTTL
// old, and only if a change was not heard of; every act looks at the account
// again in its own transaction.
type accountCache struct {
	known *otter.Cache[string, Actor]

	mu      sync.Mutex
	trusted bool   // changes are being heard of
	turn    uint64 // counts what was heard, so that an answer from before is not kept
}

const (
	accountTTL = 5 * time.Second
	accountMax = 10_000
)

func newAccountCache() *accountCache {
	return &accountCache{known: otter.Must(&otter.Options[string, Actor]{MaximumSize: accountMax,
		ExpiryCalculator: otter.ExpiryWriting[string, Actor](accountTTL)})}
}

func (c *accountCache) get(hash []byte) (Actor, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.trusted {
		return Actor{}, false
	}
	return c.known.GetIfPresent(string(hash))
}

func (c *accountCache) round() uint64 {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.turn
}

// put keeps an answer that was asked for in the given round.
func (c *accountCache) put(hash []byte, a Actor, round uint64) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.trusted && c.turn == round {
		c.known.Set(string(hash), a)
	}
}

// forget drops everything: some account changed.
func (c *accountCache) forget() {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.turn++
	c.known.InvalidateAll()
}

// trust says whether changes are heard of from here on.
func (c *accountCache) trust(yes bool) {
	c.forget()
	c.mu.Lock()
	defer c.mu.Unlock()
	c.trusted = yes
}
