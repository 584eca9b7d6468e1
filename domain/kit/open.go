package kit

import (
	"bytes"
	"mime"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
)

// Opened is what a body holds: a JSON document, or a list that was read.
type Opened struct {
	Document []byte // nil for a list
	Kit      *Kit   // of a list, with one line at least
	Problems []Problem
}

// Open decides whether a body is a JSON document or a list, for everything that
// takes kits, and reads the list. What says that it is JSON or a table is taken
// at its word; the rest is a document where it begins with a brace. A list that
// breaks a limit, or has no line that could be a part, is a *fault.Error of kind
// Invalid.
func Open(body []byte, contentType string) (Opened, error) {
	if isDocument(body, contentType) {
		return Opened{Document: bytes.TrimPrefix(body, []byte("\ufeff"))}, nil
	}
	k, problems := ReadList(body)
	switch n := len(k.Lines); {
	case n == 0:
		return Opened{}, unlisted(problems, "kit.list-no-line-could")
	case n > MaxLines:
		return Opened{}, unlisted(problems, "kit.kit-most-lines-errors", MaxLines)
	}
	return Opened{Kit: k, Problems: problems}, nil
}

func isDocument(body []byte, contentType string) bool {
	media, _, _ := mime.ParseMediaType(contentType)
	switch media {
	case "application/json":
		return true
	case "text/csv", "text/tab-separated-values":
		return false
	}
	return bytes.HasPrefix(bytes.TrimSpace(bytes.TrimPrefix(body, []byte("\ufeff"))), []byte("{"))
}

// unlisted refuses a list and tells what is wrong with its rows.
func unlisted(problems []Problem, key string, values ...any) error {
	const most = 100 // rows
	e := fault.New(fault.Invalid, "kit-refused", key, values...)
	for _, p := range problems[:min(len(problems), most)] {
		e.Findings = append(e.Findings, finding.Finding{Code: "list-row", Severity: finding.Stop,
			Sentence: p.Sentence(), Found: p.Text})
	}
	if len(problems) == 1 && problems[0].Text == "" {
		e.Detail = problems[0].Reason
	}
	return e
}
