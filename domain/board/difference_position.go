package board

import (
	"math"
	"strings"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/message"
)

// position reports on the members of one position that are not the same, one
// entry for each kind.
func (d *differ) position(a, b *Position, pointer string) {
	add := func(kind Kind, s Severity, member string, from, to any, sentence message.Message) {
		d.add(DifferenceEntry{Kind: kind, Designator: b.Designator, Severity: s, Pointer: pointer + member,
			From: memberValue(from), To: memberValue(to), Sentence: sentence})
	}
	if a.Designator != b.Designator {
		why := phrases(d.takenOver(a, b))
		s, sentence := weighed(message.Of("difference.renamed", placed(a), b.Designator), why)
		if len(why) > 0 {
			_, sentence = weighed(message.Of("difference.renamed-taken", placed(a), b.Designator), why)
		} else if d.namedStill(a.Designator) {
			s, sentence = weighed(sentence, []message.Message{message.Of("hazard.named-still", a.Designator)})
		}
		add(Renamed, s, "/designator", a.Designator, b.Designator, sentence)
	}
	d.moved(a, b, pointer)
	if a.Rotation != b.Rotation {
		s, sentence := Material, message.Of("difference.turned", placed(b), degrees(&a.Rotation), degrees(&b.Rotation))
		if sameAngle(a.Rotation, b.Rotation) {
			s, sentence = Editorial, message.Of("difference.rotation-rewritten", placed(b), degrees(&b.Rotation),
				degrees(&a.Rotation))
		} else if blindlyTurned(a, b) {
			s, sentence = weighed(sentence, []message.Message{message.Of("hazard.turned-blindly")})
		}
		add(Turned, s, "/rotation_deg", a.Rotation, b.Rotation, sentence)
	}
	if a.Side != b.Side {
		s, sentence := weighed(message.Of("difference.side", placed(b), a.Side, b.Side), sideHazard(a))
		add(SideChanged, s, "/side", a.Side, b.Side, sentence)
	}
	if !samePart(&a.Part, &b.Part) {
		s, sentence := partSentence(placed(b), a, b)
		add(PartChanged, s, "/part", &a.Part, &b.Part, sentence)
	}
	if !sameBody(a.Body, b.Body) {
		from, to := memberValue(a.Body), memberValue(b.Body)
		s := Material
		if onlyExtra(from, to) {
			s = Editorial
		}
		add(BodyChanged, s, "/body", from, to, message.Of("difference.body", placed(b), memberSentence(from, to)))
	}
	if !sameFlag(a.Negative, b.Negative) {
		s, sentence := polaritySentence(placed(b), a.Negative, b.Negative)
		add(PolarityChanged, s, "/negative_deg", a.Negative, b.Negative, sentence)
	}
	d.group(a, b, pointer, functionGroup)
	d.group(a, b, pointer, serviceGroup)
	if !sameReplacement(a.Replacement, b.Replacement) {
		s, sentence := replacementSentence(a, b)
		add(ReplacementChanged, s, "/replacement", a.Replacement, b.Replacement, sentence)
	}
	d.group(a, b, pointer, notesGroup)
}

// memberValue is the JSON of a member, null for an absent one.
func memberValue(v any) jsontext.Value {
	if r, ok := v.(jsontext.Value); ok {
		return r
	}
	return raw(v)
}

func (d *differ) moved(a, b *Position, pointer string) {
	if a.X == b.X && a.Y == b.Y {
		return
	}
	distance := tidy(math.Hypot(a.X-b.X, a.Y-b.Y))
	e := DifferenceEntry{Kind: Moved, Designator: b.Designator, Severity: Material, Pointer: pointer,
		Distance: &distance,
		From:     raw(map[string]float64{"x_mm": a.X, "y_mm": a.Y}),
		To:       raw(map[string]float64{"x_mm": b.X, "y_mm": b.Y})}
	key := "difference.moved"
	if distance <= d.slack {
		e.Severity, key = Editorial, "difference.moved-little"
	}
	e.Sentence = message.Of(key, b.Designator, number(a.X), number(a.Y), number(b.X), number(b.Y),
		distanceWords(distance))
	d.add(e)
}

func distanceWords(d float64) message.Message {
	if d < 0.001 {
		return message.Of("map.less-than", mm(0.001))
	}
	return message.Text(mm(d))
}

// group is a kind of change that covers several members of a position. The
// first is the one that it is named for: where that alone changed, from and to
// are its values, else they are objects.
type group struct {
	kind    Kind
	main    string
	members func(p *Position) object
	same    func(a, b *Position) bool
	hazards func(d *differ, a, b *Position) []weak // nil where it never is one
}

