package client

import (
	"time"

	"github.com/go-json-experiment/json/jsontext"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/review"
)

// Links are the ways on from an answer: addresses by what they lead to.
type Links map[string]string

// Envelope is a map with what says which it is.
type Envelope struct {
	Board      string     `json:"board"`
	Revision   int        `json:"revision"`
	Variant    string     `json:"variant,omitzero"`
	Digest     string     `json:"digest"` // SHA-256 of the map's RFC 8785 form, lower-case hex
	ReleasedAt time.Time  `json:"released_at"`
	Server     string     `json:"server"`
	Schema     string     `json:"schema"` // $id of the map's schema
	Map        *board.Map `json:"map"`
}

// Board tells of one board: current revision, variants, counts, open proposals.
type Board struct {
	Board      string          `json:"board"`
	Name       string          `json:"name"`
	Equipment  board.Equipment `json:"equipment"`
	Markings   []string        `json:"markings"`
	Revision   int             `json:"revision"`
	Digest     string          `json:"digest"`
	ReleasedAt time.Time       `json:"released_at"`
	Variants   []Variant       `json:"variants"`
	Counts     Counts          `json:"counts"`
	Size       Size            `json:"size"`
	Bars       bool            `json:"bars_power_up"`            // a failure point bars power-up
	Open       []int64         `json:"open_proposals,omitempty"` // numbers of the proposals that wait; only where one board was asked for
	Withdrawn  []OutOfUse      `json:"withdrawn,omitempty"`      // only where one board was asked for
	Links      Links           `json:"links"`
}

// OutOfUse is a revision that was withdrawn.
type OutOfUse struct {
	Revision  int `json:"revision"`
	Withdrawn `json:",inline"`
}

// Variant is another build of a board.
type Variant struct {
	Variant      string `json:"variant"`
	Title        string `json:"title"`
	IdentifiedBy string `json:"identified_by"`
	Map          string `json:"map"` // address of its effective map
}

// Counts is how much a map holds.
type Counts struct {
	Positions     int `json:"positions"`
	Replace       int `json:"replace"`
	Inspect       int `json:"inspect"`
	FailurePoints int `json:"failure_points"`
	Checks        int `json:"checks"`
	Cautions      int `json:"cautions"`
	Variants      int `json:"variants"`
	OpenProposals int `json:"open_proposals"`
}

// Size is the extent of a board's outline, in millimetres.
type Size struct {
	Width  float64 `json:"width_mm"`
	Height float64 `json:"height_mm"`
}

// BoardList is one page of a search, the best match first.
type BoardList struct {
	Boards     []Board `json:"boards"`
	Total      int     `json:"total"`
	TotalExact bool    `json:"total_exact"` // Total counts all that match
	Next       string  `json:"next,omitzero"`
}

func (l BoardList) next() string { return l.Next }

// RevisionList is one page of a board's history, newest first.
type RevisionList struct {
	Board     string     `json:"board"`
	Revisions []Revision `json:"revisions"`
	Next      string     `json:"next,omitzero"`
	Links     Links      `json:"links"`
}

func (l RevisionList) next() string { return l.Next }

// Revision tells of one released map.
type Revision struct {
	Revision   int        `json:"revision"`
	Digest     string     `json:"digest"`
	ReleasedAt time.Time  `json:"released_at"`
	ReleasedBy string     `json:"released_by"`
	Author     string     `json:"author"`
	Summary    string     `json:"summary"`
	Proposal   int64      `json:"proposal"`
	Withdrawn  *Withdrawn `json:"withdrawn,omitzero"` // out of use, and why
	Links      Links      `json:"links"`
}

// Withdrawn says why something is out of use.
type Withdrawn struct {
	Kind   string    `json:"kind"` // dangerous, illegal or mistaken
	Reason string    `json:"reason"`
	At     time.Time `json:"withdrawn_at"`
}

// Difference is what differs between two revisions or variants of a board.
type Difference struct {
	Board   string                  `json:"board"`
	From    Compared                `json:"from"`
	To      Compared                `json:"to"`
	Changes []board.DifferenceEntry `json:"changes"`
	Summary board.DifferenceSummary `json:"summary"`
}

