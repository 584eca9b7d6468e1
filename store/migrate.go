package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/pressly/goose/v3"

	"boardlore/migrations"
)

// versions is the table that says which migrations a database has had.
const versions = "migrations"

// migrationLock is the advisory lock that one migrating process holds; the
// number is arbitrary, and the same for every version of the program.
const migrationLock = 4_172_026_001

// Migrate brings a database up to this program's version, forward only. Any
// number of servers may do so at once: one works, the others wait for it and
// then find nothing to do. progress, if not nil, is told of each step. A
// database that is ahead of this program is refused and left as it is.
func Migrate(ctx context.Context, url string, progress func(string)) error {
	c, err := parse(url)
	if err != nil {
		return err
	}
	lock, err := pgx.ConnectConfig(ctx, c)
	if err != nil {
		return fmt.Errorf("database: %w", err)
	}
	defer lock.Close(context.WithoutCancel(ctx)) // which also lets go of the lock
	if err := lockMigration(ctx, lock, progress); err != nil {
		return err
	}
	if err := compare(ctx, lock); err == nil || errors.Is(err, errAhead) {
		return err
	}
	db := stdlib.OpenDB(*c)
	defer db.Close()
	return up(ctx, db, progress)
}

// lockMigration waits until no other server migrates, and says so where it has to wait.
func lockMigration(ctx context.Context, conn *pgx.Conn, progress func(string)) error {
	var mine bool
	err := conn.QueryRow(ctx, `SELECT pg_try_advisory_lock($1)`, migrationLock).Scan(&mine)
	if err == nil && !mine {
		if progress != nil {
			progress("waiting for another server, which migrates the database")
		}
		_, err = conn.Exec(ctx, `SELECT pg_advisory_lock($1)`, migrationLock)
	}
	if err != nil {
		return fmt.Errorf("wait for another server's migration: %w", err)
	}
	return nil
}

// up runs the steps that a database lacks.
func up(ctx context.Context, db *sql.DB, progress func(string)) error {
	p, err := goose.NewProvider(goose.DialectPostgres, db, migrations.FS,
		goose.WithTableName(versions), goose.WithDisableGlobalRegistry(true), goose.WithAllowOutofOrder(true))
	if err != nil {
		return fmt.Errorf("migrations: %w", err)
	}
	for {
		r, err := p.UpByOne(ctx)
		if errors.Is(err, goose.ErrNoNextVersion) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("migrate the database: %w", err)
		}
		if progress != nil {
			progress("migrated the database: " + path.Base(r.Source.Path))
		}
	}
}

var (
	errBehind = errors.New("the database is behind this program: run `boardlore migrate`")
	errAhead  = errors.New("the database is ahead of this program: run the newer program that migrated it")
)

func (s *Store) checkVersion(ctx context.Context) error { return compare(ctx, s.reads) }

// compare returns nil where the database has had exactly this program's
// migrations, else errBehind or errAhead.
func compare(ctx context.Context, q querier) error {
	want, err := known()
	if err != nil {
		return err
	}
	var have []int64
	err = q.QueryRow(ctx, `SELECT coalesce(array_agg(DISTINCT version_id) FILTER (WHERE version_id > 0), '{}') FROM `+
		versions+` WHERE is_applied`).Scan(&have)
	var pe *pgconn.PgError
	switch {
	case errors.As(err, &pe) && pe.Code == undefinedTable:
		return errBehind
	case err != nil:
		return fmt.Errorf("read the database's version: %w", err)
	case slices.ContainsFunc(have, func(n int64) bool { return !slices.Contains(want, n) }):
		return errAhead
	case len(have) < len(want):
		return errBehind
	}
	return nil
}

// known are the numbers of the embedded migrations.
func known() ([]int64, error) {
	files, err := migrations.FS.ReadDir(".")
	if err != nil {
		return nil, fmt.Errorf("migrations: %w", err)
	}
	var out []int64
	for _, f := range files {
		number, _, _ := strings.Cut(f.Name(), "_")
		v, err := strconv.ParseInt(number, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("migration %s has no number: %w", f.Name(), err)
		}
		out = append(out, v)
	}
	return out, nil
}
