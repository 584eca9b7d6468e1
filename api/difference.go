package api

import (
	"cmp"
	"fmt"
	"net/http"

	"github.com/go-json-experiment/json"
	"github.com/labstack/echo/v4"
	"github.com/maypok86/otter/v2"

	"boardlore/domain/board"
	"boardlore/domain/drawing"
	"boardlore/domain/message"
	"boardlore/store"
)

type differenceAnswer struct {
	Board   string                  `json:"board"`
	From    differenceEnd           `json:"from"`
	To      differenceEnd           `json:"to"`
	Changes []board.DifferenceEntry `json:"changes"`
	Summary board.DifferenceSummary `json:"summary"`
}

type differenceEnd struct {
	Revision int    `json:"revision"`
	Variant  string `json:"variant,omitzero"`
	Digest   string `json:"digest"`
}

// differences compares two revisions, or two variants, of a board.
func (s *server) differences(c echo.Context) error {
	from, to, err := s.ends(c)
	if err != nil {
		return err
	}
	if c.QueryParam("from") != "" && c.QueryParam("to") != "" {
		cacheDaily(c)
	}
	a, b, err := alike(from, to)
	if err != nil {
		return err
	}
	d := board.Diff(a, b)
	switch c.QueryParam("as") {
	case "text":
		return send(c, http.StatusOK, "text/plain; charset=utf-8", []byte(d.Text(tongue(c))))
	case "json-patch":
		// The patch is for whoever holds the documents, as they were fetched.
		operations, err := board.Patch(from.Map, to.Map)
		if err != nil {
			return err
		}
		patch, err := json.Marshal(operations, json.Deterministic(true))
		if err != nil {
			return err
		}
		return send(c, http.StatusOK, "application/json-patch+json", append(patch, '\n'))
	case "svg":
		return send(c, http.StatusOK, "image/svg+xml", drawing.Compare(a, b, d, drawing.Options{
			In: tongue(c), Side: board.Side(c.QueryParam("side")), Revision: to.Number, Variant: to.Variant,
			Digest: to.Digest, Date: day(to)}))
	}
	return reply(c, http.StatusOK, differenceAnswer{Board: to.Board, From: differenceEnd{from.Number, from.Variant,
		from.Digest},
		To: differenceEnd{to.Number, to.Variant, to.Digest}, Changes: full(d.Changes), Summary: d.Summary})
}

// alike gives the maps of both ends. Where one is that of a build, the base
// map is taken as a build too: that a build has no variants of its own is no
// difference.
func alike(from, to *store.Revision) (a, b *board.Map, err error) {
	a, b = from.Map, to.Map
	switch {
	case from.Variant == "" && to.Variant != "":
		a, err = a.Effective("")
	case from.Variant != "" && to.Variant == "":
		b, err = b.Effective("")
	}
	return a, b, err
}

// ends are the two maps to compare: to is the current revision where it is
// absent, from the one before it, or the same where the builds differ. variant
// is the build on both ends but for one that has a build of its own.
func (s *server) ends(c echo.Context) (from, to *store.Revision, err error) {
	ctx, name := c.Request().Context(), c.Param("board")
	variant := c.QueryParam("variant")
	fromVariant, toVariant := cmp.Or(c.QueryParam("from_variant"), variant), cmp.Or(c.QueryParam("to_variant"), variant)
	if to, err = s.store.Revision(ctx, name, number(c, "to", 0), toVariant); err != nil {
		return nil, nil, err
	}
	n := number(c, "from", 0)
	if n == 0 {
		if n = to.Number; fromVariant == toVariant {
			if n, err = s.store.Before(ctx, name, to.Number); err != nil {
				return nil, nil, err
			}
		}
	}
	if n == 0 {
		return nil, nil, refuse("revision-unknown", "api.revision-unknown", to.Number, name)
	}
	from, err = s.store.Revision(ctx, name, n, fromVariant)
	return from, to, err
}

// day is when a revision was released, as a drawing shows it.
func day(r *store.Revision) string { return r.ReleasedAt.UTC().Format("2006-01-02") }

// drawing draws one side of a map.
func (s *server) drawing(c echo.Context) error {
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), number(c, "revision", 0),
		c.QueryParam("variant"))
	if err != nil {
		return err
	}
	if c.QueryParam("revision") != "" {
		cacheDaily(c)
	}
	o := drawing.Options{In: drawnIn(c), Side: board.Side(c.QueryParam("side")), Marks: c.QueryParams()["mark"],
		Revision: rev.Number,
		Variant:  rev.Variant, Digest: rev.Digest, Date: day(rev)}
	k := drawn{o.In.Tag, o.Digest, o.Date, string(o.Side), o.Variant, fmt.Sprintf("%q", o.Marks), o.Revision}
	if d, ok := s.drawings.GetIfPresent(k); ok {
		return sendSummed(c, svgMedia, d.sum, d.sum, d.svg)
	}
	if err := s.labour(c); err != nil {
		return err
	}
	svg := drawing.Board(rev.Map, o)
	d := summed{svg, hash(svg)}
	s.drawings.Set(k, d)
	return sendSummed(c, svgMedia, d.sum, d.sum, d.svg)
}

// drawnIn is the language of a drawing: that of its address, which a page that
// is read in another language than the browser asks for gives, else the asker's.
func drawnIn(c echo.Context) *message.Language {
	l := message.Named(c.QueryParam("language"))
	if l == nil {
		return tongue(c)
	}
	c.Response().Header().Set("Content-Language", l.Tag)
	return l
}

const svgMedia = "image/svg+xml"

// drawn is all that a drawing shows or is made by.
type drawn struct {
	language, digest, date, side, variant, marks string
	revision                                     int
}

type summed struct {
	svg []byte
	sum string
}

// keptDrawings is how many bytes of drawings are kept.
const keptDrawings = 64 << 20

func newDrawings() *otter.Cache[drawn, summed] {
	return otter.Must(&otter.Options[drawn, summed]{MaximumWeight: keptDrawings,
		Weigher: func(k drawn, d summed) uint32 { return uint32(len(d.svg) + len(k.marks) + 512) }})
}

// labour draws a computation on the caller's allowance and waits for its turn,
// where a route is a mere read unless something has to be made.
func (s *server) labour(c echo.Context) error { return s.gate.Labour(c, actor(c)) }
