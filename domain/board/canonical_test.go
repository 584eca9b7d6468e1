package board_test

import (
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"
	"github.com/gowebpki/jcs"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
)

// everything has every kind of member that could get lost on the way through
// the types: empty lists, explicit false, "x-…" members at every level, floats
// in odd spellings, members out of order.
const everything = `{ "x-top": {"b": 1, "a": [null, "\u00e9"]}, "board": "tarn-all", "name": "All \u20ac",
 "equipment": {"model": "M", "maker": "Tarnwright", "years": [1987, 1991], "x-e": false},
 "markings": [], "frame": {"height_mm": 1e2, "width_mm": 160.50, "outline": [[0,0],[160.5,-0],[160.5,100]], "basis": "measured", "uncertainty_mm": 0, "x-f": ""},
 "positions": [
  {"designator": "C1", "side": "top", "x_mm": 1, "y_mm": 2.250, "rotation_deg": -90,
   "part": {"class": "capacitor", "value": "47 µF", "tolerance": "-20 %/+80 %", "polarised": false, "x-p": {"deep": [1.0]}},
   "body": {"shape": "can", "x-b": [[]]}, "negative_deg": 0, "glued": false, "heat_sensitive": false, "x-pos": null,
   "replacement": {"reason": "r", "part": {"class": "capacitor", "rechargeable": false}, "x-r": 1}},
  {"designator": "R1", "side": "bottom", "x_mm": 1e-7, "y_mm": 1e21, "rotation_deg": 0, "part": {"class": "resistor"}, "body": {}}],
 "variants": [{"variant": "a", "title": "A", "identified_by": "B", "changes": [], "x-v": 1},
  {"variant": "b", "title": "A", "identified_by": "B", "changes": [{"set": {"x-pos": null, "part": {"voltage": "16 V"}}, "designator": "C1", "x-c": 2}, {"omit": "R1"},
   {"fit": {"designator": "C2", "side": "top", "x_mm": 3, "y_mm": 4, "rotation_deg": 0, "part": {"class": "other"}}}]}],
 "failure_points": [{"id": "f", "title": "t", "mechanism": "m", "positions": [], "symptoms": [], "severity": "minor", "bars_power_up": false, "x-fp": 0}],
 "checks": [{"id": "c", "title": "t", "when": "before-power-up", "measure": "voltage", "between": ["a", "b"], "expect": {"max": "10 V", "x-x": {}}}, {"id": "d", "title": "t", "when": "before-power-up", "measure": "voltage", "between": [], "expect": {}}],
 "cautions": [{"text": "t", "x-ca": "\ud83d\ude00"}] }`

func TestCanonicalOfEverything(t *testing.T) { roundTrip(t, []byte(everything)) }

func TestCanonicalRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := boardtest.Random(t)
		b, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		roundTrip(t, b)
	})
}

// roundTrip holds document → Map → Canonical against another author's RFC 8785.
func roundTrip(t interface {
	Helper()
	Fatal(...any)
	Fatalf(string, ...any)
}, document []byte) {
	t.Helper()
	want, err := jcs.Transform(document)
	if err != nil {
		t.Fatal(err)
	}
	var m board.Map
	if err := json.Unmarshal(document, &m); err != nil {
		t.Fatal(err)
	}
	got, err := m.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Fatalf("canonical form (-want +got):\n%s", d)
	}
}

// The digest of the empty object, computed with sha256sum.
func TestDigest(t *testing.T) {
	const want = "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"
	if got := board.Digest([]byte("{}")); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestCompareDesignators(t *testing.T) {
	ordered := []string{"", "1", "C", "C1", "C01", "C2", "C2A", "C2B", "C10", "C010", "C10-1",
		"C99999999999999999999999", "R1", "R1_2", "c1"}
	for i, a := range ordered {
		for j, b := range ordered {
			got, want := board.CompareDesignators(a, b), 0
			if i < j {
				want = -1
			} else if i > j {
				want = 1
			}
			if got != want {
				t.Errorf("CompareDesignators(%q, %q) = %d, want %d", a, b, got, want)
			}
		}
	}
}

func FuzzCompareDesignators(f *testing.F) {
	f.Add("C2", "C10", "C010")
	f.Fuzz(func(t *testing.T, a, b, c string) {
		if board.CompareDesignators(a, b) != -board.CompareDesignators(b, a) {
			t.Errorf("%q and %q compare differently when swapped", a, b)
		}
		if (board.CompareDesignators(a, b) == 0) != (a == b) {
			t.Errorf("%q and %q: equal only if the same", a, b)
		}
		if board.CompareDesignators(a, b) <= 0 && board.CompareDesignators(b, c) <= 0 && board.CompareDesignators(a,
			c) > 0 {
			t.Errorf("%q ≤ %q ≤ %q, yet the first comes after the last", a, b, c)
		}
	})
}

func read(t testing.TB, document string) *board.Map {
	t.Helper()
	m := new(board.Map)
	if err := json.UnmarshalRead(strings.NewReader(document), m); err != nil {
		t.Fatal(err)
	}
	return m
}
