package api

import (
	"fmt"
	"net/http"

	"github.com/go-json-experiment/json"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/store"
)

type differenceAnswer struct {
	Board   string                  `json:"board"`
	From    differenceEnd           `json:"from"`
	To      differenceEnd           `json:"to"`
	Changes []board.DifferenceEntry `json:"changes"`
	Summary board.DifferenceSummary `json:"summary"`
}

type differenceEnd struct {
	Revision int    `json:"revision"`
	Variant  string `json:"variant,omitzero"`
	Digest   string `json:"digest"`
}

// differences compares two revisions, or two variants, of a board.
func (s *server) differences(c echo.Context) error {
	from, to, err := s.ends(c)
	if err != nil {
		return err
	}
	if c.QueryParam("from") != "" && c.QueryParam("to") != "" {
		forever(c)
	}
	d := board.Diff(from.Map, to.Map)
	switch c.QueryParam("as") {
	case "text":
		return send(c, http.StatusOK, "text/plain; charset=utf-8", []byte(d.Text()))
	case "json-patch":
		operations, err := board.Patch(from.Map, to.Map)
		if err != nil {
			return err
		}
		patch, err := json.Marshal(operations, json.Deterministic(true))
		if err != nil {
			return err
		}
		return send(c, http.StatusOK, "application/json-patch+json", append(patch, '\n'))
	case "svg":
		return send(c, http.StatusOK, "image/svg+xml", drawing.Compare(from.Map, to.Map, d, drawing.Options{
			Side: c.QueryParam("side"), Revision: to.Number, Variant: to.Variant, Digest: to.Digest, Date: day(to)}))
	}
	return reply(c, http.StatusOK, differenceAnswer{Board: to.Board, From: differenceEnd{from.Number, from.Variant, from.Digest},
		To: differenceEnd{to.Number, to.Variant, to.Digest}, Changes: full(d.Changes), Summary: d.Summary})
}

// ends are the two maps to compare: to is the current revision where it is
// absent, from the one before it, and variant the build on both ends.
func (s *server) ends(c echo.Context) (from, to *store.Revision, err error) {
	ctx, name := c.Request().Context(), c.Param("board")
	fromVariant, toVariant := c.QueryParam("from_variant"), c.QueryParam("to_variant")
	if v := c.QueryParam("variant"); v != "" {
		fromVariant, toVariant = v, v
	}
	if to, err = s.store.Revision(ctx, name, number(c, "to", 0), toVariant); err != nil {
		return nil, nil, err
	}
	n := number(c, "from", 0)
	if n == 0 {
		if n = to.Number - 1; fromVariant != toVariant {
			n = to.Number
		}
	}
	if n == 0 {
		return nil, nil, refuse("revision-unknown", fmt.Sprintf("Revision 1 of %q is its first; there is none before it to compare with.", name))
	}
	from, err = s.store.Revision(ctx, name, n, fromVariant)
	return from, to, err
}

// day is when a revision was released, as a drawing shows it.
func day(r *store.Revision) string { return r.ReleasedAt.UTC().Format("2006-01-02") }

// drawing draws one side of a map.
func (s *server) drawing(c echo.Context) error {
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), number(c, "revision", 0), c.QueryParam("variant"))
	if err != nil {
		return err
	}
	if c.QueryParam("revision") != "" {
		forever(c)
	}
	svg := drawing.Board(rev.Map, drawing.Options{Side: c.QueryParam("side"), Marks: c.QueryParams()["mark"], Revision: rev.Number,
		Variant: rev.Variant, Digest: rev.Digest, Date: day(rev)})
	return sendTagged(c, http.StatusOK, "image/svg+xml", hash(svg), svg)
}
