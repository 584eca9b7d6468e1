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

// words holds every sentence that a drawing writes, so that another language
// can be put in one place.
var words = struct {
	replace, inspect, leave, negative, unsure, guessed, marked     string
	bipolar, zone                                                  string
	old, fresh, same                                               string
	name, side, equipment, board, scale, revision, variant, digest string
	date, licence, frame, changes, changesTitle                    string
	top, bottom, bottomTitle, topTitle, draft, base, unknown       string
	signs                                                          [Lost + 1]string
	basis                                                          map[string]string
}{
	bipolar: "bipolar", zone: "Zone", replace: "replace", inspect: "inspect", leave: "leave", negative: "filled end: negative lead",
	unsure: "polarity not recorded", guessed: "dashed: size not recorded", marked: "marked",
	old: "before", fresh: "after", same: "unchanged",
	name: "NAME", side: "SIDE", equipment: "EQUIPMENT", board: "BOARD", scale: "SCALE", revision: "REVISION",
	variant: "VARIANT", digest: "DIGEST", date: "DATE", licence: "LICENCE", frame: "COORDINATES",
	changes: "CHANGES", changesTitle: "changes,",
	top: "TOP SIDE, seen from the top", bottom: "BOTTOM SIDE, turned over left to right",
	topTitle: "top side, seen from the top", bottomTitle: "bottom side, turned over left to right",
	draft: "not released", base: "base", unknown: "not stated",
	signs: [...]string{Good: "suits", Doubt: "look before fitting", Bad: "do not fit", Empty: "no part for it",
		Hazard: "hazardous change", Altered: "changed", Minor: "editorial change", Gained: "added", Lost: "removed"},
	basis: map[string]string{"measured": "measured", "design-data": "from design data", "photograph": "from a photograph"},
}

// title is what the title block and the text alternative say.
type title struct {
	title, desc string
	rows        [][]cell
}

func boardWords(m *board.Map, o Options, count int) title {
	t := title{title: join(" ", m.Name, "("+m.Board+"),", sideTitle(o.Side))}
	t.desc = "Drawing of " + strconv.Itoa(count) + " positions to scale. The list of positions says the same in words."
	rev := words.draft
	if o.Revision > 0 {
		rev = strconv.Itoa(o.Revision)
	}
	t.rows = [][]cell{
		{{share: .47, caption: words.name, text: m.Name, big: true}, {share: .53, caption: words.side, text: sideText(o.Side), big: true}},
		bodyRow(m),
		{
			{share: .13, caption: words.revision, text: rev},
			{share: .17, caption: words.variant, text: or(o.Variant, words.base)},
			{share: .17, caption: words.digest, text: or(short(o.Digest), words.unknown)},
			{share: .14, caption: words.date, text: or(o.Date, words.unknown)},
			{share: .14, caption: words.licence, text: or(m.Licence, "CC0-1.0")},
			{share: .25, caption: words.frame, text: frameText(&m.Frame)},
		},
	}
	return t
}

func bodyRow(m *board.Map) []cell {
	return []cell{
		{share: .34, caption: words.equipment, text: join(" ", m.Equipment.Maker, m.Equipment.Model)},
		{share: .36, caption: words.board, text: join("  ", m.Board, strings.Join(m.Markings, ", "))},
		{share: .30, caption: words.scale, bar: true},
	}
}

func sideText(side board.Side) string {
	if side == board.Bottom {
		return words.bottom
	}
	return words.top
}

func sideTitle(side board.Side) string {
	if side == board.Bottom {
		return words.bottomTitle
	}
	return words.topTitle
}

func frameText(f *board.Frame) string {
	t := or(words.basis[f.Basis], f.Basis)
	if f.Uncertainty != nil {
		t += ", ±" + millimetres(*f.Uncertainty)
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
func positionText(p *board.Position) string {
	t := join(": ", p.Designator, PartText(&p.Part))
	if p.Replacement != nil {
		t += ", fit " + PartText(&p.Replacement.Part)
	}
	if p.Service != "" {
		t += ", " + string(p.Service)
	}
	if p.Negative == nil && Unsure(p) {
		t += ", " + words.unsure
	}
	return t
}

// PartBrief says what tells a part from its neighbours on the board: value,
// ratings and what is peculiar about it.
func PartBrief(p *part.Part) string {
	if p.Value.IsZero() && p.Current.IsZero() {
		return PartText(p)
	}
	ws := append(unless(p.Value.IsZero(), p.Value.String()), ratings(p)...)
	ws = append(ws, unless(!isBipolar(p), words.bipolar)...)
	switch p.Class {
	case part.Capacitor:
		if strings.HasPrefix(string(p.Construction), "tantalum") {
			ws = append(ws, p.Construction.Words())
		}
	case part.Resistor, part.Inductor:
	default:
		ws = append(ws, p.Class.Words())
	}
	return strings.Join(ws, " ")
}

// PartText says in a few words what a part is: value, tolerance, ratings, what
// it is made of, what is printed on it.
func PartText(p *part.Part) string {
	ws := append(figures(p), unless(!isBipolar(p), words.bipolar)...)
	ws = append(ws, unless(kindText(p) == "", kindText(p))...)
	return strings.Join(append(ws, unless(p.Text == "", "“"+p.Text+"”")...), " ")
}

// PartSaid is PartText in the reader's language.
func PartSaid(p *part.Part) message.Message {
	ws := []message.Message{message.Text(strings.Join(figures(p), " "))}
	if isBipolar(p) {
		ws = append(ws, message.Word("polarity", "bipolar"))
	}
	switch {
	case kindText(p) == "":
	case p.Class == part.Capacitor && p.Construction != "":
		ws = append(ws, message.Word("construction", p.Construction))
	default:
		ws = append(ws, message.Word("class", p.Class))
	}
	if p.Text != "" {
		ws = append(ws, message.Text("“"+p.Text+"”"))
	}
	return message.Words(slices.DeleteFunc(ws, message.Message.IsZero)).Say()
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

func isBipolar(p *part.Part) bool {
	return p.Polarised != nil && !*p.Polarised && p.Class == part.Capacitor
}

func kindText(p *part.Part) string {
	switch {
	case p.Class == part.Capacitor && p.Construction != "":
		return p.Construction.Words()
	case p.Class == part.Other:
		return ""
	}
	return p.Class.Words()
}
