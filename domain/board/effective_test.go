package board_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boardlore/domain/board"
	"boardlore/domain/fault"
)

const withVariants = `{"board":"tarn-v","equipment":{"maker":"Tarnwright","model":"V"},"name":"V","frame":{"width_mm":50,"height_mm":50,"basis":"measured"},
"positions":[
 {"designator":"C1","side":"top","x_mm":5,"y_mm":5,"rotation_deg":0,"part":{"class":"capacitor","value":"10 µF","voltage":"16 V"},"notes":"n","x-own":{"a":1,"b":2}},
 {"designator":"C2","side":"top","x_mm":15,"y_mm":5,"rotation_deg":0,"part":{"class":"capacitor"}},
 {"designator":"C3","side":"top","x_mm":25,"y_mm":5,"rotation_deg":0,"part":{"class":"capacitor"}}],
"failure_points":[{"id":"f","title":"t","mechanism":"m","positions":["C1","C2","C3"],"severity":"minor"}],
"variants":[CHANGES]}`

func variantMap(t *testing.T, changes string) *board.Map {
	t.Helper()
	return read(t, strings.Replace(withVariants, "CHANGES",
		`{"variant":"eu","title":"t","identified_by":"i","changes":[`+changes+`]}`, 1))
}

func TestEffective(t *testing.T) {
	m := variantMap(t, `{"designator":"C1","set":{"part":{"voltage":"25 V","value":null},"notes":null,"x-own":{"a":null,"c":3}}},
		{"omit":"C2"}, {"fit":{"designator":"C9","side":"bottom","x_mm":1,"y_mm":1,"rotation_deg":0,"part":{"class":"other"}}}, {"designator":"C3","set":{"designator":"C33"}}`)
	e, err := m.Effective("eu")
	if err != nil {
		t.Fatal(err)
	}
	got, err := e.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	want := `{"board":"tarn-v","equipment":{"maker":"Tarnwright","model":"V"},"failure_points":[{"id":"f","mechanism":"m","positions":["C1","C33"],"severity":"minor","title":"t"}],` +
		`"frame":{"basis":"measured","height_mm":50,"width_mm":50},"name":"V","positions":[` +
		`{"designator":"C1","part":{"class":"capacitor","voltage":"25 V"},"rotation_deg":0,"side":"top","x-own":{"b":2,"c":3},"x_mm":5,"y_mm":5},` +
		`{"designator":"C33","part":{"class":"capacitor"},"rotation_deg":0,"side":"top","x_mm":25,"y_mm":5},` +
		`{"designator":"C9","part":{"class":"other"},"rotation_deg":0,"side":"bottom","x_mm":1,"y_mm":1}]}`
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Errorf("effective map (-want +got):\n%s", d)
	}
	if len(m.Positions) != 3 || m.Positions[0].Notes != "n" || len(m.FailurePoints[0].Positions) != 3 {
		t.Error("the base map was changed")
	}
}

func TestEffectiveBase(t *testing.T) {
	e, err := variantMap(t, `{"omit":"C2"}`).Effective("")
	if err != nil {
		t.Fatal(err)
	}
	if e.Variants != nil || len(e.Positions) != 3 {
		t.Errorf("got %d variants, %d positions; want none, 3", len(e.Variants), len(e.Positions))
	}
}

func TestEffectiveUnknown(t *testing.T) {
	_, err := variantMap(t, ``).Effective("us")
	if !fault.Is(err, fault.NotFound) || !strings.Contains(err.Error(), "eu") {
		t.Errorf("got %v, want a not-found error that names the variant there is", err)
	}
}

func TestEffectiveRefused(t *testing.T) {
	for _, c := range []struct{ name, changes, code, pointer string }{
		{"set of what isn't there", `{"designator":"C7","set":{"notes":"x"}}`, "variant-change-missing",
			"/variants/0/changes/0/designator"},
		{"omit of what isn't there", `{"omit":"C1"},{"omit":"C7"}`, "variant-change-missing",
			"/variants/0/changes/1/omit"},
		{"set after omit", `{"omit":"C1"},{"designator":"C1","set":{"notes":"x"}}`, "variant-change-repeated",
			"/variants/0/changes/1/designator"},
		{"fit of what is there",
			`{"fit":{"designator":"C1","side":"top","x_mm":1,"y_mm":1,"rotation_deg":0,"part":{"class":"other"}}}`,
			"variant-change-present", "/variants/0/changes/0/fit/designator"},
		{"unknown member", `{"designator":"C1","set":{"prat":{}}}`, "variant-change-unfit",
			"/variants/0/changes/0/set"},
		{"unknown part member", `{"designator":"C1","set":{"part":{"volts":"6 V"}}}`, "variant-change-unfit",
			"/variants/0/changes/0/set"},
		{"member taken out", `{"designator":"C1","set":{"x_mm":null}}`, "variant-change-unfit",
			"/variants/0/changes/0/set"},
		{"wrong type", `{"designator":"C1","set":{"x_mm":"five"}}`, "variant-change-unfit",
			"/variants/0/changes/0/set"},
		{"quantity not canonical", `{"designator":"C1","set":{"part":{"voltage":"6V3"}}}`, "variant-change-unfit",
			"/variants/0/changes/0/set"},
		{"side", `{"designator":"C1","set":{"side":"left"}}`, "variant-change-unfit", "/variants/0/changes/0/set"},
		{"class", `{"designator":"C1","set":{"part":{"class":"valve"}}}`, "variant-change-unfit",
			"/variants/0/changes/0/set"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := variantMap(t, c.changes).Effective("eu")
			e, ok := fault.As(err)
			if !ok || e.Kind != fault.Invalid || len(e.Findings) == 0 {
				t.Fatalf("got %v, want an invalid document with findings", err)
			}
			if f := e.Findings[0]; f.Code != c.code || f.Pointer != c.pointer {
				t.Errorf("got %s at %s, want %s at %s", f.Code, f.Pointer, c.code, c.pointer)
			}
		})
	}
}

func TestEffectiveOmitAndFit(t *testing.T) {
	e, err := variantMap(t,
		`{"omit":"C1"},{"fit":{"designator":"C1","side":"bottom","x_mm":1,"y_mm":1,"rotation_deg":0,"part":{"class":"other"}}}`).Effective("eu")
	if err != nil {
		t.Fatal(err)
	}
	if got := e.Positions[2]; got.Designator != "C1" || got.Side != "bottom" || len(e.FailurePoints[0].Positions) != 3 {
		t.Errorf("got %v and failure point at %v, want C1 on the bottom, still named", got.Designator,
			e.FailurePoints[0].Positions)
	}
}
