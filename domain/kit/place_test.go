package kit

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// matrix is a placing problem written out: penalties by position and line,
// forbidden where below nought.
type matrix struct {
	cost     [][]int32
	quantity []int32
}

// solve places without any grouping.
func (m matrix) solve() []int {
	var n network
	stocks := make([]stock, len(m.quantity))
	for l, q := range m.quantity {
		stocks[l] = stock{{l, q}}
	}
	groups := make([]int32, len(m.cost))
	for p, row := range m.cost {
		groups[p] = int32(p)
		n.add(1, row)
	}
	return n.place(groups, stocks)
}

// grouped places with equal rows and equal columns put together.
func (m matrix) grouped() []int {
	var n network
	var stocks []stock
	column := map[string]int{}
	var kept []int
	for l, q := range m.quantity {
		key := ""
		for p := range m.cost {
			key += fmt.Sprint(m.cost[p][l], " ")
		}
		if _, ok := column[key]; !ok {
			column[key] = len(stocks)
			stocks, kept = append(stocks, nil), append(kept, l)
		}
		stocks[column[key]] = append(stocks[column[key]], share{l, q})
	}
	row := map[string]int32{}
	groups := make([]int32, len(m.cost))
	for p := range m.cost {
		key := fmt.Sprint(m.cost[p])
		g, ok := row[key]
		if !ok {
			g = int32(len(n.supply))
			row[key] = g
			costs := make([]int32, len(kept))
			for l, k := range kept {
				costs[l] = m.cost[p][k]
			}
			n.add(0, costs)
		}
		n.supply[g]++
		groups[p] = g
	}
	return n.place(groups, stocks)
}

// score checks a placing and counts what it fills and at what penalty.
func (m matrix) score(t interface{ Fatalf(string, ...any) }, out []int) (filled int, penalty int64) {
	left := slices.Clone(m.quantity)
	for p, l := range out {
		if l == unplaced {
			continue
		}
		if m.cost[p][l] < 0 || left[l] == 0 {
			t.Fatalf("position %d cannot have line %d: %v", p, l, out)
		}
		left[l]--
		filled++
		penalty += int64(m.cost[p][l])
	}
	return filled, penalty
}

// brute tries all placings: most filled, least penalty, then the lowest line
// of the first position, of the second, and so on.
func (m matrix) brute() (best []int) {
	filled, penalty := -1, int64(0)
	now := make([]int, len(m.cost))
	left := slices.Clone(m.quantity)
	var try func(p, f int, c int64)
	try = func(p, f int, c int64) {
		if p == len(now) {
			if f > filled || f == filled && c < penalty {
				best, filled, penalty = slices.Clone(now), f, c
			}
			return
		}
		for l, c1 := range m.cost[p] {
			if c1 >= 0 && left[l] > 0 {
				left[l]--
				now[p] = l
				try(p+1, f+1, c+int64(c1))
				left[l]++
			}
		}
		now[p] = unplaced
		try(p+1, f, c)
	}
	try(0, 0, 0)
	return best
}

func draw(t *rapid.T, positions, lines, quantity int) matrix {
	p := rapid.IntRange(0, positions).Draw(t, "positions")
	l := rapid.IntRange(0, lines).Draw(t, "lines")
	top := rapid.SampledFrom([]int32{0, 1, 2, 5, 1000}).Draw(t, "top")
	low := rapid.SampledFrom([]int32{0, -1, -2, -6}).Draw(t, "low")
	m := matrix{quantity: make([]int32, l)}
	for i := range m.quantity {
		m.quantity[i] = int32(rapid.IntRange(0, quantity).Draw(t, "quantity"))
	}
	for range p {
		row := make([]int32, l)
		for i := range row {
			row[i] = max(-1, rapid.Int32Range(low, top).Draw(t, "cost"))
		}
		m.cost = append(m.cost, row)
	}
	return m
}

func TestPlaceAgainstBruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 20000 {
		m := random(rng, 1+rng.IntN(6), 1+rng.IntN(4), 3)
		want := m.brute()
		if got := m.solve(); !slices.Equal(got, want) {
			t.Fatalf("%+v\n got %v\nwant %v", m, got, want)
		}
		if got := m.grouped(); !slices.Equal(got, want) {
			t.Fatalf("%+v\ngrouped %v\n   want %v", m, got, want)
		}
	}
}

// random makes a problem of one of several kinds: many ties, few allowed
// pairs, many equal rows and columns.
func random(rng *rand.Rand, positions, lines, quantity int) matrix {
	top := []int32{1, 2, 3, 10, 1000}[rng.IntN(5)]
	forbid := []float64{0, 0.2, 0.5, 0.8}[rng.IntN(4)]
	m := matrix{quantity: make([]int32, lines), cost: make([][]int32, positions)}
	for l := range m.quantity {
		m.quantity[l] = rng.Int32N(int32(quantity) + 1)
	}
	for p := range m.cost {
		m.cost[p] = make([]int32, lines)
		for l := range m.cost[p] {
			m.cost[p][l] = rng.Int32N(top)
			if rng.Float64() < forbid {
				m.cost[p][l] = -1
			}
		}
		if p > 0 && rng.IntN(3) == 0 {
			m.cost[p] = slices.Clone(m.cost[rng.IntN(p)])
		}
	}
	if lines > 1 && rng.IntN(2) == 0 {
		for p := range m.cost {
			m.cost[p][lines-1] = m.cost[p][0]
		}
	}
	return m
}

// Grouping like positions and like lines changes nothing, at sizes that brute
// force can't reach.
func TestGroupingLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := draw(t, 40, 12, 6)
		got, want := m.grouped(), m.solve()
		if !slices.Equal(got, want) {
			t.Fatalf("%+v\ngrouped %v\n single %v", m, got, want)
		}
		m.score(t, got)
	})
}

// One more part never fills less, and never makes an equally full placing
// worse.
func TestMorePartsLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := draw(t, 30, 10, 4)
		if len(m.quantity) == 0 {
			return
		}
		f1, c1 := m.score(t, m.solve())
		m.quantity[rapid.IntRange(0, len(m.quantity)-1).Draw(t, "line")]++
		f2, c2 := m.score(t, m.solve())
		if f2 < f1 || f2 > f1+1 || f2 == f1 && c2 > c1 {
			t.Fatalf("filled %d at %d, with one more part %d at %d", f1, c1, f2, c2)
		}
	})
}

func benchmarkPlace(b *testing.B, positions, lines int, cost func(p, l int) int32) {
	m := matrix{cost: make([][]int32, positions), quantity: make([]int32, lines)}
	for p := range m.cost {
		m.cost[p] = make([]int32, lines)
		for l := range m.cost[p] {
			m.cost[p][l] = cost(p, l)
		}
	}
	for l := range m.quantity {
		m.quantity[l] = int32((positions + lines - 1) / lines)
	}
	b.ReportAllocs()
	for b.Loop() {
		m.solve()
	}
}

func BenchmarkPlace(b *testing.B) {
	for _, size := range [][2]int{{60, 25}, {1000, 200}, {5000, 500}} {
		rng := rand.New(rand.NewPCG(3, 4))
		for _, c := range []struct {
			name string
			cost func(p, l int) int32
		}{
			{"equal", func(int, int) int32 { return 5 }},
			{"half forbidden", func(int, int) int32 { return 6*rng.Int32N(2) - 1 }},
			{"one in fifty", func(int, int) int32 { return max(-1, rng.Int32N(100)-98) }},
			{"few penalties", func(int, int) int32 { return 10 * rng.Int32N(8) }},
			{"all different", func(int, int) int32 { return rng.Int32N(1000) }},
			{"crowded", func(p, l int) int32 { return int32(l) + rng.Int32N(20) }},
			{"products", func(p, l int) int32 { return int32(p%100) * int32(l%100) }},
		} {
			b.Run(fmt.Sprintf("%dx%d/%s", size[0], size[1], c.name), func(b *testing.B) {
				benchmarkPlace(b, size[0], size[1], c.cost)
			})
		}
	}
}
