package record_test

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"boardlore/domain/board"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
	"boardlore/domain/record"
	"boardlore/domain/tabletest"
)

// TestPublishedIntervals holds the limits to Newcombe's table I, method 3
// (Statistics in Medicine 17, 1998, 857-872), to the four figures printed.
func TestPublishedIntervals(t *testing.T) {
	n := 0
	for _, row := range tabletest.Rows(t, "testdata/intervals.csv") {
		if row["method"] != "wilson" {
			continue
		}
		n++
		failed, _ := strconv.Atoi(row["failed"])
		units, _ := strconv.Atoi(row["units"])
		s := record.ShareOf(failed, units)
		if got := fmt.Sprintf("%.4f %.4f", s.Low, s.High); got != row["low"]+" "+row["high"] {
			t.Errorf("%d of %d: %s, want %s %s", failed, units, got, row["low"], row["high"])
		}
	}
	if n != 4 {
		t.Errorf("%d rows, not 4", n)
	}
}

// TestIntervalsBySolving: at each limit the score test of the share observed
// is at its 2.5 % point, by gonum's normal distribution.
func TestIntervalsBySolving(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5000).Draw(t, "n")
		k := rapid.IntRange(0, n).Draw(t, "k")
		s, p := record.ShareOf(k, n), float64(k)/float64(n)
		if *s.Share != p || s.Low > p || s.High < p || s.Low < 0 || s.High > 1 {
			t.Fatalf("%d of %d: %v in %v to %v", k, n, *s.Share, s.Low, s.High)
		}
		tail := func(limit float64) float64 {
			sd := math.Sqrt(limit * (1 - limit) / float64(n))
			return distuv.UnitNormal.CDF(-math.Abs(p-limit) / sd)
		}
		if k > 0 && math.Abs(tail(s.Low)-0.025) > 1e-7 || k < n && math.Abs(tail(s.High)-0.025) > 1e-7 {
			t.Fatalf("%d of %d: tails of %v and %v", k, n, tail(s.Low), tail(s.High))
		}
	})
	if s := record.ShareOf(0, 0); s.Share != nil || s.Low != 0 || s.High != 1 {
		t.Errorf("of no unit nothing is known: %v", s)
	}
}

// TestWords: what people are told, and no rate under three units. 12 of 14
// has the limits 60.1 % and 96.0 %, by Newcombe's formula.
func TestWords(t *testing.T) {
	for _, c := range []struct {
		tallies            []record.Tally
		words, evidence    string
		units, failed, not int
	}{
		{[]record.Tally{{"C48", "leaking", "", 12, 0}, {"C48", "good", "", 2, 2}}, "12 of 14 units had C48 leaking (60–96 %)",
			"2 units as mapped", 14, 12, 0},
		{[]record.Tally{{"C48", "leaking", "", 1, 0}, {"C48", "open", "", 1, 0}}, "2 of 2 units had C48 leaking or open", "", 2,
			2, 0},
		{[]record.Tally{{"C48", "good", "", 7, 7}, {"C48", "differs", "", 1, 0}}, "C48: no failure in 8 units (0–32 %)",
			"7 units as mapped, 1 with something else: perhaps another build", 8, 0, 1},
		{[]record.Tally{{"C48", "good", "", 7, 7}, {"C48", "differs", "31.8 µF", 1, 0}}, "C48: no failure in 8 units (0–32 %)",
			"7 units as mapped, 1 with 33 µF: perhaps another build", 8, 0, 1},
		{[]record.Tally{{"C48", "differs", "31.8 µF", 1, 0}, {"C48", "differs", "34 µF", 2, 0},
			{"C48", "differs", "100 nF", 1, 0}, {"C48", "differs", "", 2, 0}}, "C48: no failure in 6 units (0–39 %)",
			"3 with 33 µF, 1 with 100 nF, 2 with something else: perhaps another build, or a fault of the map", 6, 0, 6},
		{[]record.Tally{{"C48", "differs", "5.07 kΩ", 1, 0}}, "C48: no failure in 1 unit",
			"1 with 5.1 kΩ: perhaps another build, or a fault of the map", 1, 0, 1},
		{[]record.Tally{{"C48", "good", "", 1, 0}}, "C48: no failure in 1 unit", "", 1, 0, 0},
		{[]record.Tally{{"C48", "missing", "", 3, 1}}, "", "", 0, 0, 0},
		{[]record.Tally{{"C48", "missing", "", 3, 0}, {"C48", "burnt", "", 1, 0}}, "1 of 1 unit had C48 burnt", "", 1, 1, 0},
	} {
		p := record.Amount(&board.Map{}, 20, c.tallies, nil, nil, nil).Position("C48")
		if p.Words().String() != c.words || p.Evidence().String() != c.evidence || p.Units != c.units ||
			p.Failed != c.failed || p.Differs != c.not {
			t.Errorf("%v: %+v %q %q", c.tallies, p, p.Words(), p.Evidence())
		}
		sum := 0
		for _, b := range p.By {
			sum += b.Count
		}
		if want := c.tallies[0].Units; sum < want {
			t.Errorf("by holds %d units", sum)
		}
	}
	var none *record.Experience
	if !none.Position("C1").Words().IsZero() {
		t.Error("nothing was seen, and something is said")
	}
}

