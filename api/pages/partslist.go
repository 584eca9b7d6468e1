package pages

import (
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/domain/fault"
	"boardlore/domain/kit"
)

// partsView is the page of what to buy for a board.
type partsView struct {
	*boardPage
	Scope   string
	Refusal *fault.Error
	List    *kit.PartsList
}

func (v *partsView) Action() string { return "/boards/" + v.Board.ID + "/parts-list" }

// as is the same list in another form.
func (v *partsView) as(form string) string {
	return query("/v1/boards/"+v.Board.ID+"/parts-list", "variant", v.Variant, "scope", v.Scope, "as", form)
}

func (v *partsView) Table() string { return v.as("csv") }

// partsList shows what to buy for a board without any kit.
func (p *Pages) partsList(c echo.Context, v *visit) error {
	b, err := p.loadBoard(c)
	if err != nil {
		return err
	}
	body := &partsView{boardPage: b, Scope: strings.TrimSpace(c.QueryParam("scope"))}
	if body.Scope == "" {
		body.Scope = kit.ScopeService
	}
	list, err := kit.ListParts(kit.Request{Map: b.Map, Scope: kit.ParseScope(body.Scope), Revision: b.Revision.Number,
		Variant: b.Variant, Digest: b.Revision.Digest})
	status := http.StatusOK
	if f, ok := fault.As(err); ok && f.Kind == fault.Invalid {
		body.Refusal, status = f, http.StatusUnprocessableEntity
	} else if err != nil {
		return err
	} else {
		body.List, body.Cautions = &list, kitCautions(list.Cautions)
		body.Moments = momentsOf(body.Cautions)
	}
	return p.render(c, status, "parts-list", view{Title: titled(t("shop.title"), b.Name()), Nav: "home", Wide: true,
		Visit: v, JSON: body.as("json"), Body: body})
}
