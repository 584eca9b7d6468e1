package bundle_test

import (
	"archive/tar"
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/transparency"
	"boardlore/store"
	"boardlore/store/bundle"
)

// registry is a source in memory.
type registry struct {
	key         string
	signer      note.Signer
	entries     []store.Exported
	texts       [][]byte
	hashes      []tlog.Hash
	photographs map[string][]byte
}

func newRegistry(t testing.TB) *registry {
	t.Helper()
	secret, key, err := note.GenerateKey(rand.Reader, "boardlore/test")
	if err != nil {
		t.Fatal(err)
	}
	r := &registry{key: key, photographs: map[string][]byte{}}
	if r.signer, err = note.NewSigner(secret); err != nil {
		t.Fatal(err)
	}
	return r
}

func (r *registry) read(positions []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(positions))
	for i, p := range positions {
		out[i] = r.hashes[p]
	}
	return out, nil
}

func (r *registry) add(t testing.TB, e transparency.Entry, m []byte) {
	t.Helper()
	text, err := e.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	n := int64(len(r.texts))
	hashes, err := tlog.StoredHashes(n, text, tlog.HashReaderFunc(r.read))
	if err != nil {
		t.Fatal(err)
	}
	r.hashes, r.texts = append(r.hashes, hashes...), append(r.texts, text)
	r.entries = append(r.entries, store.Exported{Index: n, Act: e.Act, Board: e.Board, Revision: e.Number,
		Digest: e.Digest, Kind: e.Kind, At: time.Now(), Map: m})
}

func (r *registry) release(t testing.TB, board string, n int, photographs string) {
	t.Helper()
	m := fmt.Appendf(nil, `{"board":%q,"equipment":{"kind":"recorder","maker":"Fenwright","model":"RX2"},`+
		`"frame":{"basis":"measured","height_mm":80,"uncertainty_mm":0.5,"width_mm":100},"name":"Board %d","photographs":[%s],`+
		`"positions":[{"designator":"C1","part":{"class":"capacitor"},"rotation_deg":0,"side":"top","x_mm":20,"y_mm":20}]}`, board, n, photographs)
	r.add(t, transparency.Entry{Act: transparency.Release, Board: board, Number: n, Digest: hash(m)}, m)
}

