package api

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/store"
)

type boardsAnswer struct {
	Boards []boardAnswer `json:"boards"`
	Total  int           `json:"total"`         // that match, counted up to a limit
	Exact  bool          `json:"total_exact"`   // false where more match than were counted
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
	Size          sizeAnswer      `json:"size"`
	BarsPowerUp   bool            `json:"bars_power_up"` // a failure point bars power-up
	OpenProposals []int64         `json:"open_proposals,omitzero"`
	Withdrawn     []outOfUse      `json:"withdrawn,omitzero"` // revisions out of use, lowest first
	Links         links           `json:"links"`
}

type outOfUse struct {
	Revision int `json:"revision"`
	withdrawn
}

type variantAnswer struct {
	Variant      string `json:"variant"`
	Title        string `json:"title"`
	IdentifiedBy string `json:"identified_by"`
	Map          string `json:"map"` // address of its effective map
}

type sizeAnswer struct {
	Width  float64 `json:"width_mm"`
	Height float64 `json:"height_mm"`
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

// boardMedia are the forms that a search answers in.
var boardMedia = []string{"application/json", "text/csv"}

func (s *server) boards(c echo.Context) error {
	form := accepted(c.Request().Header.Get("Accept"), boardMedia...)
	c.Response().Header().Add("Vary", "Accept")
	if form == "" {
		return refuse("not-acceptable", "api.boards-come-as", message.Commas(boardMedia))
	}
	found, err := s.store.Boards(c.Request().Context(), boardFilter(c))
	if err != nil {
		return err
	}
	next := nextLink(c, found.Next)
	if form == "text/csv" {
		return sendCSV(c, boardRows(found.Items))
	}
	a := boardsAnswer{Boards: make([]boardAnswer, len(found.Items)), Total: found.Total, Exact: found.AtHand,
		Next: next}
	for i := range found.Items {
		a.Boards[i] = boardOf(&found.Items[i])
	}
	return reply(c, http.StatusOK, a)
}

// boardFilter is what a query asks for.
func boardFilter(c echo.Context) store.BoardFilter {
	var markings []string
	for _, m := range c.QueryParams()["marking"] {
		if m != "" {
			markings = append(markings, m)
		}
	}
	return store.BoardFilter{
		Query: c.QueryParam("q"), Markings: markings, Maker: c.QueryParam("maker"), Kind: c.QueryParam("kind"),
		Page: page(c),
		Look: board.Look{Width: decimal(c, "width_mm", 0), Height: decimal(c, "height_mm", 0),
			Replaced: number(c, "replaced", 0), Sides: c.QueryParam("sides"), Class: c.QueryParam("class"),
			Printed: c.QueryParam("printed")}}
}

// boardRows are boards as a table, a heading first.
func boardRows(boards []store.Board) [][]string {
	rows := [][]string{{"board", "name", "maker", "model", "kind", "markings", "revision", "digest", "width_mm",
		"height_mm", "positions", "replace"}}
	for i := range boards {
		b := &boards[i]
		rows = append(rows, []string{b.ID, b.Name, b.Equipment.Maker, b.Equipment.Model, b.Equipment.Kind,
			strings.Join(b.Markings, ", "),
			strconv.Itoa(b.Revision), b.Digest, plainNumber(b.Size.Width), plainNumber(b.Size.Height),
			strconv.Itoa(b.Counts.Positions), strconv.Itoa(b.Counts.Replace)})
	}
	return rows
}

func plainNumber(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func (s *server) board(c echo.Context) error {
	b, err := s.store.Board(c.Request().Context(), c.Param("board"))
	if err != nil {
		return err
	}
	a := boardOf(b)
	a.OpenProposals = append([]int64{}, b.Open...)
	for _, w := range b.Withdrawn {
		a.Withdrawn = append(a.Withdrawn, outOfUse{w.Revision, withdrawn{w.Kind, w.Reason, w.At}})
	}
	return reply(c, http.StatusOK, a)
}

func boardOf(b *store.Board) boardAnswer {
	a := boardAnswer{Board: b.ID, Name: b.Name, Equipment: b.Equipment, Markings: append([]string{}, b.Markings...),
		Revision: b.Revision, Digest: b.Digest, ReleasedAt: b.ReleasedAt, BarsPowerUp: b.BarsPowerUp,
		Counts: countsAnswer(b.Counts), Size: sizeAnswer(b.Size), Variants: make([]variantAnswer, len(b.Variants)),
		Links: boardLinks(b.ID)}
	for i, v := range b.Variants {
		a.Variants[i] = variantAnswer{v.Variant, v.Title, v.IdentifiedBy, pathOf("boards", b.ID, "map") + "?variant=" +
			v.Variant}
	}
	if b.Revision > 1 && len(b.Withdrawn) < b.Revision-1 {
		a.Links["differences"] = pathOf("boards", b.ID, "differences") + "?from=" + strconv.Itoa(b.Revision-1) + "&to=" +
			strconv.Itoa(b.Revision)
	}
	return a
}

func boardLinks(id string) links {
	under := pathOf("boards", id)
	return links{
		"self": under, "map": under + "/map", "revisions": under + "/revisions",
		"drawing_top": under + "/drawing.svg?side=top", "drawing_bottom": under + "/drawing.svg?side=bottom",
		"reconciliations": under + "/reconciliations", "plan": under + "/plan", "experience": under + "/experience",
		"records": under + "/records", "events": under + "/events", "feed": under + "/events.atom",
		"proposals": pathOf("proposals") + "?board=" + id, "kits": pathOf("kits") + "?board=" + id,
	}
}
