package pages

import (
	"net/url"
	"slices"
	"strconv"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/quantity"
	"boardlore/domain/record"
	"boardlore/store"
)

// What units were found to hold instead of the map's part is evidence of another
// build: a click makes it a correction that has the build, with the records as
// its evidence, for whoever knows more to go on from.

// SeenOther are the positions at which units are said to differ by value.
func (b *boardPage) SeenOther() (out []*record.PositionSeen) {
	for i := range b.Seen.Positions {
		if p := &b.Seen.Positions[i]; len(p.Others) > 0 && len(out) < maxSeen {
			out = append(out, p)
		}
	}
	return out
}

// BuildLink leads to the correction that has the build; "" where no value tells.
func (b *boardPage) BuildLink(p *record.PositionSeen) string {
	if len(p.Others) == 0 || b.Old {
		return ""
	}
	return "/contribute?board=" + url.QueryEscape(b.Board.ID) + "&build=" + url.QueryEscape(p.Designator)
}

// beginByRecords takes what units hold instead of the map's parts for a build of
// its own.
func (p *Pages) beginByRecords(c echo.Context, e *draftView, r *store.Revision) error {
	designator := c.QueryParam("build")
	if designator == "" {
		return nil
	}
	found, err := p.store.OtherBuilds(c.Request().Context(), r.Board, designator)
	if err != nil || len(found) == 0 {
		return err
	}
	d, err := readDraft([]byte(e.Map))
	if err != nil {
		return err
	}
	in, values := languageOf(c), marked(r.Map, found)
	value := values[designator]
	if value.IsZero() {
		return nil // the position is gone, or is now as the units have it
	}
	title := in.Speak(t("build.named", value, designator))
	var changes []any
	for _, o := range found {
		at, v := o.Designator, values[o.Designator]
		if v.IsZero() {
			continue
		}
		changes = append(changes, map[string]any{"designator": at, "set": map[string]any{"part": map[string]any{"value": v.String()}}})
		delete(values, at)
	}
	d.tree[ofVariant] = append(asList(d.tree[ofVariant]), map[string]any{"variant": freeBuild(r.Map), "title": title,
		"identified_by": in.Speak(t("build.told", value, designator)), "changes": changes})
	for _, o := range found {
		e.Evidence += in.Speak(t("build.evidence", o.Record, date(o.ServicedOn), o.Designator, o.Value)) + "\n"
	}
	e.Summary = in.Speak(t("build.summary", value, designator))
	e.Map, err = d.document()
	return err
}

// marked are the values that most of the units have, by position, of those that
// the map has with another value.
func marked(m *board.Map, found []store.OtherBuild) map[string]quantity.Quantity {
	counts := map[string]map[string]int{}
	values := map[string]quantity.Quantity{}
	for _, o := range found {
		v := record.Marked(o.Value)
		if counts[o.Designator] == nil {
			counts[o.Designator] = map[string]int{}
		}
		k := slices.IndexFunc(m.Positions, func(p board.Position) bool { return p.Designator == o.Designator })
		if k < 0 || m.Positions[k].Part.Value.Unit() != v.Unit() || m.Positions[k].Part.Value.Compare(v) == 0 {
			continue
		}
		n := counts[o.Designator]
		if n[v.String()]++; values[o.Designator].IsZero() || n[v.String()] > n[values[o.Designator].String()] {
			values[o.Designator] = v
		}
	}
	return values
}

// freeBuild is an ID that no build of the map has.
func freeBuild(m *board.Map) string {
	for n := len(m.Variants) + 2; ; n++ {
		id := "build-" + strconv.Itoa(n)
		if !slices.ContainsFunc(m.Variants, func(v board.Variant) bool { return v.Variant == id }) {
			return id
		}
	}
}
