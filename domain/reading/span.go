package reading

import (
	"slices"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Classes of parts, as maps have them.
var Classes = []string{"capacitor", "resistor", "potentiometer", "thermistor", "varistor", "inductor", "transformer",
	"fuse", "cell", "diode", "transistor", "integrated-circuit", "crystal", "relay", "switch", "connector", "lamp",
	"other"}

// classes is a set of them, in their order.
type classes uint32

const (
	capacitorClass classes = 1 << iota
	resistorClass
	potentiometerClass
	thermistorClass
	varistorClass
	inductorClass
	transformerClass
	fuseClass
	cellClass
	diodeClass
	transistorClass
	circuitClass
	crystalClass
	relayClass
	switchClass
	connectorClass
	lampClass
	restClass
	anyOfThem classes = 1<<iota - 1
)

const (
	ohmic       = resistorClass | potentiometerClass | thermistorClass
	typed       = diodeClass | transistorClass | circuitClass // known by a type number
	valueless   = transformerClass | fuseClass | cellClass | typed | relayClass | switchClass | connectorClass | lampClass | restClass
	bearsCharge = cellClass
)

func setOf(class string) classes {
	if i := slices.Index(Classes, class); i >= 0 {
		return 1 << i
	}
	return 0
}

func (c classes) name() string {
	for i, n := range Classes {
		if c == 1<<i {
			return n
		}
	}
	return ""
}

// valueKind is the kind of quantity that the value of a class is; 0 where it has none.
func (c classes) valueKind() quantity.Kind {
	switch c {
	case capacitorClass:
		return quantity.Capacitance
	case resistorClass, potentiometerClass, thermistorClass:
		return quantity.Resistance
	case inductorClass:
		return quantity.Inductance
	case crystalClass:
		return quantity.Frequency
	case varistorClass:
		return quantity.Voltage
	}
	return 0
}

// current says what sort of voltage a rating is of.
type current uint8

const (
	unsaid current = iota
	direct
	alternate
)

// span is a stretch of the text that says something: from atom i to before atom j.
type span struct {
	i, j    int
	act     act
	row     *row    // what a word says
	holds   classes // that can take it
	argues  classes // for which it speaks
	bonus   int     // how much
	lean    int     // what its rule weighs besides what it covers
	weight  int     // both, once the recognisers are done
	rule    string
	q       [2]quantity.Quantity // the second where the number reads two ways, or of a pair
	n       int                  // how many of them
	t       quantity.Tolerance
	current current
	label   string
	mm      [3]float64
	name    string // what a code says
	sure    bool
	metric  bool
	doubts  []message.Message   // not to be changed
	parts   []quantity.Quantity // sections
	code    *coded              // what an order code or a cell's code says
	exact   bool                // the unit is written out, and means one thing
	count   int
}

// covered is what one atom of figures or letters weighs in a cover.
const covered = 10

// reader is one reading of one text.
type reader struct {
	lexer
	ctx   quantity.Context
	only  quantity.Kind // the kind that was asked for; 0 for a whole part
	spans []span
	first []int // for each atom, the spans that begin at it: spans[first[k]:first[k+1]]
	marks marks
	named int // designators at the head: atoms before this
	// the class of those designators, where they agree
	designed string
	flags    struct {
		inductor bool // a word says inductor
	}
	best   []int // of the solver: the weight of the best cover from each atom on
	pick   []int // and the span that it begins with, -1 to leave the atom over
	got    []int // the spans of the best cover
	rivals []candidate
	bare   []bareNumber

	numbers []knownNumber // for each atom, once it was asked for
	units   []knownUnit
	heard   []heard
	hearing []int // for each atom, the phrases that begin at it: heard[hearing[k]:hearing[k+1]]
	scratch []byte
	maker   *partReader
}

func (r *reader) reset(text string, c quantity.Context) {
	r.lexer.reset(text)
	r.ctx = c
	r.spans, r.first, r.got, r.numbers, r.units = r.spans[:0], r.first[:0], r.got[:0], r.numbers[:0], r.units[:0]
	r.named, r.designed = 0, ""
	r.flags.inductor = c.Class == "inductor"
}

func (r *reader) printOf(k int) string { return string(r.raw[r.atoms[k].lo:r.atoms[k].hi]) }
func (r *reader) lowOf(k int) []byte   { return r.low[r.atoms[k].llo:r.atoms[k].lhi] }
func (r *reader) casedOf(k int) []byte { return r.raw[r.atoms[k].lo:r.atoms[k].hi] }
func (r *reader) codeOf(k int) []byte  { return r.code[r.atoms[k].clo:r.atoms[k].chi] }

// isSign reports whether atom k is the sign.
func (r *reader) isSign(k int, s rune) bool {
	return uint(k) < uint(len(r.atoms)) && r.atoms[k].sign == s
}

// isWord reports whether atom k is one of the words, in lower case and without accents.
func (r *reader) isWord(k int, words ...string) bool {
	if k < 0 || k >= len(r.atoms) || r.atoms[k].sort != letters {
		return false
	}
	low := r.lowOf(k)
	for _, w := range words {
		if string(low) == w {
			return true
		}
	}
	return false
}

func (r *reader) isFigures(k int) bool {
	return k >= 0 && k < len(r.atoms) && r.atoms[k].sort == figures
}

func (r *reader) isLetters(k int) bool {
	return k >= 0 && k < len(r.atoms) && r.atoms[k].sort == letters
}

// glued reports whether atom k stands against the figures or letters before it.
func (r *reader) glued(k int) bool {
	return k > 0 && k < len(r.atoms) && !r.atoms[k].gap && r.atoms[k].sort != sign && r.atoms[k-1].sort != sign
}

// touches reports whether atom k stands against whatever is before it.
func (r *reader) touches(k int) bool { return k > 0 && k < len(r.atoms) && !r.atoms[k].gap }

// runEnd gives the atom behind the figures and letters that stand against each other from atom i on.
func (r *reader) runEnd(i int) int {
	j := i + 1
	for j < len(r.atoms) && r.glued(j) {
		j++
	}
	return j
}

// runStart gives the first atom of the run that atom i is in.
func (r *reader) runStart(i int) int {
	for r.glued(i) {
		i--
	}
	return i
}

// chunk is the run from atom i to before atom j as marking codes have it.
func (r *reader) chunk(i, j int) (c chunk) {
	for k := i; k < j; k++ {
		if c.n == maxPieces {
			c.long = true
			break
		}
		c.atoms[c.n] = piece{r.codeOf(k), r.atoms[k].sort == figures}
		c.n++
	}
	return c
}

// source is the text of atoms i to before j as it was given.
func (r *reader) source(i, j int) string { return r.text[r.atoms[i].at:r.atoms[j-1].end] }

// printed is what atoms i to before j print, with look-alike signs folded.
func (r *reader) printed(i, j int) string {
	for k := i + 1; k < j; k++ {
		if r.atoms[k].lo != r.atoms[k-1].hi || r.atoms[k].gap {
			return r.source(i, j)
		}
	}
	return string(r.raw[r.atoms[i].lo:r.atoms[j-1].hi])
}

// points are the code points of the text from atom i to before atom j.
func (r *reader) points(i, j int) [2]int {
	return [2]int{int(r.atoms[i].from), int(r.atoms[j-1].upto)}
}

// add notes a span.
func (r *reader) add(s span) *span {
	if s.holds == 0 {
		s.holds = anyOfThem
	}
	r.spans = append(r.spans, s)
	return &r.spans[len(r.spans)-1]
}

// weigh notes what the spans weigh by what they cover.
func (r *reader) weigh() {
	for k := range r.spans {
		s := &r.spans[k]
		s.weight = s.lean
		for a := s.i; a < s.j; a++ {
			if r.atoms[a].sort != sign {
				s.weight += covered
			}
		}
	}
}
