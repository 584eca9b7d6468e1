package store

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/transparency"
)

// LogIdentity is who signs the log.
type LogIdentity struct {
	Origin string
	Key    string // to verify with, in the form of C2SP signed-note
	Note   string // how it came to sign, where it is not the first
	First  string // origin of the log when it was made: a name of the registry that outlives its address, its key and a restored backup
	signer note.Signer
}

// inLog are the events that make an entry of the log, and which act it tells of.
var inLog = map[string]string{"released": transparency.Release, "revision-withdrawn": transparency.Withdrawal,
	"board-moved": transparency.Move}

// appendix are entries on their way into the log, all at once.
type appendix struct {
	size    int64 // of the log before
	entries []transparency.Entry
	events  []int64
	bytes   [][]byte
	hashes  []tlog.Hash
}

// add works out the hashes of one more entry, over those of the log and those
// that came before it here.
func (x *appendix) add(event int64, e transparency.Entry, stored tlog.HashReader) error {
	entry, err := e.Canonical()
	if err != nil {
		return err
	}
	first := tlog.StoredHashCount(x.size)
	all := tlog.HashReaderFunc(func(positions []int64) ([]tlog.Hash, error) {
		out := make([]tlog.Hash, len(positions))
		var there []int64
		for i, p := range positions {
			if p >= first {
				out[i] = x.hashes[p-first]
			} else {
				there = append(there, p)
			}
		}
		if len(there) == 0 {
			return out, nil
		}
		found, err := stored.ReadHashes(there)
		if err != nil {
			return nil, err
		}
		for i, p := range positions {
			if p < first {
				out[i], found = found[0], found[1:]
			}
		}
		return out, nil
	})
	hashes, err := tlog.StoredHashes(x.size+int64(len(x.bytes)), entry, all)
	if err != nil {
		return err
	}
	x.entries, x.events, x.bytes, x.hashes = append(x.entries, e), append(x.events, event), append(x.bytes, entry),
		append(x.hashes, hashes...)
	return nil
}

// write puts the entries and their hashes into their tables.
func (x *appendix) write(ctx context.Context, tx pgx.Tx) error {
	entries := make([][]any, len(x.bytes))
	for i, e := range x.entries {
		digest, err := hex.DecodeString(e.Digest)
		if err != nil {
			return err
		}
		entries[i] = []any{x.size + int64(i), x.events[i], e.Act, e.Board, e.Number, digest, x.bytes[i]}
	}
	if _, err := tx.CopyFrom(ctx, pgx.Identifier{"log_entries"}, []string{"index", "event", "act", "board", "number",
		"digest", "entry"}, pgx.CopyFromRows(entries)); err != nil {
		return err
	}
	hashes := make([][]any, len(x.hashes))
	for i := range x.hashes {
		hashes[i] = []any{tlog.StoredHashCount(x.size) + int64(i), x.hashes[i][:]}
	}
	_, err := tx.CopyFrom(ctx, pgx.Identifier{"log_hashes"}, []string{"position", "hash"}, pgx.CopyFromRows(hashes))
	return err
}

// logEvent is an event that makes an entry.
type logEvent struct {
	ID       int64
	What     string
	Board    string
	Revision int
	Digest   string
	Kind     string // of a withdrawal
}

// hashesOf reads hashes of the tree.
func hashesOf(ctx context.Context, q querier) tlog.HashReader {
	return tlog.HashReaderFunc(func(positions []int64) ([]tlog.Hash, error) {
		rows, err := q.Query(ctx,
			`SELECT h.hash FROM unnest($1::bigint[]) WITH ORDINALITY AS t (position, k) JOIN log_hashes h USING (position) ORDER BY k`, positions)
		if err != nil {
			return nil, err
		}
		found, err := pgx.CollectRows(rows, pgx.RowTo[[]byte])
		if err != nil {
			return nil, err
		}
		if len(found) != len(positions) {
			return nil, fmt.Errorf("hashes of the log: %w", ErrDamaged)
		}
		out := make([]tlog.Hash, len(found))
		for i := range found {
			out[i] = tlog.Hash(found[i])
		}
		return out, nil
	})
}

