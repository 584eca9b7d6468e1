package pages_test

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"boardlore/api/costtest"
	"boardlore/domain/board/boardtest"
)

// manyParts is how many positions a new board may have and its proposal still be read.
const manyParts = 1500

// TestManyPartsToReview: a proposal of many parts can be read: every position is
// named, like ones together and each with its place on the drawing, the page is
// no larger than an answer may be, and accessible.
func TestManyPartsToReview(t *testing.T) {
	axe, err := os.ReadFile("testdata/axe/axe-core-4.14.1.min.js")
	if err != nil {
		t.Fatal(err)
	}
	w := newSite(t)
	m := boardtest.Big(manyParts)
	at := "/proposals/" + id(w.submit(t, 0, m, "A wide board.", `["Read on the sleeve: C1."]`))
	_, page := w.visitor(t, w.reviewer).get(at)
	if len(page) > costtest.MaxAnswer {
		t.Errorf("the page has %d bytes", len(page))
	}
	claims := page[strings.Index(page, `<ul class="claims">`):]
	places := regexp.MustCompile(`<a href="#([^"]+)">([^<]+)</a>`).FindAllStringSubmatch(claims, -1)
	told := map[string]bool{}
	for _, p := range places {
		told[p[2]] = told[p[2]] || strings.Contains(page, `id="`+p[1]+`"`)
	}
	for i := range m.Positions {
		if d := m.Positions[i].Designator; !told[d] {
			t.Fatalf("%s is not told with its place", d)
		}
	}
	if n := strings.Count(claims, `name="seen"`); n == 0 || n > manyParts/10 {
		t.Errorf("%d claims are told of %d positions", n, manyParts)
	}
	p := w.person(t, w.reviewer, sees{true, wide})
	p.open(at)
	p.judge("a proposal of many parts", string(axe))
}

// BenchmarkManyPartsToReview gives the size of that page, and what it costs.
func BenchmarkManyPartsToReview(b *testing.B) {
	w := newSite(b)
	at := "/proposals/" + id(w.submit(b, 0, boardtest.Big(manyParts), "A wide board.", `["Read on the sleeve: C1."]`))
	v := w.visitor(b, w.reviewer)
	var page string
	for b.Loop() {
		_, page = v.get(at)
	}
	b.ReportMetric(float64(len(page))/1000, "kB")
}
