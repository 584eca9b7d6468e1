package reading

import (
	"slices"
	"strings"
)

// wordRule says which classes can take what a word does, for which it speaks, and how much.
type wordRule struct {
	holds  classes
	argues classes
	bonus  int
}

// wordRules are the judgement of the trade: a ceramic body is also a resistor's or a fuse's, a fast part also a diode.
var wordRules = map[act]wordRule{
	actElectrolytic: {capacitorClass, capacitorClass, 20},
	actPolymer:      {capacitorClass, capacitorClass, 15},
	actConstruction: {capacitorClass, capacitorClass, 12},
	actFilm:         {capacitorClass, capacitorClass, 15},
	actSeries:       {capacitorClass, capacitorClass, 15},
	actResistor:     {resistorClass | potentiometerClass, resistorClass, 15},
	actFusible:      {resistorClass | fuseClass, 0, 0},
	actPolarised:    {capacitorClass, capacitorClass, 12},
	actSpeed:        {fuseClass, 0, 0},
	actRechargeable: {cellClass, cellClass, 20},
	actChemistry:    {cellClass, cellClass, 20},
	actChemLetter:   {cellClass, 0, 0},
	actSupply:       {relayClass | lampClass, 0, 0},
	actTaper:        {potentiometerClass, potentiometerClass, 15},
}

// words notes the phrases of the lexicon.
func (r *reader) words(i int) {
	if r.atoms[i].sort == sign || r.atoms[i].sort == quoted || r.glued(i) && !r.mayFollow(i) {
		return
	}
	for _, h := range r.heardAt(i) {
		if r.glued(h.j) && !r.mayPrecede(h.j) {
			continue // the head of another word
		}
		for _, row := range h.e.rows {
			r.word(row, i, h.j)
		}
	}
}

// mayFollow reports whether a word may begin at atom i although something stands against it: a member of a compound, a
// word in a writing without blanks, or a word behind figures (4pcs).
func (r *reader) mayFollow(i int) bool {
	return r.atoms[i].script == ideographic || r.atoms[i-1].script == ideographic || r.atoms[i-1].sort == letters ||
		r.atoms[i-1].sort == figures
}

// mayPrecede reports whether a word may end before atom j although it stands against it: letters, or a writing without
// blanks. Figures against letters are one code.
func (r *reader) mayPrecede(j int) bool {
	return r.atoms[j].sort == letters || r.atoms[j-1].script == ideographic
}

func (r *reader) word(w *row, i, j int) {
	s := span{i: i, j: j, act: w.act, row: w, rule: "word"}
	rule, ruled := wordRules[w.act]
	if ruled {
		s.holds, s.argues, s.bonus = rule.holds, rule.argues, rule.bonus
	}
	if r.glued(i) && r.atoms[i-1].sort == figures && r.atoms[i].script != ideographic {
		return
	}
	switch w.act {
	case actLabel, actFiller, actColour, actUnit:
		return // their own recognisers see to them
	case actCount:
		return
	case actClass:
		s.holds = setOf(w.value)
		s.argues, s.bonus = s.holds, 40
		if w.also == "trimmer" {
			s.holds |= capacitorClass
			s.bonus = 22
		}
		switch {
		case w.value == "integrated-circuit" || w.value == "lamp":
			s.bonus = 34 // a timer, a controller
		case w.value == "other" && w.also != "":
			s.bonus = 120 // a fuse holder is no fuse
		}
	case actConstruction:
		if w.value == "ceramic" {
			s.holds |= resistorClass | fuseClass | crystalClass | inductorClass
		}
		if w.value == "paper" || w.value == "film" {
			s.holds |= resistorClass | potentiometerClass
		}
	case actSpeed:
		s.holds |= diodeClass | transistorClass | circuitClass
		s.lean = 1
	case actText:
		if len(w.value) == 2 && w.value == "AC" {
			s.lean = -6
		}
	case actNot, actOr, actWas, actLike, actBound:
		s.lean = -8
		if !r.turns(w.act, i, j) {
			return
		}
	case actAbout, actAbsent:
		s.lean = -8
	case actPlain:
		s.lean = -9
	case actMount, actShape:
	}
	r.add(s)
}

// turns reports whether a word that turns things round stands as one, and not as a letter or an abbreviation.
func (r *reader) turns(a act, i, j int) bool {
	if j > i+1 || len(r.lowOf(i)) > 1 {
		return !(a == actNot && r.isWord(i, "no", "non") && r.isSign(i+1, '.') && r.isFigures(i+2))
	}
	// o: Italian and Spanish for or; a letter in capitals is none
	return r.printOf(i) == strings.ToLower(r.printOf(i)) && r.atoms[i].gap && i > 0
}

