package part

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/finding"
	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

// rows reads a table of published figures; its source column stays in it.
func rows(t *testing.T, name string) []map[string]string {
	t.Helper()
	return tabletest.Rows(t, "testdata/"+name)
}

// TestSafetyClasses goes over the published table both ways: what a class may
// replace must be free of stops, what it must not replace is stopped, and any
// lower voltage is stopped.
func TestSafetyClasses(t *testing.T) {
	for _, r := range rows(t, "safety-classes.csv") {
		o := safetyPart(r["class"])
		may, only, _ := strings.Cut(r["may_replace"], " only if ")
		if only != "" {
			may = may[:strings.LastIndex(may, ";")]
		}
		for _, c := range classesIn(may) {
			w := safetyPart(c)
			if got := Suit(&w, &o, nil); finding.Worst(got).Rank() > finding.Note.Rank() {
				t.Errorf("%s for %s: %s", r["class"], c, brief(got))
			}
			w.Voltage = mustQ(300, 0, quantity.Volt)
			if got := Suit(&w, &o, nil); finding.Worst(got) != finding.Stop {
				t.Errorf("%s for %s of higher voltage: %s", r["class"], c, brief(got))
			}
		}
		for _, c := range classesIn(r["must_not_replace"]) {
			w := safetyPart(c)
			if got := Suit(&w, &o, nil); finding.Worst(got) != finding.Stop {
				t.Errorf("%s for %s passes: %s", r["class"], c, brief(got))
			}
		}
	}
	both, w := safetyPart("X1/Y2"), safetyPart("X1")
	if got := Suit(&w, &both, nil); got != nil {
		t.Errorf("X1/Y2 for X1: %s", brief(got))
	}
}

func safetyPart(class string) Offer {
	p := Part{Class: Capacitor, Construction: Film, Value: mustQ(22, -10, quantity.Farad),
		Voltage: mustQ(275, 0, quantity.Volt)}
	if !strings.HasPrefix(class, "none") {
		p.SafetyClass = class
	}
	return Offer{Part: p}
}

func classesIn(s string) (list []string) {
	for _, w := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }) {
		if len(w) == 2 && safetyOf(w) != 0 {
			list = append(list, w)
		}
	}
	return list
}

func TestDielectrics(t *testing.T) {
	for _, r := range rows(t, "dielectrics.csv") {
		if r["class"] != "1" && r["class"] != "2" {
			continue
		}
		d, ok := dielectricOf(r["code"])
		if !ok || strconv.Itoa(int(d.class)) != r["class"] {
			t.Errorf("%s: %+v, %v", r["code"], d, ok)
			continue
		}
		figure(t, r["code"]+" low", r["low_c"], int(d.low))
		figure(t, r["code"]+" high", r["high_c"], int(d.high))
		if r["class"] == "2" {
			figure(t, r["code"]+" fall", strings.TrimPrefix(r["change_min_pct"], "-"), int(d.fall))
			figure(t, r["code"]+" rise", r["change_max_pct"], int(d.rise))
		}
		for _, alias := range strings.Split(r["aliases"], ", ") {
			if alias != "" && alias != "JIS" && !strings.Contains(alias, " ") {
				if a, ok := dielectricOf(alias); !ok || a.class != d.class {
					t.Errorf("%s, alias of %s: %+v, %v", alias, r["code"], a, ok)
				}
			}
		}
	}
}

// figure compares with a published figure rounded up to a whole number.
func figure(t *testing.T, what, want string, got int) {
	t.Helper()
	if f, err := strconv.ParseFloat(want, 64); err != nil || int(math.Ceil(f)) != got {
		t.Errorf("%s: got %d, want %s", what, got, want)
	}
}

// gain is how many times longer a part lives that runs drop degrees cooler.
func gain(drop float64, polymer bool) float64 {
	num, den := lifeFactor(int(drop), polymer)
	return float64(num) / float64(den)
}

