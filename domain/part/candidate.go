package part

import (
	"boardlore/domain/finding"
	"boardlore/domain/quantity"
)

// Candidate is an offered part with all that the rules look up in it, so that
// one part can be judged for many places at little cost. Make it with
// NewCandidate; it must not be used after the offer was changed.
type Candidate struct {
	*Offer

	// Fitting judges the part as if its outside were the wanted part's. It is
	// for a list that says nothing of outsides, where "unknown" would only
	// blur which part is meant for which place; Suit on the plain candidate
	// tells what is unknown.
	Fitting bool

	// Value, Voltage, Current and Power are those of the part, or where it has
	// none those that its type number or a maker's row stands for.
	Value, Voltage, Current, Power quantity.Quantity

	// Text is the part's text, without what the rules look at by itself.
	Text string

	kind         classKind
	group        group
	traits       traits
	safety       safety
	numbered     bool // the text is a type number
	rms          bool // the voltage is an alternating one
	polarity     int8
	charge       int8
	speed        int8
	breaks       quantity.Quantity // the current that a fuse interrupts
	contacts     quantity.Quantity // the voltage that a relay's contacts are for
	shaft        float64           // of a potentiometer or switch, in millimetres
	denied       denied
	chemistry    chemistry
	supply       Supply
	speedOfDiode diodeSpeed // by its type number
	chemical     bool       // the chemistry is one that the rules know
	dielectric   dielectric
	hottest      int16 // TemperatureMax in whole degrees
	step         int8  // of Voltage in the row of rated voltages
}

// NewCandidate looks up what the rules need of a part; nil means that nothing
// is known of it.
func NewCandidate(o *Offer) Candidate {
	c := Candidate{Offer: orNone(o)}
	c.prepare()
	return c
}

func (c *Candidate) prepare() {
	p := &c.Offer.Part
	c.kind = kindOf(p.Class)
	c.Value, c.Voltage, c.Current, c.Power = p.Value, p.Voltage, p.Current, p.Power
	if c.denied, c.Text = deniedIn(p.Text); c.Text != p.Text {
		said := *p
		said.Text = c.Text
		p = &said // what is denied must not be taken for what is said
	}
	c.traits, c.numbered = traitsOf(p), p.Text != "" && numbered(p.Text)
	if c.denied.traits&flammable != 0 {
		c.traits |= flameproof
	}
	switch c.kind {
	case relayClass:
		c.contacts, c.Text = contactsIn(p.Text)
	case potentiometerClass, switchClass:
		c.shaft, c.Text = shaftIn(p.Text)
	case diodeClass:
		c.rectifier()
	case varistorClass:
		c.clamping()
	}
	c.speed, c.breaks = speedRank(p.FuseSpeed), breakingOf(p, c.traits)
	c.charge = int8(rechargeability(p))
	c.chemistry, c.chemical = cellChemistry(p)
	c.dielectric, _ = dielectricOf(p.Dielectric)
	c.group = groupOf(p.Construction)
	if p.Construction == "" {
		c.group = c.dielectric.group() // X7R is ceramic, whether it says so or not
	}
	c.safety = safetyOf(p.SafetyClass)
	c.polarity = polarity(c.group, p.Polarised)
	if c.safety != 0 && p.Polarised == nil {
		c.polarity = -1 // it is made for the mains
	}
	c.hottest, c.step = int16(degrees(p.TemperatureMax)), int8(voltageStep(p.Voltage))
	c.supply = supplyOf(p, c.traits)
	c.rms = p.SafetyClass != "" || c.traits&alternating != 0
}

