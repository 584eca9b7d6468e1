package api

import (
	"bytes"
	"cmp"
	"fmt"
	pages "html/template"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/labstack/echo/v4"
)

// The parts of the description that the reference page shows.
type (
	reference struct {
		Info struct {
			Version     string `json:"version"`
			Description string `json:"description"`
		} `json:"info"`
		Paths      map[string]map[string]referredOperation `json:"paths"`
		Components struct {
			Responses map[string]referredAnswer `json:"responses"`
		} `json:"components"`
	}
	referredOperation struct {
		ID         string                    `json:"operationId"`
		Summary    string                    `json:"summary"`
		About      string                    `json:"description"`
		Tags       []string                  `json:"tags"`
		Deprecated bool                      `json:"deprecated"`
		Parameters []referredParameter       `json:"parameters"`
		Body       *referredAnswer           `json:"requestBody"`
		Answers    map[string]referredAnswer `json:"responses"`
	}
	referredParameter struct {
		Name     string `json:"name"`
		In       string `json:"in"`
		About    string `json:"description"`
		Required bool   `json:"required"`
	}
	referredAnswer struct {
		Ref     string `json:"$ref"`
		About   string `json:"description"`
		Content map[string]struct {
			Schema struct {
				Ref string `json:"$ref"`
			} `json:"schema"`
		} `json:"content"`
	}
)

// What the page is filled with.
type (
	shownGroup struct {
		Tag        string
		Operations []shownOperation
	}
	shownOperation struct {
		Method, Path string
		referredOperation
		Takes []string
		Gives []shownAnswer
	}
	shownAnswer struct {
		Status, About string
		Forms         []string
	}
)

// referencePage is a page without anything from outside, and without a style:
// what it says reads from top to bottom, on any screen and on paper.
var referencePage = pages.Must(pages.New("reference").Parse(`<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>boardlore: reference of the contract</title></head>
<body><main>
<h1>boardlore: reference of the contract</h1>
<p>Version {{.Version}}. For programs: <a href="/v1/openapi.json">OpenAPI 3.1</a>, <a href="/v1/schemas">JSON Schemas</a>, <a href="/problems">types of problem</a>.</p>
<p>{{.About}}</p>
<h2 id="versions">What may change</h2>
<ol>{{range .Versions}}<li>{{.}}</li>
{{end}}</ol>
<nav aria-label="Routes"><h2>Routes</h2>
{{range .Groups}}<h3>{{.Tag}}</h3><ul>{{range .Operations}}<li><a href="#{{.ID}}">{{.Method}} {{.Path}}</a>: {{.Summary}}</li>
{{end}}</ul>
{{end}}</nav>
{{range .Groups}}<section><h2>{{.Tag}}</h2>
{{range .Operations}}<article id="{{.ID}}"><h3>{{.Method}} {{.Path}}</h3>
{{if .Deprecated}}<p><strong>To go: see Deprecation, Sunset and Link of its answers.</strong></p>{{end}}
<p>{{.Summary}}</p>{{if .About}}<p>{{.About}}</p>{{end}}
{{if .Parameters}}<table><thead><tr><th scope="col">Parameter</th><th scope="col">In</th><th scope="col">What it says</th></tr></thead><tbody>
{{range .Parameters}}<tr><td><code>{{.Name}}</code>{{if .Required}}, needed{{end}}</td><td>{{.In}}</td><td>{{.About}}</td></tr>
{{end}}</tbody></table>{{end}}
{{if .Takes}}<p>Takes {{range $i, $f := .Takes}}{{if $i}}, {{end}}{{$f}}{{end}}.</p>{{end}}
<dl>{{range .Gives}}<dt>{{.Status}}</dt><dd>{{.About}}{{range .Forms}} <code>{{.}}</code>{{end}}</dd>
{{end}}</dl></article>
{{end}}</section>
{{end}}</main></body></html>
`))

// makeReference makes the page of a description.
func makeReference(description []byte) ([]byte, error) {
	var doc reference
	if err := json.Unmarshal(description, &doc); err != nil {
		return nil, fmt.Errorf("api: reference: %w", err)
	}
	groups := map[string]*shownGroup{}
	for _, path := range slices.Sorted(maps.Keys(doc.Paths)) {
		for method, o := range doc.Paths[path] {
			tag := cmp.Or(append(o.Tags, "server")[0], "server")
			if groups[tag] == nil {
				groups[tag] = &shownGroup{Tag: tag}
			}
			groups[tag].Operations = append(groups[tag].Operations, doc.shown(method, path, o))
		}
	}
	page := struct {
		Version, About string
		Versions       []string
		Groups         []shownGroup
	}{doc.Info.Version, doc.Info.Description, aboutVersions, nil}
	for _, tag := range slices.Sorted(maps.Keys(groups)) {
		g := groups[tag]
		slices.SortFunc(g.Operations, func(a, b shownOperation) int {
			return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Method, b.Method))
		})
		page.Groups = append(page.Groups, *g)
	}
	var b bytes.Buffer
	if err := referencePage.Execute(&b, page); err != nil {
		return nil, fmt.Errorf("api: reference: %w", err)
	}
	return b.Bytes(), nil
}

func (r *reference) shown(method, path string, o referredOperation) shownOperation {
	out := shownOperation{Method: strings.ToUpper(method), Path: path, referredOperation: o}
	if o.Body != nil {
		out.Takes = o.Body.forms()
	}
	for _, status := range slices.Sorted(maps.Keys(o.Answers)) {
		a := o.Answers[status]
		if name, ok := strings.CutPrefix(a.Ref, "#/components/responses/"); ok {
			a = r.Components.Responses[name]
		}
		out.Gives = append(out.Gives, shownAnswer{status, a.About, a.forms()})
	}
	return out
}

// forms are the media types of an answer or a body, each with its schema.
func (a *referredAnswer) forms() (out []string) {
	for _, media := range slices.Sorted(maps.Keys(a.Content)) {
		form := media
		if name, ok := strings.CutPrefix(a.Content[media].Schema.Ref, "#/components/schemas/"); ok {
			form += " " + name
		}
		out = append(out, form)
	}
	return out
}

func (s *server) reference(c echo.Context) error {
	return send(c, http.StatusOK, "text/html; charset=utf-8", s.referencePage)
}
