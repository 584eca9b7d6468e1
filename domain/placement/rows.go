package placement

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/message"
)

// row is one placed part as its list gives it.
type row struct {
	line       int
	designator string
	value      string
	pkg        string
	mount      string
	side       board.Side
	x, y       float64 // mm, in the list's own frame
	rotation   float64 // degrees as written
	length     float64 // mm; 0 where the list does not say
	width      float64
}

// layout says which column holds what.
type layout struct {
	at    map[list.Heading]int
	units map[list.Heading]string
}

func newLayout(header []string) layout {
	l := layout{at: map[list.Heading]int{}, units: map[list.Heading]string{}}
	for i, h := range header {
		col, unit := heading(h)
		if _, taken := l.at[col]; col == list.None || taken {
			continue
		}
		l.at[col], l.units[col] = i, unit
	}
	if _, ok := l.at[list.Value]; !ok {
		if i, ok := l.at[list.Text]; ok {
			l.at[list.Value] = i
		}
	}
	return l
}

// newPartsLayout is that of a parts list, whose headings say more, and whose
// column of parts may hold the designators.
func newPartsLayout(table list.Table) layout {
	l := newLayout(table.Header)
	for i, h := range table.Header {
		col := list.PartsHeading(list.Fold(h))
		if col == list.Unsure && designates(table.Rows, i) {
			col = list.Designator
		}
		if _, taken := l.at[col]; !taken && (col == list.Designator || col == list.Value || col == list.Quantity) {
			l.at[col] = i
		}
	}
	return l
}

// designates reports whether every cell of a column names designators.
func designates(rows []list.Row, column int) bool {
	for _, r := range rows {
		if column >= len(r.Cells) {
			continue
		}
		if ds, err := list.Designators(r.Cells[column]); err != nil || len(ds) == 0 {
			return false
		}
	}
	return len(rows) > 0
}

func (l layout) has(cols ...list.Heading) bool {
	for _, c := range cols {
		if _, ok := l.at[c]; !ok {
			return false
		}
	}
	return true
}

func (l layout) cell(r list.Row, c list.Heading) string {
	i, ok := l.at[c]
	if !ok || i >= len(r.Cells) {
		return ""
	}
	return strings.TrimSpace(r.Cells[i])
}

// placements reads the placement list into rows; coordinates are in
// millimetres of the list's own frame.
func (im *importer) placements() []row {
	table := list.Read([]byte(im.request.Placements))
	l := newLayout(table.Header)
	x, y := list.X, list.Y
	if l.has(list.CentreX, list.CentreY) {
		x, y = list.CentreX, list.CentreY
	}
	if strings.TrimSpace(im.request.Placements) == "" && strings.TrimSpace(im.request.Parts) != "" {
		return im.unplaced()
	}
	if !l.has(list.Designator, x, y) {
		im.problem(listPlacements, 0, strings.Join(table.Header, " | "),
			message.Of("placement.no-headings"))
		return nil
	}
	im.askCentre(l)
	f := im.decimals(table.Rows, l)
	unit := im.unit(table, l, f, x, y)
	var rows []row
	seen := map[string]int{}
	for _, r := range table.Rows {
		im.result.Rows.Read++
		p, ok := im.row(r, l, f, x, y, unit)
		if !ok {
			continue
		}
		if first, twice := seen[p.designator]; twice {
			im.problem(listPlacements, r.Line, p.designator, message.Of("placement.designator-again", p.designator,
				first))
			continue
		}
		seen[p.designator] = r.Line
		rows = append(rows, p)
	}
	im.result.Rows.Used = len(rows)
	return rows
}

func (im *importer) askCentre(l layout) {
	switch {
	case l.has(list.X, list.CentreX):
		im.ask("centre", message.Of("placement.centre-used"), "middle")
	case l.has(list.X):
		im.ask("centre", message.Of("placement.centre-taken"), "middle")
	}
}

func (im *importer) decimals(rows []list.Row, l layout) figures {
	switch im.request.Options.Decimal {
	case "comma":
		return figures{comma: true}
	case "point":
		return figures{}
	}
	var texts []string
	for _, r := range rows {
		for _, c := range []list.Heading{list.X, list.Y, list.CentreX, list.CentreY, list.Rotation} {
			texts = append(texts, l.cell(r, c))
		}
	}
	f, sure := decide(texts)
	if !sure {
		im.ask("decimal", message.Of("placement.comma-taken"), "comma", "point")
	}
	return f
}

