package part

import "testing"

// TestBreakingCapacity holds the letters to what makers' data sheets of 5 × 20 mm
// fuses print at 250 V (Eaton S500: L; Schurter SMD-SPT: H), and E to public tables
// of fuse markings to IEC 60127.
func TestBreakingCapacity(t *testing.T) {
	for _, c := range []struct{ printed, rated, want string }{
		{"L", "1 A", "35 A"}, {"L", "3.15 A", "35 A"}, {"L", "4 A", "40 A"}, {"L", "6.3 A", "63 A"},
		{"L", "10 A", "100 A"},
		{"H", "1 A", "1.5 kA"}, {"H", "10 A", "1.5 kA"}, {"E", "2 A", "150 A"}, {"10 kA", "2 A", "10 kA"},
	} {
		b, err := ParseBreaking(c.printed)
		if err != nil {
			t.Fatal(err)
		}
		if got := b.Current(parseQ(t, c.rated)).String(); got != c.want {
			t.Errorf("%s of %s interrupts %s, want %s", c.printed, c.rated, got, c.want)
		}
	}
	for _, s := range []string{"", "l", "HH", "M", "35 V", "1500 A", "0 A", "-1 A"} {
		if b, err := ParseBreaking(s); err == nil {
			t.Errorf("%q is read as %s", s, b)
		}
	}
}
