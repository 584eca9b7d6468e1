package store

import (
	"bytes"
	"fmt"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/domain/transparency"
	"boardlore/schema"
)

// What an export tells of beside the acts of the log.
const (
	photographLine    = "photograph" // before the line that names it
	kitLine           = "kit"
	recordLine        = "record"
	recordGoneLine    = "record-withdrawal"
	photographGone    = "photograph-withdrawal"
	photographErasure = "photograph-erasure"
)

// exportLine is one line of an export: an entry of the log with its map, as an
// envelope that says where in the log it stands, or what stands beside the log.
type exportLine struct {
	Index      *int64         `json:"index,omitzero"` // of an entry of the log
	Event      int64          `json:"event,omitzero"` // of what stands beside it
	Act        string         `json:"act"`
	Board      string         `json:"board,omitzero"`
	Revision   int            `json:"revision,omitzero"`
	Variant    *string        `json:"variant,omitzero"` // empty: the map as it was released
	Kit        string         `json:"kit,omitzero"`
	Version    int            `json:"version,omitzero"` // of a kit
	Photograph string         `json:"photograph,omitzero"`
	Digest     string         `json:"digest,omitzero"`
	ReleasedAt *time.Time     `json:"released_at,omitzero"`
	KeptAt     *time.Time     `json:"kept_at,omitzero"` // of a record, also of one that is withdrawn
	At         *time.Time     `json:"at,omitzero"`      // of any other act
	Kind       string         `json:"kind,omitzero"`    // of a withdrawal
	Moved      []string       `json:"moved,omitempty"`  // of a move: IDs that lead to the board by now
	Server     string         `json:"server,omitzero"`
	Schema     string         `json:"schema,omitzero"`
	Map        jsontext.Value `json:"map,omitzero"`      // left out of what was withdrawn
	Document   jsontext.Value `json:"document,omitzero"` // a kit or a record
	Data       []byte         `json:"data,omitzero"`     // of a photograph, base64
}

// Line writes an entry as one line of an export, without its end. server says
// where it comes from.
func (x *Exported) Line(server string) ([]byte, error) {
	l := exportLine{Event: x.Event, Act: x.Act, Board: x.Board, Revision: x.Revision, Digest: x.Digest, Kind: x.Kind,
		Moved: x.Moved, Server: server,
		Kit: x.Kit, Version: x.Version, Photograph: x.Photograph, Document: x.Document, Data: x.Data}
	if x.inLog() {
		l.Index, l.Variant = &x.Index, new(string)
	}
	if !x.KeptAt.IsZero() {
		l.KeptAt = &x.KeptAt
	}
	switch {
	case x.Act == transparency.Release:
		l.ReleasedAt = &x.At
	case !x.At.IsZero():
		l.At = &x.At
	}
	if x.Map != nil {
		l.Schema, l.Map = schema.Prefix+"map", x.Map
	}
	if x.Document != nil {
		l.Schema = schema.Prefix + x.Act
	}
	b, err := json.Marshal(l, json.Deterministic(true), ofOneLength)
	if err != nil {
		return nil, fmt.Errorf("line of an export, %s of %s: %w", x.Act, x.Board, err)
	}
	return b, nil
}

// inLog tells an entry of the log from what stands beside it.
func (x *Exported) inLog() bool {
	switch x.Act {
	case photographLine, kitLine, recordLine, recordGoneLine, photographGone, photographErasure:
		return false
	}
	return true
}

// ofOneLength writes times as stamp does.
var ofOneLength = json.WithMarshalers(json.MarshalToFunc(func(e *jsontext.Encoder, t time.Time) error {
	return e.WriteToken(jsontext.String(stamp(t)))
}))

// ReadLine reads a line of an export, and where it says that it comes from. What
// it gives shares no memory with the line. Invalid load-refused for anything else.
func ReadLine(line []byte) (x Exported, server string, err error) {
	var l exportLine
	err = json.Unmarshal(line, &l)
	if err != nil || !l.whole() {
		return x, "", &fault.Error{Kind: fault.Invalid, Code: "load-refused", Err: err,
			Detail: message.Of("store.not-an-export", clipped(line))}
	}
	x = Exported{Event: l.Event, Act: l.Act, Board: l.Board, Revision: l.Revision, Digest: l.Digest, Kind: l.Kind,
		Moved: l.Moved,
		Map:   own(l.Map), Kit: l.Kit, Version: l.Version, Photograph: l.Photograph, Document: own(l.Document),
		Data: l.Data}
	if l.Index != nil {
		x.Index = *l.Index
	}
	if l.KeptAt != nil {
		x.KeptAt = *l.KeptAt
	}
	for _, at := range []*time.Time{l.At, l.ReleasedAt} {
		if at != nil {
			x.At = *at
		}
	}
	return x, l.Server, nil
}

// own is a document apart from the line that it came in; nil for none.
func own(doc jsontext.Value) []byte {
	if len(doc) == 0 {
		return nil
	}
	return bytes.Clone(doc)
}

// whole tells whether a line says all that an act of its kind has to.
func (l *exportLine) whole() bool {
	digest := len(l.Digest) == 64
	switch l.Act {
	case "":
		return false
	case photographLine:
		return review.IsSHA256(l.Photograph) && len(l.Data) > 0
	case kitLine:
		return digest && l.Kit != "" && l.Version >= 1 && l.Document != nil
	case recordLine:
		return digest && l.Board != "" && l.Revision >= 1 && l.Document != nil && l.KeptAt != nil
	case recordGoneLine:
		return digest && l.Board != "" && l.KeptAt != nil && l.At != nil
	case photographGone, photographErasure:
		return review.IsSHA256(l.Photograph) && l.At != nil
	}
	return digest && l.Board != "" && l.Revision >= 1
}

// clipped is the beginning of a line, for a sentence.
func clipped(line []byte) string {
	const shown = 60
	line = bytes.ToValidUTF8(line, []byte("?"))
	return string(line[:min(len(line), shown)])
}
