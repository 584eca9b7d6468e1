package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

type healthAnswer struct {
	Status  string `json:"status"`
	Version string `json:"version,omitzero"`
	Replica string `json:"replica,omitzero"` // follows, or away: then the primary answers for it
}

// health says that the process answers, whatever the database does.
func (s *server) health(c echo.Context) error {
	c.Response().Header().Set("Cache-Control", "no-store")
	return reply(c, http.StatusOK, healthAnswer{Status: "ok", Version: s.version})
}

// ready says that requests can be served, acts too: the database is there, at
// this program's migration, and can be written to.
func (s *server) ready(c echo.Context) error {
	if err := s.store.Ready(c.Request().Context()); err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "no-store")
	return reply(c, http.StatusOK, healthAnswer{Status: "ready", Version: s.version, Replica: s.store.Stats().Replica})
}
