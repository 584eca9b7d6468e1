package quantity

import (
	"slices"
	"strconv"
)

// Preferred numbers of IEC 60063:2015, within one decade: two figures to E24, three from E48.

var e24 = [...]int64{10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91}

// e192 follows 10^(i/192) rounded to three figures, but for 920, where the formula gives 919.
var e192 = [...]int64{
	100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124, 126, 127, 129, 130,
	132,
	133, 135, 137, 138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156, 158, 160, 162, 164, 165, 167, 169, 172, 174,
	176,
	178, 180, 182, 184, 187, 189, 191, 193, 196, 198, 200, 203, 205, 208, 210, 213, 215, 218, 221, 223, 226, 229, 232,
	234,
	237, 240, 243, 246, 249, 252, 255, 258, 261, 264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298, 301, 305, 309,
	312,
	316, 320, 324, 328, 332, 336, 340, 344, 348, 352, 357, 361, 365, 370, 374, 379, 383, 388, 392, 397, 402, 407, 412,
	417,
	422, 427, 432, 437, 442, 448, 453, 459, 464, 470, 475, 481, 487, 493, 499, 505, 511, 517, 523, 530, 536, 542, 549,
	556,
	562, 569, 576, 583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673, 681, 690, 698, 706, 715, 723, 732,
	741,
	750, 759, 768, 777, 787, 796, 806, 816, 825, 835, 845, 856, 866, 876, 887, 898, 909, 920, 931, 942, 953, 965, 976,
	988,
}

// Series is one of the series of preferred numbers.
type Series uint8

// The series. E3 is the coarsest; each holds the one before, but E48 does not hold E24.
const (
	E3 Series = iota + 1
	E6
	E12
	E24
	E48
	E96
	E192
)

var seriesSizes = [...]int{E3: 3, E6: 6, E12: 12, E24: 24, E48: 48, E96: 96, E192: 192}

// String returns the name, "E12".
func (s Series) String() string {
	if s == 0 || int(s) >= len(seriesSizes) {
		return "no series"
	}
	return "E" + strconv.Itoa(seriesSizes[s])
}

// Values returns the numbers of the series within one decade, times 100: 100 to under 1000, rising. Nil for no
// series.
func (s Series) Values() []int64 {
	if s == 0 || int(s) >= len(seriesSizes) {
		return nil
	}
	out := make([]int64, 0, seriesSizes[s])
	for i := range seriesSizes[s] {
		out = append(out, s.value(i))
	}
	return out
}

func (s Series) value(i int) int64 {
	if s <= E24 {
		return e24[i*24/seriesSizes[s]] * 10
	}
	return e192[i*192/seriesSizes[s]]
}

// figures3 writes a positive value as three figures, 100 to 999, times a power of ten; ok is false where it needs
// more.
func (q Quantity) figures3() (figures int64, exp int, ok bool) {
	figures, exp = q.coef, int(q.exp)
	if figures <= 0 || figures > 999 {
		return 0, 0, false
	}
	for figures < 100 {
		figures *= 10
		exp--
	}
	return figures, exp, true
}

// InSeries reports whether the value is a number of the series, in any decade. Nought, negative and absent quantities
// are in none.
func InSeries(q Quantity, s Series) bool {
	f, _, ok := q.figures3()
	if !ok || s == 0 || int(s) >= len(seriesSizes) {
		return false
	}
	for i := range seriesSizes[s] {
		if s.value(i) == f {
			return true
		}
	}
	return false
}

// Nearest returns the number of the series that is nearest to a positive value, by ratio, as preferred numbers are
// spaced; of two equally near ones the lower. It reports false for nought, negative and absent quantities.
func Nearest(q Quantity, s Series) (Quantity, bool) {
	below, above, ok := around(q, s)
	if !ok {
		return Quantity{}, false
	}
	// above/q < q/below ⇔ above×below < q²; the three are of a decade, so the first 9 figures settle all but ties
	if below == q || compareSquare(below, above, q) > 0 {
		return below, true
	}
	if compareSquare(below, above, q) == 0 {
		return below, true
	}
	return above, true
}

// compareSquare compares below × above with q². The neighbours have three figures, so their product is small; q has
// up to 18, so its square fits 128 bits.
func compareSquare(below, above, q Quantity) int {
	return compareProducts(below.coef, above.coef, int(below.exp)+int(above.exp), q.coef, q.coef, 2*int(q.exp))
}

// around returns the numbers of the series that enclose a positive value, both the value itself where it is one.
func around(q Quantity, s Series) (below, above Quantity, ok bool) {
	if q.Sign() <= 0 || s == 0 || int(s) >= len(seriesSizes) {
		return Quantity{}, Quantity{}, false
	}
	exp := q.top() - 2
	for i := range seriesSizes[s] {
		v, fits := New(s.value(i), exp, q.unit)
		if !fits {
			return Quantity{}, Quantity{}, false
		}
		switch v.Compare(q) {
		case 0:
			return v, v, true
		case 1:
			return below, v, true // the first number of a decade never exceeds a value of it
		}
		below = v
	}
	above, ok = New(1000, exp, q.unit)
	return below, above, ok
}

// oldRatings gives the modern neighbours of capacitances of before the preferred numbers, from 1 nF up (common
// practice). Makers then used round figures and the series R10 of ISO 3: 1, 1.25, 1.6, 2, 2.5, 3.2, 4, 5, 6.4, 8.
var oldRatings = func() map[Quantity][]Quantity {
	all := map[Quantity][]Quantity{}
	add := func(old int64, exp int, modern ...int64) {
		key := farads(old, exp)
		all[key] = nil
		for _, m := range modern {
			all[key] = append(all[key], farads(m, exp))
		}
	}
	for exp := -10; exp <= -4; exp++ { // 1 nF to below 10 mF
		add(20, exp, 22)
		add(25, exp, 22, 27)
		add(32, exp, 33)
		add(40, exp, 39, 47)
		add(50, exp, 47)
		add(64, exp, 68)
		add(80, exp, 82)
	}
	for exp := -7; exp <= -5; exp++ { // 12.5 µF to 1250 µF
		add(125, exp, 120, 150)
		add(160, exp, 150, 180)
	}
	add(8, -6, 10)
	add(16, -6, 15, 22)
	add(25, -6, 22, 27, 33)
	return all
}()

func farads(coef int64, exp int) Quantity {
	q, _ := New(coef, exp, Farad)
	return q
}

// Preferred reports whether a value is in a series, E24 or E192, in any decade. For a value that is in none, likely
// holds what may have been meant: the nearest of E12 and its neighbours, nearest first, and for an old capacitance
// rating its modern neighbours. A misread value is likelier than an odd part. Some old ratings are in E24 as well, such
// as 16 µF.
func Preferred(q Quantity) (in bool, likely []Quantity) {
	if InSeries(q, E24) || InSeries(q, E192) {
		return true, nil
	}
	if modern := oldRatings[q]; modern != nil {
		return false, modern
	}
	below, above, ok := around(q, E12)
	if !ok {
		return false, nil
	}
	likely = []Quantity{below, above}
	if near, _ := Nearest(q, E12); near == above {
		slices.Reverse(likely)
	}
	return false, likely
}

// OldRating reports whether a capacitance is one that was made before the preferred numbers, such as 8, 25, 50 and
// 500 µF or 0.02 µF, and what is made in its place. The caller must not change the list.
func OldRating(q Quantity) (modern []Quantity, old bool) {
	modern, old = oldRatings[q]
	return modern, old
}
