package store

import (
	"context"
	"encoding/hex"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/domain/transparency"
)

// releases are the entries at the beginning that release a map.
func releases(entries []*brought) []*brought {
	for i, e := range entries {
		if e.Act != transparency.Release || e.doc == nil {
			return entries[:i]
		}
	}
	return entries
}

// releaseAll writes revisions in their order, those that are not here yet.
func (l *Loader) releaseAll(ctx context.Context, a *act, run []*brought, last map[string]*document,
	log *appendix) error {
	here, err := l.here(ctx, a, run)
	if err != nil {
		return err
	}
	var fresh []*following
	of := make([]*following, len(run)) // nil for what is here
	for i, e := range run {
		f, err := here.follow(e)
		if err != nil {
			return err
		}
		if f == nil {
			l.written.Had++
			continue
		}
		of[i], fresh = f, append(fresh, f)
		last[e.Board] = e.doc
		l.written.Released++
	}
	if err := l.insertAll(ctx, a, fresh); err != nil {
		return err
	}
	return l.tellAll(ctx, a, run, of, log)
}

// released is what is here of a board.
type released struct {
	digests   map[int]string // by number
	withdrawn map[int]bool
	brought   map[int]*document // of the same run
}

// newestBefore is the newest revision in use that is older than one; 0 for none.
func (r *released) newestBefore(number int) (newest int) {
	for n := range r.digests {
		if n < number && n > newest && !r.withdrawn[n] {
			newest = n
		}
	}
	return newest
}

// stock is what is here of boards, by ID.
type stock map[string]*released

// here looks up what is here of the boards of a run, and makes those that are not.
func (l *Loader) here(ctx context.Context, a *act, run []*brought) (stock, error) {
	ids := make([]string, len(run))
	for i, e := range run {
		ids[i] = e.Board
	}
	_, err := a.tx.Exec(ctx,
		`INSERT INTO boards (id) SELECT DISTINCT unnest($1::text[]) ON CONFLICT ON CONSTRAINT boards_pkey DO NOTHING`,
		ids)
	if err != nil {
		return nil, err
	}
	out := stock{}
	for _, id := range ids {
		out[id] = &released{map[int]string{}, map[int]bool{}, map[int]*document{}}
	}
	rows, err := a.tx.Query(ctx, `SELECT board, number, encode(digest, 'hex'),
		EXISTS (SELECT FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number) FROM revisions r WHERE board = ANY ($1)`, ids)
	if err != nil {
		return nil, err
	}
	var id, digest string
	var number int
	var withdrawn bool
	_, err = pgx.ForEachRow(rows, []any{&id, &number, &digest, &withdrawn}, func() error {
		out[id].digests[number], out[id].withdrawn[number] = digest, withdrawn
		return nil
	})
	return out, err
}

// following is a revision that is new here, after the one that it followed.
type following struct {
	*brought
	before   int       // number of the one that it followed, 0 for the first
	earlier  *document // the map of that, where it is of the same run
	proposal int64     // that stands for it
}

// follow takes in a revision; nil where it is here.
func (p stock) follow(e *brought) (*following, error) {
	r := p[e.Board]
	if digest, there := r.digests[e.Revision]; there {
		if digest == e.Digest {
			return nil, nil
		}
		return nil, fault.New(fault.Conflict, "load-forked", "store.load-forked", e.Revision, e.Board)
	}
	f := &following{brought: e, before: r.newestBefore(e.Revision)}
	f.earlier = r.brought[f.before]
	r.digests[e.Revision], r.brought[e.Revision] = e.Digest, e.doc
	return f, nil
}

