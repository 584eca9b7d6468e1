package review

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// Limits of what goes with a proposal or a review. Lengths are in characters.
const (
	MaxSummary     = 2000
	MaxText        = 5000
	MaxEvidence    = 100 // items of a proposal
	MaxRemarks     = 1000
	MaxDesignators = 500 // of one item
	MaxPhotographs = 20  // of one item
)

// Evidence is one thing that a proposal rests on.
type Evidence struct {
	Text        string            `json:"text"`
	Designators []string          `json:"designators,omitempty"` // the positions that it bears on; none: the whole proposal
	Measured    map[string]string `json:"measured,omitempty"`    // by name, see measures; quantities in canonical spelling
	Photographs []string          `json:"photographs,omitempty"` // SHA-256 of each, lower-case hex
	Photograph  string            `json:"photograph,omitzero"`   // the one, where the item named it alone; among Photographs too
}

// measures are the names that measured values go by, with the kind of quantity
// of each; 0 is text.
var measures = map[string]quantity.Kind{
	"capacitance": quantity.Capacitance,
	"esr":         quantity.Resistance, // equivalent series resistance
	"resistance":  quantity.Resistance,
	"inductance":  quantity.Inductance,
	"voltage":     quantity.Voltage,
	"leakage":     quantity.Current,
	"current":     quantity.Current,
	"temperature": quantity.Temperature,
	"frequency":   quantity.Frequency, // of the measurement
	"marking":     0,                  // as read on the part
	"instrument":  0,
}

// ReadEvidence reads a proposal's evidence: a JSON array whose items are each a
// string or an object with text and, as wanted, designators, measured and
// photographs. Empty input and null are no evidence. Findings that are stops
// have pointers under /evidence, and the evidence is nil then.
func ReadEvidence(raw jsontext.Value) ([]Evidence, []finding.Finding) {
	if k := raw.Kind(); len(raw) == 0 || k == 'n' {
		return nil, nil
	}
	var items []jsontext.Value
	if err := json.Unmarshal(raw, &items); err != nil {
		return nil, refusal("/evidence", "evidence-list")
	}
	if len(items) > MaxEvidence {
		return nil, refusal("/evidence", "evidence-most", MaxEvidence, len(items))
	}
	var out []Evidence
	var fs []finding.Finding
	for i, item := range items {
		e, f := readItem(item, fmt.Sprintf("/evidence/%d", i))
		out, fs = append(out, e), append(fs, f...)
	}
	if finding.Worst(fs) == finding.Stop {
		return nil, fs
	}
	return out, fs
}

// readItem reads one item of evidence.
func readItem(raw jsontext.Value, at string) (Evidence, []finding.Finding) {
	var e Evidence
	if raw.Kind() == '"' {
		if err := json.Unmarshal(raw, &e.Text); err != nil {
			return e, refusal(at, "text-unread", err)
		}
		return e, e.check(at)
	}
	if err := json.Unmarshal(raw, &e, json.RejectUnknownMembers(true)); err != nil {
		return e, refusal(at, "evidence-item")
	}
	return e, e.checkOne(at)
}

// checkOne takes a photograph that was named alone among the others.
func (e *Evidence) checkOne(at string) []finding.Finding {
	if e.Photograph == "" {
		return e.check(at)
	}
	if !IsSHA256(e.Photograph) {
		return append(e.check(at), refusal(at+"/photograph", "photograph-name")...)
	}
	if !slices.Contains(e.Photographs, e.Photograph) {
		e.Photographs = append(e.Photographs, e.Photograph)
	}
	return e.check(at)
}

// check holds one item to its limits and spells its quantities canonically.
func (e *Evidence) check(at string) []finding.Finding {
	fs := text(e.Text, at+"/text", 1, MaxText)
	if len(e.Designators) > MaxDesignators {
		fs = append(fs, refusal(at+"/designators", "designators-most", MaxDesignators)...)
	}
	for i, d := range e.Designators {
		fs = append(fs, text(d, fmt.Sprintf("%s/designators/%d", at, i), 1, 64)...)
	}
	if len(e.Photographs) > MaxPhotographs {
		fs = append(fs, refusal(at+"/photographs", "photographs-most", MaxPhotographs)...)
	}
	for i, p := range e.Photographs {
		if !IsSHA256(p) {
			fs = append(fs, refusal(fmt.Sprintf("%s/photographs/%d", at, i), "photograph-name")...)
		}
	}
	return append(fs, e.measure(at+"/measured")...)
}

// measure reads the measured values.
func (e *Evidence) measure(at string) []finding.Finding {
	var fs []finding.Finding
	for _, name := range slices.Sorted(maps.Keys(e.Measured)) {
		p := at + "/" + pointer(name)
		kind, known := measures[name]
		switch {
		case !known:
			fs = append(fs, refusal(p, "no-measure", clip(name), message.Or(slices.Sorted(maps.Keys(measures))))...)
		case kind == 0:
			fs = append(fs, text(e.Measured[name], p, 1, 200)...)
		default:
			fs = append(fs, e.canonical(name, kind, p)...)
		}
	}
	return fs
}