// negations gives the words that turn things round their reach: a negation, and a word of another part (replaces, like),
// takes the next thing that is said; one that stands behind takes the one before.
func (r *reader) negations() {
	r.nested()
	n := len(r.spans)
	for k := range n {
		switch r.spans[k].act {
		case actNot, actWas, actLike, actAbsent:
		default:
			continue
		}
		s := r.spans[k]
		if s.act == actAbsent || s.row.value == "behind" || s.act == actNot && r.closes(s.j) {
			r.negateBehind(&s)
			continue
		}
		j := s.j
		for r.isSign(j, '-') || r.isSign(j, '(') || r.isSign(j, ':') {
			j++
		}
		j = r.overFillers(j)
		for _, t := range r.spansAt(j) {
			if turnable(&t) {
				r.negated(&t, &s, s.i, t.j)
			}
		}
	}
	if len(r.spans) > n {
		r.reindex()
	}
}

// nested drops the words for a class that stand within longer ones: resistor in variable resistor.
func (r *reader) nested() {
	kept := 0
	for k := range r.spans {
		if s := &r.spans[k]; s.act == actClass && r.within(s) {
			continue
		}
		if kept < k {
			r.spans[kept] = r.spans[k]
		}
		kept++
	}
	if kept < len(r.spans) {
		r.spans = r.spans[:kept]
		r.reindex()
	}
}

// within reports whether a word for a class stands within a longer one.
func (r *reader) within(s *span) bool {
	for k := range r.spans {
		if t := &r.spans[k]; t.act == actClass && t.i <= s.i && t.j >= s.j && t.j-t.i > s.j-s.i {
			return true
		}
	}
	return false
}

// overFillers passes over what may stand between a negation and its term: with, the, a class.
func (r *reader) overFillers(j int) int {
	for steps := 0; steps < 3 && j < len(r.atoms); steps++ {
		next := j
		for _, t := range r.spansAt(j) {
			if t.act == actPlain && t.j > next {
				next = t.j
			}
		}
		if next == j {
			break
		}
		j = next
	}
	return j
}

// backOverFillers passes back over what may stand between a term and the negation behind it.
func (r *reader) backOverFillers(i int) int {
	for steps := 0; steps < 6; steps++ {
		next := i
		if r.isSign(i-1, ':') || r.isSign(i-1, '?') || r.isSign(i-1, '=') || r.isSign(i-1, '-') {
			next = i - 1
		}
		for k := max(0, i-2); k < i && next == i; k++ {
			if slices.ContainsFunc(r.spansAt(k), func(t span) bool { return t.act == actPlain && t.j == i }) {
				next = k
			}
		}
		if next == i {
			break
		}
		i = next
	}
	return i
}

// turnable reports whether a negation of the span says something: a yes-or-no term, a class of safety, a trade word.
func turnable(s *span) bool {
	switch s.act {
	case actPolarised, actRechargeable, actText, actTaper, actSafety, actFusible, actSpeed, actChemistry,
		actConstruction, actFilm, actMount,
		actElectrolytic, actPolymer, actDielectric, actClass:
		return true
	case actResistor:
		return s.row.value == "fusible"
	}
	return false
}

// closes reports whether nothing that a negation could reach ahead to stands from atom j on: the text ends there, or its
// bracket does.
func (r *reader) closes(j int) bool {
	return j >= len(r.atoms) || r.isSign(j, ')') || r.isSign(j, ';') || (r.isSign(j, ',') || r.isSign(j, '.')) &&
		(j+1 == len(r.atoms) || r.atoms[j+1].gap)
}

// negateBehind reaches back to what is said before a negation, over the signs of a question and words that say nothing:
// X2: no, bipolar? no, X2 approval missing.
func (r *reader) negateBehind(s *span) {
	i := r.backOverFillers(s.i)
	for k := range r.spans {
		t := r.spans[k]
		if t.j == i && turnable(&t) {
			r.negated(&t, s, t.i, s.j)
		}
	}
}

// negated notes a term together with its negation, or with the word by which it is another part's.
func (r *reader) negated(term, by *span, i, j int) {
	s := *term
	if by.act != actNot {
		s.doubts = say("reading.another-part", r.source(i, j))
	} else if k, ok := r.reachesOn(term); ok {
		s.doubts = say("reading.turns-round", r.source(i, k))
	}
	s.i, s.j, s.act = i, j, actNegated
	s.argues, s.bonus, s.rule = 0, 0, "negation"
	s.holds |= term.holds
	s.lean = 3
	s.label = actNames[term.act]
	if term.act == actClass {
		s.holds = anyOfThem // a potentiometer without a switch
	}
	if term.row == nil {
		s.row = &row{act: term.act, value: term.name}
	}
	s.name = term.name
	r.add(s)
}

// reachesOn finds a second class of safety that stands in one list with a denied one, up to which the negation may
// reach: not X1, X2.
func (r *reader) reachesOn(term *span) (end int, ok bool) {
	if term.act != actSafety || !r.isSign(term.j, ',') && !r.isSign(term.j, '+') && !r.isSign(term.j, '&') {
		return 0, false
	}
	for _, t := range r.spansAt(term.j + 1) {
		if t.act == actSafety {
			return t.j, true
		}
	}
	return 0, false
}

// reindex puts the spans in the order of their beginnings again.
func (r *reader) reindex() {
	sortSpans(r.spans)
	r.first = r.first[:0]
	k := 0
	for i := 0; i <= len(r.atoms); i++ {
		for k < len(r.spans) && r.spans[k].i < i {
			k++
		}
		r.first = append(r.first, k)
	}
}
