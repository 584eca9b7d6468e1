package pages

import (
	"context"
	"sync"
	"time"

	"boardlore/domain/message"
	"boardlore/store"
)

// copied says on every page of a mirror whose copy it is and how old.
type copied struct {
	Of    string
	Age   message.Message // since it was last held to the other's log
	Old   bool            // so old that what was withdrawn meanwhile may still be shown
	Alarm bool            // the other showed another log than before
}

// oldCopy is the age from which a copy is a warning, as it is in a browser that
// kept a page.
const oldCopy = 24 * time.Hour

// standing keeps how a mirror stands, so that a page costs no visit of the
// database for it.
type standing struct {
	mu    sync.Mutex
	asked time.Time
	known *store.Mirror
}

// askStanding is for how long what is known of a mirror does.
const askStanding = 2 * time.Second

// of asks anew where what is known is not fresh. While the database is away,
// what was known last counts, and grows older.
func (s *standing) of(ctx context.Context, ask func(context.Context) (*store.Mirror, error)) *store.Mirror {
	s.mu.Lock()
	defer s.mu.Unlock()
	if now := time.Now(); now.Sub(s.asked) > askStanding {
		if m, err := ask(ctx); err == nil {
			s.known = m
		}
		s.asked = now
	}
	return s.known
}

// copyOf tells of the copy that this server is; nil where it is none.
func (p *Pages) copyOf(ctx context.Context) *copied {
	of := p.gate.Mirror()
	if of == "" {
		return nil
	}
	c := &copied{Of: of, Age: t("mirror.unproved"), Old: true}
	if m := p.standing.of(ctx, p.store.Mirror); m != nil {
		c.Alarm = m.Alarm != ""
		if !m.CheckedAt.IsZero() {
			age := time.Since(m.CheckedAt)
			c.Age, c.Old = ageOf(age), age > oldCopy
		}
	}
	return c
}

// ageOf puts an age into words that stay true for a while.
func ageOf(d time.Duration) message.Message {
	switch {
	case d < 2*time.Minute:
		return t("mirror.fresh")
	case d < 2*time.Hour:
		return t("mirror.minutes", int(d/time.Minute))
	case d < 48*time.Hour:
		return t("mirror.hours", int(d/time.Hour))
	}
	return t("mirror.days", int(d/(24*time.Hour)))
}

// line is the copy as it stands in the key of a page that is kept.
func (c *copied) line() string {
	if c == nil {
		return ""
	}
	if c.Alarm {
		return "alarm " + c.Age.String()
	}
	return c.Age.String()
}
