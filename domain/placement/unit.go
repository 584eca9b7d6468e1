package placement

import (
	"cmp"
	"math"
	"regexp"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// The greatest sizes, in mm, that are taken: of a board, and of a place from
// the list's own origin.
const (
	largest  = 2000.0
	farthest = 3000.0
)

// unitSaid is a remark that says the unit of a list: the word for it, then the
// unit, in English, German or French.
var unitSaid = regexp.MustCompile(`(?i)\b(?:units?|einheit(?:en)?|unit[eé]s?|coordinates?|koordinaten)\b[^a-z]*(?:used|are|in|sind|ist|is|en)?[^a-z]*\b(millimet(?:er|re)s?|mm|inch(?:es)?|in|zoll|mils?|thou)\b`)

// remarkUnit is the unit that a remark of the list says, "" for none.
func remarkUnit(table list.Table) string {
	for _, r := range table.Skipped {
		if m := unitSaid.FindStringSubmatch(strings.Join(r.Cells, " ")); m != nil {
			word := strings.TrimSuffix(strings.ToLower(m[1]), "s")
			if word == "zoll" || word == "inche" {
				word = "inch"
			}
			return units[word]
		}
	}
	return ""
}

// unit is that of figures that say none themselves: by the heading, the
// options, a remark, or, where none says, by how large the board would be.
func (im *importer) unit(table list.Table, l layout, f figures, x, y list.Heading) string {
	if u := cmp.Or(l.units[x], im.request.Options.Unit, remarkUnit(table)); u != "" {
		return u
	}
	span, bare := 0.0, false
	for _, c := range []list.Heading{x, y} {
		low, high := math.Inf(1), math.Inf(-1)
		for _, r := range table.Rows {
			v, own, ok := f.read(l.cell(r, c))
			if ok && own == "" {
				bare = true
				low, high = min(low, v), max(high, v)
			}
		}
		span = max(span, high-low)
	}
	if !bare {
		return "mm" // every cell says its own
	}
	// Common practice: no board of equipment like this is over 800 mm, and few tools
	// count in anything but mm and mils.
	const widest, mil = 800.0, 0.0254
	if span > widest && span*mil <= widest {
		im.ask("unit", message.Of("placement.mils-taken", round(span), math.Round(span*mil)),
			"mil", "mm", "inch")
		return "mil"
	}
	im.ask("unit", message.Of("placement.millimetres-taken"), "mm", "inch", "mil")
	return "mm"
}

// unplaced makes rows of a parts list alone. Where the parts sit is not known;
// they stand at the origin until somebody places them.
func (im *importer) unplaced() []row {
	table := list.Read([]byte(im.request.Parts))
	l := newPartsLayout(table)
	var rows []row
	seen := map[string]bool{}
	for _, r := range table.Rows {
		im.result.Rows.Read++
		designators, err := list.Designators(l.cell(r, list.Designator))
		if err != nil || len(designators) == 0 {
			continue // told where the parts list is read
		}
		im.result.Rows.Used++
		for _, d := range designators {
			if !seen[d] {
				seen[d] = true
				rows = append(rows, row{line: r.Line, designator: d, pkg: l.cell(r, list.Package), side: board.Top})
			}
		}
	}
	if len(rows) > 0 {
		im.ask("places", message.Of("placement.no-places", len(rows)))
	}
	return rows
}
