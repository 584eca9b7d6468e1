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
	"boardlore/domain/message"
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

// Say is the word for the role.
func (r Role) Say() message.Message { return message.Word("page.role", r) }

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
	Overrule Act = "set-aside"
	Answer   Act = "answer" // say something to it, in its thread
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
	least Role  // the role that the account needs
	whose whose // whether the author or just not the author may
}

var rules = map[Act]rule{
	Submit:   {Contributor, anyone},
	Amend:    {Contributor, theAuthor},
	Examine:  {Reviewer, notAuthor},
	Release:  {Reviewer, anyone},
	Decline:  {Reviewer, notAuthor},
	Overrule: {Steward, notAuthor},
	Answer:   {Contributor, parties},
	Withdraw: {Contributor, theAuthor},
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
		return fault.New(fault.Malformed, "act-unknown", "review.no-act", a)
	}
	if err := ru.permits(a, r, author); err != nil {
		return err
	}
	return fits(a, s)
}

// permits judges who acts.
func (ru rule) permits(a Act, r Role, author bool) error {
	doing := message.Word("review.doing", a)
	switch {
	case r.rank() == 0:
		return fault.New(fault.Unauthenticated, "token-needed", "review.token-needed", doing, ru.least)
	case !r.AtLeast(ru.least):
		return fault.New(fault.NotAllowed, "role-needed", "review.role-needed", doing, ru.least, r)
	case ru.whose == notAuthor && author:
		return &fault.Error{Kind: fault.NotAllowed, Code: "own-proposal", Detail: message.Word("review.own", a)}
	case ru.whose == parties && !author && !r.AtLeast(Reviewer), ru.whose == theAuthor && !author:
		return &fault.Error{Kind: fault.NotAllowed, Code: "not-the-author",
			Detail: message.Word("review.not-the-author", a)}
	}
	return nil
}

// fits judges the state that the act finds.
func fits(a Act, s State) error {
	switch {
	case a == Submit && s == "":
		return nil
	case a == Submit:
		return fault.New(fault.Conflict, "proposal-exists", "review.submitted-already")
	case s == "":
		return fault.New(fault.NotFound, "proposal-unknown", "review.no-proposal")
	case !s.Open():
		return fault.New(fault.Conflict, "proposal-closed", "review.closed", message.Word("page.state", s))
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
