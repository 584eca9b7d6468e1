// Package kit holds bought kits of replacement parts and reconciles them
// against a map: which part goes where, what does not suit, what is missing
// and what is left over, before anything is desoldered.
package kit

import (
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/part"
)

// MaxLines is the most lines that a kit may have.
const MaxLines = 500

// Kit is a set of replacement parts.
type Kit struct {
	ID    string         `json:"kit"` // slug
	Title string         `json:"title"`
	For   []string       `json:"for,omitzero"` // board IDs
	Lines []Line         `json:"lines"`
	Extra jsontext.Value `json:",embed"`
}

// Line is a quantity of one part; Text or Part says which part, and
// Designators, where given, where the kit's maker wants it fitted.
type Line struct {
	Number      int            `json:"line"`
	Quantity    int            `json:"quantity"`
	Text        string         `json:"text,omitzero"`
	Part        *part.Part     `json:"part,omitzero"`
	Body        *part.Body     `json:"body,omitzero"`
	Designators []string       `json:"designators,omitzero"`
	Extra       jsontext.Value `json:",embed"`
}
