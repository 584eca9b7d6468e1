package kit

import (
	"fmt"
	"slices"
)

// The second, provisional pass. The sure lines have been placed by their own
// optimum. What they leave empty may be filled by lines that a person still has
// to confirm: labelled ones where they say, the others by the optimum over the
// empty positions. Only where positions stay empty all the same, though a line
// is left, is the whole placed anew, and taken if it fills more: the most
// positions in all, of these the most by sure lines, then the least penalty.
// So "short" says that no confirmation helps.

// provide fills empty positions of a placing with unsure lines.
func (p *plan) provide(to []int) {
	doubtful := p.having(func(x *line) bool { return x.unsure() })
	if doubtful == nil {
		return
	}
	left := p.leftOf(to)
	empty := p.positions(func(i int) bool { return to[i] == unplaced })
	p.fill(to, empty, doubtful, left, 0)
	left = p.leftOf(to)
	spare := slices.ContainsFunc(doubtful, func(l int) bool { return left[l] > 0 })
	if !spare || !slices.Contains(to, unplaced) {
		return
	}
	if again := p.anew(to); taken(again) > taken(to) {
		copy(to, again)
	}
}

// anew places all lines together, those that are not sure at a surcharge that no
// difference of penalties makes up for. Sure labels stay.
func (p *plan) anew(to []int) []int {
	again := slices.Clone(to)
	free := p.positions(func(i int) bool { return p.label[i] == unplaced })
	for _, i := range free {
		again[i] = unplaced
	}
	lines := p.having(func(x *line) bool { return x.unsure() || x.sure && !x.labelled() })
	p.fill(again, free, lines, p.leftOf(again), p.surcharge(free, lines))
	return again
}

// surcharge is more than all penalties of the positions together, as far as the
// network can reckon.
func (p *plan) surcharge(positions, lines []int) int32 {
	most := int64(0)
	for _, i := range positions {
		for _, l := range lines {
			most = max(most, int64(p.cost(i, l)))
		}
	}
	return int32(min((most+1)*int64(len(positions)+1), 1<<29))
}

// having lists the lines with parts that pass, nil where none does.
func (p *plan) having(passes func(*line) bool) []int {
	var out []int
	for l := range p.lines {
		if x := &p.lines[l]; x.parts > 0 && passes(x) {
			out = append(out, l)
		}
	}
	return out
}

// positions lists the positions in scope that pass.
func (p *plan) positions(passes func(i int) bool) []int {
	var out []int
	for i := range p.in {
		if passes(i) {
			out = append(out, i)
		}
	}
	return out
}

// leftOf is how many parts of each line a placing leaves.
func (p *plan) leftOf(to []int) []int32 {
	left := make([]int32, len(p.lines))
	for l := range p.lines {
		left[l] = p.lines[l].parts
	}
	for _, l := range to {
		if l != unplaced {
			left[l]--
		}
	}
	return left
}

// fill places lines on positions by the optimum; a labelled line goes only to
// positions that it is tied to.
func (p *plan) fill(to, positions, lines []int, left []int32, surcharge int32) {
	rows, of := p.rowsOf(positions, lines, surcharge)
	columns, stocks := make([]int32, len(lines)), make([]stock, len(lines))
	for j, l := range lines {
		columns[j], stocks[j] = int32(j), stock{{l, left[l]}}
	}
	c := alike(rows, columns)
	var n network
	for _, row := range c.rows {
		n.add(0, row)
	}
	for i, k := range of {
		of[i] = c.row[k]
		n.supply[of[i]]++
	}
	for i, l := range n.place(of, c.merge(stocks)) {
		to[positions[i]] = l
	}
}

// rowsOf is the penalties of lines, one row for positions that are alike and
// tied to the same lines; the second result is the row of each position.
func (p *plan) rowsOf(positions, lines []int, surcharge int32) (rows [][]int32, of []int32) {
	type key struct {
		group int32
		tied  string
	}
	seen := map[key]int32{}
	of = make([]int32, len(positions))
	for at, i := range positions {
		k := key{group: p.of[i]}
		if len(p.tied[i]) > 0 {
			k.tied = fmt.Sprint(p.tied[i])
		}
		n, ok := seen[k]
		if !ok {
			n = int32(len(rows))
			seen[k] = n
			rows = append(rows, p.provisionalRow(i, lines, surcharge))
		}
		of[at] = n
	}
	return rows, of
}

func (p *plan) provisionalRow(i int, lines []int, surcharge int32) []int32 {
	row := make([]int32, len(lines))
	for j, l := range lines {
		x := &p.lines[l]
		row[j] = -1
		if x.labelled() && !slices.Contains(p.tied[i], l) {
			continue
		}
		if row[j] = p.cost(i, l); row[j] >= 0 && !x.sure {
			row[j] += surcharge
		}
	}
	return row
}

// admit puts a line that is not sure, and must not stand where it is labelled,
// on that position where nothing else goes there, as it is with sure lines: so
// the report says what the kit would do.
func (p *plan) admit() {
	for _, v := range p.verdicts {
		if v.stop && p.inside(v.spot) && p.to[v.spot] == unplaced && p.lines[v.line].unsure() &&
			p.lines[v.line].parts > 0 {
			p.to[v.spot], p.bad[v.spot] = v.line, true
		}
	}
}

// taken is how many positions have a line.
func taken(to []int) int {
	n := 0
	for _, l := range to {
		if l != unplaced {
			n++
		}
	}
	return n
}
