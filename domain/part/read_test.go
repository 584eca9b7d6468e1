package part

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/fault"
	"boardlore/domain/quantity"
)

var updateReadings = flag.Bool("update", false, "write the golden files anew")

// lines are texts as kits, sleeves and lists bear them (common practice), with
// the class where a list would tell it. The golden file has how each reads.
var lines = []struct{ class, text string }{
	{"", "22µ/16V 105° low ESR 5x11 RM2"}, {"", "100n 50V X7R 0805"}, {"", "2x CR2032"}, {"", "T630mA 250V 5x20"},
	{"", "47 µF 6.3 V SMD ±20 % 105 °C bipolar"}, {"", "4 x 47uF 6.3V SMD"}, {"", "10k 1% 1/4W metal film"},
	{"", "X2 100n 275V~"},
	{"", "47 µF 50 V BP"}, {"", "2x470uF"}, {"", "104"}, {"", "Elko 1000/25 radial"}, {"resistor", "100 ±5%"},
	{"diode", "1N4148"},
	{"crystal", "12MHz 50ppm 16-20pF"}, {"", "Kondensator 4,7µF 35V stehend RM 2,5"},
	{"", "condensateur chimique 10 µF 25 V pas 5"},
	{"", "Sicherung 1A träge 250V"}, {"", "pile CR1220"}, {"", "10 Stk 47µ/25 ungepolt"}, {"inductor", "100µH 1A"},
	{"", "something else 5"},
	{"capacitor", "10uF 25V blue sleeve"}, {"", "470 µF 16V 2000h ESR 0.12Ω"},
	{"", "1N4148"}, {"", "BC547B"}, {"", "BAT46"}, {"", "qty 4 47uF"}, {"", "Menge: 3 10k 1/4W"}, {"", "BR1225 tabbed"},
	{"", "10µF 25V -40~+105°C"}, {"", "BP 10µF"}, {"", "7 x 47 µF 16 V"},
}

func TestReadGolden(t *testing.T) {
	var b strings.Builder
	for _, l := range lines {
		r, err := Read(l.text, quantity.Context{Class: l.class})
		b.WriteString(strings.TrimSpace(l.class+" | "+l.text) + "\n")
		if err != nil {
			b.WriteString("  refused: " + err.Error() + "\n")
			continue
		}
		for _, x := range r.Readings {
			out, err := json.Marshal(x, json.Deterministic(true), jsontext.EscapeForHTML(false))
			if err != nil {
				t.Fatal(err)
			}
			b.WriteString("  " + string(out) + "\n")
		}
		if len(r.LeftOver) > 0 {
			b.WriteString("  left over: " + strings.Join(r.LeftOver, " | ") + "\n")
		}
	}
	golden := filepath.Join("testdata", "readings.golden")
	if *updateReadings {
		if err := os.WriteFile(golden, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), b.String()); diff != "" {
		t.Errorf("readings (-want +got):\n%s", diff)
	}
}

// TestReadMembers judges by hand what the golden file only keeps.
func TestReadMembers(t *testing.T) {
	r, err := Read("47 µF 6.3 V SMD ±20 % 105 °C bipolar", quantity.Context{})
	if err != nil || len(r.Readings) != 1 || len(r.LeftOver) != 0 {
		t.Fatalf("%+v, %v", r, err)
	}
	p := r.Readings[0].Part
	if p.Class != Capacitor || p.Value.String() != "47 µF" || p.Voltage.String() != "6.3 V" ||
		p.Tolerance.String() != "±20 %" ||
		p.TemperatureMax.String() != "105 °C" || p.Polarised == nil || *p.Polarised ||
		r.Readings[0].Body.Mount != "surface" {
		t.Errorf("read as %s, %+v", p, r.Readings[0].Body)
	}
	r, err = Read("100 ±5%", quantity.Context{Class: "resistor"})
	if err != nil || r.Readings[0].Part.Value.String() != "100 Ω" || r.Readings[0].Part.Tolerance.String() != "±5 %" {
		t.Errorf("resistor: %+v, %v", r, err)
	}
	if r, err = Read("104", quantity.Context{}); err != nil || len(r.Readings) < 2 {
		t.Errorf("104 with no class has one reading: %+v, %v", r, err)
	}
	for text, class := range map[string]string{"1N4148": "diode", "BC547B": "transistor", "2N3904": "transistor"} {
		if r, err = Read(text, quantity.Context{}); err != nil || len(r.Readings) != 1 ||
			r.Readings[0].Part.Class != Class(class) || !r.Readings[0].Part.Value.IsZero() {
			t.Errorf("%s: %+v, %v", text, r, err)
		}
	}
	if r, err = Read("qty 4 47uF", quantity.Context{}); err != nil || r.Readings[0].Quantity != 4 ||
		r.Readings[0].Part.Value.String() != "47 µF" {
		t.Errorf("qty: %+v, %v", r, err)
	}
	if r, err = Read("CR1220", quantity.Context{}); err != nil || r.Readings[0].Body.Diameter != 12.5 ||
		r.Readings[0].Body.Height != 2 {
		t.Errorf("CR1220: %+v, %v", r, err)
	}
	if r, err = Read("10µF 25V -40~+105°C", quantity.Context{}); err != nil || len(r.Readings[0].Doubts) == 0 ||
		r.Readings[0].Part.TemperatureMax.String() != "105 °C" {
		t.Errorf("range: %+v, %v", r, err)
	}
	if _, err = Read("  ", quantity.Context{}); !fault.Is(err, fault.Invalid) {
		t.Errorf("blank: %v", err)
	}
	if _, err = Read("nothing known here", quantity.Context{}); !fault.Is(err, fault.Invalid) {
		t.Errorf("unknown words: %v", err)
	}
}
