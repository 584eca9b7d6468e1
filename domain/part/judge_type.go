package part

import (
	"strconv"
	"strings"
)

// typeNumber compares what is printed on both. Most classes are nothing
// without their type; those with a value or other ratings are.
func (j *judgement) typeNumber() {
	relation := compareTypes(j.w.Text, j.o.Text, j.w.kind == potentiometerClass)
	if bare := relation == typeLonger && j.w.kind == circuitClass && (startsBare(j.w.Text) ||
		startsBare(j.o.Text)); bare || relation == typeDiffers {
		if beyond := j.beyondLetters(); !bare || beyond == typeEquivalent { // 4011 and CD4011BE
			relation = beyond
		}
	}
	if relation == typeUnwanted || relation == typeNowhere {
		j.typeless(relation == typeNowhere)
		return
	}
	switch relation {
	case typeLonger:
		j.hit(typeSuffix)
	case typeEquivalent:
		j.hit(typeEqualNote)
	case typeByRatings:
		j.hit(typeRated)
	case typePins:
		j.hit(typePinsOnly)
	case typeAbsent:
		if !j.toldByKind() {
			j.hit(typeMissing)
		}
	case typeDiffers:
		switch j.w.kind {
		case transformerClass:
			if j.w.Windings != nil && j.o.Windings != nil {
				j.hit(typeOther) // its windings say what it is; its pins may differ
			} else {
				j.hit(typeWrong)
			}
		case transistorClass, circuitClass, otherClass:
			j.hit(typeWrong)
		case relayClass:
			if w, o := contactFormOf(j.w.Text), contactFormOf(j.o.Text); w.differs(o) {
				j.hit(waysDiffer)
			} else if !w.same(o) {
				j.hit(typeWrong)
			}
		case connectorClass, switchClass:
			if otherWays(j.w.Text, j.o.Text) {
				j.hit(waysDiffer)
			} else {
				j.hit(typeOther)
			}
		default:
			j.hit(typeOther)
		}
	}
}

// toldByKind reports whether the wanted part's text is a word that a rule of its
// own looks at, and no type number.
func (j *judgement) toldByKind() bool {
	switch j.w.kind {
	case potentiometerClass:
		return j.w.traits&taper != 0
	case diodeClass:
		return j.w.traits&diodeKinds != 0 && !j.w.numbered
	}
	return false
}

// contactForm is how many circuits a switch or relay has, and where it switches
// them; 0 and "" where that is not known.
type contactForm struct {
	poles  int
	throws string
}

// contactForms are the names for contact forms.
var contactForms = map[string]contactForm{"spst": {1, "make"}, "spdt": {1, "changeover"}, "spco": {1, "changeover"},
	"dpst": {2, "make"},
	"dpdt": {2, "changeover"}, "dpco": {2, "changeover"}, "3pst": {3, "make"}, "3pdt": {3, "changeover"},
	"4pst": {4, "make"}, "4pdt": {4, "changeover"},
	"spnc": {1, "break"}}

// contactWords are the words for where a contact switches, as reading keeps them.
var contactWords = map[string]bool{"changeover": true, "make": true, "break": true}

// poleWords are the words for how many poles, as reading keeps them.
var poleWords = map[string]int{"single": 1, "double": 2, "triple": 3}

// otherWays reports whether two connectors or switches have another number of
// ways: texts of figures alone that differ, or two contact forms.
func otherWays(want, have string) bool {
	a, b := contactFormOf(want), contactFormOf(have)
	if a.differs(b) {
		return true
	}
	return a == (contactForm{}) && b == a && !lettered(want) && !lettered(have)
}

// differs reports whether two contact forms can't be of one part.
func (a contactForm) differs(b contactForm) bool {
	return a.poles != 0 && b.poles != 0 && a.poles != b.poles || a.throws != "" && b.throws != "" &&
		a.throws != b.throws
}

// same reports whether two contact forms are known and the same.
func (a contactForm) same(b contactForm) bool { return a.poles != 0 && a.throws != "" && a == b }

// contactFormOf reads DPDT, 2 changeover, changeover and double pole.
func contactFormOf(text string) (f contactForm) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' || r == '-' })
	for i, w := range words {
		behind := ""
		if i+1 < len(words) {
			behind = words[i+1]
		}
		named, known := contactForms[w]
		n, err := strconv.Atoi(w)
		switch {
		case known:
			return named
		case contactWords[w]:
			f.throws = w
			f.poles = max(f.poles, 1)
		case err == nil && n > 0 && contactWords[behind]:
			f.poles = n
		case poleWords[w] != 0 && behind == "pole":
			f.poles = poleWords[w]
		}
	}
	return f
}

