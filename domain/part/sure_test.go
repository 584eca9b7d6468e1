package part

import (
	"testing"

	"boardlore/domain/quantity"
)

// TestSure has lines that may be taken as they stand, and lines that must not
// be. Common practice, written before the reader was asked.
func TestSure(t *testing.T) {
	for _, text := range []string{"47 µF 16 V", "Elko 100µF 25V 105°C", "10k 1% 1/4W metal film", "T630mA 250V 5x20",
		"CR2032", "2x CR2032", "470uF 16V LXZ", "47u 25V", "Ni-Cd 3.6V"} {
		if got, err := Read(text, quantity.Context{}); err != nil || !got.Sure {
			t.Errorf("%s is unsure: %+v, %v", text, got, err)
		}
	}
	for _, text := range []string{
		"replaces X2: 100nF 400VDC MKT",
		"fuse T1A or F1A", "fuse 2A not slow", "8 µF 450/500 V", "22 µF 400/450V", "100n 250V не X2 или Y2",
		"104", "22µ", "10 µF 16 V blah 5", "T2A 250V zzz",
	} {
		if got, err := Read(text, quantity.Context{}); err == nil && got.Sure {
			t.Errorf("%s is sure: %+v", text, got)
		}
	}
}
