package quantity

import (
	"math/big"
	"os"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/text/unicode/norm"
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
		k, err := ParseKind(cols[0])
		if err != nil {
			t.Fatal(err)
		}
		got, err := Read(cols[2], k, described(t, cols[1]))
		if s := sorted(withTolerance(got)); s != sorted(strings.Split(cols[3], " | ")) || (err != nil) != (cols[3] == "") {
			t.Errorf("line %d: %q (%s, %s) reads %q, %v; want %q", n+1, cols[2], cols[0], cols[1], s, err, cols[3])
		}
		for _, r := range got {
			checkSI(t, r)
		}
	}
}

// checkSI works out the bare unit's figure from the canonical spelling by
// ratios, and holds that SI is that figure in plain decimals.
func checkSI(t *testing.T, r Reading) {
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
		factor, ok := new(big.Rat).SetString(map[string]string{"p": "1e-12", "n": "1e-9", "µ": "1e-6", "m": "1e-3", "k": "1e3", "M": "1e6", "G": "1e9"}[prefix])
		if !ok {
			t.Fatalf("%s: unknown prefix %q", r.Canonical(), prefix)
		}
		value.Mul(value, factor)
	}
	if value.Cmp(si) != 0 {
		t.Errorf("%s is %q in the bare unit", r.Canonical(), r.SI())
	}
}

// TestFoldAgainstNormalising holds that every sign whose NFKC form is of plain signs, or of those that units have,
// folds as that form does.
func TestFoldAgainstNormalising(t *testing.T) {
	compared := 0
	for r := rune(0x80); r <= unicode.MaxRune>>3; r++ { // the planes above hold no such forms
		plain := norm.NFKC.String(string(r))
		if _, sign := foldSign(r); sign || plain == string(r) || !figureKept(r, []byte(plain)) || vulgarFraction(r) || strings.Trim(plain, inUnits) != "" {
			continue
		}
		compared++
		got, bad := fold(nil, string(r))
		if want, alike := fold(nil, plain); string(got) != string(want) || (bad == 0) != (alike == 0) {
			t.Errorf("%U folds to %q, %q; its plain form %q to %q, %q", r, got, bad, plain, want, alike)
		}
	}
	if compared < 500 {
		t.Errorf("only %d signs have a plain form", compared)
	}
}

var inUnits = func() (s string) {
	for c := ' '; c < 0x7f; c++ {
		s += string(c)
	}
	return s + "μΩ°′″"
}()
