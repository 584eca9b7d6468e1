package kit

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/board/boardtest"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

func q(t interface{ Fatal(...any) }, s string) quantity.Quantity {
	v, err := quantity.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func ptr[T any](v T) *T { return &v }

// capacitors draws a board of n electrolytics of a few values, voltages and
// duties, so that many lines suit many positions at different penalties.
func capacitors(t *rapid.T, n int) *board.Map {
	m := &board.Map{Board: "drawn", Positions: []board.Position{}}
	for i := range n {
		m.Positions = append(m.Positions, board.Position{
			Designator: fmt.Sprintf("C%d", i+1), Side: "top", Part: capacitor(t), Negative: ptr(0.0),
			Function: rapid.SampledFrom([]string{"decoupling", "bulk", "coupling", "timing", ""}).Draw(t, "function"),
			Body:     &part.Body{Mount: "through-hole", Shape: "can", Diameter: 5, Height: 11, LeadPitch: 2},
			Service:  rapid.SampledFrom([]board.Service{"replace", "replace", "replace", "leave"}).Draw(t, "service"),
		})
	}
	return m
}

func capacitor(t *rapid.T) part.Part {
	of := func(name string, texts ...string) quantity.Quantity {
		return q(t, rapid.SampledFrom(texts).Draw(t, name))
	}
	return part.Part{
		Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Value: of("value", "10 µF", "47 µF", "68 µF"),
		Voltage: of("voltage", "6.3 V", "16 V", "25 V", "100 V"), TemperatureMax: of("temperature", "85 °C", "105 °C"),
		Polarised: ptr(rapid.Bool().Draw(t, "polarised")),
	}
}

// drawKit draws a kit of capacitors, some lines labelled, some unreadable.
func drawKit(t *rapid.T, lines int, labels bool) *Kit {
	k := &Kit{ID: "drawn", Title: "Drawn"}
	for i := range lines {
		l := Line{Number: i + 1, Quantity: rapid.IntRange(0, 4).Draw(t, "quantity"),
			Body: &part.Body{Mount: "through-hole", Shape: "can", Diameter: 5, Height: 11, LeadPitch: 2}}
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0:
			l.Text = rapid.SampledFrom([]string{"a bag of odds", "1,000uF 16V", "47uF 16V radial"}).Draw(t, "text")
		default:
			p := capacitor(t)
			l.Part = &p
		}
		if labels && rapid.Bool().Draw(t, "labelled") {
			l.Designators = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) string {
				return fmt.Sprintf("C%d", rapid.IntRange(1, 12).Draw(t, "designator"))
			}), 1, 3).Draw(t, "labels")
		}
		k.Lines = append(k.Lines, l)
	}
	return k
}

// reconcile is Reconcile that also takes kits of which nothing reads as a part.
func reconcile(t interface{ Fatal(...any) }, r Request) Report {
	p, err := newPlan(r)
	if err != nil {
		t.Fatal(err)
	}
	out, err := p.report(r)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(0, 10).Draw(t, "n")), drawKit(t, rapid.IntRange(0, 6).Draw(t, "l"), true)
		a := reconcile(t, Request{Map: m, Kit: k, Pairs: true})
		m2, k2 := *m, *k
		m2.Positions = rapid.Permutation(m.Positions).Draw(t, "positions")
		k2.Lines = rapid.Permutation(k.Lines).Draw(t, "lines")
		b := reconcile(t, Request{Map: &m2, Kit: &k2, Pairs: true})
		if d := cmp.Diff(a, b, exact); d != "" {
			t.Fatal(d)
		}
	})
}

// exact compares quantities by their unexported parts too.
var exact = cmp.Exporter(func(reflect.Type) bool { return true })

func TestSummaryAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(0, 10).Draw(t, "n")), drawKit(t, rapid.IntRange(0, 6).Draw(t, "l"), true)
		r := reconcile(t, Request{Map: m, Kit: k, Pairs: true})
		s := r.Summary
		quantity, used, surplus := 0, 0, 0
		for _, l := range r.Lines {
			quantity, used, surplus = quantity+l.Quantity, used+l.Used, surplus+l.Surplus
			if l.Used > l.Quantity || len(l.For) != l.Used {
				t.Fatalf("line %+v", l)
			}
		}
		if s.Positions != len(r.Positions) || s.Filled+s.Unfilled != s.Positions || used != s.Filled ||
			surplus != s.Surplus || quantity != used+surplus {
			t.Fatalf("%+v with used %d, surplus %d of %d", s, used, surplus, quantity)
		}
		allowed := map[[2]any]int{}
		for _, p := range r.Pairs {
			allowed[[2]any{p.Designator, p.Line}] = p.Penalty
		}
		filled, penalty := 0, 0
		for _, p := range r.Positions {
			if (p.Line == nil) != (p.Fit == None) || p.Findings == nil && p.Fit != Match && p.Fit != Suitable {
				t.Fatalf("%+v", p)
			}
			if p.Line == nil || p.Fit == Unsuitable {
				continue
			}
			c, ok := allowed[[2]any{p.Designator, *p.Line}]
			if !ok || c != p.Penalty {
				t.Fatalf("%+v is filled outside the pairs, or at %d", p, c)
			}
			filled, penalty = filled+1, penalty+c
		}
		if filled != s.Filled || penalty != s.Penalty {
			t.Fatalf("%d filled at %d, summary %+v", filled, penalty, s)
		}
		if want := outcomeOf(&r); r.Outcome != want {
			t.Fatalf("%s with %+v, want %s", r.Outcome, s, want)
		}
	})
}

// outcomeOf is what a report amounts to: conflict where anything in it is a stop
// that the kit itself brings about, short where a position stays empty, complete
// only where nothing in it is doubtful.
func outcomeOf(r *Report) string {
	worst := finding.Severity("")
	for _, f := range r.Flags {
		if f.Severity.Rank() > worst.Rank() {
			worst = f.Severity
		}
	}
	doubtful := worst == finding.Caution || slices.ContainsFunc(r.Positions,
		func(p PositionReport) bool { return p.Fit == Doubtful }) ||
		slices.ContainsFunc(r.Lines, func(l LineReport) bool { return !l.Sure && l.Read != nil })
	switch {
	case worst == finding.Stop:
		return Conflict
	case r.Summary.Unfilled > 0:
		return Short
	case doubtful:
		return ToCheck
	}
	return Complete
}

// Any exact method over the pairs gives the summary's figures: over those of the
// sure lines what they fill, over all what is filled.
func TestPairsGiveTheSummary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(0, 6).Draw(t, "n")), drawKit(t, rapid.IntRange(0, 4).Draw(t, "l"), true)
		r := reconcile(t, Request{Map: m, Kit: k, Pairs: true})
		holdPasses(t, &r, func(m matrix) (int, int64) { return m.score(t, m.brute()) })
	})
}

// holdPasses holds both passes of a report to a solver.
func holdPasses(t interface{ Fatalf(string, ...any) }, r *Report, solve func(matrix) (filled int, penalty int64)) {
	s := r.Summary
	all := ofPairs(*r)
	filled, least := solve(all)
	if filled != s.Filled {
		t.Fatalf("%d filled over all pairs; %+v", filled, s)
	}
	sure := *r
	sure.Pairs = slices.DeleteFunc(slices.Clone(r.Pairs), func(p Pair) bool { return p.Provisional })
	if filled, _ = solve(ofPairs(sure)); filled != s.Filled-s.Provisional {
		t.Fatalf("%d filled over the sure pairs; %+v", filled, s)
	}
	if len(sure.Pairs) == len(r.Pairs) && int(least) != s.Penalty {
		t.Fatalf("at %d over all pairs; %+v", least, s)
	}
}

