package api

import (
	"fmt"
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/photograph"
	"boardlore/store"
)

type photographAnswer struct {
	SHA256 string `json:"sha256"` // of the bytes as kept, without the place where it was taken
	Type   string `json:"type"`
	Bytes  int    `json:"bytes"`
	Width  int    `json:"width"`
	Height int    `json:"height"`
	Links  links  `json:"links"`
}

// keepPhotograph keeps a photograph once; the same one again answers 200.
func (s *server) keepPhotograph(c echo.Context) error {
	body, _, err := readBody(c, "image/jpeg", "image/png", "image/webp", "application/octet-stream")
	if err != nil {
		return err
	}
	p, created, err := s.store.PutPhotograph(c.Request().Context(), actor(c), body)
	if err != nil {
		return err
	}
	status := http.StatusOK
	if created {
		status = http.StatusCreated
	}
	c.Response().Header().Set("Location", pathOf("photographs", p.SHA256))
	return reply(c, status, photographOf(p))
}

func photographOf(p *store.Photograph) photographAnswer {
	return photographAnswer{p.SHA256, p.Type, p.Bytes, p.Width, p.Height, links{"self": pathOf("photographs", p.SHA256)}}
}

func (s *server) photograph(c echo.Context) error {
	p, err := s.store.Photograph(c.Request().Context(), c.Param("sha256"))
	if err != nil {
		return err
	}
	cacheDaily(c)
	return sendSummed(c, p.Type, p.SHA256, p.SHA256, p.Data)
}

// flatWidth is how wide a flattened photograph is where nothing is said.
const flatWidth = 1200

var flatMedia = []string{"image/jpeg", "image/png"}

// flatPhotograph answers the photograph of one side, laid flat onto the frame.
func (s *server) flatPhotograph(c echo.Context) error {
	media := accepted(c.Request().Header.Get("Accept"), flatMedia...)
	if media == "" {
		return refuse("not-acceptable", "api.not-acceptable")
	}
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), number(c, "revision", 0), "")
	if err != nil {
		return err
	}
	side := board.Top
	if c.QueryParam("side") == string(board.Bottom) {
		side = board.Bottom
	}
	width, err := flatAsked(c, rev)
	if err != nil {
		return err
	}
	f, err := s.store.FlatPhotograph(c.Request().Context(), rev, side)
	if err != nil {
		return err
	}
	c.Response().Header().Add("Vary", "Accept")
	if c.QueryParam("revision") != "" {
		cacheDaily(c)
	}
	tag := hash(fmt.Appendf(nil, "%s %d %s", f.Tag, width, media))
	if done, err := conditional(c, tag); done || err != nil {
		return err
	}
	body, err := scaledFlat(f, width, media)
	if err != nil {
		return err
	}
	return sendTagged(c, media, tag, body)
}

func scaledFlat(f *store.Flat, width int, media string) ([]byte, error) {
	sheet := photograph.SheetOf(f.Sheet.Size, f.Sheet.Bottom, width)
	if media == "image/png" {
		return f.Plane.ScaleCut(f.JPEG, sheet, f.Width, f.Height)
	}
	return photograph.Scale(f.JPEG, sheet)
}

// flatAsked is the width that is asked for, held to what the board's shape allows.
func flatAsked(c echo.Context, rev *store.Revision) (int, error) {
	most := photograph.WidestFlat([2]float64{rev.Map.Frame.Width, rev.Map.Frame.Height})
	asked := c.QueryParam("width")
	if asked == "" {
		return min(flatWidth, most), nil
	}
	n, err := strconv.Atoi(asked)
	if err == nil && n >= 1 && n <= most && asked[0] != '+' {
		return n, nil
	}
	p := refuse("photograph-width", "api.photograph-width", clip(asked), most)
	p.Errors = []ProblemError{{Parameter: "width", Code: "photograph-width", Severity: finding.Stop, Detail: p.Detail,
		Found: clip(asked)}}
	return 0, p
}
