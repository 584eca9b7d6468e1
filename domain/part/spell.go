package part

import (
	"strings"
	"sync"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// String spells the part on one line that Read reads back as the same part, as
// long as the members are those of its class; "x-…" members are left out. What
// Read would not take from a bare word stands in double quotes.
func (p Part) String() string { return p.spelled() }

func (p *Part) spelled() string {
	room := rooms.Get().(*[]byte)
	defer rooms.Put(room)
	*room = p.appendTo((*room)[:0])
	return string(*room)
}

// rooms to spell in are used again, since most of what is read is spelled.
var rooms = sync.Pool{New: func() any { return new([]byte) }}

func (p *Part) appendTo(b []byte) []byte {
	for i := range Members {
		switch m := &Members[i]; {
		case !m.is(p):
		case m.spell != nil:
			b = m.spell(b, p)
		default:
			b = appendLabelled(b, "", m.text(p))
		}
	}
	return b
}

// Said is the part on one line as people of each language read it: as String, with
// the words of closed sets in their language.
func (p *Part) Said() message.Message {
	var words []message.Message
	for i := range Members {
		switch m := &Members[i]; {
		case !m.is(p):
		case m.Name == "class":
			words = append(words, message.Word("class", p.Class))
		case m.Name == "construction" && p.Class == Capacitor:
			words = append(words, message.Word("construction", p.Construction))
		case m.Name == "polarised":
			words = append(words, message.Word("polarity", m.text(p)))
		case m.Name == "rechargeable":
			words = append(words, message.Word("charge", m.text(p)))
		case m.spell != nil:
			words = append(words, message.Text(string(m.spell(nil, p))))
		default:
			words = append(words, message.Text(m.text(p)))
		}
	}
	return message.Words(words).Say()
}

func spellClass(b []byte, p *Part) []byte { return appendWords(b, string(p.Class)) }

// after spells a quantity behind a label, without which it would be another.
func after(label string, of func(p *Part) quantity.Quantity) func([]byte, *Part) []byte {
	return func(b []byte, p *Part) []byte { return appendQuantity(b, label, of(p)) }
}

func spellCurrent(b []byte, p *Part) []byte {
	if p.Class == Capacitor {
		return appendQuantity(b, "current", p.Current)
	}
	return appendQuantity(b, "", p.Current)
}

func spellVoltage(b []byte, p *Part) []byte {
	if p.Class == Varistor {
		return appendQuantity(b, "voltage", p.Voltage)
	}
	return appendQuantity(b, "", p.Voltage)
}

func spellBreaking(b []byte, p *Part) []byte {
	return appendLabelled(b, "breaking capacity", p.BreakingCapacity.String())
}

func spellSupply(b []byte, p *Part) []byte { return appendLabelled(b, "", printedSupply(p)) }

func space(b []byte) []byte {
	if len(b) > 0 {
		b = append(b, ' ')
	}
	return b
}

// appendWords appends a name of the vocabulary with blanks for its hyphens.
func appendWords(b []byte, name string) []byte {
	if name == "" {
		return b
	}
	b = space(b)
	for i := range len(name) {
		c := name[i]
		if c == '-' {
			c = ' '
		}
		b = append(b, c)
	}
	return b
}

func appendQuantity(b []byte, label string, q quantity.Quantity) []byte {
	if q.IsZero() {
		return b
	}
	if label != "" {
		b = append(space(b), label...)
	}
	return q.AppendTo(space(b))
}

func appendLabelled(b []byte, label, text string) []byte {
	if text == "" {
		return b
	}
	if label != "" {
		b = append(space(b), label...)
	}
	return append(space(b), text...)
}

// appendQuoted appends a text in double quotes, behind the label of its member.
func appendQuoted(b []byte, label, text string) []byte {
	if label != "" {
		b = append(space(b), label...)
	}
	b = append(space(b), '"')
	b = append(b, strings.ReplaceAll(text, `"`, `""`)...)
	return append(b, '"')
}

func spellConstruction(b []byte, p *Part) []byte {
	words := p.Construction.Words()
	if reading.Says(words, "construction", string(p.Class)) == string(p.Construction) {
		return append(space(b), words...)
	}
	return appendQuoted(b, "construction", string(p.Construction))
}

func spellDielectric(b []byte, p *Part) []byte {
	d := p.Dielectric
	_, code := class2([]byte(strings.ToLower(d)))
	film := reading.FilmOf(d)
	if p.Class == Capacitor && (film != "" && film == string(p.Construction) || d == "C0G" || code &&
		strings.ToUpper(d) == d) {
		return append(space(b), d...)
	}
	return appendQuoted(b, "dielectric", d)
}

func spellSafety(b []byte, p *Part) []byte {
	c := p.SafetyClass
	if p.Class == Capacitor && reading.SafetyLike(string(p.Construction), p.Polarised != nil, p.Voltage, p.Value) &&
		reading.SafetyClass(c) {
		return append(space(b), c...)
	}
	return appendQuoted(b, "safety", c)
}

func spellChemistry(b []byte, p *Part) []byte {
	c := p.Chemistry
	if reading.Says(strings.ReplaceAll(c, "-", " "), "chemistry", string(p.Class)) == c {
		return append(space(b), c...)
	}
	return appendQuoted(b, "chemistry", c)
}

// spellText appends the text bare where it consists of known trade words, is
// the type number of a class without a value, or a cell's code that says
// nothing that the members don't.
func spellText(b []byte, p *Part) []byte {
	switch {
	case p.tradeWords(), p.plainType(), p.plainCell():
		return append(space(b), p.Text...)
	}
	return appendQuoted(b, "", p.Text)
}

// tradeWords reports whether the text is a row of trade words in their canonical
// spelling.
func (p *Part) tradeWords() bool {
	for rest := p.Text; rest != ""; {
		n := tradeWord(rest, string(p.Class))
		if n == 0 || rest[:n] == "AC" && !p.alternates() {
			return false
		}
		rest = strings.TrimPrefix(rest[n:], " ")
	}
	return true
}

// alternates reports whether AC, said bare, is of the part: beside a current it
// would be the current's, and what is no capacitor has a supply.
func (p *Part) alternates() bool {
	return p.Class == Capacitor && p.SafetyClass == "" && p.Current.IsZero() && p.Ripple.IsZero()
}

// tradeWord gives the length of the longest trade word that a text begins with,
// 0 where there is none that Read would keep as it stands.
func tradeWord(text, class string) int {
	end := len(text)
	for range maxWords {
		if said := reading.Says(strings.ReplaceAll(text[:end], "-", " "), "text", class); said != "" {
			if said == text[:end] {
				return end
			}
			return 0
		}
		if end = strings.LastIndexByte(text[:end], ' '); end < 0 {
			return 0
		}
	}
	return 0
}

// maxWords is the most words that a trade word of the text has.
const maxWords = 12

func (p *Part) plainType() bool {
	if _, valued := ValueKind(p.Class); valued || p.Class == "" || p.Class == Other || p.Class == Cell ||
		p.Class == Fuse || len(p.Text) > 20 {
		return false
	}
	for i := range len(p.Text) {
		if c := p.Text[i]; !digit(c) && (c < 'A' || c > 'Z') {
			return false
		}
	}
	class, sure := reading.TypeClass(p.Text)
	return Class(class) == p.Class && sure
}

func (p *Part) plainCell() bool {
	if p.Class != Cell || len(p.Text) > 16 || strings.ToUpper(p.Text) != p.Text || strings.ContainsAny(p.Text, "- ") {
		return false
	}
	chemistry, rechargeable, ok := reading.Cell(p.Text)
	return ok && p.Chemistry == chemistry && p.Rechargeable != nil && *p.Rechargeable == rechargeable &&
		!p.Voltage.IsZero()
}
