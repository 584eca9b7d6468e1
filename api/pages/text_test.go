package pages

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/kit"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/part/parttest"
	"boardlore/domain/record"
)

var (
	called = regexp.MustCompile(`\b(?:t\(?|Say)\s*"([a-z0-9._-]+)"`)
	built  = regexp.MustCompile(`t \(printf "([a-z.]+)%s"`)
	held   = regexp.MustCompile(`"page\.([a-z0-9._-]+)"`)
	joined = regexp.MustCompile(`\bt\("([a-z.]+\.)"\s*\+`)
)

// choices are the words that keys made at run time end with.
var choices = map[string][]string{
	"severity.": {"minor", "major", "hazard"}, "measure.": {"resistance", "voltage", "current", "continuity"},
	"finding.": {"stop", "caution", "note"}, "change.": {"hazard", "change", "editorial"},
	"service.": part.Names(board.Services),
	"side.":    part.Names(board.Sides), "state.": {"submitted", "returned", "released", "declined", "withdrawn"},
	"verdict.": {"endorse", "query", "object", "endorse.help", "query.help", "object.help"},
	"done.": {"submitted", "amended", "unchanged", "reviewed", "answered", "doubted", "released", "declined",
		"withdrawn"},
	"decide.":  {"release", "decline", "withdraw", "release.reason", "decline.reason", "withdraw.reason"},
	"outcome.": {kit.Complete, kit.ToCheck, kit.Short, kit.Conflict}, "fit.": {kit.Match, kit.Suitable, kit.Doubtful,
		kit.Unsuitable, kit.None},
	"outcome.job.": {"working", "partly", "not-working", "not-tested"}, "found.": record.Founds,
	"done.job.":   {"left", "replaced", "cleaned", "repaired"},
	"reads.":      {"capacitance", "esr", "resistance", "voltage"},
	"photo.file.": {"top", "bottom"}, "list.": append([]string{ofChange}, listsOf...),
	"list.add.": append([]string{ofChange}, listsOf...), "list.one.": append([]string{ofPosition, ofChange},
		listsOf...),
	"aspect.": {"place", "part", "ratings", "direction", "circuit", "state"},
	"want.": {"size", "place", "minus", "rating", "fuse", "cell", "circuit", "height", "caution", "check",
		"failure", "licence", "photograph-top", "photograph-bottom"},
	"scope.":     {"read", "contribute", "review", "all"},
	"seen.":      {"board", "photograph", "document"},
	"withdrawn.": {"dangerous", "illegal", "mistaken"}, "role.": {"contributor", "reviewer", "steward"},
	"stewards.part.": {"revisions", "photographs", "proposals", "records", "kits", "drafts", "log", "rest"},
	"when.":          {"before-opening", "before-power-up", "while-working", "after"},
	"circuit.":       part.Names(part.Circuits), "part.": partMembers(),
	"basis.": {"measured", "design-data", "photograph"},
	"stops.": {"mains", "charged-cell", "stored-charge"},
	"minus.": {"right", "upper-right", "up", "upper-left", "left", "lower-left", "down", "lower-right"},
}

// partMembers are the members that a position's page lists.
func partMembers() (names []string) {
	for i := range part.Members {
		if m := &part.Members[i]; !inLine[m.Name] {
			names = append(names, m.Name)
		}
	}
	return names
}

// TestEveryMemberIsShown: what a map says of a part stands on its page, in the
// part's line or below.
func TestEveryMemberIsShown(t *testing.T) {
	for i := range part.Members {
		m := &part.Members[i]
		_, p, _, _ := parttest.Pair(m)
		shown := partSaid(p).String()
		for _, x := range members(p) {
			shown += "\n" + message.English.Say("page.part."+x.Name) + ": " + x.Value.String()
		}
		value := strings.ReplaceAll(m.Printed(&p), "-", " ")
		if m.Holds == part.Choice {
			value = message.English.Say("page.part."+m.Name) + ": yes"
		}
		if !strings.Contains(strings.ReplaceAll(shown, "-", " "), value) {
			t.Errorf("%s: no %q in %q", m.Name, value, shown)
		}
	}
}

// TestText holds that every key has its sentence and every sentence its use,
// so that a translation is complete when it has the same keys.
func TestText(t *testing.T) {
	used := map[string]bool{}
	files, _ := filepath.Glob("templates/*.html")
	sources, _ := filepath.Glob("*.go")
	for _, f := range append(files, sources...) {
		if strings.HasSuffix(f, "_test.go") || f == "text.go" {
			continue
		}
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range held.FindAllStringSubmatch(string(b), -1) {
			used[m[1]] = true
		}
		for _, m := range called.FindAllStringSubmatch(string(b), -1) {
			used[strings.TrimPrefix(m[1], "page.")] = true
		}
		prefixes := append(built.FindAllStringSubmatch(string(b), -1), joined.FindAllStringSubmatch(string(b), -1)...)
		for _, m := range prefixes {
			for _, w := range choices[m[1]] {
				used[m[1]+w] = true
			}
			if choices[m[1]] == nil && m[1] != "member." {
				t.Errorf("%s: the keys %s… are not listed in this test", f, m[1])
			}
		}
	}
	for _, form := range draftMembers() {
		for i := range form {
			m := &form[i]
			if message.English.Has("page.member." + m.Path) {
				used["member."+m.Path] = true
			} else {
				used["member."+last(m.Path)] = true
			}
		}
	}
	for _, w := range editorWords {
		used[w] = true
	}
	for k := range used {
		if !message.English.Has("page."+k) && !strings.HasSuffix(k, ".") {
			t.Errorf("no sentence for %q", k)
		}
	}
	for _, k := range message.English.Keys() {
		if k, ok := strings.CutPrefix(k, "page."); ok && !used[k] {
			t.Errorf("nothing uses %q", k)
		}
	}
}

