package board

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// listing says how a list of entries is merged.
type listing[T any] struct {
	name  string // member that holds the list
	key   func(*T) string
	label func(*T) string    // what a conflict calls an entry; its key where nil
	alike func(a, b *T) bool // same but for the key; nil where that means nothing
	same  func(a, b *T) bool
	merge func(b, c, p *T) T
	scope func(e *T, plain scope) scope // other than plain; nil where not
}

func (l *listing[T]) match(from, to []T) matching {
	m := byKey(from, to, l.key)
	if l.alike != nil {
		byContent(&m, from, to, l.alike)
	}
	return m
}

// mergeList merges a list that may be absent.
func mergeList[T any](f *carrier, l listing[T], b, c, p []T) []T {
	out, _ := mergeMatched(f, l, b, c, p, l.match(b, c), l.match(b, p))
	if absent, _ := settled(b == nil, c == nil, p == nil, equal); absent && len(out) == 0 {
		return nil
	}
	return out
}

// origin tells where an entry of a merged list stands on each side: base,
// current, proposed; -1 for nowhere.
type origin [3]int

// mergeMatched merges a list whose entries are matched already. The entries of
// the base come first: in the order of the current side, or of the proposed
// one where only that changed the order.
func mergeMatched[T any](f *carrier, l listing[T], b, c, p []T, toCurrent, toProposed matching) ([]T, []origin) {
	entries := append(old(toCurrent, toProposed), fresh(l, c, p, toCurrent, toProposed)...)
	out, from := make([]T, 0, len(entries)), make([]origin, 0, len(entries))
	for _, e := range entries {
		if v := l.entry(f, e, element(b, e[0]), element(c, e[1]), element(p, e[2])); v != nil {
			out, from = append(out, *v), append(from, e)
		}
	}
	return out, from
}

func element[T any](list []T, i int) *T {
	if i < 0 {
		return nil
	}
	return &list[i]
}

// old lists the entries of the base.
func old(toCurrent, toProposed matching) []origin {
	var out []origin
	if toCurrent.inOrder() && !toProposed.inOrder() {
		for k, i := range toProposed.was {
			if i >= 0 {
				out = append(out, origin{i, toCurrent.now[i], k})
			}
		}
		for i, k := range toProposed.now {
			if k < 0 {
				out = append(out, origin{i, toCurrent.now[i], -1})
			}
		}
		return out
	}
	for k, i := range toCurrent.was {
		if i >= 0 {
			out = append(out, origin{i, k, toProposed.now[i]})
		}
	}
	for i, k := range toCurrent.now {
		if k < 0 {
			out = append(out, origin{i, -1, toProposed.now[i]})
		}
	}
	return out
}

// fresh lists the entries that the base does not have, in the order of their
// keys; two with one key are one.
func fresh[T any](l listing[T], c, p []T, toCurrent, toProposed matching) []origin {
	var out []origin
	waiting := map[string][]int{}
	for k, i := range toCurrent.was {
		if i < 0 {
			key := l.key(&c[k])
			waiting[key] = append(waiting[key], len(out))
			out = append(out, origin{-1, k, -1})
		}
	}
	for n, i := range toProposed.was {
		if i >= 0 {
			continue
		}
		key := l.key(&p[n])
		if w := waiting[key]; len(w) > 0 {
			out[w[0]][2], waiting[key] = n, w[1:]
			continue
		}
		out = append(out, origin{-1, -1, n})
	}
	key := func(e origin) string {
		if e[1] >= 0 {
			return l.key(&c[e[1]])
		}
		return l.key(&p[e[2]])
	}
	slices.SortStableFunc(out, func(x, y origin) int { return CompareDesignators(key(x), key(y)) })
	return out
}

