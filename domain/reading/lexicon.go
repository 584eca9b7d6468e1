package reading

import (
	_ "embed"
	"strings"

	"boardlore/domain/quantity"
)

// act is what a span of text does.
type act uint8

const (
	noAct act = iota
	actClass
	actElectrolytic // aluminium, unless tantalum or polymer stands beside it
	actPolymer      // aluminium, unless tantalum stands beside it
	actConstruction
	actFilm     // a film's dielectric; also: the construction
	actSeries   // a series whose name says the construction
	actResistor // a resistor's construction
	actFusible  // a resistor's construction or, in Romance languages, a fuse
	actPolarised
	actMount
	actSupply
	actShape
	actSpeed
	actRechargeable
	actChemistry
	actChemLetter // in a cell only, being a word or a designator otherwise
	actTaper
	actText
	actAbout
	actLabel
	actFiller
	actNot
	actOr
	actWas
	actLike
	actBound
	actCount
	actPlain
	actColour
	actAbsent
	actUnit
	// what no word says
	actAmount
	actPair     // two ratings with a stroke between
	actRange    // two ends
	actSections // values with a plus between
	actTolerance
	actSize   // two or three lengths
	actLength // one, with its label
	actQuantity
	actName
	actType
	actOrder
	actCell
	actSafety
	actDielectric
	actFuse
	actChip
	actCase
	actLetter
	actCharge
	actQuotedMember
	actBands
	actNegated
	actPrice
	actWindings
	actCode // a value by a marking code
)

var actNames = [...]string{actClass: "class", actElectrolytic: "electrolytic", actPolymer: "polymer",
	actConstruction: "construction", actFilm: "film",
	actSeries: "series", actResistor: "resistor", actFusible: "fusible", actPolarised: "polarised", actMount: "mount",
	actSupply: "supply", actShape: "shape",
	actSpeed: "speed", actRechargeable: "rechargeable", actChemistry: "chemistry", actChemLetter: "chemletter",
	actTaper: "taper", actText: "text",
	actAbout: "about", actLabel: "label", actFiller: "filler", actNot: "not", actOr: "or", actWas: "was",
	actLike: "like", actBound: "bound",
	actCount: "count", actPlain: "plain", actColour: "colour", actAbsent: "absent", actUnit: "unit",
	actAmount: "amount", actPair: "two ratings", actRange: "range", actSections: "sections", actTolerance: "tolerance",
	actSize:   "size",
	actLength: "length", actQuantity: "how many", actName: "designator", actType: "type number", actOrder: "order code",
	actCell:   "cell code",
	actSafety: "safety class", actDielectric: "dielectric code", actFuse: "fuse rating", actChip: "chip size",
	actCase:   "case code",
	actLetter: "letter", actCharge: "charge", actQuotedMember: "quoted member", actBands: "colour bands",
	actNegated: "negated", actPrice: "price", actWindings: "windings",
	actCode: "marking code"}

func (a act) String() string { return actNames[a] }

// acts is a set of them.
type acts uint64

func actsOf(all ...act) (out acts) {
	for _, a := range all {
		out |= 1 << a
	}
	return out
}

func (s acts) has(a act) bool { return s>>a&1 != 0 }

// row is one line of the lexicon.
type row struct {
	act         act
	value, also string
}

// entry is a phrase of the lexicon, or the beginning of one.
type entry struct {
	rows     []*row
	acts     acts // of the rows
	more     bool // longer phrases begin so
	inductor bool // says inductor, in whose light h is henry and colours count in microhenrys
}

// first is the row of an entry that does so, nil where there is none; an entry has one of each.
func (e *entry) first(a act) *row {
	if e.acts.has(a) {
		for _, w := range e.rows {
			if w.act == a {
				return w
			}
		}
	}
	return nil
}

//go:embed lexicon.txt
var lexiconText string

// lexicon has the phrases by their keys; see lexer.key.
var lexicon = func() map[string]*entry {
	acts := map[string]act{}
	for a := actClass; a <= actUnit; a++ {
		acts[actNames[a]] = a
	}
	m := make(map[string]*entry, 2048)
	var l lexer
	for line := range strings.Lines(lexiconText) {
		cols := strings.Split(strings.TrimRight(line, "\n"), "\t")
		if len(cols) != 5 {
			continue
		}
		if acts[cols[0]] == noAct {
			continue // of lists, and sets
		}
		r := &row{acts[cols[0]], cols[1], cols[2]}
		for surface := range strings.SplitSeq(cols[4], "|") {
			if r.act == actUnit {
				learnUnit(surface, r.value)
				continue
			}
			learn(m, &l, surface, r)
		}
	}
	for _, c := range Classes {
		learn(m, &l, strings.ReplaceAll(c, "-", " "), &row{act: actClass, value: c})
	}
	return m
}()