// Judge judges candidates for one place. It looks up once what the rules need
// of the wanted part and of the place, and which rules the wanted part breaks
// there itself. For many pairs, make one Judge for each place and one
// Candidate for each part:
//
//	judge := part.NewJudge(&wanted, &place)
//	c := part.NewCandidate(&offered)
//	penalty, fits := judge.Cost(&c)
//
// Suit of a Judge agrees with the function of that name, Weigh and Cost with
// both: fits is !Weight.Stop, and where it holds, penalty is Weight.Penalty. A
// Judge may be used by several goroutines at once. It must not be used after the wanted part
// or the place was changed; a Place whose Duty is set spares reading its
// Function.
type Judge struct {
	wanted Candidate
	place  *Place
	duty   Duty
	rail   int16               // temperature of the place in whole degrees
	modern []quantity.Quantity // what is made today in place of the wanted value, an old rating
	body   Body                // the outside that the offer has to fit
	same   ruleSet             // what the wanted part breaks itself
	own    ruleSet             // what of that the offer is excused for
	mains  mainsPlace
	charge charger

	unruled uint32 // members that the wanted part tells of and that its class has no rules for
}

// NewJudge prepares the judging for a place; nil means that nothing is known of
// the wanted part or of the place.
func NewJudge(wanted *Offer, place *Place) *Judge {
	var j Judge
	j.prepare(wanted, place)
	j.excuse()
	return &j
}

func (g *Judge) prepare(wanted *Offer, place *Place) {
	g.wanted.Offer, g.place = orNone(wanted), orNowhere(place)
	g.wanted.prepare()
	g.duty = g.place.Duty
	if g.duty == 0 && g.place.Function+g.place.Rail != "" {
		g.duty = DutyAt(g.place.Function, g.place.Rail)
	}
	g.unruled = unruled(&g.wanted.Offer.Part, g.wanted.kind)
	g.mains = g.atMains()
	if g.wanted.kind == cellClass {
		g.charge = g.charger()
	}
	g.rail = int16(degrees(g.place.RailTemp))
	if g.wanted.kind == capacitorClass {
		g.modern, _ = quantity.OldRating(g.wanted.Value)
	}
	g.body = room(&g.place.Body, &g.wanted.Body)
}

// excuse judges the wanted part for its own place.
func (g *Judge) excuse() {
	self := judgement{Judge: g, w: &g.wanted, o: &g.wanted, p: g.place}
	self.run()
	g.same = self.fired
	for i := range g.own {
		g.own[i] = self.fired[i] &^ hazards[i] &^ stops[i]
	}
}

// Cost is the quickest answer: whether the candidate may stand at the place,
// and its penalty where it may (0 where not). It stops at the first rule that
// forbids the part, so that most pairs of a large kit cost next to nothing. It
// never allocates.
func (g *Judge) Cost(c *Candidate) (penalty int, fits bool) {
	j := judgement{Judge: g, w: &g.wanted, o: c, p: g.place, quick: true}
	j.run()
	if j.dead {
		return 0, false
	}
	penalty = int(j.extra)
	for i := range j.fired {
		for set := j.fired[i] &^ g.own[i]; set != 0; set &= set - 1 {
			penalty += int(rules[i*64+lowest(set)].cost)
		}
	}
	return penalty, true
}

// Weigh judges by the same rules as Suit, without sentences. It never allocates.
func (g *Judge) Weigh(c *Candidate) Weight {
	j := judgement{Judge: g, w: &g.wanted, o: c, p: g.place}
	j.run()
	return j.weight()
}

// Suit is as the function Suit.
func (g *Judge) Suit(c *Candidate) []finding.Finding {
	j := judgement{Judge: g, w: &g.wanted, o: c, p: g.place}
	j.run()
	return j.findings()
}

// classKind is a class as a small number.
type classKind uint8

const (
	noClass classKind = iota
	capacitorClass
	resistorClass
	potentiometerClass
	thermistorClass
	varistorClass
	inductorClass
	transformerClass
	fuseClass
	cellClass
	diodeClass
	transistorClass
	circuitClass
	crystalClass
	relayClass
	switchClass
	connectorClass
	lampClass
	otherClass
	strangeClass // none of Classes
)

func kindOf(class Class) classKind {
	if class == "" {
		return noClass
	}
	for i, c := range Classes { // in the order of the constants
		if c == class {
			return capacitorClass + classKind(i)
		}
	}
	return strangeClass
}

// valued classes have a value; see ValueKind.
func (k classKind) valued() bool {
	switch k {
	case capacitorClass, resistorClass, potentiometerClass, thermistorClass, inductorClass, crystalClass, varistorClass:
		return true
	}
	return false
}
