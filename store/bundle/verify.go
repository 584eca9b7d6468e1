package bundle

import (
	"archive/tar"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"slices"
	"strings"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/board"
	"boardlore/domain/transparency"
)

// ErrBundle says that a file is no bundle, or not one that the key vouches for.
var ErrBundle = errors.New("this bundle does not hold")

// ErrDrawing says that a drawing is not what this program draws from its map.
// All that was released may hold all the same.
var ErrDrawing = errors.New("a drawing is not what this version draws from its map: it was altered, or another version made it; " +
	"leave the drawings out of account with --without-drawings")

// Held is one entry of the log that a bundle proves.
type Held struct {
	Index int64
	transparency.Entry
	Map bool // the map is there too
}

// Report is what a bundle that holds has in it.
type Report struct {
	Origin      string // of the log
	Size        int64  // entries that the log had
	Entries     []Held
	Photographs int
	Lacking     []string // photographs that maps name and that are not in it
}

// Options of a verification.
type Options struct {
	WithoutDrawings bool // take drawings as they are: nothing vouches for them then but SHA256SUMS
}

// Most bytes of a member, by what it may be.
const (
	maxText       = 1 << 20
	maxPhotograph = 20 << 20
	maxDrawing    = 64 << 20
)

// reading is a bundle on its way through.
type reading struct {
	opt      Options
	verifier note.Verifier
	signed   []byte // the checkpoint
	tree     tlog.Tree
	before   string // name of the member before
	sums     []byte
	entry    *transparency.Entry // whose folder it is in
	proved   bool
	m        *board.Map
	named    map[string]bool // photographs; true once they came
	ended    bool
	report   Report
}

// Verify reads a bundle through and holds every byte of it: to the log's key,
// or to what follows from what the key vouches for.
func Verify(in io.Reader, key string, opt Options) (Report, error) {
	v, err := note.NewVerifier(key)
	if err != nil {
		return Report{}, fmt.Errorf("the key is none: GET /v1 of the registry shows it as log.key: %w", err)
	}
	r := &reading{opt: opt, verifier: v, named: map[string]bool{}}
	if err := r.through(in); err != nil {
		return Report{}, fmt.Errorf("%w: %w", ErrBundle, err)
	}
	for sum, came := range r.named {
		if !came {
			r.report.Lacking = append(r.report.Lacking, sum)
		}
	}
	slices.Sort(r.report.Lacking)
	return r.report, nil
}

// through reads the tar and writes it again beside: only what comes out the same
// was written by Write.
func (r *reading) through(in io.Reader) error {
	had, again := sha256.New(), sha256.New()
	in = io.TeeReader(in, had)
	from, to := tar.NewReader(in), tar.NewWriter(again)
	for {
		h, err := from.Next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return fmt.Errorf("no tar: %w", err)
		}
		if err := r.next(h, from, to); err != nil {
			return fmt.Errorf("%q: %w", h.Name, err)
		}
	}
	if !r.ended {
		return errors.New("it breaks off")
	}
	if err := to.Close(); err != nil {
		return err
	}
	return same(in, had, again)
}

// same reads the rest and compares all that came with what should have come.
func same(in io.Reader, had, again hash.Hash) error {
	if _, err := io.Copy(io.Discard, in); err != nil {
		return err
	}
	if !bytes.Equal(had.Sum(nil), again.Sum(nil)) {
		return errors.New("the tar holds something beside its members: a header or the space between them was altered")
	}
	return nil
}

// next takes one member.
func (r *reading) next(h *tar.Header, from io.Reader, to *tar.Writer) error {
	most := int64(maxText)
	switch {
	case strings.HasPrefix(h.Name, photographs):
		most = maxPhotograph
	case strings.HasSuffix(h.Name, mapName):
		most = board.MaxBytes
	case strings.HasSuffix(h.Name, ".svg"):
		most = maxDrawing
	case h.Name == sumsName:
		most = maxDrawing
	}
	if h.Typeflag != tar.TypeReg || h.Size > most {
		return errors.New("no file of a size that it may have")
	}
	data, err := io.ReadAll(from)
	if err != nil {
		return err
	}
	if r.before != "" && !follows(h.Name, r.before) || r.ended {
		return errors.New("it stands out of order")
	}
	if err := r.member(h.Name, data); err != nil {
		return err
	}
	r.before = h.Name
	sum := sha256.Sum256(data)
	r.sums = fmt.Appendf(r.sums, "%s  %s\n", hex.EncodeToString(sum[:]), h.Name)
	if err := to.WriteHeader(header(h.Name, int64(len(data)))); err != nil {
		return err
	}
	_, err = to.Write(data)
	return err
}

