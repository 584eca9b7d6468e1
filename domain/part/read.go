package part

import (
	"fmt"
	"slices"
	"strings"
	"sync"
	"unicode/utf8"

	"boardlore/domain/fault"
	"boardlore/domain/quantity"
)

// MaxText is the longest text that Read takes, in Unicode code points.
const MaxText = 500

// Field is one member of a part with the text that it came from.
type Field struct {
	Member string `json:"member"` // name in Part, body.NAME in Body, or quantity
	Value  string `json:"value"`  // canonical spelling
	Span   [2]int `json:"span"`   // from, to (exclusive), counted in Unicode code points of the text
}

// Reading is one way to read a text.
type Reading struct {
	Part      Part     `json:"part"`
	Body      Body     `json:"body,omitzero"`
	Quantity  int      `json:"quantity,omitzero"` // how many parts; 0 where the text does not say
	Canonical string   `json:"canonical"`         // the part on one line, which reads back as the part
	Fields    []Field  `json:"fields"`            // in the order of the text
	Doubts    []string `json:"doubts"`            // what to look at before trusting the reading
}

// Text is what Read makes of a line: every way to read it, and the words that
// no rule knows.
type Text struct {
	Readings []Reading `json:"readings"`
	LeftOver []string  `json:"left_over"`
	Sure     bool      `json:"sure"` // one reading, without a doubt, and nothing left over that could turn it round
}

// Read reads one line of free text as a part: a kit's line, a sleeve, a row of
// a parts list, in English, German or French. c.Class, where known, says what
// sort of part it is. A line that reads several ways gives them all; one in
// which nothing can be read gives a *fault.Error of kind Invalid.
//
// Trade words that no member holds ("low ESR", "flameproof", "tabbed") and type
// numbers are kept in the part's Text, where Suit finds them; a text in double
// quotes goes there as it stands. What is neither is listed as left over.
func Read(text string, c quantity.Context) (Text, error) {
	if n := utf8.RuneCountInString(text); n > MaxText {
		return Text{}, fault.New(fault.Invalid, "part-unreadable",
			fmt.Sprintf("The text has %d characters; write one part in at most %d, such as: 47 µF 16 V 105 °C.", n, MaxText))
	}
	r := readers.Get().(*reader)
	defer readers.Put(r)
	r.reset(text, c)
	r.scan()
	r.gather()
	r.settle()
	t, err := r.finish()
	t.Sure = err == nil && t.sure(text)
	return t, err
}

// readers are used again, since one is some kilobytes.
var readers = sync.Pool{New: func() any { return new(reader) }}

// reader is one reading of one text, in two steps. Gathering goes over the
// words once and notes what each says by itself; settling decides the class by
// all of it and gives each note its member, so that the order of the words does
// not matter.
type reader struct {
	text  string
	ctx   quantity.Context
	raw   []byte   // look-alike signs folded
	low   []byte   // the same in lower case; as long as raw
	at    []uint16 // for each byte of raw, the byte of the text that it came from
	point []uint16 // and the code point
	words []word

	said     []said
	measures []measure
	devs     []deviation
	sizes    []size
	codes    []code
	roughly  bool   // the text says about, or doubts its own value
	designed string // class by the designators at the head

	out    Reading
	values []quantity.Reading // several where the value reads several ways
	value  [2]int             // the words of the value, first and one past the last
	others [][2]int           // the same for the second value and those after it, where each has its own
	texts  []piece
	spell  []byte
}

// piece is a trade word or type number for the part's text.
type piece struct {
	from uint16
	text string
}

func (r *reader) reset(text string, c quantity.Context) {
	r.text, r.ctx = text, c
	r.raw, r.low, r.at, r.point, r.words = r.raw[:0], r.low[:0], r.at[:0], r.point[:0], r.words[:0]
	r.said, r.measures, r.devs, r.sizes, r.codes = r.said[:0], r.measures[:0], r.devs[:0], r.sizes[:0], r.codes[:0]
	r.texts, r.others, r.spell = r.texts[:0], r.others[:0], r.spell[:0]
	r.roughly, r.designed = false, ""
	r.values, r.value = nil, [2]int{}
	r.out = Reading{Fields: make([]Field, 0, 10)}
	r.out.Part.Class = Class(c.Class)
}

