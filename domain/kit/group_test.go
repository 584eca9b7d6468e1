package kit

import (
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/part/parttest"
)

// TestGroupsTellApart: positions that want parts which differ in any member are
// never judged alike, such as those that want T and F fuses.
func TestGroupsTellApart(t *testing.T) {
	for i := range part.Members {
		a, b, _, _ := parttest.Pair(&part.Members[i])
		if !ungrouped(board.Position{Part: a}, board.Position{Part: b}) {
			t.Errorf("positions that differ in %s of their parts are one group", part.Members[i].Name)
		}
		if ungrouped(board.Position{Part: a}, board.Position{Part: a}) {
			t.Errorf("positions with the same %s are two groups", part.Members[i].Name)
		}
	}
	yes, deg, volts := true, 90.0, q(t, "12 V")
	for what, p := range map[string]board.Position{"circuit": {Circuit: part.Primary}, "hot_place": {HotPlace: &yes},
		"heat_sensitive": {HeatSensitive: &yes},
		"glued":          {Glued: &yes}, "negative_deg": {Negative: &deg}, "working_voltage": {WorkingVoltage: volts},
		"function": {Function: "mains filter"},
		"body":     {Body: &part.Body{Diameter: 5}}} {
		if !ungrouped(board.Position{}, p) {
			t.Errorf("positions that differ in %s are one group", what)
		}
	}
	no := false // without it, heat_sensitive alone says that the place is hot, too
	if !ungrouped(board.Position{HotPlace: &no}, board.Position{HotPlace: &no, HeatSensitive: &yes}) {
		t.Error("positions that differ in heat_sensitive alone are one group")
	}
	film := part.Part{Class: part.Capacitor, Construction: part.Film}
	m := &board.Map{Positions: []board.Position{{Part: film, X: 5}, {Part: film, X: 500},
		{Part: part.Part{Class: part.Fuse}, Circuit: part.Primary}}}
	if _, of := groups(m, []int{0, 1}); of[0] == of[1] {
		t.Error("positions of which one is beside mains parts are one group")
	}
}

func ungrouped(a, b board.Position) bool {
	_, of := groups(&board.Map{Positions: []board.Position{a, b}}, []int{0, 1})
	return of[0] != of[1]
}
