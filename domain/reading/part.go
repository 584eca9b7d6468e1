package reading

import (
	"slices"
	"strings"
	"unicode/utf8"

	"boardlore/domain/fault"
	"boardlore/domain/message"
	"boardlore/domain/quantity"
)

// Field is one member of a part with the text that it came from.
type Field struct {
	Member      string // name of a part's member, body.NAME of its outside, or quantity
	Value       string // canonical spelling
	Span        [2]int // from, to (exclusive), counted in Unicode code points of the text
	Quantity    quantity.Quantity
	Tolerance   quantity.Tolerance
	Millimetres float64
	Yes         bool
	Primary     bool // a winding's side
	Count       int
}

// Reading is one way to read a text as a part.
type Reading struct {
	Class  string
	Fields []Field
	Text   string // trade words and type numbers that no other member holds
	Doubts []message.Message
}

// Text is what Part makes of a line.
type Text struct {
	Readings []Reading
	LeftOver []string
	Sure     bool
	Turned   []string    // the words that deny, offer a choice, or speak of another part or of what was
	Spans    []Explained // where they were asked for
}

// Part reads one line of text as a part. c.Class, where known, says what sort of part it is. A line that reads several
// ways gives them all; one in which nothing can be read gives a *fault.Error of kind Invalid.
func Part(text string, c quantity.Context) (Text, error) { return kept(text, c, false) }

// Explain is Part, and tells span by span what was understood, by which rule, and what lost.
func Explain(text string, c quantity.Context) (Text, error) { return kept(text, c, true) }

func kept(text string, c quantity.Context, explain bool) (out Text, err error) {
	err = Show(text, c, explain, func(t *Text) {
		out = *t
		out.Readings = slices.Clone(t.Readings)
		for i := range out.Readings {
			out.Readings[i].Fields = slices.Clone(out.Readings[i].Fields)
		}
	})
	return out, err
}

