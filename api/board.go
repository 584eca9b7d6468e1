package api

import (
	"net/http"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/store"
)

type boardsAnswer struct {
	Boards []boardAnswer `json:"boards"`
	Next   string        `json:"next,omitzero"` // address of the next page
}

type boardAnswer struct {
	Board         string          `json:"board"`
	Name          string          `json:"name"`
	Equipment     board.Equipment `json:"equipment"`
	Markings      []string        `json:"markings"`
	Revision      int             `json:"revision"` // the current one
	Digest        string          `json:"digest"`
	ReleasedAt    time.Time       `json:"released_at"`
	Variants      []variantAnswer `json:"variants"`
	Counts        countsAnswer    `json:"counts"`
	BarsPowerUp   bool            `json:"bars_power_up"` // a failure point bars power-up
	OpenProposals []int64         `json:"open_proposals,omitzero"`
	Links         links           `json:"links"`
}

type variantAnswer struct {
	Variant      string `json:"variant"`
	Title        string `json:"title"`
	IdentifiedBy string `json:"identified_by"`
	Map          string `json:"map"` // address of its effective map
}

type countsAnswer struct {
	Positions     int `json:"positions"`
	Replace       int `json:"replace"`
	Inspect       int `json:"inspect"`
	FailurePoints int `json:"failure_points"`
	Checks        int `json:"checks"`
	Cautions      int `json:"cautions"`
	Variants      int `json:"variants"`
	OpenProposals int `json:"open_proposals"`
}

func (s *server) boards(c echo.Context) error {
	list, err := Find(c.Request().Context(), s.store, store.BoardFilter{
		Query: c.QueryParam("q"), Marking: c.QueryParam("marking"), Maker: c.QueryParam("maker"), Kind: c.QueryParam("kind"), Page: page(c)},
		Look{Width: float64(number(c, "width_mm", 0)), Height: float64(number(c, "height_mm", 0)), Replaced: number(c, "replaced", 0),
			Sides: c.QueryParam("sides"), Class: c.QueryParam("class"), Printed: c.QueryParam("printed")})
	if err != nil {
		return err
	}
	a := boardsAnswer{Boards: make([]boardAnswer, len(list.Items)), Next: nextLink(c, list.Next)}
	for i := range list.Items {
		a.Boards[i] = boardOf(&list.Items[i])
	}
	return reply(c, http.StatusOK, a)
}

func (s *server) board(c echo.Context) error {
	b, err := s.store.Board(c.Request().Context(), c.Param("board"))
	if err != nil {
		return err
	}
	a := boardOf(b)
	a.OpenProposals = append([]int64{}, b.Open...)
	return reply(c, http.StatusOK, a)
}

func boardOf(b *store.Board) boardAnswer {
	a := boardAnswer{Board: b.ID, Name: b.Name, Equipment: b.Equipment, Markings: append([]string{}, b.Markings...),
		Revision: b.Revision, Digest: b.Digest, ReleasedAt: b.ReleasedAt, BarsPowerUp: b.BarsPowerUp,
		Counts: countsAnswer(b.Counts), Variants: make([]variantAnswer, len(b.Variants)), Links: boardLinks(b.ID)}
	for i, v := range b.Variants {
		a.Variants[i] = variantAnswer{v.Variant, v.Title, v.IdentifiedBy, at("boards", b.ID, "map") + "?variant=" + v.Variant}
	}
	if b.Revision > 1 {
		a.Links["differences"] = at("boards", b.ID, "differences") + "?from=" + strconv.Itoa(b.Revision-1) + "&to=" + strconv.Itoa(b.Revision)
	}
	return a
}

func boardLinks(id string) links {
	under := at("boards", id)
	return links{
		"self": under, "map": under + "/map", "revisions": under + "/revisions",
		"drawing_top": under + "/drawing.svg?side=top", "drawing_bottom": under + "/drawing.svg?side=bottom",
		"reconciliations": under + "/reconciliations", "events": under + "/events", "feed": under + "/events.atom",
		"proposals": at("proposals") + "?board=" + id, "kits": at("kits") + "?board=" + id,
	}
}
