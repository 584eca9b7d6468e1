package kit

import (
	"boardlore/domain/message"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"boardlore/domain/fault"
	"boardlore/domain/list"
	"boardlore/domain/part"
	"boardlore/domain/placement"
	"boardlore/domain/quantity"
)

// Problem is a line of a list that a person should look at.
type Problem struct {
	Line   int             `json:"line"`   // of the text, from 1
	Text   string          `json:"text"`   // what stands there
	Reason message.Message `json:"reason"` // what is wrong and what was done
}

// Sentence tells the problem with its place.
func (p Problem) Sentence() message.Message {
	return message.Of("kit.row-quoted", p.Line, p.Text, p.Reason)
}

// ListTitle is the title of a kit out of a list, which has none itself.
const ListTitle = "Kit from a list"

// ReadList makes a kit of a list as people keep them: comma, semicolon or tab
// separated with headings in any order (English, German, French) or without,
// or one part a line. Every line becomes a line of the kit, with the text that
// stands there; what can't be read as a part, or lacks a quantity, is a problem
// as well. Remarks and what stands above the headings become problems only.
//
// Lines are numbered by the list's own numbers where it has any, else by the
// line of the text. The kit has no ID.
func ReadList(data []byte) (*Kit, []Problem) {
	t := list.Read(data)
	r := listReader{table: t, kit: &Kit{Title: ListTitle, Lines: []Line{}}, known: memory{}}
	for _, p := range t.Problems {
		r.problems = append(r.problems, Problem{p.Line, p.Text, p.Reason})
	}
	for _, s := range t.Skipped {
		r.problem(s.Line, strings.Join(s.Cells, " "), "kit.stands-above-headings-remark")
	}
	if !t.Limit.IsZero() {
		r.problems = append(r.problems, Problem{1, "", t.Limit})
		return r.kit, r.problems
	}
	r.table.Rows = unbulleted(r.table)
	if n := len(t.Rows); n > MaxLines+1 {
		r.problem(t.Rows[MaxLines].Line, "", "kit.list-rows-kit-most", n, MaxLines)
		r.table.Rows = t.Rows[:MaxLines+1] // one too many, so that it is no kit
	}
	r.columns()
	for i := range r.table.Rows {
		if !r.row(&r.table.Rows[i]) {
			break
		}
	}
	slices.SortStableFunc(r.problems, func(a, b Problem) int { return a.Line - b.Line })
	r.gather()
	return r.kit, r.problems
}

const noQuantity = "kit.no-quantity-stands-here"

// gather says once that several rows have no quantity.
func (r *listReader) gather() {
	var rows []int
	r.problems = slices.DeleteFunc(r.problems, func(p Problem) bool {
		if p.Reason.Key != noQuantity {
			return false
		}
		rows = append(rows, p.Line)
		return len(rows) > 1
	})
	if len(rows) < 2 {
		return
	}
	first := slices.IndexFunc(r.problems, func(p Problem) bool { return p.Reason.Key == noQuantity })
	r.problems[first].Reason = message.Of("kit.no-quantity-stands-rows", message.Some(rows[1:], maxTold), len(rows)-1)
}

type listReader struct {
	table    list.Table
	kit      *Kit
	problems []Problem
	known    memory

	number, quantity, designators int  // columns, -1 for none
	delivered                     bool // the quantity is what came of what was ordered
	texts                         []textColumn
	places                        int // designators so far
	letters                       int // bytes of parts' texts so far
}

// maxText bounds the texts of a list together: 500 lines of 256 characters.
const maxText = 128 << 10

// textColumn is a column that tells something of the part.
type textColumn struct {
	at   int
	unit string // added to a bare number
}

func (r *listReader) problem(line int, text, key string, values ...any) {
	r.problems = append(r.problems, Problem{Line: line, Text: text, Reason: message.Of(key, values...)})
}

// columns finds out what each column is for.
func (r *listReader) columns() {
	r.number, r.quantity, r.designators = -1, -1, -1
	if r.table.Header == nil {
		r.guess()
		return
	}
	of := make([]list.Heading, len(r.table.Header))
	for i, h := range r.table.Header {
		of[i] = list.PartsRole(h)
	}
	r.take(of, exactly)
	r.take(of, roughly)
	r.came(of)
	var unused []string
	for i, x := range of {
		switch {
		case x == list.Unsure:
			of[i] = r.settle(i)
		case x == list.None && r.all(i, r.isPart):
			of[i] = list.Text
		case x == list.None && r.all(i, isAnything):
			unused = append(unused, r.table.Header[i])
		}
	}
	if unused != nil {
		r.problem(r.table.Line, strings.Join(unused, ", "), "kit.nothing-made-what-stands")
	}
	for _, x := range []list.Heading{list.Value, list.Rating, list.Text, list.Package, list.Type} {
		for i, y := range of {
			if x == y && (x != list.Type || r.texts == nil) {
				r.texts = append(r.texts, textColumn{i, list.UnitOf(r.table.Header[i])})
			}
		}
	}
}

