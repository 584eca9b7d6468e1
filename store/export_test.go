package store

import (
	"time"

	"context"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// WantKey is the key of a value, for tests that fill the table themselves.
func WantKey(class, value string) int32 {
	v, err := quantity.Parse(value)
	if err != nil {
		panic(err)
	}
	key, _ := wantKey(&part.Part{Class: part.Class(class), Value: v})
	return key
}

// Reindex brings up what boards are found by, as a start of the server does.
func (s *Store) Reindex(ctx context.Context) error { return s.reindex(ctx) }

// Again has Ready look again at once.
func Again(s *Store) {
	s.ready.mu.Lock()
	defer s.ready.mu.Unlock()
	s.ready.at = time.Time{}
}
