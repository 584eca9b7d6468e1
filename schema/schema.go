// Package schema holds the JSON Schema documents (2020-12) of boardlore and
// the one way in for every document from outside: strict JSON, limits, schema,
// canonical quantities, then the checks of domain. A schema alone cannot say
// that a designator stands twice or that "104" reads two ways, and code alone
// would leave tool authors without a contract; documents are held to both.
package schema

import (
	"bytes"
	"embed"
	"fmt"
	"io"
	"path"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/santhosh-tekuri/jsonschema/v5"
)

//go:embed documents/*.json
var files embed.FS

// Prefix is the path under which the documents are served; each document's
// $id is Prefix and its name.
const Prefix = "/v1/schemas/"

type document struct {
	bundled  []byte // with every document that it refers to, for readers who fetch only one
	compiled *jsonschema.Schema
	quick    *rule // the same in brief; nil where only the library can judge
	levels   map[*jsonschema.Schema]*jsonschema.Schema
}

// documents is read-only after initialisation. A fault in an embedded document
// is a defect of the build, so initialisation panics on it.
var documents = load()

func load() map[string]document {
	entries, err := files.ReadDir("documents")
	if err != nil {
		panic(err)
	}
	raw := map[string][]byte{}
	for _, e := range entries {
		b, err := files.ReadFile(path.Join("documents", e.Name()))
		if err != nil {
			panic(err)
		}
		raw[strings.TrimSuffix(e.Name(), ".json")] = b
	}
	c := jsonschema.NewCompiler()
	c.Draft = jsonschema.Draft2020
	c.LoadURL = func(url string) (io.ReadCloser, error) {
		return nil, fmt.Errorf("schema %s is not among the embedded ones", url)
	}
	for name, b := range raw {
		if err := c.AddResource(Prefix+name, bytes.NewReader(b)); err != nil {
			panic(fmt.Errorf("schema %s: %w", name, err))
		}
	}
	docs, quick := make(map[string]document, len(raw)), rules(raw)
	for name, b := range raw {
		compiled, err := c.Compile(Prefix + name)
		if err != nil {
			panic(fmt.Errorf("schema %s: %w", name, err))
		}
		docs[name] = document{bundled: bundle(name, b, raw), compiled: compiled, quick: quick[name],
			levels: map[*jsonschema.Schema]*jsonschema.Schema{}}
		levels(compiled, docs[name].levels)
	}
	return docs
}

// bundle embeds every document that b refers to, and those that they refer to,
// under $defs, each with its own $id, as JSON Schema 2020-12 section 9.3 has
// it: whoever fetches one document can validate with it alone.
func bundle(name string, b []byte, raw map[string][]byte) []byte {
	doc := treeOf(name, b)
	for _, other := range referred(name, raw) {
		defs, _ := doc["$defs"].(map[string]any)
		if defs == nil {
			defs = map[string]any{}
			doc["$defs"] = defs
		}
		defs[other] = treeOf(other, raw[other])
	}
	out, err := json.Marshal(doc, json.Deterministic(true), jsontext.WithIndent("  "))
	if err != nil {
		panic(fmt.Errorf("schema %s: %w", name, err))
	}
	return append(out, '\n')
}

func treeOf(name string, b []byte) (doc map[string]any) {
	if err := json.Unmarshal(b, &doc); err != nil {
		panic(fmt.Errorf("schema %s: %w", name, err))
	}
	return doc
}

// referred lists the other documents that name refers to, at first or further hand.
func referred(name string, raw map[string][]byte) []string {
	names, seen := []string{name}, map[string]bool{name: true}
	for i := 0; i < len(names); i++ {
		for other := range raw {
			b := raw[names[i]]
			if !seen[other] && (bytes.Contains(b, []byte(`"$ref": "`+other+`#`)) ||
				bytes.Contains(b, []byte(`"$ref": "`+other+`"`))) {
				seen[other] = true
				names = append(names, other)
			}
		}
	}
	return names[1:]
}

// Names lists the documents in alphabetical order.
func Names() []string {
	names := make([]string, 0, len(documents))
	for n := range documents {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// Document returns the schema of that name, with what it refers to inside it;
// false where there is none.
func Document(name string) ([]byte, bool) {
	d, ok := documents[strings.TrimSuffix(name, ".json")]
	return d.bundled, ok
}

// Tree returns the schema of that name, without what it refers to, for the
// caller to change.
func Tree(name string) (map[string]any, error) {
	b, err := files.ReadFile("documents/" + name + ".json")
	if err != nil {
		return nil, fmt.Errorf("schema %s: %w", name, err)
	}
	return treeOf(name, b), nil
}
