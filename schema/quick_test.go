package schema

import (
	"slices"
	"testing"

	"github.com/go-json-experiment/json"
	"pgregory.net/rapid"

	"boardlore/domain/board/boardtest"
)

// TestQuickRules: the documents that are read most have a quick rule, and it
// passes what is sound.
func TestQuickRules(t *testing.T) {
	for _, name := range []string{"map", "kit", "part", "submission", "review", "part-text", "quantity-text"} {
		if documents[name].quick == nil {
			t.Errorf("%s has no quick rule", name)
		}
	}
	data, err := boardtest.Big(30).Canonical()
	if err != nil {
		t.Fatal(err)
	}
	tree, fs := parse(data, len(data))
	if fs != nil || !documents["map"].quick.passes(tree) {
		t.Errorf("a sound map is not passed: %v", fs)
	}
}

// agree holds the quick rule of a document to the library's validator.
func agree(t interface{ Errorf(string, ...any) }, name string, tree any) {
	d := documents[name]
	if d.quick == nil {
		return
	}
	if quick, slow := d.quick.passes(tree), d.compiled.Validate(tree); quick != (slow == nil) {
		t.Errorf("%s: the quick rule says %v, the library %v: %s", name, quick, slow, spell(tree))
	}
}

// TestQuickAgrees: over sound maps with one thing changed anywhere, in ways
// that schemas mind and in ways that they don't, the quick rule and the
// library always say the same.
func TestQuickAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		data, err := boardtest.Random(t).Canonical()
		if err != nil {
			t.Fatal(err)
		}
		var tree any
		if err := json.Unmarshal(data, &tree); err != nil {
			t.Fatal(err)
		}
		agree(t, "map", tree)
		agree(t, "map", meddle(t, tree))
	})
}

// meddle changes one value or member somewhere below v.
func meddle(t *rapid.T, v any) any {
	if rapid.IntRange(0, 3).Draw(t, "here") == 0 {
		return strange.Draw(t, "strange")
	}
	switch v := v.(type) {
	case map[string]any:
		names := append(sortedNames(v), "x-own", "stray", "")
		switch m := rapid.SampledFrom(names).Draw(t, "member"); rapid.IntRange(0, 4).Draw(t, "how") {
		case 0:
			delete(v, m)
		default:
			v[m] = meddle(t, v[m])
		}
		return v
	case []any:
		if len(v) == 0 {
			return []any{strange.Draw(t, "first")}
		}
		i := rapid.IntRange(0, len(v)-1).Draw(t, "item")
		v[i] = meddle(t, v[i])
		return v
	}
	return strange.Draw(t, "strange")
}

var strange = rapid.Custom(func(t *rapid.T) any {
	return rapid.SampledFrom([]any{nil, true, 0.0, -1.0, 0.5, 1987.0, 3000.0, 3000.5, 1e300, "", "a", "A b", "top",
		"x\x00", "µ", "1 µF", "C1", "omit",
		[]any{}, []any{1.0, 2.0}, []any{"a"}, []any{nil}, map[string]any{}, map[string]any{"x-a": nil},
		map[string]any{"omit": "C1"},
		map[string]any{"designator": "C1", "set": map[string]any{}}, map[string]any{"class": "other"}}).Draw(t, "value")
})

func sortedNames(m map[string]any) []string {
	names := make([]string, 0, len(m))
	for k := range m {
		names = append(names, k)
	}
	slices.Sort(names)
	return names
}

func FuzzQuickAgrees(f *testing.F) {
	f.Add([]byte(smallMap))
	f.Add([]byte(`{"title":"t","lines":[{"line":1,"quantity":2,"text":"47uF 16V"}]}`))
	f.Add([]byte(`{"text":"4u7","kind":"capacitance","context":{"found":"marking"}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		tree, fs := parse(data, len(data))
		if fs != nil {
			return
		}
		for _, name := range Names() {
			agree(t, name, tree)
		}
	})
}

// BenchmarkReadMap60 reads a map as a load does, with the quick rules and by
// the library alone: what the rules are kept for.
func BenchmarkReadMap60(b *testing.B) {
	data, err := boardtest.Big(60).Canonical()
	if err != nil {
		b.Fatal(err)
	}
	with := documents["map"]
	without := with
	without.quick = nil
	defer func() { documents["map"] = with }()
	for name, d := range map[string]document{"rules": with, "library": without} {
		b.Run(name, func(b *testing.B) {
			documents["map"] = d
			for b.Loop() {
				if m, fs := ReadMap(data); m == nil {
					b.Fatal(codesAt(fs))
				}
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "maps/s")
		})
	}
}