func q(s string) quantity.Quantity {
	v, err := quantity.Parse(s)
	if err != nil {
		panic(err)
	}
	return v
}

func tolerance(s string) quantity.Tolerance {
	v, err := quantity.ParseTolerance(s)
	if err != nil {
		panic(err)
	}
	return v
}

// TestAsMapped: class and tolerance of what was measured or fitted.
func TestAsMapped(t *testing.T) {
	c := part.Part{Class: "capacitor", Value: q("47 µF")}
	narrow, lopsided, absolute := c, c, part.Part{Class: "capacitor", Value: q("10 pF"),
		Tolerance: tolerance("±0.25 pF")}
	narrow.Tolerance, lopsided.Tolerance = tolerance("±5 %"), tolerance("-10 %/+50 %")
	measured := func(of, v string) record.Entry {
		return record.Entry{Found: "good", Measured: []record.Measured{{Of: of, Value: v}}}
	}
	fitted := func(class, v string) record.Entry {
		return record.Entry{Found: "leaking", Fitted: &record.Fitted{Part: part.Part{Class: part.Class(class),
			Value: q(v)}}}
	}
	for _, x := range []struct {
		p    board.Position
		e    record.Entry
		want bool
	}{
		{board.Position{Part: c}, measured("capacitance", "56.4 µF"), true}, // 20 % where none is given
		{board.Position{Part: c}, measured("capacitance", "56.5 µF"), false},
		{board.Position{Part: c}, measured("capacitance", "37.6 µF"), true},
		{board.Position{Part: c}, measured("capacitance", "37.5 µF"), false},
		{board.Position{Part: c}, measured("esr", "47 Ω"), false},
		{board.Position{Part: narrow}, measured("capacitance", "49.35 µF"), true},
		{board.Position{Part: narrow}, measured("capacitance", "49.36 µF"), false},
		{board.Position{Part: lopsided}, measured("capacitance", "70.5 µF"), true},
		{board.Position{Part: lopsided}, measured("capacitance", "42 µF"), false},
		{board.Position{Part: absolute}, measured("capacitance", "10.25 pF"), true},
		{board.Position{Part: absolute}, measured("capacitance", "9.7 pF"), false},
		{board.Position{Part: c}, fitted("capacitor", "47 µF"), true},
		{board.Position{Part: c}, fitted("capacitor", "33 µF"), false},
		{board.Position{Part: c}, fitted("resistor", "47 Ω"), false},
		{board.Position{Part: c, Replacement: &board.Replacement{Part: part.Part{Class: "capacitor",
			Value: q("100 µF")}}}, fitted("capacitor", "100 µF"), true},
		{board.Position{Part: part.Part{Class: "resistor", Value: q("1 kΩ")}}, measured("resistance", "1.1 kΩ"), true},
		{board.Position{Part: part.Part{Class: "capacitor"}}, measured("capacitance", "1 µF"), false},
		{board.Position{Part: c}, record.Entry{Found: "missing", Fitted: &record.Fitted{Part: c}}, false},
		{board.Position{Part: c}, record.Entry{Found: "good"}, false},
	} {
		if got := x.e.AsMapped(&x.p); got != x.want {
			t.Errorf("%v %+v at %v: %v", x.e.Found, x.e, x.p.Part, got)
		}
	}
}