// sets are rows of the lexicon that are no phrases, by their kind: for each word, what the row says of it.
//
//	apart          texts of which a part has one only, with the name of their set
//	compound       last members of German and Dutch compounds that say something by themselves
//	french colour  colours among which "or" is gold
//	letters        beginnings of type numbers, with the class that makers like to name so
//	class 1        codes of class 1 dielectrics
var sets = func() map[string]map[string]string {
	m := map[string]map[string]string{"apart": {}, "compound": {}, "french colour": {}, "letters": {}, "class 1": {}}
	for line := range strings.Lines(lexiconText) {
		cols := strings.Split(strings.TrimRight(line, "\n"), "\t")
		if words := m[cols[0]]; words != nil {
			for word := range strings.SplitSeq(cols[4], "|") {
				words[word] = cols[1]
			}
		}
	}
	return m
}()

// isIn reports whether a set of the lexicon has a word.
func isIn(set map[string]string, low []byte) bool {
	_, ok := set[string(low)]
	return ok
}

func learn(m map[string]*entry, l *lexer, surface string, r *row) {
	l.reset(surface)
	l.run()
	var key []byte
	words := 0 // the key up to the last word
	for k := range l.atoms {
		if l.atoms[k].sort != sign && words > 0 {
			entryOf(m, key[:words]).more = true
		}
		if key = l.appendKey(key, k); l.atoms[k].sort != sign {
			words = len(key)
		}
	}
	e := entryOf(m, key)
	for _, old := range e.rows {
		if old.act == r.act {
			return // the first row goes before
		}
	}
	e.rows, e.acts = append(e.rows, r), e.acts|1<<r.act
	e.inductor = e.inductor || r.act == actClass && r.value == "inductor"
}

func entryOf(m map[string]*entry, key []byte) *entry {
	e := m[string(key)]
	if e == nil {
		e = &entry{}
		m[string(key)] = e
	}
	return e
}

// learnUnit enters a word for a unit that has no prefix.
func learnUnit(word, symbol string) {
	for u := quantity.Farad; u <= quantity.Percent; u++ {
		if u.String() == symbol {
			unitNames[unaccent(word)] = unitWord{unit: u, n: 1}
		}
	}
}

// unitNames are the units as words of one language, in lower case and without accents.
var unitNames = map[string]unitWord{}

// unaccent brings a word into the form in which the lexicon has it.
func unaccent(word string) string {
	var b []byte
	for _, c := range strings.ToLower(word) {
		b = unaccented(b, c)
	}
	return string(b)
}

// appendKey appends atom k to the key of a phrase: in lower case without accents, parted by a blank where a blank or a
// hyphen parts it from the atom before, and by nothing in writings without blanks.
func (l *lexer) appendKey(key []byte, k int) []byte {
	a := &l.atoms[k]
	low := l.low[a.llo:a.lhi]
	if a.sort == sign {
		switch low[0] {
		case '\'', '/':
			return append(key, low[0])
		}
		if len(key) > 0 && key[len(key)-1] != ' ' {
			key = append(key, ' ')
		}
		return key
	}
	if n := len(key); n > 0 && a.gap && key[n-1] != ' ' && a.script != ideographic {
		key = append(key, ' ')
	}
	return append(key, low...)
}

// maxWords is the most atoms that a phrase is looked for in.
const maxWords = 14

// heard is a phrase of the lexicon where it stands.
type heard struct {
	e *entry
	j int // the atom behind it
}

// listen finds the phrases of the whole text, once.
func (r *reader) listen() {
	r.heard, r.hearing = r.heard[:0], r.hearing[:0]
	for i := range r.atoms {
		r.hearing = append(r.hearing, len(r.heard))
		if r.atoms[i].sort != sign && r.atoms[i].sort != quoted {
			r.phrasesAt(i)
		}
	}
	r.hearing = append(r.hearing, len(r.heard))
	for _, h := range r.heard {
		r.flags.inductor = r.flags.inductor || r.only == 0 && h.e.inductor
	}
}

// heardAt are the phrases of the lexicon that begin at atom i, the longest last.
func (r *reader) heardAt(i int) []heard {
	if i < 0 || i+1 >= len(r.hearing) {
		return nil
	}
	return r.heard[r.hearing[i]:r.hearing[i+1]]
}

// phrasesAt notes the phrases of the lexicon that begin at atom i.
func (r *reader) phrasesAt(i int) {
	var room [96]byte
	key := room[:0]
	for k := i; k < min(len(r.atoms), i+maxWords); k++ {
		a := &r.atoms[k]
		switch {
		case a.sort == sign:
			if k == i || a.gap || !joins(r.raw[a.lo]) || k+1 >= len(r.atoms) || r.atoms[k+1].gap &&
				r.raw[a.lo] != '.' || r.atoms[k+1].sort == sign {
				return
			}
			key = r.appendKey(key, k)
			continue
		case a.sort == quoted, len(key)+int(a.lhi-a.llo) >= len(room)-2:
			return
		}
		key = r.appendKey(key, k)
		e := lexicon[string(key)]
		if e == nil {
			return
		}
		if len(e.rows) > 0 {
			r.heard = append(r.heard, heard{e, k + 1})
		}
		if !e.more {
			return
		}
	}
}

// joins reports whether a sign may stand inside a phrase.
func joins(c byte) bool { return c == '-' || c == '.' || c == '\'' || c == '/' || c == '_' }

// known reports whether a word, in lower case and without accents, is a phrase of the lexicon.
func known(low []byte) bool {
	e := lexicon[string(low)]
	return e != nil && len(e.rows) > 0
}
