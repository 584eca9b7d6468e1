package api

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/labstack/echo/v4"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/review"
	"boardlore/schema"
	"boardlore/store"
)

// currentMap answers the map as it is now. It may change with the next release,
// so caches have to ask again each time; that costs them a 304.
func (s *server) currentMap(c echo.Context) error {
	rev, err := s.store.Revision(c.Request().Context(), c.Param("board"), 0, c.QueryParam("variant"))
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h["Cache-Control"] = noCachePublic
	h["Content-Location"] = []string{revisionPath(rev)}
	return s.sendMap(c, rev)
}

// Values of headers that all maps have.
var (
	noCachePublic = []string{"public, no-cache"}
	onForm        = []string{"Accept, " + acceptEncoding}
)

// revision answers one released map, which never changes but may be withdrawn.
func (s *server) revision(c echo.Context) error {
	name, err := s.boardOf(c)
	if err != nil {
		return err
	}
	rev, err := s.store.Revision(c.Request().Context(), name, int(id(c, "n")), c.QueryParam("variant"))
	if err != nil {
		return err
	}
	cacheDaily(c)
	return s.sendMap(c, rev)
}

func revisionPath(rev *store.Revision) string {
	p := pathOf("boards", rev.Board, "revisions", strconv.Itoa(rev.Number))
	if rev.Variant != "" {
		p += "?variant=" + url.QueryEscape(rev.Variant)
	}
	return p
}

// sendMap writes a map's canonical bytes under its digest, or a coded form of
// them under a tag that begins with it.
func (s *server) sendMap(c echo.Context, rev *store.Revision) error {
	h := c.Response().Header()
	h["Vary"] = onForm
	switch accepted(c.Request().Header.Get("Accept"), mapMedia...) {
	case "":
		return refuse("not-acceptable", "api.map-comes-as", message.Commas(mapMedia))
	case "text/csv":
		return sendPositions(c, rev)
	}
	if c.QueryParam("envelope") == "true" {
		return s.sendEnvelope(c, rev)
	}
	up := pathOf("boards", rev.Board)
	h["Link"] = append(h["Link"], "<"+up+`>; rel="up", <`+up+
		`/revisions>; rel="version-history", </v1/schemas/map>; rel="describedby"`)
	return sendSummed(c, "application/json", rev.Digest, rev.Digest, rev.Canonical)
}

// envelope is a map with what says which it is.
type envelope struct {
	Board      string         `json:"board"`
	Revision   int            `json:"revision"`
	Variant    string         `json:"variant,omitzero"`
	Digest     string         `json:"digest"`
	ReleasedAt time.Time      `json:"released_at"`
	Server     string         `json:"server"`
	Schema     string         `json:"schema"`
	Map        jsontext.Value `json:"map"`
}

// mapMedia are the forms that a map comes in.
var mapMedia = []string{"application/json", "text/csv"}

// sendPositions writes the positions of a map as a table.
func sendPositions(c echo.Context, rev *store.Revision) error {
	rows := [][]string{{"designator", "side", "x_mm", "y_mm", "rotation_deg", "negative_deg", "service", "part",
		"replacement", "function", "notes"}}
	for i := range rev.Map.Positions {
		p := &rev.Map.Positions[i]
		row := []string{p.Designator, string(p.Side), plainNumber(p.X), plainNumber(p.Y), plainNumber(p.Rotation), "",
			string(p.Service), p.Part.String(), "", p.Function, p.Notes}
		if p.Negative != nil {
			row[5] = plainNumber(*p.Negative)
		}
		if p.Replacement != nil {
			row[8] = p.Replacement.Part.String()
		}
		rows = append(rows, row)
	}
	body := list.CSV(rows)
	return sendTagged(c, "text/csv; charset=utf-8; header=present", rev.Digest+"."+hash(body)[:16], body)
}

func (s *server) sendEnvelope(c echo.Context, rev *store.Revision) error {
	body, err := json.Marshal(envelope{rev.Board, rev.Number, rev.Variant, rev.Digest, rev.ReleasedAt.UTC(),
		s.base(c), schema.Prefix + "map", rev.Canonical}, asJSON[message.English])
	if err != nil {
		return err
	}
	return sendTagged(c, "application/json", rev.Digest+"."+hash(body)[:16], append(body, '\n'))
}

// mapByDigest answers the released map of a digest, wherever it stands.
func (s *server) mapByDigest(c echo.Context) error {
	if !review.IsSHA256(c.Param("digest")) && taken(c.Request().URL.Path) {
		c.Response().Header().Set("Allow", "OPTIONS, POST")
		return refuse("method-not-allowed", "api.method-not-allowed")
	}
	rev, err := s.store.RevisionOf(c.Request().Context(), c.Param("digest"))
	if err != nil {
		return err
	}
	cacheDaily(c)
	c.Response().Header().Set("Content-Location", revisionPath(rev))
	return s.sendMap(c, rev)
}

