package review_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/board"
	"boardlore/domain/review"
)

// What each text shows was written down before the rule was tried on it.
func TestEvidenceShows(t *testing.T) {
	for text, want := range map[string]string{
		"measured with a ruler: C1–C44":            "place",
		"Mit dem Messschieber gemessen.":           "place",
		"Mesuré à la règle sur deux cartes":        "place",
		"Positions taken from the scan at 600 dpi": "place",
		"read on the sleeve":                       "part ratings",
		"C5: 47 µF 16 V":                           "part ratings",
		"C12 says 100 nF":                          "part",
		"Auf dem Becher abgelesen: 220 µF / 25 V":  "part ratings",
		"lu sur le manchon":                        "part ratings",
		"Marked 470 in white ink":                  "part ratings",
		"LCR meter, out of circuit":                "part",
		"colour bands brown black orange":          "part",
		"stripe points to the heatsink":            "direction",
		"Polung an drei Geräten verglichen":        "direction",
		"traced to U7 with the continuity tester":  "circuit",
		"measured 12.1 V across it":                "circuit",
		"per the schematic":                        "part ratings direction circuit",
		"bulged and leaking on all three boards":   "state",
		"ESR 14 Ω, ruler for the place":            "place part state",
		"ratings not legible, places with a ruler": "place",
		"The sleeve could not be read.":            "",
		"probably 16 V":                            "",
		"Aufdruck unleserlich":                     "",
		"checked":                                  "",
		"all correct, trust me":                    "",
		"as discussed":                             "",
		"see above":                                "",
		"geprüft, stimmt":                          "",
		"I have serviced hundreds of these.":       "",
		"C1-C44 are right now":                     "",
	} {
		e := review.Evidence{Text: text}
		if got := strings.Join(e.Shows().Names(), " "); got != want {
			t.Errorf("%q shows %q, want %q", text, got, want)
		}
	}
	measured := review.Evidence{Text: "x", Measured: map[string]string{"marking": "47/16", "voltage": "12 V"}}
	if got := strings.Join(measured.Shows().Names(), " "); got != "part ratings circuit" {
		t.Errorf("measured values show %q", got)
	}
	photographed := review.Evidence{Text: "x", Photographs: []string{photo}}
	if got := strings.Join(photographed.Shows().Names(), " "); got != "part ratings direction state" {
		t.Errorf("a photograph shows %q", got)
	}
}

func TestEvidenceNames(t *testing.T) {
	e := review.Evidence{Text: "measured with a ruler: C1–C3, R7 and D2; 47 µF", Designators: []string{"Q1"}}
	for _, d := range []string{"C1", "C2", "C3", "R7", "D2", "Q1"} {
		if !e.Named()[d] {
			t.Errorf("%s is not named", d)
		}
	}
	if e.Named()["C4"] || e.Named()["R1"] {
		t.Error("named is what is not")
	}
}

// An item counts for a position that it names and of which it shows something;
// what it does not show is still lacking.
func TestChecklistCountsWhatIsShown(t *testing.T) {
	m := new(board.Map)
	err := json.Unmarshal([]byte(`{"board":"tarn-a","equipment":{"maker":"Tarnwright","model":"A"},"name":"A",
		"frame":{"width_mm":50,"height_mm":40,"basis":"measured","uncertainty_mm":0.5},"positions":[
		{"designator":"C1","side":"top","x_mm":5,"y_mm":5,"rotation_deg":0,"negative_deg":90,
		 "part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"16 V","polarised":true}},
		{"designator":"C2","side":"top","x_mm":15,"y_mm":5,"rotation_deg":0,"part":{"class":"capacitor","construction":"ceramic","value":"100 nF"}},
		{"designator":"R1","side":"top","x_mm":25,"y_mm":5,"rotation_deg":0,"part":{"class":"resistor","value":"1 kΩ"}}]}`), m)
	if err != nil {
		t.Fatal(err)
	}
	s := review.Subject{Map: m, Evidence: []review.Evidence{
		{Text: "measured with a ruler: C1-C2"},
		{Text: "100 nF by the LCR meter", Designators: []string{"C2"}},
		{Text: "checked", Designators: []string{"R1"}},
	}}
	c := s.Checklist()
	want := map[string]string{"C1": "part ratings direction", "C2": "", "R1": "place part"}
	items := map[string][]int{"C1": {0}, "C2": {0, 1}, "R1": {}}
	for _, p := range c.Positions {
		if got := strings.Join(p.Lacks, " "); got != want[p.Designator] || !slices.Equal(p.Evidence,
			items[p.Designator]) {
			t.Errorf("%s lacks %q with items %v", p.Designator, got, p.Evidence)
		}
	}
	if c.Evidenced != 1 {
		t.Errorf("%d positions have their evidence, want C2 alone", c.Evidenced)
	}
}
