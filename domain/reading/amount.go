package reading

import (
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Amount is one way to read a quantity: the quantity, or a tolerance where that was asked for or stood beside the
// value. Where a text may belong to several kinds of part, an amount may be of another kind than the one asked for.
type Amount struct {
	Quantity  quantity.Quantity
	Tolerance quantity.Tolerance
	Doubts    []message.Message // what else to look at before trusting it. Not to be changed
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
func (a Amount) Alternating() bool { return len(a.Doubts) == 1 && a.Doubts[0].Key == doubtAC[0].Key }

// Refusal says why a text was refused and what to do about it.
type Refusal struct {
	Text   string // the text, as given
	Reason message.Message
}

// Say gives the text, shortened, and the reason.
func (e *Refusal) Say() message.Message { return message.Of("reading.refused", clip(e.Text), e.Reason) }

// Error says it in English.
func (e *Refusal) Error() string { return e.Say().String() }

// clip shortens a text for an error message.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}

// What a text that is refused is told.
var (
	failNumber   = message.Of("reading.number")
	failCounted  = message.Of("reading.counted")
	failRange    = message.Of("reading.range")
	failChoice   = message.Of("reading.choice")
	failAbsent   = message.Of("reading.absent")
	failSeveral  = message.Of("reading.several-lengths")
	failOneSided = message.Of("reading.one-sided")
	failPower    = message.Of("reading.power-of-ten")
	failStray    = message.Of("reading.stray-point")
	failMany     = message.Of("reading.too-long")
	failParallel = message.Of("reading.parallel")
	failDoubt    = message.Of("reading.question-mark")
	failAbout    = message.Of("reading.approximate")
)

// What is told beside an amount.
var (
	doubtAC           = say("reading.alternating")
	doubtSection      = say("reading.section")
	doubtEnd          = say("reading.range-end")
	doubtPercent      = say("reading.per-cent")
	doubtGluedPercent = say("reading.glued-percent")
	doubtBare         = say("reading.bare-number")
	doubtField        = say("reading.other-kind")
	doubtCode         = say("reading.resistor-code")
	doubtNoUnit       = say("reading.usual-unit")
	doubtRated        = say("reading.figures-behind")
	doubtClamp        = say("reading.varistor")
)

// say is one sentence.
func say(key string, values ...any) []message.Message {
	return []message.Message{message.Of(key, values...)}
}

// kindWord is the name of a kind of quantity.
func kindWord(k quantity.Kind) message.Message { return message.Word("reading.kind", k.String()) }
