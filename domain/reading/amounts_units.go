package reading

import (
	"strings"

	"boardlore/domain/quantity"
)

// unitOf finds the unit of a number, in the light of the number and of what was asked for.
func (r *reader) unitOf(w *written) (u unitWord, end int, ok bool) {
	j := w.j
	if r.isLetters(j) && (r.isSign(j+1, '=') || r.isSign(j+1, ':')) && r.atoms[j].gap && r.isFigures(j+2) {
		return u, j, false // a label: 5 h=11
	}
	u, end, ok = r.unitAt(j)
	if r.isLetters(j) && len(r.codeOf(j)) == 1 && r.isLetters(j+1) && r.atoms[j+1].gap {
		if v, e, two := r.prefixed(j); two {
			return v, e, true
		}
	}
	if r.isLetters(j) && !ok {
		u, end, ok = r.fuseUnit(j)
	}
	if !ok || !r.asked(w, u, j) {
		return u, j, false
	}
	if r.isLetters(j) && len(r.codeOf(j)) == 1 && r.isFigures(j+1) && r.glued(j+1) && u.unit != quantity.Celsius &&
		!r.ratingFollows(j+1) {
		return u, j, false // a letter among figures is a point: 6V3
	}
	if r.behindPoint(w.i) && u.n > 0 && u.exps[0] == 0 && valueUnit(u.unit) {
		return u, j, false // so it is in 1n5F
	}
	u = r.unitMeant(w, u, j)
	return u, end, true
}

// behindPoint reports whether the figures of atom i stand behind a letter that takes the place of the point.
func (r *reader) behindPoint(i int) bool {
	return r.glued(i) && r.isLetters(i-1) && len(r.codeOf(i-1)) == 1 && strings.IndexByte("pnukKMRrmE",
		r.codeOf(i - 1)[0]) >= 0 && r.isFigures(i-2) && r.glued(i-1)
}

// ratingFollows reports whether the figures of atom k begin a rating of their own, as in 100n50V.
func (r *reader) ratingFollows(k int) bool {
	if !r.isLetters(k+1) || !r.glued(k+1) {
		return false
	}
	u, ok := lookUnit(r.codeOf(k + 1))
	return ok && (u.unit == quantity.Volt || u.unit == quantity.Celsius && hot(r.codeOf(k)) ||
		(u.unit == quantity.Hour || u.unit == quantity.Henry) && len(r.codeOf(k)) > 3)
}

// hot reports whether figures before a lone C are one of the usual upper temperatures of parts.
func hot(t []byte) bool {
	switch string(t) {
	case "60", "65", "70", "85", "95", "100", "105", "115", "120", "121", "125", "128", "130", "135", "140", "145",
		"150", "155", "175", "200":
		return true
	}
	return false
}

// prefixed reads a prefix letter and its unit apart: k Ω, M ohm, m V.
func (r *reader) prefixed(j int) (u unitWord, end int, ok bool) {
	exp := int8(0)
	switch r.codeOf(j)[0] {
	case 'p':
		exp = -12
	case 'n':
		exp = -9
	case 'u':
		exp = -6
	case 'm':
		exp = -3
	case 'k', 'K':
		exp = 3
	case 'M':
		exp = 6
	case 'G':
		exp = 9
	default:
		return u, j, false
	}
	w := r.codeOf(j + 1)
	u, ok = lookUnit(w)
	if !ok || u.n != 1 || u.exps[0] != 0 || u.mul != 0 || u.unit == quantity.Joule && r.only != quantity.Energy ||
		u.unit == quantity.Celsius || u.unit == quantity.Hour {
		return u, j, false
	}
	if exp > 0 && (u.unit == quantity.Farad || u.unit == quantity.Henry) || u.unit == quantity.Watt && len(w) == 1 &&
		exp > 0 || u.unit == quantity.Volt && exp > 3 {
		return u, j, false // 100 K 1 W has its figure between, but K W is no unit of parts
	}
	u.exps[0] = exp
	return u, j + 2, true
}

