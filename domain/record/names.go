package record

import "slices"

// Followed is a revision and the one that it followed, 0 for none.
type Followed struct {
	Number, Follows int
}

// Renaming is a position that a revision calls otherwise than the one before.
type Renaming struct {
	Number   int // of the revision
	Was, Now string
}

// Names tells what the current revision of a board calls a position that a
// record names by another revision.
type Names struct {
	follows map[int]int
	renamed map[int]map[string]string // by revision: the name before and the name since
	line    []int                     // from which the current revision came to be, the first first, it last
}

// NamesOf puts a board's revisions and renamings together.
func NamesOf(revisions []Followed, renamings []Renaming, current int) *Names {
	n := &Names{follows: make(map[int]int, len(revisions)), renamed: map[int]map[string]string{}}
	for _, r := range revisions {
		n.follows[r.Number] = r.Follows
	}
	for _, r := range renamings {
		if n.renamed[r.Number] == nil {
			n.renamed[r.Number] = map[string]string{}
		}
		n.renamed[r.Number][r.Was] = r.Now
	}
	for at := current; at > 0; at = n.before(at) {
		n.line = append(n.line, at)
	}
	slices.Reverse(n.line)
	return n
}

// before is the revision that one followed, which is always an older one.
func (n *Names) before(number int) int {
	if f := n.follows[number]; f < number {
		return f
	}
	return 0
}

// Now is what the current revision calls a position that a revision calls
// designator. It goes back to where that revision left the current one's line,
// and on from there. ok is false where the name has gone to another position
// since, so that what was told under it is not of the one that bears it now.
func (n *Names) Now(revision int, designator string) (now string, ok bool) {
	for revision > 0 && !slices.Contains(n.line, revision) {
		if designator, ok = n.back(revision, designator); !ok {
			return "", false
		}
		revision = n.before(revision)
	}
	for _, number := range n.line {
		if number <= revision {
			continue
		}
		if designator, ok = n.on(number, designator); !ok {
			return "", false
		}
	}
	return designator, true
}

// on is the name that a revision gives what was called otherwise before it.
func (n *Names) on(number int, was string) (string, bool) {
	if now, ok := n.renamed[number][was]; ok {
		return now, true
	}
	for _, now := range n.renamed[number] {
		if now == was {
			return "", false // another position was given this name
		}
	}
	return was, true
}

// back is the name that a position had before a revision.
func (n *Names) back(number int, now string) (string, bool) {
	for was, to := range n.renamed[number] {
		if to == now {
			return was, true
		}
	}
	if _, ok := n.renamed[number][now]; ok {
		return "", false // it came in with this revision, under a name that had become free
	}
	return now, true
}