func (im *importer) row(r list.Row, l layout, f figures, x, y list.Heading, unit string) (row, bool) {
	p := row{line: r.Line, designator: l.cell(r, list.Designator), value: l.cell(r, list.Value),
		pkg: l.cell(r, list.Package), side: board.Top}
	refuse := func(text string, reason message.Message) (row, bool) {
		im.problem(listPlacements, r.Line, text, reason)
		return row{}, false
	}
	if p.designator == "" {
		return refuse(strings.Join(r.Cells, " | "), message.Of("placement.row-without"))
	}
	if strings.ContainsAny(p.designator, " ,;\t") || len(p.designator) > 32 {
		return refuse(p.designator, message.Of("placement.not-one"))
	}
	for _, c := range []struct {
		col list.Heading
		to  *float64
	}{{x, &p.x}, {y, &p.y}, {list.Length, &p.length}, {list.Width, &p.width}} {
		text := l.cell(r, c.col)
		if text == "" && (c.col == list.Length || c.col == list.Width) {
			continue
		}
		v, own, ok := f.read(text)
		if !ok {
			return refuse(text, message.Of("placement.no-length", p.designator, text, unit))
		}
		*c.to = millimetres(v, cmp.Or(own, l.units[c.col], unit))
	}
	if math.Abs(p.x) > farthest || math.Abs(p.y) > farthest {
		return refuse(fmt.Sprintf("%g, %g", p.x, p.y), message.Of("placement.far-away", p.designator, farthest/1000))
	}
	if text := l.cell(r, list.Rotation); text != "" {
		v, _, ok := f.read(text)
		if !ok {
			return refuse(text, message.Of("placement.no-angle", p.designator, text))
		}
		p.rotation = v
	}
	if text := l.cell(r, list.Side); text != "" {
		side, ok := sideOf(text)
		if !ok {
			return refuse(text, message.Of("placement.no-side", p.designator, text))
		}
		p.side = side
	}
	switch list.Fold(l.cell(r, list.Mount)) {
	case "surface", "smd", "smt":
		p.mount = "surface"
	case "throughhole", "tht", "th", "pth":
		p.mount = "through-hole"
	}
	return p, true
}

// frame brings the rows into the board's frame and works out how large the
// board is where the options don't say.
func (im *importer) frame(rows []row) {
	if len(rows) == 0 {
		return
	}
	o := im.request.Options
	low := slices.MinFunc(rows, func(a, b row) int { return cmp.Compare(a.x, b.x) }).x
	lowY := slices.MinFunc(rows, func(a, b row) int { return cmp.Compare(a.y, b.y) }).y
	dx, ok := origin(o.OriginX, low)
	dy, okY := origin(o.OriginY, lowY)
	if !ok || !okY {
		im.ask("origin", message.Of("placement.moved-in", margin))
	}
	maxX, maxY, bottom := 0.0, 0.0, false
	for i := range rows {
		r := &rows[i]
		r.x, r.y = round(r.x-dx), round(r.y-dy)
		reach := max(r.length, r.width) / 2
		maxX, maxY = max(maxX, r.x+reach), max(maxY, r.y+reach)
		bottom = bottom || r.side == board.Bottom
	}
	width, height := o.Width, o.Height
	if width <= 0 || height <= 0 {
		width, height = cmp.Or(max(width, 0), math.Ceil(maxX+margin)), cmp.Or(max(height, 0), math.Ceil(maxY+margin))
		im.ask("outline", message.Of("placement.outline-taken", width, height))
	}
	if bottom {
		im.mirror(rows, width)
	}
	im.result.Map = &board.Map{
		Board: im.request.Board, Equipment: im.request.Equipment, Name: im.request.Name,
		Frame: board.Frame{Width: min(width, largest), Height: min(height, largest), Basis: "design-data"},
	}
	if width > largest || height > largest {
		im.problem(listPlacements, 0, fmt.Sprintf("%g × %g mm", width, height),
			message.Of("placement.too-large", width, height, largest))
	}
}

// margin is left around the outermost parts where the outline is not known, mm.
const margin = 5

func origin(given *float64, low float64) (float64, bool) {
	if given != nil {
		return *given, true
	}
	if low < 0 {
		return low - margin, false
	}
	return 0, true
}

// mirror brings bottom parts that were written as seen from the bottom into
// the frame seen from the top: the board is turned over left to right, so x
// counts from the other edge and an angle becomes its supplement.
func (im *importer) mirror(rows []row, width float64) {
	switch im.request.Options.Bottom {
	case "seen-from-bottom":
		for i := range rows {
			if r := &rows[i]; r.side == board.Bottom {
				r.x, r.rotation = round(width-r.x), 180-r.rotation
			}
		}
	case "seen-from-top":
	default:
		im.ask("bottom", message.Of("placement.bottom-taken"),
			"seen-from-top", "seen-from-bottom")
	}
}
