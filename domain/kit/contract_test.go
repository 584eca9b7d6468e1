package kit

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/part"
)

// wet is an electrolytic of a value at 25 V and 105 °C.
func wet(t testing.TB, value string) part.Part {
	return part.Part{Class: part.Capacitor, Construction: part.AluminiumElectrolytic, Value: q(t, value),
		Voltage: q(t, "25 V"), TemperatureMax: q(t, "105 °C"), Polarised: ptr(true)}
}

// bench is a board of electrolytics, "C1 47 µF" each, all to be replaced.
func bench(t testing.TB, places ...string) *board.Map {
	m := &board.Map{Board: "bench"}
	for i, p := range places {
		d, value, _ := strings.Cut(p, " ")
		m.Positions = append(m.Positions, board.Position{Designator: d, Side: "top", X: float64(i), Part: wet(t, value),
			Service: "replace", Negative: ptr(0.0)})
	}
	return m
}

// bag is a kit of lines like "4 47 µF" or "4 47 µF: C1-C4".
func bag(t testing.TB, lines ...string) *Kit {
	k := &Kit{ID: "bag", Title: "Bag"}
	for i, s := range lines {
		var l Line
		s, labels, _ := strings.Cut(s, ": ")
		n, value, _ := strings.Cut(s, " ")
		fmt.Sscan(n, &l.Quantity)
		p := wet(t, value)
		l.Number, l.Part = i+1, &p
		if labels != "" {
			l.Designators = strings.Split(labels, "; ")
		}
		k.Lines = append(k.Lines, l)
	}
	return k
}

// told is a report in a few words: what each position gets, then codes.
type told struct {
	outcome string
	places  string // "C1=1 C2=-"
	flags   string // codes, sorted
	moves   string // "C1:1>2"
	buy     string // "2 47 µF for C1 C2"
	notes   string // codes of the lines' findings, sorted
}

func tell(r *Report) told {
	line := func(n *int) string {
		if n == nil {
			return "-"
		}
		return fmt.Sprint(*n)
	}
	var places, flags, moves, buy, notes []string
	for _, p := range r.Positions {
		places = append(places, p.Designator+"="+line(p.Line))
	}
	for _, f := range r.Flags {
		flags = append(flags, f.Code)
	}
	for _, m := range r.Rearrangement {
		moves = append(moves, fmt.Sprintf("%s:%s>%s", m.Designator, line(m.FromLine), line(m.ToLine)))
	}
	for _, b := range r.ToBuy {
		buy = append(buy, fmt.Sprintf("%d %s for %s", b.Quantity, b.Part.Value, strings.Join(b.For, " ")))
	}
	for _, l := range r.Lines {
		for _, f := range l.Findings {
			notes = append(notes, f.Code)
		}
	}
	slices.Sort(flags)
	slices.Sort(notes)
	return told{r.Outcome, strings.Join(places, " "), strings.Join(flags, " "), strings.Join(moves, " "),
		strings.Join(buy, ", "), strings.Join(notes, " ")}
}

