package board

import (
	"slices"

	"boardlore/domain/message"
)

// What no rule found to be a hazard is held to the table of what is harmless, and
// is a hazard where no way of it covers the change. Where a position is one
// already that says more, so this is asked last.

// unproved is what is not shown to be harmless of one position of a build.
type unproved struct {
	build    string
	at       *Position
	revision int
	why      []weak
}

// holdToTable keeps what the table does not cover in the change of a position
// from what the current revision tells of it, and from what older ones told under
// its name, or, where it comes back, of its place.
func (j *judge) holdToTable(b *effective, c, q *Position, priors []int) {
	hold := func(a, known *Position, revision int) {
		if why := unshown(a, q, known); len(why) > 0 {
			j.open = append(j.open, unproved{b.name, q, revision, why})
		}
	}
	if c != nil {
		hold(c, nil, j.view.Through)
		if c.Designator != q.Designator && j.toldElsewhere(q) {
			j.open = append(j.open, unproved{b.name, q, j.view.Through, []weak{unknownly("designator",
				message.Text(c.Designator), message.Text(q.Designator))}})
		}
	}
	if c == nil && len(priors) == 0 {
		if why := unshownAddition(q); len(why) > 0 {
			j.open = append(j.open, unproved{b.name, q, j.view.Through, why})
		}
		return
	}
	for n, i := range priors {
		told := j.toldAt(i)
		if h := &told.Position; h.Designator == q.Designator && told.Last < j.view.Through || c == nil && n == 0 {
			hold(h, c, told.Last)
		}
	}
}

// toldElsewhere tells that a name was told of another place.
func (j *judge) toldElsewhere(q *Position) bool {
	return slices.ContainsFunc(j.byName[[2]string{"", q.Designator}], func(i int) bool {
		told := j.toldAt(i)
		return !samePlace(&told.Position, q, max(j.d.slack, room(q)))
	})
}

// defaults adds what is not shown to be harmless of positions of which nothing
// else was found.
func (j *judge) defaults() {
	for i, k := range j.d.match.now {
		if p := &j.d.from.Positions[i]; k < 0 && j.d.unshownRemoval(p) {
			j.open = append(j.open, unproved{"", p, j.view.Through, []weak{goneUnshown(p)}})
		}
	}
	for i := range j.now {
		b, before := &j.now[i], j.before(j.now[i].name)
		for name := range b.gone {
			p := j.now[0].by[name]
			if p == nil || before != nil && before.gone[name] || !j.d.unshownRemoval(p) || b.fits(p) {
				continue
			}
			j.open = append(j.open, unproved{b.name, p, j.view.Through, []weak{goneUnshown(p)}})
		}
	}
	slices.SortStableFunc(j.open, func(a, b unproved) int {
		return CompareDesignators(a.at.Designator, b.at.Designator)
	})
	found := j.of
	j.of = map[[2]string]bool{}
	for _, u := range j.open {
		if found[[2]string{u.at.Designator, u.build}] || found[[2]string{u.at.Designator, ""}] ||
			u.build != "" && found[[2]string{"", u.build}] {
			continue
		}
		for _, w := range u.why {
			j.add(u.build, u.at, u.revision, w)
		}
	}
}

// fits tells that a build has a position of its own where one of the base map is.
func (b *effective) fits(p *Position) bool {
	return slices.ContainsFunc(b.told, func(q *Position) bool { return samePlace(p, q, max(room(p), room(q))) })
}

func goneUnshown(p *Position) weak {
	return weak{message.Of("hazard.gone-not-shown"), claim(p).sentence(), message.Of("map.nothing")}
}
