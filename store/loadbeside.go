package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	serviced "boardlore/domain/record"
	"boardlore/schema"
)

// besideBytes is how many bytes of photographs and documents wait at most.
const besideBytes = 8 << 20

// addBeside takes a line of what stands beside the log. Entries that came before
// it are written first, since a record names its revision.
func (l *Loader) addBeside(ctx context.Context, x *Exported) error {
	if x.Act != photographLine {
		if err := l.flushLog(ctx); err != nil {
			return err
		}
	}
	l.besides = append(l.besides, x)
	if l.bytes += len(x.Document) + len(x.Data); len(l.besides) < loadBatch && l.bytes < besideBytes {
		return nil
	}
	return l.flushBeside(ctx)
}

// flushBeside writes what waits of that which stands beside the log, in one
// transaction. The log of events is locked last, when all is written that its
// events tell of.
func (l *Loader) flushBeside(ctx context.Context) error {
	if len(l.besides) == 0 {
		return nil
	}
	key, err := l.s.unitKey(ctx)
	if err != nil {
		return err
	}
	var b beside
	err = l.s.write(ctx, func(tx pgx.Tx) error {
		b = beside{l: l, a: &act{tx: tx, actor: Actor{ID: l.account, Name: loaderName}}, key: key}
		return b.all(ctx)
	})
	if err != nil {
		return fmt.Errorf("load: %w", err)
	}
	l.count.Withdrawn += b.count.Withdrawn
	l.count.Photographs += b.count.Photographs
	l.count.Kits += b.count.Kits
	l.count.Records += b.count.Records
	l.besides, l.bytes = nil, 0
	return nil
}

// beside is one transaction of what stands beside the log.
type beside struct {
	l      *Loader
	a      *act
	key    []byte // that units are hashed with here
	events []event
	count  Loaded
}

func (b *beside) all(ctx context.Context) error {
	heard := int64(0)
	for _, x := range b.l.besides {
		if err := b.one(ctx, x); err != nil {
			return err
		}
		heard = max(heard, x.Event)
	}
	if b.l.follows && heard > 0 {
		if _, err := b.a.tx.Exec(ctx, `UPDATE mirror SET heard = $1`, heard); err != nil {
			return err
		}
	}
	if len(b.events) == 0 {
		return nil
	}
	if err := lockEvents(ctx, b.a.tx); err != nil {
		return err
	}
	for _, e := range b.events {
		e.who = b.l.account
		if _, err := insertEvent(ctx, b.a.tx, e); err != nil {
			return err
		}
	}
	return nil
}

func (b *beside) one(ctx context.Context, x *Exported) error {
	switch x.Act {
	case photographLine:
		return b.photograph(ctx, x)
	case kitLine:
		return b.kit(ctx, x)
	case recordLine:
		return b.record(ctx, x)
	case recordGoneLine:
		return b.recordGone(ctx, x)
	}
	return b.photographGone(ctx, x)
}

func (b *beside) photograph(ctx context.Context, x *Exported) error {
	if sum := sha256.Sum256(x.Data); hex.EncodeToString(sum[:]) != x.Photograph {
		return fault.New(fault.Invalid, "load-refused", "store.load-photograph-altered", x.Photograph)
	}
	fresh, err := keepAsIs(ctx, b.a.tx, b.l.account, x.Photograph, x.Data)
	if fresh {
		b.count.Photographs++
	}
	return err
}

