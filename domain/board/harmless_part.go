package board

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/message"
	"boardlore/domain/part"
)

// partShift is a part of a position as it was told and as it would be told: the
// original, or the one to fit.
type partShift struct {
	shift
	p, q *part.Part
}

// borne are the classes of which more of a rating is nothing but more borne.
// Fuses, clamps, cut-outs, coils and cells do what they do by their ratings.
var borne = map[string][]part.Class{
	"current": {part.Diode, part.Transistor, part.IntegratedCircuit, part.Inductor, part.Connector, part.Switch},
	"voltage": {part.Capacitor, part.Resistor, part.Potentiometer, part.Diode, part.Transistor, part.IntegratedCircuit,
		part.Inductor, part.Connector, part.Switch, part.Lamp},
	"power": {part.Resistor, part.Potentiometer, part.Diode, part.Transistor, part.IntegratedCircuit, part.Inductor},
	"temperature_max": {part.Capacitor, part.Resistor, part.Potentiometer, part.Diode, part.Transistor,
		part.IntegratedCircuit, part.Inductor, part.Connector, part.Transformer},
	"endurance": {part.Capacitor},
	"ripple":    {part.Capacitor},
}

// told are the classes of which a rating may be told where nothing was.
var toldFirst = append([]part.Class{part.Lamp, part.Crystal, part.Relay}, borne["voltage"]...)

// signalKinds are what parts of a signal are made of, each as good as the other
// there as far as safety goes.
var signalKinds = map[part.Class][]part.Construction{
	part.Capacitor: {part.Film, part.Ceramic, part.Mica},
	part.Resistor: {"carbon-film", "metal-film", "metal-oxide", "carbon-composition", "thick-film", "thin-film",
		"wirewound"},
}

