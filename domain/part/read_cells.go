package part

import (
	"slices"
	"strconv"

	"boardlore/domain/quantity"
)

// cellCode is what a cell's code implies.
type cellCode struct {
	family *cellFamily
	body   cylinder // zero where the code does not say
	byRule bool     // the body follows from the figures, and its diameter is in no table
}

// cellFamily is what the letters that begin a cell's code say.
type cellFamily struct {
	letters, chemistry, volts string
	rechargeable              bool
}

// cellFamilies are sought in this order. Sources: IEC 60086 for primary cells;
// makers' tables for rechargeable lithium coins; MT is from memory.
var cellFamilies = [...]cellFamily{
	{"lir", "LIR", "3.6 V", true}, {"cr", "CR", "3 V", false}, {"br", "BR", "3 V", false}, {"er", "ER", "3.6 V", false},
	{"vl", "VL", "3 V", true}, {"ml", "ML", "3 V", true}, {"ms", "MS", "3 V", true}, {"mt", "MT", "1.5 V", true},
	{"lr", "LR", "1.5 V", false}, {"sr", "SR", "1.55 V", false},
}

// blocks are batteries of several cells by their code; IEC 60086.
var blocks = map[string]*cellFamily{
	"6lr61": {"6lr61", "LR", "9 V", false}, "6f22": {"6f22", "R", "9 V", false}, "4lr44": {"4lr44", "LR", "6 V", false}, "4sr44": {"4sr44", "SR", "6.2 V", false},
	"3lr12": {"3lr12", "LR", "4.5 V", false}, "3r12": {"3r12", "R", "4.5 V", false},
}

// cellAliases are the traders' names of button cells. Sources: public size
// charts; all but AG3, AG12, AG13 and A76 are from memory.
var cellAliases = map[string]string{"ag13": "lr44", "a76": "lr44", "ag12": "lr43", "ag3": "lr41", "ag1": "lr621", "ag2": "lr726", "ag4": "lr626",
	"ag5": "lr754", "ag6": "lr921", "ag7": "lr927", "ag8": "lr1121", "ag9": "lr936", "ag10": "lr1130", "ag11": "lr721"}

// cellOf reads a cell's code such as CR2032, LR44, CR1/3N or BR1225A.
func cellOf(low []byte) (c cellCode, ok bool) {
	if len(low) < 3 || len(low) > 16 || !hasDigit(low) || low[0] >= 0x80 {
		return c, false
	}
	if f, ok := blocks[string(low)]; ok {
		c.family = f
		return c, true
	}
	if alias := cellAliases[string(low)]; alias != "" {
		return cellOf([]byte(alias))
	}
	for k := range cellFamilies {
		f := &cellFamilies[k]
		n := len(f.letters)
		if low[0] != f.letters[0] || len(low) <= n || string(low[:n]) != f.letters {
			continue
		}
		if low[n] == '-' && n+1 < len(low) {
			n++
		}
		c.family = f
		return c, c.size(low[n:])
	}
	return c, false
}

// cellApart notes a cell whose letters stand apart from its figures: CR 2032.
func (r *reader) cellApart(i int) int {
	if !r.free(i, i+2) || r.words[i+1].glued || len(r.lower(i)) > 3 || !isDigit(r.lower(i + 1)[0]) || len(r.lower(i+1)) < 3 {
		return 0
	}
	var room [16]byte
	low := append(append(room[:0], r.lower(i)...), r.lower(i+1)...)
	if _, ok := cellOf(low); !ok {
		return 0
	}
	r.codes = append(r.codes, code{what: cellTypeCode, class: "cell", sure: true, i: i, j: i + 2})
	r.take(i, i+2)
	return 2
}

// cellName is the code of a cell in one word.
func (r *reader) cellName(k *code) []byte {
	if k.j == k.i+1 {
		return r.lower(k.i)
	}
	return append(slices.Clone(r.lower(k.i)), r.lower(k.i+1)...)
}

