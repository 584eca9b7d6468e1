package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/photograph"
	"boardlore/domain/review"
)

// Photograph is a picture that evidence may name. It never changes.
type Photograph struct {
	SHA256 string // of Data, lower-case hex
	Type   string // image/jpeg, image/png or image/webp
	Bytes  int
	Width  int // pixels
	Height int // pixels
	Data   []byte
	By     string // who brought it first
	At     time.Time
}

// What an account may hold of photographs that no proposal names, and how long
// such a one is kept after it was last brought.
const (
	maxUnnamed      = 100
	maxUnnamedBytes = 256 << 20
	unnamedDays     = 30
)

// maxProposalPhotographs is how many photographs the evidence of one proposal names at most.
const maxProposalPhotographs = 60

// PutPhotograph keeps a picture's pixels, upright and written anew, once however
// often it comes; created tells that it is new. Its name is the SHA-256 of what is kept.
// One that no proposal comes to name is cleared after 30 days.
//
// Refusals: Unauthenticated token-needed; TooLarge photograph-too-large;
// Invalid photograph-unreadable; Conflict photograph-quota.
func (s *Store) PutPhotograph(ctx context.Context, who Actor, data []byte) (p *Photograph, created bool, err error) {
	if who.Role == review.Anonymous {
		return nil, false, fault.New(fault.Unauthenticated, "token-needed", "store.photograph-token")
	}
	if err := s.Room(ctx, len(data)); err != nil {
		return nil, false, err
	}
	pic, err := s.develop(ctx, data)
	if err != nil {
		return nil, false, err
	}
	sum := sha256.Sum256(pic.Data)
	err = s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		if a.actor, err = present(ctx, tx, who); err != nil {
			return err
		}
		if created, err = keepPicture(ctx, a, sum, pic); err != nil {
			return err
		}
		p, err = photographIn(ctx, tx, hex.EncodeToString(sum[:]))
		return err
	})
	if err != nil {
		return nil, false, fmt.Errorf("keep photograph: %w", err)
	}
	return p, created, nil
}

// develop writes a picture anew, one at a time, since its pixels take much more
// room than its bytes. One that is kept already is what it is.
func (s *Store) develop(ctx context.Context, data []byte) (photograph.Picture, error) {
	sum := sha256.Sum256(data)
	var kept bool
	if err := s.reads.QueryRow(ctx, `SELECT EXISTS (SELECT FROM photographs WHERE sha256 = $1)`,
		sum[:]).Scan(&kept); err != nil {
		return photograph.Picture{}, fail(err, "look for the photograph")
	}
	read := photograph.Anew
	if kept {
		read = photograph.Read
	}
	select {
	case s.darkroom <- struct{}{}:
		defer func() { <-s.darkroom }()
	case <-ctx.Done():
		return photograph.Picture{}, ctx.Err()
	}
	pic, err := read(data)
	if err != nil {
		return pic, pictureFault(err)
	}
	return pic, nil
}

// clearUnnamed deletes photographs that no proposal came to name in time. One
// that is being named at this moment is locked, and left alone.
func clearUnnamed(ctx context.Context, tx pgx.Tx) error {
	_, err := tx.Exec(ctx, `DELETE FROM photographs WHERE sha256 IN (
		SELECT sha256 FROM photographs WHERE NOT named AND asked_at < now() - make_interval(days => $1) LIMIT 100 FOR UPDATE SKIP LOCKED)`, unnamedDays)
	return err
}

// checkQuota holds an account to what it may keep unnamed, with size bytes
// more. Its row is locked, so that two uploads at once don't both fit.
func checkQuota(ctx context.Context, a *act, size int) error {
	if _, err := a.tx.Exec(ctx, `SELECT FROM accounts WHERE id = $1 FOR NO KEY UPDATE`, a.actor.ID); err != nil {
		return err
	}
	var count, bytes int
	err := a.tx.QueryRow(ctx,
		`SELECT count(*), coalesce(sum(octet_length(data)), 0) FROM photographs WHERE by = $1 AND NOT named`,
		a.actor.ID).Scan(&count, &bytes)
	if err != nil || count < maxUnnamed && bytes+size <= maxUnnamedBytes {
		return err
	}
	return fault.New(fault.Conflict, "photograph-quota", "store.photograph-quota", count, bytes>>20, maxUnnamed,
		maxUnnamedBytes>>20, unnamedDays)
}

