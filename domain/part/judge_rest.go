package part

import (
	"math/bits"
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/message"
)

// What a place asks for and no rule compares is doubtful where the offered part
// lacks it or has it otherwise. So a member that is new, or that is told of a
// class which has no rule for it, never passes because nobody thought of it.

// ruled are the members that each class has rules of its own for: they say what
// a difference means, a note or nothing where it is harmless.
var ruled = func() (by [strangeClass + 1]uint32) {
	of := func(k classKind, names ...string) {
		for _, name := range names {
			by[k] |= bitOf(name)
		}
	}
	for k := range by {
		of(classKind(k), "class")
	}
	of(capacitorClass, "construction", "value", "tolerance", "voltage", "temperature_max", "endurance", "esr_max",
		"ripple", "dielectric", "safety_class", "polarised")
	of(resistorClass, "construction", "value", "tolerance")
	for _, k := range []classKind{potentiometerClass, thermistorClass, varistorClass, inductorClass, crystalClass} {
		of(k, "value", "tolerance", "text")
	}
	for k := resistorClass; k <= otherClass; k++ {
		if k != fuseClass && k != cellClass {
			of(k, "voltage", "current", "power", "temperature_max")
		}
	}
	for k := transformerClass; k <= otherClass; k++ {
		if k != fuseClass {
			of(k, "text")
		}
	}
	of(crystalClass, "load_capacitance")
	of(transformerClass, "windings")
	of(fuseClass, "voltage", "current", "fuse_speed", "breaking_capacity")
	of(cellClass, "voltage", "chemistry", "rechargeable", "temperature_max")
	of(relayClass, "supply")
	return by
}()

func bitOf(name string) uint32 {
	return 1 << slices.IndexFunc(Members, func(m Member) bool { return m.Name == name })
}

// unruled are the members that a part says something of and that its class has
// no rules for.
func unruled(p *Part, kind classKind) (set uint32) {
	for left := ^ruled[kind] & (1<<len(Members) - 1); left != 0; left &= left - 1 {
		if i := bits.TrailingZeros32(left); Members[i].is(p) {
			set |= 1 << i
		}
	}
	return set
}

// rest judges what no rule of the class compares.
func (j *judgement) rest() {
	for left := j.unruled; left != 0; left &= left - 1 {
		if m := &Members[bits.TrailingZeros32(left)]; !j.noWorse(m) {
			j.hit(memberOther)
			return
		}
	}
}

// noWorse tells that the offered part has no less of a member, or that its being
// otherwise is harmless.
func (j *judgement) noWorse(m *Member) bool {
	w, o := &j.w.Offer.Part, &j.o.Offer.Part
	if m.same(w, o) {
		return true
	}
	if !m.is(o) && j.w.numbered && compareTypes(j.w.Text, j.o.Text, false) == typeEqual {
		return true // one type number, one set of members
	}
	switch m.Name {
	case "polarised": // what follows from what the part is
		return yes(w.Polarised) && (j.w.kind == diodeClass || j.w.kind == cellClass)
	case "temperature_max":
		if j.w.kind == fuseClass && j.w.melts() {
			return true // thermal fuses have rules of their own
		}
	case "supply": // of lamps that differ there is a rule
		return j.o.supply == j.w.supply || j.w.kind == lampClass && j.o.supply != ""
	case "esr_max":
		return !o.ESRMax.IsZero() && o.ESRMax.Compare(w.ESRMax) <= 0
	case "tolerance":
		return o.Tolerance.NoWiderThan(w.Tolerance, w.Value)
	case "construction", "dielectric":
		return j.saysAll(m.text(w))
	case "text":
		return j.w.numbered || j.saysAll(j.w.Text) // a series' name: value and ratings say what the part is
	}
	if m.Rating {
		x, y := m.Quantity(w), m.Quantity(o)
		return !y.IsZero() && x.Unit() == y.Unit() && y.Compare(x) >= 0
	}
	return false
}

func yes(flag *bool) bool { return flag != nil && *flag }

// saysAll tells that the offered part says every word of a text somewhere, or that
// the words are ones which rules look at.
func (j *judgement) saysAll(text string) bool {
	said := strings.ToLower(j.o.Offer.Part.Text + " " + string(j.o.Construction) + " " + j.o.Dielectric)
	have := strings.FieldsFunc(said, apartWords)
	for word := range strings.FieldsFuncSeq(strings.ToLower(text), apartWords) {
		if !slices.Contains(have, word) && findTraits(word) == 0 {
			return false
		}
	}
	return true
}

func apartWords(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }

// others gives what memberOther fired for: what the place asks for, and what is
// told of it.
func (j *judgement) others() (want, have any) {
	var asked, told []message.Message
	for left := j.unruled; left != 0; left &= left - 1 {
		m := &Members[bits.TrailingZeros32(left)]
		if j.noWorse(m) {
			continue
		}
		asked = append(asked, message.Of("text.then", m.Say(), m.Printed(&j.w.Offer.Part)))
		if o := &j.o.Offer.Part; m.is(o) {
			told = append(told, message.Of("text.then", m.Say(), m.Printed(o)))
		}
	}
	if len(told) == 0 {
		return message.Commas(asked).Say(), message.Of("word.unknown")
	}
	return message.Commas(asked).Say(), message.Commas(told).Say()
}
