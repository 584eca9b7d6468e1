// Package quantity compares and spells the exact decimal quantities of the parts trade.
//
// A value such as 4.7 µF is kept as a whole number times a power of ten, so equality and order are exact and no
// value passes through binary floating point; Float serves drawing and estimates only. One quantity has one
// canonical spelling (String) and the strict Parse takes nothing else. What people write and print is read by package
// reading.
//
// Units are those of the trade: farad, ohm, henry, volt, ampere, watt, joule, degree Celsius, hour, hertz,
// millimetre and percent. Not modelled: measurement uncertainty, conversion between unlike units, logarithmic units.
package quantity

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"math/bits"
	"strconv"
)

// Unit is the unit of a quantity, without prefix.
type Unit uint8

// The units. None is the unit of the absent quantity.
const (
	None Unit = iota
	Farad
	Ohm
	Henry
	Volt
	Ampere
	Watt
	Joule
	Celsius
	Hour
	Hertz
	Millimetre
	Percent
)

const (
	maxDigits = 18 // a coefficient has at most this many digits
	maxExp    = 30 // and a power of ten from -maxExp to maxExp
)

// Quantity is an exact decimal with a unit. Equal quantities are equal under ==. The zero Quantity is absent, which
// is something else than nought with a unit.
type Quantity struct {
	coef int64 // no trailing decimal zeros, |coef| < 10^18
	exp  int8  // power of ten, -30 to 30; 0 if coef is 0
	unit Unit
}

// New gives coef × 10^exp in the unit. It reports false, and the absent quantity, where the value needs more than
// 18 digits or a power of ten outside -30 to 30, or where u is no unit.
func New(coef int64, exp int, u Unit) (Quantity, bool) {
	if u == None || u > Percent {
		return Quantity{}, false
	}
	if coef == 0 {
		return Quantity{unit: u}, true
	}
	for coef%10 == 0 {
		coef /= 10
		exp++
	}
	if m := magnitude(coef); m >= pow10(maxDigits) || exp < -maxExp || exp > maxExp {
		return Quantity{}, false
	}
	return Quantity{coef: coef, exp: int8(exp), unit: u}, true
}

// IsZero reports whether the quantity is absent; nought with a unit is not.
func (q Quantity) IsZero() bool { return q.unit == None }

// Unit returns the unit, None for the absent quantity.
func (q Quantity) Unit() Unit { return q.unit }

// Sign returns -1, 0 or 1.
func (q Quantity) Sign() int {
	switch {
	case q.coef < 0:
		return -1
	case q.coef > 0:
		return 1
	}
	return 0
}

// Compare returns -1, 0 or 1 as q is less than, equal to or greater than o, exactly. Quantities of different units
// are ordered by unit (absent first), so that the order is total; it means nothing beyond that.
func (q Quantity) Compare(o Quantity) int {
	if q.unit != o.unit {
		if q.unit < o.unit {
			return -1
		}
		return 1
	}
	if q.exp == o.exp {
		return cmp.Compare(q.coef, o.coef)
	}
	return compareProducts(q.coef, 1, int(q.exp), o.coef, 1, int(o.exp))
}

// CompareScaled compares q with o × num/den exactly, without allocation. den must be positive. The units are not
// looked at, so that a rule can compare, say, volts with volts only where it made sure of them.
func (q Quantity) CompareScaled(o Quantity, num, den int64) int {
	return compareProducts(q.coef, den, int(q.exp), o.coef, num, int(o.exp))
}

// CompareProducts compares a×b with c×d exactly, without allocation; the units are not looked at. Volts squared and
// ohms times watts compare so.
func CompareProducts(a, b, c, d Quantity) int {
	return compareProducts(a.coef, b.coef, int(a.exp)+int(b.exp), c.coef, d.coef, int(c.exp)+int(d.exp))
}

// MulRatio returns q × num/den in the same unit, and false where the result is not an exact decimal within the
// limits of New or q is absent.
func (q Quantity) MulRatio(num, den int64) (Quantity, bool) {
	if den == 0 || den == math.MinInt64 || num == math.MinInt64 {
		return Quantity{}, false
	}
	if den < 0 {
		num, den = -num, -den
	}
	coef, exp := q.coef, int(q.exp)
	if g := gcd(magnitude(coef), uint64(den)); g > 1 {
		coef, den = coef/int64(g), den/int64(g)
	}
	if g := gcd(magnitude(num), uint64(den)); g > 1 {
		num, den = num/int64(g), den/int64(g)
	}
	factor := int64(1) // den × factor will be a power of ten
	for ; den%10 == 0; den /= 10 {
		exp--
	}
	for ; den%2 == 0; den /= 2 {
		factor *= 5
		exp--
		if factor > math.MaxInt64/5 {
			return Quantity{}, false
		}
	}
	for ; den%5 == 0; den /= 5 {
		factor *= 2
		exp--
	}
	if den != 1 {
		return Quantity{}, false
	}
	for _, f := range [2]int64{num, factor} {
		for ; f != 0 && f%10 == 0; f /= 10 {
			exp++
		}
		hi, lo := bits.Mul64(magnitude(coef), magnitude(f))
		if hi != 0 || lo > math.MaxInt64 {
			return Quantity{}, false
		}
		coef *= f
	}
	return New(coef, exp, q.unit)
}

