package kit

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"boardlore/domain/finding"
	"boardlore/domain/message"
	"boardlore/domain/part"
)

// why says why a position has no part: what would do is used elsewhere, or which
// line came nearest and what forbids it.
func (t *teller) why(i int) []finding.Finding {
	x := &t.m.Positions[t.in[i]]
	key := missingKey{t.of[i], x.Function, x.Rail}
	fs, ok := t.missing[key]
	if !ok {
		fs = []finding.Finding{t.reason(i)}
		t.missing[key] = fs
	}
	return fs
}

func (t *teller) reason(i int) finding.Finding {
	row := t.row(t.of[i])
	var taken, labelled []string
	for l, k := range t.kind {
		x := &t.lines[l]
		if k == unplaced || row[k] < 0 || x.parts == 0 {
			continue
		}
		if x.labelled() {
			labelled = append(labelled, fmt.Sprint(x.Number))
		} else {
			taken = append(taken, fmt.Sprint(x.Number))
		}
	}
	switch {
	case len(taken) > 0:
		return missing("used-up", "kit.used-up", spell(taken))
	case len(labelled) > 0:
		return missing("labelled-elsewhere", "kit.labelled-elsewhere", spell(labelled))
	}
	return t.nearest(i)
}

// common is the basis of what everybody at the bench does.
var common = message.Of("basis.common-practice")

func missing(code, key string, values ...any) finding.Finding {
	return finding.Finding{Code: code, Severity: finding.Caution, Sentence: message.Of(key, values...), Basis: common}
}

// closest is how many lines, those of the closest value first, are judged in
// full for the nearest.
const closest = 12

// nearest names the line of the wanted class that the fewest rules forbid, of
// equals the one of the closest value, and what forbids it. Parts without a
// value, fuses, cells and diodes, have one as well.
func (t *teller) nearest(i int) finding.Finding {
	wanted := &t.groups[t.of[i]].wanted.Part
	lines := t.ofClass(wanted)
	if len(lines) == 0 {
		return missing("not-in-kit", "kit.not-in-kit", message.Word("class", wanted.Class))
	}
	best, least := []finding.Finding(nil), math.MaxInt
	line := unplaced
	for _, l := range lines[:min(len(lines), closest)] {
		fs := t.suit(i, l, 0)
		if n := stopsOf(fs); n < least {
			best, least, line = fs, n, l
		}
	}
	f := missing("nearest-line", "kit.nearest-line", t.line(line), t.brief(line))
	if o := t.lines[line].offer; o.Value == wanted.Value && !o.Value.IsZero() {
		f.Code = "value-only"
		f.Sentence = message.Of("kit.value-only", t.line(line), t.brief(line))
	}
	if t.lines[line].parts == 0 {
		f.Code, f.Sentence = "not-in-hand", message.Of("kit.nearest-not-in-hand", t.line(line), t.brief(line))
	}
	for _, x := range best[:least] {
		f.Sentence = f.Sentence.And(x.Sentence)
	}
	if least > 0 {
		f.Expected, f.Found, f.Limit, f.Basis = best[0].Expected, best[0].Found, best[0].Limit, best[0].Basis
	}
	return f
}

// ofClass lists the lines of a part's class, those of the closest value first.
func (t *teller) ofClass(wanted *part.Part) []int {
	var lines []int
	for l := range t.lines {
		if o := t.lines[l].offer; o != nil && o.Class == wanted.Class {
			lines = append(lines, l)
		}
	}
	far := func(l int) float64 {
		o := t.lines[l].offer
		return apart(wanted.Value.Float(), o.Value.Float())*10 + apart(wanted.Voltage.Float(), o.Voltage.Float()) +
			apart(wanted.Current.Float(), o.Current.Float())
	}
	slices.SortStableFunc(lines, func(a, b int) int { return cmp.Compare(far(a), far(b)) })
	return lines
}

// apart is how many decades lie between two ratings; some, where one is unknown.
func apart(a, b float64) float64 {
	const unknown = 1
	switch {
	case a <= 0 && b <= 0:
		return 0
	case a <= 0 || b <= 0:
		return unknown
	}
	return math.Abs(math.Log10(a / b))
}
