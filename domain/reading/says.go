package reading

import "strings"

// Says gives the value of a member that words alone say of a part of a class, "" where they say none: what is spelled
// with them reads back. The words are in the spelling of the lexicon.
func Says(words, member, class string) string {
	e := lexicon[strings.ToLower(words)]
	if e == nil {
		return ""
	}
	of := setOf(class)
	for _, w := range e.rows {
		rule, ruled := wordRules[w.act]
		if ruled && rule.holds&of == 0 {
			continue
		}
		if w.says(member, of) {
			return w.value
		}
		if w.act == actClass && member == "text" && w.also == words && w.value == class {
			return w.also
		}
	}
	return ""
}

// says reports whether the value of a row is that of the member.
func (w *row) says(member string, of classes) bool {
	switch member {
	case "construction":
		return w.act == actElectrolytic || w.act == actConstruction || w.act == actResistor || w.act == actFusible &&
			of == resistorClass
	case "dielectric":
		return w.act == actFilm
	case "chemistry":
		return w.act == actChemistry || w.act == actChemLetter
	case "text":
		return w.act == actText && w.value != "AC" || w.act == actText && of == capacitorClass || w.act == actTaper &&
			of == potentiometerClass
	}
	return false
}

// FilmOf is the construction that the name of a film says, "" for what is no film.
func FilmOf(dielectric string) string {
	if e := lexicon[strings.ToLower(dielectric)]; e != nil {
		for _, w := range e.rows {
			if w.act == actFilm && w.value == dielectric {
				return w.also
			}
		}
	}
	return ""
}

// TypeClass gives the class that a type number says by itself.
func TypeClass(text string) (class string, sure bool) {
	low := []byte(strings.ToLower(text))
	if class, sure = typeClass(low); class != "" {
		return class, sure
	}
	n := 0
	for n < len(low) && letter(low[n]) {
		n++
	}
	if n > 0 && len(low)-n >= 2 {
		return habits[string(low[:n])], true
	}
	if n == 0 && len(low) >= 5 && (string(low[:2]) == "74" || string(low[:2]) == "54") && letter(low[2]) {
		return "integrated-circuit", true
	}
	return "", false
}

// SafetyClass reports whether a name is one of a class or a pair of classes as they are printed: X2, Y1, X1/Y2.
func SafetyClass(name string) bool {
	a, b, two := strings.Cut(strings.ToLower(name), "/")
	return strings.ToUpper(name) == name && isSafety([]byte(a)) && (!two || len(a) == 2 && len(b) == 2 &&
		isSafety([]byte(b)))
}

// Cell gives the chemistry that a cell's code says, whether such cells are rechargeable, and false for what is no code.
func Cell(code string) (chemistry string, rechargeable, ok bool) {
	c, ok := cellOf([]byte(strings.ToLower(code)))
	if !ok {
		return "", false, false
	}
	return c.family.chemistry, c.family.rechargeable, true
}
