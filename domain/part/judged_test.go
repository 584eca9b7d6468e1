package part

import (
	"bufio"
	"os"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/finding"
)

// judgedLines reads the substitutions judged by hand: the parts that they start
// from, and the cases by line number.
func judgedLines(t *testing.T) (bases map[string]Offer, cases map[int]string) {
	t.Helper()
	f, err := os.Open("testdata/judged.txt")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	bases, cases = map[string]Offer{}, map[int]string{}
	lines := bufio.NewScanner(f)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		if name, members, ok := strings.Cut(strings.TrimPrefix(line, "= "), " "); ok && strings.HasPrefix(line, "= ") {
			bases[name] = spec(t, Offer{}, members)
		} else if line != "" && line[0] != '#' {
			cases[n] = line
		}
	}
	if err := lines.Err(); err != nil {
		t.Fatal(err)
	}
	return bases, cases
}

// TestJudgedByHand holds the rules to substitutions that a technician judged
// before the rules were asked.
func TestJudgedByHand(t *testing.T) {
	bases, cases := judgedLines(t)
	if len(cases) < 150 {
		t.Errorf("only %d cases", len(cases))
	}
	for n, line := range cases {
		judgedLine(t, n, line, bases)
	}
}

// TestSubstitutionRules holds the rules to the published ones: a case at each
// threshold and just beyond. "suits" allows notes, "remark" needs one, "ask"
// is a caution, "not" a stop.
func TestSubstitutionRules(t *testing.T) {
	bases, _ := judgedLines(t)
	for _, r := range rows(t, "substitution-rules.csv") {
		w := judgedPart(t, r["wanted"], nil, bases)
		o := judgedPart(t, r["offered"], &w, bases)
		p := place(t, w.Body, r["place"])
		got := Suit(&w, &o, &p)
		rank := finding.Worst(got).Rank()
		var ok bool
		switch r["verdict"] {
		case "suits":
			ok = rank <= finding.Note.Rank()
		case "remark":
			ok = rank == finding.Note.Rank() || rank == finding.Caution.Rank()
		case "ask":
			ok = rank == finding.Caution.Rank()
		case "not":
			ok = rank == finding.Stop.Rank()
		}
		if !ok {
			t.Errorf("%s: %s | %s | %s should be %q, is %q (%s)", r["rule"], r["wanted"], r["offered"], r["place"],
				r["verdict"], brief(got), r["source"])
		}
	}
}

func judgedLine(t *testing.T, n int, line string, bases map[string]Offer) {
	t.Helper()
	cols := strings.Split(line, "|")
	if len(cols) != 5 {
		t.Fatalf("line %d has %d columns", n, len(cols))
	}
	for i := range cols {
		cols[i] = strings.TrimSpace(cols[i])
	}
	w := judgedPart(t, cols[0], nil, bases)
	o := judgedPart(t, cols[1], &w, bases)
	p := place(t, w.Body, cols[2])
	got := Suit(&w, &o, &p)
	worst := string(finding.Worst(got))
	if worst == "" {
		worst = "-"
	}
	var grave []string
	for _, x := range got {
		if x.Severity != finding.Note {
			grave = append(grave, x.Code)
		}
	}
	slices.Sort(grave)
	if codes := strings.Join(grave, " "); worst != cols[3] || codes != cols[4] {
		t.Errorf("line %d: %s\ngot  %s | %s   (%s)", n, line, worst, codes, brief(got))
	}
	checkFindings(t, got, Weigh(&w, &o, &p))
}

// judgedPart reads "@base member value; …" or "= member value; …".
func judgedPart(t *testing.T, text string, wanted *Offer, bases map[string]Offer) Offer {
	t.Helper()
	head, members, _ := strings.Cut(text, " ")
	switch {
	case head == "=" && wanted != nil:
		return spec(t, *wanted, members)
	case strings.HasPrefix(head, "@"):
		base, ok := bases[head[1:]]
		if !ok {
			t.Fatalf("no base %q", head)
		}
		return spec(t, base, members)
	}
	return spec(t, Offer{}, text)
}
