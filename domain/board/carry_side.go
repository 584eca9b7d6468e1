package board

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/message"
)

// sides are the three maps in one frame, and in the end under one set of
// designators.
type sides struct {
	base, current, proposed *Map
	frames                  [3]Frame        // of base, current and proposed, brought into the frame of the result
	toCurrent, toProposed   matching        // of the base's positions
	from                    []origin        // of each position of the result
	disputed                map[string]bool // what the base calls the positions that one side took out and the other changed
}

// sides brings the maps into one frame. Where both sides changed it, each in
// its own way, that is a conflict, and the current side's frame stands.
func (f *carrier) sides(base, current, proposed *Map) *sides {
	toCurrent, toProposed := reframed(base, current), reframed(base, proposed)
	s := &sides{base: base, current: current, proposed: proposed, frames: [3]Frame{base.Frame, current.Frame,
		proposed.Frame}}
	s.toCurrent, s.toProposed = matchFrom(base, current, toCurrent), matchFrom(base, proposed, toProposed)
	switch {
	case toCurrent == nil && toProposed == nil:
	case toProposed == nil:
		s.base, s.proposed = toCurrent.apply(base), toCurrent.follow(base, proposed, s.toProposed)
		s.frames[0], s.frames[2] = toCurrent.frames(&base.Frame, &current.Frame, &proposed.Frame)
	case toCurrent == nil:
		s.base, s.current = toProposed.apply(base), toProposed.follow(base, current, s.toCurrent)
		s.frames[0], s.frames[1] = toProposed.frames(&base.Frame, &proposed.Frame, &current.Frame)
	case toCurrent.sameMotion(toProposed):
		s.base = toCurrent.apply(base)
	default:
		f.clashOfFrames(toCurrent, toProposed)
		s.base = toCurrent.apply(base)
		s.frames[2].Width, s.frames[2].Height, s.frames[2].Outline = base.Frame.Width, base.Frame.Height,
			base.Frame.Outline // told already
		s.proposed = toCurrent.follow(base, toProposed.inverse().returned(base, proposed, s.toProposed), s.toProposed)
	}
	return s
}

// matchFrom matches the base's positions with a side's, in the side's frame.
func matchFrom(base, side *Map, t *Transform) matching {
	return matchPositions(t.apply(base).Positions, side.Positions, slackOf(&base.Frame, &side.Frame))
}

func (f *carrier) clashOfFrames(current, proposed *Transform) {
	x, y := *current, *proposed
	x.Adjusted, y.Adjusted = nil, nil
	f.clash([]string{"frame"}, nil, &x, &y)
	f.conflicts[len(f.conflicts)-1].Sentence = message.Of("carry.frames", current.sentence(), proposed.sentence())
}

func (t *Transform) sameMotion(u *Transform) bool {
	return t.Mirrored == u.Mirrored && t.Turned == u.Turned && t.Sides == u.Sides && t.Kept == u.Kept &&
		near(t.Shift[0], t.Shift[1], u.Shift[0], u.Shift[1])
}

// inverse leads back.
func (t *Transform) inverse() *Transform {
	u := &Transform{Mirrored: t.Mirrored, Turned: t.Turned, Sides: t.Sides, Kept: t.Kept}
	if !t.Mirrored {
		u.Turned = normal(360 - t.Turned)
	}
	x, y := u.point(t.Shift[0], t.Shift[1])
	u.Shift = [2]float64{tidy(-x), tidy(-y)}
	return u
}

// follow gives a map that is in the base's frame in the new one. What stands
// where the base has it goes exactly where the base's goes.
func (t *Transform) follow(base, m *Map, toMap matching) *Map {
	plain := *t
	plain.Adjusted = nil
	out := plain.apply(m)
	adjusted := make(map[string]*Adjustment, len(t.Adjusted))
	for i := range t.Adjusted {
		adjusted[t.Adjusted[i].Designator] = &t.Adjusted[i]
	}
	for i, k := range toMap.now {
		if a := adjusted[base.Positions[i].Designator]; a != nil && k >= 0 {
			b := plain.position(base.Positions[i])
			out.Positions[k].adjust(&b, a)
		}
	}
	return out
}

// adjust takes the exact figures of b for whatever b and p have in common.
func (p *Position) adjust(b *Position, exact *Adjustment) {
	if p.X == b.X {
		p.X = exact.X
	}
	if p.Y == b.Y {
		p.Y = exact.Y
	}
	if p.Rotation == b.Rotation {
		p.Rotation = exact.Rotation
	}
	if sameFlag(p.Negative, b.Negative) {
		p.Negative = exact.Negative
	}
}

