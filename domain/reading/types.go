package reading

import (
	"strings"

	"boardlore/domain/quantity"
)

// typeClass gives the class of a type number that a public register assigned:
// 1N4148, 2N3904, 2SC1815, BC547B. It is not sure where the form may also be a
// value with the letter n. Sources: JEDEC, JIS C 7012 and the European
// register, by their naming rules.
func typeClass(low []byte) (class string, sure bool) {
	letters := 0
	for letters < len(low) && (low[letters] >= 'a' && low[letters] <= 'z') {
		letters++
	}
	if letters == 0 && len(low) > 3 {
		return registered(low)
	}
	digits := letters
	for digits < len(low) && digit(low[digits]) {
		digits++
	}
	n := digits - letters
	if letters < 2 || letters > 3 || low[0] != 'a' && low[0] != 'b' || len(low)-digits > 5 || !plainTail(low[digits:]) {
		return "", false
	}
	if letters == 2 && n != 3 || letters == 3 && n != 2 && n != 3 {
		return "", false
	}
	switch low[1] {
	case 'a', 'b', 'y', 'z':
		return "diode", true
	case 'c', 'f', 's', 'u', 'l':
		return "transistor", true
	case 'd':
		return "transistor", low[0] == 'b'
	}
	return "", false
}

func plainTail(b []byte) bool {
	for _, c := range b {
		if !letter(c) && !digit(c) && c != '-' {
			return false
		}
	}
	return true
}

// registered reads the JEDEC and Japanese type numbers, which begin with the
// number of junctions.
func registered(low []byte) (class string, sure bool) {
	if low[0] < '1' || low[0] > '4' || low[1] != 'n' && low[1] != 's' {
		return "", false
	}
	k := 2
	if low[1] == 's' && letter(low[2]) {
		k = 3
	}
	digits := k
	for digits < len(low) && digit(low[digits]) {
		digits++
	}
	n := digits - k
	if n < 2 || n > 5 || len(low)-digits > 3 || !plainTail(low[digits:]) {
		return "", false
	}
	switch {
	case low[0] == '4':
		return "other", false // couplers
	case low[0] == '1':
		return "diode", low[1] == 's' || n > 2
	case low[1] == 'n':
		return "transistor", n > 2
	case k == 3 && (low[2] >= 'a' && low[2] <= 'd' || low[2] == 'j' || low[2] == 'k'):
		return "transistor", true
	}
	return "", false
}

// habits are letters with which makers like to begin the type numbers of a class; rows of the lexicon. Common practice and
// no more, so that a class but diode is doubted.
var habits = sets["letters"]

// russian are the letters of Soviet type numbers.
var russian = []struct {
	letters, class string
}{{"кт", "transistor"}, {"гт", "transistor"}, {"мп", "transistor"}, {"кп", "transistor"}, {"кд", "diode"},
	{"кц", "diode"}, {"кс", "diode"}, {"гд", "diode"},
	{"к", "integrated-circuit"}, {"кр", "integrated-circuit"}}

// types notes type numbers: those of public registers, and those that makers' habits tell.
func (r *reader) types(i int) {
	if r.atoms[i].sort == sign || r.atoms[i].sort == quoted || r.glued(i) || r.isSign(i-1, '-') && r.touches(i) &&
		i > 1 && r.touches(i-1) {
		return
	}
	run := r.runEnd(i)
	if !r.hasFigures(i, run) {
		return
	}
	j, low := r.typeEnd(i), r.runLow(i, run)
	s := span{i: i, j: j, act: actType, holds: typed | restClass}
	switch class, sure := typeClass(low); {
	case class != "" && (sure || low[0] != 'a' && r.upperN(i)):
		s.argues, s.bonus, s.lean, s.sure = setOf(class), 30, 6, sure
	case r.regulator(i, run):
		s.argues, s.bonus, s.lean, s.sure = circuitClass, 26, 6, true
	case r.shortType(i, run, &s):
	default:
		if !r.habit(i, low, &s) {
			return
		}
	}
	if s.name == "" {
		s.name = r.printed(i, j)
	}
	if s.rule = "type number"; s.argues != 0 {
		s.holds |= s.argues
	}
	r.add(s)
}

// typeEnd takes the groups that a hyphen ties to a type number: 2SC1815-GR, BD139-16, CNY17-3.
func (r *reader) typeEnd(i int) int {
	j := r.runEnd(i)
	for r.isSign(j, '-') && r.touches(j) && r.touches(j+1) && j+1 < len(r.atoms) && r.atoms[j+1].sort != sign {
		k := r.runEnd(j + 1)
		if w, ok := r.numberAt(j + 1); ok {
			if u, _, unit := r.unitAt(w.j); unit && u.unit != quantity.Percent {
				break // a rating of its own
			}
		}
		j = k
	}
	return j
}

// upperN reports whether the N of a JEDEC number is a capital: 1n60 may be a value.
func (r *reader) upperN(i int) bool {
	return r.isFigures(i) && i+1 < len(r.atoms) && strings.HasPrefix(r.printOf(i+1), "N") || !r.isFigures(i)
}