// The sure lines are placed as if there were no others, where the others can
// fill the rest.
func TestUnsureLinesMoveNothing(t *testing.T) {
	m := bench(t, "C1 47 µF", "C2 47 µF", "C3 10 µF")
	sure := bag(t, "1 47 µF")
	both := bag(t, "1 47 µF")
	both.Lines = append(both.Lines, Line{Number: 0, Quantity: 5, Text: "47uF 25/35V 105C electrolytic"},
		Line{Number: 7, Quantity: 1, Text: "10uF 25V 105C electrolytic or 22uF"})
	a, b := reconcile(t, Request{Map: m, Kit: sure}), reconcile(t, Request{Map: m, Kit: both})
	if *a.Positions[0].Line != 1 || *b.Positions[0].Line != 1 || b.Positions[0].Fit != a.Positions[0].Fit {
		t.Errorf("C1 is filled by %v, with unsure lines by %v (%s)", *a.Positions[0].Line, *b.Positions[0].Line,
			b.Positions[0].Fit)
	}
	if b.Positions[1].Fit != Doubtful || b.Summary.Provisional == 0 || b.Lines[0].Sure || b.Lines[0].Say == "" ||
		b.Outcome == Complete {
		t.Errorf("%s: %+v %+v", b.Outcome, b.Positions[1], b.Lines[0])
	}
	// One sure part that suits two places, and an unsure one that suits only the first: both are filled, the sure one moves.
	m = bench(t, "C1 47 µF", "C2 47 µF")
	m.Positions[1].Part.Voltage = q(t, "16 V")
	k := &Kit{Lines: []Line{{Number: 1, Quantity: 1, Part: ptr(wet(t, "47 µF"))},
		{Number: 2, Quantity: 1, Text: "47uF 16/20V 105C electrolytic"}}}
	r := reconcile(t, Request{Map: m, Kit: k, Pairs: true})
	holdPasses(t, &r, func(x matrix) (int, int64) { return x.score(t, x.brute()) })
	if r.Outcome != ToCheck || r.Summary.Filled != 2 {
		t.Errorf("%s %+v", r.Outcome, r.Summary)
	}
}

// A stop that a label brings about never vanishes: by a scope, by the order of
// the lines, by an added line, or by saying the label in the text.
func TestAStopNeverVanishes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(1, 8).Draw(t, "n")), drawKit(t, rapid.IntRange(1, 5).Draw(t, "l"), true)
		stops := func(k *Kit, s Scope) map[string]bool {
			out := map[string]bool{}
			for _, f := range reconcile(t, Request{Map: m, Kit: k, Scope: s}).Flags {
				if f.Severity == finding.Stop {
					out[fmt.Sprint(f.Designator, number(f.Line))] = true
				}
			}
			return out
		}
		all := stops(k, Scope{Name: ScopeAll})
		hold := func(how string, now map[string]bool) {
			for s := range all {
				if !now[s] {
					t.Fatalf("%s loses the stop at %s", how, s)
				}
			}
		}
		hold("the usual scope", stops(k, Scope{}))
		hold("another scope",
			stops(k, Scope{Designators: []string{rapid.SampledFrom(m.Positions).Draw(t, "scope").Designator}}))
		more := *k
		more.Lines = append(slices.Clone(k.Lines), Line{Number: 99, Quantity: 3, Part: ptr(capacitor(t)),
			Designators: []string{"C1"}})
		hold("an added line", stops(&more, Scope{Name: ScopeAll}))
		more.Lines = rapid.Permutation(k.Lines).Draw(t, "lines")
		hold("another order", stops(&more, Scope{Name: ScopeAll}))
		more.Lines = slices.Clone(k.Lines)
		for i, l := range k.Lines {
			if l.Text != "" && len(l.Designators) > 0 {
				more.Lines[i].Text, more.Lines[i].Designators = l.Text+" (for "+strings.Join(l.Designators, ", ")+")",
					nil
			}
		}
		hold("a label in the text", stops(&more, Scope{Name: ScopeAll}))
	})
}

// With all that is wanted added, nothing stays empty, and a kit without a stop
// has none.
func TestTheRightPartsNeverHurt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(1, 8).Draw(t, "n")), drawKit(t, rapid.IntRange(1, 5).Draw(t, "l"), false)
		more := *k
		more.Lines = slices.Clone(k.Lines)
		for _, l := range own(m, false).Lines {
			l.Number += 100
			more.Lines = append(more.Lines, l)
		}
		if r := reconcile(t, Request{Map: m, Kit: &more}); r.Outcome == Conflict || r.Summary.Unfilled != 0 {
			t.Fatalf("%s %+v", r.Outcome, r.Summary)
		}
	})
}