// member holds one member to what it has to be.
func (r *reading) member(name string, data []byte) error {
	switch {
	case name == checkpointName:
		c, err := transparency.OpenOnly(data, r.verifier)
		r.signed, r.tree, r.report.Origin, r.report.Size = data, c.Tree, c.Origin, c.Tree.N
		return err
	case r.signed == nil:
		return errors.New("the checkpoint does not come first")
	case name == sumsName:
		r.ended = true
		if !r.complete() {
			return errors.New("an entry before it has no proof")
		}
		if !bytes.Equal(data, r.sums) {
			return errors.New("the sums are not those of the members")
		}
		return nil
	case strings.HasPrefix(name, photographs):
		return r.photograph(name, data)
	}
	return r.inFolder(name, data)
}

// complete tells whether the entry that came last was proved.
func (r *reading) complete() bool { return r.entry == nil || r.proved }

func (r *reading) inFolder(name string, data []byte) error {
	at := strings.LastIndexByte(name, '/') + 1
	under, last := name[:at], name[at:]
	index := indexIn(name)
	if index < 0 {
		return errors.New("no name that a bundle has")
	}
	if last == entryName {
		return r.newEntry(index, under, data)
	}
	if r.entry == nil || folder(index, *r.entry) != under {
		return errors.New("it belongs to no entry")
	}
	if last == proofName {
		return r.proof(index, data)
	}
	if !r.proved || r.entry.Act != transparency.Release {
		return errors.New("it belongs to no release that was proved")
	}
	if last == mapName {
		return r.document(data)
	}
	return r.drawing(last, data)
}

func (r *reading) newEntry(index int64, under string, data []byte) error {
	if !r.complete() {
		return errors.New("the entry before it has no proof")
	}
	e, err := transparency.ReadEntry(data)
	if err != nil {
		return err
	}
	if text, err := e.Canonical(); err != nil || !bytes.Equal(text, data) || folder(index, e) != under {
		return errors.New("the entry is not what its name says, or not in its one form")
	}
	r.entry, r.proved, r.m = &e, false, nil
	return nil
}

func (r *reading) proof(index int64, data []byte) error {
	p, err := transparency.ReadProof(data)
	if err != nil {
		return err
	}
	if !bytes.Equal(p.Text(), data) || p.Index != index || !bytes.Equal(p.Checkpoint, r.signed) {
		return errors.New("the proof is of another entry or checkpoint, or not in its one form")
	}
	text, err := r.entry.Canonical()
	if err != nil {
		return err
	}
	if err := tlog.CheckRecord(p.Hashes, r.tree.N, r.tree.Hash, index, tlog.RecordHash(text)); err != nil {
		return err
	}
	r.proved = true
	r.report.Entries = append(r.report.Entries, Held{Index: index, Entry: *r.entry})
	return nil
}

func (r *reading) document(data []byte) (err error) {
	if r.m, err = readMap(data, *r.entry); err != nil {
		return err
	}
	r.report.Entries[len(r.report.Entries)-1].Map = true
	for i := range r.m.Photographs {
		r.named[r.m.Photographs[i].SHA256] = false
	}
	return nil
}

func (r *reading) drawing(name string, data []byte) error {
	for _, s := range sides {
		if s.name != name || r.m == nil {
			continue
		}
		if !r.opt.WithoutDrawings && !bytes.Equal(data, draw(r.m, s.side, *r.entry)) {
			return ErrDrawing
		}
		return nil
	}
	return errors.New("no name that a bundle has")
}

func (r *reading) photograph(name string, data []byte) error {
	digest := sha256.Sum256(data)
	sum := hex.EncodeToString(digest[:])
	if want, ok := photographName(sum, data); !ok || want != name {
		return errors.New("the photograph is not the one of its name")
	}
	if came, ok := r.named[sum]; !ok || came {
		return errors.New("no map names the photograph")
	}
	r.named[sum] = true
	r.report.Photographs++
	return nil
}