// entry merges one entry, nil where it is gone.
func (l *listing[T]) entry(f *carrier, e origin, b, c, p *T) *T {
	same := func(x, y *T) bool {
		if x == nil || y == nil {
			return x == y
		}
		return l.same(x, y)
	}
	switch v, ok := settled(b, c, p, same); {
	case ok:
		return v
	case b == nil && c == nil:
		return p
	case b == nil && p == nil:
		return c
	}
	named, i := cmp.Or(b, c), e[2]
	if i < 0 {
		i = e[1]
	}
	label := l.label
	if label == nil {
		label = l.key
	}
	s := scope{designator: f.designator, whole: f.prefix + l.name + "/" + strings.TrimPrefix(label(named), gone),
		pointer: f.pointer + "/" + l.name + "/" + strconv.Itoa(i)}
	s.prefix = s.whole + "."
	if l.scope != nil {
		s = l.scope(named, s)
	}
	outer := f.scope
	f.scope = s
	v := nested(f, nil, b, c, p, same, l.merge)
	f.scope = outer
	return v
}

// lists merges the lists other than the positions.
func (f *carrier) lists(out, b, c, p *Map) {
	out.Markings = mergeList(f, names("markings"), b.Markings, c.Markings, p.Markings)
	out.Variants = mergeList(f, f.variants(), b.Variants, c.Variants, p.Variants)
	out.FailurePoints = mergeList(f, f.failurePoints(), b.FailurePoints, c.FailurePoints, p.FailurePoints)
	out.Checks = mergeList(f, f.measurements(), b.Checks, c.Checks, p.Checks)
	out.Cautions = mergeList(f, f.cautions(), b.Cautions, c.Cautions, p.Cautions)
	out.Photographs = mergeList(f, f.photographs(), b.Photographs, c.Photographs, p.Photographs)
}

// names is a list of texts, of which each is there or not.
func names(member string) listing[string] {
	return listing[string]{name: member, key: func(s *string) string { return *s },
		same: func(a, b *string) bool { return *a == *b }}
}

func (f *carrier) variants() listing[Variant] {
	return listing[Variant]{name: "variants", key: variantID, alike: sameVariantContent, same: sameVariant,
		merge: func(b, c, p *Variant) Variant {
			return Variant{Variant: plainly(f, "variant", b.Variant, c.Variant, p.Variant), Title: plainly(f, "title",
				b.Title, c.Title, p.Title),
				IdentifiedBy: plainly(f, "identified_by", b.IdentifiedBy, c.IdentifiedBy, p.IdentifiedBy),
				Markings:     mergeList(f, names("markings"), b.Markings, c.Markings, p.Markings),
				Changes:      mergeList(f, f.changes(), b.Changes, c.Changes, p.Changes), Extra: f.own(nil, b.Extra,
					c.Extra, p.Extra)}
		}}
}

func (f *carrier) changes() listing[Change] {
	return listing[Change]{name: "changes", key: changeKey, label: target,
		same: func(a, b *Change) bool { return sameChange(*a, *b) },
		scope: func(c *Change, s scope) scope {
			s.designator = strings.TrimPrefix(target(c), gone)
			return s
		},
		merge: func(b, c, p *Change) Change {
			out := Change{Designator: c.Designator, Omit: c.Omit, Extra: f.own(nil, b.Extra, c.Extra, p.Extra)}
			out.Set = f.value([]string{"set"}, b.Set, c.Set, p.Set)
			inner := f.scope
			f.prefix, f.pointer = f.prefix+"fit.", f.pointer+"/fit"
			out.Fit = nested(f, nil, b.Fit, c.Fit, p.Fit, sameFit, f.position)
			f.scope = inner
			return out
		}}
}

func sameFit(a, b *Position) bool {
	if a == nil || b == nil {
		return a == b
	}
	return samePosition(a, b)
}

// changeKey tells the changes of a variant apart. A position that is omitted
// and fitted anew has two, and they have to stay in this order.
func changeKey(c *Change) string {
	act := "\x012"
	switch {
	case c.Omit != "":
		act = "\x011"
	case c.Fit != nil:
		act = "\x013"
	}
	return target(c) + act
}

