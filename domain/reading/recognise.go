package reading

import (
	"slices"
	"strings"
)

// recogniser looks at the atoms from i on and notes what they say.
type recogniser struct {
	name string
	on   sorts // of the first atom
	look func(r *reader, i int)
}

// sorts is a set of sorts of atoms.
type sorts uint8

const (
	onFigures sorts = 1 << figures
	onLetters sorts = 1 << letters
	onSigns   sorts = 1 << sign
	onQuoted  sorts = 1 << quoted
)

// recognisers, each for one thing. Their order does not matter: the solver weighs what they find.
var recognisers []recogniser

func init() {
	recognisers = []recogniser{
		{"words", onFigures | onLetters, (*reader).words},
		{"amounts", onFigures, (*reader).amounts},
		{"tolerances", onFigures | onSigns, (*reader).tolerances},
		{"temperature ranges", onFigures | onSigns, (*reader).heatRanges},
		{"sizes", onFigures | onLetters | onSigns, (*reader).sizes},
		{"counts", onFigures | onLetters | onSigns, (*reader).counts},
		{"codes", onFigures | onLetters | onQuoted, (*reader).codes},
		{"type numbers", onFigures | onLetters, (*reader).types},
		{"order codes", onFigures | onLetters, (*reader).orders},
		{"cells", onFigures | onLetters, (*reader).cells},
		{"fuses", onFigures | onLetters, (*reader).fuses},
		{"colour bands", onLetters, (*reader).bands},
		{"labels", onLetters | onSigns, (*reader).labels},
	}
}

// recognise runs the recognisers over the whole text.
func (r *reader) recognise() {
	r.compounds()
	r.numbers = slices.Grow(r.numbers, len(r.atoms))[:len(r.atoms)]
	clear(r.numbers)
	r.units = slices.Grow(r.units, len(r.atoms))[:len(r.atoms)]
	clear(r.units)
	r.listen()
	if r.only == 0 {
		r.names()
	}
	for i := range r.atoms {
		r.first = append(r.first, len(r.spans))
		if i < r.named {
			continue
		}
		on := sorts(1) << r.atoms[i].sort
		for k := range recognisers {
			if recognisers[k].on&on != 0 {
				r.begin(i, &recognisers[k])
			}
		}
	}
	r.first = append(r.first, len(r.spans))
	r.negations()
	r.weigh()
}

// begin runs one recogniser at an atom.
func (r *reader) begin(i int, one *recogniser) {
	from := len(r.spans)
	one.look(r, i)
	for k := from; k < len(r.spans); k++ {
		if r.spans[k].rule == "" {
			r.spans[k].rule = one.name
		}
	}
}

// spansAt gives the spans that begin at an atom.
func (r *reader) spansAt(i int) []span {
	if i < 0 || i+1 >= len(r.first) {
		return nil
	}
	return r.spans[r.first[i]:r.first[i+1]]
}

// beginsAt reports whether a span of one of these acts begins at an atom.
func (r *reader) beginsAt(i int, some ...act) bool {
	of := actsOf(some...)
	here := r.spansAt(i)
	for k := range here {
		if of.has(here[k].act) {
			return true
		}
	}
	return false
}

// compoundEnds are the last members of German and Dutch compounds that say a class or a construction by themselves; rows
// of the lexicon.
var compoundEnds = func() (out []string) {
	for end := range sets["compound"] {
		out = append(out, unaccent(end))
	}
	slices.Sort(out)
	return out
}()

// compounds cuts a compound such as Tonfrequenzelko before its last member, so that either half is read or left
// over by itself.
func (r *reader) compounds() {
	for i := 0; i < len(r.atoms); i++ {
		a := r.atoms[i]
		low := r.lowOf(i)
		if a.sort != letters || a.script != latin || len(low) < 7 || known(low) {
			continue
		}
		for _, end := range compoundEnds {
			k := len(low) - len(end)
			if raw := r.casedOf(i); k >= 3 && string(low[k:]) == end && len(raw) > len(end) &&
				strings.EqualFold(string(raw[len(raw)-len(end):]), end) {
				r.cut(i, len(end))
				i++
				break
			}
		}
	}
}

// cut makes two atoms of atom i, so many plain letters before its end. The s that links a compound is in its first
// member.
func (r *reader) cut(i, n int) {
	r.atoms = slices.Insert(r.atoms, i+1, r.atoms[i])
	head, tail := &r.atoms[i], &r.atoms[i+1]
	k := uint16(n)
	tail.lo, tail.llo, tail.clo, tail.at, tail.from, tail.gap = tail.hi-k, tail.lhi-k, tail.chi-k, tail.end-k,
		tail.upto-k, false
	head.hi, head.lhi, head.chi, head.end, head.upto = tail.lo, tail.llo, tail.clo, tail.at, tail.from
	if low := r.lowOf(i); !known(low) && low[len(low)-1] == 's' && known(low[:len(low)-1]) {
		head.lhi--
	}
}