func hash(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

func (r *registry) Checkpoint(context.Context) ([]byte, string, error) {
	n := int64(len(r.texts))
	root, err := tlog.TreeHash(n, tlog.HashReaderFunc(r.read))
	if err != nil {
		return nil, "", err
	}
	signed, err := transparency.Sign(transparency.Checkpoint{Origin: "boardlore/test",
		Tree: tlog.Tree{N: n, Hash: root}}, r.signer)
	return signed, r.key, err
}

func (r *registry) Export(_ context.Context, boards []string) iter.Seq2[store.Exported, error] {
	return func(yield func(store.Exported, error) bool) {
		for _, x := range r.entries {
			if slices.Contains(boards, x.Board) && !yield(x, nil) {
				return
			}
		}
	}
}

func (r *registry) Tile(_ context.Context, t tlog.Tile) ([]byte, error) {
	return tlog.ReadTileData(t, tlog.HashReaderFunc(r.read))
}

func (r *registry) Photograph(_ context.Context, sum string) ([]byte, error) {
	if data := r.photographs[sum]; data != nil {
		return data, nil
	}
	return nil, bundle.ErrNoPhotograph
}

// photograph is what a map says of one.
func photograph(sum string) string {
	const point = `{"mm":[1,1],"pixel":[1,1]}`
	return fmt.Sprintf(`{"points":[%s,%s,%s,%s],"sha256":%q,"side":"top"}`, point, point, point, point, sum)
}

// sample is a registry with another board's entries between, a withdrawal, a
// photograph that is there and one that is not.
func sample(t testing.TB) *registry {
	r := newRegistry(t)
	picture := []byte("\xff\xd8\xff\xe0 a picture")
	r.photographs[hash(picture)] = picture
	r.release(t, "fen-a", 1, "")
	r.release(t, "other", 1, "")
	r.release(t, "fen-a", 2, photograph(hash(picture))+","+photograph(strings.Repeat("ab", 32)))
	r.add(t, transparency.Entry{Act: transparency.Withdrawal, Board: "fen-a", Number: 1, Digest: r.entries[0].Digest,
		Kind: "mistaken"}, nil)
	r.entries[0].Map = nil // as an export leaves it out then
	r.release(t, "other", 2, "")
	return r
}

func write(t testing.TB, r *registry, boards ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	if _, err := bundle.Write(t.Context(), &b, r, boards, func(string) {}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestBundleHolds(t *testing.T) {
	r := sample(t)
	file := write(t, r, "fen-a")
	got, err := bundle.Verify(bytes.NewReader(file), r.key, bundle.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var said []string
	for _, h := range got.Entries {
		said = append(said, fmt.Sprint(h.Index, h.Act, h.Number, h.Kind, h.Map))
	}
	if want := []string{"0release1false", "2release2true", "3withdrawal1mistakenfalse"}; !slices.Equal(said, want) {
		t.Errorf("entries %q, want %q", said, want)
	}
	if got.Origin != "boardlore/test" || got.Size != 5 || got.Photographs != 1 || !slices.Equal(got.Lacking,
		[]string{strings.Repeat("ab", 32)}) {
		t.Errorf("%+v", got)
	}
	if again := write(t, r, "fen-a"); !bytes.Equal(again, file) {
		t.Error("the same bundle made twice differs")
	}
	if _, err := bundle.Write(t.Context(), io.Discard, r, []string{"fen-a", "nowhere"}, func(string) {}); err == nil {
		t.Error("a board that is nowhere was bundled")
	}
}

// TestEveryByteIsHeld alters every byte of a bundle, cuts it short, and
// lengthens it.
func TestEveryByteIsHeld(t *testing.T) {
	r := newRegistry(t)
	picture := []byte("\x89PNG")
	r.photographs[hash(picture)] = picture
	r.release(t, "fen-a", 1, photograph(hash(picture)))
	r.release(t, "other", 1, "") // so that the proof has a hash
	file := write(t, r, "fen-a")
	t.Logf("%d bytes", len(file))
	held := func(b []byte) bool { // drawing all anew each time would say no more: the sums are of the drawings too
		_, err := bundle.Verify(bytes.NewReader(b), r.key, bundle.Options{WithoutDrawings: true})
		return err == nil
	}
	if !held(file) {
		t.Fatal("the bundle itself does not hold")
	}
	space := bytes.Repeat([]byte{0}, 64)
	for i := range file {
		if i%16 > 0 && bytes.HasPrefix(file[i:], space) { // of long empty stretches some are enough
			continue
		}
		by := byte(1 << (i % 8))
		file[i] ^= by
		if held(file) {
			t.Fatalf("byte %d of %d altered by %#x, and it holds", i, len(file), by)
		}
		file[i] ^= by
	}
	for n := 0; n < len(file); n += 997 {
		if held(file[:n]) {
			t.Fatalf("the first %d bytes of %d hold", n, len(file))
		}
	}
	for _, more := range []string{"\x00", "x", strings.Repeat("\x00", 512)} {
		if held(append(slices.Clone(file), more...)) {
			t.Errorf("%d bytes behind it, and it holds", len(more))
		}
	}
}

// remake writes a bundle anew with some of its members altered, sums and all, as
// whoever wants to deceive would.
func remake(t *testing.T, file []byte, alter func(name string, data []byte) (string, []byte)) []byte {
	t.Helper()
	var out bytes.Buffer
	var sums []byte
	in, w := tar.NewReader(bytes.NewReader(file)), tar.NewWriter(&out)
	put := func(name string, data []byte) {
		h := &tar.Header{Typeflag: tar.TypeReg, Name: name, Size: int64(len(data)), Mode: 0o644,
			ModTime: time.Unix(0, 0).UTC(), Format: tar.FormatUSTAR}
		if err := w.WriteHeader(h); err != nil {
			t.Fatal(err)
		}
		w.Write(data)
		sums = fmt.Appendf(sums, "%s  %s\n", hash(data), name)
	}
	for {
		h, err := in.Next()
		if err == io.EOF {
			break
		}
		data, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		if h.Name == "SHA256SUMS" {
			put(h.Name, sums)
		} else if name, data := alter(h.Name, data); name != "" {
			put(name, data)
		}
	}
	w.Close()
	return out.Bytes()
}

func TestDeceitShows(t *testing.T) {
	r := sample(t)
	file := write(t, r, "fen-a")
	keep := func(name string, data []byte) (string, []byte) { return name, data }
	if again := remake(t, file, keep); !bytes.Equal(again, file) {
		t.Fatal("a bundle made anew unaltered is another: this test says nothing")
	}
	for what, alter := range map[string]func(name string, data []byte) (string, []byte){
		"a map": func(name string, data []byte) (string, []byte) {
			if strings.HasSuffix(name, "map.json") {
				return name, bytes.Replace(data, []byte("C1"), []byte("C2"), 1)
			}
			return name, data
		},
		"a drawing": func(name string, data []byte) (string, []byte) {
			if strings.HasSuffix(name, "top.svg") {
				return name, bytes.Replace(data, []byte("C1"), []byte("C2"), 1)
			}
			return name, data
		},
		"a photograph": func(name string, data []byte) (string, []byte) {
			if strings.HasPrefix(name, "photographs/") {
				return name, append(data, 1)
			}
			return name, data
		},
		"an entry": func(name string, data []byte) (string, []byte) {
			return name, bytes.Replace(data, []byte(`"mistaken"`), []byte(`"illegal"`), 1)
		},
		"the number in a name": func(name string, data []byte) (string, []byte) {
			return strings.Replace(name, "fen-a-2/", "fen-a-3/", 1), data
		},
		"a proof left out": func(name string, data []byte) (string, []byte) {
			if strings.HasSuffix(name, "fen-a-1/proof.txt") {
				return "", nil
			}
			return name, data
		},
		"a member more": func(name string, data []byte) (string, []byte) {
			if strings.HasSuffix(name, "bottom.svg") {
				return strings.Replace(name, "bottom", "inner", 1), data
			}
			return name, data
		},
	} {
		if _, err := bundle.Verify(bytes.NewReader(remake(t, file, alter)), r.key, bundle.Options{}); !errors.Is(err,
			bundle.ErrBundle) {
			t.Errorf("%s: %v", what, err)
		} else {
			t.Log(what, err)
		}
	}
	if _, err := bundle.Verify(bytes.NewReader(file), newRegistry(t).key, bundle.Options{}); err == nil {
		t.Error("holds to another key of the same name")
	}
	if _, err := bundle.Verify(bytes.NewReader(file), "boardlore/test", bundle.Options{}); err == nil {
		t.Error("holds to what is no key")
	}
	other := remake(t, file, func(name string, data []byte) (string, []byte) {
		return name, bytes.Replace(data, []byte("<svg"), []byte("<svg "), 1)
	})
	if _, err := bundle.Verify(bytes.NewReader(other), r.key, bundle.Options{WithoutDrawings: true}); err != nil {
		t.Errorf("another version's drawings, left out of account: %v", err)
	}
}

// FuzzVerify reads whatever comes and never holds anything but the bundle.
func FuzzVerify(f *testing.F) {
	r := sample(f)
	file := write(f, r, "fen-a")
	f.Add(file)
	f.Add(file[:2048])
	f.Add([]byte("checkpoint"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := bundle.Verify(bytes.NewReader(data), r.key, bundle.Options{}); err == nil &&
			!bytes.Equal(data, file) {
			t.Errorf("%d bytes hold that are no bundle", len(data))
		}
	})
}
