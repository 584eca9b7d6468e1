package api

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/labstack/echo/v4"

	"boardlore/domain/finding"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/store"
)

type kitsAnswer struct {
	Kits []kitAnswer `json:"kits"`
	Next string      `json:"next,omitzero"`
}

// kitAnswer tells of a kept kit; the document itself is at links.self.
type kitAnswer struct {
	Kit      string            `json:"kit"`
	Title    string            `json:"title"`
	Version  int               `json:"version"`
	Digest   string            `json:"digest"`
	Owner    string            `json:"owner"`
	KeptBy   string            `json:"kept_by"` // who kept this version
	KeptAt   time.Time         `json:"kept_at"`
	Findings []finding.Finding `json:"findings,omitzero"`
	Links    links             `json:"links"`
}

func kitOf(k *store.Kit) kitAnswer {
	under := pathOf("kits", k.ID)
	return kitAnswer{Kit: k.ID, Title: k.Title, Version: k.Version, Digest: k.Digest, Owner: k.Owner, KeptBy: k.KeptBy,
		KeptAt:   k.KeptAt,
		Findings: k.Findings, Links: links{"self": under, "version": kitPath(k), "versions": under + "/versions",
			"boards": under + "/boards"}}
}

func kitPath(k *store.Kit) string {
	return pathOf("kits", k.ID) + "?version=" + strconv.Itoa(k.Version)
}

func (s *server) kits(c echo.Context) error {
	list, err := s.store.Kits(c.Request().Context(), store.KitFilter{Board: c.QueryParam("board"), Page: page(c)})
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, kitList(c, list))
}

func (s *server) kitVersions(c echo.Context) error {
	list, err := s.store.KitVersions(c.Request().Context(), c.Param("kit"), page(c))
	if err != nil {
		return err
	}
	return reply(c, http.StatusOK, kitList(c, list))
}

func kitList(c echo.Context, list store.List[store.Kit]) kitsAnswer {
	a := kitsAnswer{Kits: make([]kitAnswer, len(list.Items)), Next: nextLink(c, list.Next)}
	for i := range list.Items {
		a.Kits[i] = kitOf(&list.Items[i])
	}
	return a
}

// kit answers the document of a kept kit under its digest.
func (s *server) kit(c echo.Context) error {
	version := number(c, "version", 0)
	k, err := s.store.Kit(c.Request().Context(), c.Param("kit"), version)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	if version > 0 {
		cacheImmutable(c)
	} else {
		h.Set("Content-Location", kitPath(k))
	}
	under := pathOf("kits", k.ID)
	h.Add("Link", "<"+under+`/versions>; rel="version-history", </v1/schemas/kit>; rel="describedby"`)
	return sendTagged(c, "application/json", k.Digest, k.Canonical)
}

type kitBoardsAnswer struct {
	Kit    string           `json:"kit"`
	Boards []kitBoardAnswer `json:"boards"`
}

type kitBoardAnswer struct {
	Board    string      `json:"board"`
	Name     string      `json:"name"`
	Revision int         `json:"revision"`
	Digest   string      `json:"digest"`
	Summary  kit.Summary `json:"summary"` // of a reconciliation over the positions to service
	Links    links       `json:"links"`
}

// standardBoards is how many boards a kit is ranked on where nobody says.
const standardBoards = 20

// kitBoards ranks the boards that a kit serves.
func (s *server) kitBoards(c echo.Context) error {
	ctx := c.Request().Context()
	k, err := s.store.Kit(ctx, c.Param("kit"), 0)
	if err != nil {
		return err
	}
	boards, err := s.store.KitBoards(ctx, k.Kit, number(c, "limit", standardBoards))
	if err != nil {
		return err
	}
	a := kitBoardsAnswer{Kit: k.ID, Boards: make([]kitBoardAnswer, len(boards))}
	for i, b := range boards {
		under := pathOf("boards", b.Board)
		a.Boards[i] = kitBoardAnswer{Board: b.Board, Name: b.Name, Revision: b.Revision, Digest: b.Digest,
			Summary: b.Summary,
			Links:   links{"board": under, "map": under + "/map", "reconciliations": under + "/reconciliations"}}
	}
	return reply(c, http.StatusOK, a)
}

// keepKit keeps a kit: 201 where it is new, 200 where it gets a new version or
// is the same as before.
func (s *server) keepKit(c echo.Context) error {
	body, problems, err := kitBody(c)
	if err != nil {
		return err
	}
	put := store.KitPut{Kit: c.Param("kit"), Document: body,
		IfNoneMatch: strings.TrimSpace(c.Request().Header.Get("If-None-Match")) == "*"}
	tags, err := ifMatch(c.Request().Header)
	if err != nil {
		return err
	}
	if len(tags) > 0 {
		if put.IfMatch, err = s.kitMatched(c, tags); err != nil {
			return err
		}
	}
	k, created, err := s.store.PutKit(c.Request().Context(), actor(c), put)
	if err != nil {
		return err
	}
	status := http.StatusOK
	if created {
		status = http.StatusCreated
		c.Response().Header().Set("Location", pathOf("kits", k.ID))
	}
	for _, p := range problems {
		k.Findings = append(k.Findings, finding.Finding{Code: "list-row", Severity: finding.Caution,
			Sentence: message.Text(p.Sentence().String()), Found: p.Text})
	}
	return replyTagged(c, status, k.Digest, kitOf(k))
}

// kitBody is the document of a kit that is sent as one, or made of a list.
func kitBody(c echo.Context) ([]byte, []kit.Problem, error) {
	if !isList(c) {
		if err := listOnly(c, "title", "for"); err != nil {
			return nil, nil, err
		}
		body, _, err := readBody(c, kitMedia...)
		return body, nil, err
	}
	k, problems, err := readList(c)
	if err != nil {
		return nil, nil, err
	}
	k.ID, k.For = c.Param("kit"), c.QueryParams()["for"]
	if t := c.QueryParam("title"); t != "" {
		k.Title = t
	}
	body, err := json.Marshal(k, asJSON[message.English])
	return body, problems, err
}

// kitMatched picks from several tags the one that holds now, if any does.
func (s *server) kitMatched(c echo.Context, tags []string) (string, error) {
	if len(tags) == 1 {
		return tags[0], nil
	}
	k, err := s.store.Kit(c.Request().Context(), c.Param("kit"), 0)
	if err != nil {
		return "", err
	}
	for _, t := range tags {
		if t == k.Digest {
			return t, nil
		}
	}
	return tags[0], nil
}
