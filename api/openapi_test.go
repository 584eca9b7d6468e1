package api

import (
	"bytes"
	"flag"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"boardlore/domain/message"
	"boardlore/schema"
)

var update = flag.Bool("update", false, "write golden files anew")

// TestOpenAPI holds the description to its golden file: a change of the
// contract shows in review.
func TestOpenAPI(t *testing.T) {
	got, err := openAPI("test")
	if err != nil {
		t.Fatal(err)
	}
	const golden = "testdata/openapi.json"
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		a, b := strings.Split(string(want), "\n"), strings.Split(string(got), "\n")
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Fatalf("%s, line %d: -%s +%s; go test ./api -run OpenAPI -update, then read the diff", golden, i+1,
					a[i], b[i])
			}
		}
		t.Fatalf("%s is of another length; go test ./api -run OpenAPI -update, then read the diff", golden)
	}
}

// TestDescription: every route is described and nothing else is, everything
// that the description refers to is in it, and every type of problem is
// answered somewhere.
func TestDescription(t *testing.T) {
	answered, described := map[string]bool{"not-found": true, "method-not-allowed": true}, map[string]bool{}
	for _, r := range routes() {
		d, ok := describe[r.key()]
		if !ok || d.about == "" {
			t.Errorf("%s is not described", r.key())
		}
		if (d.takes != "" || d.media != nil) != (r.body > 0) {
			t.Errorf("%s reads %d bytes of body and describes %q %q", r.key(), r.body, d.takes, d.media)
		}
		if d.gives == "" && d.schema == "" && d.status != 204 && r.key() != "GET /v1/openapi.json" {
			t.Errorf("%s answers JSON of no schema", r.key())
		}
		for _, name := range []string{d.takes, d.schema} {
			if _, ok := schema.Document(name); name != "" && !ok {
				t.Errorf("%s: no schema %q", r.key(), name)
			}
		}
		for _, name := range refusals(&r, d) {
			if problemIndex[name] == nil {
				t.Errorf("%s: no type of problem %q", r.key(), name)
			}
			answered[name] = true
		}
		described[r.key()] = true
	}
	for key := range describe {
		if !described[key] {
			t.Errorf("%s is described and not there", key)
		}
	}
	for i := range problemTypes {
		p := &problemTypes[i]
		if !answered[p.Name] && !general(p.Name) && notByRoutes[p.Name] == "" {
			t.Errorf("no route answers /problems/%s", p.Name)
		}
		if !message.English.Has("problem."+p.Name) || !strings.HasSuffix(p.meaning().String(), ".") {
			t.Errorf("/problems/%s says %q: %q", p.Name, p.title(), p.meaning())
		}
	}
}

// notByRoutes are the types that no route of the API answers, and who does.
var notByRoutes = map[string]string{
	"form-unreadable": "pages", "form-foreign": "pages", "form-expired": "pages", "session-ended": "pages",
	"file-too-large":  "pages",
	"passkey-refused": "pages", "passkey-unknown": "pages", "passkey-quota": "pages", "ceremony-unknown": "pages",
	"passkeys-need-https": "pages",
	"load-forked":         "command line", "load-refused": "command line", "difference-not-applicable": "command line",
	"document-refused":       "schema, which each route calls by its document's name",
	"variant-not-applicable": "board, of a map that no check lets in",
	"part-unreadable":        "reading, told as text-unreadable or line by line",
	"act-unknown":            "review, of an act that no route has",
	"proposal-exists":        "review, of a submission that no route repeats",
}

// general tells the types to which a kind of fault falls back.
func general(name string) bool {
	for _, n := range kindProblem {
		if n == name {
			return true
		}
	}
	return false
}

// TestDescriptionStandsAlone resolves every reference within the description
// and compiles every schema in it.
func TestDescriptionStandsAlone(t *testing.T) {
	b, err := openAPI("test")
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	if err := c.AddResource("http://example.test/openapi.json", bytes.NewReader(b)); err != nil {
		t.Fatal(err)
	}
	var doc any
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	ids, plainName := map[string]bool{}, regexp.MustCompile(`^[a-z][A-Za-z0-9]*$`)
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			if ref, ok := v["$ref"].(string); ok && (!strings.HasPrefix(ref, "#/") || !leads(doc, ref[1:]) ||
				resolve(doc, ref[1:]) == nil) {
				t.Errorf("$ref %s leads out of the description or nowhere", ref)
			}
			if id, ok := v["operationId"].(string); ok {
				if ids[id] || !plainName.MatchString(id) {
					t.Errorf("operationId %s stands twice, or is no name in a programming language", id)
				}
				ids[id] = true
			}
			for _, e := range v {
				walk(e)
			}
		case []any:
			for _, e := range v {
				walk(e)
			}
		}
	}
	walk(doc)
	if len(ids) != len(routes()) {
		t.Errorf("%d operations for %d routes", len(ids), len(routes()))
	}
	schemas := resolve(doc, "/components/schemas").(map[string]any)
	for name, s := range schemas {
		if !regexp.MustCompile(`^[A-Z][A-Za-z0-9]*$`).MatchString(name) || s.(map[string]any)["$defs"] != nil {
			t.Errorf("the schema %s has no name that every language takes, or others inside", name)
		}
		if _, err := c.Compile("http://example.test/openapi.json#/components/schemas/" + name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if len(schemas) < len(schema.Names()) {
		t.Errorf("%d schemas of %d documents", len(schemas), len(schema.Names()))
	}
}

// resolve follows a JSON Pointer.
func resolve(tree any, pointer string) any {
	for _, p := range strings.Split(pointer, "/")[1:] {
		m, _ := tree.(map[string]any)
		tree = m[strings.NewReplacer("~1", "/", "~0", "~").Replace(p)]
	}
	return tree
}

// TestUploadsAreTold: every route that takes a photograph says what it must not show.
func TestUploadsAreTold(t *testing.T) {
	seen := 0
	for key, d := range describe {
		if !slices.ContainsFunc(d.media, func(m string) bool { return strings.HasPrefix(m, "image/") }) {
			continue
		}
		seen++
		if !strings.Contains(d.detail, message.Of("page.photo.shows").String()) {
			t.Errorf("%s does not say what a photograph must not show", key)
		}
	}
	if seen == 0 {
		t.Error("no route takes a photograph")
	}
}
