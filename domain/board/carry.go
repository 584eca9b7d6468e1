package board

import (
	"bytes"
	"cmp"
	"fmt"
	"maps"
	"slices"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
)

// Conflict is a member that a proposal and the current revision both changed,
// to different ends. A value that a side does not have is empty.
type Conflict struct {
	Designator string         `json:"designator,omitzero"` // of the position concerned, as the base names it
	Member     string         `json:"member"`              // such as part.value; of the map where there is no designator
	Base       jsontext.Value `json:"base,omitzero"`
	Current    jsontext.Value `json:"current,omitzero"`
	Proposed   jsontext.Value `json:"proposed,omitzero"`
	Sentence   string         `json:"sentence"`
}

// CarryForward brings a proposal from its base revision onto the current one:
// position by position, matched through renames, and member by member. What
// only one side changed is taken from that side; what both changed alike is no
// conflict; what both changed otherwise is one, and the result then holds the
// current side of it. Entries that neither side had in the base follow the
// others in the order of their names, so that two proposals give one result
// whichever is released first.
func CarryForward(base, current, proposed *Map) (*Map, []Conflict) {
	b, c, p := encoded(base), encoded(current), encoded(proposed)
	switch {
	case bytes.Equal(b, c) || bytes.Equal(c, p):
		return proposed, nil
	case bytes.Equal(b, p):
		return current, nil
	}
	f := carrier{}
	tb, tc, tp := tree(b), tree(c), tree(p)
	positions := f.positions(base, current, proposed, tb, tc, tp)
	merged := f.object("", tb, tc, tp)
	merged["positions"] = positions
	out := new(Map)
	if err := reread(merged, out); err != nil {
		f.add("", nil, nil, nil, "The two sides do not make one map together: "+err.Error()+".")
		return current, f.conflicts
	}
	return out, f.conflicts
}

// encoded is the canonical form; a Map holds nothing that cannot be marshalled
// but hand-made extra members, which then count as empty.
func encoded(m *Map) []byte {
	b, err := m.Canonical()
	if err != nil {
		return nil
	}
	return b
}

func tree(b []byte) map[string]any {
	var t map[string]any
	if err := json.Unmarshal(b, &t); err != nil {
		return map[string]any{}
	}
	return t
}

func reread(t map[string]any, out *Map) error {
	b, err := json.Marshal(t, json.Deterministic(true))
	if err != nil {
		return err
	}
	return json.Unmarshal(b, out)
}

type carrier struct {
	designator string // of the position at hand
	conflicts  []Conflict
}

func (f *carrier) add(member string, base, current, proposed any, sentence string) {
	f.conflicts = append(f.conflicts, Conflict{Designator: f.designator, Member: cmp.Or(member, "position"),
		Base: carriedJSON(base), Current: carriedJSON(current), Proposed: carriedJSON(proposed), Sentence: sentence})
}

// absent stands for a member that a side does not have.
type absent struct{}

func carriedJSON(v any) jsontext.Value {
	if _, ok := v.(absent); ok || v == nil {
		return nil
	}
	b, err := json.Marshal(v, json.Deterministic(true))
	if err != nil {
		return nil
	}
	return b
}

func member(o map[string]any, k string) any {
	if v, ok := o[k]; ok {
		return v
	}
	return absent{}
}

// alike compares two values; numbers and texts are as RFC 8785 has them.
func alike(a, b any) bool {
	return bytes.Equal(carriedJSON(a), carriedJSON(b)) && (carriedJSON(a) != nil) == (carriedJSON(b) != nil)
}

// listKeys names the member that tells the entries of a list of the map apart; the
// other lists are compared whole.
var listKeys = map[string]string{"variants": "variant", "failure_points": "id", "checks": "id", "cautions": "text"}

// object merges objects member by member.
func (f *carrier) object(path string, b, c, p map[string]any) map[string]any {
	out := map[string]any{}
	names := map[string]bool{}
	for _, o := range []map[string]any{b, c, p} {
		for k := range o {
			names[k] = true
		}
	}
	for _, k := range slices.Sorted(maps.Keys(names)) {
		if path == "" && k == "positions" && f.designator == "" {
			continue
		}
		at := k
		if path != "" {
			at = path + "." + k
		}
		v := f.any(at, member(b, k), member(c, k), member(p, k))
		if _, gone := v.(absent); !gone {
			out[k] = v
		}
	}
	return out
}

