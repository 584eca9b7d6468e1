package review

import (
	"slices"
	"strings"

	"boardlore/domain/fault"
	"boardlore/domain/message"
)

// The verdicts of a review.
const (
	Endorse = "endorse" // release it as it is
	Query   = "query"   // the author should answer something
	Object  = "object"  // it must not be released like this
)

// Endorsements that a release needs.
const (
	needed          = 1
	neededHazardous = 2 // where the difference is hazardous, by the design's rule
)

// Remark is what a reviewer says of one position, or of the whole proposal
// where it names none.
type Remark struct {
	Designator string `json:"designator,omitzero"`
	Text       string `json:"text"`
}

// Review is one reviewer's verdict on one version of a proposal's map.
type Review struct {
	ID       int64    `json:"id"`
	Reviewer string   `json:"reviewer"`
	Verdict  string   `json:"verdict"` // endorse, query or object
	Summary  string   `json:"summary,omitzero"`
	Remarks  []Remark `json:"remarks,omitempty"`
	Version  int      `json:"version"`  // of the proposal's map that was looked at, 1 …
	At       string   `json:"at"`       // when it was given (RFC 3339), as the caller knows; no rule looks at it
	Standing bool     `json:"standing"` // the newest verdict of its reviewer, and not lapsed
	Lapsed   bool     `json:"lapsed"`   // an endorsement of a map that was amended since
	// What the caller knows of the account and of the board by now:
	Suspended bool      `json:"suspended,omitzero"` // the account is disabled, or no reviewer's any more
	Outdated  bool      `json:"outdated,omitzero"`  // given before the revision onto which a hazardous map is carried forward
	SetAside  *SetAside `json:"set_aside,omitzero"` // an objection that a steward set aside
	Seen      []Seen    `json:"seen,omitempty"`     // what the verdict rests on
	Answers   []Said    `json:"answers,omitempty"`  // what was said to it since, oldest first
}

// Said is one thing said to a review by the author or a reviewer.
type Said struct {
	By   string `json:"by"`
	Text string `json:"text"`
	At   string `json:"at"`
}

// MaxAnswers bounds the thread of one review.
const MaxAnswers = 50

// SetAside is a steward's act that ends an objection.
type SetAside struct {
	By     string `json:"by"`
	Reason string `json:"reason"`
	At     string `json:"at"`
}

// Seen says of one position on what the reviewer looked at it.
type Seen struct {
	Designator string `json:"designator"`
	On         string `json:"on"` // board, photograph or document
}

// Standing is what the verdicts on a proposal amount to.
type Standing struct {
	Endorsements int      `json:"endorsements"` // standing ones
	Needed       int      `json:"needed"`       // for a release
	Hazardous    bool     `json:"hazardous"`    // the difference is, and two are needed
	EndorsedBy   []string `json:"endorsed_by"`
	ObjectedBy   []string `json:"objected_by"`
	QueriedBy    []string `json:"queried_by"`
	LapsedBy     []string `json:"lapsed_by"`    // endorsed an older map and have said nothing since
	SuspendedBy  []string `json:"suspended_by"` // endorsed it, and are no reviewers any more
	OutdatedBy   []string `json:"outdated_by"`  // endorsed it before the revision that a hazardous merge follows
	Ready        bool     `json:"ready"`        // nothing is missing
	// What is missing in words, "" when ready.
	Missing message.Message `json:"missing"`
}

// Mark sets Standing and Lapsed of each review of one proposal. The reviews
// are in the order in which they were given; version is that of the present
// map. The newest verdict of a reviewer replaces their older ones. An
// endorsement holds for the map that was endorsed, while its account is
// enabled and a reviewer's; a query or an objection holds until its reviewer
// says otherwise, since an amendment need not have met it, or until a steward
// sets it aside.
func Mark(reviews []Review, version int) {
	seen := map[string]bool{}
	for i := len(reviews) - 1; i >= 0; i-- {
		r := &reviews[i]
		newest := !seen[r.Reviewer]
		seen[r.Reviewer] = true
		r.Lapsed = newest && r.Verdict == Endorse && r.Version < version
		off := r.SetAside != nil || r.Verdict == Endorse && (r.Suspended || r.Outdated)
		r.Standing = newest && !r.Lapsed && !off
	}
}

