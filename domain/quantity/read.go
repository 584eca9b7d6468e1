package quantity

import "fmt"

// Context is what is known of a text apart from the text itself. Whatever is unknown stays empty.
type Context struct {
	Class        string `json:"class,omitempty"`        // part class: capacitor, resistor, inductor …
	Construction string `json:"construction,omitempty"` // ceramic, film, tantalum, aluminium-electrolytic …
	Found        string `json:"found,omitempty"`        // marking (on the part), order-code, list
	Language     string `json:"language,omitempty"`     // en, de, fr: what comma and point mean
	Historic     bool   `json:"historic,omitempty"`     // from the age of MFD and MMF
	Continental  bool   `json:"continental,omitempty"`  // K may be kilo-picofarad
}

// Reading is one way to read a text: a quantity, or a tolerance where that was asked for or stood beside the value.
type Reading struct {
	Quantity  Quantity
	Tolerance Tolerance
	Doubts    []string // sentences; what else to look at before trusting the reading
}

// Canonical returns the canonical spelling of the quantity, or of the tolerance where there is no quantity.
func (r Reading) Canonical() string {
	if r.Quantity.IsZero() {
		return r.Tolerance.String()
	}
	return r.Quantity.String()
}

// SI returns the exact decimal in the bare unit; see Quantity.SI and Tolerance.SI.
func (r Reading) SI() string {
	if r.Quantity.IsZero() {
		return r.Tolerance.SI()
	}
	return r.Quantity.SI()
}

// ReadError says why a text was refused and what to do about it.
type ReadError struct {
	Text   string // the text, as given
	Kind   Kind   // what was to be read
	Reason string // a sentence
}

// Error returns the text, shortened, and the reason.
func (e *ReadError) Error() string { return fmt.Sprintf("%q: %s", clip(e.Text), e.Reason) }

// Read reads a quantity of the given kind from text as people write it. One reading is sure, but for its doubts;
// several mean that the text says several things in this context, and none was preferred; a *ReadError means that it
// was refused.
func Read(text string, k Kind, c Context) ([]Reading, error) {
	if k == ToleranceKind {
		if t, ok := parseTolerance(text); ok {
			return []Reading{{Tolerance: t}}, nil
		}
	} else if q, ok := parsePlain(text); ok && q.Unit() == k.Unit() {
		return []Reading{{Quantity: q}}, nil
	}
	return nil, &ReadError{Text: text, Kind: k, Reason: "this is no " + k.String() + "; write number, space, unit, as in 4.7 kΩ or 100 nF"}
}
