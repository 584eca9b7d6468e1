package part

import (
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"pgregory.net/rapid"

	"boardlore/domain/finding"
	"boardlore/domain/quantity"
)

// placeCodes are the stops that the place itself calls for, whatever part the
// map asks for there. All others compare the two parts, so that no part can have
// them against itself.
var placeCodes = []string{"working-voltage-above-rating", "mains-above-rating", "dissipation-above-rating",
	"tantalum-derating", "polymer-derating",
	"place-too-hot", "height-above-limit", "safety-class-missing", "safety-class-differs", "primary-where-charged",
	"lithium-where-charged", "cell-charging-differs"}

// Weigh judges whether offered may stand at place instead of wanted, by the
// same rules as Suit. Any argument may be nil, which means
// that nothing is known of it.
func Weigh(wanted, offered *Offer, place *Place) Weight {
	var g Judge
	g.prepare(wanted, place)
	c := NewCandidate(offered)
	j := judgement{Judge: &g, w: &g.wanted, o: &c, p: g.place}
	j.run()
	if !j.fired.empty() {
		g.excuse()
	}
	return j.weight()
}

// contradicts reports whether the place itself rules the wanted part out.
func contradicts(o *Offer, p *Place) bool { return Weigh(o, o, p).Stop }

// TestPartSuitsItself: a part suits its own specification, unless the place
// rules that out. Then it is told as gravely as of any other part, and that the
// map has to be mended.
func TestPartSuitsItself(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawOffer(t)
		p := drawPlace(t, o.Body)
		got := Suit(&o, &o, &p)
		penalty := 0
		for _, f := range got {
			switch {
			case f.Severity != finding.Stop:
				if f.Severity == finding.Caution && !slices.Contains(hazardCodes(), f.Code) {
					t.Fatalf("%+v has %s against itself", o, f.Code)
				}
			case !slices.Contains(placeCodes, f.Code):
				t.Fatalf("%+v has %s against itself: %s", o, f.Code, brief(got))
			case !strings.Contains(f.Sentence.String(), "the map has to be mended"):
				t.Fatalf("%s hides that the map is no better: %q", f.Code, f.Sentence)
			}
		}
		for _, r := range Rules() {
			for _, f := range got {
				if r.Hazard && r.Code == f.Code && r.Severity == f.Severity {
					penalty += r.Penalty
				}
			}
		}
		if w := Weigh(&o, &o, &p); w.Penalty > penalty {
			t.Fatalf("%+v costs %d in its own place: %s", o, w.Penalty, brief(got))
		}
	})
}

// hazardCodes are the cautions that stay though the wanted part has them too.
func hazardCodes() (codes []string) {
	for _, r := range Rules() {
		if r.Hazard && r.Severity == finding.Caution {
			codes = append(codes, r.Code)
		}
	}
	return codes
}

func TestSuitAndWeighAgree(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, o := drawOffer(t), drawOffer(t)
		p := drawPlace(t, drawBody(t))
		fs := Suit(&w, &o, &p)
		checkFindings(t, fs, Weigh(&w, &o, &p))
		if again := Suit(&w, &o, &p); !reflect.DeepEqual(fs, again) {
			t.Fatal("two judgements differ")
		}
	})
}

