package kit

import (
	"strings"
	"testing"

	"boardlore/domain/board"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

func TestPoorer(t *testing.T) {
	for name, c := range map[string]struct{ worse, better Summary }{
		"one place more stays empty": {Summary{Unfilled: 2}, Summary{Unfilled: 1, Flagged: 9, Penalty: 900}},
		"one place more is flagged":  {Summary{Flagged: 1}, Summary{Penalty: 900}},
		"the parts suit less":        {Summary{Penalty: 2}, Summary{Penalty: 1}},
	} {
		if !c.worse.PoorerThan(c.better) || c.better.PoorerThan(c.worse) || c.worse.PoorerThan(c.worse) {
			t.Errorf("%s: poorer is not what is worse", name)
		}
	}
}

// TestServed: a board that the kit was made for stands before a large one that takes up all and a small one that takes
// up little.
func TestServed(t *testing.T) {
	own := Summary{Positions: 20, Filled: 19, Surplus: 1}
	large := Summary{Positions: 200, Filled: 20}
	small := Summary{Positions: 2, Filled: 2, Surplus: 18}
	for _, o := range []Summary{large, small} {
		if CompareServed(own, o) >= 0 || CompareServed(o, own) <= 0 {
			t.Errorf("%+v stands before the board that the kit was made for", o)
		}
	}
	dear := own
	dear.Penalty = 5
	if CompareServed(own, dear) >= 0 {
		t.Error("of two alike the one that suits better stands first")
	}
}

// TestKey: the map's part and the kit's are found by the same key, and two kinds never share one.
func TestKey(t *testing.T) {
	read := func(class part.Class, value, current, text string) string {
		p := &part.Part{Class: class, Text: text}
		var err error
		if value != "" {
			if p.Value, err = quantity.Parse(value); err != nil {
				t.Fatal(err)
			}
		}
		if current != "" {
			if p.Current, err = quantity.Parse(current); err != nil {
				t.Fatal(err)
			}
		}
		key, ok := Key(p, strings.ToLower)
		if ok == (key == "") {
			t.Fatalf("key %q, %v", key, ok)
		}
		return key
	}
	if a, b := read(part.Capacitor, "10 µF", "", "C1"), read(part.Capacitor, "10 µF", "", "a bag"); a != b {
		t.Errorf("a value is looked up by its text: %q, %q", a, b)
	}
	if a, b := read(part.Diode, "", "", "XY12"), read(part.Diode, "", "", "xy12"); a != b {
		t.Errorf("names that fold alike: %q, %q", a, b)
	}
	if a, b := read(part.Fuse, "", "1 A", ""), read(part.Fuse, "", "2 A", ""); a == b || a == "" {
		t.Errorf("fuses by their rating: %q, %q", a, b)
	}
	if k := read(part.Diode, "", "", strings.Repeat("x", nameLimit+1)); k != "" {
		t.Errorf("a long text is a name: %q", k)
	}
	m := &board.Map{Positions: []board.Position{
		{Service: board.Replace, Part: part.Part{Class: part.Diode, Text: "XY12"}},
		{Service: board.Leave, Part: part.Part{Class: part.Diode, Text: "XY12"}},
		{Service: board.Replace, Part: part.Part{Class: part.Diode}},
	}}
	if counts, total := Wants(m, strings.ToLower); total != 1 || len(counts) != 1 {
		t.Errorf("wanted: %v, %d", counts, total)
	}
}