// canonical spells one measured quantity canonically, or says why it can't.
func (e *Evidence) canonical(name string, kind quantity.Kind, at string) []finding.Finding {
	s := e.Measured[name]
	read, err := reading.Quantity(s, kind, quantity.Context{Found: "list"})
	readings := read.Amounts
	if err != nil {
		return []finding.Finding{stop(at, unread(err))}
	}
	spelt := make([]string, len(readings))
	for i, r := range readings {
		spelt[i] = r.Canonical()
	}
	if len(spelt) != 1 {
		return refusal(at, "ambiguous", clip(s), len(spelt), message.Or(spelt))
	}
	e.Measured[name] = spelt[0]
	return nil
}

// CheckSummary holds the summary of a submission to its limits.
func CheckSummary(s string) []finding.Finding { return text(s, "/summary", 1, MaxSummary) }

// CheckReason holds the reason of a decision to its limits; it may be empty.
func CheckReason(s string) []finding.Finding { return text(s, "/reason", 0, MaxSummary) }

// CheckReview holds a verdict, its summary and its remarks to what a review
// is. A query and an objection have to say something to the author. known
// tells which designators the proposal has, before or after.
func CheckReview(verdict, summary string, remarks []Remark, known func(designator string) bool) []finding.Finding {
	var fs []finding.Finding
	switch verdict {
	case Endorse:
	case Query, Object:
		if strings.TrimSpace(summary) == "" && len(remarks) == 0 {
			fs = append(fs, refusal("/summary", "say-what")...)
		}
	default:
		fs = append(fs, refusal("/verdict", "no-verdict", clip(verdict))...)
	}
	fs = append(fs, text(summary, "/summary", 0, MaxSummary)...)
	if len(remarks) > MaxRemarks {
		return append(fs, refusal("/remarks", "remarks-most", MaxRemarks)...)
	}
	for i, r := range remarks {
		at := fmt.Sprintf("/remarks/%d", i)
		fs = append(fs, text(r.Text, at+"/text", 1, MaxText)...)
		if r.Designator != "" && !known(r.Designator) {
			fs = append(fs, refusal(at+"/designator", "remark-nowhere", clip(r.Designator))...)
		}
	}
	return fs
}

// CheckText holds a text that has to be there to its limits.
func CheckText(s, at string) []finding.Finding { return text(s, at, 1, MaxText) }

// CheckDecline holds the reason of a decline to what the author is owed.
func CheckDecline(s string) []finding.Finding {
	if strings.TrimSpace(s) == "" {
		return refusal("/reason", "why-declined")
	}
	return CheckReason(s)
}

// CheckAside holds the reason for setting an objection aside to what its
// reviewer and the author are owed.
func CheckAside(s string) []finding.Finding {
	if strings.TrimSpace(s) == "" {
		return refusal("/reason", "why-aside")
	}
	return CheckReason(s)
}

// seenOn are the things that a reviewer may have looked at.
var seenOn = []string{"board", "photograph", "document"}

// MaxSeen bounds what one review says it rests on.
const MaxSeen = 5000

// CheckSeen holds what a verdict rests on to the positions that there are.
func CheckSeen(seen []Seen, known func(designator string) bool) []finding.Finding {
	if len(seen) > MaxSeen {
		return refusal("/seen", "seen-most", MaxSeen)
	}
	var fs []finding.Finding
	for i, s := range seen {
		at := fmt.Sprintf("/seen/%d", i)
		if !known(s.Designator) {
			fs = append(fs, refusal(at+"/designator", "seen-nowhere", clip(s.Designator))...)
		}
		if !slices.Contains(seenOn, s.On) {
			fs = append(fs, refusal(at+"/on", "seen-on-nothing", clip(s.On))...)
		}
	}
	return fs
}

// IsSHA256 reports whether s is spelt as the project spells a SHA-256: 64
// lower-case hexadecimal digits.
func IsSHA256(s string) bool {
	return len(s) == 64 && strings.Trim(s, "0123456789abcdef") == ""
}

// text holds a text to its length in characters and refuses control characters
// other than line breaks and tabs, which PostgreSQL or a terminal would choke on.
func text(s, at string, least, most int) []finding.Finding {
	n := utf8.RuneCountInString(s)
	switch {
	case !utf8.ValidString(s):
		return refusal(at, "text-not-utf-8")
	case strings.ContainsFunc(s, control):
		return refusal(at, "text-control")
	case n < least || least > 0 && strings.TrimSpace(s) == "":
		return refusal(at, "text-empty")
	case n > most:
		return refusal(at, "text-long", n, most)
	}
	return nil
}

func control(r rune) bool {
	return r < ' ' && r != '\n' && r != '\r' && r != '\t' || r == 0x7f
}

// refusal is a finding that stops a request, with its sentence by key.
func refusal(at, key string, values ...any) []finding.Finding {
	return []finding.Finding{stop(at, message.Of("review."+key, values...))}
}

func stop(at string, says message.Message) finding.Finding {
	return finding.Finding{Code: "request-invalid", Severity: finding.Stop, Pointer: at, Sentence: says}
}

// unread says why a quantity could not be read.
func unread(err error) message.Message {
	if s, ok := err.(message.Sayer); ok {
		return s.Say()
	}
	return message.Text(strings.TrimSuffix(err.Error(), ".") + ".")
}

// pointer escapes one step of a JSON Pointer (RFC 6901).
func pointer(s string) string {
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(s)
}

// clip keeps what is quoted back to the caller short.
func clip(s string) string {
	const most = 80
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}