// Log is who signs the log; at the first call ever it is made, and the log
// brought up to the events that were there before it. While the database is away
// it is who signed it when last asked.
func (s *Store) Log(ctx context.Context) (*LogIdentity, error) {
	l, err := s.identity.get(ctx, s.signs)
	if before := s.identity.before(); err != nil && before != nil && lost(err) {
		return *before, nil
	}
	return l, fail(err, "the log's key")
}

// signs reads who signs the log, and sees to it that somebody does.
func (s *Store) signs(ctx context.Context) (l *LogIdentity, err error) {
	if l, err = identity(ctx, s.reads); !noRows(err) {
		return l, err
	}
	err = s.write(ctx, func(tx pgx.Tx) error {
		l, err = firstIdentity(ctx, tx)
		return err
	})
	return l, err
}

// tellLog has all servers read anew who signs the log, once tx is committed.
func tellLog(ctx context.Context, tx changer) error {
	_, err := tx.Exec(ctx, `SELECT pg_notify($1, $2)`, channel, noticeLog)
	return err
}

func identity(ctx context.Context, q querier) (*LogIdentity, error) {
	m, err := mirrorOf(ctx, q)
	if err != nil {
		return nil, err
	}
	if m != nil && !m.Promoted { // it signs nothing, and shows what the other signed
		return &LogIdentity{Origin: m.Origin, Key: m.Key, First: m.Origin}, nil
	}
	var l LogIdentity
	var secret string
	err = q.QueryRow(ctx, `SELECT origin, key, secret, note, (SELECT origin FROM log_identities ORDER BY number LIMIT 1)
		FROM log_identities ORDER BY number DESC LIMIT 1`).Scan(&l.Origin, &l.Key, &secret, &l.Note, &l.First)
	if err != nil {
		return nil, err
	}
	if l.signer, err = note.NewSigner(secret); err != nil {
		return nil, fmt.Errorf("the log's key: %w", err)
	}
	return &l, nil
}

func firstIdentity(ctx context.Context, tx pgx.Tx) (*LogIdentity, error) {
	if _, err := tx.Exec(ctx, `SELECT pg_advisory_xact_lock($1)`, eventLock); err != nil {
		return nil, err
	}
	if l, err := identity(ctx, tx); err == nil || !noRows(err) {
		return l, err // another server made it
	}
	origin := newOrigin()
	secret, key, err := newKey(origin)
	if err != nil {
		return nil, err
	}
	if err := insertIdentity(ctx, tx, origin, key, secret, ""); err != nil {
		return nil, err
	}
	if err := catchUp(ctx, tx); err != nil {
		return nil, err
	}
	return identity(ctx, tx)
}

// newOrigin is a name that no other log has.
func newOrigin() string {
	var random [8]byte
	rand.Read(random[:]) // never fails, by its documentation
	return "boardlore/" + hex.EncodeToString(random[:])
}

// newKey makes a key under a name: to sign with, and to verify with.
func newKey(origin string) (secret, key string, err error) {
	return note.GenerateKey(rand.Reader, origin)
}

func insertIdentity(ctx context.Context, tx pgx.Tx, origin, key, secret, word string) error {
	_, err := tx.Exec(ctx,
		`INSERT INTO log_identities (origin, key, secret, since, note) VALUES ($1, $2, $3, clock_timestamp(), $4)`,
		origin, key, secret, word)
	if err != nil {
		return err
	}
	return tellLog(ctx, tx)
}

