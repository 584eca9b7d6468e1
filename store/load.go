package store

import (
	"context"
	"fmt"
	"maps"
	"runtime"
	"slices"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sync/errgroup"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/domain/transparency"
)

// Loaded counts what a load came to.
type Loaded struct {
	Released  int // revisions that are new here
	Had       int // that were here already
	Withdrawn int // withdrawals that are new here, of records and photographs too

	Photographs, Kits, Records int // that are new here; of kits, versions
}

// Loader brings what another registry exported into this one. What it brings is
// released under the same numbers and digests, by an account of its own that
// nobody can sign in with, and enters this registry's own log. One batch is read
// and held to all checks while the one before is written.
type Loader struct {
	s       *Store
	server  string // what the export calls its server
	account int64
	next    *intake     // that is filled
	writing chan error  // gets what became of the batch before; nil while none is written
	written Loaded      // of that batch, told by writing
	besides []*Exported // what waits of that which stands beside the log
	bytes   int         // of besides
	count   Loaded
	follows bool // the log here is the other's, and what brings nothing stands in it too
}

// intake is the entries of one transaction.
type intake struct {
	entries []*brought
	bytes   int
	reading errgroup.Group
}

// brought is an entry with its map as it was read.
type brought struct {
	*Exported
	doc *document // nil without a map
}

// loaderName is the account in whose name loaded revisions stand.
const loaderName = "loaded"

// loadBatch and loadBytes are how many entries, and of how many bytes, go into one
// transaction: two such batches are in memory at a time.
const (
	loadBatch = 200
	loadBytes = 8 << 20
)

// NewLoader begins a load. server says where it comes from.
func (s *Store) NewLoader(ctx context.Context, server string) (*Loader, error) {
	l := &Loader{s: s, server: server}
	err := s.reads.QueryRow(ctx, `SELECT id FROM accounts WHERE name = $1`, loaderName).Scan(&l.account)
	if noRows(err) {
		if _, err = s.AddAccount(ctx, loaderName, review.Contributor); err != nil {
			return nil, fmt.Errorf("account for a load: %w", err)
		}
		err = s.writes.QueryRow(ctx, `WITH ended AS (DELETE FROM tokens WHERE account = (SELECT id FROM accounts WHERE name = $1))
			SELECT id FROM accounts WHERE name = $1`, loaderName).Scan(&l.account)
	}
	return l, fail(err, "account for a load")
}

// Add takes the next entry; a whole batch is written at once, and what became of
// it is told by a later call. Entries have to come in the order of the export.
// Flush writes the rest.
func (l *Loader) Add(ctx context.Context, x Exported) error {
	if !x.inLog() {
		return l.addBeside(ctx, &x)
	}
	l.take(&x)
	if len(l.next.entries) < loadBatch && l.next.bytes < loadBytes {
		return nil
	}
	return l.turn(ctx)
}

// take begins to read an entry: its map is held to its digest and to all checks,
// on all cores.
func (l *Loader) take(x *Exported) {
	if l.next == nil {
		l.next = new(intake)
		l.next.reading.SetLimit(runtime.GOMAXPROCS(0))
	}
	e := &brought{Exported: x}
	l.next.entries, l.next.bytes = append(l.next.entries, e), l.next.bytes+len(x.Map)
	if x.Map == nil {
		return
	}
	l.next.reading.Go(func() error {
		doc, err := readMap(x.Map)
		if err != nil {
			return fmt.Errorf("revision %d of %s: %w", x.Revision, x.Board, err)
		}
		if doc.digest != x.Digest || doc.m.Board != x.Board {
			return fault.New(fault.Invalid, "load-refused", "store.load-altered", x.Revision, x.Board)
		}
		e.doc = &doc
		return nil
	})
}

// turn begins to write the batch that was filled, once the one before is written.
func (l *Loader) turn(ctx context.Context) error {
	if err := l.wait(); err != nil {
		return err
	}
	b := l.next
	l.next, l.writing = nil, make(chan error, 1)
	go func(done chan<- error) { done <- l.write(ctx, b) }(l.writing)
	return nil
}

// wait waits until nothing is written any more, and counts what was.
func (l *Loader) wait() error {
	if l.writing == nil {
		return nil
	}
	err := <-l.writing
	l.writing = nil
	if err != nil {
		return err
	}
	l.count.Released += l.written.Released
	l.count.Had += l.written.Had
	l.count.Withdrawn += l.written.Withdrawn
	return nil
}

// Count tells what is known to be written so far.
func (l *Loader) Count() Loaded {
	if l == nil {
		return Loaded{}
	}
	return l.count
}

// Flush writes what waits: entries of the log in one transaction, then what
// stands beside it in another. Invalid load-refused where a map is not the one of
// its digest, or does not pass today's checks; Conflict load-forked where a
// revision of the same number says something else here.
func (l *Loader) Flush(ctx context.Context) error {
	if err := l.flushLog(ctx); err != nil {
		return err
	}
	return l.flushBeside(ctx)
}

func (l *Loader) flushLog(ctx context.Context) error {
	if l.next != nil {
		if err := l.turn(ctx); err != nil {
			return err
		}
	}
	return l.wait()
}