// ofPairs writes a report's pairs out as a matrix, lines in the report's order.
func ofPairs(r Report) matrix {
	var m matrix
	row, column := map[string]int{}, map[int]int{}
	for _, l := range r.Lines {
		column[l.Line] = len(m.quantity)
		m.quantity = append(m.quantity, int32(l.Quantity))
	}
	for _, p := range r.Positions {
		row[p.Designator] = len(m.cost)
		m.cost = append(m.cost, slices.Repeat([]int32{-1}, len(m.quantity)))
	}
	for _, p := range r.Pairs {
		m.cost[row[p.Designator]][column[p.Line]] = int32(p.Penalty)
	}
	return m
}

func TestMoreNeverFillsLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(0, 10).Draw(t, "n")), drawKit(t, rapid.IntRange(1, 6).Draw(t, "l"), false)
		a := reconcile(t, Request{Map: m, Kit: k}).Summary
		k.Lines[rapid.IntRange(0, len(k.Lines)-1).Draw(t, "line")].Quantity++
		b := reconcile(t, Request{Map: m, Kit: k}).Summary
		if b.Filled < a.Filled || b.Filled == a.Filled && b.Penalty > a.Penalty {
			t.Fatalf("%+v, with one more %+v", a, b)
		}
	})
}

// Splitting a line in two changes nothing but line numbers.
func TestSplittingALine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(0, 10).Draw(t, "n")), drawKit(t, rapid.IntRange(1, 6).Draw(t, "l"), false)
		for i := range k.Lines {
			k.Lines[i].Number *= 10
		}
		a := reconcile(t, Request{Map: m, Kit: k})
		i := rapid.IntRange(0, len(k.Lines)-1).Draw(t, "line")
		n := rapid.IntRange(0, k.Lines[i].Quantity).Draw(t, "here")
		k2 := *k
		k2.Lines = slices.Clone(k.Lines)
		k2.Lines[i].Quantity = n
		other := k.Lines[i]
		other.Number, other.Quantity = other.Number+5, k.Lines[i].Quantity-n
		k2.Lines = append(k2.Lines, other)
		b := reconcile(t, Request{Map: m, Kit: &k2})
		if a.Summary != b.Summary || a.Outcome != b.Outcome {
			t.Fatalf("%+v, split %+v", a.Summary, b.Summary)
		}
		for j := range a.Positions {
			x, y := a.Positions[j], b.Positions[j]
			if (x.Line == nil) != (y.Line == nil) || x.Line != nil && *x.Line != *y.Line/10*10 || x.Fit != y.Fit ||
				x.Penalty != y.Penalty {
				t.Fatalf("%+v, split %+v", x, y)
			}
		}
	})
}

// own is a kit of what a map's positions in scope want, equal parts together.
func own(m *board.Map, all bool) *Kit {
	k := &Kit{ID: "own", Title: "Own"}
	at := map[offerKey]int{}
	for i := range m.Positions {
		p := &m.Positions[i]
		if !all && p.Service != "replace" {
			continue
		}
		place := p.Place()
		key := offerKey{p.Wanted().Key(), bodyKeyOf(&place.Body)}
		n, ok := at[key]
		if !ok {
			n = len(k.Lines)
			at[key] = n
			k.Lines = append(k.Lines, Line{Number: n + 1, Part: p.Wanted(), Body: p.Body})
		}
		k.Lines[n].Quantity++
	}
	return k
}

