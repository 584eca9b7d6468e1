package board

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/go-json-experiment/json"

	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// membersOf gives the names in documents of the members of a type, "x-…" ones aside.
func membersOf(t reflect.Type) []string {
	var names []string
	for i := range t.NumField() {
		if name, _, _ := strings.Cut(t.Field(i).Tag.Get("json"), ","); name != "" {
			names = append(names, name)
		}
	}
	return names
}

func namesIn[T any](list []T, name func(T) string) []string {
	var names []string
	for _, v := range list {
		names = append(names, name(v))
	}
	return names
}

// Every member has a row that says in which ways, if any, it may change before
// one pair of eyes; one that is added to a type and forgotten there would pass
// unread.
func TestEveryMemberHasARow(t *testing.T) {
	ways := func(of []itemMember[FailurePoint]) []string {
		return namesIn(of, func(m itemMember[FailurePoint]) string { return m.name })
	}
	var ofParts []string
	for name := range partWays {
		ofParts = append(ofParts, name)
	}
	for _, c := range []struct {
		what        string
		rows, wants []string
	}{
		{"position", append(namesIn(placeMembers, func(m placeMember) string { return m.name }), "y_mm", "part", "body",
			"replacement"), append(membersOf(reflect.TypeFor[Position]()), "replacement.reason")},
		{"part", ofParts, membersOf(reflect.TypeFor[part.Part]())},
		{"body", namesIn(bodyMembers, func(m bodyMember) string { return m.name }),
			membersOf(reflect.TypeFor[part.Body]())},
		{"failure point", ways(failurePointMembers), membersOf(reflect.TypeFor[FailurePoint]())},
		{"check", namesIn(measurementMembers, func(m itemMember[Measurement]) string { return m.name }),
			membersOf(reflect.TypeFor[Measurement]())},
		{"variant", namesIn(variantMembers, func(m itemMember[Variant]) string { return m.name }),
			membersOf(reflect.TypeFor[Variant]())},
		{"map", namesIn(headWays, func(w headWay) string { return w.name }), membersOf(reflect.TypeFor[Map]())},
	} {
		slices.Sort(c.rows)
		slices.Sort(c.wants)
		if !slices.Equal(c.rows, c.wants) {
			t.Errorf("%s: rows for %v, members are %v", c.what, c.rows, c.wants)
		}
	}
}

// headWay says what of a member of the map itself passes unread, and why.
type headWay struct {
	name   string
	passes []string // paths below it that may change whatever they say
}

// headWays are all members of a map. What is judged item by item is held to the
// tables; nothing else of it may pass but what is named here.
var headWays = []headWay{
	{name: "board", passes: []string{""}},          // a map of another board is refused
	{name: "equipment", passes: []string{"years"}}, // by maker, model and kind boards are found
	{name: "name"},
	{name: "markings", passes: []string{""}}, // what is lost, or is another's, is a hazard before this
	{name: "licence", passes: []string{""}},  // instructs nobody
	{name: "frame", passes: []string{"width_mm", "height_mm", "outline", "basis", "uncertainty_mm"}},
	{name: "positions"}, {name: "variants"}, {name: "failure_points"}, {name: "checks"}, {name: "cautions"},
	{name: "photographs", passes: []string{"taken", "licence", "points"}},
	{name: "variant", passes: []string{""}}, {name: "of", passes: []string{""}}, // nobody submits such a one
}

// alteration is one leaf of a map with another value.
type alteration struct {
	path string
	do   func()
	undo func()
}

// choicesOf are the values of closed sets, by the path's last member.
var choicesOf = map[string][]string{
	"side": {"top", "bottom"}, "class": part.Names(part.Classes),
	"construction": append(part.Names(part.Constructions), "zener", "npn"),
	"circuit":      append(part.Names(part.Circuits), ""), "service": {"replace", "inspect", "leave", ""},
	"severity": {"minor", "major", "hazard"}, "measure": {"resistance", "voltage", "current", "continuity"},
	"mount": mounts, "shape": shapes, "basis": {"measured", "photograph", "design-data"},
	"fuse_speed": {"F", "T", ""}, "supply": {"ac", "dc", ""},
}

var moments = map[string][]string{"checks": {"before-power-up", "after-power-up"},
	"cautions": {"before-opening", "before-power-up", "while-working", "after", ""}}

