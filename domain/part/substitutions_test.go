package part

import (
	"os"
	"slices"
	"strings"
	"testing"

	"boardlore/domain/finding"
	"boardlore/domain/quantity"
)

// substitution is a row of testdata/substitutions.txt.
type substitution struct {
	row             int
	wanted, offered string
	place           Place
	verdict, reason string
	text            string
}

func substitutions(t *testing.T) (all []substitution) {
	t.Helper()
	data, err := os.ReadFile("testdata/substitutions.txt")
	if err != nil {
		t.Fatal(err)
	}
	row := 0
	for line := range strings.Lines(string(data)) {
		row++
		line = strings.TrimRight(line, "\n")
		if line == "" || line[0] == '#' {
			continue
		}
		col := strings.Split(line, ";;")
		if len(col) != 5 {
			t.Fatalf("row %d has %d columns", row, len(col))
		}
		for i := range col {
			col[i] = strings.TrimSpace(col[i])
		}
		all = append(all, substitution{row, col[0], col[1], substitutionPlace(t, col[2]), col[3], col[4], line})
	}
	return all
}

// substitutionPlace reads "f=across mains wv=325 c=across-mains": a value goes
// on to the next name.
func substitutionPlace(t *testing.T, text string) Place {
	t.Helper()
	p := Place{PolarityKnown: true}
	var name string
	values := map[string]string{}
	for _, word := range strings.Fields(text) {
		if n, v, ok := strings.Cut(word, "="); ok {
			name, word = n, v
		}
		values[name] = strings.TrimSpace(values[name] + " " + word)
	}
	for name, value := range values {
		switch name {
		case "f":
			p.Function = value
		case "wv":
			p.WorkingVoltage = parseQ(t, value+" V")
		case "hl":
			p.Body.HeightLimit = float64(value[0]-'0')*10 + float64(value[1]-'0')
		case "c":
			p.Circuit = Circuit(value)
		default:
			t.Fatalf("no place %q", name)
		}
	}
	return p
}

// judgeTexts is the worst finding of any way to read the two texts. What is not
// sure is doubtful at least, as it is in a kit.
func judgeTexts(t *testing.T, s *substitution) (worst finding.Severity, sure bool, said []finding.Finding) {
	t.Helper()
	w, err := Read(s.wanted, quantity.Context{})
	if err != nil {
		t.Fatalf("row %d: %v", s.row, err)
	}
	o, err := Read(s.offered, quantity.Context{})
	if err != nil {
		return finding.Caution, false, nil
	}
	sure = w.Sure && o.Sure
	for i := range o.Readings {
		wanted, offered := Offer{w.Readings[0].Part, w.Readings[0].Body}, Offer{o.Readings[i].Part, o.Readings[i].Body}
		said = append(said, Suit(&wanted, &offered, &s.place)...)
	}
	worst = finding.Worst(said)
	if !sure && worst.Rank() < finding.Caution.Rank() {
		worst = finding.Caution
	}
	return worst, sure, said
}

// TestSubstitutions holds the rules to verdicts that a technician wrote first.
// What must not be fitted is stopped, every row of it, and what suits is not;
// what is doubtful is let through without a word in no row of a hundred, and the
// rest is told as gravely as it was written but for a few rows that may be told
// more gravely. A text that reading is not sure of is never let through; the
// rows whose texts are sure are counted, so that none hides behind that.
func TestSubstitutions(t *testing.T) {
	all := substitutions(t)
	sureOnes, laxer, stricter := 0, 0, 0
	for _, s := range all {
		got, sure, said := judgeTexts(t, &s)
		want := map[string]finding.Severity{"S": finding.Note, "R": finding.Note, "D": finding.Caution,
			"N": finding.Stop}[s.verdict]
		rank := max(got.Rank(), finding.Note.Rank())
		switch {
		case want == "":
			t.Errorf("row %d: no verdict %q", s.row, s.verdict)
		case !sure && rank < min(want.Rank(), finding.Caution.Rank()):
			t.Errorf("not sure, and let through: %s: %s", s.text, brief(said))
		case !sure:
		case rank < want.Rank() && want == finding.Stop:
			t.Errorf("dangerous: %s: %s", s.text, brief(said))
		case rank < want.Rank():
			laxer++
			t.Logf("laxer: %s: %s", s.text, brief(said))
		case rank == finding.Stop.Rank() && want == finding.Note:
			t.Errorf("suits and is stopped: %s: %s", s.text, brief(said))
		case rank > want.Rank():
			stricter++
			t.Logf("stricter: %s: %s", s.text, brief(said))
		}
		if sure {
			sureOnes++
		}
	}
	if len(all) < 750 || sureOnes < len(all)*9/10 {
		t.Errorf("%d substitutions, of which %d are read for sure", len(all), sureOnes)
	}
	if laxer > len(all)/100 || stricter > len(all)/50 {
		t.Errorf("of %d substitutions %d are judged laxer and %d stricter", len(all), laxer, stricter)
	}
}

// TestNothingSaidOfNothing: a place whose function the map does not tell is spoken of
// without one.
func TestNothingSaidOfNothing(t *testing.T) {
	for function, want := range map[string]string{"": "The position takes 100 nF", "timing": "The position (timing) takes"} {
		s := substitution{wanted: "film 100 nF 63 V", offered: "film 47 nF 63 V", place: Place{Function: function}}
		_, _, said := judgeTexts(t, &s)
		if !slices.ContainsFunc(said, func(f finding.Finding) bool { return strings.Contains(f.Sentence.String(), want) }) {
			t.Errorf("%q: %s lacks %q", function, brief(said), want)
		}
	}
}
