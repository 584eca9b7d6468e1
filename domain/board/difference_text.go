package board

import (
	"fmt"
	"strings"
)

// Text is the difference as a change note: the hazards first, then the other
// changes, then what is merely written otherwise.
func (d Difference) Text() string {
	if len(d.Changes) == 0 {
		return "The two maps say the same.\n"
	}
	var b strings.Builder
	for _, section := range []struct {
		severity Severity
		title    string
		n        int
	}{{Hazard, "Hazards, to be looked at by two reviewers", d.Summary.Hazard}, {Material, "Changes", d.Summary.Material}, {Editorial, "Editorial", d.Summary.Editorial}} {
		if section.n == 0 {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s (%d)\n", section.title, section.n)
		for i := range d.Changes {
			if e := &d.Changes[i]; e.Severity == section.severity {
				fmt.Fprintf(&b, "- %s\n", e.Sentence)
			}
		}
	}
	return b.String()
}
