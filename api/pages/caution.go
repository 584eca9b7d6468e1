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

// cautionsOf lists the cautions of a board: those that a kit's report has,
// by the same rules, for work on everything that is serviced. There is no way
// to leave them out.
func cautionsOf(m *board.Map) []caution {
	r, err := kit.Reconcile(kit.Request{Map: m, Kit: &kit.Kit{}})
	if err != nil { // only a scope can be refused, and this one has none
		return nil
	}
	return kitCautions(&r)
}

// kitCautions puts the gravest first.
func kitCautions(r *kit.Report) []caution {
	cs := make([]caution, len(r.Cautions))
	for i, c := range r.Cautions {
		cs[i] = caution{Text: c.Text, Grave: c.Severity == finding.Stop}
		if c.When != "" {
			cs[i].Moment = t("when." + c.When)
		}
	}
	slices.SortStableFunc(cs, func(a, b caution) int {
		return map[bool]int{true: 0, false: 1}[a.Grave] - map[bool]int{true: 0, false: 1}[b.Grave]
	})
	return cs
}
