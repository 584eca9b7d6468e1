package pages

import (
	"bytes"
	"encoding/xml"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"
	"golang.org/x/image/vector"

	"boardlore/api"
	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/store"
)

// shared is what a page says of itself to whoever links to it or searches for
// what it shows.
type shared struct {
	Address string // the page's own, without what only changes the view
	Title   message.Message
	Text    message.Message
	Picture string
	Board   *structured // what search engines read, in the terms of schema.org
	Embed   string
}

// structured is a board as a technical article about a product.
type structured struct {
	Context  string    `json:"@context"`
	Type     string    `json:"@type"`
	Name     string    `json:"headline"`
	URL      string    `json:"url"`
	Image    string    `json:"image"`
	Keywords []string  `json:"keywords"`
	Version  int       `json:"version"`
	Modified time.Time `json:"dateModified"`
	License  string    `json:"license,omitempty"`
	About    product   `json:"about"`
}

type product struct {
	Type  string   `json:"@type"`
	Name  string   `json:"name"`
	MPN   []string `json:"mpn,omitempty"`
	Brand brand    `json:"brand"`
	Model string   `json:"model"`
}

type brand struct {
	Type string `json:"@type"`
	Name string `json:"name"`
}

// sharedOf tells of a board.
func (p *Pages) sharedOf(c echo.Context, b *boardPage) *shared {
	here := p.here(c)
	s := &shared{Address: here + query("/boards/"+b.Board.ID, "variant", b.Variant), Title: message.Text(b.Name()),
		Picture: here + "/boards/" + b.Board.ID + "/card.png?v=" + short(b.Revision.Digest)}
	s.Text = t("share.text", message.Commas(b.Map.Markings), b.Counts["replace"], len(b.Map.Positions))
	s.Embed = here + query("/oembed", "url", s.Address)
	marks := b.Map.Markings
	for i := range b.Base.Variants {
		marks = append(marks[:len(marks):len(marks)], b.Base.Variants[i].Markings...)
	}
	s.Board = &structured{Context: "https://schema.org", Type: "TechArticle", Name: b.Name(), URL: s.Address,
		Image: s.Picture, Keywords: append(marks, b.Board.ID),
		Version: b.Revision.Number, Modified: b.Revision.ReleasedAt,
		About: product{Type: "Product", Name: b.Name(), MPN: marks, Model: b.Map.Equipment.Model,
			Brand: brand{"Brand", b.Map.Equipment.Maker}}}
	if b.Map.Licence == "" || b.Map.Licence == "CC0-1.0" {
		s.Board.License = "https://creativecommons.org/publicdomain/zero/1.0/"
	}
	return s
}

// pictures keeps the small pictures of boards that were asked for lately.
type pictures struct {
	mu   sync.Mutex
	kept map[string][]byte
}

// maxPictures is how many are kept; an outline seldom has more than 40 kB.
const maxPictures = 256

// of gives the picture of a name, made where it is not kept.
func (ps *pictures) of(name string, make func() ([]byte, error)) ([]byte, error) {
	ps.mu.Lock()
	b, ok := ps.kept[name]
	ps.mu.Unlock()
	if ok {
		return b, nil
	}
	b, err := make()
	if err != nil {
		return nil, err
	}
	ps.mu.Lock()
	defer ps.mu.Unlock()
	if ps.kept == nil || len(ps.kept) >= maxPictures {
		ps.kept = map[string][]byte{}
	}
	ps.kept[name] = b
	return b, nil
}

// thumbnail is a board's outline and parts alone, as SVG.
func (p *Pages) thumbnail(c echo.Context) error {
	return p.picture(c, "image/svg+xml", func(m *board.Map) ([]byte, error) { return drawing.Thumbnail(m), nil })
}

// card is the same as PNG, in the proportions in which links are shown.
func (p *Pages) card(c echo.Context) error { return p.picture(c, "image/png", cardOf) }

