package pages

import (
	"slices"
	"strconv"
	"strings"
	"sync"

	"boardlore/domain/message"
	"boardlore/schema"
)

// draftMember is a member of a map as a form has it. The forms are made of the
// schema, so that a member that is added there is on the pages at once.
type draftMember struct {
	Path    string   // in the object that the form is for, such as part.voltage
	Kind    string   // how it is typed, see the constants
	Choices []string // all that it may hold
	Help    string   // what the schema says of it
}

// How members are typed.
const (
	asText    = "text"
	asLong    = "long"    // several lines
	asNumber  = "number"  // with a decimal point or comma
	asFlag    = "flag"    // yes, no, or not known
	asChoice  = "choice"  // one of a list
	asWords   = "words"   // several, by commas
	asLines   = "lines"   // several, a line each
	asFigures = "figures" // several numbers, by blanks
	asPairs   = "pairs"   // places, a line each: x y
	asPoints  = "points"  // known places of a photograph, a line each: u v x y
)

// The parts of a map that have a form each. In a variant's change, set holds
// the members of a position that it changes.
const (
	ofMap       = ""
	ofPosition  = "positions"
	ofVariant   = "variants"
	ofChange    = "changes"
	ofFailure   = "failure_points"
	ofCheck     = "checks"
	ofCaution   = "cautions"
	ofPhotoLaid = "photographs"
)

// byServer are the members that nobody edits: the server alone makes maps that
// have them, or drops them.
var byServer = []string{"$schema", "variant", "of"}

// draftMembers lists the members of each form.
var draftMembers = sync.OnceValue(func() map[string][]draftMember {
	w := walker{out: map[string][]draftMember{}}
	root, base := w.resolve(map[string]any{"$ref": "map#"}, "map")
	w.object(root, base, ofMap, "")
	w.out[ofMap] = slices.DeleteFunc(w.out[ofMap], func(m draftMember) bool {
		return slices.Contains(byServer,
			m.Path)
	})
	for _, m := range w.out[ofPosition] {
		m.Path = "set." + m.Path
		w.out[ofChange] = append(w.out[ofChange], m)
	}
	return w.out
})

type walker struct {
	out   map[string][]draftMember
	trees map[string]map[string]any
}

// resolve follows references, which name a document and a place in it.
func (w *walker) resolve(node map[string]any, base string) (map[string]any, string) {
	for {
		ref, ok := node["$ref"].(string)
		if !ok {
			return node, base
		}
		name, at, _ := strings.Cut(ref, "#")
		if name != "" {
			base = name
		}
		to := w.tree(base)
		for _, step := range strings.Split(strings.Trim(at, "/"), "/") {
			if step != "" {
				to, _ = to[step].(map[string]any)
			}
		}
		merged := map[string]any{}
		for k, v := range to {
			merged[k] = v
		}
		if d := node["description"]; d != nil {
			merged["description"] = d
		}
		node = merged
	}
}

func (w *walker) tree(name string) map[string]any {
	if w.trees == nil {
		w.trees = map[string]map[string]any{}
	}
	if w.trees[name] == nil {
		w.trees[name], _ = schema.Tree(name) // the documents are the program's own
	}
	return w.trees[name]
}

// memberOrder has the members of an object in an order that people expect.
func memberOrder(properties map[string]any) []string {
	first := []string{"board", "name", "equipment", "maker", "model", "kind", "years", "markings", "licence", "frame",
		"variant", "id", "designator", "title", "text", "when", "severity", "bars_power_up",
		"side", "x_mm", "y_mm", "rotation_deg", "negative_deg", "class", "construction", "value", "tolerance",
		"voltage", "current", "power", "polarised", "part", "body", "mechanism", "positions"}
	last := []string{"replacement", "notes", "note", "omit", "fit", "set", "changes"}
	names := make([]string, 0, len(properties))
	for k := range properties {
		names = append(names, k)
	}
	rank := func(k string) int {
		if i := slices.Index(first, k); i >= 0 {
			return i
		}
		return 1000 + 1000*(1+slices.Index(last, k))
	}
	slices.SortFunc(names, func(a, b string) int {
		if d := rank(a) - rank(b); d != 0 {
			return d
		}
		return strings.Compare(a, b)
	})
	return names
}

