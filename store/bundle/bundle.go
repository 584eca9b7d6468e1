// Package bundle puts maps, photographs, drawings and the proofs that they were
// released into one file, and holds such a file to the log's key without any
// server: for the day on which the registry is gone, or on which nobody should
// have to trust the one that handed the file on.
//
// The file is a plain tar without anything that is not proved: the order of its
// members, their names and every header follow from what they hold, so that a
// byte that was altered anywhere shows. What can't be proved, such as who made
// the bundle and when, is not in it.
//
//	checkpoint                         the log's size and hash, signed (C2SP tlog-checkpoint)
//	000000012-BOARD-3/entry.json       what the log says: the release of revision 3, its entry 12
//	000000012-BOARD-3/proof.txt        that the entry is in the log of the checkpoint (C2SP tlog-proof)
//	000000012-BOARD-3/map.json         the map, in the form whose SHA-256 the entry names; not of what was withdrawn
//	000000012-BOARD-3/top.svg          the map drawn, both sides
//	000000012-BOARD-3/bottom.svg
//	photographs/SHA256.jpg             photographs that the maps name
//	SHA256SUMS                         of all of them, for sha256sum
package bundle

import (
	"archive/tar"
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/transparency"
)

// Names of members.
const (
	checkpointName = "checkpoint"
	entryName      = "entry.json"
	proofName      = "proof.txt"
	mapName        = "map.json"
	sumsName       = "SHA256SUMS"
	photographs    = "photographs/"
)

// sides are the drawings of a map, in their order.
var sides = []struct {
	name string
	side board.Side
}{{"top.svg", board.Top}, {"bottom.svg", board.Bottom}}

// header is that of every member: all that a tar could say beside name and size
// is said the same way.
func header(name string, size int64) *tar.Header {
	return &tar.Header{Typeflag: tar.TypeReg, Name: name, Size: size, Mode: 0o644, ModTime: time.Unix(0, 0).UTC(),
		Format: tar.FormatUSTAR}
}

// folder is where all of one entry lies.
func folder(index int64, e transparency.Entry) string {
	return fmt.Sprintf("%09d-%s-%d/", index, e.Board, e.Number)
}

var folderName = regexp.MustCompile(`^([0-9]{9,18})-([a-z0-9]+(?:-[a-z0-9]+)*)-([1-9][0-9]{0,8})/([a-z]+\.[a-z]+)$`)

// indexIn is the index of the entry that a member belongs to; -1 for none.
func indexIn(name string) int64 {
	m := folderName.FindStringSubmatch(name)
	if m == nil {
		return -1
	}
	n, err := strconv.ParseInt(m[1], 10, 64)
	if err != nil {
		return -1
	}
	return n
}

// place orders members: kind of member, index of the entry, kind within it, name.
func place(name string) [3]int64 {
	switch {
	case name == checkpointName:
		return [3]int64{0}
	case strings.HasPrefix(name, photographs):
		return [3]int64{2}
	case name == sumsName:
		return [3]int64{3}
	}
	_, last, _ := strings.Cut(name, "/")
	within := []string{entryName, proofName, mapName, sides[0].name, sides[1].name}
	return [3]int64{1, indexIn(name), int64(slices.Index(within, last))}
}

// follows tells whether a member may stand behind another.
func follows(name, before string) bool {
	p, q := place(name), place(before)
	return cmp.Or(slices.Compare(q[:], p[:]), strings.Compare(before, name)) < 0
}

// draw is the drawing of one side of a released map.
func draw(m *board.Map, side board.Side, e transparency.Entry) []byte {
	return drawing.Board(m, drawing.Options{Side: side, Revision: e.Number, Digest: e.Digest})
}

// kinds are the photographs that a registry keeps, by how they begin.
var kinds = []struct{ begin, end string }{{"\xff\xd8\xff", ".jpg"}, {"\x89PNG", ".png"}, {"RIFF", ".webp"}}

// photographName is the member of a photograph.
func photographName(sum string, data []byte) (string, bool) {
	for _, k := range kinds {
		if strings.HasPrefix(string(data[:min(len(data), 4)]), k.begin) {
			return photographs + sum + k.end, true
		}
	}
	return "", false
}
