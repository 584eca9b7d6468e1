package reading

import (
	"bytes"
	"slices"
	"strings"

	"boardlore/domain/quantity"
)

// maxCount is the largest number of parts that is believed.
const maxCount = 99999

// countAt reads a whole number of parts.
func (r *reader) countAt(k int) (n int, ok bool) {
	if !r.isFigures(k) {
		return 0, false
	}
	for _, c := range r.codeOf(k) {
		if c < '0' || c > '9' || n > maxCount {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, n > 0 && n <= maxCount
}

// countWord gives the atom behind the word for pieces that begins at atom k.
func (r *reader) countWord(k int) (end int, ok bool) {
	if r.isSign(k, '×') {
		return k + 1, true
	}
	if !r.isLetters(k) {
		return k, false
	}
	for _, h := range r.heardAt(k) {
		if h.e.acts.has(actCount) && !r.glued(h.j) {
			end, ok = h.j, true
		}
	}
	if !ok && r.isWord(k, "x") {
		return k + 1, true // against a number: 2x470
	}
	return end, ok
}

// counts notes how many parts there are: 4 x, 10 pcs, (4), 2x470uF, x4, qty 4, and a bare number at the head.
func (r *reader) counts(i int) {
	r.countLabel(i)
	r.price(i)
	n, ok := r.countAt(i)
	switch {
	case !ok:
		r.countBehindX(i)
		return
	case r.glued(i), r.negative(i), r.signedTwice(i):
		return
	}
	end, word := r.countWord(i + 1)
	switch {
	case word && r.cross(i+1):
		r.countCross(i, n, end)
	case word:
		if end < len(r.atoms) || i > 0 {
			r.counted(n, i, end, 1)
		}
	case r.isSign(i-1, '(') && r.isSign(i+1, ')') && len(r.atoms) > 3:
		r.counted(n, i, i+1, 1)
	case i == r.named:
		r.countBare(i, n)
	}
	if p := i - 1; p >= 0 && r.isWord(p, "of", "de", "da", "a") && r.packBefore(p) {
		r.counted(n, i, i+1, 1)
	}
}

// packBefore reports whether a word for a pack stands before atom p: bag of 10.
func (r *reader) packBefore(p int) bool {
	return r.isWord(p-1, "bag", "pack", "set", "box", "lot", "sachet", "beutel", "bolsa", "confezione", "reel")
}

func (r *reader) counted(n, i, j, lean int) {
	if w, ok := r.numberAt(j); ok {
		if u, _, ok := r.unitAt(w.j); ok && u.unit == quantity.Volt { // windings of a transformer, poles of a relay
			r.add(span{i: i, j: j, act: actQuantity, count: n, lean: lean, rule: "count",
				holds: anyOfThem &^ transformerClass})
			r.windingsBehind("secondary", i, i)
			return
		}
	}
	r.add(span{i: i, j: j, act: actQuantity, count: n, lean: lean, rule: "count"})
}

// cross reports whether a count word is the sign of multiplication.
func (r *reader) cross(k int) bool { return r.isSign(k, '×') || r.isWord(k, "x") }

// countCross notes 4 x at the head and 4x at the end, and what is no size between.
func (r *reader) countCross(i, n, end int) {
	switch {
	case end == len(r.atoms):
		if i > r.named {
			r.counted(n, i, end, 1)
		}
	case i == r.named && !r.bodyAt(i), r.bracketed(i):
		r.counted(n, i, end, 1)
	case n <= 4 && r.isSign(i-1, '/'):
		r.windingsBehind("secondary", i, i) // 230 V / 2x12 V
	case i > r.named && r.onlyPlainBefore(i) && !r.bodyAt(i):
		from := len(r.spans)
		r.counted(n, i, end, 1)
		for k := from; k < len(r.spans) && r.classBefore(i); k++ {
			r.spans[k].doubts = say("reading.count-or-sections", r.source(i, end))
		}
	}
}

// classBefore reports whether a word for a class stands before atom i: a double choke is one part.
func (r *reader) classBefore(i int) bool {
	for k := r.named; k < i; k++ {
		if slices.ContainsFunc(r.spansAt(k), func(s span) bool { return s.act != actPlain && s.row != nil }) {
			return true
		}
	}
	return false
}

func (r *reader) bracketed(i int) bool { return r.isSign(i-1, '(') && r.isSign(i+2, ')') }

// onlyPlainBefore reports whether words that say nothing are all that stands before atom i.
func (r *reader) onlyPlainBefore(i int) bool {
	for k := r.named; k < i; k++ {
		if r.isFigures(k) || r.isLetters(k) && !r.beginsAt(k, actPlain, actClass, actElectrolytic, actConstruction) {
			return false
		}
	}
	return true
}

// countBehindX notes x4, x 4 and ×4 at the end, and x4 at the head. A small or capital x and 1 to 3 may be a class of
// safety, which the solver settles.
func (r *reader) countBehindX(i int) {
	if !r.cross(i) || r.glued(i) && !r.isSign(i, '×') {
		return
	}
	n, ok := r.countAt(i + 1)
	end := i + 2
	if !ok || r.glued(end) && r.atoms[end].script != ideographic {
		return
	}
	if e, word := r.countWord(end); word && !r.cross(end) {
		end = e
	}
	last := end == len(r.atoms) || end == len(r.atoms)-1 && r.atoms[end].sort == sign
	switch {
	case last && i > 0 && !(r.isFigures(i-1) && r.atoms[i+1].gap && r.isLength(i-1)):
		s := span{i: i, j: end, act: actQuantity, count: n, lean: 1, rule: "count"}
		if r.isWord(i, "x") && r.glued(i+1) && n <= 3 && end == i+2 {
			s.holds = anyOfThem &^ capacitorClass
		}
		r.add(s)
	case i == 0 && r.glued(i+1) && n > 3:
		r.counted(n, i, end, 1)
	}
}

// isLength reports whether a bare number before an x may be the length of a body: the 5 x 11 of an outside.
func (r *reader) isLength(k int) bool { return !r.glued(k) }

// countLabel notes qty 4, Menge: 3.
func (r *reader) countLabel(i int) {
	if !r.isLetters(i) || r.glued(i) {
		return
	}
	for _, h := range r.heardAt(i) {
		w, j := h.e.first(actLabel), h.j
		if w == nil || w.value != "count" {
			continue
		}
		for r.isSign(j, ':') || r.isSign(j, '=') || r.isSign(j, '.') {
			j++
		}
		if n, ok := r.countAt(j); ok && !r.glued(j+1) {
			r.counted(n, i, j+1, 3)
		}
	}
}

// The bodies that are likelier than a count before a number without unit, mm.
const (
	thinnestBody  = 3
	longestBody   = 130
	thinBody      = 4.5 // up to this diameter bodies are no longer than
	longestOfThin = 13
)

// bodyAt reports whether lengths begin at atom i that a body may well have.
func (r *reader) bodyAt(i int) bool {
	s, ok := r.sizeAt(i)
	if !ok {
		return false
	}
	d, l := s.mm[0], s.mm[1]
	return s.n == 3 || d >= thinnestBody && l >= d/2 && l <= longestBody && (d > thinBody || l <= longestOfThin)
}

// countBare takes a whole number at the head for a count where what follows is sure to be the part: 4 47µF 25V.
func (r *reader) countBare(i, n int) {
	if n > 999 || i+1 >= len(r.atoms) || !r.atoms[i+1].gap || r.isSign(i+1, '/') || !r.partAt(i+1) {
		return
	}
	s := span{i: i, j: i + 1, act: actQuantity, count: n, lean: -2, rule: "leading count"}
	if n < 100 && r.isLetters(i+1) && r.valueBehind(i+2) {
		r.add(s) // 4 Elkos 470 µF: the value stands by itself
		return
	}
	s.doubts = say("reading.count-at-head", r.source(i, i+1))
	r.add(s)
}

// valueBehind reports whether a number with the unit of a value, or of what a fuse or a cell is named by, or a type
// number stands at atom k or behind it.
func (r *reader) valueBehind(k int) bool {
	for ; k < len(r.atoms); k++ {
		if w, ok := r.numberAt(k); ok {
			if u, _, ok := r.unitOf(&w); ok && (valueUnit(u.unit) || u.unit == quantity.Ampere ||
				u.unit == quantity.Volt) {
				return true
			}
		}
		if r.atoms[k].sort != sign && r.typeNumber(k, r.runEnd(k)) {
			return true
		}
	}
	return false
}

// typeNumber reports whether a run is long enough for a type number and has letters and figures.
func (r *reader) typeNumber(i, j int) bool {
	const shortest = 5
	low := r.runLow(i, j)
	letters := bytes.ContainsFunc(low, func(c rune) bool { return c >= 'a' && c <= 'z' })
	return len(low) >= shortest && letters && r.hasFigures(i, j)
}

// partAt reports whether atoms from k on name a part by themselves.
func (r *reader) partAt(k int) bool {
	if w, ok := r.numberAt(k); ok && !r.groupHead(k) {
		if u, _, ok := r.unitOf(&w); ok {
			return valueUnit(u.unit)
		}
		if r.isWord(w.j, "u", "n", "p") && r.glued(w.j) {
			return true
		}
	}
	if r.isFigures(k) {
		class, sure := typeClass(r.runLow(k, r.runEnd(k)))
		return class != "" && sure
	}
	found := false
	if r.isLetters(k) {
		for _, h := range r.heardAt(k) {
			found = found || h.e.acts&actsOf(actClass, actConstruction, actElectrolytic, actFusible) != 0
		}
		low := r.runLow(k, r.runEnd(k))
		_, cell := cellOf(low)
		_, typed := typeClass(low)
		found = found || cell || typed
	}
	return found
}

// groupHead reports whether a number is three figures and so perhaps the second group of 1 000 µF.
func (r *reader) groupHead(k int) bool { return r.groupOfThree(k) }

// runLow is a run in lower case.
func (r *reader) runLow(i, j int) []byte { return r.low[r.atoms[i].llo:r.atoms[j-1].lhi] }

// price notes what a part costs, which says nothing about it: 0,35 €, $1.20, EUR 2.
func (r *reader) price(i int) {
	switch {
	case r.isFigures(i) && !r.glued(i) && r.money(i+1):
		r.add(span{i: i, j: i + 2, act: actPrice, lean: 1, rule: "price"})
	case r.isFigures(i+1) && r.money(i):
		r.add(span{i: i, j: i + 2, act: actPrice, lean: 1, rule: "price"})
	case r.isFigures(i) && r.isWord(i+1, "for") && (r.isSign(i+2, '$') || r.isSign(i+2, '€') || r.isSign(i+2, '£')) &&
		r.isFigures(i+3):
		r.add(span{i: i, j: i + 4, act: actPrice, lean: 1, rule: "price"})
	}
}

// money reports whether a sign or a word of a currency stands at atom k.
func (r *reader) money(k int) bool {
	if k >= len(r.atoms) {
		return false
	}
	switch r.atoms[k].sign {
	case '€', '$', '£', '¥':
		return true
	}
	return r.isWord(k, "eur", "usd", "gbp", "euro", "zl", "円", "pln")
}

// designators are the letters that stand before the number in a designator, with the class that they say (ASME Y14.44
// and common practice).
var designators = map[string]string{
	"c": "capacitor", "ce": "capacitor", "ec": "capacitor", "tc": "capacitor", "r": "resistor", "l": "inductor",
	"d": "diode", "zd": "diode",
	"q": "transistor", "t": "", "tr": "transistor", "f": "fuse", "fu": "fuse", "u": "integrated-circuit",
	"ic": "integrated-circuit",
	"bt": "cell", "bat": "cell", "vr": "potentiometer", "rv": "", "p": "", "v": "", "k": "relay", "rl": "relay",
	"y": "crystal", "xtal": "crystal",
	"sw": "switch", "j": "connector", "cn": "connector", "th": "thermistor", "rt": "thermistor", "fb": "inductor",
	"led": "diode", "si": "fuse",
}

// names finds the designators at the head of the line: they name positions and are no value, though they say the
// class.
func (r *reader) names() {
	h := 0
	class, first := "", true
	for h < len(r.atoms) {
		end, of, ok := r.nameAt(h)
		if !ok {
			break
		}
		if first {
			class, first = of, false
		} else if of != class {
			class = ""
		}
		h = end
		for h < len(r.atoms) && r.atoms[h].sort == sign && strings.Contains(",;:=/+&", r.printOf(h)) &&
			!(r.isSign(h, '/') && r.isFigures(h+1)) {
			h++
		}
	}
	if h == 0 || h >= len(r.atoms) || !r.readable(h) {
		return
	}
	r.named, r.designed = h, class
}

// nameAt reads a designator such as C12, C1-C4, C5..8 or R5 at atom i.
func (r *reader) nameAt(i int) (end int, class string, ok bool) {
	if !r.isLetters(i) || r.atoms[i].script != latin {
		return i, "", false
	}
	low := string(r.lowOf(i))
	class, ok = designators[low]
	if !ok || len(r.printOf(i)) != len(low) {
		return i, "", false
	}
	if t, sure := typeClass(r.runLow(i, r.runEnd(i))); sure && t != "" {
		return i, "", false // BAT85
	}
	if !r.isFigures(i+1) || !r.glued(i+1) {
		alone := i == 0 && len(low) == 1 && valuedName(low) && len(r.atoms) > 1 && (r.isFigures(1) && !r.glued(1) ||
			(r.isSign(1, '=') || r.isSign(1, '_')) && r.isFigures(2))
		return i + 1, class, alone
	}
	t := r.codeOf(i + 1)
	if !onlyFigures(t) || len(t) > 4 || t[0] == '0' || r.glued(i+2) || isSafety(r.runLow(i, i+2)) {
		return i, "", false
	}
	end = i + 2
	if r.isSign(end, '-') && r.touches(end) || r.isSign(end, '~') || r.isSign(end, '…') || r.isSign(end, '.') &&
		r.isSign(end+1, '.') {
		k := end
		for r.atomsSign(k) {
			k++
		}
		switch {
		case r.isWord(k, low) && r.isFigures(k+1) && !r.glued(k+2):
			end = k + 2
		case r.isFigures(k) && !r.glued(k+1) && r.touches(k):
			end = k + 1
		default:
			return i, "", false
		}
	}
	if r.dimension(i) {
		return i, "", false
	}
	return end, class, true
}

func (r *reader) atomsSign(k int) bool { return k < len(r.atoms) && r.atoms[k].sort == sign }

// dimension reports whether letter and number are one of several dimensions: D8 L12, D8mm.
func (r *reader) dimension(i int) bool {
	if gluedLabels[string(r.lowOf(i))] == "" {
		return false
	}
	return r.isWord(i+2, "mm") || r.isLetters(i+2) && gluedLabels[string(r.lowOf(i+2))] != "" && r.isFigures(i+3) &&
		r.glued(i+3) && string(r.lowOf(i+2)) != string(r.lowOf(i)) && len(r.lowOf(i)) == 1
}

// valuedName reports whether a designator may also be a value, as R22 and C106 may.
func valuedName(low string) bool { return low[0] == 'r' || low[0] == 'c' || low[0] == 'l' }

// readable reports whether a part may follow the designators: a word with figures or of the lexicon that is no
// dimension, tolerance, power or chip size.
func (r *reader) readable(h int) bool {
	if label := r.isLetters(h) && gluedLabels[string(r.lowOf(h))] != "" && r.isFigures(h+1) && r.glued(h+1); label {
		return false
	}
	something := false
	for k := h; k < len(r.atoms); k = r.runEnd(k) {
		if r.atoms[k].sort == sign || r.atoms[k].sort == quoted {
			continue
		}
		j := r.runEnd(k)
		switch {
		case r.hasFigures(k, j) && !r.lesser(k, j):
			return true
		case r.hasFigures(k, j):
		case known(r.runLow(k, j)) && len(r.runLow(k, j)) > 1:
			something = true
		}
	}
	return something && !valuedName(string(r.lowOf(0)))
}

func (r *reader) hasFigures(i, j int) bool {
	for k := i; k < j; k++ {
		if r.isFigures(k) {
			return true
		}
	}
	return false
}

// lesser reports whether a run is a tolerance, a power, a voltage or a chip size, which don't make a value of a
// designator: R22 1% is a resistance.
func (r *reader) lesser(i, j int) bool {
	low := r.runLow(i, j)
	_, chip := chips[string(low)]
	last := low[len(low)-1]
	return chip || r.isSign(j, '%') || r.isSign(i-1, '±') || valuedName(string(r.lowOf(0))) &&
		(last == 'w' || last == 'v')
}
