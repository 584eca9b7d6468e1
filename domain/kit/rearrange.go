package kit

import (
	"boardlore/domain/message"
	"cmp"
	"slices"
	"strings"

	"boardlore/domain/part"
)

// rearranged is the placing that the whole kit would allow if no line were
// labelled, as close to the present one as can be: the most positions filled,
// then the least penalty, then the fewest positions whose line changes. Parts
// that are labelled for positions out of scope stay with these where they may
// stand there. Lines that are not sure fill what is left.
func (p *plan) rearranged() []int {
	now := p.rearrangedSure()
	p.provide(now)
	return now
}

func (p *plan) rearrangedSure() []int {
	stocks, at := p.wholeKit()
	type key struct {
		group int32
		line  int
	}
	seen := map[key]int32{}
	of := make([]int32, len(p.in))
	var keys []key
	for i := range p.in {
		k := key{p.of[i], p.to[i]}
		n, ok := seen[k]
		if !ok {
			n = int32(len(keys))
			seen[k] = n
			keys = append(keys, k)
		}
		of[i] = n
	}
	columns := make([]int32, len(stocks))
	rows := make([][]int32, len(keys))
	for j, k := range keys {
		row := p.row(k.group)
		rows[j] = make([]int32, len(stocks))
		for s, l := range at {
			columns[s] = int32(s)
			rows[j][s] = p.moveCost(row[p.kind[l]], l != k.line)
		}
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
	return n.place(of, c.merge(stocks))
}

// moveCost ranks a pair by its penalty first and by whether it is a change
// then: all changes together weigh less than one step of penalty.
func (p *plan) moveCost(penalty int32, changes bool) int32 {
	if penalty < 0 {
		return penalty
	}
	cost := penalty * int32(len(p.in)+1)
	if changes {
		cost++
	}
	return cost
}

// wholeKit makes a stock of each sure line, less what is labelled for positions
// out of scope and may stand there.
func (p *plan) wholeKit() (stocks []stock, lines []int) {
	for l := range p.lines {
		x := &p.lines[l]
		if !x.sure {
			continue
		}
		if parts := p.kept(l); parts > 0 {
			stocks, lines = append(stocks, stock{{l, parts}}), append(lines, l)
		}
	}
	return stocks, lines
}

// kept is how many parts of a line are not bound by labels out of scope.
func (p *plan) kept(l int) int32 {
	x := &p.lines[l]
	parts := x.parts
	for _, at := range x.labels {
		if i := p.index[at]; !p.inside(i) && parts > 0 && (x.offer == nil || p.cost(i, l) >= 0) {
			parts--
		}
	}
	return parts
}

// moves tells the way from the present placing to another.
func (p *plan) moves(now []int) []Move {
	var out []Move
	for i, from := range p.to {
		if to := now[i]; from != to {
			out = append(out, Move{Designator: p.designator(i), FromLine: p.number(from), ToLine: p.number(to),
				Sentence: p.moveSentence(i, now)})
		}
	}
	slices.SortStableFunc(out, func(a, b Move) int { return cmp.Compare(order(a), order(b)) })
	return out
}

// order puts the moves between lines first, then those that fill, then those
// that empty.
func order(m Move) int {
	switch {
	case m.ToLine == nil:
		return 2
	case m.FromLine == nil:
		return 1
	}
	return 0
}

func (p *plan) moveSentence(i int, now []int) message.Message {
	d, from, to := p.designator(i), p.to[i], now[i]
	wants := brief(&p.groups[p.of[i]].wanted.Part)
	if from == unplaced {
		return message.Of("kit.empty-wants-line-part", d, wants, p.line(to), p.brief(to))
	}
	wrong := p.bad[i] || p.differs(i)
	held := message.Of("kit.line-parts-labelled-wants", p.line(from), p.brief(from), d, d, wants)
	switch {
	case to == unplaced && wrong:
		return message.Of("text.then", held, message.Of("kit.none-to-spare"))
	case to == unplaced:
		return message.Of("kit.gives-part-line-where", d, p.line(from))
	case !wrong:
		return message.Of("kit.takes-line-instead-line", d, p.line(to), p.brief(to), p.line(from))
	case p.swapped(i, now):
		return message.Of("text.then", held, message.Of("kit.line-holds-swapped", p.line(to)))
	}
	return message.Of("text.then", held, message.Of("kit.line-suits", p.line(to), p.brief(to)))
}

// swapped reports whether some other position moves the opposite way.
func (p *plan) swapped(i int, now []int) bool {
	for j := range p.in {
		if p.to[j] == now[i] && now[j] == p.to[i] {
			return true
		}
	}
	return false
}

func (p *plan) designator(i int) string     { return p.m.Positions[p.spots[i]].Designator }
func (p *plan) line(l int) int              { return p.lines[l].Number }
func (p *plan) brief(l int) message.Message { return brief(&p.lines[l].offer.Part) }

// number is the number of a line, nil for none.
func (p *plan) number(l int) *int {
	if l == unplaced {
		return nil
	}
	n := p.line(l)
	return &n
}

// brief names a part in a few words, for sentences.
func brief(x *part.Part) message.Message {
	var words []message.Message
	for _, s := range []string{x.Value.String(), x.Voltage.String(), x.Current.String(), x.Power.String(),
		x.SafetyClass} {
		if s != "" {
			words = append(words, message.Text(s))
		}
	}
	if x.Polarised != nil && !*x.Polarised && strings.Contains(string(x.Construction), "electrolytic") {
		words = append(words, message.Word("polarity", "bipolar"))
	}
	if x.Value.IsZero() && x.Text != "" {
		words = append(words, message.Text(x.Text))
	}
	if len(words) == 0 {
		return message.Word("class", x.Class)
	}
	return message.Words(words).Say()
}
