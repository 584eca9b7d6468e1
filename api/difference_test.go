package api

import (
	"bytes"
	"strings"
	"testing"

	jsonpatch "github.com/evanphx/json-patch/v5"

	"boardlore/domain/board"
)

const builds = `"variants":[
	{"variant":"eu","title":"European build","identified_by":"Marked EU.","changes":[{"designator":"C1","set":{"notes":"Taller can."}}]},
	{"variant":"us","title":"American build","identified_by":"Marked US.","changes":[{"designator":"C1","set":{"notes":"Taller can.","part":{"voltage":"10 V"}}},{"omit":"R1"}]}]`

// withBuilds is a map with two more builds, and its correction.
func withBuilds() (was, is string) {
	was = strings.TrimSuffix(strings.TrimSpace(sampleMap), "}") + "," + builds + "}"
	return was, strings.Replace(was, `"x_mm":60`, `"x_mm":70`, 1)
}

// Differences of one build between two revisions, of two builds of one
// revision, and of a build and the base map; the patches, applied by another
// author's library to what was fetched, give what is fetched.
func TestDifferencesOfBuilds(t *testing.T) {
	f := serve(t)
	was, is := withBuilds()
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("0", was, "new")).want(t, 201, "")
	f.endorse(t, 1)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", is, "moved")).want(t, 201, "")
	f.endorse(t, 2)
	at := "/v1/boards/fen-rx2-main"
	for _, c := range []struct {
		query, from, to string // the query; what it compares
		want            []string
	}{
		{"from=1&to=2", "/revisions/1", "/revisions/2", []string{"moved R1"}},
		{"from=1&to=2&variant=eu", "/revisions/1?variant=eu", "/revisions/2?variant=eu", []string{"moved R1"}},
		{"from=1&to=2&variant=us", "/revisions/1?variant=us", "/revisions/2?variant=us", nil},
		{"from_variant=eu&to_variant=us", "/revisions/2?variant=eu", "/revisions/2?variant=us",
			[]string{"part C1", "removed R1"}},
		{"from=2&to=2&to_variant=us", "/revisions/2", "/revisions/2?variant=us", []string{"part C1", "notes C1",
			"removed R1"}},
		{"to_variant=eu", "/revisions/2", "/revisions/2?variant=eu", []string{"notes C1"}},
		{"from=1&variant=us&to_variant=eu", "/revisions/1?variant=us", "/revisions/2?variant=eu",
			[]string{"part C1", "added R1"}},
	} {
		t.Run(c.query, func(t *testing.T) {
			d := f.ask(t, "", "GET", at+"/differences?"+c.query, "").want(t, 200, "")
			var got []string
			for _, e := range d.doc["changes"].([]any) {
				e := e.(map[string]any)
				got = append(got, e["kind"].(string)+" "+e["designator"].(string))
			}
			if strings.Join(got, ", ") != strings.Join(c.want, ", ") {
				t.Errorf("got %v, want %v", got, c.want)
			}
			from := f.ask(t, "", "GET", at+c.from, "", "Accept-Encoding", "identity").want(t, 200, "")
			to := f.ask(t, "", "GET", at+c.to, "", "Accept-Encoding", "identity").want(t, 200, "")
			if x, y := d.doc["from"].(map[string]any)["digest"],
				d.doc["to"].(map[string]any)["digest"]; x != board.Digest(from.body) || y != board.Digest(to.body) {
				t.Errorf("digests %v and %v are not those of the maps", x, y)
			}
			patch, err := jsonpatch.DecodePatch(f.ask(t, "", "GET", at+"/differences?"+c.query+"&as=json-patch", "",
				"Accept-Encoding", "identity").want(t, 200, "").body)
			if err != nil {
				t.Fatal(err)
			}
			if doc, err := patch.Apply(from.body); err != nil || !jsonpatch.Equal(doc, to.body) {
				t.Errorf("patched: %v\n%s\nwant\n%s", err, doc, to.body)
			}
			if a := f.ask(t, "", "GET", at+"/differences?"+c.query+"&as=text", "", "Accept-Encoding",
				"identity").want(t, 200, ""); len(c.want) > 0 &&
				!bytes.Contains(a.body, []byte(strings.Fields(c.want[0])[1])) {
				t.Errorf("as text: %s", a.body)
			}
			f.ask(t, "", "GET", at+"/differences?"+c.query+"&as=svg", "").want(t, 200, "")
		})
	}
	f.ask(t, "", "GET", at+"/differences?from=1&to=2&variant=jp", "").want(t, 404, "variant-not-found")
	f.ask(t, "", "GET", at+"/differences?from=1&to=9&variant=eu", "").want(t, 404, "revision-unknown")

	// A correction that a build can't follow is found when it is checked.
	gone := strings.Replace(is, `"designator":"R1"`, `"designator":"R7"`, 1)
	a := f.ask(t, "ada", "POST", "/v1/proposals", submission1("2", gone, "renamed")).want(t, 422, "map-refused")
	if !bytes.Contains(a.body, []byte(`"pointer":"/map/variants/1/changes/1/omit"`)) {
		t.Errorf("no pointer to the change that does not apply: %s", a.body)
	}
}
