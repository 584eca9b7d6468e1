package quantity

import (
	"fmt"
	"strings"
)

// Tolerance is how far a value may lie off its nominal one: in percent, the same both ways or not, or in farads for
// small capacitors. Equal tolerances are equal under ==; the zero Tolerance is absent.
type Tolerance struct {
	low, high Quantity // same unit, Percent or Farad; low ≤ 0 ≤ high, not both nought
}

// NewTolerance makes a tolerance from its lower deviation (nought or negative, not under -100 %) and its upper one
// (nought or positive), both in percent or both in farads. It reports false for anything else, and for ±0.
func NewTolerance(low, high Quantity) (Tolerance, bool) {
	u := low.unit
	if u != high.unit || u != Percent && u != Farad || low.Sign() > 0 || high.Sign() < 0 || low.Sign() == high.Sign() {
		return Tolerance{}, false
	}
	if all, _ := New(-100, 0, Percent); u == Percent && low.Compare(all) < 0 {
		return Tolerance{}, false
	}
	return Tolerance{low, high}, true
}

// Symmetric makes the tolerance ±dev.
func Symmetric(dev Quantity) (Tolerance, bool) { return NewTolerance(dev.Neg(), dev) }

// IsZero reports whether the tolerance is absent.
func (t Tolerance) IsZero() bool { return t == Tolerance{} }

// Low returns the lower deviation, nought or negative, in percent or farads.
func (t Tolerance) Low() Quantity { return t.low }

// High returns the upper deviation, nought or positive, in percent or farads.
func (t Tolerance) High() Quantity { return t.high }

// String returns the canonical spelling: "±20 %", "-20 %/+80 %", "±0.25 pF"; "" for the absent tolerance.
func (t Tolerance) String() string {
	var b [128]byte
	return string(t.AppendTo(b[:0]))
}

// AppendTo appends the canonical spelling to dst.
func (t Tolerance) AppendTo(dst []byte) []byte {
	if t.IsZero() {
		return dst
	}
	if t.low == t.high.Neg() {
		return t.high.AppendTo(append(dst, "±"...))
	}
	dst = t.low.Neg().AppendTo(append(dst, '-'))
	return t.high.AppendTo(append(dst, "/+"...))
}

// SI returns the figure in percent, or in picofarads for an absolute tolerance, as an exact decimal; an asymmetric
// one as "-20/+80". The absent tolerance is "".
func (t Tolerance) SI() string {
	if t.IsZero() {
		return ""
	}
	if t.low == t.high.Neg() {
		return string(appendFigure(nil, t.high))
	}
	dst := appendFigure(nil, t.low)
	return string(appendFigure(append(dst, "/+"...), t.high))
}

func appendFigure(dst []byte, q Quantity) []byte {
	exp := int(q.exp)
	if q.unit == Farad {
		exp -= pico.exp
	}
	return appendDecimal(dst, q.coef, exp)
}

// ParseTolerance reads the canonical spelling, and only that.
func ParseTolerance(s string) (Tolerance, error) {
	t, ok := parseTolerance(s)
	if !ok {
		return Tolerance{}, fmt.Errorf("%q is no tolerance: write it as ±20 %%, -20 %%/+80 %% or ±0.25 pF", clip(s))
	}
	if c := t.String(); c != s {
		return Tolerance{}, fmt.Errorf("%q is not the canonical spelling: write %q", clip(s), c)
	}
	return t, nil
}

func parseTolerance(s string) (Tolerance, bool) {
	if dev, ok := strings.CutPrefix(s, "±"); ok {
		q, ok := parsePlain(dev)
		if !ok {
			return Tolerance{}, false
		}
		return Symmetric(q)
	}
	lo, hi, _ := strings.Cut(s, "/+")
	low, ok1 := parsePlain(lo)
	high, ok2 := parsePlain(hi)
	if !ok1 || !ok2 {
		return Tolerance{}, false
	}
	return NewTolerance(low, high)
}

// MarshalText gives the canonical spelling; the absent tolerance gives nothing.
func (t Tolerance) MarshalText() ([]byte, error) { return t.AppendTo(nil), nil }

// UnmarshalText takes the canonical spelling only.
func (t *Tolerance) UnmarshalText(text []byte) error {
	p, err := ParseTolerance(string(text))
	if err != nil {
		return err
	}
	*t = p
	return nil
}

// NoWiderThan reports whether every value that t allows at the nominal value is allowed by o too. The nominal value
// (positive) matters only where one tolerance is in percent and the other in farads; if it is absent then, the
// answer is no. An absent tolerance promises nothing: only o absent makes it no wider.
func (t Tolerance) NoWiderThan(o Tolerance, nominal Quantity) bool {
	if o.IsZero() {
		return true
	}
	if t.IsZero() {
		return false
	}
	low, ok1 := compareDeviations(t.low, o.low, nominal)
	high, ok2 := compareDeviations(t.high, o.high, nominal)
	return ok1 && ok2 && low >= 0 && high <= 0
}

// compareDeviations compares two deviations that may be in percent of the nominal value or absolute.
func compareDeviations(a, b, nominal Quantity) (int, bool) {
	if a.unit == b.unit {
		return a.Compare(b), true
	}
	if nominal.unit != Farad || nominal.Sign() <= 0 {
		return 0, false
	}
	if a.unit == Percent {
		return compareProducts(a.coef, nominal.coef, int(a.exp)+int(nominal.exp), b.coef, 100, int(b.exp)), true
	}
	return compareProducts(a.coef, 100, int(a.exp), b.coef, nominal.coef, int(b.exp)+int(nominal.exp)), true
}
