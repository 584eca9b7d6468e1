package kit

import (
	"boardlore/domain/message"
	"strings"

	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Purchase is what is to be bought, one entry for like parts. A part with the
// members and the outside that it names is one that the check finds nothing
// against, unless Open says otherwise.
type Purchase struct {
	Part     part.Part         `json:"part"`
	Body     *part.Body        `json:"body,omitzero"` // the outside that fits, where the map gives the place's
	Quantity int               `json:"quantity"`
	For      []string          `json:"for"`
	Asks     []message.Message `json:"asks,omitempty"` // all that the rules ask of the part, in words
	Open     []message.Message `json:"open,omitempty"` // what no purchase answers: the map lacks or contradicts it

	MayStandIn []StandIn       `json:"may_stand_in,omitempty"` // of a parts list only
	MayNot     []StandIn       `json:"may_not,omitempty"`
	Spares     int             `json:"spares,omitzero"` // suggested beside Quantity, since such parts break easily
	SparesWhy  message.Message `json:"spares_why,omitzero"`
}

// purchases lists what a placing leaves to be bought, like parts for like
// outsides together, in the order of their first designators.
func (p *plan) purchases(now []int) []Purchase {
	var out []Purchase
	at := map[offerKey]int{}
	specs := map[int32]specified{}
	for i, l := range now {
		if l != unplaced && p.cost(i, l) >= 0 {
			continue
		}
		g := p.of[i]
		s, known := specs[g]
		if !known {
			s = p.specify(g)
			specs[g] = s
		}
		key := offerKey{s.offer.Part.Key(), bodyKeyOf(&s.offer.Body)}
		n, ok := at[key]
		if !ok {
			n = len(out)
			at[key] = n
			out = append(out, s.purchase(&p.groups[g]))
		}
		out[n].Quantity++
		out[n].For = append(out[n].For, p.designator(i))
	}
	return out
}

// specified is what to buy for a group of positions.
type specified struct {
	offer part.Offer
	open  []message.Message
}

// specify is the part that is wanted, with more where the rules ask for more
// than the map says: a higher voltage where the working voltage wants it, a
// higher temperature where the place is hot. What no edit answers stays open.
func (p *plan) specify(g int32) specified {
	judge := p.judge(g)
	s := specified{offer: p.groups[g].wanted}
	s.offer.Body.HeightLimit = 0
	weight := weigh(judge, &s.offer)
	for better := true; better && weight.Worst.Rank() >= finding.Caution.Rank(); {
		better = false
		for _, edit := range edits {
			try := s.offer
			if !edit(&try, &p.groups[g].place) {
				continue
			}
			if w := weigh(judge, &try); lighter(w, weight) {
				s.offer, weight, better = try, w, true
				break
			}
		}
	}
	if weight.Worst.Rank() >= finding.Caution.Rank() {
		c := part.NewCandidate(&s.offer)
		for _, f := range judge.Suit(&c) {
			if f.Severity != finding.Note {
				s.open = append(s.open, f.Sentence)
			}
		}
	}
	return s
}

func weigh(judge *part.Judge, o *part.Offer) part.Weight {
	c := part.NewCandidate(o)
	return judge.Weigh(&c)
}

// lighter reports whether a weight is less grave than another.
func lighter(a, b part.Weight) bool {
	if a.Worst.Rank() != b.Worst.Rank() {
		return a.Worst.Rank() < b.Worst.Rank()
	}
	return a.Penalty < b.Penalty
}

// edits are ways in which a part may be better than the map says, the least
// first; each reports whether there was anything to change.
var edits = []func(*part.Offer, *part.Place) bool{
	voltageUp(1), voltageUp(2), voltageUp(3), voltageUp(5), voltageUp(8), hotter(105), hotter(125), longer(2000),
	longer(5000), longer(10000),
	powerUp(1), powerUp(2), powerUp(3), powerUp(4), classed14("X2", "film"), classed14("Y2", ""),
	classed14("X1", "film"), classed14("Y1", ""), lower(2), lower(3), lower(5),
}

// voltageUp takes a rating some steps up the row at which such parts are sold.
func voltageUp(steps int) func(*part.Offer, *part.Place) bool {
	return func(o *part.Offer, at *part.Place) bool {
		from := o.Voltage
		if from.IsZero() {
			from = at.WorkingVoltage
		}
		v, ok := above(soldVoltages(&o.Part), from, steps)
		if from.IsZero() || !ok {
			return false
		}
		o.Voltage = v
		return true
	}
}

func hotter(degrees int64) func(*part.Offer, *part.Place) bool {
	return func(o *part.Offer, _ *part.Place) bool {
		return raise(&o.TemperatureMax, degrees, quantity.Celsius)
	}
}

func longer(hours int64) func(*part.Offer, *part.Place) bool {
	return func(o *part.Offer, _ *part.Place) bool { return raise(&o.Endurance, hours, quantity.Hour) }
}

func raise(q *quantity.Quantity, least int64, u quantity.Unit) bool {
	v, ok := quantity.New(least, 0, u)
	if !ok || !q.IsZero() && q.Compare(v) >= 0 {
		return false
	}
	*q = v
	return true
}

// powerUp takes a power some steps up the row of resistors.
func powerUp(steps int) func(*part.Offer, *part.Place) bool {
	return func(o *part.Offer, _ *part.Place) bool {
		v, ok := above(soldPower, o.Power, steps)
		if o.Power.IsZero() || !ok {
			return false
		}
		o.Power = v
		return true
	}
}

// classed14 is a capacitor with a class of IEC 60384-14.
func classed14(class string, construction part.Construction) func(*part.Offer, *part.Place) bool {
	return func(o *part.Offer, _ *part.Place) bool {
		if o.Class != "capacitor" || o.SafetyClass == class {
			return false
		}
		o.SafetyClass = class
		if construction != "" {
			o.Construction = construction
		}
		return true
	}
}

// lower is a part that leaves so much room, in millimetres, below the limit of
// its place, where its height is not given.
func lower(by float64) func(*part.Offer, *part.Place) bool {
	return func(o *part.Offer, at *part.Place) bool {
		h := at.Body.HeightLimit - by
		if h <= 0 || o.Body.Height != 0 && o.Body.Height <= h {
			return false
		}
		o.Body.Height = h
		return true
	}
}

// purchase is the entry of what was specified.
func (s *specified) purchase(g *group) Purchase {
	p := Purchase{Part: s.offer.Part, Open: s.open, Asks: asks(&s.offer, &g.place)}
	if bodyKeyOf(&s.offer.Body) != (bodyKey{}) || g.place.Body.HeightLimit != 0 {
		body := s.offer.Body
		body.HeightLimit = g.place.Body.HeightLimit
		p.Body = &body
	}
	return p
}

// asks says in words what a part has to be and may be more of.
func asks(o *part.Offer, at *part.Place) []message.Message {
	var out []message.Message
	add := func(key string, q quantity.Quantity) {
		if !q.IsZero() {
			out = append(out, message.Of(key, q))
		}
	}
	if o.SafetyClass != "" {
		out = append(out, message.Of("kit.class-or-better", o.SafetyClass))
	}
	exact := o.Class == "cell" || o.Class == "lamp" || o.Class == "relay" || o.Class == "transformer" ||
		o.Class == "varistor"
	if exact {
		add("text.whole", o.Voltage)
	} else {
		add("kit.at-least", o.Voltage)
	}
	switch o.Class {
	case "fuse":
		add("kit.exactly", o.Current)
		out = append(out, fuseAsks(o)...)
	default:
		add("kit.at-least", o.Current)
	}
	add("kit.at-least", o.Power)
	if !o.Tolerance.IsZero() {
		out = append(out, message.Of("kit.or-closer", o.Tolerance))
	}
	add("kit.for-or-more", o.TemperatureMax)
	add("kit.least-life", o.Endurance)
	add("kit.series-resistance-most", o.ESRMax)
	add("kit.ripple-current-least", o.Ripple)
	return append(append(out, kindAsks(o)...), bodyAsks(&o.Body, at)...)
}

func fuseAsks(o *part.Offer) []message.Message {
	var out []message.Message
	if o.FuseSpeed != "" {
		out = append(out, message.Word("speed", o.FuseSpeed))
	}
	if b := o.BreakingCapacity.String(); b != "" {
		out = append(out, message.Of("kit.breaking-or-more", b))
	}
	return out
}

func kindAsks(o *part.Offer) []message.Message {
	var out []message.Message
	switch {
	case o.Polarised != nil && !*o.Polarised && strings.HasPrefix(string(o.Construction), "aluminium"):
		out = append(out, message.Of("kit.bipolar"))
	case o.Class == "cell" && isTrue(o.Rechargeable):
		out = append(out, message.Of("kit.rechargeable"))
	case o.Class == "cell" && o.Rechargeable != nil:
		out = append(out, message.Of("kit.not-rechargeable"))
	}
	if o.Class == "cell" && o.Chemistry != "" {
		out = append(out, message.Text(o.Chemistry))
	}
	if o.Text != "" {
		out = append(out, message.Text(o.Text))
	}
	return out
}

func bodyAsks(b *part.Body, at *part.Place) []message.Message {
	var out []message.Message
	most := func(key string, mm float64) {
		if mm != 0 {
			out = append(out, message.Of(key, mm))
		}
	}
	switch b.Mount {
	case "surface":
		out = append(out, message.Of("kit.surface-mounting"))
	case "through-hole":
		out = append(out, message.Of("kit.with-leads"))
	}
	most("kit.most-mm-diameter", b.Diameter)
	most("kit.most-mm-long", b.Length)
	most("kit.most-mm-wide", b.Width)
	height := b.Height
	if limit := at.Body.HeightLimit; limit != 0 && (height == 0 || limit < height) {
		height = limit
	}
	most("kit.most-mm-high", height)
	most("kit.lead-pitch-mm", b.LeadPitch)
	return out
}