// regulator recognises fixed regulators and the logic families by their figures: 7805, 78L05, 79M12, 4017, 74LS04.
func (r *reader) regulator(i, j int) bool {
	if !r.isFigures(i) {
		return false
	}
	low, family := string(r.runLow(i, j)), r.printOf(i)
	switch {
	case len(low) == 4 && (strings.HasPrefix(low, "78") || strings.HasPrefix(low, "79")) && j == i+1:
		return strings.Contains(" 05 06 08 09 10 12 15 18 24 ", " "+low[2:]+" ") && !r.besideUnit(j)
	case (family == "78" || family == "79") && j >= i+3 && len(r.lowOf(i+1)) == 1 && strings.Contains("lmsthc",
		string(r.lowOf(i+1))) && r.isFigures(i+2):
		return len(r.lowOf(i+2)) == 2
	}
	return false
}

func (r *reader) besideUnit(j int) bool {
	_, _, ok := r.unitAt(j)
	return ok
}

// shortType recognises Japanese transistors without their 2S, logic of the 4000 series, and timers, where they stand
// alone or beside a package; no register says so, which a doubt tells.
func (r *reader) shortType(i, j int, s *span) bool {
	low := r.runLow(i, j)
	if i > r.named && !r.afterClass(i) || j < len(r.atoms) && !r.packaged(j) {
		return false
	}
	switch {
	case len(low) >= 4 && strings.IndexByte("abcd", low[0]) >= 0 && j >= i+2 && r.isFigures(i+1) &&
		len(r.lowOf(i+1)) >= 3 && len(r.lowOf(i+1)) <= 4 && r.printOf(i)[0] < 'a' && len(r.printOf(i)) == 1:
		s.argues, s.bonus = transistorClass, 12
		s.doubts = say("reading.japanese", r.printed(i, s.j))
	case j == i+1 && len(low) == 4 && (string(low[:2]) == "40" || string(low[:2]) == "45") && r.isFigures(i):
		s.argues, s.bonus = circuitClass, 12
		s.doubts = say("reading.series-4000", r.printed(i, s.j))
	default:
		return false
	}
	return true
}

// packaged reports whether a package follows: TO-92, DIP14.
func (r *reader) packaged(j int) bool {
	return r.isWord(j, "to", "dip", "dil", "so", "sot", "soic", "cmos", "gr", "y")
}

// afterClass reports whether only words of a class stand before atom i.
func (r *reader) afterClass(i int) bool { return r.onlyPlainBefore(i) }

// habit notes a type number of which only its letters hint at the class, or whose shape alone says that it is one.
func (r *reader) habit(i int, low []byte, s *span) bool {
	n := 0
	for n < len(low) && letter(low[n]) {
		n++
	}
	head := string(low[:n])
	if r.atoms[i].script == cyrillic && n < len(low) && digit(low[n]) {
		for _, t := range russian {
			if head == t.letters {
				return r.russianType(i, t.class, s)
			}
		}
	}
	switch {
	case len(low) >= 5 && (string(low[:2]) == "74" || string(low[:2]) == "54") && letter(low[2]) && hasDigit(low[3:]),
		n == 1 && len(low) >= 5 && low[0] == 'l' && low[1] == '7' && (low[2] == '8' || low[2] == '9') && digit(low[3]),
		len(low) >= 5 && string(low[:2]) == "27" && low[2] == 'c' && digit(low[3]), n == 1 && len(low) >= 3 &&
			string(low) == "z80":
		s.argues, s.bonus = circuitClass, 20
	case n < len(low) && (n > 0 && habits[head] == "diode" && len(low)-n >= 2 ||
		len(low) > 4 && (habits[string(low[:4])] == "diode" || habits[string(low[:5])] == "diode")):
		s.argues, s.bonus, s.sure = diodeClass, 24, true
		return true
	case n > 0 && n < len(low) && len(low)-n >= 2 && habits[head] != "":
		s.argues, s.bonus = setOf(habits[head]), 20
	default:
		return r.shaped(low, s)
	}
	key := "reading.circuit-by-letters"
	if s.argues == transistorClass {
		key = "reading.transistor-by-letters"
	}
	s.doubts, s.label = say(key, r.source(i, s.j)), "habit"
	return true
}

// russianType notes a Soviet type number, by GOST 10862 and GOST 17021: КТ315Б, КД226А, К155ЛА3.
func (r *reader) russianType(i int, class string, s *span) bool {
	if class == "integrated-circuit" && !(r.isFigures(i+1) && len(r.lowOf(i+1)) >= 3 && r.isLetters(i+2) &&
		r.glued(i+2) && r.isFigures(i+3)) {
		return false // К50-6 is a capacitor
	}
	s.argues, s.bonus, s.sure, s.lean = setOf(class), 28, true, 6
	s.name = r.source(i, s.j)
	return true
}

// shaped notes what is surely a type number and no value: two letters or more before two figures or more.
func (r *reader) shaped(low []byte, s *span) bool {
	letters := 0
	for letters < len(low) && low[letters] >= 'a' && low[letters] <= 'z' {
		letters++
	}
	digits := letters
	for digits < len(low) && digit(low[digits]) {
		digits++
	}
	if letters < 2 || digits-letters < 2 {
		return false
	}
	s.lean, s.label, s.holds = -15, "shape", restClass
	return true
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func letter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= 0x80 }

func hasDigit(b []byte) bool {
	for _, c := range b {
		if digit(c) {
			return true
		}
	}
	return false
}
