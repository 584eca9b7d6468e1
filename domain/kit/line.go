package kit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/list"
	"boardlore/domain/message"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// line is a kit line made ready: read, and its labels found on the map.
type line struct {
	*Line
	at       int           // index in the kit
	text     string        // Text without the labels that stand in it
	named    []string      // Designators, and those that stand in Text
	counts   int           // parts that the text says, 0 where it does not
	parts    int32         // quantity, within what a kit may have
	offer    *part.Offer   // the first of offers, which sentences name; nil where it could not be read
	offers   []*part.Offer // every way in which the line reads
	sure     bool          // may be taken as it stands: one way, nothing doubted, nothing left that could turn it round
	left     []string      // words of which nothing was made
	say      string        // how to write what was read so that it is sure
	labels   []int         // positions of the map that it is labelled for
	unknown  int           // designators it is labelled for that the map lacks
	findings []finding.Finding
}

func (l *line) labelled() bool { return len(l.named) > 0 }

// unsure reports whether the line reads as a part that a person has to confirm.
func (l *line) unsure() bool { return l.offer != nil && !l.sure }

func (l *line) tell(s finding.Severity, code, key string, values ...any) {
	l.findings = append(l.findings, finding.Finding{Code: code, Severity: s, Sentence: message.Of(key, values...)})
}

// maxQuantity is the most parts that a line is taken to hold; the schema of
// kits allows no more.
const maxQuantity = 100000

// reader reads the lines of a kit for one map.
type reader struct {
	m       *board.Map
	names   *names
	context quantity.Context
	types   map[string]part.Class // class by type text, "" where several; made on first use
	named   int                   // designators that the labels stand for, so far
}

// lines reads all lines of the kit, in ascending order of their numbers.
func (r *reader) lines(k *Kit) []line {
	out := make([]line, len(k.Lines))
	for i := range k.Lines {
		out[i].Line, out[i].at = &k.Lines[i], i
	}
	slices.SortStableFunc(out, func(a, b line) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Text, b.Text),
			cmp.Compare(a.Quantity, b.Quantity))
	})
	for i := range out {
		l := &out[i]
		if r.named > maxNamed {
			break // the kit is refused
		}
		l.parts = int32(min(max(l.Quantity, 0), maxQuantity))
		if i > 0 && out[i-1].Number == l.Number {
			l.tell(finding.Caution, "line-twice", "kit.line-twice", l.Number)
		}
		l.split()
		r.labels(l)
		r.read(l)
	}
	return out
}

// split takes off the text what it says of where the part goes, so that
// "47 µF 16 V (for C1)" is labelled as "C1: 47 µF 16 V" is.
func (l *line) split() {
	l.text, l.named = l.Text, l.Designators
	if l.Part != nil || l.Text == "" {
		return
	}
	if !inHand(l.Text) {
		l.parts = 0
		l.tell(finding.Caution, "not-in-hand", "kit.not-in-hand", l.Number)
	}
	l.text, l.counts = uncounted(present(l.Text))
	rest, labels := splitLabels(l.text)
	ds, err := list.Designators(labels)
	if len(ds) == 0 || err != nil {
		return
	}
	l.text, l.named = rest, slices.Concat(l.Designators, ds)
}

// maxNamed is how many designators the labels of a kit may stand for, all
// together and counted as often as they are named: four times what the largest
// board has.
const maxNamed = 4 * list.MaxDesignators

// labels finds the positions that the line names. What stands in its text too
// is no second part.
func (r *reader) labels(l *line) {
	var unknown, twice []string
	var unreadable []message.Message
	has := map[int]bool{}
	for n, text := range l.named {
		if r.named > maxNamed {
			break
		}
		at, missing, err := r.names.find(text)
		r.named += len(at) + len(missing)
		for _, i := range at {
			switch {
			case !has[i]:
				has[i] = true
				l.labels = append(l.labels, i)
			case n < len(l.Designators):
				twice = append(twice, r.m.Positions[i].Designator)
			}
		}
		unknown = append(unknown, missing...)
		if err != nil {
			unreadable = append(unreadable, message.Of("kit.label-unreadable", text, err))
		}
	}
	if twice != nil {
		l.tell(finding.Caution, "designator-twice", "kit.designator-twice-line", l.Number, spell(twice))
	}
	if unreadable != nil {
		l.tell(finding.Caution, "designator-unreadable", "kit.designator-unreadable", l.Number,
			message.Some(unreadable, maxTold))
	}
	l.unknown = len(unknown)
	if len(unknown) > 0 {
		l.tell(finding.Caution, "designator-unknown", "kit.designator-unknown",
			l.Number, spell(unknown))
	}
}

