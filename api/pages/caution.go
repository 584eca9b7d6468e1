package pages

import (
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/kit"
)

// caution is a warning on a page.
type caution struct {
	Moment string // when it counts, in words
	Text   string
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
