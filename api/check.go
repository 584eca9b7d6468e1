package api

import (
	"net/http"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/schema"
	"boardlore/store"
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
	doc, _, prefix := schema.Unwrap(body)
	doc, _, within := schema.Unwrap(doc) // a submission may hold the map in its envelope
	prefix += within
	m, fs := schema.ReadMap(doc)
	if m == nil {
		err := schema.Refusal(fs)
		if f, ok := fault.As(err); ok && f.Code == "document-refused" {
			f.Code = "map-refused"
		}
		return under(prefix, err)
	}
	if err := store.OfVariant(m); err != nil {
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
