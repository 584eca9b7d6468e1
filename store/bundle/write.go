package bundle

import (
	"archive/tar"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"maps"
	"slices"

	"github.com/go-json-experiment/json"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/board"
	"boardlore/domain/transparency"
	"boardlore/store"
)

// Source is a registry, here or far away.
type Source interface {
	// Checkpoint is the log as it is now, and the key that it is signed with.
	Checkpoint(ctx context.Context) (signed []byte, key string, err error)
	// Export gives what the log says of some boards, with the maps.
	Export(ctx context.Context, boards []string) iter.Seq2[store.Exported, error]
	// Tile is one tile of the log.
	Tile(ctx context.Context, t tlog.Tile) ([]byte, error)
	// Photograph is one photograph; ErrNoPhotograph where it is not to be had any more.
	Photograph(ctx context.Context, sum string) ([]byte, error)
}

// ErrNoPhotograph says that a photograph was withdrawn.
var ErrNoPhotograph = errors.New("the photograph is not to be had any more")

// Written is what a bundle came to.
type Written struct {
	Key         string // that the log is signed with
	Entries     int
	Maps        int
	Photographs int
	Lacking     []string // photographs that maps name and that are not to be had
}

// writer writes a bundle.
type writer struct {
	ctx    context.Context
	src    Source
	out    *tar.Writer
	sums   []byte
	log    transparency.Checkpoint
	hashes tlog.HashReader
	signed []byte
	named  map[string]bool // photographs
	done   Written
}

// Write writes the bundle of some boards. What it writes it has held to the
// log's key itself.
func Write(ctx context.Context, out io.Writer, src Source, boards []string, progress func(string)) (Written, error) {
	w := &writer{ctx: ctx, src: src, out: tar.NewWriter(out), named: map[string]bool{}}
	if err := w.begin(); err != nil {
		return w.done, err
	}
	found := map[string]bool{}
	for x, err := range src.Export(ctx, boards) {
		if err != nil {
			return w.done, err
		}
		if x.Index >= w.log.Tree.N {
			break // came after the checkpoint
		}
		found[x.Board] = true
		if err := w.entry(&x); err != nil {
			return w.done, fmt.Errorf("revision %d of %s: %w", x.Revision, x.Board, err)
		}
		progress(fmt.Sprintf("%s revision %d", x.Board, x.Revision))
	}
	for _, b := range boards {
		if !found[b] {
			return w.done, fmt.Errorf("the log knows no board %q", b)
		}
	}
	for _, sum := range slices.Sorted(maps.Keys(w.named)) {
		if err := w.photograph(sum); err != nil {
			return w.done, fmt.Errorf("photograph %s: %w", sum, err)
		}
	}
	if err := w.member(sumsName, w.sums); err != nil {
		return w.done, err
	}
	return w.done, w.out.Close()
}

func (w *writer) begin() error {
	signed, key, err := w.src.Checkpoint(w.ctx)
	if err != nil {
		return err
	}
	v, err := note.NewVerifier(key)
	if err != nil {
		return fmt.Errorf("the log's key: %w", err)
	}
	if w.log, err = transparency.OpenOnly(signed, v); err != nil {
		return err
	}
	w.signed, w.done.Key = signed, key
	w.hashes = tlog.TileHashReader(w.log.Tree, Tiles(w.ctx, w.src))
	return w.member(checkpointName, signed)
}

func (w *writer) member(name string, data []byte) error {
	if err := w.out.WriteHeader(header(name, int64(len(data)))); err != nil {
		return err
	}
	sum := sha256.Sum256(data)
	w.sums = fmt.Appendf(w.sums, "%s  %s\n", hex.EncodeToString(sum[:]), name)
	_, err := w.out.Write(data)
	return err
}

func (w *writer) entry(x *store.Exported) error {
	e := transparency.Entry{Act: x.Act, Board: x.Board, Number: x.Revision, Digest: x.Digest, Kind: x.Kind}
	text, err := e.Canonical()
	if err != nil {
		return err
	}
	p := transparency.Proof{Index: x.Index, Checkpoint: w.signed}
	if p.Hashes, err = tlog.ProveRecord(w.log.Tree.N, x.Index, w.hashes); err != nil {
		return err
	}
	if err := tlog.CheckRecord(p.Hashes, w.log.Tree.N, w.log.Tree.Hash, x.Index, tlog.RecordHash(text)); err != nil {
		return fmt.Errorf("the log does not say what the export says: %w", err)
	}
	under := folder(x.Index, e)
	if err := errors.Join(w.member(under+entryName, text), w.member(under+proofName, p.Text())); err != nil {
		return err
	}
	w.done.Entries++
	if x.Map == nil {
		return nil
	}
	return w.document(under, e, x.Map)
}

func (w *writer) document(under string, e transparency.Entry, text []byte) error {
	m, err := readMap(text, e)
	if err != nil {
		return err
	}
	if err := w.member(under+mapName, text); err != nil {
		return err
	}
	w.done.Maps++
	for _, s := range sides {
		if err := w.member(under+s.name, draw(m, s.side, e)); err != nil {
			return err
		}
	}
	for i := range m.Photographs {
		w.named[m.Photographs[i].SHA256] = true
	}
	return nil
}

// readMap reads a map and holds it to its entry.
func readMap(text []byte, e transparency.Entry) (*board.Map, error) {
	if board.Digest(text) != e.Digest {
		return nil, errors.New("the map is not the one of the digest that the log names")
	}
	m := new(board.Map) // not held to today's checks: it passed those of its day
	if err := json.Unmarshal(text, m); err != nil {
		return nil, fmt.Errorf("the map: %w", err)
	}
	return m, nil
}

func (w *writer) photograph(sum string) error {
	data, err := w.src.Photograph(w.ctx, sum)
	if errors.Is(err, ErrNoPhotograph) {
		w.done.Lacking = append(w.done.Lacking, sum)
		return nil
	}
	if err != nil {
		return err
	}
	if !Is(sum, data) {
		return errors.New("what came is another one")
	}
	name, ok := photographName(sum, data)
	if !ok {
		return errors.New("it is of no kind that a registry keeps")
	}
	w.done.Photographs++
	return w.member(name, data)
}

// Is tells whether data are the photograph of a name.
func Is(sum string, data []byte) bool {
	got := sha256.Sum256(data)
	return hex.EncodeToString(got[:]) == sum
}

// Tiles reads the tiles of a registry's log, each once; tlog.TileHashReader
// holds them to a checkpoint.
func Tiles(ctx context.Context, src interface {
	Tile(context.Context, tlog.Tile) ([]byte, error)
}) tlog.TileReader {
	return &tiles{ctx: ctx, read: src.Tile, had: map[tlog.Tile][]byte{}}
}

type tiles struct {
	ctx  context.Context
	read func(context.Context, tlog.Tile) ([]byte, error)
	had  map[tlog.Tile][]byte
}

func (t *tiles) Height() int { return transparency.TileHeight }

func (t *tiles) ReadTiles(wanted []tlog.Tile) ([][]byte, error) {
	out := make([][]byte, len(wanted))
	for i, tile := range wanted {
		if t.had[tile] == nil {
			data, err := t.read(t.ctx, tile)
			if err != nil {
				return nil, err
			}
			t.had[tile] = data
		}
		out[i] = t.had[tile]
	}
	return out, nil
}

func (t *tiles) SaveTiles([]tlog.Tile, [][]byte) {}
