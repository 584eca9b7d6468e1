package kit

import (
	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// group is a set of positions that want the same part at the same kind of
// place, so that every line suits them alike.
type group struct {
	wanted part.Offer
	place  part.Place
}

// partKey holds the members of a part by value, so that equal parts are equal
// keys. The members for the submitter's own use don't count.
type partKey struct {
	class                                                  part.Class
	construction                                           part.Construction
	dielectric, safety, speed, chemistry, text, windings   string
	supply                                                 part.Supply
	breaking                                               part.Breaking
	value, voltage, current, power, temperature, endurance quantity.Quantity
	esr, ripple, load                                      quantity.Quantity
	tolerance                                              quantity.Tolerance
	polarised, rechargeable                                int8
}

func keyOf(p *part.Part) partKey {
	return partKey{
		class: p.Class, construction: p.Construction, dielectric: p.Dielectric, safety: p.SafetyClass, speed: p.FuseSpeed,
		chemistry: p.Chemistry, text: p.Text, value: p.Value, voltage: p.Voltage, current: p.Current, power: p.Power,
		temperature: p.TemperatureMax, endurance: p.Endurance, esr: p.ESRMax, ripple: p.Ripple, tolerance: p.Tolerance,
		polarised: tri(p.Polarised), rechargeable: tri(p.Rechargeable),
		windings: p.Windings.String(), supply: p.Supply, breaking: p.BreakingCapacity, load: p.LoadCapacitance,
	}
}

// tri tells yes (1), no (-1) and not known (0) apart.
func tri(b *bool) int8 {
	switch {
	case b == nil:
		return 0
	case *b:
		return 1
	}
	return -1
}

type bodyKey struct {
	mount, shape                                  string
	diameter, length, width, height, limit, pitch float64
}

func bodyKeyOf(b *part.Body) bodyKey {
	return bodyKey{b.Mount, b.Shape, b.Diameter, b.Length, b.Width, b.Height, b.HeightLimit, b.LeadPitch}
}

type offerKey struct {
	part partKey
	body bodyKey
}

type groupKey struct {
	offer                      offerKey
	duty                       part.Duty
	working, railTemp          quantity.Quantity
	polarity, glued, heat, hot bool
	circuit                    part.Circuit
	mains                      bool
}

// groups sorts positions into groups by all that decides on a penalty. The
// second result is the group of each. The words of the function and the rail
// only serve sentences: the group's place has the duty instead.
func groups(m *board.Map, in []int) ([]group, []int32) {
	gs := make([]group, 0, min(len(in), 64))
	of := make([]int32, len(in))
	seen := make(map[groupKey]int32, len(in))
	duties := map[[2]string]part.Duty{}
	near := m.MainsNear()
	for i, at := range in {
		p := &m.Positions[at]
		words := [2]string{p.Function, p.Rail}
		duty, known := duties[words]
		if !known {
			duty = part.DutyAt(p.Function, p.Rail)
			duties[words] = duty
		}
		place := p.Place()
		place.MainsNear = near[at]
		place.Duty, place.Function, place.Rail = duty, "", ""
		wanted := p.Wanted()
		key := groupKey{
			offer: offerKey{keyOf(wanted), bodyKeyOf(&place.Body)}, duty: duty, working: p.WorkingVoltage, railTemp: place.RailTemp,
			polarity: place.PolarityKnown, glued: place.Glued, heat: place.HeatSensitive,
			hot: place.HotPlace, circuit: place.Circuit, mains: place.MainsNear,
		}
		g, ok := seen[key]
		if !ok {
			g = int32(len(gs))
			seen[key] = g
			gs = append(gs, group{wanted: part.Offer{Part: *wanted, Body: place.Body}, place: place})
		}
		of[i] = g
	}
	return gs, of
}
