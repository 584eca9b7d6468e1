package reading

import (
	"cmp"
	"slices"

	"boardlore/domain/quantity"
)

func sortSpans(all []span) {
	slices.SortStableFunc(all, func(a, b span) int { return cmp.Compare(a.i, b.i) })
}

// weighed is what a span weighs for a class; false where the class can't take it.
func (r *reader) weighed(s *span, of classes) (int, bool) {
	if s.holds&of == 0 {
		return 0, false
	}
	w := s.weight
	if s.argues&of != 0 {
		w += s.bonus / 10
	}
	if of&(capacitorClass|inductorClass) != 0 && s.act == actAmount && s.q[0].Unit() == quantity.Watt {
		w -= covered // hardly ever said of them
	}
	if s.act == actAmount && s.label == "" && likelier(s.q[0].Unit())&of != 0 {
		w += 2
	}
	return w, true
}

// cover finds the spans that don't overlap and weigh most for a class, into got, and what they weigh.
func (r *reader) cover(of classes) int {
	n := len(r.atoms)
	r.best, r.pick = append(r.best[:0], make([]int, n+1)...), append(r.pick[:0], make([]int, n+1)...)
	for i := n - 1; i >= 0; i-- {
		r.best[i], r.pick[i] = r.best[i+1], -1
		for k := r.first[i]; k < r.first[i+1]; k++ {
			s := &r.spans[k]
			if w, ok := r.weighed(s, of); ok && w > 0 && (w+r.best[s.j] > r.best[i] || w+r.best[s.j] == r.best[i] &&
				r.pick[i] < 0) {
				r.best[i], r.pick[i] = w+r.best[s.j], k
			}
		}
	}
	r.got = r.got[:0]
	for i := 0; i < n; {
		if k := r.pick[i]; k >= 0 {
			r.got = append(r.got, k)
			i = r.spans[k].j
		} else {
			i++
		}
	}
	return r.best[0] + r.argued(of) + r.together(of)
}

// argued is how much the spans of a cover speak for a class; of words for classes the first counts most.
func (r *reader) argued(of classes) (sum int) {
	for _, k := range r.got {
		s := &r.spans[k]
		if s.argues&of == 0 {
			continue
		}
		sum += s.bonus - s.bonus/10
		if s.act == actClass {
			sum -= min(s.i, 10)
		}
	}
	return sum
}

// together is what spans of a cover weigh beside each other: a speed and a current make a fuse.
func (r *reader) together(of classes) int {
	has := func(f func(s *span) bool) bool {
		return slices.ContainsFunc(r.got, func(k int) bool { return f(&r.spans[k]) })
	}
	amperes := func(s *span) bool { return s.act == actAmount && s.q[0].Unit() == quantity.Ampere && s.label == "" }
	switch of {
	case fuseClass:
		switch {
		case !has(amperes):
		case has(func(s *span) bool { return s.act == actSpeed || s.act == actFusible }):
			return 20
		case has(func(s *span) bool { return s.act == actLetter && speedOf(s.name) != "" }):
			return 15
		case has(func(s *span) bool { return s.act == actSize && fuseBody(s) }):
			return 14
		}
	case resistorClass:
		if has(func(s *span) bool { return s.act == actAmount && s.q[0].Unit() == quantity.Watt }) &&
			r.pointLetter("r", "k", "m", "e") {
			return 22
		}
	case capacitorClass:
		if has(func(s *span) bool { return s.act == actDielectric && !s.sure }) && r.pointLetter("n", "p", "u") {
			return 15
		}
	}
	return 0
}

// pointLetter reports whether figures with one of the letters of capacitances stand anywhere.
func (r *reader) pointLetter(of ...string) bool {
	for k := range r.atoms {
		if r.isFigures(k) && r.glued(k+1) && r.isWord(k+1, of...) {
			return true
		}
	}
	return false
}

