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

// symptoms answers what may be behind a symptom, or beside what was found.
func (s *server) symptoms(c echo.Context) error {
	ctx, board, failed := c.Request().Context(), c.QueryParam("board"), present(c.QueryParams()["failed"])
	find := func() ([]record.Ranked, error) { return s.store.Suspects(ctx, c.QueryParam("q"), board) }
	if len(failed) > 0 {
		find = func() ([]record.Ranked, error) { return s.store.SuspectsBeside(ctx, failed, board) }
	}
	points, err := find()
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, suspectsAnswer{append([]record.Ranked{}, points...)})
}
