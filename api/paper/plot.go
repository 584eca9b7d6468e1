package paper

import (
	"math"

	"codeberg.org/go-pdf/fpdf"

	"boardlore/domain/drawing"
)

// draw puts drawings side by side on the page, together as wide as the text and
// none taller than most.
func (d *document) draw(most float64, scenes ...*drawing.Scene) {
	const between = 4.0
	wide := (textWide - between*float64(len(scenes)-1)) / float64(len(scenes))
	tall := 0.0
	scale := make([]float64, len(scenes))
	for i, s := range scenes {
		scale[i] = math.Min(wide/s.Width, most/s.Height)
		tall = math.Max(tall, s.Height*scale[i])
	}
	d.room(tall)
	y := d.GetY()
	for i, s := range scenes {
		p := &plotter{doc: d, scene: s, k: scale[i], y: y, x: pageMargin + float64(i)*(wide+between) +
			(wide-s.Width*scale[i])/2}
		for j := 1; j < len(s.Items); j++ { // the first is the sheet, which the paper is
			p.item(&s.Items[j])
		}
	}
	d.SetDashPattern(nil, 0)
	d.SetY(y + tall + 2)
}

// plotter draws a scene on paper.
type plotter struct {
	doc   *document
	scene *drawing.Scene
	k     float64 // millimetres in a sheet unit
	x, y  float64
}

func (p *plotter) onPage(q drawing.Point) fpdf.PointType {
	return fpdf.PointType{X: p.x + q.X*p.k, Y: p.y + q.Y*p.k}
}

func rgb(c uint32) (int, int, int) { return int(c >> 16 & 255), int(c >> 8 & 255), int(c & 255) }

func (p *plotter) item(it *drawing.Item) {
	look := it.Ink.Look()
	switch it.Kind {
	case drawing.Ellipse:
		if look.Hatch != drawing.Strokes && look.Hatch != drawing.Dots {
			p.ellipse(it, look)
			return
		}
		p.area(it, look, p.outline(it))
	case drawing.Polygon, drawing.Segment:
		p.area(it, look, p.outline(it))
	case drawing.Lines:
		p.pen(it, look)
		for i := 0; i+1 < len(it.Points); i += 2 {
			a, b := p.onPage(it.Points[i]), p.onPage(it.Points[i+1])
			p.doc.Line(a.X, a.Y, b.X, b.Y)
		}
	case drawing.Text:
		p.text(it, look)
	}
}

func (p *plotter) pen(it *drawing.Item, look drawing.Look) {
	p.doc.SetDrawColor(rgb(look.Stroke))
	p.doc.SetLineWidth(look.Weight * p.scene.Unit * p.k)
	p.doc.SetDashPattern(nil, 0)
	if it.Dashed {
		u := 3 * p.scene.Unit * p.k
		p.doc.SetDashPattern([]float64{u, u * 0.7}, 0)
	}
}

// steps are how many sides make a curve on this paper: as few as differ from it by
// less than a hundredth of a millimetre.
func (p *plotter) steps(it *drawing.Item) int {
	const least, most, off = 8, 40, 0.01
	r := math.Max(it.RX, it.RY) * p.k
	return min(most, max(least, int(math.Ceil(math.Pi/math.Acos(1-math.Min(off/r, 1))))))
}

// outline is the shape as a polygon in millimetres.
func (p *plotter) outline(it *drawing.Item) []fpdf.PointType {
	steps := p.steps(it)
	var ps []fpdf.PointType
	switch it.Kind {
	case drawing.Ellipse:
		sin, cos := math.Sincos(it.Angle)
		for i := range steps {
			b, a := math.Sincos(2 * math.Pi * float64(i) / float64(steps))
			u, v := a*it.RX, b*it.RY
			ps = append(ps, p.onPage(drawing.Point{X: it.Center.X + u*cos - v*sin, Y: it.Center.Y - u*sin - v*cos}))
		}
	case drawing.Segment:
		for i := range steps + 1 {
			sin, cos := math.Sincos(it.Angle - it.Half + 2*it.Half*float64(i)/float64(steps))
			ps = append(ps, p.onPage(drawing.Point{X: it.Center.X + it.RX*cos, Y: it.Center.Y - it.RX*sin}))
		}
	default:
		for _, q := range it.Points {
			ps = append(ps, p.onPage(q))
		}
	}
	return ps
}