// TestWorkedExamples checks the figures of life and derating by which rules
// judge against the printed ones.
func TestWorkedExamples(t *testing.T) {
	for _, r := range rows(t, "worked-examples.csv") {
		in := inputs(r["inputs"])
		var got float64
		switch {
		case r["topic"] == "life 10-degree rule":
			got = in["L0"] * gain(in["T0"]-in["T"], false)
		case r["topic"] == "life of polymer types":
			got = in["L0"] * gain(in["T0"]-in["T"], true)
		case strings.HasPrefix(r["topic"], "life multiplier"):
			got = gain(85-in["T"], false)
		case r["topic"] == "life in years":
			got = in["h"] / hoursPerYear
		case strings.HasPrefix(r["topic"], "tantalum MnO2"), strings.HasPrefix(r["topic"], "tantalum polymer"),
			r["topic"] == "tantalum temperature derating":
			checkDerating(t, r, in)
			continue
		case r["topic"] == "ceramic DC bias":
			checkBias(t, r)
			continue
		case r["topic"] == "regulator stability":
			checkWindow(t, r)
			continue
		default:
			continue
		}
		want, err := strconv.ParseFloat(r["expected"], 64)
		tol, _ := strconv.ParseFloat(r["rel_tolerance"], 64)
		if err != nil || math.Abs(got-want) > want*(tol+1e-9) {
			t.Errorf("%s %s: got %v, want %s", r["id"], r["inputs"], got, r["expected"])
		}
	}
}

// checkBias asks for what is left of the printed part at the printed voltage:
// whether the rule of thumb is near the curve or above it, somebody has to
// look.
func checkBias(t *testing.T, r map[string]string) {
	t.Helper()
	var c, v, at float64
	words := strings.Fields(r["inputs"]) // 10 uF 10 V 0805 at 5 V
	c, _ = strconv.ParseFloat(words[0], 64)
	v, _ = strconv.ParseFloat(words[2], 64)
	at, _ = strconv.ParseFloat(words[len(words)-2], 64)
	left, _ := strconv.ParseFloat(r["expected"], 64)
	micro := func(x float64) quantity.Quantity { return mustQ(int64(math.Round(x*100)), -8, quantity.Farad) }
	o := Offer{Part: Part{Class: Capacitor, Construction: Ceramic, Dielectric: "X5R", Value: micro(c),
		Voltage: mustQ(int64(v), 0, quantity.Volt)}}
	w := o
	w.Construction, w.Dielectric, w.Value = "aluminium-electrolytic", "", micro(left)
	p := Place{Function: "decoupling", WorkingVoltage: mustQ(int64(at), 0, quantity.Volt)}
	if got := brief(Suit(&w, &o, &p)); !strings.Contains(got, "dc-bias-estimated caution") {
		t.Errorf("%s: for what is left: %s", r["id"], got)
	}
	w.Value = micro(c)
	if got := brief(Suit(&w, &o, &p)); !strings.Contains(got, "dc-bias-loss caution") {
		t.Errorf("%s: for what is printed: %s", r["id"], got)
	}
}

// checkWindow puts series resistances at both ends of the printed window and
// just outside.
func checkWindow(t *testing.T, r map[string]string) {
	t.Helper()
	low, high, _ := strings.Cut(r["expected"], " to ")
	ends := []float64{}
	for _, s := range []string{low, high} {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		ends = append(ends, x)
	}
	w := Offer{Part: Part{Class: Capacitor, Construction: Tantalum, Value: mustQ(10, -6, quantity.Farad),
		Voltage: mustQ(16, 0, quantity.Volt)}}
	for _, tt := range []struct {
		ohms float64
		want string
	}{{ends[0], ""}, {ends[0] - 0.001, "esr-low caution"}, {ends[1], ""},
		{ends[1] + 0.001, "regulator-esr-high caution"}} {
		o := w
		o.ESRMax = mustQ(int64(math.Round(tt.ohms*1000)), -3, quantity.Ohm)
		p := Place{Function: "regulator output", PolarityKnown: true}
		if got := brief(Suit(&w, &o, &p)); got != tt.want {
			t.Errorf("%s: %v Ω: got %q, want %q", r["id"], tt.ohms, got, tt.want)
		}
	}
}