func fuseBody(s *span) bool {
	return s.n == 2 && slices.Contains(fuseBodies[:], [2]float64{s.mm[0], s.mm[1]})
}

// anchored reports whether anything in the cover at hand speaks for the class.
func (r *reader) anchored(of classes) bool {
	return r.together(of) > 0 || slices.ContainsFunc(r.got, func(k int) bool { return r.spans[k].argues&of != 0 })
}

// candidate is a class with what its cover weighs.
type candidate struct {
	of     classes
	weight int
}

// decide finds the class that the text is about. Without a class that anything speaks for, none is given.
func (r *reader) decide() []candidate {
	all := r.rivals[:0]
	var argued classes
	for k := range r.spans {
		argued |= r.spans[k].argues
	}
	argued |= fuseClass | capacitorClass | resistorClass
	for i := range Classes {
		of := classes(1) << i
		if argued&of == 0 {
			continue
		}
		w := r.cover(of)
		if !r.anchored(of) {
			continue
		}
		all = append(all, candidate{of, w + r.valueWeight(of)})
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return b.weight - a.weight })
	r.rivals = all
	return all
}

// valueWeight is what a value without its unit would add to the cover at hand: the first run left over that a class's
// codes can read.
func (r *reader) valueWeight(of classes) int {
	kind := of.valueKind()
	if kind == 0 || kind == quantity.Frequency || kind == quantity.Voltage || r.covers(kind.Unit()) {
		return 0
	}
	r.mark()
	for i := 0; i < len(r.atoms); i++ {
		if i >= r.named && r.free(i) && r.isFigures(i) && !(r.glued(i) && r.free(i-1)) && !r.amountAt(i) {
			j := r.freeEnd(i)
			p, ok := pointOf(r.runLow(i, j))
			if _, sure := typeClass(r.runLow(i, j)); sure {
				continue
			}
			if ok && (of&ohmic != 0 && (p.letter == "r" || p.letter == "k" || p.letter == "m") ||
				of == capacitorClass && (p.letter == "n" || p.letter == "p" || p.letter == "u") ||
				of == inductorClass && (p.letter == "u" || p.letter == "n" || p.letter == "m")) {
				return (j-i)*covered + 4
			}
			if of&(ohmic|capacitorClass) != 0 {
				return covered / 2
			}
		}
	}
	return 0
}

// amountAt reports whether an amount with its unit begins at an atom, which is then no code.
func (r *reader) amountAt(i int) bool {
	return r.beginsAt(i, actAmount, actPair, actRange)
}

// covers reports whether the cover has a value of a unit, or a code that says it.
func (r *reader) covers(u quantity.Unit) bool {
	return slices.ContainsFunc(r.got, func(k int) bool {
		s := &r.spans[k]
		return s.act == actAmount && s.label == "" && s.q[0].Unit() == u || s.act == actSections || s.act == actBands ||
			s.act == actOrder && !s.code.value.IsZero()
	})
}

// mark notes which atoms the cover at hand takes.
func (r *reader) mark() {
	for k := range r.atoms {
		r.atoms[k].used = k < r.named
	}
	for _, k := range r.got {
		r.use(r.spans[k].i, r.spans[k].j)
	}
}

func (r *reader) use(i, j int) {
	for k := i; k < j; k++ {
		r.atoms[k].used = true
	}
}

func (r *reader) release(i, j int) {
	for k := i; k < j; k++ {
		r.atoms[k].used = false
	}
}

// free reports whether atom k says something and nothing has taken it.
func (r *reader) free(k int) bool {
	return k >= 0 && k < len(r.atoms) && !r.atoms[k].used && r.atoms[k].sort != sign && r.atoms[k].sort != quoted
}

// freeEnd gives the atom behind the free ones that stand against each other from atom i on.
func (r *reader) freeEnd(i int) int {
	j := i + 1
	for r.free(j) && r.glued(j) {
		j++
	}
	return j
}