// returned gives a map in the base's frame again; what is near the base's
// place is at the base's place.
func (t *Transform) returned(base, m *Map, toMap matching) *Map {
	out := t.apply(m)
	for i, k := range toMap.now {
		if k < 0 {
			continue
		}
		b, p := &base.Positions[i], &out.Positions[k]
		if near(b.X, b.Y, p.X, p.Y) {
			p.X, p.Y = b.X, b.Y
		}
		if sameAngle(b.Rotation, p.Rotation) {
			p.Rotation = b.Rotation
		}
	}
	return out
}

// frames brings the outline of the other side along where the side that
// changed the frame took its own along.
func (t *Transform) frames(base, changed, other *Frame) (b, o Frame) {
	b, o = *base, *other
	moved := t.frame(*base)
	if !sameShape(&moved, changed) {
		return b, o
	}
	b.Width, b.Height, b.Outline = changed.Width, changed.Height, changed.Outline
	if sameShape(base, other) {
		o.Width, o.Height, o.Outline = b.Width, b.Height, b.Outline
		return b, o
	}
	return b, t.frame(*other)
}

// frame gives the outline and the size in the new frame.
func (t *Transform) frame(f Frame) Frame {
	if t.Turned == 90 || t.Turned == 270 {
		f.Width, f.Height = f.Height, f.Width
	}
	f.Outline = slices.Clone(f.Outline)
	for i, p := range f.Outline {
		f.Outline[i][0], f.Outline[i][1] = t.point(p[0], p[1])
	}
	return f
}

func sameShape(a, b *Frame) bool {
	return near(a.Width, a.Height, b.Width, b.Height) && (a.Outline == nil) == (b.Outline == nil) &&
		slices.EqualFunc(a.Outline, b.Outline, func(p, q [2]float64) bool { return near(p[0], p[1], q[0], q[1]) })
}

func (f *carrier) frame(out *Map, s *sides) {
	b, c, p := &s.frames[0], &s.frames[1], &s.frames[2]
	out.Frame = Frame{
		Width: plainly(f, "frame.width_mm", b.Width, c.Width, p.Width), Height: plainly(f, "frame.height_mm", b.Height,
			c.Height, p.Height),
		Outline: merged(f, "frame.outline", b.Outline, c.Outline, p.Outline, sameList), Basis: plainly(f, "frame.basis",
			b.Basis, c.Basis, p.Basis),
		Uncertainty: flagged(f, "frame.uncertainty_mm", b.Uncertainty, c.Uncertainty, p.Uncertainty),
		Extra:       f.own([]string{"frame"}, b.Extra, c.Extra, p.Extra)}
}

// gone marks a designator that one side still names and that the result does
// not have. No designator begins like this.
const gone = "\x00"

// rename makes every side call the positions as the result does.
func (s *sides) rename(out *Map) {
	for j, side := range []**Map{&s.base, &s.current, &s.proposed} {
		m := *side
		kept := make([]bool, len(m.Positions))
		renamed := map[string]string{}
		for k := range s.from {
			i := s.from[k][j]
			if i < 0 {
				continue
			}
			kept[i] = true
			if d := m.Positions[i].Designator; d != out.Positions[k].Designator {
				renamed[d] = out.Positions[k].Designator
			}
		}
		for i := range kept {
			if !kept[i] {
				renamed[m.Positions[i].Designator] = gone + s.baseName(j, i)
			}
		}
		if j == 2 {
			s.dispute(m, kept)
		}
		*side = m.named(renamed)
	}
}

// baseName is what the base calls a position of a side.
func (s *sides) baseName(side, i int) string {
	switch {
	case side == 1 && s.toCurrent.was[i] >= 0:
		i = s.toCurrent.was[i]
	case side == 2 && s.toProposed.was[i] >= 0:
		i = s.toProposed.was[i]
	}
	return s.base.Positions[i].Designator
}

// dispute notes the positions that the proposal changes and the result has
// not: that is a conflict already.
func (s *sides) dispute(proposed *Map, kept []bool) {
	s.disputed = map[string]bool{}
	for n, i := range s.toProposed.was {
		if i >= 0 && !kept[n] && !samePosition(&s.base.Positions[i], &proposed.Positions[n]) {
			s.disputed[s.base.Positions[i].Designator] = true
		}
	}
}

