package board

import (
	"slices"
)

// SafetyView is what the released revisions of a board told of each position,
// build and check, statement by statement, so that a correction can be held to
// all of them without reading them again. Each release is folded into it; it
// can be made anew from the revisions at any time. Places are in the frame of
// the newest revision. The zero view is that of a board without a revision.
type SafetyView struct {
	Through   int            `json:"through"`   // the newest revision in it
	Revisions []int          `json:"revisions"` // those in it, oldest first
	Positions []ToldPosition `json:"positions"`
	Variants  []ToldVariant  `json:"variants"`
	Checks    []ToldCheck    `json:"checks"`
	Forgotten int            `json:"forgotten,omitzero"` // the newest revision of which something is no longer in it
}

// maxStatements is how many statements about positions a view holds, beyond
// those of its newest revision. The oldest are forgotten first, and a judgement
// says so.
const maxStatements = 20_000

// Span is the revisions in which something was told, without a break.
type Span struct {
	First int `json:"first"`
	Last  int `json:"last"`
}

// ToldPosition is a position as one build had it; the base map's where Build
// is empty. Of a variant only the positions that it changes are told.
type ToldPosition struct {
	Span
	Build    string   `json:"build,omitzero"`
	Position Position `json:"position"`
}

// ToldVariant is how a build was told from the others.
type ToldVariant struct {
	Span
	Variant      string `json:"variant"`
	IdentifiedBy string `json:"identified_by"`
}

// ToldCheck is a check.
type ToldCheck struct {
	Span
	Check Measurement `json:"check"`
}

// Fold takes a released revision into the view. before is the map of the
// newest revision in it, nil where there is none.
func (v *SafetyView) Fold(number int, before, m *Map) {
	if before != nil {
		v.reframe(reframed(before, m))
	}
	last := v.Through
	v.Through, v.Revisions = number, append(v.Revisions, number)
	at := map[[2]string]int{}
	for i := range v.Positions {
		if t := &v.Positions[i]; t.Last == last {
			at[[2]string{t.Build, t.Position.Designator}] = i
		}
	}
	for _, b := range effectiveBuilds(m) {
		for _, p := range b.told {
			q := *p
			q.Extra = nil
			if i, there := at[[2]string{b.name, p.Designator}]; there && samePosition(&v.Positions[i].Position, &q) {
				v.Positions[i].Last = number
				continue
			}
			v.Positions = append(v.Positions, ToldPosition{Span{number, number}, b.name, q})
		}
	}
	v.foldVariants(last, number, m)
	v.foldChecks(last, number, m)
	v.forget(maxStatements)
}

// forget drops the oldest statements about positions, so that most are left
// beside those that the newest revision makes.
func (v *SafetyView) forget(most int) {
	var old []int // revisions in which what is no longer told was told last
	for i := range v.Positions {
		if t := &v.Positions[i]; t.Last < v.Through {
			old = append(old, t.Last)
		}
	}
	if len(old) <= most {
		return
	}
	slices.Sort(old)
	v.Forgotten = max(v.Forgotten, old[len(old)-most-1])
	v.Positions = slices.DeleteFunc(v.Positions, func(t ToldPosition) bool { return t.Last <= v.Forgotten })
}

func (v *SafetyView) foldVariants(last, number int, m *Map) {
	for i := range m.Variants {
		x := &m.Variants[i]
		k := slices.IndexFunc(v.Variants, func(t ToldVariant) bool {
			return t.Last == last && t.Variant == x.Variant && t.IdentifiedBy == x.IdentifiedBy
		})
		if k >= 0 {
			v.Variants[k].Last = number
			continue
		}
		v.Variants = append(v.Variants, ToldVariant{Span{number, number}, x.Variant, x.IdentifiedBy})
	}
}

func (v *SafetyView) foldChecks(last, number int, m *Map) {
	for i := range m.Checks {
		c := m.Checks[i]
		c.Extra = nil
		k := slices.IndexFunc(v.Checks, func(t ToldCheck) bool {
			return t.Last == last && sameMeasurement(&t.Check,
				&c)
		})
		if k >= 0 {
			v.Checks[k].Last = number
			continue
		}
		v.Checks = append(v.Checks, ToldCheck{Span{number, number}, c})
	}
}

// reframe brings every place that was told into a new frame.
func (v *SafetyView) reframe(t *Transform) {
	if t == nil {
		return
	}
	for i := range v.Positions {
		v.Positions[i].Position = t.position(v.Positions[i].Position)
	}
}

// effective is one build with the positions that it tells of.
type effective struct {
	name string
	told []*Position
	by   map[string]*Position // every position of the build that differs from the base map; for the base all
	gone map[string]bool      // positions of the base map that the build lacks
}

// effectiveBuilds gives the base map and every variant, the variants by what
// they change.
func effectiveBuilds(m *Map) []effective {
	base := effective{by: make(map[string]*Position, len(m.Positions))}
	for i := range m.Positions {
		p := &m.Positions[i]
		base.told, base.by[p.Designator] = append(base.told, p), p
	}
	out := []effective{base}
	for i := range m.Variants {
		out = append(out, effectiveBuild(base.by, &m.Variants[i]))
	}
	return out
}

func effectiveBuild(base map[string]*Position, v *Variant) effective {
	b := effective{name: v.Variant, by: map[string]*Position{}, gone: map[string]bool{}}
	changes := changesOf(v)
	for i := range v.Changes {
		name := target(&v.Changes[i])
		p := effectivePosition(base, changes, name)
		switch {
		case p == nil:
			b.gone[name] = true
		case b.by[p.Designator] == nil:
			b.told, b.by[p.Designator] = append(b.told, p), p
		}
		if p != nil && p.Designator != name && base[name] != nil {
			b.gone[name] = true
		}
	}
	return b
}

// position finds a position of a build, with base the positions of the base map.
func (b *effective) position(base map[string]*Position, name string) *Position {
	if p := b.by[name]; p != nil || b.gone[name] {
		return p
	}
	return base[name]
}
