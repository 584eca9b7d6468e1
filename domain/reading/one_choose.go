package reading

import "boardlore/domain/quantity"

// bestAt gives the weightiest span that begins at an atom and says something where one kind is asked for.
func (o *asker) bestAt(k, end int) *span {
	best, most := -1, 0
	for n := o.first[k]; n < o.first[k+1]; n++ {
		s := &o.spans[n]
		if s.j > end || !o.minds(s) {
			continue
		}
		if w := s.weight*4 + o.fondness(s); best < 0 || w > most {
			best, most = n, w
		}
	}
	if best < 0 {
		return nil
	}
	return &o.spans[best]
}

// minds reports whether a span matters here: letters and chip sizes mean something for whole parts only.
func (o *asker) minds(s *span) bool {
	switch s.act {
	case actLetter, actCase, actChip, actName, actCell, actCharge, actQuotedMember, actPrice:
		return false
	case actType:
		return s.label != "shape" && s.sure
	case actFuse:
		return o.kind == quantity.Current || o.kind == quantity.Voltage
	case actDielectric:
		return s.sure
	case actSafety:
		return s.name[0] == o.casedOf(s.i)[0] // a small x counts
	case actText, actPlain, actTaper, actMount, actShape, actChemLetter, actSpeed, actFusible:
		return s.label != "quoted" && !(s.j == s.i+1 && len(o.lowOf(s.i)) < 2)
	case actQuantity:
		return s.rule != "leading count"
	}
	return true
}

// fondness prefers what speaks of the kind asked for.
func (o *asker) fondness(s *span) int {
	switch {
	case s.act == actTolerance && o.kind == quantity.ToleranceKind, s.act == actLength && o.kind == quantity.Length,
		s.act == actFuse:
		return 3
	case s.act == actAmount && s.q[0].Unit() == o.kind.Unit():
		return 2
	}
	return 0
}
