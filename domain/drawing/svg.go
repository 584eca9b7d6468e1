package drawing

import (
	"bytes"
	"math"
	"strconv"
	"unicode/utf8"
)

// SVG writes the scene as a self-contained SVG document: no scripts, no style
// sheet, nothing loaded from elsewhere, so that it stands under a strict
// content security policy inside a page as well as alone.
func (s *Scene) SVG() []byte {
	w := &writer{s: s, groups: []Ink{InkNone}, sizes: []float64{0}}
	w.b.Grow(4096 + len(s.Items)*90)
	w.head()
	for i := range s.Items {
		w.item(&s.Items[i])
	}
	w.str("</svg>\n")
	return w.b.Bytes()
}

type writer struct {
	s      *Scene
	b      bytes.Buffer
	num    [32]byte
	groups []Ink
	sizes  []float64
	links  []bool
}

func (w *writer) str(ss ...string) {
	for _, s := range ss {
		w.b.WriteString(s)
	}
}

// n writes a number with at most one decimal: a ten-thousandth of the board's
// longer side.
func (w *writer) n(x float64) { w.tenths(int64(math.Round(x * 10))) }

func (w *writer) tenths(n int64) {
	b := w.num[:0]
	if n < 0 {
		b, n = append(b, '-'), -n
	}
	if n >= 10 || n == 0 {
		b = strconv.AppendInt(b, n/10, 10)
	}
	if n%10 != 0 {
		b = append(b, '.', byte('0'+n%10))
	}
	w.b.Write(b)
}

// fine writes a number with at most two decimals, for line weights and
// hatching.
func (w *writer) fine(name string, x float64) {
	w.str(" ", name, `="`)
	w.b.Write(strconv.AppendFloat(w.num[:0], math.Round(x*100)/100, 'f', -1, 64))
	w.str(`"`)
}

func (w *writer) attr(name string, x float64) {
	w.str(" ", name, `="`)
	w.n(x)
	w.str(`"`)
}

