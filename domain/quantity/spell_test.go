package quantity

import "testing"

func TestSpelling(t *testing.T) {
	for _, tt := range []struct {
		coef int64
		exp  int
		unit Unit
		want string
	}{
		{47, 2, Ohm, "4.7 kΩ"}, {22, -2, Ohm, "220 mΩ"}, {1, -3, Farad, "1000 µF"}, {47, -14, Farad, "0.47 pF"},
		{0, 0, Ohm, "0 Ω"}, {105, 0, Celsius, "105 °C"}, {2000, 0, Hour, "2000 h"}, {20, 0, Percent, "20 %"},
		{1, -2, Farad, "10000 µF"}, {1, -1, Farad, "0.1 F"}, {47, -2, Farad, "0.47 F"}, {99999, -6, Farad, "99999 µF"},
		{63, -1, Volt, "6.3 V"}, {-40, 0, Celsius, "-40 °C"}, {1, 12, Ohm, "1000 GΩ"}, {254, -2, Millimetre, "2.54 mm"},
		{2, 3, Volt, "2 kV"}, {5, -1, Hertz, "0.5 Hz"}, {250, -3, Watt, "250 mW"},
	} {
		q, ok := New(tt.coef, tt.exp, tt.unit)
		if !ok || q.String() != tt.want {
			t.Errorf("New(%d, %d, %v) spells %q, %v; want %q", tt.coef, tt.exp, tt.unit, q, ok, tt.want)
		}
		if back, err := Parse(tt.want); err != nil || back != q {
			t.Errorf("Parse(%q) = %#v, %v; want %#v", tt.want, back, err, q)
		}
	}
}
