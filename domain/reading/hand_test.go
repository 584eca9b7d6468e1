package reading

import (
	"math/big"
	"os"
	"strings"
	"testing"

	"boardlore/domain/quantity"
)

// TestHandRead holds the reader to texts whose readings were written down by
// hand before it was asked: kind, context, text, readings in any order, nothing
// for a refusal.
func TestHandRead(t *testing.T) {
	data, err := os.ReadFile("testdata/hand-read.tsv")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(string(data), "\n"), "\n")
	if len(lines) < 200 {
		t.Errorf("only %d texts", len(lines))
	}
	for n, line := range lines {
		cols := strings.Split(line, "\t")
		if len(cols) != 4 {
			t.Fatalf("line %d has %d columns", n+1, len(cols))
		}
		k, err := quantity.ParseKind(cols[0])
		if err != nil {
			t.Fatal(err)
		}
		all, err := Quantity(cols[2], k, described(t, cols[1]))
		got := all.Amounts
		if s := sorted(withTolerance(got)); s != sorted(strings.Split(cols[3], " | ")) ||
			(err != nil) != (cols[3] == "") {
			t.Errorf("line %d: %q (%s, %s) reads %q, %v; want %q", n+1, cols[2], cols[0], cols[1], s, err, cols[3])
		}
		for _, r := range got {
			checkSI(t, r)
		}
	}
}

// checkSI works out the bare unit's figure from the canonical spelling by
// ratios, and holds that SI is that figure in plain decimals.
func checkSI(t *testing.T, r Amount) {
	t.Helper()
	if r.Quantity.IsZero() {
		return
	}
	number, unit, _ := strings.Cut(r.Canonical(), " ")
	value, ok := new(big.Rat).SetString(number)
	si, ok2 := new(big.Rat).SetString(r.SI())
	if !ok || !ok2 || strings.ContainsAny(r.SI(), "eE,+ ") {
		t.Fatalf("%s is %q in the bare unit", r.Canonical(), r.SI())
	}
	bare := r.Quantity.Unit().String()
	if prefix := strings.TrimSuffix(unit, bare); unit != bare && bare != "mm" {
		factor, ok := new(big.Rat).SetString(map[string]string{"p": "1e-12", "n": "1e-9", "µ": "1e-6", "m": "1e-3",
			"k": "1e3", "M": "1e6", "G": "1e9"}[prefix])
		if !ok {
			t.Fatalf("%s: unknown prefix %q", r.Canonical(), prefix)
		}
		value.Mul(value, factor)
	}
	if value.Cmp(si) != 0 {
		t.Errorf("%s is %q in the bare unit", r.Canonical(), r.SI())
	}
}

// TestTrust holds the reader to texts in which it had better not trust itself, written down by hand before it was asked:
// a reading that is sure is the one that was wanted, and most are read right or told.
func TestTrust(t *testing.T) {
	data, err := os.ReadFile("testdata/trust-texts.tsv")
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimRight(string(data), "\n"), "\n")
	right := 0
	for _, line := range lines {
		cols := strings.Split(line, "\t")
		k, err := quantity.ParseKind(cols[0])
		if err != nil || len(cols) != 4 {
			t.Fatal(line)
		}
		got, err := Quantity(cols[2], k, described(t, cols[1]))
		fits := err == nil && sorted(withTolerance(got.Amounts)) == sorted(strings.Split(cols[3], " | "))
		switch {
		case fits, cols[3] == "" && (err != nil || !got.Sure):
			right++
		case err == nil && got.Sure:
			t.Errorf("sure, and wrong: %s reads %q; want %q", cols[2], withTolerance(got.Amounts), cols[3])
		default:
			t.Logf("told, not read: %s reads %q, %v; want %q", cols[2], withTolerance(got.Amounts), err, cols[3])
		}
	}
	t.Logf("of %d texts %d are right", len(lines), right)
	if right*20 < len(lines)*17 {
		t.Errorf("of %d texts only %d are right", len(lines), right)
	}
}
