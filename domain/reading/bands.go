package reading

import "boardlore/domain/quantity"

// band is what a colour stands for in a row of bands. IEC 60062.
type band struct {
	figure    int // -1 for gold, silver and pink
	exp       int
	tolerance [2]int // coefficient and power of ten of per cent; 0 where the colour is none
}

var bandColours = map[string]band{
	"black": {0, 0, [2]int{}}, "brown": {1, 1, [2]int{1, 0}}, "red": {2, 2, [2]int{2, 0}},
	"orange": {3, 3, [2]int{5, -2}}, "yellow": {4, 4, [2]int{2, -2}},
	"green": {5, 5, [2]int{5, -1}}, "blue": {6, 6, [2]int{25, -2}}, "violet": {7, 7, [2]int{1, -1}},
	"grey":  {8, 8, [2]int{1, -2}},
	"white": {9, 9, [2]int{}}, "gold": {-1, -1, [2]int{5, 0}}, "silver": {-1, -2, [2]int{10, 0}},
	"pink": {-1, -3, [2]int{}},
}

// maxBands is the greatest resistance that is believed of colour bands. Common practice.
var maxBands, _ = quantity.New(22, 6, quantity.Ohm)

// bands notes colour bands as words: brown black red gold is 1 kΩ ±5 %.
func (r *reader) bands(i int) {
	if first, _ := r.colourAt(i); first == "" || r.colourBefore(i) {
		return
	}
	var all []string
	j := i
	for len(all) < 7 {
		name, end := r.colourAt(j)
		if name == "" {
			break
		}
		all, j = append(all, name), end
		if r.isSign(j, '-') || r.isSign(j, ',') || r.isSign(j, '/') {
			if next, _ := r.colourAt(j + 1); next != "" {
				j++
			}
		}
	}
	if len(all) < 3 || len(all) > 6 || r.choice(i, j) {
		return
	}
	c := &coded{}
	if !c.bands(all, r.flags.inductor) {
		return
	}
	s := span{i: i, j: j, act: actBands, code: c, holds: resistorClass | inductorClass, argues: resistorClass,
		bonus: 25, lean: 4, rule: "colour bands"}
	if r.flags.inductor {
		s.holds, s.argues = inductorClass, inductorClass
	}
	if c.value.Unit() == quantity.Ohm && c.value.Compare(maxBands) > 0 {
		s.doubts = say("reading.bands-wrong-end", c.value)
	}
	if len(all) == 6 {
		s.doubts = say("reading.sixth-band")
	} else if len(all) > 3 && all[len(all)-1] == "grey" {
		s.doubts = say("reading.grey-band", c.tolerance)
	}
	r.add(s)
}

// choice reports whether an "or" among the colours from atom i to before j is the English word.
func (r *reader) choice(i, j int) bool {
	or, other := false, false
	for k := i; k < j; k++ {
		or = or || r.isWord(k, "or")
		other = other || r.isLetters(k) && !isIn(sets["french colour"], r.lowOf(k))
	}
	return or && other
}

// colourAt gives the colour that a word at atom k names.
func (r *reader) colourAt(k int) (name string, end int) {
	if !r.isLetters(k) {
		return "", k
	}
	for _, h := range r.heardAt(k) {
		if w := h.e.first(actColour); w != nil && (!r.glued(h.j) || r.atoms[h.j].script == ideographic) {
			name, end = w.value, h.j
		}
	}
	return name, end
}

// colourBefore reports whether the word before atom i is a colour, so that the row of bands began there.
func (r *reader) colourBefore(i int) bool {
	k := i - 1
	if r.isSign(k, '-') || r.isSign(k, ',') || r.isSign(k, '/') {
		k--
	}
	if k < 0 || !r.isLetters(k) {
		return false
	}
	name, end := r.colourAt(k)
	return name != "" && end == k+1
}

// bands works out the value: two figures of three or four bands, three figures of five or six.
func (c *coded) bands(all []string, coil bool) bool {
	n := 2
	if len(all) >= 5 {
		n = 3
	}
	coef := int64(0)
	for _, name := range all[:n] {
		b := bandColours[name]
		if b.figure < 0 {
			return false
		}
		coef = coef*10 + int64(b.figure)
	}
	unit, exp := quantity.Ohm, bandColours[all[n]].exp
	if coil {
		unit, exp = quantity.Henry, exp-6
	}
	var ok bool
	if c.value, ok = quantity.New(coef, exp, unit); !ok {
		return false
	}
	twenty := [2]int{20, 0}
	t := twenty
	if len(all) > n+1 {
		t = bandColours[all[n+1]].tolerance
	}
	if t[0] == 0 {
		return false
	}
	dev, _ := quantity.New(int64(t[0]), t[1], quantity.Percent)
	c.tolerance, ok = quantity.Symmetric(dev)
	return ok && c.value.Sign() > 0
}