// alter lists what can be altered under a value, each leaf in several ways.
func alter(path string, v reflect.Value, out *[]alteration) {
	set := func(to reflect.Value) {
		was := reflect.New(v.Type()).Elem()
		was.Set(v)
		*out = append(*out, alteration{fmt.Sprintf("%s = %v", path, to), func() { v.Set(to) }, func() { v.Set(was) }})
	}
	last := path[strings.LastIndex(path, "/")+1:]
	switch q := v.Interface().(type) {
	case quantity.Quantity:
		set(reflect.ValueOf(quantity.Quantity{}))
		for _, s := range []string{"1 V", "47 V", "330 V", "100 mA", "20 A", "10 Ω", "33 kΩ", "3.3 µF", "125 °C",
			"5 W"} {
			if n := canonically(s); q.IsZero() || n.Unit() == q.Unit() {
				set(reflect.ValueOf(n))
			}
		}
		return
	case quantity.Tolerance, part.Breaking:
		if !v.IsZero() {
			set(reflect.Zero(v.Type()))
		}
		return
	}
	switch v.Kind() {
	case reflect.String:
		options := choicesOf[last]
		if last == "when" {
			options = moments[strings.Split(path, "/")[1]]
		}
		if options == nil {
			options = []string{"", v.String() + "z", v.String() + ", reversed", "Anything will do.", "U1"}
		}
		for _, s := range options {
			if s != v.String() {
				set(reflect.ValueOf(s).Convert(v.Type()))
			}
		}
	case reflect.Float64:
		for _, f := range []float64{0, v.Float() * 1.05, v.Float() * 4, v.Float() + 25, v.Float() + 180} {
			if f != v.Float() {
				set(reflect.ValueOf(f))
			}
		}
	case reflect.Int:
		set(reflect.ValueOf(int(v.Int()) + 1).Convert(v.Type()))
	case reflect.Pointer:
		switch {
		case !v.IsNil() && v.Elem().Kind() == reflect.Struct:
			set(reflect.Zero(v.Type()))
			alter(path, v.Elem(), out)
		case v.Type().Elem().Kind() == reflect.Bool:
			for _, b := range []bool{true, false} {
				set(reflect.ValueOf(&b))
			}
			set(reflect.Zero(v.Type()))
		case v.Type().Elem().Kind() == reflect.Float64:
			for _, f := range []float64{0, 90, 180} {
				set(reflect.ValueOf(&f))
			}
			set(reflect.Zero(v.Type()))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ","); name != "" {
				alter(path+"/"+name, v.Field(i), out)
			}
		}
	case reflect.Slice:
		if v.Type() == reflect.TypeFor[json.Options]() || v.Type().Elem().Kind() == reflect.Uint8 {
			return
		}
		for i := range v.Len() {
			rest := reflect.AppendSlice(reflect.MakeSlice(v.Type(), 0, v.Len()), v.Slice(0, i))
			set(reflect.AppendSlice(rest, v.Slice(i+1, v.Len())))
			(*out)[len(*out)-1].path = fmt.Sprintf("%s/%d gone", path, i)
			alter(fmt.Sprintf("%s/%d", path, i), v.Index(i), out)
		}
	}
}

// passes tells a change that the tables of the test and of the package say may pass.
func waysOf(path string, from, to *Map, d *Difference) []string {
	steps := strings.Split(strings.SplitN(path, " ", 2)[0], "/")[1:]
	var ways []string
	if !slices.ContainsFunc(d.Changes, func(e DifferenceEntry) bool { return e.Severity != Editorial }) {
		return []string{"nothing changes for the person at the bench"}
	}
	differs := newDiffer(from, to)
	switch steps[0] {
	case "positions":
		for k, i := range differs.match.was {
			if i >= 0 && !samePosition(&from.Positions[i], &to.Positions[k]) {
				ways = append(ways, coveredBy(&from.Positions[i], &to.Positions[k])...)
			}
		}
		if len(ways) == 0 && len(unsaid(from, to)) == 0 {
			ways = append(ways, "says the same in other words")
		}
		if len(from.Positions) > len(to.Positions) {
			ways = append(ways, "found on the board all the same")
		}
	case "variants":
		ways = append(ways, "judged position by position")
	case "failure_points":
		for i := range from.FailurePoints {
			for k := range to.FailurePoints {
				ways = append(ways, itemWays(differs, failurePointMembers, &from.FailurePoints[i],
					&to.FailurePoints[k])...)
			}
		}
	case "checks":
		for i := range from.Checks {
			for k := range to.Checks {
				ways = append(ways, itemWays(differs, measurementMembers, &from.Checks[i], &to.Checks[k])...)
			}
		}
	case "cautions":
		if strings.Contains(path, "/when") {
			ways = append(ways, "sooner, or always")
		}
	default:
		if respelled(from.Equipment.Maker, to.Equipment.Maker) && from.Equipment.Maker != to.Equipment.Maker {
			ways = append(ways, "a letter of the maker's name mended")
		}
		for _, w := range headWays {
			if w.name == steps[0] && slices.Contains(w.passes, strings.Join(dropFigures(steps[1:]), "/")) ||
				w.name == steps[0] && len(steps) > 1 && slices.Contains(w.passes, dropFigures(steps[1:])[0]) {
				ways = append(ways, "instructs nobody")
			}
		}
	}
	return ways
}