// Stand sums the reviews of one proposal up, as Mark marks them. It looks at
// nothing but the verdicts: that none is the author's own was Allowed's to see to.
func Stand(reviews []Review, version int, hazardous bool) Standing {
	marked := slices.Clone(reviews)
	Mark(marked, version)
	s := Standing{Needed: needed, Hazardous: hazardous,
		EndorsedBy: []string{}, ObjectedBy: []string{}, QueriedBy: []string{}, LapsedBy: []string{},
		SuspendedBy: []string{}, OutdatedBy: []string{}}
	if hazardous {
		s.Needed = neededHazardous
	}
	for i := range marked {
		r := &marked[i]
		switch {
		case r.Lapsed:
			s.LapsedBy = append(s.LapsedBy, r.Reviewer)
		case off(marked, i) && r.Suspended:
			s.SuspendedBy = append(s.SuspendedBy, r.Reviewer)
		case off(marked, i):
			s.OutdatedBy = append(s.OutdatedBy, r.Reviewer)
		case !r.Standing:
		case r.Verdict == Endorse:
			s.EndorsedBy = append(s.EndorsedBy, r.Reviewer)
		case r.Verdict == Object:
			s.ObjectedBy = append(s.ObjectedBy, r.Reviewer)
		case r.Verdict == Query:
			s.QueriedBy = append(s.QueriedBy, r.Reviewer)
		}
	}
	s.Endorsements = len(s.EndorsedBy)
	s.Missing = s.missing()
	s.Ready = s.Missing.IsZero()
	return s
}

// off tells the newest verdict of a reviewer that is an endorsement and does
// not count, though the map is still the one that was endorsed.
func off(marked []Review, i int) bool {
	r := &marked[i]
	if r.Verdict != Endorse || !r.Suspended && !r.Outdated {
		return false
	}
	return !slices.ContainsFunc(marked[i+1:], func(o Review) bool { return o.Reviewer == r.Reviewer })
}

// missing says in one sentence what a release still needs.
func (s Standing) missing() message.Message {
	var says []message.Message
	switch len(s.ObjectedBy) {
	case 0:
	case 1:
		says = append(says, message.Of("standing.objection", s.ObjectedBy[0]))
	default:
		says = append(says, message.Of("standing.objections", message.All(s.ObjectedBy)))
	}
	if s.Endorsements < s.Needed {
		says = append(says, s.short())
	}
	return message.Semicolons(says).Say()
}

// short says how many endorsements are missing and why.
func (s Standing) short() message.Message {
	short := message.Of("standing.one-more")
	switch {
	case s.Needed-s.Endorsements > 1:
		short = message.Of("standing.two")
	case s.Hazardous:
		short = message.Of("standing.second", message.All(s.EndorsedBy))
	}
	for _, gone := range []struct {
		by  []string
		why string
	}{{s.LapsedBy, "standing.lapsed"}, {s.SuspendedBy, "standing.suspended"}, {s.OutdatedBy, "standing.outdated"}} {
		if len(gone.by) > 0 {
			short = message.Of("text.brackets", short, message.Of(gone.why, message.All(gone.by)))
		}
	}
	return short
}

// deskDays is how many days a hazardous proposal has to stand on the desk before a
// steward may release it with one endorsement, and fewReviewers how many
// reviewers beside the author make a second endorsement one that can be had.
const (
	deskDays     = 7
	fewReviewers = 2
)

// Excused tells that a small registry may do without the second endorsement:
// a steward releases, one reviewer has endorsed it and none objects, there are
// fewer than two reviewers beside the author, and the map stood for seven days.
func (s Standing) Excused(who Role, reviewers int, days float64) bool {
	return who.AtLeast(Steward) && s.Hazardous && len(s.ObjectedBy) == 0 && s.Endorsements >= needed &&
		reviewers < fewReviewers && days >= deskDays
}

// Releasable returns nil where nothing bars the release, else a Conflict
// objection-standing or endorsement-needed with the Standing as its data.
func (s Standing) Releasable() error {
	if s.Ready {
		return nil
	}
	code := "endorsement-needed"
	if len(s.ObjectedBy) > 0 {
		code = "objection-standing"
	}
	e := fault.New(fault.Conflict, code, "standing.not-yet", s.Missing)
	e.Data = s
	return e
}

// After is the state of an open proposal after a review: returned while a
// query or an objection to its present map stands.
func After(reviews []Review, version int) State {
	marked := slices.Clone(reviews)
	Mark(marked, version)
	for _, r := range marked {
		if r.Standing && r.Version == version && r.Verdict != Endorse {
			return Returned
		}
	}
	return Submitted
}

// List joins names as a sentence does: "a", "a and b", "a, b and c".
func List(names []string) string {
	switch n := len(names); n {
	case 0:
		return "nobody"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
