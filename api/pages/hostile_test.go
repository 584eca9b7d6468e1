package pages_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"boardlore/api/costtest"
	"boardlore/domain/board/boardtest"
)

// attack is a form, sent without an account, that was made to cost much.
type attack struct {
	name, page string
	form       url.Values
}

func many(n int, each func(i int) string) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(each(i))
	}
	return b.String()
}

// attacks are what was tried on the pages that compute.
func attacks(tb testing.TB) []attack {
	tb.Helper()
	const contribute, photo, kitCheck, job = "/contribute", "/contribute/photo", "/boards/tarn-big-sample/kit-check",
		"/boards/tarn-big-sample/job"
	big := boardtest.Big(5000)
	doc, err := big.Canonical()
	if err != nil {
		tb.Fatal(err)
	}
	sound := string(doc)
	empty := `{"board":"a","positions":[` + strings.TrimSuffix(strings.Repeat("{},", 1_000_000), ",") + `]}`
	names := many(60_000, func(i int) string { return fmt.Sprintf("C%d ", i) })
	edit := func(name, m string, more url.Values) attack {
		form := url.Values{"map": {m}, "base": {"2"}}
		for k, v := range more {
			form[k] = v
		}
		return attack{name, contribute, form}
	}
	kit := func(name, text string) attack {
		return attack{"kit: " + name, kitCheck, url.Values{"list": {text}, "scope": {"all"}}}
	}
	repeated := func(n int, s string) []string {
		out := make([]string, n)
		for i := range out {
			out[i] = fmt.Sprintf(s, i)
		}
		return out
	}
	return []attack{
		edit("a million empty positions", empty, url.Values{"act": {"add"}}),
		edit("a million empty positions, submitted", empty, url.Values{"act": {"submit"}}),
		edit("5,000 positions, looked at", sound, url.Values{"act": {"look"}}),
		edit("5,000 positions, one more", sound, url.Values{"act": {"add"}}),
		edit("bulk: 60,000 names", sound, url.Values{"act": {"bulk"}, "bulk.which": {names}, "bulk.member": {"notes"},
			"bulk.value": {"x"}}),
		edit("bulk: ranges", sound, url.Values{"act": {"bulk"}, "bulk.which": {strings.Repeat("C1-C5000 ", 5000)},
			"bulk.member": {"notes"}, "bulk.value": {"x"}}),
		edit("bulk: words", sound, url.Values{"act": {"bulk"}, "bulk.which": {strings.Repeat("a ", 200_000)},
			"bulk.member": {"notes"}, "bulk.value": {"x"}}),
		edit("bulk: a megabyte for each", sound, url.Values{"act": {"bulk"}, "bulk.which": {""},
			"bulk.member": {"notes"}, "bulk.value": {strings.Repeat("x", 1<<20)}}),
		edit("pasted: 5,000 rows", sound, url.Values{"act": {"paste"}, "pasted": {"designator\tvalue\n" +
			many(5000, func(i int) string { return fmt.Sprintf("C%d\t47u 25V\n", i) })}}),
		edit("pasted: one name again and again", sound, url.Values{"act": {"paste"}, "pasted": {"designator\tvalue\n" +
			strings.Repeat("C1\t47u 25V\n", 100_000)}}),
		edit("pasted: many columns", sound, url.Values{"act": {"paste"}, "pasted": {"designator\t" +
			strings.Repeat("value\t", 100_000) + "\nC1\t" + strings.Repeat("47u\t", 100_000)}}),
		edit("pasted: ranges", sound, url.Values{"act": {"paste"}, "pasted": {"designator\tvalue\n" +
			strings.Repeat("C1-C5000\t47u\n", 5000)}}),
		edit("taken away: 100,000", sound, url.Values{"gone": repeated(100_000, "failure_points.%d"), "act": {"look"}}),
		edit("removed: 60,000 names", sound, url.Values{"removed": repeated(60_000, "C%d"), "act": {"look"}}),
		edit("renamed: 60,000", sound, url.Values{"renamed": repeated(60_000, "C%d C1"), "act": {"look"}}),
		edit("fields without end", sound, url.Values{"p0.notes": repeated(200_000, "%d"), "act": {"look"}}),
		edit("problems of two megabytes", `{"board":"a"}`,
			url.Values{"problems": {`[` + strings.TrimSuffix(strings.Repeat(`{"code":"x","text":"y"},`, 80_000), ",") +
				`]`}, "act": {"look"}}),
		edit("questions of two megabytes", `{"board":"a"}`,
			url.Values{"questions": {`[` + strings.TrimSuffix(strings.Repeat(`{"code":"x","text":"y","choices":["a"]},`,
				50_000), ",") + `]`}, "act": {"look"}}),
		edit("what was had, two megabytes", `{"board":"a"}`,
			url.Values{"had": {`[` + strings.TrimSuffix(strings.Repeat(`{},`, 700_000), ",") + `]`}, "act": {"look"}}),
		edit("evidence without end", sound, url.Values{"evidence": {strings.Repeat("C1: seen\n", 200_000)},
			"act": {"look"}}),
		edit("nesting", strings.Repeat(`{"a":`, 500_000)+"1"+strings.Repeat("}", 500_000), url.Values{"act": {"look"}}),
		edit("variants of variants", `{"board":"a","variants":[`+
			strings.TrimSuffix(strings.Repeat(`{"changes":[{},{},{},{}]},`, 100_000), ",")+`]}`,
			url.Values{"act": {"look"}}),

		kit("C1 C1 C1", strings.Repeat("C1 ", 1_000_000)),
		kit("many columns", "part,qty\n"+strings.Repeat("47u,", 500_000)),
		kit("rows of many columns", strings.Repeat(strings.Repeat("a,", 1000)+"\n", 1500)),
		kit("100 rows C1-C5000", strings.Repeat("47u 25V C1-C5000\n", 100)),
		kit("500 lines, each another", many(500, func(i int) string {
			return fmt.Sprintf("%dx %d nF %d V\n", i%9+1, i+1,
				i%400+16)
		})),
		kit("without an end of line", strings.Repeat("47u16V", 500_000)),
		kit("quotation marks", strings.Repeat(`"`, 3_000_000)),
		kit("words", strings.Repeat("film, not X2 16/25 V or 35 V was 47u\n", 500)),

		{"photograph: points", photo, url.Values{"act": {"draft"}, "top.points": {strings.Repeat("1 2 3 4\n", 300_000)},
			"top.marks": {strings.Repeat("C1 1 2\n", 100)}}},
		{"photograph: marks", photo, url.Values{"act": {"draft"},
			"top.points": {"0 0 0 0\n9 0 9 0\n9 9 9 9\n0 9 0 9\n"},
			"top.marks":  {many(200_000, func(i int) string { return fmt.Sprintf("C%d 1 2\n", i) })}}},
		{"a record of three megabytes", job,
			url.Values{"record": {`{"positions":[` + strings.TrimSuffix(strings.Repeat("{},", 1_000_000), ",") +
				`]}`}}},
		{"fields of a thousand names", contribute, url.Values(func() map[string][]string {
			form := map[string][]string{"map": {`{"board":"a"}`}}
			for i := range 150_000 {
				form[fmt.Sprintf("p%d.x", i)] = []string{"1"}
			}
			return form
		}())},
	}
}

// TestAttacks: what was made to cost much is answered or refused, and never by
// giving up.
func TestAttacks(t *testing.T) {
	w := newWide(t, 300)
	for _, a := range attacks(t) {
		r := httptest.NewRecorder()
		w.handler.ServeHTTP(r, w.sent(t, a.page, a.form))
		if r.Code >= 500 || r.Body.Len() > costtest.MaxAnswer {
			t.Errorf("%s: %d, %d bytes: %.200s", a.name, r.Code, r.Body.Len(), r.Body.String())
		}
	}
}

// BenchmarkAttacks measures them on a board of 5,000 positions.
func BenchmarkAttacks(b *testing.B) {
	w := newWide(b, 5000)
	for _, a := range attacks(b) {
		b.Run(strings.ReplaceAll(a.name, " ", "_"), func(b *testing.B) {
			var c costtest.Cost
			for b.Loop() {
				// Made beforehand: what a sender holds is no cost of the server's.
				first, second := w.sent(b, a.page, a.form), w.sent(b, a.page, a.form)
				c = costtest.Of(b, w.handler, func() *http.Request {
					r := first
					first = second
					return r
				})
			}
			costtest.Report(b, c, true)
		})
	}
}
