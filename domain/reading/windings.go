package reading

import "boardlore/domain/quantity"

// windings gives a transformer its windings: those that the text names, and of bare voltages the mains one as primary
// and the others as secondary, which a doubt tells. One voltage alone is what the transformer gives.
func (p *partReader) windings() {
	if p.of != transformerClass {
		return
	}
	p.each(func(s *span) bool {
		for _, q := range s.parts {
			p.wind(q, s.label == "primary", s.i, s.j)
		}
		return true
	}, actWindings)
	var bare []*span
	mains := false
	p.each(func(s *span) bool {
		if s.q[0].Unit() == quantity.Volt && s.label == "" && s.n == 1 && s.q[0].Sign() > 0 {
			bare = append(bare, s)
			mains = mains || mainsVolts(s.q[0])
		}
		return true
	}, actAmount)
	if len(bare) < 2 && p.members["windings"] == "" || !mains && p.members["windings"] == "" {
		return
	}
	for _, s := range bare {
		p.wind(s.q[0], mainsVolts(s.q[0]), s.i, s.j)
		s.label = "winding"
	}
	if len(bare) > 0 && !plainSides(bare) {
		p.doubt("reading.windings")
	}
}

// plainSides reports whether bare voltages say by themselves which side they are: the mains first, then what no mains
// has, as in 230 V / 12 V.
func plainSides(bare []*span) bool {
	for k, s := range bare {
		if mainsVolts(s.q[0]) != (k == 0) {
			return false
		}
	}
	return true
}

func (p *partReader) wind(q quantity.Quantity, primary bool, i, j int) {
	p.members["windings"] = "some"
	p.note(Field{Member: "windings", Value: q.String(), Quantity: q, Primary: primary}, i, j)
}

// mainsVolts reports whether a voltage is one of public mains.
func mainsVolts(q quantity.Quantity) bool {
	switch q.String() {
	case "100 V", "110 V", "115 V", "117 V", "120 V", "127 V", "208 V", "220 V", "230 V", "240 V", "380 V", "400 V",
		"415 V":
		return true
	}
	return false
}
