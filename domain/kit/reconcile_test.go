package kit

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/go-cmp/cmp"

	"boardlore/domain/board"
	"boardlore/domain/message"
)

var update = flag.Bool("update", false, "write the golden files anew")

// load reads a JSON document of testdata.
func load[T any](t testing.TB, name string) *T {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	out := new(T)
	if err := json.Unmarshal(data, out); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return out
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), string(got)); d != "" {
		t.Errorf("%s (-want +got):\n%s", name, d)
	}
}

func effective(t testing.TB, m *board.Map, variant string) *board.Map {
	t.Helper()
	e, err := m.Effective(variant)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

// The kits in testdata against the invented board in testdata: right, short,
// swapped, dangerous, and one that is meant for the variant.
func TestReconcileGolden(t *testing.T) {
	m := load[board.Map](t, "board.json")
	canonical, err := m.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"right", "short", "swapped", "dangerous", "variant"} {
		t.Run(name, func(t *testing.T) {
			r, err := Reconcile(Request{
				Map: effective(t, m, ""), Kit: load[Kit](t, "kit-"+name+".json"), Revision: 3,
				Digest: board.Digest(canonical),
				Pairs:  name == "short", Others: Builds(Other{Revision: 3, Digest: board.Digest(canonical), Map: m}),
			})
			if err != nil {
				t.Fatal(err)
			}
			b, err := json.Marshal(r, jsontext.WithIndent("  "))
			if err != nil {
				t.Fatal(err)
			}
			golden(t, "report-"+name+".json", append(b, '\n'))
			golden(t, "report-"+name+".txt", []byte(r.Text(message.English, 100)))
		})
	}
}

func unmarshal(text string, out any) error { return json.Unmarshal([]byte(text), out) }
