package api

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"boardlore/schema"
)

// Every answer that any test of this package gets is held to the description:
// its status, its type of problem, its media type and its schema, in which a
// member that is not described counts as a fault.

// strict are the schemas of answers, closed to members that they don't name.
var strict = sync.OnceValues(func() (map[string]*jsonschema.Schema, error) {
	c := jsonschema.NewCompiler()
	c.AssertFormat = true
	c.LoadURL = func(url string) (io.ReadCloser, error) { return nil, fmt.Errorf("schema %s is not there", url) }
	for _, name := range schema.Names() {
		tree, err := schema.Tree(name)
		if err != nil {
			return nil, err
		}
		closeSchema(tree)
		b, err := json.Marshal(tree)
		if err != nil {
			return nil, err
		}
		if err := c.AddResource(schema.Prefix+name, bytes.NewReader(b)); err != nil {
			return nil, err
		}
	}
	out := map[string]*jsonschema.Schema{}
	for _, name := range schema.Names() {
		s, err := c.Compile(schema.Prefix + name)
		if err != nil {
			return nil, err
		}
		out[name] = s
	}
	return out, nil
})

func closeSchema(v any) {
	switch v := v.(type) {
	case map[string]any:
		if _, ok := v["properties"].(map[string]any); ok && v["additionalProperties"] == nil {
			v["additionalProperties"] = false
		}
		for _, e := range v {
			closeSchema(e)
		}
	case []any:
		for _, e := range v {
			closeSchema(e)
		}
	}
}

// routeOf finds the row of the table that answers a request; nil for none.
func routeOf(method, path string) *route {
	path, _, _ = strings.Cut(path, "?")
	if method == http.MethodHead {
		method = http.MethodGet
	}
	parts := strings.Split(path, "/")
	for _, r := range routes() {
		pattern := strings.Split(r.path, "/")
		if r.method == method && len(pattern) == len(parts) && !slices.ContainsFunc(pattern, func(p string) bool {
			got := parts[slices.Index(pattern, p)]
			return !strings.HasPrefix(p, ":") && p != got
		}) {
			return &r
		}
	}
	return nil
}

// conform holds an answer to the description of its route.
func conform(tb testing.TB, method, path, body string, a answer) {
	tb.Helper()
	r := routeOf(method, path)
	if r == nil {
		return
	}
	d := describe[r.key()]
	switch {
	case a.status == http.StatusPermanentRedirect && strings.Contains(r.path, ":board"):
		return
	case a.status >= 400:
		conformProblem(tb, r, d, body, a)
		return
	case a.status == http.StatusNotModified && r.tagged():
		if len(a.body) > 0 || a.header.Get("ETag") == "" {
			tb.Errorf("%s: 304 with %d bytes and ETag %s", r.key(), len(a.body), a.header.Get("ETag"))
		}
		return
	case a.status != max(d.status, http.StatusOK) && !(d.again && a.status == http.StatusOK):
		tb.Errorf("%s: status %d is not described", r.key(), a.status)
	}
	media, _, _ := strings.Cut(a.header.Get("Content-Type"), ";")
	if want := d.gives; want != "" && want != "image/*" && media != want && !slices.Contains(d.also, media) {
		tb.Errorf("%s: answers %s, described is %s", r.key(), media, want)
	}
	if d.gives == "" && media == "application/json" && method != http.MethodHead {
		conformTo(tb, r.key(), d.schema, unpacked(tb, a))
	}
	for _, h := range successHeaders(r, d) {
		if a.header.Get(h) == "" && !optionalHeader(h, method, a) {
			tb.Errorf("%s: no %s: %v", r.key(), h, a.header)
		}
	}
}

// optionalHeader tells the headers that only some answers of a route bear.
func optionalHeader(h, method string, a answer) bool {
	switch h {
	case "Location":
		return a.status != http.StatusCreated
	case "ETag": // the receipt of a review leaves no map
		return method == http.MethodPost
	case "Content-Location":
		return strings.Contains(a.header.Get("Cache-Control"), "max-age=")
	}
	return false
}

func conformProblem(tb testing.TB, r *route, d described, body string, a answer) {
	tb.Helper()
	if len(a.body) == 0 { // of a HEAD
		return
	}
	name, ok := strings.CutPrefix(fmt.Sprint(a.doc["type"]), "/problems/")
	if !ok || !slices.Contains(refusals(r, d), name) {
		tb.Errorf("%s: problem %v is not described: %s", r.key(), a.doc["type"], a.body)
	}
	if t := problemIndex[name]; t != nil && t.Status != a.status {
		tb.Errorf("%s: %s with status %d", r.key(), name, a.status)
	}
	conformTo(tb, r.key(), "problem", unpacked(tb, a))
	var tree any
	if json.Unmarshal([]byte(body), &tree) != nil {
		return
	}
	errs, _ := a.doc["errors"].([]any)
	for _, e := range errs {
		if p, _ := e.(map[string]any)["pointer"].(string); !leads(tree, p) {
			tb.Errorf("%s: pointer %q leads nowhere in %s", r.key(), p, clip(body))
		}
	}
}

// leads says whether a JSON Pointer leads to a member of tree, or to one that
// could be added there.
func leads(tree any, pointer string) bool {
	parts := strings.Split(pointer, "/")[1:]
	if pointer == "" {
		parts = nil
	}
	for i, p := range parts {
		p = strings.NewReplacer("~1", "/", "~0", "~").Replace(p)
		switch v := tree.(type) {
		case map[string]any:
			next, ok := v[p]
			if !ok {
				return i == len(parts)-1
			}
			tree = next
		case []any:
			n := -1
			if _, err := fmt.Sscan(p, &n); err != nil || n < 0 || n >= len(v) {
				return false
			}
			tree = v[n]
		default:
			return false
		}
	}
	return true
}

func conformTo(tb testing.TB, what, name string, body []byte) {
	tb.Helper()
	if name == "" {
		return
	}
	all, err := strict()
	if err != nil {
		tb.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(body, &tree); err != nil {
		tb.Errorf("%s: %v", what, err)
		return
	}
	if err := all[name].Validate(tree); err != nil {
		tb.Errorf("%s answers what schema/documents/%s.json does not describe: %s", what, name,
			clipped(fmt.Sprintf("%#v", err)))
	}
}

// clipped keeps a long complaint readable.
func clipped(s string) string { return s[:min(len(s), 1500)] }
