// Package transparency is the form of the public log of releases: what one
// entry says, how a checkpoint signs all of them, and how a proof shows that an
// entry is among them. Whoever kept a checkpoint can tell, without trusting the
// server or even reaching it, whether a map was released and whether the server
// tells everybody the same. A list of digests on a page could be changed for
// one reader alone; this can't.
//
// Forms: C2SP tlog-tiles, tlog-checkpoint, tlog-proof and signed-note; hashes
// as in RFC 6962, section 2.1; signatures Ed25519 (RFC 8032). Entries are RFC
// 8785 canonical JSON.
package transparency

import (
	"bytes"
	"encoding/base64"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
)

// Acts that make an entry.
const (
	Release    = "release"
	Withdrawal = "withdrawal"
	Move       = "move"
)

// Entry is one act on a revision.
type Entry struct {
	Act    string `json:"act"`           // Release, Withdrawal or Move
	Board  string `json:"board"`         // ID; of a move the new one
	Number int    `json:"number"`        // of the revision
	Digest string `json:"digest"`        // of its map, 64 hexadecimal digits
	Kind   string `json:"kind,omitzero"` // of a withdrawal: dangerous, illegal or mistaken
}

// Canonical is the entry as it stands in the log.
func (e Entry) Canonical() ([]byte, error) {
	b, err := json.Marshal(e)
	if err != nil {
		return nil, err
	}
	v := jsontext.Value(b)
	return v, v.Canonicalize()
}

// ReadEntry reads an entry as it stands in the log.
func ReadEntry(data []byte) (Entry, error) {
	var e Entry
	if err := json.Unmarshal(data, &e, json.RejectUnknownMembers(true)); err != nil {
		return Entry{}, fmt.Errorf("log entry: %w", err)
	}
	return e, nil
}

// Checkpoint says how large a log is and what all its entries hash to.
type Checkpoint struct {
	Origin string
	Tree   tlog.Tree
}

// text is what is signed.
func (c Checkpoint) text() string {
	return fmt.Sprintf("%s\n%d\n%s\n", c.Origin, c.Tree.N, base64.StdEncoding.EncodeToString(c.Tree.Hash[:]))
}

// Sign writes a checkpoint as a signed note.
func Sign(c Checkpoint, s note.Signer) ([]byte, error) {
	return note.Sign(&note.Note{Text: c.text()}, s)
}

// ErrCheckpoint says that a checkpoint is not one that the key signed.
var ErrCheckpoint = errors.New("no checkpoint that this key signed")

// OpenCheckpoint reads a signed checkpoint and holds it to the key.
func OpenCheckpoint(signed []byte, v note.Verifier) (Checkpoint, error) {
	n, err := note.Open(signed, note.VerifierList(v))
	if err != nil {
		return Checkpoint{}, fmt.Errorf("%w: %w", ErrCheckpoint, err)
	}
	for _, sig := range n.Sigs { // base64 has bits to spare at its end, which the library lets anybody change
		if _, err := base64.StdEncoding.Strict().DecodeString(sig.Base64); err != nil {
			return Checkpoint{}, fmt.Errorf("%w: its signature is written otherwise", ErrCheckpoint)
		}
	}
	lines := strings.Split(n.Text, "\n")
	if len(lines) < 4 || lines[0] != v.Name() {
		return Checkpoint{}, fmt.Errorf("%w: it is of another log", ErrCheckpoint)
	}
	size, err := strconv.ParseInt(lines[1], 10, 64)
	if err != nil || size < 0 || strconv.FormatInt(size, 10) != lines[1] {
		return Checkpoint{}, fmt.Errorf("%w: its size is no number", ErrCheckpoint)
	}
	hash, err := base64.StdEncoding.DecodeString(lines[2])
	if err != nil || len(hash) != tlog.HashSize {
		return Checkpoint{}, fmt.Errorf("%w: its hash is none", ErrCheckpoint)
	}
	return Checkpoint{Origin: lines[0], Tree: tlog.Tree{N: size, Hash: tlog.Hash(hash)}}, nil
}