// improve makes every rating at least as good: higher where more is better,
// lower where less is, closer, and unknown ratings known only where the wanted
// part has them too.
func improve(t *rapid.T, o Offer, d Duty) Offer {
	up := func(label string, v *quantity.Quantity, num, den int64) {
		if rapid.Bool().Draw(t, label) {
			if b, ok := v.MulRatio(num, den); ok {
				*v = b
			}
		}
	}
	switch o.Class {
	case "capacitor":
		up("voltage+", &o.Voltage, 5, 4)
		up("ripple+", &o.Ripple, 3, 2)
		if !d.any(RegulatorOutput) {
			up("esr-", &o.ESRMax, 1, 2)
		}
		up("endurance+", &o.Endurance, 2, 1)
	case "resistor", "inductor", "transistor", "thermistor", "varistor", "potentiometer", "switch", "connector":
		if o.Class != Varistor || !o.Value.IsZero() { // else its voltage stands for the value
			up("voltage+", &o.Voltage, 5, 4)
		}
		if traitsOf(&o.Part)&fusible == 0 { // a fusible resistor of more power opens later
			up("power+", &o.Power, 2, 1)
		}
		up("current+", &o.Current, 2, 1)
	case "diode", "relay", "integrated-circuit", "transformer":
		up("power+", &o.Power, 2, 1) // their voltage may be what they work at
		up("current+", &o.Current, 2, 1)
	case "fuse":
		up("voltage+", &o.Voltage, 5, 4)
	}
	if o.Class != Fuse {
		up("temperature+", &o.TemperatureMax, 6, 5)
	}
	if !o.Tolerance.IsZero() && rapid.Bool().Draw(t, "closer") {
		if low, ok1 := o.Tolerance.Low().MulRatio(1, 2); ok1 {
			if high, ok2 := o.Tolerance.High().MulRatio(1, 2); ok2 {
				o.Tolerance, _ = quantity.NewTolerance(low, high)
			}
		}
	}
	return o
}

// TestBetterIsNoWorse: a part at least as good in every rated respect is never
// judged worse, against the very part and against another.
func TestBetterIsNoWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawOffer(t)
		o := drawOfClass(t, string(w.Class))
		p := drawPlace(t, w.Body)
		d := DutyOf(p.Function)
		b := improve(t, o, d)
		before, after := Suit(&w, &o, &p), Suit(&w, &b, &p)
		if worse(before, after) {
			t.Fatalf("better is worse:\n%s\n%s", brief(before), brief(after))
		}
		if contradicts(&w, &p) {
			return
		}
		own := improve(t, w, d)
		if got := Suit(&w, &own, &p); worse(Suit(&w, &w, &p), got) {
			t.Fatalf("better than asked for does not suit: %s", brief(got))
		}
	})
}

// worse reports whether the second list is graver, notes left aside: a note
// may well say that a rating is higher than needed.
func worse(before, after []finding.Finding) bool {
	return finding.Worst(after).Rank() > max(finding.Worst(before).Rank(), finding.Note.Rank())
}

