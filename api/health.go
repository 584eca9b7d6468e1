package api

import (
	"net/http"

	"github.com/labstack/echo/v4"
)

type healthAnswer struct {
	Status  string `json:"status"`
	Version string `json:"version,omitzero"`
}

// health says that the process answers, whatever the database does.
func (s *server) health(c echo.Context) error {
	c.Response().Header().Set("Cache-Control", "no-store")
	return reply(c, http.StatusOK, healthAnswer{"ok", s.version})
}

// ready says that requests can be served: the database answers and is at this
// program's migration.
func (s *server) ready(c echo.Context) error {
	if err := s.store.Ready(c.Request().Context()); err != nil {
		return err
	}
	c.Response().Header().Set("Cache-Control", "no-store")
	return reply(c, http.StatusOK, healthAnswer{"ready", s.version})
}