// unsaid gives the members that differ between positions of two maps in what they say.
func unsaid(from, to *Map) []string {
	var out []string
	for i := range min(len(from.Positions), len(to.Positions)) {
		a, b := &from.Positions[i], &to.Positions[i]
		for _, m := range placeMembers {
			if !m.same(a, b) {
				out = append(out, m.name)
			}
		}
		for k := range part.Members {
			if m := &part.Members[k]; !alikeIn(m, &a.Part, &b.Part) || !alikeIn(m, a.Wanted(), b.Wanted()) {
				out = append(out, m.Name)
			}
		}
		if !sameBody(a.Body, b.Body) {
			out = append(out, "body")
		}
	}
	return out
}

func dropFigures(steps []string) []string {
	var out []string
	for _, s := range steps {
		if strings.Trim(s, "0123456789") != "" {
			out = append(out, s)
		}
	}
	return append(out, "")[:max(1, len(out))]
}

func itemWays[T any](d *differ, members []itemMember[T], a, b *T) []string {
	var ways []string
	for _, m := range members {
		for _, w := range m.ways {
			if !m.same(a, b) && w.is(pair[T]{d, a, b}) {
				ways = append(ways, m.name+": "+w.name)
			}
		}
	}
	return ways
}

// coveredBy names the ways that cover what differs between two positions.
func coveredBy(a, b *Position) []string {
	var ways []string
	s := shift{a, b}
	for _, m := range placeMembers {
		for _, w := range m.ways {
			if !m.same(a, b) && w.is(s) {
				ways = append(ways, m.name+": "+w.name)
			}
		}
	}
	for _, parts := range [][2]*part.Part{{&a.Part, &b.Part}, {a.Wanted(), b.Wanted()}} {
		for i := range part.Members {
			m := &part.Members[i]
			for _, w := range partWays[m.Name] {
				if !m.Same(parts[0], parts[1]) && w.is(partShift{s, parts[0], parts[1]}) {
					ways = append(ways, m.Name+": "+w.name)
				}
			}
		}
	}
	for _, m := range bodyMembers {
		of := bodyShift{s, a.Body, b.Body}
		if of.p == nil {
			of.p = &part.Body{}
		}
		if of.q == nil {
			of.q = &part.Body{}
		}
		for _, w := range m.ways {
			if m.at(of.p) != m.at(of.q) && w.is(of) {
				ways = append(ways, m.name+": "+w.name)
			}
		}
	}
	return ways
}

// Whatever is altered in a map is a hazard, or a named way says why it is
// harmless: nothing passes because nobody thought of it.
func TestNothingPassesUnthoughtOf(t *testing.T) {
	passed := map[string]int{}
	hazards, all := 0, 0
	for _, file := range []string{"base.json", "receiver.json", "deck.json"} {
		raw, err := os.ReadFile("testdata/hazard/" + file)
		if err != nil {
			t.Fatal(err)
		}
		var from, m Map
		if err := json.Unmarshal(raw, &from); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(raw, &m); err != nil {
			t.Fatal(err)
		}
		var view SafetyView
		view.Fold(1, nil, &from)
		var alterations []alteration
		alter("", reflect.ValueOf(&m).Elem(), &alterations)
		for _, a := range alterations {
			a.do()
			d := Diff(&from, &m)
			if len(d.Changes) > 0 {
				all++
				if len(Judge(&view, &from, &m, &d)) > 0 {
					hazards++
				} else if ways := waysOf(a.path, &from, &m, &d); len(ways) == 0 {
					t.Errorf("%s: %s passes, and nothing says why", file, a.path)
				} else {
					passed[ways[0]]++
					if testing.Verbose() {
						t.Logf("%s: %s: %v", file, a.path, ways)
					}
				}
			}
			a.undo()
		}
	}
	t.Logf("%d of %d alterations are hazards; the others pass by: %v", hazards, all, passed)
	if hazards*2 < all {
		t.Errorf("%d of %d alterations are hazards", hazards, all)
	}
}
