package api

import (
	"slices"
	"strings"

	"boardlore/schema"
)

const schemasAt = "#/components/schemas/"

// flat gives every schema of the description a name of its own and leaves none
// inside another: what generates code from it makes a type of each name, and
// many such tools know no other place. The documents under /v1/schemas stay as
// they are; these are the same, hung up differently.
type flat struct {
	trees map[string]object // documents by name
	names map[string]string // component by document and pointer, as in part/$defs/slug
	taken map[string]bool
	out   object

	within map[string]string // what a schema that stays where it is would be called, for what lies in it
}

// readElsewhere are members that may be of several types. Most are documents of their
// own, which the server reads apart from what they come in, so that each fault
// is told once and where it is; the schema of what they come in leaves them open.
var readElsewhere = map[string][]object{
	"submission/properties/map":             {{"$ref": component("map")}, {"$ref": component("envelope")}},
	"submission/properties/evidence/items":  {{"type": "string"}, {"$ref": component("common") + "/$defs/evidence"}},
	"reconciliation-request/properties/kit": {{"$ref": component("kit")}, {"type": "string"}},
	"reconciliation-request/properties/scope": {{"type": "string", "enum": []string{"service", "all"}},
		{"type": "array", "items": object{"type": "string", "minLength": 1}, "maxItems": 5000}},
}

// inline puts in what a document leaves to another.
func (f *flat) inline() {
	for at, choices := range readElsewhere {
		doc, rest, _ := strings.Cut(at, "/")
		var node any = f.trees[doc]
		for _, step := range strings.Split(rest, "/") {
			node = node.(object)[step]
		}
		about := node.(object)["description"]
		clear(node.(object))
		node.(object)["anyOf"] = choices
		if about != nil {
			node.(object)["description"] = about
		}
	}
}

// flatten gives the components, and has every reference in a description lead
// to them.
func flatten(description object) (object, error) {
	f := &flat{trees: map[string]object{}, names: map[string]string{}, taken: map[string]bool{}, out: object{},
		within: map[string]string{}}
	for _, name := range schema.Names() {
		doc, err := schema.Tree(name)
		if err != nil {
			return nil, err
		}
		delete(doc, "$schema")
		delete(doc, "$id")
		turnReferences(doc, name)
		f.trees[name] = doc
	}
	f.inline()
	f.nameAll()
	f.nameReferenced(f.trees)
	for _, name := range schema.Names() {
		f.lift(name, f.trees[name])
	}
	f.turn(description)
	return f.out, nil
}

// nameAll names the documents, then what they define.
func (f *flat) nameAll() {
	for _, doc := range schema.Names() {
		if f.trees[doc]["type"] != nil || f.trees[doc]["$ref"] != nil || f.trees[doc]["anyOf"] != nil {
			f.name(doc, identifier(doc))
		}
	}
	for _, doc := range schema.Names() {
		defs, _ := f.trees[doc]["$defs"].(object)
		for _, def := range sortedKeys(defs) {
			name := identifier(def)
			if f.taken[name] {
				name = identifier(doc) + name
			}
			f.name(doc+"/$defs/"+def, name)
		}
	}
}

func (f *flat) name(at, name string) {
	for f.taken[name] {
		name += "Of"
	}
	f.names[at], f.taken[name] = name, true
}

// nameReferenced names what is referred to in the middle of a document.
func (f *flat) nameReferenced(trees map[string]object) {
	for _, doc := range sortedKeys(trees) {
		references(trees[doc], func(to string) {
			at := strings.TrimPrefix(to, schemasAt)
			if f.names[at] != "" || !strings.Contains(at, "/") {
				return
			}
			f.name(at, identifier(strings.NewReplacer("/properties/", "-", "/$defs/", "-", "/items",
				"-item").Replace(at)))
		})
	}
}

// references calls each with every reference.
func references(v any, each func(string)) {
	switch v := v.(type) {
	case object:
		if to, ok := v["$ref"].(string); ok {
			each(to)
		}
		for _, k := range sortedKeys(v) {
			references(v[k], each)
		}
	case []object:
		for _, e := range v {
			references(e, each)
		}
	case []any:
		for _, e := range v {
			references(e, each)
		}
	}
}

// lift puts a schema among the components under its name, and what lies in it
// beside it.
func (f *flat) lift(at string, node object) {
	if defs, ok := node["$defs"].(object); ok {
		delete(node, "$defs")
		for def, d := range defs {
			f.lift(at+"/$defs/"+def, d.(object))
		}
	}
	f.inside(at, node)
	if name := f.names[at]; name != "" {
		f.turn(node)
		f.out[name] = node
	}
}

// inside lifts what a schema's members are, where that is more than one line.
func (f *flat) inside(at string, node object) {
	if properties, ok := node["properties"].(object); ok {
		for _, p := range sortedKeys(properties) {
			properties[p] = f.member(at, at+"/properties/"+p, "-"+p, properties[p])
		}
	}
	for key, suffix := range map[string]string{"items": "-item", "additionalProperties": "-value"} {
		if child, ok := node[key].(object); ok {
			node[key] = f.member(at, at+"/"+key, suffix, child)
		}
	}
}

// member is what stands in place of a member: a reference where it was lifted.
func (f *flat) member(owner, at, suffix string, v any) any {
	node, ok := v.(object)
	if !ok {
		return v
	}
	if node["properties"] != nil && f.names[at] == "" {
		f.name(at, f.ownerName(owner)+identifier(suffix))
	}
	if f.names[at] == "" {
		f.within[at] = f.ownerName(owner) + identifier(suffix)
		f.inside(at, node)
		return node
	}
	f.lift(at, node)
	return object{"$ref": schemasAt + f.names[at]}
}

// ownerName is what a schema is called, or would be.
func (f *flat) ownerName(at string) string {
	if n := f.names[at]; n != "" {
		return n
	}
	if n := f.within[at]; n != "" {
		return n
	}
	return identifier(at)
}

// turn has references lead to the components.
func (f *flat) turn(v any) {
	switch v := v.(type) {
	case object:
		if to, ok := v["$ref"].(string); ok {
			if name := f.names[strings.TrimPrefix(to, schemasAt)]; name != "" {
				v["$ref"] = schemasAt + name
			}
		}
		for _, e := range v {
			f.turn(e)
		}
	case map[string]object:
		for _, e := range v {
			f.turn(e)
		}
	case []object:
		for _, e := range v {
			f.turn(e)
		}
	case []any:
		for _, e := range v {
			f.turn(e)
		}
	}
}

// identifier writes a name with hyphens as one word: photograph-draft is
// PhotographDraft.
func identifier(name string) string {
	var b strings.Builder
	for _, word := range strings.FieldsFunc(name, func(r rune) bool {
		return r == '-' || r == '_' || r == '/' ||
			r == '$' || r == ' '
	}) {
		b.WriteString(strings.ToUpper(word[:1]) + word[1:])
	}
	return b.String()
}

func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
