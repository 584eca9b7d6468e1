package part

import (
	"fmt"
	"strings"
	"unicode"

	"boardlore/domain/fault"
	"boardlore/domain/quantity"
)

// MaxText is the longest text that Read takes, in characters.
const MaxText = 500

// Field is one member of a part with the text that it came from.
type Field struct {
	Member string `json:"member"` // name in Part, or body.NAME in Body, or quantity
	Value  string `json:"value"`  // canonical spelling
	Span   [2]int `json:"span"`   // from, to (exclusive), counted in Unicode code points of the text
}

// Reading is one way to read a text.
type Reading struct {
	Part      Part     `json:"part"`
	Body      Body     `json:"body,omitzero"`
	Quantity  int      `json:"quantity,omitzero"` // how many parts; 0 where the text does not say
	Canonical string   `json:"canonical"`
	Fields    []Field  `json:"fields"`
	Doubts    []string `json:"doubts"`
}

// Text is what Read makes of a line: every way to read it, and the words that
// no rule knows.
type Text struct {
	Readings []Reading `json:"readings"`
	LeftOver []string  `json:"left_over"`
}

// Read reads one line of free text as a part: a kit's line, a sleeve, a row of
// a parts list. c.Class, where known, says what sort of part it is. A line that
// reads several ways gives them all; one in which nothing can be read gives a
// *fault.Error of kind Invalid.
//
// Trade words that no member holds ("low ESR", "flameproof", "long life") are
// kept in the part's Text, where Suit finds them.
func Read(text string, c quantity.Context) (Text, error) {
	s := scan(text)
	if s == nil {
		return Text{}, fault.New(fault.Invalid, "part-unreadable",
			fmt.Sprintf("Nothing stands here, or more than %d characters; write one part, such as: 47 µF 16 V 105 °C.", MaxText))
	}
	r := reader{words: s, context: c, reading: Reading{Fields: []Field{}, Doubts: []string{}}}
	r.reading.Part.Class = c.Class
	r.run()
	return r.finish(text)
}

// word is a stretch of the text between blanks.
type word struct {
	text     string // cleaned: plain figures and letters, one µ, one Ω
	from, to int
	struck   bool // follows a stroke
	used     bool
}

// clean maps the look-alikes of a sign to one, a code point each, so that
// spans stay true.
func clean(r rune) rune {
	switch {
	case r >= '！' && r <= '～':
		r -= '！' - '!'
	case unicode.IsSpace(r) || r == '\u200b' || r == '\ufeff':
		return ' '
	}
	switch r {
	case 'μ':
		return 'µ'
	case '\u2126':
		return 'Ω'
	case '−', '–', '—':
		return '-'
	case '×', '✕', '*':
		return 'x'
	case 'º', '˚':
		return '°'
	case '\'', '"', '(', ')', '[', ']', '|', ';':
		return ' '
	}
	return r
}

// scan cuts a text into words; nil where there are none or too many
// characters.
func scan(text string) []word {
	rs := []rune(text)
	if len(rs) > MaxText {
		return nil
	}
	for i := range rs {
		rs[i] = clean(rs[i])
		if rs[i] == ',' && (i+1 == len(rs) || !unicode.IsDigit(rs[i+1])) {
			rs[i] = ' '
		}
	}
	var ws []word
	for i := 0; i < len(rs); {
		if rs[i] == ' ' {
			i++
			continue
		}
		j := i
		for j < len(rs) && rs[j] != ' ' {
			j++
		}
		ws = appendPieces(ws, rs, i, j)
		i = j
	}
	return ws
}

// appendPieces cuts "22µ/16V" at its stroke, but not a fraction (1/4W), two
// classes (X1/Y2), a range (-40/+105) or two deviations (-20/+80%).
func appendPieces(ws []word, rs []rune, i, j int) []word {
	start := i
	for k := i + 1; k+1 < j; k++ {
		if rs[k] != '/' {
			continue
		}
		left, right := string(rs[start:k]), string(rs[k+1:j])
		if fraction(left, right) || isSafety(left) || pairText.MatchString(string(rs[start:j])) || strings.ContainsAny(left, "+-±") || strings.ContainsAny(right[:1], "+-") {
			continue
		}
		ws = append(ws, word{text: left, from: start, to: k, struck: start > i})
		start = k + 1
	}
	return append(ws, word{text: string(rs[start:j]), from: start, to: j, struck: start > i})
}

// fraction recognises the halves of 1/4W, 1/2 W, 1/8.
func fraction(left, right string) bool {
	if left != "1" {
		return false
	}
	digits := strings.TrimRight(strings.ToLower(right), "wat ")
	return digits == "2" || digits == "4" || digits == "8" || digits == "10" || digits == "16"
}

func isSafety(s string) bool {
	return len(s) == 2 && strings.ContainsRune("XYxy", rune(s[0])) && s[1] >= '1' && s[1] <= '4'
}

// reader goes over the words: first what says which class the part is, then
// the ratings, last the value, which reads by class.
type reader struct {
	words   []word
	context quantity.Context
	reading Reading
	values  []quantity.Reading // several where the value reads several ways
	value   word
	texts   []string // trade words without a member
}