// write writes a batch in one transaction, once all of it is read.
func (l *Loader) write(ctx context.Context, b *intake) error {
	if err := b.reading.Wait(); err != nil {
		return err
	}
	err := l.s.write(ctx, func(tx pgx.Tx) error {
		l.written = Loaded{}
		return l.writeAll(ctx, &act{tx: tx, actor: Actor{ID: l.account, Name: loaderName}}, b)
	})
	if err != nil {
		return fmt.Errorf("load: %w", err)
	}
	return nil
}

// writeAll writes a batch in its order: releases that follow each other with one
// statement a table, the rest one by one.
func (l *Loader) writeAll(ctx context.Context, a *act, b *intake) error {
	if err := a.now(ctx); err != nil {
		return err
	}
	if err := lockEvents(ctx, a.tx); err != nil {
		return err
	}
	if _, err := a.tx.Exec(ctx,
		`SET LOCAL boardlore.gaps = 'brought'`); err != nil { // where some were withdrawn before
		return err
	}
	last := map[string]*document{} // of boards that changed, their current map; nil to be looked for
	log, err := l.begin(ctx, a)
	if err != nil {
		return err
	}
	for rest := b.entries; len(rest) > 0; {
		run := releases(rest)
		if len(run) > 0 {
			err = l.releaseAll(ctx, a, run, last, log)
		} else {
			run = rest[:1]
			err = l.one(ctx, a, run[0].Exported, last, log)
		}
		if err != nil {
			return err
		}
		rest = rest[len(run):]
	}
	if l.follows {
		err = log.write(ctx, a.tx)
	} else {
		err = catchUp(ctx, a.tx)
	}
	if err != nil {
		return err
	}
	return l.describe(ctx, a, last)
}

// begin finds where the log ends to which a mirror appends.
func (l *Loader) begin(ctx context.Context, a *act) (*appendix, error) {
	if !l.follows {
		return nil, nil
	}
	log := new(appendix)
	return log, a.tx.QueryRow(ctx, `SELECT coalesce(max(index), -1) + 1 FROM log_entries`).Scan(&log.size)
}

// one writes one entry that is no release of a map.
func (l *Loader) one(ctx context.Context, a *act, x *Exported, last map[string]*document, log *appendix) error {
	before, err := lastEvent(ctx, a.tx)
	if err != nil {
		return err
	}
	switch {
	case x.Act == transparency.Withdrawal:
		fresh, err := l.withdraw(ctx, a, x)
		if err != nil {
			return err
		}
		if fresh {
			last[x.Board] = nil
			l.written.Withdrawn++
		}
	case x.Act == transparency.Move && l.follows:
		if err := l.move(ctx, a, x); err != nil {
			return err
		}
	}
	if !l.follows {
		return nil
	}
	event, err := lastEvent(ctx, a.tx)
	if err != nil {
		return err
	}
	if event == before {
		if event, err = l.placeholder(ctx, a, x); err != nil {
			return err
		}
	}
	return l.mirrored(ctx, a, x, event, log)
}

// describe makes the rows of boards those of their newest revisions in use.
func (l *Loader) describe(ctx context.Context, a *act, last map[string]*document) error {
	boards := slices.Sorted(maps.Keys(last))
	rows, err := a.tx.Query(ctx, `SELECT DISTINCT ON (board) board, number, encode(digest, 'hex'), released_at FROM revisions
		WHERE board = ANY ($1) ORDER BY board, number DESC`, boards)
	if err != nil {
		return err
	}
	var list []described
	var d described
	var digest string
	_, err = pgx.ForEachRow(rows, []any{&d.board, &d.number, &digest, &d.released}, func() error {
		if doc := last[d.board]; doc != nil && doc.digest == digest {
			d.doc = *doc
			list = append(list, d)
			delete(last, d.board)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if err := describe(ctx, a.tx, list...); err != nil {
		return err
	}
	for i := range list {
		if err := refileAll(ctx, a, list[i].board, 0); err != nil {
			return err
		}
	}
	for _, id := range slices.Sorted(maps.Keys(last)) {
		if _, err := l.s.fallBack(ctx, a, id); err != nil {
			return err
		}
	}
	return nil
}

// withdraw takes a revision out of use here as it was there; false where it is
// already, or was never here.
func (l *Loader) withdraw(ctx context.Context, a *act, x *Exported) (bool, error) {
	tag, err := a.tx.Exec(ctx, `INSERT INTO withdrawals (board, revision, kind, reason, by, at)
		SELECT board, number, $3, $4, $5, $6 FROM revisions r WHERE board = $1 AND number = $2
		AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number)
		RETURNING pg_notify($7, $8)`,
		x.Board, x.Revision, x.Kind, "Withdrawn on "+l.server+".", l.account, x.At, channel, noticeWithdrawn+x.Board)
	if err != nil || tag.RowsAffected() == 0 {
		return false, err
	}
	_, err = insertEvent(ctx, a.tx, event{at: x.At, who: l.account, what: "revision-withdrawn", board: x.Board,
		revision: x.Revision,
		sentence: message.Of("event.loaded-withdrawn", x.Revision, x.Board)})
	return true, err
}
