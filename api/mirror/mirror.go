// Package mirror follows another registry so that it can be done without: it
// brings over what that releases and withdraws, and believes none of it until
// the other's signed log proves it. A plain copy would take on whatever the
// other says today; this one notices when the other tells it something else
// than it told before, or than it tells others (C2SP tlog-tiles; RFC 6962).
package mirror

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/api/client"
	"boardlore/domain/transparency"
	"boardlore/store"
	"boardlore/store/bundle"
)

// Every is how often the other is asked, unless Options say otherwise.
const Every = 5 * time.Second

// batch is how many entries are brought in one transaction.
const batch = 200

// Options of a follower.
type Options struct {
	Key   string        // of the other's log; "" for the first one seen
	Every time.Duration // 0 for Every
	Tell  func(string)  // of steps

	Trouble func(error) // what went wrong in a step; it is tried again
}

// Follower follows one registry.
type Follower struct {
	store  *store.Store
	client *client.Client
	opt    Options
	write  *store.Follower
}

// ErrFork says that the other shows a log that does not go on from the one that
// it showed before. The mirror follows no more, and keeps serving what it had.
var ErrFork = errors.New("the registry shows another log than before")

// ErrKey says that the log is signed by a key that the one before did not name.
var ErrKey = errors.New("the registry's log is signed by another key, and the key before says nothing of it")

// ErrDeparted says that the other was brought back from a backup that has less
// than this mirror.
var ErrDeparted = errors.New("the registry was brought back from a backup, and has less than this mirror")

// New makes the store a mirror of the registry that c asks, or has it go on as
// such. Where the other can't be reached, only a mirror that was one before goes on.
func New(ctx context.Context, s *store.Store, c *client.Client, opt Options) (*Follower, error) {
	if opt.Every <= 0 {
		opt.Every = Every
	}
	if opt.Tell == nil {
		opt.Tell = func(string) {}
	}
	if opt.Trouble == nil {
		opt.Trouble = func(error) {}
	}
	m, err := s.Mirror(ctx)
	if err != nil {
		return nil, err
	}
	origin, key := "", opt.Key
	if m != nil && key == "" {
		origin, key = m.Origin, m.Key
	}
	if key == "" {
		l, err := c.Log(ctx)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", c.Address(), err)
		}
		key = l.Key
		opt.Tell("the key seen first is kept: " + key)
	}
	v, err := note.NewVerifier(key)
	if err != nil {
		return nil, fmt.Errorf("the key %q is none: %w", key, err)
	}
	if origin == "" {
		origin = v.Name()
	}
	if _, err := s.BeginMirror(ctx, c.Address(), origin, key); err != nil {
		return nil, err
	}
	w, err := s.NewFollower(ctx, c.Address())
	if err != nil {
		return nil, err
	}
	return &Follower{store: s, client: c, opt: opt, write: w}, nil
}

// Run follows until ctx ends. What goes wrong is told, and tried again; a fork
// is told each time.
func (f *Follower) Run(ctx context.Context) {
	for ctx.Err() == nil {
		if err := f.Step(ctx); err != nil && ctx.Err() == nil {
			f.opt.Trouble(err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(f.opt.Every):
		}
	}
}

// Step asks the other once, proves what it shows, and brings over what is new.
func (f *Follower) Step(ctx context.Context) error {
	m, err := f.store.Mirror(ctx)
	if err != nil {
		return err
	}
	if m.Alarm != "" {
		return fmt.Errorf("%w: %s", ErrFork, m.Alarm)
	}
	signed, says, err := f.client.Checkpoint(ctx)
	if err != nil {
		return fmt.Errorf("%s can't be asked; what is here is served: %w", m.Address, err)
	}
	if says != m.Key {
		if m, err = f.succeed(ctx, m); err != nil {
			return err
		}
	}
	v, err := note.NewVerifier(m.Key)
	if err != nil {
		return err
	}
	c, err := transparency.OpenCheckpoint(signed, v)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrKey, err)
	}
	if err := f.advance(ctx, m, c, signed); err != nil {
		return err
	}
	return f.beside(ctx, m)
}

// succeed goes from key to key along the words that each left on the next.
func (f *Follower) succeed(ctx context.Context, m *store.Mirror) (*store.Mirror, error) {
	l, err := f.client.Log(ctx)
	if err != nil {
		return nil, err
	}
	for _, word := range l.Successions {
		v, err := note.NewVerifier(m.Key)
		if err != nil {
			return nil, err
		}
		w, err := transparency.OpenSuccession([]byte(word), v)
		if err != nil {
			continue // of a key before this one
		}
		if w.Next != w.Origin && w.Size < m.Size {
			return nil, fmt.Errorf("%w: it had %d entries then, and %d are proved here. Keep this mirror (boardlore log promote makes it a registry) and follow anew in another folder", ErrDeparted, w.Size, m.Size)
		}
		if err := f.store.Succeed(ctx, w.Next, w.Key); err != nil {
			return nil, err
		}
		f.opt.Tell(fmt.Sprintf("the log %s; its key is %s now", w.How, w.Key))
		m.Origin, m.Key, m.Heard = w.Next, w.Key, 0
	}
	if l.Key != m.Key {
		return nil, ErrKey
	}
	return m, nil
}