// Plus returns q + o, and false where their units differ, one of them is absent, or the sum is not an exact decimal
// within the limits of New.
func (q Quantity) Plus(o Quantity) (Quantity, bool) {
	if q.unit != o.unit || q.unit == None {
		return Quantity{}, false
	}
	if q.exp < o.exp {
		q, o = o, q
	}
	ten := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(q.exp)-int64(o.exp)), nil)
	sum := ten.Mul(ten, big.NewInt(q.coef))
	sum.Add(sum, big.NewInt(o.coef))
	exp, nought, rest := int(o.exp), new(big.Int), new(big.Int)
	for !sum.IsInt64() && exp < maxExp {
		tenth, _ := new(big.Int).QuoRem(sum, big.NewInt(10), rest)
		if rest.Cmp(nought) != 0 {
			return Quantity{}, false
		}
		sum, exp = tenth, exp+1
	}
	if !sum.IsInt64() {
		return Quantity{}, false
	}
	return New(sum.Int64(), exp, q.unit)
}

// Neg returns -q.
func (q Quantity) Neg() Quantity {
	q.coef = -q.coef
	return q
}

// Float returns the nearest binary floating point number in the bare unit. It is for drawing and estimates; compare
// quantities with Compare.
func (q Quantity) Float() float64 {
	f, err := strconv.ParseFloat(strconv.FormatInt(q.coef, 10)+"e"+strconv.Itoa(int(q.exp)), 64)
	if err != nil {
		return 0 // cannot be: the limits of New lie far within those of float64
	}
	return f
}

// GoString shows the parts, for tests.
func (q Quantity) GoString() string {
	return fmt.Sprintf("quantity.Quantity{%de%d %s}", q.coef, q.exp, q.unit)
}

// compareProducts compares a1×a2×10^ea with b1×b2×10^eb. Each product must stay below 10^37 in magnitude.
func compareProducts(a1, a2 int64, ea int, b1, b2 int64, eb int) int {
	if d := ea - eb; -maxShift <= d && d <= maxShift && small(a1, maxFactor) && small(b1, maxFactor) &&
		small(a2, maxRatio) && small(b2, maxRatio) {
		a, b := a1*a2, b1*b2
		if d > 0 {
			a *= int64(pow10(d))
		} else {
			b *= int64(pow10(-d))
		}
		return cmp.Compare(a, b)
	}
	sa, sb := sign(a1)*sign(a2), sign(b1)*sign(b2)
	switch {
	case sa < sb:
		return -1
	case sa > sb:
		return 1
	case sa == 0:
		return 0
	}
	ah, al := bits.Mul64(magnitude(a1), magnitude(a2))
	bh, bl := bits.Mul64(magnitude(b1), magnitude(b2))
	return sa * compareScaled128(wide{ah, al}, ea, wide{bh, bl}, eb)
}

// Within these, both sides of compareProducts stay in int64: nearly all that the trade compares.
const (
	maxShift  = 4
	maxFactor = 1 << 31
	maxRatio  = 1 << 15
)

func small(n, most int64) bool { return -most < n && n < most }

// wide is an unsigned 128-bit integer.
type wide struct{ hi, lo uint64 }

// compareScaled128 compares a × 10^ea with b × 10^eb, both not nought. Equally many digits before the point means
// that the shorter can be stretched to the longer without overflow.
func compareScaled128(a wide, ea int, b wide, eb int) int {
	da, db := a.digits(), b.digits()
	if d := (da + ea) - (db + eb); d != 0 {
		return sign(int64(d))
	}
	for ; da < db; da++ {
		a = a.times10()
	}
	for ; db < da; db++ {
		b = b.times10()
	}
	return a.compare(b)
}

func (w wide) compare(o wide) int {
	switch {
	case w.hi < o.hi || w.hi == o.hi && w.lo < o.lo:
		return -1
	case w == o:
		return 0
	}
	return 1
}

func (w wide) times10() wide {
	hi, lo := bits.Mul64(w.lo, 10)
	return wide{w.hi*10 + hi, lo}
}

func (w wide) digits() int {
	n := 1
	for p := (wide{0, 10}); n < 38 && p.compare(w) <= 0; n++ {
		p = p.times10()
	}
	return n
}

func sign(n int64) int {
	switch {
	case n < 0:
		return -1
	case n > 0:
		return 1
	}
	return 0
}

func magnitude(n int64) uint64 {
	if n < 0 {
		return -uint64(n)
	}
	return uint64(n)
}

func gcd(a, b uint64) uint64 {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// pow10 gives 10^n for n from 0 to 19.
func pow10(n int) uint64 { return powers[n] }

var powers = func() (p [20]uint64) {
	p[0] = 1
	for n := 1; n < len(p); n++ {
		p[n] = 10 * p[n-1]
	}
	return p
}()
