package schema_test

import (
	"bytes"
	"os"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/schema"
)

// graveness orders outcomes; a list that is refused has none.
var graveness = map[string]int{kit.Complete: 1, kit.ToCheck: 2, kit.Short: 3, kit.Conflict: 4, "refused": 5}

// TestKitsWithTheirOwnBoards: lists over a few positions each, with the outcome that
// was written without knowing the rules, come to that outcome; none to a lesser one.
func TestKitsWithTheirOwnBoards(t *testing.T) {
	raw, err := os.ReadFile("../domain/kit/testdata/kits/written.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	all, graver := 0, 0
	for line := range bytes.Lines(raw) {
		var c struct {
			Name, List, Outcome, Why string
			Positions                []map[string]any
		}
		if err := json.Unmarshal(line, &c, json.MatchCaseInsensitiveNames(true)); err != nil {
			t.Fatal(err)
		}
		for _, p := range c.Positions {
			delete(p, "replace")
		}
		doc, err := json.Marshal(map[string]any{"board": "b-1", "name": "Board", "positions": c.Positions,
			"equipment": map[string]any{"maker": "A", "model": "B"},
			"frame":     map[string]any{"width_mm": 120, "height_mm": 80, "basis": "measured"}})
		if err != nil {
			t.Fatal(err)
		}
		m, fs := schema.ReadMap(doc)
		if m == nil {
			t.Fatalf("%s: %s", c.Name, fs[0].Sentence)
		}
		k, problems := kit.ReadList([]byte(c.List))
		r, err := kit.Reconcile(kit.Request{Map: m, Kit: k, Problems: problems})
		if err != nil {
			r.Outcome = "refused"
		}
		all++
		switch got, want := graveness[r.Outcome], graveness[c.Outcome]; {
		case got < want:
			t.Errorf("%s: %s, want %s: %s\n%s", c.Name, r.Outcome, c.Outcome, c.Why, r.Text(message.English, 140))
		case got > want:
			graver++
			t.Logf("%s: %s, want %s: %s", c.Name, r.Outcome, c.Outcome, c.Why)
		}
	}
	if all < 30 || graver*10 > all {
		t.Errorf("of %d kits %d come to a graver outcome", all, graver)
	}
}
