package pages

import (
	"bytes"
	"fmt"
	"math"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goitalic"
	"golang.org/x/image/font/gofont/goregular"

	"boardlore/domain/drawing"
)

// Paper is A4 upright; lengths here are millimetres, sizes of letters points.
const (
	pageWide   = 210.0
	pageTall   = 297.0
	pageMargin = 12.0
	textWide   = pageWide - 2*pageMargin
	footTall   = 12.0
	bodySize   = 9.5
	lineTall   = 4.6
	point      = 25.4 / 72 // millimetres in a point
)

// paper writes a document of pages that all bear what they were made from.
type paper struct {
	*fpdf.Fpdf
	foot string
}

// newPaper begins a document. Equal input gives equal bytes: the document's
// date is that of the revision.
func newPaper(title, foot string, when time.Time) *paper {
	p := &paper{Fpdf: fpdf.New("P", "mm", "A4", ""), foot: foot}
	p.SetCatalogSort(true)
	p.SetCreationDate(when)
	p.SetModificationDate(when)
	p.SetTitle(title, true)
	p.SetLang(t("lang"))
	p.AddUTF8FontFromBytes("go", "", goregular.TTF)
	p.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	p.AddUTF8FontFromBytes("go", "I", goitalic.TTF)
	p.SetMargins(pageMargin, pageMargin, pageMargin)
	p.SetAutoPageBreak(false, 0)
	p.AliasNbPages("{pages}")
	p.SetFooterFunc(p.footer)
	p.AddPage()
	return p
}

func (p *paper) footer() {
	p.SetY(pageTall - footTall)
	p.SetDrawColor(0, 0, 0)
	p.SetLineWidth(0.2)
	p.Line(pageMargin, p.GetY(), pageWide-pageMargin, p.GetY())
	p.SetTextColor(40, 40, 40)
	p.SetFont("go", "", 7)
	p.CellFormat(textWide-24, 5, p.foot, "", 0, "L", false, 0, "")
	p.CellFormat(24, 5, t("pdf.page", p.PageNo()), "", 0, "R", false, 0, "")
}

// bytes ends the document.
func (p *paper) bytes() ([]byte, error) {
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		return nil, fmt.Errorf("write PDF: %w", err)
	}
	return b.Bytes(), nil
}

// room begins a new page unless tall fits on this one.
func (p *paper) room(tall float64) {
	if p.GetY()+tall > pageTall-footTall-2 {
		p.AddPage()
	}
}

func (p *paper) style(style string, size float64) {
	p.SetFont("go", style, size)
	p.SetTextColor(28, 26, 23)
}

func (p *paper) heading(s string) {
	p.room(18)
	p.Ln(3)
	p.style("B", 12)
	p.CellFormat(textWide, 6, s, "B", 1, "L", false, 0, "")
	p.Ln(1.5)
}

// text writes a paragraph that may break over pages.
func (p *paper) text(style, s string) { p.indented(style, s, 0, "") }

// bullet writes an entry of a list.
func (p *paper) bullet(style, s string) { p.indented(style, s, 4, "•") }

func (p *paper) indented(style, s string, by float64, sign string) {
	p.style(style, bodySize)
	for i, line := range p.SplitText(s, textWide-by-2) {
		p.room(lineTall)
		if i == 0 && sign != "" {
			p.SetX(pageMargin)
			p.CellFormat(by, lineTall, sign, "", 0, "L", false, 0, "")
		}
		p.SetX(pageMargin + by)
		p.CellFormat(textWide-by, lineTall, line, "", 1, "L", false, 0, "")
	}
}

// column of a table.
type columnOf struct {
	wide  float64
	title string
	style string
}

// row writes a table's row, as tall as its tallest cell; a first column
// without a title is a box to tick.
func (p *paper) row(cols []columnOf, cells []string) {
	lines := make([][]string, len(cols))
	most := 1
	for i, c := range cols {
		p.style(c.style, bodySize)
		lines[i] = p.SplitText(cells[i], c.wide-2)
		most = max(most, len(lines[i]))
	}
	tall := float64(most)*lineTall + 1.4
	p.room(tall)
	x, y := pageMargin, p.GetY()
	for i, c := range cols {
		if c.title == "" {
			p.SetDrawColor(28, 26, 23)
			p.SetLineWidth(0.3)
			p.Rect(x+0.6, y+1, 3.4, 3.4, "D")
		}
		p.style(c.style, bodySize)
		for n, line := range lines[i] {
			p.SetXY(x, y+0.5+float64(n)*lineTall)
			p.CellFormat(c.wide, lineTall, line, "", 0, "L", false, 0, "")
		}
		x += c.wide
	}
	p.SetY(y + tall)
	p.SetDrawColor(190, 184, 172)
	p.SetLineWidth(0.15)
	p.Line(pageMargin, p.GetY(), pageWide-pageMargin, p.GetY())
}

func (p *paper) tableHead(cols []columnOf) {
	p.room(14)
	p.style("B", 7.5)
	for _, c := range cols {
		p.CellFormat(c.wide, 5, c.title, "B", 0, "L", false, 0, "")
	}
	p.Ln(5.2)
}

// draw puts a drawing on the page, as wide as the text and no taller than
// most.
func (p *paper) draw(s *drawing.Scene, most float64) {
	k := math.Min(textWide/s.Width, most/s.Height)
	p.room(s.Height * k)
	d := &plotter{p: p, scene: s, k: k, x: pageMargin + (textWide-s.Width*k)/2, y: p.GetY()}
	for i := range s.Items {
		d.item(&s.Items[i])
	}
	p.SetDashPattern(nil, 0)
	p.SetY(d.y + s.Height*k + 2)
}