func (f *carrier) failurePoints() listing[FailurePoint] {
	return listing[FailurePoint]{name: "failure_points", key: failurePointID, alike: sameFailurePointContent,
		same: sameFailurePoint,
		merge: func(b, c, p *FailurePoint) FailurePoint {
			return FailurePoint{ID: plainly(f, "id", b.ID, c.ID, p.ID), Title: plainly(f, "title", b.Title, c.Title,
				p.Title),
				Mechanism:   plainly(f, "mechanism", b.Mechanism, c.Mechanism, p.Mechanism),
				Positions:   mergeList(f, names("positions"), b.Positions, c.Positions, p.Positions),
				Symptoms:    mergeList(f, names("symptoms"), b.Symptoms, c.Symptoms, p.Symptoms),
				Consequence: plainly(f, "consequence", b.Consequence, c.Consequence, p.Consequence),
				Severity:    plainly(f, "severity", b.Severity, c.Severity, p.Severity),
				BarsPowerUp: flagged(f, "bars_power_up", b.BarsPowerUp, c.BarsPowerUp, p.BarsPowerUp),
				Remedy:      plainly(f, "remedy", b.Remedy, c.Remedy, p.Remedy), Extra: f.own(nil, b.Extra, c.Extra,
					p.Extra)}
		}}
}

func (f *carrier) measurements() listing[Measurement] {
	return listing[Measurement]{name: "checks", key: measurementID, alike: sameMeasurementContent,
		same: sameMeasurement,
		merge: func(b, c, p *Measurement) Measurement {
			return Measurement{ID: plainly(f, "id", b.ID, c.ID, p.ID), Title: plainly(f, "title", b.Title, c.Title,
				p.Title),
				When: plainly(f, "when", b.When, c.When, p.When), Measure: plainly(f, "measure", b.Measure, c.Measure,
					p.Measure),
				Between: merged(f, "between", b.Between, c.Between, p.Between, slices.Equal),
				Expect: nested(f, []string{"expect"}, b.Expect, c.Expect, p.Expect, sameRange,
					func(b, c, p *Range) Range {
						return Range{Min: plainly(f, "expect.min", b.Min, c.Min, p.Min), Max: plainly(f, "expect.max",
							b.Max, c.Max, p.Max),
							Extra: f.own([]string{"expect"}, b.Extra, c.Extra, p.Extra)}
					}),
				Note: plainly(f, "note", b.Note, c.Note, p.Note), Extra: f.own(nil, b.Extra, c.Extra, p.Extra)}
		}}
}

func (f *carrier) cautions() listing[Caution] {
	return listing[Caution]{name: "cautions", key: cautionText, same: sameCaution,
		merge: func(b, c, p *Caution) Caution {
			return Caution{Text: c.Text, When: plainly(f, "when", b.When, c.When, p.When), Extra: f.own(nil, b.Extra,
				c.Extra, p.Extra)}
		}}
}

func photographSHA256(p *Photograph) string { return p.SHA256 }

func (f *carrier) photographs() listing[Photograph] {
	return listing[Photograph]{name: "photographs", key: photographSHA256, alike: samePhotographContent,
		same: samePhotograph,
		merge: func(b, c, p *Photograph) Photograph {
			return Photograph{SHA256: plainly(f, "sha256", b.SHA256, c.SHA256, p.SHA256), Side: plainly(f, "side",
				b.Side, c.Side, p.Side),
				Points: merged(f, "points", b.Points, c.Points, p.Points, func(a, b []PhotographPoint) bool {
					return (a == nil) == (b == nil) && slices.EqualFunc(a, b, samePhotographPoint)
				}),
				Taken:   plainly(f, "taken", b.Taken, c.Taken, p.Taken),
				Licence: plainly(f, "licence", b.Licence, c.Licence, p.Licence), Extra: f.own(nil, b.Extra, c.Extra,
					p.Extra)}
		}}
}