// picture answers a picture that hangs on the board's current map alone.
func (p *Pages) picture(c echo.Context, kind string, draw func(*board.Map) ([]byte, error)) error {
	if err := p.gate.Take(c, store.Actor{}, api.Reads); err != nil {
		return err
	}
	ctx := c.Request().Context()
	b, err := p.store.Board(ctx, param(c, "board"))
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set("ETag", `"`+b.Digest+`"`)
	h.Set("Cache-Control", "public, max-age=300")
	if c.QueryParam("v") == short(b.Digest) {
		h.Set("Cache-Control", "public, max-age=86400") // no longer than a withdrawal may take to reach people
	}
	if strings.Contains(c.Request().Header.Get("If-None-Match"), b.Digest) {
		return c.NoContent(http.StatusNotModified)
	}
	data, err := p.pictures.of(kind+b.Digest, func() ([]byte, error) {
		if err := p.gate.Turn(c, store.Actor{}); err != nil {
			return nil, err
		}
		r, err := p.store.Revision(ctx, b.ID, 0, "")
		if err != nil {
			return nil, err
		}
		return draw(r.Map)
	})
	if err != nil {
		return err
	}
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	return api.Send(c, http.StatusOK, kind, data)
}

// The card, in pixels.
const (
	cardWide, cardTall = 1200, 630
	cardRoom           = 40
	cardLine           = 1.6
)

// cardOf fills the board's silhouettes on paper.
func cardOf(m *board.Map) ([]byte, error) {
	shapes, w, h := drawing.Silhouettes(m)
	scale := math.Min((cardWide-2*cardRoom)/w, (cardTall-2*cardRoom)/h)
	dx, dy := (cardWide-w*scale)/2, (cardTall-h*scale)/2
	dst := image.NewPaletted(image.Rect(0, 0, cardWide, cardTall), color.Palette{rgb(0xfdfcf8), rgb(0xf3eee0),
		rgb(0x1c1a17), rgb(0x9a2f0e), rgb(0x164f7a), rgb(0x5f5a52)})
	draw.Draw(dst, dst.Bounds(), image.NewUniform(rgb(0xfdfcf8)), image.Point{}, draw.Src)
	place := func(p drawing.Point) drawing.Point { return drawing.Point{X: p.X*scale + dx, Y: p.Y*scale + dy} }
	for i := range shapes {
		look, ps := shapes[i].Ink.Look(), shapes[i].Outline()
		for k, p := range ps {
			ps[k] = place(p)
		}
		fill(dst, ps, rgb(look.Stroke))
		if k := shapes[i].Ink; k == drawing.InkBoard || k == drawing.InkLeave {
			fill(dst, inset(ps, cardLine), rgb(look.Fill))
		}
	}
	var b bytes.Buffer
	err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, dst)
	return b.Bytes(), err
}

func rgb(c uint32) color.RGBA { return color.RGBA{uint8(c >> 16), uint8(c >> 8), uint8(c), 0xff} }

// inset moves the corners of a shape towards its middle.
func inset(ps []drawing.Point, by float64) []drawing.Point {
	var mid drawing.Point
	for _, p := range ps {
		mid.X, mid.Y = mid.X+p.X/float64(len(ps)), mid.Y+p.Y/float64(len(ps))
	}
	out := make([]drawing.Point, len(ps))
	towards := func(x, to float64) float64 { return x + math.Copysign(math.Min(by, math.Abs(to-x)), to-x) }
	for i, p := range ps {
		out[i] = drawing.Point{X: towards(p.X, mid.X), Y: towards(p.Y, mid.Y)}
	}
	return out
}

