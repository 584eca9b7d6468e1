package schema

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
)

// rule is a schema in the form in which sound documents pass quickly. The
// library's validator keeps the path of every value for what it may have to
// say, which costs more than all the rest of reading a map; nearly every
// document has nothing wrong with it. A rule only answers whether a tree is
// valid. Whatever it does not pass, the library judges, and says why. A map of
// 60 positions is read in a quarter of the time that it takes with the library
// alone (BenchmarkReadMap60), without which a registry of some size is loaded in
// hours; TestQuickAgrees and FuzzQuickAgrees hold the two to one verdict.
type rule struct {
	kinds      kinds
	whole      bool            // of numbers: without a fraction
	words      map[string]bool // the texts of enum; nil where any will do
	pattern    *regexp.Regexp
	length     [2]int // of a text, in characters
	bounds     [4]float64
	items      *rule
	count      [2]int // of a list
	members    map[string]*rule
	free       []freeMembers
	closed     bool
	required   []string
	fewest     int     // members
	all        []*rule // allOf and $ref
	ref        *rule   // $ref alone
	some, one  []*rule // anyOf, oneOf
	not        *rule
	everything bool // nothing to hold to
}

type freeMembers struct {
	name *regexp.Regexp
	rule *rule
}

// kinds is a set of JSON types.
type kinds uint8

const (
	kindNull kinds = 1 << iota
	kindBool
	kindNumber
	kindText
	kindList
	kindObject
	anyKind kinds = 1<<iota - 1
)

// What bounds holds.
const (
	atLeast = iota
	atMost
	over
	under
)

// quickCompiler makes the rules of schemas. raw holds the documents by name; made
// the rules so far, by document and pointer, since schemas may refer in circles.
type quickCompiler struct {
	raw  map[string]any
	made map[string]*rule
}

// errSlow says that a schema uses what rules don't know; it is left to the library.
type errSlow struct{ keyword string }

func (e errSlow) Error() string { return "no quick rule for " + e.keyword }

// document makes the rule of a whole document, or nil where rules can't say it.
func (q *quickCompiler) document(name string) *rule {
	r, err := q.refer(name, "")
	if err != nil {
		clear(q.made) // some of them may hold one that was never finished
		return nil
	}
	return r
}

func (q *quickCompiler) refer(name, pointer string) (*rule, error) {
	key := name + "#" + pointer
	if r := q.made[key]; r != nil {
		return r, nil
	}
	doc, ok := q.raw[name]
	if !ok {
		return nil, errSlow{"$ref " + key}
	}
	r := &rule{}
	q.made[key] = r
	made, err := q.make(name, resolve(doc, pointer))
	if err != nil {
		return nil, err
	}
	*r = *made
	return r, nil
}

func (q *quickCompiler) make(name string, v any) (*rule, error) {
	s, ok := v.(map[string]any)
	if !ok {
		return nil, errSlow{fmt.Sprintf("schema %v", v)}
	}
	r := &rule{kinds: anyKind, length: [2]int{0, math.MaxInt}, count: [2]int{0, math.MaxInt},
		bounds: [4]float64{math.Inf(-1), math.Inf(1), math.Inf(-1), math.Inf(1)}}
	r.everything = true
	for k, v := range s {
		told, err := q.keyword(name, r, k, v)
		if err != nil {
			return nil, err
		}
		r.everything = r.everything && !told
	}
	return r, nil
}

// keyword takes one keyword into r and tells whether it says anything of documents.
func (q *quickCompiler) keyword(name string, r *rule, k string, v any) (told bool, err error) {
	switch k {
	case "$schema", "$id", "$defs", "$comment", "title", "description", "examples", "default", "format",
		"contentMediaType":
		return false, nil
	case "type":
		return true, r.setType(v)
	case "enum":
		return true, r.setEnum(v)
	case "pattern":
		r.pattern, err = regexp.Compile(text(v))
	case "minLength":
		r.length[0] = int(number(v))
	case "maxLength":
		r.length[1] = int(number(v))
	case "minItems":
		r.count[0] = int(number(v))
	case "maxItems":
		r.count[1] = int(number(v))
	case "minimum":
		r.bounds[atLeast] = number(v)
	case "maximum":
		r.bounds[atMost] = number(v)
	case "exclusiveMinimum":
		r.bounds[over] = number(v)
	case "exclusiveMaximum":
		r.bounds[under] = number(v)
	case "minProperties":
		r.fewest = int(number(v))
	case "required":
		for _, m := range list(v) {
			r.required = append(r.required, text(m))
		}
	case "additionalProperties":
		open, isBool := v.(bool)
		if r.closed = !open; !isBool {
			err = errSlow{k}
		}
	case "$ref":
		to, pointer, _ := strings.Cut(strings.TrimPrefix(text(v), Prefix), "#")
		if to == "" {
			to = name
		}
		var of *rule
		of, err = q.refer(to, pointer)
		r.all, r.ref = append(r.all, of), of
	default:
		return true, q.inner(name, r, k, v)
	}
	return true, err
}

