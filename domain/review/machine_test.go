package review_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/fault"
	"boardlore/domain/review"
)

// person is somebody who acts on a proposal.
type person struct {
	name string
	role review.Role
}

// The author is a reviewer as well, which must not help.
var people = []person{{"ada", review.Reviewer}, {"con", review.Contributor}, {"rob", review.Reviewer},
	{"roy", review.Reviewer}, {"sue", review.Steward}, {"", review.Anonymous}}

const author = "ada"

// deed is one act of one person.
type deed struct {
	who     person
	act     review.Act
	verdict string // of a review
}

func deeds() []deed {
	var out []deed
	for _, p := range people {
		for _, a := range review.Acts {
			if a != review.Examine {
				out = append(out, deed{p, a, ""})
				continue
			}
			for _, v := range []string{review.Endorse, review.Query, review.Object} {
				out = append(out, deed{p, a, v})
			}
		}
	}
	return out
}

// proposal is played with the package's rules alone.
type proposal struct {
	state     review.State
	version   int
	reviews   []review.Review
	hazardous bool
}

// do does a deed, or says why not.
func (p proposal) do(d deed) (proposal, error) {
	if err := review.Allowed(d.act, d.who.role, d.who.name == author, p.state); err != nil {
		return p, err
	}
	switch d.act {
	case review.Examine:
		p.reviews = append(slices.Clone(p.reviews), review.Review{ID: int64(len(p.reviews) + 1), Reviewer: d.who.name,
			Verdict: d.verdict, Version: p.version})
		p.state = review.After(p.reviews, p.version)
		return p, nil
	case review.Release:
		if err := review.Stand(p.reviews, p.version, p.hazardous).Releasable(); err != nil {
			return p, err
		}
	case review.Overrule:
		i := p.objection()
		if i < 0 {
			return p, fault.New(fault.Conflict, "no-objection", "none")
		}
		p.reviews = slices.Clone(p.reviews)
		p.reviews[i].SetAside = &review.SetAside{By: d.who.name}
		p.state = review.After(p.reviews, p.version)
		return p, nil
	case review.Answer:
		return p, nil // who is asked has to judge whether it was answered
	case review.Amend:
		p.version++
	case review.Submit:
		p.version = 1
	}
	p.state = review.Next(d.act)
	return p, nil
}

// last are the newest verdicts by reviewer that nobody set aside, worked out
// by themselves.
func (p proposal) last() map[string]review.Review {
	out := map[string]review.Review{}
	for _, r := range p.reviews {
		if out[r.Reviewer] = r; r.SetAside != nil {
			delete(out, r.Reviewer)
		}
	}
	return out
}

// objection is the place of an objection that stands, -1 for none.
func (p proposal) objection() int {
	return slices.IndexFunc(p.reviews, func(r review.Review) bool {
		last, there := p.last()[r.Reviewer]
		return there && r.ID == last.ID && r.Verdict == review.Object
	})
}

// sound says what is wrong with a proposal that was led here.
func (p proposal) sound() string {
	endorsed, objected, open := 0, 0, false
	var lapsed []string
	for who, r := range p.last() {
		switch {
		case who == author || who == "" || who == "con":
			return "reviewed by " + who
		case r.Verdict == review.Object:
			objected++
		case r.Verdict == review.Endorse && r.Version == p.version:
			endorsed++
		case r.Verdict == review.Endorse:
			lapsed = append(lapsed, who)
		}
		open = open || r.Verdict != review.Endorse && r.Version == p.version
	}
	least := 1
	if p.hazardous {
		least = 2
	}
	s := review.Stand(p.reviews, p.version, p.hazardous)
	slices.Sort(lapsed)
	told := slices.Sorted(slices.Values(s.LapsedBy))
	switch {
	case s.Endorsements != endorsed || len(s.ObjectedBy) != objected || s.Needed != least:
		return fmt.Sprintf("standing %+v, want %d endorsements and %d objections", s, endorsed, objected)
	case !slices.Equal(lapsed, told):
		return fmt.Sprintf("lapsed %v, want %v", told, lapsed)
	case len(lapsed) > 0 && endorsed < least && !strings.Contains(s.Missing.String(), "no longer counts"):
		return "an endorsement lapsed and nothing says so: " + s.Missing.String()
	case s.Ready != (endorsed >= least && objected == 0):
		return fmt.Sprintf("ready is %v with %d of %d endorsements and %d objections", s.Ready, endorsed, least,
			objected)
	case p.state == review.Released && !s.Ready:
		return "released and not ready"
	case p.state.Open() && (p.state == review.Returned) != open:
		return fmt.Sprintf("%s, with an open question: %v", p.state, open)
	}
	return ""
}