// fill paints a shape, antialiased, within the pixels that it covers.
func fill(dst draw.Image, ps []drawing.Point, c color.Color) {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range ps {
		x0, y0, x1, y1 = min(x0, p.X), min(y0, p.Y), max(x1, p.X), max(y1, p.Y)
	}
	at := image.Rect(int(x0), int(y0), int(x1)+1, int(y1)+1).Intersect(dst.Bounds())
	if at.Empty() {
		return
	}
	z := vector.NewRasterizer(at.Dx(), at.Dy())
	for i, p := range ps {
		x, y := float32(p.X-float64(at.Min.X)), float32(p.Y-float64(at.Min.Y))
		if i == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(dst, at, image.NewUniform(c), image.Point{})
}

// shortAddress leads from an address that fits a label to the board's page.
func (p *Pages) shortAddress(c echo.Context, _ *visit) error {
	b, err := p.store.Board(c.Request().Context(), strings.ToLower(param(c, "board")))
	if err != nil {
		return err
	}
	return c.Redirect(http.StatusFound, "/boards/"+b.ID)
}

// drawingOf is the address of a board's drawing, apart from its ID.
const drawingOf, drawingFile = "/v1/boards/", "/drawing.svg"

// embed answers oEmbed 1.0 (https://oembed.com) for a board's page, with its
// card, and for its drawing, with the drawing itself.
func (p *Pages) embed(c echo.Context, _ *visit) error {
	u, err := url.Parse(c.QueryParam("url"))
	id, drawn := "", false
	if err == nil {
		if id, drawn = strings.CutPrefix(u.Path, drawingOf); drawn {
			id, drawn = strings.CutSuffix(id, drawingFile)
		} else {
			id = strings.TrimPrefix(u.Path, "/boards/")
		}
	}
	if id == "" || p.here(c) != u.Scheme+"://"+u.Host || strings.Contains(id, "/") {
		return fault.New(fault.NotFound, "board-unknown", "page.error.board", id)
	}
	if f := c.QueryParam("format"); f != "" && f != "json" {
		return c.NoContent(http.StatusNotImplemented) // as oEmbed says for a format that is not spoken
	}
	b, err := p.store.Board(c.Request().Context(), id)
	if err != nil {
		return err
	}
	address, w, h := p.here(c)+"/boards/"+b.ID+"/card.png?v="+short(b.Digest), float64(cardWide), float64(cardTall)
	if drawn {
		address = p.here(c) + drawingOf + b.ID + drawingFile
		if u.RawQuery != "" {
			address += "?" + u.RawQuery
		}
		h = w * b.Size.Height / b.Size.Width
	}
	w, h = within(w, h, c.QueryParam("maxwidth"), c.QueryParam("maxheight"))
	return sendJSON(c, map[string]any{"version": "1.0", "type": "photo", "title": board.Called(&b.Equipment, b.Name),
		"url": address, "width": int(w), "height": int(h),
		"provider_name": languageOf(c).Speak(t("site")), "provider_url": p.here(c) + "/", "cache_age": 300})
}

// within makes a picture's size no more than the bounds that are given.
func within(w, h float64, most, tallest string) (float64, float64) {
	by := 1.0
	if x, err := strconv.Atoi(most); err == nil && x > 0 {
		by = min(by, float64(x)/w)
	}
	if y, err := strconv.Atoi(tallest); err == nil && y > 0 {
		by = min(by, float64(y)/h)
	}
	return max(1, w*by), max(1, h*by)
}

// sitemapPage is how many boards one site map names; the protocol
// (https://www.sitemaps.org) allows 50,000.
const sitemapPage = 10_000

type sitemap struct {
	XMLName xml.Name
	Pages   []place `xml:"url,omitempty"`
	Maps    []place `xml:"sitemap,omitempty"`
}

type place struct {
	Location string `xml:"loc"`
	Modified string `xml:"lastmod,omitempty"`
}

const sitemapSpace = "http://www.sitemaps.org/schemas/sitemap/0.9"

// siteMap names the boards, and further site maps where they are many.
func (p *Pages) siteMap(c echo.Context, _ *visit) error {
	after := c.QueryParam("after")
	boards, err := p.store.Addresses(c.Request().Context(), after, sitemapPage+1)
	if err != nil {
		return err
	}
	m := sitemap{XMLName: xml.Name{Space: sitemapSpace, Local: "urlset"}}
	if _, part := c.QueryParams()["after"]; !part && len(boards) > sitemapPage {
		starts, err := p.store.AddressStarts(c.Request().Context(), sitemapPage)
		if err != nil {
			return err
		}
		m.XMLName.Local = "sitemapindex"
		for _, id := range starts {
			m.Maps = append(m.Maps, place{Location: p.here(c) + "/sitemap.xml?after=" + url.QueryEscape(id)})
		}
	} else {
		for _, b := range boards[:min(len(boards), sitemapPage)] {
			m.Pages = append(m.Pages, place{p.here(c) + "/boards/" + b.ID, date(b.ReleasedAt)})
		}
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=3600")
	return c.XML(http.StatusOK, m)
}

// robots leads to the site map and keeps crawlers from what costs work and
// says nothing of its own.
func (p *Pages) robots(c echo.Context, _ *visit) error {
	return api.Send(c, http.StatusOK, "text/plain; charset=UTF-8",
		[]byte("User-agent: *\nDisallow: /*/kit-check\nDisallow: /*/job\nDisallow: /*?mark=\nDisallow: /sign-in\nSitemap: "+p.here(c)+"/sitemap.xml\n"))
}