// Show reads as Part, or as Explain, and shows what it found. The readings and their fields are read anew once take is
// done: take copies what it keeps.
func Show(text string, c quantity.Context, explain bool, take func(*Text)) error {
	if len(text) > MaxText*utf8.UTFMax || utf8.RuneCountInString(text) > MaxText {
		return fault.New(fault.Invalid, "part-unreadable",
			"reading.text-too-long", MaxText)
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	r.reset(text, c)
	r.only = 0
	r.run()
	r.recognise()
	p := r.solve()
	t, err := p.finish()
	if explain {
		t.Spans = p.explain()
	}
	take(&t)
	return err
}

// partReader makes a part of the cover of a text.
type partReader struct {
	*reader
	of      classes // 0 where nothing says the class
	class   string
	fields  []Field
	shown   []Reading // with their fields, used again
	doubts  []message.Message
	texts   []textPiece
	values  []Amount // several where the value reads several ways
	value   [2]int   // the atoms of the value
	others  [][2]int // the same for the second value and those after it
	count   int
	turned  bool // a word that turns things round was not understood with its term
	members map[string]string
	volts   quantity.Quantity
	current quantity.Quantity
	tol     quantity.Tolerance
	built   string // construction
	body    bodySoFar
	coded   bool // an order code says the value
}

type textPiece struct {
	from int
	text string
}

// bodySoFar is what is known of the outside, in mm.
type bodySoFar struct {
	mount, shape                           string
	diameter, length, width, height, pitch float64
}

// partReader gives the part reader of a reader, which is used again.
func (r *reader) partReader() *partReader {
	if r.maker == nil {
		r.maker = &partReader{members: map[string]string{}}
	}
	p := r.maker
	clear(p.members)
	*p = partReader{reader: r, members: p.members, fields: p.fields[:0], texts: p.texts[:0], shown: p.shown[:0]}
	return p
}

// solve chooses the class and settles its cover.
func (r *reader) solve() *partReader {
	p := r.partReader()
	all := r.decide()
	switch {
	case r.ctx.Class != "":
		p.of = setOf(r.ctx.Class)
		if p.of == 0 {
			p.of = restClass
		}
		p.class = r.ctx.Class
	case len(all) > 0:
		p.of = all[0].of
		p.class = p.of.name()
	}
	of := p.of
	if of == 0 {
		of = restClass
	}
	r.cover(of)
	r.mark()
	p.settle()
	return p
}

func (p *partReader) doubt(key string, values ...any) { p.tell(message.Of(key, values...)) }

// tell adds sentences to the doubts, each once.
func (p *partReader) tell(all ...message.Message) {
	for _, m := range all {
		if !slices.ContainsFunc(p.doubts, m.Equal) {
			p.doubts = append(p.doubts, m)
		}
	}
}

// memberWord and word are what is said of a member, and of a word of the vocabulary, to people.
func memberWord(member string) message.Message {
	return message.Word("reading.member", strings.TrimPrefix(member, "body."))
}

func word(name string) message.Message {
	if slices.Contains(Classes, name) {
		return message.Word("class", name)
	}
	return message.Word("construction", name)
}

// note records a member that atoms i to before j gave.
func (p *partReader) note(f Field, i, j int) {
	p.use(i, j)
	f.Span = p.points(i, j)
	p.fields = inOrder(p.fields, f)
}

// inOrder puts a field where it stands in the text, behind those of the same place.
func inOrder(all []Field, f Field) []Field {
	k := len(all)
	for k > 0 && f.before(&all[k-1]) {
		k--
	}
	return slices.Insert(all, k, f)
}

func (f *Field) before(g *Field) bool {
	return f.Span[0] < g.Span[0] || f.Span[0] == g.Span[0] && f.Span[1] < g.Span[1]
}

// keep puts a text into the part's text.
func (p *partReader) keep(text string, i, j int) {
	p.texts = append(p.texts, textPiece{int(p.atoms[i].from), text})
	p.note(Field{Member: "text", Value: text}, i, j)
}

// name sets a named member once; a second, different one is left over with a doubt.
func (p *partReader) name(member, value string, i, j int) bool {
	if old := p.members[member]; old != "" && old != value {
		p.doubt("reading.twice", memberWord(member), old, value)
		return false
	}
	p.members[member] = value
	p.note(Field{Member: member, Value: value}, i, j)
	return true
}

// flag sets a yes-or-no member once.
func (p *partReader) flag(member, value string, i, j int) bool {
	if old := p.members[member]; old != "" && old != value {
		p.doubt("reading.yes-and-no", memberWord(member))
		return false
	}
	p.members[member] = value
	p.note(Field{Member: member, Value: value, Yes: value == "true"}, i, j)
	return true
}

// rate sets a rating. A second, different value of the same rating is left over with a doubt: nothing is overwritten
// silently, and of two limits to choose from the lower is kept, since the part may be the one that bears less.
func (p *partReader) rate(member string, q quantity.Quantity, i, j int) bool {
	text := q.String()
	if old := p.members[member]; old != "" && old != text {
		if p.lowered(member, q) {
			p.doubt("reading.twice-lower", memberWord(member), old, q)
			return false
		}
		p.doubt("reading.twice", memberWord(member), old, q)
		return false
	}
	p.members[member] = text
	p.believe(member, q, i, j)
	if member == "voltage" {
		p.volts = q
	}
	if member == "current" {
		p.current = q
	}
	p.note(Field{Member: member, Value: text, Quantity: q}, i, j)
	return true
}

// lowered takes a lower value for a limit that a capacitor or a resistor has already, and reports whether it did.
func (p *partReader) lowered(member string, q quantity.Quantity) bool {
	n := slices.IndexFunc(p.fields, func(f Field) bool { return f.Member == member })
	limit := member == "voltage" || member == "power" || member == "temperature_max"
	choice := slices.ContainsFunc(p.got, func(k int) bool { return p.spans[k].act == actOr })
	if n < 0 || !limit || !choice || p.of&(capacitorClass|resistorClass) == 0 || q.Compare(p.fields[n].Quantity) >= 0 {
		return false
	}
	p.fields[n].Value, p.fields[n].Quantity, p.members[member] = q.String(), q, q.String()
	if member == "voltage" {
		p.volts = q
	}
	return true
}

// tolerance sets the tolerance.
func (p *partReader) tolerance(t quantity.Tolerance, i, j int) bool {
	if !p.tol.IsZero() && p.tol != t {
		p.doubt("reading.tolerance-twice", p.tol, t)
		return false
	}
	p.tol = t
	p.note(Field{Member: "tolerance", Value: t.String(), Tolerance: t}, i, j)
	return true
}

func (p *partReader) has(member string) bool {
	return slices.ContainsFunc(p.fields, func(f Field) bool { return f.Member == member })
}

// finish makes the readings out of what was found.
func (p *partReader) finish() (Text, error) {
	out := Text{LeftOver: p.leftOver(), Turned: p.turning()}
	if len(p.values) == 0 && (len(p.fields) == 0 || len(p.fields) == 1 && p.fields[0].Member == "quantity") {
		return Text{Turned: out.Turned}, p.unreadable()
	}
	base := Reading{Class: p.class, Fields: p.fields, Text: p.joined(), Doubts: p.doubts}
	if p.about {
		base.Doubts = append(base.Doubts, message.Of("reading.text-unsure"))
	}
	if p.odd != 0 {
		base.Doubts = append(base.Doubts, message.Of("reading.odd-sign", string(p.odd)))
	}
	if i, j, open := p.unanswered(); open {
		base.Doubts = append(base.Doubts, message.Of("reading.turns-round", p.source(i, j)))
	}
	if len(p.values) == 0 {
		if base.Class == "" {
			base.Class = "other"
			base.Doubts = append(base.Doubts, message.Of("reading.no-class"))
		} else if p.of.valueKind() != 0 && !p.clamps() {
			base.Doubts = append(base.Doubts, message.Of("reading.no-value"))
		}
		p.show(base)
	}
	for k := range p.values {
		p.withValue(p.show(base), k)
	}
	out.Readings = p.shown
	for k := range out.Readings {
		x := &out.Readings[k]
		if x.Doubts == nil {
			x.Doubts = []message.Message{}
		}
	}
	out.Sure = p.sure(&out)
	return out, nil
}

// turning lists the words that turn a text round, with what they reach.
func (p *partReader) turning() (out []string) {
	for _, k := range p.got {
		switch s := &p.spans[k]; s.act {
		case actNot, actOr, actWas, actLike, actNegated:
			out = append(out, p.source(s.i, s.j))
		}
	}
	return out
}

func (p *partReader) unreadable() error {
	if strings.TrimSpace(p.text) == "" {
		return fault.New(fault.Invalid, "part-unreadable", "reading.nothing-here")
	}
	return fault.New(fault.Invalid, "part-unreadable",
		"reading.nothing-reads", p.text)
}

// show adds a reading, with fields of its own.
func (p *partReader) show(x Reading) *Reading {
	n := len(p.shown)
	p.shown = slices.Grow(p.shown, 1)[:n+1]
	to := &p.shown[n]
	x.Fields = append(to.Fields[:0], x.Fields...)
	*to = x
	return to
}

// withValue gives a reading one of its values; the class follows from the unit where nothing else said it.
func (p *partReader) withValue(x *Reading, k int) {
	v := p.values[k]
	x.Doubts = slices.Clone(x.Doubts)
	for _, d := range v.Doubts {
		if !slices.ContainsFunc(x.Doubts, d.Equal) {
			x.Doubts = append(x.Doubts, d)
		}
	}
	where := p.value
	if k > 0 && len(p.others) > 0 {
		where = p.others[k-1]
	}
	span := p.points(where[0], where[1])
	if kind := setOf(x.Class).valueKind(); x.Class == "" || kind != 0 && kind.Unit() != v.Quantity.Unit() {
		x.Class = classOfUnit(v.Quantity.Unit()) // in the second case a doubt says so
		x.Fields = inOrder(x.Fields, Field{Member: "class", Value: x.Class, Span: span})
	}
	x.Fields = inOrder(x.Fields, Field{Member: "value", Value: v.Quantity.String(), Span: span, Quantity: v.Quantity})
	if !v.Tolerance.IsZero() && p.tol.IsZero() {
		x.Fields = inOrder(x.Fields, Field{Member: "tolerance", Value: v.Tolerance.String(), Span: span,
			Tolerance: v.Tolerance})
	}
	if x.Class == "capacitor" && boxed(p.built) && v.Quantity.Compare(maxBoxed) > 0 {
		x.Doubts = append(x.Doubts, message.Of("reading.too-much-boxed", v.Quantity, word(p.built)))
	}
	if x.Class == "capacitor" && p.built != "supercapacitor" && v.Quantity.Compare(oneFarad) >= 0 &&
		p.volts.Compare(maxDouble) > 0 {
		x.Doubts = append(x.Doubts, message.Of("reading.too-many-farads", v.Quantity, p.volts))
	}
	if s := unusual(x.Class, v.Quantity); !s.IsZero() {
		x.Doubts = append(x.Doubts, s)
	}
}

// maxBoxed is the greatest capacitance that film, paper, mica and ceramic parts have. Makers' tables: motor and
// intermediate circuit capacitors end below.
var maxBoxed, _ = quantity.New(5, -3, quantity.Farad)

// No part but a double layer one has a farad, and single ones bear no more than this. Makers' tables.
var (
	oneFarad, _  = quantity.New(1, 0, quantity.Farad)
	maxDouble, _ = quantity.New(55, -1, quantity.Volt)
)

// unusual doubts a value that no series of preferred numbers has: a misreading is likelier than an odd part.
func unusual(class string, q quantity.Quantity) message.Message {
	if class != "capacitor" && class != "resistor" || q.Sign() <= 0 {
		return message.Message{}
	}
	in, likely := quantity.Preferred(q)
	if _, old := quantity.OldRating(q); in || old || len(likely) == 0 {
		return message.Message{}
	}
	return message.Of("reading.unusual", q, message.Or(likely))
}

func classOfUnit(u quantity.Unit) string {
	switch u {
	case quantity.Farad:
		return "capacitor"
	case quantity.Ohm:
		return "resistor"
	case quantity.Henry:
		return "inductor"
	case quantity.Hertz:
		return "crystal"
	}
	return "other"
}

func (p *partReader) joined() string {
	slices.SortStableFunc(p.texts, func(a, b textPiece) int { return a.from - b.from })
	s := make([]string, len(p.texts))
	for i, t := range p.texts {
		s[i] = t.text
	}
	return strings.Join(s, " ")
}

// leftOver lists what no span of the cover holds, as it was given; what a hyphen or a stroke joins is one word again.
func (p *partReader) leftOver() []string {
	list := []string{}
	p.eachLeft(func(i, j int) { list = append(list, p.source(i, j)) })
	return list
}

// eachLeft calls say for each stretch that is left over.
func (p *partReader) eachLeft(say func(i, j int)) {
	for i := 0; i < len(p.atoms); i++ {
		named := i < p.named
		if p.isSign(i, 'ø') && !p.atoms[i].used {
			say(i, i+1)
			continue
		}
		if p.atoms[i].sort == sign || !named && p.atoms[i].used {
			continue
		}
		from := i
		if (p.isSign(i-1, '±') || p.isSign(i-1, '-')) && p.touches(i) && p.atoms[i-1].gap {
			from-- // its own sign
		}
		j := i + 1
		for j < len(p.atoms) && !p.atoms[j].gap && (j < p.named) == named {
			if p.atoms[j].sort == sign {
				if j+1 >= len(p.atoms) || p.atoms[j+1].gap || !strings.Contains("-/_.'~+°", p.printOf(j)) ||
					p.isSign(j, '+') && !named || !p.leftAt(j+1) && !p.isSign(j+1, '.') {
					break
				}
			} else if !p.leftAt(j) {
				break
			}
			j++
		}
		for j > i+1 && p.atoms[j-1].sort == sign {
			j--
		}
		say(from, j)
		i = j - 1
	}
}

// leftAt reports whether atom k is left over.
func (p *partReader) leftAt(k int) bool {
	return k < len(p.atoms) && p.atoms[k].sort != sign && (k < p.named || !p.atoms[k].used)
}
