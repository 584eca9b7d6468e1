package kit

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/finding"
	"boardlore/domain/part"
)

// A kit that labels every part as the map wants it has nothing to rearrange;
// after two labels of unlike parts are exchanged, two moves put it right.
func TestExchangedLabels(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := capacitors(t, rapid.IntRange(2, 12).Draw(t, "n"))
		k := &Kit{ID: "labelled", Title: "Labelled"}
		for i := range m.Positions {
			p := &m.Positions[i]
			k.Lines = append(k.Lines, Line{Number: i + 1, Quantity: 1, Part: &p.Part, Body: p.Body,
				Designators: []string{p.Designator}})
		}
		all := Scope{Name: ScopeAll}
		if r := reconcile(t, Request{Map: m, Kit: k, Scope: all}); r.Outcome != Complete || len(r.Rearrangement) != 0 ||
			r.Summary.Penalty != 0 {
			t.Fatalf("%s %+v %v", r.Outcome, r.Summary, r.Rearrangement)
		}
		i := rapid.IntRange(0, len(k.Lines)-1).Draw(t, "i")
		j := rapid.IntRange(0, len(k.Lines)-1).Draw(t, "j")
		if m.Positions[i].Part.Value == m.Positions[j].Part.Value {
			return
		}
		k.Lines[i].Designators, k.Lines[j].Designators = k.Lines[j].Designators, k.Lines[i].Designators
		r := reconcile(t, Request{Map: m, Kit: k, Scope: all})
		if r.Outcome != Conflict || len(r.Rearrangement) != 2 || len(r.ToBuy) != 0 || len(r.Flags) < 2 {
			t.Fatalf("%s, moves %+v, to buy %v", r.Outcome, r.Rearrangement, r.ToBuy)
		}
		for n, f := range r.Flags[:2] {
			if f.Code != "label-value-differs" {
				t.Fatalf("flag %d is %+v", n, f)
			}
		}
		for _, v := range r.Rearrangement {
			if *v.ToLine != figure(v.Designator) {
				t.Fatalf("%+v", v)
			}
		}
	})
}

func figure(designator string) (n int) {
	fmt.Sscanf(designator, "C%d", &n)
	return n
}

// The rearrangement never fills less and never costs more than the labels.
func TestRearrangementIsNoWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, k := capacitors(t, rapid.IntRange(1, 10).Draw(t, "n")), drawKit(t, rapid.IntRange(1, 6).Draw(t, "l"), true)
		p, err := newPlan(Request{Map: m, Kit: k})
		if err != nil {
			t.Fatal(err)
		}
		before := p.summary()
		now := p.rearranged()
		left := map[int]int{}
		filled, penalty := 0, 0
		for i, l := range now {
			if l == unplaced {
				continue
			}
			if left[l]++; left[l] > p.lines[l].Quantity || p.cost(i, l) < 0 {
				t.Fatalf("line %d at %s", p.line(l), p.designator(i))
			}
			filled, penalty = filled+1, penalty+int(p.cost(i, l))
		}
		if p.conflict() {
			free := drawnFree(k)
			best := reconcile(t, Request{Map: m, Kit: free}).Summary
			if outside(p) && sure(p) && (filled != best.Filled || penalty != best.Penalty) {
				t.Fatalf("%d filled at %d; without labels %+v", filled, penalty, best)
			}
		}
		if outside(p) && (filled < before.Filled || filled == before.Filled && penalty > before.Penalty) {
			t.Fatalf("%d filled at %d, as labelled %+v", filled, penalty, before)
		}
	})
}

// outside reports that no line is labelled for a position out of scope, which
// keeps parts back.
func outside(p *plan) bool {
	for l := range p.lines {
		for _, at := range p.lines[l].labels {
			if !p.inside(p.index[at]) {
				return false
			}
		}
	}
	return true
}

// sure reports that no line has to be confirmed: such lines stay where they are
// labelled.
func sure(p *plan) bool {
	return !slices.ContainsFunc(p.lines, func(x line) bool { return x.unsure() })
}

func drawnFree(k *Kit) *Kit {
	free := *k
	free.Lines = slices.Clone(k.Lines)
	for i := range free.Lines {
		free.Lines[i].Designators = nil
	}
	return &free
}

