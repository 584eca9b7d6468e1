package reading

import (
	_ "embed"
	"regexp"
	"regexp/syntax"
	"strings"

	"boardlore/domain/quantity"
)

// coded is what an order code says, member by member.
type coded struct {
	value     quantity.Quantity
	voltage   quantity.Quantity
	current   quantity.Quantity
	power     quantity.Quantity
	tolerance quantity.Tolerance
	members   [][2]string // the others, by name
	size      string      // a chip's
}

// orderRow is a series of a maker, of which the numbering is published.
type orderRow struct {
	series  string
	pattern *regexp.Regexp
	least   int // signs that a code has
	groups  []string
	class   classes
	facts   [][2]string
	letters map[string]map[string]string // for each group, what its letters stand for
}

//go:embed ordercodes.txt
var orderText string

// orderRows are the series by the first sign of their codes.
var orderRows = func() map[byte][]*orderRow {
	rows := map[byte][]*orderRow{}
	for line := range strings.Lines(orderText) {
		cols := strings.Split(strings.TrimRight(line, "\n"), "\t")
		if len(cols) != 5 || line[0] == '#' {
			continue
		}
		o := newOrderRow(cols)
		for _, c := range firstSigns(cols[1]) {
			rows[c] = append(rows[c], o)
		}
	}
	return rows
}()

func newOrderRow(cols []string) *orderRow {
	o := &orderRow{series: cols[0], pattern: regexp.MustCompile("^(?:" + cols[1] + ")$"),
		letters: map[string]map[string]string{}}
	if tree, err := syntax.Parse(cols[1], syntax.Perl); err == nil {
		o.least = shortest(tree)
	}
	o.groups = o.pattern.SubexpNames()
	for fact := range strings.FieldsSeq(cols[2]) {
		name, value, _ := strings.Cut(fact, "=")
		if name == "class" {
			o.class = setOf(value)
			continue
		}
		o.facts = append(o.facts, [2]string{name, value})
	}
	for table := range strings.SplitSeq(cols[3], ";") {
		group, pairs, ok := strings.Cut(table, ":")
		if !ok {
			continue
		}
		m := map[string]string{}
		for pair := range strings.SplitSeq(pairs, ",") {
			k, v, _ := strings.Cut(pair, "=")
			m[k] = v
		}
		o.letters[group] = m
	}
	return o
}

// shortest is how many signs a text has at least that a pattern matches.
func shortest(p *syntax.Regexp) (n int) {
	switch p.Op {
	case syntax.OpLiteral:
		return len(p.Rune)
	case syntax.OpCharClass, syntax.OpAnyChar:
		return 1
	case syntax.OpCapture, syntax.OpPlus:
		return shortest(p.Sub[0])
	case syntax.OpRepeat:
		return p.Min * shortest(p.Sub[0])
	case syntax.OpConcat:
		for _, s := range p.Sub {
			n += shortest(s)
		}
	case syntax.OpAlternate:
		n = shortest(p.Sub[0])
		for _, s := range p.Sub[1:] {
			n = min(n, shortest(s))
		}
	}
	return n
}

// firstSigns are the signs that a pattern may begin with.
func firstSigns(pattern string) (out []byte) {
	for c := byte('0'); c <= 'Z'; c++ {
		if (digit(c) || c >= 'A') && mayBegin(pattern, c) {
			out = append(out, c)
		}
	}
	return out
}

// mayBegin reports whether a pattern may match a text that begins with a sign, by its own first element.
func mayBegin(pattern string, c byte) bool {
	switch p := strings.TrimPrefix(strings.TrimPrefix(pattern, "(?P<V>"), "(?P<P>"); {
	case digit(p[0]) || p[0] == '(' || p[0] == '[' || p[0] == '\\':
		return digit(c) || p[0] == '(' && (c == 'M' || c == 'N')
	default:
		return p[0] == c
	}
}

// minOrder is the shortest order code.
const minOrder = 4

