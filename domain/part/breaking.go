package part

import (
	"fmt"

	"boardlore/domain/quantity"
)

// Breaking is the breaking capacity of a fuse: the greatest current that it
// can interrupt, printed as a letter of IEC 60127 or as a current. The zero
// value is absent; equal ones are equal under ==.
type Breaking struct {
	letter  byte // L, E or H; 0 where the current is printed
	current quantity.Quantity
}

// ParseBreaking takes a letter of IEC 60127 (L, E, H) or a current in the
// canonical spelling.
func ParseBreaking(s string) (Breaking, error) {
	switch s {
	case "L", "E", "H":
		return Breaking{letter: s[0]}, nil
	}
	q, err := quantity.Parse(s)
	if err != nil || q.Unit() != quantity.Ampere || q.Sign() <= 0 {
		return Breaking{}, fmt.Errorf("%q is no breaking capacity: write a letter of IEC 60127 (L, E or H) or a current such as 1.5 kA", s)
	}
	return Breaking{current: q}, nil
}

// IsZero reports whether the breaking capacity is absent.
func (b Breaking) IsZero() bool { return b == Breaking{} }

// String gives the letter or the current; nothing where it is absent.
func (b Breaking) String() string {
	if b.letter != 0 {
		return string(rune(b.letter))
	}
	return b.current.String()
}

// MarshalText gives the canonical spelling.
func (b Breaking) MarshalText() ([]byte, error) { return []byte(b.String()), nil }

// UnmarshalText takes the canonical spelling only.
func (b *Breaking) UnmarshalText(text []byte) (err error) {
	*b, err = ParseBreaking(string(text))
	return err
}

// What the letters stand for at 250 V alternating (IEC 60127-2): L at least
// 35 A, or ten times the rated current where that is more; E 150 A; H 1500 A.
// Makers' data sheets of 5 × 20 mm fuses print L and H so; E by public tables of fuse markings.
var (
	minLow   = ampere(35)
	enhanced = ampere(150)
	high     = ampere(1500)
)

func ampere(n int64) quantity.Quantity {
	q, _ := quantity.New(n, 0, quantity.Ampere)
	return q
}

// Current is the current that a fuse of the given rated current interrupts;
// absent where nothing is known.
func (b Breaking) Current(rated quantity.Quantity) quantity.Quantity {
	switch b.letter {
	case 'L':
		if ten, ok := rated.MulRatio(10, 1); ok && ten.Unit() == quantity.Ampere && ten.Compare(minLow) > 0 {
			return ten
		}
		return minLow
	case 'E':
		return enhanced
	case 'H':
		return high
	}
	return b.current
}

// breakingOf is the current that a fuse interrupts: by its member, else by what
// its text says of letter or body.
func breakingOf(p *Part, t traits) quantity.Quantity {
	b := p.BreakingCapacity
	if b.IsZero() {
		b.letter = breakingLetter(t)
	}
	return b.Current(p.Current)
}

// breakingLetter is the letter of IEC 60127 that a text has, or that its body
// mostly stands for: glass L, ceramic filled with sand H (makers' data sheets);
// 0 for none.
func breakingLetter(t traits) byte {
	switch {
	case t&breakHigh != 0:
		return 'H'
	case t&breakExtra != 0:
		return 'E'
	case t&breakLow != 0:
		return 'L'
	}
	return 0
}
