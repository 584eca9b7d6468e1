package store

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/photograph"
	"boardlore/domain/transparency"
)

// Mirror says what this registry follows.
type Mirror struct {
	Address    string    // of the other
	Origin     string    // of its log
	Key        string    // that its log is held to
	Checkpoint []byte    // signed; the newest to which everything here was held
	Size       int64     // entries of that
	Heard      int64     // event up to which was read what stands beside its log
	CheckedAt  time.Time // when it was last held to the other's log
	Alarm      string    // why it follows no more
	Promoted   bool      // it is a registry of its own by now
}

// Mirror tells what this registry follows, nil where it never followed any.
func (s *Store) Mirror(ctx context.Context) (*Mirror, error) {
	m, err := mirrorOf(ctx, s.reads)
	return m, fail(err, "what this mirror follows")
}

func mirrorOf(ctx context.Context, q querier) (*Mirror, error) {
	var m Mirror
	var at, promoted *time.Time
	err := q.QueryRow(ctx,
		`SELECT address, origin, key, checkpoint, size, heard, checked_at, alarm, promoted_at FROM mirror`).
		Scan(&m.Address, &m.Origin, &m.Key, &m.Checkpoint, &m.Size, &m.Heard, &at, &m.Alarm, &promoted)
	if noRows(err) {
		return nil, nil
	}
	if at != nil {
		m.CheckedAt = *at
	}
	m.Promoted = promoted != nil
	return &m, err
}

// errOwn says that a registry can't become a mirror.
var errOwn = errors.New("this is a registry of its own and can't follow another: name an empty folder")

// errMirror says that the log here is another registry's.
var errMirror = errors.New("this is a mirror, whose log is another registry's: boardlore log promote makes it a registry of its own")

// BeginMirror makes an empty registry the mirror of another, or goes on being
// it: the key that was kept first counts.
func (s *Store) BeginMirror(ctx context.Context, address, origin, key string) (*Mirror, error) {
	m, err := s.Mirror(ctx)
	if err != nil || m != nil && m.Promoted {
		return nil, errors.Join(err, errOwn)
	}
	if m == nil {
		var own bool
		err := s.reads.QueryRow(ctx,
			`SELECT EXISTS (SELECT FROM revisions) OR EXISTS (SELECT FROM log_entries) OR EXISTS (SELECT FROM proposals)`).Scan(&own)
		if err != nil || own {
			return nil, errors.Join(fail(err, "look for what is here"), errOwn)
		}
		if _, err := s.writes.Exec(ctx, `INSERT INTO mirror (address, origin, key) VALUES ($1, $2, $3)`, address, origin,
			key); err != nil {
			return nil, fail(err, "begin to follow %s", address)
		}
		s.identity.forget()
		return s.Mirror(ctx)
	}
	if m.Key != key {
		return nil, fmt.Errorf("this mirror follows %s by the key %s, and not by %s: name another folder to begin anew",
			m.Address, m.Key, key)
	}
	_, err = s.writes.Exec(ctx, `UPDATE mirror SET address = $1`, address)
	return m, fail(err, "go on following %s", address)
}

// Succeed keeps the key by which the other's log goes on; the caller has held
// it to the one before. What stands beside the log is read anew, since a backup
// that was restored numbers its events anew.
func (s *Store) Succeed(ctx context.Context, origin, key string) error {
	err := pgx.BeginFunc(ctx, s.writes, func(tx pgx.Tx) error {
		if _, err := tx.Exec(ctx, `UPDATE mirror SET origin = $1, key = $2, heard = 0`, origin, key); err != nil {
			return err
		}
		return tellLog(ctx, tx)
	})
	s.identity.forget()
	return fail(err, "the key that follows")
}

// Proved keeps a checkpoint to which everything here was held.
func (s *Store) Proved(ctx context.Context, signed []byte, size int64) error {
	_, err := s.writes.Exec(ctx, `UPDATE mirror SET checkpoint = $1, size = $2, checked_at = clock_timestamp()`,
		string(signed), size)
	return fail(err, "keep a checkpoint")
}

