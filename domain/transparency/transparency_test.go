package transparency_test

import (
	"bytes"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"
	"pgregory.net/rapid"

	"boardlore/domain/transparency"
)

// Roots of the first leaves of the certificate transparency reference
// implementation's tests, recomputed; the empty tree's is RFC 6962, section 2.1.
var roots = []string{
	"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
	"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
	"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
	"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
	"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
	"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
	"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
	"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
	"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
}

var leaves = []string{"", "00", "10", "2021", "3031", "40414243", "5051525354555657",
	"606162636465666768696a6b6c6d6e6f"}

// tree is a log in memory.
type tree struct{ hashes []tlog.Hash }

func (t *tree) ReadHashes(positions []int64) ([]tlog.Hash, error) {
	out := make([]tlog.Hash, len(positions))
	for i, p := range positions {
		out[i] = t.hashes[p]
	}
	return out, nil
}

func (t *tree) add(tb testing.TB, n int64, entry []byte) {
	hs, err := tlog.StoredHashes(n, entry, t)
	if err != nil {
		tb.Fatal(err)
	}
	t.hashes = append(t.hashes, hs...)
}

func TestRoots(t *testing.T) {
	l := &tree{}
	for n, want := range roots {
		got, err := tlog.TreeHash(int64(n), l)
		if err != nil || hex.EncodeToString(got[:]) != want {
			t.Errorf("%d leaves: %x, %v, want %s", n, got, err, want)
		}
		if n < len(leaves) {
			leaf, _ := hex.DecodeString(leaves[n])
			l.add(t, int64(n), leaf)
		}
	}
}

func keys(t *testing.T) (note.Signer, note.Verifier) {
	t.Helper()
	secret, key, err := note.GenerateKey(rand.Reader, "example.org/log")
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	v, err := note.NewVerifier(key)
	if err != nil {
		t.Fatal(err)
	}
	return s, v
}

// Every entry's proof checks out, and no proof does with a byte altered.
func TestProof(t *testing.T) {
	s, v := keys(t)
	l := &tree{}
	var entries [][]byte
	for n := range int64(21) {
		e, err := transparency.Entry{Act: transparency.Release, Board: "tarn-x", Number: int(n) + 1,
			Digest: strings.Repeat("ab", 32)}.Canonical()
		if err != nil {
			t.Fatal(err)
		}
		l.add(t, n, e)
		entries = append(entries, e)
	}
	size := int64(len(entries))
	root, err := tlog.TreeHash(size, l)
	if err != nil {
		t.Fatal(err)
	}
	signed, err := transparency.Sign(transparency.Checkpoint{Origin: v.Name(), Tree: tlog.Tree{N: size, Hash: root}}, s)
	if err != nil {
		t.Fatal(err)
	}
	for i, e := range entries {
		hashes, err := tlog.ProveRecord(size, int64(i), l)
		if err != nil {
			t.Fatal(err)
		}
		text := transparency.Proof{Index: int64(i), Hashes: hashes, Checkpoint: signed}.Text()
		p, err := transparency.ReadProof(text)
		if err != nil {
			t.Fatal(err)
		}
		if c, err := p.Check(e, v); err != nil || c.Tree.N != size {
			t.Errorf("entry %d: %+v, %v", i, c, err)
		}
		if _, err := p.Check(append(bytes.Clone(e), ' '), v); !errors.Is(err, transparency.ErrProof) {
			t.Errorf("entry %d altered: %v", i, err)
		}
	}
	hashes, _ := tlog.ProveRecord(size, 7, l)
	text := transparency.Proof{Index: 7, Hashes: hashes, Checkpoint: signed}.Text()
	for i := range text {
		bad := bytes.Clone(text)
		bad[i] ^= 1
		if p, err := transparency.ReadProof(bad); err == nil {
			if _, err := p.Check(entries[7], v); err == nil && !bytes.Equal(p.Text(), text) {
				t.Errorf("byte %d altered and nothing noticed: %q", i, bad)
			}
		}
	}
	other, otherKey := keys(t)
	_ = other
	if _, err := transparency.OpenCheckpoint(signed, otherKey); !errors.Is(err, transparency.ErrCheckpoint) {
		t.Errorf("another's key: %v", err)
	}
}

