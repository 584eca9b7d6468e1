package board

import (
	"fmt"
	"strings"

	"boardlore/domain/message"
)

// Text is the difference as a change note: the hazards first, then the other
// changes, then what is merely written otherwise; spoken in a language.
func (d Difference) Text(in *message.Language) string {
	if len(d.Changes) == 0 {
		return in.Say("difference.none") + "\n"
	}
	var b strings.Builder
	for _, section := range []struct {
		severity Severity
		title    string
		n        int
	}{{Hazard, "difference.hazards", d.Summary.Hazard}, {Material, "difference.changes", d.Summary.Material},
		{Editorial, "difference.editorial", d.Summary.Editorial}} {
		if section.n == 0 {
			continue
		}
		if b.Len() > 0 {
			b.WriteByte('\n')
		}
		fmt.Fprintf(&b, "%s (%d)\n", in.Say(section.title), section.n)
		for i := range d.Changes {
			if e := &d.Changes[i]; e.Severity == section.severity {
				fmt.Fprintf(&b, "- %s\n", in.Speak(e.Sentence))
			}
		}
	}
	return b.String()
}