// insertAll writes revisions, the proposals that stand for them, and what they
// change.
func (l *Loader) insertAll(ctx context.Context, a *act, list []*following) error {
	if len(list) == 0 {
		return nil
	}
	if err := l.propose(ctx, a, list); err != nil {
		return err
	}
	proposed, revisions := make([][]any, len(list)), make([][]any, len(list))
	var changes [][]any
	for i, f := range list {
		digest, err := hex.DecodeString(f.Digest)
		if err != nil {
			return err
		}
		proposed[i] = []any{f.proposal, 1, digest, f.doc.canonical, f.At}
		revisions[i] = []any{f.Board, f.Revision, digest, f.doc.canonical, f.proposal, l.account, f.At, f.before}
		rows, err := l.changes(ctx, a, f)
		if err != nil {
			return err
		}
		changes = append(changes, rows...)
	}
	_, err := a.tx.CopyFrom(ctx, pgx.Identifier{"proposal_maps"}, []string{"proposal", "version", "digest", "document",
		"at"}, pgx.CopyFromRows(proposed))
	if err != nil {
		return err
	}
	_, err = a.tx.CopyFrom(ctx, pgx.Identifier{"revisions"},
		[]string{"board", "number", "digest", "document", "proposal", "released_by", "released_at", "follows"},
		pgx.CopyFromRows(revisions))
	if err != nil {
		return err
	}
	return insertChanges(ctx, a.tx, changes)
}

// changes are the rows of what a revision changes.
func (l *Loader) changes(ctx context.Context, a *act, f *following) ([][]any, error) {
	if f.before == 0 {
		return nil, nil
	}
	var before *board.Map
	if f.earlier != nil {
		before = f.earlier.m
	} else {
		r, err := l.s.revision(ctx, a.tx, cacheKey{f.Board, f.before, ""})
		if err != nil {
			return nil, err
		}
		before = r.Map
	}
	d := board.Diff(before, f.doc.m)
	return changeRows(f.Board, f.Revision, &d)
}

// propose makes the proposals.
func (l *Loader) propose(ctx context.Context, a *act, list []*following) error {
	n := len(list)
	boards, digests, titles := make([]string, n), make([]string, n), make([]string, n)
	bases, numbers, times := make([]int, n), make([]int, n), make([]time.Time, n)
	type which struct {
		board  string
		number int
	}
	of := make(map[which]*following, n)
	for i, f := range list {
		boards[i], digests[i], titles[i], bases[i], numbers[i], times[i] = f.Board, f.Digest, column(f.doc.m.Name),
			f.before, f.Revision, f.At
		of[which{f.Board, f.Revision}] = f
	}
	rows, err := a.tx.Query(ctx, `
		INSERT INTO proposals (board, base, state, author, summary, version, digest, title, revision, closed_by, submitted_at, changed_at)
		SELECT board, base, $1, $2, $3, 1, decode(digest, 'hex'), title, number, $2, at, at
		FROM unnest($4::text[], $5::int[], $6::text[], $7::text[], $8::int[], $9::timestamptz[]) AS t (board, base, digest, title, number, at)
		RETURNING id, board, revision`,
		review.Next(review.Release), l.account, "Loaded from "+l.server+".", boards, bases, digests, titles, numbers,
		times)
	if err != nil {
		return err
	}
	var id int64
	var w which
	_, err = pgx.ForEachRow(rows, []any{&id, &w.board, &w.number}, func() error {
		of[w].proposal = id
		return nil
	})
	return err
}

// tellAll writes an event for each revision that is new, and has a mirror's log
// tell of all; of holds nil for what was here.
func (l *Loader) tellAll(ctx context.Context, a *act, run []*brought, of []*following, log *appendix) error {
	var events []event
	for i, e := range run {
		tell := event{at: e.At, who: l.account, what: "released", board: e.Board, revision: e.Revision}
		switch f := of[i]; {
		case f != nil:
			tell.proposal, tell.version, tell.sentence = f.proposal, 1, message.Of("event.loaded", e.Revision, e.Board)
		case l.follows:
			tell.sentence = message.Of("event.mirrored", e.Revision, e.Board)
		default:
			continue
		}
		events = append(events, tell)
	}
	first, err := insertEvents(ctx, a.tx, events)
	if err != nil || !l.follows {
		return err
	}
	for i, e := range run {
		if err := l.mirrored(ctx, a, e.Exported, first+int64(i), log); err != nil {
			return err
		}
	}
	return nil
}
