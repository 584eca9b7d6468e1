package schema

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/quantity"
)

var kindUnits = map[string]quantity.Unit{
	"capacitance": quantity.Farad, "resistance": quantity.Ohm, "inductance": quantity.Henry, "voltage": quantity.Volt,
	"current": quantity.Ampere,
	"power":   quantity.Watt, "energy": quantity.Joule, "temperature": quantity.Celsius, "duration": quantity.Hour,
	"frequency": quantity.Hertz,
	"length":    quantity.Millimetre, "percentage": quantity.Percent,
}

// TestQuantityPatterns holds the pattern of each kind to the strict reader:
// every canonical spelling matches that of its own unit and no other, and what
// matches reads as just that spelling, but for the length of its number.
func TestQuantityPatterns(t *testing.T) {
	doc, err := Tree("quantities")
	if err != nil {
		t.Fatal(err)
	}
	patterns := map[string]*regexp.Regexp{}
	for kind, s := range object(doc["$defs"]) {
		patterns[kind] = regexp.MustCompile(text(object(s)["pattern"]))
		if _, ok := kindUnits[kind]; !ok {
			t.Errorf("no unit for %s", kind)
		}
	}
	if len(patterns) != len(kindUnits) {
		t.Fatalf("%d kinds, %d units", len(patterns), len(kindUnits))
	}
	numbers := rapid.SampledFrom([]string{"0", "1", "4.7", "47", "470", "999.9", "1000", "1500", "0.1", "0.5", "0.05",
		"0.47", "100000", "99999", "-1", "-0.2", "00", "1.0", "1.", ".5", "1,5", "1e3", "0.10", ""})
	prefixes := rapid.SampledFrom([]string{"", "p", "n", "µ", "μ", "u", "m", "k", "K", "M", "G"})
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom(sorted(patterns)).Draw(t, "kind")
		unit := kindUnits[kind]
		if q, ok := quantity.New(rapid.Int64Range(-99999, 99999).Draw(t, "coef"), rapid.IntRange(-20, 12).Draw(t,
			"exp"), unit); ok {
			for other, p := range patterns {
				if p.MatchString(q.String()) != (other == kind) {
					t.Fatalf("%s as %s: %v", q, other, other != kind)
				}
			}
		}
		s := fmt.Sprintf("%s%s%s%s", numbers.Draw(t, "number"),
			rapid.SampledFrom([]string{" ", "", "  ", "\u00a0"}).Draw(t, "space"), prefixes.Draw(t, "prefix"), unit)
		q, err := quantity.Parse(s)
		canonical := err == nil && q.String() == s && q.Unit() == unit
		if matches := patterns[kind].MatchString(s); matches != canonical {
			t.Fatalf("%q as %s: the pattern says %v, the reader %v", s, kind, matches, canonical)
		}
	})
	if p := patterns["resistance"]; !p.MatchString(strings.Repeat("9", 40) + " GΩ") {
		t.Error("the length of a number is said by the pattern now: mend what the schema says of it")
	}
}
