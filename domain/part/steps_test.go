package part

import (
	"slices"
	"testing"
)

// Every rule weighs one of the steps or two together, and every step but that of better ratings,
// which no rule stands for, has a rule.
func TestSteps(t *testing.T) {
	used := map[int]bool{costBetter: true}
	for _, r := range Rules() {
		used[r.Penalty] = true
		if !slices.ContainsFunc(Steps(), func(a Step) bool {
			return slices.ContainsFunc(Steps(), func(b Step) bool { return a.Penalty+b.Penalty == r.Penalty })
		}) {
			t.Errorf("%s weighs %d, which no steps make", r.Code, r.Penalty)
		}
	}
	last := -1
	for _, s := range Steps() {
		if !used[s.Penalty] || s.Penalty <= last || s.Reason.IsZero() {
			t.Errorf("step %+v", s)
		}
		last = s.Penalty
	}
}
