package part

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"boardlore/domain/quantity"
	"boardlore/domain/tabletest"
)

// TestReferenceTexts reads the published value texts as parts. A part is a
// whole line, so it may tell as a doubt what a single quantity refuses; it must
// never give a value without one.
func TestReferenceTexts(t *testing.T) {
	for _, row := range tabletest.Rows(t, "../reading/testdata/value-texts.csv") {
		if slices.Contains(noParts, row["id"]) {
			continue
		}
		where, ok := tabletest.Contexts[row["context"]]
		if !ok {
			t.Fatalf("no context for %q", row["context"])
		}
		t.Run(row["id"], func(t *testing.T) { checkText(t, row, quantity.Context(where)) })
	}
}

func checkText(t *testing.T, row map[string]string, c quantity.Context) {
	got, err := Read(row["text"], c)
	want := row["canonical"]
	if row["trade_form"] != "" {
		want = row["trade_form"]
	}
	var all []string
	doubts := 0
	for i := range got.Readings {
		all = append(all, memberOf(&got.Readings[i].Part, row["kind"]))
		doubts += len(got.Readings[i].Doubts)
	}
	switch row["outcome"] {
	case "ok":
		if err != nil || !slices.Contains(all, want) || len(all) > 1 {
			t.Errorf("%q (%s): %q, left over %q, %v; want %s", row["text"], row["context"], all, got.LeftOver, err,
				want)
		}
	case "ambiguous":
		if err == nil && len(all) < 2 && doubts == 0 {
			t.Errorf("%q (%s): %q without a doubt; want %s", row["text"], row["context"], all, row["alternatives"])
		}
	case "reject":
		if err == nil && all[0] != "" && doubts == 0 && !slices.Contains(wholeLines, row["id"]) {
			t.Errorf("%q (%s): %q without a doubt; want none: %s", row["text"], row["context"], all, row["note"])
		}
	}
}

// noParts are letters that say something only beside a value: ±3 % on any part,
// and the deviations of capacitors below 10 pF.
var noParts = []string{"V386", "V391", "V392", "V393", "V394"}

// wholeLines are texts that a quantity refuses and a part need not: 2x470uF has
// a count.
var wholeLines = []string{"V409"}

func memberOf(p *Part, kind string) string {
	switch kind {
	case "voltage":
		return p.Voltage.String()
	case "temperature":
		return p.TemperatureMax.String()
	case "tolerance":
		return p.Tolerance.String()
	}
	return p.Value.String()
}

// TestReferenceSizes reads what the published tables call chips, cases, cells
// and fuses, each in a line where it stands.
func TestReferenceSizes(t *testing.T) {
	for _, row := range rows(t, "body-sizes.csv") {
		t.Run(row["group"]+" "+row["code"], func(t *testing.T) {
			switch row["group"] {
			case "chip":
				checkBody(t, row, "100 nF 50 V "+row["code"])
				if code, ok := strings.CutPrefix(row["alias"], "metric "); ok {
					checkBody(t, row, "100 nF 50 V "+code+" metric")
				}
			case "tantalum-case":
				checkBody(t, row, "tantalum 10 µF 16 V "+strings.TrimPrefix(row["alias"], "EIA "))
				if len(row["code"]) == 1 && row["code"] < "F" {
					checkBody(t, row, "tantalum 10 µF 16 V case "+row["code"])
				}
			case "cell-letter":
				checkLetter(t, row)
			case "coin-cell":
				checkCell(t, row, row["code"])
			case "board-battery":
				checkBattery(t, row)
			case "fuse-size":
				checkBody(t, row, "fuse 1 A "+row["code"])
			case "fuse-characteristic":
				checkFuse(t, row["code"]+"1A 250V", row["code"], "")
				checkFuse(t, "1 A "+row["code"]+" fuse", row["code"], "")
			case "fuse-breaking":
				checkFuse(t, "T1A"+row["code"]+"250V", "T", row["code"])
			case "smd-alu-can":
				checkBody(t, row, "47 µF 16 V SMD "+row["code"])
			}
		})
	}
}

func read1(t *testing.T, text string) *Reading {
	t.Helper()
	got, err := Read(text, quantity.Context{})
	if err != nil || len(got.Readings) != 1 || len(got.LeftOver) > 0 {
		t.Fatalf("%s: %+v, %v", text, got, err)
	}
	return &got.Readings[0]
}

