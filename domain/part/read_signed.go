package part

import "boardlore/domain/quantity"

// cursor goes over the signs of the words from one on, and over the blanks
// between them.
type cursor struct {
	r     *reader
	k, at int // word, and byte of it
}

// more reports whether a sign follows; it steps into the next word where the
// one at hand is at its end.
func (c *cursor) more() bool {
	if c.at < len(c.r.lower(c.k)) {
		return true
	}
	if !c.r.free(c.k+1, c.k+2) || c.r.words[c.k+1].equals {
		return false
	}
	c.k, c.at = c.k+1, 0
	return true
}

// skip takes a text, if it follows.
func (c *cursor) skip(s string) bool {
	low, k, at := c.r.lower(c.k), c.k, c.at
	if at == len(low) {
		next := *c
		if !next.more() {
			return false
		}
		low, k, at = c.r.lower(next.k), next.k, next.at
	}
	if len(low)-at < len(s) || string(low[at:at+len(s)]) != s {
		return false
	}
	c.k, c.at = k, at+len(s)
	return true
}

func (c *cursor) skipAny(list ...string) bool {
	for _, s := range list {
		if c.skip(s) {
			return true
		}
	}
	return false
}

func (c *cursor) number() (f figures, ok bool) {
	was := *c
	if !c.more() {
		return f, false
	}
	f, ok = number(c.r.lower(c.k)[c.at:])
	if !ok {
		*c = was
		return f, false
	}
	c.at += f.size
	return f, true
}

// ended reports whether the cursor stands at the end of a word; end is the
// word after it.
func (c *cursor) ended() bool { return c.at == len(c.r.lower(c.k)) }

func (c *cursor) end() int { return c.k + 1 }

func plusMinus(low []byte) bool { return len(low) > 1 && low[0] == 0xC2 && low[1] == 0xB1 }

// signed notes deviations, ranges of temperature and quantities with a sign.
func (r *reader) signed(i int) int {
	if n := r.deviationAt(i); n > 0 {
		return n
	}
	if n := r.rangeOfHeat(i); n > 0 {
		return n
	}
	return r.signedRating(i)
}

// deviationAt notes ±20 %, +/-0.25pF, -20/+80 % and +80-20%.
func (r *reader) deviationAt(i int) int {
	c := cursor{r: r, k: i}
	if c.skipAny("±", "+/-", "+-", "-/+", "-+") {
		f, ok := c.number()
		u, exp := c.devUnit()
		dev, good := quantity.New(f.coef, f.exp+exp, u)
		if !ok || !good || u == quantity.None || !c.ended() {
			return 0
		}
		t, ok := quantity.Symmetric(dev)
		return r.deviated(t, ok, i, c.end())
	}
	return r.unevenAt(i)
}

// devUnit takes the unit of a deviation, with its power of ten.
func (c *cursor) devUnit() (u quantity.Unit, exp int) {
	switch {
	case c.skip("%"):
		return quantity.Percent, 0
	case c.skip("pf"):
		return quantity.Farad, -12
	}
	return quantity.None, 0
}

// unevenAt notes two deviations of different size; the second bears the unit.
func (r *reader) unevenAt(i int) int {
	c := cursor{r: r, k: i}
	up := c.skip("+")
	if !up && !c.skip("-") {
		return 0
	}
	first, ok := c.number()
	c.devUnit()
	c.skipAny("/", "...", "..", "~")
	if !ok || up && !c.skip("-") || !up && !c.skip("+") {
		return 0
	}
	second, ok := c.number()
	u, exp := c.devUnit()
	if !ok || u == quantity.None || !c.ended() {
		return 0
	}
	a, okA := quantity.New(first.coef, first.exp+exp, u)
	b, okB := quantity.New(second.coef, second.exp+exp, u)
	if !okA || !okB {
		return 0
	}
	if up {
		a, b = b, a
	}
	t, ok := quantity.NewTolerance(a.Neg(), b)
	return r.deviated(t, ok, i, c.end())
}

func (r *reader) deviated(t quantity.Tolerance, ok bool, i, j int) int {
	if !ok {
		return 0
	}
	r.devs = append(r.devs, deviation{t, i, j, nil})
	r.take(i, j)
	return j - i
}

// rangeOfHeat notes the upper end of a range of temperature: -40~+105°C,
// -55..125 °C, -40 to +85 °C; the lower end has no member, which a doubt tells.
func (r *reader) rangeOfHeat(i int) int {
	c := cursor{r: r, k: i}
	cold := c.skip("-")
	f, ok := c.number()
	if !ok || f.point || f.coef > 100 || !c.ended() && isLetter(c.peek()) && c.peek() != 'c' && c.peek() != degreeSign {
		return 0
	}
	marked := c.degrees()
	parted := c.skipAny("~", "...", "..", "to", "bis", "à", "/", "-")
	if !c.skip("+") && !parted {
		return 0
	}
	hot, ok := c.number()
	if !ok || hot.point {
		return 0
	}
	marked = c.degrees() || marked
	if !c.ended() || !marked && (!cold || !hotRating(hot.coef)) || hot.coef > 250 || hot.coef <= f.coef && !cold {
		return 0
	}
	q, ok := quantity.New(hot.coef, 0, quantity.Celsius)
	if !ok {
		return 0
	}
	j := c.end()
	r.doubt("Of the range %s only the upper end is kept.", r.source(i, j))
	return r.measured(measure{q: q, i: i, j: j})
}

// degreeSign begins the sign of a degree.
const degreeSign = 0xC2

func (c *cursor) peek() byte { return c.r.lower(c.k)[c.at] }

// degrees takes the sign of a temperature.
func (c *cursor) degrees() bool {
	marked := c.skip("°")
	was := *c
	if c.skip("c") || c.skip("grad") {
		if c.ended() || !isLetter(c.r.lower(c.k)[c.at]) {
			return true
		}
		*c = was
	}
	return marked
}

// signedRating notes +105°C and +12V; a temperature below nought is no upper
// limit.
func (r *reader) signedRating(i int) int {
	low := r.lower(i)
	if low[0] != '+' || len(low) < 2 || !isDigit(low[1]) {
		return 0
	}
	w := &r.words[i]
	w.lo++
	m, n := r.written(i)
	w.lo--
	if n == 0 || m.q.Unit() != quantity.Celsius && m.q.Unit() != quantity.Volt {
		return 0
	}
	return r.measured(m)
}
