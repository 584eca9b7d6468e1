package store

import (
	"context"
	"time"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// Passkey is a public key by which an account signs in. What Credential holds
// is the caller's own.
type Passkey struct {
	ID         []byte
	Credential jsontext.Value
	MadeAt     time.Time
	UsedAt     time.Time // zero: never
}

const (
	maxPasskeys  = 20
	ceremonyTime = 10 * time.Minute
)

// BeginCeremony keeps what a ceremony needs to be ended by, under a secret that
// ends it once.
func (s *Store) BeginCeremony(ctx context.Context, data jsontext.Value) (string, error) {
	secret, hash := newToken()
	err := s.write(ctx, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `DELETE FROM ceremonies WHERE expires_at < now()`); err != nil {
			return err
		}
		_, err := tx.Exec(ctx, `INSERT INTO ceremonies VALUES ($1, $2::jsonb, now() + $3::interval)`, hash,
			string(data), ceremonyTime)
		return err
	})
	return secret, fail(err, "begin a ceremony")
}

// EndCeremony gives back what was kept. NotFound ceremony-unknown for one that
// was ended, or began too long ago.
func (s *Store) EndCeremony(ctx context.Context, secret string) (jsontext.Value, error) {
	var data string
	err := s.writes.QueryRow(ctx, `DELETE FROM ceremonies WHERE hash = $1 AND expires_at > now() RETURNING data::text`,
		hashToken(secret)).Scan(&data)
	if noRows(err) {
		return nil, missing("ceremony-unknown", "store.passkey-late")
	}
	return jsontext.Value(data), fail(err, "end a ceremony")
}

// Passkeys are those of an account, newest first.
func (s *Store) Passkeys(ctx context.Context, account int64) ([]Passkey, error) {
	rows, err := s.reads.Query(ctx, `SELECT id, credential::text, made_at, coalesce(used_at, '0001-01-01T00:00:00Z') FROM passkeys
		WHERE account = $1 ORDER BY made_at DESC`, account)
	if err != nil {
		return nil, fail(err, "list passkeys")
	}
	out, err := pgx.CollectRows(rows, func(row pgx.CollectableRow) (Passkey, error) {
		var p Passkey
		var credential string
		err := row.Scan(&p.ID, &credential, &p.MadeAt, &p.UsedAt)
		p.Credential = jsontext.Value(credential)
		return p, err
	})
	return out, fail(err, "list passkeys")
}

// AddPasskey gives the account another way to sign in. Conflict passkey-quota.
func (s *Store) AddPasskey(ctx context.Context, who Actor, id []byte, credential jsontext.Value) error {
	if err := who.whole("doing.add-passkey"); err != nil {
		return err
	}
	return s.own(ctx, who, event{what: "passkey-made", sentence: message.Of("event.passkey-made", "{account}")},
		func(a *act) error {
			var have int
			if err := a.tx.QueryRow(ctx, `SELECT count(*) FROM passkeys WHERE account = $1`,
				a.actor.ID).Scan(&have); err != nil {
				return err
			}
			if have >= maxPasskeys {
				return fault.New(fault.Conflict, "passkey-quota", "store.passkey-quota", maxPasskeys)
			}
			_, err := a.tx.Exec(ctx, `INSERT INTO passkeys (id, account, credential) VALUES ($1, $2, $3::jsonb)`, id,
				a.actor.ID, string(credential))
			return err
		})
}

// EndPasskey removes one of the account's own passkeys. NotFound passkey-unknown.
func (s *Store) EndPasskey(ctx context.Context, who Actor, id []byte) error {
	if err := who.whole("doing.remove-passkey"); err != nil {
		return err
	}
	return s.own(ctx, who, event{what: "passkey-ended", sentence: message.Of("event.passkey-ended", "{account}")},
		func(a *act) error {
			tag, err := a.tx.Exec(ctx, `DELETE FROM passkeys WHERE account = $1 AND id = $2`, a.actor.ID, id)
			if err == nil && tag.RowsAffected() == 0 {
				return missing("passkey-unknown", "store.passkey-unknown")
			}
			return err
		})
}

// UsePasskey notes that a passkey signed in, with what it says of itself now,
// and tells who that is. Unauthenticated passkey-refused for one that is
// nobody's, or whose account is disabled.
func (s *Store) UsePasskey(ctx context.Context, id []byte, credential jsontext.Value) (Actor, error) {
	var who Actor
	err := s.writes.QueryRow(ctx, `UPDATE passkeys p SET used_at = now(), credential = $2::jsonb FROM accounts a
		WHERE p.id = $1 AND a.id = p.account AND a.disabled_at IS NULL RETURNING a.id, a.name, a.role`, id,
		string(credential)).Scan(&who.ID, &who.Name, &who.Role)
	if noRows(err) {
		return Actor{}, fault.New(fault.Unauthenticated, "passkey-refused", "store.passkey-nobody")
	}
	return who, fail(err, "sign in by a passkey")
}
