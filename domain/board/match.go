package board

import (
	"cmp"
	"math"
	"slices"
)

// matching says which item of one list is which item of another: now[i] is
// the place in the newer list of the older list's item i, was[k] the other way
// round; -1 stands for gone and for new.
type matching struct{ now, was []int }

func newMatching(from, to int) matching {
	m := matching{make([]int, from), make([]int, to)}
	for i := range m.now {
		m.now[i] = -1
	}
	for k := range m.was {
		m.was[k] = -1
	}
	return m
}

func (m *matching) join(i, k int) { m.now[i], m.was[k] = k, i }

func (m *matching) part(i, k int) { m.now[i], m.was[k] = -1, -1 }

// inOrder reports whether the items that both lists have stand in the same
// order in both.
func (m *matching) inOrder() bool {
	last := -1
	for _, i := range m.was {
		if i < 0 {
			continue
		}
		if i < last {
			return false
		}
		last = i
	}
	return true
}

// byKey matches items with equal keys, the first with the first where a key
// stands several times.
func byKey[T any](from, to []T, key func(*T) string) matching {
	m := newMatching(len(from), len(to))
	first := make(map[string]int, len(from))
	next := make([]int, len(from)) // the next item with the same key
	for i := len(from) - 1; i >= 0; i-- {
		k := key(&from[i])
		next[i] = -1
		if j, there := first[k]; there {
			next[i] = j
		}
		first[k] = i
	}
	for k := range to {
		name := key(&to[k])
		if i, there := first[name]; there && i >= 0 {
			m.join(i, k)
			first[name] = next[i]
		}
	}
	return m
}

// byContent matches what byKey left over: items that are the same but for
// their key.
func byContent[T any](m *matching, from, to []T, same func(a, b *T) bool) {
	for k := range to {
		if m.was[k] >= 0 {
			continue
		}
		for i := range from {
			if m.now[i] < 0 && same(&from[i], &to[k]) {
				m.join(i, k)
				break
			}
		}
	}
}

// The keys by which the entries of the lists are known.

func designator(p *Position) string         { return p.Designator }
func variantID(v *Variant) string           { return v.Variant }
func failurePointID(f *FailurePoint) string { return f.ID }
func measurementID(c *Measurement) string   { return c.ID }
func cautionText(c *Caution) string         { return c.Text }

// matchPositions finds which position is which: by designator where it has
// stayed at its place, else by the same part at the same place, so that a
// renamed position is known again, else by designator after all; what is left
// over is the same where the new body stands in the old one's room, which two
// parts can't share. Places in both maps must be in the same frame. slack is how far two places may lie
// apart and be the same, mm.
func matchPositions(from, to []Position, slack float64) matching {
	m := byKey(from, to, designator)
	names := matching{slices.Clone(m.now), slices.Clone(m.was)}
	var olds, news []int
	for i, k := range m.now {
		if k < 0 || !samePlace(&from[i], &to[k], slack) {
			olds = append(olds, i)
		}
	}
	for k, i := range m.was {
		if i < 0 || m.now[i] >= 0 && !samePlace(&from[i], &to[k], slack) {
			news = append(news, k)
		}
	}
	if len(olds) == 0 || len(news) == 0 {
		return m
	}
	s := &strays{from: from, to: to, slack: slack, m: &m, names: &names, olds: olds, news: news}
	s.match()
	return m
}

func samePlace(a, b *Position, slack float64) bool {
	return a.Side == b.Side && math.Abs(a.X-b.X) <= slack && math.Abs(a.Y-b.Y) <= slack &&
		math.Hypot(a.X-b.X, a.Y-b.Y) <= slack
}

// strays are the positions that are not where their designator was.
type strays struct {
	from, to   []Position
	slack      float64
	m          *matching // being made
	names      *matching // by designator alone
	olds, news []int
}

func (s *strays) match() {
	for _, i := range s.olds {
		if k := s.m.now[i]; k >= 0 {
			s.m.part(i, k)
		}
	}
	slices.SortFunc(s.olds, func(a, b int) int { return cmp.Or(cmp.Compare(s.from[a].X, s.from[b].X), a-b) })
	same := func(i, k int) bool { return samePart(&s.from[i].Part, &s.to[k].Part) }
	alike := func(i, k int) bool { return s.from[i].Part.Class == s.to[k].Part.Class }
	s.byPlace(same)
	s.undoDangling()
	s.byName()
	s.byPlace(alike)
	s.byRoom(same)
	s.byRoom(alike)
}

// roomUnknown is how far a part may have been moved and be known again by its
// place where the size of its body is not known, mm. Common practice.
const roomUnknown = 1

// byRoom joins strays by place whose new place is in the room of the old body.
func (s *strays) byRoom(alike func(i, k int) bool) {
	slack := s.slack
	for _, k := range s.news {
		if s.m.was[k] < 0 {
			s.slack = max(slack, room(&s.to[k]))
			s.nearest(k, func(i, k int) bool {
				return alike(i, k) && samePlace(&s.from[i], &s.to[k], max(slack, room(&s.from[i])))
			})
		}
	}
	s.slack = slack
}

// room is the least distance from a body's middle to its side, mm.
func room(p *Position) float64 {
	f, ok := footprintOf(0, p)
	if !ok {
		return roomUnknown
	}
	return min(f.along, f.across)
}

// byPlace joins strays at one place that alike accepts, nearest first.
func (s *strays) byPlace(alike func(i, k int) bool) {
	for _, k := range s.news {
		if s.m.was[k] < 0 {
			s.nearest(k, alike)
		}
	}
}

// nearest joins a stray with the nearest one that alike accepts.
func (s *strays) nearest(k int, alike func(i, k int) bool) {
	p := &s.to[k]
	start, _ := slices.BinarySearchFunc(s.olds, p.X-s.slack,
		func(i int, x float64) int { return cmp.Compare(s.from[i].X, x) })
	best, least := -1, math.Inf(1)
	for _, i := range s.olds[start:] {
		q := &s.from[i]
		if q.X > p.X+s.slack {
			break
		}
		if s.m.now[i] >= 0 || !samePlace(q, p, s.slack) || !alike(i, k) {
			continue
		}
		if d := math.Hypot(q.X-p.X, q.Y-p.Y); d < least {
			best, least = i, d
		}
	}
	if best >= 0 {
		s.m.join(best, k)
	}
}

// undoDangling takes back a chain of renamings that would leave both a
// removed and an added position behind it: that the parts were moved is the
// shorter story then.
func (s *strays) undoDangling() {
	for _, k := range s.news {
		i := s.m.was[k]
		if i < 0 || s.names.was[k] >= 0 && s.m.now[s.names.was[k]] >= 0 {
			continue // not the end of a chain
		}
		if s.names.was[k] < 0 {
			continue // its new designator is free
		}
		chain := s.chain(k)
		last := chain[len(chain)-1]
		if s.names.now[s.m.was[last]] < 0 {
			continue // its old designator is gone
		}
		for _, k := range chain {
			s.m.part(s.m.was[k], k)
		}
	}
}

// chain follows renamings from the one that ends at k: what has taken the old
// designator of that, and so on.
func (s *strays) chain(k int) []int {
	chain := []int{k}
	for {
		next := s.names.now[s.m.was[k]]
		if next < 0 || s.m.was[next] < 0 {
			return chain
		}
		k = next
		chain = append(chain, k)
	}
}

// byName joins what is left by designator.
func (s *strays) byName() {
	for _, k := range s.news {
		if i := s.names.was[k]; i >= 0 && s.m.was[k] < 0 && s.m.now[i] < 0 {
			s.m.join(i, k)
		}
	}
}