// Compared is one side of a difference.
type Compared struct {
	Revision int    `json:"revision"`
	Variant  string `json:"variant,omitzero"`
	Digest   string `json:"digest"`
}

// History tells who changed a position, oldest first.
type History struct {
	Board      string       `json:"board"`
	Designator string       `json:"designator"`
	Changes    []PastChange `json:"changes"`
	Links      Links        `json:"links"`
}

// PastChange is what one revision did to a position.
type PastChange struct {
	Revision   int                     `json:"revision"`
	Designator string                  `json:"designator"` // as it was called then
	Author     string                  `json:"author"`
	ReleasedBy string                  `json:"released_by"`
	ReleasedAt time.Time               `json:"released_at"`
	Proposal   int64                   `json:"proposal"`
	Summary    string                  `json:"summary"`
	Changes    []board.DifferenceEntry `json:"changes"`
	Evidence   []review.Evidence       `json:"evidence"`
	Links      Links                   `json:"links"`
}

// Proposal is a proposal as a list tells of it.
type Proposal struct {
	ID          int64        `json:"id"`
	Board       string       `json:"board"`
	Name        string       `json:"name"`          // of the board, in the proposed map
	Base        int          `json:"base_revision"` // 0 for a new board
	State       review.State `json:"state"`
	Author      string       `json:"author"`
	Summary     string       `json:"summary"`
	Newcomer    bool         `json:"new_contributor,omitzero"` // nothing of its author's was released yet
	Suspended   bool         `json:"suspended,omitzero"`       // its author's account is disabled
	SubmittedAt time.Time    `json:"submitted_at"`
	ChangedAt   time.Time    `json:"changed_at"`
	Version     int          `json:"version"` // of its map
	Digest      string       `json:"digest"`  // of its map
	Revision    int          `json:"revision,omitzero"`
	ClosedBy    string       `json:"closed_by,omitzero"`
	Reason      string       `json:"reason,omitzero"`
	Links       Links        `json:"links"`
}

// ProposalList is one page of proposals, newest first.
type ProposalList struct {
	Proposals []Proposal `json:"proposals"`
	Next      string     `json:"next,omitzero"`
}

func (l ProposalList) next() string { return l.Next }

// ProposalDetail is one proposal with all that a reviewer needs.
type ProposalDetail struct {
	Proposal     `json:",inline"`
	Map          *board.Map        `json:"map"`
	Evidence     []review.Evidence `json:"evidence"`
	Differences  Differences       `json:"differences"`
	CarryForward CarryForward      `json:"carry_forward"`
	Findings     []finding.Finding `json:"findings"`
	Reviews      []review.Review   `json:"reviews"`
	Standing     review.Standing   `json:"standing"`
	Hazards      []Hazard          `json:"hazards"` // why it is hazardous
	Claims       []Claim           `json:"claims"`  // what it says of what is new or changed
}

// Differences are what a proposal changes.
type Differences struct {
	Base    *board.Difference `json:"base"`    // from its base revision; nil for a new board
	Current *board.Difference `json:"current"` // what a release today would change
}

// CarryForward says whether a proposal still fits onto the current revision.
type CarryForward struct {
	Needed    bool       `json:"needed"`
	Possible  bool       `json:"possible"`
	Conflicts []Conflict `json:"conflicts"`
}

// Conflict is a member that the proposal and a later release both changed.
type Conflict struct {
	Designator string         `json:"designator,omitzero"`
	Member     string         `json:"member"`
	Pointer    string         `json:"pointer"`
	Base       jsontext.Value `json:"base,omitzero"`
	Current    jsontext.Value `json:"current,omitzero"`
	Proposed   jsontext.Value `json:"proposed,omitzero"`
	Sentence   string         `json:"sentence"`
	Revision   int            `json:"revision"`
	ReleasedBy string         `json:"released_by"`
	ReleasedAt time.Time      `json:"released_at"`
}

// Hazard is one way in which a release would tell people less than before.
type Hazard = board.JudgedHazard

// Claim is what a map says of positions that are new or changed.
type Claim = board.Claim

