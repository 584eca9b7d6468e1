package board_test

import (
	"slices"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
)

// The odd one out is told, with what the others say where it says something else.
func TestOddOneOut(t *testing.T) {
	m := boardtest.Big(12)
	for i := range m.Positions {
		p := &m.Positions[i]
		p.Part, p.Body, p.Notes, p.Function, p.Rail, p.Service, p.Replacement = m.Positions[0].Part,
			m.Positions[0].Body, "", "bulk", "", "replace", nil
		p.Negative, p.Glued, p.HeatSensitive, p.HotPlace, p.Circuit, p.Side = m.Positions[0].Negative, nil, nil, nil,
			"", "top"
		p.WorkingVoltage, p.Rotation = m.Positions[0].WorkingVoltage, 0
	}
	m.Positions[7].Service = "leave"
	m.Variants = nil
	claims := board.Claims(nil, m, nil)
	if len(claims) != 2 || claims[0].Count+claims[1].Count != 12 {
		t.Fatalf("%+v", claims)
	}
	odd := claims[slices.IndexFunc(claims, func(c board.Claim) bool { return c.Count == 1 })]
	if u := odd.Unlike; u == nil || len(u.Designators) != 11 || u.Says.String() != "service: replace" ||
		u.Instead.String() != "service: leave" {
		t.Errorf("%+v", odd.Unlike)
	}
}
