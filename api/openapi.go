package api

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/review"
	"boardlore/schema"
)

type object = map[string]any

const aboutAPI = "A registry of board maps. Reading needs no token. Refusals are problem details after RFC 9457: type names the kind of problem, " +
	"detail says what to do, errors lists every fault of a document with its JSON Pointer. Every answer has X-Request-Id, which the server's log holds too. " +
	"Every route may answer 401 to a token that is not valid, 406 where Accept-Encoding rules out every form, 429 with Retry-After, 500 and 503."

// openAPI describes every route of the table after OpenAPI 3.1, from the same
// rows by which requests are held. The schemas lie inside, so that the
// description stands alone.
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
	responses := commonRefusals()
	schemas, err := flatten(object{"paths": paths, "responses": responses})
	if err != nil {
		return nil, err
	}
	doc := object{
		"openapi": "3.1.0",
		"info": object{"title": "boardlore", "version": version, "description": aboutAPI,
			"license": object{"name": "Apache-2.0", "identifier": "Apache-2.0"}},
		"servers":  []object{{"url": "/"}},
		"security": []object{{}, {"token": []string{}}},
		"paths":    paths,
		"components": object{
			"schemas": schemas,
			"securitySchemes": object{"token": object{"type": "http", "scheme": "bearer",
				"description": "The token of an account, from the steward."}},
			"headers":   answerHeaders,
			"responses": responses,
		},
	}
	b, err := json.Marshal(doc, json.Deterministic(true), jsontext.WithIndent(" "))
	return append(b, '\n'), err
}

// answerHeaders are the headers that answers bear.
var answerHeaders = object{
	"ETag":             header("Strong tag of the answer; of a map or a kit its digest, and behind it the content coding where there is one."),
	"Location":         header("Address of what was made."),
	"Content-Location": header("Address under which this very answer stays."),
	"Link":             header("Ways on (RFC 8288): first and next of a list; version-history and describedby of a document."),
	"Repr-Digest":      header("SHA-256 of the representation (RFC 9530)."),
	"Retry-After":      header("Seconds to wait."),
	"WWW-Authenticate": header("What a token is wanted for (RFC 6750)."),
	"X-Request-Id":     header("ID of the request, as in the log."),
}

func header(about string) object {
	return object{"description": about, "schema": object{"type": "string"}}
}

func headers(names ...string) object {
	o := object{"X-Request-Id": object{"$ref": "#/components/headers/X-Request-Id"}}
	for _, n := range names {
		o[n] = object{"$ref": "#/components/headers/" + n}
	}
	return o
}

// turnReferences has the references of a schema document lead from where the
// documents lie side by side.
func turnReferences(v any, name string) {
	switch v := v.(type) {
	case map[string]any:
		if to, ok := v["$ref"].(string); ok {
			doc, pointer, _ := strings.Cut(to, "#")
			if doc == "" {
				doc = name
			}
			v["$ref"] = component(strings.TrimPrefix(doc, schema.Prefix)) + pointer
		}
		for _, e := range v {
			turnReferences(e, name)
		}
	case []any:
		for _, e := range v {
			turnReferences(e, name)
		}
	}
}

func component(name string) string { return "#/components/schemas/" + name }