// set notes a member and uses words i to j.
func (r *reader) set(member, value string, i, j int) {
	r.reading.Fields = append(r.reading.Fields, Field{Member: member, Value: value, Span: [2]int{r.words[i].from, r.words[j].to}})
	for k := i; k <= j; k++ {
		r.words[k].used = true
	}
}

func (r *reader) doubt(format string, a ...any) {
	r.reading.Doubts = append(r.reading.Doubts, fmt.Sprintf(format, a...))
}

// step is a rule that may take the words from i on; it says how many it took.
type step func(r *reader, i int) int

func (r *reader) run() {
	r.each((*reader).count)
	r.each((*reader).phrase)
	r.each((*reader).code)
	r.each((*reader).size)
	r.each((*reader).rating)
	r.classify()
	r.each((*reader).readValue)
}

func (r *reader) each(s step) {
	for i := 0; i < len(r.words); i++ {
		if r.words[i].used {
			continue
		}
		if n := s(r, i); n > 1 {
			i += n - 1
		}
	}
}

// join gives words i to i+n-1 as one text; false where one is used or missing.
func (r *reader) join(i, n int) (string, bool) {
	if i+n > len(r.words) {
		return "", false
	}
	if n == 1 {
		return r.words[i].text, true
	}
	var b strings.Builder
	for k := i; k < i+n; k++ {
		if r.words[k].used {
			return "", false
		}
		if k > i {
			b.WriteByte(' ')
		}
		b.WriteString(r.words[k].text)
	}
	return b.String(), true
}

// classify settles the class by the evidence of the other members where nobody
// said it.
func (r *reader) classify() {
	p := &r.reading.Part
	if p.Class != "" {
		return
	}
	switch {
	case p.SafetyClass != "" || p.Dielectric != "" || !p.ESRMax.IsZero() || isCapacitorConstruction(p.Construction) || p.Polarised != nil:
		p.Class = "capacitor"
	case p.FuseSpeed != "" && !p.Current.IsZero():
		p.Class = "fuse"
	case p.Chemistry != "":
		p.Class = "cell"
	case !p.Power.IsZero() || p.Construction != "":
		p.Class = "resistor"
	}
}

func isCapacitorConstruction(s string) bool {
	for _, c := range Constructions {
		if c == s {
			return true
		}
	}
	return false
}

// finish makes the readings out of what was found.
func (r *reader) finish(text string) (Text, error) {
	out := Text{Readings: []Reading{}, LeftOver: []string{}}
	p := &r.reading.Part
	_, hasValue := ValueKind(p.Class)
	if p.Class != "" && !hasValue {
		r.keepType()
	}
	for i := range r.words {
		if w := &r.words[i]; !w.used {
			out.LeftOver = append(out.LeftOver, w.text)
		}
	}
	if len(r.reading.Fields) == 0 && len(r.values) == 0 {
		return Text{}, fault.New(fault.Invalid, "part-unreadable",
			fmt.Sprintf("Nothing in %q reads as a part; write value and ratings with their units, such as: 47 µF 16 V 105 °C, or say the class.", text))
	}
	if len(r.texts) > 0 {
		p.Text = strings.Join(append([]string{p.Text}, r.texts...), " ")
		p.Text = strings.TrimSpace(p.Text)
	}
	if len(r.values) == 0 {
		if p.Class == "" {
			p.Class = "other"
			r.doubt("No word or unit says what sort of part this is.")
		}
		out.Readings = append(out.Readings, r.sealed(r.reading))
		return out, nil
	}
	for _, v := range r.values {
		out.Readings = append(out.Readings, r.sealed(r.withValue(v)))
	}
	return out, nil
}

// sealed adds the canonical spelling.
func (r *reader) sealed(x Reading) Reading {
	x.Canonical = x.Part.String()
	return x
}

// keepType takes the unknown words of a part without a value as its type
// number.
func (r *reader) keepType() {
	for i := range r.words {
		if w := &r.words[i]; !w.used {
			r.set("text", w.text, i, i)
			r.texts = append(r.texts, w.text)
		}
	}
}

// withValue is the reading with one of its values; the class follows from the
// unit where nothing else said it.
func (r *reader) withValue(v quantity.Reading) Reading {
	x := r.reading
	x.Fields = append([]Field(nil), x.Fields...)
	x.Doubts = append([]string{}, x.Doubts...)
	x.Doubts = append(x.Doubts, v.Doubts...)
	span := [2]int{r.value.from, r.value.to}
	x.Part.Value = v.Quantity
	x.Fields = append(x.Fields, Field{Member: "value", Value: v.Quantity.String(), Span: span})
	if !v.Tolerance.IsZero() && x.Part.Tolerance.IsZero() {
		x.Part.Tolerance = v.Tolerance
		x.Fields = append(x.Fields, Field{Member: "tolerance", Value: v.Tolerance.String(), Span: span})
	}
	if x.Part.Class == "" {
		x.Part.Class = classOfUnit(v.Quantity.Unit())
	}
	return x
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
