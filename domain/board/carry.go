package board

import (
	"bytes"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Conflict is a member that a proposal and the current revision both changed,
// to different ends. A value that a side does not have is empty. Where one
// side's frame was changed, the other side's places are told in the new one.
type Conflict struct {
	Designator string          `json:"designator,omitzero"` // of the position concerned, as the base names it; in variants as the result names it
	Member     string          `json:"member"`              // such as part.value; of the map where there is no designator
	Pointer    string          `json:"pointer"`             // into the proposed map; into the current one where the proposal took the thing out
	Base       jsontext.Value  `json:"base,omitzero"`
	Current    jsontext.Value  `json:"current,omitzero"`
	Proposed   jsontext.Value  `json:"proposed,omitzero"`
	Sentence   message.Message `json:"sentence"`
}

// CarryForward brings a proposal from its base revision onto the current one:
// position by position, matched through renames, and member by member. What
// only one side changed is taken from that side; what both changed alike is no
// conflict; what both changed otherwise is one, and the result then holds the
// current side of it.
//
// A frame that one side shifted, turned or mirrored takes the other side's
// places along. A designator that one side changed is followed wherever the
// other names it: in failure points, in variants, at the points of checks.
// What one side names and the other took out is a conflict.
//
// Entries that neither side had in the base follow the others in the order of
// their names, so that two proposals give one result whichever is released
// first. Another order alone is never a conflict.
//
// The result shares memory with the maps, and none of them may be changed. It
// has to pass Check again: two sound changes need not make a sound map.
func CarryForward(base, current, proposed *Map) (*Map, []Conflict) {
	switch {
	case sameMap(base, current) || sameMap(current, proposed):
		return proposed, nil
	case sameMap(base, proposed):
		return current, nil
	}
	f := &carrier{}
	s := f.sides(base, current, proposed)
	out := &Map{Positions: f.positions(s)}
	s.rename(out)
	f.head(out, s.base, s.current, s.proposed)
	f.frame(out, s)
	f.lists(out, s.base, s.current, s.proposed)
	f.dangling(out, s)
	return out, f.conflicts
}

// carrier gathers conflicts while it merges.
type carrier struct {
	scope
	conflicts []Conflict
}

// scope is the entry at hand, for the conflicts in it.
type scope struct {
	designator string
	whole      string // member that stands for the entry itself
	prefix     string // of the names of its members
	pointer    string // to the entry
}

// clash notes a conflict about a member of the entry at hand, or about the
// entry itself where path is empty.
func (f *carrier) clash(path []string, base, current, proposed any) {
	c := Conflict{Designator: f.designator, Member: f.whole, Pointer: f.pointer,
		Base: carried(base), Current: carried(current), Proposed: carried(proposed)}
	for i, name := range path {
		if i == 0 {
			c.Member = f.prefix + name
		} else {
			c.Member += "." + name
		}
		c.Pointer += "/" + escaper.Replace(name)
	}
	c.Sentence = c.sentence(f.subject(path))
	f.conflicts = append(f.conflicts, c)
}

// subject says what a conflict is about.
func (f *carrier) subject(path []string) message.Message {
	where := message.Text(f.designator)
	if list, entry, ok := strings.Cut(f.whole, "/"); ok {
		if where = message.Of("carry.entry", message.Word("carry.of", list), entry); list == "cautions" {
			where = message.Of("carry.caution", quoted(entry))
		}
		if variant, change, ok := strings.Cut(entry, ".changes/"); ok {
			where = message.Of("judged.in-variant", change, variant)
		}
	}
	members := make([]message.Message, len(path))
	for i, name := range path {
		members[i] = memberName(name)
	}
	switch what := message.Words(members).Say(); {
	case what.IsZero():
		return where
	case where.IsZero():
		return message.Of("carry.member", what)
	default:
		return message.Of("carry.member-of", what, where)
	}
}

func (c *Conflict) sentence(what message.Message) message.Message {
	said := message.Of("carry.both", what, saying("carry.from", c.Base), spelledValue(c.Current),
		spelledValue(c.Proposed))
	switch {
	case c.Current == nil && c.Base != nil:
		said = message.Of("carry.current-out", what, saying("carry.plain", c.Base), saying("carry.to", c.Proposed))
	case c.Proposed == nil && c.Base != nil:
		said = message.Of("carry.proposal-out", what, saying("carry.plain", c.Base), saying("carry.to", c.Current))
	}
	return said.And(message.Of("carry.settle"))
}

// saying is a value as a key sets it; nothing for what takes more than a value
// to say.
func saying(key string, v jsontext.Value) message.Message {
	switch v.Kind() {
	case 0, '{', '[':
		return message.Message{}
	}
	return message.Of(key, spelledValue(v))
}

// spelledValue is a value in words; a long one is shortened.
func spelledValue(v jsontext.Value) message.Message {
	switch v.Kind() {
	case 0:
		return message.Of("map.nothing")
	case '"':
		return quoted(text(v))
	}
	return message.Text(clip(string(v)))
}

// length is a dimension of a body, of which nought is absent.
type length float64

// carried is a value as a conflict shows it, nil for an absent one.
func carried(v any) jsontext.Value {
	if d, ok := v.(length); ok && d == 0 {
		return nil
	}
	if r, ok := v.(jsontext.Value); ok {
		return r
	}
	b := raw(v)
	if b.Kind() == 'n' || string(b) == `""` {
		return nil
	}
	return bytes.ReplaceAll(b, []byte(`\u0000`), nil) // the sign of what was taken out
}

// settled takes the one of two sides that changed a value, the current one
// where both have the same; false where they disagree.
func settled[T any](b, c, p T, same func(a, b T) bool) (T, bool) {
	switch {
	case same(b, p) || same(c, p):
		return c, true
	case same(b, c):
		return p, true
	}
	return c, false
}

// merged settles a value as a whole.
func merged[T any](f *carrier, path string, b, c, p T, same func(a, b T) bool) T {
	v, ok := settled(b, c, p, same)
	if !ok {
		f.clash(strings.Split(path, "."), b, c, p)
	}
	return v
}

func equal[T comparable](a, b T) bool { return a == b }

// plainly settles a member that can be compared as it is.
func plainly[T comparable](f *carrier, path string, b, c, p T) T {
	return merged(f, path, b, c, p, equal)
}

// flagged settles an optional member.
func flagged[T comparable](f *carrier, path string, b, c, p *T) *T {
	return merged(f, path, b, c, p, sameFlag)
}

// nested merges an optional object member by member; one that is gone on one
// side and changed on the other is a conflict as a whole.
func nested[T any](f *carrier, path []string, b, c, p *T, same func(a, b *T) bool, merge func(b, c, p *T) T) *T {
	v, ok := settled(b, c, p, same)
	switch {
	case ok:
		return v
	case c == nil || p == nil:
		f.clash(path, b, c, p)
		return c
	case b == nil:
		b = new(T)
	}
	m := merge(b, c, p)
	return &m
}

// own merges "x-…" members, and whatever else is held as raw JSON, object by
// object.
func (f *carrier) own(path []string, b, c, p jsontext.Value) jsontext.Value {
	if v, ok := settled(b, c, p, sameExtra); ok {
		return v
	}
	return f.object(path, b, c, p)
}

func (f *carrier) object(path []string, b, c, p jsontext.Value) jsontext.Value {
	bo, errB := members(b)
	co, errC := members(c)
	po, errP := members(p)
	if errB != nil || errC != nil || errP != nil {
		f.clash(path, b, c, p)
		return c
	}
	out := object{}
	for _, o := range []object{bo, co, po} {
		for name := range o {
			out[name] = nil
		}
	}
	for _, name := range sortedKeys(out) {
		if out[name] = f.value(append(path, name), bo[name], co[name], po[name]); out[name] == nil {
			delete(out, name)
		}
	}
	if len(out) == 0 {
		return nil
	}
	return raw(out)
}

func (f *carrier) value(path []string, b, c, p jsontext.Value) jsontext.Value {
	v, ok := settled(b, c, p, sameJSON)
	switch {
	case ok:
		return v
	case c.Kind() == '{' && p.Kind() == '{' && (b == nil || b.Kind() == '{'):
		if o := f.object(path, b, c, p); o != nil {
			return o
		}
		return jsontext.Value("{}")
	}
	f.clash(path, b, c, p)
	return c
}

// sameJSON compares JSON values of which either may be absent.
func sameJSON(a, b jsontext.Value) bool { return len(a) == 0 && len(b) == 0 || sameValue(a, b) }

func (f *carrier) position(b, c, p *Position) Position {
	return Position{
		Designator: plainly(f, "designator", b.Designator, c.Designator, p.Designator), Side: plainly(f, "side", b.Side,
			c.Side, p.Side),
		X: plainly(f, "x_mm", b.X, c.X, p.X), Y: plainly(f, "y_mm", b.Y, c.Y, p.Y), Rotation: plainly(f, "rotation_deg",
			b.Rotation, c.Rotation, p.Rotation),
		Part:     f.part("part.", &b.Part, &c.Part, &p.Part),
		Body:     nested(f, []string{"body"}, b.Body, c.Body, p.Body, sameBody, f.body),
		Negative: flagged(f, "negative_deg", b.Negative, c.Negative, p.Negative),
		Function: plainly(f, "function", b.Function, c.Function, p.Function), Rail: plainly(f, "rail", b.Rail, c.Rail,
			p.Rail),
		WorkingVoltage: plainly(f, "working_voltage", b.WorkingVoltage, c.WorkingVoltage, p.WorkingVoltage),
		Glued:          flagged(f, "glued", b.Glued, c.Glued, p.Glued), HeatSensitive: flagged(f, "heat_sensitive",
			b.HeatSensitive, c.HeatSensitive, p.HeatSensitive),
		HotPlace: flagged(f, "hot_place", b.HotPlace, c.HotPlace, p.HotPlace), Circuit: plainly(f, "circuit", b.Circuit,
			c.Circuit, p.Circuit),
		Service: plainly(f, "service", b.Service, c.Service, p.Service),
		Replacement: nested(f, []string{"replacement"}, b.Replacement, c.Replacement, p.Replacement, sameReplacement,
			f.replacement),
		Notes: plainly(f, "notes", b.Notes, c.Notes, p.Notes), Extra: f.own(nil, b.Extra, c.Extra, p.Extra),
	}
}

func (f *carrier) part(at string, b, c, p *part.Part) part.Part {
	if v, ok := settled(b, c, p, samePart); ok {
		return *v
	}
	out := part.Part{Extra: f.own(strings.Split(strings.TrimSuffix(at, "."), "."), b.Extra, c.Extra, p.Extra)}
	for i := range part.Members {
		m := &part.Members[i]
		v, ok := settled(b, c, p, m.Same)
		if !ok {
			f.clash(strings.Split(at+m.Name, "."), m.At(b), m.At(c), m.At(p))
		}
		m.Copy(&out, v)
	}
	return out
}

func (f *carrier) body(b, c, p *part.Body) part.Body {
	long := func(name string, b, c, p float64) float64 {
		return float64(plainly(f, "body."+name, length(b), length(c), length(p)))
	}
	return part.Body{
		Mount: plainly(f, "body.mount", b.Mount, c.Mount, p.Mount), Shape: plainly(f, "body.shape", b.Shape, c.Shape,
			p.Shape),
		Diameter: long("diameter_mm", b.Diameter, c.Diameter, p.Diameter), Length: long("length_mm", b.Length, c.Length,
			p.Length),
		Width: long("width_mm", b.Width, c.Width, p.Width), Height: long("height_mm", b.Height, c.Height, p.Height),
		HeightLimit: long("height_limit_mm", b.HeightLimit, c.HeightLimit, p.HeightLimit),
		LeadPitch:   long("lead_pitch_mm", b.LeadPitch, c.LeadPitch, p.LeadPitch), Extra: f.own([]string{"body"},
			b.Extra, c.Extra, p.Extra),
	}
}

func (f *carrier) replacement(b, c, p *Replacement) Replacement {
	return Replacement{Part: f.part("replacement.part.", &b.Part, &c.Part, &p.Part),
		Reason: plainly(f, "replacement.reason", b.Reason, c.Reason, p.Reason), Extra: f.own([]string{"replacement"},
			b.Extra, c.Extra, p.Extra)}
}

// head merges what stands above the lists, but for the frame.
func (f *carrier) head(out, b, c, p *Map) {
	out.Board, out.Name = plainly(f, "board", b.Board, c.Board, p.Board), plainly(f, "name", b.Name, c.Name, p.Name)
	out.Licence = plainly(f, "licence", b.Licence, c.Licence, p.Licence)
	x, y, z := &b.Equipment, &c.Equipment, &p.Equipment
	out.Equipment = Equipment{
		Maker: plainly(f, "equipment.maker", x.Maker, y.Maker, z.Maker), Model: plainly(f, "equipment.model", x.Model,
			y.Model, z.Model),
		Kind:  plainly(f, "equipment.kind", x.Kind, y.Kind, z.Kind),
		Years: merged(f, "equipment.years", x.Years, y.Years, z.Years, sameList), Extra: f.own([]string{"equipment"},
			x.Extra, y.Extra, z.Extra)}
	out.Extra = f.own(nil, b.Extra, c.Extra, p.Extra)
}

// positions merges the positions, matched through renames on either side.
func (f *carrier) positions(s *sides) []Position {
	l := listing[Position]{name: "positions", key: designator, same: samePosition, merge: f.position,
		scope: func(p *Position, sc scope) scope {
			return scope{designator: p.Designator, whole: "position", pointer: sc.pointer}
		}}
	var out []Position
	out, s.from = mergeMatched(f, l, s.base.Positions, s.current.Positions, s.proposed.Positions, s.toCurrent,
		s.toProposed)
	return out
}

// sameMap tells whether two maps have the same digest.
func sameMap(a, b *Map) bool {
	return a == b || a.Board == b.Board && a.Name == b.Name && a.Licence == b.Licence && sameEquipment(&a.Equipment,
		&b.Equipment) &&
		sameFrame(&a.Frame, &b.Frame) && sameList(a.Markings, b.Markings) && sameExtra(a.Extra, b.Extra) &&
		sameItems(orEmptyList(a.Positions), orEmptyList(b.Positions), samePosition) &&
		sameItems(a.Variants, b.Variants, sameVariant) && sameItems(a.FailurePoints, b.FailurePoints,
		sameFailurePoint) &&
		sameItems(a.Checks, b.Checks, sameMeasurement) && sameItems(a.Cautions, b.Cautions, sameCaution) &&
		sameItems(a.Photographs, b.Photographs, samePhotograph)
}

// sameItems compares optional lists: an absent list is not an empty one.
func sameItems[T any](a, b []T, same func(a, b *T) bool) bool {
	if (a == nil) != (b == nil) || len(a) != len(b) {
		return false
	}
	for i := range a {
		if !same(&a[i], &b[i]) {
			return false
		}
	}
	return true
}
