package schema

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"
	"github.com/santhosh-tekuri/jsonschema/v5"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/finding"
)

const smallMap = `{"board":"b","equipment":{"maker":"M","model":"N"},"name":"n","frame":{"width_mm":100,"height_mm":80,"basis":"measured"},
"positions":[{"designator":"C1","side":"top","x_mm":10,"y_mm":20,"rotation_deg":0,"negative_deg":180,"service":"replace",
 "part":{"class":"capacitor","construction":"aluminium-electrolytic","value":"47 µF","voltage":"16 V","polarised":true}}]}`

// TestEveryDocumentStandsAlone compiles each served document by itself, as a
// tool does that fetched only that one.
func TestEveryDocumentStandsAlone(t *testing.T) {
	for _, name := range Names() {
		b, ok := Document(name)
		if !ok {
			t.Fatalf("%s is listed but not there", name)
		}
		var head struct {
			Schema string           `json:"$schema"`
			ID     string           `json:"$id"`
			Ex     []jsontext.Value `json:"examples"`
			Rest   jsontext.Value   `json:",embed"`
		}
		if err := json.Unmarshal(b, &head); err != nil {
			t.Fatal(err)
		}
		if head.Schema != "https://json-schema.org/draft/2020-12/schema" || head.ID != Prefix+name {
			t.Errorf("%s says $schema %s, $id %s", name, head.Schema, head.ID)
		}
		c := jsonschema.NewCompiler()
		if err := c.AddResource("http://example.test"+head.ID, strings.NewReader(string(b))); err != nil {
			t.Fatal(err)
		}
		s, err := c.Compile("http://example.test" + head.ID)
		if err != nil {
			t.Errorf("%s does not compile alone: %v", name, err)
			continue
		}
		for _, e := range head.Ex {
			var v any
			if err := json.Unmarshal(e, &v); err != nil {
				t.Fatal(err)
			}
			if err := s.Validate(v); err != nil {
				t.Errorf("%s: its own example fails: %v", name, err)
			}
		}
	}
	if d, ok := Document("map.json"); !ok || len(d) == 0 {
		t.Error("map.json names no document")
	}
}

func codesAt(fs []finding.Finding) []string {
	var s []string
	for _, f := range fs {
		s = append(s, string(f.Severity)+" "+f.Pointer+" "+f.Code)
	}
	return s
}

func TestRefusals(t *testing.T) {
	edit := func(old, new string) string {
		if !strings.Contains(smallMap, old) {
			t.Fatalf("%q is not in the map", old)
		}
		return strings.Replace(smallMap, old, new, 1)
	}
	for _, c := range []struct{ name, doc, want string }{
		{"not JSON", `{"board":`, "json-malformed"},
		{"duplicate name", edit(`"name":"n"`, `"name":"n","name":"m"`), "stop /name json-malformed"},
		{"not UTF-8", edit(`"n"`, "\"\xff\""), "json-malformed"},
		{"unknown member", edit(`"x_mm":10`, `"x_mmm":10`), "stop /positions/0/x_mmm member-unknown"},
		{"missing member", edit(`"x_mm":10,`, ``), "stop /positions/0 member-missing"},
		{"wrong type", edit(`"x_mm":10`, `"x_mm":"10"`), "stop /positions/0/x_mm schema-type"},
		{"not in the list", edit(`"side":"top"`, `"side":"upper"`), "stop /positions/0/side schema-enum"},
		{"bad slug", edit(`"board":"b"`, `"board":"B b"`), "stop /board schema-pattern"},
		{"unreadable quantity", edit(`"47 µF"`, `"lots"`), "stop /positions/0/part/value quantity-unreadable"},
		{"wrong unit", edit(`"16 V"`, `"16 Ω"`), "stop /positions/0/part/voltage quantity-unreadable"},
		{"two readings", edit(`"47 µF"`, `"1,000uF"`), "stop /positions/0/part/value quantity-ambiguous"},
		{"unclear change",
			edit(`"positions"`,
				`"variants":[{"variant":"v","title":"t","identified_by":"i","changes":[{"omit":"C1","designator":"C1"}]}],"positions"`), "stop /variants/0/changes/0 change-unclear"},
		{"too deep", edit(`"name":"n"`, `"name":"n","x-deep":`+strings.Repeat("[", 60)+strings.Repeat("]", 60)),
			"document-too-deep"},
		{"NUL", edit(`"name":"n"`, `"name":"a\u0000b"`), "stop /name text-nul"},
		{"a turned text", edit(`"name":"n"`, `"name":"a\u202eb"`), "stop /name text-direction"},
		{"NUL in a free member", edit(`"name":"n"`, `"name":"n","x-own":[{"\u0000":1}]`),
			"stop /x-own/0/\x00 text-nul"},
		{"a list", `[]`, "stop  schema-type"},
		{"a fraction for a whole number", edit(`"model":"N"`, `"model":"N","years":[1987.5]`),
			"stop /equipment/years/0 schema-type"},
		{"too large", edit(`"name":"n"`, `"name":"n","x-pad":"`+strings.Repeat("a", board.MaxBytes)+`"`),
			"document-too-large"},
		{"second position twice",
			edit(`"positions":[`,
				`"positions":[{"designator":"C1","side":"top","x_mm":50,"y_mm":20,"rotation_deg":0,"part":{"class":"other"}},`), "designator-duplicate"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, fs := ReadMap([]byte(c.doc))
			if m != nil || !slices.ContainsFunc(codesAt(fs),
				func(s string) bool { return strings.Contains(s, c.want) }) {
				t.Errorf("got map %v and %q, want refusal with %q", m != nil, codesAt(fs), c.want)
			}
			if Refusal(fs) == nil {
				t.Error("Refusal lets it pass")
			}
		})
	}
}

