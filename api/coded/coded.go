// Package coded is the content codings of HTTP (RFC 9110, sections 8.4 and
// 12.5.3): which of them a client takes, and bodies in them. A body that comes
// again is coded once and kept, in bounded memory: what a coding costs is then a
// look-up, and the plainest client pays no less for it than the one that asks
// for the tightest form.
package coded

import (
	"net/http"
	"strconv"
	"strings"
)

// Form is a content coding; the zero Form is none.
type Form uint8

// The codings that answers come in.
const (
	Plain  Form = iota
	Gzip        // RFC 1952
	Brotli      // RFC 7932
	Zstd        // RFC 8878
	forms
)

var names = [forms]string{"identity", "gzip", "br", "zstd"}

// Name is the coding as Content-Encoding names it.
func (f Form) Name() string { return names[f] }

// Tag is the opaque tag of a body in this form: that of its plain form, and
// behind it the coding's name, since forms differ in their bytes (RFC 9110,
// section 8.8.3.3).
func (f Form) Tag(opaque string) string {
	if f == Plain {
		return opaque
	}
	return opaque + "-" + names[f]
}

// PlainTag is the opaque tag of the plain form of what a tag names.
func PlainTag(opaque string) string {
	for _, name := range names[1:] {
		if plain, ok := strings.CutSuffix(opaque, "-"+name); ok {
			return plain
		}
	}
	return opaque
}

// Where a client likes several equally: of those that it names the one that
// costs both sides least, of those that it leaves to us the one that any has.
var (
	named   = []Form{Zstd, Brotli, Gzip}
	unnamed = []Form{Gzip, Brotli, Zstd}
)

// Asked is what a client takes.
type Asked struct {
	Best  Form // what it likes best
	Plain bool // it takes a body without any coding
}

// Ask reads Accept-Encoding. A client that takes nothing at all gives ok false.
func Ask(h http.Header) (a Asked, ok bool) {
	header := h["Accept-Encoding"]
	if len(header) == 0 {
		return Asked{Plain: true}, true
	}
	w := weights(strings.Join(header, ","))
	a.Plain = w.of(Plain) != 0
	best := max(w.of(Plain), 0)
	take := func(f Form) {
		if q := w.of(f); q > best || q == best && q > 0 && a.Best == Plain {
			a.Best, best = f, q
		}
	}
	for _, f := range named {
		if w[f].named {
			take(f)
		}
	}
	for _, f := range unnamed {
		take(f)
	}
	return a, a.Plain || a.Best != Plain
}

// weight is what a header says of one coding: below 0 where it says nothing.
type weight struct {
	q     float64
	named bool
}

// table has a weight for each form, and last that of "*".
type table [forms + 1]weight

func weights(header string) (t table) {
	for i := range t {
		t[i].q = -1
	}
	for item := range strings.SplitSeq(header, ",") {
		name, q := Quality(item)
		switch name {
		case "*":
			t[forms] = weight{q, true}
		case "x-gzip":
			t[Gzip] = weight{q, true}
		default:
			for f := range forms {
				if names[f] == name {
					t[f] = weight{q, true}
				}
			}
		}
	}
	return t
}

// of is the weight of one coding: what is neither named nor meant by "*" is
// not taken, but for a plain body, which is unless it is ruled out.
func (t *table) of(f Form) float64 {
	if t[f].named {
		return t[f].q
	}
	return t[forms].q
}

// Quality splits one item of an Accept or Accept-Encoding header into its
// lower-case name and its weight from 0 to 1; a malformed weight counts as 0.
func Quality(item string) (string, float64) {
	name, params, _ := strings.Cut(item, ";")
	q := 1.0
	for p := range strings.SplitSeq(params, ";") {
		k, v, ok := strings.Cut(p, "=")
		if !ok || !strings.EqualFold(strings.TrimSpace(k), "q") {
			continue
		}
		w, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
		if err != nil || !(w >= 0 && w <= 1) {
			w = 0
		}
		q = w
	}
	return strings.ToLower(strings.TrimSpace(name)), q
}