// Cases worked out by hand from what a report is meant to say.
func TestToldByHand(t *testing.T) {
	six := bench(t, "C1 47 µF", "C2 47 µF", "C3 47 µF", "C4 10 µF", "C5 10 µF", "C12 100 µF")
	for name, c := range map[string]struct {
		kit  *Kit
		want told
	}{
		"all there, lowest lines first": {bag(t, "2 47 µF", "2 10 µF", "2 47 µF", "1 100 µF"),
			told{outcome: Complete, places: "C1=1 C2=1 C3=3 C4=2 C5=2 C12=4", notes: "surplus"}},
		"short": {bag(t, "1 47 µF", "2 10 µF"),
			told{outcome: Short, places: "C1=1 C2=- C3=- C4=2 C5=2 C12=-", buy: "2 47 µF for C2 C3, 1 100 µF for C12"}},
		"labels as ranges": {bag(t, "3 47 µF: C1-C3", "2 10 µF: C4,5", "1 100 µF: C12"),
			told{outcome: Complete, places: "C1=1 C2=1 C3=1 C4=2 C5=2 C12=3"}},
		"labels with dots": {bag(t, "3 47 µF: C1…C3", "2 10 µF: C4; C5", "1 100 µF: c12"),
			told{outcome: Complete, places: "C1=1 C2=1 C3=1 C4=2 C5=2 C12=3"}},
		"two labels exchanged": {bag(t, "3 47 µF: C1-C2; C4", "2 10 µF: C3; C5", "1 100 µF: C12"),
			told{outcome: Conflict, places: "C1=1 C2=1 C3=2 C4=1 C5=2 C12=3",
				flags: "label-value-differs label-value-differs", moves: "C3:2>1 C4:1>2"}},
		"three labels in a ring": {bag(t, "2 47 µF: C1-C2", "1 47 µF: C4", "1 10 µF: C12", "1 10 µF: C5",
			"1 100 µF: C3"),
			told{outcome: Conflict, places: "C1=1 C2=1 C3=5 C4=2 C5=4 C12=3",
				flags: "label-value-differs label-value-differs label-value-differs",
				moves: "C3:5>2 C4:2>3 C12:3>5"}},
		"one wrong label, a free line holds the part": {bag(t, "3 47 µF: C1-C3", "2 10 µF: C4; C12", "1 100 µF",
			"1 10 µF: C5"),
			told{outcome: Conflict, places: "C1=1 C2=1 C3=1 C4=2 C5=4 C12=2", flags: "label-value-differs",
				moves: "C12:2>3", notes: "surplus"}},
		"a designator twice, in one line and in two": {bag(t, "3 47 µF: C1-C3; C2", "2 10 µF: C4-C5", "1 100 µF: C12",
			"1 10 µF: C5"),
			told{outcome: ToCheck, places: "C1=1 C2=1 C3=1 C4=2 C5=2 C12=3", flags: "designator-twice designator-twice",
				notes: "designator-twice designator-twice surplus"}},
		"labels that the board lacks": {bag(t, "4 47 µF: C1-C3; C33", "2 10 µF: C4-C5", "1 100 µF: C12"),
			told{outcome: ToCheck, places: "C1=1 C2=1 C3=1 C4=2 C5=2 C12=3", flags: "designator-unknown",
				notes: "designator-unknown surplus"}},
		"fewer parts than labels": {bag(t, "2 47 µF: C1-C3", "2 10 µF: C4-C5", "1 100 µF: C12"),
			told{outcome: Short, places: "C1=1 C2=1 C3=- C4=2 C5=2 C12=3", flags: "quantity-short",
				buy: "1 47 µF for C3", notes: "quantity-short"}},
		"as many left over as are missing": {bag(t, "3 47 µF", "2 22 µF", "1 100 µF"),
			told{outcome: Short, places: "C1=1 C2=1 C3=1 C4=- C5=- C12=3", flags: "count-matches",
				buy: "2 10 µF for C4 C5", notes: "count-matches surplus"}},
		"another decade": {bag(t, "3 47 µF", "2 10 µF", "1 1000 µF"),
			told{outcome: Short, places: "C1=1 C2=1 C3=1 C4=2 C5=2 C12=-", flags: "figures-match",
				buy: "1 100 µF for C12", notes: "figures-match surplus"}},
		"a value on no position": {bag(t, "3 47 µF", "2 10 µF", "1 100 µF", "1 3.3 µF"),
			told{outcome: Complete, places: "C1=1 C2=1 C3=1 C4=2 C5=2 C12=3", notes: "surplus value-nowhere"}},
	} {
		t.Run(name, func(t *testing.T) {
			r := reconcile(t, Request{Map: six, Kit: c.kit})
			if d := cmp.Diff(c.want, tell(&r), cmp.AllowUnexported(told{})); d != "" {
				t.Error(d)
			}
		})
	}
}

// What is odd about the whole is flagged: a check of nothing, a kit for another
// board.
func TestWholeFlags(t *testing.T) {
	m := bench(t, "C1 47 µF")
	m.Positions[0].Service = "leave"
	k := bag(t, "1 47 µF")
	k.For = []string{"elsewhere"}
	r := reconcile(t, Request{Map: m, Kit: k})
	if got := tell(&r); got.flags != "kit-for-another scope-empty" {
		t.Errorf("%+v", got)
	}
	k.For = append(k.For, m.Board)
	if r = reconcile(t, Request{Map: m, Kit: k, Scope: Scope{Name: ScopeAll}}); len(r.Flags) != 0 {
		t.Errorf("%+v", r.Flags)
	}
}

// To buy is what is wanted, in full, the replacement where there is one.
func TestToBuyInFull(t *testing.T) {
	m := bench(t, "C1 47 µF", "C2 47 µF", "C3 47 µF")
	instead := wet(t, "68 µF")
	instead.Endurance, instead.Text = q(t, "5000 h"), "long life"
	for i := 1; i < 3; i++ {
		m.Positions[i].Replacement = &board.Replacement{Part: instead, Reason: "runs hot"}
	}
	r := reconcile(t, Request{Map: m, Kit: &Kit{}})
	if len(r.ToBuy) != 2 || r.ToBuy[1].Quantity != 2 || !cmp.Equal(r.ToBuy[1].Part, instead, exact) ||
		!slices.Equal(r.ToBuy[1].For, []string{"C2", "C3"}) {
		t.Errorf("%+v", r.ToBuy)
	}
	if !cmp.Equal(r.Positions[2].Wanted, instead, exact) {
		t.Errorf("%+v", r.Positions[2])
	}
}

