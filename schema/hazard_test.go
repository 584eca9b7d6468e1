package schema_test

import (
	"bytes"
	"os"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/schema"
)

// correction is a line of the hazard cases: a correction as a patch (RFC 6902) of
// the newest of some revisions, which are patches of a base map too.
type correction struct {
	Name   string
	Why    string
	Tag    string
	Base   jsontext.Value
	Middle []jsontext.Value
	Patch  jsontext.Value
}

// step is what is told of one of the maps of a case.
type step struct {
	refused bool
	hazards []board.JudgedHazard
}

func (s *step) seen() bool { return s.refused || len(s.hazards) > 0 }

func corrections(t *testing.T, file string) (out []correction, bases map[string]jsontext.Value) {
	t.Helper()
	bases = map[string]jsontext.Value{}
	for line := range bytes.Lines(hazardFile(t, "patched-bases.jsonl")) {
		var b struct {
			ID  string
			Map jsontext.Value
		}
		if err := json.Unmarshal(line, &b, json.MatchCaseInsensitiveNames(true)); err != nil {
			t.Fatal(err)
		}
		bases[b.ID] = b.Map
	}
	for line := range bytes.Lines(hazardFile(t, file)) {
		var c correction
		if err := json.Unmarshal(line, &c, json.MatchCaseInsensitiveNames(true)); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		out = append(out, c)
	}
	return out, bases
}

func hazardFile(t *testing.T, file string) []byte {
	t.Helper()
	raw, err := os.ReadFile("../domain/board/testdata/hazard/" + file)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

// steps tells a case: what is told of each of its maps but the first.
func (c *correction) steps(t *testing.T, bases map[string]jsontext.Value) (out []step) {
	t.Helper()
	doc := c.Base
	var named struct {
		ID string `json:"base_id"`
	}
	if err := json.Unmarshal(doc, &named); err == nil && named.ID != "" {
		doc = bases[named.ID]
	}
	was, fs := schema.ReadMap(doc)
	if was == nil {
		t.Fatalf("%s: the base map is refused: %v", c.Name, fs)
	}
	var view board.SafetyView
	view.Fold(1, nil, was)
	for i, ops := range append(c.Middle, c.Patch) {
		patch, err := jsonpatch.DecodePatch(ops)
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		if doc, err = patch.Apply(doc); err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		now, fs := schema.ReadMap(doc)
		if now == nil {
			t.Logf("%s is refused: %s", c.Name, fs[0].Sentence)
			out = append(out, step{refused: true})
			continue
		}
		d := board.Diff(was, now)
		out = append(out, step{hazards: board.Judge(&view, was, now, &d)})
		view.Fold(i+2, was, now)
		was = now
	}
	return out
}

// Corrections that were written before they were judged, most by people who had seen
// none of the rules: those that could hurt someone ask for two, the others for one. Of
// the harmless ones some stand here because they are known to pass, so that their share
// says nothing of others.
func TestPatchedCorrections(t *testing.T) {
	harm, bases := corrections(t, "patched-harm.jsonl")
	for _, c := range harm {
		steps := c.steps(t, bases)
		seen := steps[len(steps)-1].seen()
		for i := range steps {
			seen = seen || c.Tag == "any-step" && steps[i].seen()
		}
		if !seen {
			t.Errorf("%s is not seen: %s", c.Name, c.Why)
		}
	}
	safe, _ := corrections(t, "patched-safe.jsonl")
	tagged := 0
	for _, c := range safe {
		steps := c.steps(t, bases)
		for _, h := range steps[len(steps)-1].hazards {
			tagged++
			t.Logf("%s: %s", c.Name, h.Sentence)
			break
		}
	}
	if tagged*20 > len(safe) || len(harm) < 60 || len(safe) < 60 {
		t.Errorf("%d of %d are taken for hazards, of %d with harm", tagged, len(safe), len(harm))
	}
}
