// Package placement makes a draft map of a board out of the placement list
// that an assembly tool wrote, and of its parts list where there is one. Such
// lists differ in delimiter, headings, language, unit, decimal sign and in how
// they see the bottom side; most don't say which. What a list says is used,
// what it leaves open is assumed, and each assumption comes back as a question
// to the person, never as a silent guess.
//
// Frame of the result: millimetres from the lower left corner of the outline,
// seen from the top side; degrees counter-clockwise, seen from the top side.
package placement

import (
	"cmp"
	"slices"

	"boardlore/domain/board"
	"boardlore/domain/message"
)

// Request is what is known of the board beside the lists.
type Request struct {
	Board     string          `json:"board"`
	Equipment board.Equipment `json:"equipment"`
	Name      string          `json:"name"`

	Placements string  `json:"placements"`        // the placement list as text
	Parts      string  `json:"parts,omitempty"`   // the parts list as text
	Options    Options `json:"options,omitempty"` // what the lists leave open
}

// Options says what the lists themselves leave open.
type Options struct {
	Unit    string   `json:"unit,omitempty"`    // mm, inch or mil, where no heading says
	Decimal string   `json:"decimal,omitempty"` // point or comma, where the figures read both ways
	Bottom  string   `json:"bottom,omitempty"`  // seen-from-top (default) or seen-from-bottom (x and angles mirrored)
	Width   float64  `json:"width_mm,omitempty"`
	Height  float64  `json:"height_mm,omitempty"`
	OriginX *float64 `json:"origin_x_mm,omitempty"` // the list's x at the outline's left edge
	OriginY *float64 `json:"origin_y_mm,omitempty"` // the list's y at the outline's lower edge
}

// Result is a draft map with all that a person should know of how it came
// about.
type Result struct {
	Map       *board.Map `json:"map"` // nil where no position could be read
	Rows      Rows       `json:"rows"`
	Problems  []Problem  `json:"problems"`
	Questions []Question `json:"questions"`
	Merged    *Merged    `json:"merged,omitzero"` // for a board that has a map: what became of the list
}

// Rows counts the rows of the placement list.
type Rows struct {
	Read int `json:"read"` // rows below the headings that are not blank
	Used int `json:"used"` // rows that became a position
}

// Problem is a row that could not be used, or not wholly.
type Problem struct {
	List   string          `json:"list"`   // placements or parts
	Row    int             `json:"row"`    // line of the text, from 1; 0 for the list as a whole
	Text   string          `json:"text"`   // the cell or row at fault
	Reason message.Message `json:"reason"` // what is wrong and what to do
}

// Question is an assumption that the person should confirm, by sending the
// lists again with the option of the same name.
type Question struct {
	Code    string          `json:"code"` // unit, decimal, bottom, outline, origin, centre, places, part or parts-differ
	Text    message.Message `json:"text"`
	Choices []string        `json:"choices"`
}

const (
	listPlacements = "placements"
	listParts      = "parts"
)

// Read makes a draft map out of the lists. It never fails: what can't be used
// is told in the result.
func Read(r Request) Result {
	im := importer{request: r, result: Result{Problems: []Problem{}, Questions: []Question{}}}
	rows := im.placements()
	im.frame(rows)
	parts := im.parts()
	im.assemble(rows, parts)
	return im.result
}

type importer struct {
	request Request
	result  Result
	untold  []open // whose text could not be read for certain
	differ  []open // of which the two lists say different values
}

func (im *importer) problem(list string, row int, text string, reason message.Message) {
	im.result.Problems = append(im.result.Problems, Problem{List: list, Row: row, Text: text, Reason: reason})
}

func (im *importer) ask(code string, text message.Message, choices ...string) {
	im.result.Questions = append(im.result.Questions, Question{Code: code, Text: text, Choices: choices})
}

// sortProblems orders the problems by list and row, so that equal lists give
// equal results.
func sortProblems(ps []Problem) {
	slices.SortFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(b.List, a.List), cmp.Compare(a.Row, b.Row), cmp.Compare(a.Text, b.Text),
			cmp.Compare(a.Reason.String(), b.Reason.String()))
	})
}
