package main

import (
	"strings"
	"testing"
)

// TestExplain shows a sure text and its spans, and exits 1 for one that is not
// sure and 2 without a text.
func TestExplain(t *testing.T) {
	for _, tt := range []struct {
		args string
		exit int
		want []string
	}{
		{"explain 47uF 16V LXZ", 0, []string{"capacitor 47 µF 16 V", "sure", "47uF", "left over", "LXZ"}},
		{"explain fuse T1A or F1A", 1, []string{"not sure", "doubt:", "or"}},
		{"explain zebra", 1, nil},
		{"explain", 2, nil},
	} {
		var out, errs strings.Builder
		if code := run(t.Context(), strings.Fields(tt.args), &out, &errs); code != tt.exit {
			t.Errorf("%s: exit %d, want %d: %s%s", tt.args, code, tt.exit, out.String(), errs.String())
		}
		for _, w := range tt.want {
			if !strings.Contains(out.String(), w) {
				t.Errorf("%s does not print %q:\n%s", tt.args, w, out.String())
			}
		}
	}
}
