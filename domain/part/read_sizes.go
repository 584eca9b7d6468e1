package part

import (
	"bytes"
	"math"
)

// maxLength is the longest body that is believed, in mm.
const maxLength = 2000

// size is what a text says of the outside, in mm: two or three lengths, or one
// that a label names.
type size struct {
	label string // empty for lengths parted by x
	mm    [3]float64
	n     int
	i, j  int
}

// lengthOf makes millimetres of a number; 0 where no body is that long.
func lengthOf(f figures) float64 {
	mm := math.Round(float64(f.coef)*math.Pow10(f.exp)*1000) / 1000
	if mm > maxLength {
		return 0
	}
	return mm
}

// length takes a number and the mm behind it.
func (c *cursor) length() (mm float64, ok bool) {
	f, ok := c.number()
	if !ok {
		return 0, false
	}
	was := *c
	if !c.skip("mm") || !c.ended() && isLetter(c.r.lower(c.k)[c.at]) && !c.r.timesAt(c) {
		*c = was
	}
	mm = lengthOf(f)
	return mm, mm > 0
}

// timesAt reports whether a cursor stands at the x between two lengths.
func (r *reader) timesAt(c *cursor) bool { return r.lower(c.k)[c.at] == 'x' }

// sizeAt reads two or three lengths parted by x from word i on: 5x11, 10 x 12.5
// mm, Ø5x11, D8 x L12, 8mm x 12mm.
func (r *reader) sizeAt(i int) (s size, ok bool) {
	if !r.timesNear(i) {
		return s, false
	}
	c := cursor{r: r, k: i}
	s.i = i
	for s.n < 3 {
		c.axis()
		mm, ok := c.length()
		if !ok {
			return s, false
		}
		s.mm[s.n] = mm
		s.n++
		c.skipAny("ø", "diameter", "diam", "dia", "durchmesser")
		was := c
		if s.n == 3 || !c.skip("x") || c.at == 1 && isSafety(r.lower(c.k)) {
			c = was
			break
		}
	}
	if s.n < 2 || !c.ended() || c.unitFollows() {
		return s, false
	}
	s.j = c.end()
	return s, true
}

// timesNear reports whether an x that may stand between lengths is in word i or
// one of the few behind it.
func (r *reader) timesNear(i int) bool {
	for k := i; k < min(i+4, len(r.words)); k++ {
		if bytes.IndexByte(r.lower(k), 'x') >= 0 {
			return true
		}
	}
	return false
}

// axis takes the letter of a dimension before its number.
func (c *cursor) axis() {
	was := *c
	if !c.more() || isDigit(c.peek()) {
		*c = was
		return
	}
	if c.skipAny("ø", "d", "l", "h", "w", "b") && (c.ended() || !isDigit(c.peek())) && !c.bare() {
		*c = was
	}
}

// bare reports whether a number follows in the next word.
func (c *cursor) bare() bool {
	next := *c
	return next.more() && isDigit(c.r.lower(next.k)[next.at])
}

// unitFollows reports whether the next word makes a quantity of the number
// before it, as in 7 x 47 µF.
func (c *cursor) unitFollows() bool {
	k := c.k + 1
	if !c.r.free(k, k+1) || c.r.words[k].stroke || isDigit(c.r.lower(k)[0]) || k+1 < len(c.r.words) && c.r.words[k+1].equals {
		return false
	}
	low, last := c.r.lower(k), c.r.lower(c.k)
	if !isDigit(last[len(last)-1]) {
		return false
	}
	if _, ok := unitOf(low, c.r.cased(k)); ok {
		return true
	}
	switch string(low) {
	case "u", "µ", "n", "p", "k", "r", "mfd", "uf.", "µf.", "meg":
		return true
	}
	return false
}

func (r *reader) sized(s size) int {
	r.sizes = append(r.sizes, s)
	r.take(s.i, s.j)
	return s.j - s.i
}

// lengthBehind notes the length that a label in words i to j-1 names: RM 5,
// pitch 3.5, Höhe 12 mm.
func (r *reader) lengthBehind(label string, i, j int) int {
	if label == labelDiameter || label == labelLength || label == labelHeight || label == labelWidth {
		if s, ok := r.sizeAt(i); ok {
			return r.sized(s)
		}
	}
	if !r.free(j, j+1) {
		return 0
	}
	c := cursor{r: r, k: j}
	c.skip("ø")
	mm, ok := c.length()
	if !ok || !c.ended() || c.unitFollows() {
		return 0
	}
	s := size{label: label, n: 1, i: i, j: c.end()}
	s.mm[0] = mm
	return r.sized(s)
}

// millimetresAt reports whether a number with mm stands at word i.
func (r *reader) millimetresAt(i int) bool {
	c := cursor{r: r, k: i}
	if _, ok := c.number(); !ok {
		return false
	}
	return c.skip("mm") && c.ended()
}