func operation(r *route, d described) object {
	op := object{
		"operationId": operationID(r),
		"summary":     d.about,
		"tags":        []string{tag(r.path)},
		"responses":   responses(r, d),
	}
	if d.ends != nil {
		op["deprecated"] = true
	}
	if ps := parameters(r, d); len(ps) > 0 {
		op["parameters"] = ps
	}
	if body := requestBody(d); body != nil {
		op["requestBody"] = body
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

// operationID names an operation by its method and the fixed parts of its path.
func operationID(r *route) string {
	parts := []string{strings.ToLower(r.method)}
	for _, p := range strings.FieldsFunc(strings.TrimPrefix(r.path, Prefix), func(c rune) bool {
		return c == '/' ||
			c == '.' || c == '-'
	}) {
		if name, ok := strings.CutPrefix(p, ":"); ok {
			p = "by-" + name
		}
		if p == "*" {
			p = "by-path"
		}
		parts = append(parts, p)
	}
	if len(parts) == 1 {
		parts = append(parts, "index")
	}
	return parts[0] + identifier(strings.Join(parts[1:], "-"))
}

func tag(path string) string {
	parts := strings.Split(strings.TrimPrefix(path, Prefix+"/"), "/")
	switch t, _, _ := strings.Cut(parts[0], "."); {
	case strings.HasPrefix(path, Prefix+"/") && t != "openapi" && t != "schemas":
		return t
	}
	return "server"
}

func requestBody(d described) object {
	content := object{}
	if d.takes != "" {
		of := object{"schema": object{"$ref": component(d.takes)}}
		content["application/json"] = of
		if d.form {
			content["multipart/form-data"] = of
		}
	}
	for _, m := range d.media {
		content[m] = object{}
	}
	if d.lists {
		for _, m := range kitMedia[1:] {
			content[m] = object{"schema": object{"type": "string"}}
		}
	}
	if len(content) == 0 {
		return nil
	}
	return object{"required": d.takes != "decision", "content": content}
}

func responses(r *route, d described) object {
	status := d.status
	if status == 0 {
		status = http.StatusOK
	}
	out := object{strconv.Itoa(status): success(r, d, "Done.")}
	if d.again {
		out["200"] = success(r, d, "The same is there already, or a version before it.")
	}
	if r.tagged() {
		out["304"] = object{"description": "What If-None-Match names is still what is here.",
			"headers": headers("ETag")}
	}
	if strings.Contains(r.path, ":board") {
		out["308"] = object{"description": "The board has another ID now, which Location has.",
			"headers": headers("Location")}
	}
	byStatus := map[int][]string{}
	for _, name := range refusals(r, d) {
		t := problemIndex[name]
		byStatus[t.Status] = append(byStatus[t.Status], "/problems/"+name)
	}
	for status, types := range byStatus {
		if slices.Contains(everywhere, status) {
			out[strconv.Itoa(status)] = object{"$ref": "#/components/responses/" + identifier(http.StatusText(status))}
			continue
		}
		out[strconv.Itoa(status)] = refusal(status, types)
	}
	return out
}

// everywhere are the statuses whose refusals are about alike on every route,
// and described once.
var everywhere = []int{400, 401, 406, 413, 415, 429, 500, 503}

func commonRefusals() object {
	out := object{}
	for _, status := range everywhere {
		var types []string
		for i := range problemTypes {
			if t := &problemTypes[i]; t.Status == status {
				types = append(types, "/problems/"+t.Name)
			}
		}
		out[identifier(http.StatusText(status))] = refusal(status, types)
	}
	return out
}

func success(r *route, d described, about string) object {
	media := d.gives
	if media == "" {
		media = "application/json"
	}
	content := object{media: object{}}
	if d.schema != "" {
		content[media] = object{"schema": object{"$ref": component(d.schema)}}
	}
	for _, m := range d.also {
		content[m] = object{}
	}
	for _, p := range d.query { // the other forms of a difference
		if slices.Contains(p.choices, "json-patch") {
			content["application/json-patch+json"] = object{"schema": object{"$ref": component("json-patch")}}
			content["text/plain"], content["image/svg+xml"] = object{}, object{}
		}
	}
	return object{"description": about, "content": content, "headers": headers(successHeaders(r, d)...)}
}

func successHeaders(r *route, d described) []string {
	var names []string
	if r.tagged() || d.match != "" {
		names = append(names, "ETag")
	}
	if r.tagged() {
		names = append(names, "Repr-Digest")
	}
	if d.status == http.StatusCreated {
		names = append(names, "Location")
	}
	if d.schema == "map" && strings.HasSuffix(r.path, ":board/map") || d.schema == "kit" {
		names = append(names, "Content-Location", "Link")
	}
	if slices.ContainsFunc(d.query, func(p param) bool { return p.name == cursorParam.name }) {
		names = append(names, "Link")
	}
	return names
}

func refusal(status int, types []string) object {
	var names []string
	switch status {
	case http.StatusUnauthorized:
		names = append(names, "WWW-Authenticate")
	case http.StatusTooManyRequests, http.StatusServiceUnavailable:
		names = append(names, "Retry-After")
	}
	return object{
		"description": http.StatusText(status) + ": " + strings.Join(types, ", "),
		"headers":     headers(names...),
		"content":     object{"application/problem+json": object{"schema": object{"$ref": component("problem")}}},
	}
}

func parameters(r *route, d described) []object {
	var ps []object
	for _, part := range strings.Split(r.path, "/") {
		if name, ok := strings.CutPrefix(part, ":"); ok {
			ps = append(ps, object{"name": name, "in": "path", "required": true, "description": pathParams[name].about,
				"schema": pathParams[name].schema})
		}
	}
	if strings.HasSuffix(r.path, "*") {
		ps = append(ps, object{"name": "path", "in": "path", "required": true, "description": pathParams["path"].about,
			"schema": pathParams["path"].schema})
	}
	for _, p := range d.query {
		s := object{"type": "string", "maxLength": maxText}
		switch {
		case p.number:
			s = object{"type": "integer", "minimum": p.min, "maximum": p.max}
		case p.decimal, p.figure:
			s = object{"type": "number", "minimum": p.min, "maximum": p.max}
		case p.choices != nil:
			s = object{"type": "string", "enum": p.choices}
		}
		if p.many {
			s = object{"type": "array", "items": s}
		}
		ps = append(ps, object{"name": p.name, "in": "query", "description": p.about, "schema": s})
	}
	return append(ps, headerParameters(r, d)...)
}

func headerParameters(r *route, d described) (ps []object) {
	add := func(name, about string, required bool) {
		ps = append(ps, object{"name": name, "in": "header", "description": about, "required": required,
			"schema": object{"type": "string"}})
	}
	if r.tagged() {
		add("If-None-Match", "Tags of what is known already: the answer is 304 where one of them still holds.", false)
		add("If-Match", "Tags of which one must still hold, else 412.", false)
	}
	if d.match != "" {
		add("If-Match", "ETag of "+d.match+"; another one meanwhile answers 412.", slices.Contains(d.problems,
			"if-match-needed"))
	}
	if d.match == keptKit {
		add("If-None-Match", "* to keep the kit only where there is none of its ID yet.", false)
	}
	if d.waits {
		add("Prefer",
			"wait=N: where there is nothing yet, the answer comes with the first of it, or after N seconds, 25 at most (RFC 7240).", false)
	}
	if d.once {
		add("Idempotency-Key", "The same key and body give the first answer again, for 30 days; another body 422.",
			false)
	}
	return ps
}

// pathParams describes the parameters of paths.
var pathParams = map[string]struct {
	about  string
	schema object
}{
	"board": {"ID of a board", object{"$ref": component("part") + "/$defs/slug"}},
	"n":     {"number of a revision", object{"type": "integer", "minimum": 1}},
	"designator": {"designator of a position, percent-encoded where it needs to be", object{"$ref": component("part") +
		"/$defs/designator"}},
	"id":     {"number, as the list gives it", object{"type": "integer", "minimum": 1}},
	"review": {"number of a review", object{"type": "integer", "minimum": 1}},
	"path":   {"level and index of a tile, or entries and index", object{"type": "string"}},
	"draft":  {"ID of a draft, which its owner chooses", object{"$ref": component("part") + "/$defs/slug"}},
	"kit":    {"ID of a kit", object{"$ref": component("part") + "/$defs/slug"}},
	"sha256": {"SHA-256 of the photograph as kept, lower-case hexadecimal", object{"$ref": component("common") +
		"/$defs/digest"}},
	"name": {"name, as the list gives it", object{"type": "string"}},
}