// partWays are the harmless ways of each member of a part.
var partWays = map[string][]way[partShift]{
	"class": nil,
	"construction": {
		{"spelled-alike", func(s partShift) bool {
			return sameKind(string(s.p.Construction), string(s.q.Construction))
		}},
		{"told-where-nothing-was", func(s partShift) bool {
			return s.p.Construction == "" && critical(s.a).IsZero() && perilous[s.q.Construction] <= 1 &&
				!speaks(anyTopic&^aboutSafety, string(s.q.Construction))
		}},
		{"less-dangerous-when-it-fails", func(s partShift) bool {
			return s.p.Class == part.Capacitor && s.q.Class == part.Capacitor && !mainsSide(s.a) &&
				perilous[s.q.Construction] < perilous[s.p.Construction]
		}},
		{"of-a-signal", func(s partShift) bool {
			kinds := signalKinds[s.p.Class]
			return signal(s.a) && slices.Contains(kinds, s.p.Construction) && slices.Contains(kinds, s.q.Construction)
		}},
		{"keeps-a-fault-from-becoming-a-fire", func(s partShift) bool {
			return signal(s.a) && s.p.Class == part.Resistor && (s.q.Fusible() || s.q.Flameproof())
		}}},
	"value": {
		{"told-where-nothing-was", func(s partShift) bool {
			return s.p.Value.IsZero() && !s.q.Value.IsZero() && guards(s.a).IsZero() && !highVoltage(s.a)
		}},
		{"of-a-signal-within-a-misread-band", func(s partShift) bool {
			return signal(s.a) && signal(s.b) && s.p.Value.Unit() == s.q.Value.Unit() && !s.q.Value.IsZero() &&
				!tenfold(s.p.Value, s.q.Value)
		}},
		{"within-what-tolerances-allow", func(s partShift) bool {
			return !s.q.Value.IsZero() && !protects(s.p) && !limits(s.p) && !unlikeValue(s.p.Value, s.q.Value)
		}},
		{"of-an-electrolytic-of-a-signal-within-two-and-a-half", func(s partShift) bool {
			return s.p.Class == part.Capacitor && s.q.Class == part.Capacitor && critical(s.a).IsZero() &&
				ofSignal(s.a.Function) && part.DutyOf(s.a.Function)&part.Bulk == 0 && !s.q.Value.IsZero() &&
				s.p.Value.Unit() == s.q.Value.Unit() &&
				s.q.Value.CompareScaled(s.p.Value, 5, 2) <= 0 && s.p.Value.CompareScaled(s.q.Value, 5, 2) <= 0
		}}},
	"tolerance": {
		{"told-where-nothing-was-or-narrower", func(s partShift) bool {
			return s.p.Tolerance.IsZero() || !s.q.Tolerance.IsZero() && s.q.Tolerance.NoWiderThan(s.p.Tolerance,
				s.q.Value)
		}},
		{"of-a-signal", func(s partShift) bool { return signal(s.a) }}},
	"current":         moreBorne("current"),
	"voltage":         moreBorne("voltage"),
	"power":           moreBorne("power"),
	"temperature_max": moreBorne("temperature_max"),
	"endurance":       moreBorne("endurance"),
	"ripple":          moreBorne("ripple"),
	"esr_max": {
		{"told-where-nothing-was-or-lower", func(s partShift) bool {
			x, y := s.p.ESRMax, s.q.ESRMax
			return !y.IsZero() && (x.IsZero() || x.Unit() == y.Unit() && y.Compare(x) <= 0)
		}}},
	"load_capacitance": {
		{"sets-nothing-but-a-frequency", func(s partShift) bool { return s.p.Class == part.Crystal }}},
	"dielectric": {
		{"spelled-alike", func(s partShift) bool { return sameKind(s.p.Dielectric, s.q.Dielectric) }},
		{"told-where-nothing-was", func(s partShift) bool {
			return s.p.Dielectric == "" && !mainsSide(s.a) && len(strings.Fields(s.q.Dielectric)) == 1 &&
				!speaks(anyTopic, s.q.Dielectric)
		}},
		{"of-a-signal", func(s partShift) bool {
			return signal(s.a) && len(strings.Fields(s.q.Dielectric)) == 1 && !speaks(anyTopic, s.q.Dielectric)
		}}},
	"polarised": {
		{"as-its-kind-is-known-to-be", func(s partShift) bool {
			bare := *s.p
			bare.Polarised = nil
			return (s.p.Polarised == nil || s.q.Polarised == nil) && polarised(&bare) == polarised(s.q) &&
				polarised(s.p) == polarised(s.q) || s.p.Class == part.Diode && yes(s.q.Polarised)
		}}},
	"supply": {
		{"told-where-nothing-was", func(s partShift) bool {
			return s.p.Supply == "" && s.p.Class == part.Lamp && critical(s.a).IsZero()
		}}},
	"text":              {{"a-type-or-words-of-looks", typedHarmlessly}},
	"fuse_speed":        nil,
	"breaking_capacity": nil,
	"windings":          nil,
	"safety_class":      nil,
	"chemistry":         nil,
	"rechargeable":      nil,
}

// moreBorne are the harmless ways of a rating: nothing but more that is borne, or
// told where nothing was.
func moreBorne(member string) []way[partShift] {
	m := part.MemberOf(member)
	of := func(s partShift, classes []part.Class) bool {
		return s.p.Class == s.q.Class && slices.Contains(classes, s.p.Class) &&
			(member == "power" || member == "temperature_max" ||
				!clampKind(s.p) && !clampKind(s.q)) && !regulator(s.a) && !saysOf(s.p, "fusible")
	}
	return []way[partShift]{
		{"more-is-borne", func(s partShift) bool {
			x, y := m.Quantity(s.p), m.Quantity(s.q)
			return of(s, borne[member]) && !x.IsZero() && x.Unit() == y.Unit() && y.Compare(x) >= 0 &&
				!(member == "voltage" && mayClamp(s.p))
		}},
		{"told-where-nothing-was", func(s partShift) bool {
			return of(s, toldFirst) && m.Quantity(s.p).IsZero() && !m.Quantity(s.q).IsZero() &&
				(member != "voltage" || overRail(s.a, s.q.Voltage) && overRail(s.b, s.q.Voltage))
		}},
	}
}