// catchUp appends the entries of all events that the log has not had: those
// that this transaction brings, and those of a server from before the log. The
// caller holds the lock of the events.
func catchUp(ctx context.Context, tx pgx.Tx) error {
	if m, err := mirrorOf(ctx, tx); err != nil || m != nil && !m.Promoted {
		return errors.Join(err, errMirror)
	}
	rows, err := tx.Query(ctx, `
		SELECT e.id, e.what, e.board, e.revision, encode(r.digest, 'hex'), CASE WHEN e.what = 'revision-withdrawn' THEN coalesce((
			SELECT w.kind FROM withdrawals w WHERE w.board = r.board AND w.revision = r.number ORDER BY w.id DESC LIMIT 1), '') ELSE '' END
		FROM events e JOIN boards b ON b.id = e.board, LATERAL (
			SELECT * FROM revisions r WHERE r.number = e.revision AND r.board IN (b.id, b.moved_to) ORDER BY r.board = b.id DESC LIMIT 1) r
		WHERE e.what = ANY ($1) AND e.id > coalesce((SELECT max(event) FROM log_entries), 0) ORDER BY e.id`,
		slices.Collect(maps.Keys(inLog)))
	if err != nil {
		return err
	}
	late, err := pgx.CollectRows(rows, pgx.RowToStructByPos[logEvent])
	if err != nil {
		return err
	}
	var x appendix
	if err := tx.QueryRow(ctx, `SELECT coalesce(max(index), -1) + 1 FROM log_entries`).Scan(&x.size); err != nil {
		return err
	}
	stored := hashesOf(ctx, tx)
	for _, v := range late {
		e := transparency.Entry{Act: inLog[v.What], Board: v.Board, Number: v.Revision, Digest: v.Digest, Kind: v.Kind}
		if err := x.add(v.ID, e, stored); err != nil {
			return fmt.Errorf("log entry of event %d: %w", v.ID, err)
		}
	}
	return x.write(ctx, tx)
}

// Checkpoint is the log as it is now, signed.
func (s *Store) Checkpoint(ctx context.Context) (signed []byte, size int64, err error) {
	l, err := s.Log(ctx)
	if err != nil {
		return nil, 0, err
	}
	if l.signer == nil {
		m, err := s.Mirror(ctx)
		if err == nil && (m == nil || m.Size == 0) {
			err = missing("tile-unknown", "store.mirror-unproved")
		}
		if err != nil {
			return nil, 0, err
		}
		return m.Checkpoint, m.Size, nil
	}
	if size, err = s.LogSize(ctx); err != nil {
		return nil, 0, err
	}
	if c := s.checkpoint.Load(); c != nil && c.size == size && c.key == l.Key {
		return c.signed, size, nil
	}
	signed, err = s.signAt(ctx, l, size)
	if err != nil {
		return nil, 0, fail(err, "checkpoint of %d", size)
	}
	s.checkpoint.Store(&checkpoint{size, l.Key, signed})
	return signed, size, nil
}

type checkpoint struct {
	size   int64
	key    string // that it was signed with, as a verifier key
	signed []byte
}

func (s *Store) signAt(ctx context.Context, l *LogIdentity, size int64) ([]byte, error) {
	hash, err := tlog.TreeHash(size, hashesOf(ctx, s.reads))
	if err != nil {
		return nil, err
	}
	return transparency.Sign(transparency.Checkpoint{Origin: l.Origin, Tree: tlog.Tree{N: size, Hash: hash}}, l.signer)
}

// LogSize counts the entries.
func (s *Store) LogSize(ctx context.Context) (n int64, err error) {
	err = s.reads.QueryRow(ctx, `SELECT coalesce(max(index), -1) + 1 FROM log_entries`).Scan(&n)
	return n, fail(err, "size of the log")
}

// Tile is a tile of the log's hashes or entries. NotFound tile-unknown, also
// where the log is not that long yet.
func (s *Store) Tile(ctx context.Context, t tlog.Tile) ([]byte, error) {
	n, err := s.LogSize(ctx)
	if err != nil {
		return nil, err
	}
	if !transparency.Holds(t, n) {
		return nil, missing("tile-unknown", "store.log-no-tile", n)
	}
	if t.L >= 0 {
		data, err := tlog.ReadTileData(t, hashesOf(ctx, s.reads))
		return data, fail(err, "tile of the log")
	}
	rows, err := s.reads.Query(ctx, `SELECT entry FROM log_entries WHERE index >= $1 AND index < $1 + $2 ORDER BY index`,
		t.N<<transparency.TileHeight, t.W)
	if err != nil {
		return nil, fail(err, "entries of the log")
	}
	entries, err := pgx.CollectRows(rows, pgx.RowTo[[]byte])
	if err != nil {
		return nil, fail(err, "entries of the log")
	}
	return transparency.Bundle(entries)
}

