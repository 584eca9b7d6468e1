package placement

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// spec is what the parts list says of one designator.
type spec struct {
	text string
	line int
}

// parts reads the parts list, where there is one, by designator.
func (im *importer) parts() map[string]spec {
	if strings.TrimSpace(im.request.Parts) == "" {
		return nil
	}
	table := list.Read([]byte(im.request.Parts))
	l := newLayout(table.Header)
	if !l.has(list.Designator, list.Value) {
		im.problem(listParts, 0, strings.Join(table.Header, " | "),
			"No line of headings was found that names the designators and the value; put one first, such as: Qty,Designators,Value")
		return nil
	}
	specs := map[string]spec{}
	for _, r := range table.Rows {
		cell := l.cell(r, list.Designator)
		designators, err := list.Designators(cell)
		if err != nil || len(designators) == 0 {
			im.problem(listParts, r.Line, cell, "These are no designators; write them like C1, C3-C5.")
			continue
		}
		im.count(r, l, designators)
		for _, d := range designators {
			if first, twice := specs[d]; twice {
				im.problem(listParts, r.Line, d, fmt.Sprintf("%s stands already in row %d; a board has each designator once.", d, first.line))
				continue
			}
			specs[d] = spec{text: l.cell(r, list.Value), line: r.Line}
		}
	}
	return specs
}

// count compares a row's quantity with its designators.
func (im *importer) count(r list.Row, l layout, designators []string) {
	text := l.cell(r, list.Quantity)
	if text == "" {
		return
	}
	n, err := strconv.Atoi(text)
	switch {
	case err != nil:
		im.problem(listParts, r.Line, text, "This is no quantity; write a whole number.")
	case n != len(designators):
		im.problem(listParts, r.Line, text, fmt.Sprintf("The row says %d but names %d designators.", n, len(designators)))
	}
}

// assemble makes a position of every row.
func (im *importer) assemble(rows []row, specs map[string]spec) {
	if im.result.Map == nil {
		return
	}
	placed := map[string]bool{}
	for _, r := range rows {
		placed[r.designator] = true
		s, listed := specs[r.designator]
		if specs != nil && !listed {
			im.problem(listParts, 0, r.designator, r.designator+" is placed but stands in no row of the parts list.")
		}
		p := board.Position{
			Designator: r.designator, Side: r.side, X: r.x, Y: r.y, Rotation: turn(r.rotation),
			Part: im.part(r, s.text), Body: body(r),
		}
		im.result.Map.Positions = append(im.result.Map.Positions, p)
	}
	for d, s := range specs {
		if !placed[d] {
			im.problem(listParts, s.line, d, d+" stands in the parts list but is not placed.")
		}
	}
	sortProblems(im.result.Problems)
}

// turn brings an angle into 0 to below 360 degrees.
func turn(deg float64) float64 {
	for deg < 0 {
		deg += 360
	}
	for deg >= 360 {
		deg -= 360
	}
	return round(deg)
}

// part reads the part of a row. The parts list, where it says something, says
// more than the placement list; where the two contradict each other the person
// is asked.
func (im *importer) part(r row, listed string) part.Part {
	class := ClassOf(r.designator)
	own, ownOK := readPart(r.value, class)
	if listed == "" {
		if !ownOK && r.value != "" && class != part.Other {
			im.unread(r.designator, r.value, class)
		}
		return own
	}
	other, otherOK := readPart(listed, class)
	if ownOK && otherOK && !own.Value.IsZero() && !other.Value.IsZero() && own.Value != other.Value {
		im.ask("part", fmt.Sprintf("%s is %s in the placement list and %s in the parts list; the parts list was used.", r.designator, r.value, listed), listed, r.value)
	}
	if !otherOK && class != part.Other {
		im.unread(r.designator, listed, class)
	}
	return other
}

// unread tells of a value that could not be read for a class whose value is a
// quantity; type numbers of other classes are text and stay so.
func (im *importer) unread(designator, text string, class part.Class) {
	if _, ok := part.ValueKind(class); ok {
		im.ask("part", fmt.Sprintf("%s: %q could not be read as a %s with certainty; it was kept as text.", designator, text, class))
	}
}

// readPart reads a value text for a class; where it can't be read one way only
// the text is kept as it stands.
func readPart(text string, class part.Class) (part.Part, bool) {
	known := class
	if class == part.Other {
		known = ""
	}
	read, err := part.Read(text, quantity.Context{Class: string(known), Found: "list"})
	if err != nil || len(read.Readings) != 1 || len(read.LeftOver) > 0 {
		return part.Part{Class: class, Text: clip(text)}, false
	}
	p := read.Readings[0].Part
	if p.Class != class && class != part.Other {
		return part.Part{Class: class, Text: clip(text)}, false
	}
	return p, true
}

func clip(text string) string {
	if r := []rune(text); len(r) > 300 {
		return string(r[:300])
	}
	return text
}

var (
	sizes  = regexp.MustCompile(`(?:^|[_\s-])([DLWHP])(\d+(?:\.\d+)?)(?:mm|x|_|$)`)
	radial = regexp.MustCompile(`(?i)radial`)
	axial  = regexp.MustCompile(`(?i)axial`)
	disc   = regexp.MustCompile(`(?i)dis[ck]`)
)

// body takes what the list's columns and the words of the package name say of
// the outside: letters D, L, W, H and P before a number of millimetres are
// common practice in package names.
func body(r row) *part.Body {
	b := part.Body{Mount: r.mount, Length: r.length, Width: r.width}
	for _, m := range sizes.FindAllStringSubmatch(r.pkg, -1) {
		v, err := strconv.ParseFloat(m[2], 64)
		if err != nil || v <= 0 || v > 2000 {
			continue
		}
		switch m[1] {
		case "D":
			b.Diameter = v
		case "P":
			b.LeadPitch = v
		case "H":
			b.Height = v
		}
	}
	switch {
	case radial.MatchString(r.pkg) && b.Diameter > 0:
		b.Shape = "can"
	case axial.MatchString(r.pkg):
		b.Shape = "axial"
	case disc.MatchString(r.pkg):
		b.Shape = "disc"
	}
	if b.Length == 0 || b.Width == 0 {
		b.Length, b.Width = 0, 0
	}
	if isEmpty(b) {
		return nil
	}
	return &b
}

func isEmpty(b part.Body) bool {
	return b.Mount == "" && b.Shape == "" && b.Diameter == 0 && b.Length == 0 && b.Width == 0 && b.Height == 0 && b.LeadPitch == 0
}