func (f *carrier) any(at string, b, c, p any) any {
	switch {
	case alike(b, p) || alike(c, p):
		return c
	case alike(b, c):
		return p
	}
	if key := listKeys[at]; key != "" && f.designator == "" {
		return f.list(at, key, entries(b), entries(c), entries(p))
	}
	bo, bok := b.(map[string]any)
	co, cok := c.(map[string]any)
	po, pok := p.(map[string]any)
	if _, fresh := b.(absent); fresh {
		bo, bok = map[string]any{}, true
	}
	if bok && cok && pok {
		return f.object(at, bo, co, po)
	}
	f.add(at, b, c, p, fmt.Sprintf("%s was %s; the current revision has %s, the proposal %s. Settle which is right and amend the proposal.",
		f.subject(at), said(b), said(c), said(p)))
	return c
}

func (f *carrier) subject(at string) string {
	if f.designator == "" {
		return at
	}
	return cmp.Or(at, "position") + " of " + f.designator
}

func said(v any) string {
	b := carriedJSON(v)
	if b == nil {
		return "not there"
	}
	if r := []rune(string(b)); len(r) > 80 {
		return string(r[:79]) + "…"
	}
	return string(b)
}

func entries(v any) []any { l, _ := v.([]any); return l }

func keyed(list []any, key string) map[string]any {
	m := map[string]any{}
	for _, e := range list {
		if o, ok := e.(map[string]any); ok {
			if k, ok := o[key].(string); ok {
				m[k] = o
			}
		}
	}
	return m
}

// list merges the entries of a list by their keys.
func (f *carrier) list(at, key string, b, c, p []any) []any {
	bm, cm, pm := keyed(b, key), keyed(c, key), keyed(p, key)
	var order, added []string
	for _, e := range c {
		k, _ := e.(map[string]any)[key].(string)
		if _, old := bm[k]; old {
			order = append(order, k)
		} else {
			added = append(added, k)
		}
	}
	for _, e := range b {
		if k, _ := e.(map[string]any)[key].(string); member(cm, k) == any(absent{}) {
			order = append(order, k)
		}
	}
	for _, e := range p {
		k, _ := e.(map[string]any)[key].(string)
		_, inBase := bm[k]
		_, inCurrent := cm[k]
		if !inBase && !inCurrent {
			added = append(added, k)
		}
	}
	slices.SortFunc(added, CompareDesignators)
	out := []any{}
	for _, k := range append(order, added...) {
		v := f.any(at+"/"+k, member(bm, k), member(cm, k), member(pm, k))
		if _, gone := v.(absent); !gone {
			out = append(out, v)
		}
	}
	return out
}

// positions merges the positions, matched through renames on either side.
func (f *carrier) positions(base, current, proposed *Map, tb, tc, tp map[string]any) []any {
	b, c, p := entries(tb["positions"]), entries(tc["positions"]), entries(tp["positions"])
	toCurrent := matchPositions(base.Positions, current.Positions, 0)
	toProposed := matchPositions(base.Positions, proposed.Positions, 0)
	at := func(list []any, i int) any {
		if i < 0 || i >= len(list) {
			return absent{}
		}
		return list[i]
	}
	out := []any{}
	keep := func(v any) {
		if _, gone := v.(absent); !gone {
			out = append(out, v)
		}
	}
	for i := range base.Positions {
		f.designator = base.Positions[i].Designator
		if k, n := toCurrent.now[i], toProposed.now[i]; k >= 0 && n >= 0 {
			// Nearly all positions end here, so this is what makes it fast.
			if samePosition(&base.Positions[i], &current.Positions[k]) {
				keep(p[n])
				continue
			}
			if samePosition(&base.Positions[i], &proposed.Positions[n]) {
				keep(c[k])
				continue
			}
		}
		keep(f.any("", b[i], at(c, toCurrent.now[i]), at(p, toProposed.now[i])))
	}
	added := map[string][2]any{}
	for k := range current.Positions {
		if toCurrent.was[k] < 0 {
			added[current.Positions[k].Designator] = [2]any{c[k], absent{}}
		}
	}
	for k := range proposed.Positions {
		if toProposed.was[k] < 0 {
			d := proposed.Positions[k].Designator
			pair, both := added[d]
			if !both {
				pair[0] = absent{}
			}
			pair[1] = p[k]
			added[d] = pair
		}
	}
	for _, d := range slices.SortedFunc(maps.Keys(added), CompareDesignators) {
		f.designator = d
		keep(f.any("", absent{}, added[d][0], added[d][1]))
	}
	f.designator = ""
	return out
}
