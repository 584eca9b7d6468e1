package bench

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// patience is how long a discharge may take where nobody names a resistor, s.
const patience = 5.0

var chargeBasis = message.Of("basis.charge")

// Charge is what one capacitor, or several in parallel, may hold after
// unplugging, and how to be rid of it.
type Charge struct {
	Positions   []string          `json:"positions"` // natural order
	Capacitance quantity.Quantity `json:"capacitance"`
	Voltage     quantity.Quantity `json:"voltage"`
	Rated       bool              `json:"rated"`       // the voltage is a rating, since the map gives no working voltage
	Alternating bool              `json:"alternating"` // it stands on alternating mains, and may hold the peak
	Energy      float64           `json:"energy_j"`    // ½CV²
	Resistor    quantity.Quantity `json:"resistor,omitzero"`
	Peak        *float64          `json:"peak_w,omitzero"` // in the resistor at the first moment
	Time        float64           `json:"time_s"`          // through the resistor down to ToVolts
	ToVolts     float64           `json:"to_v"`
	Bleeders    []Bleeder         `json:"bleeders"`
	Text        message.Message   `json:"text"`
	Basis       message.Message   `json:"basis"`
}

// Bleeder is a resistor of the board that discharges, while it is whole.
type Bleeder struct {
	Designator string            `json:"designator"`
	Resistance quantity.Quantity `json:"resistance"`
	Time       float64           `json:"time_s"` // down to ToVolts through it alone
}

// charges works out what may stay charged, the greatest energy first, and
// what is not told of capacitors that might be among it.
func charges(r Request) ([]Charge, map[string][]string) {
	out, untold := []Charge{}, map[string][]string{}
	stored := r.Map.Stored()
	for i := range stored {
		g := &stored[i]
		c := Charge{Capacitance: g.Capacitance, Voltage: g.Voltage, Rated: g.Rated, Alternating: g.Alternating,
			Energy: g.Energy}
		for _, p := range g.At {
			c.Positions = append(c.Positions, p.Designator)
		}
		missing(g, untold)
		if !g.Dangerous() {
			continue
		}
		c.discharge(r.Resistor, r.ToVolts)
		c.Bleeders = bleeders(r.Map, g, c.seconds)
		c.Text, c.Basis = c.words(), chargeBasis
		out = append(out, c)
	}
	slices.SortStableFunc(out, func(a, b Charge) int { return cmp.Compare(b.Energy, a.Energy) })
	return out, untold
}

// missing tells what a charge can't be judged without, where it might matter.
func missing(c *board.Stored, untold map[string][]string) {
	for _, p := range c.At {
		if p.Part.Value.IsZero() && (c.Voltage.IsZero() || c.Voltage.Float() > board.ShockVolts ||
			mayBeLarge(&p.Part)) {
			untold[p.Designator] = append(untold[p.Designator], "value")
		}
		if c.Voltage.IsZero() && (p.Part.Value.IsZero() || p.Part.Value.Float() >= smallFarads) {
			untold[p.Designator] = append(untold[p.Designator], "voltage")
		}
	}
}

// smallFarads hold less than a thousandth of a joule at 450 V, above which
// small boards don't go: common practice.
const smallFarads = 10e-9

// mayBeLarge tells the constructions that are made in millifarads.
func mayBeLarge(p *part.Part) bool {
	switch p.Construction {
	case "", "aluminium-electrolytic", "aluminium-polymer", "supercapacitor":
		return true
	}
	return false
}

// discharge works out the resistor, the given one or the largest of the E6
// series that is quick enough, its first power and the time.
func (c *Charge) discharge(given quantity.Quantity, to float64) {
	c.ToVolts, c.Resistor = to, given
	if given.IsZero() {
		c.Resistor = largestE6(patience / c.seconds(1))
	}
	if c.Resistor.IsZero() {
		return
	}
	v, r := c.Voltage.Float(), c.Resistor.Float()
	peak := v * v / r
	c.Peak, c.Time = &peak, c.seconds(r)
}

// seconds is how long the charge takes to fall to ToVolts through ohms.
func (c *Charge) seconds(ohms float64) float64 {
	v := c.Voltage.Float()
	if v <= c.ToVolts {
		return 0
	}
	return ohms * c.Capacitance.Float() * math.Log(v/c.ToVolts)
}

// largestE6 is the largest value of the E6 series (IEC 60063) up to ohms;
// absent where any value will do.
func largestE6(ohms float64) quantity.Quantity {
	if math.IsInf(ohms, 1) {
		return quantity.Quantity{}
	}
	ohms *= 1 + 1e-12 // what is equal but for rounding
	exp := int(math.Floor(math.Log10(ohms)))
	best := quantity.Quantity{}
	for _, e := range []int{exp - 1, exp} {
		for _, v := range quantity.E6.Values() {
			if q, ok := quantity.New(v, e-2, quantity.Ohm); ok && q.Float() <= ohms {
				best = q
			}
		}
	}
	return best
}

// bleeders are the resistors that the map says discharge a group: on its rail,
// or naming one of its positions.
func bleeders(m *board.Map, g *board.Stored, seconds func(float64) float64) []Bleeder {
	out := []Bleeder{}
	for i := range m.Positions {
		p := &m.Positions[i]
		if p.Part.Class != part.Resistor || p.Part.Value.IsZero() || part.DutyOf(p.Function)&part.Bleeder == 0 ||
			!bledBy(g, p) {
			continue
		}
		out = append(out, Bleeder{p.Designator, p.Part.Value, seconds(p.Part.Value.Float())})
	}
	slices.SortFunc(out, func(a, b Bleeder) int { return board.CompareDesignators(a.Designator, b.Designator) })
	return out
}

func bledBy(g *board.Stored, r *board.Position) bool {
	if r.Rail != "" && r.Rail == g.At[0].Rail {
		return true
	}
	words := strings.FieldsFunc(r.Function, func(c rune) bool { return strings.ContainsRune(" ,;:()/", c) })
	return slices.ContainsFunc(g.At, func(p *board.Position) bool { return slices.Contains(words, p.Designator) })
}

// words say what to do, and every time to measure.
func (c *Charge) words() message.Message {
	what := message.Text(c.Positions[0])
	if len(c.Positions) > 1 {
		what = message.Of("charge.in-parallel", c.Positions[0])
	}
	says := message.Of("charge.measure", what)
	if c.Rated {
		says = says.And(message.Of("charge.rated"))
	}
	if c.Alternating {
		says = says.And(message.Of("charge.alternating"))
	}
	if c.Resistor.IsZero() {
		says = says.And(message.Of("charge.below", c.ToVolts))
	} else {
		says = says.And(message.Of("charge.discharge", c.Resistor, c.Voltage, figures(c.Time), c.ToVolts))
	}
	if len(c.Bleeders) == 0 {
		return says.And(message.Of("charge.no-bleeder"))
	}
	for _, l := range c.Bleeders {
		says = says.And(message.Of("charge.bleeder", l.Designator, figures(l.Time)))
	}
	return says
}

// figures writes three of them.
func figures(x float64) string { return strconv.FormatFloat(x, 'g', 3, 64) }
