package reading

import (
	"bytes"
	"strconv"
	"strings"
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
	"6lr61": {"6lr61", "LR", "9 V", false}, "6f22": {"6f22", "R", "9 V", false}, "4lr44": {"4lr44", "LR", "6 V", false},
	"4sr44": {"4sr44", "SR", "6.2 V", false},
	"2cr5":  {"2cr5", "CR", "6 V", false}, "3lr12": {"3lr12", "LR", "4.5 V", false}, "3r12": {"3r12", "R", "4.5 V",
		false},
}

// cellAliases are the traders' names of button cells. Sources: public size
// charts; all but AG3, AG12, AG13 and A76 are from memory.
var cellAliases = map[string]string{"ag13": "lr44", "a76": "lr44", "ag12": "lr43", "ag3": "lr41", "ag1": "lr621",
	"ag2": "lr726", "ag4": "lr626",
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

// lithium reports whether a code is that of a lithium cell; IEC 60086 and makers' tables.
func lithium(code string) bool {
	c, ok := cellOf([]byte(code))
	return ok && c.family.chemistry != "LR" && c.family.chemistry != "SR" && c.family.chemistry != "R"
}

// size reads the figures of a code: an ordinal, or the diameter and the height
// in tenths of a millimetre; false where they are none.
func (c *cellCode) size(code []byte) bool {
	if body, ok := cellBodies[string(code)]; ok {
		c.body = body
		return c.ordinal(code)
	}
	n := 0
	for n < len(code) && digit(code[n]) {
		n++
	}
	figures, rest := code[:n], code[n:]
	if len(rest) > 0 && !letter(rest[0]) && rest[0] != '-' || bytes.IndexByte(rest, '/') >= 0 {
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
	tens := 100
	if n == 5 {
		tens = 1000 // cylinders: 17345 is 17 by 34.5
	}
	if err != nil || all < tens {
		return false // no cell is thinner than a millimetre
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

// cellHeads are the signs with which the codes and the names of cells begin.
const cellHeads = "abcelmsv2346"

// cells notes the codes of cells, also with their letters apart: CR 2032.
func (r *reader) cells(i int) {
	if r.glued(i) || r.atoms[i].sort != letters && r.atoms[i].sort != figures {
		return
	}
	if low := r.lowOf(i); len(low) == 0 || strings.IndexByte(cellHeads, low[0]) < 0 {
		return
	}
	ends, n := r.cellEnds(i)
	for _, j := range ends[:n] {
		low := r.runLow(i, j)
		if _, ok := cellOf(low); !ok {
			continue
		}
		s := span{i: i, j: j, act: actCell, holds: cellClass, argues: cellClass, bonus: 35, lean: 6, name: string(low)}
		r.add(s)
		return
	}
}

// cellEnds are the atoms before which a cell's code may end, the farthest first: CR1/3N, CR2330/BN, BR-2/3A.
func (r *reader) cellEnds(i int) (ends [2]int, n int) {
	j := r.runEnd(i)
	if r.isLetters(i) && j == i+1 && (r.isSign(j, '-') && r.touches(j) && r.touches(j+1) || r.isFigures(j) &&
		len(r.lowOf(j)) >= 3) && len(r.lowOf(i)) <= 3 {
		if k := j + 1; r.isFigures(j) {
			j = r.runEnd(j)
		} else if r.isFigures(k) {
			j = r.runEnd(k)
		}
	}
	if r.isSign(j, '/') && r.touches(j) && j+1 < len(r.atoms) && r.touches(j+1) {
		if k := r.runEnd(j + 1); r.isFigures(j + 1) {
			ends[0], n = k, 1
		}
	}
	ends[n] = j
	return ends, n + 1
}