// taken tells an address that a POST of another route has.
func taken(path string) bool {
	return slices.ContainsFunc(routes(), func(r route) bool { return r.method == post && r.path == path })
}

// hash is the SHA-256 of b in lower-case hex.
func hash(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// reprDigest writes a SHA-256 in hex as a Repr-Digest header (RFC 9530); ""
// where it is none.
func reprDigest(digest string) string {
	sum, err := hex.DecodeString(digest)
	if err != nil {
		return ""
	}
	return "sha-256=:" + base64.StdEncoding.EncodeToString(sum) + ":"
}

type revisionsAnswer struct {
	Board     string           `json:"board"`
	Revisions []revisionAnswer `json:"revisions"` // newest first
	Next      string           `json:"next,omitzero"`
	Links     links            `json:"links"`
}

type revisionAnswer struct {
	Revision   int        `json:"revision"`
	Digest     string     `json:"digest"`
	ReleasedAt time.Time  `json:"released_at"`
	ReleasedBy string     `json:"released_by"`
	Author     string     `json:"author"`
	Summary    string     `json:"summary"`
	Proposal   int64      `json:"proposal"`
	Withdrawn  *withdrawn `json:"withdrawn,omitzero"` // out of use, and why
	Links      links      `json:"links"`
}

func (s *server) revisions(c echo.Context) error {
	name := c.Param("board")
	list, err := s.store.Revisions(c.Request().Context(), name, page(c))
	if err != nil {
		return err
	}
	a := revisionsAnswer{Board: name, Revisions: make([]revisionAnswer, len(list.Items)), Next: nextLink(c, list.Next),
		Links: links{"board": pathOf("boards", name), "map": pathOf("boards", name, "map")}}
	for i := range list.Items {
		a.Revisions[i] = revisionOf(&list.Items[i])
	}
	return reply(c, http.StatusOK, a)
}

func revisionOf(r *store.Revision) revisionAnswer {
	a := revisionAnswer{Revision: r.Number, Digest: r.Digest, ReleasedAt: r.ReleasedAt, ReleasedBy: r.ReleasedBy,
		Author: r.Author, Summary: r.Summary, Proposal: r.Proposal,
		Links: links{"map": revisionPath(r), "proof": revisionPath(r) + "/proof", "proposal": pathOf("proposals",
			itoa(r.Proposal))}}
	if r.Withdrawn != nil {
		a.Withdrawn = &withdrawn{r.Withdrawn.Kind, r.Withdrawn.Reason, r.Withdrawn.At}
		delete(a.Links, "map")
		return a
	}
	if r.Number > 1 {
		a.Links["differences"] = pathOf("boards", r.Board, "differences") + "?from=" + strconv.Itoa(r.Number-1) + "&to=" +
			strconv.Itoa(r.Number)
	}
	return a
}

type historyAnswer struct {
	Board      string       `json:"board"`
	Designator string       `json:"designator"`
	Changes    []pastChange `json:"changes"` // oldest first
	Links      links        `json:"links"`
}

// pastChange is what one revision did to a position.
type pastChange struct {
	Revision   int                     `json:"revision"`
	Designator string                  `json:"designator"` // as it was called in that revision
	Author     string                  `json:"author"`
	ReleasedBy string                  `json:"released_by"`
	ReleasedAt time.Time               `json:"released_at"`
	Proposal   int64                   `json:"proposal"`
	Summary    string                  `json:"summary"`
	Changes    []board.DifferenceEntry `json:"changes"`  // none where the position came with the first revision
	Evidence   []review.Evidence       `json:"evidence"` // that names the position, or none in particular
	Links      links                   `json:"links"`
}

// positionHistory tells who changed a position, when, in which revision and on
// what evidence.
func (s *server) positionHistory(c echo.Context) error {
	name, designator := c.Param("board"), c.Param("designator")
	changes, err := s.store.PositionHistory(c.Request().Context(), name, designator)
	if err != nil {
		return err
	}
	a := historyAnswer{name, designator, make([]pastChange, len(changes)), links{"board": pathOf("boards", name),
		"revisions": pathOf("boards", name, "revisions")}}
	for i, h := range changes {
		a.Changes[i] = pastChange{h.Revision, h.Designator, h.Author, h.ReleasedBy, h.ReleasedAt, h.Proposal, h.Summary,
			full(h.Changes), full(h.Evidence),
			links{"revision": pathOf("boards", name, "revisions", strconv.Itoa(h.Revision)), "proposal": pathOf("proposals",
				itoa(h.Proposal))}}
	}
	return reply(c, http.StatusOK, a)
}
