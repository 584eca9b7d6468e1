package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
)

// Invitation is a link by which people join, or by which one who has an account
// signs in once.
type Invitation struct {
	ID        int64
	Role      review.Role // of those who join
	Account   string      // whose sign-in it is; "" for a link to join
	Uses      int         // left
	MadeBy    string      // "" for the operator
	MadeAt    time.Time
	ExpiresAt time.Time
}

// Bounds of an invitation.
const (
	maxInvitationTime = 90 * 24 * time.Hour
	maxUses           = 1000
	signInLinkTime    = 24 * time.Hour
)

// Invite makes a link to join by; its secret is shown here and never again.
// Stewards are not made by a link.
//
// Refusals: Unauthenticated token-needed; NotAllowed role-needed; Invalid
// invitation-refused.
func (s *Store) Invite(ctx context.Context, who Actor, role review.Role, uses int, lasts time.Duration,
	why string) (Invitation, string, error) {
	if role != review.Contributor && role != review.Reviewer || uses < 1 || uses > maxUses || lasts < time.Minute ||
		lasts > maxInvitationTime {
		return Invitation{}, "", fault.New(fault.Invalid, "invitation-refused",
			"store.invitation-form", maxUses, maxInvitationTime/(24*time.Hour))
	}
	return s.invite(ctx, who, Invitation{Role: role, Uses: uses}, 0, lasts, why)
}

// SignInLink makes a link by which an account signs in once, within a day: for
// who lost a passkey or a token. Refusals as Invite, with NotFound
// account-unknown.
func (s *Store) SignInLink(ctx context.Context, who Actor, account int64, why string) (Invitation, string, error) {
	return s.invite(ctx, who, Invitation{Role: review.Contributor, Uses: 1}, account, signInLinkTime, why)
}

func (s *Store) invite(ctx context.Context, who Actor, in Invitation, account int64, lasts time.Duration,
	why string) (Invitation, string, error) {
	secret, hash := newToken()
	_, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.make-invitation"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := checkReason(why); err != nil {
			return Receipt{}, event{}, err
		}
		if err := a.now(ctx); err != nil {
			return Receipt{}, event{}, err
		}
		in.MadeBy, in.MadeAt, in.ExpiresAt = a.actor.Name, a.at, a.at.Add(lasts)
		if account > 0 {
			err := a.tx.QueryRow(ctx, `SELECT name FROM accounts WHERE id = $1 AND disabled_at IS NULL`,
				account).Scan(&in.Account)
			if noRows(err) {
				return Receipt{}, event{}, missing("account-unknown", "store.account-sign-in-unknown", account)
			}
			if err != nil {
				return Receipt{}, event{}, err
			}
		}
		err := a.tx.QueryRow(ctx, `INSERT INTO invitations (hash, role, account, uses, made_by, made_at, expires_at)
			VALUES ($1, $2, nullif($3::bigint, 0), $4, nullif($5::bigint, 0), $6, $7) RETURNING id`,
			hash, in.Role, account, in.Uses, a.actor.ID, a.at, in.ExpiresAt).Scan(&in.ID)
		sentence := message.Of("event.invitation-made", "{who}", in.ID, in.Uses, in.Role)
		if account > 0 {
			sentence = message.Of("event.sign-in-link-made", "{who}", "{account}")
		}
		return Receipt{}, event{what: "invitation-made", account: account, why: why, sentence: sentence}, err
	})
	return in, secret, fail(err, "invite")
}

// Invitations lists the links that still work, newest first.
func (s *Store) Invitations(ctx context.Context) ([]Invitation, error) {
	rows, err := s.reads.Query(ctx, `SELECT i.id, i.role, coalesce(a.name, ''), i.uses, coalesce(m.name, ''), i.made_at, i.expires_at
		FROM invitations i LEFT JOIN accounts a ON a.id = i.account LEFT JOIN accounts m ON m.id = i.made_by
		WHERE i.uses > 0 AND i.expires_at > now() ORDER BY i.id DESC LIMIT 500`)
	if err != nil {
		return nil, fail(err, "list invitations")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Invitation])
	return out, fail(err, "list invitations")
}

