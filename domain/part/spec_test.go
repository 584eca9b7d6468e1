package part

import (
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/finding"
	"boardlore/domain/quantity"
)

// spec makes an offer from "member value" pairs parted by semicolons, on top of
// a base; "-" clears a member.
func spec(t testing.TB, base Offer, text string) Offer {
	t.Helper()
	for _, pair := range strings.Split(text, ";") {
		name, value, _ := strings.Cut(strings.TrimSpace(pair), " ")
		if name == "" {
			continue
		}
		if value == "-" {
			value = ""
		}
		setMember(t, &base, name, value)
	}
	return base
}

func setMember(t testing.TB, o *Offer, name, value string) {
	t.Helper()
	quantities := map[string]*quantity.Quantity{"value": &o.Value, "voltage": &o.Voltage, "current": &o.Current,
		"power": &o.Power,
		"load":  &o.LoadCapacitance, "temp": &o.TemperatureMax, "endurance": &o.Endurance, "esr": &o.ESRMax,
		"ripple": &o.Ripple}
	words := map[string]*string{"class": (*string)(&o.Class), "construction": (*string)(&o.Construction),
		"dielectric": &o.Dielectric, "safety": &o.SafetyClass,
		"speed": &o.FuseSpeed, "chemistry": &o.Chemistry, "text": &o.Text, "mount": &o.Body.Mount,
		"shape": &o.Body.Shape}
	lengths := map[string]*float64{"d": &o.Body.Diameter, "l": &o.Body.Length, "w": &o.Body.Width, "h": &o.Body.Height,
		"limit": &o.Body.HeightLimit, "pitch": &o.Body.LeadPitch}
	switch name {
	case "breaking":
		o.BreakingCapacity = Breaking{}
		if value != "" {
			b, err := ParseBreaking(value)
			if err != nil {
				t.Fatal(err)
			}
			o.BreakingCapacity = b
		}
		return
	case "supply":
		o.Supply = Supply(value)
		return
	case "primary", "secondary":
		setWindings(t, o, name, value)
		return
	}
	flags := map[string]**bool{"polarised": &o.Polarised, "rechargeable": &o.Rechargeable}
	switch {
	case quantities[name] != nil:
		*quantities[name] = parseQ(t, value)
	case words[name] != nil:
		*words[name] = value
	case lengths[name] != nil:
		*lengths[name], _ = strconv.ParseFloat(value, 64)
	case flags[name] != nil && value == "":
		*flags[name] = nil
	case flags[name] != nil:
		v := value == "true"
		*flags[name] = &v
	case name == "tolerance":
		o.Tolerance = quantity.Tolerance{}
		if value != "" {
			tol, err := quantity.ParseTolerance(value)
			if err != nil {
				t.Fatal(err)
			}
			o.Tolerance = tol
		}
	default:
		t.Fatalf("no member %q", name)
	}
}

// setWindings sets one side of a transformer's windings.
func setWindings(t testing.TB, o *Offer, side, value string) {
	t.Helper()
	w := Windings{}
	if o.Windings != nil {
		w = *o.Windings
	}
	var of []quantity.Quantity
	if value != "" {
		for _, s := range strings.Split(value, ", ") {
			of = append(of, parseQ(t, s))
		}
	}
	if side == "primary" {
		w.Primary = of
	} else {
		w.Secondary = of
	}
	o.Windings = &w
	if len(w.Primary)+len(w.Secondary) == 0 {
		o.Windings = nil
	}
}

func parseQ(t testing.TB, s string) quantity.Quantity {
	t.Helper()
	if s == "" {
		return quantity.Quantity{}
	}
	q, err := quantity.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// place makes a place from "name value" pairs parted by semicolons.
func place(t testing.TB, body Body, text string) Place {
	t.Helper()
	p := Place{Body: body, PolarityKnown: true}
	for _, pair := range strings.Split(text, ";") {
		name, value, _ := strings.Cut(strings.TrimSpace(pair), " ")
		switch name {
		case "":
		case "function":
			p.Function = value
		case "working":
			p.WorkingVoltage = parseQ(t, value)
		case "temp":
			p.RailTemp = parseQ(t, value)
		case "limit":
			p.Body.HeightLimit, _ = strconv.ParseFloat(value, 64)
		case "unmapped":
			p.PolarityKnown = false
		case "hot":
			p.HotPlace = true
		case "circuit":
			p.Circuit = Circuit(value)
		case "near":
			p.MainsNear = true
		default:
			t.Fatalf("no place %q", name)
		}
	}
	return p
}

const (
	wetCap = "class capacitor; construction aluminium-electrolytic; value 100 µF; voltage 16 V; temp 105 °C; " +
		"polarised true; mount through-hole; shape can; d 6.3; h 11; pitch 2.5"
	mlcc = "class capacitor; construction ceramic; value 100 nF; voltage 50 V; dielectric X7R; mount " +
		"surface; shape chip; l 2; w 1.25"
	filmCap = "class capacitor; construction film; value 100 nF; voltage 63 V; dielectric polypropylene; " +
		"tolerance ±5 %; mount through-hole; shape box; l 7.2; pitch 5"
	tantCap = "class capacitor; construction tantalum; value 10 µF; voltage 16 V; polarised true"
	smdCan  = "class capacitor; construction aluminium-electrolytic; value 47 µF; voltage 6.3 V; temp 105 °C; " +
		"polarised false; mount surface; shape can; d 6.3; h 5.4"
	xCap        = "class capacitor; construction film; value 100 nF; voltage 275 V; safety X2"
	yCap        = "class capacitor; construction ceramic; value 2.2 nF; voltage 250 V; safety Y2"
	thermalFuse = "class fuse; current 10 A; voltage 250 V; temp 130 °C; text thermal; d 4; l 11"
	tube        = "class fuse; current 630 mA; voltage 250 V; speed T; text H; d 5; l 20"
	carbonR     = "class resistor; value 10 kΩ; tolerance ±5 %; power 250 mW"
	coinCR      = "class cell; voltage 3 V; chemistry CR; rechargeable false; d 20; h 3.2; shape coin"
	coinVL      = "class cell; voltage 3 V; chemistry VL; rechargeable true; d 20; h 2; shape coin"
)

func spec85(base string) string {
	return strings.Replace(base, "105 °C", "85 °C", 1) + "; endurance 8000 h"
}

func mlccOf(dielectric string) string { return strings.Replace(mlcc, "X7R", dielectric, 1) }

// brief lists findings as "code severity", in their order.
func brief(fs []finding.Finding) string {
	var parts []string
	for _, f := range fs {
		parts = append(parts, f.Code+" "+string(f.Severity))
	}
	return strings.Join(parts, ", ")
}

// reporter is what a plain test and a property test share.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// checkFindings holds what every list of findings must keep to.
func checkFindings(t reporter, fs []finding.Finding, w Weight) {
	t.Helper()
	worst := finding.Worst(fs)
	if w.Worst != worst || w.Stop != (worst == finding.Stop) {
		t.Errorf("Weigh says %+v of findings %s", w, brief(fs))
	}
	for _, f := range fs {
		if strings.ContainsAny(f.Sentence.String(), "{}") || f.Sentence.IsZero() || f.Limit.IsZero() ||
			f.Basis.IsZero() {
			t.Errorf("finding %q is not finished: %q (%q)", f.Code, f.Sentence, f.Basis)
		}
	}
}
