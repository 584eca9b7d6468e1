// Package review is the state machine of proposals: who may do what to a
// proposal in which state, which verdicts stand, and what a release still
// needs. It stands in one place because every door to a proposal (the API, the
// command line, the seeds) must judge alike, and because a rule spread over
// handlers can't be tested act by act, state by state and role by role.
//
// The states and the acts that lead from one to the next:
//
//	(none) ──submit──▶ submitted ──review: query, object──▶ returned
//	                       ▲                                    │
//	                       └── amend, or the verdict replaced ──┘
//
//	submitted, returned ──release──▶ released
//	submitted, returned ──decline──▶ declined
//	submitted, returned ──withdraw─▶ withdrawn
//
// A proposal is returned while a query or an objection to its present map
// stands: the author has to act. Whether it may be released is another
// question, answered by Standing: a query asks, only an objection bars.
//
// Not modelled: time limits, assignment of reviewers, votes that weigh more
// than others.
package review

import (
	"fmt"

	"boardlore/domain/fault"
)

// Role is what an account may do. Each role may do all that the one before may.
type Role string

// The roles, least first. Anonymous may read.
const (
	Anonymous   Role = ""
	Contributor Role = "contributor"
	Reviewer    Role = "reviewer"
	Steward     Role = "steward"
)

// rank orders the roles; 0 for anonymous and anything unknown.
func (r Role) rank() int {
	switch r {
	case Contributor:
		return 1
	case Reviewer:
		return 2
	case Steward:
		return 3
	}
	return 0
}

// AtLeast reports whether r may do all that least may.
func (r Role) AtLeast(least Role) bool { return r.rank() >= least.rank() }

// ParseRole reads the name of an account's role.
func ParseRole(s string) (Role, error) {
	if r := Role(s); r.rank() > 0 {
		return r, nil
	}
	return "", fmt.Errorf("%q is no role: use contributor, reviewer or steward", s)
}

// State is where a proposal stands. The empty State is a proposal that is not there yet.
type State string

// The states. The last three are final.
const (
	Submitted State = "submitted"
	Returned  State = "returned"
	Released  State = "released"
	Declined  State = "declined"
	Withdrawn State = "withdrawn"
)

// States are all the states, in the order of a proposal's life.
var States = []State{Submitted, Returned, Released, Declined, Withdrawn}

// Open reports whether a proposal in this state still waits for something.
func (s State) Open() bool { return s == Submitted || s == Returned }

// Act is what somebody does to a proposal.
type Act string

// The acts.
const (
	Submit   Act = "submit"
	Amend    Act = "amend"
	Examine  Act = "review" // give a verdict
	Release  Act = "release"
	Decline  Act = "decline"
	Withdraw Act = "withdraw"
	Overrule Act = "set aside an objection"
	Answer   Act = "answer a review" // say something to it, in its thread
)

// Acts are all the acts.
var Acts = []Act{Submit, Amend, Examine, Release, Decline, Withdraw, Overrule, Answer}

// whose says which side of a proposal an act belongs to.
type whose uint8

const (
	anyone whose = iota
	theAuthor
	notAuthor
	parties // the author, and whoever may review
)

// rule is one line of the table of acts.
type rule struct {
	least Role   // the role that the account needs
	whose whose  // whether the author or just not the author may
	doing string // the act in a sentence: "to … a proposal"
	other string // what the one who may not can do instead
}

var rules = map[Act]rule{
	Submit:   {least: Contributor, whose: anyone, doing: "submit"},
	Amend:    {least: Contributor, whose: theAuthor, doing: "amend", other: "give a verdict with remarks, or submit a proposal of your own"},
	Examine:  {least: Reviewer, whose: notAuthor, doing: "review", other: "another reviewer has to look at it"},
	Release:  {least: Reviewer, whose: anyone, doing: "release"},
	Decline:  {least: Reviewer, whose: notAuthor, doing: "decline", other: "withdraw it instead"},
	Overrule: {least: Steward, whose: notAuthor, doing: "set aside an objection to", other: "another steward has to"},
	Answer:   {least: Contributor, whose: parties, doing: "answer a review of", other: "raise a doubt about the board, or submit a proposal of your own"},
	Withdraw: {least: Contributor, whose: theAuthor, doing: "withdraw", other: "a reviewer may decline it instead"},
}

// Allowed says whether an account of this role may do the act to a proposal in
// this state; author tells whether the proposal is the account's own. It
// returns nil, or a *fault.Error that says what is needed: Unauthenticated
// token-needed, NotAllowed role-needed, own-proposal or not-the-author, NotFound
// proposal-unknown, Conflict proposal-closed or proposal-exists. Whether the
// verdicts suffice for a release is Standing's to say.
func Allowed(a Act, r Role, author bool, s State) error {
	ru, ok := rules[a]
	if !ok {
		return fault.New(fault.Malformed, "act-unknown", fmt.Sprintf("%q is no act on a proposal.", a))
	}
	if err := ru.permits(a, r, author); err != nil {
		return err
	}
	return fits(a, s)
}

// permits judges who acts.
func (ru rule) permits(a Act, r Role, author bool) error {
	switch {
	case r.rank() == 0:
		return fault.New(fault.Unauthenticated, "token-needed",
			fmt.Sprintf("To %s a proposal, sign in with the token of an account whose role is %s or above.", ru.doing, ru.least))
	case !r.AtLeast(ru.least):
		return fault.New(fault.NotAllowed, "role-needed",
			fmt.Sprintf("To %s a proposal needs the role %s; this account is a %s: ask a steward for the role.", ru.doing, ru.least, r))
	case ru.whose == notAuthor && author:
		return fault.New(fault.NotAllowed, "own-proposal",
			fmt.Sprintf("An author can't %s their own proposal: %s.", ru.doing, ru.other))
	case ru.whose == parties && !author && !r.AtLeast(Reviewer):
		return fault.New(fault.NotAllowed, "not-the-author",
			fmt.Sprintf("Only its author and reviewers may %s a proposal: %s.", ru.doing, ru.other))
	case ru.whose == theAuthor && !author:
		return fault.New(fault.NotAllowed, "not-the-author",
			fmt.Sprintf("Only its author may %s a proposal: %s.", ru.doing, ru.other))
	}
	return nil
}

// fits judges the state that the act finds.
func fits(a Act, s State) error {
	switch {
	case a == Submit && s == "":
		return nil
	case a == Submit:
		return fault.New(fault.Conflict, "proposal-exists", "This proposal is submitted already: amend its map, or submit a new proposal.")
	case s == "":
		return fault.New(fault.NotFound, "proposal-unknown", "There is no such proposal.")
	case !s.Open():
		return fault.New(fault.Conflict, "proposal-closed",
			fmt.Sprintf("The proposal is %s, and that is final: submit a new proposal for a further change.", s))
	}
	return nil
}

// Next is the state that an allowed act other than a review leads to, "" where
// it leads nowhere; After gives the one that a review leads to.
func Next(a Act) State {
	switch a {
	case Submit, Amend:
		return Submitted
	case Release:
		return Released
	case Decline:
		return Declined
	case Withdraw:
		return Withdrawn
	}
	return ""
}