// advance proves that a checkpoint goes on from the one before, and brings over
// what lies between.
func (f *Follower) advance(ctx context.Context, m *store.Mirror, c transparency.Checkpoint, signed []byte) error {
	if c.Tree.N <= m.Size {
		root, err := f.store.RootAt(ctx, c.Tree.N)
		if err != nil {
			return err
		}
		if root != c.Tree.Hash {
			return f.fork(ctx, m, c, signed)
		}
		if c.Tree.N < m.Size {
			return nil // an older answer, such as a cache's
		}
		return f.store.Proved(ctx, signed, c.Tree.N)
	}
	hashes := tlog.TileHashReader(c.Tree, bundle.Tiles(ctx, Remote{f.client}))
	if m.Size > 0 {
		root, err := f.store.RootAt(ctx, m.Size)
		if err != nil {
			return err
		}
		proof, err := tlog.ProveTree(c.Tree.N, m.Size, hashes)
		if err != nil {
			return fmt.Errorf("the log's tiles do not hold to its checkpoint: %w", err)
		}
		if tlog.CheckTree(proof, c.Tree.N, c.Tree.Hash, m.Size, root) != nil {
			return f.fork(ctx, m, c, signed)
		}
	}
	if err := f.bring(ctx, c, hashes); err != nil {
		return err
	}
	root, err := f.store.RootAt(ctx, c.Tree.N)
	if err != nil {
		return err
	}
	if root != c.Tree.Hash {
		return f.fork(ctx, m, c, signed)
	}
	f.opt.Tell(fmt.Sprintf("%d entries proved", c.Tree.N))
	return f.store.Proved(ctx, signed, c.Tree.N)
}

// bring writes the entries up to a checkpoint, each held to it first.
func (f *Follower) bring(ctx context.Context, c transparency.Checkpoint, hashes tlog.HashReader) error {
	have, err := f.store.LogSize(ctx)
	if err != nil {
		return err
	}
	var some []store.Exported
	for x, err := range (Remote{f.client}).lines(ctx, client.ExportFilter{What: string(store.Log), From: have}) {
		if err != nil {
			return err
		}
		if x.Index >= c.Tree.N {
			break
		}
		if some = append(some, x); len(some) == batch {
			if err := f.put(ctx, some, hashes); err != nil {
				return err
			}
			some = nil
		}
	}
	if err := f.put(ctx, some, hashes); err != nil {
		return err
	}
	if have, err = f.store.LogSize(ctx); err == nil && have < c.Tree.N {
		err = fmt.Errorf("the export ends at %d entries, the log has %d", have, c.Tree.N)
	}
	return err
}

// put holds some entries to the log and writes them, with their photographs.
func (f *Follower) put(ctx context.Context, some []store.Exported, hashes tlog.HashReader) error {
	if len(some) == 0 {
		return nil
	}
	places := make([]int64, len(some))
	for i := range some {
		places[i] = tlog.StoredHashIndex(0, some[i].Index)
	}
	leaves, err := hashes.ReadHashes(places)
	if err != nil {
		return fmt.Errorf("the log's tiles do not hold to its checkpoint: %w", err)
	}
	for i, x := range some {
		entry, err := transparency.Entry{Act: x.Act, Board: x.Board, Number: x.Revision, Digest: x.Digest,
			Kind: x.Kind}.Canonical()
		if err != nil {
			return err
		}
		if tlog.RecordHash(entry) != leaves[i] {
			return fmt.Errorf("entry %d of the export is not the one of the log", x.Index)
		}
	}
	if err := f.photographs(ctx, some); err != nil {
		return err
	}
	return f.write.Write(ctx, some)
}

func (f *Follower) photographs(ctx context.Context, some []store.Exported) error {
	lacking, err := f.store.Lacks(ctx, store.PhotographsOf(some))
	if err != nil {
		return err
	}
	for _, sum := range lacking {
		data, err := Remote{f.client}.Photograph(ctx, sum)
		if errors.Is(err, bundle.ErrNoPhotograph) {
			continue // withdrawn
		}
		if err != nil {
			return err
		}
		if !bundle.Is(sum, data) {
			return fmt.Errorf("photograph %s came as another one", sum)
		}
		if err := f.write.KeepAsIs(ctx, sum, data); err != nil {
			return err
		}
	}
	return nil
}

// beside brings over kits, records and what became of photographs. The log says
// nothing of them: they are taken at the other's word, each held to its digest.
func (f *Follower) beside(ctx context.Context, m *store.Mirror) error {
	var some []store.Exported
	for x, err := range (Remote{f.client}).lines(ctx, client.ExportFilter{What: string(store.Beside),
		AfterEvent: m.Heard}) {
		if err != nil {
			return err
		}
		if some = append(some, x); len(some) < batch && len(x.Data) == 0 {
			continue
		}
		if taken, err := f.write.WriteBeside(ctx, some); err != nil || taken < len(some) {
			return err
		}
		some = nil
	}
	_, err := f.write.WriteBeside(ctx, some)
	return err
}

// fork keeps both checkpoints, which together prove what happened, and stops.
func (f *Follower) fork(ctx context.Context, m *store.Mirror, c transparency.Checkpoint, signed []byte) error {
	why := fmt.Sprintf("at %d entries its hash is %s, which does not go on from the log of %d entries that was proved here. Both checkpoints, each signed by the registry's key, prove it:\n%s\n%s",
		c.Tree.N, base64.StdEncoding.EncodeToString(c.Tree.Hash[:]), m.Size, m.Checkpoint, signed)
	if err := f.store.RaiseAlarm(ctx, why); err != nil {
		return err
	}
	return fmt.Errorf("%w: %s", ErrFork, why)
}
