package reading

import (
	"fmt"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

// Each letter of the published tables is read in the contexts that it applies to.
func TestReferenceLetters(t *testing.T) {
	for _, row := range tabletest.Rows(t, "testdata/letter-codes.csv") {
		name := row["family"] + " " + row["letter"] + " " + row["applies_to"]
		text, kind, contexts, want := letterCase(t, row)
		for _, c := range contexts {
			all, err := Quantity(text, kind, c)
			got := all.Amounts
			if err != nil || !slices.Contains(spelt(got), want) {
				t.Errorf("%s: %q reads %q, %v; want %q", name, text, spelt(got), err, want)
			}
		}
	}
}

func letterCase(t *testing.T, row map[string]string) (text string, kind quantity.Kind, contexts []quantity.Context,
	want string) {
	capacitor, resistor := quantity.Context{Class: "capacitor"}, quantity.Context{Class: "resistor"}
	chip := quantity.Context{Class: "capacitor", Construction: "ceramic", Found: "marking"}
	l := row["letter"]
	switch row["family"] {
	case "tolerance-percent":
		contexts = []quantity.Context{resistor}
		if strings.HasPrefix(row["applies_to"], "inductors") {
			contexts = []quantity.Context{{Class: "inductor"}}
		}
		return l, quantity.ToleranceKind, contexts, "±" + row["high"] + " %"
	case "tolerance-asymmetric":
		return l, quantity.ToleranceKind, []quantity.Context{capacitor, chip}, "-" + strings.TrimPrefix(row["low"],
			"-") + " %/+" + row["high"] + " %"
	case "tolerance-absolute":
		return "4R7" + l, quantity.ToleranceKind, []quantity.Context{chip}, "±" + row["high"] + " pF"
	case "voltage-tantalum-letter":
		return l, quantity.Voltage, []quantity.Context{{Class: "capacitor", Construction: "tantalum"},
			{Construction: "tantalum-polymer", Found: "marking"}}, volts(t, row["low"])
	case "voltage-can-letter":
		return l, quantity.Voltage, []quantity.Context{{Class: "capacitor", Construction: "aluminium-electrolytic",
			Found: "marking"}}, volts(t, row["low"])
	case "voltage-two-character":
		return l, quantity.Voltage, []quantity.Context{{Class: "capacitor", Found: "order-code"},
			{Class: "capacitor", Found: "marking"}, capacitor}, volts(t, row["low"])
	case "eia96-multiplier":
		return "01" + l, quantity.Resistance, []quantity.Context{{Class: "resistor", Found: "marking"}, resistor},
			product(t, "100", row["low"], quantity.Ohm).String()
	case "value-letter-capacitor":
		return "4" + l + "7", quantity.Capacitance, []quantity.Context{capacitor, chip}, product(t, "4.7", row["low"],
			quantity.Farad).String()
	case "value-letter-resistor":
		return "4" + l + "7", quantity.Resistance, []quantity.Context{resistor, {Class: "resistor", Found: "marking"}},
			product(t, "4.7", row["low"], quantity.Ohm).String()
	case "multiplier-digit-capacitor":
		return "47" + l, quantity.Capacitance, []quantity.Context{chip}, product(t, "0.000000000047", row["low"],
			quantity.Farad).String()
	case "eia198-chip-figure":
		return l + "3", quantity.Capacitance, []quantity.Context{chip}, product(t, row["low"], "0.000000001",
			quantity.Farad).String()
	}
	t.Fatalf("no test for the family %q", row["family"])
	return
}

func volts(t *testing.T, s string) string {
	t.Helper()
	return product(t, s, "1", quantity.Volt).String()
}

// product multiplies two decimals of which the second is a power of ten.
func product(t *testing.T, a, power string, u quantity.Unit) quantity.Quantity {
	t.Helper()
	coef, exp, ok1 := decimalOf(a)
	one, shift, ok2 := decimalOf(power)
	q, ok := quantity.New(coef*one, exp+shift, u)
	if !ok1 || !ok2 || !ok {
		t.Fatalf("%s × %s is no quantity", a, power)
	}
	return q
}

func TestReadOfSpellingIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := quantity.Kind(rapid.IntRange(int(quantity.Capacitance), int(quantity.Energy)).Draw(t, "kind"))
		if k == quantity.ToleranceKind {
			return
		}
		q := drawQuantity(t, k.Unit())
		c := rapid.SampledFrom([]quantity.Context{{}, {Class: "capacitor"}, {Class: "resistor", Found: "marking"},
			{Language: "en"},
			{Class: "capacitor", Construction: "tantalum", Found: "marking", Historic: true,
				Continental: true}}).Draw(t, "context")
		all, err := Quantity(q.String(), k, c)
		got := all.Amounts
		if !possible(q) {
			if err == nil {
				t.Fatalf("%s reads %v; no part has it", q, got)
			}
			return
		}
		if err != nil || len(got) != 1 || got[0].Quantity != q {
			t.Fatalf("%s reads %v, %v", q, got, err)
		}
	})
}

