package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"slices"

	"github.com/jackc/pgx/v5"
)

// Checked is what a check of all stored data came to.
type Checked struct {
	Counts map[string]int64 // of what was looked at, by what it is
	Events int64            // number of the newest event
	Faults []string         // what is not as it was stored; at most maxFaults
}

const maxFaults = 1000

// dataCheck is one thing that a sound database keeps to.
type dataCheck struct {
	what string
	run  func(context.Context, querier, *Checked) error
}

// dataChecks are all of them. A new table with a digest gets a row.
var dataChecks = []dataCheck{
	digests("revisions",
		`SELECT 'revision ' || number || ' of ' || board, digest, document FROM revisions ORDER BY board, number`),
	digests("proposed maps",
		`SELECT 'map ' || version || ' of proposal ' || proposal, digest, document FROM proposal_maps ORDER BY proposal, version`),
	digests("kits",
		`SELECT 'version ' || version || ' of kit ' || kit, digest, document FROM kit_versions ORDER BY kit, version`),
	digests("records", `SELECT 'record ' || id, digest, document FROM records ORDER BY id`),
	digests("drafts",
		`SELECT 'version ' || version || ' of draft ' || draft, digest, document FROM draft_versions ORDER BY draft, version`),
	digests("photographs",
		`SELECT 'photograph ' || encode(sha256, 'hex'), sha256, data FROM photographs WHERE erased_at IS NULL ORDER BY sha256`),
	{"numbers of revisions", checkNumbers},
	{"events", checkEvents},
}

// CheckData holds everything that is stored to its digest, the revisions to
// their numbers and the events to each other. It reads all of the database in
// one transaction, as it stood at one moment. progress, if not nil, is told of
// each step.
func (s *Store) CheckData(ctx context.Context, progress func(string)) (Checked, error) {
	var c Checked
	err := pgx.BeginTxFunc(ctx, s.reads, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly},
		func(tx pgx.Tx) (err error) {
			c, err = checkData(ctx, tx, progress)
			return err
		})
	return c, fail(err, "check the data")
}

// Frozen checks the data as CheckData does, then calls do with the name of the
// snapshot that was checked, which others may read the database by while do runs.
func (s *Store) Frozen(ctx context.Context, progress func(string), do func(snapshot string) error) (Checked, error) {
	var c Checked
	err := pgx.BeginTxFunc(ctx, s.reads, pgx.TxOptions{IsoLevel: pgx.RepeatableRead, AccessMode: pgx.ReadOnly},
		func(tx pgx.Tx) error {
			var snapshot string
			err := tx.QueryRow(ctx, `SELECT pg_export_snapshot()`).Scan(&snapshot)
			if err != nil {
				return err
			}
			if c, err = checkData(ctx, tx, progress); err != nil {
				return err
			}
			return do(snapshot)
		})
	return c, err
}

// ServerVersion is the major version of the database's server.
func (s *Store) ServerVersion(ctx context.Context) (major int, err error) {
	err = s.reads.QueryRow(ctx, `SELECT current_setting('server_version_num')::int / 10000`).Scan(&major)
	return major, fail(err, "version of the database")
}

// Newest is the number of the newest migration that this program knows.
func Newest() (int64, error) {
	all, err := known()
	return slices.Max(append(all, 0)), err
}

// Bare reports whether the database behind url holds nothing yet.
func Bare(ctx context.Context, url string) (bool, error) {
	n := 0
	err := once(ctx, url, func(conn *pgx.Conn) error {
		return conn.QueryRow(ctx, `SELECT (SELECT count(*) FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
			WHERE n.nspname NOT LIKE 'pg\_%' AND n.nspname <> 'information_schema')`).Scan(&n)
	})
	return n == 0, err
}

// Strip takes everything out of a database that held nothing before.
func Strip(ctx context.Context, url string) error {
	return once(ctx, url, func(conn *pgx.Conn) error {
		_, err := conn.Exec(ctx, `DO $$ DECLARE o record; BEGIN
			FOR o IN SELECT c.oid::regclass AS name FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
				WHERE n.nspname = 'public' AND c.relkind = 'r' LOOP EXECUTE 'DROP TABLE IF EXISTS ' || o.name || ' CASCADE'; END LOOP;
			FOR o IN SELECT p.oid::regprocedure AS name FROM pg_proc p JOIN pg_namespace n ON n.oid = p.pronamespace
				WHERE n.nspname = 'public' AND NOT EXISTS (SELECT FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e') LOOP
				EXECUTE 'DROP ROUTINE IF EXISTS ' || o.name || ' CASCADE'; END LOOP; END $$`)
		return err
	})
}

