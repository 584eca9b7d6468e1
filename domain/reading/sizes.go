package reading

import (
	"math"

	"boardlore/domain/quantity"
)

// maxLength is the longest body that is believed, in mm.
const maxLength = 2000

// lengthAt reads a number with the mm or the inch sign behind it, if there is one, from atom k on.
func (r *reader) lengthAt(k int) (mm float64, end int, ok bool) {
	w, ok := r.numberAt(k)
	if !ok || w.num.n > 1 {
		return 0, k, false
	}
	if w.den != 0 {
		return float64(w.top) / float64(w.den) * 25.4, w.j, true // only inches are written so
	}
	mm = lengthOf(w.num.value())
	end = w.j
	switch {
	case r.isWord(end, "mm"):
		end++
	case r.isSign(end, '"') && r.touches(end):
		mm, end = round3(mm*25.4), end+1
	}
	return mm, end, mm > 0
}

func lengthOf(d decimalNumber) float64 {
	mm := round3(float64(d.coef) * math.Pow10(d.exp))
	if mm > maxLength {
		return 0
	}
	return mm
}

func round3(f float64) float64 { return math.Round(f*1000) / 1000 }

// times passes over the x between two lengths, which the letter of an axis may follow.
func (r *reader) times(k int) (next int, ok bool) {
	if r.isSign(k, '×') || r.isWord(k, "x") {
		return k + 1, true
	}
	if r.isLetters(k) {
		if low := r.lowOf(k); len(low) == 2 && low[0] == 'x' && axis(low[1]) {
			return k + 1, true
		}
	}
	return k, false
}

func axis(c byte) bool { return c == 'd' || c == 'l' || c == 'h' || c == 'w' || c == 'b' }

// sizeAt reads two or three lengths parted by x from atom i on: 5x11, 10 x 12.5 mm, ø5x11, D8 x L12, 8mm x 12mm.
func (r *reader) sizeAt(i int) (s span, ok bool) {
	s = span{i: i, act: actSize}
	k := i
	for s.n < 3 {
		k = r.overAxis(k)
		mm, end, ok := r.lengthAt(k)
		if !ok {
			return s, false
		}
		s.mm[s.n] = mm
		s.n++
		if k = end; r.isSign(k, 'ø') || r.isWord(k, "diameter", "diam", "dia", "durchmesser") {
			k++
		}
		next, times := r.times(k)
		if s.n == 3 || !times || !r.lengthNext(next) {
			break
		}
		k = next
	}
	if s.n < 2 || r.glued(k) || r.unitFollows(k) {
		return s, false
	}
	s.j = k
	return s, true
}

// lengthNext reports whether a length stands at atom k, perhaps behind the letter of an axis; and no X2 of a class.
func (r *reader) lengthNext(k int) bool {
	if r.isWord(k-1, "x") && r.atoms[k-1].gap && r.isFigures(k) && r.touches(k) && len(r.codeOf(k)) == 1 &&
		r.codeOf(k)[0] <= '3' {
		return false
	}
	return r.isFigures(r.overAxis(k))
}

// overAxis passes over the sign or letter of a dimension that stands before a number.
func (r *reader) overAxis(k int) int {
	if r.isSign(k, 'ø') && r.isFigures(k+1) || r.isLetters(k) && len(r.lowOf(k)) == 1 && axis(r.lowOf(k)[0]) &&
		r.isFigures(k+1) {
		return k + 1
	}
	return k
}

// unitFollows reports whether the word at atom k makes a quantity of the number before it, as in 7 x 47 µF.
func (r *reader) unitFollows(k int) bool {
	if !r.isLetters(k) || r.isSign(k+1, '=') || !r.isFigures(k-1) || r.isFigures(k+1) && r.glued(k+1) {
		return r.isSign(k, '%') || r.isSign(k, '-') && r.touches(k) && r.isFigures(k+1) && r.touches(k+1) ||
			r.isSign(k, '/') && r.touches(k) && r.isFigures(k+1) && r.touches(k+1)
	}
	w := r.codeOf(k)
	u, ok := lookUnit(w)
	if ok && u.unit != quantity.Millimetre && u.unit != quantity.Hour && !(u.unit == quantity.Henry && len(w) == 1) {
		return true
	}
	return r.isWord(k, "u", "n", "p", "k", "r", "mfd", "meg")
}

// sizes notes lengths: of a body, or one with the letter or word that names it.
func (r *reader) sizes(i int) {
	switch {
	case r.glued(i) && !(r.isFigures(i-1) && r.isWord(i, "x")):
		return
	case r.isFigures(i), r.overAxis(i) != i:
		if s, ok := r.sizeAt(i); ok {
			s.lean = 2
			r.add(s)
		}
	}
	if label, k, ok := r.lengthLabel(i); ok {
		r.lengthBehind(label, i, k)
		return
	}
	r.lengthBefore(i)
}