// OpenOnly reads a checkpoint that has nothing in it but what the key signed:
// no other's signature, and nothing that could be written another way.
func OpenOnly(signed []byte, v note.Verifier) (Checkpoint, error) {
	c, err := OpenCheckpoint(signed, v)
	if err != nil {
		return Checkpoint{}, err
	}
	n, err := note.Open(signed, note.VerifierList(v))
	if err != nil {
		return Checkpoint{}, fmt.Errorf("%w: %w", ErrCheckpoint, err)
	}
	again, err := note.Sign(n)
	if err != nil || len(n.Sigs) != 1 || len(n.UnverifiedSigs) > 0 || !bytes.Equal(again, signed) {
		return Checkpoint{}, fmt.Errorf("%w: it is signed by others too, or written otherwise", ErrCheckpoint)
	}
	return c, nil
}

const proofHead = "c2sp.org/tlog-proof@v1"

// Proof shows that an entry is in the log that a checkpoint signs.
type Proof struct {
	Index      int64
	Hashes     tlog.RecordProof
	Checkpoint []byte // signed
}

// Text writes a proof in the form of C2SP tlog-proof.
func (p Proof) Text() []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\nindex %d\n", proofHead, p.Index)
	for _, h := range p.Hashes {
		b.WriteString(base64.StdEncoding.EncodeToString(h[:]) + "\n")
	}
	b.WriteString("\n")
	b.Write(p.Checkpoint)
	return []byte(b.String())
}

// ErrProof says that a text is no proof, or proves something else.
var ErrProof = errors.New("this proves no entry of the log")

// ReadProof reads a proof.
func ReadProof(text []byte) (Proof, error) {
	head, checkpoint, ok := strings.Cut(string(text), "\n\n")
	lines := strings.Split(head, "\n")
	if !ok || len(lines) < 2 || lines[0] != proofHead {
		return Proof{}, fmt.Errorf("%w: it does not begin with %s", ErrProof, proofHead)
	}
	digits, ok := strings.CutPrefix(lines[1], "index ")
	index, err := strconv.ParseInt(digits, 10, 64)
	if !ok || err != nil || index < 0 || strconv.FormatInt(index, 10) != digits {
		return Proof{}, fmt.Errorf("%w: its index is none", ErrProof)
	}
	p := Proof{Index: index, Checkpoint: []byte(checkpoint)}
	for _, l := range lines[2:] {
		h, err := base64.StdEncoding.Strict().DecodeString(l)
		if err != nil || len(h) != tlog.HashSize {
			return Proof{}, fmt.Errorf("%w: a hash in it is none", ErrProof)
		}
		p.Hashes = append(p.Hashes, tlog.Hash(h))
	}
	return p, nil
}

// Check holds an entry to its proof, and the proof's checkpoint to the key. It
// gives the checkpoint.
func (p Proof) Check(entry []byte, v note.Verifier) (Checkpoint, error) {
	c, err := OpenCheckpoint(p.Checkpoint, v)
	if err != nil {
		return Checkpoint{}, err
	}
	if err := tlog.CheckRecord(p.Hashes, c.Tree.N, c.Tree.Hash, p.Index, tlog.RecordHash(entry)); err != nil {
		return Checkpoint{}, fmt.Errorf("%w: %w", ErrProof, err)
	}
	return c, nil
}

// TileHeight is how many levels of the tree one tile holds (C2SP tlog-tiles).
const TileHeight = 8

// ErrTile says that a path names no tile.
var ErrTile = errors.New("this path names no tile")

// ReadTile reads the part of a path behind /log/tile/: LEVEL/INDEX, with
// entries for the level of the entries themselves, and .p/WIDTH behind the
// index of a tile that is not full.
func ReadTile(path string) (tlog.Tile, error) {
	level, rest, ok := strings.Cut(path, "/")
	if !ok {
		return tlog.Tile{}, ErrTile
	}
	if level == "data" { // the library's own name of the entries' level
		return tlog.Tile{}, ErrTile
	}
	if level == "entries" {
		level = "data"
	}
	t, err := tlog.ParseTilePath(fmt.Sprintf("tile/%d/%s/%s", TileHeight, level, rest))
	if err != nil {
		return tlog.Tile{}, ErrTile
	}
	return t, nil
}

