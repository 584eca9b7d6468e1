package board

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/fault"
)

// Apply makes of base the map that d leads to: Apply(a, Diff(a, b)) is b. It
// needs nothing but what a difference says in JSON. A difference that was not
// made from base is refused with fault.Conflict.
func Apply(base *Map, d Difference) (*Map, error) {
	for i := range d.Changes {
		if t := d.Changes[i].Transform; t != nil {
			base = t.apply(base)
		}
	}
	b, err := json.Marshal(base)
	if err != nil {
		return nil, err
	}
	doc, err := members(b)
	if err != nil {
		return nil, err
	}
	a := &applier{doc: doc, edits: map[string]*edits{}}
	for i := range d.Changes {
		if err := a.take(&d.Changes[i]); err != nil {
			return nil, err
		}
	}
	for _, name := range slices.Sorted(keysOf(a.edits)) {
		if err := a.list(name); err != nil {
			return nil, err
		}
	}
	if b, err = json.Marshal(a.doc); err != nil {
		return nil, err
	}
	out := new(Map)
	if err := json.Unmarshal(b, out); err != nil {
		return nil, fault.New(fault.Conflict, "difference-not-applicable", "The difference does not lead to a map: "+
			plainError(err).Error()+".")
	}
	return out, nil
}

func keysOf[K comparable, V any](m map[K]V) func(func(K) bool) {
	return func(yield func(K) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

type applier struct {
	doc   object
	edits map[string]*edits // by list
}

// edits are the changes of one list.
type edits struct {
	removed map[int]*DifferenceEntry   // by index in the older list
	added   map[int]*DifferenceEntry   // by index in the newer list
	changed map[int][]*DifferenceEntry // by index in the newer list
	order   []string                   // keys of the newer list, where the order is another
	absent  *bool                      // whether the list is absent, where that is said
}

var keyMembers = map[string]string{"positions": "designator", "variants": "variant", "failure_points": "id",
	"checks": "id", "cautions": "text"}

// take sorts a change to its list, or does it where it is about no list.
func (a *applier) take(e *DifferenceEntry) error {
	path := strings.Split(e.Pointer, "/")
	if len(path) == 1 {
		return replaceMembers(a.doc, e)
	}
	list := path[1]
	if keyMembers[list] == "" {
		return replaceMember(a.doc, list, e)
	}
	ed := a.edits[list]
	if ed == nil {
		ed = &edits{removed: map[int]*DifferenceEntry{}, added: map[int]*DifferenceEntry{},
			changed: map[int][]*DifferenceEntry{}}
		a.edits[list] = ed
	}
	if len(path) == 2 {
		return ed.whole(e)
	}
	i, err := strconv.Atoi(path[2])
	if err != nil || i < 0 {
		return unfit(e)
	}
	switch {
	case len(path) == 3 && e.To.Kind() == 'n':
		ed.removed[i] = e
	case len(path) == 3 && e.From.Kind() == 'n':
		ed.added[i] = e
	default:
		ed.changed[i] = append(ed.changed[i], e)
	}
	return nil
}

func (ed *edits) whole(e *DifferenceEntry) error {
	var order []string
	if e.To.Kind() == '[' {
		if err := json.Unmarshal(e.To, &order); err != nil {
			return unfit(e)
		}
	}
	if len(order) > 0 {
		ed.order = order
		return nil
	}
	absent := e.To.Kind() == 'n'
	ed.absent = &absent
	return nil
}

func unfit(e *DifferenceEntry) error {
	return fault.New(fault.Conflict, "difference-not-applicable",
		fmt.Sprintf("The change at %s does not apply to this map; it was made from another one. (%s)", e.Pointer,
			e.Sentence))
}

// list does the changes of one list.
func (a *applier) list(name string) error {
	ed := a.edits[name]
	var items []jsontext.Value
	if v := a.doc[name]; v != nil {
		if err := json.Unmarshal(v, &items); err != nil {
			return err
		}
	}
	for i, e := range ed.removed {
		if i >= len(items) || !sameValue(items[i], e.From) {
			return unfit(e)
		}
	}
	out, err := ed.arrange(items, keyMembers[name])
	if err != nil {
		return err
	}
	for k, es := range ed.changed {
		if k >= len(out) {
			return unfit(es[0])
		}
		for _, e := range es {
			if out[k], err = changedItem(out[k], e); err != nil {
				return err
			}
		}
	}
	return a.put(name, out, ed.absent)
}

func (a *applier) put(name string, items []jsontext.Value, absent *bool) error {
	gone := a.doc[name] == nil && len(items) == 0
	if absent != nil {
		gone = *absent
	}
	if gone {
		delete(a.doc, name)
		return nil
	}
	if items == nil {
		items = []jsontext.Value{}
	}
	b, err := json.Marshal(items)
	a.doc[name] = b
	return err
}

// arrange puts what is kept and what is added into the newer order.
func (ed *edits) arrange(items []jsontext.Value, member string) ([]jsontext.Value, error) {
	kept := make([]jsontext.Value, 0, len(items))
	for i, v := range items {
		if ed.removed[i] == nil {
			kept = append(kept, v)
		}
	}
	next := func(int) (jsontext.Value, bool) {
		if len(kept) == 0 {
			return nil, false
		}
		v := kept[0]
		kept = kept[1:]
		return v, true
	}
	if ed.order != nil {
		next = ed.byOrder(kept, member)
	}
	total := len(kept) + len(ed.added)
	out := make([]jsontext.Value, 0, total)
	for k := range total {
		if e := ed.added[k]; e != nil {
			out = append(out, e.To)
			continue
		}
		v, ok := next(k)
		if !ok {
			return nil, fault.New(fault.Conflict, "difference-not-applicable",
				"The difference does not apply to this map: it was made from one with other items.")
		}
		out = append(out, v)
	}
	return out, nil
}

// byOrder finds the kept item that stands at a place of the newer list: one
// that is changed as a whole by what it was, the others by the key that they
// had before, the first of several with the same.
func (ed *edits) byOrder(kept []jsontext.Value, member string) func(int) (jsontext.Value, bool) {
	claimed, kept := ed.claim(kept, member)
	byKey := map[string][]jsontext.Value{}
	for _, v := range kept {
		k := stringMember(v, member)
		byKey[k] = append(byKey[k], v)
	}
	return func(k int) (jsontext.Value, bool) {
		if v := claimed[k]; v != nil {
			return v, true
		}
		if k >= len(ed.order) {
			return nil, false
		}
		key := ed.order[k]
		for _, e := range ed.changed[k] {
			if e.Kind == Renamed {
				key = text(e.From)
			}
		}
		vs := byKey[key]
		if len(vs) == 0 {
			return nil, false
		}
		byKey[key] = vs[1:]
		return vs[0], true
	}
}

// claim takes the items that are changed as a whole, by their places in the
// newer list, and leaves the rest. Positions are never changed as a whole.
func (ed *edits) claim(kept []jsontext.Value, member string) (map[int]jsontext.Value, []jsontext.Value) {
	claimed := map[int]jsontext.Value{}
	if member == keyMembers["positions"] {
		return claimed, kept
	}
	rest := slices.Clone(kept)
	for _, k := range slices.Sorted(keysOf(ed.changed)) {
		if i := slices.IndexFunc(rest, func(v jsontext.Value) bool {
			return sameValue(v,
				ed.changed[k][0].From)
		}); i >= 0 {
			claimed[k] = rest[i]
			rest = slices.Delete(rest, i, i+1)
		}
	}
	return claimed, rest
}

func stringMember(v jsontext.Value, name string) string {
	o, err := members(v)
	if err != nil {
		return ""
	}
	return text(o[name])
}

// changedItem does one change to an item of a list.
func changedItem(item jsontext.Value, e *DifferenceEntry) (jsontext.Value, error) {
	path := strings.Split(e.Pointer, "/")
	if path[1] != "positions" {
		if !sameValue(item, e.From) {
			return nil, unfit(e)
		}
		return e.To, nil
	}
	o, err := members(item)
	if err != nil {
		return nil, unfit(e)
	}
	if len(path) == 3 {
		err = replaceMembers(o, e)
	} else {
		err = replaceMember(o, path[3], e)
	}
	if err != nil {
		return nil, err
	}
	return json.Marshal(o)
}

// replaceMember gives one member its new value.
func replaceMember(o object, name string, e *DifferenceEntry) error {
	if !sameValue(absentNull(o[name]), e.From) {
		return unfit(e)
	}
	if e.To.Kind() == 'n' {
		delete(o, name)
		return nil
	}
	o[name] = e.To
	return nil
}

// replaceMembers gives several members of an object their new values.
func replaceMembers(o object, e *DifferenceEntry) error {
	from, errFrom := members(e.From)
	to, errTo := members(e.To)
	if errFrom != nil || errTo != nil {
		return unfit(e)
	}
	for name, v := range from {
		if !sameValue(o[name], v) {
			return unfit(e)
		}
		delete(o, name)
	}
	for name, v := range to {
		if _, there := o[name]; there {
			return unfit(e)
		}
		o[name] = v
	}
	return nil
}
