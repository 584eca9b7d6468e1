package board

import "testing"

// A span that does not read would look at nothing.
func TestSpansRead(t *testing.T) {
	if coolest.IsZero() || hottest.IsZero() || coolest.Compare(hottest) >= 0 {
		t.Errorf("temperatures from %s to %s", coolest, hottest)
	}
	for name, s := range spans {
		if s.least.IsZero() || s.most.IsZero() || s.least.Compare(s.most) >= 0 {
			t.Errorf("%s runs from %s to %s", name, s.least, s.most)
		}
	}
}
