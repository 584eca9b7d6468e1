package quantity

import (
	"encoding"
	"math/big"
	"strings"
	"testing"

	"github.com/cockroachdb/apd/v3"
	"pgregory.net/rapid"
)

var (
	_ encoding.TextMarshaler   = Quantity{}
	_ encoding.TextUnmarshaler = (*Quantity)(nil)
	_ encoding.TextMarshaler   = Tolerance{}
	_ encoding.TextUnmarshaler = (*Tolerance)(nil)
)

// quantities draws quantities of a unit from all over the range.
func quantities(u Unit) *rapid.Generator[Quantity] {
	return rapid.Custom(func(t *rapid.T) Quantity {
		digits := rapid.IntRange(1, maxDigits).Draw(t, "digits")
		most := int64(pow10(digits)) - 1
		q, ok := New(rapid.Int64Range(-most, most).Draw(t, "coef"), rapid.IntRange(-maxExp, maxExp-maxDigits).Draw(t,
			"exp"), u)
		if !ok {
			t.Fatal("drawn out of range")
		}
		return q
	})
}

func anyUnit(t *rapid.T) Unit { return Unit(rapid.IntRange(int(Farad), int(Percent)).Draw(t, "unit")) }

func TestParseOfSpellingIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := quantities(anyUnit(t)).Draw(t, "q")
		text, err := q.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Quantity
		if err := back.UnmarshalText(text); err != nil || back != q {
			t.Fatalf("%s parses as %#v, %v; want %#v", text, back, err, q)
		}
	})
}

func tolerances(t *rapid.T) Tolerance {
	u := rapid.SampledFrom([]Unit{Percent, Farad}).Draw(t, "unit")
	exp := map[Unit]int{Percent: -3, Farad: -15}[u]
	low, _ := New(-rapid.Int64Range(0, 100000).Draw(t, "low"), exp, u)
	high, _ := New(rapid.Int64Range(1, 200000).Draw(t, "high"), exp, u)
	if rapid.Bool().Draw(t, "symmetric") && low.Sign() != 0 {
		high = low.Neg()
	}
	tol, ok := NewTolerance(low, high)
	if !ok {
		t.Fatal("no tolerance")
	}
	return tol
}

func TestToleranceSpelling(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tol := tolerances(t)
		back, err := ParseTolerance(tol.String())
		if err != nil || back != tol {
			t.Fatalf("%s parses as %v, %v", tol, back, err)
		}
	})
}

func TestNoWiderThanIsAnOrder(t *testing.T) {
	nominal := must(47, -13, Farad)
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := tolerances(t), tolerances(t), tolerances(t)
		if !a.NoWiderThan(a, nominal) {
			t.Fatalf("%s is wider than itself", a)
		}
		if a.NoWiderThan(b, nominal) && b.NoWiderThan(c, nominal) && !a.NoWiderThan(c, nominal) {
			t.Fatalf("%s, %s, %s: not transitive", a, b, c)
		}
	})
}

func TestCompareIsATotalOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var q [3]Quantity
		for i := range q {
			q[i] = quantities(rapid.SampledFrom([]Unit{Ohm, Volt}).Draw(t, "unit")).Draw(t, "q")
		}
		if q[0].Compare(q[1]) != -q[1].Compare(q[0]) {
			t.Fatalf("%v, %v: not antisymmetric", q[0], q[1])
		}
		if (q[0].Compare(q[1]) == 0) != (q[0] == q[1]) {
			t.Fatalf("%#v, %#v: equality and order differ", q[0], q[1])
		}
		if q[0].Compare(q[1]) <= 0 && q[1].Compare(q[2]) <= 0 && q[0].Compare(q[2]) > 0 {
			t.Fatalf("%v, %v, %v: not transitive", q[0], q[1], q[2])
		}
	})
}

// decimalOf is the quantity in an independent decimal library.
func decimalOf(q Quantity) *apd.Decimal { return apd.New(q.coef, int32(q.exp)) }

func TestAgainstDecimalLibrary(t *testing.T) {
	wide := apd.BaseContext.WithPrecision(200)
	rapid.Check(t, func(t *rapid.T) {
		a, b := quantities(Farad).Draw(t, "a"), quantities(Farad).Draw(t, "b")
		if got, want := a.Compare(b), decimalOf(a).Cmp(decimalOf(b)); got != want {
			t.Fatalf("compare %#v, %#v: %d; want %d", a, b, got, want)
		}
		num, den := rapid.Int64().Draw(t, "num"), rapid.Int64Range(1, 1<<62).Draw(t, "den")
		var left, right apd.Decimal
		if _, err := wide.Mul(&left, decimalOf(a), apd.New(den, 0)); err != nil {
			t.Fatal(err)
		}
		if _, err := wide.Mul(&right, decimalOf(b), apd.New(num, 0)); err != nil {
			t.Fatal(err)
		}
		if got, want := a.CompareScaled(b, num, den), left.Cmp(&right); got != want {
			t.Fatalf("compare %#v with %#v×%d/%d: %d; want %d", a, b, num, den, got, want)
		}
		var si apd.Decimal
		if _, _, err := si.SetString(a.SI()); err != nil || si.Cmp(decimalOf(a)) != 0 {
			t.Fatalf("%#v is %s in farads", a, a.SI())
		}
	})
}

func TestMulRatioIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := quantities(Volt).Draw(t, "q")
		num, den := rapid.Int64Range(-1000, 1000).Draw(t, "num"), rapid.Int64Range(1, 1000).Draw(t, "den")
		got, ok := q.MulRatio(num, den)
		want := new(big.Rat).Mul(ratOf(t, q), big.NewRat(num, den))
		if ok && ratOf(t, got).Cmp(want) != 0 {
			t.Fatalf("%v × %d/%d is %v", q, num, den, got)
		}
		if !ok && magnitude(q.coef) < 1e12 && exactWithin(want) {
			t.Fatalf("%v × %d/%d is refused; it is %v", q, num, den, want)
		}
	})
}

func ratOf(t *rapid.T, q Quantity) *big.Rat {
	r, ok := new(big.Rat).SetString(q.SI())
	if !ok {
		t.Fatalf("%#v: %q", q, q.SI())
	}
	return r
}

// exactWithin reports whether a ratio is a decimal of few enough figures.
func exactWithin(r *big.Rat) bool {
	n, exact := r.FloatPrec()
	shift := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
	coef := shift.Mul(shift, r.Num())
	coef.Quo(coef, r.Denom()).Abs(coef)
	return exact && n < maxExp && coef.Cmp(new(big.Int).SetUint64(pow10(maxDigits))) < 0
}

// TestPlus holds the sum to arithmetic with big rationals.
func TestPlus(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := anyUnit(t)
		a, b := quantities(u).Draw(t, "a"), quantities(u).Draw(t, "b")
		x, _ := new(big.Rat).SetString(a.SI())
		y, _ := new(big.Rat).SetString(b.SI())
		sum, ok := a.Plus(b)
		if !ok {
			if digits := strings.Trim(strings.Replace(x.Add(x, y).FloatString(maxExp), ".", "", 1),
				"0-"); len(digits) <= maxDigits {
				t.Fatalf("%v + %v was refused and has %d digits", a, b, len(digits))
			}
			return
		}
		if got, _ := new(big.Rat).SetString(sum.SI()); got.Cmp(x.Add(x, y)) != 0 {
			t.Fatalf("%v + %v = %v", a, b, sum)
		}
	})
	if _, ok := (Quantity{}).Plus(Quantity{}); ok {
		t.Error("nothing and nothing have a sum")
	}
}