// RaiseAlarm keeps why this mirror follows no more.
func (s *Store) RaiseAlarm(ctx context.Context, why string) error {
	_, err := s.writes.Exec(ctx, `UPDATE mirror SET alarm = $1 WHERE alarm = ''`, why)
	return fail(err, "keep an alarm")
}

// RootAt is what the first entries of the log hash to.
func (s *Store) RootAt(ctx context.Context, size int64) (tlog.Hash, error) {
	h, err := tlog.TreeHash(size, hashesOf(ctx, s.reads))
	return h, fail(err, "hash of %d entries", size)
}

// Follower writes what another registry's log says, entry by entry, so that the
// log here is the same. The caller has held each entry to the other's checkpoint.
type Follower struct{ l *Loader }

// NewFollower begins to follow a server.
func (s *Store) NewFollower(ctx context.Context, server string) (*Follower, error) {
	l, err := s.NewLoader(ctx, server)
	if err != nil {
		return nil, err
	}
	l.follows = true
	return &Follower{l}, nil
}

// Write writes some entries, in one transaction.
func (f *Follower) Write(ctx context.Context, entries []Exported) error {
	for i := range entries {
		f.l.take(&entries[i])
	}
	err := f.l.Flush(ctx)
	if err == nil {
		f.l.s.cache.forget("")
		f.l.s.moves.forget()
	}
	return err
}

// WriteBeside writes what the other has beside its log, in one transaction that
// also keeps how far it was heard. It stops before the first record whose
// revision is not in the log here yet, and tells how many lines it took.
func (f *Follower) WriteBeside(ctx context.Context, lines []Exported) (taken int, err error) {
	for taken < len(lines) {
		x := &lines[taken]
		if x.Act == recordLine {
			var here bool
			err := f.l.s.reads.QueryRow(ctx, `SELECT EXISTS (SELECT FROM log_entries l JOIN boards b ON b.id = l.board
				WHERE $1 IN (b.id, b.moved_to, (SELECT o.id FROM boards o WHERE o.id = $1 AND o.moved_to = b.id)) AND l.act = $3 AND l.number >= $2)`, x.Board, x.Revision, transparency.Release).Scan(&here)
			if err != nil {
				return 0, fail(err, "revision %d of %s", x.Revision, x.Board)
			}
			if !here {
				break
			}
		}
		f.l.besides, taken = append(f.l.besides, x), taken+1
	}
	err = f.l.flushBeside(ctx)
	f.l.besides = nil
	return taken, err
}

// KeepAsIs keeps a photograph as another registry keeps it; its name vouches for it.
func (f *Follower) KeepAsIs(ctx context.Context, sum string, data []byte) error {
	_, err := keepAsIs(ctx, f.l.s.writes, f.l.account, sum, data)
	return err
}

// keepAsIs keeps a photograph and tells whether it is new here.
func keepAsIs(ctx context.Context, q changer, account int64, sum string, data []byte) (bool, error) {
	pic, err := photograph.Read(data)
	if err != nil {
		return false, fmt.Errorf("photograph %s: %w", sum, err)
	}
	tag, err := q.Exec(ctx, `INSERT INTO photographs (sha256, type, width, height, data, by, at, asked_at, named)
		VALUES (decode($1, 'hex'), $2, $3, $4, $5, $6, now(), now(), true) ON CONFLICT ON CONSTRAINT photographs_pkey DO NOTHING`,
		sum, pic.Type, pic.Width, pic.Height, data, account)
	return tag.RowsAffected() == 1, fail(err, "keep photograph %s", sum)
}

// Lacks gives those of some photographs that are not here.
func (s *Store) Lacks(ctx context.Context, sums []string) ([]string, error) {
	rows, err := s.reads.Query(ctx,
		`SELECT w FROM unnest($1::text[]) AS w WHERE NOT EXISTS (SELECT FROM photographs WHERE sha256 = decode(w, 'hex'))`, sums)
	if err != nil {
		return nil, fail(err, "look for photographs")
	}
	out, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return out, fail(err, "look for photographs")
}

