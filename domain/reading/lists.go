package reading

import "strings"

// ListWord is a row of the lexicon about lists of parts rather than about parts: words of headings, and words with which
// a row speaks of the order. One lexicon serves both, so that a word is entered once.
type ListWord struct {
	Of   string // of which list, or what the words are for
	Says string // what stands below such a heading
	Unit string // that a bare number has there
	Word string
}

// ListWords gives the rows of one kind: heading or order.
func ListWords(kind string) (out []ListWord) {
	for line := range strings.Lines(lexiconText) {
		cols := strings.Split(strings.TrimRight(line, "\n"), "\t")
		if len(cols) != 5 || cols[0] != kind {
			continue
		}
		says, unit, _ := strings.Cut(cols[2], "@")
		for word := range strings.SplitSeq(cols[4], "|") {
			out = append(out, ListWord{cols[1], says, unit, word})
		}
	}
	return out
}
