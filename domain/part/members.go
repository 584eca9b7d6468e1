package part

import (
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Member is one member of a part. Members is the one list of them: whatever
// looks at parts member by member (reading documents, comparing, grouping,
// carrying forward, sentences, pages) goes through it, so that a member is added
// by a field of Part, a property of the schema and one row.
type Member struct {
	Name    string        // as in documents
	Holds   Holding       // what sort of value
	Kind    quantity.Kind // of a quantity; see KindOf
	Choices []string      // all that it may hold; nil where any text will do
	Classes []Class       // that have such a member; nil for all
	Rating  bool          // says how much the part bears: less of it, or none said, is worse
	Told    bool          // said in a sentence even where two parts agree

	field
	say   func(p *Part) string           // in a sentence; nil where the text will do
	spell func(b []byte, p *Part) []byte // on the one line of Part.String; nil where the bare value will do
	slot  int                            // in Key
}

// Holding is what sort of value a member holds.
type Holding uint8

// The sorts of values.
const (
	Words Holding = iota // a name or a free text
	Measure
	Deviation
	Choice // yes, no or not known
	Capacity
	Coils
)

// field is the way to a member of a part.
type field struct {
	is   func(p *Part) bool
	same func(a, b *Part) bool
	copy func(to, from *Part)
	text func(p *Part) string
	at   func(p *Part) any

	measure func(p *Part) *quantity.Quantity // of what holds one
	choice  func(p *Part) *bool
}

// Is reports whether a part says something of the member.
func (m *Member) Is(p *Part) bool { return m.is(p) }

// Same reports whether both parts say the same of the member.
func (m *Member) Same(a, b *Part) bool { return m.same(a, b) }

// Copy makes one part say of the member what another says.
func (m *Member) Copy(to, from *Part) { m.copy(to, from) }

// Text is the member's value in its canonical spelling, "" where there is none.
func (m *Member) Text(p *Part) string { return m.text(p) }

// Printed is the member's value as people write it, "" where there is none.
func (m *Member) Printed(p *Part) string {
	if m.say != nil && m.is(p) {
		return m.say(p)
	}
	return m.text(p)
}

// Said is the member as a sentence has it; nothing where there is nothing to
// say.
func (m *Member) Said(p *Part) message.Message {
	if !m.is(p) {
		return message.Message{}
	}
	printed := message.Text(m.Printed(p))
	if m.Holds == Choice {
		printed = message.Word("choice", strings.ReplaceAll(m.Printed(p), " ", "-"))
	}
	if key := "told." + m.Name; message.English.Has(key) {
		return message.Of(key, printed)
	}
	return printed
}

// Say is the member as people say it.
func (m *Member) Say() message.Message { return message.Word("rated", m.Name) }

// Absent is what to say of a part that lacks it beside one that has it.
func (m *Member) Absent() message.Message { return message.Word("absent", m.Name) }

// At points to the member in a part, as its Go type.
func (m *Member) At(p *Part) any { return m.at(p) }

// Quantity is the value of a member that holds one, absent for all others.
func (m *Member) Quantity(p *Part) quantity.Quantity {
	if q, ok := m.at(p).(*quantity.Quantity); ok {
		return *q
	}
	return quantity.Quantity{}
}

// KindOf is the kind of quantity that the member holds in a part of a class;
// false where it holds any.
func (m *Member) KindOf(class Class) (quantity.Kind, bool) {
	if m.Kind == 0 {
		return ValueKind(class)
	}
	return m.Kind, true
}

// Members are all members of a part but the submitter's own, in the order in
// which a part is spelled and told.
var Members = inKeys([]Member{
	{Name: "class", Holds: Words, Choices: Names(Classes), field: named(func(p *Part) *Class { return &p.Class }),
		spell: spellClass},
	{Name: "construction", Holds: Words,
		field: named(func(p *Part) *Construction { return &p.Construction }), spell: spellConstruction},
	{Name: "value", Holds: Measure, Told: true, field: measured(func(p *Part) *quantity.Quantity { return &p.Value })},
	{Name: "tolerance", Holds: Deviation, Kind: quantity.ToleranceKind, field: tolerance},
	{Name: "fuse_speed", Holds: Words, Choices: []string{"FF", "F", "M", "T", "TT"},
		Classes: []Class{Fuse}, field: named(func(p *Part) *string { return &p.FuseSpeed })},
	{Name: "current", Holds: Measure, Kind: quantity.Current, Rating: true, Told: true,
		field: measured(func(p *Part) *quantity.Quantity { return &p.Current }), spell: spellCurrent},
	{Name: "voltage", Holds: Measure, Kind: quantity.Voltage, Rating: true, Told: true,
		field: measured(func(p *Part) *quantity.Quantity { return &p.Voltage }), spell: spellVoltage},
	{Name: "breaking_capacity", Holds: Capacity,
		Kind: quantity.Current, Classes: []Class{Fuse}, field: breakingCapacity, spell: spellBreaking},
	{Name: "supply", Holds: Words, Choices: Names(Supplies),
		Classes: []Class{Relay, Lamp, Inductor, Switch, Other},
		field:   named(func(p *Part) *Supply { return &p.Supply }), say: printedSupply, spell: spellSupply},
	{Name: "power", Holds: Measure, Kind: quantity.Power, Rating: true,
		field: measured(func(p *Part) *quantity.Quantity { return &p.Power })},
	{Name: "temperature_max", Holds: Measure, Kind: quantity.Temperature, Rating: true,
		field: measured(func(p *Part) *quantity.Quantity { return &p.TemperatureMax })},
	{Name: "endurance", Holds: Measure, Kind: quantity.Duration, Rating: true,
		field: measured(func(p *Part) *quantity.Quantity { return &p.Endurance })},
	{Name: "esr_max", Holds: Measure, Kind: quantity.Resistance,
		field: measured(func(p *Part) *quantity.Quantity { return &p.ESRMax }),
		spell: after("ESR", func(p *Part) quantity.Quantity { return p.ESRMax })},
	{Name: "ripple", Holds: Measure, Kind: quantity.Current, Rating: true,
		field: measured(func(p *Part) *quantity.Quantity { return &p.Ripple }),
		spell: after("ripple", func(p *Part) quantity.Quantity { return p.Ripple })},
	{Name: "load_capacitance", Holds: Measure, Kind: quantity.Capacitance,
		Classes: []Class{Crystal}, field: measured(func(p *Part) *quantity.Quantity { return &p.LoadCapacitance }),
		spell: after("load", func(p *Part) quantity.Quantity { return p.LoadCapacitance })},
	{Name: "windings", Holds: Coils, Classes: []Class{Transformer}, field: windings},
	{Name: "dielectric", Holds: Words, field: named(func(p *Part) *string { return &p.Dielectric }),
		spell: spellDielectric},
	{Name: "safety_class", Holds: Words,
		field: named(func(p *Part) *string { return &p.SafetyClass }), spell: spellSafety},
	{Name: "chemistry", Holds: Words, Classes: []Class{Cell},
		field: named(func(p *Part) *string { return &p.Chemistry }), spell: spellChemistry},
	{Name: "polarised", Holds: Choice,
		field: chosen(func(p *Part) **bool { return &p.Polarised }, "polarised", "bipolar")},
	{Name: "rechargeable", Holds: Choice, Classes: []Class{Cell},
		field: chosen(func(p *Part) **bool { return &p.Rechargeable }, "rechargeable", "primary"), say: chargeable},
	{Name: "text", Holds: Words, field: named(func(p *Part) *string { return &p.Text }), spell: spellText},
})

// MemberOf finds a member by its name, nil for none.
func MemberOf(name string) *Member {
	for i := range Members {
		if Members[i].Name == name {
			return &Members[i]
		}
	}
	return nil
}

// Same reports whether two parts say the same, "x-…" members aside.
func (p *Part) Same(o *Part) bool {
	for i := range Members {
		if !Members[i].same(p, o) {
			return false
		}
	}
	return true
}

// Key holds all that a part says by value, so that parts that say the same have
// equal keys. The members for the submitter's own use don't count.
type Key struct {
	texts      [10]string
	quantities [9]quantity.Quantity
	tolerance  quantity.Tolerance
	choices    [2]int8
}

// Key is the part's key.
func (p *Part) Key() (k Key) {
	for i := range Members {
		switch m := &Members[i]; m.Holds {
		case Measure:
			k.quantities[m.slot] = *m.measure(p)
		case Deviation:
			k.tolerance = p.Tolerance
		case Choice:
			k.choices[m.slot] = tri(m.choice(p))
		default:
			k.texts[m.slot] = m.text(p)
		}
	}
	return k
}

// inKeys gives each member its place in a Key.
func inKeys(ms []Member) []Member {
	var next [Coils + 1]int
	for i := range ms {
		n := &next[ms[i].Holds]
		if ms[i].Holds > Choice {
			n = &next[Words] // these are told apart by their texts
		}
		ms[i].slot = *n
		*n++
	}
	return ms
}

func named[T ~string](at func(*Part) *T) field {
	return field{
		is:   func(p *Part) bool { return *at(p) != "" },
		same: func(a, b *Part) bool { return *at(a) == *at(b) },
		copy: func(to, from *Part) { *at(to) = *at(from) },
		text: func(p *Part) string { return string(*at(p)) },
		at:   func(p *Part) any { return at(p) },
	}
}

func measured(at func(*Part) *quantity.Quantity) field {
	return field{
		is:   func(p *Part) bool { return !at(p).IsZero() },
		same: func(a, b *Part) bool { return *at(a) == *at(b) },
		copy: func(to, from *Part) { *at(to) = *at(from) },
		text: func(p *Part) string { return at(p).String() },
		at:   func(p *Part) any { return at(p) },

		measure: at,
	}
}

func chosen(at func(*Part) **bool, yes, no string) field {
	return field{
		is:   func(p *Part) bool { return *at(p) != nil },
		same: func(a, b *Part) bool { return tri(*at(a)) == tri(*at(b)) },
		copy: func(to, from *Part) { *at(to) = *at(from) },
		text: func(p *Part) string { return [3]string{no, "", yes}[1+tri(*at(p))] },
		at:   func(p *Part) any { return at(p) },

		choice: func(p *Part) *bool { return *at(p) },
	}
}

// tri tells yes (1), no (-1) and not known (0) apart.
func tri(b *bool) int8 {
	switch {
	case b == nil:
		return 0
	case *b:
		return 1
	}
	return -1
}

var tolerance = field{
	is:   func(p *Part) bool { return !p.Tolerance.IsZero() },
	same: func(a, b *Part) bool { return a.Tolerance == b.Tolerance },
	copy: func(to, from *Part) { to.Tolerance = from.Tolerance },
	text: func(p *Part) string { return p.Tolerance.String() },
	at:   func(p *Part) any { return &p.Tolerance },
}

var breakingCapacity = field{
	is:   func(p *Part) bool { return !p.BreakingCapacity.IsZero() },
	same: func(a, b *Part) bool { return a.BreakingCapacity == b.BreakingCapacity },
	copy: func(to, from *Part) { to.BreakingCapacity = from.BreakingCapacity },
	text: func(p *Part) string { return p.BreakingCapacity.String() },
	at:   func(p *Part) any { return &p.BreakingCapacity },
}

var windings = field{
	is:   func(p *Part) bool { return p.Windings != nil },
	same: func(a, b *Part) bool { return a.Windings.Same(b.Windings) },
	copy: func(to, from *Part) { to.Windings = from.Windings },
	text: func(p *Part) string { return p.Windings.String() },
	at:   func(p *Part) any { return &p.Windings },
}

func printedSupply(p *Part) string { return strings.ToUpper(string(p.Supply)) }

func chargeable(p *Part) string {
	if !*p.Rechargeable {
		return "not rechargeable" // who reads "primary" in a sentence takes it for the first of two
	}
	return "rechargeable"
}