// namePhotograph marks a photograph as evidence and tells whether it is there.
func namePhotograph(ctx context.Context, tx pgx.Tx, sum string) (bool, error) {
	tag, err := tx.Exec(ctx, `UPDATE photographs p SET named = true WHERE sha256 = decode($1, 'hex')
		AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.photograph = p.sha256)`, sum)
	return tag.RowsAffected() == 1, err
}

// namePhotographs has the photographs kept that a map names. One that its base
// names already may have been withdrawn since: that is no fault of this map.
func namePhotographs(ctx context.Context, a *act, m *board.Map, base *Revision, pointer string) error {
	var fs []finding.Finding
	for i, p := range m.Photographs {
		there, err := namePhotograph(ctx, a.tx, p.SHA256)
		if err != nil {
			return err
		}
		if there || base != nil && slices.ContainsFunc(base.Map.Photographs,
			func(b board.Photograph) bool { return b.SHA256 == p.SHA256 }) {
			continue
		}
		fs = append(fs, invalid(fmt.Sprintf("%s/photographs/%d/sha256", pointer, i),
			"store.photograph-unknown", p.SHA256))
	}
	return submissionFault(fs)
}

func pictureFault(err error) error {
	kind, code := fault.Invalid, "photograph-unreadable"
	if errors.Is(err, photograph.ErrLarge) {
		kind, code = fault.TooLarge, "photograph-too-large"
	}
	return fault.New(kind, code, "store.photograph-refused", err, photograph.MaxBytes>>20)
}

// keepPicture writes a picture with its event where it is new.
func keepPicture(ctx context.Context, a *act, sum [32]byte, pic photograph.Picture) (bool, error) {
	if err := a.now(ctx); err != nil {
		return false, err
	}
	if err := clearUnnamed(ctx, a.tx); err != nil {
		return false, err
	}
	tag, err := a.tx.Exec(ctx, `UPDATE photographs SET asked_at = $2 WHERE sha256 = $1`, sum[:], a.at)
	if err != nil || tag.RowsAffected() > 0 {
		return false, err
	}
	if err := checkQuota(ctx, a, len(pic.Data)); err != nil {
		return false, err
	}
	tag, err = a.tx.Exec(ctx, `INSERT INTO photographs (sha256, type, width, height, data, by, at, asked_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $7)
		ON CONFLICT ON CONSTRAINT photographs_pkey DO NOTHING`, sum[:], pic.Type, pic.Width, pic.Height, pic.Data,
		a.actor.ID, a.at)
	if err != nil || tag.RowsAffected() == 0 {
		return false, err
	}
	_, err = record(ctx, a.tx, event{at: a.at, who: a.actor.ID, what: "photograph-kept", photograph: sum[:],
		sentence: message.Of("event.photograph-kept", "{who}", pic.Width, pic.Height)})
	return true, err
}

func noPhotograph(sum string) error {
	if !review.IsSHA256(sum) {
		return missing("photograph-unknown", "store.photograph-name")
	}
	return missing("photograph-unknown", "store.photograph-gone", sum, unnamedDays)
}

// Photograph gets a kept picture. NotFound photograph-unknown; Gone or Unlawful
// where it was withdrawn.
func (s *Store) Photograph(ctx context.Context, sum string) (*Photograph, error) {
	if !review.IsSHA256(sum) {
		return nil, noPhotograph(sum)
	}
	return photographIn(ctx, s.reads, sum)
}

func photographIn(ctx context.Context, q querier, sum string) (*Photograph, error) {
	w, err := photographWithdrawal(ctx, q, sum)
	if err != nil {
		return nil, fail(err, "photograph %s", sum)
	}
	if w != nil {
		return nil, gonePhotograph(*w, sum)
	}
	p := &Photograph{SHA256: sum}
	err = q.QueryRow(ctx, `SELECT p.type, p.width, p.height, p.data, a.name, p.at FROM photographs p JOIN accounts a ON a.id = p.by
		WHERE p.sha256 = decode($1, 'hex')`, sum).Scan(&p.Type, &p.Width, &p.Height, &p.Data, &p.By, &p.At)
	if noRows(err) {
		return nil, noPhotograph(sum)
	}
	if err != nil {
		return nil, fail(err, "photograph %s", sum)
	}
	p.Bytes = len(p.Data)
	if got := sha256.Sum256(p.Data); hex.EncodeToString(got[:]) != sum {
		return nil, fmt.Errorf("photograph %s: %w", sum, ErrDamaged)
	}
	return p, nil
}