func TestEntryForm(t *testing.T) {
	e := transparency.Entry{Act: transparency.Withdrawal, Board: "b", Number: 3, Digest: "00ff", Kind: "dangerous"}
	got, err := e.Canonical()
	if want := `{"act":"withdrawal","board":"b","digest":"00ff","kind":"dangerous","number":3}`; err != nil ||
		string(got) != want {
		t.Errorf("%s, %v, want %s", got, err, want)
	}
	if back, err := transparency.ReadEntry(got); err != nil || back != e {
		t.Errorf("%+v, %v", back, err)
	}
}

// Paths are those of C2SP tlog-tiles: groups of three digits, all but the last
// with an x before them.
func TestTilePaths(t *testing.T) {
	for path, want := range map[string]tlog.Tile{
		"0/000":            {H: 8, L: 0, N: 0, W: 256},
		"0/x001/x234/067":  {H: 8, L: 0, N: 1234067, W: 256},
		"1/005.p/17":       {H: 8, L: 1, N: 5, W: 17},
		"entries/x001/000": {H: 8, L: -1, N: 1000, W: 256},
		"entries/000.p/1":  {H: 8, L: -1, N: 0, W: 1},
	} {
		got, err := transparency.ReadTile(path)
		if err != nil || got != want || transparency.TilePath(got) != path {
			t.Errorf("%s: %+v, %v, %s", path, got, err, transparency.TilePath(got))
		}
	}
	for _, path := range []string{"", "0", "0/", "0/0", "0/0000", "0/000.p/0", "0/000.p/256", "data/000", "-1/000",
		"0/x000/000", "0/000/", "../0/000", "8/8/0/000"} {
		if got, err := transparency.ReadTile(path); err == nil {
			t.Errorf("%q read as %+v", path, got)
		}
	}
	for _, c := range []struct {
		path string
		n    int64
		want bool
	}{
		{"0/000", 256, true}, {"0/000", 255, false}, {"0/000.p/255", 255, true}, {"1/000.p/1", 256, true},
		{"1/000.p/1", 255, false},
		{"2/000.p/1", 65536, true}, {"2/000.p/1", 65535, false}, {"entries/001.p/4", 260, true},
		{"entries/001.p/5", 260, false},
	} {
		tile, err := transparency.ReadTile(c.path)
		if err != nil || transparency.Holds(tile, c.n) != c.want {
			t.Errorf("%s of %d: %v, %v", c.path, c.n, !c.want, err)
		}
	}
}

func TestBundle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		entries := rapid.SliceOfN(rapid.SliceOfN(rapid.Byte(), 0, 300), 0, 20).Draw(t, "entries")
		data, err := transparency.Bundle(entries)
		if err != nil {
			t.Fatal(err)
		}
		back, err := transparency.ReadBundle(data, len(entries))
		if err != nil || len(back) != len(entries) {
			t.Fatalf("%d of %d, %v", len(back), len(entries), err)
		}
		for i := range entries {
			if !bytes.Equal(entries[i], back[i]) {
				t.Errorf("entry %d", i)
			}
		}
		if len(data) > 0 {
			if _, err := transparency.ReadBundle(data[:len(data)-1], len(entries)); err == nil {
				t.Error("a bundle that breaks off was read")
			}
		}
	})
}

func FuzzReadProof(f *testing.F) {
	f.Add([]byte("c2sp.org/tlog-proof@v1\nindex 1\n\nx\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if p, err := transparency.ReadProof(text); err == nil && !bytes.Equal(p.Text(), text) {
			t.Errorf("%q is written %q", text, p.Text())
		}
	})
}