// kit writes a version of a kit where it is new here.
func (b *beside) kit(ctx context.Context, x *Exported) error {
	tx := b.a.tx
	var here string
	err := tx.QueryRow(ctx, `SELECT encode(digest, 'hex') FROM kit_versions WHERE kit = $1 AND version = $2`, x.Kit,
		x.Version).Scan(&here)
	switch {
	case err == nil && here == x.Digest:
		return nil
	case err == nil:
		return fault.New(fault.Conflict, "load-forked", "store.load-kit-forked", x.Version, x.Kit)
	case !noRows(err):
		return err
	}
	k, err := readKit(KitPut{Kit: x.Kit, Document: x.Document})
	if err != nil {
		return fmt.Errorf("version %d of kit %s: %w", x.Version, x.Kit, err)
	}
	if k.Digest != x.Digest {
		return fault.New(fault.Invalid, "load-refused", "store.load-kit-altered", x.Version, x.Kit)
	}
	if k.boards, err = b.l.s.forBoards(ctx, k.Kit); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `INSERT INTO kits (id, owner, version, digest, title, boards) VALUES ($1, $2, $3, decode($4, 'hex'), $5, $6)
		ON CONFLICT ON CONSTRAINT kits_pkey DO UPDATE SET version = EXCLUDED.version, digest = EXCLUDED.digest, title = EXCLUDED.title, boards = EXCLUDED.boards
		WHERE kits.version < EXCLUDED.version`, k.ID, b.l.account, x.Version, k.Digest, k.Title, k.boards); err != nil {
		return err
	}
	if _, err := tx.Exec(ctx, `INSERT INTO kit_versions (kit, version, digest, title, document, kept_by, kept_at)
		VALUES ($1, $2, decode($3, 'hex'), $4, $5, $6, $7)`, k.ID, x.Version, k.Digest, k.Title, k.Canonical,
		b.l.account, x.At); err != nil {
		return err
	}
	b.count.Kits++
	b.tell(event{at: x.At, what: "kit-kept", kit: k.ID, version: x.Version, sentence: message.Of("event.kit-kept",
		"{who}", x.Version, k.ID, "{title}")})
	return nil
}

func (b *beside) tell(e event) { b.events = append(b.events, e) }

// record files a record where it is new here.
func (b *beside) record(ctx context.Context, x *Exported) error {
	if here, err := b.here(ctx, x); err != nil || here != nil {
		return err
	}
	id, err := b.boardOf(ctx, x)
	if err != nil {
		return err
	}
	r, fs := schema.ReadRecord(x.Document)
	if r == nil {
		return refusedRecord(fs)
	}
	m, err := b.nearest(ctx, id, r)
	if err != nil {
		return err
	}
	yes := func(string) bool { return true } // a photograph may be withdrawn by now
	if m != nil {
		fs = append(fs, r.Judge(serviced.Facts{Board: r.Board, Map: m, Newest: r.Revision, Revision: true,
			Variant: true,
			Today:   x.KeptAt.UTC().AddDate(0, 0, 1).Format(time.DateOnly), Photograph: yes, Kit: yes})...)
	} else {
		m = new(board.Map)
	}
	if finding.Worst(fs) == finding.Stop {
		return refusedRecord(fs)
	}
	canonical, err := canonicalRecord(r)
	if err != nil {
		return err
	}
	if board.Digest(canonical) != x.Digest {
		return fault.New(fault.Invalid, "load-refused", "store.load-record-altered", x.Board)
	}
	if err := countAct(ctx, b.a, id); err != nil {
		return err
	}
	b.a.at = x.KeptAt
	number, err := insertRecord(ctx, b.a, filed{Record: r, board: id, canonical: canonical, hashed: true}, m)
	if err != nil {
		return err
	}
	b.count.Records++
	b.tell(event{at: x.KeptAt, what: "record-kept", board: id, sentence: message.Of("event.record-kept", number, id)})
	return nil
}

// boardOf is the ID under which a record of a board stands here.
func (b *beside) boardOf(ctx context.Context, x *Exported) (string, error) {
	to, merged, err := b.l.s.Moved(ctx, x.Board)
	if err != nil {
		return "", err
	}
	id := x.Board
	if to != "" && !merged {
		id = to
	}
	_, err = b.a.tx.Exec(ctx, `INSERT INTO boards (id) VALUES ($1) ON CONFLICT ON CONSTRAINT boards_pkey DO NOTHING`,
		id)
	return id, err
}

// kept is a record that is here.
type kept struct {
	ID, Unit int64
	Board    string
	Hashed   bool
	Document []byte
}

