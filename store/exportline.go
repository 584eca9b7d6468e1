package store

import (
	"bytes"
	"fmt"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/transparency"
	"boardlore/schema"
)

// exportLine is one entry of the log with its map: an envelope that says where
// in the log it stands.
type exportLine struct {
	Index      int64          `json:"index"`
	Act        string         `json:"act"`
	Board      string         `json:"board"`
	Revision   int            `json:"revision"`
	Variant    string         `json:"variant"` // empty: the map as it was released
	Digest     string         `json:"digest"`
	ReleasedAt *time.Time     `json:"released_at,omitzero"`
	At         *time.Time     `json:"at,omitzero"`     // of a withdrawal or move
	Kind       string         `json:"kind,omitzero"`   // of a withdrawal
	Moved      []string       `json:"moved,omitempty"` // of a move: IDs that lead to the board by now
	Server     string         `json:"server,omitzero"`
	Schema     string         `json:"schema,omitzero"`
	Map        jsontext.Value `json:"map,omitzero"` // left out of what was withdrawn
}

// Line writes an entry as one line of an export, without its end. server says
// where it comes from.
func (x *Exported) Line(server string) ([]byte, error) {
	l := exportLine{Index: x.Index, Act: x.Act, Board: x.Board, Revision: x.Revision, Digest: x.Digest, Kind: x.Kind, Moved: x.Moved, Server: server}
	if x.Act == transparency.Release {
		l.ReleasedAt = &x.At
	} else {
		l.At = &x.At
	}
	if x.Map != nil {
		l.Schema, l.Map = schema.Prefix+"map", x.Map
	}
	b, err := json.Marshal(l, json.Deterministic(true), ofOneLength)
	if err != nil {
		return nil, fmt.Errorf("line %d of an export: %w", x.Index, err)
	}
	return b, nil
}

// ofOneLength writes times as stamp does.
var ofOneLength = json.WithMarshalers(json.MarshalToFunc(func(e *jsontext.Encoder, t time.Time) error {
	return e.WriteToken(jsontext.String(stamp(t)))
}))

// ReadLine reads a line of an export, and where it says that it comes from.
// Invalid load-refused for anything else.
func ReadLine(line []byte) (x Exported, server string, err error) {
	var l exportLine
	err = json.Unmarshal(line, &l)
	if err != nil || l.Board == "" || l.Revision < 1 || len(l.Digest) != 64 || l.Act == "" {
		return x, "", &fault.Error{Kind: fault.Invalid, Code: "load-refused", Err: err,
			Detail: message.Of("store.not-an-export", clipped(line))}
	}
	x = Exported{Index: l.Index, Act: l.Act, Board: l.Board, Revision: l.Revision, Digest: l.Digest, Kind: l.Kind, Moved: l.Moved, Map: l.Map}
	for _, at := range []*time.Time{l.At, l.ReleasedAt} {
		if at != nil {
			x.At = *at
		}
	}
	return x, l.Server, nil
}

// clipped is the beginning of a line, for a sentence.
func clipped(line []byte) []byte {
	const shown = 60
	line = bytes.ToValidUTF8(line, []byte("?"))
	return line[:min(len(line), shown)]
}