// fuseUnit reads a current's unit with the letters of a fuse against it: mAT, AF, AL, AH.
func (r *reader) fuseUnit(j int) (u unitWord, end int, ok bool) {
	w := r.codeOf(j)
	for _, unit := range [...]string{"mA", "A"} {
		if rest, found := strings.CutPrefix(string(w), unit); found && len(rest) == 1 && strings.Contains("TFLHEM",
			rest) && r.only == quantity.Current {
			u, ok = lookUnit([]byte(unit))
			return u, j + 1, ok
		}
	}
	return u, j, false
}

// asked reports whether a unit is one that is looked for: some stand for something else in a part's text.
func (r *reader) asked(w *written, u unitWord, j int) bool {
	k := r.only
	switch {
	case u.unit == quantity.Joule:
		return k == quantity.Energy
	case u.unit == quantity.Millimetre:
		return k == quantity.Length
	case u.unit == quantity.Percent:
		return false // a tolerance
	case r.isLetters(j) && len(r.codeOf(j)) == 2 && r.otherwise(r.codeOf(j)):
		return false
	case u.unit == quantity.Hour && u.mul != 0:
		return k == quantity.Duration
	case u.unit == quantity.Celsius && r.isWord(j, "c") && k != quantity.Temperature:
		return len(w.num.text) > 0 && hot(w.num.text) && w.den == 0
	case u.unit == quantity.Celsius && r.isWord(j, "grad", "deg", "degree", "degrees", "gradi", "graden", "grados"):
		return true
	}
	return true
}

// otherwise reports whether two letters behind a number are its multiplier and the law of a potentiometer's track or the
// tolerance of a resistor: 50KA, 10KF.
func (r *reader) otherwise(w []byte) bool {
	switch r.ctx.Class {
	case "potentiometer":
		return lawLetter(w[1])
	case "resistor":
		return w[1] == 'F' && (w[0] == 'K' || w[0] == 'M')
	}
	return false
}

// unitMeant settles a unit that two things are written with: h and H, mF and MHz, MW and mW.
func (r *reader) unitMeant(w *written, u unitWord, j int) unitWord {
	k := r.only
	if r.isWord(j, "h") && r.isLetters(j) && len(r.codeOf(j)) == 1 {
		return r.henryOrHour(w, k, j)
	}
	if u.n != 2 {
		return u
	}
	switch u.unit {
	case quantity.Farad:
		return r.micro(w, u, j)
	case quantity.Hertz:
		if k == 0 {
			u.n = 1 // mhz is never milli
		}
	case quantity.Henry:
		if k == 0 {
			u.n = 1
		}
	default:
		if k == 0 {
			u.n = 1 // MA and MW are shouted
		}
	}
	return u
}

func (r *reader) henryOrHour(w *written, k quantity.Kind, j int) unitWord {
	hour, henry := unitWord{unit: quantity.Hour, n: 1}, unitWord{unit: quantity.Henry, n: 1}
	switch {
	case k == quantity.Duration:
		return hour
	case k == quantity.Inductance && r.printOf(j) == "H", r.flags.inductor:
		return henry
	case r.printOf(j) == "h":
		return hour
	}
	if q, ok := w.value().times(0, quantity.Hour); ok && w.den == 0 && q.Compare(minHours) >= 0 && w.num.n == 1 {
		return hour
	}
	return henry
}

// micro settles mF, which is microfarads on old parts and millifarads by the book: in capitals, with a small f, or
// where millifarads would make a farad it is the former.
func (r *reader) micro(w *written, u unitWord, j int) unitWord {
	raw := r.printOf(j)
	whole, ok := w.value().times(-3, quantity.Farad)
	old := r.ctx.Historic || raw == "mf" || raw == "MF" || raw == "Mf" || ok && whole.Compare(maxMilli) >= 0 &&
		len(raw) == 2
	if old && len(raw) == 2 || r.ctx.Historic {
		u.n = 1
	}
	return u
}
