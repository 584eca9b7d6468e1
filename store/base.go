package store

import (
	"cmp"
	"context"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/schema"
)

// BaseOf recognises the revision of a board that a map was made from: by the
// envelope that it came in, or by the map's own digest where nothing was
// changed in it yet. An envelope that names a digest is recognised by that
// alone, since another registry counts its own revisions. Unsaid where nothing
// tells, also for a board without a revision.
func (s *Store) BaseOf(ctx context.Context, boardID string, e schema.Envelope, digest string) (int, error) {
	id, err := s.presentID(ctx, boardID)
	if err != nil {
		return 0, err
	}
	if e.Board != "" {
		from, err := s.presentID(ctx, e.Board)
		if err != nil {
			return 0, err
		}
		if from != id {
			return Unsaid, nil // a map of one board made into that of another
		}
	}
	if e.Revision > 0 && e.Digest == "" {
		return e.Revision, nil
	}
	sum := cmp.Or(e.Digest, digest)
	if !review.IsSHA256(sum) {
		return Unsaid, nil
	}
	var n int
	err = s.reads.QueryRow(ctx, `SELECT number FROM revisions WHERE board = $1 AND digest = decode($2, 'hex')
		ORDER BY number = $3 DESC, number DESC LIMIT 1`, id, sum, e.Revision).Scan(&n)
	if noRows(err) {
		return Unsaid, nil
	}
	return n, fail(err, "revision of %s with digest %s", id, sum)
}

// settle finds the base that a submission and the envelope of its map say;
// digest is that of the map as it came.
func (s *Store) settle(ctx context.Context, in *Submission, e schema.Envelope, digest string) ([]finding.Finding,
	error) {
	switch {
	case in.Base < Unsaid:
		return []finding.Finding{invalid("/base_revision", "store.base-number")}, nil
	case in.Base == Unsaid:
		n, err := s.BaseOf(ctx, in.Board, e, digest)
		in.Base = n
		return nil, err
	case e.Revision > 0 && in.Base != e.Revision:
		return []finding.Finding{invalid("/base_revision", "store.base-contradicts", in.Base, e.Revision)}, nil
	}
	return nil, nil
}

// ofThis refuses a map whose envelope says that it was made from something else
// than the base is here: another registry's revision of the same number.
func ofThis(base *Revision, e schema.Envelope) error {
	if base == nil || e.Digest == "" || e.Digest == base.Digest {
		return nil
	}
	return submissionFault([]finding.Finding{{Code: "request-invalid", Severity: finding.Stop,
		Pointer:  "/base_revision",
		Sentence: message.Of("store.base-of-another", e.Digest, base.Number, base.Board, base.Digest)}})
}