func (p proposal) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s v%d hazardous=%v", p.state, p.version, p.hazardous)
	for _, r := range p.reviews {
		fmt.Fprintf(&b, " %s:%s@%d", r.Reviewer, r.Verdict, r.Version)
	}
	return b.String()
}

// key tells proposals apart as far as it can matter: by what each reviewer
// said last.
func (p proposal) key() string {
	p.reviews = slices.SortedFunc(maps.Values(p.last()),
		func(a, b review.Review) int { return strings.Compare(a.Reviewer, b.Reviewer) })
	return p.String()
}

// refused is the code with which a deed has to be refused, "" for none, told
// apart from the table of the package.
func (p proposal) refused(d deed) string {
	if code := want(d.act, d.who.role, d.who.name == author, p.state); code != "" {
		return code
	}
	if d.act == review.Overrule && p.objection() < 0 {
		return "no-objection"
	}
	if d.act != review.Release {
		return ""
	}
	endorsed := 0
	for _, r := range p.last() {
		if r.Verdict == review.Object {
			return "objection-standing"
		}
		if r.Verdict == review.Endorse && r.Version == p.version {
			endorsed++
		}
	}
	if endorsed == 0 || p.hazardous && endorsed < 2 {
		return "endorsement-needed"
	}
	return ""
}

// Every deed of every person, in every state that up to five acts lead to:
// whether it is refused, and with what, and where it leads.
func TestMachine(t *testing.T) {
	const acts = 5
	tried, released := 0, 0
	for _, hazardous := range []bool{false, true} {
		layer := map[string]proposal{"": {hazardous: hazardous}}
		seen := map[string]bool{}
		for range acts {
			next := map[string]proposal{}
			for _, p := range layer {
				for _, d := range deeds() {
					tried++
					q, err := p.do(d)
					var code string
					if f, is := fault.As(err); is {
						code = f.Code
					}
					if (err == nil) != (code == "") || code != p.refused(d) {
						t.Fatalf("%s: %s %s %s gives %v, want %q", p, d.who.name, d.act, d.verdict, err, p.refused(d))
					}
					if err != nil {
						if q.String() != p.String() {
							t.Fatalf("%s: a refused act led to %s", p, q)
						}
						continue
					}
					if fault := q.sound(); fault != "" {
						t.Fatalf("%s: %s %s %s leads to %s: %s", p, d.who.name, d.act, d.verdict, q, fault)
					}
					if q.state == review.Released {
						released++
					}
					if k := q.key(); !seen[k] {
						seen[k], next[k] = true, q
					}
				}
			}
			layer = next
		}
	}
	if tried < 10000 || released == 0 {
		t.Errorf("tried %d deeds, %d releases", tried, released)
	}
}

// The newest verdict of a reviewer stands in place of the older ones, whatever
// they were and whichever map they were of.
func TestNewestVerdictStands(t *testing.T) {
	verdicts := []string{review.Endorse, review.Query, review.Object}
	for _, older := range verdicts {
		for _, newer := range verdicts {
			for _, version := range []int{1, 2} {
				rs := []review.Review{{Reviewer: "rob", Verdict: older, Version: 1},
					{Reviewer: "roy", Verdict: review.Query, Version: 1}, {Reviewer: "rob", Verdict: newer,
						Version: version}}
				review.Mark(rs, version)
				if rs[0].Standing || rs[0].Lapsed || !rs[2].Standing || rs[2].Lapsed || !rs[1].Standing {
					t.Errorf("%s, then %s of version %d: %+v", older, newer, version, rs)
				}
				if review.Mark(rs, version+1); rs[2].Lapsed != (newer == review.Endorse) ||
					rs[2].Standing == rs[2].Lapsed {
					t.Errorf("%s, then %s, then amended: %+v", older, newer, rs)
				}
			}
		}
	}
}
