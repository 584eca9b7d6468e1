package store

import (
	"context"
	"crypto/rand"
	"strconv"
	"time"

	"boardlore/domain/kit"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// WantKey is the key of a value, for tests that fill the table themselves.
func WantKey(class, value string) int32 {
	v, err := quantity.Parse(value)
	if err != nil {
		panic(err)
	}
	key, _ := kit.Key(&part.Part{Class: part.Class(class), Value: v}, squash)
	return short(key)
}

// Reindex brings up what boards are found by, as a start of the server does.
func (s *Store) Reindex(ctx context.Context) error { return s.reindex(ctx) }

// MigrationLock is the number of the lock that a migrating server holds.
const MigrationLock = migrationLock

// Again has Ready look again at once.
func Again(s *Store) {
	s.ready.mu.Lock()
	defer s.ready.mu.Unlock()
	s.ready.at = time.Time{}
}

// Became asks after a transaction whose number is further on than one that was
// just committed, with or without a witness.
func Became(ctx context.Context, s *Store, further int64, kept bool) (string, error) {
	w := new(witness)
	_, _ = rand.Read(w.row[:])
	var n int64
	sql := `SELECT pg_current_xact_id()::text::bigint, ` + timelineNow + ` WHERE $1::uuid IS NOT NULL`
	if kept {
		sql = `INSERT INTO witnesses (id) VALUES ($1) RETURNING pg_current_xact_id()::text::bigint, ` + timelineNow
	}
	err := s.writes.QueryRow(ctx, sql, w.row).Scan(&n, &w.timeline)
	w.xact = strconv.FormatInt(n+further, 10)
	return s.became(ctx, w), err
}

// CameToNothing is how an act is refused whose commit was broken off by err.
func CameToNothing(err error) error { return cameToNothing(err) }

// ErrUnconfirmed is a commit that no standby confirmed.
var ErrUnconfirmed = errUnconfirmed

// Ask asks over the connections that only read, for one word.
func Ask(ctx context.Context, s *Store, sql string) error {
	return refusal(s.reads.QueryRow(ctx, sql).Scan(new(string)))
}
