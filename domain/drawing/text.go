package drawing

import (
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// title is what the title block and the text alternative say.
type title struct {
	title, desc string
	rows        [][]cell
}

func boardWords(m *board.Map, o Options, count int) title {
	say := o.In.Say
	t := title{title: say("drawing.title", m.Name, m.Board, message.Word("drawing.side", o.Side)),
		desc: say("drawing.desc", count)}
	rev := message.Of("drawing.draft")
	if o.Revision > 0 {
		rev = message.Text(strconv.Itoa(o.Revision))
	}
	unknown := say("drawing.unknown")
	t.rows = [][]cell{
		{
			{share: .47, caption: say("drawing.cell.name"), text: m.Name, big: true},
			{share: .53, caption: say("drawing.cell.side"), text: o.In.Speak(message.Word("drawing.shown", o.Side)),
				big: true},
		},
		bodyRow(m, o.In),
		{
			{share: .13, caption: say("drawing.cell.revision"), text: o.In.Speak(rev)},
			{share: .17, caption: say("drawing.cell.variant"), text: or(o.Variant, say("drawing.base"))},
			{share: .17, caption: say("drawing.cell.digest"), text: or(short(o.Digest), unknown)},
			{share: .14, caption: say("drawing.cell.date"), text: or(o.Date, unknown)},
			{share: .14, caption: say("drawing.cell.licence"), text: or(m.Licence, "CC0-1.0")},
			{share: .25, caption: say("drawing.cell.frame"), text: frameText(&m.Frame, o.In)},
		},
	}
	return t
}

func bodyRow(m *board.Map, in *message.Language) []cell {
	return []cell{
		{share: .34, caption: in.Say("drawing.cell.equipment"), text: join(" ", m.Equipment.Maker, m.Equipment.Model)},
		{share: .36, caption: in.Say("drawing.cell.board"), text: join("  ", m.Board, strings.Join(m.Markings, ", "))},
		{share: .30, caption: in.Say("drawing.cell.scale"), bar: true},
	}
}

func frameText(f *board.Frame, in *message.Language) string {
	t := in.Speak(message.Word("drawing.basis", f.Basis))
	if f.Uncertainty != nil {
		t = in.Say("drawing.give-or-take", t, millimetres(*f.Uncertainty))
	}
	return t
}

// short is enough of a digest to tell two apart by eye.
func short(digest string) string {
	const figures = 12
	if len(digest) > figures {
		return digest[:figures]
	}
	return digest
}

func millimetres(x float64) string {
	return strconv.FormatFloat(sound(x), 'f', -1, 64) + " mm"
}

func or(s, instead string) string {
	if s == "" {
		return instead
	}
	return s
}

func join(sep string, ss ...string) string {
	kept := ss[:0:0]
	for _, s := range ss {
		if s != "" {
			kept = append(kept, s)
		}
	}
	return strings.Join(kept, sep)
}

// positionText says in a line what a position is and what is done to it.
func positionText(p *board.Position) message.Message {
	m := message.Text(p.Designator)
	if is := PartText(&p.Part); !is.IsZero() {
		m = message.Of("text.colon", m, is)
	}
	if p.Replacement != nil {
		m = message.Of("drawing.fit", m, PartText(&p.Replacement.Part))
	}
	if p.Service != "" {
		m = message.Of("text.titled", m, message.Word("service", p.Service))
	}
	if p.Negative == nil && Unsure(p) {
		m = message.Of("text.titled", m, message.Of("drawing.unsure"))
	}
	return m
}

// PartBrief says what tells a part from its neighbours on the board: value,
// ratings and what is peculiar about it.
func PartBrief(p *part.Part) message.Message {
	if p.Value.IsZero() && p.Current.IsZero() {
		return PartText(p)
	}
	ws := append(unless(p.Value.IsZero(), p.Value.String()), ratings(p)...)
	var kind message.Message
	switch p.Class {
	case part.Capacitor:
		if strings.HasPrefix(string(p.Construction), "tantalum") {
			kind = message.Word("construction", p.Construction)
		}
	case part.Resistor, part.Inductor:
	default:
		kind = message.Word("class", p.Class)
	}
	return inARow(message.Text(strings.Join(ws, " ")), bipolar(p), kind)
}

// PartText says in a few words what a part is: value, tolerance, ratings, what
// it is made of, what is printed on it. A part of which nothing is known is
// said nothing of.
func PartText(p *part.Part) message.Message {
	var printed message.Message
	if p.Text != "" {
		printed = message.Text("“" + p.Text + "”")
	}
	return inARow(message.Text(strings.Join(figures(p), " ")), bipolar(p), kind(p), printed)
}

// inARow sets side by side what there is to say.
func inARow(ms ...message.Message) message.Message {
	return message.Words(slices.DeleteFunc(ms, message.Message.IsZero)).Say()
}

// unless is the text alone, or nothing where there is none.
func unless(none bool, text string) []string {
	if none {
		return nil
	}
	return []string{text}
}

// figures are what is the same in every language.
func figures(p *part.Part) []string {
	ws := append(unless(p.Value.IsZero(), p.Value.String()), unless(p.Tolerance.IsZero(), p.Tolerance.String())...)
	return append(ws, ratings(p)...)
}

func ratings(p *part.Part) (ws []string) {
	for _, q := range []quantity.Quantity{p.Voltage, p.Current, p.Power} {
		ws = append(ws, unless(q.IsZero(), q.String())...)
	}
	for _, s := range []string{p.SafetyClass, p.Chemistry} {
		ws = append(ws, unless(s == "", s)...)
	}
	return ws
}

func bipolar(p *part.Part) message.Message {
	if p.Polarised != nil && !*p.Polarised && p.Class == part.Capacitor {
		return message.Word("polarity", "bipolar")
	}
	return message.Message{}
}

// kind is what a part is made of, or its class.
func kind(p *part.Part) message.Message {
	switch {
	case p.Class == part.Capacitor && p.Construction != "":
		return message.Word("construction", p.Construction)
	case p.Class == part.Other:
		return message.Message{}
	}
	return message.Word("class", p.Class)
}