// Proof shows that the release of a revision is in the log. NotFound
// board-unknown or revision-unknown.
func (s *Store) Proof(ctx context.Context, board string, revision int) (transparency.Proof, error) {
	l, err := s.Log(ctx)
	if err != nil {
		return transparency.Proof{}, err
	}
	var p transparency.Proof
	err = s.reads.QueryRow(ctx, `SELECT l.index FROM log_entries l JOIN revisions r ON r.number = l.number AND r.digest = l.digest
		WHERE r.board = $1 AND r.number = $2 AND l.act = $3 AND (l.board = $1 OR l.board IN (SELECT id FROM boards WHERE moved_to = $1))
		ORDER BY l.index LIMIT 1`, board, revision, transparency.Release).Scan(&p.Index)
	if noRows(err) {
		return p, missing("revision-unknown", "store.log-no-release", revision, board)
	}
	if err != nil {
		return p, fail(err, "proof of revision %d of %s", revision, board)
	}
	signed, size, err := s.Checkpoint(ctx)
	if err != nil {
		return p, err
	}
	if size <= p.Index && l.signer == nil {
		return p, missing("revision-unknown", "store.log-unproved", revision, board)
	}
	if size <= p.Index { // the entry came meanwhile
		size = p.Index + 1
		if signed, err = s.signAt(ctx, l, size); err != nil {
			return p, fail(err, "checkpoint of %d", size)
		}
	}
	p.Checkpoint = signed
	p.Hashes, err = tlog.ProveRecord(size, p.Index, hashesOf(ctx, s.reads))
	return p, fail(err, "proof of revision %d of %s", revision, board)
}

// RotateKey has the log signed by a new key of the same name from now on. The
// note about it is signed with the key before and names the new one, so that
// whoever follows the log can go on.
func (s *Store) RotateKey(ctx context.Context) (*LogIdentity, error) {
	old, err := s.Log(ctx)
	if err != nil {
		return nil, err
	}
	return s.succeed(ctx, old, old.Origin, "goes on under a new key")
}

// Depart has the log go on under another name, as one that was brought back from
// a backup has to: whoever followed the old name may have seen more of it than
// the backup holds.
func (s *Store) Depart(ctx context.Context) (*LogIdentity, error) {
	old, err := s.Log(ctx)
	if err != nil {
		return nil, err
	}
	return s.succeed(ctx, old, newOrigin(), "goes on from a backup under another name")
}

func (s *Store) succeed(ctx context.Context, old *LogIdentity, origin, how string) (*LogIdentity, error) {
	if old.signer == nil {
		return nil, errMirror
	}
	secret, key, err := newKey(origin)
	if err != nil {
		return nil, err
	}
	err = s.write(ctx, func(tx pgx.Tx) error {
		if err := lockEvents(ctx, tx); err != nil {
			return err
		}
		var size int64
		if err := tx.QueryRow(ctx, `SELECT coalesce(max(index), -1) + 1 FROM log_entries`).Scan(&size); err != nil {
			return err
		}
		w := transparency.Succession{Origin: old.Origin, Size: size, On: time.Now().UTC().Format(time.DateOnly),
			How: how, Next: origin, Key: key}
		word, err := w.Sign(old.signer)
		if err != nil {
			return err
		}
		return insertIdentity(ctx, tx, origin, key, secret, string(word))
	})
	if err != nil {
		return nil, fail(err, "a new key of the log")
	}
	s.identity.forget()
	return s.Log(ctx)
}

// Successions are the signed words on how the log came from one name or key to
// the next, oldest first.
func (s *Store) Successions(ctx context.Context) ([]string, error) {
	rows, err := s.reads.Query(ctx, `SELECT note FROM log_identities WHERE note <> '' ORDER BY number`)
	if err != nil {
		return nil, fail(err, "the log's keys")
	}
	out, err := pgx.CollectRows(rows, pgx.RowTo[string])
	return out, fail(err, "the log's keys")
}
