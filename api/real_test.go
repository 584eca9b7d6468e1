package api

import (
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
)

// TestRealBoards takes the placement facts of real open-hardware boards
// (source: testdata/README.md) the whole way: imported, submitted, reviewed,
// released, fetched, and reconciled with a kit made from their own parts.
func TestRealBoards(t *testing.T) {
	f := serve(t)
	for _, name := range []string{"video", "StickHub", "complex_hierarchy", "probe", "interf_u", "ecc83-pp"} {
		t.Run(name, func(t *testing.T) {
			id := strings.ToLower(strings.ReplaceAll(name, "_", "-"))
			m := f.importBoard(t, id, name+".csv")
			if n := f.releaseMap(t, id, 0, m); n != 1 {
				t.Fatalf("released as revision %d", n)
			}
			a := f.ask(t, "", http.MethodGet, "/v1/boards/"+id+"/map", "")
			fetched, ok := a.doc["positions"].([]any)
			if a.status != http.StatusOK || !ok || len(fetched) != len(m["positions"].([]any)) {
				t.Fatalf("map: %d with %d positions", a.status, len(fetched))
			}
			f.kitsOf(t, id, fetched)
		})
	}
}

// TestRealRevisions releases two real revisions of one board: the outline's
// lower edge lies 0.25 mm lower in the later one, so that every y differs.
func TestRealRevisions(t *testing.T) {
	f := serve(t)
	earlier, later := f.importBoard(t, "interf-u", "interf_u.earlier.csv"), f.importBoard(t, "interf-u", "interf_u.csv")
	f.releaseMap(t, "interf-u", 0, earlier)
	if n := f.releaseMap(t, "interf-u", 1, later); n != 2 {
		t.Fatalf("released as revision %d", n)
	}
	a := f.ask(t, "", http.MethodGet, "/v1/boards/interf-u/differences?from=1&to=2", "")
	kinds := map[string]int{}
	for _, c := range a.doc["changes"].([]any) {
		kinds[c.(map[string]any)["kind"].(string)]++
	}
	if kinds["frame"] == 0 || kinds["moved"] > 3 || kinds["added"]+kinds["removed"]+kinds["renamed"] > 0 {
		t.Errorf("a shifted frame was told as %v", kinds)
	}
}

