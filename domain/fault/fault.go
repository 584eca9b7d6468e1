// Package fault names the few kinds of error that the inner layers return.
// A layer that invents its own error for each case forces the outermost layer
// to know them all; with a handful of kinds one table there maps each to an
// answer.
package fault

import (
	"errors"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// Kind says what sort of thing went wrong.
type Kind uint8

// Kinds of error. The zero Kind is an unknown error: a defect or a failing
// machine, never the caller's doing.
const (
	Unknown         Kind = iota
	NotFound             // the thing named is not there
	Conflict             // the act does not fit the present state
	Stale                // the caller's If-Match names an older state
	Unconditional        // the act needs If-Match and none was given
	Unauthenticated      // no valid token
	NotAllowed           // the token's account may not do this
	Malformed            // the request cannot be read at all
	Invalid              // the document was read and refused; Findings say why
	TooLarge             // beyond a documented limit
	Unavailable          // try again later
	Gone                 // was here and was taken out of use; Detail says why and where to go on
	Unlawful             // taken out of use because the law demands it
)

// Error is an error of a kind, with what a person can do about it.
type Error struct {
	Kind     Kind
	Code     string            // stable, lower-case words joined by hyphens; names the problem type where set
	Detail   message.Message   // one sentence for the person: what is wrong and what to do next
	Findings []finding.Finding // faults of a document, all at once
	Data     any               // more for the answer, such as the conflicts of a release
	Err      error             // cause, for the log only
}

// New makes an error of a kind with its sentence for the person, given by key
// and values.
func New(k Kind, code, key string, values ...any) *Error {
	return &Error{Kind: k, Code: code, Detail: message.Of(key, values...)}
}

func (e *Error) Error() string {
	if e.Err != nil {
		return e.Detail.String() + ": " + e.Err.Error()
	}
	return e.Detail.String()
}

func (e *Error) Unwrap() error { return e.Err }

// As returns the Error in the chain, if there is one.
func As(err error) (*Error, bool) {
	var e *Error
	ok := errors.As(err, &e)
	return e, ok
}

// Is reports whether the chain holds an Error of kind k.
func Is(err error, k Kind) bool {
	e, ok := As(err)
	return ok && e.Kind == k
}
