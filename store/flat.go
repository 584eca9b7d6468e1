package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/photograph"
	"boardlore/domain/placement"
)

// Flat is a photograph of one side of a board, laid flat onto the board's frame.
type Flat struct {
	Tag           string // names how it was made, and from what
	Plane         *photograph.Plane
	Sheet         photograph.Sheet // that it was made as
	Width, Height int              // of the photograph that it was made of, in pixels
	JPEG          []byte
}

// flatTime bounds what laying a photograph flat may take.
const flatTime = 30 * time.Second

// FlatPhotograph gets the flattened photograph of one side that a revision
// names: the first of them that is in use.
//
// NotFound photograph-unknown where it names none, or none that is kept; Gone
// or Unlawful where it was withdrawn; Invalid points-open where its points leave
// open how the board lies in it.
func (s *Store) FlatPhotograph(ctx context.Context, r *Revision, side board.Side) (*Flat, error) {
	err := missing("photograph-unknown", "store.no-photograph-of-side", r.Number, r.Board, side)
	for i, p := range r.Map.Photographs {
		if p.Side != side {
			continue
		}
		f, kept := s.flat(ctx, &r.Map.Frame, &r.Map.Photographs[i], i)
		if kept == nil {
			return f, nil
		}
		err = kept
	}
	return nil, err
}

func (s *Store) flat(ctx context.Context, frame *board.Frame, p *board.Photograph, i int) (*Flat, error) {
	f := &Flat{}
	err := s.reads.QueryRow(ctx, `SELECT width, height FROM photographs WHERE sha256 = decode($1, 'hex')`,
		p.SHA256).Scan(&f.Width, &f.Height)
	if err != nil && !noRows(err) {
		return nil, fail(err, "photograph %s", p.SHA256)
	}
	if w, err := photographWithdrawal(ctx, s.reads, p.SHA256); w != nil || err != nil {
		if w != nil {
			err = gonePhotograph(*w, p.SHA256)
		}
		return nil, fail(err, "photograph %s", p.SHA256)
	}
	if noRows(err) {
		return nil, noPhotograph(p.SHA256)
	}
	if f.Plane, _, err = photograph.Lie(placement.Points(p.Points), p.Side == board.Bottom); err != nil {
		return nil, openFlat(err, i)
	}
	f.Sheet = f.Plane.Fine([2]float64{frame.Width, frame.Height}, p.Side == board.Bottom)
	laid, err := laidBy(p, f.Sheet)
	if err != nil {
		return nil, err
	}
	f.Tag = hex.EncodeToString(laid)
	f.JPEG, err = s.layFlat(ctx, p.SHA256, laid, f)
	return f, err
}

func openFlat(err error, i int) error {
	return fault.New(fault.Invalid, "points-open", "store.photograph-not-flat", i+1, err)
}

// laidBy names a way of laying a photograph flat.
func laidBy(p *board.Photograph, s photograph.Sheet) ([]byte, error) {
	b, err := json.Marshal(struct {
		Photograph string
		Points     []photograph.Point
		Sheet      photograph.Sheet
	}{p.SHA256, placement.Points(p.Points), s}, json.Deterministic(true))
	sum := sha256.Sum256(b)
	return sum[:], err
}

// layFlat gets what was made before, or makes it: one at a time, and once for
// all who ask for it meanwhile.
func (s *Store) layFlat(ctx context.Context, sum string, laid []byte, f *Flat) (data []byte, err error) {
	err = s.reads.QueryRow(ctx, `SELECT data FROM flattened WHERE photograph = decode($1, 'hex') AND laid = $2`, sum,
		laid).Scan(&data)
	if !noRows(err) {
		return data, fail(err, "flattened photograph %s", sum)
	}
	made := s.flights.DoChan("flat "+f.Tag, func() (any, error) {
		work, cancel := context.WithTimeout(context.WithoutCancel(ctx), flatTime)
		defer cancel()
		return s.makeFlat(work, sum, laid, f)
	})
	select {
	case r := <-made:
		if r.Err != nil {
			return nil, r.Err
		}
		return r.Val.([]byte), nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func (s *Store) makeFlat(ctx context.Context, sum string, laid []byte, f *Flat) ([]byte, error) {
	select {
	case s.darkroom <- struct{}{}:
		defer func() { <-s.darkroom }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	kept, err := s.Photograph(ctx, sum)
	if err != nil {
		return nil, err
	}
	data, err := f.Plane.Flatten(kept.Data, f.Sheet)
	if err != nil {
		return nil, fmt.Errorf("flatten photograph %s: %w", sum, err)
	}
	// Where it cannot be written it is made again the next time.
	_, err = s.writes.Exec(ctx, `INSERT INTO flattened (photograph, laid, data) SELECT sha256, $2, $3 FROM photographs
		WHERE sha256 = decode($1, 'hex') AND erased_at IS NULL FOR SHARE ON CONFLICT ON CONSTRAINT flattened_pkey DO NOTHING`, sum, laid, data)
	if err != nil && !lost(err) {
		return nil, fail(err, "keep flattened photograph %s", sum)
	}
	return data, nil
}

// flattenReleased lays the photographs of a new revision flat, so that the
// first reader need not wait for it.
func (s *Store) flattenReleased(ctx context.Context, boardID string, number int) error {
	r, err := s.Revision(ctx, boardID, number, "")
	if err != nil {
		return err
	}
	for _, side := range []board.Side{board.Top, board.Bottom} {
		if _, missed := s.FlatPhotograph(ctx, r, side); missed != nil {
			err = errors.Join(err, missed)
		}
	}
	return err
}