func TestAllFaultsAtOnce(t *testing.T) {
	doc := strings.NewReplacer(`"x_mm":10`, `"x_mmm":10`, `"side":"top"`, `"side":"upper"`, `"board":"b"`,
		`"board":"B b"`).Replace(smallMap)
	_, fs := ReadMap([]byte(doc))
	if len(fs) != 4 {
		t.Errorf("%d faults told, want 4: %q", len(fs), codesAt(fs))
	}
	if !strings.Contains(fs[1].Sentence.String()+fs[2].Sentence.String()+fs[3].Sentence.String(),
		`did you mean "x_mm"`) {
		t.Errorf("no suggestion for x_mmm: %+v", fs)
	}
}

// TestRespelling: what people type is stored in the one spelling, with a note.
func TestRespelling(t *testing.T) {
	doc := strings.NewReplacer(`"47 µF"`, `"4u7"`, `"16 V"`, `"6,3V"`).Replace(smallMap)
	m, fs := ReadMap([]byte(doc))
	if m == nil {
		t.Fatalf("refused: %q", codesAt(fs))
	}
	if p := m.Positions[0].Part; p.Value.String() != "4.7 µF" || p.Voltage.String() != "6.3 V" {
		t.Errorf("stored %s %s", p.Value, p.Voltage)
	}
	want := []string{"note /positions/0/part/value quantity-respelt", "note /positions/0/part/voltage quantity-respelt"}
	for _, w := range want {
		if !slices.Contains(codesAt(fs), w) {
			t.Errorf("no %q in %q", w, codesAt(fs))
		}
	}
}

// TestNumbersByValue: a whole number is one however it is written.
func TestNumbersByValue(t *testing.T) {
	doc := strings.NewReplacer(`"model":"N"`, `"model":"N","years":[1987.0,1.99e3]`, `"x_mm":10`,
		`"x_mm":1e1`).Replace(smallMap)
	m, fs := ReadMap([]byte(doc))
	if m == nil || !slices.Equal(m.Equipment.Years, []int{1987, 1990}) || m.Positions[0].X != 10 {
		t.Errorf("%+v, %q", m, codesAt(fs))
	}
	var in struct {
		Base int `json:"base_revision"`
	}
	if fs := Decode("submission", []byte(`{"board":"b","base_revision":3.0,"map":{},"summary":"s"}`), &in); fs != nil ||
		in.Base != 3 {
		t.Errorf("%+v, %q", in, codesAt(fs))
	}
}

