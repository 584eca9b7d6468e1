package schema

import (
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Envelope is what a map's envelope says of it, as far as whoever reads the
// map wants to know.
type Envelope struct {
	Board    string `json:"board"`
	Revision int    `json:"revision"`
	Variant  string `json:"variant"`
	Digest   string `json:"digest"`
}

// Unwrap takes a map out of its envelope, or of whatever else holds it as its
// member "map", and tells where it stood there. Anything else it gives back as
// it is; the envelope is zero then.
func Unwrap(doc []byte) (inner []byte, e Envelope, prefix string) {
	var wrap struct {
		Map       jsontext.Value `json:"map"`
		Positions jsontext.Value `json:"positions"`
	}
	if err := json.Unmarshal(doc, &wrap); err != nil || wrap.Map.Kind() != '{' || wrap.Positions != nil {
		return doc, Envelope{}, ""
	}
	if err := json.Unmarshal(doc, &e); err != nil {
		e = Envelope{} // its other members are no envelope's
	}
	return wrap.Map, e, "/map"
}
