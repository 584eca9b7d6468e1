package record_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/record"
)

// TestNames: revision 2 renames C1 to C101, 3 exchanges C2 and C3, 4 was
// withdrawn and 5 follows 3 instead; 6 calls C5 what was C4.
func TestNames(t *testing.T) {
	n := record.NamesOf(
		[]record.Followed{{1, 0}, {2, 1}, {3, 2}, {4, 3}, {5, 3}, {6, 5}},
		[]record.Renaming{{2, "C1", "C101"}, {3, "C2", "C3"}, {3, "C3", "C2"}, {4, "C9", "C90"}, {6, "C4", "C5"}}, 6)
	for _, c := range []struct {
		revision     int
		called, want string // "" for no position of the current revision
	}{
		{1, "C1", "C101"}, {2, "C101", "C101"}, {3, "C101", "C101"}, {1, "C2", "C3"}, {1, "C3", "C2"}, {3, "C3", "C3"},
		{2, "C2", "C3"}, {6, "C3", "C3"}, {1, "C4", "C5"}, {5, "C4", "C5"}, {6, "C5", "C5"}, {5, "C5", ""}, {1, "C5", ""},
		{4, "C90", "C9"}, {4, "C9", ""}, {1, "C9", "C9"}, {4, "C4", "C5"}, {3, "X1", "X1"},
		{2, "C1", "C1"}, // added again under a name that had become free
	} {
		got, ok := n.Now(c.revision, c.called)
		if got != c.want || ok != (c.want != "") {
			t.Errorf("%s of revision %d is %q, %v; want %q", c.called, c.revision, got, ok, c.want)
		}
	}
}

// TestNamesAreFollowed: whatever is renamed, also in circles, each position of
// each revision is found under the name that it has at the end.
func TestNamesAreFollowed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const positions = 6
		names := []string{"A", "B", "C", "D", "E", "F", "G", "H"}
		called := [][]string{rapid.Permutation(names).Draw(t, "first")[:positions]} // by revision, by position
		var renamings []record.Renaming
		revisions := []record.Followed{{1, 0}}
		for number := 2; number <= rapid.IntRange(1, 6).Draw(t, "revisions"); number++ {
			follows := rapid.IntRange(1, number-1).Draw(t, "follows")
			before, now := called[follows-1], rapid.Permutation(names).Draw(t, "names")[:positions]
			for p := range before {
				if before[p] != now[p] {
					renamings = append(renamings, record.Renaming{Number: number, Was: before[p], Now: now[p]})
				}
			}
			called, revisions = append(called, now), append(revisions, record.Followed{Number: number, Follows: follows})
		}
		current := rapid.IntRange(1, len(called)).Draw(t, "current")
		n := record.NamesOf(revisions, renamings, current)
		for i, names := range called {
			for p, was := range names {
				if got, ok := n.Now(i+1, was); !ok || got != called[current-1][p] {
					t.Fatal(fmt.Sprintf("%s of revision %d is %q, want %q", was, i+1, got, called[current-1][p]))
				}
			}
		}
	})
}
