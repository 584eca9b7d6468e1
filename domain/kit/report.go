package kit

import (
	"iter"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// Request is what a reconciliation is made of.
type Request struct {
	Map      *board.Map // of one build, without variants; see board.Map.Effective
	Kit      *Kit
	Scope    Scope
	Language string // en, de or fr, where the language of the kit's texts is known: what comma and point mean

	Revision int    // of the map; 0 where it is not released
	Variant  string // "" for the base map
	Digest   string // of the map that the effective one was made from, 64 hexadecimal digits

	Pairs    bool                    // list every allowed pair in the report
	Others   iter.Seq2[Other, error] // revisions that the kit may have been meant for; see BetterFit
	Problems []Problem               // of the list that the kit was read from; told in the report
}

// Other is a revision of the board, whole with its variants.
type Other struct {
	Revision int
	Digest   string // of Map
	Map      *board.Map
}

// Builds is one map as the others of a request.
func Builds(o Other) iter.Seq2[Other, error] {
	return func(yield func(Other, error) bool) { yield(o, nil) }
}

// Outcomes of a reconciliation.
const (
	Complete = "complete" // every position in scope gets a part that suits, and nothing is left to be looked at
	ToCheck  = "to-check" // every one gets a part, but something is doubtful or not sure
	Short    = "short"    // some stay empty, whatever a person confirms
	Conflict = "conflict" // the kit's own labels put a part where it must not stand
)

// Fits of a position.
const (
	Match      = "match"      // the very part that is wanted, or as good in every member
	Suitable   = "suitable"   // nothing worse than notes
	Doubtful   = "doubtful"   // a person has to look: there is a caution
	Unsuitable = "unsuitable" // labelled with a part that must not stand there
	None       = "none"       // no part
)

// Report is the result of a reconciliation.
type Report struct {
	Board    string `json:"board"`
	Revision int    `json:"revision"`
	Variant  string `json:"variant"`
	Digest   string `json:"digest"`
	Outcome  string `json:"outcome"` // Complete, ToCheck, Short or Conflict

	Summary       Summary          `json:"summary"`
	Pairs         []Pair           `json:"pairs,omitzero"` // nil unless asked for
	Positions     []PositionReport `json:"positions"`      // in scope, natural order of designators
	Lines         []LineReport     `json:"lines"`          // ascending
	Flags         []Flag           `json:"flags"`          // what to look at, gravest first
	Rearrangement []Move           `json:"rearrangement"`
	ToBuy         []Purchase       `json:"to_buy"`
	BetterFit     []BetterFit      `json:"better_fit"`        // other builds that the kit fits better, the best first
	Problems      []Problem        `json:"problems,omitzero"` // of the list that the kit was read from
	Cautions      []Caution        `json:"cautions"`
}

// Summary counts. Positions = Filled + Unfilled; the quantities of all lines
// together are Filled + Surplus.
type Summary struct {
	Positions   int `json:"positions"`            // in scope
	Filled      int `json:"filled"`               // have a part without a stop finding
	Provisional int `json:"provisional,omitzero"` // of these: by a line that is not sure
	Unfilled    int `json:"unfilled"`             // have none, or one that must not stand there
	Flagged     int `json:"flagged"`              // positions that some flag names, in scope or not
	Surplus     int `json:"surplus"`              // parts that fill no position
	Penalty     int `json:"penalty"`              // of all filled positions together
}

// Pair is a line that may go to a position.
//
// The pairs that are not provisional are exactly the problem of the first pass,
// over the sure lines: with at most one line for a position and at most its
// quantity from a line, they fill at most Summary.Filled - Summary.Provisional
// positions. The provisional ones are the pairs of lines that are not sure,
// which join in the second pass: over all pairs at most Summary.Filled positions
// can be filled. Where no line is provisional, Summary.Penalty is the least at
// which so many can be; where some are, it is the least for the sure lines alone
// and then for the others on what is left empty, unless the sure lines have to
// move for the most positions to be filled.
//
// A position that a sure line is labelled for has that one pair, or none where
// the label has a stop finding; labelled lines have no pairs but at their
// labels. The penalty is that of the findings, except that a line without a word
// on its outside pays nothing for that.
type Pair struct {
	Designator  string `json:"designator"`
	Line        int    `json:"line"`
	Penalty     int    `json:"penalty"`
	Provisional bool   `json:"provisional,omitzero"`
}

// PositionReport says what happens to one position.
type PositionReport struct {
	Designator string            `json:"designator"`
	Wanted     part.Part         `json:"wanted"`
	Line       *int              `json:"line"` // nil where it gets no part
	Fit        string            `json:"fit"`  // Match, Suitable, Doubtful, Unsuitable or None
	Penalty    int               `json:"penalty,omitzero"`
	Labelled   bool              `json:"labelled,omitzero"` // the kit itself says so
	Findings   []finding.Finding `json:"findings"`
}

// LineReport says what happens to one line of the kit.
type LineReport struct {
	Line     int               `json:"line"`
	Quantity int               `json:"quantity"`
	Text     string            `json:"text,omitzero"`
	Read     *part.Part        `json:"read"`                // how the line was read; nil where it could not be, or reads several ways
	Readings []part.Part       `json:"readings,omitzero"`   // where it reads several ways
	LeftOver []string          `json:"left_over,omitempty"` // words of which nothing was made
	Sure     bool              `json:"sure"`                // may be taken as it stands; else a person has to confirm it
	Say      string            `json:"say,omitzero"`        // how to write what was read, where it is not sure
	Used     int               `json:"used"`                // parts that fill a position
	Surplus  int               `json:"surplus"`
	For      []string          `json:"for"` // positions that it fills
	Findings []finding.Finding `json:"findings"`
}

// Flag is a finding that a person should see first.
type Flag struct {
	Code       string           `json:"code"`
	Severity   finding.Severity `json:"severity"`
	Sentence   message.Message  `json:"sentence"`
	Designator string           `json:"designator,omitzero"`
	Line       *int             `json:"line,omitzero"`
	Expected   string           `json:"expected,omitzero"`
	Found      string           `json:"found,omitzero"`
	Limit      message.Message  `json:"limit,omitzero"` // the threshold in words and figures
	Basis      message.Message  `json:"basis,omitzero"`
}

// Move is one step of a rearrangement.
type Move struct {
	Designator string          `json:"designator"`
	FromLine   *int            `json:"from_line"` // nil: had none
	ToLine     *int            `json:"to_line"`   // nil: leave it empty
	Sentence   message.Message `json:"sentence"`
}

// BetterFit is another build that the kit fits better than the one asked for:
// fewer positions unfilled or labelled with another value, then fewer labels
// that the build lacks, then less penalty.
//
// The revisions of Request.Others are tried in their order, each as its base map
// and its variants, until maxBuilds were or all of them together took as many
// pairs as maxTried; none where the kit has nothing to better.
type BetterFit struct {
	Revision int             `json:"revision"`
	Variant  string          `json:"variant"`
	Digest   string          `json:"digest"`
	Summary  Summary         `json:"summary"` // the kit against that build
	Sentence message.Message `json:"sentence"`
}

// Caution is a warning to the person at the bench.
type Caution struct {
	Text     message.Message  `json:"text"`
	When     board.Moment     `json:"when,omitzero"` // before-opening, before-power-up, while-working or after
	Severity finding.Severity `json:"severity"`
	Code     string           `json:"code"`
}
