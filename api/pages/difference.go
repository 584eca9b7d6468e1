package pages

import (
	"cmp"
	"html/template"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/store"
)

// comparison is two maps overlaid: what changed in words, and on the drawing
// of each side on which something did.
type comparison struct {
	Difference *board.Difference
	Grave      []board.DifferenceEntry // hazardous changes
	Rest       []board.DifferenceEntry
	Top        template.HTML
	Bottom     template.HTML
}

// compare overlays two maps.
func compare(from, to *board.Map, d *board.Difference, o drawing.Options) comparison {
	k := comparison{Difference: d}
	for _, c := range d.Changes {
		if c.Severity == "hazard" {
			k.Grave = append(k.Grave, c)
		} else {
			k.Rest = append(k.Rest, c)
		}
	}
	k.Rest = gathered(k.Rest)
	changed := sidesChanged(from, to, d)
	draw := func(side board.Side) template.HTML {
		if len(changed) > 0 && !changed[side] || len(changed) == 0 && !populated(from, side) && !populated(to, side) {
			return ""
		}
		o.Side, o.Prefix = side, string(side)
		return inline(drawing.Compare(from, to, *d, o))
	}
	k.Top, k.Bottom = draw(board.Top), draw(board.Bottom)
	return k
}

// sidesChanged are the sides on which a position changed.
func sidesChanged(from, to *board.Map, d *board.Difference) map[board.Side]bool {
	touched := map[string]bool{}
	for _, c := range d.Changes {
		touched[c.Designator] = true
	}
	sides := map[board.Side]bool{}
	for _, m := range []*board.Map{from, to} {
		for i := range m.Positions {
			if p := &m.Positions[i]; touched[p.Designator] {
				sides[p.Side] = true
			}
		}
	}
	return sides
}

func populated(m *board.Map, side board.Side) bool {
	for i := range m.Positions {
		if m.Positions[i].Side == side {
			return true
		}
	}
	return false
}

type differencesView struct {
	Board     *store.Board
	From, To  *store.Revision
	Variant   string
	Revisions []store.Revision
	Steps     []store.Revision // those between, the newest first
	comparison
}

// Called is the equipment with the board in it.
func (d differencesView) Called() string { return board.Called(&d.Board.Equipment, d.Board.Name) }

// differences shows what changed between two revisions of a board.
func (p *Pages) differences(c echo.Context, v *visit) error {
	ctx := c.Request().Context()
	id, variant := param(c, "board"), c.QueryParam("variant")
	b, err := p.store.Board(ctx, id)
	if err != nil {
		return err
	}
	to, err := revisionNumber(c.QueryParam("to"))
	if err != nil {
		return err
	}
	from, err := revisionNumber(c.QueryParam("from"))
	if err != nil {
		return err
	}
	if to == 0 {
		to = b.Revision
	}
	if from == 0 {
		if from, err = p.store.Before(ctx, id, to); err != nil {
			return err
		}
		from = cmp.Or(from, to)
	}
	dv := differencesView{Board: b, Variant: variant}
	if dv.From, err = p.store.Revision(ctx, id, from, variant); err != nil {
		return err
	}
	if dv.To, err = p.store.Revision(ctx, id, to, variant); err != nil {
		return err
	}
	rs, err := p.store.Revisions(ctx, id, store.Page{Limit: 200})
	if err != nil {
		return err
	}
	for _, r := range rs.Items {
		if r.Withdrawn == nil {
			dv.Revisions = append(dv.Revisions, r)
		}
	}
	for _, r := range rs.Items {
		if r.Number > min(from, to) && r.Number <= max(from, to) {
			dv.Steps = append(dv.Steps, r)
		}
	}
	d := board.Diff(dv.From.Map, dv.To.Map)
	dv.comparison = compare(dv.From.Map, dv.To.Map, &d, drawing.Options{In: languageOf(c), Revision: to,
		Variant: variant,
		Digest:  dv.To.Digest, Date: date(dv.To.ReleasedAt)})
	twin := query("/v1/boards/"+id+"/differences", "from", strconv.Itoa(from), "to", strconv.Itoa(to), "variant",
		variant)
	return p.render(c, http.StatusOK, "differences", view{Title: titled(t("difference.title", from, to), b.Name),
		Nav: "home", JSON: twin, Wide: true, Visit: v, Body: dv})
}

// proposalID reads a proposal's ID out of the path.
func proposalID(c echo.Context) (int64, error) {
	n, err := strconv.ParseInt(c.Param("id"), 10, 64)
	if err != nil || n < 1 {
		return 0, fault.New(fault.NotFound, "proposal-unknown", "page.proposal.unknown")
	}
	return n, nil
}