// ellipse is drawn by its curves: of thousands of round parts the polygons would
// be most of the document.
func (p *plotter) ellipse(it *drawing.Item, look drawing.Look) {
	c := p.onPage(it.Center)
	if how := p.inks(it, look); how != "" {
		p.doc.Ellipse(c.X, c.Y, it.RX*p.k, it.RY*p.k, it.Angle*180/math.Pi, how)
	}
}

// inks takes the colours of a shape, and says what of it is drawn.
func (p *plotter) inks(it *drawing.Item, look drawing.Look) (how string) {
	if look.Hatch != drawing.Clear {
		p.doc.SetFillColor(rgb(look.Fill))
		how = "F"
	}
	if look.Weight > 0 {
		p.pen(it, look)
		how += "D"
	}
	return how
}

func (p *plotter) area(it *drawing.Item, look drawing.Look, ps []fpdf.PointType) {
	if look.Hatch != drawing.Strokes && look.Hatch != drawing.Dots {
		if how := p.inks(it, look); how != "" {
			p.doc.Polygon(ps, how)
		}
		return
	}
	p.doc.SetFillColor(rgb(look.Fill))
	p.doc.Polygon(ps, "F")
	p.doc.ClipPolygon(ps, false)
	p.hatch(look, ps)
	p.doc.ClipEnd()
	if look.Weight > 0 {
		p.pen(it, look)
		p.doc.Polygon(ps, "D")
	}
}

// hatch fills the rectangle around a clipped shape.
func (p *plotter) hatch(look drawing.Look, ps []fpdf.PointType) {
	x0, y0, x1, y1 := ps[0].X, ps[0].Y, ps[0].X, ps[0].Y
	for _, q := range ps {
		x0, y0, x1, y1 = math.Min(x0, q.X), math.Min(y0, q.Y), math.Max(x1, q.X), math.Max(y1, q.Y)
	}
	u := p.scene.Unit * p.k
	if look.Hatch == drawing.Strokes {
		p.doc.SetDashPattern(nil, 0)
		p.doc.SetDrawColor(rgb(look.Stroke))
		p.doc.SetLineWidth(drawing.HatchLine * u)
		step := drawing.HatchStep * u * math.Sqrt2
		for c := math.Floor((x0+y0)/step) * step; c < x1+y1; c += step {
			p.doc.Line(c-y0, y0, c-y1, y1)
		}
		return
	}
	p.doc.SetFillColor(rgb(look.Stroke))
	step := drawing.DotStep * u
	for y := math.Floor(y0/step) * step; y < y1; y += step {
		for x := math.Floor(x0/step) * step; x < x1; x += step {
			p.doc.Circle(x, y, drawing.DotSize*u, "F")
		}
	}
}

func (p *plotter) text(it *drawing.Item, look drawing.Look) {
	style := ""
	switch {
	case look.Bold:
		style = "B"
	case look.Italic:
		style = "I"
	}
	size, room := it.Size*p.k, it.Width*p.k
	p.doc.SetFont("go", style, size/point)
	if w := p.doc.GetStringWidth(it.Text); room > 0 && w > room {
		size *= room / w
		p.doc.SetFont("go", style, size/point)
	}
	q := p.onPage(it.Center)
	if w := p.doc.GetStringWidth(it.Text); !it.Start {
		q.X -= w / 2
	}
	p.doc.SetTextColor(rgb(look.Fill))
	if look.Halo {
		p.doc.SetDashPattern(nil, 0)
		p.doc.SetDrawColor(rgb(drawing.InkSheet.Look().Fill))
		p.doc.SetLineWidth(size * 0.2)
		p.doc.SetTextRenderingMode(1)
		p.doc.Text(q.X, q.Y, it.Text)
		p.doc.SetTextRenderingMode(0)
	}
	p.doc.Text(q.X, q.Y, it.Text)
}