// TestStopsStay: a fault added to a part takes no other stop away. A fault
// named after a member may only change what is said of that member.
func TestStopsStay(t *testing.T) {
	yes, no := true, false
	q := func(coef int64, exp int, u quantity.Unit) quantity.Quantity { return mustQ(coef, exp, u) }
	faults := map[string]func(*Offer){
		"voltage":      func(o *Offer) { o.Voltage = q(1, -3, quantity.Volt) },
		"class":        func(o *Offer) { o.Class = "other" },
		"polarised":    func(o *Offer) { o.Polarised = &yes },
		"temperature":  func(o *Offer) { o.TemperatureMax = q(1, 0, quantity.Celsius) },
		"safety":       func(o *Offer) { o.SafetyClass = "" },
		"value":        func(o *Offer) { o.Value = q(1, -12, quantity.Farad) },
		"tolerance":    func(o *Offer) { o.Tolerance, _ = quantity.Symmetric(q(99, 0, quantity.Percent)) },
		"power":        func(o *Offer) { o.Power = q(1, -6, quantity.Watt) },
		"height":       func(o *Offer) { o.Body.Height = 500 },
		"pitch":        func(o *Offer) { o.Body.LeadPitch = 50 },
		"diameter":     func(o *Offer) { o.Body.Diameter = 90 },
		"mount":        func(o *Offer) { o.Body.Mount = "surface" },
		"primary":      func(o *Offer) { o.Rechargeable = &no },
		"esr":          func(o *Offer) { o.ESRMax = q(1, 6, quantity.Ohm) },
		"ripple":       func(o *Offer) { o.Ripple = q(1, -9, quantity.Ampere) },
		"endurance":    func(o *Offer) { o.Endurance = q(1, 0, quantity.Hour) },
		"speed":        func(o *Offer) { o.FuseSpeed = "TT" },
		"current":      func(o *Offer) { o.Current = q(1, -3, quantity.Ampere) },
		"dielectric":   func(o *Offer) { o.Dielectric = "Y5V" },
		"construction": func(o *Offer) { o.Construction = "aluminium-polymer" },
	}
	own := map[string][]string{
		"class": {"breaking-capacity-unknown", "zener-voltage", "voltage-low", "current-low", "diode-slow",
			"mains-above-rating", "working-voltage-above-rating"}, // of fuses, and of diodes by their type number
		"voltage": {"voltage-low", "tantalum-derating", "polymer-derating", "cell-voltage", "zener-voltage",
			"relay-voltage", "transformer-voltage"},
		"value": {"dissipation-above-rating", "capacitance-high", "y-capacitance-high", "value-unit",
			"value-differs", "capacitance-low", "capacitance-differs"},
		"speed":        {"fuse-thermal", "fuse-thermal-high", "fuse-thermal-low"},
		"temperature":  {"fuse-thermal", "fuse-thermal-high"},
		"safety":       {"safety-class-differs"},
		"current":      {"fuse-current-high"},
		"height":       {"cell-size", "height-above-limit"},
		"diameter":     {"cell-size", "can-size", "fuse-size", "lead-pitch"},
		"pitch":        {"lead-pitch"},
		"mount":        {"lead-pitch", "mount-differs"},
		"esr":          {"esr-general-purpose"},
		"dielectric":   {"dielectric-class", "dielectric-wider", "dielectric-temperature", "film-lossy"},
		"construction": constructionCodes,
		"primary": {"lithium-where-charged",
			"cell-charging-differs"}, // told as a primary cell where it is charged
	}
	names := slices.Sorted(maps.Keys(faults))
	rapid.Check(t, func(t *rapid.T) {
		w := drawOffer(t)
		o := drawOfClass(t, string(w.Class))
		p := drawPlace(t, w.Body)
		name := rapid.SampledFrom(names).Draw(t, "fault")
		before := Suit(&w, &o, &p)
		faults[name](&o)
		after := map[string]bool{}
		for _, f := range Suit(&w, &o, &p) {
			if f.Severity == finding.Stop {
				after[f.Code] = true
			}
		}
		for _, f := range before {
			if f.Severity == finding.Stop && !after[f.Code] && !slices.Contains(own[name], f.Code) {
				t.Fatalf("%s is gone after the fault %q", f.Code, name)
			}
		}
	})
}

// constructionCodes are the stops that hang on the offered part's construction.
var constructionCodes = []string{"tantalum-derating", "polymer-derating", "supercapacitor-differs",
	"electrolytic-for-film", "ceramic-unstable",
	"polymer-leakage", "regulator-esr-low", "dielectric-class", "dielectric-wider", "dielectric-temperature",
	"film-lossy", "polarised-in-bipolar",
	"fusible-missing", "flameproof-missing", "wirewound-missing", "thermistor-kind", "diode-kind", "zener-voltage",
	"taper-differs", "fuse-thermal", "fuse-thermal-high", "fuse-thermal-low", "breaking-capacity-low", "diode-slow",
	"resonator-for-crystal", "potentiometer-tracks"}

// TestSymmetry: what tells two parts apart does so both ways round.
func TestSymmetry(t *testing.T) {
	both := []string{"class-differs", "value-unit", "value-differs", "zener-voltage", "transformer-voltage",
		"diode-kind", "thermistor-kind",
		"taper-differs", "cell-voltage", "supercapacitor-differs", "chip-size", "fuse-standard", "fuse-leads",
		"type-differs", "lamp-voltage",
	}
	rapid.Check(t, func(t *rapid.T) {
		w := drawOffer(t)
		o := drawOffer(t)
		if rapid.Bool().Draw(t, "one class") {
			o = drawOfClass(t, string(w.Class))
		}
		there, back := codesOf(Suit(&w, &o, nil)), codesOf(Suit(&o, &w, nil))
		for _, c := range both {
			if w.Class != o.Class && c != "class-differs" || w.Class == Varistor && c == "value-differs" ||
				w.Class == Cell && c == "type-differs" {
				continue // each is judged by its own class; a varistor may be a little higher; a cell's size says more than its name
			}
			if there[c] != back[c] {
				t.Fatalf("%s one way only", c)
			}
		}
	})
}

