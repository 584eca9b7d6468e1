package board

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Canonical gives the map's bytes in the form of RFC 8785: what is stored,
// digested and served. It fails only for a map that no document can give,
// such as one with a coordinate that is no number.
func (m *Map) Canonical() ([]byte, error) {
	b, err := canonical(m)
	if err != nil {
		return nil, fmt.Errorf("canonical form of map %q: %w", m.Board, err)
	}
	return b, nil
}

// Digest is the SHA-256 of canonical bytes in lower-case hexadecimal. Equal
// maps have equal digests.
func Digest(canonical []byte) string {
	sum := sha256.Sum256(canonical)
	return hex.EncodeToString(sum[:])
}

// canonical gives the RFC 8785 form of any value that marshals.
func canonical(v any) (jsontext.Value, error) {
	b, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	raw := jsontext.Value(b)
	if err := raw.Canonicalize(); err != nil {
		return nil, err
	}
	return raw, nil
}

// raw is canonical for values that came out of a map, nil (an absent member)
// where they cannot be written.
func raw(v any) jsontext.Value {
	c, err := canonical(v)
	if err != nil {
		return nil
	}
	return c
}

// object is a JSON object whose members stay in raw form.
type object map[string]jsontext.Value

// members opens a JSON object. Absent and null have no members.
func members(v jsontext.Value) (object, error) {
	if len(v) == 0 || v.Kind() == 'n' {
		return object{}, nil
	}
	o := object{}
	if err := json.Unmarshal(v, &o); err != nil {
		return nil, err
	}
	return o, nil
}

func sortedKeys(o object) []string { return slices.Sorted(maps.Keys(o)) }

// text is a JSON string, "" for any other value.
func text(v jsontext.Value) string {
	var s string
	if json.Unmarshal(v, &s) != nil {
		return ""
	}
	return s
}
