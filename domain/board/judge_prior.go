package board

import (
	"cmp"
	"math"
	"slices"
)

// renamedFrom finds what stood at a position's place under another name.
func (j *judge) renamedFrom(was, now *effective, q *Position) *Position {
	for _, i := range j.near(q) {
		h := &j.told[i]
		if h.Last != j.view.Through || h.Build != "" && h.Build != was.name {
			continue
		}
		name := h.Position.Designator
		if p := was.position(j.was[0].by, name); p != nil && now.position(j.now[0].by, name) == nil {
			return p
		}
	}
	return nil
}

// priors finds what was told of a position's name or place in the same build,
// else in the base map, else of a like part that is no longer anywhere; the
// newest first.
func (j *judge) priors(b *effective, q *Position) []int {
	places := j.near(q)
	for _, build := range []string{b.name, ""} {
		out := slices.Clone(j.byName[[2]string{build, q.Designator}])
		for _, i := range places {
			told := j.toldAt(i)
			h := &told
			if h.Build == build && h.Position.Designator != q.Designator && (protects(&h.Position.Part) ||
				samePlace(&h.Position, q, j.d.slack) || !j.stillThere(b, h)) {
				out = append(out, i)
			}
		}
		if len(out) > 0 {
			return j.newestFirst(out)
		}
	}
	return j.vanished(b, q)
}

func (j *judge) newestFirst(of []int) []int {
	slices.SortFunc(of, func(a, b int) int { return cmp.Or(j.told[b].Last-j.told[a].Last, a-b) })
	return of
}

// stillThere tells that what was told is still told of its own place and name,
// so that another position beside it has nothing to do with it.
func (j *judge) stillThere(b *effective, h *ToldPosition) bool {
	p := b.position(j.now[0].by, h.Position.Designator)
	return p != nil && samePlace(p, &h.Position, max(j.d.slack, room(&h.Position)))
}

// near finds what was told of a position's place, which is the room of its
// body.
func (j *judge) near(q *Position) []int {
	own := max(j.d.slack, room(q))
	reach := max(own, j.widest)
	start, _ := slices.BinarySearchFunc(j.byPlace, q.X-reach,
		func(i int, x float64) int { return cmp.Compare(j.place[i][0], x) })
	var out []int
	for _, i := range j.byPlace[start:] {
		if j.place[i][0] > q.X+reach {
			break
		}
		if math.Abs(j.place[i][1]-q.Y) > reach {
			continue
		}
		if h := j.toldAt(i); samePlace(&h.Position, q, max(own, j.rooms[i])) {
			out = append(out, i)
		}
	}
	return out
}

// strayed is how far a part that left one place and turned up at another is
// looked for, mm. Common practice: a thumb's width.
const strayed = 20

// vanished finds the nearest like part that was told of and that the build
// lacks.
func (j *judge) vanished(b *effective, q *Position) []int {
	if !relevant(q) {
		return nil
	}
	best, least := -1, math.Inf(1)
	for i := range j.told {
		h := &j.told[i].Position
		if j.told[i].Build != "" && j.told[i].Build != b.name || b.position(j.now[0].by, h.Designator) != nil ||
			h.Part.Class != q.Part.Class || !likeValues(h.Part.Value, q.Part.Value) {
			continue
		}
		if d := math.Hypot(j.place[i][0]-q.X, j.place[i][1]-q.Y); d <= strayed && (d < least || d == least &&
			j.told[i].Last > j.told[best].Last) {
			best, least = i, d
		}
	}
	if best < 0 {
		return nil
	}
	return []int{best}
}