func (r *reader) lower(i int) []byte { return r.low[r.words[i].lo:r.words[i].hi] }

func (r *reader) cased(i int) []byte { return r.raw[r.words[i].lo:r.words[i].hi] }

// source is the text of words i to j-1 as it was given.
func (r *reader) source(i, j int) string {
	from, last := r.at[r.words[i].lo], int(r.at[r.words[j-1].hi-1])
	_, size := utf8.DecodeRuneInString(r.text[last:])
	return r.text[from : last+size]
}

func (r *reader) span(i, j int) [2]int {
	return [2]int{int(r.point[r.words[i].lo]), int(r.point[r.words[j-1].hi-1]) + 1}
}

// free reports whether words i to j-1 are there and nothing has taken them.
func (r *reader) free(i, j int) bool {
	if i < 0 || j > len(r.words) {
		return false
	}
	for k := i; k < j; k++ {
		if r.words[k].used || r.words[k].quoted {
			return false
		}
	}
	return true
}

func (r *reader) take(i, j int) {
	for k := i; k < j; k++ {
		r.words[k].used = true
	}
}

// release gives words up again, which are then left over.
func (r *reader) release(i, j int) {
	for k := i; k < j; k++ {
		r.words[k].used = false
	}
}

// note records a member that words i to j-1 gave.
func (r *reader) note(member, value string, i, j int) {
	r.take(i, j)
	r.out.Fields = append(r.out.Fields, Field{member, value, r.span(i, j)})
}

func (r *reader) doubt(format string, a ...any) {
	s := fmt.Sprintf(format, a...)
	if !slices.Contains(r.out.Doubts, s) {
		r.out.Doubts = append(r.out.Doubts, s)
	}
}

func (r *reader) doubts(more []string) {
	for _, s := range more {
		if !slices.Contains(r.out.Doubts, s) {
			r.out.Doubts = append(r.out.Doubts, s)
		}
	}
}

// keep puts words i to j-1 into the part's text.
func (r *reader) keep(text string, i, j int) {
	r.texts = append(r.texts, piece{r.point[r.words[i].lo], text})
	r.note("text", text, i, j)
}

func (r *reader) has(member string) bool {
	return slices.ContainsFunc(r.out.Fields, func(f Field) bool { return f.Member == member })
}

// finish makes the readings out of what was found.
func (r *reader) finish() (Text, error) {
	out := Text{LeftOver: r.leftOver()}
	if len(r.out.Fields) == 0 && len(r.values) == 0 || r.onlyCount() {
		return Text{}, r.unreadable()
	}
	p := &r.out.Part
	p.Text = r.joinedText()
	if r.roughly {
		r.doubt("The text itself is not sure of its value.")
	}
	if r.out.Doubts == nil {
		r.out.Doubts = []string{}
	}
	if len(r.values) == 0 {
		if p.Class == "" {
			p.Class = "other"
			r.doubt("Nothing in the text says what sort of part this is.")
		} else if _, valued := ValueKind(p.Class); valued {
			r.doubt("No value was found in the text.")
		}
		out.Readings = []Reading{r.out}
		r.seal(&out.Readings[0])
		return out, nil
	}
	out.Readings = make([]Reading, len(r.values))
	for k := range r.values {
		r.withValue(&out.Readings[k], k)
		r.seal(&out.Readings[k])
	}
	return out, nil
}

// onlyCount reports whether a count is all that was found.
func (r *reader) onlyCount() bool {
	return len(r.values) == 0 && len(r.out.Fields) == 1 && r.out.Fields[0].Member == "quantity"
}

