package store

import (
	"context"
	"sync"
)

// memory keeps what is small, asked for by many and seldom changed, while other
// servers' changes to it are heard of.
type memory[T any] struct {
	mu      sync.Mutex
	trusted bool
	turn    uint64 // goes on with every change
	known   *T     // nil where it has to be read
	last    *T     // that was known, whatever came since
}

// get is what is known, else what read finds. That is kept, unless something
// changed while it was read, or nothing would be heard of a change.
func (m *memory[T]) get(ctx context.Context, read func(context.Context) (T, error)) (T, error) {
	m.mu.Lock()
	known, turn := m.known, m.turn
	m.mu.Unlock()
	if known != nil {
		return *known, nil
	}
	now, err := read(ctx)
	if err != nil {
		return now, err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.last = &now; m.trusted && m.turn == turn {
		m.known = &now
	}
	return now, nil
}

// before is what was known last, for when it can't be read; nil for nothing.
func (m *memory[T]) before() *T {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.last
}

func (m *memory[T]) forget() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.turn++
	m.known = nil
}

// trust says whether changes are heard of from here on.
func (m *memory[T]) trust(yes bool) {
	m.forget()
	m.mu.Lock()
	defer m.mu.Unlock()
	m.trusted = yes
}
