package board

import (
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// partHazards says what makes a change of a part a hazard: a rating lowered
// or no longer given, another safety class, another fuse or cell, another
// polarity, a more dangerous material, a value that is over ten times another.
// None for a change that is no hazard.
func partHazards(a, b *part.Part) []weak {
	why := append(ratingHazards(a, b), kindHazards(a, b)...)
	if x, y := polarityOf(a), polarityOf(b); x != 0 && x != y {
		why = append(why, weaker("polarity-changed", sign(x), sign(y)))
	}
	for _, word := range safetyWords {
		if saysOf(a, word) && !saysOf(b, word) {
			why = append(why, weak{why: message.Of("hazard.no-longer", message.Word("resistor", word))})
		}
	}
	if tenfold(a.Value, b.Value) && a.Class == b.Class {
		why = append(why, weaker("tenfold", a.Value, b.Value))
	}
	if materialWorse(a, b) {
		why = append(why, weaker("material", a.Construction, b.Construction))
	}
	return why
}

func sign(polarity int) message.Message {
	return message.Of(map[int]string{1: "map.polarised", -1: "map.bipolar", 0: "hazard.polarity-nothing"}[polarity])
}

// ratingHazards compares what the parts bear. A part that no longer states a
// rating would be any part.
func ratingHazards(a, b *part.Part) []weak {
	var why []weak
	for i := range ratings {
		r := ratings[i]
		switch x, y := r.Quantity(a), r.Quantity(b); {
		case x.IsZero():
		case y.IsZero():
			why = append(why, weak{message.Of("hazard.no-longer-given", r.Say()), sayable(x), sayable("")})
		case x.Unit() == y.Unit() && y.Compare(x) < 0:
			why = append(why, weak{message.Of("hazard.lowered", r.Say()), sayable(x), sayable(y)})
		}
	}
	return append(why, losses(a, b)...)
}

// kindHazards compares what the parts are.
func kindHazards(a, b *part.Part) []weak {
	var why []weak
	if a.SafetyClass != b.SafetyClass {
		why = append(why, weaker("safety-class-changed", a.SafetyClass, b.SafetyClass))
	}
	switch {
	case protects(a) && protects(b) && a.Class == b.Class:
		if !sameButExtra(a, b) {
			why = append(why, weak{message.Of("hazard.class-changed", a.Class), describe(a, b), describe(b, a)})
		}
	case protects(a) || protects(b):
		why = append(why, weak{message.Of("hazard.exchanged", protector(a, b)), kindOf(a), kindOf(b)})
	case a.Class != b.Class && (hasDirection(a) || hasDirection(b) || limits(a)):
		why = append(why, weaker("another-class", kindOf(a), kindOf(b)))
	case clamps(a) && a.Voltage.Compare(b.Voltage) < 0:
		why = append(why, weaker("clamps-higher", a.Voltage, b.Voltage))
	case clampKind(a) && a.Text != "" && !sameWords(a.Text, b.Text):
		why = append(why, weaker("clamps-otherwise", quoted(a.Text), quotedOrNothing(b.Text)))
	case a.Class == part.Thermistor && !a.Current.IsZero() && a.Current.Unit() == b.Current.Unit() &&
		a.Current.Compare(b.Current) < 0:
		why = append(why, weaker("lets-more-current", a.Current, b.Current))
	case a.Class == part.Diode && a.Construction != "" && a.Construction != b.Construction:
		why = append(why, weaker("another-diode", a.Construction, b.Construction))
	}
	if a.Windings != nil && !a.Windings.Same(b.Windings) {
		why = append(why, weaker("windings-changed", a.Windings.String(), b.Windings.String()))
	}
	if a.FuseSpeed != b.FuseSpeed && !protects(a) {
		why = append(why, weaker("fuse-speed-changed", a.FuseSpeed, b.FuseSpeed))
	}
	return why
}

// limits tells a part that holds a current or a voltage down by what it is made of.
func limits(p *part.Part) bool { return p.Class == part.Thermistor || p.Class == part.Varistor }

// clamps tells a part that holds a voltage down.
func clamps(p *part.Part) bool {
	return clampKind(p) && !p.Voltage.IsZero()
}

// safetyWords are what the free text of a resistor may say that keeps a fault
// from becoming a fire.
var safetyWords = []string{"fusible", "flameproof"}

func saysOf(p *part.Part, word string) bool {
	return p.Class == part.Resistor && (word == "fusible" && p.Fusible() || word == "flameproof" && p.Flameproof())
}

// protects reports whether the part is one whose exchange is always a hazard.
func protects(p *part.Part) bool { return p.Class == part.Fuse || p.Class == part.Cell }

func protector(a, b *part.Part) part.Class {
	if protects(a) {
		return a.Class
	}
	return b.Class
}

func sameButExtra(a, b *part.Part) bool {
	x, y := *a, *b
	x.Extra, y.Extra = nil, nil
	return samePart(&x, &y)
}

// polarityOf is 1 for a polarised part, -1 for a bipolar one, 0 where it is
// not known.
func polarityOf(p *part.Part) int {
	switch {
	case polarised(p):
		return 1
	case p.Polarised != nil:
		return -1
	}
	return 0
}