// Words of a template stand in text.go; what is left between its actions and
// its tags are signs and the unit mm.
var (
	action    = regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	tag       = regexp.MustCompile(`(?s)<[^>]*>`)
	attribute = regexp.MustCompile(`\s(aria-label|alt|title|placeholder|value|data-label|content)="([^"]*)"`)
	wordless  = regexp.MustCompile(`^[\s\d·:;,.()–×°⌀/;&-]*$`)
	machinery = regexp.MustCompile(`^(width=device-width, initial-scale=1|[a-z][a-z0-9-]*|1)$`) // values that the server reads
)

func TestTemplatesHoldNoWords(t *testing.T) {
	files, err := filepath.Glob("templates/*.html")
	if err != nil || len(files) < 10 {
		t.Fatalf("%v %v", files, err)
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		s := action.ReplaceAllString(string(b), "\x00")
		for _, m := range attribute.FindAllStringSubmatch(s, -1) {
			words := strings.ReplaceAll(m[2], "\x00", "")
			if !wordless.MatchString(words) && !((m[1] == "value" || m[1] == "content") &&
				machinery.MatchString(words)) {
				t.Errorf("%s: %s=%q", f, m[1], words)
			}
		}
		for _, line := range strings.Split(tag.ReplaceAllString(s, "\x00"), "\x00") {
			if words := strings.ReplaceAll(line, "mm", ""); !wordless.MatchString(words) {
				t.Errorf("%s: %q", f, strings.TrimSpace(line))
			}
		}
	}
}

func TestLocalPath(t *testing.T) {
	for in, want := range map[string]string{"/desk": "/desk", "/boards/a?b=c#d": "/boards/a?b=c#d", "": "/",
		"desk": "/", "//evil.example": "/",
		"/\\evil.example": "/", "https://evil.example/": "/", "/a\r\nb": "/", "javascript:x": "/"} {
		if got := localPath(in); got != want {
			t.Errorf("localPath(%q) = %q, want %q", in, got, want)
		}
	}
}

// TestDraft edits a document by its form fields and leaves the rest alone.
func TestDraft(t *testing.T) {
	d, err := readDraft([]byte(`{"board":"b","x-mine":[1,2],"frame":{"width_mm":10},"positions":[
		{"designator":"C1","x_mm":1.5,"part":{"class":"capacitor","x-lot":"7"}},{"designator":"C2"},{"designator":"C3"}]}`))
	if err != nil {
		t.Fatal(err)
	}
	d.apply(map[string][]string{"map.frame.width_mm": {"12,5"}, "map.markings": {"A1, B2"}, "p0.x_mm": {"two"},
		"p0.part.value": {" 47u "}, "p1.remove": {"1"}, "p2.designator": {"C3"}})
	got, err := d.document()
	if err != nil {
		t.Fatal(err)
	}
	const want = `{"board":"b","frame":{"width_mm":12.5},"markings":["A1","B2"],"positions":[` +
		`{"designator":"C1","part":{"class":"capacitor","value":"47u","x-lot":"7"},"x_mm":"two"},{"designator":"C3"}],"x-mine":[1,2]}`
	if got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	if m := d.drawable(); m == nil || len(m.Positions) != 2 || m.Positions[0].Part.Class != part.Classes[0] {
		t.Errorf("a document with faults draws as %+v", m)
	}
}

func FuzzDraft(f *testing.F) {
	f.Add([]byte(`{"board":"b","positions":[{"designator":"C1","part":{"class":"capacitor"}},7,null]}`), "p0.x_mm",
		"1,5")
	f.Add([]byte(`{"positions":{"a":1},"equipment":"x","frame":[]}`), "map.equipment.maker", "M")
	f.Fuzz(func(t *testing.T, doc []byte, field, value string) {
		d, err := readDraft(doc)
		if err != nil {
			return
		}
		d.apply(map[string][]string{field: {value}})
		if _, err := d.document(); err != nil {
			t.Skip("numbers beyond those of JSON")
		}
		d.drawable()
		e := &draftView{draft: d, language: message.English}
		e.table()
	})
}

// TestUploadsAreTold: whoever may send a photograph reads beside the field, and
// is told with it, what a photograph must not show.
func TestUploadsAreTold(t *testing.T) {
	files, err := filepath.Glob("templates/*.html")
	if err != nil {
		t.Fatal(err)
	}
	upload, described := regexp.MustCompile(`<input [^>]*type="file"[^>]*>`),
		regexp.MustCompile(`aria-describedby="([^"]+)"`)
	seen := 0
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, field := range upload.FindAllString(string(b), -1) {
			if !strings.Contains(field, "image/") {
				continue
			}
			seen++
			by := described.FindStringSubmatch(field)
			if by == nil || !strings.Contains(string(b), `{{template "shows" "`+by[1]+`"}}`) {
				t.Errorf("%s: nothing says what a photograph must not show beside %s", f, field)
			}
		}
	}
	if seen < 4 {
		t.Errorf("only %d fields for photographs were found", seen)
	}
}
