package kit

import (
	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
)

// Doubts are the cautions about the texts of a kit's lines that hold whatever board the kit is for: those that can't be
// read, or are not sure. What a line is labelled for says its class, as far as the designators' letters do.
func Doubts(k *Kit) (out []finding.Finding) {
	nowhere := &board.Map{}
	r := reader{m: nowhere, names: newNames(nowhere), context: quantity.Context{Found: "list"}}
	for i := range k.Lines {
		l := line{Line: &k.Lines[i], at: i}
		l.split()
		r.context.Class = ""
		if len(l.named) > 0 {
			class := placement.ClassOf(l.named[0])
			if class == part.Other {
				continue // what it is labelled for may settle it
			}
			r.context.Class = string(class)
		}
		l.findings = nil
		r.read(&l)
		for _, f := range l.findings {
			if f.Severity == finding.Caution {
				out = append(out, f)
			}
		}
	}
	return out
}