// A kit for another variant, or for an earlier revision, is told to be one, with
// both scores.
func TestBetterBuilds(t *testing.T) {
	m := bench(t, "C1 47 µF", "C2 47 µF", "C3 10 µF")
	m.Variants = []board.Variant{{Variant: "late", Title: "Late", Changes: []board.Change{
		{Designator: "C3", Set: []byte(`{"part":{"value":"22 µF"}}`)}}}}
	earlier := bench(t, "C1 100 µF", "C2 47 µF", "C3 10 µF")
	others := func(yield func(Other, error) bool) {
		if yield(Other{Revision: 2, Digest: "two", Map: m}, nil) {
			yield(Other{Revision: 1, Digest: "one", Map: earlier}, nil)
		}
	}
	base := effective(t, m, "")
	for _, c := range []struct {
		kit      *Kit
		revision int
		variant  string
		filled   int
	}{
		{bag(t, "2 47 µF", "1 22 µF"), 2, "late", 3},
		{bag(t, "1 47 µF", "1 10 µF", "1 100 µF"), 1, "", 3},
		{bag(t, "2 47 µF: C1-C2", "1 22 µF: C3"), 2, "late", 3},
	} {
		r := reconcile(t, Request{Map: base, Kit: c.kit, Revision: 2, Others: others})
		if len(r.BetterFit) == 0 {
			t.Errorf("%+v: no better build is told", c)
			continue
		}
		b := r.BetterFit[0]
		if b.Revision != c.revision || b.Variant != c.variant || b.Summary.Filled != c.filled ||
			b.Summary.Filled <= r.Summary.Filled && r.Outcome != Conflict ||
			!strings.Contains(b.Sentence.String(), b.Summary.words().String()) || !strings.Contains(b.Sentence.String(),
			r.Summary.words().String()) {
			t.Errorf("%+v, here %+v", b, r.Summary)
		}
	}
	if r := reconcile(t, Request{Map: base, Kit: own(base, true), Revision: 2,
		Others: func(func(Other,
			error) bool) {
			t.Error("a kit without fault was tried on others")
		}}); r.BetterFit != nil {
		t.Errorf("%+v", r.BetterFit)
	}
	failing := func(yield func(Other, error) bool) { yield(Other{}, fmt.Errorf("gone")) }
	if _, err := Reconcile(Request{Map: base, Kit: bag(t, "1 1 µF"), Others: failing}); err == nil ||
		err.Error() != "gone" {
		t.Errorf("%v", err)
	}
}

// The names of a report's members are a contract.
func TestMembers(t *testing.T) {
	r := reconcile(t, Request{Map: bench(t, "C1 47 µF", "C2 10 µF", "C3 22 µF"), Kit: bag(t, "1 47 µF: C2",
		"1 10 µF: C1", "3 3.3 µF"), Pairs: true})
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]any
	if err := json.Unmarshal(b, &doc); err != nil {
		t.Fatal(err)
	}
	has := func(where string, v any, names string) {
		if list, ok := v.([]any); ok && len(list) > 0 {
			v = list[0]
		}
		m, _ := v.(map[string]any)
		for _, n := range strings.Fields(names) {
			if _, ok := m[n]; !ok {
				t.Errorf("%s has no %s but %v", where, n, slices.Sorted(maps.Keys(m)))
			}
		}
	}
	has("the report", doc,
		"board revision variant digest outcome summary pairs positions lines flags rearrangement to_buy cautions "+
			"better_fit")
	has("summary", doc["summary"], "positions filled unfilled flagged surplus penalty")
	has("positions", doc["positions"], "designator wanted line fit findings")
	has("lines", doc["lines"], "line quantity read used surplus findings")
	has("flags", doc["flags"], "code severity sentence designator line expected found basis")
	has("rearrangement", doc["rearrangement"], "designator from_line to_line sentence")
	has("to_buy", doc["to_buy"], "part quantity for")
	has("cautions", doc["cautions"], "text when severity code")
}

// A score is the summary of a report.
func TestScoreLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Request{Map: capacitors(t, rapid.IntRange(0, 10).Draw(t, "n")),
			Kit: drawKit(t, rapid.IntRange(0, 6).Draw(t, "l"), true)}
		if s, err := Score(r); err != nil || s != reconcile(t, r).Summary {
			t.Fatalf("%+v, %v", s, err)
		}
	})
}
