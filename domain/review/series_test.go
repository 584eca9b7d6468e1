package review_test

import (
	"testing"

	"boardlore/domain/review"
)

// Values by IEC 60063: E24 and E96 hold the first, neither the second.
func TestPreferred(t *testing.T) {
	for _, s := range []string{"4.7 kΩ", "100 nF", "47 µF", "0 Ω", "3.3 mH", "4.99 kΩ", "97.6 Ω", "1 F", "220 mΩ",
		"9.1 kΩ"} {
		if !review.Preferred(s) {
			t.Errorf("%s is preferred", s)
		}
	}
	for _, s := range []string{"50 µF", "4.8 kΩ", "1234 Ω", "25 µF", "4.71 kΩ", "odd"} {
		if review.Preferred(s) {
			t.Errorf("%s is not preferred", s)
		}
	}
}
