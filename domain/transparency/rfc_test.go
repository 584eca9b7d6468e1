package transparency_test

import (
	"crypto/sha256"
	"slices"
	"testing"

	"golang.org/x/mod/sumdb/tlog"
)

// leafOf and nodeOf are the hashes of RFC 6962, section 2.1 (RFC 9162, section
// 2.1.1), written down anew, so that the library is held to them.
func leafOf(entry string) tlog.Hash { return sha256.Sum256(append([]byte{0}, entry...)) }

func nodeOf(left, right tlog.Hash) tlog.Hash {
	return sha256.Sum256(slices.Concat([]byte{1}, left[:], right[:]))
}

// TestRFCExamples proves what RFC 6962, section 2.1.3, proves of its tree of
// seven leaves, with the nodes named as in its figure: the audit paths of d0,
// d3, d4 and d6, and that the tree goes on from three, four and six leaves.
func TestRFCExamples(t *testing.T) {
	entries := []string{"d0", "d1", "d2", "d3", "d4", "d5", "d6"}
	l := &tree{}
	for n, e := range entries {
		l.add(t, int64(n), []byte(e))
	}
	a, b, c, d, e, f, j := leafOf("d0"), leafOf("d1"), leafOf("d2"), leafOf("d3"), leafOf("d4"), leafOf("d5"),
		leafOf("d6")
	g, h, i := nodeOf(a, b), nodeOf(c, d), nodeOf(e, f)
	k, right := nodeOf(g, h), nodeOf(i, j)
	root := nodeOf(k, right)
	if got, err := tlog.TreeHash(7, l); err != nil || got != root {
		t.Fatalf("root %v, %v, want %v", got, err, root)
	}
	for n, want := range map[int64][]tlog.Hash{0: {b, h, right}, 3: {c, g, right}, 4: {f, j, k}, 6: {i, k}} {
		path, err := tlog.ProveRecord(7, n, l)
		if err != nil || !slices.Equal(path, want) {
			t.Errorf("audit path of d%d: %v, %v, want %v", n, path, err, want)
		}
		if err := tlog.CheckRecord(path, 7, root, n, leafOf(entries[n])); err != nil {
			t.Errorf("d%d: %v", n, err)
		}
		if err := tlog.CheckRecord(path, 7, root, n, leafOf("d9")); err == nil {
			t.Errorf("another entry is proved in the place of d%d", n)
		}
	}
	four, six := k, nodeOf(k, i)
	for n, of := range map[int64]struct {
		root  tlog.Hash
		proof []tlog.Hash
	}{3: {nodeOf(g, c), []tlog.Hash{c, d, g, right}}, 4: {four, []tlog.Hash{right}}, 6: {six, []tlog.Hash{i, j, k}}} {
		proof, err := tlog.ProveTree(7, n, l)
		if err != nil || !slices.Equal(proof, of.proof) {
			t.Errorf("from %d leaves: %v, %v, want %v", n, proof, err, of.proof)
		}
		if err := tlog.CheckTree(proof, 7, root, n, of.root); err != nil {
			t.Errorf("from %d leaves: %v", n, err)
		}
		if err := tlog.CheckTree(proof, 7, root, n, leafOf("d9")); err == nil {
			t.Errorf("the tree is proved to go on from another of %d leaves", n)
		}
	}
}
