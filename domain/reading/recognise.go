package reading

import (
	"slices"
	"strings"
)

// recogniser looks at the atoms from i on and notes what they say.
type recogniser struct {
	name string
	look func(r *reader, i int)
}

// recognisers, each for one thing. Their order does not matter: the solver weighs what they find.
var recognisers []recogniser

func init() {
	recognisers = []recogniser{
		{"words", (*reader).words},
		{"amounts", (*reader).amounts},
		{"tolerances", (*reader).tolerances},
		{"temperature ranges", (*reader).heatRanges},
		{"sizes", (*reader).sizes},
		{"counts", (*reader).counts},
		{"codes", (*reader).codes},
		{"type numbers", (*reader).types},
		{"order codes", (*reader).orders},
		{"cells", (*reader).cells},
		{"fuses", (*reader).fuses},
		{"colour bands", (*reader).bands},
		{"labels", (*reader).labels},
	}
}

// recognise runs the recognisers over the whole text.
func (r *reader) recognise() {
	r.compounds()
	r.numbers = slices.Grow(r.numbers, len(r.atoms))[:len(r.atoms)]
	clear(r.numbers)
	r.listen()
	if r.only == 0 {
		r.names()
	}
	for i := range r.atoms {
		r.first = append(r.first, len(r.spans))
		if i < r.named {
			continue
		}
		for k := range recognisers {
			r.begin(i, recognisers[k].name, recognisers[k].look)
		}
	}
	r.first = append(r.first, len(r.spans))
	r.negations()
}

// begin runs one recogniser at an atom.
func (r *reader) begin(i int, name string, look func(r *reader, i int)) {
	from := len(r.spans)
	look(r, i)
	for k := from; k < len(r.spans); k++ {
		if r.spans[k].rule == "" {
			r.spans[k].rule = name
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
			if raw := r.casedOf(i); k >= 3 && string(low[k:]) == end && len(raw) > len(end) && strings.EqualFold(string(raw[len(raw)-len(end):]), end) {
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
	tail.lo, tail.llo, tail.clo, tail.at, tail.from, tail.gap = tail.hi-k, tail.lhi-k, tail.chi-k, tail.end-k, tail.upto-k, false
	head.hi, head.lhi, head.chi, head.end, head.upto = tail.lo, tail.llo, tail.clo, tail.at, tail.from
	if low := r.lowOf(i); !known(low) && low[len(low)-1] == 's' && known(low[:len(low)-1]) {
		head.lhi--
	}
}