// orders notes the order codes of series whose numbering is published. A code that two series share is told as each.
func (r *reader) orders(i int) {
	if r.glued(i) || len(r.casedOf(i)) == 0 || r.atoms[i].sort != letters && r.atoms[i].sort != figures {
		return
	}
	rows := orderRows[upperSign(r.casedOf(i)[0])]
	if len(rows) == 0 || r.isFigures(i) && r.isWord(i+1, "x") { // 5x11 is a size
		return
	}
	ends, n := r.orderEnds(i)
	for _, j := range ends[:n] {
		text := r.capitals(i, j)
		if len(text) < minOrder || len(text) > 32 || !hasDigit(text) {
			continue
		}
		found := false
		for _, o := range rows {
			if len(text) < o.least {
				continue
			}
			if m := o.pattern.FindSubmatchIndex(text); m != nil {
				r.ordered(o, text, m, i, j)
				found = true
			}
		}
		if found {
			return
		}
	}
}

func upperSign(c byte) byte {
	if c >= 'a' && c <= 'z' {
		return c - 'a' + 'A'
	}
	return c
}

// capitals is a stretch in capitals, as order codes are printed.
func (r *reader) capitals(i, j int) []byte {
	raw := r.raw[r.atoms[i].lo:r.atoms[j-1].hi]
	r.scratch = r.scratch[:0]
	for _, c := range raw {
		r.scratch = append(r.scratch, upperSign(c))
	}
	return r.scratch
}

// orderEnds are the atoms before which an order code may end: with what a hyphen or a point ties to it, and without.
func (r *reader) orderEnds(i int) (ends [2]int, n int) {
	j := r.runEnd(i)
	k := j
	for (r.isSign(k, '-') || r.isSign(k, '.')) && r.touches(k) && k+1 < len(r.atoms) && r.touches(k+1) &&
		r.atoms[k+1].sort != sign {
		k = r.runEnd(k + 1)
	}
	if k != j {
		return [2]int{k, j}, 2
	}
	return [2]int{j}, 1
}

// ordered notes one series' reading of a code.
func (r *reader) ordered(o *orderRow, text []byte, m []int, i, j int) {
	c := &coded{}
	for g, name := range o.groups {
		if name == "" || m[2*g] < 0 {
			continue
		}
		if !o.decode(c, name, string(text[m[2*g]:m[2*g+1]])) {
			return
		}
	}
	for _, f := range o.facts {
		c.fact(f[0], f[1])
	}
	s := span{i: i, j: j, act: actOrder, holds: o.class, argues: o.class, bonus: 45, lean: 8, code: c,
		name: r.printed(i, j), rule: "order code: " + o.series}
	if !c.tolerance.IsZero() && c.tolerance.High().Unit() == quantity.Farad && c.value.Compare(tenPicofarad) >= 0 {
		return
	}
	if printed := s.name[strings.LastIndexAny(s.name, "0123456789")+1:]; printed != strings.ToUpper(printed) &&
		s.name != strings.ToLower(s.name) {
		s.doubts = say("reading.order-end", printed)
	}
	r.add(s)
}

// decode reads one group of a code.
func (o *orderRow) decode(c *coded, group, text string) bool {
	table := o.letters[group]
	meaning, explained := table[text]
	if table != nil && !explained && group != "T" && group != "P" {
		return false
	}
	ok := true
	switch group {
	case "V2":
		c.voltage, ok = quantity.New(codeVolts(text[0], text[1]), -2, quantity.Volt)
		ok = ok && c.voltage.Sign() > 0
	case "V3":
		c.voltage, ok = voltsOfThree(text)
	case "V":
		return o.plainVolts(c, text)
	case "CU":
		c.value, ok = figuresCode(text, -6, quantity.Farad)
	case "CP":
		c.value, ok = figuresCode(text, -12, quantity.Farad)
	case "RC":
		return o.ohmsCode(c, text)
	case "R":
		c.value, ok = letterOhms(text)
	case "U":
		return o.plainUnits(c, text)
	case "T":
		if explained {
			text = meaning
		}
		tolerances := letterTolerances(text[0], o.class.valueKind(), c.value)
		if o.class == varistorClass {
			tolerances = letterTolerances(text[0], quantity.Resistance, c.value)
		}
		if tolerances.n == 1 {
			c.tolerance = tolerances.t[0]
		}
	case "P":
		return o.place(c, text, meaning, explained)
	case "D":
		return o.named(c, meaning, text)
	case "S":
		c.size = text
		if explained {
			c.size = meaning
		}
	case "E":
		return o.explained(c, meaning, explained)
	}
	return ok
}

func (o *orderRow) named(c *coded, meaning, text string) bool {
	if meaning == "" {
		meaning = text
	}
	if meaning == "NPO" || meaning == "CH" {
		meaning = "C0G"
	}
	if o.class == fuseClass {
		c.members = append(c.members, [2]string{"fuse_speed", meaning})
		return true
	}
	c.members = append(c.members, [2]string{"dielectric", meaning})
	return true
}