func codesOf(fs []finding.Finding) map[string]bool {
	m := map[string]bool{}
	for _, f := range fs {
		m[f.Code] = true
	}
	return m
}

// TestKnowingHelps: what is not known of a part is no better than what the
// position asks for.
func TestKnowingHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := drawOffer(t)
		o := drawOfClass(t, string(w.Class))
		p := drawPlace(t, w.Body)
		known := o
		for _, m := range []struct{ to, from *quantity.Quantity }{
			{&known.Voltage, &w.Voltage}, {&known.Current, &w.Current}, {&known.Power, &w.Power},
			{&known.TemperatureMax, &w.TemperatureMax},
			{&known.ESRMax, &w.ESRMax}, {&known.Ripple, &w.Ripple}, {&known.Endurance, &w.Endurance},
			{&known.Value, &w.Value},
		} {
			if m.to.IsZero() {
				*m.to = *m.from
			}
		}
		if contradicts(&w, &p) {
			t.Skip("the place rules out what it asks for")
		}
		before, after := Suit(&w, &o, &p), Suit(&w, &known, &p)
		after = slices.DeleteFunc(after, func(f finding.Finding) bool {
			return slices.Contains(placeCodes,
				f.Code)
		}) // what the place alone calls for
		if worse(before, after) {
			t.Fatalf("knowing is worse:\n%s\n%s", brief(before), brief(after))
		}
	})
}

// TestSpellingDoesNotMatter: other names for the same thing and another order
// of the members give the same findings.
func TestSpellingDoesNotMatter(t *testing.T) {
	again := map[string]string{"C0G": "np0", "MKP": "Polypropylene", "polyester": "mylar", "low ESR": "LOW-ESR",
		"tabbed": "with tabs",
		"Ni-Cd":  "NiCd", "alkaline": "LR", "4011": "40 11", "log": "Logarithmic", "CR": "Li/MnO2", "X1/Y2": "Y2/X1"}
	rapid.Check(t, func(t *rapid.T) {
		w, o := drawOffer(t), drawOffer(t)
		p := drawPlace(t, w.Body)
		before := brief(Suit(&w, &o, &p))
		members := []*string{&o.Dielectric, &o.Chemistry, &o.SafetyClass}
		switch w.Class {
		case "capacitor", "resistor", "potentiometer", "cell", "fuse":
			members = append(members, &o.Text) // elsewhere the text is a type number
		}
		for _, s := range members {
			if other, ok := again[*s]; ok {
				*s = other
			}
		}
		if after := brief(Suit(&w, &o, &p)); after != before {
			t.Fatalf("spelling matters:\n%s\n%s", before, after)
		}
	})
	const text = `{"class":"capacitor","value":"47 µF","voltage":"16 V","construction":"tantalum"}`
	const turned = `{"construction":"tantalum","voltage":"16 V","value":"47 µF","class":"capacitor"}`
	var a, b Offer
	if err := json.Unmarshal([]byte(text), &a); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(turned), &b); err != nil {
		t.Fatal(err)
	}
	w := spec(t, Offer{}, wetCap)
	if brief(Suit(&w, &a, nil)) != brief(Suit(&w, &b, nil)) {
		t.Error("the order of members matters")
	}
}

func TestNothingPanics(t *testing.T) {
	o := spec(t, Offer{}, wetCap)
	for _, w := range []*Offer{nil, {}, &o} {
		for _, x := range []*Offer{nil, {}, &o} {
			checkFindings(t, Suit(w, x, nil), Weigh(w, x, nil))
			checkFindings(t, Suit(w, x, &Place{Function: "\xc3"}), Weigh(w, x, &Place{Function: "\xc3"}))
		}
	}
}