// inputs reads "L0=1000 h; T0=105".
func inputs(s string) map[string]float64 {
	m := map[string]float64{}
	for _, p := range strings.Split(s, ";") {
		k, v, _ := strings.Cut(strings.TrimSpace(p), "=")
		v, _, _ = strings.Cut(v, " ")
		m[k], _ = strconv.ParseFloat(v, 64)
	}
	return m
}

// checkDerating puts the printed voltage across the printed rating and a
// hundredth more, where the rule must speak.
func checkDerating(t *testing.T, r map[string]string, in map[string]float64) {
	t.Helper()
	rated, use, temp, wanted := in["V_rated"], r["expected"], in["T"], "tantalum-derating"
	if strings.Contains(r["formula"], "V_rated >=") {
		rated, _ = strconv.ParseFloat(r["expected"], 64)
		use = strconv.FormatFloat(in["V_rail"], 'f', -1, 64)
	}
	construction := "tantalum"
	v, _ := strconv.ParseFloat(use, 64)
	switch r["topic"] {
	case "tantalum polymer derating":
		construction, wanted = "tantalum-polymer", "polymer-derating"
	case "tantalum temperature derating":
		v /= 2 // the figure is the category voltage, of which half is used
	}
	w := Offer{Part: Part{Class: Capacitor, Construction: AluminiumElectrolytic, Value: mustQ(10, -6, quantity.Farad)}}
	o := w
	o.Construction = Construction(construction)
	o.Voltage, _ = quantity.New(int64(math.Round(rated*100)), -2, quantity.Volt)
	for _, more := range []int64{0, 2} { // hundredths; the printed figures are rounded
		p := Place{Function: "bulk"}
		p.WorkingVoltage, _ = quantity.New(int64(math.Floor(v*100+1e-6))+more, -2, quantity.Volt)
		if temp > 85 {
			p.RailTemp, _ = quantity.New(int64(temp), 0, quantity.Celsius)
		}
		fired := strings.Contains(brief(Suit(&w, &o, &p)), wanted)
		if fired != (more > 0) {
			t.Errorf("%s: rated %v V, %s across it: %s", r["id"], rated, p.WorkingVoltage, brief(Suit(&w, &o, &p)))
		}
	}
}

func TestRadialPitch(t *testing.T) {
	for _, r := range rows(t, "body-sizes.csv") {
		if r["group"] != "radial-pitch" || strings.HasSuffix(r["code"], "formed") {
			continue
		}
		d, _ := strconv.ParseFloat(r["diameter_mm"], 64)
		want, _ := strconv.ParseFloat(r["pitch_mm"], 64)
		if got := RadialPitch(d); got != want {
			t.Errorf("pitch of %v mm: %v, want %v (%s)", d, got, want, r["source"])
		}
	}
	if RadialPitch(7) != 0 {
		t.Error("a diameter without a row has a pitch")
	}
}

