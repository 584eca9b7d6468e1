package api

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/review"
	"boardlore/schema"
)

type object = map[string]any

// openAPI describes every route of the table after OpenAPI 3.1, from the same
// rows by which requests are held.
func openAPI(version string) ([]byte, error) {
	if version == "" {
		version = "0"
	}
	paths := map[string]object{}
	for _, r := range routes() {
		d, ok := describe[r.key()]
		if !ok {
			return nil, fmt.Errorf("api: route %s has no description", r.key())
		}
		path := braces(r.path)
		if paths[path] == nil {
			paths[path] = object{}
		}
		paths[path][strings.ToLower(r.method)] = operation(&r, d)
	}
	doc := object{
		"openapi": "3.1.0",
		"info": object{"title": "boardlore", "version": version,
			"description": "A registry of board maps.", "license": object{"name": "Apache-2.0", "identifier": "Apache-2.0"}},
		"paths": paths,
		"components": object{
			"securitySchemes": object{"token": object{"type": "http", "scheme": "bearer"}},
			"responses": object{"problem": object{"description": "A refusal, after RFC 9457.",
				"content": object{"application/problem+json": object{"schema": object{"$ref": schema.Prefix + "problem"}}}}},
		},
	}
	b, err := json.Marshal(doc, json.Deterministic(true), jsontext.WithIndent(" "))
	return append(b, '\n'), err
}

func operation(r *route, d described) object {
	status := d.status
	if status == 0 {
		status = 200
	}
	media := d.gives
	if media == "" {
		media = "application/json"
	}
	content := object{}
	if d.schema != "" {
		content["schema"] = object{"$ref": schema.Prefix + d.schema}
	}
	answers := object{media: content}
	for _, m := range d.also {
		answers[m] = object{}
	}
	op := object{
		"summary": d.about,
		"responses": object{
			strconv.Itoa(status): object{"description": "Done.", "content": answers},
			"default":            object{"$ref": "#/components/responses/problem"},
		},
	}
	if ps := parameters(r, d); len(ps) > 0 {
		op["parameters"] = ps
	}
	if d.takes != "" {
		bodies := object{"application/json": object{"schema": object{"$ref": schema.Prefix + d.takes}}}
		if d.lists {
			for _, m := range kitMedia[1:] {
				bodies[m] = object{"schema": object{"type": "string"}}
			}
		}
		op["requestBody"] = object{"required": d.takes != "decision", "content": bodies}
	}
	detail := d.detail
	if r.role != review.Anonymous {
		op["security"] = []object{{"token": []string{}}}
		detail = strings.TrimSpace("Needs the role " + string(r.role) + " or above. " + detail)
	}
	if detail != "" {
		op["description"] = detail
	}
	return op
}

func parameters(r *route, d described) []object {
	var ps []object
	for _, part := range strings.Split(r.path, "/") {
		if name, ok := strings.CutPrefix(part, ":"); ok {
			ps = append(ps, object{"name": name, "in": "path", "required": true, "schema": object{"type": "string"}})
		}
	}
	for _, p := range d.query {
		s := object{"type": "string"}
		switch {
		case p.number:
			s = object{"type": "integer", "minimum": p.least, "maximum": p.most}
		case p.choices != nil:
			s["enum"] = p.choices
		case p.many:
			s = object{"type": "array", "items": s}
		}
		ps = append(ps, object{"name": p.name, "in": "query", "description": p.about, "schema": s})
	}
	return ps
}