// named gives the map with other designators wherever it refers to positions;
// the positions themselves stay as they are.
func (m *Map) named(renamed map[string]string) *Map {
	if len(renamed) == 0 {
		return m
	}
	out := *m
	out.FailurePoints = slices.Clone(m.FailurePoints)
	for i := range out.FailurePoints {
		out.FailurePoints[i].Positions = newNames(out.FailurePoints[i].Positions, renamed)
	}
	out.Variants = slices.Clone(m.Variants)
	for i := range out.Variants {
		out.Variants[i].Changes = newTargets(out.Variants[i].Changes, renamed)
	}
	out.Checks = slices.Clone(m.Checks)
	for i := range out.Checks {
		out.Checks[i].Between = newPoints(out.Checks[i].Between, renamed)
	}
	return &out
}

func newNames(names []string, renamed map[string]string) []string {
	names = slices.Clone(names)
	for i, d := range names {
		if to := renamed[d]; to != "" {
			names[i] = to
		}
	}
	return names
}

// newTargets renames what a variant changes. A part that it fits in place of
// one that it omits is called as that one.
func newTargets(changes []Change, renamed map[string]string) []Change {
	changes = slices.Clone(changes)
	omitted := map[string]bool{}
	for i := range changes {
		c := &changes[i]
		switch {
		case c.Omit != "":
			omitted[c.Omit] = true
			if to := renamed[c.Omit]; to != "" {
				c.Omit = to
			}
		case c.Fit != nil:
			if to := renamed[c.Fit.Designator]; to != "" && omitted[c.Fit.Designator] && !strings.HasPrefix(to, gone) {
				p := *c.Fit
				p.Designator = to
				c.Fit = &p
			}
		default:
			if to := renamed[c.Designator]; to != "" {
				c.Designator = to
			}
		}
	}
	return changes
}

// newPoints renames the designators that measuring points begin with. A point
// in words may name what is no position, so what is gone stays.
func newPoints(points []string, renamed map[string]string) []string {
	points = slices.Clone(points)
	for i, point := range points {
		d := designatorIn(point)
		if to := renamed[d]; d != "" && to != "" && !strings.HasPrefix(to, gone) {
			points[i] = to + point[len(d):]
		}
	}
	return points
}

// dangling finds what the result cannot keep together: references of one side
// to a position that the other took out, and two positions of one designator.
func (f *carrier) dangling(out *Map, s *sides) {
	for i := range out.FailurePoints {
		p := &out.FailurePoints[i]
		for j, d := range p.Positions {
			if name, is := strings.CutPrefix(d, gone); is {
				p.Positions = slices.Clone(p.Positions)
				p.Positions[j] = name
				f.lost(s, name, "failure_points/"+p.ID+".positions", fmt.Sprintf("/failure_points/%d/positions/%d", i,
					j))
			}
		}
	}
	for i := range out.Variants {
		v := &out.Variants[i]
		for j := range v.Changes {
			if name, is := strings.CutPrefix(target(&v.Changes[j]), gone); is {
				v.Changes = slices.Clone(v.Changes)
				c := &v.Changes[j]
				c.Designator, c.Omit = strings.TrimPrefix(c.Designator, gone), strings.TrimPrefix(c.Omit, gone)
				f.lost(s, name, "variants/"+v.Variant+".changes/"+name, fmt.Sprintf("/variants/%d/changes/%d", i, j))
			}
		}
	}
	f.twice(out, s)
}

// lost notes a reference to a position that one side took out. Where that is
// a conflict by itself, its references are not others.
func (f *carrier) lost(s *sides, name, member, pointer string) {
	if s.disputed[name] {
		return
	}
	f.conflicts = append(f.conflicts, Conflict{Designator: name, Member: member, Pointer: pointer, Base: raw(name),
		Sentence: message.Of("carry.lost", name, strings.ReplaceAll(member, "_", " "))})
}

// twice finds designators that each side gave to another position.
func (f *carrier) twice(out *Map, s *sides) {
	first := make(map[string]int, len(out.Positions))
	for k := range out.Positions {
		d := out.Positions[k].Designator
		j, dup := first[d]
		if !dup {
			first[d] = k
			continue
		}
		mine, other := s.from[k], s.from[j]
		if mine[2] < 0 || other[2] >= 0 && s.proposed.Positions[mine[2]].Designator != d {
			mine, other = other, mine
		}
		c := Conflict{Designator: d, Member: "designator", Pointer: "/positions",
			Current: carried(nameAt(s.current, other[1])), Proposed: carried(nameAt(s.proposed, mine[2])),
			Sentence: message.Of("carry.twice", d)}
		if mine[2] >= 0 {
			c.Pointer = "/positions/" + strconv.Itoa(mine[2]) + "/designator"
		}
		f.conflicts = append(f.conflicts, c)
	}
}

func nameAt(m *Map, i int) string {
	if i < 0 {
		return ""
	}
	return m.Positions[i].Designator
}