// size reads the figures of a code: an ordinal, or the diameter and the height
// in tenths of a millimetre; false where they are none.
func (c *cellCode) size(code []byte) bool {
	if body, ok := cellBodies[string(code)]; ok {
		c.body = body
		return c.ordinal(code)
	}
	n := 0
	for n < len(code) && isDigit(code[n]) {
		n++
	}
	figures, rest := code[:n], code[n:]
	if len(rest) > 0 && !isLetter(rest[0]) && rest[0] != '-' && rest[0] != '/' {
		return false
	}
	if body, ok := cellBodies[string(figures)]; ok {
		c.body = body
		return c.ordinal(figures)
	}
	if n < 3 || n > 5 {
		return false
	}
	all, err := strconv.Atoi(string(figures))
	if err != nil {
		return false
	}
	tens := 100
	if n == 5 {
		tens = 1000 // cylinders: 17345 is 17 by 34.5
	}
	d, known := coinDiameters[all/tens]
	if !known {
		d, c.byRule = float64(all/tens), true
	}
	c.body = cylinder{d, float64(all%tens) / 10}
	if c.body.height == 0 {
		c.body, c.byRule = cylinder{}, false
	}
	return true
}

// ordinal reports whether an ordinal belongs to the family at hand.
func (c *cellCode) ordinal(figures []byte) bool {
	lithium := c.family.chemistry == "CR"
	switch string(figures) {
	case "2", "123", "1/3n":
		return lithium
	case "2/3a":
		return lithium || c.family.chemistry == "BR"
	case "14250":
		return true
	}
	return c.family.chemistry == "LR" || c.family.chemistry == "SR" && len(figures) == 2
}

// cellDefaults fills what a cell's code implies and the text does not spell
// out.
func (r *reader) cellDefaults(k *code) {
	name := r.cellName(k)
	c, _ := cellOf(name)
	p := &r.out.Part
	if p.Chemistry == "" {
		p.Chemistry = c.family.chemistry
		r.note("chemistry", p.Chemistry, k.i, k.j)
	}
	if p.Voltage.IsZero() {
		volts := c.family.volts
		if p.Chemistry == "BR" && string(name[2:]) == "2032" {
			volts = "2.8 V" // as its table prints it
		}
		p.Voltage, _ = quantity.Parse(volts)
		r.note("voltage", volts, k.i, k.j)
	}
	if p.Rechargeable == nil {
		v := c.family.rechargeable
		p.Rechargeable = &v
		r.note("rechargeable", strconv.FormatBool(v), k.i, k.j)
	} else if *p.Rechargeable != c.family.rechargeable {
		r.doubt("The text says otherwise, but by its code a cell %s is %s.", r.source(k.i, k.j), kindOfCell(c.family.rechargeable))
	}
	r.cellBody(&c, k)
	r.keep(upper(name), k.i, k.j)
}

func kindOfCell(rechargeable bool) string {
	if rechargeable {
		return "rechargeable"
	}
	return "a primary cell"
}

func (r *reader) cellBody(c *cellCode, k *code) {
	b := &r.out.Body
	if c.body.diameter == 0 || b.Diameter != 0 || b.Height != 0 || b.Length != 0 {
		return
	}
	b.Diameter = c.body.diameter
	r.note("body.diameter_mm", millimetres(b.Diameter), k.i, k.j)
	if c.body.diameter > c.body.height {
		b.Height = c.body.height
		r.note("body.height_mm", millimetres(b.Height), k.i, k.j)
		if b.Shape == "" {
			b.Shape = "coin"
			r.note("body.shape", "coin", k.i, k.j)
		}
	} else {
		b.Length = c.body.height
		r.note("body.length_mm", millimetres(b.Length), k.i, k.j)
	}
	if c.byRule {
		r.doubt("The size of %s follows from its figures alone (IEC 60086); some bodies are half a millimetre larger.", r.source(k.i, k.j))
	}
}