func TestReadKit(t *testing.T) {
	k, fs := ReadKit([]byte(`{"title":"t","lines":[{"line":1,"quantity":2,"text":"47uF 16V"},{"line":2,"quantity":1,"part":{"class":"capacitor","value":"100n"}}]}`))
	if k == nil || k.Lines[1].Part.Value.String() != "100 nF" {
		t.Fatalf("%+v, %q", k, codesAt(fs))
	}
	for doc, want := range map[string]string{
		`{"title":"t","lines":[{"line":1,"quantity":2}]}`:                                                       "part-missing",
		`{"title":"t","lines":[{"line":1,"quantity":2,"text":"a"},{"line":1,"quantity":2,"text":"b"}]}`:         "line-duplicate",
		`{"title":"t","lines":[{"line":1,"quantity":-2,"text":"a"}]}`:                                           "schema-minimum",
		`{"title":"t","lines":[{"line":1,"quantity":1,"part":{"class":"capacitor","value":"10 Ω"}}]}`:           "quantity-unreadable",
		`{"title":"t","lines":[{"line":1,"quantity":1,"part":{"class":"connector","value":"DB25 something"}}]}`: "quantity-unreadable",
	} {
		if k, fs := ReadKit([]byte(doc)); k != nil || !strings.Contains(strings.Join(codesAt(fs), " "), want) {
			t.Errorf("%s: %q, want %s", doc, codesAt(fs), want)
		}
	}
}

// TestScenario holds the demo's documents to the schemas: nothing in them is
// refused, and only the proposal made to be hazardous has a caution, but for
// circuits that the first maps don't tell.
func TestScenario(t *testing.T) {
	names, err := filepath.Glob("../seeds/documents/*.json")
	if err != nil || len(names) < 9 {
		t.Fatalf("%d documents, %v", len(names), err)
	}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		base := filepath.Base(name)
		var fs []finding.Finding
		switch {
		case base == "scenario.json", base == "records.json":
			continue
		case strings.HasPrefix(base, "kit-"):
			_, fs = ReadKit(b)
		default:
			_, fs = ReadMap(b)
		}
		fs = slices.DeleteFunc(fs, func(f finding.Finding) bool {
			return f.Code == "circuit-unknown" &&
				base != "tarn-ps4-mains.2.json"
		})
		if w := finding.Worst(fs); w.Rank() > finding.Note.Rank() && base != "tarn-mx12-main.open-hazard.json" {
			t.Errorf("%s: %q", base, codesAt(fs))
		}
	}
}

func FuzzReadMap(f *testing.F) {
	f.Add([]byte(smallMap))
	f.Add([]byte(`{"variants":[{"changes":[{"set":{"part":null},"designator":"C1"}]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, fs := ReadMap(data)
		if (m == nil) != (finding.Worst(fs) == finding.Stop) {
			t.Errorf("map %v with findings %q", m != nil, codesAt(fs))
		}
		if m == nil {
			return
		}
		c, err := m.Canonical()
		if err != nil {
			t.Fatal(err)
		}
		if again, fs := ReadMap(c); again == nil {
			t.Errorf("its own canonical form is refused: %q", codesAt(fs))
		}
	})
}

func FuzzReadKit(f *testing.F) {
	f.Add([]byte(`{"title":"t","lines":[{"line":1,"quantity":2,"text":"47uF 16V"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		if k, fs := ReadKit(data); (k == nil) != (finding.Worst(fs) == finding.Stop) {
			t.Errorf("kit %v with findings %q", k != nil, codesAt(fs))
		}
	})
}

func BenchmarkReadMap300(b *testing.B) {
	data, err := boardtest.Big(300).Canonical()
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if m, fs := ReadMap(data); m == nil {
			b.Fatal(codesAt(fs))
		}
	}
}

// FuzzReadRecord: whatever is sent as a record is read or refused, and what is
// read reads again as the same.
func FuzzReadRecord(f *testing.F) {
	f.Add([]byte(`{"board":"a","revision":1,"unit":"1","serviced_on":"2024-03-01","outcome":"working","positions":[{"designator":"C1","found":"good","done":"left",` +
		`"measured":[{"of":"esr","value":"1R9"}],"fitted":{"part":{"class":"capacitor","value":"4u7"}}}],"checks":[{"id":"x","value":"5 V"}],"kit":{"kit":"k","left_over":[1],"missing":["C2"]}}`))
	f.Add([]byte(`{"board":"a","revision":1,"unit":"1","serviced_on":"2024-03-01","outcome":"working","positions":[{"designator":"C1","found":"good","done":"left","fitted":{"part":{"class":"capacitor","value":"many"}}}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, fs := ReadRecord(data)
		if r == nil {
			if finding.Worst(fs) != finding.Stop {
				t.Error("refused without a reason")
			}
			return
		}
		if finding.Worst(fs) == finding.Stop {
			return
		}
		again, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		if r2, fs := ReadRecord(again); r2 == nil || finding.Worst(fs) == finding.Stop {
			t.Errorf("%s does not read again: %v", again, fs)
		}
	})
}
