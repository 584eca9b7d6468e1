// Package parttest makes parts for the tests of all packages that look at parts
// member by member, so that none of them can forget one.
package parttest

import (
	"fmt"

	"github.com/go-json-experiment/json"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// values are two canonical values of each member that takes no value for the
// sake of its sort alone.
var values = map[string][2]string{
	"class": {`"capacitor"`, `"resistor"`}, "construction": {`"aluminium-electrolytic"`, `"aluminium-polymer"`},
	"dielectric":   {`"X7R"`, `"X5R"`},
	"safety_class": {`"X1"`, `"X2"`}, "chemistry": {`"CR"`, `"BR"`}, "text": {`"ONE-1"`, `"TWO-2"`},
	"temperature_max": {`"85 °C"`, `"105 °C"`}, "esr_max": {`"220 mΩ"`, `"100 mΩ"`},
}

// Pair gives two parts that differ in the member alone, and its two values as
// JSON.
func Pair(m *part.Member) (a, b part.Part, from, to string) {
	class := part.Capacitor
	if len(m.Classes) > 0 {
		class = m.Classes[0]
	}
	v := pair(m, class)
	return with(m.Name, class, v[0]), with(m.Name, class, v[1]), v[0], v[1]
}

func pair(m *part.Member, class part.Class) [2]string {
	if v, ok := values[m.Name]; ok {
		return v
	}
	switch m.Holds {
	case part.Measure:
		kind, _ := m.KindOf(class)
		return [2]string{measure(1, kind), measure(2, kind)}
	case part.Deviation:
		return [2]string{`"±5 %"`, `"±10 %"`}
	case part.Choice:
		return [2]string{"false", "true"}
	case part.Capacity:
		return [2]string{`"L"`, `"1.5 kA"`}
	case part.Coils:
		return [2]string{`{"primary":["115 V"]}`, `{"primary":["230 V"]}`}
	}
	if len(m.Choices) > 1 {
		return [2]string{fmt.Sprintf("%q", m.Choices[0]), fmt.Sprintf("%q", m.Choices[1])}
	}
	panic("no values for " + m.Name + ": add two of them")
}

func measure(n int64, kind quantity.Kind) string {
	q, _ := quantity.New(n, 0, kind.Unit())
	return fmt.Sprintf("%q", q.String())
}

func with(name string, class part.Class, value string) (p part.Part) {
	doc := fmt.Sprintf(`{"class":%q,%q:%s}`, class, name, value)
	if name == "class" {
		doc = `{"class":` + value + `}`
	}
	if err := json.Unmarshal([]byte(doc), &p); err != nil {
		panic(doc + ": " + err.Error())
	}
	return p
}
