package board

import (
	"slices"

	"boardlore/domain/part"
)

// Want is something that a good map says, and how much of it this one does.
// None of it is needed for a map to be taken; all of it helps whoever works by
// the map.
type Want struct {
	Code    string   // of the sentence that names it
	Have    int      // places that have it
	Of      int      // places that should
	Missing []string // designators of those that don't; nil for what the map as a whole lacks
}

// Done reports whether nothing is missing.
func (w *Want) Done() bool { return w.Have >= w.Of }

// Wants says what a good map has, in the order in which it is best found out.
// What no position of the map asks for is left out.
func Wants(m *Map) []Want {
	out := []Want{
		whole("size", m.Frame.Width > 0 && m.Frame.Height > 0 && m.Frame.Uncertainty != nil),
		overall(m, "place", func(*Position) bool { return true }, func(p *Position) bool {
			return p.X != 0 ||
				p.Y != 0
		}),
		overall(m, "minus", func(p *Position) bool { return polarised(&p.Part) },
			func(p *Position) bool { return p.Negative != nil }),
		overall(m, "rating", toReplace, rated),
		overall(m, "fuse", func(p *Position) bool { return p.Part.Class == part.Fuse }, fuseTold),
		overall(m, "cell", func(p *Position) bool { return p.Part.Class == part.Cell }, cellTold),
		overall(m, "circuit", func(p *Position) bool { return p.mayBeMains() },
			func(p *Position) bool { return p.Circuit != "" }),
		overall(m, "height", toReplaceCan, func(p *Position) bool { return p.Body != nil && p.Body.Height > 0 }),
		whole("caution", slices.ContainsFunc(m.Cautions, func(c Caution) bool { return c.When == BeforeOpening })),
		whole("check", slices.ContainsFunc(m.Checks, func(c Measurement) bool { return c.When == BeforePowerUp })),
		whole("failure", len(m.FailurePoints) > 0),
		whole("licence", m.Licence != ""),
	}
	for _, s := range Sides {
		if slices.ContainsFunc(m.Positions, func(p Position) bool { return p.Side == s }) {
			out = append(out, whole("photograph-"+string(s), slices.ContainsFunc(m.Photographs,
				func(p Photograph) bool { return p.Side == s })))
		}
	}
	return slices.DeleteFunc(out, func(w Want) bool { return w.Of == 0 })
}

func whole(code string, has bool) Want {
	if has {
		return Want{Code: code, Have: 1, Of: 1}
	}
	return Want{Code: code, Of: 1}
}

// overall counts the positions that a want asks of.
func overall(m *Map, code string, asked, has func(*Position) bool) Want {
	w := Want{Code: code}
	for i := range m.Positions {
		p := &m.Positions[i]
		if !asked(p) {
			continue
		}
		w.Of++
		if has(p) {
			w.Have++
		} else {
			w.Missing = append(w.Missing, p.Designator)
		}
	}
	return w
}

func toReplace(p *Position) bool { return p.Service.Or() == Replace && p.Part.Class != part.Cell }

func toReplaceCan(p *Position) bool {
	return toReplace(p) && slices.Contains(polarConstructions, p.Part.Construction)
}

// rated reports whether a part can be bought by what the map says of it.
func rated(p *Position) bool {
	q := &p.Part
	switch {
	case q.Class == part.Capacitor:
		return !q.Value.IsZero() && !q.Voltage.IsZero()
	case q.Class == part.Fuse:
		return fuseTold(p)
	}
	return !q.Value.IsZero() || q.Text != ""
}

func fuseTold(p *Position) bool { return !p.Part.Current.IsZero() && p.Part.FuseSpeed != "" }

func cellTold(p *Position) bool {
	return p.Part.Chemistry != "" && p.Part.Rechargeable != nil && p.Negative != nil
}