// TestUnitsProgram compares canonical spellings with the units program where the machine has it.
func TestUnitsProgram(t *testing.T) {
	path, err := exec.LookPath("units")
	if err != nil {
		t.Skip("the units program is not installed: canonical spellings are not compared with it")
	}
	seen := map[quantity.Quantity]bool{}
	for _, row := range tabletest.Rows(t, "testdata/value-texts.csv") {
		want, spelt := row["si_value"]+" "+row["si_unit"], row["trade_form"]
		if spelt == "" {
			spelt = row["canonical"]
		}
		q, err := quantity.Parse(spelt)
		if row["outcome"] != "ok" || err != nil || q.Unit() > quantity.Volt || q.Sign() == 0 || seen[q] {
			continue
		}
		seen[q] = true
		names := strings.NewReplacer("µ", "u", "Ω", "ohm")
		out, err := exec.Command(path, "-t", "--strict", names.Replace(q.String()),
			names.Replace(want)).CombinedOutput()
		if err != nil || strings.TrimSpace(string(out)) != "1" {
			t.Errorf("%s: units makes %s of %s and %s: %v", row["id"], out, q, want, err)
		}
	}
}

func BenchmarkRead(b *testing.B) {
	for _, bb := range []struct {
		name, text string
		kind       quantity.Kind
		context    quantity.Context
	}{
		{"canonical", "4.7 µF", quantity.Capacitance, quantity.Context{Class: "capacitor"}},
		{"letter", "4u7", quantity.Capacitance, quantity.Context{Class: "capacitor"}},
		{"unit", "0.0047uF", quantity.Capacitance, quantity.Context{Class: "capacitor"}},
		{"code", "104K", quantity.Capacitance, quantity.Context{Class: "capacitor", Construction: "ceramic",
			Found: "marking"}},
		{"compound", "10uF 25V 105C", quantity.Voltage, quantity.Context{Class: "capacitor"}},
		{"wide", "４７ｕＦ", quantity.Capacitance, quantity.Context{Class: "capacitor"}},
		{"refused", "1.2.3uF", quantity.Capacitance, quantity.Context{Class: "capacitor"}},
	} {
		b.Run(bb.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				all, err := Quantity(bb.text, bb.kind, bb.context)
				if len(all.Amounts) == 0 && err == nil {
					b.Fatal("nothing")
				}
			}
		})
	}
}

// drawQuantity draws a quantity of a unit from all over the range.
func drawQuantity(t *rapid.T, u quantity.Unit) quantity.Quantity {
	digits := rapid.IntRange(1, 18).Draw(t, "digits")
	most := int64(pow10(digits)) - 1
	q, ok := quantity.New(rapid.Int64Range(-most, most).Draw(t, "coef"), rapid.IntRange(-30, 12).Draw(t, "exp"), u)
	if !ok {
		t.Fatal("drawn out of range")
	}
	return q
}

// decimalOf reads a plain decimal.
func decimalOf(s string) (coef int64, exp int, ok bool) {
	n, ok := readNumeral([]byte(strings.TrimPrefix(s, "-")), "en")
	d := n.value()
	return d.coef, d.exp, ok && n.n == 1
}

// TestReferenceColours reads each colour as a figure, as a power of ten and as a tolerance; of what sources give
// differently the reading is not sure.
func TestReferenceColours(t *testing.T) {
	for _, row := range tabletest.Rows(t, "testdata/colour-codes.csv") {
		colour, exp, tolerance := row["colour"], row["exponent"], row["tolerance"]
		if f := row["figure"]; f != "" && f != "0" {
			holdBands(t, colour+" black black gold", f+"0", "0", "5")
		}
		holdBands(t, "brown black "+colour+" gold", "10", exp, "5")
		holdBands(t, "brown black black "+colour+" brown", "100", exp, "1")
		if tolerance != "" {
			holdBands(t, "brown black black "+colour, "10", "0", tolerance)
		} else if got, err := Part("brown black black "+colour, quantity.Context{}); err == nil && got.Sure {
			t.Errorf("%s is a tolerance: %+v", colour, got.Readings)
		}
	}
}

// holdBands holds what bands say; a tolerance with a question mark is doubted.
func holdBands(t *testing.T, text, figures, exp, tolerance string) {
	t.Helper()
	coef, shift, _ := decimalOf(figures)
	power, err := strconv.Atoi(exp)
	q, ok := quantity.New(coef, shift+power, quantity.Ohm)
	percent, doubted := strings.CutSuffix(tolerance, "?")
	got, err2 := Part(text, quantity.Context{})
	if err != nil || err2 != nil || !ok || len(got.Readings) != 1 {
		t.Fatalf("%s: %v, %v, %+v", text, err, err2, got)
	}
	said := map[string]string{}
	for _, f := range got.Readings[0].Fields {
		said[f.Member] = f.Value
	}
	if said["value"] != q.String() || said["tolerance"] != "±"+percent+" %" || doubted && got.Sure {
		t.Errorf("%s reads as %v, sure: %v; want %s ±%s %%", text, said, got.Sure, q, tolerance)
	}
}

// TestReferenceChipCodes reads all 96 figures of EIA-96, which count the E96 series of IEC 60063.
func TestReferenceChipCodes(t *testing.T) {
	n := 0
	for _, row := range tabletest.Rows(t, "../quantity/testdata/e-series.csv") {
		if row["series"] != "E96" {
			continue
		}
		n++
		text := fmt.Sprintf("%02dC", n)
		want := product(t, row["value"], "10000", quantity.Ohm).String()
		all, err := Quantity(text, quantity.Resistance, quantity.Context{Class: "resistor", Found: "marking"})
		if err != nil || !slices.Contains(spelt(all.Amounts), want) {
			t.Errorf("%s reads %q, %v; want %s", text, spelt(all.Amounts), err, want)
		}
	}
	if n != 96 {
		t.Errorf("%d values", n)
	}
}
