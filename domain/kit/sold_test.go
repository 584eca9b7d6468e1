package kit

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// holdSold holds what is thought of in place of a board's parts to what can be
// bought: values of IEC 60063, fuse currents of the series R10 that IEC 60127-2
// takes, voltages of makers' tables.
func holdSold(t interface {
	Errorf(string, ...any)
}, m *board.Map) {
	for i := range m.Positions {
		wanted := part.Offer{Part: *m.Positions[i].Wanted()}
		for _, v := range vary(&wanted) {
			p, was := &v.offer.Part, &wanted.Part
			changed := p.Value != was.Value || p.Construction != was.Construction
			if (p.Class == part.Capacitor || p.Class == part.Resistor) && changed && !p.Value.IsZero() &&
				!quantity.InSeries(p.Value, quantity.E24) && !quantity.InSeries(p.Value, quantity.E192) {
				t.Errorf("%s: %s for %s: no value of IEC 60063", v.key, p, was)
			}
			if p.Class == part.Capacitor && !p.Voltage.IsZero() && p.Voltage != was.Voltage &&
				!slices.Contains(soldVoltages(p), p.Voltage) {
				t.Errorf("%s: %s for %s: nobody sells that voltage", v.key, p, was)
			}
			if p.Class == part.Fuse && p.Current != was.Current && !slices.Contains(soldCurrent, p.Current) {
				t.Errorf("%s: %s for %s: no current of R10", v.key, p, was)
			}
		}
	}
}

func TestStandInsAreSold(t *testing.T) {
	for _, name := range []string{"board.json", "kits/board.json", "kits/supply.json"} {
		holdSold(t, load[board.Map](t, name))
	}
	rapid.Check(t, func(t *rapid.T) { holdSold(t, boardtest.Random(t)) })
}

// What is thought of in place of a part, as a counter clerk would say it (common
// practice); the values are of E6 and E12 (IEC 60063), the currents of R10.
func TestVary(t *testing.T) {
	for _, c := range []struct{ wanted, key, want string }{
		{"electrolytic 47 µF 16 V", "kit.next-value", "68 µF"},
		{"electrolytic 47 µF 16 V", "kit.twice-much", "100 µF"},
		{"electrolytic 47 µF 16 V", "kit.half-much", "22 µF"},
		{"electrolytic 47 µF 16 V", "kit.next-higher-voltage", "25 V"},
		{"electrolytic 47 µF 16 V", "kit.lower-voltage", "10 V"},
		{"electrolytic 50 µF 25 V", "kit.modern-value", "47 µF"},
		{"electrolytic 4.7 µF 16 V", "kit.film-capacitor", "50 V"},
		{"electrolytic 470 µF 400 V", "kit.a-tantalum", ""},
		{"electrolytic 470 µF 400 V", "kit.ceramic-x7r", ""},
		{"electrolytic 470 µF 400 V", "kit.film-capacitor", ""},
		{"film 100 nF 275 V X2", "kit.next-higher-voltage", "305 V"},
		{"fuse T 1.6 A 250 V", "kit.larger-current", "2 A"},
		{"fuse T 1.6 A 250 V", "kit.smaller-current", "1.25 A"},
		{"fuse T 1.6 A 250 V", "kit.lower-voltage", "125 V"},
		{"resistor 220 kΩ 500 mW", "kit.double-resistance", "470 kΩ"},
		{"resistor 220 kΩ 500 mW", "kit.less-power", "250 mW"},
		{"cell 3.6 V Ni-Cd", "kit.alkaline-cell", "3 V"},
	} {
		read, err := part.Read(c.wanted, quantity.Context{})
		if err != nil {
			t.Fatal(err)
		}
		wanted := part.Offer{Part: read.Readings[0].Part}
		all := vary(&wanted)
		i := slices.IndexFunc(all, func(v varied) bool { return v.key == c.key })
		if i < 0 {
			if c.want != "" {
				t.Errorf("%s: no %s", c.wanted, message.Of(c.key))
			}
			continue
		}
		p := &all[i].offer.Part
		if got := []string{p.Value.String(), p.Voltage.String(), p.Current.String(), p.Power.String()}; c.want == "" ||
			!slices.Contains(got, c.want) {
			t.Errorf("%s: %s is %s, want %q", c.wanted, message.Of(c.key), p, c.want)
		}
	}
}