// EndInvitation makes a link work no more. NotFound invitation-unknown.
func (s *Store) EndInvitation(ctx context.Context, who Actor, id int64) error {
	_, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.end-invitation"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := a.now(ctx); err != nil {
			return Receipt{}, event{}, err
		}
		tag, err := a.tx.Exec(ctx, `UPDATE invitations SET uses = 0 WHERE id = $1 AND uses > 0`, id)
		if err == nil && tag.RowsAffected() == 0 {
			err = missing("invitation-unknown", "store.invitation-unknown", id)
		}
		return Receipt{}, event{what: "invitation-ended", sentence: message.Of("event.invitation-ended", "{who}", id)},
			err
	})
	return fail(err, "end invitation %d", id)
}

// Invited says what a link is good for. NotFound invitation-unknown for one
// that does not work (any more).
func (s *Store) Invited(ctx context.Context, secret string) (Invitation, error) {
	var in Invitation
	err := s.reads.QueryRow(ctx, `SELECT i.id, i.role, coalesce(a.name, ''), i.uses, i.expires_at FROM invitations i LEFT JOIN accounts a ON a.id = i.account
		WHERE i.hash = $1 AND i.uses > 0 AND i.expires_at > now()`, hashToken(secret)).Scan(&in.ID, &in.Role,
		&in.Account, &in.Uses, &in.ExpiresAt)
	if noRows(err) {
		return in, noInvitation()
	}
	return in, fail(err, "invitation")
}

func noInvitation() error {
	return missing("invitation-unknown", "store.link-dead")
}

// signUp is the name of the choice that opens the registry to whoever comes.
const signUp = "sign-up"

// SignUpOpen tells whether people join without an invitation.
func (s *Store) SignUpOpen(ctx context.Context) (open bool, err error) {
	err = s.reads.QueryRow(ctx, `SELECT EXISTS (SELECT FROM choices WHERE name = $1 AND value = 'open')`,
		signUp).Scan(&open)
	return open, fail(err, "sign-up")
}

// SetSignUp opens the registry to whoever comes, or closes it again.
func (s *Store) SetSignUp(ctx context.Context, who Actor, open bool, why string) (Receipt, error) {
	value := map[bool]string{true: "open", false: "by invitation"}[open]
	r, err := s.perform(ctx, who, Once{}, func(a *act) (Receipt, event, error) {
		if err := a.steward("doing.choose-joining"); err != nil {
			return Receipt{}, event{}, err
		}
		if err := checkReason(why); err != nil {
			return Receipt{}, event{}, err
		}
		if err := a.now(ctx); err != nil {
			return Receipt{}, event{}, err
		}
		tag, err := a.tx.Exec(ctx,
			`INSERT INTO choices AS c VALUES ($1, $2) ON CONFLICT ON CONSTRAINT choices_pkey DO UPDATE SET value = $2 WHERE c.value <> $2`, signUp, value)
		if err != nil || tag.RowsAffected() == 0 {
			return Receipt{}, event{}, err
		}
		return Receipt{}, event{what: "sign-up-changed", why: why, sentence: message.Of("event.sign-up-changed",
			"{who}", message.Of(map[bool]string{true: "event.without-invitation",
				false: "event.on-invitation"}[open]))}, nil
	})
	return r, fail(err, "sign-up")
}

// maxJoined is how many people join without an invitation in a day.
const maxJoined = 100

// Join makes an account for who comes by a link, or without one where that is
// open, and has accepted the terms and the licence of what they contribute.
//
// Refusals: Invalid account-invalid or terms-not-accepted; NotFound
// invitation-unknown; NotAllowed sign-up-closed; Conflict account-exists or
// sign-up-quota.
func (s *Store) Join(ctx context.Context, secret, name string, accepted bool) (Actor, error) {
	return s.join(ctx, secret, name, accepted, func(pgx.Tx, Actor) error { return nil })
}

// JoinWithToken is Join for a tool: the account has a first token, which is
// shown here and never again.
func (s *Store) JoinWithToken(ctx context.Context, secret, name string, accepted bool) (Actor, string, error) {
	token, hash := newToken()
	who, err := s.join(ctx, secret, name, accepted, func(tx pgx.Tx, who Actor) error {
		_, err := tx.Exec(ctx, `INSERT INTO tokens (hash, account, name) VALUES ($1, $2, 'first')`, hash, who.ID)
		return err
	})
	return who, token, err
}

