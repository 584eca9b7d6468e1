package pages

import (
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// caution is a warning on a page.
type caution struct {
	Moment message.Message // when it counts, in words
	Text   message.Message
	Grave  bool // set off from the rest
}

// cautionsOf lists the cautions of a board: those that a kit's report has, by
// the same rules, for work on the positions named or, with none, on everything
// that is serviced. What the board can do to a person is in it whatever is
// named; there is no way to leave it out.
func cautionsOf(m *board.Map, designators ...string) []caution {
	var scope kit.Scope
	if len(designators) > 0 {
		scope.Designators = designators
	}
	cs, err := kit.Cautions(m, scope)
	if err != nil { // a position that this build lacks: all that there is to say
		if len(designators) == 0 {
			return nil
		}
		return cautionsOf(m)
	}
	return kitCautions(cs)
}

// kitCautions puts the gravest first.
func kitCautions(all []kit.Caution) []caution {
	cs := make([]caution, len(all))
	for i, c := range all {
		cs[i] = caution{Text: c.Text, Grave: c.Severity == finding.Stop}
		if c.When != "" {
			cs[i].Moment = t("when." + string(c.When))
		}
	}
	slices.SortStableFunc(cs, func(a, b caution) int {
		return map[bool]int{true: 0, false: 1}[a.Grave] - map[bool]int{true: 0, false: 1}[b.Grave]
	})
	return cs
}

// moment gathers the cautions that count at one time.
type moment struct {
	Title    message.Message
	Cautions []caution
}

// Grave reports whether one of them must not be overlooked.
func (m moment) Grave() bool {
	return slices.ContainsFunc(m.Cautions, func(c caution) bool { return c.Grave })
}

// momentsOf sorts cautions by when they count, in the order of the work.
func momentsOf(cs []caution) []moment {
	var out []moment
	for _, m := range []board.Moment{board.BeforeOpening, board.WhileWorking, board.BeforePowerUp, board.Afterwards,
		""} {
		title := t("when.any")
		if m != "" {
			title = t("when." + string(m))
		}
		var at []caution
		for _, c := range cs {
			if m == "" && c.Moment.IsZero() || m != "" && c.Moment.Equal(title) {
				at = append(at, c)
			}
		}
		if len(at) > 0 {
			out = append(out, moment{title, at})
		}
	}
	return out
}

// stopsOf says in a few words what must not be overlooked: what bars power-up,
// cells that the circuit charges, mains.
func stopsOf(m *board.Map) (out []message.Message) {
	for i := range m.FailurePoints {
		f := &m.FailurePoints[i]
		if f.BarsPowerUp == nil || !*f.BarsPowerUp {
			continue
		}
		if len(f.Positions) > 0 {
			out = append(out, t("stops.bars", list.Ranges(f.Positions)))
		} else {
			out = append(out, t("stops.bars", f.Title))
		}
	}
	cs, err := kit.Cautions(m, kit.Scope{})
	if err != nil {
		return out
	}
	for _, c := range cs {
		if c.Severity == finding.Stop && c.Code != "bars-power-up" && slices.Contains([]string{"mains", "charged-cell",
			"stored-charge"}, c.Code) {
			out = append(out, t("stops."+c.Code))
		}
	}
	return out
}
