package schema

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// maxName bounds the name of a member, in bytes; those of the schemas are short.
const maxName = 200

// maxDepth bounds the nesting of a document; the deepest member of a map by
// schema lies eight levels down, the rest is room for x- members.
const maxDepth = 32

// maxValues bounds how many values, and names of members, a document holds,
// since what they take in memory is many times what they take in writing. 5,000
// positions of sixty members each come to this.
const maxValues = 600_000

// Refusal turns the findings of a refused document into an error of the right
// kind; nil where nothing in them is a stop.
func Refusal(fs []finding.Finding) error {
	if finding.Worst(fs) != finding.Stop {
		return nil
	}
	kind, code, detail := fault.Invalid, "document-refused", message.Message{}
	n := 0
	for _, f := range fs {
		if f.Severity != finding.Stop {
			continue
		}
		if n++; n == 1 {
			detail = f.Sentence
		}
		switch f.Code {
		case "json-malformed":
			kind, code = fault.Malformed, f.Code
		case "document-too-large":
			kind, code = fault.TooLarge, f.Code
		}
	}
	if n > 1 {
		detail = message.Of("schema.document-faults-correct-each", n, detail)
	}
	return &fault.Error{Kind: kind, Code: code, Detail: detail, Findings: fs}
}

// Bounded refuses, TooLarge document-too-large, what is too much to be looked into
// at all: more than limit bytes, or more values and names than a document has.
func Bounded(data []byte, limit int) error {
	if fs := outOfBounds(data, limit); fs != nil {
		return &fault.Error{Kind: fault.TooLarge, Code: "document-too-large", Detail: fs[0].Sentence, Findings: fs}
	}
	return nil
}

func outOfBounds(data []byte, limit int) []finding.Finding {
	if len(data) > limit {
		return stop("document-too-large", "", message.Of("schema.document-too-large", len(data), limit))
	}
	if n := values(data); n > maxValues {
		return stop("document-too-large", "", message.Of("schema.document-too-large-document", n, maxValues))
	}
	return nil
}

// parse reads strict JSON (RFC 8259 with I-JSON's UTF-8 and unique names) of
// at most limit bytes into maps, slices, strings, float64s and bools.
func parse(data []byte, limit int) (tree any, fs []finding.Finding) {
	if fs := outOfBounds(data, limit); fs != nil {
		return nil, fs
	}
	if err := json.Unmarshal(data, &tree); err != nil {
		return nil, []finding.Finding{syntaxFinding(data, err)}
	}
	if !fit(tree, 1) {
		unfit(tree, "", 1, &fs)
		return nil, capped(fs)
	}
	if fs := inexact(data); fs != nil {
		return nil, fs
	}
	return tree, nil
}

// maxMembers bounds the members of one object: ten times what any of ours has,
// with room for a tool's own.
const maxMembers = 1000

// values counts, without building anything, what a JSON text would be read
// into: each list, object, name and value makes itself known by a comma, a
// colon or a bracket outside of the texts. Of what is no JSON the count says
// nothing, and the reader will.
func values(data []byte) (n int) {
	inside := false
	for i := 0; i < len(data); i++ {
		switch c := data[i]; {
		case inside && c == '\\':
			i++
		case c == '"':
			inside = !inside
		case !inside && (c == ',' || c == ':' || c == '[' || c == '{'):
			n++
		}
	}
	return n
}

func syntaxFinding(data []byte, err error) finding.Finding {
	f := finding.Finding{Code: "json-malformed", Severity: finding.Stop, Basis: message.Text("RFC 8259, RFC 7493")}
	offset := int64(-1)
	reason := err
	var syn *jsontext.SyntacticError
	var sem *json.SemanticError
	switch {
	case errors.As(err, &syn):
		offset, reason = syn.ByteOffset, syn.Err
		f.Pointer = string(syn.JSONPointer)
	case errors.As(err, &sem):
		offset = sem.ByteOffset
		f.Pointer = string(sem.JSONPointer)
		if sem.Err != nil {
			reason = sem.Err
		}
	}
	why := strings.TrimPrefix(reason.Error(), "jsontext: ")
	f.Sentence = message.Of("schema.not-json", why)
	if offset >= 0 && offset <= int64(len(data)) {
		head := string(data[:offset])
		line := strings.Count(head, "\n") + 1
		column := len([]rune(head[strings.LastIndexByte(head, '\n')+1:])) + 1
		f.Sentence = message.Of("schema.not-json-at", why, line, column)
	}
	return f
}

// fit says whether a tree holds nothing that no document may hold, whatever its
// schema: nesting beyond all use, names that are none, and characters that
// unkept finds.
func fit(v any, depth int) bool {
	if depth > maxDepth {
		return false
	}
	switch v := v.(type) {
	case string:
		return unkept(v) < 0
	case map[string]any:
		if len(v) > maxMembers {
			return false
		}
		for k, e := range v {
			if len(k) > maxName || unkept(k) >= 0 || !fit(e, depth+1) {
				return false
			}
		}
	case []any:
		for _, e := range v {
			if !fit(e, depth+1) {
				return false
			}
		}
	}
	return true
}

