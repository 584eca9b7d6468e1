package part

import (
	"fmt"
	"strings"

	"boardlore/domain/quantity"
)

// describe writes what a line reads as on one line: count, members, body in
// braces, a question mark where a doubt is told, and the words left over.
func describe(text string, c quantity.Context) string {
	t, err := Read(text, c)
	if err != nil {
		return "refused"
	}
	var ways []string
	for i := range t.Readings {
		ways = append(ways, describeReading(&t.Readings[i]))
	}
	s := strings.Join(ways, " OR ")
	if len(t.LeftOver) > 0 {
		s += " / " + strings.Join(t.LeftOver, " ")
	}
	return s
}

func describeReading(x *Reading) string {
	p := &x.Part
	var w []string
	if x.Quantity != 0 {
		w = append(w, fmt.Sprintf("%dx", x.Quantity))
	}
	for _, s := range []string{string(p.Class), string(p.Construction), p.Value.String(), p.Tolerance.String(),
		p.Current.String(), p.Voltage.String(), p.Power.String(),
		p.TemperatureMax.String(), p.Endurance.String(), labelledText("ESR ", p.ESRMax.String()),
		labelledText("ripple ", p.Ripple.String()), p.Dielectric, p.SafetyClass, p.FuseSpeed, p.Chemistry,
		labelledText("breaking ", p.BreakingCapacity.String()), string(p.Supply),
		labelledText("load ", p.LoadCapacitance.String()), p.Windings.String(),
		choice(p.Polarised, "polarised", "bipolar"), choice(p.Rechargeable, "rechargeable", "primary")} {
		if s != "" {
			w = append(w, s)
		}
	}
	if p.Text != "" {
		w = append(w, `"`+p.Text+`"`)
	}
	if b := describeBody(&x.Body); b != "" {
		w = append(w, "{"+b+"}")
	}
	s := strings.Join(w, " ")
	if len(x.Doubts) > 0 {
		s += " ?"
	}
	return s
}

func labelledText(label, s string) string {
	if s == "" {
		return ""
	}
	return label + s
}

func choice(v *bool, yes, no string) string {
	switch {
	case v == nil:
		return ""
	case *v:
		return yes
	}
	return no
}

func describeBody(b *Body) string {
	var w []string
	for _, s := range []string{b.Mount, b.Shape} {
		if s != "" {
			w = append(w, s)
		}
	}
	for _, m := range []struct {
		name string
		mm   float64
	}{{"d", b.Diameter}, {"l", b.Length}, {"w", b.Width}, {"h", b.Height}, {"rm", b.LeadPitch}} {
		if m.mm != 0 {
			w = append(w, fmt.Sprintf("%s%v", m.name, m.mm))
		}
	}
	return strings.Join(w, " ")
}
