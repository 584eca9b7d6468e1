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
	"boardlore/domain/part"
)

// draft is a map document as a tree, so that what the page does not edit stays
// as it is, faults included.
type draft struct{ tree map[string]any }

func readDraft(data []byte) (*draft, error) {
	d := &draft{}
	if err := json.Unmarshal(data, &d.tree); err != nil || d.tree == nil {
		return nil, fault.New(fault.Malformed, "json-malformed", t("contribute.notjson"))
	}
	return d, nil
}

// headFields are edited above the table, by their path in the document.
var headFields = []field{{"board", nil}, {"name", nil}, {"equipment.maker", nil}, {"equipment.model", nil}, {"equipment.kind", nil}, {"markings", nil}, {"licence", nil},
	{"frame.width_mm", nil}, {"frame.height_mm", nil}, {"frame.basis", []string{"measured", "design-data", "photograph"}}, {"frame.uncertainty_mm", nil}}

// field is a member that the page edits: its path, and what it may hold where
// that is a list.
type field struct {
	path    string
	choices []string
}

// rowFields are the columns of the table, by their path in a position.
var rowFields = []field{
	{"designator", nil}, {"side", part.Names(board.Sides)}, {"x_mm", nil}, {"y_mm", nil}, {"rotation_deg", nil},
	{"part.class", part.Names(part.Classes)}, {"part.construction", nil}, {"part.value", nil}, {"part.voltage", nil},
	{"negative_deg", nil}, {"service", append([]string{""}, part.Names(board.Services)...)}, {"notes", nil},
}

// numeric are the members that hold numbers.
var numeric = map[string]bool{"x_mm": true, "y_mm": true, "rotation_deg": true, "negative_deg": true, "width_mm": true, "height_mm": true, "uncertainty_mm": true}

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

func textAt(m map[string]any, path string) string {
	name, rest, deeper := strings.Cut(path, ".")
	if deeper {
		inner, _ := m[name].(map[string]any)
		return textAt(inner, rest)
	}
	switch v := m[name].(type) {
	case string:
		return v
	case float64:
		return number(v)
	case []any:
		var ws []string
		for _, x := range v {
			if s, ok := x.(string); ok {
				ws = append(ws, s)
			}
		}
		return strings.Join(ws, ", ")
	}
	return ""
}

// apply takes a form's fields into the document.
func (d *draft) apply(form url.Values) {
	for _, f := range headFields {
		if v, ok := form["map."+f.path]; ok {
			setAt(d.tree, f.path, strings.TrimSpace(v[0]))
		}
	}
	ps := d.positions()
	kept := ps[:0:0]
	for i := range ps {
		at := "p" + strconv.Itoa(i) + "."
		p, ok := ps[i].(map[string]any)
		if ok {
			for _, f := range rowFields {
				if v, there := form[at+f.path]; there {
					setAt(p, f.path, strings.TrimSpace(v[0]))
				}
			}
		}
		if form.Get(at+"remove") == "" {
			kept = append(kept, ps[i])
		}
	}
	if ps != nil {
		d.tree["positions"] = kept
	}
}

// setAt sets a member to what was typed; an empty field takes it away, and an
// unchanged one stays as it was.
func setAt(m map[string]any, path, typed string) {
	if textAt(m, path) == typed {
		return
	}
	name, rest, deeper := strings.Cut(path, ".")
	if deeper {
		inner, ok := m[name].(map[string]any)
		if !ok {
			inner = map[string]any{}
			m[name] = inner
		}
		setAt(inner, rest, typed)
		return
	}
	switch {
	case typed == "":
		delete(m, name)
	case name == "markings":
		var ws []any
		for w := range strings.SplitSeq(typed, ",") {
			if w = strings.TrimSpace(w); w != "" {
				ws = append(ws, w)
			}
		}
		m[name] = ws
	case numeric[name]:
		m[name] = typedNumber(typed)
	default:
		m[name] = typed
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
	ps := append(d.positions(), map[string]any{"designator": "", "side": board.Top, "x_mm": 0.0, "y_mm": 0.0, "part": map[string]any{"class": part.Capacitor}, "service": board.Replace})
	d.tree["positions"] = ps
	return (len(ps) - 1) / rowsShown
}

// document writes the tree in its canonical form.
func (d *draft) document() (string, error) {
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
	bare := map[string]any{"part": map[string]any{"class": textAt(p, "part.class"), "construction": textAt(p, "part.construction")}}
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