// take picks the columns that there may be only one of, the first that passes:
// a heading that is just the word goes before one of several words.
func (r *listReader) take(of []list.Heading, passes func(heading string) bool) {
	for i, x := range of {
		if !passes(r.table.Header[i]) {
			continue
		}
		switch {
		case x == list.Number && r.number < 0:
			r.number = i
		case x == list.Quantity && r.quantity < 0:
			r.quantity = i
		case x == list.Designator && r.designators < 0:
			r.designators = i
		}
	}
}

// came takes the quantity from what was delivered, where the list says so, and
// from what was ordered only where it says nothing else.
func (r *listReader) came(of []list.Heading) {
	if i := slices.Index(of, list.Delivered); i >= 0 {
		r.quantity, r.delivered = i, true
	} else if i := slices.Index(of, list.Ordered); i >= 0 && r.quantity < 0 {
		r.quantity = i
	}
}

// row makes a line of the kit out of a row, and reports whether to go on.
func (r *listReader) row(x *list.Row) bool {
	whole := strings.Join(strings.Fields(strings.Join(x.Cells, " ")), " ")
	if r.isTotal(x) {
		r.problem(x.Line, whole, "kit.taken-total-left-out")
		return true
	}
	l := Line{Number: r.lineNumber(x), Text: r.text(x)}
	if !r.label(x, &l) {
		return false
	}
	empty := l.Text == ""
	if empty {
		l.Text = whole
		r.problem(x.Line, l.Text, "kit.no-part-stands-line")
	}
	if n := []rune(l.Text); len(n) > part.MaxText {
		r.problem(x.Line, string(n[:60])+"…", "kit.text-longer-than-characters", part.MaxText)
		l.Text = string(n[:part.MaxText])
	}
	if r.letters += len(l.Text); r.letters > maxText {
		r.kit.Lines = nil
		r.problem(x.Line, "", "kit.list-text-most", maxText>>10)
		return false
	}
	says, read := 0, false
	if !empty {
		problems := len(r.problems)
		says, read = r.check(x.Line, &l)
		if named := len(l.Designators) > 0 && (cell(x, r.designators) != "" || !asides[first(whole)]); !read &&
			!named && cell(x, r.quantity) == "" && aside(l.Text) {
			r.problems = r.problems[:problems]
			r.problem(x.Line, whole, "kit.speaks-no-part-but")
			return true
		}
	}
	l.Quantity = r.count(x, &l, says, read)
	if !inHand(whole) && l.Quantity > 0 {
		r.problem(x.Line, whole, "kit.not-hand-so-none")
		l.Quantity = 0
	}
	r.kit.Lines = append(r.kit.Lines, l)
	return true
}

// colonRange is what some tables write for C1-C4, and others for C1 and C4.
var colonRange = regexp.MustCompile(`\b[A-Za-z]{1,4}\d{1,4}:[A-Za-z]{1,4}\d{1,4}\b`)

// label takes the row's designators, from their column or from the text. A list
// that names more than a board may have is none.
func (r *listReader) label(x *list.Row, l *Line) bool {
	labels := cell(x, r.designators)
	if strings.Contains(l.Text, ":") {
		if m := colonRange.FindString(l.Text); m != "" {
			r.problem(x.Line, m, "kit.colon-between-designators", m)
		}
	}
	if labels == "" && l.Text != "" {
		l.Text, labels = r.known.splitLabels(l.Text)
	}
	if labels == "" {
		return true
	}
	ds, err := list.Designators(labels)
	if l.Designators = ds; err != nil {
		r.problem(x.Line, labels, "kit.these-not-all-designators", err)
	}
	if r.places += len(ds); r.places > list.MaxDesignators {
		r.kit.Lines = nil
		r.problem(x.Line, "", "kit.up-here-list-names", list.MaxDesignators)
		return false
	}
	return true
}

var total = regexp.MustCompile(`(?i)^(?:sub-?|grand )?(?:total|totals|sum|summe|gesamt|somme|suma|totale|totaal|summa)\s*[:=]?\s*\d*$`)

