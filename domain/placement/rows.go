package placement

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
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
			"No line of headings was found that names the designator, x and y; put one first, such as: Designator,Value,X (mm),Y (mm),Rotation,Side")
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
			im.problem(listPlacements, r.Line, p.designator, fmt.Sprintf("%s stands already in row %d; a board has each designator once.", p.designator, first))
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
		im.ask("centre", "The list gives a placing point and the middle of the body; the middle was used.", "middle")
	case l.has(list.X):
		im.ask("centre", "The list does not say whether x and y are the middle of the body; they were taken as the middle. Check a few large through-hole parts.", "middle")
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
		im.ask("decimal", "Every figure with a comma has three digits after it; the comma was taken as the decimal sign.", "comma", "point")
	}
	return f
}

func (im *importer) row(r list.Row, l layout, f figures, x, y list.Heading, unit string) (row, bool) {
	p := row{line: r.Line, designator: l.cell(r, list.Designator), value: l.cell(r, list.Value), pkg: l.cell(r, list.Package), side: board.Top}
	refuse := func(text, reason string) (row, bool) {
		im.problem(listPlacements, r.Line, text, reason)
		return row{}, false
	}
	if p.designator == "" {
		return refuse(strings.Join(r.Cells, " | "), "This row has no designator; give it one or remove the row.")
	}
	if strings.ContainsAny(p.designator, " ,;\t") || len(p.designator) > 32 {
		return refuse(p.designator, "This is not one designator; give each part a row of its own.")
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
			return refuse(text, fmt.Sprintf("%s: %q is no length; write a number, in %s.", p.designator, text, unit))
		}
		*c.to = millimetres(v, cmp.Or(own, l.units[c.col], unit))
	}
	if math.Abs(p.x) > farthest || math.Abs(p.y) > farthest {
		return refuse(fmt.Sprintf("%g, %g", p.x, p.y), p.designator+" lies more than 3 m away; check the unit.")
	}
	if text := l.cell(r, list.Rotation); text != "" {
		v, _, ok := f.read(text)
		if !ok {
			return refuse(text, fmt.Sprintf("%s: %q is no angle; write degrees.", p.designator, text))
		}
		p.rotation = v
	}
	if text := l.cell(r, list.Side); text != "" {
		side, ok := sideOf(text)
		if !ok {
			return refuse(text, fmt.Sprintf("%s: %q names no side; write top or bottom.", p.designator, text))
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
		im.ask("origin", "Some coordinates are negative and the list does not say where the outline lies; the list was moved so that its outermost parts stand 5 mm from the edge. Send origin_x_mm and origin_y_mm to place it exactly.")
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
		im.ask("outline", fmt.Sprintf("The list does not say how large the board is; %g mm by %g mm holds all its parts. Send width_mm and height_mm.", width, height))
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
			fmt.Sprintf("By this list the board would be %g by %g mm, and a map holds %g mm at most each way: its unit must be another one.", width, height, largest))
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
		im.ask("bottom", "The list has parts on the bottom and does not say how it sees them; they were taken as seen through the board from the top.", "seen-from-top", "seen-from-bottom")
	}
}
