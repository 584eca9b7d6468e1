package pages_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"boardlore/domain/board"
)

// An uploaded map of a board that is known here is held to the revision that it
// was made from, which its envelope or its digest tells; else that is asked.
func TestUploadedBase(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	kept := func(revision int) string {
		r, err := w.store.Revision(context.Background(), boardID, revision, "")
		if err != nil {
			t.Fatal(err)
		}
		return string(r.Canonical)
	}
	digest := board.Digest([]byte(kept(1)))
	edited := strings.Replace(kept(1), `"name":"`, `"name":"Late `, 1)
	for name, c := range map[string]struct{ file, base, says string }{
		"as it was served": {kept(1), "1", "Recognised as revision 1"},
		"in its envelope, edited": {`{"board":"` + boardID + `","revision":1,"digest":"` + digest + `","map":` +
			edited + `}`, "1", "Recognised as revision 1"},
		"edited": {edited, "", "Which revision was this made from?"},
		"of another registry": {`{"board":"` + boardID + `","revision":1,"digest":"` + strings.Repeat("0", 64) +
			`","map":` + edited + `}`, "",
			"Which revision was this made from?"},
	} {
		t.Run(name, func(t *testing.T) {
			status, body := v.file("/contribute", "/contribute", map[string]string{"act": "map"},
				map[string]string{"file": c.file})
			if status != 200 {
				t.Fatalf("%d", status)
			}
			want(t, body, c.says)
			if hidden := strings.Contains(body, `name="base" value="`+c.base+`"`); hidden != (c.base != "") ||
				strings.Contains(body, `<select id="base"`) == hidden {
				t.Errorf("the base is not %q", c.base)
			}
		})
	}
}

// A placement list for a board that is known here is merged into its map; one
// whose places are those of an older revision is asked about.
func TestListedBase(t *testing.T) {
	w := newSite(t)
	v := w.visitor(t, w.author)
	moved := func(revision int) string {
		r, err := w.store.Revision(context.Background(), boardID, revision, "")
		if err != nil {
			t.Fatal(err)
		}
		rows := "Designator,X (mm),Y (mm),Rotation,Side,Value\n"
		for _, p := range r.Map.Positions {
			rows += fmt.Sprintf("%s,%g,%g,%g,%s,\n", p.Designator, p.X, p.Y, p.Rotation, p.Side)
		}
		return rows
	}
	for revision, says := range map[int]string{1: "By its places this list was made from revision 1 rather than from 2",
		2: "The list was merged into revision 2"} {
		status, body := v.file("/contribute", "/contribute",
			map[string]string{"act": "placements", "board": boardID, "name": "N", "maker": "M", "model": "O",
				"bottom": "seen-from-top"},
			map[string]string{"placements": moved(revision)})
		if status != 200 {
			t.Fatalf("%d", status)
		}
		want(t, body, says)
		if asked := strings.Contains(body, `<select id="base"`); asked != (revision == 1) {
			t.Errorf("a list of revision %d: its base is asked: %v", revision, asked)
		}
	}
}
