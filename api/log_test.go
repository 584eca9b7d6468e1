package api

import (
	"bytes"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"
	"golang.org/x/mod/sumdb/tlog"

	"boardlore/domain/transparency"
)

// logReader reads a served log as an outside client does: tiles by HTTP, held
// to a signed tree by the library's own client.
type logReader struct {
	t *testing.T
	f *fixture
}

func (r logReader) Height() int { return transparency.TileHeight }

func (r logReader) ReadTiles(tiles []tlog.Tile) ([][]byte, error) {
	out := make([][]byte, len(tiles))
	for i, tile := range tiles {
		out[i] = r.f.ask(r.t, "", "GET", "/log/tile/"+transparency.TilePath(tile), "", "Accept-Encoding",
			"identity").want(r.t, 200, "").body
	}
	return out, nil
}

func (r logReader) SaveTiles([]tlog.Tile, [][]byte) {}

// opened is the log's checkpoint, held to the key that the index gives.
func opened(t *testing.T, f *fixture) (transparency.Checkpoint, note.Verifier) {
	t.Helper()
	l := f.ask(t, "", "GET", "/v1", "").want(t, 200, "").doc["log"].(map[string]any)
	v, err := note.NewVerifier(l["key"].(string))
	if err != nil {
		t.Fatal(err)
	}
	c, err := transparency.OpenCheckpoint(f.ask(t, "", "GET", l["checkpoint"].(string), "", "Accept-Encoding",
		"identity").want(t, 200, "").body, v)
	if err != nil || c.Origin != l["origin"] {
		t.Fatalf("%+v, %v", c, err)
	}
	return c, v
}

func TestLog(t *testing.T) {
	f := serve(t)
	if c, _ := opened(t, f); c.Tree.N != 0 {
		t.Errorf("a log of %d entries before any release", c.Tree.N)
	}
	f.release1(t)
	first, v := opened(t, f)
	digest := strings.Trim(f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/map", "").header.Get("ETag"), `"`)
	entry, err := transparency.Entry{Act: transparency.Release, Board: "fen-rx2-main", Number: 1,
		Digest: digest}.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	got := f.ask(t, "", "GET", "/log/tile/entries/000.p/1", "", "Accept-Encoding", "identity").want(t, 200, "")
	entries, err := transparency.ReadBundle(got.body, 1)
	if err != nil || !bytes.Equal(entries[0], entry) {
		t.Errorf("%q, %v, want %q", entries, err, entry)
	}
	p, err := transparency.ReadProof(f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/1/proof", "",
		"Accept-Encoding", "identity").want(t, 200, "").body)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Check(entry, v); err != nil {
		t.Error(err)
	}

	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"Main board"`,
		`"Main board, recorder"`, 1), "name")).want(t, 201, "")
	f.endorse(t, 2)
	second, _ := opened(t, f)
	if second.Tree.N != first.Tree.N+1 {
		t.Fatalf("%d entries after %d", second.Tree.N, first.Tree.N)
	}
	r := tlog.TileHashReader(second.Tree, logReader{t, f})
	proof, err := tlog.ProveTree(second.Tree.N, first.Tree.N, r)
	if err != nil {
		t.Fatal(err)
	}
	if err := tlog.CheckTree(proof, second.Tree.N, second.Tree.Hash, first.Tree.N, first.Tree.Hash); err != nil {
		t.Error(err)
	}
	for _, path := range []string{"0/000", "0/000.p/9", "entries/000", "0/x", "x", "data/000.p/1"} {
		f.ask(t, "", "GET", "/log/tile/"+path, "").want(t, 404, "tile-unknown")
	}
	f.ask(t, "", "GET", "/v1/boards/fen-rx2-main/revisions/9/proof", "").want(t, 404, "revision-unknown")
}