// mayClamp tells a diode of which nothing says that it does not hold a voltage
// down: its kind is not told, and its voltage is that of zeners.
func mayClamp(p *part.Part) bool {
	return p.Class == part.Diode && p.Construction == "" && !atLeast(p.Voltage, mainsAbove)
}

// sameKind compares names of kinds: case, blanks and hyphens aside.
func sameKind(x, y string) bool {
	fold := func(s string) string {
		return strings.Join(strings.FieldsFunc(strings.ToLower(bare(s)), betweenNames), "")
	}
	return fold(x) == fold(y)
}

// typedHarmlessly tells a type of what neither protects nor makes a supply, told
// by a number, or words of looks.
func typedHarmlessly(s partShift) bool {
	x, y := s.p.Text, s.q.Text
	if sameWords(x, y) {
		return true
	}
	if !guards(s.a).IsZero() || !guards(s.b).IsZero() || regulator(s.a) || regulator(s.b) {
		return false
	}
	switch s.p.Class {
	case part.Transistor, part.IntegratedCircuit:
		return isType(y) || typedMoreFully(s.shift, x, y)
	case part.Diode:
		return x == "" && isType(y)
	}
	if keyed(s.q) {
		x, y = counted.ReplaceAllString(x, ""), counted.ReplaceAllString(y, "")
	}
	return saidQuietly(s.shift, x, y) || isType(y) && (x == "" || isType(x))
}

// counted finds how many contacts a connector or switch has.
var counted = regexp.MustCompile(
	`(?i)\b\d{1,3}[- ]?(?:pins?|ways?|poles?|polig|contacts?|rows?|positions?|kontakte?|broches?)\b`)

// typedMoreFully tells a type of which nothing is lost and that gained type numbers,
// cases and quiet words.
func typedMoreFully(s shift, x, y string) bool {
	more, ok := inserted(x, counted.ReplaceAllString(y, " "))
	if !ok {
		if more, ok = inserted(counted.ReplaceAllString(x, " "), counted.ReplaceAllString(y, " ")); !ok {
			return false
		}
	}
	return denials(x) == denials(y) && !slices.ContainsFunc(more, func(w string) bool {
		return !isType(w) && !caseWord[w] && !saidQuietly(s, "", w)
	})
}

// caseWord is for the cases of semiconductors.
var caseWord = wordSet(caseWords)

// inserted gives the words of a text that another, whose words all stand in it in
// their order, lacks.
func inserted(a, b string) (more []string, ok bool) {
	was := wordsOf(a)
	for _, w := range wordsOf(b) {
		if len(was) > 0 && was[0] == w {
			was = was[1:]
		} else {
			more = append(more, w)
		}
	}
	return more, len(was) == 0
}

// isType tells a type number: letters and figures, three words at most, of which
// none speaks of anything.
func isType(s string) bool {
	words := strings.Fields(s)
	uncommon := func(w string) bool {
		name := strings.ToLower(w)
		return !strings.ContainsFunc(w, unicode.IsDigit) && len(w) > 2 && !isPlain(name) && !quietWord[name] &&
			!isUnit(w)
	}
	return len(words) > 0 && len(words) <= 3 && strings.ContainsFunc(s, unicode.IsDigit) && !rates(s) &&
		!slices.ContainsFunc(words, uncommon) &&
		!speaks(aboutPolarity|aboutSubstitute|aboutEase|aboutPower|aboutSafety|unread, s)
}

// partUnshown is unshown of a part.
func partUnshown(s shift, p, q, known *part.Part) []weak {
	var why []weak
	of := partShift{s, p, q}
	for i := range part.Members {
		m := &part.Members[i]
		if alikeIn(m, p, q) || known != nil && alikeIn(m, known, q) || covered(partWays[m.Name], of) {
			continue
		}
		why = append(why, unknownly(m.Name, orNothing(message.Text(printed(m, p))),
			orNothing(message.Text(printed(m, q)))))
	}
	return why
}

