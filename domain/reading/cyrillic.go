package reading

import "strings"

// cyrillicUnits are the units of GOST 8.417 in Cyrillic letters, with the prefixes that parts use, and what they are in
// Latin ones. М and м are told apart as M and m are.
var cyrillicUnits = func() map[string]string {
	words := map[string]string{"В": "V", "А": "A", "Вт": "W", "Ф": "F", "Ом": "ohm", "Гн": "Hy", "Гц": "Hz", "Дж": "J"}
	prefixes := map[string]string{"п": "p", "н": "n", "мк": "u", "м": "m", "к": "k", "К": "k", "М": "M", "Г": "G"}
	all := map[string]string{"ч": "h", "мм": "mm", "см": "cm", "С": "C", "мкф": "uF", "пф": "pF", "нф": "nF"}
	for u, latin := range words {
		all[u], all[strings.ToLower(u)] = latin, latin
		for p, l := range prefixes {
			all[p+u], all[p+strings.ToLower(u)] = l+latin, l+latin
		}
	}
	for p, l := range prefixes {
		all[p] = l // the letters of a code such as 4К7
	}
	all["с"] = "C"
	return all
}()

// translate writes a Cyrillic unit behind figures, or behind the sign of a degree, in Latin letters. It is the atom at
// hand, so that what follows stands behind it in the buffers.
func (l *lexer) translate(a *atom) {
	if a.script != cyrillic || len(l.atoms) < 2 {
		return
	}
	before := &l.atoms[len(l.atoms)-2]
	if before.sort != figures && string(l.raw[before.lo:before.hi]) != "°" {
		return
	}
	latin, ok := cyrillicUnits[string(l.raw[a.lo:])]
	if !ok || latin == "C" && before.sort == figures && a.gap {
		return
	}
	a.script = 0 // latin
	l.raw, l.code = append(l.raw[:a.lo], latin...), append(l.code[:a.clo], latin...)
	l.low = append(l.low[:a.llo], strings.ToLower(latin)...)
}