func (w *walker) object(node map[string]any, base, form, path string) {
	properties, _ := node["properties"].(map[string]any)
	for _, k := range memberOrder(properties) {
		child, _ := properties[k].(map[string]any)
		w.member(child, base, form, path+k)
	}
}

func (w *walker) member(node map[string]any, base, form, path string) {
	node, base = w.resolve(node, base)
	if node["properties"] != nil {
		w.object(node, base, form, path+".")
		return
	}
	items, _ := node["items"].(map[string]any)
	if node["type"] == "array" && items != nil {
		inner, innerBase := w.resolve(items, base)
		if inner["properties"] != nil && path != "points" {
			w.object(inner, innerBase, path, "")
			return
		}
	}
	if path == "set" { // the members of a position, each by itself
		return
	}
	w.out[form] = append(w.out[form], w.leaf(node, base, path))
}

func (w *walker) leaf(node map[string]any, base, path string) draftMember {
	m := draftMember{Path: path, Kind: asText}
	m.Help, _ = node["description"].(string)
	for _, x := range asList(node["enum"]) {
		if s, ok := x.(string); ok {
			m.Choices = append(m.Choices, s)
		}
	}
	longest, _ := node["maxLength"].(float64)
	const oneLine = 500 // characters that still go into a field of one line
	switch {
	case m.Choices != nil:
		m.Kind = asChoice
	case node["type"] == "number":
		m.Kind = asNumber
	case node["type"] == "boolean":
		m.Kind = asFlag
	case node["type"] == "array":
		items, _ := node["items"].(map[string]any)
		items, _ = w.resolve(items, base)
		m.Kind = listed(items)
	case longest > oneLine:
		m.Kind = asLong
	}
	return m
}

// listed is how a list of such items is typed.
func listed(items map[string]any) string {
	longest, _ := items["maxLength"].(float64)
	switch {
	case items["properties"] != nil:
		return asPoints
	case items["type"] == "array":
		return asPairs
	case items["type"] == "integer" || items["type"] == "number":
		return asFigures
	case longest > 120: // sentences have commas in them
		return asLines
	}
	return asWords
}

func asList(x any) []any {
	l, _ := x.([]any)
	return l
}

// Label is what a form calls a member.
func (m *draftMember) Label() message.Message {
	if message.English.Has("page.member." + m.Path) {
		return t("member." + m.Path)
	}
	path := strings.TrimPrefix(strings.TrimPrefix(m.Path, "set."), "fit.")
	label := t("member." + last(path))
	if strings.HasPrefix(path, "replacement.part.") {
		return t("member.instead", label)
	}
	return label
}

// memberOf finds a member of a form by its path.
func memberOf(form, path string) *draftMember {
	ms := draftMembers()[form]
	if i := slices.IndexFunc(ms, func(m draftMember) bool { return m.Path == path }); i >= 0 {
		return &ms[i]
	}
	return nil
}

// removed is what a change to a position says where it takes a member away.
const removed = "—"

// text is the member in an object as its field shows it.
func (m *draftMember) text(in map[string]any) string {
	sep := ", "
	switch m.Kind {
	case asLines, asPairs, asPoints:
		sep = "\n"
	case asFigures:
		sep = " "
	}
	return spelled(valueAt(in, m.Path), sep)
}

func valueAt(m map[string]any, path string) any {
	name, rest, deeper := strings.Cut(path, ".")
	if !deeper {
		v, there := m[name]
		if there && v == nil {
			return removed
		}
		return v
	}
	inner, _ := m[name].(map[string]any)
	return valueAt(inner, rest)
}

// spelled writes a value as it is typed, the items of a list parted by sep.
func spelled(v any, sep string) string {
	switch v := v.(type) {
	case string:
		return v
	case float64:
		return number(v)
	case bool:
		return map[bool]string{true: "yes", false: "no"}[v]
	case map[string]any: // a known place of a photograph
		return strings.TrimSpace(blanks(v["pixel"]) + " " + blanks(v["mm"]))
	case []any:
		parts := make([]string, len(v))
		for i, x := range v {
			parts[i] = spelled(x, " ")
		}
		return strings.Join(parts, sep)
	}
	return ""
}

func blanks(x any) string { return spelled(x, " ") }