// bounded refuses a kit whose labels would be dear to follow.
func (r *reader) bounded(k *Kit) error {
	if r.named <= maxNamed {
		return nil
	}
	e := fault.New(fault.Invalid, "kit-refused", "kit.kit-refused", maxNamed)
	e.Findings = []finding.Finding{{Code: "designators-too-many", Severity: finding.Stop, Pointer: "/lines",
		Sentence: e.Detail, Found: fmt.Sprintf("%d lines", len(k.Lines))}}
	return e
}

// read takes the line's part or reads its text.
func (r *reader) read(l *line) {
	if l.Part != nil {
		l.offers, l.sure = []*part.Offer{{Part: *l.Part}}, true
	} else {
		r.readText(l)
	}
	for _, o := range l.offers {
		if l.Body != nil {
			o.Body = *l.Body
		}
	}
	if len(l.offers) > 0 {
		l.offer = l.offers[0]
	}
}

func (r *reader) readText(l *line) {
	text, err := r.readings(l)
	if err != nil {
		l.unread(err)
		return
	}
	l.sure, l.left, l.say = text.Sure, text.LeftOver, text.Readings[0].Canonical
	for i := range text.Readings {
		l.offers = append(l.offers, &part.Offer{Part: text.Readings[i].Part, Body: text.Readings[i].Body})
	}
	l.doubt(&text)
	if l.counts == 0 {
		l.counts = text.Readings[0].Quantity
	}
	if n := l.counts; n != 0 && n != l.Quantity && l.parts > 0 {
		l.tell(finding.Caution, "quantity-differs", "kit.quantity-differs", l.Number, l.Quantity, n, l.Quantity)
	}
}

// unread tells of a line that is no part. What plainly speaks of no part, a
// heading or a greeting, is only noted.
func (l *line) unread(err error) {
	reason, severity := message.Text(err.Error()), finding.Caution
	if e, ok := fault.As(err); ok {
		reason = e.Detail
	}
	if !l.labelled() && aside(l.text) {
		severity = finding.Note
	}
	l.tell(severity, "line-unreadable", "kit.line-unreadable", l.Number, reason)
}

// doubt tells what a person has to confirm of the line before it may be
// trusted, and how to write it.
func (l *line) doubt(text *part.Text) {
	switch x := &text.Readings[0]; {
	case l.sure && len(l.left) > 0:
		l.tell(finding.Note, "line-words", "kit.line-words", l.Number, spell(l.left))
	case l.sure:
	case len(text.Readings) > 1:
		ways := make([]string, len(text.Readings))
		for i := range ways {
			ways[i] = text.Readings[i].Canonical
		}
		l.say = strings.Join(ways, ", or: ")
		l.tell(finding.Caution, "line-ambiguous", "kit.line-ambiguous", l.Number, l.Text, len(ways), l.say)
	case len(x.Doubts) > 0:
		l.tell(finding.Caution, "line-doubtful", "kit.line-doubtful",
			l.Number, l.Text, x.Part.Said(), message.Words(x.Doubts))
	case len(l.left) > 0:
		l.tell(finding.Caution, "line-unsure", "kit.line-unsure",
			l.Number, l.Text, x.Part.Said(), spell(l.left))
	default:
		l.tell(finding.Caution, "line-unsure", "kit.line-unsure-line",
			l.Number, l.Text, x.Part.Said())
	}
}

// readings reads the line's text. What the line is labelled for, or the map's
// part of the very type, decides between several readings, and helps where
// there is none or a doubtful one; it never overrules what the text says.
func (r *reader) readings(l *line) (part.Text, error) {
	text, err := readPart(l.text, r.context)
	if err == nil && text.Sure {
		return text, nil
	}
	class := r.class(l)
	if class == "" {
		return text, err
	}
	c := r.context
	c.Class = string(class)
	again, e := readPart(l.text, c)
	if err != nil {
		if e == nil {
			return again, nil
		}
		return text, err
	}
	if of := ofClass(text.Readings, class); len(of) > 0 {
		text.Readings = of
		if of = ofClass(again.Readings, class); e == nil && len(of) == 1 && len(text.Readings) == 1 {
			return again, nil
		}
	}
	return text, nil
}

