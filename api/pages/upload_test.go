package pages_test

import (
	"context"
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
		"as it was served":        {kept(1), "1", "Recognised as revision 1"},
		"in its envelope, edited": {`{"board":"` + boardID + `","revision":1,"digest":"` + digest + `","map":` + edited + `}`, "1", "Recognised as revision 1"},
		"edited":                  {edited, "", "Which revision was this made from?"},
		"of another registry": {`{"board":"` + boardID + `","revision":1,"digest":"` + strings.Repeat("0", 64) + `","map":` + edited + `}`, "",
			"Which revision was this made from?"},
	} {
		t.Run(name, func(t *testing.T) {
			status, body := v.file("/contribute", "/contribute", map[string]string{"act": "map"}, map[string]string{"file": c.file})
			if status != 200 {
				t.Fatalf("%d", status)
			}
			want(t, body, c.says)
			if hidden := strings.Contains(body, `name="base" value="`+c.base+`"`); hidden != (c.base != "") || strings.Contains(body, `<select id="base"`) == hidden {
				t.Errorf("the base is not %q", c.base)
			}
		})
	}
}
