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

// translate writes Cyrillic units behind figures, and behind the sign of a degree, in Latin letters.
func (l *lexer) translate() {
	for k := 1; k < len(l.atoms); k++ {
		a, before := &l.atoms[k], &l.atoms[k-1]
		if a.script != cyrillic || before.sort != figures && string(l.raw[before.lo:before.hi]) != "°" {
			continue
		}
		latin, ok := cyrillicUnits[string(l.raw[a.lo:a.hi])]
		if !ok || latin == "C" && before.sort == figures && a.gap {
			continue
		}
		a.script = 0
		a.lo, a.llo, a.clo = uint16(len(l.raw)), uint16(len(l.low)), uint16(len(l.code))
		l.raw, l.code = append(l.raw, latin...), append(l.code, latin...)
		l.low = append(l.low, strings.ToLower(latin)...)
		a.hi, a.lhi, a.chi = uint16(len(l.raw)), uint16(len(l.low)), uint16(len(l.code))
	}
}
