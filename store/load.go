package store

import (
	"context"
	"fmt"
	"maps"
	"runtime"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/sync/errgroup"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/domain/transparency"
)

// Loaded counts what a load came to.
type Loaded struct {
	Released  int // revisions that are new here
	Had       int // that were here already
	Withdrawn int // withdrawals that are new here
}

// Loader brings what another registry exported into this one. What it brings is
// released under the same numbers and digests, by an account of its own that
// nobody can sign in with, and enters this registry's own log.
type Loader struct {
	s       *Store
	server  string // what the export calls its server
	account int64
	waiting []*Exported
	ready   []document
	count   Loaded
	follows bool // the log here is the other's, and what brings nothing stands in it too
}

// loaderName is the account in whose name loaded revisions stand.
const loaderName = "loaded"

// loadBatch is how many entries go into one transaction.
const loadBatch = 200

// NewLoader begins a load. server says where it comes from.
func (s *Store) NewLoader(ctx context.Context, server string) (*Loader, error) {
	l := &Loader{s: s, server: server}
	err := s.db.QueryRow(ctx, `SELECT id FROM accounts WHERE name = $1`, loaderName).Scan(&l.account)
	if noRows(err) {
		if _, err = s.AddAccount(ctx, loaderName, review.Contributor); err != nil {
			return nil, fmt.Errorf("account for a load: %w", err)
		}
		err = s.db.QueryRow(ctx, `WITH ended AS (DELETE FROM tokens WHERE account = (SELECT id FROM accounts WHERE name = $1))
			SELECT id FROM accounts WHERE name = $1`, loaderName).Scan(&l.account)
	}
	return l, fail(err, "account for a load")
}

// Add takes the next entry; a whole batch is written at once. Entries have to
// come in the order of the export. Flush writes the rest.
func (l *Loader) Add(ctx context.Context, x Exported) error {
	l.waiting = append(l.waiting, &x)
	if len(l.waiting) < loadBatch {
		return nil
	}
	return l.Flush(ctx)
}

// Count tells what was written so far.
func (l *Loader) Count() Loaded {
	if l == nil {
		return Loaded{}
	}
	return l.count
}

// Flush writes what waits, in one transaction. Invalid load-refused where a map
// is not the one of its digest, or does not pass today's checks; Conflict
// load-forked where a revision of the same number says something else here.
func (l *Loader) Flush(ctx context.Context) error {
	if len(l.waiting) == 0 {
		return nil
	}
	if err := l.read(); err != nil {
		return err
	}
	var count Loaded
	err := l.s.write(ctx, func(tx pgx.Tx) error {
		count = Loaded{}
		return l.writeAll(ctx, &act{tx: tx, actor: Actor{ID: l.account, Name: loaderName}}, &count)
	})
	if err != nil {
		return fmt.Errorf("load: %w", err)
	}
	l.count.Released += count.Released
	l.count.Had += count.Had
	l.count.Withdrawn += count.Withdrawn
	l.waiting = l.waiting[:0]
	return nil
}

// read holds every map to its digest and to all checks, on all cores.
func (l *Loader) read() error {
	l.ready = make([]document, len(l.waiting))
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, x := range l.waiting {
		if x.Map == nil {
			continue
		}
		g.Go(func() error {
			doc, err := readMap(x.Map)
			if err != nil {
				return fmt.Errorf("revision %d of %s: %w", x.Revision, x.Board, err)
			}
			if doc.digest != x.Digest || doc.m.Board != x.Board {
				return fault.New(fault.Invalid, "load-refused", "store.load-altered", x.Revision, x.Board)
			}
			l.ready[i] = doc
			return nil
		})
	}
	return g.Wait()
}

// writeAll writes a batch in its order.
func (l *Loader) writeAll(ctx context.Context, a *act, count *Loaded) error {
	if err := a.now(ctx); err != nil {
		return err
	}
	if err := lockEvents(ctx, a.tx); err != nil {
		return err
	}
	if _, err := a.tx.Exec(ctx, `SET LOCAL boardlore.gaps = 'brought'`); err != nil { // where some were withdrawn before
		return err
	}
	last := map[string]*document{} // of boards that changed, their current map; nil to be looked for
	log, err := l.begin(ctx, a)
	if err != nil {
		return err
	}
	for i, x := range l.waiting {
		before := int64(0)
		if l.follows {
			if err := a.tx.QueryRow(ctx, `SELECT coalesce(max(id), 0) FROM events`).Scan(&before); err != nil {
				return err
			}
		}
		if err := l.one(ctx, a, i, last, count); err != nil {
			return err
		}
		if l.follows {
			if err := l.mirrored(ctx, a, x, before, log); err != nil {
				return err
			}
		}
	}
	if l.follows {
		err = log.write(ctx, a.tx)
	} else {
		err = catchUp(ctx, a.tx)
	}
	if err != nil {
		return err
	}
	for _, id := range slices.Sorted(maps.Keys(last)) {
		if err := l.describe(ctx, a, id, last[id]); err != nil {
			return err
		}
	}
	return nil
}

// begin finds where the log ends to which a mirror appends.
func (l *Loader) begin(ctx context.Context, a *act) (*appendix, error) {
	if !l.follows {
		return nil, nil
	}
	log := new(appendix)
	return log, a.tx.QueryRow(ctx, `SELECT coalesce(max(index), -1) + 1 FROM log_entries`).Scan(&log.size)
}

