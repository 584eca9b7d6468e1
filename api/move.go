package api

import (
	"net/http"
	"net/url"
	"strings"

	"github.com/labstack/echo/v4"
)

// moveAnswer is the receipt of a move.
type moveAnswer struct {
	Board   string `json:"board"`            // as it is called now
	Moved   string `json:"moved"`            // its old ID
	Current int    `json:"current,omitzero"` // its current revision; absent where all are withdrawn
	Event   int64  `json:"event"`
	Links   links  `json:"links"`
}

// moveBoard gives a board another ID.
func (s *server) moveBoard(c echo.Context) error {
	var in struct {
		To     string `json:"to"`
		Reason string `json:"reason"`
	}
	body, err := readJSON(c, "move", &in)
	if err != nil {
		return err
	}
	from := c.Param("board")
	r, err := s.store.Move(c.Request().Context(), actor(c), from, in.To, in.Reason, once(c, body))
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, moveAnswer{in.To, from, r.Current, r.Event, boardLinks(in.To)})
}

// moved is where a board is now, for a request that names an old ID of it, on
// routes and pages alike; the rest of the path and the query stay.
func (s *server) moved(c echo.Context) string {
	old := c.Param("board")
	if old == "" {
		return ""
	}
	to, merged, err := s.store.Moved(c.Request().Context(), old)
	if err != nil || to == "" { // without a database the handler has what it remembers, or says so
		return ""
	}
	return elsewhere(c, old, to, merged)
}

// elsewhere is the address of a request under a board's new ID. Where the board
// was made one with another, a number of a revision means the old one's: of
// says so, and whatever does not know that parameter refuses it, rather than
// answer with another map.
func elsewhere(c echo.Context, old, to string, merged bool) string {
	u := c.Request().URL
	parts, pattern := strings.Split(u.EscapedPath(), "/"), strings.Split(c.Path(), "/")
	numbered := false
	for i, p := range pattern {
		if p == ":board" && i < len(parts) {
			parts[i] = url.PathEscape(to)
		}
		numbered = numbered || p == ":n"
	}
	q := u.Query()
	numbered = numbered || q.Has("revision") || q.Has("from") || q.Has("to")
	query := u.RawQuery
	if merged && numbered {
		q.Set("of", old)
		query = q.Encode()
	}
	if query != "" {
		query = "?" + query
	}
	return strings.Join(parts, "/") + query
}

// boardOf is the board whose revision is asked for: that of the path, or one
// that was made one with it, which of names.
func (s *server) boardOf(c echo.Context) (string, error) {
	name, of := c.Param("board"), c.QueryParam("of")
	if of == "" {
		return name, nil
	}
	to, merged, err := s.store.Moved(c.Request().Context(), of)
	if err != nil {
		return "", err
	}
	if to != name || !merged {
		return "", refuse("board-unknown", "api.board-unknown")
	}
	return of, nil
}