// lengthBefore notes a length that a label follows: 5 mm pitch, 12 mm hoch.
func (r *reader) lengthBefore(i int) int {
	if !r.millimetresAt(i) {
		return 0
	}
	c := cursor{r: r, k: i}
	mm, ok := c.length()
	if !ok {
		return 0
	}
	label, n := r.labelAt(c.end())
	switch label {
	case labelPitch, labelDiameter, labelLength, labelWidth, labelHeight:
	default:
		return 0
	}
	if label != labelDiameter && r.lengthAt(c.end()+n) {
		return 0 // which the label names
	}
	s := size{label: label, n: 1, i: i, j: c.end() + n}
	s.mm[0] = mm
	return r.sized(s)
}

// lengthAt reports whether a length stands at word i, with or without mm.
func (r *reader) lengthAt(i int) bool {
	if !r.figureAt(i) {
		return false
	}
	c := cursor{r: r, k: i}
	_, ok := c.length()
	return ok && c.ended() && !c.unitFollows()
}

// gluedLabels are the letters that stand against the length that they name.
var gluedLabels = [...]struct{ letters, label string }{
	{"raster", labelPitch}, {"pitch", labelPitch}, {"pas", labelPitch}, {"rm", labelPitch}, {"ls", labelPitch}, {"p", labelPitch},
	{"ø", labelDiameter}, {"dia", labelDiameter}, {"d", labelDiameter}, {"l", labelLength}, {"w", labelWidth}, {"b", labelWidth}, {"h", labelHeight},
}

// sizeLetter notes RM5, pas5,08, Ø8 and, beside each other, D8 L12; also their
// forms with x between.
func (r *reader) sizeLetter(i int) int {
	s, ok := r.gluedAt(i)
	if !ok {
		return 0
	}
	if two, ok := r.sizeAt(i); ok && s.label != labelPitch {
		return r.sized(two)
	}
	if len(r.lower(i)) > 0 && isSingle(r.lower(i)) && !r.sure(i) {
		return 0
	}
	return r.sized(s)
}

func (r *reader) gluedAt(i int) (s size, ok bool) {
	if !r.free(i, i+1) {
		return s, false
	}
	low := r.lower(i)
	if !hasDigit(low) || isDigit(low[0]) {
		return s, false
	}
	for k := range gluedLabels {
		g := &gluedLabels[k]
		n := len(g.letters)
		if low[0] != g.letters[0] || len(low) <= n || string(low[:n]) != g.letters || !isDigit(low[n]) {
			continue
		}
		f, ok := number(low[n:])
		rest := low[min(n+f.size, len(low)):]
		mm := lengthOf(f)
		if !ok || mm <= 0 || len(rest) > 0 && string(rest) != "mm" && rest[0] != 'x' {
			return s, false
		}
		s = size{label: g.label, n: 1, i: i, j: i + 1}
		s.mm[0] = mm
		if len(rest) == 0 && r.free(i+1, i+2) && string(r.lower(i+1)) == "mm" {
			s.j++
		}
		return s, true
	}
	return s, false
}

// isSingle reports whether one plain letter stands before the number, as it
// also does in a designator.
func isSingle(low []byte) bool { return isDigit(low[1]) }

// sure reports whether a letter and a number are a dimension and no designator:
// mm stands behind, or another dimension beside it.
func (r *reader) sure(i int) bool {
	s, _ := r.gluedAt(i)
	low := r.lower(i)
	if s.j > i+1 || low[len(low)-1] == 'm' {
		return true
	}
	if next, ok := r.gluedAt(s.j); ok && next.label != s.label && isSingle(r.lower(s.j)) {
		return true
	}
	if n := len(r.sizes); n > 0 && r.sizes[n-1].j == i {
		return true
	}
	return false
}

// caseBehind takes what a word for the case names: case D, Bauform 0805.
func (r *reader) caseBehind(i, j int) int {
	if !r.free(j, j+1) {
		return 0
	}
	low := r.lower(j)
	if _, ok := caseLetters[string(low)]; ok {
		r.codes = append(r.codes, code{what: caseCode, i: i, j: j + 1})
		r.take(i, j+1)
		return j + 1 - i
	}
	if n := r.chipAt(j); n > 0 {
		last := &r.codes[len(r.codes)-1]
		last.i, last.sure = i, true
		r.take(i, j)
		return j + n - i
	}
	return 0
}

// chipAt notes a chip or case code, to be believed once something else is the
// value: 1206 may also be one.
func (r *reader) chipAt(i int) int {
	low := r.lower(i)
	n := len(low)
	if n > 6 && string(low[n-6:]) == "metric" {
		low = low[:n-6]
	}
	if len(low) < 4 || len(low) > 7 || !isDigit(low[0]) {
		return 0
	}
	c := code{what: chipCode, i: i, j: i + 1, metric: len(low) < n}
	if _, ok := cases[string(low)]; ok {
		c.sure = true
	} else if r.metricAt(i+1) && !c.metric {
		c.metric, c.j = true, i+2
	}
	_, inches := chips[string(low)]
	_, metric := metricChips[string(low)]
	if !c.sure && !inches && !metric || c.metric && !metric {
		return 0
	}
	c.name = string(low)
	c.sure = c.sure || c.metric
	r.codes = append(r.codes, c)
	r.take(i, c.j)
	return c.j - i
}

func (r *reader) metricAt(i int) bool {
	if !r.free(i, i+1) {
		return false
	}
	switch string(r.lower(i)) {
	case "metric", "metrisch", "métrique":
		return true
	}
	return false
}
