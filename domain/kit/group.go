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

type bodyKey struct {
	mount, shape                                  string
	diameter, length, width, height, limit, pitch float64
}

func bodyKeyOf(b *part.Body) bodyKey {
	return bodyKey{b.Mount, b.Shape, b.Diameter, b.Length, b.Width, b.Height, b.HeightLimit, b.LeadPitch}
}

type offerKey struct {
	part part.Key
	body bodyKey
}

type groupKey struct {
	offer                      offerKey
	duty                       part.Duty
	working                    quantity.Quantity
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
			offer: offerKey{wanted.Key(), bodyKeyOf(&place.Body)}, duty: duty, working: p.WorkingVoltage,
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