// explained takes a value that a table spells out.
func (o *orderRow) explained(c *coded, meaning string, known bool) bool {
	if !known {
		return o.letters["E"] == nil
	}
	p, ok := pointOf([]byte(meaning))
	if ok {
		c.value, ok = quantity.New(p.coef, p.exp+map[string]int{"p": -12, "n": -9, "u": -6}[p.letter], quantity.Farad)
	}
	return ok
}

// place takes a rating that one sign stands for: volts of a capacitor, watts of a resistor.
func (o *orderRow) place(c *coded, text, meaning string, known bool) bool {
	if !known {
		return o.letters["P"] == nil // the size of a body
	}
	d, ok := plainDecimal(meaning)
	if !ok {
		return false
	}
	if o.class == resistorClass {
		c.power, ok = d.times(0, quantity.Watt)
		return ok
	}
	c.voltage, ok = d.times(0, quantity.Volt)
	return ok
}

func plainDecimal(s string) (decimalNumber, bool) {
	n, ok := readNumeral([]byte(s), "en")
	return n.value(), ok
}

func (o *orderRow) plainVolts(c *coded, text string) bool {
	d, ok := plainDecimal(text)
	switch {
	case !ok:
		return false
	case o.class == thermistorClass:
		c.value, ok = d.times(0, quantity.Ohm)
	case o.class == varistorClass:
		c.voltage, ok = d.times(0, quantity.Volt)
	default:
		c.voltage, ok = d.times(0, quantity.Volt)
	}
	return ok
}

func (o *orderRow) plainUnits(c *coded, text string) bool {
	d, ok := plainDecimal(strings.TrimSuffix(text, "."))
	if !ok {
		return false
	}
	if o.class == fuseClass {
		c.current, ok = d.times(0, quantity.Ampere)
		return ok
	}
	c.value, ok = d.times(-6, quantity.Farad)
	return ok
}

func (o *orderRow) ohmsCode(c *coded, text string) (ok bool) {
	if o.class == varistorClass {
		c.value, ok = figuresCode(text, 0, quantity.Volt)
		return ok
	}
	c.value, ok = figuresCode(text, 0, quantity.Ohm)
	return ok
}

// figuresCode reads 471, 1002 and 4R7.
func figuresCode(text string, exp int, u quantity.Unit) (quantity.Quantity, bool) {
	if whole, decimals, ok := strings.Cut(text, "R"); ok {
		d, ok := pointed([]byte(whole), []byte(decimals))
		q, fits := d.times(exp, u)
		return q, ok && fits
	}
	d, ok := figureCode([]byte(text))
	if u == quantity.Farad && exp == -12 && len(text) == 3 {
		d = ceramicCode([]byte(text))
	}
	q, fits := d.times(exp, u)
	return q, ok && fits
}

// voltsOfThree reads 016 and 6R3, and 250 and 101, where the last figure is a power of ten.
func voltsOfThree(text string) (quantity.Quantity, bool) {
	switch {
	case strings.Contains(text, "R"):
		return figuresCode(text, 0, quantity.Volt)
	case text == "006":
		return quantity.New(63, -1, quantity.Volt)
	case text == "002":
		return quantity.New(25, -1, quantity.Volt)
	case text[0] == '0':
		d, _ := figuresOf([]byte(text), -1)
		return d.times(0, quantity.Volt)
	}
	return figuresCode(text, 0, quantity.Volt)
}

// letterOhms reads 10K, 4K7, 100R and 10K0.
func letterOhms(text string) (quantity.Quantity, bool) {
	i := strings.IndexAny(text, "RKM")
	exp, _ := resistorLetter(text[i])
	d, ok := pointed([]byte(text[:i]), []byte(text[i+1:]))
	q, fits := d.times(int(exp), quantity.Ohm)
	return q, ok && fits
}

// fact takes what is true of a whole series.
func (c *coded) fact(name, value string) {
	switch name {
	case "voltage":
		d, _ := plainDecimal(value)
		c.voltage, _ = d.times(0, quantity.Volt)
	case "safety":
		c.members = append(c.members, [2]string{"safety_class", value})
	case "mount":
		c.members = append(c.members, [2]string{"body.mount", value})
	default:
		c.members = append(c.members, [2]string{name, value})
	}
}
