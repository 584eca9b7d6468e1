package api

import (
	"net/http"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/schema"
)

type checkAnswer struct {
	Board    string            `json:"board"`
	Digest   string            `json:"digest"` // that the map would have
	Findings []finding.Finding `json:"findings"`
	Map      jsontext.Value    `json:"map"` // as it would be stored, quantities in their canonical spelling
}

// checkMap tells all that a submission of the map would be told, and stores
// nothing. The body is a map, or anything with one as its member "map", such
// as a whole submission.
func (s *server) checkMap(c echo.Context) error {
	body, _, err := readBody(c, "application/json")
	if err != nil {
		return err
	}
	doc, prefix := inner(body)
	m, fs := schema.ReadMap(doc)
	if m == nil {
		err := schema.Refusal(fs)
		if f, ok := fault.As(err); ok && f.Code == "document-refused" {
			f.Code = "map-refused"
		}
		return under(prefix, err)
	}
	canonical, err := m.Canonical()
	if err != nil {
		return err
	}
	for i := range fs {
		fs[i].Pointer = prefix + fs[i].Pointer
	}
	return reply(c, http.StatusOK, checkAnswer{m.Board, board.Digest(canonical), full(fs), jsontext.Value(canonical)})
}

// inner finds the map in a body: the body itself, or its member "map".
func inner(body []byte) (doc []byte, prefix string) {
	var wrap struct {
		Map       jsontext.Value `json:"map"`
		Positions jsontext.Value `json:"positions"`
	}
	if err := json.Unmarshal(body, &wrap); err != nil || wrap.Map.Kind() != '{' || wrap.Positions != nil {
		return body, ""
	}
	return wrap.Map, "/map"
}
