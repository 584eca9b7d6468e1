package part

import (
	"bytes"
	"slices"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/quantity"
)

// Windings are the windings of a transformer, each by its rated voltage or, for
// signals, by the impedance that it works at.
type Windings struct {
	Primary   []quantity.Quantity `json:"primary,omitzero"`
	Secondary []quantity.Quantity `json:"secondary,omitzero"`
	Extra     jsontext.Value      `json:",embed"`
}

// String spells the windings on one line.
func (w *Windings) String() string {
	if w == nil {
		return ""
	}
	var words []string
	for _, side := range []struct {
		name string
		of   []quantity.Quantity
	}{{"primary", w.Primary}, {"secondary", w.Secondary}} {
		if len(side.of) == 0 {
			continue
		}
		words = append(words, side.name)
		for _, q := range side.of {
			words = append(words, q.String())
		}
	}
	return strings.Join(words, " ")
}

// Same reports whether both say the same, "x-…" members included; an absent
// list is not an empty one.
func (w *Windings) Same(o *Windings) bool {
	if w == nil || o == nil {
		return w == o
	}
	same := func(a, b []quantity.Quantity) bool { return (a == nil) == (b == nil) && slices.Equal(a, b) }
	return same(w.Primary, o.Primary) && same(w.Secondary, o.Secondary) && SameExtra(w.Extra, o.Extra)
}

// SameExtra compares the "x-…" members of two objects, for which an empty
// object is the same as none.
func SameExtra(a, b jsontext.Value) bool {
	if bytes.Equal(a, b) {
		return true
	}
	none := jsontext.Value("{}")
	if len(a) == 0 {
		a = none
	}
	if len(b) == 0 {
		b = none
	}
	return SameValue(a, b)
}

// SameValue compares JSON values by meaning: member order and blanks don't
// count.
func SameValue(a, b jsontext.Value) bool {
	if bytes.Equal(a, b) {
		return true
	}
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	x, y := a.Clone(), b.Clone()
	return x.Canonicalize() == nil && y.Canonicalize() == nil && bytes.Equal(x, y)
}