func TestDutyOf(t *testing.T) {
	for _, tt := range []struct {
		text string
		want Duty
	}{
		{"", 0}, {"???", 0}, {"mystery", 0},
		{"coupling", Coupling}, {"output coupling", Coupling}, {"Koppelkondensator", Coupling},
		{"condensateur de liaison", Coupling},
		{"decoupling", Decoupling}, {"supply bypass", Decoupling}, {"Abblockkondensator", Decoupling},
		{"DÉCOUPLAGE", Decoupling},
		{"bulk smoothing", Bulk}, {"Siebelko", Bulk}, {"reservoir", Bulk}, {"supply filter", Bulk}, {"hold-up", Bulk},
		{"filtrage", Bulk},
		{"timing", Timing}, {"time constant", Timing}, {"Zeitglied", Timing}, {"reset", Reset},
		{"tone control", Filter}, {"low-pass filter", Filter},
		{"sample and hold", Hold}, {"crystal load", Oscillator},
		{"5 V regulator output", RegulatorOutput}, {"Ausgang Spannungsregler", RegulatorOutput},
		{"sortie du régulateur", RegulatorOutput},
		{"switching regulator output", SwitchingOutput}, {"regulator input", SupplyInput},
		{"supply input", SupplyInput},
		{"memory backup", Backup}, {"backup, trickle charged", Backup | Charged}, {"backup, not charged", Backup},
		{"mains-x", MainsX | MainsSide}, {"X2 across the mains", MainsX | MainsSide}, {"X capacitor, mains filter",
			MainsX | Filter | MainsSide}, {"mains-y", MainsY | MainsSide}, {"mains to earth", MainsY | MainsSide},
		{"mains filter", MainsX | Filter | MainsSide}, {"Netzfilter", MainsX | MainsSide},
		{"Netz, Entstörung", MainsX | MainsSide}, {"filtre secteur", MainsX | Filter | MainsSide},
		{"mains supply filter", Bulk | MainsSide}, {"mains hum filter", Filter}, {"Netzteil, Siebung", Bulk},
		{"after the mains rectifier, decoupling", Decoupling | MainsSide},
		{"load of crystal X2", Oscillator}, {"mains reservoir", Bulk | MainsSide}, {"line output stage coupling",
			Coupling},
		{"X capacitor", MainsX | MainsSide}, {"Y-cap", MainsY | MainsSide}, {"isolation capacitor", MainsY | MainsSide},
		{"crystal X2 load capacitor", Oscillator},
		{"entre fase y neutro", MainsX | MainsSide}, {"filtro de red entre fase y neutro", MainsX | MainsSide | Filter},
		{"tra fase e neutro", MainsX | MainsSide},
		{"tussen fase en nul", MainsX | MainsSide}, {"mellan fas och nolla", MainsX | MainsSide},
		{"L/N", MainsX | MainsSide}, {"L to PE", MainsY | MainsSide},
		{"hot to chassis", MainsY | MainsSide}, {"entrée secteur", MainsSide}, {"Netzanschluss", MainsSide},
		{"line to neutral", MainsX | MainsSide},
		{"spark suppression", MainsLikely}, {"current sense", Measuring}, {"shunt", Measuring},
		{"bass and treble, tone", Filter},
		{"line filter", MainsLikely | Filter}, {"EMI filter", MainsLikely | Filter}, {"line input filter", Filter},
		{"audio line filter", Filter},
		{"between L and N", MainsX | MainsSide}, {"phase to neutral", MainsX | MainsSide},
		{"across the AC inlet", MainsX | MainsSide},
		{"primary to secondary", MainsY | MainsSide}, {"Phase gegen Schutzleiter", MainsY | MainsSide},
		{"live to chassis", MainsY | MainsSide},
		{"Entstörkondensator", MainsLikely}, {"filtro rete", MainsX | MainsSide | Filter},
		{"filtro de red", MainsX | MainsSide | Filter}, {"red LED", Indicator},
		{"Netzsicherung", MainsSide}, {"AC inlet", MainsSide}, {"Netzwerk", 0}, {"Netzteil-Ausgang", Decoupling},
		{"retention", 0},
		{"mains transformer secondary", 0}, {"bridging the isolation barrier", MainsY | MainsSide},
		{"Schottky barrier rectifier", Decoupling},
		{"Pufferakku", Bulk | Charged}, {"batería recargable", Charged}, {"batteria ricaricabile", Charged},
		{"non ricaricabile", 0}, {"accuracy trim", 0},
		{"temperature sensor", Measuring}, {"pull-up", PullUp}, {"bleeder", Bleeder},
		{"LED series", Indicator | SeriesString}, {"motor run", MotorRun},
	} {
		if got := DutyOf(tt.text); got != tt.want {
			t.Errorf("DutyOf(%q) = %b, want %b", tt.text, got, tt.want)
		}
	}
	for _, f := range functions {
		if DutyOf(f.name)&f.duty == 0 {
			t.Errorf("the name %q does not mean its own duty", f.name)
		}
	}
}
