package kit

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// bought is a kit of exactly what a list says is to be bought, labelled with
// what it is for, as a careful buyer does: a place of which the map says nothing
// would take another's part as well.
func bought(list []Purchase) *Kit {
	k := &Kit{ID: "bought", Title: "Bought"}
	for i := range list {
		p := &list[i]
		l := Line{Number: i + 1, Quantity: p.Quantity, Part: &p.Part, Designators: p.For}
		if p.Body != nil {
			body := *p.Body
			body.HeightLimit = 0
			l.Body = &body
		}
		k.Lines = append(k.Lines, l)
	}
	return k
}

// Who buys exactly what is to be bought has a kit that is complete, unless the
// entry says what no purchase answers.
func holdToBuy(t interface {
	Fatalf(string, ...any)
	Fatal(...any)
}, m *board.Map) {
	list, err := ListParts(Request{Map: m, Scope: Scope{Name: ScopeAll}})
	if err != nil {
		t.Fatal(err)
	}
	open := map[string]bool{}
	for _, p := range list.ToBuy {
		for _, d := range p.For {
			open[d] = p.Open != nil
		}
	}
	r := reconcile(t, Request{Map: m, Kit: bought(list.ToBuy), Scope: Scope{Name: ScopeAll}})
	for _, p := range r.Positions {
		if !open[p.Designator] && p.Fit != Match && p.Fit != Suitable {
			t.Fatalf("%s is %s: %+v\nto buy %+v", p.Designator, p.Fit, p.Findings, list.ToBuy)
		}
	}
	if len(m.Positions) > 0 && !slices.Contains(values(open), true) && r.Outcome != Complete {
		t.Fatalf("%s: %+v", r.Outcome, r.Flags)
	}
}

func values(m map[string]bool) (out []bool) {
	for _, v := range m {
		out = append(out, v)
	}
	return out
}

func TestBuyingWhatIsAskedCompletes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { holdToBuy(t, capacitors(t, rapid.IntRange(0, 12).Draw(t, "n"))) })
	rapid.Check(t, func(t *rapid.T) {
		m := boardtest.Random(t)
		m.Variants = nil
		holdToBuy(t, m)
	})
	for _, name := range []string{"board.json", "kits/board.json"} {
		holdToBuy(t, effective(t, load[board.Map](t, name), ""))
	}
}

// All that the rules ask is named: ripple and series resistance, temperature,
// speed, and the outside; and more than the map says where the rules ask for
// more: a tantalum of 16 V where 15 V stand wants twice the voltage (makers'
// tantalum derating guidelines: half the rating).
func TestToBuyAsksForMore(t *testing.T) {
	m := &board.Map{Board: "b", Positions: []board.Position{
		{Designator: "C1", Service: "replace", Function: "decoupling", WorkingVoltage: q(t, "15 V"),
			Part: part.Part{Class: "capacitor", Construction: "tantalum", Value: q(t, "10 µF"), Voltage: q(t, "16 V"),
				Polarised: ptr(true)}, Negative: ptr(0.0)},
		{Designator: "C2", Service: "replace", Function: "switching supply output", WorkingVoltage: q(t, "12 V"),
			Negative: ptr(0.0),
			Part: part.Part{Class: "capacitor", Construction: "aluminium-electrolytic", Value: q(t, "1000 µF"),
				Voltage: q(t, "16 V"), TemperatureMax: q(t, "105 °C"),
				ESRMax: q(t, "38 mΩ"), Ripple: q(t, "1.4 A"), Polarised: ptr(true)},
			Body: &part.Body{Mount: "through-hole", Shape: "can", Diameter: 10, Height: 20, LeadPitch: 5}},
	}}
	list, err := ListParts(Request{Map: m})
	if err != nil || len(list.ToBuy) != 2 {
		t.Fatalf("%+v, %v", list, err)
	}
	for i, words := range [][]string{{"at least 35 V"}, {"at least 16 V", "for 105 °C or more", "at most 38 mΩ",
		"at least 1.4 A", "at most 10 mm in diameter", "at most 20 mm high", "lead pitch 5 mm"}} {
		all := message.Commas(list.ToBuy[i].Asks).Say().String()
		for _, w := range words {
			if !strings.Contains(all, w) {
				t.Errorf("%v does not ask %s", list.ToBuy[i].Asks, w)
			}
		}
	}
	fuse := &board.Map{Board: "b", Positions: []board.Position{{Designator: "F1", Service: "replace",
		Function: "mains fuse",
		Part:     part.Part{Class: "fuse", Current: q(t, "1 A"), Voltage: q(t, "250 V"), FuseSpeed: "T"}}}}
	list, err = ListParts(Request{Map: fuse})
	if err != nil || len(list.ToBuy) != 1 || list.ToBuy[0].Spares == 0 {
		t.Fatalf("%+v, %v", list, err)
	}
	if !slices.ContainsFunc(list.ToBuy[0].MayNot, func(s StandIn) bool {
		return strings.HasPrefix(s.Text.String(),
			"a larger current") && !s.Why.IsZero()
	}) {
		t.Errorf("%+v", list.ToBuy[0].MayNot)
	}
}

// An empty position names the nearest line and what forbids it, for parts
// without a value too.
func TestWhyNot(t *testing.T) {
	m := load[board.Map](t, "kits/board.json")
	k := &Kit{Lines: []Line{{Number: 1, Quantity: 1, Text: "fuse T 6.3A 250V"}, {Number: 2, Quantity: 1, Text: "CR2032"},
		{Number: 3, Quantity: 1, Text: "bridge rectifier 50V 2A"},
		{Number: 4, Quantity: 1, Text: "100nF 400V film"}, {Number: 5, Quantity: 1, Text: "4.7uF 16V 85°C electrolytic"}}}
	r := reconcile(t, Request{Map: m, Kit: k, Scope: Scope{Name: ScopeAll}})
	for d, want := range map[string][]string{"F1": {"line 1", "6.3 A"}, "BT1": {"line 2", "primary"},
		"D1": {"line 3", "50 V"}, "C7": {"line 4", "class"},
		"C1": {"line 5", "4.7 µF"}, "R1": {"no resistor"}} {
		i := slices.IndexFunc(r.Positions, func(p PositionReport) bool { return p.Designator == d })
		f := r.Positions[i].Findings
		if len(f) != 1 || r.Positions[i].Fit != None {
			t.Fatalf("%s: %+v", d, r.Positions[i])
		}
		for _, w := range want {
			if !strings.Contains(strings.ToLower(f[0].Sentence.String()), strings.ToLower(w)) {
				t.Errorf("%s does not say %s: %s", d, w, f[0].Sentence)
			}
		}
	}
}
