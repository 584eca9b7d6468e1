package api

import (
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"boardlore/store"
)

type draftsAnswer struct {
	Drafts []draftAnswer `json:"drafts"`
}

type draftAnswer struct {
	Draft   string    `json:"draft"`
	Version int       `json:"version"`
	Title   string    `json:"title"`
	Digest  string    `json:"digest"`
	Bytes   int       `json:"bytes"`
	SavedAt time.Time `json:"saved_at"`
	Shared  bool      `json:"shared"` // there is a link to it
	Links   links     `json:"links"`
}

type draftLinkAnswer struct {
	Draft string `json:"draft"`
	Link  string `json:"link"` // the secret, told once
	Links links  `json:"links"`
}

func draftOf(d *store.Draft) draftAnswer {
	under := pathOf("drafts", d.ID)
	return draftAnswer{Draft: d.ID, Version: d.Version, Title: d.Title, Digest: d.Digest, Bytes: d.Bytes,
		SavedAt: d.SavedAt, Shared: d.Shared,
		Links: links{"self": under, "versions": under + "/versions", "link": under + "/link",
			"check": pathOf("maps", "check"), "submit": pathOf("proposals")}}
}

// private keeps an answer that is one account's own out of every cache.
func private(c echo.Context) { c.Response().Header().Set("Cache-Control", "private, no-store") }

func (s *server) drafts(c echo.Context) error {
	ds, err := s.store.Drafts(c.Request().Context(), actor(c))
	return replyDrafts(c, ds, err)
}

func (s *server) draftVersions(c echo.Context) error {
	ds, err := s.store.DraftVersions(c.Request().Context(), actor(c), c.Param("draft"))
	return replyDrafts(c, ds, err)
}

func replyDrafts(c echo.Context, ds []store.Draft, err error) error {
	if err != nil {
		return err
	}
	private(c)
	a := draftsAnswer{Drafts: make([]draftAnswer, len(ds))}
	for i := range ds {
		a.Drafts[i] = draftOf(&ds[i])
	}
	return reply(c, http.StatusOK, a)
}

// draft answers the document of a draft under its digest.
func (s *server) draft(c echo.Context) error {
	d, err := s.store.Draft(c.Request().Context(), actor(c), c.Param("draft"), number(c, "version", 0))
	if err != nil {
		return err
	}
	private(c)
	return sendTagged(c, "application/json", d.Digest, d.Document)
}

// sharedDraft answers the draft that a link leads to, to whoever has the link.
func (s *server) sharedDraft(c echo.Context) error {
	d, err := s.store.SharedDraft(c.Request().Context(), c.QueryParam("link"))
	if err != nil {
		return err
	}
	private(c)
	return sendTagged(c, "application/json", d.Digest, d.Document)
}

// saveDraft saves a draft: 201 where it is new, else 200.
func (s *server) saveDraft(c echo.Context) error {
	var object map[string]any
	body, err := readJSON(c, "draft", &object)
	if err != nil {
		return err
	}
	put := store.DraftPut{Draft: c.Param("draft"), Document: body,
		IfNoneMatch: strings.TrimSpace(c.Request().Header.Get("If-None-Match")) == "*"}
	tags, err := ifMatch(c.Request().Header)
	if err != nil {
		return err
	}
	if len(tags) > 0 {
		put.IfMatch = tags[0]
	}
	d, created, err := s.store.PutDraft(c.Request().Context(), actor(c), put)
	if err != nil {
		return err
	}
	private(c)
	status := http.StatusOK
	if created {
		status = http.StatusCreated
		c.Response().Header().Set("Location", pathOf("drafts", d.ID))
	}
	return replyTagged(c, status, d.Digest, draftOf(d))
}

func (s *server) deleteDraft(c echo.Context) error {
	if err := s.store.DeleteDraft(c.Request().Context(), actor(c), c.Param("draft")); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}

// shareDraft makes a link by which a draft can be read without an account.
func (s *server) shareDraft(c echo.Context) error {
	secret, err := s.store.ShareDraft(c.Request().Context(), actor(c), c.Param("draft"))
	if err != nil {
		return err
	}
	private(c)
	to := pathOf("shared-draft") + "?link=" + secret
	c.Response().Header().Set("Location", to)
	return reply(c, http.StatusCreated, draftLinkAnswer{Draft: c.Param("draft"), Link: secret,
		Links: links{"draft": to}})
}

func (s *server) unshareDraft(c echo.Context) error {
	if err := s.store.UnshareDraft(c.Request().Context(), actor(c), c.Param("draft")); err != nil {
		return err
	}
	return c.NoContent(http.StatusNoContent)
}
