package api

import (
	"net/http"

	"github.com/labstack/echo/v4"

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
	c.Response().Header().Set("Location", at("photographs", p.SHA256))
	return reply(c, status, photographOf(p))
}

func photographOf(p *store.Photograph) photographAnswer {
	return photographAnswer{p.SHA256, p.Type, p.Bytes, p.Width, p.Height, links{"self": at("photographs", p.SHA256)}}
}

func (s *server) photograph(c echo.Context) error {
	p, err := s.store.Photograph(c.Request().Context(), c.Param("sha256"))
	if err != nil {
		return err
	}
	daily(c)
	c.Response().Header().Set("Repr-Digest", reprDigest(p.SHA256))
	return sendTagged(c, http.StatusOK, p.Type, p.SHA256, p.Data)
}
