package review_test

import (
	"fmt"
	"testing"

	"boardlore/domain/fault"
	"boardlore/domain/review"
)

// want says, independently of the table in the package, what each act in each
// state by each role comes to: "" for allowed, else the code of the refusal.
func want(a review.Act, r review.Role, author bool, s review.State) string {
	mayAtAll := map[review.Act]string{
		review.Submit: "contributor reviewer steward", review.Amend: "contributor reviewer steward",
		review.Withdraw: "contributor reviewer steward", review.Examine: "reviewer steward",
		review.Release: "reviewer steward", review.Decline: "reviewer steward", review.Overrule: "reviewer steward",
		review.Answer: "contributor reviewer steward",
	}
	if r == review.Anonymous {
		return "token-needed"
	}
	if r == review.Contributor && mayAtAll[a] == "reviewer steward" {
		return "role-needed"
	}
	if r == review.Reviewer && a == review.Overrule {
		return "role-needed"
	}
	if author && (a == review.Examine || a == review.Decline || a == review.Overrule) {
		return "own-proposal"
	}
	if !author && (a == review.Amend || a == review.Withdraw || a == review.Answer && r == review.Contributor) {
		return "not-the-author"
	}
	switch {
	case a == review.Submit && s == "":
		return ""
	case a == review.Submit:
		return "proposal-exists"
	case s == "":
		return "proposal-unknown"
	case s == review.Released || s == review.Declined || s == review.Withdrawn:
		return "proposal-closed"
	}
	return ""
}

var kinds = map[string]fault.Kind{
	"token-needed": fault.Unauthenticated, "role-needed": fault.NotAllowed, "own-proposal": fault.NotAllowed,
	"not-the-author": fault.NotAllowed, "proposal-exists": fault.Conflict, "proposal-unknown": fault.NotFound,
	"proposal-closed": fault.Conflict,
}

// Every act in every state by every role, for the author and for others.
func TestAllowed(t *testing.T) {
	roles := []review.Role{review.Anonymous, review.Contributor, review.Reviewer, review.Steward}
	states := append([]review.State{""}, review.States...)
	cases := 0
	for _, a := range review.Acts {
		for _, s := range states {
			for _, r := range roles {
				for _, author := range []bool{false, true} {
					cases++
					name := fmt.Sprintf("%s/%s/%s/author=%v", a, s, r, author)
					err := review.Allowed(a, r, author, s)
					code := want(a, r, author, s)
					if code == "" {
						if err != nil {
							t.Errorf("%s: refused: %v", name, err)
						}
						continue
					}
					f, ok := fault.As(err)
					if !ok || f.Code != code || f.Kind != kinds[code] || f.Detail.IsZero() {
						t.Errorf("%s: got %+v, want %s", name, err, code)
					}
				}
			}
		}
	}
	if cases != 8*6*4*2 {
		t.Errorf("tried %d cases", cases)
	}
}

func TestUnknownActIsRefused(t *testing.T) {
	if err := review.Allowed("rename", review.Steward, false, review.Submitted); !fault.Is(err, fault.Malformed) {
		t.Errorf("got %v", err)
	}
}

func TestNext(t *testing.T) {
	for a, s := range map[review.Act]review.State{review.Submit: review.Submitted, review.Amend: review.Submitted,
		review.Release: review.Released, review.Decline: review.Declined, review.Withdraw: review.Withdrawn,
		review.Examine: "", review.Overrule: ""} {
		if got := review.Next(a); got != s {
			t.Errorf("%s leads to %q, want %q", a, got, s)
		}
	}
}

func TestRoles(t *testing.T) {
	order := []review.Role{review.Anonymous, review.Contributor, review.Reviewer, review.Steward}
	for i, r := range order {
		for j, least := range order {
			if r.AtLeast(least) != (i >= j) {
				t.Errorf("%q at least %q: %v", r, least, i < j)
			}
		}
		if got, err := review.ParseRole(string(r)); (err == nil) != (i > 0) || got != r {
			t.Errorf("ParseRole(%q) = %q, %v", r, got, err)
		}
	}
	if review.Role("root").AtLeast(review.Contributor) {
		t.Error("an unknown role may do something")
	}
}