// alikeIn tells parts that say the same of a member, but for how words look.
func alikeIn(m *part.Member, p, q *part.Part) bool {
	return m.Same(p, q) || m.Holds == part.Words && m.Choices == nil && sameWords(m.Text(p), m.Text(q))
}

func printed(m *part.Member, p *part.Part) string {
	if !m.Is(p) {
		return ""
	}
	return m.Printed(p)
}

// bodyShift is a body as it was told and as it would be told.
type bodyShift struct {
	shift
	p, q *part.Body
}

// bodyMember is a member of a body.
type bodyMember struct {
	name string
	at   func(b *part.Body) any
	ways []way[bodyShift]
}

// bodyMembers are all members of a body but the submitter's own.
var bodyMembers = []bodyMember{
	{"mount", func(b *part.Body) any { return b.Mount }, outside(func(b *part.Body) string { return b.Mount })},
	{"shape", func(b *part.Body) any { return b.Shape }, outside(func(b *part.Body) string { return b.Shape })},
	{"diameter_mm", func(b *part.Body) any { return b.Diameter },
		gauged(func(b *part.Body) float64 { return b.Diameter })},
	{"length_mm", func(b *part.Body) any { return b.Length }, gauged(func(b *part.Body) float64 { return b.Length })},
	{"width_mm", func(b *part.Body) any { return b.Width }, gauged(func(b *part.Body) float64 { return b.Width })},
	{"height_mm", func(b *part.Body) any { return b.Height }, gauged(func(b *part.Body) float64 { return b.Height })},
	{"height_limit_mm", func(b *part.Body) any { return b.HeightLimit }, []way[bodyShift]{
		{"less-headroom-or-told-where-nothing-was", func(s bodyShift) bool {
			return s.q.HeightLimit > 0 && (s.p.HeightLimit == 0 || s.q.HeightLimit <= s.p.HeightLimit)
		}}}},
	{"lead_pitch_mm", func(b *part.Body) any { return b.LeadPitch },
		gauged(func(b *part.Body) float64 { return b.LeadPitch })},
}

// outside are the harmless ways of how a body looks.
func outside(at func(b *part.Body) string) []way[bodyShift] {
	return []way[bodyShift]{
		{"told-where-nothing-was", func(s bodyShift) bool { return at(s.p) == "" }},
		{"nothing-that-protects-hurts-or-has-a-direction", func(s bodyShift) bool {
			return !relevant(s.a) && guards(s.a).IsZero()
		}},
	}
}

// gauged are the harmless ways of a measure: told where nothing was, or measured
// anew. By its measures a fuse or a cell is told from another.
func gauged(at func(b *part.Body) float64) []way[bodyShift] {
	return []way[bodyShift]{
		{"told-where-nothing-was", func(s bodyShift) bool { return at(s.p) == 0 }},
		{"measured-anew", func(s bodyShift) bool {
			x, y, most := at(s.p), at(s.q), 2.0
			if protects(&s.a.Part) {
				most = 1.1
			}
			return y > 0 && x <= most*y && y <= most*x
		}},
		{"nothing-that-protects-hurts-or-has-a-direction", func(s bodyShift) bool {
			return !relevant(s.a) && guards(s.a).IsZero()
		}},
	}
}

func bodyUnshown(s shift) []weak {
	of := bodyShift{shift: s, p: s.a.Body, q: s.b.Body}
	if of.p == nil {
		of.p = &part.Body{}
	}
	if of.q == nil {
		of.q = &part.Body{}
	}
	var why []weak
	for i := range bodyMembers {
		m := &bodyMembers[i]
		if x, y := m.at(of.p), m.at(of.q); x != y && !covered(m.ways, of) {
			why = append(why, unknownly(m.name, lengthOf(m.name, x), lengthOf(m.name, y)))
		}
	}
	return why
}

func lengthOf(member string, v any) message.Message {
	if v == 0.0 {
		return message.Of("map.nothing")
	}
	return valueOf(member, v)
}
