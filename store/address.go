package store

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"
)

// Address is a board that has a current revision, and since when.
type Address struct {
	ID         string
	ReleasedAt time.Time
}

// Addresses lists boards by ID, those after one.
func (s *Store) Addresses(ctx context.Context, after string, most int) ([]Address, error) {
	rows, err := s.replica.Query(ctx,
		"SELECT id, released_at FROM boards WHERE current > 0 AND id > $1 ORDER BY id LIMIT $2", after, most)
	if err != nil {
		return nil, fail(err, "list addresses")
	}
	out, err := pgx.CollectRows(rows, pgx.RowToStructByPos[Address])
	return out, fail(err, "list addresses")
}

// AddressStarts are the IDs after which each page of the addresses begins, ""
// for the first.
func (s *Store) AddressStarts(ctx context.Context, page int) ([]string, error) {
	rows, err := s.replica.Query(ctx, `SELECT id FROM (SELECT id, row_number() OVER (ORDER BY id) AS n FROM boards WHERE current > 0) AS b
		WHERE n % $1 = 0 ORDER BY id`, page)
	if err != nil {
		return nil, fail(err, "list addresses")
	}
	ids, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return append([]string{""}, ids...), fail(err, "list addresses")
}
