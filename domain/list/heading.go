package list

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// Fold brings a heading into the form in which headings are compared: lower
// case, without accents, only letters and digits, and "(s)" of a plural as s.
// "Ref Des", "REFDES" and "ref_des" are one.
func Fold(s string) string {
	return strings.Join(tokens(s), "")
}

// unaccent takes the accents off the letters of these languages.
var unaccent = strings.NewReplacer("(s)", "s", "ä", "a", "ö", "o", "ü", "u", "é", "e", "è", "e", "ê", "e", "ë", "e",
	"à", "a", "â", "a",
	"î", "i", "ï", "i", "ô", "o", "û", "u", "ç", "c", "ß", "ss", "ø", "o",
	"á", "a", "í", "i", "ó", "o", "ú", "u", "ñ", "n", "ã", "a", "õ", "o", "ò", "o", "ù", "u", "ì", "i", "å", "a", "æ",
	"ae", "ą", "a", "ć", "c", "ę", "e", "ł", "l",
	"ś", "s", "ż", "z", "ź", "z")

// Words are the words of a heading, folded.
func Words(s string) []string { return tokens(s) }

func tokens(s string) []string {
	return strings.FieldsFunc(unaccent.Replace(strings.ToLower(s)), apart)
}

func apart(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// isHeading reports whether a cell reads as a heading: each word of it, or all
// of them together, is one.
func isHeading(cell string) bool {
	if len(cell) > 60 {
		return false
	}
	ts := tokens(cell)
	if len(ts) == 0 {
		return false
	}
	if known(strings.Join(ts, "")) {
		return true
	}
	for _, t := range ts {
		if !known(t) && !fillers[t] {
			return headed(cell) != quantity.None // U [V], µF
		}
	}
	return !fillers[ts[0]] || len(ts) > 1
}

// PartsRole gives the role of a heading of a parts list: of the whole, else, without what stands in brackets, of its first
// word that has one, else by its unit. Words of the trade go before all others, since a price per piece is no quantity.
func PartsRole(h string) Heading {
	if x := PartsHeading(Fold(h)); x != None {
		return x
	}
	name := h
	if at := strings.IndexAny(h, "([/"); at > 0 {
		name = h[:at]
	}
	first := None
	for _, w := range Words(name) {
		x := PartsHeading(w)
		if x == Aside {
			return Aside
		}
		if first == None {
			first = x
		}
	}
	if first != None {
		return first
	}
	switch headed(h) {
	case quantity.Farad, quantity.Ohm, quantity.Henry, quantity.Hertz:
		return Value
	case quantity.Volt, quantity.Ampere, quantity.Watt, quantity.Percent, quantity.Celsius, quantity.Hour:
		return Rating
	}
	return None
}

// headed is the unit that stands in brackets or behind a stroke in a heading, C [µF], R (kΩ), U/V, or that is all of it:
// µF. A letter alone is no unit there: C heads capacitances.
func headed(h string) quantity.Unit {
	if _, unit, ok := inBrackets(h); ok {
		return reading.UnitOf(unit)
	}
	if utf8.RuneCountInString(h) < 2 {
		return quantity.None
	}
	return written(h)
}

// written is the unit of a value or a rating that a text names.
func written(text string) quantity.Unit {
	switch u := reading.UnitOf(text); u {
	case quantity.Farad, quantity.Ohm, quantity.Henry, quantity.Volt, quantity.Ampere, quantity.Watt:
		return u
	}
	return quantity.None
}

// measured reports whether a text is the name of a quantity, or its letter, and so no N/A.
func measured(text string) bool {
	return len(text) == 1 && strings.Contains("CURLIPV", text) || known(Fold(text))
}

func inBrackets(h string) (name, inside string, ok bool) {
	if at := strings.IndexAny(h, "(["); at > 0 {
		return h[:at], strings.Trim(h[at:], "()[] "), true
	}
	if name, inside, ok = strings.Cut(h, "/"); ok && measured(strings.TrimSpace(name)) && written(inside) != quantity.None {
		return name, strings.TrimSpace(inside), true
	}
	return h, "", false
}

// UnitOf is the unit that a heading gives bare numbers below it: in brackets, among its words, or the usual one of the
// rating; "" where it gives none.
func UnitOf(h string) string {
	name, inside, ok := inBrackets(h)
	if ok && reading.UnitOf(inside) != quantity.None {
		return inside
	}
	unit := ""
	for _, w := range strings.FieldsFunc(name, apart) { // as they are: mΩ is not MΩ
		switch {
		case (len(w) > 1 || strings.Contains("VWΩ", w)) && reading.UnitOf(w) != quantity.None:
			return w
		case unit == "":
			unit = RatingUnit(Fold(w))
		}
	}
	return unit
}

// searched is how many rows are looked through for headings: assembly tools
// put up to a page of remarks above them.
const searched = 60

// headings finds the row with the most headings, and how many it has; the
// first of equals. A row with a bare number in it has none.
func headings(rows []Row) (at, most int) {
	for i, r := range rows[:min(len(rows), searched)] {
		n := 0
		if len(r.Cells) > maxColumns {
			continue
		}
		for _, c := range r.Cells {
			if isHeading(c) {
				n++
			}
			if bare(c) {
				n = -len(r.Cells)
			}
		}
		if n > most && 2*n >= filled(r.Cells) {
			at, most = i, n
		}
	}
	return at, most
}

func filled(cells []string) int {
	n := 0
	for _, c := range cells {
		if c != "" {
			n++
		}
	}
	return n
}

// bare reports whether a cell is a plain number.
func bare(cell string) bool {
	return cell != "" && strings.Trim(cell, "0123456789.,-+ ") == ""
}
