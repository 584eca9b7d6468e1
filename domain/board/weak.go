package board

import (
	"slices"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// weak is one way in which a map tells people less than another did of the
// same thing, or the contrary.
type weak struct {
	why       message.Message // "rated voltage lowered"
	told, now message.Message // both empty where why says it all
}

// same tells that two weaknesses tell the same now.
func (w weak) same(o weak) bool {
	return w.why.Equal(o.why) && (w.now.Equal(o.now) || sameWords(w.now.String(), o.now.String()))
}

// weakness is a reason that says it all.
func weakness(why string) weak { return weak{why: message.Of("hazard." + why)} }

// weaker is a reason with what was told and what would be told now; where that
// is nothing, it says so.
func weaker(why string, told, now any) weak {
	return weak{message.Of("hazard." + why), sayable(told), sayable(now)}
}

// sayable is a text, a quantity, a name of a closed set or a message as it is
// told; a word for nothing where there is none.
func sayable(x any) message.Message {
	switch x := x.(type) {
	case message.Message:
		return orNothing(x)
	case message.Sayer:
		return orNothing(x.Say())
	case quantity.Quantity:
		return orNothing(message.Text(x.String()))
	case string:
		return orNothing(message.Text(x))
	}
	return message.Of("text.whole", x)
}

func orNothing(m message.Message) message.Message {
	if m.IsZero() {
		return message.Of("map.nothing")
	}
	return m
}

// among reports whether one of some weaknesses has the reason already.
func among(ws []weak, w weak) bool {
	return slices.ContainsFunc(ws, func(o weak) bool { return o.why.Equal(w.why) })
}

// phrases gives the reasons alone, each once.
func phrases(ws []weak) []message.Message {
	var out []message.Message
	for i, w := range ws {
		if !among(ws[:i], w) {
			out = append(out, w.why)
		}
	}
	return out
}

// mainsAbove is the direct voltage above which a position is taken for one on
// the mains side where the map does not say: beyond it direct voltage is no
// longer extra-low (IEC 60364-4-41 for dry places: 120 V ripple-free, halved for
// parts that may be touched; 60 V also bounds ES1 of IEC 62368-1).
var mainsAbove = canonically("60 V")

// mainsRated is the rating from which an electrolytic of unknown working
// voltage is taken for one on the mains side. Common practice: reservoirs of
// 110 V mains are rated 160 V and above.
var mainsRated = canonically("160 V")

// mainsSide tells a position where the mains are, or are likely: what is not
// known is taken for the dangerous case.
func mainsSide(p *Position) bool {
	switch p.Circuit {
	case part.Secondary:
		return p.Part.SafetyClass != ""
	case "":
	default:
		return true
	}
	if p.Part.SafetyClass != "" || p.Part.Class == part.Varistor ||
		part.DutyOf(p.Function)&(part.MainsX|part.MainsY) != 0 {
		return true
	}
	if !p.WorkingVoltage.IsZero() {
		return highVoltage(p)
	}
	return polarised(&p.Part) && p.Part.Class == part.Capacitor && !p.Part.Voltage.IsZero() &&
		p.Part.Voltage.Compare(mainsRated) >= 0
}

// highVoltage tells a position whose voltage can hurt, on whatever side it is.
func highVoltage(p *Position) bool {
	v := p.WorkingVoltage
	if !v.IsZero() && v.Sign() < 0 {
		v = v.Neg()
	}
	return !v.IsZero() && v.Compare(mainsAbove) >= 0
}

// critical names what makes a position one that nobody may put in or take out
// in passing; nothing for others.
func critical(p *Position) message.Message {
	switch {
	case protects(&p.Part):
		return message.Of("map.a-kind", p.Part.Class)
	case p.Part.SafetyClass != "":
		return message.Of("map.of-safety-class", p.Part.SafetyClass)
	case mainsSide(p):
		return message.Of("map.on-mains-side")
	}
	return message.Message{}
}

// relevant tells a position that the safety view is about: polarised, on the
// mains side, a fuse, a cell or a regulator.
func relevant(p *Position) bool {
	return !critical(p).IsZero() || hasDirection(&p.Part) || regulator(p)
}

func hasDirection(p *part.Part) bool { return p.Class == part.Diode || polarised(p) }

// tenfold tells two values of one kind of which one is over ten times the
// other: one more than a misread decimal place or band.
func tenfold(a, b quantity.Quantity) bool {
	if a.IsZero() || b.IsZero() || a.Unit() != b.Unit() || a.Compare(b) == 0 {
		return false
	}
	return a.CompareScaled(b, 10, 1) > 0 || b.CompareScaled(a, 10, 1) > 0
}

// perilous ranks what capacitors are made of by what they do when they fail:
// tantalum burns, impregnated paper across the mains cracks and smokes, wet
// electrolytics burst. Common practice.
var perilous = map[part.Construction]int{part.AluminiumElectrolytic: 1, part.AluminiumPolymer: 1,
	part.Supercapacitor: 2, part.TantalumPolymer: 2, part.Paper: 3, part.Tantalum: 4}

// materialWorse tells a capacitor's material turned into a more dangerous one.
// One that was not given is taken for a wet electrolytic.
func materialWorse(a, b *part.Part) bool {
	if a.Class != part.Capacitor || b.Class != part.Capacitor || a.Construction == b.Construction ||
		b.Construction == "" {
		return false
	}
	was := perilous[a.Construction]
	if a.Construction == "" {
		was = perilous[part.AluminiumElectrolytic]
	}
	return perilous[b.Construction] > was
}