func facts() record.Facts {
	return record.Facts{Board: "b", Newest: 2, Revision: true, Variant: true, Today: "2026-03-01",
		Photograph: func(s string) bool { return strings.HasPrefix(s, "a") },
		Kit:        func(s string) bool { return s == "k" },
		Map: &board.Map{Positions: []board.Position{{Designator: "C1"}, {Designator: "C2"}},
			Checks: []board.Measurement{{ID: "r", Measure: "resistance"}, {ID: "v", Measure: "voltage"},
				{ID: "c", Measure: "continuity"}}}}
}

// TestJudge: each fault at its place, and readings spelled canonically.
func TestJudge(t *testing.T) {
	sound := func() record.Record {
		return record.Record{Board: "b", Revision: 1, Unit: "7", ServicedOn: "2026-03-01", Outcome: "working",
			Positions: []record.Entry{{Designator: "C1", Found: "good", Done: "left"}}}
	}
	measure := func(of, v string) func(*record.Record) {
		return func(r *record.Record) { r.Positions[0].Measured = []record.Measured{{Of: of, Value: v}} }
	}
	check := func(id, v string) func(*record.Record) {
		return func(r *record.Record) { r.Checks = []record.CheckReading{{ID: id, Value: v}} }
	}
	for _, c := range []struct {
		name  string
		edit  func(*record.Record)
		facts func(*record.Facts)
		want  []string // code and pointer of each fault
	}{
		{"sound", nil, nil, nil},
		{"another board", func(r *record.Record) { r.Board = "x" }, nil, []string{"record-elsewhere /board"}},
		{"no such revision", nil, func(f *record.Facts) { f.Revision = false }, []string{"revision-unknown /revision"}},
		{"no such variant", nil, func(f *record.Facts) { f.Variant = false }, []string{"variant-not-found /variant"}},
		{"tomorrow", func(r *record.Record) { r.ServicedOn = "2026-03-02" }, nil, []string{"date-future /serviced_on"}},
		{"no date", func(r *record.Record) { r.ServicedOn = "2026-02-30" }, nil, []string{"date-invalid /serviced_on"}},
		{"no such position", func(r *record.Record) { r.Positions[0].Designator = "C9" }, nil,
			[]string{"designator-unknown /positions/0/designator"}},
		{"a position twice", func(r *record.Record) { r.Positions = append(r.Positions, r.Positions[0]) }, nil,
			[]string{"designator-twice /positions/1/designator"}},
		{"no unit", measure("capacitance", "47"), nil, []string{"reading-without-unit /positions/0/measured/0/value"}},
		{"no unit, with signs", measure("voltage", "-1,234.5"), nil,
			[]string{"reading-without-unit /positions/0/measured/0/value"}},
		{"another kind", measure("capacitance", "47 V"), nil,
			[]string{"reading-unreadable /positions/0/measured/0/value"}},
		{"ESR in farads", measure("esr", "47 µF"), nil, []string{"reading-unreadable /positions/0/measured/0/value"}},
		{"no quantity", measure("current", "much"), nil, []string{"reading-unreadable /positions/0/measured/0/value"}},
		{"dissipation in ohms", measure("dissipation", "5 Ω"), nil,
			[]string{"reading-unreadable /positions/0/measured/0/value"}},
		{"dissipation", measure("dissipation", "0,15"), nil, nil},
		{"dissipation, per cent", measure("dissipation", "15%"), nil, nil},
		{"no such check", check("x", "1 Ω"), nil, []string{"check-unknown /checks/0/id"}},
		{"a check's reading without unit", check("r", "150"), nil, []string{"reading-without-unit /checks/0/value"}},
		{"a check's reading of another kind", check("v", "150 Ω"), nil, []string{"reading-unreadable /checks/0/value"}},
		{"continuity in ohms", check("c", "0.2 Ω"), nil, nil},
		{"no such photograph", func(r *record.Record) {
			r.Photographs = []string{strings.Repeat("a", 64), strings.Repeat("b", 64), "short"}
		}, nil,
			[]string{"photograph-unknown /photographs/1", "photograph-unknown /photographs/2"}},
		{"a kit that is not kept", func(r *record.Record) {
			r.Kit = &record.KitUse{Kit: "z",
				Missing: []string{"C2", "C8"}}
		}, nil,
			[]string{"designator-unknown /kit/missing/1", "kit-unknown /kit/kit"}},
		{"all at once", func(r *record.Record) {
			r.Positions[0].Designator, r.ServicedOn = "C9", "2030-01-01"
			measure("capacitance", "5")(r)
			check("x", "5")(r)
		}, func(f *record.Facts) { f.Revision = false },
			[]string{"revision-unknown /revision", "date-future /serviced_on",
				"designator-unknown /positions/0/designator", "reading-without-unit /positions/0/measured/0/value",
				"check-unknown /checks/0/id"}},
	} {
		r, f := sound(), facts()
		if c.edit != nil {
			c.edit(&r)
		}
		if c.facts != nil {
			c.facts(&f)
		}
		var got []string
		for _, x := range r.Judge(f) {
			got = append(got, x.Code+" "+x.Pointer)
			if x.Sentence.IsZero() || !strings.HasSuffix(x.Sentence.String(), ".") {
				t.Errorf("%s: %s says %q", c.name, x.Code, x.Sentence)
			}
		}
		if d := cmp.Diff(c.want, got); d != "" {
			t.Errorf("%s (-want +got):\n%s", c.name, d)
		}
	}
	r := sound()
	r.Positions[0].Measured = []record.Measured{{Of: "capacitance", Value: "4,7uF"}, {Of: "esr", Value: "1R9"},
		{Of: "dissipation", Value: " 0,15 "}, {Of: "dissipation", Value: "15%"}}
	if fs := r.Judge(facts()); len(fs) > 0 {
		t.Fatal(fs)
	}
	var got []string
	for _, m := range r.Positions[0].Measured {
		got = append(got, m.Value)
	}
	if want := []string{"4.7 µF", "1.9 Ω", "0.15", "15 %"}; !slices.Equal(got, want) {
		t.Errorf("spelled %q, want %q", got, want)
	}
}

