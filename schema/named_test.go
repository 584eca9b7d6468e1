package schema

import (
	"slices"
	"strings"
	"testing"

	"boardlore/domain/finding"
	"boardlore/domain/part"
)

// with gives the small map another beginning and other members of C1.
func with(head, members string) []byte {
	s := strings.Replace(smallMap, `"x_mm":10`, members+`"x_mm":10`, 1)
	return []byte(strings.Replace(s, "{", "{"+head, 1))
}

// TestSchemaMember: a document may name its schema, on any server, and what is
// read is the same as without.
func TestSchemaMember(t *testing.T) {
	plain, _ := ReadMap([]byte(smallMap))
	want, err := plain.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{"/v1/schemas/map", "https://registry.example/v1/schemas/map",
		"http://127.0.0.1:8080/v1/schemas/map.json"} {
		m, fs := ReadMap(with(`"$schema":"`+id+`",`, ""))
		if m == nil {
			t.Errorf("%s: %q", id, codesAt(fs))
			continue
		}
		if got, err := m.Canonical(); err != nil || string(got) != string(want) {
			t.Errorf("%s is stored:\n%s", id, got)
		}
	}
	for _, id := range []string{`"/v1/schemas/kit"`, `"/v1/schemas/mapp"`,
		`"https://json-schema.org/draft/2020-12/schema"`, `"/v2/schemas/map"`, `""`, `3`, `null`} {
		if m, fs := ReadMap(with(`"$schema":`+id+`,`, "")); m != nil || !slices.Contains(codesAt(fs),
			"stop /$schema schema-unknown") {
			t.Errorf("%s: %q", id, codesAt(fs))
		}
	}
	if m, fs := ReadMap(with("", `"$schema":"/v1/schemas/map",`)); m != nil || !slices.Contains(codesAt(fs),
		"stop /positions/0/$schema member-unknown") {
		t.Errorf("below the top: %q", codesAt(fs))
	}
	kit := `{"$schema":"/v1/schemas/KIND","title":"t","lines":[{"line":1,"quantity":2,"text":"47uF 16V"}]}`
	if k, fs := ReadKit([]byte(strings.Replace(kit, "KIND", "kit", 1))); k == nil || k.Extra != nil {
		t.Errorf("a kit: %q", codesAt(fs))
	}
	if k, fs := ReadKit([]byte(strings.Replace(kit, "KIND", "map", 1))); k != nil || !slices.Contains(codesAt(fs),
		"stop /$schema schema-unknown") {
		t.Errorf("a kit: %q", codesAt(fs))
	}
	var in struct {
		Board string `json:"board"`
	}
	if fs := Decode("submission",
		[]byte(`{"$schema":"/v1/schemas/submission","board":"b","map":{"$schema":1},"summary":"s"}`), &in); fs != nil ||
		in.Board != "b" {
		t.Errorf("a submission: %q", codesAt(fs))
	}
}

// TestHeatMeansBoth: where a document is from before hot_place, heat_sensitive
// says both; one that names the schema says what it says.
func TestHeatMeansBoth(t *testing.T) {
	const named = `"$schema":"/v1/schemas/map",`
	for _, c := range []struct {
		head, members   string
		sensitive, hot  bool
		stated, mention bool
	}{
		{"", `"heat_sensitive":true,`, true, true, false, false},
		{named, `"heat_sensitive":true,`, true, false, true, true},
		{"", `"heat_sensitive":true,"hot_place":false,`, true, false, true, false},
		{named, `"heat_sensitive":true,"hot_place":true,`, true, true, true, false},
		{named, `"heat_sensitive":false,`, false, false, false, false},
		{"", `"hot_place":true,`, false, true, true, false},
		{named, "", false, false, false, false},
	} {
		m, fs := ReadMap(with(c.head, c.members))
		if m == nil {
			t.Fatalf("%+v: %q", c, codesAt(fs))
		}
		p := &m.Positions[0]
		if pl := p.Place(); pl.HeatSensitive != c.sensitive || pl.HotPlace != c.hot || (p.HotPlace != nil) != c.stated {
			t.Errorf("%+v: %+v", c, pl)
		}
		if told := slices.ContainsFunc(fs,
			func(f finding.Finding) bool { return f.Code == "hot-place-stated" }); told != c.mention {
			t.Errorf("%+v: %q", c, codesAt(fs))
		}
	}
}

// TestNewMembers: what is written on fuses, relays, crystals and transformers,
// and what is kept of it.
func TestNewMembers(t *testing.T) {
	say := func(p *part.Part) string {
		return strings.Join([]string{p.BreakingCapacity.String(), string(p.Supply), p.LoadCapacitance.String(),
			p.Windings.String()}, "|")
	}
	for doc, want := range map[string]string{
		`{"class":"fuse","breaking_capacity":"H"}`:                                             "H|||",
		`{"class":"fuse","breaking_capacity":" l"}`:                                            "L|||",
		`{"class":"fuse","breaking_capacity":"1500A"}`:                                         "1.5 kA|||",
		`{"class":"relay","supply":"dc"}`:                                                      "|dc||",
		`{"class":"crystal","load_capacitance":"18p"}`:                                         "||18 pF|",
		`{"class":"transformer","windings":{"primary":["115V","115 V"],"secondary":["6.3V"]}}`: "|||primary 115 V 115 V secondary 6.3 V",
		`{"class":"transformer","windings":{"primary":["5k"],"secondary":["8 Ω"]}}`:            "|||primary 5 kΩ secondary 8 Ω",
		`{"class":"fuse","breaking_capacity":"X"}`:                                             "stop /lines/0/part/breaking_capacity quantity-unreadable",
		`{"class":"fuse","breaking_capacity":"35 V"}`:                                          "stop /lines/0/part/breaking_capacity quantity-unreadable",
		`{"class":"fuse","breaking_capacity":"0 A"}`:                                           "stop /lines/0/part/breaking_capacity quantity-unreadable",
		`{"class":"relay","supply":"AC"}`:                                                      "stop /lines/0/part/supply schema-enum",
		`{"class":"transformer","windings":{"primary":[]}}`:                                    "stop /lines/0/part/windings/primary schema-minitems",
		`{"class":"transformer","windings":{"secondary":["12 V","big"]}}`:                      "stop /lines/0/part/windings/secondary/1 quantity-unreadable",
		`{"class":"crystal","load_capacitance":"18 V"}`:                                        "stop /lines/0/part/load_capacitance quantity-unreadable",
	} {
		k, fs := ReadKit([]byte(`{"title":"t","lines":[{"line":1,"quantity":2,"part":` + doc + `}]}`))
		if strings.Contains(want, "/") {
			if k != nil || !slices.Contains(codesAt(fs), want) {
				t.Errorf("%s: %q, want %s", doc, codesAt(fs), want)
			}
			continue
		}
		if k == nil || say(k.Lines[0].Part) != want {
			t.Errorf("%s: %q, want %s", doc, codesAt(fs), want)
		}
	}
	if m, fs := ReadMap(with("", `"circuit":"mains",`)); m != nil || !slices.Contains(codesAt(fs),
		"stop /positions/0/circuit schema-enum") {
		t.Errorf("circuit: %q", codesAt(fs))
	}
}