func (w *writer) head() {
	s := w.s
	w.str(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 `)
	w.n(s.Width)
	w.str(" ")
	w.n(s.Height)
	w.str(`"`)
	w.attr("width", s.Width)
	w.attr("height", s.Height)
	role := "img"
	if s.Linked {
		role = "group"
	}
	w.str(` role="`, role, `" aria-labelledby="`, s.Prefix, `title"`, ` aria-describedby="`, s.Prefix, `desc"`)
	w.str(` font-family="Helvetica, Arial, 'Liberation Sans', sans-serif" stroke-linejoin="round">`)
	w.str("\n<title id=\"", s.Prefix, "title\">")
	w.escape(s.Title)
	w.str("</title>\n<desc id=\"", s.Prefix, "desc\">")
	w.escape(s.Desc)
	w.str("</desc>\n")
	w.patterns()
}

// patterns writes the two hatchings, so that greyscale keeps them apart.
func (w *writer) patterns() {
	w.str("<defs>")
	for k := range inkCount {
		switch look := looks[k]; look.Hatch {
		case Strokes:
			p := HatchStep * w.s.Unit
			w.pattern(k, p, ` patternTransform="rotate(45)"`, look)
			w.str(`<path fill="none" d="M`)
			w.n(p / 2)
			w.str(" 0V")
			w.n(p)
			w.str(`" stroke="`, colour(look.Stroke), `"`)
			w.fine("stroke-width", HatchLine*w.s.Unit)
			w.str(`/></pattern>`)
		case Dots:
			p := DotStep * w.s.Unit
			w.pattern(k, p, "", look)
			w.str(`<circle stroke="none" fill="`, colour(look.Stroke), `"`)
			w.fine("cx", p/2)
			w.fine("cy", p/2)
			w.fine("r", DotSize*w.s.Unit)
			w.str(`/></pattern>`)
		}
	}
	w.str("</defs>\n")
}

// Hatchings, in Scene.Unit.
const (
	HatchStep = 4.2 // from stroke to stroke
	HatchLine = 1.1 // width of a stroke
	DotStep   = 4.4 // from dot to dot
	DotSize   = 0.9 // radius of a dot
)

func (w *writer) pattern(k Ink, p float64, more string, look Look) {
	w.str(`<pattern id="`, w.s.Prefix, "hatch", strconv.Itoa(int(k)), `" patternUnits="userSpaceOnUse"`, more)
	w.fine("width", p)
	w.fine("height", p)
	w.str(`><rect stroke="none" fill="`, colour(look.Fill), `"`)
	w.fine("width", p)
	w.fine("height", p)
	w.str("/>")
}

func colour(c uint32) string {
	const hex = "0123456789abcdef"
	b := [7]byte{'#'}
	for i := range 6 {
		b[6-i] = hex[c&15]
		c >>= 4
	}
	if b[1] == b[2] && b[3] == b[4] && b[5] == b[6] {
		return string([]byte{'#', b[1], b[3], b[5]})
	}
	return string(b[:])
}

// paint writes an ink's attributes unless the group around has them already.
func (w *writer) paint(k Ink, kind Kind) {
	if k == w.groups[len(w.groups)-1] || k == InkNone {
		return
	}
	look := k.Look()
	switch look.Hatch {
	case Clear:
		if kind != Lines { // strokes enclose nothing
			w.str(` fill="none"`)
		}
	case Unseen:
		w.str(` fill-opacity="0"`)
	case Solid:
		w.str(` fill="`, colour(look.Fill), `"`)
	default:
		w.str(` fill="url(#`, w.s.Prefix, "hatch", strconv.Itoa(int(k)), `)"`)
	}
	switch {
	case look.Halo:
		w.str(` stroke="`, colour(paper), `" stroke-width=".2em" paint-order="stroke"`)
	case look.Weight > 0:
		w.str(` stroke="`, colour(look.Stroke), `"`)
		w.fine("stroke-width", look.Weight*w.s.Unit)
	default:
		w.str(` stroke="none"`)
	}
	if look.Bold {
		w.str(` font-weight="700"`)
	}
	if look.Italic {
		w.str(` font-style="italic"`)
	}
}

func (w *writer) item(it *Item) {
	switch it.Kind {
	case Open:
		w.open(it)
	case Close:
		w.close()
	case Polygon:
		w.str("<path")
		w.shape(it)
		w.str(` d="`)
		w.run(it.Points)
		w.str("z\"/>")
	case Lines:
		w.str("<path")
		w.shape(it)
		w.str(` d="`)
		for i := 0; i+1 < len(it.Points); i += 2 {
			w.run(it.Points[i : i+2])
		}
		w.str("\"/>")
	case Ellipse:
		w.ellipse(it)
	case Segment:
		w.segment(it)
	case Text:
		w.text(it)
	case Picture:
		w.picture(it)
	}
}

func (w *writer) shape(it *Item) {
	w.paint(it.Ink, it.Kind)
	if it.Dashed {
		d := 3 * w.s.Unit
		w.str(` stroke-dasharray="`)
		w.n(d)
		w.str(" ")
		w.n(d * 0.7)
		w.str(`"`)
	}
}

// run writes points as a path: one absolute, the others relative to the last
// as written, so that rounding does not add up.
func (w *writer) run(pts []Point) {
	var x, y int64
	for i, p := range pts {
		px, py := int64(math.Round(p.X*10)), int64(math.Round(p.Y*10))
		w.str([...]string{"M", "l"}[min(i, 1)])
		w.tenths(px - x)
		if py >= y {
			w.str(" ")
		}
		w.tenths(py - y)
		x, y = px, py
	}
}

func (w *writer) ellipse(it *Item) {
	if it.RX == it.RY {
		w.str("<circle")
		w.shape(it)
		w.attr("r", it.RX)
	} else {
		w.str("<ellipse")
		w.shape(it)
		w.attr("rx", it.RX)
		w.attr("ry", it.RY)
		if it.Angle != 0 {
			w.str(` transform="rotate(`)
			w.n(-it.Angle * 180 / math.Pi)
			w.str(" ")
			w.n(it.Center.X)
			w.str(" ")
			w.n(it.Center.Y)
			w.str(`)"`)
		}
	}
	w.attr("cx", it.Center.X)
	w.attr("cy", it.Center.Y)
	w.str("/>")
}

// rim is the point of an item's circle in a direction.
func (it *Item) rim(a float64) Point {
	sin, cos := math.Sincos(a)
	return Point{it.Center.X + it.RX*cos, it.Center.Y - it.RX*sin}
}

func (w *writer) segment(it *Item) {
	w.str("<path")
	w.shape(it)
	w.str(` d="`)
	w.run([]Point{it.rim(it.Angle - it.Half)})
	w.str("A")
	w.n(it.RX)
	w.str(" ")
	w.n(it.RX)
	w.str(" 0 0 0 ")
	e := it.rim(it.Angle + it.Half)
	w.n(e.X)
	w.str(" ")
	w.n(e.Y)
	w.str("z\"/>")
}

func (w *writer) text(it *Item) {
	w.str("<text")
	w.paint(it.Ink, it.Kind)
	w.attr("x", it.Center.X)
	w.attr("y", it.Center.Y)
	if it.Size != w.sizes[len(w.sizes)-1] {
		w.attr("font-size", it.Size)
		if !it.Start {
			w.str(` text-anchor="middle"`)
		}
	}
	if it.Width > 0 {
		w.attr("textLength", it.Width)
	}
	w.str(">")
	w.escape(it.Text)
	w.str("</text>")
}

func (w *writer) picture(it *Item) {
	a, b := it.Points[0], it.Points[1]
	w.str("<image")
	w.quoted("href", it.Href)
	w.attr("x", a.X)
	w.attr("y", a.Y)
	w.attr("width", b.X-a.X)
	w.attr("height", b.Y-a.Y)
	w.str(` preserveAspectRatio="none"/>`)
}

func (w *writer) quoted(name, value string) {
	w.str(" ", name, `="`)
	w.escape(value)
	w.str(`"`)
}

func (w *writer) open(it *Item) {
	w.links = append(w.links, it.Href != "")
	if it.Href != "" {
		w.str("<a")
		w.quoted("href", it.Href)
		w.str(` tabindex="-1">`)
	}
	w.str("<g")
	if it.Name != "" {
		w.quoted("id", it.Name)
	}
	if it.Designator != "" {
		w.quoted("data-designator", it.Designator)
	}
	if it.Class != "" {
		w.quoted("class", it.Class)
	}
	w.paint(it.Ink, it.Kind)
	size := w.sizes[len(w.sizes)-1]
	if it.Size > 0 && it.Size != size {
		size = it.Size
		w.attr("font-size", size)
		w.str(` text-anchor="middle"`)
	}
	w.sizes = append(w.sizes, size)
	w.str(">")
	if it.Title != "" {
		w.str("<title>")
		w.escape(it.Title)
		w.str("</title>")
	}
	k := it.Ink
	if k == InkNone {
		k = w.groups[len(w.groups)-1]
	}
	w.groups = append(w.groups, k)
}

func (w *writer) close() {
	w.groups = w.groups[:len(w.groups)-1]
	w.sizes = w.sizes[:len(w.sizes)-1]
	w.str("</g>")
	n := len(w.links) - 1
	if w.links[n] {
		w.str("</a>")
	}
	w.links = w.links[:n]
	w.str("\n")
}

// escape writes text for elements and attributes. What XML 1.0 forbids is
// replaced, whatever a map holds.
func (w *writer) escape(s string) {
	for i := 0; i < len(s); {
		r, n := utf8.DecodeRuneInString(s[i:])
		switch {
		case r == '&':
			w.str("&amp;")
		case r == '<':
			w.str("&lt;")
		case r == '>':
			w.str("&gt;")
		case r == '"':
			w.str("&quot;")
		case r == '\n' || r == '\t' || r == '\r':
			w.str(" ")
		case r < ' ' || r == utf8.RuneError && n <= 1 || r == 0xfffe || r == 0xffff:
			w.str("\ufffd")
		default:
			w.str(s[i : i+n])
		}
		i += n
	}
}
