package part

import (
	"strings"

	"boardlore/domain/quantity"
)

// contactsIn takes "contacts 250 V" off a relay's text, where reading keeps it, as no member has it.
func contactsIn(text string) (volts quantity.Quantity, rest string) {
	const word = "contacts "
	before, behind, ok := strings.Cut(text, word)
	if !ok {
		return volts, text
	}
	number, behind, _ := strings.Cut(behind, " ")
	unit, behind, _ := strings.Cut(behind, " ")
	q, err := quantity.Parse(number + " " + unit)
	if err != nil || q.Unit() != quantity.Volt {
		return volts, text
	}
	return q, strings.TrimSpace(before + behind)
}