func (s *Store) join(ctx context.Context, secret, name string, accepted bool, also func(pgx.Tx, Actor) error) (Actor,
	error) {
	if err := checkName(name); err != nil {
		return Actor{}, err
	}
	if !accepted {
		return Actor{}, fault.New(fault.Invalid, "terms-not-accepted", "store.terms")
	}
	var who Actor
	err := s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		role, invitation, err := takeInvitation(ctx, tx, secret)
		if err != nil {
			return err
		}
		if err := a.now(ctx); err != nil {
			return err
		}
		who = Actor{Name: name, Role: role}
		err = tx.QueryRow(ctx,
			`INSERT INTO accounts (name, role, invitation, accepted_at) VALUES ($1, $2, $3, $4) RETURNING id`, name,
			role, invitation, a.at).Scan(&who.ID)
		if err != nil {
			return err
		}
		if err := also(tx, who); err != nil {
			return err
		}
		_, err = record(ctx, tx, event{at: a.at, who: who.ID, account: who.ID, what: "account-joined",
			sentence: message.Of("event.account-joined-how", "{account}", role, how(invitation))})
		return err
	})
	return who, fail(err, "join")
}

func how(invitation int64) message.Message {
	if invitation == 0 {
		return message.Of("event.without-invitation")
	}
	return message.Of("event.by-invitation", invitation)
}

// takeInvitation uses a link up by one, or sees whether none is needed.
func takeInvitation(ctx context.Context, tx pgx.Tx, secret string) (role review.Role, id int64, err error) {
	if secret != "" {
		err = tx.QueryRow(ctx, `UPDATE invitations SET uses = uses - 1 WHERE hash = $1 AND uses > 0 AND expires_at > clock_timestamp() AND account IS NULL
			RETURNING role, id`, hashToken(secret)).Scan(&role, &id)
		if noRows(err) {
			err = noInvitation()
		}
		return role, id, err
	}
	var open bool
	var lately int
	err = tx.QueryRow(ctx, `SELECT EXISTS (SELECT FROM choices WHERE name = $1 AND value = 'open'),
		(SELECT count(*) FROM accounts WHERE invitation = 0 AND created_at > now() - interval '1 day')`,
		signUp).Scan(&open, &lately)
	switch {
	case err != nil:
		return "", 0, err
	case !open:
		return "", 0, fault.New(fault.NotAllowed, "sign-up-closed", "store.sign-up-closed")
	case lately >= maxJoined:
		return "", 0, fault.New(fault.Conflict, "sign-up-quota", "store.sign-up-quota")
	}
	return review.Contributor, 0, nil
}

// SignInOnce uses a one-time link up and tells whose it was. NotFound
// invitation-unknown.
func (s *Store) SignInOnce(ctx context.Context, secret string) (Actor, error) {
	var who Actor
	err := s.write(ctx, func(tx pgx.Tx) error {
		err := tx.QueryRow(ctx, `UPDATE invitations i SET uses = 0 FROM accounts a WHERE i.hash = $1 AND i.uses > 0 AND i.expires_at > clock_timestamp()
			AND a.id = i.account AND a.disabled_at IS NULL RETURNING a.id, a.name, a.role`,
			hashToken(secret)).Scan(&who.ID, &who.Name, &who.Role)
		if noRows(err) {
			return noInvitation()
		}
		return err
	})
	return who, fail(err, "sign in by a link")
}

// Accept notes that the account's owner accepted terms and licence; once is
// enough.
func (s *Store) Accept(ctx context.Context, who Actor) error {
	err := s.write(ctx, func(tx pgx.Tx) error {
		_, err := tx.Exec(ctx, `UPDATE accounts SET accepted_at = coalesce(accepted_at, now()) WHERE id = $1`, who.ID)
		return err
	})
	return fail(err, "accept the terms")
}

// Accepted tells whether the account's owner has accepted terms and licence.
func (s *Store) Accepted(ctx context.Context, who Actor) (yes bool, err error) {
	err = s.reads.QueryRow(ctx, `SELECT accepted_at IS NOT NULL FROM accounts WHERE id = $1`, who.ID).Scan(&yes)
	return yes, fail(err, "terms of account %d", who.ID)
}
