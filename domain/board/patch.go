package board

import (
	"slices"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// Operation is one operation of a JSON Patch (RFC 6902).
type Operation struct {
	Op    string         `json:"op"` // add, remove, replace or move
	From  string         `json:"from,omitzero"`
	Path  string         `json:"path"`
	Value jsontext.Value `json:"value,omitzero"`
}

// Patch gives the JSON Patch (RFC 6902) that makes the document of to out of
// that of from. Items of lists are known by their keys, so that one new
// position is one operation, and members are changed one by one. The same maps
// give the same patch; equal maps give an empty one.
func Patch(from, to *Map) ([]Operation, error) {
	p := &patcher{ops: []Operation{}}
	a, err := head(from)
	if err != nil {
		return nil, err
	}
	b, err := head(to)
	if err != nil {
		return nil, err
	}
	p.object("", a, b)
	d := newDiffer(from, to)
	patchList(p, "positions", orEmptyList(from.Positions), orEmptyList(to.Positions), d.match, samePosition)
	patchList(p, "variants", from.Variants, to.Variants, byKey(from.Variants, to.Variants, variantID), sameVariant)
	patchList(p, "failure_points", from.FailurePoints, to.FailurePoints,
		byKey(from.FailurePoints, to.FailurePoints, failurePointID), sameFailurePoint)
	patchList(p, "checks", from.Checks, to.Checks, byKey(from.Checks, to.Checks, measurementID), sameMeasurement)
	patchList(p, "cautions", from.Cautions, to.Cautions, byKey(from.Cautions, to.Cautions, cautionText), sameCaution)
	return p.ops, nil
}

// orEmptyList is for a list that must be there: absent, it is written empty.
func orEmptyList[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}

// head is the map without its lists.
func head(m *Map) (object, error) {
	h := *m
	h.Positions, h.Variants, h.FailurePoints, h.Checks, h.Cautions = nil, nil, nil, nil, nil
	c, err := canonical(&h)
	if err != nil {
		return nil, err
	}
	o, err := members(c)
	delete(o, "positions")
	return o, err
}

type patcher struct{ ops []Operation }

func (p *patcher) op(op, path string, v jsontext.Value) {
	p.ops = append(p.ops, Operation{Op: op, Path: path, Value: v})
}

var escaper = strings.NewReplacer("~", "~0", "/", "~1")

// value makes one value of another, member by member where both are objects.
func (p *patcher) value(path string, a, b jsontext.Value) {
	if sameValue(a, b) {
		return
	}
	if a.Kind() == '{' && b.Kind() == '{' {
		x, errX := members(a)
		y, errY := members(b)
		if errX == nil && errY == nil {
			p.object(path, x, y)
			return
		}
	}
	p.op("replace", path, b)
}

func (p *patcher) object(path string, a, b object) {
	for _, name := range sortedKeys(a) {
		if _, there := b[name]; !there {
			p.op("remove", path+"/"+escaper.Replace(name), nil)
		}
	}
	for _, name := range sortedKeys(b) {
		at := path + "/" + escaper.Replace(name)
		if old, there := a[name]; there {
			p.value(at, old, b[name])
		} else {
			p.op("add", at, b[name])
		}
	}
}

// patchList takes out what is gone, last first, brings the rest into its new
// order, puts in what is new, first first, and then changes items in place.
func patchList[T any](p *patcher, name string, from, to []T, m matching, same func(a, b *T) bool) {
	path := "/" + name
	switch {
	case from == nil && to == nil:
		return
	case from == nil:
		p.op("add", path, raw(to))
		return
	case to == nil:
		p.op("remove", path, nil)
		return
	}
	var kept []int
	for i := len(from) - 1; i >= 0; i-- {
		if m.now[i] < 0 {
			p.op("remove", path+"/"+strconv.Itoa(i), nil)
		} else {
			kept = append(kept, i)
		}
	}
	slices.Reverse(kept)
	p.reorder(path, kept, m)
	for k := range to {
		if m.was[k] < 0 {
			p.op("add", path+"/"+strconv.Itoa(k), raw(&to[k]))
		}
	}
	for k, i := range m.was {
		if i >= 0 && !same(&from[i], &to[k]) {
			p.value(path+"/"+strconv.Itoa(k), raw(&from[i]), raw(&to[k]))
		}
	}
}

func (p *patcher) reorder(path string, kept []int, m matching) {
	n := 0
	for _, i := range m.was {
		if i < 0 {
			continue
		}
		if kept[n] != i {
			j := n + slices.Index(kept[n:], i)
			p.ops = append(p.ops, Operation{Op: "move", From: path + "/" + strconv.Itoa(j), Path: path + "/" +
				strconv.Itoa(n)})
			kept = slices.Insert(slices.Delete(kept, j, j+1), n, i)
		}
		n++
	}
}
