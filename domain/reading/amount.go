package reading

import (
	"fmt"
	"strings"

	"boardlore/domain/quantity"
)

// Amount is one way to read a quantity: the quantity, or a tolerance where that was asked for or stood beside the
// value. Where a text may belong to several kinds of part, an amount may be of another kind than the one asked for.
type Amount struct {
	Quantity  quantity.Quantity
	Tolerance quantity.Tolerance
	Doubts    []string // sentences; what else to look at before trusting it. Not to be changed
}

// Canonical returns the canonical spelling of the quantity, or of the tolerance where there is no quantity.
func (a Amount) Canonical() string {
	if a.Quantity.IsZero() {
		return a.Tolerance.String()
	}
	return a.Quantity.String()
}

// SI returns the exact decimal in the bare unit; see quantity.Quantity.SI and quantity.Tolerance.SI.
func (a Amount) SI() string {
	if a.Quantity.IsZero() {
		return a.Tolerance.SI()
	}
	return a.Quantity.SI()
}

// Alternating reports whether all that is told beside the amount is that it is an alternating voltage.
func (a Amount) Alternating() bool { return len(a.Doubts) == 1 && a.Doubts[0] == doubtAC[0] }

// Refusal says why a text was refused and what to do about it.
type Refusal struct {
	Text   string // the text, as given
	Reason string // a sentence
}

// Error returns the text, shortened, and the reason.
func (e *Refusal) Error() string { return fmt.Sprintf("%q: %s", clip(e.Text), e.Reason) }

// clip shortens a text for an error message.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}

const (
	failNumber   = "the number has too many figures, or its points and commas do not fit together; write it with one decimal point"
	failCounted  = "the text counts several parts; give the value of one and the number apart"
	failRange    = "this is a range, not one value; give the rated value"
	failChoice   = "the text offers a choice; decide for one value and write it alone"
	failAbsent   = "the text says that there is no part or no value; leave the member out"
	failSeveral  = "there are several lengths in it; give one at a time"
	failOneSided = "a deviation to one side is no tolerance; give both sides, as in -20 %/+80 %"
	failPower    = "powers of ten are not read; write the value with p, n, µ, k or M before its unit"
	failInexact  = "this has no exact decimal in "
	failStray    = "a point or comma stands where it belongs to no number; write the number again"
	failMany     = "this is too long for one quantity; give the value alone"
	failParallel = "these are parts in parallel; give the value of each alone"
	failDoubt    = "a question mark or the like leaves the value in doubt; settle it and write the value alone"
	failAbout    = "an approximate or bounded value is no rating; write the nominal value"
)

var (
	doubtAC      = []string{"alternating voltage (AC): compare with alternating ratings only"}
	doubtSection = []string{"one section of a part with several: never add them up"}
	doubtEnd     = []string{"one end of a range; a rating is its upper end"}
	doubtPercent = []string{"no unit is written; taken as per cent"}
)
