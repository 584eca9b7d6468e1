// Package paper prints what a person takes to the bench: the board sheet and
// the report of a kit, as PDF on A4. Paper can't be unfolded or searched, and
// it outlives the screen that it was printed from, so each page bears the map's
// digest, what matters first stands first, and each thing to do has a box to
// tick. Equal input gives equal bytes.
package paper

import (
	"bytes"
	"fmt"
	"strings"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/goregular"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// Board is the map that a document is about.
type Board struct {
	Map        *board.Map     // of the build, as it is put together
	Build      *board.Variant // nil for the base map
	Revision   int
	Digest     string // of the map, lower-case hexadecimal
	ReleasedAt time.Time
	Seen       []message.Message // what serviced units showed, a sentence each
	Pictures   []Picture         // photographs of the sides, laid flat
	Address    string            // short, of the board's page, for a label; "" for none
	In         *message.Language // of the paper
}

// Paper is A4 upright; lengths here are millimetres, sizes of letters points.
const (
	pageWide   = 210.0
	pageTall   = 297.0
	pageMargin = 11.0
	textWide   = pageWide - 2*pageMargin
	footTall   = 11.0
	pageEnd    = pageTall - footTall - 1 // where the text of a page ends
	point      = 25.4 / 72               // millimetres in a point
)

// document is pages that all bear what they were made from.
type document struct {
	*fpdf.Fpdf
	in   *message.Language
	foot string
	size float64 // of running text, points
	most int     // pages
}

// maxPages is how long a document may get, which bounds what printing costs: some
// 2,500 positions taken out and fitted.
const maxPages = 120

func errLong() error {
	return fault.New(fault.Invalid, "answer-too-large", "paper.too-long", maxPages)
}

// newDocument begins a document, dated like the revision.
func newDocument(b *Board, title string, size float64) *document {
	d := &document{Fpdf: fpdf.New("P", "mm", "A4", ""), size: size, in: b.In, most: maxPages}
	d.foot = d.say("paper.foot", b.Map.Board, b.revision(), b.build(), b.Digest)
	d.SetCatalogSort(true)
	d.SetCreationDate(b.ReleasedAt)
	d.SetModificationDate(b.ReleasedAt)
	d.SetTitle(title, true)
	d.SetLang(b.In.Tag)
	d.AddUTF8FontFromBytes("go", "", goregular.TTF)
	d.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	d.AddUTF8FontFromBytes("go", "I", goitalic.TTF)
	d.SetMargins(pageMargin, pageMargin, pageMargin)
	d.SetAutoPageBreak(false, 0)
	d.AliasNbPages("{pages}")
	d.SetFooterFunc(d.footer)
	d.AddPage()
	return d
}

// say speaks in the paper's language.
func (d *document) say(key string, values ...any) string { return d.in.Say(key, values...) }

func (b *Board) revision() message.Message {
	if b.Revision == 0 {
		return message.Of("paper.not-released")
	}
	return message.Of("paper.revision", b.Revision)
}

func (b *Board) build() message.Message {
	if b.Build == nil {
		return message.Of("paper.base-map")
	}
	return message.Text(b.Build.Variant)
}

func (d *document) footer() {
	d.SetY(pageTall - footTall)
	d.SetDrawColor(0, 0, 0)
	d.SetLineWidth(0.2)
	d.Line(pageMargin, d.GetY(), pageWide-pageMargin, d.GetY())
	d.SetTextColor(40, 40, 40)
	d.SetFont("go", "", 7)
	d.CellFormat(textWide-24, 5, d.foot, "", 0, "L", false, 0, "")
	d.CellFormat(24, 5, d.say("paper.page", d.PageNo(), "{pages}"), "", 0, "R", false, 0, "")
}

// bytes ends the document.
func (d *document) bytes() ([]byte, error) {
	if _, told := fault.As(d.Error()); told {
		return nil, d.Error()
	}
	var b bytes.Buffer
	if err := d.Output(&b); err != nil {
		return nil, fmt.Errorf("write PDF: %w", err)
	}
	return b.Bytes(), nil
}

// left is how much of the page is free.
func (d *document) left() float64 { return pageEnd - d.GetY() }

// room begins a new page unless tall fits on this one. After the last page that a
// document may have nothing is written any more.
func (d *document) room(tall float64) {
	if tall <= d.left() {
		return
	}
	if d.PageNo() == d.most {
		d.SetError(errLong())
		return
	}
	d.AddPage()
}

// line is how tall a line of running text is.
func (d *document) line() float64 { return d.size * 1.36 * point }

func (d *document) style(style string, size float64) {
	d.SetFont("go", style, size)
	d.SetTextColor(28, 26, 23)
}

// head writes what the document is about.
func (d *document) head(b *Board, what string) {
	m := b.Map
	d.label(b.Address)
	d.style("B", 15)
	d.CellFormat(textWide-labelWide, 7, board.Called(&m.Equipment, m.Name), "", 1, "L", false, 0, "")
	d.style("", d.size)
	line := m.Equipment.Kind
	for i, x := range m.Markings {
		line += map[bool]string{true: " · " + d.say("paper.marked") + " ", false: ", "}[i == 0] + x
	}
	d.text("", strings.TrimPrefix(line, " · "))
	what += " · " + d.in.Speak(b.revision())
	if !b.ReleasedAt.IsZero() {
		what += ", " + b.ReleasedAt.UTC().Format(time.DateOnly)
	}
	if b.Build != nil {
		what += " · " + d.say("paper.told-by", b.Build.Title, b.Build.IdentifiedBy)
	}
	d.text("", what)
}

func (d *document) heading(s string) {
	d.room(4 * d.line())
	d.Ln(d.line() * 0.5)
	d.style("B", d.size+2)
	d.CellFormat(textWide, d.line()*1.3, s, "B", 1, "L", false, 0, "")
	d.Ln(1)
}

// text writes a paragraph that may break over pages.
func (d *document) text(style, s string) { d.indented(style, s, 0, "") }

// bullet writes an entry of a list.
func (d *document) bullet(style, s string) { d.indented(style, s, 4, "•") }

func (d *document) indented(style, s string, by float64, sign string) {
	d.style(style, d.size)
	for i, line := range d.SplitText(s, textWide-by-2) {
		d.room(d.line())
		if i == 0 && sign != "" {
			d.SetX(pageMargin)
			d.CellFormat(by, d.line(), sign, "", 0, "L", false, 0, "")
		}
		d.SetX(pageMargin + by)
		d.CellFormat(textWide-by, d.line(), line, "", 1, "L", false, 0, "")
	}
}

// item of a list.
type item struct{ style, text string }

// beside writes a list in two columns, unless the page has no room for it.
func (d *document) beside(items []item) bool {
	const between, by = 4.0, 3.0
	wide := (textWide - between) / 2
	lines := make([][]string, len(items))
	all := 0
	for i, x := range items {
		d.style(x.style, d.size)
		lines[i] = d.SplitText(x.text, wide-by-2)
		all += len(lines[i])
	}
	left, n := 0, 0 // lines and items of the first column
	for ; n < len(items) && 2*left < all; n++ {
		left += len(lines[n])
	}
	tall := float64(max(left, all-left)) * d.line()
	if tall > d.left() {
		return false
	}
	top := d.GetY()
	x, y := pageMargin, top
	for i, item := range items {
		if i == n {
			x, y = x+wide+between, top
		}
		d.style(item.style, d.size)
		d.SetXY(x, y)
		d.CellFormat(by, d.line(), "•", "", 0, "L", false, 0, "")
		for _, line := range lines[i] {
			d.SetXY(x+by, y)
			d.CellFormat(wide-by, d.line(), line, "", 0, "L", false, 0, "")
			y += d.line()
		}
	}
	d.SetXY(pageMargin, top+tall)
	return true
}

// column of a table.
type column struct {
	wide  float64
	title string // key of its heading; "": boxes to tick
	style string
}

const boxSide = 2.7 // millimetres

// box draws a box to tick beside a line of text that begins at y.
func (d *document) box(x, y float64) {
	d.SetDrawColor(28, 26, 23)
	d.SetLineWidth(0.25)
	d.Rect(x, y+(d.line()-boxSide)/2, boxSide, boxSide, "D")
}

// rule draws the line below a row.
func (d *document) rule() {
	d.SetDrawColor(190, 184, 172)
	d.SetLineWidth(0.15)
	d.Line(pageMargin, d.GetY(), pageWide-pageMargin, d.GetY())
}

// table writes a heading, what is said of it, and rows below their heads, which
// stand again on every page that the rows go on to. No heading is left on a page
// that its first row has no room on.
func (d *document) table(title, about string, cols []column, rows [][]string) {
	if len(rows) == 0 {
		return
	}
	d.style("", d.size)
	above := 2 + float64(len(d.SplitText(about, textWide-2)))
	_, first := d.split(cols, rows[0])
	d.room((above+1)*d.line() + first + 2)
	d.heading(title)
	if about != "" {
		d.text("", about)
	}
	d.tableHead(cols)
	for _, cells := range rows {
		lines, tall := d.split(cols, cells)
		if tall > d.left() {
			d.room(tall)
			d.tableHead(cols)
		}
		if d.Err() {
			return
		}
		d.write(cols, lines, tall)
	}
}

// split breaks a row's cells into lines, and tells how tall it is with them.
func (d *document) split(cols []column, cells []string) (lines [][]string, tall float64) {
	lines = make([][]string, len(cols))
	deepest := 1
	for i, c := range cols {
		d.style(c.style, d.size)
		lines[i] = d.SplitText(cells[i], c.wide-2)
		deepest = max(deepest, len(lines[i]))
	}
	return lines, float64(deepest)*d.line() + 0.8
}

// row writes a table's row, as tall as its tallest cell.
func (d *document) row(cols []column, cells []string) {
	lines, tall := d.split(cols, cells)
	d.room(tall)
	d.write(cols, lines, tall)
}

// write writes a row that was split, where the page is now.
func (d *document) write(cols []column, lines [][]string, tall float64) {
	x, y := pageMargin, d.GetY()
	for i, c := range cols {
		if c.title == "" {
			d.box(x+0.6, y+0.4)
		}
		d.style(c.style, d.size)
		for n, line := range lines[i] {
			d.SetXY(x, y+0.4+float64(n)*d.line())
			d.CellFormat(c.wide, d.line(), line, "", 0, "L", false, 0, "")
		}
		x += c.wide
	}
	d.SetY(y + tall)
	d.rule()
}

func (d *document) tableHead(cols []column) {
	d.room(4 * d.line())
	d.style("B", d.size-1.5)
	for _, c := range cols {
		title := ""
		if c.title != "" {
			title = d.say(c.title)
		}
		d.CellFormat(c.wide, d.line(), title, "B", 0, "L", false, 0, "")
	}
	d.Ln(d.line() + 0.2)
}

// lay finds where names stand, each behind a box, in lines as wide as given:
// the corner of each box, and how tall they are together.
func (d *document) lay(wide float64, names []string) (at []fpdf.PointType, tall float64) {
	const gap = 2.2
	d.style("", d.size)
	x, y := 0.0, 0.0
	for _, n := range names {
		w := boxSide + 1.6 + d.GetStringWidth(n)
		if x > 0 && x+w > wide {
			x, y = 0, y+d.line()
		}
		at = append(at, fpdf.PointType{X: x, Y: y})
		x += w + gap
	}
	return at, y + d.line()
}

// ticks writes names where lay puts them.
func (d *document) ticks(x, y float64, names []string, at []fpdf.PointType) {
	d.style("", d.size)
	for i, p := range at {
		d.box(x+p.X, y+p.Y)
		d.SetXY(x+p.X+boxSide-0.2, y+p.Y)
		d.CellFormat(20, d.line(), names[i], "", 0, "L", false, 0, "")
	}
}