// unkept finds the first character that no text may hold, -1 for none: U+0000,
// which the database can't keep, and the embeddings, overrides and isolates of
// the bidirectional algorithm (Unicode Standard Annex 9), which hide what a text
// says.
func unkept(s string) rune {
	for _, r := range s {
		if r == 0 || r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 {
			return r
		}
	}
	return -1
}

// unfit lists what makes a tree not fit.
func unfit(v any, pointer string, depth int, fs *[]finding.Finding) {
	if len(*fs) > maxFindings {
		return
	}
	if depth > maxDepth {
		*fs = append(*fs, stop("document-too-deep", pointer, message.Of("schema.document-too-deep", maxDepth))...)
		return
	}
	check := func(s string, what message.Message, pointer string) {
		switch r := unkept(s); {
		case r == 0:
			*fs = append(*fs, stop("text-nul", pointer, message.Of("schema.text-nul", what))...)
		case r > 0:
			*fs = append(*fs, stop("text-direction", pointer, message.Of("schema.text-direction", what,
				fmt.Sprintf("%U", r)))...)
		}
	}
	switch v := v.(type) {
	case string:
		check(v, message.Of("schema.this-text"), pointer)
	case map[string]any:
		if len(v) > maxMembers {
			*fs = append(*fs, stop("document-too-large", pointer, message.Of("schema.too-many-members", len(v),
				maxMembers))...)
			return
		}
		for _, k := range sorted(v) {
			if len(*fs) > maxFindings {
				return
			}
			if len(k) > maxName {
				*fs = append(*fs, stop("name-long", pointer, message.Of("schema.name-long", maxName, clip(k),
					len(k)))...)
				continue
			}
			check(k, message.Of("schema.name-member"), pointer+"/"+escape(k))
			unfit(v[k], pointer+"/"+escape(k), depth+1, fs)
		}
	case []any:
		for i, e := range v {
			unfit(e, pointer+"/"+strconv.Itoa(i), depth+1, fs)
		}
	}
}

// escape makes a member name a JSON Pointer token (RFC 6901).
func escape(s string) string {
	if !strings.ContainsAny(s, "~/") {
		return s
	}
	return strings.NewReplacer("~", "~0", "/", "~1").Replace(s)
}

func stop(code, pointer string, sentence message.Message) []finding.Finding {
	return []finding.Finding{{Code: code, Severity: finding.Stop, Pointer: pointer, Sentence: sentence}}
}

func validate(name string, tree any) []finding.Finding {
	d, ok := documents[strings.TrimSuffix(name, ".json")]
	if !ok {
		return stop("schema-unknown", "", message.Of("schema.schema-unknown-there", name, message.Commas(Names())))
	}
	e := explainer{levels: d.levels, root: tree}
	e.explain(d.compiled, d.quick, tree, "")
	return capped(e.findings)
}

var quotedName = regexp.MustCompile(`'((?:[^'\\]|\\.)*)'`)

// quoted returns the names that a message of the validator lists in single
// quotes, at most so many of them; -1 for all.
func quoted(message string, most int) []string {
	var names []string
	for _, m := range quotedName.FindAllStringSubmatch(message, most) {
		names = append(names, strings.NewReplacer(`\'`, `'`, `\\`, `\`).Replace(m[1]))
	}
	return names
}

// resolve follows a JSON Pointer into tree; nil where it leads nowhere.
func resolve(tree any, pointer string) any {
	if pointer == "" {
		return tree
	}
	for _, tok := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		tok = strings.NewReplacer("~1", "/", "~0", "~").Replace(tok)
		switch v := tree.(type) {
		case map[string]any:
			tree = v[tok]
		case []any:
			i, err := strconv.Atoi(tok)
			if err != nil || i < 0 || i >= len(v) {
				return nil
			}
			tree = v[i]
		default:
			return nil
		}
	}
	return tree
}

// spell shows a value of the document, cut where it is long.
func spell(v any) string {
	switch v := v.(type) {
	case map[string]any:
		if len(v) > 40 {
			return fmt.Sprintf("an object of %d members", len(v))
		}
	case []any:
		if len(v) > 40 {
			return fmt.Sprintf("a list of %d items", len(v))
		}
	}
	b, err := json.Marshal(brief(v, 0), json.Deterministic(true))
	if err != nil {
		return "this value"
	}
	if r := []rune(string(b)); len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return string(b)
}

// brief is a value with all left out that spell would not show: what lies deep
// or far behind.
func brief(v any, depth int) any {
	const most = 40
	switch v := v.(type) {
	case string:
		return clip(v)
	case map[string]any:
		if len(v) > most || depth > 4 {
			return map[string]any{}
		}
		out := make(map[string]any, len(v))
		for k, e := range v {
			out[clip(k)] = brief(e, depth+1)
		}
		return out
	case []any:
		if depth > 4 {
			return []any{}
		}
		out := make([]any, 0, min(len(v), most))
		for _, e := range v[:min(len(v), most)] {
			out = append(out, brief(e, depth+1))
		}
		return out
	}
	return v
}