// gluedLabels are the letters that stand against the length that they name.
var gluedLabels = map[string]string{"raster": "pitch", "pitch": "pitch", "pas": "pitch", "rm": "pitch", "ls": "pitch",
	"p":   "pitch",
	"dia": "diameter", "d": "diameter", "l": "length", "w": "width", "b": "width", "h": "height"}

// lengthLabel gives the label of a length that begins at atom i, and the atom of its number.
func (r *reader) lengthLabel(i int) (label string, k int, ok bool) {
	if r.isSign(i, 'ø') && r.isFigures(i+1) {
		return "diameter", i + 1, true
	}
	if !r.isLetters(i) {
		return "", i, false
	}
	if label, ok = gluedLabels[string(r.lowOf(i))]; ok && r.isFigures(i+1) && r.glued(i+1) {
		return label, i + 1, true
	}
	if label, k = r.lengthWord(i); label == "" {
		return "", i, false
	}
	for r.isSign(k, '=') || r.isSign(k, ':') || r.isSign(k, '.') || r.isWord(k, "max", "de", "of", "von", "typ",
		"min") && r.isFigures(k+1) {
		k++
	}
	return label, k, r.isFigures(k) || r.isSign(k, 'ø') && r.isFigures(k+1)
}

// lengthWord is the longest label of a length that begins at atom i, and the atom behind it.
func (r *reader) lengthWord(i int) (label string, j int) {
	for _, h := range r.heardAt(i) {
		if w := h.e.first(actLabel); w != nil && lengthName(w.value) {
			label, j = w.value, h.j
		}
	}
	return label, j
}

// exactLength is the length in atoms k to before end as a quantity.
func (r *reader) exactLength(k, end int) quantity.Quantity {
	w, ok := r.numberAt(k)
	u := unitWord{unit: quantity.Millimetre, n: 1}
	if r.isSign(end-1, '"') || w.den != 0 {
		u = unitWords["\""]
	}
	one := span{}
	if !ok || !r.fill(&one, &w, u) {
		return quantity.Quantity{}
	}
	return one.q[0]
}

func lengthName(label string) bool {
	switch label {
	case "pitch", "diameter", "length", "width", "height", "shaft":
		return true
	}
	return false
}

// lengthBehind notes the length that a label from atom i on names: RM 5, pitch 3.5, Höhe 12 mm, ø8.
func (r *reader) lengthBehind(label string, i, k int) {
	if r.isSign(k, 'ø') {
		k++
	}
	mm, end, ok := r.lengthAt(k)
	if !ok || r.glued(end) || r.unitFollows(end) {
		return
	}
	if next, times := r.times(end); times && r.lengthNext(next) {
		return // the first of several
	}
	single := r.isLetters(i) && len(r.lowOf(i)) == 1
	millimetres := r.isWord(end-1, "mm")
	apart := r.atoms[k].gap && !r.isSign(k-1, '=') && !r.isSign(k-1, ':')
	if single && label != "pitch" && !millimetres && apart {
		return // a letter alone is mostly something else
	}
	s := span{i: i, j: end, act: actLength, label: label, n: 1, lean: 2}
	s.mm[0], s.q[0] = mm, r.exactLength(k, end)
	if single && !millimetres && !r.isSign(k-1, '=') && !r.isSign(k-1, ':') {
		s.sure = false
		if !r.besideLength(i, end) && !(label == "pitch" && apart) {
			return // a designator, as far as anybody knows
		}
	}
	r.add(s)
}

// besideLength reports whether another dimension stands beside the one in atoms i to before j: D8 L12.
func (r *reader) besideLength(i, j int) bool {
	letter := func(k int) bool {
		return r.isLetters(k) && gluedLabels[string(r.lowOf(k))] != "" && r.isFigures(k+1) && !r.atoms[k+1].gap
	}
	if letter(j) || r.isSign(j, ',') && letter(j+1) || r.isSign(j, '_') && letter(j+1) {
		return true
	}
	k := i - 1
	for k > 0 && !r.isFigures(k) && i-k < 3 {
		k--
	}
	return r.isFigures(k) && letter(k-1)
}

// lengthBefore notes a length that a label follows: 5 mm pitch, 12 mm hoch.
func (r *reader) lengthBefore(i int) {
	if !r.isFigures(i) || r.glued(i) {
		return
	}
	mm, end, ok := r.lengthAt(i)
	if !ok || !r.isWord(end-1, "mm") {
		return
	}
	label, j := r.lengthWord(end)
	if label == "" || label != "diameter" && (r.isFigures(j) && !r.unitFollows(j+1)) || r.isSign(j, '=') {
		return // the label names what follows it
	}
	s := span{i: i, j: j, act: actLength, label: label, n: 1, lean: 2}
	s.mm[0], s.q[0] = mm, r.exactLength(i, end)
	r.add(s)
}
