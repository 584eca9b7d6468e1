package part

import (
	"strings"

	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// String spells the part on one line that Read reads back as the same part, as
// long as the members are those of its class; "x-…" members are left out. What
// Read would not take from a bare word stands in double quotes.
func (p Part) String() string {
	var room [160]byte
	return string(p.appendTo(room[:0]))
}

func (p *Part) appendTo(b []byte) []byte {
	b = appendWords(b, string(p.Class))
	b = p.appendConstruction(b)
	b = appendQuantity(b, "", p.Value)
	if !p.Tolerance.IsZero() {
		b = p.Tolerance.AppendTo(space(b))
	}
	voltage, current := "", ""
	if p.Class == Varistor {
		voltage = "voltage"
	}
	if p.Class == Capacitor {
		current = "current"
	}
	if p.FuseSpeed != "" {
		b = append(space(b), p.FuseSpeed...)
	}
	b = appendQuantity(b, current, p.Current)
	b = appendQuantity(b, voltage, p.Voltage)
	b = appendLabelled(b, "breaking capacity", p.BreakingCapacity.String())
	b = appendLabelled(b, "", strings.ToUpper(string(p.Supply)))
	b = appendQuantity(b, "", p.Power)
	b = appendQuantity(b, "", p.TemperatureMax)
	b = appendQuantity(b, "", p.Endurance)
	b = appendQuantity(b, "ESR", p.ESRMax)
	b = appendQuantity(b, "ripple", p.Ripple)
	b = appendQuantity(b, "load", p.LoadCapacitance)
	b = appendLabelled(b, "", p.Windings.String())
	b = p.appendNames(b)
	if p.Polarised != nil {
		b = appendChoice(b, *p.Polarised, "polarised", "bipolar")
	}
	if p.Rechargeable != nil {
		b = appendChoice(b, *p.Rechargeable, "rechargeable", "primary")
	}
	return p.appendText(b)
}

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

func appendChoice(b []byte, v bool, yes, no string) []byte {
	if v {
		return append(space(b), yes...)
	}
	return append(space(b), no...)
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

func (p *Part) appendConstruction(b []byte) []byte {
	if p.Construction == "" {
		return b
	}
	words := p.Construction.Words()
	if reading.Says(words, "construction", string(p.Class)) == string(p.Construction) {
		return append(space(b), words...)
	}
	return appendQuoted(b, "construction", string(p.Construction))
}

func (p *Part) appendNames(b []byte) []byte {
	if d := p.Dielectric; d != "" {
		_, code := class2([]byte(strings.ToLower(d)))
		film := reading.FilmOf(d)
		switch {
		case p.Class == Capacitor && (film != "" && film == string(p.Construction) || d == "C0G" || code && strings.ToUpper(d) == d):
			b = append(space(b), d...)
		default:
			b = appendQuoted(b, "dielectric", d)
		}
	}
	if c := p.SafetyClass; c != "" {
		if p.Class == Capacitor && reading.SafetyLike(string(p.Construction), p.Polarised != nil, p.Voltage, p.Value) && reading.SafetyClass(c) {
			b = append(space(b), c...)
		} else {
			b = appendQuoted(b, "safety", c)
		}
	}
	if c := p.Chemistry; c != "" {
		if reading.Says(strings.ReplaceAll(c, "-", " "), "chemistry", string(p.Class)) == c {
			b = append(space(b), c...)
		} else {
			b = appendQuoted(b, "chemistry", c)
		}
	}
	return b
}

// appendText appends the text bare where it consists of known trade words, is
// the type number of a class without a value, or a cell's code that says
// nothing that the members don't.
func (p *Part) appendText(b []byte) []byte {
	switch {
	case p.Text == "":
		return b
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
		if n == 0 || rest[:n] == "AC" && (p.Class != Capacitor || p.SafetyClass != "") {
			return false
		}
		rest = strings.TrimPrefix(rest[n:], " ")
	}
	return true
}

// tradeWord gives the length of the longest trade word that a text begins with,
// 0 where there is none that Read would keep as it stands.
func tradeWord(text, class string) int {
	end := len(text)
	for range mostWords {
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

// mostWords is the most words that a trade word of the text has.
const mostWords = 12

func (p *Part) plainType() bool {
	if _, valued := ValueKind(p.Class); valued || p.Class == "" || p.Class == Other || p.Class == Cell || p.Class == Fuse || len(p.Text) > 20 {
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
	return ok && p.Chemistry == chemistry && p.Rechargeable != nil && *p.Rechargeable == rechargeable && !p.Voltage.IsZero()
}