func (f *fixture) importBoard(t *testing.T, id, file string) map[string]any {
	t.Helper()
	list, err := os.ReadFile(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	body := marshal(t, map[string]any{"board": id, "equipment": map[string]any{"maker": "M", "model": "N"}, "name": id,
		"placements": string(list)})
	a := f.ask(t, "ada", http.MethodPost, "/v1/maps/from-placements", body)
	if a.status != http.StatusOK {
		t.Fatalf("import: %d %s", a.status, a.body)
	}
	return a.doc["map"].(map[string]any)
}

// releaseMap submits, endorses as often as needed and releases a map.
func (f *fixture) releaseMap(t *testing.T, id string, base int, m map[string]any) int {
	t.Helper()
	a := f.ask(t, "ada", http.MethodPost, "/v1/proposals", marshal(t, map[string]any{"board": id, "base_revision": base,
		"map": m, "summary": "As imported."}))
	if a.status != http.StatusCreated {
		t.Fatalf("submit: %d %s", a.status, a.body)
	}
	at := a.header.Get("Location")
	for _, who := range []string{"rob", "roy"} {
		if a := f.ask(t, who, http.MethodPost, at+"/reviews",
			`{"verdict":"endorse","summary":"Agreed."}`); a.status >= 300 {
			t.Fatalf("review: %d %s", a.status, a.body)
		}
	}
	a = f.ask(t, "rob", http.MethodPost, at+"/release", `{}`)
	if a.status != http.StatusOK {
		t.Fatalf("release: %d %s", a.status, a.body)
	}
	return int(a.doc["revision"].(float64))
}

// kitsOf reconciles the board's own parts list: perfect, then with one value
// changed, one line short and one line extra, each flagged in just its place.
func (f *fixture) kitsOf(t *testing.T, id string, positions []any) {
	t.Helper()
	type group struct {
		part, body  any
		designators []string
	}
	var order []string
	groups := map[string]*group{}
	for _, p := range positions {
		o := p.(map[string]any)
		key := marshal(t, []any{o["part"], o["body"]})
		if groups[key] == nil {
			groups[key] = &group{part: o["part"], body: o["body"]}
			order = append(order, key)
		}
		groups[key].designators = append(groups[key].designators, o["designator"].(string))
	}
	kit := func(edit func(lines []map[string]any) []map[string]any) string {
		var lines []map[string]any
		for i, k := range order {
			l := map[string]any{"line": i + 1, "quantity": len(groups[k].designators), "part": groups[k].part}
			if groups[k].body != nil {
				l["body"] = groups[k].body
			}
			lines = append(lines, l)
		}
		return marshal(t, map[string]any{"scope": "all", "kit": map[string]any{"title": "own parts",
			"lines": edit(lines)}})
	}
	reconcile := func(body string) (outcome string, sum map[string]any, doc map[string]any) {
		a := f.ask(t, "", http.MethodPost, "/v1/boards/"+id+"/reconciliations", body)
		if a.status != http.StatusOK {
			t.Fatalf("reconcile: %d %s", a.status, a.body)
		}
		return a.doc["outcome"].(string), a.doc["summary"].(map[string]any), a.doc
	}
	same := func(l []map[string]any) []map[string]any { return l }
	if outcome, sum, _ := reconcile(kit(same)); outcome != "complete" || sum["filled"] != float64(len(positions)) ||
		sum["surplus"] != 0.0 || sum["penalty"] != 0.0 {
		t.Errorf("a perfect kit is %s, %v", outcome, sum)
	}
	// One line short by one: exactly one position unfilled, of that line's group.
	_, sum, doc := reconcile(kit(func(l []map[string]any) []map[string]any { l[0]["quantity"] = l[0]["quantity"].(int) - 1; return l }))
	if sum["unfilled"] != 1.0 {
		t.Errorf("one part missing: %v", sum)
	}
	for _, p := range doc["positions"].([]any) {
		if o := p.(map[string]any); o["line"] == nil && !contains(groups[order[0]].designators,
			o["designator"].(string)) {
			t.Errorf("%v is unfilled though line 1 was short", o["designator"])
		}
	}
	// One line extra: all filled, and just that line is left over.
	_, sum, doc = reconcile(kit(func(l []map[string]any) []map[string]any {
		return append(l, map[string]any{"line": 900, "quantity": 2, "part": map[string]any{"class": "lamp",
			"text": "extra"}})
	}))
	lines := doc["lines"].([]any)
	if last := lines[len(lines)-1].(map[string]any); sum["unfilled"] != 0.0 || sum["surplus"] != 2.0 ||
		last["surplus"] != 2.0 {
		t.Errorf("one line extra: %v, %v", sum, last)
	}
	f.changedValue(t, reconcile, kit, order, func(k string) (any, []string) {
		return groups[k].part,
			groups[k].designators
	})
}

// changedValue gives one capacitor line a hundred times its value, labelled:
// just its positions are flagged.
func (f *fixture) changedValue(t *testing.T, reconcile func(string) (string, map[string]any, map[string]any),
	kit func(func([]map[string]any) []map[string]any) string, order []string, group func(string) (any, []string)) {
	t.Helper()
	for i, k := range order {
		p, designators := group(k)
		part, ok := p.(map[string]any)
		if !ok || part["class"] != "capacitor" || part["value"] == nil {
			continue
		}
		outcome, sum, doc := reconcile(kit(func(l []map[string]any) []map[string]any {
			for j := range l {
				_, l[j]["designators"] = group(order[j])
			}
			changed := map[string]any{"class": "capacitor", "value": "3300 µF"}
			l[i]["part"] = changed
			return l
		}))
		if outcome != "conflict" || sum["unfilled"] != float64(len(designators)) {
			t.Errorf("line %d changed: %s, %v", i+1, outcome, sum)
		}
		for _, p := range doc["positions"].([]any) {
			o := p.(map[string]any)
			if bad := o["fit"] == "unsuitable"; bad != contains(designators, o["designator"].(string)) {
				t.Errorf("line %d changed: %v is %v", i+1, o["designator"], o["fit"])
			}
		}
		return
	}
	t.Error("no capacitor with a value on this board")
}

func contains(list []string, s string) bool {
	return strings.Contains(" "+strings.Join(list, " ")+" ", " "+s+" ")
}

func marshal(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v, json.Deterministic(true))
	if err != nil {
		t.Fatal(fmt.Errorf("marshal: %w", err))
	}
	return string(b)
}
