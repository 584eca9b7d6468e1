package pages

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/review"
)

// fewest is how many like moves are told one by one.
const fewest = 3

// gathered puts changes that say the same of many positions into one line, so
// that the odd one out stands out: moves of one distance, by a tenth of a
// millimetre.
func gathered(changes []board.DifferenceEntry) []board.DifferenceEntry {
	by := map[string][]string{}
	key := func(e *board.DifferenceEntry) string {
		if e.Kind != board.Moved || e.Distance == nil {
			return ""
		}
		return fmt.Sprintf("%s %.1f", e.Severity, *e.Distance)
	}
	for i := range changes {
		if k := key(&changes[i]); k != "" {
			by[k] = append(by[k], changes[i].Designator)
		}
	}
	var out []board.DifferenceEntry
	told := map[string]bool{}
	for i := range changes {
		e := changes[i]
		k := key(&e)
		switch names := by[k]; {
		case k == "" || len(names) < fewest:
			out = append(out, e)
		case !told[k]:
			told[k] = true
			e.Designator, e.Sentence = "", t("difference.moved", len(names), strconv.FormatFloat(*e.Distance, 'f', 1, 64), list.Ranges(names))
			out = append(out, e)
		}
	}
	return out
}

// conversation is what reviewers said of a proposal, and what was answered.
type conversation struct {
	Visit     *visit
	Proposal  int64
	Reviews   []review.Review
	MayAnswer bool
}

// seenOf reads what a reviewer ticked: positions, and on what they were seen.
func seenOf(ticked []string, on string) []review.Seen {
	var out []review.Seen
	for _, names := range ticked {
		for _, d := range strings.Split(names, ",") {
			if s := (review.Seen{Designator: d, On: on}); d != "" && !slices.Contains(out, s) {
				out = append(out, s)
			}
		}
	}
	return out
}

// WasTicked tells that a reviewer had ticked a claim in the form that was
// refused.
func (pv *proposalView) WasTicked(designators []string) bool {
	return slices.Contains(pv.Filled.Ticked, strings.Join(designators, ","))
}
