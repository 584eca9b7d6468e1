package api

import (
	"boardlore/domain/message"
	"net/http"

	"github.com/labstack/echo/v4"

	"boardlore/domain/kit"
)

// partsList answers what to buy for a board, without any kit.
func (s *server) partsList(c echo.Context) error {
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), number(c, "revision", 0),
		c.QueryParam("variant"))
	if err != nil {
		return err
	}
	list, err := kit.ListParts(kit.Request{Map: rev.Map, Scope: kit.ParseScope(c.QueryParam("scope")),
		Revision: rev.Number, Variant: rev.Variant, Digest: rev.Digest})
	if err != nil {
		return err
	}
	form := "text/csv"
	if c.QueryParam("as") != "csv" {
		c.Response().Header().Add("Vary", "Accept")
		form = accepted(c.Request().Header.Get("Accept"), boardMedia...)
	}
	switch {
	case form == "" && c.QueryParam("as") == "":
		return refuse("not-acceptable", "api.parts-list-comes-as", message.Commas(boardMedia))
	case form == "text/csv" && c.QueryParam("as") != "json":
		c.Response().Header().Set("Content-Disposition", `attachment; filename="`+rev.Board+`-parts-list.csv"`)
		return send(c, http.StatusOK, "text/csv; charset=utf-8; header=present", list.CSV(tongue(c)))
	}
	list.ToBuy, list.Cautions = full(list.ToBuy), full(list.Cautions)
	return reply(c, http.StatusOK, list)
}
