package board

import (
	"regexp"
	"slices"
	"strings"

	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// protectsBy tells a position that protects by what it does. A capacitor that
// blocks or is in a feedback shapes a signal.
func protectsBy(p *Position) bool {
	if p.Function == "" || p.Part.Class == part.Capacitor || p.Part.Class == part.Connector {
		return false
	}
	for word := range strings.FieldsFuncSeq(strings.ToLower(bare(p.Function)), betweenWords) {
		if slices.ContainsFunc(protectiveStems, func(stem string) bool { return strings.HasPrefix(word, stem) }) {
			return true
		}
	}
	return false
}

// guards names what makes a position one that protects people or the board,
// so that it is not to be taken out in passing; nothing for others.
func guards(p *Position) message.Message {
	switch what := warded(p); {
	case !what.IsZero():
		return what
	case clampKind(&p.Part):
		return message.Of("map.clamp")
	}
	return message.Message{}
}

// warded is guards but for diodes that clamp, whose notes are as those of other
// diodes.
func warded(p *Position) message.Message {
	switch what := critical(p); {
	case !what.IsZero():
		return what
	case part.DutyOf(p.Function)&part.Bleeder != 0:
		return message.Of("map.bleeder")
	case saysOf(&p.Part, "fusible"):
		return message.Of("map.fusible-resistor")
	case protectsBy(p):
		return message.Of("map.protector")
	}
	return message.Message{}
}

// purposeHazards says that something else is to be plugged in.
func purposeHazards(a, b *Position) []weak {
	if !keyed(&a.Part) || a.Function == "" || a.Function == b.Function || holdsWords(b.Function, a.Function) {
		return nil
	}
	return []weak{weaker("plugged-otherwise", quoted(a.Function), quotedOrNothing(b.Function))}
}

// protectorHazards compares what protects by what it does, or by what it bleeds.
func protectorHazards(a, b *Position) []weak {
	bleeds := part.DutyOf(a.Function)&part.Bleeder != 0
	if !bleeds && !protectsBy(a) {
		return nil
	}
	var why []weak
	p, q := &a.Part, &b.Part
	if p.Class != q.Class && !protects(p) && !protects(q) && !hasDirection(p) && !hasDirection(q) && !limits(p) {
		why = append(why, weaker("another-class", kindOf(p), kindOf(q)))
	}
	if bleeds {
		return why
	}
	for _, parts := range [][2]*part.Part{{p, q}, {a.Wanted(), b.Wanted()}} {
		p, q := parts[0], parts[1]
		var found []weak
		if !tenfold(p.Value, q.Value) && unlikeValue(p.Value, q.Value) {
			found = append(found, weaker("protector-value", p.Value, q.Value))
		}
		if p.Text != "" && !sameWords(p.Text, q.Text) {
			found = append(found, weaker("protector-type", quoted(p.Text), quotedOrNothing(q.Text)))
		}
		for _, w := range found {
			if !among(why, w) {
				why = append(why, w)
			}
		}
	}
	return why
}

// unlikeValue tells a value that is gone, or over a fifth more or less: tolerances
// allow a fifth.
func unlikeValue(a, b quantity.Quantity) bool {
	if a.IsZero() || b.IsZero() || a.Unit() != b.Unit() {
		return !a.IsZero() && b.IsZero()
	}
	return b.CompareScaled(a, 6, 5) > 0 || a.CompareScaled(b, 6, 5) > 0
}

// keyed tells a part that has pins, all of which look alike to whoever plugs
// something in or puts it in the wrong way round.
func keyed(p *part.Part) bool { return p.Class == part.Connector || p.Class == part.Switch }

// pinned tells a part whose rotation says which pin is which.
func pinned(p *part.Part) bool {
	return slices.Contains([]part.Class{part.IntegratedCircuit, part.Transistor, part.Relay, part.Transformer,
		part.Switch}, p.Class)
}

// exchanged tells two connectors of which one stands, in a build, where the
// other was told: what belongs into one goes into the other.
func (j *judge) exchanged(b *effective, told, now *Position) bool {
	if told.Designator == now.Designator || !keyed(&told.Part) || !keyed(&now.Part) ||
		!samePlace(told, now, max(j.d.slack, room(now))) {
		return false
	}
	return b.position(j.now[0].by, told.Designator) != nil && (told.Function != now.Function || told.Notes != now.Notes)
}

// likelyMains tells a position that the map takes for one at the mains, or that
// may well be.
func likelyMains(p *Position) bool { return p.OnMains() || p.Circuit == "" && p.mayBeMains() }

// namesOf finds designators in a text, however they are written: c10, C 10.
var namesOf = regexp.MustCompile(`(?i)(?:^|[^\pL\d])(\pL{1,3})[ -]?(\d{1,4}\pL?)(?:[^\pL\d]|$)`)

// speaksOfPart tells a text that names a position of which is tells true.
func speaksOfPart(text string, is func(name string) bool) bool {
	if slices.ContainsFunc(strings.FieldsFunc(text, betweenNames), is) {
		return true
	}
	for len(text) > 0 {
		m := namesOf.FindStringSubmatchIndex(text)
		if m == nil {
			return false
		}
		if is(strings.ToUpper(text[m[2]:m[3]] + text[m[4]:m[5]])) {
			return true
		}
		text = text[m[5]:]
	}
	return false
}

// namedStill tells whether what is said of safety names a designator that no
// position would have any more, so that it says nothing.
func (d *differ) namedStill(designator string) bool {
	if d.index(); d.new[designator] != nil {
		return false
	}
	is := func(name string) bool { return name == designator }
	for i := range d.to.Cautions {
		if speaksOfPart(d.to.Cautions[i].Text, is) {
			return true
		}
	}
	for i := range d.to.FailurePoints {
		if f := &d.to.FailurePoints[i]; speaksOfPart(f.Remedy, is) || speaksOfPart(f.Consequence, is) {
			return true
		}
	}
	return slices.ContainsFunc(d.to.Checks, func(c Measurement) bool { return speaksOfPart(c.Note, is) })
}

// kindOfName says what the safety view has to do with a designator, in either map.
func (d *differ) kindOfName(name string) nameKind {
	if d.known == nil {
		d.known = map[string]nameKind{}
		add := func(p *Position) {
			k := nameKind(0)
			if relevant(p) {
				k = relevantName
			}
			if !guards(p).IsZero() {
				k |= guardedName
			}
			if !warded(p).IsZero() {
				k |= wardedName
			}
			d.known[p.Designator] |= k
		}
		for _, m := range []*Map{d.from, d.to} {
			for i := range m.Positions {
				add(&m.Positions[i])
			}
			for i := range m.Variants {
				for k := range m.Variants[i].Changes {
					if p := m.Variants[i].Changes[k].Fit; p != nil {
						add(p)
					}
				}
			}
		}
	}
	return d.known[name]
}

// nameKind is a set.
type nameKind uint8

const (
	relevantName nameKind = 1 << iota // the safety view is about it
	guardedName                       // it protects, or holds a voltage down
	wardedName                        // it protects, or can hurt
)

// relevantName tells the designator of a position that the safety view is
// about, in either map.
func (d *differ) relevantName(name string) bool { return d.kindOfName(name)&relevantName != 0 }

// bearingName tells the designator of a position that safety hangs on in any way.
func (d *differ) bearingName(name string) bool {
	return d.kindOfName(name)&(relevantName|guardedName) != 0
}

func (d *differ) wardedName(name string) bool { return d.kindOfName(name)&wardedName != 0 }

// noteOfOthers says why the note of a position that safety does not hang on has
// to be read by two: it speaks of one on which it does.
func (d *differ) noteOfOthers(a, b *Position) []weak {
	others := func(text string) bool { return topicsOf(text)&aboutSafety != 0 || speaksOfPart(text, d.bearingName) }
	if a.Notes == b.Notes || !others(b.Notes) && !others(a.Notes) {
		return nil
	}
	return wordHazards("note", a.Notes, b.Notes, topical|aboutEase|unheard)
}

// clampKind tells a diode that holds a voltage down, or a varistor.
func clampKind(p *part.Part) bool {
	if p.Class == part.Varistor {
		return true
	}
	kind := strings.ToLower(string(p.Construction) + " " + p.Text)
	return p.Class == part.Diode && (strings.Contains(kind, "zener") || strings.Contains(kind, "suppress"))
}

// undirected tells a capacitor that is told to have no direction, in whose place
// one with a direction bursts.
func undirected(p *part.Part) bool {
	return p.Class == part.Capacitor && p.Polarised != nil && !*p.Polarised
}

// leadsCloser compares the distance of the leads of parts between which the
// mains lie, which is the way that a spark has to go.
func leadsCloser(a, b *Position) []weak {
	pitch := func(p *Position) float64 {
		if p.Body == nil {
			return 0
		}
		return p.Body.LeadPitch
	}
	was, is := pitch(a), pitch(b)
	if critical(a).IsZero() || was == 0 || is >= was || is == 0 {
		return nil
	}
	return []weak{weaker("leads-closer", mm(was), mm(is))}
}

// losses compares what parts may lose: more of it, or none said, heats them.
func losses(a, b *part.Part) []weak {
	x, y := a.ESRMax, b.ESRMax
	switch {
	case x.IsZero():
	case y.IsZero():
		return []weak{{message.Of("hazard.no-longer-given", memberName("esr_max")), sayable(x), sayable("")}}
	case x.Unit() == y.Unit() && y.Compare(x) > 0:
		return []weak{{message.Of("hazard.raised", memberName("esr_max")), sayable(x), sayable(y)}}
	}
	return nil
}

// likeValues tells two values of which one may be the other misread.
func likeValues(a, b quantity.Quantity) bool {
	return a == b || !a.IsZero() && !b.IsZero() && a.Unit() == b.Unit() && !tenfold(a, b)
}