func checkBody(t *testing.T, row map[string]string, text string) {
	t.Helper()
	b := &read1(t, text).Body
	for _, m := range []struct {
		column string
		got    float64
	}{{"diameter_mm", b.Diameter}, {"length_mm", b.Length}, {"width_mm", b.Width}, {"height_mm", b.Height}} {
		if want, err := strconv.ParseFloat(row[m.column], 64); err == nil && want != m.got {
			t.Errorf("%s: %s is %v, want %v", text, m.column, m.got, want)
		}
	}
}

// checkCell compares a cell's code with its row: body, voltage, chemistry and
// whether it takes a charge.
func checkCell(t *testing.T, row map[string]string, code string) {
	t.Helper()
	checkBody(t, row, code)
	x := read1(t, code)
	if p := &x.Part; p.Class != Cell || p.Rechargeable == nil || *p.Rechargeable != (row["rechargeable"] == "yes") ||
		p.Voltage.String() != row["voltage_v"]+" V" {
		t.Errorf("%s reads as %s; want %s V, rechargeable: %s", code, p, row["voltage_v"], row["rechargeable"])
	}
	got, okGot := chemistryOf(x.Part.Chemistry)
	want, okWant := chemistryOf(row["chemistry"])
	if !okGot || !okWant || got.rechargeable != want.rechargeable {
		t.Errorf("%s: chemistry %s, want %s", code, x.Part.Chemistry, row["chemistry"])
	}
}

// checkLetter holds the letters of IEC 60086 before the R of a round cell. Zinc-air and copper oxide stand on no board:
// their cells are not read as others.
func checkLetter(t *testing.T, row map[string]string) {
	t.Helper()
	code := map[string]string{"L": "LR44", "S": "SR44", "C": "CR2032", "B": "BR2330"}[row["code"]]
	if code == "" {
		got, err := Read(row["code"]+"R44", quantity.Context{})
		if err == nil && (got.Sure || got.Readings[0].Part.Chemistry != "") {
			t.Errorf("%sR44 reads as %+v", row["code"], got.Readings)
		}
		return
	}
	p := &read1(t, code).Part
	got, _ := chemistryOf(p.Chemistry)
	if want, ok := chemistryOf(row["chemistry"]); !ok || got != want || p.Voltage.String() != row["voltage_v"]+" V" {
		t.Errorf("%s reads as %s", code, p)
	}
}

func checkBattery(t *testing.T, row map[string]string) {
	t.Helper()
	p := &read1(t, strings.TrimSuffix(row["code"], " barrel")).Part
	if want, _ := chemistryOf(row["chemistry"]); p.Class != Cell || p.Voltage.String() != row["voltage_v"]+" V" {
		t.Errorf("%s reads as %s", row["code"], p)
	} else if got, ok := chemistryOf(p.Chemistry); !ok || got != want {
		t.Errorf("%s: chemistry %s, want %s", row["code"], p.Chemistry, row["chemistry"])
	}
}

func checkFuse(t *testing.T, text, speed, breaking string) {
	t.Helper()
	p := &read1(t, text).Part
	if p.Class != Fuse || p.FuseSpeed != speed || p.Current.String() != "1 A" ||
		p.BreakingCapacity.String() != breaking {
		t.Errorf("%s reads as %s", text, p)
	}
}

// TestReferenceDielectrics reads the codes of ceramics, and those of their
// aliases that are codes, behind a value.
func TestReferenceDielectrics(t *testing.T) {
	for _, row := range rows(t, "dielectrics.csv") {
		if row["class"] != "1" && row["class"] != "2" {
			continue
		}
		for _, name := range append(strings.Split(row["aliases"], ", "), row["code"]) {
			if name == "" || name == "JIS" || strings.Contains(name, " ") {
				continue
			}
			p := &read1(t, "100 nF 50 V "+name).Part
			got, ok := dielectricOf(p.Dielectric)
			if want, _ := dielectricOf(name); !ok || got != want {
				t.Errorf("%s: dielectric %q", name, p.Dielectric)
			}
		}
	}
}

// TestReferenceSafety reads the classes of interference suppression.
func TestReferenceSafety(t *testing.T) {
	for _, row := range rows(t, "safety-classes.csv") {
		if strings.HasPrefix(row["class"], "none") {
			continue
		}
		p := &read1(t, "100 nF 250 V "+row["class"]).Part
		if p.SafetyClass != row["class"] {
			t.Errorf("%s reads as %s", row["class"], p)
		}
	}
}
