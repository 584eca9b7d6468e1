package reading

import (
	"slices"
	"strings"
	"unicode"
)

// sure reports whether what was read may be taken as it stands: one reading, without a doubt, and nothing left over
// that could turn it round.
func (p *partReader) sure(t *Text) bool {
	if len(t.Readings) != 1 || len(t.Readings[0].Doubts) > 0 || p.turned || p.about || p.bad != 0 || p.bounded() {
		return false
	}
	delicate, harmless := p.delicate(), true
	p.eachLeft(func(i, j int) {
		if i >= p.named && !p.harmless(i, j, delicate) {
			harmless = false
		}
	})
	return harmless
}

// bounded reports whether a sign says that a figure is the least or the most: ≥ 16 V, < 5 mm, 16 V+.
func (p *partReader) bounded() bool {
	for k := range p.atoms {
		if p.atoms[k].sort != sign {
			continue
		}
		switch p.printOf(k) {
		case "<", ">", "≤", "≥":
			return true
		case "+":
			if p.touches(k) && (k+1 == len(p.atoms) || p.atoms[k+1].gap) && p.atoms[k-1].sort != sign {
				return true
			}
		}
	}
	return false
}

// unanswered finds an answer that is left open or taken back: an empty box, a dash behind a colon, the bracket of a note
// that stands against a figure.
func (r *reader) unanswered() (i, j int, found bool) {
	open := 0
	for k := range r.atoms {
		if r.atoms[k].sort != sign {
			continue
		}
		switch r.printOf(k) {
		case "[", "(", "{":
			if r.isSign(k+1, ']') || r.isSign(k+1, ')') || r.isSign(k+1, '}') {
				return k, k + 2, true
			}
			open++
		case "]", "}", ")":
			if open--; open < 0 && r.touches(k) && r.isFigures(k-1) && r.glued(k-1) {
				return k - 1, k + 1, true // 2A1)
			}
		case ":", "=":
			if r.isSign(k+1, '-') && (k+2 == len(r.atoms) || r.atoms[k+2].gap) {
				return k, k + 2, true
			}
		}
	}
	return 0, 0, false
}

// delicate reports whether a word that nobody knows could turn round what the part is: on safety parts, fuses and
// cells, and beside a yes-or-no term.
func (p *partReader) delicate() bool {
	return p.of == fuseClass || p.of == cellClass || p.members["safety_class"] != "" || p.members["polarised"] != "" ||
		p.members["rechargeable"] != "" ||
		p.members["construction"] == "fusible" || p.of&typed == 0 && len(p.texts) > 0 || p.has("not")
}

// longestSeries is the most letters that a maker's series has.
const longestSeries = 6

// harmless reports whether what is left over says nothing that could matter: what is shaped like a type or series
// number, and a name. A figure, a unit, or a plain word that no lexicon knows may matter.
func (p *partReader) harmless(i, j int, delicate bool) bool {
	first := p.casedOf(i)
	switch {
	case p.hasFigures(i, j):
		return p.typeShaped(i, j) && !p.beginsAt(i, actOrder, actCell)
	case delicate, p.atoms[i].script != latin, p.knownWord(i), p.beginsTurning(i):
		return false
	case strings.ToUpper(string(first)) == string(first):
		return len(first) <= longestSeries && len(first) > 1
	}
	r := []rune(string(first))
	return unicode.IsUpper(r[0]) && len(r) > 3
}

// knownWord reports whether a stretch is a word that the lexicon has, which was left over because it means nothing for the
// class or lacks what it names: that is no name.
func (p *partReader) knownWord(i int) bool {
	return known(p.lowOf(i)) || slices.ContainsFunc(p.spansAt(i), func(s span) bool { return s.row != nil })
}

// beginsTurning reports whether a word is a compound of one that turns things round, such as Ersatztyp.
func (p *partReader) beginsTurning(i int) bool {
	const shortest = 5
	low := p.lowOf(i)
	for n := shortest; n < len(low); n++ {
		if e := lexicon[string(low[:n])]; e != nil && e.acts&actsOf(actNot, actWas, actLike) != 0 {
			return true
		}
	}
	return false
}

// typeShaped recognises a type or series number: two capital letters or more, then figures and capitals.
func (p *partReader) typeShaped(i, j int) bool {
	text := p.source(i, j)
	letters := 0
	for letters < len(text) && text[letters] >= 'A' && text[letters] <= 'Z' {
		letters++
	}
	for k := range len(text) {
		if c := text[k]; !(c >= 'A' && c <= 'Z' || digit(c) || c == '-' || c == '.') {
			return false
		}
	}
	return letters >= 2
}
