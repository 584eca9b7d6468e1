package pages

import (
	"net/url"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Many positions at once, without a script: these get that member, and cells
// copied from a spreadsheet land in the members of their heads.

// bulk does what the form asks of many positions, and says what it did.
func (d *draft) bulk(form url.Values) message.Message {
	switch form.Get("act") {
	case "bulk":
		return d.setMany(form.Get("bulk.which"), form.Get("bulk.member"), form.Get("bulk.value"))
	case "paste":
		return d.paste(form.Get("pasted"))
	}
	return message.Message{}
}

// setMany gives a member to the positions that a filter finds.
func (d *draft) setMany(which, path, typed string) message.Message {
	m := memberOf(ofPosition, path)
	if m == nil {
		return t("bulk.nomember")
	}
	f, ok := filterOf(which)
	if !ok {
		return t("bulk.long", maxWords)
	}
	n := 0
	for i := range d.positions() {
		o := object(d.positions(), i)
		if o != nil && f.takes(o) {
			m.set(o, typed)
			n++
		}
	}
	return t("bulk.done", m.Label(), n)
}

// filter says which positions are meant: designators and ranges, or words that all
// stand somewhere in one.
type filter struct {
	names map[string]bool
	words []string
}

const maxWords = 20 // of a filter: each is looked for in all that each position says

// filterOf reads a filter, once for all positions; false where it has more words
// than anybody would look for.
func filterOf(which string) (f filter, ok bool) {
	names, err := list.Designators(which)
	if err == nil && len(names) > 0 {
		f.names = set(names)
	}
	for w := range strings.FieldsSeq(which) {
		if len(f.words) == maxWords {
			f.words = nil
			return f, f.names != nil
		}
		f.words = append(f.words, strings.ToLower(w))
	}
	return f, true
}

func (f *filter) takes(o map[string]any) bool {
	if f.names[textAt(o, "designator")] {
		return true
	}
	if len(f.words) == 0 {
		return f.names == nil
	}
	var all strings.Builder
	for i := range draftMembers()[ofPosition] {
		m := &draftMembers()[ofPosition][i]
		all.WriteString(strings.ToLower(m.text(o)) + "\n")
	}
	return !slices.ContainsFunc(f.words, func(w string) bool { return !strings.Contains(all.String(), w) })
}

func set(names []string) map[string]bool {
	out := make(map[string]bool, len(names))
	for _, n := range names {
		out[n] = true
	}
	return out
}

// paste takes a table as a spreadsheet gives it: the first row names members,
// one of which is the designator. A text that says more than its column does is
// taken in whole, and what went where is told.
func (d *draft) paste(text string) message.Message {
	rows := list.Read([]byte(text))
	if rows.Header == nil && len(rows.Rows) > 0 {
		rows.Header, rows.Rows = rows.Rows[0].Cells, rows.Rows[1:]
	}
	heads := make([]*draftMember, len(rows.Header))
	key := -1
	for i, h := range rows.Header {
		if heads[i] = headed(h); heads[i] != nil && heads[i].Path == "designator" {
			key = i
		}
	}
	if key < 0 {
		return t("paste.nokey")
	}
	var said []message.Message
	taken, at := 0, d.index()
	for _, r := range rows.Rows {
		if key >= len(r.Cells) || r.Cells[key] == "" {
			said = append(said, t("paste.unnamed", r.Line, clipped(strings.Join(r.Cells, " "))))
			continue
		}
		o := d.named(at, r.Cells[key])
		for i, cell := range r.Cells {
			switch {
			case i == key || cell == "":
			case i >= len(heads) || heads[i] == nil:
				said = append(said, t("paste.nohead", r.Line, clipped(cell)))
			default:
				said = append(said, land(o, heads[i], cell)...)
			}
		}
		taken++
	}
	return t("paste.done", taken).And(said...)
}

// headed is the member of a column's heading: by its label, its name, or the
// heading's meaning in lists of parts.
func headed(h string) *draftMember {
	h = strings.ToLower(strings.TrimSpace(h))
	ms := draftMembers()[ofPosition]
	for i := range ms {
		if labelled(&ms[i], h) || h == ms[i].Path || h == last(ms[i].Path) && !strings.HasPrefix(ms[i].Path,
			"replacement.") {
			return &ms[i]
		}
	}
	short := map[string]string{"ref": "designator", "refs": "designator", "reference": "designator",
		"name": "designator", "val": "part.value", "v": "part.voltage", "volt": "part.voltage",
		"temp": "part.temperature_max", "x": "x_mm", "y": "y_mm", "rot": "rotation_deg", "rotation": "rotation_deg",
		"type": "part.class", "part": "part.text", "text": "part.text"}
	return memberOf(ofPosition, short[h])
}

// labelled reports whether some language calls a member so.
func labelled(m *draftMember, heading string) bool {
	return slices.ContainsFunc(message.Languages,
		func(l *message.Language) bool { return heading == strings.ToLower(l.Speak(m.Label())) })
}

// index finds positions by their designators; of two of one name, the first.
func (d *draft) index() map[string]map[string]any {
	at := make(map[string]map[string]any, len(d.positions()))
	for i := range d.positions() {
		o := object(d.positions(), i)
		if name := textAt(o, "designator"); o != nil && at[name] == nil {
			at[name] = o
		}
	}
	return at
}

// named is the position of a designator, made where there is none yet.
func (d *draft) named(at map[string]map[string]any, designator string) map[string]any {
	if o := at[designator]; o != nil {
		return o
	}
	d.add()
	o := object(d.positions(), len(d.positions())-1)
	o["designator"] = designator
	at[designator] = o
	return o
}

// land puts a cell into its member. A text about the part that says more than
// one thing goes to all the members that it speaks of, and that is said.
func land(o map[string]any, m *draftMember, cell string) []message.Message {
	if m.Path != "part.value" && m.Path != "part.text" {
		m.set(o, cell)
		return nil
	}
	read, err := part.Read(cell, quantity.Context{Class: textAt(o, "part.class"), Found: "list"})
	if err != nil || len(read.Readings) != 1 || len(read.LeftOver) > 0 {
		m.set(o, cell)
		return []message.Message{t("paste.kept", textAt(o, "designator"), clipped(cell))}
	}
	b, err := json.Marshal(read.Readings[0].Part)
	var members map[string]any
	if err != nil || json.Unmarshal(b, &members) != nil {
		m.set(o, cell)
		return nil
	}
	names := 0
	for k, v := range members {
		put(o, "part."+k, v)
		if k != "class" {
			names++
		}
	}
	if names < 2 {
		return nil
	}
	return []message.Message{t("paste.whole", textAt(o, "designator"), clipped(cell), read.Readings[0].Part.String())}
}

// scriptMembers are the members of a position as the script needs them.
func scriptMembers(in *message.Language) string {
	type member struct {
		Path    string   `json:"path"`
		Label   string   `json:"label"`
		Kind    string   `json:"kind"`
		Choices []string `json:"choices,omitzero"`
		Words   []string `json:"words,omitzero"` // for the choices
		Column  bool     `json:"column,omitzero"`
	}
	var out []member
	for i := range draftMembers()[ofPosition] {
		m := &draftMembers()[ofPosition][i]
		input := draftInput{draftMember: m}
		x := member{Path: m.Path, Label: in.Speak(m.Label()), Kind: m.Kind, Column: slices.Contains(rowFields, m.Path)}
		if m.Kind == asChoice || m.Kind == asFlag {
			x.Choices = input.Offered()
			for _, c := range x.Choices {
				x.Words = append(x.Words, in.Speak(choiceText(c)))
			}
		}
		out = append(out, x)
	}
	b, _ := json.Marshal(out) // names and labels only
	return string(b)
}

// editorWords are the sentences that the script says.
var editorWords = []string{"sheet.filter", "sheet.found", "sheet.set", "sheet.to", "sheet.these", "sheet.go",
	"sheet.undo", "sheet.redo", "sheet.add", "sheet.remove",
	"sheet.open", "sheet.close", "sheet.hint", "sheet.kept", "sheet.local", "sheet.lost", "sheet.other", "sheet.over",
	"sheet.whole", "sheet.unread", "sheet.did", "sheet.more", "sheet.goon",
	"sheet.restore", "sheet.forget", "sheet.row", "sheet.asdrawn", "sheet.left"}

// wantText says what a good map has, and who lacks it here.
func wantText(w board.Want) message.Message {
	s := t("want." + w.Code)
	switch {
	case w.Of == 1 && w.Missing == nil:
	case w.Done():
		s = message.Of("text.colon", s, t("want.all", w.Of))
	default:
		s = message.Of("text.colon", s, t("want.some", w.Have, w.Of))
	}
	if len(w.Missing) == 0 {
		return s
	}
	const shown = 12
	missing := list.Ranges(w.Missing[:min(len(w.Missing), shown)])
	if len(w.Missing) > shown {
		missing += " …"
	}
	return message.Of("text.brackets", s, missing)
}
