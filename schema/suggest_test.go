package schema

import (
	"strings"
	"testing"
)

// TestStranger: a name within two slips of a member's is told with it, and no other.
func TestStranger(t *testing.T) {
	for name, meant := range map[string]string{
		"x_m":                     "x_mm",
		"voltag":                  "voltage",
		"votlage":                 "voltage",
		"tolerence":               "tolerance",
		"colour_of_the_back":      "",
		"":                        "",
		"q":                       "",
		strings.Repeat("x", 6000): "",
	} {
		key := "schema.member-unknown"
		if meant != "" {
			key += "-near"
		}
		if got := stranger(name); got.Key != key || meant != "" && got.Values[1] != meant {
			t.Errorf("%.20q: %v, meant %q", name, got, meant)
		}
	}
}
