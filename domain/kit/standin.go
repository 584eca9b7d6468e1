package kit

import (
	"boardlore/domain/message"
	"strconv"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// StandIn is another part in the place of one that is to be bought, as the
// rules judge it.
type StandIn struct {
	Text message.Message `json:"text"` // the part, in a few words
	Why  message.Message `json:"why,omitzero"`
}

// variation is a part that people think of where the wanted one is not to be
// had.
type variation struct {
	class part.Class // it is for parts of this class, "" for all
	key   string
	edit  func(*part.Offer) bool // reports whether it is another part than before
}

// variations are what is asked most at counters and in forums (common
// practice). What they are worth at a place is the rules' to say.
var variations = []variation{
	{"", "kit.next-higher-voltage", func(o *part.Offer) bool {
		v, ok := above(soldVoltages(&o.Part), o.Voltage, 1)
		return limits(o.Class) && ok && change(&o.Voltage, v)
	}},
	{"", "kit.lower-voltage", func(o *part.Offer) bool {
		v, ok := below(soldVoltages(&o.Part), o.Voltage)
		return limits(o.Class) && ok && change(&o.Voltage, v)
	}},
	{"resistor", "kit.more-power", func(o *part.Offer) bool {
		v, ok := above(soldPower, o.Power, 1)
		return ok && change(&o.Power, v)
	}},
	{"resistor", "kit.less-power", func(o *part.Offer) bool {
		v, ok := below(soldPower, o.Power)
		return ok && change(&o.Power, v)
	}},
	{"capacitor", "kit.modern-value", func(o *part.Offer) bool {
		modern, old := quantity.OldRating(o.Value)
		return old && len(modern) > 0 && change(&o.Value, modern[0])
	}},
	{"capacitor", "kit.105-for-85", func(o *part.Offer) bool {
		return !o.TemperatureMax.IsZero() &&
			hotter(105)(o, nil)
	}},
	{"capacitor", "kit.85-degrees", cooler},
	{"capacitor", "kit.bipolar-electrolytic", func(o *part.Offer) bool {
		return o.Construction == "aluminium-electrolytic" && polar(o, false)
	}},
	{"capacitor", "kit.polarised-electrolytic", func(o *part.Offer) bool {
		return o.Construction == "aluminium-electrolytic" && polar(o, true)
	}},
	{"capacitor", "kit.aluminium-polymer", built("aluminium-polymer", "", true)},
	{"capacitor", "kit.a-tantalum", built("tantalum", "", true)},
	{"capacitor", "kit.film-capacitor", built("film", "", false)},
	{"capacitor", "kit.ceramic-x7r", built("ceramic", "X7R", false)},
	{"capacitor", "kit.next-value", scaled(3, 2, quantity.E6)},
	{"capacitor", "kit.twice-much", scaled(2, 1, quantity.E6)},
	{"capacitor", "kit.half-much", scaled(1, 2, quantity.E6)},
	{"capacitor", "kit.one-without-safety-class", func(o *part.Offer) bool {
		was := o.SafetyClass
		o.SafetyClass = ""
		return was != ""
	}},
	{"capacitor", "kit.class-y2", func(o *part.Offer) bool { return o.SafetyClass == "X2" && safety(o, "Y2") }},
	{"capacitor", "kit.class-x2", func(o *part.Offer) bool { return o.SafetyClass == "Y2" && safety(o, "X2") }},
	{"resistor", "kit.double-resistance", scaled(2, 1, quantity.E12)},
	{"fuse", "kit.larger-current", func(o *part.Offer) bool {
		v, ok := above(soldCurrent, o.Current, 1)
		return ok && change(&o.Current, v)
	}},
	{"fuse", "kit.smaller-current", func(o *part.Offer) bool {
		v, ok := below(soldCurrent, o.Current)
		return ok && change(&o.Current, v)
	}},
	{"fuse", "kit.quick-one", speed("F")},
	{"fuse", "kit.slow-one", speed("T")},
	{"cell", "kit.lithium-cell-may-not", cellOf("CR", "3 V", false)},
	{"cell", "kit.ni-mh", func(o *part.Offer) bool { return o.Chemistry == "Ni-Cd" && chemistry(o, "Ni-MH") }},
	{"cell", "kit.rechargeable-lithium-cell-lir", cellOf("LIR", "3.6 V", true)},
	{"cell", "kit.alkaline-cell", alkaline},
}

// limits reports whether the voltage of a class is a limit, of which more is no
// fault. Of diodes it is where they are no Zener diodes, which the rules tell.
func limits(class part.Class) bool {
	return class == part.Capacitor || class == part.Diode || class == part.Fuse
}

// change sets a rating that the part has, and reports whether it is another.
func change(q *quantity.Quantity, to quantity.Quantity) bool {
	if q.IsZero() || *q == to {
		return false
	}
	*q = to
	return true
}

// scaled is about so much more or less, as the nearest value of a series.
func scaled(num, den int64, s quantity.Series) func(*part.Offer) bool {
	return func(o *part.Offer) bool {
		v, ok := o.Value.MulRatio(num, den)
		if o.Value.IsZero() || !ok {
			return false
		}
		near, ok := quantity.Nearest(v, s)
		return ok && change(&o.Value, near)
	}
}

// alkaline is as many alkaline cells of 1.5 V as come near the voltage.
func alkaline(o *part.Offer) bool {
	const cell = 15 // tenths of a volt
	cells := int64(o.Voltage.Float()*10/cell + 0.5)
	v, ok := quantity.New(max(cells, 1)*cell, -1, quantity.Volt)
	if !ok || o.Voltage.IsZero() {
		return false
	}
	return cellOf("LR", v.String(), false)(o)
}

func cooler(o *part.Offer) bool {
	v, _ := quantity.New(85, 0, quantity.Celsius)
	if o.TemperatureMax.IsZero() || o.TemperatureMax.Compare(v) <= 0 {
		return false
	}
	o.TemperatureMax = v
	return true
}

func polar(o *part.Offer, polarised bool) bool {
	if o.Polarised != nil && *o.Polarised == polarised {
		return false
	}
	o.Polarised = &polarised
	return true
}

func built(construction part.Construction, dielectric string, polarised bool) func(*part.Offer) bool {
	return func(o *part.Offer) bool {
		if o.Construction == construction || o.SafetyClass != "" {
			return false
		}
		o.Construction, o.Dielectric, o.Polarised = construction, dielectric, &polarised
		return true
	}
}

func safety(o *part.Offer, class string) bool {
	o.SafetyClass = class
	return true
}

func speed(s string) func(*part.Offer) bool {
	return func(o *part.Offer) bool {
		if o.FuseSpeed == s || o.FuseSpeed == "" {
			return false
		}
		o.FuseSpeed = s
		return true
	}
}

func chemistry(o *part.Offer, c string) bool {
	o.Chemistry = c
	return true
}

func cellOf(letters, volts string, rechargeable bool) func(*part.Offer) bool {
	return func(o *part.Offer) bool {
		if o.Chemistry == letters {
			return false
		}
		if v, err := quantity.Parse(volts); err == nil {
			o.Voltage = v
		}
		o.Chemistry, o.Rechargeable = letters, &rechargeable
		return true
	}
}

// varied is a part that people think of, with what it is called.
type varied struct {
	key   string
	offer part.Offer
}

// vary lists the variations of a part that can be bought: of a published value, at
// a voltage at which such parts are sold.
func vary(wanted *part.Offer) []varied {
	var out []varied
	for _, v := range variations {
		o := *wanted
		if v.class != "" && v.class != o.Class || !v.edit(&o) {
			continue
		}
		if o.Class == part.Capacitor && !fitted(&o) || !valued(&o.Part) || !soldAs(&o.Part) {
			continue
		}
		out = append(out, varied{v.key, o})
	}
	return out
}

// standIns are the variations of a part that may stand in for it, those that a
// person would have to check among them with the reason, and those that may not.
func (p *plan) standIns(g int32, wanted *part.Offer) (may, mayNot []StandIn) {
	judge := p.judge(g)
	for _, v := range vary(wanted) {
		s := StandIn{Text: message.Of("kit.stand-in", message.Of(v.key), brief(&v.offer.Part))}
		c := part.NewCandidate(&v.offer)
		fs := judge.Suit(&c)
		worst := finding.Worst(fs)
		if worst == finding.Stop || worst == finding.Caution {
			s.Why = fs[0].Sentence
		}
		if worst == finding.Stop {
			mayNot = append(mayNot, s)
			continue
		}
		may = append(may, s)
	}
	return may, mayNot
}

// spares suggests how many parts more to buy of those that break easily or
// blow while a fault is looked for; common practice.
func spares(o *part.Offer, n int) (more int, why message.Message) {
	const share = 10 // one in so many
	switch {
	case o.Class == "fuse":
		return 2, message.Of("kit.fuses-blow-while-fault")
	case o.Class == "lamp":
		return 1, message.Of("kit.lamps-break-when-they")
	case o.Class == "transistor" || o.Class == "integrated-circuit" || o.Class == "diode":
		return 1, message.Of("kit.semiconductors-die-one-slip")
	case o.Body.Shape == "chip":
		return max(1, (n+share-1)/share), message.Of("kit.chips-jump-out-tweezers")
	case o.Body.Mount == "surface" || o.Construction == "tantalum":
		return max(1, (n+share-1)/share), message.Of("kit.small-parts-suffer-while")
	}
	return 0, message.Message{}
}

// PartsList is what to buy for a board, without any kit.
type PartsList struct {
	Board    string     `json:"board"`
	Revision int        `json:"revision"`
	Variant  string     `json:"variant"`
	Digest   string     `json:"digest"`
	ToBuy    []Purchase `json:"to_buy"`
	Cautions []Caution  `json:"cautions"`
}

// ListParts makes the parts list of a board for the scope of a request, whose
// kit it does not look at.
func ListParts(r Request) (PartsList, error) {
	r.Kit = &Kit{}
	p, err := newPlan(r)
	if err != nil {
		return PartsList{}, err
	}
	out := PartsList{Board: r.Map.Board, Revision: r.Revision, Variant: r.Variant, Digest: r.Digest,
		ToBuy: p.purchases(p.to), Cautions: p.cautions()}
	for i := range out.ToBuy {
		x := &out.ToBuy[i]
		at, _ := p.names.one(x.For[0])
		o := part.Offer{Part: x.Part}
		if x.Body != nil {
			o.Body = *x.Body
		}
		x.MayStandIn, x.MayNot = p.standIns(p.of[p.index[at]], &o)
		x.Spares, x.SparesWhy = spares(&o, x.Quantity)
	}
	return out, nil
}

// CSV is the list as a table with a line of headings, one row for like parts.
func (l *PartsList) CSV(in *message.Language) []byte {
	rows := [][]string{{"quantity", "spares", "part", "for", "asks", "may stand in", "may not", "open"}}
	for i := range l.ToBuy {
		x := &l.ToBuy[i]
		rows = append(rows, []string{strconv.Itoa(x.Quantity), strconv.Itoa(x.Spares), x.Part.String(),
			list.Ranges(x.For), in.Speak(message.Semicolons(x.Asks).Say()),
			texts(in, x.MayStandIn), texts(in, x.MayNot), in.Speak(message.Words(x.Open).Say())})
	}
	return list.CSV(rows)
}

// texts is stand-ins in one cell.
func texts(in *message.Language, all []StandIn) string {
	out := make([]string, len(all))
	for i, s := range all {
		if out[i] = in.Speak(s.Text); !s.Why.IsZero() {
			out[i] += " (" + in.Speak(s.Why) + ")"
		}
	}
	return strings.Join(out, "; ")
}
