package pages

import (
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// like is a row of like parts: what stands in it, and where.
type like struct {
	Part      message.Message
	Brief     message.Message // enough to tell it from the other rows
	Instead   message.Message // what to fit where that is another part
	Service   board.Service
	Positions []*board.Position
}

// Designators are those of the row.
func (l *like) Designators() []string {
	out := make([]string, len(l.Positions))
	for i, p := range l.Positions {
		out[i] = p.Designator
	}
	return out
}

// Holds reports whether a designator is in the row.
func (l *like) Holds(designator string) bool { return slices.Contains(l.Designators(), designator) }

// likes gathers positions that bear like parts and are treated alike, what is
// replaced first, in the order in which each first comes.
func likes(areas []drawing.Area) []*like {
	type key struct {
		part, instead string
		service       board.Service
	}
	byKey, briefs := map[key]*like{}, map[string]int{}
	var out []*like
	for _, a := range areas {
		for _, p := range a.Positions {
			is, instead := drawing.PartText(&p.Part), message.Message{}
			if p.Replacement != nil {
				instead = drawing.PartText(&p.Replacement.Part)
			}
			k := key{part: is.String(), instead: instead.String(), service: p.Service}
			l := byKey[k]
			if l == nil {
				l = &like{Part: is, Brief: drawing.PartBrief(&p.Part), Instead: instead, Service: k.service}
				briefs[l.Brief.String()]++
				byKey[k] = l
				out = append(out, l)
			}
			l.Positions = append(l.Positions, p)
		}
	}
	for _, l := range out {
		if briefs[l.Brief.String()] > 1 {
			l.Brief = l.Part
		}
		slices.SortFunc(l.Positions, func(a, b *board.Position) int {
			return board.CompareDesignators(a.Designator,
				b.Designator)
		})
	}
	rank := func(l *like) int {
		return slices.Index([]board.Service{board.Replace, board.Inspect}, l.Service) & 3 // what is left comes last
	}
	slices.SortStableFunc(out, func(a, b *like) int { return rank(a) - rank(b) })
	return out
}

// Minus says where the negative lead of a position points in its drawing, and
// towards what, where the board has something there that cannot be mistaken.
func (b *boardPage) Minus(p *board.Position) message.Message {
	d := drawing.Minus(p)
	if d == "" {
		if drawing.Unsure(p) || p.Replacement != nil && polarised(&p.Replacement.Part) {
			return t("minus.unknown")
		}
		return message.Message{}
	}
	if b.landmarks == nil {
		b.landmarks = drawing.LandmarksOf(b.Map)
	}
	text := t("minus." + string(d))
	switch l := b.landmarks.Towards(p); l.Mark {
	case drawing.Notch:
		return message.Of("text.beside", text, t("minus.notch"))
	case drawing.Connector, drawing.Row:
		return message.Of("text.beside", text, t("minus.edge", list.Ranges(l.Names)))
	}
	return text
}

// Way is the same for the style sheet: a direction, or "" for none.
func (b *boardPage) Way(p *board.Position) string { return string(drawing.Minus(p)) }

func polarised(p *part.Part) bool { return p.Polarised != nil && *p.Polarised }