// inner takes a keyword that holds schemas.
func (q *quickCompiler) inner(name string, r *rule, k string, v any) (err error) {
	switch k {
	case "properties":
		r.members = map[string]*rule{}
		for m, s := range object(v) {
			if r.members[m], err = q.make(name, s); err != nil {
				return err
			}
		}
	case "patternProperties":
		for pattern, s := range object(v) {
			re, err := regexp.Compile(pattern)
			if err != nil {
				return err
			}
			of, err := q.make(name, s)
			if err != nil {
				return err
			}
			r.free = append(r.free, freeMembers{re, of})
		}
	case "items":
		r.items, err = q.make(name, v)
	case "not":
		r.not, err = q.make(name, v)
	case "allOf":
		r.all, err = q.several(name, r.all, v)
	case "anyOf":
		r.some, err = q.several(name, nil, v)
	case "oneOf":
		r.one, err = q.several(name, nil, v)
	default:
		err = errSlow{k}
	}
	return err
}

func (q *quickCompiler) several(name string, to []*rule, v any) ([]*rule, error) {
	for _, s := range list(v) {
		r, err := q.make(name, s)
		if err != nil {
			return nil, err
		}
		to = append(to, r)
	}
	return to, nil
}

func (r *rule) setType(v any) error {
	names := list(v)
	if names == nil {
		names = []any{v}
	}
	r.kinds, r.whole = 0, !slices.Contains(names, any("number"))
	for _, n := range names {
		switch text(n) {
		case "null":
			r.kinds |= kindNull
		case "boolean":
			r.kinds |= kindBool
		case "number", "integer":
			r.kinds |= kindNumber
		case "string":
			r.kinds |= kindText
		case "array":
			r.kinds |= kindList
		case "object":
			r.kinds |= kindObject
		default:
			return errSlow{"type " + text(n)}
		}
	}
	return nil
}

func (r *rule) setEnum(v any) error {
	r.words = map[string]bool{}
	for _, w := range list(v) {
		s, ok := w.(string)
		if !ok {
			return errSlow{"enum of other than texts"}
		}
		r.words[s] = true
	}
	return nil
}

// passes says whether tree is valid.
func (r *rule) passes(tree any) bool {
	if r.everything {
		return true
	}
	if r.words != nil {
		if s, ok := tree.(string); !ok || !r.words[s] {
			return false
		}
	}
	switch v := tree.(type) {
	case map[string]any:
		if r.kinds&kindObject == 0 || !r.passesObject(v) {
			return false
		}
	case []any:
		if r.kinds&kindList == 0 || !r.passesList(v) {
			return false
		}
	case string:
		if r.kinds&kindText == 0 || !r.passesText(v) {
			return false
		}
	case float64:
		if r.kinds&kindNumber == 0 || !r.passesNumber(v) {
			return false
		}
	case bool:
		if r.kinds&kindBool == 0 {
			return false
		}
	case nil:
		if r.kinds&kindNull == 0 {
			return false
		}
	}
	return r.passesOthers(tree)
}

func (r *rule) passesText(s string) bool {
	if r.length[0] > 0 || len(s) > r.length[1] {
		if n := utf8.RuneCountInString(s); n < r.length[0] || n > r.length[1] {
			return false
		}
	}
	return r.pattern == nil || r.pattern.MatchString(s)
}

func (r *rule) passesNumber(f float64) bool {
	return f >= r.bounds[atLeast] && f <= r.bounds[atMost] && f > r.bounds[over] && f < r.bounds[under] &&
		(!r.whole || f == math.Trunc(f))
}

func (r *rule) passesList(l []any) bool {
	if len(l) < r.count[0] || len(l) > r.count[1] {
		return false
	}
	if r.items == nil {
		return true
	}
	for _, e := range l {
		if !r.items.passes(e) {
			return false
		}
	}
	return true
}

func (r *rule) passesObject(o map[string]any) bool {
	if len(o) < r.fewest {
		return false
	}
	for _, m := range r.required {
		if _, ok := o[m]; !ok {
			return false
		}
	}
	if r.members == nil && r.free == nil && !r.closed {
		return true
	}
	for m, v := range o {
		of, known := r.members[m]
		if known && !of.passes(v) {
			return false
		}
		for i := range r.free {
			if r.free[i].name.MatchString(m) {
				known = true
				if !r.free[i].rule.passes(v) {
					return false
				}
			}
		}
		if r.closed && !known {
			return false
		}
	}
	return true
}

func (r *rule) passesOthers(tree any) bool {
	for _, a := range r.all {
		if !a.passes(tree) {
			return false
		}
	}
	if r.some != nil && passing(r.some, tree) == 0 || r.one != nil && passing(r.one, tree) != 1 {
		return false
	}
	return r.not == nil || !r.not.passes(tree)
}

// referred, member and item are the rules of what lies below, nil for none.
func (r *rule) referred() *rule {
	if r == nil {
		return nil
	}
	return r.ref
}

func (r *rule) member(name string) *rule {
	if r == nil {
		return nil
	}
	return r.members[name]
}

func (r *rule) item() *rule {
	if r == nil {
		return nil
	}
	return r.items
}

func passing(rules []*rule, tree any) (n int) {
	for _, r := range rules {
		if r.passes(tree) {
			n++
		}
	}
	return n
}

// rules makes the quick rule of each document that has one.
func rules(raw map[string][]byte) map[string]*rule {
	q := &quickCompiler{raw: map[string]any{}, made: map[string]*rule{}}
	for name, b := range raw {
		var tree any
		if err := json.Unmarshal(b, &tree); err != nil {
			panic(fmt.Errorf("schema %s: %w", name, err))
		}
		q.raw[name] = tree
	}
	made := map[string]*rule{}
	for name := range raw {
		made[name] = q.document(name)
	}
	return made
}

func object(v any) map[string]any { o, _ := v.(map[string]any); return o }

func number(v any) float64 { f, _ := v.(float64); return f }