func (r *reader) unreadable() error {
	if strings.TrimSpace(r.text) == "" {
		return fault.New(fault.Invalid, "part-unreadable", "Nothing stands here; write one part, such as: 47 µF 16 V 105 °C.")
	}
	return fault.New(fault.Invalid, "part-unreadable",
		fmt.Sprintf("Nothing in %q reads as a part; write value and ratings with their units, such as: 47 µF 16 V 105 °C, or say the class.", r.text))
}

// leftOver lists the words that no rule took, as they were given; what a hyphen
// or stroke joins is one word again.
func (r *reader) leftOver() []string {
	list := []string{}
	for i := 0; i < len(r.words); {
		if r.words[i].used {
			i++
			continue
		}
		j := i + 1
		for j < len(r.words) && r.words[j].glued && !r.words[j].used {
			j++
		}
		if r.speaks(i, j) {
			list = append(list, r.source(i, j))
		}
		i = j
	}
	return list
}

// speaks reports whether words have more than signs in them.
func (r *reader) speaks(i, j int) bool {
	for _, c := range r.low[r.words[i].lo:r.words[j-1].hi] {
		if isDigit(c) || isLetter(c) {
			return true
		}
	}
	return false
}

func (r *reader) joinedText() string {
	switch len(r.texts) {
	case 0:
		return ""
	case 1:
		return r.texts[0].text
	}
	slices.SortStableFunc(r.texts, func(a, b piece) int { return int(a.from) - int(b.from) })
	var b strings.Builder
	for k, t := range r.texts {
		if k > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(t.text)
	}
	return b.String()
}

// withValue is the reading with one of its values; the class follows from the
// unit where nothing else said it.
func (r *reader) withValue(x *Reading, k int) {
	v := &r.values[k]
	*x = r.out
	if len(r.values) > 1 {
		x.Fields, x.Doubts = slices.Clone(x.Fields), append([]string{}, x.Doubts...)
	}
	x.Doubts = append(x.Doubts, v.Doubts...)
	where := r.value
	if k > 0 && len(r.others) > 0 {
		where = r.others[k-1]
	}
	span := r.span(where[0], where[1])
	x.Part.Value = v.Quantity
	if kind, _ := ValueKind(x.Part.Class); x.Part.Class == "" || kind != 0 && kind.Unit() != v.Quantity.Unit() {
		x.Part.Class = Class(classOfUnit(v.Quantity.Unit())) // in the second case a doubt says so
		x.Fields = append(x.Fields, Field{"class", string(x.Part.Class), span})
	}
	x.Fields = append(x.Fields, Field{"value", v.Quantity.String(), span})
	if !v.Tolerance.IsZero() && x.Part.Tolerance.IsZero() {
		x.Part.Tolerance = v.Tolerance
		x.Fields = append(x.Fields, Field{"tolerance", v.Tolerance.String(), span})
	}
	x.unusual()
}

// unusual doubts a value that no series of preferred numbers has: a misreading
// is likelier than an odd part.
func (x *Reading) unusual() {
	if c := x.Part.Class; c != "capacitor" && c != "resistor" || x.Part.Value.Sign() <= 0 {
		return
	}
	in, likely := quantity.Preferred(x.Part.Value)
	if _, old := quantity.OldRating(x.Part.Value); in || old || len(likely) == 0 {
		return
	}
	s := make([]string, len(likely))
	for i, q := range likely {
		s[i] = q.String()
	}
	x.Doubts = append(x.Doubts, fmt.Sprintf("%s is in no series of preferred numbers (IEC 60063); perhaps %s was meant.", x.Part.Value, strings.Join(s, " or ")))
}

// seal puts the fields in the order of the text and spells the part.
func (r *reader) seal(x *Reading) {
	slices.SortStableFunc(x.Fields, func(a, b Field) int {
		if d := a.Span[0] - b.Span[0]; d != 0 {
			return d
		}
		return a.Span[1] - b.Span[1]
	})
	r.spell = x.Part.appendTo(r.spell[:0])
	x.Canonical = string(r.spell)
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
