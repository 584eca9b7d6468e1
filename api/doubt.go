package api

import (
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

// doubtIn is the body of POST /boards/{board}/doubts.
type doubtIn struct {
	Designator  string   `json:"designator"`
	Revision    int      `json:"revision"`
	Text        string   `json:"text"`
	Photographs []string `json:"photographs"`
}

type doubtAnswered struct {
	Text     string `json:"text"`
	Proposal int64  `json:"proposal"`
}

// doubtReceipt answers an act on a doubt.
type doubtReceipt struct {
	ID       int64     `json:"id"`
	Board    string    `json:"board"`
	Revision int       `json:"revision,omitzero"`
	Proposal int64     `json:"proposal,omitzero"`
	Event    int64     `json:"event"`
	At       time.Time `json:"at"`
	Links    links     `json:"links"`
}

func doubtReceiptOf(r store.Receipt) doubtReceipt {
	under := pathOf("boards", r.Board, "doubts")
	return doubtReceipt{r.Doubt, r.Board, r.Revision, r.Proposal, r.Event, r.At,
		links{"doubts": under, "answer": under + "/" + itoa(r.Doubt) + "/answer", "board": pathOf("boards", r.Board)}}
}

func (s *server) raiseDoubt(c echo.Context) error {
	var in doubtIn
	body, err := readJSON(c, "doubt", &in)
	if err != nil {
		return err
	}
	r, err := s.store.Raise(c.Request().Context(), actor(c), store.DoubtOf{Board: c.Param("board"),
		Designator: in.Designator, Revision: in.Revision,
		Text: in.Text, Photographs: in.Photographs, Once: once(c, body)})
	if err != nil {
		return err
	}
	c.Response().Header().Set("Location", pathOf("boards", r.Board, "doubts"))
	return reply(c, http.StatusCreated, doubtReceiptOf(r))
}

func (s *server) answerDoubt(c echo.Context) error {
	var in doubtAnswered
	body, err := readJSON(c, "doubt-answer", &in)
	if err != nil {
		return err
	}
	r, err := s.store.AnswerDoubt(c.Request().Context(), actor(c), store.DoubtAnswer{Board: c.Param("board"),
		Doubt: id(c, "id"),
		Text:  in.Text, Proposal: in.Proposal, Once: once(c, body)})
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, doubtReceiptOf(r))
}

type doubtsAnswer struct {
	Board  string        `json:"board"`
	Doubts []doubtAnswer `json:"doubts"` // newest first
	Next   string        `json:"next,omitzero"`
	Links  links         `json:"links"`
}

type doubtAnswer struct {
	ID          int64        `json:"id"`
	Designator  string       `json:"designator,omitzero"`
	Revision    int          `json:"revision"`
	Text        string       `json:"text"`
	Photographs []string     `json:"photographs"`
	Author      string       `json:"author"`
	At          time.Time    `json:"at"`
	Answer      *doubtReason `json:"answer"` // null while it is open
}

type doubtReason struct {
	Text     string    `json:"text"`
	Proposal int64     `json:"proposal,omitzero"`
	By       string    `json:"by"`
	At       time.Time `json:"at"`
}

func (s *server) doubts(c echo.Context) error {
	name := c.Param("board")
	list, err := s.store.Doubts(c.Request().Context(), name, c.QueryParam("state") == "open", page(c))
	if err != nil {
		return err
	}
	a := doubtsAnswer{name, make([]doubtAnswer, len(list.Items)), nextLink(c, list.Next),
		links{"board": pathOf("boards", name)}}
	for i, d := range list.Items {
		a.Doubts[i] = doubtAnswer{d.ID, d.Designator, d.Revision, d.Text, full(d.Photographs), d.Author, d.At, nil}
		if d.AnsweredAt != nil {
			a.Doubts[i].Answer = &doubtReason{d.Answer, d.Proposal, d.AnsweredBy, *d.AnsweredAt}
		}
	}
	return reply(c, http.StatusOK, a)
}
