package kit

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"boardlore/domain/board"
	"boardlore/domain/fault"
	"boardlore/domain/finding"
	"boardlore/domain/part"
	"boardlore/domain/quantity"
)

// line is a kit line made ready: read, and its labels found on the map.
type line struct {
	*Line
	parts    int32       // quantity, within what a kit may have
	offer    *part.Offer // nil where it could not be read
	labels   []int       // positions of the map that it is labelled for
	unknown  int         // designators it is labelled for that the map lacks
	findings []finding.Finding
}

func (l *line) labelled() bool { return len(l.Designators) > 0 }

func (l *line) say(s finding.Severity, code, format string, args ...any) {
	l.findings = append(l.findings, finding.Finding{Code: code, Severity: s, Sentence: fmt.Sprintf(format, args...)})
}

// maxQuantity is the most parts that a line is taken to hold; the schema of
// kits allows no more.
const maxQuantity = 100000

// reader reads the lines of a kit for one map.
type reader struct {
	m       *board.Map
	names   *names
	context quantity.Context
	types   map[string]string // class by type text, "" where several; made on first use
}

// lines reads all lines of the kit, in ascending order of their numbers.
func (r *reader) lines(k *Kit) []line {
	out := make([]line, len(k.Lines))
	for i := range k.Lines {
		out[i].Line = &k.Lines[i]
	}
	slices.SortStableFunc(out, func(a, b line) int {
		return cmp.Or(cmp.Compare(a.Line.Line, b.Line.Line), cmp.Compare(a.Text, b.Text), cmp.Compare(a.Quantity, b.Quantity))
	})
	for i := range out {
		l := &out[i]
		l.parts = int32(min(max(l.Quantity, 0), maxQuantity))
		if i > 0 && out[i-1].Line.Line == l.Line.Line {
			l.say(finding.Caution, "line-twice", "The kit has two lines %d; number them apart.", l.Line.Line)
		}
		r.labels(l)
		r.read(l)
	}
	return out
}

// labels finds the positions that the line names.
func (r *reader) labels(l *line) {
	var unknown []string
	for _, text := range l.Designators {
		at, missing, err := r.names.find(text)
		for _, i := range at {
			if slices.Contains(l.labels, i) {
				l.say(finding.Caution, "designator-twice", "Line %d names %s twice; one part goes there.", l.Line.Line, r.m.Positions[i].Designator)
				continue
			}
			l.labels = append(l.labels, i)
		}
		unknown = append(unknown, missing...)
		if err != nil {
			l.say(finding.Caution, "designator-unreadable", "Line %d is labelled %q: %v; write designators like C1, C3-C5.", l.Line.Line, text, err)
		}
	}
	l.unknown = len(unknown)
	if len(unknown) > 0 {
		l.say(finding.Caution, "designator-unknown", "Line %d is labelled %s, which this build of the board does not have; check the board's markings and variant.",
			l.Line.Line, spell(unknown))
	}
}

// read takes the line's part or reads its text.
func (r *reader) read(l *line) {
	if l.Part != nil {
		l.offer = &part.Offer{Part: *l.Part}
	} else {
		r.readText(l)
	}
	if l.offer != nil && l.Body != nil {
		l.offer.Body = *l.Body
	}
}

func (r *reader) readText(l *line) {
	text, err := r.readings(l)
	if err != nil {
		reason := err.Error()
		if e, ok := fault.As(err); ok {
			reason = e.Detail
		}
		l.say(finding.Caution, "line-unreadable", "Line %d could not be read and was not placed. %s", l.Line.Line, reason)
		return
	}
	if len(text.Readings) != 1 {
		ways := make([]string, len(text.Readings))
		for i := range ways {
			ways[i] = text.Readings[i].Canonical
		}
		l.say(finding.Caution, "line-ambiguous", "Line %d, %q, reads %d ways and was not placed: %s. Write it out in full.",
			l.Line.Line, l.Text, len(ways), strings.Join(ways, "; "))
		return
	}
	x := &text.Readings[0]
	l.offer = &part.Offer{Part: x.Part, Body: x.Body}
	for _, d := range x.Doubts {
		l.say(finding.Caution, "line-doubtful", "Line %d, %q, was read as %s, but %s.", l.Line.Line, l.Text, x.Canonical, strings.TrimSuffix(d, "."))
	}
	if len(text.LeftOver) > 0 {
		l.say(finding.Note, "line-words", "Line %d: nothing was made of %s.", l.Line.Line, spell(text.LeftOver))
	}
	if x.Quantity != 0 && x.Quantity != l.Quantity {
		l.say(finding.Caution, "quantity-differs", "Line %d counts %d but its text says %d; %d was used.", l.Line.Line, l.Quantity, x.Quantity, l.Quantity)
	}
}

// readings reads the line's text. What the line is labelled for decides
// between several readings, and helps where there is none; it never overrules
// what the text says.
func (r *reader) readings(l *line) (part.Text, error) {
	text, err := readPart(l.Text, r.context)
	if err == nil && len(text.Readings) == 1 {
		return text, nil
	}
	class := r.class(l)
	if class == "" {
		return text, err
	}
	if of := ofClass(text.Readings, class); len(of) > 0 {
		text.Readings = of
		return text, nil
	}
	c := r.context
	c.Class = class
	if again, e := readPart(l.Text, c); e == nil {
		return again, nil
	}
	return text, err
}

// readPart reads a text as a part; a text that tells a quantity alone is none.
func readPart(text string, c quantity.Context) (part.Text, error) {
	t, err := part.Read(text, c)
	if err != nil {
		return t, err
	}
	t.Readings = slices.DeleteFunc(t.Readings, func(x part.Reading) bool {
		return keyOf(&x.Part) == partKey{class: "other"} || x.Part.Class == ""
	})
	if len(t.Readings) == 0 {
		return t, fault.New(fault.Invalid, "part-unreadable",
			fmt.Sprintf("Nothing in %q says what part it is; write value and ratings with their units, such as: 47 µF 16 V 105 °C.", text))
	}
	return t, nil
}

func ofClass(all []part.Reading, class string) []part.Reading {
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
func (r *reader) class(l *line) string {
	class := ""
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
	return r.types[foldType(l.Text)]
}

func types(m *board.Map) map[string]string {
	out := map[string]string{}
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
func spell(names []string) string {
	const most = 12
	if len(names) > most {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:most], ", "), len(names)-most)
	}
	return strings.Join(names, ", ")
}
