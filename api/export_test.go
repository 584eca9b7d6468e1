package api

import (
	"bufio"
	"bytes"
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/store"
)

func TestExport(t *testing.T) {
	f := serve(t)
	f.release1(t)
	f.ask(t, "ada", "POST", "/v1/proposals", submission1("1", strings.Replace(sampleMap, `"Main board"`,
		`"Main board, recorder"`, 1), "name")).want(t, 201, "")
	f.endorse(t, 2)
	lines := func(query string) (out []store.Exported) {
		t.Helper()
		a := f.ask(t, "", "GET", "/v1/export"+query, "", "Accept-Encoding", "identity").want(t, 200, "")
		if a.header.Get("Content-Type") != "application/x-ndjson" {
			t.Errorf("%v", a.header)
		}
		for in := bufio.NewScanner(bytes.NewReader(a.body)); in.Scan(); {
			x, _, err := store.ReadLine(in.Bytes())
			if err != nil || board.Digest(x.Map) != x.Digest {
				t.Errorf("%+v, %v", x, err)
			}
			out = append(out, x)
		}
		return out
	}
	if all := lines(""); len(all) != 2 || all[1].Revision != 2 || all[1].Index != 1 {
		t.Errorf("%+v", all)
	}
	if rest := lines("?after=0"); len(rest) != 1 || rest[0].Index != 1 {
		t.Errorf("%+v", rest)
	}
	if none := lines("?board=another"); len(none) != 0 {
		t.Errorf("%+v", none)
	}
	f.ask(t, "", "GET", "/v1/export?after=x", "").want(t, 400, "parameter-invalid")
}
