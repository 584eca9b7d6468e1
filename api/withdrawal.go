package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

// withdrawal is the body with which a steward takes something out of use.
type withdrawal struct {
	Reason string `json:"reason"`
	Kind   string `json:"kind"` // dangerous, illegal or mistaken
}

// withdrawn says of something that it is out of use, and why.
type withdrawn struct {
	Kind   string    `json:"kind"`
	Reason string    `json:"reason"`
	At     time.Time `json:"withdrawn_at"`
}

// withdrawalAnswer is the receipt of a withdrawal.
type withdrawalAnswer struct {
	Board      string    `json:"board,omitzero"`
	Revision   int       `json:"revision,omitzero"`
	Photograph string    `json:"photograph,omitzero"`
	Record     int64     `json:"record,omitzero"`
	Kind       string    `json:"kind"`
	Reason     string    `json:"reason"`
	At         time.Time `json:"withdrawn_at"`
	Current    int       `json:"current,omitzero"` // the revision that is current now; absent where none is
	Event      int64     `json:"event"`
	Links      links     `json:"links"`
}

func (s *server) withdrawRevision(c echo.Context) error {
	var in withdrawal
	body, err := readJSON(c, "withdrawal", &in)
	if err != nil {
		return err
	}
	board := c.Param("board")
	r, err := s.store.WithdrawRevision(c.Request().Context(), actor(c), board, int(id(c, "n")),
		store.Withdrawal{Kind: in.Kind, Reason: in.Reason}, once(c, body))
	if err != nil {
		return err
	}
	a := withdrawnOf(r, in)
	a.Links["revisions"] = pathOf("boards", board, "revisions")
	if r.Current > 0 {
		a.Links["map"] = pathOf("boards", board, "map")
		a.Links["current"] = pathOf("boards", board, "revisions", strconv.Itoa(r.Current))
	}
	return reply(c, http.StatusOK, a)
}

func (s *server) withdrawPhotograph(c echo.Context) error {
	var in withdrawal
	body, err := readJSON(c, "withdrawal", &in)
	if err != nil {
		return err
	}
	r, err := s.store.WithdrawPhotograph(c.Request().Context(), actor(c), c.Param("sha256"),
		store.Withdrawal{Kind: in.Kind, Reason: in.Reason}, once(c, body))
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, withdrawnOf(r, in))
}

func withdrawnOf(r store.Receipt, in withdrawal) withdrawalAnswer {
	return withdrawalAnswer{Board: r.Board, Revision: r.Revision, Photograph: r.Photograph, Kind: in.Kind,
		Reason: in.Reason,
		At:     r.At, Current: r.Current, Event: r.Event, Links: links{"events": pathOf("events")}}
}