func TestWeighAllocatesNothing(t *testing.T) {
	w := spec(t, Offer{}, wetCap)
	bad := spec(t, w, "voltage 10 V; polarised false; text low ESR; d 8")
	p := place(t, w.Body, "function regulator output of the 5 V rail; working 5 V; temp 60 °C")
	for name, o := range map[string]*Offer{"same": &w, "bad": &bad} {
		if n := testing.AllocsPerRun(100, func() { Weigh(&w, o, &p) }); n != 0 {
			t.Errorf("%s: Weigh allocates %v times", name, n)
		}
		g, c := NewJudge(&w, &p), NewCandidate(o)
		if n := testing.AllocsPerRun(100, func() { g.Weigh(&c); g.Cost(&c) }); n != 0 {
			t.Errorf("%s: a judge's Weigh and Cost allocate %v times", name, n)
		}
	}
	if n := testing.AllocsPerRun(100, func() { Suit(&w, &w, &p) }); n != 0 {
		t.Errorf("Suit allocates %v times with nothing to say", n)
	}
}

func BenchmarkSuit(b *testing.B) {
	w := spec(b, Offer{}, wetCap+"; endurance 2000 h; tolerance ±20 %; esr 1 Ω; ripple 200 mA")
	p := place(b, w.Body, "function signal coupling output; working 5 V; temp 60 °C")
	b.ReportAllocs()
	for b.Loop() {
		if fs := Suit(&w, &w, &p); fs != nil {
			b.Fatal(brief(fs))
		}
	}
}

func BenchmarkWeigh(b *testing.B) {
	w := spec(b, Offer{}, wetCap)
	o := spec(b, w, "voltage 10 V; polarised false; d 8; value 120 µF")
	p := place(b, w.Body, "working 5 V; temp 60 °C")
	p.Duty = Bulk
	b.ReportAllocs()
	for b.Loop() {
		Weigh(&w, &o, &p)
	}
}

// TestPreparedAgrees: a judge and a candidate say what the plain functions say,
// whatever else they were used for before.
func TestPreparedAgrees(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, o, other := drawOffer(t), drawOffer(t), drawOffer(t)
		if rapid.Bool().Draw(t, "alike") {
			o = improve(t, w, 0)
		}
		p := drawPlace(t, drawBody(t))
		g, c, x := NewJudge(&w, &p), NewCandidate(&o), NewCandidate(&other)
		g.Weigh(&x)
		NewJudge(&other, &p).Weigh(&c)
		want := Weigh(&w, &o, &p)
		if got := g.Weigh(&c); got != want {
			t.Fatalf("prepared %+v, plain %+v", got, want)
		}
		if got := g.Suit(&c); !reflect.DeepEqual(got, Suit(&w, &o, &p)) {
			t.Fatalf("prepared %s, plain %s", brief(got), brief(Suit(&w, &o, &p)))
		}
		checkCost(t, g, &c, want)
		assumed := o
		assumed.Body = w.Body
		c.Fitting = true
		checkCost(t, g, &c, Weigh(&w, &assumed, &p))
	})
}

func checkCost(t *rapid.T, g *Judge, c *Candidate, want Weight) {
	t.Helper()
	penalty, fits := g.Cost(c)
	if fits == want.Stop || fits && penalty != want.Penalty || !fits && penalty != 0 {
		t.Fatalf("cost %d, %v of %+v", penalty, fits, want)
	}
}

// BenchmarkJudge weighs prepared pairs: the part itself, one that suits with
// remarks, one of another value, one of another class.
func BenchmarkJudge(b *testing.B) {
	w := spec(b, Offer{}, wetCap+"; endurance 2000 h; tolerance ±20 %")
	p := place(b, w.Body, "function bulk; working 5 V; temp 60 °C")
	g := NewJudge(&w, &p)
	for _, tt := range []struct{ name, change string }{
		{"same", ""}, {"remarks", "voltage 63 V; value 120 µF; d 8; endurance -"}, {"value", "value 470 µF"},
		{"voltage", "voltage 10 V"},
		{"class", "class resistor; value 10 kΩ"},
	} {
		o := spec(b, w, tt.change)
		c := NewCandidate(&o)
		b.Run(tt.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				g.Cost(&c)
			}
		})
	}
}