var (
	functionGroup = group{FunctionChanged, "function",
		func(p *Position) object {
			return present(object{"function": orNull(p.Function), "rail": orNull(p.Rail),
				"working_voltage": orNull(voltageText(p)), "circuit": orNull(p.Circuit)})
		},
		func(a, b *Position) bool {
			return a.Function == b.Function && a.Rail == b.Rail && a.WorkingVoltage == b.WorkingVoltage &&
				a.Circuit == b.Circuit
		},
		func(_ *differ, a, b *Position) []weak { return functionHazards(a, b) }}
	serviceGroup = group{ServiceChanged, "service",
		func(p *Position) object {
			return present(object{"service": orNull(p.Service), "glued": raw(p.Glued),
				"heat_sensitive": raw(p.HeatSensitive), "hot_place": raw(p.HotPlace)})
		},
		func(a, b *Position) bool {
			return a.Service == b.Service && sameFlag(a.Glued, b.Glued) && sameFlag(a.HeatSensitive, b.HeatSensitive) &&
				sameFlag(a.HotPlace, b.HotPlace)
		},
		(*differ).serviceHazards}
	notesGroup = group{NotesChanged, "notes",
		func(p *Position) object {
			o, err := members(p.Extra)
			if err != nil {
				o = object{}
			}
			if p.Notes != "" {
				o["notes"] = raw(p.Notes)
			}
			return o
		},
		func(a, b *Position) bool { return a.Notes == b.Notes && sameExtra(a.Extra, b.Extra) },
		func(d *differ, a, b *Position) []weak {
			if why := noteHazards(a, b); len(why) > 0 {
				return why
			}
			return d.noteOfOthers(a, b)
		}}
)

func voltageText(p *Position) string {
	if p.WorkingVoltage.IsZero() {
		return ""
	}
	return p.WorkingVoltage.String()
}

func present(o object) object {
	for name, v := range o {
		if v.Kind() == 'n' {
			delete(o, name)
		}
	}
	return o
}

func (d *differ) group(a, b *Position, pointer string, g group) {
	if g.same(a, b) {
		return
	}
	from, to := g.members(a), g.members(b)
	dropSame(from, to)
	e := DifferenceEntry{Kind: g.kind, Designator: b.Designator, Severity: Material}
	if only(from, g.main) && only(to, g.main) {
		e.Pointer, e.From, e.To = pointer+"/"+g.main, absentNull(from[g.main]), absentNull(to[g.main])
	} else {
		e.Pointer, e.From, e.To = pointer, raw(from), raw(to)
	}
	if allExtra(from) && allExtra(to) {
		e.Severity = Editorial
	}
	e.Sentence = message.Of("text.colon", placed(b), changeSentence(from, to))
	if g.hazards != nil {
		if why := phrases(g.hazards(d, a, b)); len(why) > 0 {
			e.Severity, e.Sentence = Hazard, because(e.Sentence, why)
		}
	}
	d.add(e)
}

func only(o object, name string) bool {
	return len(o) == 0 || len(o) == 1 && o[name] != nil
}

func absentNull(v jsontext.Value) jsontext.Value {
	if v == nil {
		return null
	}
	return v
}

// dropSame takes out of both objects the members that are the same in both.
func dropSame(a, b object) {
	for name, v := range a {
		if w, ok := b[name]; ok && sameValue(v, w) {
			delete(a, name)
			delete(b, name)
		}
	}
}

// changedMembers gives the members of two objects that are not the same.
func changedMembers(a, b jsontext.Value) (from, to jsontext.Value) {
	x, errX := members(a)
	y, errY := members(b)
	if errX != nil || errY != nil {
		return orEmpty(a), orEmpty(b)
	}
	dropSame(x, y)
	return raw(x), raw(y)
}

// onlyExtra reports whether two objects differ in nothing but "x-…" members.
func onlyExtra(a, b jsontext.Value) bool {
	if a.Kind() != '{' || b.Kind() != '{' {
		return false
	}
	from, to := changedMembers(a, b)
	for _, v := range []jsontext.Value{from, to} {
		if o, err := members(v); err != nil || !allExtra(o) {
			return false
		}
	}
	return true
}

// allExtra tells an object that has none but "x-…" members.
func allExtra(o object) bool {
	for name := range o {
		if !strings.HasPrefix(name, "x-") {
			return false
		}
	}
	return true
}
