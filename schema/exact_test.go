package schema_test

import (
	"strings"
	"testing"

	"boardlore/schema"
)

// A number in an own member comes back as it was, or is refused: 2^53 + 1 is
// the first whole number that a double does not hold (IEEE 754).
func TestOwnNumbers(t *testing.T) {
	const doc = `{"board":"x-1","equipment":{"maker":"M","model":"N"},"name":"C","frame":{"width_mm":50,"height_mm":50,"basis":"measured"},"positions":[],"x-own":{"n":[1,NUMBER]}}`
	for number, refused := range map[string]bool{
		"9007199254740992": false, "9007199254740993": true, "12345678901234567890": true, "0.1": false,
		"0.30000000000000004": false,
		"1e400":               true, "1e22": false, "123456789012345": false, "0.1234567890123456789": true,
	} {
		m, fs := schema.ReadMap([]byte(strings.Replace(doc, "NUMBER", number, 1)))
		if refused != (m == nil) {
			t.Errorf("%s: %+v", number, fs)
		}
		if m == nil && (len(fs) != 1 || fs[0].Pointer != "/x-own/n/1" && number != "1e400") {
			t.Errorf("%s: %+v", number, fs)
		}
	}
}
