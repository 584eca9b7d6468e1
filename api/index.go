package api

import (
	"boardlore/domain/message"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"boardlore/schema"
)

type indexAnswer struct {
	Name    string          `json:"name"`
	About   message.Message `json:"about"`
	Version string          `json:"version,omitzero"`
	Links   links           `json:"links"`
	Log     logAnswer       `json:"log"`
	Mirror  *mirrorAnswer   `json:"mirror,omitzero"`
	Routes  []indexRoute    `json:"routes"`
}

type indexRoute struct {
	Method string `json:"method"`
	Path   string `json:"path"` // with parameters in braces, as in RFC 6570
	About  string `json:"about"`
	Role   string `json:"role,omitzero"` // the least role that it needs
}

// index tells a stranger what is here.
func (s *server) index(c echo.Context) error {
	a := indexAnswer{
		Name:    "boardlore",
		About:   message.Of("api.registry-board-maps-where"),
		Version: s.version,
		Links: links{"self": Prefix, "boards": pathOf("boards"), "proposals": pathOf("proposals"), "kits": pathOf("kits"),
			"events": pathOf("events"),
			"feed":   pathOf("events.atom"), "schemas": pathOf("schemas"), "openapi": pathOf("openapi.json"),
			"reference": pathOf("reference"), "problems": "/problems"},
	}
	if err := s.whoseLog(c, &a); err != nil {
		return err
	}
	for _, r := range routes() {
		a.Routes = append(a.Routes, indexRoute{Method: r.method, Path: template(&r), About: describe[r.key()].about,
			Role: string(r.role)})
	}
	return reply(c, http.StatusOK, a)
}

// template is a route's path as a URI template, with its query.
func template(r *route) string {
	t := braces(r.path)
	if q := describe[r.key()].query; len(q) > 0 {
		names := make([]string, len(q))
		for i, p := range q {
			names[i] = p.name
		}
		t += "{?" + strings.Join(names, ",") + "}"
	}
	return t
}

// braces writes echo's ":name" as "{name}", and its "*" as "{path}".
func braces(path string) string {
	parts := strings.Split(path, "/")
	for i, p := range parts {
		if strings.HasPrefix(p, ":") {
			parts[i] = "{" + p[1:] + "}"
		}
		if p == "*" {
			parts[i] = "{path}"
		}
	}
	return strings.Join(parts, "/")
}

func (s *server) description(c echo.Context) error {
	return send(c, http.StatusOK, "application/json", s.openapi)
}

type schemasAnswer struct {
	Schemas []schemaEntry `json:"schemas"`
}

type schemaEntry struct {
	Name string `json:"name"`
	Href string `json:"href"`
}

func (s *server) schemas(c echo.Context) error {
	var a schemasAnswer
	for _, n := range schema.Names() {
		a.Schemas = append(a.Schemas, schemaEntry{Name: n, Href: schema.Prefix + n})
	}
	return reply(c, http.StatusOK, a)
}

func (s *server) schema(c echo.Context) error {
	doc, ok := schema.Document(c.Param("name"))
	if !ok {
		return refuse("schema-unknown", "api.schema-unknown", message.Commas(schema.Names()))
	}
	c.Response().Header().Set("Cache-Control", "public, max-age=3600")
	return send(c, http.StatusOK, "application/schema+json", doc)
}
