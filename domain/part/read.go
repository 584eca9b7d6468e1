package part

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
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
	Doubts    []string `json:"doubts"`            // sentences; what to look at before trusting the reading
}

// Text is what Read makes of a line: every way to read it, and the words that
// no rule knows.
type Text struct {
	Readings []Reading `json:"readings"`
	LeftOver []string  `json:"left_over"`
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
	r := reader{text: text, ctx: c}
	r.raw, r.low, r.words = r.rawRoom[:0], r.lowRoom[:0], r.wordRoom[:0]
	r.scan()
	r.out.Part.Class = c.Class
	r.run()
	return r.finish()
}

// word is a stretch of the text that says one thing, or a part of it.
type word struct {
	lo, hi   int32 // bytes of raw and low
	at, end  int32 // bytes of the text
	from, to int32 // code points of the text
	kind     wordKind
	joined   bool // stands against the word before, parted by a stroke
	used     bool
}

type wordKind uint8

const (
	plain  wordKind = iota
	quoted          // "as it stands"
	labelESR
	labelRipple
	labelPitch
	labelCount
	labelDielectric
	labelConstruction
	labelChemistry
	labelSafety
	labelCurrent
	labelVoltage
)

// piece is a trade word or type number for the part's text.
type piece struct {
	from int32
	text string
}

// Room that a reader has before it needs the heap: an ordinary line.
const (
	roomBytes = 160
	roomWords = 24
)

// reader goes over the words several times: first the words that say what the
// part is, then codes, sizes and ratings, last the value, which reads by class.
type reader struct {
	text   string
	ctx    quantity.Context
	raw    []byte // look-alike signs folded
	low    []byte // the same in lower case, hyphens between letters as blanks; as long as raw
	words  []word
	out    Reading
	values []quantity.Reading // several where the value reads several ways
	unit   quantity.Quantity  // the value, where it is written with its unit
	value  [2]int             // its words, first and one past the last
	cell   int                // the word with a cell's code, less one
	texts  []piece

	fusible  int // the word "fusible", less one: a resistor's kind or, in French, a fuse
	spoken   bool
	rawRoom  [roomBytes]byte
	lowRoom  [roomBytes]byte
	wordRoom [roomWords]word
}

func (r *reader) run() {
	r.out.Fields = make([]Field, 0, 8)
	r.quotes()
	r.count()
	for p := phrasePass; p <= numberPass; p++ {
		r.each(p)
	}
	r.classify()
	r.letters()
	r.findValue()
	r.cellDefaults()
	r.types()
}

// pass is one way over the words. The passes are told apart by number and not
// by function, which would send the reader to the heap.
type pass uint8

const (
	phrasePass pass = iota
	codePass
	sizePass
	numberPass
)

// each offers every unused word to a pass, which says how many it took.
func (r *reader) each(p pass) {
	for i := 0; i < len(r.words); i++ {
		if r.words[i].used || r.words[i].kind == quoted {
			continue
		}
		n := 0
		switch p {
		case phrasePass:
			n = r.phrase(i)
		case codePass:
			n = r.code(i)
		case sizePass:
			n = r.size(i)
		case numberPass:
			n = r.number(i)
		}
		i += max(n-1, 0)
	}
}

func (r *reader) lower(i int) []byte { return r.low[r.words[i].lo:r.words[i].hi] }

func (r *reader) cased(i int) []byte { return r.raw[r.words[i].lo:r.words[i].hi] }

// source is the text of words i to j-1 as it was given.
func (r *reader) source(i, j int) string { return r.text[r.words[i].at:r.words[j-1].end] }

// free reports whether words i to j-1 are there, unused and plain.
func (r *reader) free(i, j int) bool {
	if i < 0 || j > len(r.words) {
		return false
	}
	for k := i; k < j; k++ {
		if r.words[k].used || r.words[k].kind != plain {
			return false
		}
	}
	return true
}

// note records a member that words i to j-1 gave, and uses them.
func (r *reader) note(member, value string, i, j int) {
	for k := i; k < j; k++ {
		r.words[k].used = true
	}
	r.out.Fields = append(r.out.Fields, Field{member, value, [2]int{int(r.words[i].from), int(r.words[j-1].to)}})
}

func (r *reader) doubt(format string, a ...any) {
	s := fmt.Sprintf(format, a...)
	if !slices.Contains(r.out.Doubts, s) {
		r.out.Doubts = append(r.out.Doubts, s)
	}
}

// keep puts words i to j-1 into the part's text.
func (r *reader) keep(text string, i, j int) {
	r.texts = append(r.texts, piece{r.words[i].from, text})
	r.note("text", text, i, j)
}

// hasField gives the place of a member's field, -1 for none.
func (r *reader) hasField(member string) int {
	return slices.IndexFunc(r.out.Fields, func(f Field) bool { return f.Member == member })
}

