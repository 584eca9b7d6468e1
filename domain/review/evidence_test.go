package review_test

import (
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/finding"
	"boardlore/domain/review"
)

var photo = strings.Repeat("0a", 32)

func TestReadEvidence(t *testing.T) {
	tests := []struct {
		name, in string
		want     []review.Evidence
		at       string // pointer of the one stop, "" where it reads
	}{
		{"none", ``, nil, ""},
		{"null", `null`, nil, ""},
		{"texts", `["ESR meter, three boards"]`, []review.Evidence{{Text: "ESR meter, three boards"}}, ""},
		{"whole item",
			`[{"text":"read on the can","designators":["C4"],"measured":{"capacitance":"4.7 µF","marking":"4u7"},"photographs":["` + photo + `"]}]`,
			[]review.Evidence{{Text: "read on the can", Designators: []string{"C4"},
				Measured: map[string]string{"capacitance": "4.7 µF", "marking": "4u7"}, Photographs: []string{photo}}},
			""},
		{"not a list", `{"text":"x"}`, nil, "/evidence"},
		{"a number", `["x",7]`, nil, "/evidence/1"},
		{"unknown member", `[{"text":"x","texxt":"y"}]`, nil, "/evidence/0"},
		{"no text", `[{"designators":["C1"]}]`, nil, "/evidence/0/text"},
		{"blank text", `["  "]`, nil, "/evidence/0/text"},
		{"control character", `["a\u0000b"]`, nil, "/evidence/0/text"},
		{"too long", `["` + strings.Repeat("x", review.MaxText+1) + `"]`, nil, "/evidence/0/text"},
		{"empty designator", `[{"text":"x","designators":["C1",""]}]`, nil, "/evidence/0/designators/1"},
		{"no such measure", `[{"text":"x","measured":{"smell/odd":"fishy"}}]`, nil, "/evidence/0/measured/smell~1odd"},
		{"unreadable quantity", `[{"text":"x","measured":{"esr":"rather high"}}]`, nil, "/evidence/0/measured/esr"},
		{"photograph by name", `[{"text":"x","photographs":["DSC0001.JPG"]}]`, nil, "/evidence/0/photographs/0"},
		{"photograph in capitals", `[{"text":"x","photographs":["` + strings.ToUpper(photo) + `"]}]`, nil,
			"/evidence/0/photographs/0"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, fs := review.ReadEvidence([]byte(tt.in))
			if tt.at == "" {
				if diff := cmp.Diff(tt.want, got); diff != "" || len(fs) > 0 {
					t.Errorf("findings %v (-want +got):\n%s", fs, diff)
				}
				return
			}
			if got != nil || len(fs) != 1 || fs[0].Pointer != tt.at || fs[0].Severity != finding.Stop ||
				fs[0].Sentence.IsZero() {
				t.Errorf("got %v, %+v", got, fs)
			}
		})
	}
}

func TestCheckReview(t *testing.T) {
	known := func(d string) bool { return d == "C1" }
	tests := []struct {
		name, verdict, summary string
		remarks                []review.Remark
		at                     []string
	}{
		{"endorse", review.Endorse, "", nil, nil},
		{"object with a reason", review.Object, "C1 is bipolar", nil, nil},
		{"query in a remark", review.Query, "", []review.Remark{{Designator: "C1", Text: "measured?"}}, nil},
		{"remark on the whole", review.Query, "", []review.Remark{{Text: "which etch issue?"}}, nil},
		{"object without a word", review.Object, " ", nil, []string{"/summary"}},
		{"no verdict", "", "", nil, []string{"/verdict"}},
		{"unknown position", review.Endorse, "", []review.Remark{{Designator: "C9", Text: "x"}},
			[]string{"/remarks/0/designator"}},
		{"two at once", "maybe", "", []review.Remark{{Designator: "C1"}}, []string{"/verdict", "/remarks/0/text"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var at []string
			for _, f := range review.CheckReview(tt.verdict, tt.summary, tt.remarks, known) {
				at = append(at, f.Pointer)
			}
			if diff := cmp.Diff(tt.at, at); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// Whatever reads as evidence reads the same from its own JSON.
func FuzzReadEvidence(f *testing.F) {
	f.Add([]byte(`["x",{"text":"y","measured":{"capacitance":"4u7"},"photographs":["` + photo + `"]}]`))
	f.Add([]byte(`[{"text":1}]`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		got, fs := review.ReadEvidence(raw)
		if finding.Worst(fs) == finding.Stop {
			if got != nil {
				t.Error("refused and read")
			}
			return
		}
		again, err := json.Marshal(got, json.Deterministic(true))
		if err != nil {
			t.Fatal(err)
		}
		back, fs := review.ReadEvidence(again)
		if diff := cmp.Diff(got, back); len(got) > 0 && diff != "" {
			t.Errorf("%s: %v\n%s", again, fs, diff)
		}
	})
}