// set makes the member what was typed: an empty field takes it away, an
// unchanged one stays as it was, and what can't be read stays as typed, so that
// the checks name it.
func (m *draftMember) set(in map[string]any, typed string) {
	typed = strings.ReplaceAll(strings.TrimSpace(typed), "\r\n", "\n")
	if m.text(in) == typed {
		return
	}
	put(in, m.Path, m.typed(typed))
}

// put sets a member at a path, nil taking it away; objects on the way that
// become empty go too.
func put(in map[string]any, path string, v any) {
	name, rest, deeper := strings.Cut(path, ".")
	if !deeper {
		switch v {
		case nil:
			delete(in, name)
		case removed:
			in[name] = nil
		default:
			in[name] = v
		}
		return
	}
	inner, ok := in[name].(map[string]any)
	if !ok {
		if v == nil {
			return
		}
		inner = map[string]any{}
		in[name] = inner
	}
	put(inner, rest, v)
	if len(inner) == 0 {
		delete(in, name)
	}
}

func (m *draftMember) typed(s string) any {
	if s == "" {
		return nil
	}
	if s == removed && strings.HasPrefix(m.Path, "set.") {
		return removed
	}
	switch m.Kind {
	case asNumber:
		return typedNumber(s)
	case asFlag:
		if s == "yes" || s == "no" {
			return s == "yes"
		}
	case asWords:
		return typedWords(s, ",;\n")
	case asLines:
		return typedWords(s, "\n")
	case asFigures:
		if x := figures(s); x != nil {
			return anyList(x)
		}
	case asPairs, asPoints:
		return typedRows(s, m.Kind)
	}
	return s
}

func typedWords(s, signs string) any {
	var ws []any
	for w := range strings.FieldsFuncSeq(s, func(r rune) bool { return strings.ContainsRune(signs, r) }) {
		if w = strings.TrimSpace(w); w != "" {
			ws = append(ws, w)
		}
	}
	if ws == nil {
		return nil
	}
	return ws
}

func anyList(x []float64) []any {
	out := make([]any, len(x))
	for i := range x {
		out[i] = x[i]
	}
	return out
}

// typedRows reads places a line each; a text where a line is none.
func typedRows(s, kind string) any {
	var rows []any
	for line := range strings.Lines(s) {
		if strings.TrimSpace(line) == "" {
			continue
		}
		x := figures(strings.TrimSpace(line))
		switch {
		case kind == asPairs && len(x) == 2:
			rows = append(rows, anyList(x))
		case kind == asPoints && len(x) == 4:
			rows = append(rows, map[string]any{"pixel": anyList(x[:2]), "mm": anyList(x[2:])})
		default:
			return s
		}
	}
	return rows
}

// draftInput is a member of an object in a form.
type draftInput struct {
	*draftMember
	Name, Value string
	Of          message.Message // what it is said of, for who does not see the form
}

// Label is the member's, with what it is said of.
func (i *draftInput) Full() message.Message {
	if i.Of.IsZero() {
		return i.draftMember.Label()
	}
	return titled(i.draftMember.Label(), i.Of)
}

// Many tells that the field has several lines.
func (i *draftInput) Many() bool {
	return slices.Contains([]string{asLong, asLines, asPairs, asPoints}, i.Kind)
}

// Offered is what a list offers, the empty choice first.
func (i *draftInput) Offered() []string {
	if i.Kind == asFlag {
		return []string{"", "yes", "no"}
	}
	return append([]string{""}, i.Choices...)
}

// inputs are the fields of an object whose form it is, named under at.
func inputs(form, at string, of message.Message, in map[string]any) []draftInput {
	ms := draftMembers()[form]
	out := make([]draftInput, len(ms))
	for i := range ms {
		out[i] = draftInput{draftMember: &ms[i], Name: at + ms[i].Path, Value: ms[i].text(in), Of: of}
	}
	return out
}

// itemName calls an item of a list by what it has of a name.
func itemName(in map[string]any, i int) string {
	for _, k := range []string{"title", "text", "designator", "omit", "variant", "id", "side", "sha256"} {
		if s, ok := in[k].(string); ok && s != "" {
			return clipped(s)
		}
	}
	if f, ok := in["fit"].(map[string]any); ok {
		return itemName(f, i)
	}
	return strconv.Itoa(i + 1)
}
