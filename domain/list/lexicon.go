package list

import "boardlore/domain/reading"

// Heading is what a column of a list holds.
type Heading uint8

// What columns hold.
const (
	None Heading = iota
	Number
	Quantity
	Delivered // of what was ordered: what came
	Ordered   // what was ordered, whether or not it came
	Designator
	Value
	Rating
	Text
	Package
	Unsure // designators or a description: the cells decide
	Aside  // of the trade, not of the part
	Type   // a type or order number: tells of the part where nothing else does

	X // of placement lists
	Y
	CentreX
	CentreY
	Rotation
	Side
	Mount
	Length
	Width
)

// headingNames are the roles of columns as the lexicon names them.
var headingNames = map[string]Heading{"number": Number, "quantity": Quantity, "delivered": Delivered,
	"ordered": Ordered, "designator": Designator, "value": Value,
	"rating": Rating, "text": Text, "package": Package, "unsure": Unsure, "aside": Aside, "type": Type,
	"x": X, "y": Y, "centre x": CentreX, "centre y": CentreY, "rotation": Rotation, "side": Side, "mount": Mount,
	"length": Length, "width": Width}

// The headings of parts lists and of placement lists, folded by Fold; some words stand for one thing here and for
// another there. ratingUnits are the units of bare numbers below a heading, and fillers what stands in headings beside
// the word that matters. They are in reading's lexicon.
var (
	partsHeadings, placementHeadings = map[string]Heading{}, map[string]Heading{}
	ratingUnits                      = map[string]string{}
	fillers                          = map[string]bool{}
)

func init() {
	for _, w := range reading.ListWords("heading") {
		word := Fold(w.Word)
		switch {
		case word == "":
		case w.Of == "parts":
			partsHeadings[word] = headingNames[w.Says]
			if w.Unit != "" {
				ratingUnits[word] = w.Unit
			}
		case w.Of == "placement":
			placementHeadings[word] = headingNames[w.Says]
		default:
			fillers[w.Word] = true
		}
	}
}

// PartsHeading is what a folded word heads in a parts list.
func PartsHeading(word string) Heading { return partsHeadings[word] }

// RatingUnit is the unit of a bare number below a folded word, "" where it has none.
func RatingUnit(word string) string { return ratingUnits[word] }

// PlacementHeading is what a folded word heads in a placement list.
func PlacementHeading(word string) Heading { return placementHeadings[word] }

// known reports whether a folded word stands over columns of some list. That
// the row of headings is found by the very words by which they are read is why
// there is one lexicon.
func known(word string) bool {
	return partsHeadings[word] != None || placementHeadings[word] != None
}
