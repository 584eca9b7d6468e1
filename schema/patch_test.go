package schema

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/finding"
)

// must are the members that a position, or a part, can't be without, so that a
// patch may change them and never take them out.
var must = []string{"designator", "side", "x_mm", "y_mm", "rotation_deg", "part", "class"}

// TestPatchSaysWhatAPositionDoes holds the schema of a variant's set to that of
// a position: the same members under the same bounds, each of which may be taken
// out that need not be there.
func TestPatchSaysWhatAPositionDoes(t *testing.T) {
	position, patch := resolved(t, "map", "/$defs/position"), resolved(t, "map", "/$defs/patch")
	alikeBut(t, "", position, patch, "map")
}

func resolved(t *testing.T, name, pointer string) map[string]any {
	t.Helper()
	doc, err := Tree(name)
	if err != nil {
		t.Fatal(err)
	}
	s, ok := resolve(doc, pointer).(map[string]any)
	if !ok {
		t.Fatalf("%s has no %s", name, pointer)
	}
	return follow(t, s, name)
}

func follow(t *testing.T, s map[string]any, name string) map[string]any {
	t.Helper()
	ref, ok := s["$ref"].(string)
	if !ok {
		return s
	}
	to, pointer, _ := strings.Cut(ref, "#")
	if to == "" {
		to = name
	}
	out := maps.Clone(resolved(t, to, pointer))
	for k, v := range s {
		if k != "$ref" {
			out[k] = v
		}
	}
	return out
}

func alikeBut(t *testing.T, pointer string, whole, patch map[string]any, name string) {
	t.Helper()
	members, patched := object(whole["properties"]), object(patch["properties"])
	if !slices.Equal(sorted(members), sorted(patched)) {
		t.Errorf("%s has %v, and its patch %v", pointer, sorted(members), sorted(patched))
		return
	}
	for m := range members {
		a, b := follow(t, object(members[m]), name), follow(t, object(patched[m]), name)
		kind, _ := a["type"].(string)
		types := list(b["type"])
		if optional := !slices.Contains(must, m); optional != (len(types) == 2 && types[0] == kind &&
			types[1] == "null") || !optional && b["type"] != kind {
			t.Errorf("%s/%s is of type %v in the patch", pointer, m, b["type"])
		}
		for _, k := range []string{"minLength", "maxLength", "minimum", "maximum", "exclusiveMinimum", "maxItems",
			"minItems", "additionalProperties"} {
			if a[k] != b[k] {
				t.Errorf("%s/%s: %s is %v, and %v in the patch", pointer, m, k, a[k], b[k])
			}
		}
		if a["enum"] != nil {
			var words []string
			for _, w := range list(a["enum"]) {
				words = append(words, text(w))
			}
			if b["pattern"] != "^("+strings.Join(words, "|")+")$" {
				t.Errorf("%s/%s: the patch's words are %v", pointer, m, b["pattern"])
			}
		} else if a["pattern"] != b["pattern"] {
			t.Errorf("%s/%s: the patch's pattern is %v", pointer, m, b["pattern"])
		}
		if a["properties"] != nil {
			alikeBut(t, pointer+"/"+m, a, b, name)
		}
	}
}

// TestPatchesAsStrictAsTheServer: whatever one change of a variant sets to a
// whole value, a map that its schema passes is never refused for the form of a
// set, and one that the schema refuses is refused.
func TestPatchesAsStrictAsTheServer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := boardtest.Random(t)
		if len(m.Positions) == 0 {
			return
		}
		m.Variants = []board.Variant{{Variant: "other", Title: "Other", IdentifiedBy: "Colour."}}
		data, err := m.Canonical()
		if err != nil {
			t.Fatal(err)
		}
		var tree map[string]any
		if err := json.Unmarshal(data, &tree); err != nil {
			t.Fatal(err)
		}
		position := object(list(tree["positions"])[0])
		set := map[string]any{}
		names := append(sortedNames(position), "notes", "body", "replacement", "colour")
		for range rapid.IntRange(1, 3).Draw(t, "members") {
			name := rapid.SampledFrom(names).Draw(t, "member")
			set[name] = rapid.SampledFrom([]any{nil, strange.Draw(t, "value"), position[name]}).Draw(t, "set")
		}
		object(list(tree["variants"])[0])["changes"] = []any{map[string]any{"designator": position["designator"],
			"set": set}}
		whole, err := json.Marshal(tree, json.Deterministic(true))
		if err != nil {
			t.Fatal(err)
		}
		sound := documents["map"].compiled.Validate(tree) == nil
		read, fs := ReadMap(whole)
		if !sound && read != nil {
			t.Fatalf("the schema refuses %v, and the server takes it", spell(set))
		}
		merged := false // an object is merged into what is there: what comes of it only the server sees
		for _, v := range set {
			if _, object := v.(map[string]any); object {
				merged = true
			}
		}
		for _, f := range fs {
			if sound && !merged && f.Severity == finding.Stop && f.Code == "variant-change-unfit" {
				t.Fatalf("the schema passes %v, and the server says %s", spell(set), f.Sentence)
			}
		}
	})
}