// TestMatch: texts match by words, whatever their case, synonyms included.
func TestMatch(t *testing.T) {
	for _, c := range []struct {
		question, symptom string
		want              bool
	}{
		{"no clock", "Clock lost", true}, {"CLOCK", "clock lost", true}, {"no clock", "no display", false},
		{"lost clock", "The clock is gone.", true},
		{"hum", "Loud humming on the left channel", true}, {"Brummen", "mains hum", true},
		{"hum", "human error", false},
		{"smell of fish", "Smells fishy when warm", true}, {"smell of fish", "Smell of fish when warm", true},
		{"smell of fish", "smell of smoke", false},
		{"dead", "Ticks, does not start", true}, {"won't start", "does not start", true}, {"ticks", "Ticking, dead",
			true},
		{"no sound", "muted", true}, {"clock lost at power-up", "clock lost", false},
		{"Geruch nach Fisch", "smells of fish", true}, {"pas de son", "no sound", true},
		{"faders crackle", "Crackle when a fader moves", true},
	} {
		a, ok := record.Ask(c.question)
		if !ok {
			t.Errorf("%q is no question", c.question)
		}
		if got := a.Match(c.symptom); got != c.want {
			t.Errorf("%q in %q: %v", c.question, c.symptom, got)
		}
		if !c.want {
			continue
		}
		words := record.Words(c.symptom)
		for _, any := range a.Any() { // what an index looks for must not lose a match
			if !slices.ContainsFunc(any, func(w string) bool { return slices.Contains(words, w) }) {
				t.Errorf("%q in %q: none of %v is among %v", c.question, c.symptom, any, words)
			}
		}
	}
	for _, text := range []string{"", "  ", "the of at", "?!"} {
		if _, ok := record.Ask(text); ok {
			t.Errorf("%q asks something", text)
		}
	}
}

