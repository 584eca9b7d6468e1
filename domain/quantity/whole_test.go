package quantity

import "testing"

func TestCeil(t *testing.T) {
	for _, tt := range []struct {
		coef int64
		exp  int
		to   int
		want int64
		ok   bool
	}{
		{105, 0, 0, 105, true}, {855, -1, 0, 86, true}, {-405, -1, 0, -40, true}, {3, 0, -2, 300, true},
		{155, -2, -2, 155, true},
		{1, -30, 0, 1, true}, {-1, -30, 0, 0, true}, {1, 30, 0, 0, false}, {0, 0, -30, 0, true}, {5, 1, 1, 5, true},
		{51, 0, 1, 6, true},
		{1, 17, 0, 100000000000000000, true},
	} {
		q, _ := New(tt.coef, tt.exp, Celsius)
		if n, ok := q.Ceil(tt.to); n != tt.want || ok != tt.ok {
			t.Errorf("%de%d in 10^%d: %d, %v; want %d, %v", tt.coef, tt.exp, tt.to, n, ok, tt.want, tt.ok)
		}
	}
	if _, ok := (Quantity{}).Ceil(0); ok {
		t.Error("the absent quantity has a whole number")
	}
}