// Receipt is what an act on a proposal answers.
type Receipt struct {
	ID             int64             `json:"id"` // of the proposal
	Board          string            `json:"board"`
	State          review.State      `json:"state"`
	Event          int64             `json:"event"`
	At             time.Time         `json:"at"`
	Version        int               `json:"version"`
	Digest         string            `json:"digest"`
	Revision       int               `json:"revision,omitzero"` // that the release made
	CarriedForward bool              `json:"carried_forward,omitzero"`
	Review         int64             `json:"review,omitzero"`
	Lapsed         []string          `json:"lapsed,omitempty"`
	Standing       review.Standing   `json:"standing"`
	Findings       []finding.Finding `json:"findings,omitempty"`
	Links          Links             `json:"links"`
}

// ReviewList is the reviews of a proposal, in the order in which they came.
type ReviewList struct {
	Proposal int64           `json:"proposal"`
	Reviews  []review.Review `json:"reviews"`
	Standing review.Standing `json:"standing"`
	Links    Links           `json:"links"`
}

// DoubtList is one page of what readers think is wrong, newest first.
type DoubtList struct {
	Board  string  `json:"board"`
	Doubts []Doubt `json:"doubts"`
	Next   string  `json:"next,omitzero"`
	Links  Links   `json:"links"`
}

func (l DoubtList) next() string { return l.Next }

// Doubt is what a reader thinks is wrong with a released map.
type Doubt struct {
	ID          int64       `json:"id"`
	Designator  string      `json:"designator,omitzero"`
	Revision    int         `json:"revision"`
	Text        string      `json:"text"`
	Photographs []string    `json:"photographs"`
	Author      string      `json:"author"`
	At          time.Time   `json:"at"`
	Answer      *DoubtReply `json:"answer"` // nil while it is open
}

// DoubtReply is what was answered to a doubt.
type DoubtReply struct {
	Text     string    `json:"text"`
	Proposal int64     `json:"proposal,omitzero"`
	By       string    `json:"by"`
	At       time.Time `json:"at"`
}

// DoubtReceipt is what an act on a doubt answers.
type DoubtReceipt struct {
	ID       int64     `json:"id"`
	Board    string    `json:"board"`
	Revision int       `json:"revision,omitzero"`
	Proposal int64     `json:"proposal,omitzero"`
	Event    int64     `json:"event"`
	At       time.Time `json:"at"`
	Links    Links     `json:"links"`
}

// Event is one act.
type Event struct {
	ID         int64     `json:"id"` // 1, 2, 3 … in the order in which the acts took effect
	At         time.Time `json:"at"`
	Who        string    `json:"who"` // "" for the operator
	What       string    `json:"what"`
	Sentence   string    `json:"sentence"`
	Board      string    `json:"board,omitzero"`
	Proposal   int64     `json:"proposal,omitzero"`
	Version    int       `json:"version,omitzero"`
	Revision   int       `json:"revision,omitzero"`
	Kit        string    `json:"kit,omitzero"`
	Photograph string    `json:"photograph,omitzero"`
	Links      Links     `json:"links,omitzero"`
}

// EventList is one page of events.
type EventList struct {
	Events []Event `json:"events"`
	Last   int64   `json:"last"` // to go on after, also where there is no next page
	Next   string  `json:"next,omitzero"`
	Links  Links   `json:"links"`
}

func (l EventList) next() string { return l.Next }

// Moved is the receipt of a board's new ID.
type Moved struct {
	Board   string `json:"board"`
	Moved   string `json:"moved"`
	Current int    `json:"current,omitzero"`
	Event   int64  `json:"event"`
	Links   Links  `json:"links"`
}

// WithdrawalReceipt is what a withdrawal answers.
type WithdrawalReceipt struct {
	Board       string    `json:"board,omitzero"`
	Revision    int       `json:"revision,omitzero"`
	Photograph  string    `json:"photograph,omitzero"`
	Record      int64     `json:"record,omitzero"`
	Kind        string    `json:"kind"`
	Reason      string    `json:"reason"`
	WithdrawnAt time.Time `json:"withdrawn_at"`
	Current     int       `json:"current,omitzero"`
	Event       int64     `json:"event"`
	Links       Links     `json:"links"`
}