// memory is what the texts of one list read as: its rows are much alike, and a text is read for the labels in it and for
// itself. None reads anew. What it gives is not to be changed.
type memory map[recalled]answer

type recalled struct {
	text  string
	class string
}

type answer struct {
	text part.Text
	err  error
}

// readPart is the function of that name for a text out of a list, remembered.
func (known memory) readPart(text string, c quantity.Context) (part.Text, error) {
	key := recalled{text, c.Class}
	a, ok := known[key]
	if !ok {
		a.text, a.err = readPart(text, c)
		if known != nil {
			known[key] = a
		}
	}
	return a.text, a.err
}

// readPart reads a text as a part; a text that tells a quantity, a class or a
// bare number alone is none.
func readPart(text string, c quantity.Context) (part.Text, error) {
	t, err := part.Read(text, c)
	if err != nil {
		return t, err
	}
	if c.Class == "" && bareNumber.MatchString(text) {
		t.Readings = nil
	}
	t.Readings = slices.DeleteFunc(t.Readings, func(x part.Reading) bool {
		return !tells(&x.Part) ||
			!hasRating(&x.Part) && asides[first(text)]
	})
	if len(t.Readings) == 0 {
		return t, fault.New(fault.Invalid, "part-unreadable",
			"kit.part-unreadable", text)
	}
	return t, nil
}

// hasRating reports whether a part has a value or a rating.
func hasRating(p *part.Part) bool {
	return !p.Value.IsZero() || !p.Voltage.IsZero() || !p.Current.IsZero() || !p.Power.IsZero()
}

// tells reports whether what was read is a part that could be judged: it has a
// value, a rating, windings, a class of safety, a chemistry or a type number. "Battery"
// alone, a heading and a rate of tax have not.
func tells(p *part.Part) bool {
	switch p.Class {
	case "":
		return false
	case part.Other:
		return p.Text != ""
	}
	return hasRating(p) || p.Windings != nil || p.SafetyClass != "" || p.Chemistry != "" || strings.ContainsFunc(p.Text,
		unicode.IsDigit)
}

func ofClass(all []part.Reading, class part.Class) []part.Reading {
	var of []part.Reading
	for i := range all {
		if all[i].Part.Class == class {
			of = append(of, all[i])
		}
	}
	return of
}

// class is the one that all positions have that the line is labelled for, or
// that the map's parts of the very type have.
func (r *reader) class(l *line) part.Class {
	class := part.Class("")
	for _, i := range l.labels {
		c := r.m.Positions[i].Wanted().Class
		if class != "" && c != class {
			return ""
		}
		class = c
	}
	if class != "" {
		return class
	}
	if r.types == nil {
		r.types = types(r.m)
	}
	return r.types[foldType(l.text)]
}

func types(m *board.Map) map[string]part.Class {
	out := map[string]part.Class{}
	for i := range m.Positions {
		p := m.Positions[i].Wanted()
		t := foldType(p.Text)
		if c, ok := out[t]; ok && c != p.Class {
			out[t] = ""
			continue
		}
		out[t] = p.Class
	}
	delete(out, "")
	return out
}

func foldType(s string) string { return strings.ToUpper(strings.Join(strings.Fields(s), "")) }

// spell joins the first few of many names.
func spell(names []string) message.Message { return message.Some(names, maxTold) }

// maxTold is how many names a sentence tells one by one.
const maxTold = 12

// readable refuses a kit of which no line reads as a part: a verdict on it would
// say nothing.
func (p *plan) readable() error {
	e := fault.New(fault.Invalid, "kit-refused", "kit.kit-refused-no-line")
	for l := range p.lines {
		x := &p.lines[l]
		if x.offer != nil {
			return nil
		}
		for _, f := range x.findings {
			if f.Code == "line-unreadable" {
				f.Severity, f.Found, f.Pointer = finding.Stop, x.Text, fmt.Sprintf("/lines/%d/text", x.at)
				e.Findings = append(e.Findings, f)
			}
		}
	}
	return e
}