// one writes one entry that waits.
func (l *Loader) one(ctx context.Context, a *act, i int, last map[string]*document, count *Loaded) error {
	x := l.waiting[i]
	switch {
	case x.Act == transparency.Release && x.Map != nil:
		fresh, err := l.release(ctx, a, x, &l.ready[i])
		if err != nil {
			return err
		}
		if !fresh {
			count.Had++
			return nil
		}
		last[x.Board] = &l.ready[i]
		count.Released++
	case x.Act == transparency.Withdrawal:
		fresh, err := l.withdraw(ctx, a, x)
		if err != nil || !fresh {
			return err
		}
		last[x.Board] = nil
		count.Withdrawn++
	case x.Act == transparency.Move && l.follows:
		return l.move(ctx, a, x)
	}
	return nil
}

// describe makes the board's row that of its newest revision in use.
func (l *Loader) describe(ctx context.Context, a *act, id string, doc *document) error {
	if doc != nil {
		var newest int
		var released time.Time
		err := a.tx.QueryRow(ctx, `SELECT number, released_at FROM revisions WHERE board = $1 AND digest = decode($2, 'hex')
			AND number = (SELECT max(number) FROM revisions WHERE board = $1) ORDER BY number DESC LIMIT 1`, id, doc.digest).Scan(&newest, &released)
		if err == nil {
			return describe(ctx, a, id, newest, *doc, released)
		}
		if !noRows(err) {
			return err
		}
	}
	_, err := l.s.fallBack(ctx, a, id)
	return err
}

// release writes one revision; false where it is here already.
func (l *Loader) release(ctx context.Context, a *act, x *Exported, doc *document) (bool, error) {
	if _, err := a.tx.Exec(ctx, `INSERT INTO boards (id) VALUES ($1) ON CONFLICT ON CONSTRAINT boards_pkey DO NOTHING`, x.Board); err != nil {
		return false, err
	}
	var here string
	err := a.tx.QueryRow(ctx, `SELECT encode(digest, 'hex') FROM revisions WHERE board = $1 AND number = $2`, x.Board, x.Revision).Scan(&here)
	if err == nil {
		if here == x.Digest {
			return false, nil
		}
		return false, fault.New(fault.Conflict, "load-forked", "store.load-forked", x.Revision, x.Board)
	}
	if !noRows(err) {
		return false, err
	}
	before, err := l.before(ctx, a, x)
	if err != nil {
		return false, err
	}
	p := &Proposal{Board: x.Board, Base: before.number(), State: review.Next(review.Release), AuthorID: l.account, Author: loaderName, Version: 1,
		Summary: "Loaded from " + l.server + ".", Digest: doc.digest, Title: column(doc.m.Name), Canonical: doc.canonical, Map: doc.m,
		Revision: x.Revision, ClosedBy: loaderName}
	if err := l.insert(ctx, a, p, x); err != nil {
		return false, err
	}
	f := &forwarded{m: doc.m}
	if before != nil {
		d := board.Diff(before.Map, doc.m)
		f.current, f.fromCurrent = before, &d
	}
	if err := insertChanges(ctx, a, p, f); err != nil {
		return false, err
	}
	_, err = insertEvent(ctx, a.tx, event{at: x.At, who: l.account, what: "released", board: x.Board, proposal: p.ID, version: 1, revision: x.Revision,
		sentence: message.Of("event.loaded", x.Revision, x.Board)})
	return true, err
}

// number of a revision; 0 for none.
func (r *Revision) number() int {
	if r == nil {
		return 0
	}
	return r.Number
}

// before is the revision that this one followed; nil for the first.
func (l *Loader) before(ctx context.Context, a *act, x *Exported) (*Revision, error) {
	var n int
	err := a.tx.QueryRow(ctx, `SELECT coalesce(max(number), 0) FROM revisions r WHERE board = $1 AND number < $2
		AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number)`, x.Board, x.Revision).Scan(&n)
	if err != nil || n == 0 {
		return nil, err
	}
	return l.s.revision(ctx, a.tx, cacheKey{x.Board, n, ""})
}

// insert writes the proposal that stands for the revision, and the revision.
func (l *Loader) insert(ctx context.Context, a *act, p *Proposal, x *Exported) error {
	return a.tx.QueryRow(ctx, `
		WITH p AS (
			INSERT INTO proposals (board, base, state, author, summary, version, digest, title, revision, closed_by, submitted_at, changed_at)
			VALUES ($1, $2, 'released', $3, $4, 1, decode($5, 'hex'), $6, $7, $3, $8, $8) RETURNING id),
		m AS (INSERT INTO proposal_maps (proposal, version, digest, document, at) SELECT id, 1, decode($5, 'hex'), $9, $8 FROM p),
		r AS (INSERT INTO revisions (board, number, digest, document, proposal, released_by, released_at, follows)
			SELECT $1, $7, decode($5, 'hex'), $9, id, $3, $8, $2 FROM p)
		SELECT id FROM p`,
		p.Board, p.Base, l.account, p.Summary, p.Digest, p.Title, p.Revision, x.At, p.Canonical).Scan(&p.ID)
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
	_, err = insertEvent(ctx, a.tx, event{at: x.At, who: l.account, what: "revision-withdrawn", board: x.Board, revision: x.Revision,
		sentence: message.Of("event.loaded-withdrawn", x.Revision, x.Board)})
	return true, err
}
