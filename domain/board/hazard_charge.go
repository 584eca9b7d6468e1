package board

import (
	"math"
	"strconv"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// charge is what the group of a capacitor may hold after unplugging; the zero
// charge is that of a part that holds none, or is not there.
type charge struct{ volts, joules float64 }

func (c charge) dangerous() bool {
	return c.volts > ShockVolts && c.joules > shockJoules || c.joules > flashJoules
}

// say is a charge in words.
func (c charge) say() message.Message {
	if c.joules == 0 {
		return message.Of("map.nothing")
	}
	figure := func(v float64) string { // two figures, and no power of ten
		return strconv.FormatFloat(twoFigures(v), 'f', -1, 64)
	}
	return message.Of("map.charge", figure(c.joules)+" J", figure(c.volts)+" V")
}

// twoFigures rounds to two significant figures.
func twoFigures(v float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-1)
	return tidy(math.Round(v/scale) * scale)
}

// charges are those of the positions of a build; of a variant's only where it
// changes something of their group.
type charges struct {
	base   *charges
	at     map[string]charge
	shares map[string]share    // of the base map's capacitors
	rails  map[string][]string // their designators
}

// share is what one capacitor brings into its group.
type share struct {
	rail          string
	farads, volts float64
}

func shareOf(p *Position) (share, bool) {
	if p.Part.Class != part.Capacitor {
		return share{}, false
	}
	s := share{rail: p.Rail, volts: voltsAt(p)}
	if p.Part.Value.Unit() == quantity.Farad {
		s.farads = p.Part.Value.Float()
	}
	if !p.betweenRails() {
		s.rail = ""
	}
	return s, true
}

func voltsAt(p *Position) float64 {
	v := p.WorkingVoltage
	if v.IsZero() {
		v = p.Part.Voltage
	}
	return v.Float()
}

func (s share) alone() charge { return charge{s.volts, s.farads * s.volts * s.volts / 2} }

// chargesOf sums up what the groups of each build hold, as Stored does.
func chargesOf(builds []effective) []charges {
	base := charges{at: map[string]charge{}, shares: map[string]share{}, rails: map[string][]string{}}
	for _, p := range builds[0].told {
		s, is := shareOf(p)
		if !is {
			continue
		}
		base.shares[p.Designator], base.at[p.Designator] = s, s.alone()
		if s.rail != "" {
			base.rails[s.rail] = append(base.rails[s.rail], p.Designator)
		}
	}
	for _, names := range base.rails {
		base.sum(names, base.shares)
	}
	out := []charges{base}
	for i := range builds[1:] {
		out = append(out, base.build(&builds[i+1]))
	}
	return out
}

// sum gives each of a group the charge of all.
func (c *charges) sum(names []string, of map[string]share) {
	var all share
	for _, name := range names {
		s := of[name]
		all.farads, all.volts = all.farads+s.farads, max(all.volts, s.volts)
	}
	for _, name := range names {
		c.at[name] = all.alone()
	}
}

func (c *charges) build(b *effective) charges {
	out := charges{base: c, at: map[string]charge{}}
	own, rails := map[string]share{}, map[string]bool{}
	for name := range b.gone {
		rails[c.shares[name].rail], out.at[name] = true, charge{}
	}
	for name, p := range b.by {
		rails[c.shares[name].rail], out.at[name] = true, charge{}
		if s, is := shareOf(p); is {
			own[name], out.at[name] = s, s.alone()
			rails[s.rail] = true
		}
	}
	delete(rails, "")
	for rail := range rails {
		of, names := map[string]share{}, []string{}
		for _, name := range c.rails[rail] {
			if b.by[name] == nil && !b.gone[name] {
				of[name], names = c.shares[name], append(names, name)
			}
		}
		for name, s := range own {
			if s.rail == rail {
				of[name], names = s, append(names, name)
			}
		}
		out.sum(names, of)
	}
	return out
}

func (c *charges) of(name string) charge {
	at, there := c.at[name]
	if !there && c.base != nil {
		return c.base.at[name]
	}
	return at
}

// charges holds every build to what it was told to discharge before anybody
// touches it: a group that falls apart by its rails, its functions or its values
// is discharged no more.
func (j *judge) charges() {
	before, after := chargesOf(j.was), chargesOf(j.now)
	renamed := j.d.renamed()
	for i := range j.now {
		was := &before[0]
		for k := range j.was {
			if j.was[k].name == j.now[i].name {
				was = &before[k]
			}
		}
		judge := func(name string) {
			told := was.of(name)
			now := name
			if to := renamed[name]; to != "" {
				now = to
			}
			if is := after[i].of(now); told.dangerous() && !is.dangerous() {
				j.add(j.now[i].name, &Position{Designator: now}, j.view.Through, weaker("charge-untold", told.say(),
					is.say()))
			}
		}
		for _, p := range j.was[0].told {
			if before[0].at[p.Designator].dangerous() {
				judge(p.Designator)
			}
		}
		for name := range was.at {
			if was.base != nil && !before[0].at[name].dangerous() {
				judge(name)
			}
		}
	}
}