// move brings over that boards have another ID. Those that are not here yet
// under the old one have nothing to be moved.
func (l *Loader) move(ctx context.Context, a *act, x *Exported) error {
	for _, from := range x.Moved {
		var here bool
		err := a.tx.QueryRow(ctx,
			`SELECT EXISTS (SELECT FROM boards b JOIN revisions r ON r.board = b.id WHERE b.id = $1 AND b.moved_to IS NULL)`, from).Scan(&here)
		if err != nil {
			return err
		}
		if !here || from == x.Board {
			continue
		}
		_, e, err := l.s.move(ctx, a, from, x.Board, "")
		if err != nil {
			return err
		}
		e.who, e.at = l.account, x.At
		if _, err := insertEvent(ctx, a.tx, e); err != nil {
			return err
		}
	}
	return nil
}

// mirrored appends an entry to the log as the other has it, with the event that
// tells of it here.
func (l *Loader) mirrored(ctx context.Context, a *act, x *Exported, event int64, log *appendix) error {
	e := transparency.Entry{Act: x.Act, Board: x.Board, Number: x.Revision, Digest: x.Digest, Kind: x.Kind}
	if x.Index != log.size+int64(len(log.bytes)) {
		return fmt.Errorf("entry %d of the log comes where %d should", x.Index, log.size+int64(len(log.bytes)))
	}
	return log.add(event, e, hashesOf(ctx, a.tx))
}

// placeholder is the event of what can't be shown here: of a map that was
// withdrawn before it was brought, say.
func (l *Loader) placeholder(ctx context.Context, a *act, x *Exported) (int64, error) {
	if _, err := a.tx.Exec(ctx, `INSERT INTO boards (id) VALUES ($1) ON CONFLICT ON CONSTRAINT boards_pkey DO NOTHING`,
		x.Board); err != nil {
		return 0, err
	}
	for what, act := range inLog {
		if act == x.Act {
			return insertEvent(ctx, a.tx, event{at: x.At, who: l.account, what: what, board: x.Board,
				revision: x.Revision,
				sentence: message.Of("event.mirrored", x.Revision, x.Board)})
		}
	}
	return 0, fault.New(fault.Invalid, "load-refused", "store.mirror-unknown-act", x.Act)
}

// Promote makes a mirror a registry of its own. Its log goes on from what was
// proved, under a name and key of its own, which say so.
func (s *Store) Promote(ctx context.Context) (*LogIdentity, error) {
	m, err := s.Mirror(ctx)
	if err != nil {
		return nil, err
	}
	if m == nil || m.Promoted {
		return nil, errors.New("this is no mirror, but a registry of its own already")
	}
	size, err := s.LogSize(ctx)
	if err != nil {
		return nil, err
	}
	root, err := s.RootAt(ctx, size)
	if err != nil {
		return nil, err
	}
	err = s.write(ctx, func(tx pgx.Tx) error {
		if err := lockEvents(ctx, tx); err != nil {
			return err
		}
		if _, err := tx.Exec(ctx, `UPDATE mirror SET promoted_at = clock_timestamp()`); err != nil {
			return err
		}
		origin := newOrigin()
		secret, key, err := newKey(origin)
		if err != nil {
			return err
		}
		signer, err := note.NewSigner(secret)
		if err != nil {
			return err
		}
		text := fmt.Sprintf("%s\ntaken up at %d entries with the hash %s on %s; it goes on as a registry of its own: %s\n%s\n",
			m.Origin, size, hex.EncodeToString(root[:]), time.Now().UTC().Format(time.DateOnly), origin, key)
		word, err := note.Sign(&note.Note{Text: text}, signer)
		if err != nil {
			return err
		}
		return insertIdentity(ctx, tx, origin, key, secret, string(word))
	})
	if err != nil {
		return nil, fail(err, "make this mirror a registry")
	}
	s.identity.forget()
	return s.Log(ctx)
}
