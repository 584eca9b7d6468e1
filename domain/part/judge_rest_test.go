package part

import (
	"fmt"
	"slices"
	"testing"

	"github.com/go-json-experiment/json"
	"pgregory.net/rapid"

	"boardlore/domain/finding"
)

// memberValues are two values of each member as JSON; of a rating the second is
// the worse one.
var memberValues = map[string][2]string{
	"construction": {`"film"`, `"ceramic"`}, "tolerance": {`"±1 %"`, `"±30 %"`},
	"value": {`"47 V"`, `"82 V"`}, "fuse_speed": {`"F"`, `"T"`}, "current": {`"2 A"`, `"300 mA"`},
	"voltage": {`"750 V"`, `"1.2 V"`}, "breaking_capacity": {`"10 kA"`, `"20 A"`}, "supply": {`"dc"`, `"ac"`},
	"power": {`"20 W"`, `"100 mW"`}, "temperature_max": {`"150 °C"`, `"60 °C"`}, "endurance": {`"9000 h"`, `"400 h"`},
	"esr_max": {`"10 mΩ"`, `"40 Ω"`}, "ripple": {`"2 A"`, `"100 mA"`}, "load_capacitance": {`"20 pF"`, `"12 pF"`},
	"windings":   {`{"primary":["230 V"],"secondary":["12 V"]}`, `{"primary":["115 V"],"secondary":["12 V"]}`},
	"dielectric": {`"C0G"`, `"Y5V"`}, "safety_class": {`"Y1"`, `"X2"`}, "chemistry": {`"Ni-Cd"`, `"CR"`},
	"polarised": {"false", "true"}, "rechargeable": {"true", "false"}, "text": {`"QX77 wet"`, `"ZK12 dry"`},
}

// seriesNamed are the classes whose text is a series' name: their value, ratings
// and size say what the part is, and words that matter have rules of their own.
var seriesNamed = []Class{Capacitor, Resistor, Fuse, Cell}

// withMember is a part that says something else of one member; "" says nothing.
func withMember(t interface{ Fatalf(string, ...any) }, p Part, m *Member, value string) Part {
	m.Copy(&p, &Part{})
	if value == "" {
		return p
	}
	var told Part
	if err := json.Unmarshal(fmt.Appendf(nil, "{%q:%s}", m.Name, value), &told); err != nil {
		t.Fatalf("%s: %v", m.Name, err)
	}
	m.Copy(&p, &told)
	return p
}

// TestNoMemberIsPassedOver: whatever member a place asks for, of whatever class,
// a part that lacks it or has it otherwise is never fine without a word.
func TestNoMemberIsPassedOver(t *testing.T) {
	for _, class := range Classes {
		for i := range Members {
			m := &Members[i]
			if m.Name == "class" || m.Name == "text" && slices.Contains(seriesNamed, class) {
				continue
			}
			t.Run(string(class)+"/"+m.Name, rapid.MakeCheck(func(t *rapid.T) { passedOver(t, class, m) }))
		}
	}
}

func passedOver(t *rapid.T, class Class, m *Member) {
	w := drawOfClass(t, string(class))
	p := drawPlace(t, w.Body)
	w.Text, w.Construction, w.Dielectric = "", "", "" // a type number or a name may say it all
	w.Chemistry, w.SafetyClass, w.Polarised, w.Rechargeable = "", "", nil, nil
	values := memberValues[m.Name]
	if k, ok := ValueKind(class); ok && m.Name == "value" {
		values = [2]string{`"47 ` + k.Unit().String() + `"`, `"82 ` + k.Unit().String() + `"`}
	}
	w.Part = withMember(t, w.Part, m, values[0])
	own := Suit(&w, &w, &p)
	for _, other := range []string{"", values[1]} {
		o := w
		o.Part = withMember(t, w.Part, m, other)
		if got := Suit(&w, &o, &p); !saysMore(got, own) {
			t.Fatalf("%q for %q is passed over: %s", o.Part.String(), w.Part.String(), brief(got))
		}
	}
}

// saysMore reports whether there is a finding that is not among others.
func saysMore(fs, others []finding.Finding) bool {
	return slices.ContainsFunc(fs, func(f finding.Finding) bool {
		return !slices.ContainsFunc(others, func(o finding.Finding) bool {
			return f.Code == o.Code && f.Severity == o.Severity
		})
	})
}
