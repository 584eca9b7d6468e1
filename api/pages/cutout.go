package pages

import (
	"context"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/message"
)

// cutoutReach is how far a cutout reaches round its position, mm: enough for the
// parts beside it, by which one finds it.
const cutoutReach = 16

// maxCutouts is how many hazards of a proposal are drawn; a proposal with more
// is looked at on the whole drawing.
const maxCutouts = 12

// cutout draws a position of a build and what stands round it; nothing where the
// map lacks it.
func cutout(m *board.Map, variant, designator, prefix string, in *message.Language) any {
	build, err := m.Effective(variant)
	if err != nil {
		return nil
	}
	var at *board.Position
	for i := range build.Positions {
		if build.Positions[i].Designator == designator {
			at = &build.Positions[i]
		}
	}
	if at == nil {
		return nil
	}
	left, low := max(0, at.X-cutoutReach), max(0, at.Y-cutoutReach)
	part := board.Map{Board: m.Board, Equipment: m.Equipment, Name: m.Name, Frame: board.Frame{Basis: m.Frame.Basis,
		Width: min(m.Frame.Width, at.X+cutoutReach) - left, Height: min(m.Frame.Height, at.Y+cutoutReach) - low}}
	if part.Frame.Width <= 0 || part.Frame.Height <= 0 {
		return nil
	}
	for _, p := range build.Positions {
		p.X, p.Y = p.X-left, p.Y-low
		if p.Side == at.Side && p.X >= 0 && p.Y >= 0 && p.X <= part.Frame.Width && p.Y <= part.Frame.Height {
			part.Positions = append(part.Positions, p)
		}
	}
	svg := drawing.Board(&part, drawing.Options{In: in, Side: at.Side, Marks: []string{designator}, Close: true,
		Bare: true, Prefix: prefix})
	return inline(drawnPart.ReplaceAll(svg,
		[]byte(`<g data-designator="$2"`))) // the addresses are those of the whole drawing
}

// cutouts draws each hazard about a position twice: as it was told and as it
// would be.
func (p *Pages) cutouts(ctx context.Context, pv *proposalView, in *message.Language) {
	drawn := 0
	for i := range pv.Hazards {
		h := &pv.Hazards[i]
		if h.Designator == "" || pv.New || drawn == maxCutouts {
			continue
		}
		letters := "h" + strings.Repeat("x", i)
		h.After = cutout(pv.Map, h.Variant, h.Designator, letters+"n", in)
		if n := h.Told[0].Revision; n > 0 {
			if r, err := p.store.Revision(ctx, pv.Board, n, ""); err == nil {
				h.Before = cutout(r.Map, h.Variant, h.Designator, letters+"t", in)
				if h.Before == nil {
					h.Before = cutout(r.Map, "", h.Designator, letters+"t", in)
				}
			}
		}
		if h.Before != nil || h.After != nil {
			drawn++
		}
	}
}