// here finds a record that was filed at the same moment and leaves as the same;
// nil for none.
func (b *beside) here(ctx context.Context, x *Exported) (*kept, error) {
	found, err := collect[kept](ctx,
		b.a.tx, `SELECT r.id, r.unit, r.board, u.hashed, r.document FROM records r JOIN units u ON u.id = r.unit
		WHERE r.kept_at = $1`, x.KeptAt)
	if err != nil {
		return nil, err
	}
	for i := range found {
		k := &found[i]
		_, doc, err := leaving(k.Document, b.key, k.Unit, k.Hashed)
		if err != nil {
			return nil, err
		}
		if board.Digest(doc) == x.Digest {
			return k, nil
		}
	}
	return nil, nil
}

// nearest is the map that a record was made by; nil where that revision was
// withdrawn before anything was brought here.
func (b *beside) nearest(ctx context.Context, id string, r *serviced.Record) (*board.Map, error) {
	build := r.Variant
	if build == serviced.Base {
		build = ""
	}
	rev, err := b.l.s.revision(ctx, b.a.tx, cacheKey{id, r.Revision, build})
	if fault.Is(err, fault.NotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return rev.Map, nil
}

// recordGone takes a record out of use here as it was there.
func (b *beside) recordGone(ctx context.Context, x *Exported) error {
	k, err := b.here(ctx, x)
	if err != nil || k == nil {
		return err
	}
	tag, err := b.a.tx.Exec(ctx, `INSERT INTO record_withdrawals (record, kind, reason, by, at) VALUES ($1, $2, $3, $4, $5)
		ON CONFLICT ON CONSTRAINT record_withdrawals_pkey DO NOTHING`, k.ID, x.Kind, b.why(), b.l.account, x.At)
	if err != nil || tag.RowsAffected() == 0 {
		return err
	}
	if err := countAct(ctx, b.a, k.Board); err != nil {
		return err
	}
	b.count.Withdrawn++
	b.tell(event{at: x.At, what: "record-withdrawn", board: k.Board, sentence: message.Of("event.record-withdrawn",
		k.ID, k.Board, message.Word("withdrawn-as", x.Kind))})
	return refile(ctx, b.a.tx, k.Board, k.Unit)
}

func (b *beside) why() string { return "Withdrawn on " + b.l.server + "." }

// photographGone takes a photograph out of use here as it was there, and drops
// its bytes where they were dropped there.
func (b *beside) photographGone(ctx context.Context, x *Exported) error {
	var sum []byte
	err := b.a.tx.QueryRow(ctx, `INSERT INTO withdrawals (photograph, kind, reason, by, at) SELECT p.sha256, $2, $3, $4, $5 FROM photographs p
		WHERE p.sha256 = decode($1, 'hex') AND NOT EXISTS (SELECT FROM withdrawals w WHERE w.photograph = p.sha256 AND (w.kind = $2 OR w.kind = $6))
		RETURNING photograph`, x.Photograph, x.Kind, b.why(), b.l.account, x.At, illegal).Scan(&sum)
	switch {
	case err == nil:
		b.count.Withdrawn++
		b.tell(event{at: x.At, what: "photograph-withdrawn", photograph: sum,
			sentence: message.Of("event.photograph-withdrawn", message.Word("withdrawn-as", x.Kind))})
	case !noRows(err):
		return err
	}
	if x.Act != photographErasure {
		return nil
	}
	err = b.a.tx.QueryRow(ctx,
		`UPDATE photographs SET data = '', erased_at = $2 WHERE sha256 = decode($1, 'hex') AND erased_at IS NULL RETURNING sha256`,
		x.Photograph, x.At).Scan(&sum)
	if noRows(err) {
		return nil
	}
	if err != nil {
		return err
	}
	b.tell(event{at: x.At, what: "photograph-erased", photograph: sum, sentence: message.Of("event.photograph-erased")})
	_, err = b.a.tx.Exec(ctx, `DELETE FROM flattened WHERE photograph = $1`, sum)
	return err
}