func once(ctx context.Context, url string, do func(*pgx.Conn) error) error {
	c, err := parse(url)
	if err != nil {
		return err
	}
	conn, err := pgx.ConnectConfig(ctx, c)
	if err != nil {
		return fmt.Errorf("database: %w", err)
	}
	defer conn.Close(context.WithoutCancel(ctx))
	return do(conn)
}

func checkData(ctx context.Context, q querier, progress func(string)) (Checked, error) {
	c := Checked{Counts: map[string]int64{}}
	for _, check := range dataChecks {
		if err := check.run(ctx, q, &c); err != nil {
			return c, fmt.Errorf("%s: %w", check.what, err)
		}
		if progress != nil {
			progress(fmt.Sprintf("checked %s: %d", check.what, c.Counts[check.what]))
		}
	}
	return c, nil
}

func (c *Checked) fault(format string, a ...any) {
	if len(c.Faults) < maxFaults {
		c.Faults = append(c.Faults, fmt.Sprintf(format, a...))
	}
}

// digests checks that each document is the one that its digest was taken of. A
// document that was erased, as the law may demand, is NULL and passes.
func digests(what, sql string) dataCheck {
	return dataCheck{what, func(ctx context.Context, q querier, c *Checked) error {
		rows, err := q.Query(ctx, sql)
		if err != nil {
			return err
		}
		var name string
		var digest, document []byte
		_, err = pgx.ForEachRow(rows, []any{&name, &digest, &document}, func() error {
			c.Counts[what]++
			if got := sha256.Sum256(document); document != nil && !bytes.Equal(got[:], digest) {
				c.fault("%s is not what was stored: its digest should be %x and is %x", name, digest, got)
			}
			return nil
		})
		return err
	}}
}

// checkNumbers finds boards whose revisions have a gap or that name a current
// one that there isn't.
func checkNumbers(ctx context.Context, q querier, c *Checked) error {
	rows, err := q.Query(ctx, `
		SELECT b.id, b.current, b.current = 0 OR EXISTS (SELECT FROM revisions n WHERE n.board = b.id AND n.number = b.current AND n.digest = b.digest)
		FROM boards b ORDER BY b.id`)
	if err != nil {
		return err
	}
	var board string
	var current int64
	var there bool
	_, err = pgx.ForEachRow(rows, []any{&board, &current, &there}, func() error {
		c.Counts["numbers of revisions"]++
		if !there {
			c.fault("board %s says that revision %d is the current one, and there is none such", board, current)
		}
		return nil
	})
	if err != nil {
		return err
	}
	// What another registry withdrew before it was brought from there is missing by right.
	return each(ctx, q, c, `
		SELECT 'board ' || r.board || ' has revision ' || r.number || ', and none of the number before it'
		FROM revisions r JOIN proposals p ON p.id = r.proposal JOIN accounts a ON a.id = p.author
		WHERE r.number > 1 AND a.name <> '`+loaderName+`' AND NOT EXISTS (SELECT FROM revisions b WHERE b.board = r.board AND b.number = r.number - 1)
		ORDER BY r.board, r.number`)
}

// checkEvents holds the events to their order without a gap, and the releases
// to the revisions. Their times may go back by what an act waited for the log.
func checkEvents(ctx context.Context, q querier, c *Checked) error {
	var count, first int64
	err := q.QueryRow(ctx, `SELECT count(*), coalesce(min(id), 1), coalesce(max(id), 0) FROM events`).Scan(&count,
		&first, &c.Events)
	if err != nil {
		return err
	}
	c.Counts["events"] = count
	if first != 1 || count != c.Events {
		c.fault("the log has %d events, numbered %d to %d", count, first, c.Events)
	}
	return each(ctx, q, c, `
		SELECT 'there are ' || r.n || ' revisions, and the log tells of ' || e.n || ' releases'
		FROM (SELECT count(*) AS n FROM revisions) r, (SELECT count(*) AS n FROM events v WHERE what = 'released' AND NOT EXISTS (
		  SELECT FROM log_entries l WHERE l.event = v.id AND NOT EXISTS (SELECT FROM revisions k WHERE k.number = l.number AND k.digest = l.digest))) e WHERE r.n <> e.n`)
}

// each makes a fault of every row of one text.
func each(ctx context.Context, q querier, c *Checked, sql string) error {
	rows, err := q.Query(ctx, sql)
	if err != nil {
		return err
	}
	var text string
	_, err = pgx.ForEachRow(rows, []any{&text}, func() error { c.fault("%s", text); return nil })
	return err
}
