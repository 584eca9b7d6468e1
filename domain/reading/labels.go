package reading

import (
	"strings"

	"boardlore/domain/quantity"
)

// labelUnit is the unit of what a label names.
func labelUnit(label string) quantity.Unit {
	switch label {
	case "esr":
		return quantity.Ohm
	case "ripple", "current", "breaking":
		return quantity.Ampere
	case "load":
		return quantity.Farad
	case "voltage", "surge":
		return quantity.Volt
	case "temperature":
		return quantity.Celsius
	case "endurance":
		return quantity.Hour
	}
	return quantity.None
}

// labelAt calls say for each label of the lexicon that begins at atom i.
func (r *reader) labelAt(i int, say func(label string, j int)) {
	if !r.isLetters(i) || r.glued(i) {
		return
	}
	for _, h := range r.heardAt(i) {
		if w := h.e.first(actLabel); w != nil && (!r.glued(h.j) || r.isFigures(h.j)) {
			say(w.value, h.j)
		}
	}
}

// labels notes what stands behind a label: ESR 0.05 Ω, W.V. 35, tol. 5 %, case D, order no. 123.
func (r *reader) labels(i int) {
	if r.isSign(i, '@') {
		r.bareTemperature(i)
	}
	r.labelAt(i, func(label string, j int) {
		single := j == i+1 && len(r.lowOf(i)) == 1
		k, marked := r.overMarks(j)
		if single && !marked && label != "pitch" && !(label == "esr" && r.isFigures(k) && !r.atoms[k].gap) {
			return // a letter alone is mostly something else
		}
		switch label {
		case "tolerance":
			r.labelledTolerance(i, k)
		case "case":
			r.caseBehind(i, k)
		case "order":
			r.orderBehind(i, k)
		case "breaking":
			r.breakingLetter(i, k)
			r.labelled(label, quantity.Ampere, i, k)
		case "primary", "secondary":
			r.windingsBehind(label, i, k)
		case "dielectric", "construction", "chemistry", "safety":
			if k < len(r.atoms) && r.atoms[k].sort == quoted {
				r.add(span{i: i, j: k + 1, act: actQuotedMember, label: label, lean: 6, rule: "quoted member"})
			}
		default:
			if u := labelUnit(label); u != quantity.None {
				r.labelled(label, u, i, k)
			}
		}
	})
}

// overMarks passes over what may stand between a label and its figure: = : . and filler words.
func (r *reader) overMarks(j int) (k int, marked bool) {
	k = j
	for r.isSign(k, '=') || r.isSign(k, ':') || r.isSign(k, '.') || r.isSign(k, ',') && !r.isFigures(k+1) {
		marked = marked || !r.isSign(k, '.')
		k++
	}
	for r.isLetters(k) && k+1 < len(r.atoms) && r.isFigures(k+1) {
		if e := lexicon[string(r.lowOf(k))]; e == nil || !e.acts.has(actFiller) {
			break
		}
		k++
	}
	return k, marked
}

// labelled notes an amount with the label before it.
func (r *reader) labelled(label string, want quantity.Unit, i, k int) {
	if r.isFigures(i-1) && k > i {
		if r.unitBehind(label, i, k) {
			return
		}
	}
	w, ok := r.numberAt(k)
	if !ok {
		return
	}
	s := span{i: i, act: actAmount, label: label, lean: 4, rule: "labelled amount"}
	if label == "surge" && i > 0 && r.isLetters(i-1) && r.besideUnit(i-1) {
		s.doubts = say("reading.surge-of-which", r.source(i, k))
	}
	if u, end, ok := r.unitOf(&w); ok {
		if u.unit != want || !r.fill(&s, &w, u) {
			return
		}
		s.j, s.current = end, currentOf(u)
		r.currentBehind(&s)
		r.add(s)
		return
	}
	if r.glued(w.j) || want != quantity.Volt && want != quantity.Celsius || w.num.n > 1 || label == "surge" {
		return
	}
	if r.isLetters(w.j) && r.besideUnit(w.j) {
		return
	}
	q, ok := w.value().times(0, want)
	if ok && q.Sign() > 0 && w.den == 0 {
		s.q[0], s.n, s.j = q, 1, w.j
		r.add(s)
	}
}

// unitBehind reports whether a label behind bare figures is what they are in: 450 WV is a rating and 525 surge a surge
// voltage, whatever follows.
func (r *reader) unitBehind(label string, i, k int) bool {
	if label == "surge" && !r.isFigures(k) {
		if w, ok := r.numberAt(i - 1); ok && w.den == 0 && w.num.n == 1 {
			s := span{i: i - 1, j: k, act: actAmount, label: label, n: 1, lean: 4, rule: "labelled amount"}
			if s.q[0], ok = w.value().times(0, quantity.Volt); ok {
				r.add(s)
			}
		}
		return true
	}
	_, end, ok := r.unitAt(i)
	return ok && end == k
}

