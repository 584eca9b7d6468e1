package part

import (
	"boardlore/domain/message"
	"boardlore/domain/quantity"
	"boardlore/domain/reading"
)

// MaxText is the longest text that Read takes, in Unicode code points.
const MaxText = reading.MaxText

// Field is one member of a part with the text that it came from.
type Field struct {
	Member string `json:"member"` // name in Part, body.NAME in Body, or quantity
	Value  string `json:"value"`  // canonical spelling
	Span   [2]int `json:"span"`   // from, to (exclusive), counted in Unicode code points of the text
}

// Reading is one way to read a text.
type Reading struct {
	Part      Part              `json:"part"`
	Body      Body              `json:"body,omitzero"`
	Quantity  int               `json:"quantity,omitzero"` // how many parts; 0 where the text does not say
	Canonical string            `json:"canonical"`         // the part on one line, which reads back as the part
	Fields    []Field           `json:"fields"`            // in the order of the text
	Doubts    []message.Message `json:"doubts"`            // what to look at before trusting the reading
}

// Text is what Read makes of a line: every way to read it, and the words that
// no rule knows.
type Text struct {
	Readings []Reading           `json:"readings"`
	LeftOver []string            `json:"left_over"`
	Sure     bool                `json:"sure"`            // one reading, without a doubt, and nothing left over that could turn it round
	Spans    []reading.Explained `json:"spans,omitempty"` // where Explain was asked
}

// Read reads one line of free text as a part: a kit's line, a sleeve, a row of
// a parts list. c.Class, where known, says what sort of part it is. A line that
// reads several ways gives them all; one in which nothing can be read gives a
// *fault.Error of kind Invalid. Package reading does the reading; here its
// fields become the members of a part.
func Read(text string, c quantity.Context) (Text, error) {
	return read(text, c, false)
}

// Explain is Read, and tells span by span how the text was understood.
func Explain(text string, c quantity.Context) (Text, error) {
	return read(text, c, true)
}

func read(text string, c quantity.Context, explain bool) (out Text, err error) {
	err = reading.Show(text, c, explain, func(t *reading.Text) { out = textOf(t) })
	return out, err
}

func textOf(t *reading.Text) Text {
	out := Text{LeftOver: t.LeftOver, Sure: t.Sure, Spans: t.Spans}
	if t.Readings != nil {
		out.Readings = make([]Reading, len(t.Readings))
	}
	for i := range t.Readings {
		out.Readings[i].fill(&t.Readings[i])
	}
	return out
}

func (x *Reading) fill(r *reading.Reading) {
	x.Doubts, x.Fields = r.Doubts, make([]Field, 0, len(r.Fields))
	x.Part.Class, x.Part.Text = Class(r.Class), r.Text
	for i := range r.Fields {
		f := &r.Fields[i]
		x.Fields = append(x.Fields, Field{f.Member, f.Value, f.Span})
		if f.Member == "quantity" {
			x.Quantity = f.Count
		}
		x.Part.set(f)
		x.Body.set(f)
	}
	x.Canonical = x.Part.spelled()
}

// set gives a field's member its value; a measure is the first that is read.
// Class and text are the reading's own.
func (p *Part) set(f *reading.Field) {
	m := MemberOf(f.Member)
	if m == nil {
		return
	}
	switch to := m.At(p).(type) {
	case *quantity.Quantity:
		if to.IsZero() {
			*to = f.Quantity
		}
	case *quantity.Tolerance:
		*to = f.Tolerance
	case **bool:
		yes := f.Yes
		*to = &yes
	case *Construction:
		*to = Construction(f.Value)
	case *Supply:
		*to = Supply(f.Value)
	case *Breaking:
		*to, _ = ParseBreaking(f.Value)
	case **Windings:
		p.wind(f)
	case *string:
		if to != &p.Text {
			*to = f.Value
		}
	}
}

// wind adds one winding.
func (p *Part) wind(f *reading.Field) {
	if p.Windings == nil {
		p.Windings = &Windings{}
	}
	side := &p.Windings.Secondary
	if f.Primary {
		side = &p.Windings.Primary
	}
	*side = append(*side, f.Quantity)
}

func (b *Body) set(f *reading.Field) {
	switch f.Member {
	case "body.mount":
		b.Mount = f.Value
	case "body.shape":
		b.Shape = f.Value
	case "body.diameter_mm":
		b.Diameter = f.Millimetres
	case "body.length_mm":
		b.Length = f.Millimetres
	case "body.width_mm":
		b.Width = f.Millimetres
	case "body.height_mm":
		b.Height = f.Millimetres
	case "body.lead_pitch_mm":
		b.LeadPitch = f.Millimetres
	}
}
