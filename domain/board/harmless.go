package board

import (
	"math"
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// Whatever changes in the safety view is a hazard unless it is shown to be
// harmless. This table is the whole list of what is: for each member of a
// position the named ways in which it may change before one pair of eyes. A
// member without a way is always read by two. Those of parts and bodies stand in
// harmless_part.go, those of lists and of what stands above the positions in
// harmless_list.go, words in harmless_words.go.

// shift is one position as it was told and as it would be told.
type shift struct{ a, b *Position }

// way is a harmless way of a change; its name says what it is.
type way[T any] struct {
	name string
	is   func(T) bool
}

// covered tells whether one of the ways holds.
func covered[T any](ways []way[T], of T) bool {
	return slices.ContainsFunc(ways, func(w way[T]) bool { return w.is(of) })
}

// placeMember is a member of a position that is no part and no body.
type placeMember struct {
	name string
	same func(a, b *Position) bool
	at   func(p *Position) any
	ways []way[shift]
}

// placeMembers are all members of a position but its parts, its body, and the
// submitter's own.
var placeMembers = []placeMember{
	{"designator", func(a, b *Position) bool { return a.Designator == b.Designator },
		func(p *Position) any { return p.Designator }, []way[shift]{
			// What its new name was told of before, and which texts name it, is
			// looked at where the names of the whole map are known.
			{"a-name-of-its-kind-of-nothing-that-protects-or-hurts", func(s shift) bool {
				return critical(s.a).IsZero() && sameLetters(s.a.Designator, s.b.Designator)
			}}}},
	{"side", func(a, b *Position) bool { return a.Side == b.Side },
		func(p *Position) any { return p.Side }, []way[shift]{
			{"leads-alike", func(s shift) bool { return leadsAlike(s.a) && leadsAlike(s.b) }}}},
	{"x_mm", func(a, b *Position) bool { return a.X == b.X && a.Y == b.Y },
		func(p *Position) any { return [2]float64{p.X, p.Y} }, []way[shift]{
			// It is found by its name and its look; what stood at the new place is
			// held to it by itself.
			{"nothing-that-protects-hurts-or-has-a-direction", func(s shift) bool {
				return !relevant(s.a) && guards(s.a).IsZero()
			}},
			{"no-further-than-an-eye-looks", func(s shift) bool {
				return math.Hypot(s.a.X-s.b.X, s.a.Y-s.b.Y) <= strayed
			}}}},
	{"rotation_deg", func(a, b *Position) bool { return a.Rotation == b.Rotation },
		func(p *Position) any { return p.Rotation }, []way[shift]{
			{"points-the-same-way", func(s shift) bool {
				return math.Abs(apart(s.a.Rotation, s.b.Rotation)) <= turnedBy
			}},
			{"leads-alike", func(s shift) bool { return leadsAlike(s.a) }},
			{"told-by-its-negative-lead", func(s shift) bool {
				return s.a.Negative != nil && s.b.Negative != nil && !pinned(&s.a.Part) && !keyed(&s.a.Part)
			}}}},
	{"negative_deg", func(a, b *Position) bool { return sameFlag(a.Negative, b.Negative) },
		func(p *Position) any { return p.Negative }, []way[shift]{
			{"told-where-nothing-was", func(s shift) bool { return s.a.Negative == nil }},
			{"points-the-same-way", func(s shift) bool { return !polarityTurned(s.a.Negative, s.b.Negative) }}}},
	{"function", func(a, b *Position) bool { return sameWords(a.Function, b.Function) },
		func(p *Position) any { return p.Function }, []way[shift]{
			{"of-a-signal-as-it-was", func(s shift) bool {
				return ofSignal(s.a.Function) && ofSignal(s.b.Function) && s.b.Function != "" && guards(s.a).IsZero() &&
					!regulator(s.a)
			}},
			{"told-more-closely", func(s shift) bool {
				return s.a.Function != "" && holdsWords(s.b.Function, s.a.Function) &&
					part.DutyOf(s.a.Function)&^part.DutyOf(s.b.Function) == 0 && moreWords(s.a.Function, s.b.Function)
			}},
			{"told-more-fully-where-nothing-protects-hurts-or-has-a-direction", func(s shift) bool {
				return s.a.Function != "" && holdsWords(s.b.Function, s.a.Function) && !relevant(s.a) && !relevant(s.b) &&
					guards(s.a).IsZero() && guards(s.b).IsZero() && part.DutyOf(s.a.Function) == part.DutyOf(s.b.Function) &&
					!speaks(anyTopic, strings.Join(without(wordsOf(s.b.Function), wordsOf(s.a.Function)), " "))
			}},
			{"the-same-by-another-word", func(s shift) bool {
				d := part.DutyOf(s.a.Function)
				return d != 0 && d == part.DutyOf(s.b.Function) && moreWords(s.a.Function, s.b.Function)
			}}}},
	{"rail", func(a, b *Position) bool {
		return sameWords(a.Rail, b.Rail) || sameKind(a.Rail, b.Rail) && sameRail(a.Rail, b.Rail)
	},
		func(p *Position) any { return p.Rail }, []way[shift]{
			{"told-where-nothing-was", func(s shift) bool {
				return s.a.Rail == "" && critical(s.a).IsZero() && isRail(s.b.Rail) &&
					!dwarfed(railVolts(s.b.Rail), s.a.Part.Voltage.Float())
			}},
			{"of-a-signal", func(s shift) bool { return signal(s.a) && s.b.Rail != "" && isRail(s.b.Rail) }}}},
	{"working_voltage", func(a, b *Position) bool { return a.WorkingVoltage == b.WorkingVoltage },
		func(p *Position) any { return p.WorkingVoltage }, []way[shift]{
			{"higher-so-that-more-is-asked-of-the-part", func(s shift) bool {
				x, y := s.a.WorkingVoltage, s.b.WorkingVoltage
				return !x.IsZero() && !y.IsZero() && x.Sign() == y.Sign() &&
					math.Abs(y.Float()) >= math.Abs(x.Float())
			}},
			{"told-where-nothing-was", func(s shift) bool {
				return s.a.WorkingVoltage.IsZero() && (critical(s.a).IsZero() || highVoltage(s.b)) &&
					!(relevant(s.a) && dwarfed(math.Abs(s.b.WorkingVoltage.Float()), s.a.Part.Voltage.Float()))
			}}}},
	{"circuit", func(a, b *Position) bool { return a.Circuit == b.Circuit },
		func(p *Position) any { return p.Circuit }, []way[shift]{
			{"nearer-to-the-mains-so-that-more-is-asked-of-the-part", func(s shift) bool {
				return s.b.Circuit.OnMains() && circuitRank(s.b) >= circuitRank(s.a) && s.a.Part.SafetyClass == "" &&
					!(s.a.Circuit.Bridges() && s.b.Circuit.Bridges())
			}},
			{"told-where-nothing-was-of-nothing-at-the-mains", func(s shift) bool {
				return s.a.Circuit == "" && s.b.Circuit == part.Secondary && critical(s.a).IsZero() && !likelyMains(s.a)
			}}}},
	{"glued", func(a, b *Position) bool { return yes(a.Glued) == yes(b.Glued) },
		func(p *Position) any { return p.Glued }, []way[shift]{
			{"more-care", func(s shift) bool { return yes(s.b.Glued) }}}},
	{"heat_sensitive", func(a, b *Position) bool { return yes(a.HeatSensitive) == yes(b.HeatSensitive) },
		func(p *Position) any { return p.HeatSensitive }, []way[shift]{
			{"more-care", func(s shift) bool { return yes(s.b.HeatSensitive) }}}},
	{"hot_place", func(a, b *Position) bool { return a.Hot() == b.Hot() },
		func(p *Position) any { return p.HotPlace }, []way[shift]{
			{"more-care", func(s shift) bool { return s.b.Hot() }}}},
	{"service", func(a, b *Position) bool { return a.Service.Or() == b.Service.Or() },
		func(p *Position) any { return p.Service.Or() }, []way[shift]{
			{"more-is-done", func(s shift) bool { return serviceRank[s.b.Service] >= serviceRank[s.a.Service] }},
			{"of-a-signal", func(s shift) bool { return signal(s.a) }}}},
	{"replacement.reason", func(a, b *Position) bool { return sameWords(reasonOf(a), reasonOf(b)) },
		func(p *Position) any { return reasonOf(p) }, []way[shift]{
			{"words-of-looks-age-and-access", func(s shift) bool {
				return saidQuietly(s, reasonOf(s.a),
					reasonOf(s.b))
			}}}},
	{"notes", func(a, b *Position) bool { return sameWords(a.Notes, b.Notes) },
		func(p *Position) any { return p.Notes }, []way[shift]{
			{"words-of-looks-age-and-access", func(s shift) bool { return saidQuietly(s, s.a.Notes, s.b.Notes) }}}},
}

func yes(flag *bool) bool { return flag != nil && *flag }

// unshown gives what changed of a position in a way that is not known to be
// harmless. known, if not nil, is what is told already, whose members count as
// they are.
func unshown(a, b, known *Position) []weak {
	var why []weak
	s := shift{a, b}
	for i := range placeMembers {
		m := &placeMembers[i]
		if m.same(a, b) || known != nil && m.same(known, b) || covered(m.ways, s) {
			continue
		}
		why = append(why, unknownly(m.name, valueOf(m.name, m.at(a)), valueOf(m.name, m.at(b))))
	}
	if known == nil || !sameBody(known.Body, b.Body) {
		why = append(why, bodyUnshown(s)...)
	}
	why = append(why, partUnshown(s, &a.Part, &b.Part, partOf(known, false))...)
	if a.Replacement == nil && b.Replacement == nil {
		return why
	}
	for _, w := range partUnshown(s, a.Wanted(), b.Wanted(), partOf(known, true)) {
		if !among(why, w) {
			why = append(why, w)
		}
	}
	return why
}

func partOf(p *Position, wanted bool) *part.Part {
	switch {
	case p == nil:
		return nil
	case wanted:
		return p.Wanted()
	}
	return &p.Part
}

// unknownly says that a member changed in a way that is not known to be harmless.
func unknownly(member string, told, now message.Message) weak {
	return weak{message.Of("hazard.not-shown-harmless", memberName(member)), told, now}
}

// valueOf is what a member tells, in words.
func valueOf(member string, v any) message.Message {
	if r := string(raw(v)); r == `""` || r == "null" || r == "{}" {
		return message.Of("map.nothing")
	}
	if at, is := v.([2]float64); is {
		return message.Text(number(at[0]) + ", " + mm(at[1]))
	}
	return orNothing(shown(member, object{member: raw(v)}))
}

// leadsAlike tells a part of two leads that may be exchanged, where nothing hangs
// on which is which.
func leadsAlike(p *Position) bool {
	return slices.Contains([]part.Class{part.Resistor, part.Capacitor, part.Inductor, part.Crystal, part.Lamp},
		p.Part.Class) && !relevant(p) && guards(p).IsZero()
}

// sameLetters tells two designators that are letters and a number, the letters
// the same: the kind of part that a name speaks of.
func sameLetters(a, b string) bool {
	letters := func(s string) string { return strings.TrimRight(strings.ToLower(s), "0123456789") }
	x, y := letters(strings.TrimRightFunc(a, unicode.IsLetter)), letters(strings.TrimRightFunc(b, unicode.IsLetter))
	return x == y && namedPart.MatchString(strings.ToLower(b))
}

// overRail tells a rating that is no lower than what its position says that it sees.
func overRail(p *Position, rating quantity.Quantity) bool {
	seen := math.Max(math.Abs(railVolts(p.Rail)), math.Abs(p.WorkingVoltage.Float()))
	return rating.IsZero() || rating.Float() >= seen
}

// signal tells a position of a signal or of a small load: nothing there protects,
// hurts, gets hot, has a direction or sets what something else lives by.
func signal(p *Position) bool {
	if !leadsAlike(p) && p.Part.Class != part.Potentiometer {
		return false
	}
	return guards(p).IsZero() && !highVoltage(p) && !likelyMains(p) && !p.Hot() && ofSignal(p.Function) &&
		!dangerous(railVolts(p.Rail)) && !atLeast(p.Part.Power, strongPower) &&
		!(p.Part.Class == part.Capacitor && atLeast(p.Part.Voltage, mainsRated))
}

// strongPower is from where on a part is there for its heat. Common practice:
// signal resistors bear half a watt at most.
var strongPower = canonically("1 W")

func atLeast(q, least quantity.Quantity) bool {
	return !q.IsZero() && q.Unit() == least.Unit() && q.Compare(least) >= 0
}

func dangerous(volts float64) bool { return math.Abs(volts) >= ShockVolts }

// dwarfed tells a voltage that is so far below a rating that the part would be
// there for another: over eight times, where it is more than that of what any
// low rail has on it. Common practice: small parts of 50 V and 63 V stand everywhere.
func dwarfed(volts, rating float64) bool {
	return volts != 0 && rating > 8*math.Abs(volts) && rating > 63
}

// railVolts is the voltage that the name of a rail tells, 0 where it tells none.
func railVolts(rail string) float64 {
	s := strings.TrimSpace(typographic.Replace(rail))
	negative := strings.HasPrefix(s, "-")
	s = strings.TrimLeft(s, "+-± ")
	whole, n := 0.0, 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		whole, n = whole*10+float64(s[n]-'0'), n+1
	}
	if n == 0 || n > 6 {
		return 0
	}
	if tail := strings.TrimLeft(s[n:], " "); strings.HasPrefix(strings.ToLower(tail), "kv") {
		whole *= 1000
	}
	if negative {
		return -whole
	}
	return whole
}

// isRail tells the name of a rail: short, and no advice.
func isRail(s string) bool {
	return len(strings.Fields(s)) <= 3 && !speaks(aboutPolarity&^plusMinus(s)|aboutSubstitute|aboutEase|unread,
		railName(s))
}

// plusMinus is the topic of a sign that stands before a figure, as rails have it.
func plusMinus(s string) topic {
	if strings.HasPrefix(strings.TrimSpace(s), "+") || strings.HasPrefix(typographic.Replace(strings.TrimSpace(s)),
		"-") {
		return aboutPolarity
	}
	return 0
}

func railName(s string) string {
	return strings.TrimLeft(typographic.Replace(strings.TrimSpace(s)), "+-")
}
