package review_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/fault"
	"boardlore/domain/review"
)

// given writes reviews as "name verdict version", in order.
func given(lines ...string) []review.Review {
	var out []review.Review
	for i, l := range lines {
		f := strings.Fields(l)
		out = append(out, review.Review{ID: int64(i + 1), Reviewer: f[0], Verdict: f[1], Version: int(f[2][0] - '0')})
	}
	return out
}

func TestStanding(t *testing.T) {
	tests := []struct {
		name      string
		reviews   []review.Review
		version   int
		hazardous bool
		code      string // of the refusal, "" for ready
		says      string // part of what is missing
		state     review.State
	}{
		{"nobody looked", nil, 1, false, "endorsement-needed", "needs one more endorsement: a reviewer",
			review.Submitted},
		{"one endorsement", given("ann endorse 1"), 1, false, "", "", review.Submitted},
		{"a query asks and does not bar", given("ann endorse 1", "bo query 1"), 1, false, "", "", review.Returned},
		{"an objection bars", given("ann endorse 1", "bo object 1"), 1, false, "objection-standing",
			"the objection of bo stands", review.Returned},
		{"two objections", given("ann object 1", "bo object 1"), 1, false, "objection-standing",
			"the objections of ann and bo stand", review.Returned},
		{"a newer verdict replaces the older", given("ann object 1", "ann endorse 1"), 1, false, "", "",
			review.Submitted},
		{"and the other way", given("ann endorse 1", "ann object 1"), 1, false, "objection-standing", "ann",
			review.Returned},
		{"twice by one reviewer is once", given("ann endorse 1", "ann endorse 1"), 1, true, "endorsement-needed",
			"only ann has endorsed it", review.Submitted},
		{"hazardous, none", nil, 1, true, "endorsement-needed", "needs two endorsements", review.Submitted},
		{"hazardous, one", given("ann endorse 1"), 1, true, "endorsement-needed",
			"needs one more endorsement: the difference is hazardous", review.Submitted},
		{"hazardous, two", given("ann endorse 1", "bo endorse 1"), 1, true, "", "", review.Submitted},
		{"an amendment lapses an endorsement", given("ann endorse 1"), 2, false, "endorsement-needed",
			"amended after ann endorsed it", review.Submitted},
		{"endorsed again", given("ann endorse 1", "ann endorse 2"), 2, false, "", "", review.Submitted},
		{"an amendment does not lapse an objection", given("bo object 1", "ann endorse 2"), 2, false,
			"objection-standing", "the objection of bo", review.Submitted},
		{"an objection that was met", given("bo object 1", "bo endorse 2"), 2, false, "", "", review.Submitted},
		{"half lapsed", given("ann endorse 1", "bo endorse 2"), 2, true, "endorsement-needed", "ann", review.Submitted},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s := review.Stand(tt.reviews, tt.version, tt.hazardous)
			err := s.Releasable()
			f, _ := fault.As(err)
			if (tt.code == "") != (err == nil) || err != nil && (f.Code != tt.code || f.Kind != fault.Conflict) {
				t.Errorf("releasable: %v, want %q", err, tt.code)
			}
			if s.Ready != (tt.code == "") || s.Ready != s.Missing.IsZero() || !strings.Contains(s.Missing.String(),
				tt.says) {
				t.Errorf("standing %+v", s)
			}
			if err != nil {
				if diff := cmp.Diff(f.Data, s); diff != "" {
					t.Errorf("data of the refusal (-got +want):\n%s", diff)
				}
			}
			if got := review.After(tt.reviews, tt.version); got != tt.state {
				t.Errorf("state after: %s, want %s", got, tt.state)
			}
		})
	}
}

// A model that keeps one verdict per reviewer in a map agrees with Stand.
func TestStandingAgainstModel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type last struct {
			verdict string
			version int
		}
		model, version := map[string]last{}, 1
		var reviews []review.Review
		for range rapid.IntRange(0, 30).Draw(t, "acts") {
			if rapid.IntRange(0, 4).Draw(t, "amend") == 0 {
				version++
				continue
			}
			r := review.Review{Version: version,
				Reviewer: rapid.SampledFrom([]string{"ann", "bo", "cy"}).Draw(t, "who"),
				Verdict:  rapid.SampledFrom([]string{review.Endorse, review.Query, review.Object}).Draw(t, "verdict")}
			reviews = append(reviews, r)
			model[r.Reviewer] = last{r.Verdict, r.Version}
		}
		hazardous := rapid.Bool().Draw(t, "hazardous")
		endorsements, objections := 0, 0
		for _, l := range model {
			if l.verdict == review.Endorse && l.version == version {
				endorsements++
			}
			if l.verdict == review.Object {
				objections++
			}
		}
		least := 1
		if hazardous {
			least = 2
		}
		s := review.Stand(reviews, version, hazardous)
		if s.Ready != (endorsements >= least && objections == 0) || s.Endorsements != endorsements ||
			len(s.ObjectedBy) != objections {
			t.Fatalf("%d endorsements, %d objections, hazardous %v: %+v", endorsements, objections, hazardous, s)
		}
	})
}

func TestList(t *testing.T) {
	for want, names := range map[string][]string{"nobody": nil, "a": {"a"}, "a and b": {"a", "b"},
		"a, b and c": {"a", "b", "c"}} {
		if got := review.List(names); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
