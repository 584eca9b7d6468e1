package store

import (
	"context"
	"errors"
	"fmt"
	"net"
	"strings"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// Await waits until the database behind url takes connections: one that is
// being started beside this program may take its time. What waiting can't mend,
// such as a wrong password, comes back at once.
func Await(ctx context.Context, url string, most time.Duration, progress func(string)) error {
	return await(ctx, most, progress, func() error { return reach(ctx, url) })
}

// OpenSoon opens a database as Open does, and waits likewise: between a server and
// its database, or the pooler before that, may be gone again right after it was there.
func OpenSoon(ctx context.Context, url string, o Options, most time.Duration, progress func(string)) (s *Store,
	err error) {
	err = await(ctx, most, progress, func() (err error) { s, err = Open(ctx, url, o); return err })
	return s, err
}

func await(ctx context.Context, most time.Duration, progress func(string), try func() error) error {
	deadline := time.Now().Add(most)
	told := time.Time{}
	for {
		err := try()
		if err == nil || !passing(err) {
			return err
		}
		if time.Now().After(deadline) {
			return fmt.Errorf("the database did not come up in %s: %w", most, err)
		}
		if time.Since(told) > 10*time.Second && progress != nil {
			told = time.Now()
			progress("waiting for the database: " + Spoken(err))
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(500 * time.Millisecond):
		}
	}
}

func reach(ctx context.Context, url string) error {
	c, err := parse(url)
	if err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, 5*time.Second)
	defer cancel()
	conn, err := pgx.ConnectConfig(ctx, c)
	if err != nil {
		return fmt.Errorf("database: %w", err)
	}
	return conn.Close(ctx)
}

// passing reports whether a failure to connect may mend itself: nobody listens
// yet, the name is not known yet, the database is starting, or is full.
func passing(err error) bool {
	var pe *pgconn.PgError
	if errors.As(err, &pe) {
		return pe.Code == "57P03" || pe.Code == tooManyConns || pe.Code == "57P01" || pe.Code == "57P02" ||
			strings.HasPrefix(pe.Code, "08")
	}
	return lost(err) || errors.Is(err, context.DeadlineExceeded)
}

// Spoken is an error of the database in words for a log: without the address,
// which may hold a password.
func Spoken(err error) string {
	var pe *pgconn.PgError
	var oe *net.OpError
	var de *net.DNSError
	switch {
	case errors.As(err, &pe):
		return pe.Message
	case errors.As(err, &de):
		return "its host " + de.Name + " is not found"
	case errors.As(err, &oe):
		return oe.Error()
	case errors.Is(err, context.DeadlineExceeded):
		return "it does not answer"
	}
	return "it does not take connections"
}

// parse reads a database's address. Its errors never hold the address, since
// the library takes only some of its passwords out.
func parse(url string) (*pgx.ConnConfig, error) {
	c, err := pgx.ParseConfig(url)
	if err != nil {
		return nil, errAddress
	}
	if c.ConnectTimeout == 0 {
		c.ConnectTimeout = 5 * time.Second
	}
	return c, nil
}

var errAddress = errors.New("the database's address can't be read: write postgres://user@host/database, with /, #, ?, % and blanks of a password percent-encoded, " +
	"or better leave the password out and name a file for it in PGPASSFILE")