// plotter draws a scene on paper.
type plotter struct {
	p     *paper
	scene *drawing.Scene
	k     float64 // millimetres in a sheet unit
	x, y  float64
}

func (d *plotter) at(q drawing.Point) fpdf.PointType {
	return fpdf.PointType{X: d.x + q.X*d.k, Y: d.y + q.Y*d.k}
}

func rgb(c uint32) (int, int, int) { return int(c >> 16 & 255), int(c >> 8 & 255), int(c & 255) }

func (d *plotter) item(it *drawing.Item) {
	look := it.Ink.Look()
	switch it.Kind {
	case drawing.Polygon, drawing.Ellipse, drawing.Segment:
		d.area(it, look, d.outline(it))
	case drawing.Lines:
		d.pen(it, look)
		for i := 0; i+1 < len(it.Points); i += 2 {
			a, b := d.at(it.Points[i]), d.at(it.Points[i+1])
			d.p.Line(a.X, a.Y, b.X, b.Y)
		}
	case drawing.Text:
		d.text(it, look)
	}
}

func (d *plotter) pen(it *drawing.Item, look drawing.Look) {
	d.p.SetDrawColor(rgb(look.Stroke))
	d.p.SetLineWidth(look.Weight * d.scene.Unit * d.k)
	d.p.SetDashPattern(nil, 0)
	if it.Dashed {
		u := 3 * d.scene.Unit * d.k
		d.p.SetDashPattern([]float64{u, u * 0.7}, 0)
	}
}

// outline is the shape as a polygon in millimetres.
func (d *plotter) outline(it *drawing.Item) []fpdf.PointType {
	const steps = 40
	var ps []fpdf.PointType
	switch it.Kind {
	case drawing.Ellipse:
		sin, cos := math.Sincos(it.Angle)
		for i := range steps {
			b, a := math.Sincos(2 * math.Pi * float64(i) / steps)
			u, v := a*it.RX, b*it.RY
			ps = append(ps, d.at(drawing.Point{X: it.Center.X + u*cos - v*sin, Y: it.Center.Y - u*sin - v*cos}))
		}
	case drawing.Segment:
		for i := range steps + 1 {
			sin, cos := math.Sincos(it.Angle - it.Half + 2*it.Half*float64(i)/steps)
			ps = append(ps, d.at(drawing.Point{X: it.Center.X + it.RX*cos, Y: it.Center.Y - it.RX*sin}))
		}
	default:
		for _, q := range it.Points {
			ps = append(ps, d.at(q))
		}
	}
	return ps
}

func (d *plotter) area(it *drawing.Item, look drawing.Look, ps []fpdf.PointType) {
	if look.Hatch != drawing.Clear {
		d.p.SetFillColor(rgb(look.Fill))
		d.p.Polygon(ps, "F")
	}
	if look.Hatch == drawing.Strokes || look.Hatch == drawing.Dots {
		d.p.ClipPolygon(ps, false)
		d.hatch(look, ps)
		d.p.ClipEnd()
	}
	if look.Weight > 0 {
		d.pen(it, look)
		d.p.Polygon(ps, "D")
	}
}

// hatch fills the rectangle around a clipped shape.
func (d *plotter) hatch(look drawing.Look, ps []fpdf.PointType) {
	x0, y0, x1, y1 := ps[0].X, ps[0].Y, ps[0].X, ps[0].Y
	for _, q := range ps {
		x0, y0, x1, y1 = math.Min(x0, q.X), math.Min(y0, q.Y), math.Max(x1, q.X), math.Max(y1, q.Y)
	}
	u := d.scene.Unit * d.k
	if look.Hatch == drawing.Strokes {
		d.p.SetDashPattern(nil, 0)
		d.p.SetDrawColor(rgb(look.Stroke))
		d.p.SetLineWidth(drawing.HatchLine * u)
		step := drawing.HatchStep * u * math.Sqrt2
		for c := math.Floor((x0+y0)/step) * step; c < x1+y1; c += step {
			d.p.Line(c-y0, y0, c-y1, y1)
		}
		return
	}
	d.p.SetFillColor(rgb(look.Stroke))
	step := drawing.DotStep * u
	for y := math.Floor(y0/step) * step; y < y1; y += step {
		for x := math.Floor(x0/step) * step; x < x1; x += step {
			d.p.Circle(x, y, drawing.DotSize*u, "F")
		}
	}
}

func (d *plotter) text(it *drawing.Item, look drawing.Look) {
	style := ""
	switch {
	case look.Bold:
		style = "B"
	case look.Italic:
		style = "I"
	}
	size, room := it.Size*d.k, it.Width*d.k
	d.p.SetFont("go", style, size/point)
	if w := d.p.GetStringWidth(it.Text); room > 0 && w > room {
		size *= room / w
		d.p.SetFont("go", style, size/point)
	}
	q := d.at(it.Center)
	if w := d.p.GetStringWidth(it.Text); !it.Start {
		q.X -= w / 2
	}
	d.p.SetTextColor(rgb(look.Fill))
	if look.Halo {
		d.p.SetDashPattern(nil, 0)
		d.p.SetDrawColor(rgb(drawing.InkSheet.Look().Fill))
		d.p.SetLineWidth(size * 0.2)
		d.p.SetTextRenderingMode(1)
		d.p.Text(q.X, q.Y, it.Text)
		d.p.SetTextRenderingMode(0)
	}
	d.p.Text(q.X, q.Y, it.Text)
}