// labelledBehind notes an amount that its label follows: 0.05 Ω ESR, 1.2 A ripple, 20 V surge.
func (r *reader) labelledBehind(a span) {
	r.labelAt(a.j, func(label string, j int) {
		if labelUnit(label) != a.q[0].Unit() || r.isFigures(j) || j == a.j+1 && len(r.lowOf(a.j)) == 1 &&
			label != "esr" || (r.isSign(j, '=') || r.isSign(j, ':')) && r.isFigures(j+1) {
			return
		}
		a.j, a.label, a.lean, a.rule = j, label, 4, "labelled amount"
		a.argues, a.bonus, a.holds = 0, 0, 0
		r.add(a)
	})
}

// bareTemperature reads 2000h@105, where the sign says what the number is.
func (r *reader) bareTemperature(i int) {
	if !r.isFigures(i+1) || r.glued(i+2) || !hot(r.codeOf(i+1)) || r.besideUnit(i+2) {
		return
	}
	d, _ := figuresOf(r.codeOf(i+1), -1)
	q, ok := d.times(0, quantity.Celsius)
	if ok {
		s := span{i: i + 1, j: i + 2, act: actAmount, label: "temperature", n: 1, lean: 1, rule: "temperature behind @"}
		s.q[0] = q
		s.i = i
		r.add(s)
	}
}

func (r *reader) labelledTolerance(i, k int) {
	from := len(r.spans)
	r.tolerances(k)
	for n := from; n < len(r.spans); n++ {
		if r.spans[n].act == actTolerance {
			r.spans[n].i, r.spans[n].lean = i, 5
		}
	}
}

// caseBehind takes what a word for the case names: case D, Bauform 0805.
func (r *reader) caseBehind(i, k int) {
	if k >= len(r.atoms) {
		return
	}
	j := r.runEnd(k)
	low := r.runLow(k, j)
	if _, ok := caseLetters[string(low)]; ok && j == k+1 {
		r.add(span{i: i, j: j, act: actCase, lean: 4, name: string(low), rule: "case"})
		return
	}
	if !r.isFigures(k) {
		return
	}
	from := len(r.spans)
	r.chipAt(k, j, low)
	for n := from; n < len(r.spans); n++ {
		r.spans[n].i, r.spans[n].sure, r.spans[n].lean = i, true, 4
	}
}

// orderBehind passes over an order number, which says nothing by itself.
func (r *reader) orderBehind(i, k int) {
	if k >= len(r.atoms) || r.atoms[k].sort == sign {
		return
	}
	j := r.runEnd(k)
	for (r.isSign(j, '-') || r.isSign(j, '/') || r.isSign(j, '.')) && j+1 < len(r.atoms) && r.touches(j) &&
		r.touches(j+1) && r.atoms[j+1].sort != sign {
		j = r.runEnd(j + 1)
	}
	if r.hasFigures(k, j) {
		r.add(span{i: i, j: j, act: actPrice, lean: 2, rule: "order number"})
	}
}

// breakingLetter notes the letter of IEC 60127 behind its label.
func (r *reader) breakingLetter(i, k int) {
	if r.isLetters(k) && len(r.printOf(k)) == 1 && strings.Contains("LEH", r.printOf(k)) && !r.glued(k+1) {
		r.add(span{i: i, j: k + 1, act: actQuotedMember, label: "breaking_capacity", name: r.printOf(k), lean: 6,
			holds: fuseClass, rule: "breaking capacity"})
	}
}

// windingsBehind notes what stands behind the side of a transformer: primary 230 V, secondary 12 V 12 V, sec 2x9V.
func (r *reader) windingsBehind(side string, i, k int) {
	s := span{i: i, act: actWindings, label: side, holds: transformerClass, argues: transformerClass, bonus: 6, lean: 5,
		rule: "windings"}
	for len(s.parts) < 8 {
		j := k
		for r.isSign(j, ',') || r.isSign(j, '/') || r.isSign(j, '+') {
			j++
		}
		q, times, end, ok := r.windingAt(j)
		if !ok {
			break
		}
		for range times {
			s.parts = append(s.parts, q)
		}
		k = end
	}
	if len(s.parts) > 0 {
		s.j = k
		r.add(s)
	}
}

// windingAt reads the voltage or the impedance of a winding, with how many there are of it.
func (r *reader) windingAt(k int) (q quantity.Quantity, times, end int, ok bool) {
	times = 1
	if n, counted := r.countAt(k); counted && n <= 4 {
		if next, x := r.times(k + 1); x {
			times, k = n, next
		}
	}
	w, ok := r.numberAt(k)
	if !ok || w.num.n > 1 {
		return q, times, k, false
	}
	u, end, ok := r.unitOf(&w)
	one := span{i: k, j: end}
	if !ok || u.unit != quantity.Volt && u.unit != quantity.Ohm || !r.fill(&one, &w, u) {
		return q, times, k, false
	}
	r.currentBehind(&one)
	return one.q[0], times, one.j, one.n == 1 && one.q[0].Sign() > 0
}
