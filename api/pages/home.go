package pages

import (
	"math"
	"net/http"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

// homeView is the page on which a board is found.
type homeView struct {
	Query, Marking, Maker, Kind string
	Width, Height               string // millimetres
	Electrolytics               string // about how many positions are replaced
	Asked                       bool
	Boards                      []boardCard
	Next                        string
	Truncated                   bool
}

type boardCard struct {
	*store.Board
	Size string
}

// home finds boards: by name, by what is printed on them, or by what they look
// like to somebody who only has the board in hand.
func (p *Pages) home(c echo.Context, v *visit) error {
	q := func(name string) string { return strings.TrimSpace(c.QueryParam(name)) }
	h := homeView{Query: q("q"), Marking: q("marking"), Maker: q("maker"), Kind: q("kind"),
		Width: q("width"), Height: q("height"), Electrolytics: q("replaced")}
	h.Asked = h.Query+h.Marking+h.Maker+h.Kind+h.Width+h.Height+h.Electrolytics != ""
	f := store.BoardFilter{Query: h.Query, Marking: h.Marking, Maker: h.Maker, Kind: h.Kind, Page: store.Page{After: q("after"), Limit: 50}}
	l := look{width: figure(h.Width), height: figure(h.Height), replaced: figure(h.Electrolytics)}
	var err error
	if l == (look{}) {
		err = p.list(c, f, &h)
	} else {
		err = p.search(c, f, l, &h)
	}
	if err != nil {
		return err
	}
	twin := query("/v1/boards", "q", h.Query, "marking", h.Marking, "maker", h.Maker, "kind", h.Kind)
	return p.render(c, http.StatusOK, "home", view{Title: t("home.title"), Nav: "home", JSON: twin, Visit: v, Body: h})
}

func (p *Pages) list(c echo.Context, f store.BoardFilter, h *homeView) error {
	bs, err := p.store.Boards(c.Request().Context(), f)
	if err != nil {
		return err
	}
	for i := range bs.Items {
		h.Boards = append(h.Boards, boardCard{Board: &bs.Items[i]})
	}
	if bs.Next != "" {
		h.Next = query("/", "q", h.Query, "marking", h.Marking, "maker", h.Maker, "kind", h.Kind, "after", bs.Next)
	}
	return nil
}

// look is what a board looks like: size in either direction, number of parts
// that are replaced. Zero: not asked.
type look struct{ width, height, replaced float64 }

// mostLooked bounds how many boards a search by look goes through.
const mostLooked = 600

// search goes through the boards of the filter and keeps those that look so.
func (p *Pages) search(c echo.Context, f store.BoardFilter, l look, h *homeView) error {
	ctx := c.Request().Context()
	f.Page = store.Page{Limit: 200}
	for seen := 0; ; {
		bs, err := p.store.Boards(ctx, f)
		if err != nil {
			return err
		}
		for i := range bs.Items {
			b := &bs.Items[i]
			r, err := p.store.Revision(ctx, b.ID, 0, "")
			if err != nil {
				return err
			}
			w, ht := r.Map.Frame.Width, r.Map.Frame.Height
			if l.fits(w, ht, b.Counts.Replace) {
				h.Boards = append(h.Boards, boardCard{Board: b, Size: number(w) + " × " + number(ht) + " mm"})
			}
		}
		seen += len(bs.Items)
		if bs.Next == "" {
			return nil
		}
		if seen >= mostLooked {
			h.Truncated = true
			return nil
		}
		f.Page.After = bs.Next
	}
}

// fits allows for a ruler held by hand: 5 mm or 5 %, either way round; counts
// may be a quarter off.
func (l look) fits(w, h float64, replaced int) bool {
	near := func(want, got float64) bool {
		return want == 0 || math.Abs(want-got) <= math.Max(5, 0.05*got)
	}
	turned := near(l.width, w) && near(l.height, h) || near(l.width, h) && near(l.height, w)
	return turned && (l.replaced == 0 || math.Abs(l.replaced-float64(replaced)) <= math.Max(2, 0.25*float64(replaced)))
}

// figure reads a number that a person typed, 0 where there is none.
func figure(s string) float64 {
	x, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(strings.TrimSuffix(s, "mm")), ",", ".", 1), 64)
	if err != nil || !(x > 0 && x < 1e5) {
		return 0
	}
	return x
}
