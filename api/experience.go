package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"boardlore/domain/message"
	"boardlore/domain/record"
)

// experienceAnswer is an experience with each figure in words.
type experienceAnswer struct {
	*record.Experience
	Positions []positionSeen `json:"positions"`
}

type positionSeen struct {
	*record.PositionSeen
	Words    message.Message `json:"words,omitzero"`
	Evidence message.Message `json:"evidence,omitzero"`
}

// experience answers what the records of a board amount to.
func (s *server) experience(c echo.Context) error {
	e, err := s.store.Experience(c.Request().Context(), c.Param("board"), c.QueryParam("variant"))
	if err != nil {
		return err
	}
	a := experienceAnswer{e, make([]positionSeen, len(e.Positions))}
	for i := range e.Positions {
		p := &e.Positions[i]
		a.Positions[i] = positionSeen{p, p.Words(), p.Evidence()}
	}
	return reply(c, http.StatusOK, a)
}

type suspectsAnswer struct {
	Points []record.Ranked `json:"points"`
}

// symptoms answers what may be behind a symptom.
func (s *server) symptoms(c echo.Context) error {
	points, err := s.store.Suspects(c.Request().Context(), c.QueryParam("q"), c.QueryParam("board"))
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, suspectsAnswer{append([]record.Ranked{}, points...)})
}
