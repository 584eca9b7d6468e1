package reading

import (
	"strings"

	"boardlore/domain/quantity"
)

// speeds are the characteristics of IEC 60127 by their letters.
var speeds = []string{"TT", "FF", "T", "F", "M"}

func speedOf(s string) string {
	for _, speed := range speeds {
		if strings.EqualFold(s, speed) {
			return speed
		}
	}
	return ""
}

// fuses notes T630mA, T 630 mA, F1AL250V, T3A15 and 2AT.
func (r *reader) fuses(i int) {
	if r.glued(i) || r.atoms[i].sort == sign {
		return
	}
	s := span{i: i, act: actFuse, holds: fuseClass, argues: fuseClass, bonus: 30, lean: 3, rule: "fuse"}
	k := i
	if r.isLetters(k) {
		if s.name = speedOf(r.printOf(k)); s.name == "" {
			return
		}
		k++
		if r.isSign(k, '-') && r.touches(k) {
			k++
		}
	}
	q, end, ok := r.amperesAt(k)
	if !ok {
		return
	}
	rest := ""
	if r.isLetters(end) && !r.atoms[end].gap {
		rest = string(r.codeOf(end))
	}
	if q.behind != "" {
		rest = q.behind
	}
	if !r.fuseTail(&s, rest, &end, q.behind != "") {
		return
	}
	s.q[0], s.n, s.j = q.q, 1, end
	r.fuseVolts(&s)
	if r.glued(s.j) {
		return
	}
	r.add(s)
}

// amperes is a current and the letters against its unit.
type amperes struct {
	q      quantity.Quantity
	behind string
}

// amperesAt takes a current written close or with a blank: 630mA, 1 A, 3A15, 1/2A; end is the atom behind it.
func (r *reader) amperesAt(k int) (a amperes, end int, ok bool) {
	w, ok := r.numberAt(k)
	if !ok || w.num.n > 1 || !r.isLetters(w.j) {
		return a, k, false
	}
	exp := 0
	rest, found := strings.CutPrefix(string(r.lowOf(w.j)), "a")
	if after, milli := strings.CutPrefix(string(r.lowOf(w.j)), "ma"); milli {
		rest, found, exp = after, true, -3
	}
	if !found {
		return a, k, false
	}
	d := w.value()
	end = w.j + 1
	if w.den == 0 && rest == "" && exp == 0 && w.num.plain && r.isFigures(end) && r.glued(end) &&
		len(r.codeOf(end)) <= 3 && !r.glued(end+1) {
		if d, ok = pointed(w.num.text, r.codeOf(end)); !ok {
			return a, k, false
		}
		end++
	}
	u := unitWord{unit: quantity.Ampere, exps: [2]int8{int8(exp)}, n: 1}
	one := span{}
	w.num.alts[0] = d
	if !r.fill(&one, &w, u) || one.q[0].Sign() <= 0 {
		return a, k, false
	}
	return amperes{one.q[0], rest}, end, true
}

// fuseTail reads the letters against a current: the speed, the breaking capacity, or both.
func (r *reader) fuseTail(s *span, rest string, end *int, inUnit bool) bool {
	if rest != "" && !inUnit {
		*end++
	}
	for rest != "" {
		switch {
		case s.name == "" && speedOf(rest[:1]) != "":
			n := 1
			if len(rest) > 1 && speedOf(rest[:2]) != "" {
				n = 2
			}
			s.name, rest = speedOf(rest[:n]), rest[n:]
		case s.label == "" && strings.Contains("LHE", strings.ToUpper(rest[:1])):
			s.label, rest = strings.ToUpper(rest[:1]), rest[1:]
		default:
			return false
		}
	}
	return s.name != ""
}

// fuseVolts takes the voltage that stands against the rest: F1AL250V.
func (r *reader) fuseVolts(s *span) {
	if !r.glued(s.j) || !r.isFigures(s.j) || !r.isWord(s.j+1, "v") || r.glued(s.j+2) {
		return
	}
	w, ok := r.numberAt(s.j)
	if !ok || w.num.n > 1 {
		return
	}
	s.q[1], ok = w.value().times(0, quantity.Volt)
	if ok {
		s.n, s.j = 2, s.j+2
	}
}
