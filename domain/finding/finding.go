// Package finding holds the one shape in which every rule of boardlore speaks:
// the checks of a document, the suitability of a part, the placing of a kit.
// A rule that speaks in its own shape cannot be listed, sorted or drawn
// together with the others, so all of them share this one.
package finding

import (
	"cmp"
	"slices"

	"boardlore/domain/message"
)

// Severity says what a person must do about a finding.
type Severity string

// Severities, gravest first.
const (
	// Stop: do not fit, do not release, do not power up.
	Stop Severity = "stop"
	// Caution: a person has to look before going on.
	Caution Severity = "caution"
	// Note: worth knowing; nothing hangs on it.
	Note Severity = "note"
)

// Rank orders severities: 3 for stop, 2 for caution, 1 for note, 0 for none.
func (s Severity) Rank() int {
	switch s {
	case Stop:
		return 3
	case Caution:
		return 2
	case Note:
		return 1
	}
	return 0
}

// Finding is one result of a rule.
type Finding struct {
	Code     string          `json:"code"`               // stable, lower-case words joined by hyphens, such as "voltage-low"
	Severity Severity        `json:"severity"`           // stop, caution or note
	Sentence message.Message `json:"sentence"`           // one plain sentence that says what is wrong and what to do
	Pointer  string          `json:"pointer,omitempty"`  // JSON Pointer (RFC 6901) to the member at fault, where a document is
	Expected string          `json:"expected,omitempty"` // what the rule asks for, spelt canonically
	Found    string          `json:"found,omitempty"`    // what is there, spelt canonically
	Limit    message.Message `json:"limit,omitzero"`     // the threshold of the rule in words and figures, where it has one
	Basis    message.Message `json:"basis,omitzero"`     // the published source of the rule, or "common practice"
}

// Worst is the gravest severity among the findings, "" for none.
func Worst(fs []Finding) Severity {
	var w Severity
	for i := range fs {
		if fs[i].Severity.Rank() > w.Rank() {
			w = fs[i].Severity
		}
	}
	return w
}

// Sort puts the gravest first, then orders by pointer and code, so that equal
// inputs give equal lists.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		return cmp.Or(
			cmp.Compare(b.Severity.Rank(), a.Severity.Rank()),
			cmp.Compare(a.Pointer, b.Pointer),
			cmp.Compare(a.Code, b.Code),
		)
	})
}
