package board_test

import (
	"bytes"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/finding"
)

// story is a line of testdata/hazard: what was released after the base map,
// revision by revision, and what is proposed then. An edit is a path, whose
// items of lists are named by designator, ID, variant or place, and a value:
// null takes out, "@C28" is the base map's C28 (or that of its members which the
// path ends in), "+" appends.
type story struct {
	Name      string
	Revisions [][]edit
	On        int // the revision that the proposal was made on; the newest where it is 0
	Proposal  []edit
	base      string // file of the map that is revision 1
}

type edit struct {
	path  []string
	value any
}

func (e *edit) UnmarshalJSON(b []byte) error {
	var pair []any
	if err := json.Unmarshal(b, &pair); err != nil {
		return err
	}
	e.path, e.value = strings.Split(pair[0].(string), "/"), pair[1]
	return nil
}

func stories(t *testing.T, base, file string) []story {
	t.Helper()
	raw, err := os.ReadFile("testdata/hazard/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var out []story
	for line := range bytes.Lines(raw) {
		var s story
		if err := json.Unmarshal(line, &s, json.MatchCaseInsensitiveNames(true)); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		s.base = base
		out = append(out, s)
	}
	return out
}

func hazardBase(t *testing.T, file string) map[string]any {
	t.Helper()
	raw, err := os.ReadFile("testdata/hazard/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	return doc
}

// named finds an item of a list.
func named(list []any, name string) int {
	return slices.IndexFunc(list, func(v any) bool {
		o, _ := v.(map[string]any)
		fit, _ := o["fit"].(map[string]any)
		return o["designator"] == name || o["id"] == name || o["variant"] == name || o["omit"] == name ||
			fit["designator"] == name
	})
}

func (s *story) apply(t *testing.T, e edit, node any, path []string) any {
	value := e.value
	if name, is := value.(string); is && strings.HasPrefix(name, "@") {
		value = s.borrowed(t, e, name[1:])
	}
	step := path[0]
	switch n := node.(type) {
	case map[string]any:
		switch {
		case len(path) > 1:
			n[step] = s.apply(t, e, n[step], path[1:])
		case value == nil:
			delete(n, step)
		default:
			n[step] = value
		}
		return n
	case []any:
		i, err := strconv.Atoi(step)
		if err != nil {
			i = named(n, step)
		}
		switch {
		case len(path) > 1 && i >= 0:
			n[i] = s.apply(t, e, n[i], path[1:])
		case i < 0 && value != nil && len(path) == 1:
			n = append(n, value)
		case value == nil && i >= 0:
			n = slices.Delete(n, i, i+1)
		case i >= 0:
			n[i] = value
		default:
			t.Fatalf("no %s in the list", step)
		}
		return n
	}
	t.Fatalf("nothing at %s", step)
	return nil
}

// borrowed is a position of the base map, or its part where the path ends there.
func (s *story) borrowed(t *testing.T, e edit, designator string) any {
	list := hazardBase(t, s.base)["positions"].([]any)
	p := list[named(list, designator)].(map[string]any)
	if e.path[len(e.path)-1] == "part" {
		return p["part"]
	}
	return p
}

func mapOf(t *testing.T, doc any) *board.Map {
	t.Helper()
	b, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	m := read(t, string(b))
	for _, f := range board.Check(m) {
		if f.Severity == finding.Stop {
			t.Errorf("the map would be refused: %s", f.Sentence)
		}
	}
	return m
}

// edited gives a document with edits done; the one given stays as it is.
func (s *story) edited(t *testing.T, doc map[string]any, edits []edit) map[string]any {
	t.Helper()
	b, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	var out map[string]any
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatal(err)
	}
	for _, e := range edits {
		s.apply(t, e, out, e.path)
	}
	return out
}

// judged tells a story and returns the hazards of its end.
func (s *story) judged(t *testing.T) []board.JudgedHazard {
	t.Helper()
	docs := []map[string]any{hazardBase(t, s.base)}
	maps := []*board.Map{mapOf(t, docs[0])}
	var view board.SafetyView
	view.Fold(1, nil, maps[0])
	for i, edits := range s.Revisions {
		docs = append(docs, s.edited(t, docs[i], edits))
		maps = append(maps, mapOf(t, docs[i+1]))
		view.Fold(i+2, maps[i], maps[i+1])
	}
	on := len(docs) - 1
	if s.On > 0 {
		on = s.On - 1
	}
	current := maps[len(maps)-1]
	proposed, conflicts := board.CarryForward(maps[on], current, mapOf(t, s.edited(t, docs[on], s.Proposal)))
	if len(conflicts) > 0 {
		t.Errorf("not to be carried forward: %v", conflicts)
	}
	d := board.Diff(current, proposed)
	if len(d.Changes) == 0 {
		t.Error("nothing is proposed")
	}
	return board.Judge(&view, current, proposed, &d)
}

// Every correction that could hurt someone is seen, however it is dressed.
func TestDisguises(t *testing.T) {
	all := append(stories(t, "base.json", "disguises.jsonl"), stories(t, "receiver.json",
		"receiver-disguises.jsonl")...)
	all = append(all, stories(t, "deck.json", "deck-disguises.jsonl")...)
	if len(all) < 340 {
		t.Fatalf("%d disguises", len(all))
	}
	for _, s := range all {
		t.Run(s.Name, func(t *testing.T) {
			hazards := s.judged(t)
			if len(hazards) == 0 {
				t.Error("not seen")
			}
			for _, h := range hazards {
				if h.Sentence.IsZero() || h.Revision < 1 {
					t.Errorf("not explained: %+v", h)
				}
				t.Log(h.Sentence)
			}
		})
	}
}

// Corrections that hurt nobody are not made to wait for a second reviewer.
func TestHarmless(t *testing.T) {
	all := append(stories(t, "base.json", "harmless.jsonl"), stories(t, "receiver.json", "receiver-harmless.jsonl")...)
	all = append(all, stories(t, "deck.json", "deck-harmless.jsonl")...)
	if len(all) < 230 {
		t.Fatalf("%d harmless corrections", len(all))
	}
	tagged := 0
	for _, s := range all {
		for _, h := range s.judged(t) {
			tagged++
			t.Logf("%s: %s", s.Name, h.Sentence)
			break
		}
	}
	if tagged*20 > len(all) {
		t.Errorf("%d of %d are taken for hazards; at most one in twenty may be", tagged, len(all))
	}
}