func TestOwnKitIsComplete(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := capacitors(t, rapid.IntRange(1, 12).Draw(t, "n"))
		r := reconcile(t, Request{Map: m, Kit: own(m, true), Scope: Scope{Name: ScopeAll}})
		if r.Outcome != Complete || r.Summary.Penalty != 0 || r.Summary.Surplus != 0 || len(r.ToBuy) != 0 {
			t.Fatalf("%s %+v", r.Outcome, r.Summary)
		}
		bare := own(m, true)
		for i := range bare.Lines {
			bare.Lines[i].Body = nil
		}
		r = reconcile(t, Request{Map: m, Kit: bare, Scope: Scope{Name: ScopeAll}})
		if r.Outcome != Complete || r.Summary.Penalty != 0 {
			t.Fatalf("without outsides: %s %+v", r.Outcome, r.Summary)
		}
		k := own(m, true)
		k.Lines[rapid.IntRange(0, len(k.Lines)-1).Draw(t, "line")].Quantity--
		r = reconcile(t, Request{Map: m, Kit: k, Scope: Scope{Name: ScopeAll}})
		if r.Summary.Unfilled != 1 || r.Outcome != Short || len(r.ToBuy) != 1 || r.ToBuy[0].Quantity != 1 {
			t.Fatalf("one part taken out: %s %+v %v", r.Outcome, r.Summary, r.ToBuy)
		}
	})
}

// selfRuledOut reports whether a position of the map rules out its own part or
// doubts it, as a primary cell where the circuit charges it: no kit is complete
// for such a map.
func selfRuledOut(m *board.Map) bool {
	near := m.MainsNear()
	for i := range m.Positions {
		p := &m.Positions[i]
		place := p.Place()
		place.MainsNear = near[i]
		o := part.Offer{Part: *p.Wanted(), Body: place.Body}
		c := part.NewCandidate(&o)
		if w := part.NewJudge(&o, &place).Weigh(&c); w.Stop || w.Worst == finding.Caution {
			return true
		}
	}
	return false
}

// The same for maps with parts of every class, as few or as many members known
// as there may be.
func TestOwnKitOfAnyMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := boardtest.Random(t)
		m.Variants = nil
		if selfRuledOut(m) {
			t.Skip("a place rules out the very part that the map asks for there")
		}
		for _, body := range []bool{true, false} {
			k := own(m, true)
			for i := range k.Lines {
				if !body {
					k.Lines[i].Body = nil
				}
			}
			r := reconcile(t, Request{Map: m, Kit: k, Scope: Scope{Name: ScopeAll}})
			if r.Outcome != Complete && r.Outcome != ToCheck || r.Summary.Penalty != 0 {
				t.Fatalf("outsides %v: %s %+v\n%+v", body, r.Outcome, r.Summary, r.Positions)
			}
		}
	})
}

func TestScope(t *testing.T) {
	m := &board.Map{Board: "b", Positions: []board.Position{
		{Designator: "C10", Part: part.Part{Class: part.Capacitor}, Service: "replace"},
		{Designator: "C2", Part: part.Part{Class: part.Capacitor}},
		{Designator: "C1", Part: part.Part{Class: part.Capacitor}, Service: "replace"},
		{Designator: "C3-C4", Part: part.Part{Class: part.Capacitor}, Service: "inspect"},
	}}
	for text, want := range map[string][]string{
		`"service"`:           {"C1", "C10"},
		`"all"`:               {"C1", "C2", "C3-C4", "C10"},
		`["c10","C1"]`:        {"C1", "C10"},
		`["C1-C2", "C3-C4"]`:  {"C1", "C2", "C3-C4"},
		`[]`:                  nil,
		`["C2","C2", " C2 "]`: {"C2"},
	} {
		var s Scope
		if err := unmarshal(text, &s); err != nil {
			t.Fatal(text, err)
		}
		r := reconcile(t, Request{Map: m, Kit: &Kit{}, Scope: s})
		var got []string
		for _, p := range r.Positions {
			got = append(got, p.Designator)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", text, got, want)
		}
	}
	for _, text := range []string{`"some"`, `""`, `7`, `{}`, `[1]`, `null`} {
		if err := unmarshal(text, new(Scope)); err == nil {
			t.Errorf("%s was taken", text)
		}
	}
	_, err := Reconcile(Request{Map: m, Kit: &Kit{}, Scope: Scope{Designators: []string{"C1", "C1, C99", "?"}}})
	e, ok := fault.As(err)
	if !ok || e.Kind != fault.Invalid || len(e.Findings) != 2 || e.Findings[0].Pointer != "/scope/1" ||
		e.Findings[1].Pointer != "/scope/2" {
		t.Errorf("%+v", err)
	}
}