// setClass settles the class by the evidence of a member that was read.
func (r *reader) setClass(class, evidence string) {
	r.out.Part.Class = class
	if k := r.hasField(evidence); k >= 0 && r.hasField("class") < 0 {
		r.out.Fields = append(r.out.Fields, Field{"class", class, r.out.Fields[k].Span})
	}
}

// classify settles the class where nobody said it.
func (r *reader) classify() {
	p := &r.out.Part
	if r.fusible > 0 {
		r.settleFusible()
	}
	if p.Class != "" {
		return
	}
	switch {
	case p.SafetyClass != "":
		r.setClass("capacitor", "safety_class")
	case p.Dielectric != "":
		r.setClass("capacitor", "dielectric")
	case slices.Contains(Constructions, p.Construction):
		r.setClass("capacitor", "construction")
	case p.Polarised != nil:
		r.setClass("capacitor", "polarised")
	case !p.ESRMax.IsZero():
		r.setClass("capacitor", "esr_max")
	case p.Chemistry != "":
		r.setClass("cell", "chemistry")
	case r.unit.Unit() != quantity.None:
		return // the unit says it
	case p.FuseSpeed != "" && !p.Current.IsZero():
		r.setClass("fuse", "fuse_speed")
	case p.Construction != "":
		r.setClass("resistor", "construction")
	case !p.Power.IsZero():
		r.setClass("resistor", "power")
	case !p.Endurance.IsZero() && !p.Voltage.IsZero():
		r.setClass("capacitor", "endurance")
	}
}

// settleFusible takes "fusible" for a resistor's kind, or for the French fuse
// where a current is given and no resistance.
func (r *reader) settleFusible() {
	i := r.fusible - 1
	p := &r.out.Part
	switch {
	case p.Class == "fuse" || p.Class == "" && !p.Current.IsZero() && r.unit.IsZero():
		p.Class = "fuse"
		r.note("class", "fuse", i, i+1)
	case p.Construction == "":
		p.Construction = "fusible"
		r.note("construction", "fusible", i, i+1)
	default:
		r.keep("fusible", i, i+1)
	}
}

// finish makes the readings out of what was found.
func (r *reader) finish() (Text, error) {
	out := Text{LeftOver: r.leftOver()}
	if len(r.out.Fields) == 0 && len(r.values) == 0 {
		return Text{}, r.unreadable()
	}
	p := &r.out.Part
	if len(r.texts) > 0 {
		p.Text = r.joinedText()
	}
	if r.out.Doubts == nil {
		r.out.Doubts = []string{}
	}
	if len(r.values) == 0 {
		if p.Class == "" {
			p.Class = "other"
			r.doubt("Nothing in the text says what sort of part this is.")
		} else if _, has := ValueKind(p.Class); has && p.Value.IsZero() {
			r.doubt("No value was found in the text.")
		}
		out.Readings = []Reading{r.out}
		out.Readings[0].seal()
		return out, nil
	}
	out.Readings = make([]Reading, len(r.values))
	for k := range r.values {
		r.withValue(&out.Readings[k], k)
		out.Readings[k].seal()
	}
	return out, nil
}

func (r *reader) unreadable() error {
	if strings.TrimSpace(r.text) == "" {
		return fault.New(fault.Invalid, "part-unreadable", "Nothing stands here; write one part, such as: 47 µF 16 V 105 °C.")
	}
	return fault.New(fault.Invalid, "part-unreadable",
		fmt.Sprintf("Nothing in %q reads as a part; write value and ratings with their units, such as: 47 µF 16 V 105 °C, or say the class.", r.text))
}

// leftOver lists the words that no rule took, as they were given.
func (r *reader) leftOver() []string {
	list := []string{}
	for i := range r.words {
		if !r.words[i].used {
			list = append(list, r.source(i, i+1))
		}
	}
	return list
}

func (r *reader) joinedText() string {
	slices.SortStableFunc(r.texts, func(a, b piece) int { return cmp.Compare(a.from, b.from) })
	if len(r.texts) == 1 {
		return r.texts[0].text
	}
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
	span := [2]int{int(r.words[r.value[0]].from), int(r.words[r.value[1]-1].to)}
	x.Part.Value = v.Quantity
	if x.Part.Class == "" {
		x.Part.Class = classOfUnit(v.Quantity.Unit())
		x.Fields = append(x.Fields, Field{"class", x.Part.Class, span})
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
func (x *Reading) seal() {
	slices.SortStableFunc(x.Fields, func(a, b Field) int {
		return cmp.Or(cmp.Compare(a.Span[0], b.Span[0]), cmp.Compare(a.Span[1], b.Span[1]))
	})
	x.Canonical = x.Part.String()
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
