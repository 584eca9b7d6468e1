package kit

import (
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Lot is what a line holds, without a map that helps to read it.
type Lot struct {
	Quantity int
	Parts    []part.Part // every way in which the line reads; none where it can't be read
}

// Lots reads the lines of a kit.
func Lots(k *Kit) []Lot {
	out := make([]Lot, len(k.Lines))
	for i := range k.Lines {
		l := &k.Lines[i]
		out[i].Quantity = min(max(l.Quantity, 0), maxQuantity)
		if l.Part != nil {
			out[i].Parts = []part.Part{*l.Part}
			continue
		}
		text, err := readPart(bareText(l.Text), quantity.Context{Found: "list"})
		if err != nil {
			continue
		}
		for j := range text.Readings {
			out[i].Parts = append(out[i].Parts, text.Readings[j].Part)
		}
	}
	return out
}