// TestRank: worked by hand. Of 4 units with the symptom 3 had C5, of 6 without
// it 1: ln((3.5 · 5.5)/(1.5 · 1.5)) = 2.14658.
func TestRank(t *testing.T) {
	out := record.Rank([]record.Suspect{
		{Board: "b", Designator: "C7", With: 4, Had: 1, Without: 6, OtherHad: 3},
		{Board: "b", Designator: "C5", With: 4, Had: 3, Without: 6, OtherHad: 1},
		{Board: "b", Point: "p", Told: "Clock lost"},
	})
	if len(out) != 3 || out[0].Designator != "C5" || out[1].ID != "p" || out[2].Designator != "C7" {
		t.Fatalf("order %+v", out)
	}
	if math.Abs(out[0].Score-2.14658) > 1e-5 || out[1].Score != 0 || out[0].Units != 4 ||
		math.Abs(*out[0].Share.Share-0.75) > 1e-12 {
		t.Errorf("%+v", out[0])
	}
	if want := []string{"3 of 4 units with such a symptom had it.",
		"1 of 6 units without it had it too."}; !slices.Equal(said(out[0].Why), want) {
		t.Errorf("why %q", said(out[0].Why))
	}
	if want := []string{"The map names this symptom: Clock lost.",
		"No recorded unit has had such a symptom yet."}; !slices.Equal(said(out[1].Why), want) {
		t.Errorf("why %q", said(out[1].Why))
	}
}

// TestDates holds the calendar to that of the standard library.
func TestDates(t *testing.T) {
	for year := 1896; year <= 2004; year += 4 {
		for month := range 14 {
			for day := range 33 {
				s := fmt.Sprintf("%04d-%02d-%02d", year, month, day)
				r := record.Record{Board: "b", ServicedOn: s}
				_, err := time.Parse(time.DateOnly, s)
				if got := len(r.Judge(facts())) == 0; got != (err == nil) {
					t.Errorf("%s is a date: %v", s, got)
				}
			}
		}
	}
}

func FuzzReading(f *testing.F) {
	for _, s := range []string{"47 µF", "4u7", "1R9", "", "∞", "1,000", "0.15", "15 %", "-5 V", "\x00", "10 kΩ / 5 V"} {
		f.Add(s, "capacitance")
		f.Add(s, "dissipation")
	}
	f.Fuzz(func(t *testing.T, value, of string) {
		if !slices.Contains([]string{"capacitance", "esr", "resistance", "voltage", "current", "dissipation"}, of) {
			return
		}
		r := record.Record{Board: "b", ServicedOn: "2026-03-01",
			Positions: []record.Entry{{Designator: "C1", Measured: []record.Measured{{Of: of, Value: value}}}}}
		if len(r.Judge(facts())) > 0 {
			return
		}
		once := r.Positions[0].Measured[0].Value
		if fs := r.Judge(facts()); len(fs) > 0 || r.Positions[0].Measured[0].Value != once {
			t.Errorf("%q is spelled %q, which reads as %q: %v", value, once, r.Positions[0].Measured[0].Value, fs)
		}
	})
}

// said are messages in English.
func said(all []message.Message) []string {
	out := make([]string, len(all))
	for i, m := range all {
		out[i] = m.String()
	}
	return out
}
