package kit

import (
	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/quantity"
)

// Doubts are the cautions about the texts of a kit's lines that hold whatever board the kit is for: those that can't be
// read, or are not sure.
func Doubts(k *Kit) (out []finding.Finding) {
	nowhere := &board.Map{}
	r := reader{m: nowhere, names: newNames(nowhere), context: quantity.Context{Found: "list"}}
	for i := range k.Lines {
		l := line{Line: &k.Lines[i], at: i}
		l.split()
		if len(l.named) > 0 && l.Part == nil {
			continue // what it is labelled for may settle it
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
