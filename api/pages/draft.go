package pages

import (
	"math"
	"net/url"
	"strconv"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/schema"
)

// draft is a map document as a tree, so that what the page does not edit stays
// as it is, faults included.
type draft struct{ tree map[string]any }

func readDraft(data []byte) (*draft, error) {
	if err := schema.Bounded(data, board.MaxBytes); err != nil {
		return nil, err
	}
	d := &draft{}
	if err := json.Unmarshal(data, &d.tree); err != nil || d.tree == nil {
		return nil, fault.New(fault.Malformed, "json-malformed", "page.contribute.notjson")
	}
	if n := len(d.positions()); n > board.MaxPositions {
		return nil, fault.New(fault.TooLarge, "document-too-large", "page.draft.positions", n, board.MaxPositions)
	}
	return d, nil
}

// rowFields are the columns of the table, by their path in a position.
var rowFields = []string{"designator", "side", "x_mm", "y_mm", "rotation_deg", "part.class", "part.construction",
	"part.value", "part.voltage",
	"negative_deg", "service", "notes"}

func (d *draft) positions() []any {
	ps, _ := d.tree["positions"].([]any)
	return ps
}

// text is a member of the document as its field shows it.
func (d *draft) text(path string) string { return textAt(d.tree, path) }

func (d *draft) cell(i int, path string) string {
	p, _ := d.positions()[i].(map[string]any)
	return textAt(p, path)
}

func textAt(m map[string]any, path string) string { return spelled(valueAt(m, path), ", ") }

// listsOf are the lists of a map whose items have forms.
var listsOf = []string{ofVariant, ofFailure, ofCheck, ofCaution, ofPhotoLaid}

// object is an item of a list; nil where it is none.
func object(list []any, i int) map[string]any {
	if i < 0 || i >= len(list) {
		return nil
	}
	o, _ := list[i].(map[string]any)
	return o
}

// apply takes a form's fields into the document, and gives what is to be said
// of it: references that went along.
func (d *draft) apply(form url.Values) []message.Message {
	before := d.designators()
	take := func(list, at string, o map[string]any) {
		for i := range draftMembers()[list] {
			m := &draftMembers()[list][i]
			if v, ok := form[at+m.Path]; ok && o != nil {
				m.set(o, v[0])
			}
		}
	}
	take(ofMap, "map.", d.tree)
	for _, l := range listsOf {
		items := asList(d.tree[l])
		for i := range items {
			at := "map." + l + "." + strconv.Itoa(i) + "."
			take(l, at, object(items, i))
			if l == ofVariant {
				changes := asList(object(items, i)["changes"])
				for k := range changes {
					take(ofChange, at+"changes."+strconv.Itoa(k)+".", object(changes, k))
				}
			}
		}
	}
	ps := d.positions()
	for i := range ps {
		take(ofPosition, "p"+strconv.Itoa(i)+".", object(ps, i))
	}
	said := d.renamed(before, form["renamed"])
	gone := d.gone(form)
	d.drop(form["gone"])
	return append(said, d.forget(gone)...)
}

// gone takes the positions away that the form says so of, and names them.
func (d *draft) gone(form url.Values) (names []string) {
	ps := d.positions()
	kept := ps[:0:0]
	for i := range ps {
		if form.Get("p"+strconv.Itoa(i)+".remove") == "" {
			kept = append(kept, ps[i])
			continue
		}
		names = append(names, d.cell(i, "designator"))
	}
	if ps != nil {
		d.tree["positions"] = kept
	}
	for _, n := range form["removed"] { // by the script, which has taken the positions away already
		names = append(names, strings.Fields(n)...)
	}
	return names
}

// drop takes items away, named as list.number or variants.number.changes.number.
func (d *draft) drop(names []string) {
	marked := map[string]bool{}
	for _, n := range names {
		marked[n] = true
	}
	keep := func(items []any, at string) []any {
		kept := items[:0:0]
		for i := range items {
			if !marked[at+strconv.Itoa(i)] {
				kept = append(kept, items[i])
			}
		}
		return kept
	}
	for i, v := range asList(d.tree[ofVariant]) {
		if o, ok := v.(map[string]any); ok && o["changes"] != nil {
			o["changes"] = keep(asList(o["changes"]), ofVariant+"."+strconv.Itoa(i)+".changes.")
		}
	}
	for _, l := range listsOf {
		if items := asList(d.tree[l]); items != nil {
			if items = keep(items, l+"."); len(items) == 0 {
				delete(d.tree, l)
				continue
			}
			d.tree[l] = items
		}
	}
}

