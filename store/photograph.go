package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/fault"
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

// PutPhotograph keeps a picture without its metadata, once however often it
// comes; created tells that it is new. Its name is the SHA-256 of what is kept.
//
// Refusals: Unauthenticated token-needed; TooLarge photograph-too-large;
// Invalid photograph-unreadable.
func (s *Store) PutPhotograph(ctx context.Context, who Actor, data []byte) (p *Photograph, created bool, err error) {
	if who.Role == review.Anonymous {
		return nil, false, fault.New(fault.Unauthenticated, "token-needed", "To upload a photograph, sign in with the token of an account.")
	}
	pic, err := photograph.Read(data)
	if err != nil {
		return nil, false, pictureFault(err)
	}
	sum := sha256.Sum256(pic.Data)
	err = s.write(ctx, func(tx pgx.Tx) error {
		a := &act{tx: tx}
		if a.actor, err = present(ctx, tx, who); err != nil {
			return err
		}
		created, err = keepPicture(ctx, a, sum, pic)
		return err
	})
	if err != nil {
		return nil, false, fmt.Errorf("keep photograph: %w", err)
	}
	p, err = s.Photograph(ctx, hex.EncodeToString(sum[:]))
	return p, created, err
}

func pictureFault(err error) error {
	kind, code := fault.Invalid, "photograph-unreadable"
	if errors.Is(err, photograph.ErrLarge) {
		kind, code = fault.TooLarge, "photograph-too-large"
	}
	return fault.New(kind, code, fmt.Sprintf("The photograph was refused: %v. Send a JPEG, PNG or WebP picture of at most %d MiB.", err, photograph.MaxBytes>>20))
}

// keepPicture writes a picture with its event where it is new.
func keepPicture(ctx context.Context, a *act, sum [32]byte, pic photograph.Picture) (bool, error) {
	if err := a.now(ctx); err != nil {
		return false, err
	}
	tag, err := a.tx.Exec(ctx, `INSERT INTO photographs (sha256, type, width, height, data, by, at) VALUES ($1, $2, $3, $4, $5, $6, $7)
		ON CONFLICT ON CONSTRAINT photographs_pkey DO NOTHING`, sum[:], pic.Type, pic.Width, pic.Height, pic.Data, a.actor.ID, a.at)
	if err != nil || tag.RowsAffected() == 0 {
		return false, err
	}
	_, err = record(ctx, a.tx, event{at: a.at, who: a.actor.ID, what: "photograph-kept", photograph: sum[:],
		sentence: fmt.Sprintf("%s kept a photograph, %d × %d pixels.", a.actor.Name, pic.Width, pic.Height)})
	return true, err
}

// Photograph gets a kept picture. NotFound photograph-unknown.
func (s *Store) Photograph(ctx context.Context, sum string) (*Photograph, error) {
	if !review.IsSHA256(sum) {
		return nil, missing("photograph-unknown", "A photograph is named by its SHA-256, 64 lower-case hexadecimal digits.")
	}
	p := &Photograph{SHA256: sum}
	err := s.db.QueryRow(ctx, `SELECT p.type, p.width, p.height, p.data, a.name, p.at FROM photographs p JOIN accounts a ON a.id = p.by
		WHERE p.sha256 = decode($1, 'hex')`, sum).Scan(&p.Type, &p.Width, &p.Height, &p.Data, &p.By, &p.At)
	if noRows(err) {
		return nil, missing("photograph-unknown", "There is no photograph %s.", sum)
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
