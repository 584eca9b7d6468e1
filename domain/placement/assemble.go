package placement

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/message"
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
	l := newPartsLayout(table)
	if !l.has(list.Designator, list.Value) {
		im.problem(listParts, 0, strings.Join(table.Header, " | "),
			message.Of("placement.no-parts-headings"))
		return nil
	}
	specs := map[string]spec{}
	for _, r := range table.Rows {
		cell := l.cell(r, list.Designator)
		designators, err := list.Designators(cell)
		if err != nil || len(designators) == 0 {
			im.problem(listParts, r.Line, cell, message.Of("placement.no-designators"))
			continue
		}
		im.count(r, l, designators)
		for _, d := range designators {
			if first, twice := specs[d]; twice {
				im.problem(listParts, r.Line, d, message.Of("placement.designator-again", d, first.line))
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
		im.problem(listParts, r.Line, text, message.Of("placement.no-count"))
	case n != len(designators):
		im.problem(listParts, r.Line, text, message.Of("placement.count-differs", n, len(designators)))
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
			im.problem(listParts, 0, r.designator, message.Of("placement.not-listed", r.designator))
		}
		p := board.Position{
			Designator: r.designator, Side: r.side, X: r.x, Y: r.y, Rotation: turn(r.rotation),
			Part: im.part(r, s.text), Body: body(r),
		}
		im.result.Map.Positions = append(im.result.Map.Positions, p)
	}
	for d, s := range specs {
		if !placed[d] {
			im.problem(listParts, s.line, d, message.Of("placement.not-placed", d))
		}
	}
	im.askParts()
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
	if noPart(r, listed) {
		return part.Part{Class: part.Other, Text: clip(cmp.Or(listed, r.value))}
	}
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
		im.differ = append(im.differ, open{r.designator, r.value, listed})
	}
	if !otherOK && class != part.Other {
		im.unread(r.designator, listed, class)
	}
	return other
}

// open is a row that the person should look at.
type open struct{ designator, text, other string }

// unread notes a value that could not be read for a class whose value is a
// quantity; type numbers of other classes are text and stay so.
func (im *importer) unread(designator, text string, class part.Class) {
	if _, ok := part.ValueKind(class); ok {
		im.untold = append(im.untold, open{designator: designator, text: text})
	}
}

// askParts asks like questions once, however many rows they are about.
func (im *importer) askParts() {
	if n := len(im.untold); n > 0 {
		im.ask("part", message.Of("placement.part-unread", named(im.untold), examples(im.untold), n))
	}
	if n := len(im.differ); n > 0 {
		d := im.differ[0]
		im.ask("parts-differ", message.Of("placement.parts-differ",
			named(im.differ), d.text, d.designator, d.other, n), "parts-list", "placement-list")
	}
}

func named(rows []open) string {
	ds := make([]string, len(rows))
	for i, r := range rows {
		ds[i] = r.designator
	}
	return spans(ds)
}

// examples are the first few different texts.
func examples(rows []open) string {
	const few = 5
	var out []string
	seen := map[string]bool{}
	for _, r := range rows {
		if seen[r.text] {
			continue
		}
		seen[r.text] = true
		if len(out) == few {
			return strings.Join(out, ", ") + " …"
		}
		out = append(out, strconv.Quote(clip(r.text)))
	}
	return strings.Join(out, ", ")
}

// noPart reports whether a row is no part: a fiducial, a mounting hole, a test
// point or a panel mark, by its designator's letters or by its name.
func noPart(r row, listed string) bool {
	letters := strings.ToUpper(strings.TrimRight(r.designator, "0123456789"))
	if slices.Contains([]string{"FID", "FD", "FM", "MH", "MK", "HOLE", "H", "TP", "TOOL", "MP"}, letters) {
		return true
	}
	word := list.Fold(r.value + " " + listed + " " + r.pkg)
	for _, w := range []string{"fiducial", "mountinghole", "passermarke", "befestigungsbohrung", "montageloch",
		"toolinghole", "testpoint"} {
		if strings.Contains(word, w) {
			return true
		}
	}
	return false
}

// readPart reads a value text for a class; where it can't be read one way only
// the text is kept as it stands.
func readPart(text string, class part.Class) (part.Part, bool) {
	if p, ok := readWhole(text, class); ok {
		return p, true
	}
	// Library names string the part's words together, often with the package in
	// front: CC1206_10UF_25V_10%_X7R.
	if words := strings.FieldsFunc(text, func(r rune) bool {
		return r == '_' || r == '/' ||
			r == '|'
	}); len(words) > 1 {
		if p, ok := readWhole(strings.Join(words, " "), class); ok {
			return p, true
		}
		if packageName.MatchString(words[0]) {
			if p, ok := readWhole(strings.Join(words[1:], " "), class); ok {
				return p, true
			}
		}
	}
	return part.Part{Class: class, Text: clip(text)}, false
}

// packageName is a package in front of a library name: letters and the size of
// a chip, or a sort of part.
var packageName = regexp.MustCompile(`^(?i:[A-Z]{0,6}-?(?:0201|0402|0603|0805|1008|1206|1210|1806|1812|2010|2220|2512)|CAP|RES|IND|CAPC[0-9X]*|RESC[0-9X]*|R|C|L)$`)

func readWhole(text string, class part.Class) (part.Part, bool) {
	known := class
	if class == part.Other {
		known = ""
	}
	read, err := part.Read(text, quantity.Context{Class: string(known), Found: "list"})
	if err != nil || len(read.Readings) != 1 || len(read.LeftOver) > 0 {
		return part.Part{}, false
	}
	p := read.Readings[0].Part
	return p, p.Class == class || class == part.Other
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
	return b.Mount == "" && b.Shape == "" && b.Diameter == 0 && b.Length == 0 && b.Width == 0 && b.Height == 0 &&
		b.LeadPitch == 0
}