// typedNumber is the number, or the text as it was typed where it is none: the
// checks then name the place.
func typedNumber(s string) any {
	x, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
		return s
	}
	return x
}

// last is the member that a path ends at.
func last(path string) string { return path[strings.LastIndex(path, ".")+1:] }

// add appends an empty position and gives the page of the table that it is on.
func (d *draft) add() int {
	ps := append(d.positions(), map[string]any{"designator": "", "side": board.Top, "x_mm": 0.0, "y_mm": 0.0,
		"part": map[string]any{"class": part.Capacitor}, "service": board.Replace})
	d.tree["positions"] = ps
	return (len(ps) - 1) / rowsShown
}

// blankItems are what a new item of a list begins with.
var blankItems = map[string]func() map[string]any{
	ofVariant:   func() map[string]any { return map[string]any{"variant": "", "changes": []any{}} },
	ofFailure:   func() map[string]any { return map[string]any{"severity": "major", "bars_power_up": false} },
	ofCheck:     func() map[string]any { return map[string]any{"when": "before-power-up", "measure": "resistance"} },
	ofCaution:   func() map[string]any { return map[string]any{"when": "before-opening"} },
	ofPhotoLaid: func() map[string]any { return map[string]any{"side": "top"} },
}

// addItem appends an item to a list, or a change to a variant
// (variants.0.changes).
func (d *draft) addItem(list string) {
	if of, ok := strings.CutSuffix(strings.TrimPrefix(list, ofVariant+"."), ".changes"); ok {
		n, err := strconv.Atoi(of)
		if v := object(asList(d.tree[ofVariant]), n); err == nil && v != nil {
			v["changes"] = append(asList(v["changes"]), map[string]any{})
		}
		return
	}
	if begin := blankItems[list]; begin != nil {
		d.tree[list] = append(asList(d.tree[list]), begin())
	}
}

// document writes the tree in its canonical form.
func (d *draft) document() (string, error) {
	if left := room(d.tree, board.MaxBytes); left < 0 {
		return "", fault.New(fault.TooLarge, "document-too-large", "page.draft.long", board.MaxBytes>>20)
	}
	b, err := json.Marshal(d.tree)
	if err != nil {
		return "", err
	}
	v := jsontext.Value(b)
	if err := v.Canonicalize(); err != nil {
		return "", err
	}
	return string(v), nil
}

// room is what a document's names and texts leave of so many bytes; less than 0
// where they are more. One field of a form may have been set at many places.
func room(v any, left int) int {
	switch v := v.(type) {
	case string:
		return left - len(v)
	case []any:
		for i := 0; i < len(v) && left >= 0; i++ {
			left = room(v[i], left)
		}
	case map[string]any:
		for k, x := range v {
			if left = room(x, left-len(k)); left < 0 {
				break
			}
		}
	}
	return left
}

// drawable is a map that shows what the document's places are, even where its
// values can't be read; nil where nothing can be drawn.
func (d *draft) drawable() *board.Map {
	doc, err := d.document()
	if err != nil {
		return nil
	}
	m := &board.Map{}
	if json.Unmarshal([]byte(doc), m) == nil {
		return m
	}
	bare, err := readDraft([]byte(doc))
	if err != nil {
		return nil
	}
	ps := bare.positions()
	kept := ps[:0:0]
	for _, x := range ps {
		if p := barePosition(x); p != nil {
			kept = append(kept, p)
		}
	}
	tree := map[string]any{"board": "", "name": bare.text("name"), "frame": bare.tree["frame"], "positions": kept}
	if doc, err = (&draft{tree}).document(); err != nil || json.Unmarshal([]byte(doc), m) != nil {
		return nil
	}
	return m
}

// barePosition keeps of a position what the drawing needs and can be read.
func barePosition(x any) map[string]any {
	p, ok := x.(map[string]any)
	if !ok {
		return nil
	}
	bare := map[string]any{"part": map[string]any{"class": textAt(p, "part.class"), "construction": textAt(p,
		"part.construction")}}
	for _, k := range []string{"designator", "side", "service"} {
		if s, ok := p[k].(string); ok {
			bare[k] = s
		}
	}
	for _, k := range []string{"x_mm", "y_mm", "rotation_deg", "negative_deg"} {
		if n, ok := p[k].(float64); ok {
			bare[k] = n
		}
	}
	if b, ok := p["body"].(map[string]any); ok {
		var body part.Body
		if raw, err := json.Marshal(b); err == nil && json.Unmarshal(raw, &body) == nil {
			bare["body"] = b
		}
	}
	return bare
}
