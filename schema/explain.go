package schema

import (
	"errors"
	"slices"
	"strconv"
	"strings"

	"github.com/santhosh-tekuri/jsonschema/v5"

	"boardlore/domain/finding"
	"boardlore/domain/message"
)

// maxFindings bounds what one refusal lists; a document with more faults than
// this has one cause, not a thousand.
const maxFindings = 1000

// explainer finds out what is wrong with a document, one level of it at a time
// and no further than maxFindings faults. The library, left to itself, keeps
// the whole path of every fault of the whole document before it says one word:
// gigabytes for a few megabytes of empty positions.
type explainer struct {
	levels   map[*jsonschema.Schema]*jsonschema.Schema
	findings []finding.Finding
	root     any
}

// full reports that enough is found.
func (e *explainer) full() bool { return len(e.findings) > maxFindings }

// levels makes for each schema below s what it says of one level: its own
// keywords, with nothing to hold members and items to.
func levels(s *jsonschema.Schema, made map[*jsonschema.Schema]*jsonschema.Schema) {
	if s == nil || made[s] != nil {
		return
	}
	level := *s
	made[s] = &level
	level.Ref, level.AllOf, level.Items2020 = nil, nil, nil
	always := true
	anything := &jsonschema.Schema{Always: &always}
	level.Properties = make(map[string]*jsonschema.Schema, len(s.Properties))
	for name, of := range s.Properties {
		level.Properties[name] = anything
		levels(of, made)
	}
	levels(s.Ref, made)
	levels(s.Items2020, made)
	for _, of := range s.AllOf {
		levels(of, made)
	}
}

// explain adds what s has to say of tree, which stands at pointer. quick is the
// rule of s, which passes what is sound without a closer look; nil for none.
func (e *explainer) explain(s *jsonschema.Schema, quick *rule, tree any, pointer string) {
	if e.full() || quick != nil && quick.passes(tree) {
		return
	}
	before := len(e.findings)
	e.level(s, tree, pointer)
	if s.Ref != nil {
		e.explain(s.Ref, quick.referred(), tree, pointer)
	}
	for _, of := range s.AllOf {
		e.explain(of, nil, tree, pointer)
	}
	switch v := tree.(type) {
	case map[string]any:
		for _, name := range sorted(s.Properties) {
			if value, there := v[name]; there {
				e.explain(s.Properties[name], quick.member(name), value, pointer+"/"+escape(name))
			}
		}
	case []any:
		if s.Items2020 == nil || len(e.findings) > before { // of a list that is too long, the length is enough
			return
		}
		for i := 0; i < len(v) && !e.full(); i++ {
			e.explain(s.Items2020, quick.item(), v[i], pointer+"/"+strconv.Itoa(i))
		}
	}
}

// level asks the library about one level.
func (e *explainer) level(s *jsonschema.Schema, tree any, pointer string) {
	err := e.levels[s].Validate(tree)
	var ve *jsonschema.ValidationError
	switch {
	case err == nil:
	case errors.As(err, &ve):
		e.flatten(ve, pointer)
	default:
		e.add("schema-refused", pointer, message.Of("schema.not-validated", clip(err.Error())), "")
	}
}

// flatten lists the leaves of the validator's tree. A failed choice (oneOf,
// anyOf) is one leaf: its branches would only contradict each other.
func (e *explainer) flatten(ve *jsonschema.ValidationError, pointer string) {
	keyword := ve.KeywordLocation[strings.LastIndexByte(ve.KeywordLocation, '/')+1:]
	if len(ve.Causes) > 0 && keyword != "oneOf" && keyword != "anyOf" {
		for _, c := range ve.Causes {
			e.flatten(c, pointer)
		}
		return
	}
	place, basis := pointer+ve.InstanceLocation, "schema "+strings.TrimPrefix(ve.AbsoluteKeywordLocation, "file://")
	switch keyword {
	case "additionalProperties":
		for _, n := range quoted(ve.Message, maxFindings+1-len(e.findings)) {
			e.add("member-unknown", place+"/"+escape(n), stranger(n), basis)
		}
	case "required":
		for _, n := range quoted(ve.Message, -1) {
			e.add("member-missing", place, message.Of("schema.member-missing", n), basis)
		}
	case "oneOf":
		e.add("change-unclear", place, message.Of("schema.change-unclear"), basis)
	case "anyOf":
		e.add("part-missing", place, message.Of("schema.part-missing"), basis)
	case "pattern":
		e.add("schema-pattern", place, message.Of("schema.schema-pattern", spell(resolve(e.root, place)), clip(ve.Message)),
			basis)
	default:
		e.add("schema-"+strings.ToLower(keyword), place, message.Of("schema.does-not-fit-here",
			spell(resolve(e.root, place)), clip(ve.Message)), basis)
	}
}

func (e *explainer) add(code, pointer string, sentence message.Message, basis string) {
	if e.full() {
		return
	}
	e.findings = append(e.findings, finding.Finding{Code: code, Severity: finding.Stop, Pointer: pointer,
		Sentence: sentence,
		Found:    spell(resolve(e.root, pointer)), Basis: message.Text(basis)})
}

// capped sorts findings and cuts the list where nobody would read on. It says
// so, as gravely as the gravest of those that are left out.
func capped(fs []finding.Finding) []finding.Finding {
	finding.Sort(fs)
	if len(fs) <= maxFindings {
		return fs
	}
	more := finding.Finding{Code: "findings-more", Severity: fs[maxFindings].Severity,
		Sentence: message.Of("schema.findings-more", maxFindings)}
	return append(slices.Clip(fs[:maxFindings]), more)
}

func sorted[V any](m map[string]V) []string {
	names := make([]string, 0, len(m))
	for n := range m {
		names = append(names, n)
	}
	slices.Sort(names)
	return names
}

// clip cuts a text that somebody sent, so that a sentence stays one.
func clip(s string) string {
	const most = 160
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}