func TestLabels(t *testing.T) {
	c := func(value string) *part.Part {
		return &part.Part{Class: part.Capacitor, Construction: part.Film, Value: q(t, value), Voltage: q(t, "100 V")}
	}
	m := &board.Map{Board: "b"}
	for i, v := range []string{"1 µF", "1 µF", "1 µF", "2.2 µF", "2.2 µF"} {
		m.Positions = append(m.Positions, board.Position{Designator: fmt.Sprintf("C%d", i+1), Part: *c(v),
			Service: "replace"})
	}
	m.Positions[4].Service = "leave"
	for name, x := range map[string]struct {
		lines []Line
		codes []string // of the flags
		notes []string // of the lines' notes
		to    []int
	}{
		"as it should be": {lines: []Line{{Number: 1, Quantity: 3, Part: c("1 µF"), Designators: []string{"C1…C3"}},
			{Number: 2, Quantity: 1, Part: c("2.2 µF"), Designators: []string{"C4"}}},
			to: []int{1, 1, 1, 2}},
		"unknown designator": {lines: []Line{{Number: 1, Quantity: 2, Part: c("1 µF"), Designators: []string{"C1",
			"C9"}}},
			codes: []string{"designator-unknown"}, notes: []string{"surplus"}, to: []int{1, 0, 0, 0}},
		"named twice": {lines: []Line{{Number: 1, Quantity: 2, Part: c("1 µF"), Designators: []string{"C1", "C1"}},
			{Number: 2, Quantity: 1, Part: c("1 µF"), Designators: []string{"C1"}}},
			codes: []string{"designator-twice", "designator-twice"}, notes: []string{"quantity-over", "surplus",
				"surplus"}, to: []int{1, 0, 0, 0}},
		"too few": {lines: []Line{{Number: 1, Quantity: 2, Part: c("1 µF"), Designators: []string{"C3,2,1"}}},
			codes: []string{"quantity-short"}, to: []int{1, 1, 0, 0}},
		"too few, others help": {lines: []Line{{Number: 1, Quantity: 2, Part: c("1 µF"), Designators: []string{"C1-C3"}},
			{Number: 2, Quantity: 1, Part: c("1 µF")}},
			codes: []string{"quantity-short"}, to: []int{1, 1, 2, 0}},
		"spare parts stay": {lines: []Line{{Number: 1, Quantity: 4, Part: c("1 µF"), Designators: []string{"C1"}}},
			notes: []string{"quantity-over", "surplus"}, to: []int{1, 0, 0, 0}},
		"out of scope": {lines: []Line{{Number: 1, Quantity: 2, Part: c("2.2 µF"), Designators: []string{"C4", "C5"}}},
			notes: []string{"label-out-of-scope"}, to: []int{0, 0, 0, 1}},
		"unreadable label": {lines: []Line{{Number: 1, Quantity: 1, Part: c("1 µF"), Designators: []string{"C8-C2"}}},
			codes: []string{"designator-unreadable"}, notes: []string{"surplus"}, to: []int{0, 0, 0, 0}},
		"unreadable part": {lines: []Line{{Number: 1, Quantity: 1, Text: "odds", Designators: []string{"C1"}},
			{Number: 2, Quantity: 1, Part: c("1 µF")}},
			codes: []string{"line-unreadable"}, to: []int{2, 0, 0, 0}},
		"wrong value": {lines: []Line{{Number: 7, Quantity: 1, Part: c("1 µF"), Designators: []string{"C4"}},
			{Number: 8, Quantity: 1, Part: c("2.2 µF"), Designators: []string{"C1"}}},
			codes: []string{"label-value-differs", "label-value-differs"}, to: []int{8, 0, 0, 7}},
		"the label's class decides": {lines: []Line{{Number: 1, Quantity: 1, Text: "4u7 100V"},
			{Number: 2, Quantity: 1, Text: "1n 100V", Designators: []string{"C4"}}},
			codes: []string{"label-value-differs", "value-nowhere", "value-nowhere"}, notes: []string{"surplus",
				"surplus"}, to: []int{0, 0, 0, 2}},
		"two lines of one number": {lines: []Line{{Number: 1, Quantity: 1, Part: c("1 µF")},
			{Number: 1, Quantity: 1, Part: c("2.2 µF")}},
			codes: []string{"line-twice"}, to: []int{1, 0, 0, 1}},
	} {
		t.Run(name, func(t *testing.T) {
			r := reconcile(t, Request{Map: m, Kit: &Kit{Lines: x.lines}})
			var codes, notes []string
			for _, f := range r.Flags {
				codes = append(codes, f.Code)
			}
			for _, l := range r.Lines {
				for _, f := range l.Findings {
					if f.Severity == finding.Note {
						notes = append(notes, f.Code)
					}
				}
			}
			slices.Sort(codes)
			if !slices.Equal(codes, x.codes) || !slices.Equal(notes, x.notes) {
				t.Errorf("flags %v, notes %v; want %v, %v", codes, notes, x.codes, x.notes)
			}
			for i, p := range r.Positions {
				if p.Line == nil && x.to[i] != 0 || p.Line != nil && *p.Line != x.to[i] {
					t.Errorf("%s gets %v, want line %d", p.Designator, p.Line, x.to[i])
				}
			}
		})
	}
}