// TilePath is the part of a tile's path behind /log/tile/.
func TilePath(t tlog.Tile) string {
	path := strings.TrimPrefix(t.Path(), fmt.Sprintf("tile/%d/", TileHeight))
	if rest, ok := strings.CutPrefix(path, "data/"); ok {
		return "entries/" + rest
	}
	return path
}

// Holds reports whether a tree of n entries has the tile as wide as it is.
func Holds(t tlog.Tile, n int64) bool {
	level := max(t.L, 0)
	if level*TileHeight > 62 {
		return false
	}
	return t.N<<TileHeight+int64(t.W) <= n>>(uint(level)*TileHeight)
}

// Bundle writes entries as one tile of them: each behind its length in two bytes.
func Bundle(entries [][]byte) ([]byte, error) {
	var out []byte
	for _, e := range entries {
		if len(e) > 0xffff {
			return nil, fmt.Errorf("log entry of %d bytes", len(e))
		}
		out = append(append(out, byte(len(e)>>8), byte(len(e))), e...)
	}
	return out, nil
}

// ReadBundle reads a tile of n entries.
func ReadBundle(data []byte, n int) ([][]byte, error) {
	var out [][]byte
	for range n {
		if len(data) < 2 || len(data) < 2+int(data[0])<<8+int(data[1]) {
			return nil, fmt.Errorf("%w: it breaks off", ErrTile)
		}
		end := 2 + int(data[0])<<8 + int(data[1])
		out = append(out, slices.Clone(data[2:end]))
		data = data[end:]
	}
	if len(data) > 0 {
		return nil, fmt.Errorf("%w: it is too long", ErrTile)
	}
	return out, nil
}

// Succession is the word on how a log goes on under another key, or under
// another name and key.
type Succession struct {
	Origin string // as it was called
	Size   int64  // entries that it had
	On     string // day, RFC 3339
	How    string // in words
	Next   string // as it is called from then on
	Key    string // that verifies it from then on
}

// Sign writes the word as a note that the key before signed.
func (w Succession) Sign(s note.Signer) ([]byte, error) {
	text := fmt.Sprintf("%s\nleft at %d entries on %s; it %s: %s\n%s\n", w.Origin, w.Size, w.On, w.How, w.Next, w.Key)
	return note.Sign(&note.Note{Text: text}, s)
}

// ErrSuccession says that a text is no word of the key on what follows it.
var ErrSuccession = errors.New("this key says nothing of what follows it")

// OpenSuccession reads the word that a key left on what follows it.
func OpenSuccession(signed []byte, v note.Verifier) (Succession, error) {
	n, err := note.Open(signed, note.VerifierList(v))
	if err != nil {
		return Succession{}, fmt.Errorf("%w: %w", ErrSuccession, err)
	}
	lines := strings.Split(n.Text, "\n")
	if len(lines) != 4 || lines[0] != v.Name() {
		return Succession{}, ErrSuccession
	}
	var w Succession
	if _, err := fmt.Sscanf(lines[1], "left at %d entries on %s", &w.Size, &w.On); err != nil || w.Size < 0 {
		return Succession{}, ErrSuccession
	}
	next, err := note.NewVerifier(lines[2])
	if err != nil {
		return Succession{}, fmt.Errorf("%w: %w", ErrSuccession, err)
	}
	w.Origin, w.On, w.Next, w.Key = lines[0], strings.TrimSuffix(w.On, ";"), next.Name(), lines[2]
	_, w.How, _ = strings.Cut(lines[1], "; it ")
	w.How = strings.TrimSuffix(w.How, ": "+w.Next)
	return w, nil
}