// isTotal reports whether a row adds up those above it: the word and numbers,
// and no part.
func (r *listReader) isTotal(x *list.Row) bool {
	return slices.ContainsFunc(x.Cells, total.MatchString) && !slices.ContainsFunc(x.Cells,
		func(c string) bool { return c != "" && r.isPart(c) })
}

// lineNumber is the list's own number where all its lines have different ones.
func (r *listReader) lineNumber(x *list.Row) int {
	if r.number >= 0 && r.numbered() {
		n, _ := strconv.Atoi(cell(x, r.number))
		return n
	}
	return x.Line
}

func (r *listReader) numbered() bool {
	seen := make(map[string]bool, len(r.table.Rows))
	for i := range r.table.Rows {
		c := cell(&r.table.Rows[i], r.number)
		if n, err := strconv.Atoi(c); err != nil || n < 1 || n > 1000000 || seen[c] {
			r.number = -1 // no use asking again
			return false
		}
		seen[c] = true
	}
	return true
}

// text joins what the row says of the part. A cell that another repeats, and
// a footprint out of a library, add nothing.
func (r *listReader) text(x *list.Row) string {
	var pieces []string
	for _, c := range r.texts[:min(len(r.texts), telling)] {
		s := strings.Join(strings.Fields(cell(x, c.at)), " ")
		if nothing[s] || strings.Contains(s, "_") && len(pieces) > 0 {
			continue
		}
		if c.unit != "" && bareNumber.MatchString(s) {
			s += " " + c.unit
		}
		if slices.ContainsFunc(pieces, func(p string) bool { return within(s, p) }) {
			continue
		}
		repeats := func(p string) bool { return within(p, s) }
		pieces = append(slices.DeleteFunc(pieces, repeats), s)
	}
	return strings.Join(pieces, " ")
}

// telling is how many columns may tell of one part.
const telling = 24

// within reports whether all words of a text stand in another, in a row.
func within(text, other string) bool {
	return strings.Contains(" "+strings.ToLower(other)+" ", " "+strings.ToLower(text)+" ")
}

// check reads the text as a part, to tell what can't be, and returns the
// quantity that the text itself names, 0 for none, and whether it was read.
func (r *listReader) check(at int, l *Line) (says int, read bool) {
	bare, counts := uncounted(present(l.Text))
	text, err := r.known.readPart(bare, quantity.Context{Found: "list"})
	if err != nil && len(l.Designators) > 0 {
		c := quantity.Context{Found: "list", Class: string(placement.ClassOf(l.Designators[0]))}
		text, err = r.known.readPart(bare, c)
	}
	if err != nil {
		reason := message.Text(err.Error())
		if e, ok := fault.As(err); ok {
			reason = e.Detail
		}
		r.problem(at, l.Text, "kit.kept-as-text", reason)
	}
	if counts > 0 {
		return counts, err == nil
	}
	for i := range text.Readings {
		if n := text.Readings[i].Quantity; i > 0 && n != says {
			return 0, true
		} else {
			says = n
		}
	}
	return says, err == nil
}

// counted is the number before or behind a text that is no part, 0 for none.
func counted(text string) int {
	for _, pattern := range [...]*regexp.Regexp{leading, trailing} {
		if m := pattern.FindStringSubmatch(text + " "); m != nil {
			n, _ := strconv.Atoi(m[1])
			return n
		}
	}
	return 0
}

// count is how many parts the row stands for: its quantity, else what its text
// says, else the number of its designators.
func (r *listReader) count(x *list.Row, l *Line, says int, read bool) int {
	text := cell(x, r.quantity)
	n, ok := count(text)
	if r.delivered && text == "" {
		r.problem(x.Line, l.Text, "kit.nothing-said-have-been")
		return 0
	}
	if text == "" && says == 0 {
		says = counted(l.Text)
	}
	switch {
	case ok:
		if d := len(l.Designators); d > 0 && d != n {
			r.problem(x.Line, text, "kit.line-counts-but-names", n, d)
		}
		return n
	case text != "":
		r.problem(x.Line, text, "kit.no-quantity-write-whole")
		return len(l.Designators)
	case says > 0:
		if d := len(l.Designators); d > 0 && d != says {
			r.problem(x.Line, l.Text, "kit.line-counts-but-names", says, d)
		}
		return min(says, maxQuantity)
	case len(l.Designators) > 0:
		return len(l.Designators)
	}
	if read {
		r.problem(x.Line, l.Text, noQuantity)
	}
	return 1
}
