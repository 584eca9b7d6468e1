package board

import (
	"slices"
	"strings"
	"testing"

	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

func volts(t *testing.T, s string) quantity.Quantity {
	t.Helper()
	q, err := quantity.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// TestMainsNear: an X part beside a capacitor speaks for the mains, a fuse or a
// bridge for mains voltage only together, since low-voltage equipment has them
// too; nothing does beyond 25 mm, and a circuit settles it.
func TestMainsNear(t *testing.T) {
	at := func(x float64, p part.Part) Position { return Position{Designator: "P", X: x, Y: 10, Part: p} }
	film := part.Part{Class: "capacitor", Construction: "film"}
	xPart := part.Part{Class: "capacitor", SafetyClass: "X2"}
	fuse := part.Part{Class: "fuse", Voltage: volts(t, "250 V")}
	bridge := part.Part{Class: "diode", Construction: "bridge", Voltage: volts(t, "600 V")}
	coded := at(20, film)
	coded.Circuit = part.Secondary
	behind := at(30, fuse)
	behind.Circuit = part.Secondary
	for _, tt := range []struct {
		name string
		all  []Position
		want bool
	}{
		{"X part", []Position{at(20, film), at(40, xPart)}, true},
		{"X part too far", []Position{at(20, film), at(45.1, xPart)}, false},
		{"fuse alone", []Position{at(20, film), at(30, fuse)}, false},
		{"fuse and bridge", []Position{at(20, film), at(30, fuse), at(10, bridge)}, true},
		{"fuse behind the isolation and bridge", []Position{at(20, film), behind, at(10, bridge)}, false},
		{"circuit given", []Position{coded, at(40, xPart)}, false},
		{"nothing", []Position{at(20, film)}, false},
	} {
		if got := (&Map{Positions: tt.all}).MainsNear()[0]; got != tt.want {
			t.Errorf("%s: %v", tt.name, got)
		}
	}
}

// TestCircuitAsked: a map is asked for the circuit once, for all positions at
// which the mains are likely, and only for those that do not say it.
func TestCircuitAsked(t *testing.T) {
	film := part.Part{Class: "capacitor", Construction: "film", Voltage: volts(t, "400 V")}
	all := []Position{
		{Designator: "C1", Part: film, Function: "filtro rete"},
		{Designator: "C2", X: 90, Part: film, WorkingVoltage: volts(t, "230 V")},
		{Designator: "C3", X: 90, Part: film, Function: "tone control"},
		{Designator: "F1", X: 90, Part: part.Part{Class: "fuse"}, Function: "Netzsicherung"},
		{Designator: "F2", X: 90, Part: part.Part{Class: "fuse"}, Function: "Netzsicherung", Circuit: part.Primary},
		{Designator: "S1", X: 90, Part: part.Part{Class: "switch"}, Rail: "mains"},
	}
	var asked []finding.Finding
	for _, f := range Check(&Map{Board: "b", Frame: Frame{Width: 100, Height: 100, Basis: "measured"},
		Positions: all}) {
		if f.Code == "circuit-unknown" {
			asked = append(asked, f)
		}
	}
	if len(asked) != 1 || asked[0].Severity != finding.Caution {
		t.Fatalf("%+v", asked)
	}
	for i := range all {
		named := slices.Contains(strings.FieldsFunc(asked[0].Sentence.String(),
			func(r rune) bool { return strings.ContainsRune(" ,:", r) }), all[i].Designator)
		if want := slices.Contains([]string{"C1", "C2", "F1", "S1"}, all[i].Designator); named != want {
			t.Errorf("%s named: %v in %q", all[i].Designator, named, asked[0].Sentence)
		}
	}
}