// startsBare reports whether a type number stands without its maker's letters.
func startsBare(text string) bool { return text != "" && digit(text[0]) }

func lettered(text string) bool {
	for i := range len(text) {
		if c := text[i] | 0x20; c >= 'a' && c <= 'z' {
			return true
		}
	}
	return false
}

// beyondLetters compares type numbers that differ by what is known of them.
func (j *judgement) beyondLetters() typeRelation {
	switch j.w.kind {
	case circuitClass:
		return circuitRelation(j.w.Text, j.o.Text)
	case transistorClass:
		if sameBeforeHyphen(j.w.Text, j.o.Text) {
			return typeLonger
		}
	case diodeClass:
		if j.sameDiode() {
			return typeByRatings
		}
	}
	return typeDiffers
}

// sameBeforeHyphen reports whether two type numbers differ in the gain group or
// grade that stands behind a hyphen: BD139-16 and BD139-6.
func sameBeforeHyphen(want, have string) bool {
	a, aEnd, ok1 := strings.Cut(want, "-")
	b, bEnd, ok2 := strings.Cut(have, "-")
	return (ok1 || ok2) && len(aEnd) <= 3 && len(bEnd) <= 3 && numbered(a) && compareTypes(a, b, false) == typeEqual
}

// typeless judges a part for a position without a type number.
func (j *judgement) typeless(both bool) {
	switch k := j.w.kind; {
	case k.valued() || k == lampClass:
	case both:
		j.hit(typeBothUnknown)
	case k == diodeClass && !j.w.Voltage.IsZero() && (!j.w.Current.IsZero() || !j.w.Power.IsZero()):
		j.hit(typeUnaskedNote)
	default:
		j.hit(typeUnasked)
	}
}

type typeRelation uint8

const (
	typeEqual      typeRelation = iota
	typeLonger                  // one stands within the other, or they end in other letters
	typeAbsent                  // the offered part has none
	typeUnwanted                // only the offered part has one
	typeNowhere                 // neither has one
	typeEquivalent              // another maker's letters for the same type
	typeByRatings               // types that their ratings alone tell apart
	typePins                    // another type with the same pins
	typeDiffers
)

// compareTypes compares type numbers by their letters and digits only. Traits
// that have rules of their own are left out on demand, so that "log" and
// "logarithmic" are one.
func compareTypes(want, have string, skipTraits bool) typeRelation {
	switch {
	case want == "" && have == "":
		return typeNowhere
	case want == have:
		return typeEqual
	case want == "":
		return typeUnwanted
	case have == "":
		return typeAbsent
	}
	var a, b typeText
	a.fold(want, skipTraits)
	b.fold(have, skipTraits)
	switch {
	case a == b:
		return typeEqual
	case a.within(&b), b.within(&a), a.endsElse(&b):
		return typeLonger
	}
	return typeDiffers
}

// typeText is a type number in lower case without what parts its signs; what
// goes beyond its length is left out.
type typeText struct {
	sign [48]byte
	n    int
}

func (t *typeText) fold(s string, skipTraits bool) {
	for i := 0; i < len(s); {
		var word [maxWord]byte
		n, next := foldWord(&word, s, i)
		if !skipTraits || findTraits(s[i:next]) == 0 {
			t.n += copy(t.sign[t.n:], word[:n])
		}
		i = next
	}
}

// within reports whether t stands in u and no figure of u goes on where t ends
// or begins: 4011 stands in CD4011BE, 741 does not stand in 74191.
func (t *typeText) within(u *typeText) bool {
	for i := 0; i+t.n <= u.n; i++ {
		end := i + t.n
		if t.n > 0 && (i > 0 && digit(u.sign[i-1]) && digit(t.sign[0]) || end < u.n && digit(u.sign[end]) &&
			digit(t.sign[t.n-1])) {
			continue
		}
		if string(u.sign[i:end]) == string(t.sign[:t.n]) {
			return true
		}
	}
	return false
}

// endsElse reports whether two type numbers are the same up to a few letters
// at the end, which name grade, gain or case: BC547B and BC547C.
func (t *typeText) endsElse(u *typeText) bool {
	same, figures := 0, false
	for same < min(t.n, u.n) && t.sign[same] == u.sign[same] {
		figures = figures || digit(t.sign[same])
		same++
	}
	return figures && t.letters(same) && u.letters(same)
}

// letters reports whether the signs from i on are one to three letters.
func (t *typeText) letters(i int) bool {
	if n := t.n - i; n < 1 || n > 3 {
		return false
	}
	for ; i < t.n; i++ {
		if t.sign[i] < 'a' || t.sign[i] > 'z' {
			return false
		}
	}
	return true
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
